//! Sulfate and chloride both very high, or one many times the other.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("sulfate-chloride-extreme", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor, BlockKind::Grist, BlockKind::Recipe]).limits(&[&SUM, &RATIO]);

static SUM: Limit = Limit::at_most("sulfate-chloride-sum", 500.0, "ppm", "sulfate and chloride together", "common practice, no source");
static RATIO: Limit = Limit::within("sulfate-chloride-ratio", 0.2, 8.0, "", "sulfate over chloride, from 100 ppm of both on", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Sulfate and chloride both very high, or one many times the other.",
    matters: "Together they make a beer taste of minerals; far apart they make it harsh or flabby.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       10 g gypsum to all"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       5 g gypsum to all
  add       3 g calcium chloride dihydrate to all"#,
    limits: "The ratio says little in soft water: only from 100 ppm of the two together. Silent where the profile \
              aimed at has it so.",
    sources: "Common practice, no source.",
};

struct Extreme {
    sulfate: f64,
    chloride: f64,
    sum: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let (Some(sulfate), Some(chloride)) = (cx.figure(FigureId::Sulfate), cx.figure(FigureId::Chloride)) else { return };
    let Some(place) = cx.recipe.liquor_place else { return };
    if cx.recipe.liquor.source.is_none() || cx.recipe.liquor.target.is_some() {
        return;
    }
    let sum = sulfate + chloride;
    let (low, high) = cx.band(&RATIO);
    if sum > cx.limit(&SUM) {
        hits.recipe(Grade::WARNING, place, Extreme { sulfate, chloride, sum: true });
    } else if sum > 100.0 && !(low * chloride..=high * chloride).contains(&sulfate) {
        hits.recipe(Grade::HINT, place, Extreme { sulfate, chloride, sum: false });
    }
}

impl Detail for Extreme {
    fn message(&self, say: Say) -> Message {
        let remedy = if self.sum {
            "use less of both salts, or dilute the source"
        } else if self.sulfate > self.chloride {
            "replace part of the gypsum by calcium chloride"
        } else {
            "replace part of the calcium chloride by gypsum"
        };
        Message::new(
            format!("sulfate is {} and chloride {}", say.ppm(self.sulfate), say.ppm(self.chloride)),
            if self.sum { "together they taste of minerals" } else if self.sulfate > self.chloride { "so far apart they make bitterness harsh" } else { "so far apart they make a beer flabby" },
            remedy,
        )
    }
}
