//! Sparge water so hot that the grain bed gets above 77 C.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("sparge-water-too-hot", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("sparge-water-hint", 79.0, "C", "temperature of the sparge water", "common practice, no source");
static WARNING: Limit = Limit::at_most("sparge-water", 82.0, "C", "temperature of the sparge water", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Sparge water so hot that the grain bed gets above 77 C.",
    matters: "A bed above 77 C gives up tannin and starch that nothing converts any more; the beer turns harsh and \
              hazy.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
  sparge    12 L at 88 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
  sparge    12 L at 76 C"#,
    limits: "The bed is several degrees colder than the water, so the limits are above that of the bed.",
    sources: "Common practice, no source.",
};

struct TooHot {
    celsius: f64,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(sparge) = &cx.recipe.liquor.sparge else { return };
    let Some(at) = &sparge.temperature else { return };
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    if let Some(grade) = Grade::above(at.value, || 0.0, &bounds) {
        hits.recipe(grade, sparge.place, TooHot { celsius: at.value, place: sparge.place });
    }
}

impl Detail for TooHot {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the sparge water is {}", say.temperature(self.celsius)),
            format!("it takes the bed above {}, where husks give up tannin", say.temperature(77.0)),
            format!("sparge at {}, and keep the runnings below pH 6", say.temperature(76.0)),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let value = texts.clause_value(At::Recipe(self.place), ClauseWord::At);
        let text = say.temperature(76.0);
        value.map(|value| Mend::proposed(format!("sparge at {text}"), value, text)).into_iter().collect()
    }
}
