//! A value that depends on itself.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("figure-cycle", Group::Names, Level::Error, Check::Recipe(check), DOC).root();

const DOC: Doc = Doc {
    catches: "An expression, or an amount solved for, that depends on itself.",
    matters: "It has no value: each round of computing would give another one.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
liquor
  mash      (1.1 * mash.liquor)"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
liquor
  mash      (2.7 L/kg * grist.weight)"#,
    limits: "One finding a recipe, for the first figure that is caught in the loop.",
    sources: "Logic; no outside source.",
};

struct Cycle {
    reason: String,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for figure in FigureId::ALL {
        if let Err(missing) = cx.calc.value(*figure)
            && missing.cycle
        {
            let place = missing.place.unwrap_or(cx.recipe.name_place);
            hits.recipe(Grade::ERROR, place, Cycle { reason: missing.reason.into_owned() });
            return;
        }
    }
}

impl Detail for Cycle {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            self.reason.clone(),
            "a value that depends on itself has no value",
            "write one of the values in the loop as a number",
        )
    }
}
