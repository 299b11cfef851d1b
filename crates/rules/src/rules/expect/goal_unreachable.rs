//! An amount that is to be solved for (`to reach …`, percentages of the grist) and cannot be.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("goal-unreachable", Group::Expect, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Recipe, BlockKind::Boil, BlockKind::Liquor, BlockKind::Mash]).absorbs(&["expectation-not-checked"]);


const DOC: Doc = Doc {
    catches: "An amount that is to be solved for (`to reach …`, percentages of the grist) and cannot be.",
    matters: "The line has no amount, and everything that depends on it is missing.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  60 g      Fuggle [alpha 5 %] at 60 min
  Fuggle [alpha 5 %] at 10 min to reach 20 IBU"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  20 g      Fuggle [alpha 5 %] at 60 min
  Fuggle [alpha 5 %] at 10 min to reach 20 IBU"#,
    limits: "Silent while a line that the goal depends on cannot be read.",
    sources: "Logic; no outside source.",
};

struct Unreachable {
    name: String,
    reason: String,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let because = |figure: FigureId| match cx.calc.value(figure) {
        Err(missing) if !missing.cycle => Some(missing.reason.into_owned()),
        _ => None,
    };
    let shares = recipe.grist.iter().any(|line| matches!(line.amount, Amount::Share(_)));
    if shares && let Some(reason) = because(FigureId::GristWeight) {
        let place = recipe.grist_place.unwrap_or(recipe.name_place);
        hits.recipe(Grade::WARNING, place, Unreachable { name: "the grist".to_owned(), reason });
    }
    let hop = recipe.additions.iter().find(|line| matches!(line.amount, Amount::Solved) && line.to_reach.is_some());
    if let Some(line) = hop
        && let Some(reason) = because(FigureId::Ibu)
    {
        hits.recipe(Grade::WARNING, line.place, Unreachable { name: look::spoken(&line.thing).into(), reason });
    }
    let acid = recipe.liquor.additions.iter().find(|line| matches!(line.amount, Amount::Solved) && line.to_reach.is_some());
    if let Some(line) = acid
        && let Some(reason) = because(FigureId::MashPh)
    {
        hits.recipe(Grade::WARNING, line.place, Unreachable { name: look::spoken(&line.thing).into(), reason });
    }
}

impl Detail for Unreachable {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("the amount of {} cannot be computed: {}", self.name, self.reason),
            "the line has no amount, and what depends on it is missing",
            "change the goal, or write the amount",
        )
    }
}
