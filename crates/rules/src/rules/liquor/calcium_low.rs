//! A mash liquor with little calcium.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("calcium-low", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor, BlockKind::Grist, BlockKind::Recipe]).limits(&[&HINT, &LOW]);

static HINT: Limit = Limit::at_least("calcium-least", 40.0, "ppm", "calcium in the mash liquor", "common practice, no source");
static LOW: Limit = Limit::at_least("calcium-least-warning", 20.0, "ppm", "calcium in the mash liquor of a pale grist at a high pH", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash liquor with little calcium.",
    matters: "Calcium protects amylase, lowers the mash pH, and lets trub, oxalate and yeast settle.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all"#,
    limits: "A hint; a warning only for a pale grist whose predicted pH is above 5.7 as well. Silent in Czech \
              styles and with a profile to match.",
    sources: "Common practice, no source; soft water made the pale lagers of Bohemia.",
};

struct Low {
    ppm: f64,
    litres: f64,
    grams: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let liquor = &cx.recipe.liquor;
    if liquor.source.is_none() || liquor.target.is_some() || !look::mashes(cx.recipe) || expects_soft(cx) {
        return;
    }
    let (Some(ppm), Some(litres)) = (cx.figure(FigureId::MashCalcium), cx.figure(FigureId::MashLiquor)) else { return };
    if ppm >= cx.limit(&HINT) {
        return;
    }
    let pale = cx.figure(FigureId::Colour).is_some_and(|ebc| ebc < 15.0);
    let high = cx.figure(FigureId::MashPh).is_some_and(|ph| ph > 5.7);
    let grade = if ppm < cx.limit(&LOW) && pale && high { Grade::WARNING } else { Grade::HINT };
    let place = liquor.source.as_ref().map_or(cx.recipe.name_place, |source| source.place);
    // What calcium chloride dihydrate brings, by its own stoichiometry.
    let by_gram = brewing::water::Salt::CalciumChlorideDihydrate.contribution(brewing::water::Ion::Calcium).mg_per_litre();
    hits.recipe(grade, place, Low { ppm, litres, grams: (50.0 - ppm) * litres / by_gram });
}

fn expects_soft(cx: &RecipeCx) -> bool {
    cx.recipe.style.as_ref().is_some_and(|style| {
        [Keyword::Name, Keyword::Group].iter().any(|key| {
            style.words(*key).is_some_and(|words| {
                let words = words.to_lowercase();
                words.contains("czech") || words.contains("bohemian")
            })
        })
    })
}

impl Detail for Low {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the mash liquor has {} of calcium", say.ppm(self.ppm)),
            "from 50 ppm on it protects the enzymes and lets trub and yeast settle",
            format!(
                "add {} of calcium chloride dihydrate to the {} of mash liquor for 50 ppm",
                say.small_mass(self.grams / 1000.0),
                say.volume(self.litres)
            ),
        )
    }
}
