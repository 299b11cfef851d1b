//! A starter wort too strong or too weak.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("starter-gravity-off", Group::Yeast, Level::Error, Check::Part(check), DOC).limits(&[&HINT, &WARNING, &ERROR]);

static HINT: Limit = Limit::within("starter-gravity-hint", 1.03, 1.042, "", "gravity of a starter", "common practice, no source");
static WARNING: Limit = Limit::within("starter-gravity", 1.028, 1.046, "", "gravity of a starter", "common practice, no source");
static ERROR: Limit = Limit::at_most("starter-gravity-error", 1.06, "", "gravity of a starter", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A starter wort too strong or too weak.",
    matters: "A strong starter stresses the cells it should grow; a weak one starves them.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  30 billion cells  English ale yeast [72 %]
  starter   0.8 L at 1.070 [stirred]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  60 billion cells  English ale yeast [72 %]
  starter   1.5 L at 1.037 [stirred]
  at        18 C
  oxygen    8 ppm"#,
    limits: "",
    sources: "Common practice, no source.",
};

struct Starter {
    sg: f64,
    litres: f64,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for step in &cx.part().pitch.starter {
        let Some(sg) = step.gravity.as_ref().and_then(|gravity| crate::expected::bound(FigureId::Og, gravity.value)) else {
            continue;
        };
        let bands = [
            (cx.band(&HINT), Severity::Hint),
            (cx.band(&WARNING), Severity::Warning),
            (cx.band(&ERROR), Severity::Error),
        ];
        if let Some(grade) = Grade::outside(sg, || 0.0, &bands) {
            hits.recipe(grade, step.place, Starter { sg, litres: step.volume.value, place: step.place });
        }
    }
}

impl Detail for Starter {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the starter is {}", say.gravity(self.sg)),
            if self.sg > 1.04 { "so strong a wort stresses the cells it should grow" } else { "so thin a wort grows few cells" },
            format!("take 1.037: about 100 g of dry malt extract a litre, {:.0} g here", 100.0 * self.litres),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let value = texts.clause_value(At::Recipe(self.place), ClauseWord::At);
        value.map(|value| Mend::proposed("take 1.037", value, "1.037")).into_iter().collect()
    }
}
