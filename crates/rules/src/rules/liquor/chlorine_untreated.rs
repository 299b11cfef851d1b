//! A source with chlorine or chloramine and nothing that removes it.

use brewing::water::{Chlorine, Salt};
use quantity::typed::{Concentration, Volume};
use syntax::vocabulary::Flag;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("chlorine-untreated", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor]).limits(&[&LIMIT]);

static LIMIT: Limit = Limit::at_most("chlorine-most", 0.2, "ppm", "chlorine and chloramine in the source", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A source with chlorine or chloramine and nothing that removes it.",
    matters: "It makes chlorophenols with malt and yeast: a smell of plasters, from a few micrograms on.",
    example: r#"water tap
  calcium             60 ppm
  chloride            18 ppm
  sulfate             72 ppm
  bicarbonate         61 ppm
  chlorine            0.5 ppm

recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    tap
  mash      12 L
  sparge    12 L"#,
    instead: r#"water tap
  calcium             60 ppm
  chloride            18 ppm
  sulfate             72 ppm
  bicarbonate         61 ppm
  chlorine            0.5 ppm

recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    tap [carbon filtered]
  mash      12 L
  sparge    12 L"#,
    limits: "Removed by metabisulfite, by a carbon filter, and chlorine (not chloramine) by boiling.",
    sources: "A. J. deLange, Homebrew Digest 5793, for the reaction; 30 % more than stoichiometry is common \
              practice.",
};

struct Untreated {
    chlorine: f64,
    chloramine: bool,
    boiled: bool,
    litres: f64,
    grams: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let liquor = &cx.recipe.liquor;
    let Some(source) = &liquor.source else { return };
    let of = |key| source.number(key).map_or(0.0, |given| given.value.value);
    let (chlorine, chloramine) = (of(Keyword::Chlorine), of(Keyword::Chloramine));
    if chlorine + chloramine <= cx.limit(&LIMIT) || source.flag(Flag::CarbonFiltered) {
        return;
    }
    let boiled = source.flag(Flag::Boiled);
    if boiled && chloramine <= cx.limit(&LIMIT) {
        return;
    }
    let removes = |thing: &Thing| {
        look::role(thing).contains("dechlor") || look::names(thing).contains_any(const { &look::any_of(["metabisul", "campden"]) })
    };
    if liquor.additions.iter().any(|line| removes(&line.thing)) {
        return;
    }
    let litres = cx.figure(FigureId::TotalLiquor).unwrap_or(0.0);
    let kind = if chloramine > chlorine { Chlorine::Chloramine } else { Chlorine::Free };
    let dose = brewing::water::dechlorinate(
        Concentration::from_mg_per_litre(chlorine + chloramine),
        kind,
        Volume::from_litres(litres),
        Salt::PotassiumMetabisulfite,
    );
    hits.recipe(
        Grade::WARNING,
        source.place,
        Untreated {
            chlorine: chlorine + chloramine,
            chloramine: chloramine > chlorine,
            boiled,
            litres,
            grams: dose.map(|dose| dose.recommended.grams()),
        },
    );
}

impl Detail for Untreated {
    fn message(&self, say: Say) -> Message {
        let what = if self.chloramine { "chloramine" } else { "chlorine" };
        let boiled = if self.boiled { ", and boiling does not remove it" } else { "" };
        let dose = match self.grams {
            Some(grams) if self.litres > 0.0 => format!(
                "{} of potassium metabisulfite in {} of water",
                say.small_mass(grams / 1000.0),
                say.volume(self.litres)
            ),
            _ => "metabisulfite".to_owned(),
        };
        Message::new(
            format!("the source brings {:.1} ppm of {what}{boiled}", self.chlorine),
            "with malt it makes a smell of plasters that nothing takes out again",
            format!("add {dose}, or run the water through carbon"),
        )
    }
}
