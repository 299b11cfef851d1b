//! Metabisulfite that may leave more sulfite than may go undeclared.

use brewing::water::Salt;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("sulfite-declaration", Group::Safety, Level::Warning, Check::Recipe(check), DOC).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("sulfite-hint", 5.0, "ppm", "sulfite as SO2", "half of the declaration limit");
static WARNING: Limit = Limit::at_most("sulfite", 10.0, "ppm", "sulfite as SO2", "Regulation (EU) 1169/2011");

const DOC: Doc = Doc {
    catches: "Metabisulfite that may leave more sulfite than may go undeclared.",
    matters: "Sulfite can bring on asthma. In many places more than 10 mg/L has to stand on the label.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
  1 g       potassium metabisulfite on day 6"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
  0.1 g     potassium metabisulfite on day 6"#,
    limits: "All metabisulfite of the recipe by the litre of the batch; what chlorine or boiling uses up is left \
              out of the liquor. Yeast makes some sulfite of its own.",
    sources: "Regulation (EU) 1169/2011: 10 mg/L as SO2; the share of SO2 by molar mass.",
};

struct Sulfite {
    milligrams: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(litres) = cx.figure(FigureId::BatchVolume).filter(|litres| *litres > 0.0) else { return };
    let part = cx.part();
    let cold = part.ferment.additions.iter().chain(&part.package.additions);
    let mut total = 0.0;
    let mut last = None;
    for line in cold {
        let names = look::names(&line.thing);
        if !names.contains_any(const { &look::any_of(["metabisul", "campden"]) }) {
            continue;
        }
        let mass = look::kg(&line.amount).or_else(|| match &line.amount {
            Amount::Of(quant) if quant.unit?.dimension() == quantity::Dimension::Count => {
                Some(quant.value * line.thing.number(Keyword::UnitMass)?.value.value)
            }
            _ => None,
        });
        let Some(kg) = mass else { continue };
        let salt = if names.contains("sodium") { Salt::SodiumMetabisulfite } else { Salt::PotassiumMetabisulfite };
        let share = brewing::water::sulfur_dioxide_share(salt).map_or(0.576, |share| share.parts());
        total += kg * 1e6 * share / litres;
        last = Some(line.place);
    }
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    if let (Some(place), Some(grade)) = (last, Grade::above(total, || 0.0, &bounds)) {
        hits.recipe(grade, place, Sulfite { milligrams: total });
    }
}

impl Detail for Sulfite {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("metabisulfite brings about {:.0} mg/L of sulfite (as SO2)", self.milligrams),
            "sulfite can bring on asthma, and in many places more than 10 mg/L has to be declared",
            "use less, or measure and declare it; check local codes, labels and licensed practice: this does not judge what is legal",
        )
    }
}
