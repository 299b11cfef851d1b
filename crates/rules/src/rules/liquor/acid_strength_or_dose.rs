//! Acid without a strength, or more of it than the beer bears.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("acid-strength-or-dose", Group::Liquor, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor]).outcome().limits(&[&SOUR_SPARGE, &SOUR_MASH, &LACTATE]);

static SOUR_SPARGE: Limit = Limit::at_most("sparge-acid-beyond", 5.0, "mEq/L", "acid in the sparge liquor beyond its alkalinity", "common practice, no source: far below pH 4");
static SOUR_MASH: Limit = Limit::at_most(
    "mash-acid-beyond",
    60.0,
    "mEq/kg",
    "acid in a mash that no pH can be computed for, beyond the alkalinity of its liquor",
    "common practice, no source: malt takes up 30 to 50 mEq/kg for each unit of pH",
);
static LACTATE: Limit = Limit::at_most("lactate-most", 400.0, "ppm", "lactate in the batch", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Acid without a strength, or more of it than the beer bears.",
    matters: "The same millilitres of an 80 % and of a 10 % acid differ eightfold. Too much lactic acid can be \
              tasted.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all
  add       2 mL hydrochloric acid to mash"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all
  add       2 mL hydrochloric acid [10 %] to mash"#,
    limits: "A warning above 1.5 mL/L of 80 to 90 % lactic acid, or above 400 mg/L of lactate. Silent about the \
              lactate in sours. What acid does to a mash is judged by its pH; here only where there is so much that none can \
              be computed.",
    sources: "Common practice, no source: lactate can be tasted from about 400 mg/L.",
};

/// So much lactate that an amount has slipped, mg/L: several times what can be tasted.
const SLIP: f64 = 800.0;

enum Acid {
    NoStrength(Box<str>),
    Mash { name: Box<str>, left: f64 },
    Lactate { milligrams: f64, litres: f64 },
    /// Acid beyond the alkalinity of the sparge liquor, mEq/L.
    Sparge { name: Box<str>, left: f64 },
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    // The line that brings most.
    let mut last: Option<(f64, Place)> = None;
    for line in &cx.recipe.liquor.additions {
        if !look::role(&line.thing).contains("acid") {
            continue;
        }
        // Phosphoric acid is sold at 10, 75 and 85 %: the strength taken from the library may be far off.
        let open = line.thing.own.is_empty() && look::names(&line.thing).contains("phosphoric");
        if open && look::litres(&line.amount).is_some() {
            hits.recipe(Grade::WARNING, line.place, Acid::NoStrength(look::spoken(&line.thing)));
        } else if line.thing.fact(Keyword::Strength).is_none() && look::litres(&line.amount).is_some() {
            hits.recipe(Grade::ERROR, line.place, Acid::NoStrength(look::spoken(&line.thing)));
        } else if look::names(&line.thing).contains("lactic")
            && last.is_none_or(|(most, _)| look::litres(&line.amount).unwrap_or(0.0) > most)
        {
            last = Some((look::litres(&line.amount).unwrap_or(0.0), line.place));
        }
    }
    acid_sparge(cx, hits);
    acid_mash(cx, hits);
    let sour = cx.tagged("kettle-sour") || cx.tagged("mixed-culture") || cx.recipe.sour.is_some();
    let (Some((_, place)), Some(litres)) = (last, cx.figure(FigureId::BatchVolume).filter(|litres| *litres > 0.0)) else { return };
    if sour {
        return;
    }
    let lactic: f64 = [Vessel::Mash, Vessel::Sparge, Vessel::Kettle]
        .iter()
        .filter_map(|vessel| cx.calc.vessel_water(*vessel).ok())
        .flat_map(|water| &water.acids)
        .filter(|(_, acid, _)| *acid == brewing::acid::Acid::Lactic)
        .map(|(_, _, mmol)| mmol)
        .sum();
    let amount = quantity::typed::Amount::from_mmol(lactic);
    let Some(lactate) = brewing::acid::Acid::Lactic.residue(amount, quantity::typed::Volume::from_litres(litres)) else {
        return;
    };
    let milligrams = lactate.mg_per_litre();
    if milligrams > cx.limit(&LACTATE) {
        hits.recipe(Grade::WARNING, place, Acid::Lactate { milligrams, litres });
    }
}

/// More acid in the mash than malt takes up.
fn acid_mash(cx: &RecipeCx, hits: &mut Hits) {
    let (Ok(water), Some(kg), None) =
        (cx.calc.vessel_water(Vessel::Mash), cx.figure(FigureId::GristWeight), cx.figure(FigureId::MashPh))
    else {
        return;
    };
    let most = water.acids.iter().max_by(|a, b| a.2.total_cmp(&b.2));
    let Some(line) = most.and_then(|(at, ..)| cx.recipe.liquor.additions.get(*at)) else { return };
    let left = -water.alkalinity_after_acids * water.litres / kg;
    if left.is_finite() && left > cx.limit(&SOUR_MASH) {
        hits.recipe(Grade::WARNING, line.place, Acid::Mash { name: look::spoken(&line.thing), left });
    }
}

/// More acid in the sparge liquor than several times its alkalinity takes up.
fn acid_sparge(cx: &RecipeCx, hits: &mut Hits) {
    let Ok(water) = cx.calc.vessel_water(Vessel::Sparge) else { return };
    let most = water.acids.iter().max_by(|a, b| a.2.total_cmp(&b.2));
    let Some(line) = most.and_then(|(at, ..)| cx.recipe.liquor.additions.get(*at)) else { return };
    // In a jug of sparge liquor a splash of acid goes far, and does nothing.
    let batch = cx.figure(FigureId::BatchVolume).unwrap_or(0.0);
    let left = -water.alkalinity_after_acids;
    if water.litres > 0.25 * batch && left > cx.limit(&SOUR_SPARGE) {
        hits.recipe(Grade::WARNING, line.place, Acid::Sparge { name: look::spoken(&line.thing), left });
    }
}

impl Detail for Acid {
    fn is_cause(&self) -> bool {
        matches!(self, Self::Lactate { milligrams, .. } if *milligrams > SLIP)
    }
    fn absorbs(&self) -> &'static [&'static str] {
        if self.is_cause() { &["addition-off-plan"] } else { &[] }
    }
    fn message(&self, say: Say) -> Message {
        match self {
            Self::NoStrength(name) => Message::new(
                format!("{name} is written without its strength"),
                "the same millilitres of a strong and of a weak acid differ many times over",
                "write what the label says: `[88 %]`; handle acids with goggles and gloves, and pour acid into water",
            ),
            Self::Sparge { name, left } => Message::new(
                format!("{name} brings {left:.0} mEq/L more than the alkalinity of the sparge liquor takes up"),
                "liquor that sour takes the wort far below its pH and can be tasted",
                "check its strength and its amount; acid for the sparge only has to meet the alkalinity",
            ),
            Self::Mash { name, left } => Message::new(
                format!("{name} brings {left:.0} mEq for each kg of grain, beyond what the liquor takes up"),
                "malt takes up 30 to 50 for each unit of pH, so this mash is far too sour to convert",
                "check the strength on the label and the amount, and add it in small steps with a pH reading after each",
            ),
            Self::Lactate { milligrams, litres } => Message::new(
                format!("the lactic acid leaves about {milligrams:.0} mg/L of lactate in {}", say.volume(*litres)),
                "from about 400 mg/L on it can be tasted",
                "use phosphoric acid for part of it, or start from water with less alkalinity",
            ),
        }
    }
}
