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

/// Whether anything in the recipe is computed or solved for, so that it might depend on itself.
fn computes(recipe: &recipe::Recipe) -> bool {
    let open = |amount: &Amount| matches!(amount, Amount::Expr(_) | Amount::Solved);
    let liquor = &recipe.liquor;
    let volumes = [&liquor.mash, &liquor.sparge, &liquor.top_up_kettle, &liquor.top_up_fermenter];
    !recipe.lets.is_empty()
        || !recipe.queries.is_empty()
        || recipe.from.is_some()
        || volumes.iter().any(|volume| volume.as_ref().is_some_and(|volume| open(&volume.amount)))
        || recipe.grist.iter().any(|line| open(&line.amount) || matches!(line.amount, Amount::Share(_)))
        || recipe.additions.iter().any(|line| open(&line.amount))
        || liquor.additions.iter().any(|line| open(&line.amount))
        || recipe.mash.steps.iter().any(|step| match step {
            MashStep::Infuse { volume, .. } => open(volume),
            MashStep::Decoct { volume, .. } => volume.as_ref().is_some_and(open),
            MashStep::Rest { .. } => false,
        })
        || recipe.parts.iter().any(|part| {
            part.pitch.lines.iter().any(|line| open(&line.amount))
                || part.ferment.additions.iter().any(|line| open(&line.amount))
                || part.expect.iter().any(|one| matches!(one.test, recipe::Test::Condition { .. }))
        })
}

/// The first line with an amount that is computed: where a brewer begins to follow the loop.
fn computed(recipe: &recipe::Recipe) -> Option<Place> {
    let liquor = &recipe.liquor;
    let volumes = [&liquor.mash, &liquor.sparge, &liquor.top_up_kettle, &liquor.top_up_fermenter];
    let lines = (recipe.grist.iter().map(|line| (&line.amount, line.place)))
        .chain(volumes.into_iter().flatten().map(|line| (&line.amount, line.place)))
        .chain(liquor.additions.iter().map(|line| (&line.amount, line.place)))
        .chain(recipe.additions.iter().map(|line| (&line.amount, line.place)));
    lines.filter(|(amount, _)| matches!(amount, Amount::Expr(_))).map(|(_, place)| place).next()
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    if !computes(cx.recipe) {
        return;
    }
    for figure in FigureId::ALL {
        if let Err(missing) = cx.calc.value(*figure)
            && missing.cycle
        {
            let place = missing.place.or_else(|| computed(cx.recipe)).unwrap_or(cx.recipe.name_place);
            hits.recipe(Grade::ERROR, place, Cycle { reason: missing.reason.into_owned() });
            return;
        }
    }
}

impl Detail for Cycle {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            self.reason.clone(),
            "each round of computing would give another number",
            "write one of the values in the loop as a number",
        )
    }
}
