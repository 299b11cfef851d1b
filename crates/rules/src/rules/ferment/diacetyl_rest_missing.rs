//! A lager cooled to lagering without a warm rest before.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("diacetyl-rest-missing", Group::Ferment, Level::Hint, Check::Part(check), DOC).whole(&[BlockKind::Ferment, BlockKind::Pitch]).limits(&[&WARM]);

static WARM: Limit = Limit::at_least("diacetyl-rest", 15.0, "C", "temperature that counts as a warm rest", "White and Zainasheff: 16 to 20 C");

/// A rise of so much counts as a warm rest too, K: common practice, no source.
const RISE: f64 = 3.0;

const DOC: Doc = Doc {
    catches: "A lager cooled to lagering without a warm rest before.",
    matters: "Cold lager yeast leaves diacetyl behind, which tastes of butter. Two warm days at the end of \
              fermentation let it take it up again.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 75 min
  30 g      Saaz [alpha 3.5 %] at 60 min
pitch
  400 billion cells  Czech lager
  at        9 C
  oxygen    9 ppm
ferment
  hold      10 C for 12 d
  cool      to 1 C over 5 d for 4 week"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 75 min
  30 g      Saaz [alpha 3.5 %] at 60 min
pitch
  400 billion cells  Czech lager
  at        9 C
  oxygen    9 ppm
ferment
  hold      10 C for 10 d
  raise     to 16 C for 3 d
  cool      to 1 C over 5 d for 4 week"#,
    limits: "Only lagers held below 15 C and then cooled. A rest 3 K above the first hold counts as warm. A long lagering of the old kind, eight weeks or more, \
              does the same work.",
    sources: "White and Zainasheff, Yeast, 2010, on diacetyl, second-hand.",
};

struct Missing {
    held: f64,
    short: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    if !look::yeast_is(cx, "lager") {
        return;
    }
    let steps = &cx.part().ferment.steps;
    let Some(held) = steps.first().and_then(|step| step.temperature.as_ref()).map(|at| at.value) else { return };
    if held >= cx.limit(&WARM) {
        return;
    }
    let Some(cool) = steps.iter().find(|step| step.kind == FermentKind::Cool) else { return };
    // Eight weeks cold do the work of two days warm.
    if cool.time.as_ref().is_some_and(|time| time.value >= 8.0 * 7.0 * 1440.0) {
        return;
    }
    let before = steps.iter().take_while(|step| step.kind != FermentKind::Cool);
    let warm = cx.limit(&WARM).min(held + RISE);
    let rest = before.filter(|step| step.temperature.as_ref().is_some_and(|at| at.value >= warm)).last();
    match rest {
        None => hits.recipe(Grade::HINT, cool.place, Missing { held, short: None }),
        Some(step) => {
            if let Some(hours) = step.time.as_ref().map(|time| time.value / 60.0).filter(|hours| *hours < 24.0) {
                hits.recipe(Grade::HINT, step.place, Missing { held, short: Some(hours) });
            }
        }
    }
}

impl Detail for Missing {
    fn message(&self, say: Say) -> Message {
        Message::new(
            match self.short {
                None => format!("a lager held at {} is cooled without a warm rest", say.temperature(self.held)),
                Some(hours) => format!("the warm rest lasts {hours:.0} h"),
            },
            "cold yeast leaves diacetyl behind, which tastes of butter",
            format!("raise it to {} for two or three days before cooling: `raise to {} for 3 d`", say.temperature(16.0), say.temperature(16.0)),
        )
    }
}
