//! A mash logged away from the temperature planned.

use quantity::typed::{HeatCapacity, Mass, Temperature, Volume};

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mash-temp-off-plan", Group::Log, Level::Warning, Check::Log(check), DOC).whole(&[BlockKind::Mash]).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("mash-temperature-off-hint", 1.0, "K", "mash against the plan", "common practice, no source");
static WARNING: Limit = Limit::at_most("mash-temperature-off", 1.5, "K", "mash against the plan", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash logged away from the temperature planned.",
    matters: "Two degrees make a beer drier or fuller; the first ten minutes count most.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   63.5 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66.2 C"#,
    limits: "Compared with the first rest, each later `rest` with the planned one nearest to it, and a `mash out` with a last rest of 74 C or more, from 4 C on.",
    sources: "Common practice, no source.",
};

/// A last rest from here on is a mash-out, °C.
const MASH_OUT: f64 = 74.0;
/// What does not matter in a mash-out, °C: common practice, no source.
const MASH_OUT_OFF: f64 = 4.0;

struct OffPlan {
    value: f64,
    planned: f64,
    step: Place,
    /// Litres of boiling water that bring it up.
    water: Option<f64>,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let planned: Vec<(Place, f64, Option<f64>)> = look::rests(plan.recipe).collect();
    let Some(first) = planned.first().copied() else { return };
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    for entry in &cx.log.entries {
        let (value, (step, wanted, _)) = match entry.event {
            Event::MashIn(celsius) => (celsius, first),
            Event::Rest(celsius, _) => {
                let nearest = planned.iter().min_by(|a, b| (a.1 - celsius).abs().total_cmp(&(b.1 - celsius).abs()));
                let Some(nearest) = nearest else { continue };
                (celsius, *nearest)
            }
            // Only where the plan heats up at the end.
            Event::MashOut(Some(celsius)) => match planned.last() {
                Some(last) if last.1 >= MASH_OUT && (celsius - last.1).abs() > MASH_OUT_OFF => (celsius, *last),
                _ => continue,
            },
            _ => continue,
        };
        if let Some(grade) = Grade::above((value - wanted).abs(), || 0.0, &bounds) {
            let water = (value < wanted).then(|| boiling_water(plan, value, wanted)).flatten();
            hits.log(grade, entry.place, OffPlan { value, planned: wanted, step, water });
        }
    }
}

/// Boiling water that brings this mash from one temperature to another, L.
fn boiling_water(plan: &RecipeCx, from: f64, to: f64) -> Option<f64> {
    let liquor = plan.figure(FigureId::MashLiquor)?;
    let thickness = plan.figure(FigureId::MashThickness).filter(|thickness| *thickness > 0.0)?;
    let mash = brewing::mash::Mash {
        grist: Mass::from_kg(liquor / thickness),
        liquor: Volume::from_litres(liquor),
        vessel: HeatCapacity::from_kj_per_kelvin(
            look::house(plan.recipe, Keyword::TunHeatCapacity).unwrap_or(0.0),
        ),
    };
    let celsius = Temperature::from_celsius;
    let water = brewing::mash::infusion_volume(&mash, celsius(from), celsius(to), celsius(plan.calc.boiling_point() - 2.0))?;
    Some(water.litres())
}

impl Detail for OffPlan {
    fn message(&self, say: Say) -> Message {
        let remedy = match self.water {
            Some(litres) => format!("{} of boiling water, stirred in, bring it up; or heat gently", say.volume(litres)),
            None if self.value > self.planned => "stir to cool, or stir in cold water a little at a time, at once".to_owned(),
            None => "heat gently while stirring".to_owned(),
        };
        Message::new(
            format!("the mash was {}, {} is planned", say.temperature(self.value), say.temperature(self.planned)),
            if self.value < self.planned { "it makes a drier beer, and converts more slowly" } else { "it makes a fuller, sweeter beer, and enzymes fade sooner" },
            remedy,
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.step), "the rest planned".into())]
    }
}
