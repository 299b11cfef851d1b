//! A rest of the main mash hotter than a mash-out needs.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mash-above-tannin-limit", Group::Mash, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Mash]).exempt(&["low-alcohol"]).limits(&[&WARNING, &HINT]);

static WARNING: Limit = Limit::at_most("mash-hottest", 78.0, "C", "the hottest rest of the main mash", "common practice, no source");
static HINT: Limit = Limit::at_most("mash-hottest-hint", 76.0, "C", "the hottest rest that is no mash-out", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A rest of the main mash hotter than a mash-out needs.",
    matters: "Above 78 C starch still dissolves, but no amylase is left to turn it to sugar, and husks give up \
              tannin.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
  rest      82 C for 10 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
  rest      76 C for 10 min"#,
    limits: "A hint from 76 C where the rest is not the last one. Exempt: the tag low-alcohol, whose hot mash is \
              meant.",
    sources: "MEBAK R-100.07.283 for amylases; the limits are common practice, no source.",
};

struct TooHot {
    celsius: f64,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let rests = look::rests(cx.recipe).count();
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&HINT), Severity::Hint)];
    for (at, (place, celsius, _)) in look::rests(cx.recipe).enumerate() {
        let last = at + 1 == rests && rests > 1;
        let bounds = if last { &bounds[..1] } else { &bounds[..] };
        if let Some(grade) = Grade::above(celsius, || 0.0, bounds) {
            hits.recipe(grade, place, TooHot { celsius, place });
        }
    }
}

impl Detail for TooHot {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the mash rests at {}", say.temperature(self.celsius)),
            format!("above {} starch dissolves with no amylase left to turn it to sugar, and husks give up tannin", say.temperature(78.0)),
            format!("mash out at {}", say.temperature(76.0)),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let value = texts.value(At::Recipe(self.place));
        let text = say.temperature(76.0);
        value.map(|value| Mend::proposed(format!("rest at {text}"), value, text)).into_iter().collect()
    }
}
