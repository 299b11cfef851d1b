//! An all-grain beer without a boil, or with hardly any, that is not marked as one.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("no-boil-unmarked", Group::Boil, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Boil]).exempt(&["no-boil"]).outcome().taints(Severity::Warning, &[BlockKind::Boil]).limits(&[&MINUTES]);

static MINUTES: Limit = Limit::at_least("boil-shortest", 10.0, "min", "boil of an all-grain beer", "common practice, no source");

const DOC: Doc = Doc {
    catches: "An all-grain beer without a boil, or with hardly any, that is not marked as one.",
    matters: "Without a boil nothing is sterile, hops give no bitterness and the precursor of dimethyl sulfide \
              stays. If that is meant, a tag says so.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
boil 5 min
  38 g      Fuggle [alpha 5 %] at 5 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Silent while a recipe has neither hops nor a package: it is still being written.",
    sources: "Common practice, no source.",
};

struct NoBoil {
    minutes: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    if !look::mashes(recipe) {
        return;
    }
    match &recipe.boil {
        Some(boil) => {
            if let Some(time) = &boil.time
                && time.value < cx.limit(&MINUTES)
            {
                hits.recipe(Grade::WARNING, boil.place, NoBoil { minutes: Some(time.value) });
            }
        }
        // A recipe that has got as far as its package is meant to be whole.
        None if recipe.parts.iter().any(|part| !part.package.lines.is_empty() && !part.pitch.lines.is_empty()) => {
            hits.recipe(Grade::WARNING, recipe.name_place, NoBoil { minutes: None });
        }
        None => {}
    }
}

impl Detail for NoBoil {
    fn message(&self, say: Say) -> Message {
        let found = self.minutes.map_or_else(
            || "the recipe has no boil".to_owned(),
            |minutes| format!("the boil is {}", say.time(minutes)),
        );
        Message::new(
            found,
            "the wort is not made sterile, and hops give hardly any bitterness",
            format!("add the boil, or the tag no-boil where raw ale is meant; then hold {} for ten minutes", say.temperature(80.0)),
        )
    }
}
