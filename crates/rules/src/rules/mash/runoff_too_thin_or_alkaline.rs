//! Last runnings logged below 1.008 or above pH 6, or sparge water so alkaline that they will be.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("runoff-too-thin-or-alkaline", Group::Mash, Level::Warning, Check::RecipeAndLog(plan, log), DOC).exempt(&["no-sparge"]).limits(&[&GRAVITY, &PH, &PH_HINT, &ALKALINITY]);

static GRAVITY: Limit = Limit::at_least("last-runnings-gravity", 1.008, "sg", "gravity of the last runnings", "common practice, no source");
static PH: Limit = Limit::at_most("last-runnings-ph", 6.0, "", "pH of the runnings", "common practice, no source");
static PH_HINT: Limit = Limit::at_most("last-runnings-ph-hint", 5.8, "", "pH of the runnings", "common practice, no source");
static ALKALINITY: Limit = Limit::at_most("sparge-alkalinity", 100.0, "ppm as CaCO3", "alkalinity of the sparge water after acids", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Last runnings logged below 1.008 or above pH 6, or sparge water so alkaline that they will be.",
    matters: "The last thin, alkaline runnings carry tannin and little else.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  11:30   last runnings  1.004"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  11:30   last runnings  1.010"#,
    limits: "The plan is judged by the alkalinity of the sparge water after acids.",
    sources: "Common practice, no source.",
};

enum Runoff {
    Thin(f64),
    Alkaline(f64),
    Water { alkalinity: f64, litres: f64 },
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let Ok(water) = cx.calc.vessel_water(Vessel::Sparge) else { return };
    let alkalinity = brewing::water::as_calcium_carbonate(
        quantity::typed::Equivalents::from_meq_per_litre(water.alkalinity_after_acids),
    )
    .mg_per_litre();
    if water.litres > 0.0 && alkalinity > cx.limit(&ALKALINITY) {
        let place = cx.recipe.liquor.sparge.as_ref().map(|sparge| sparge.place).or(cx.recipe.liquor_place);
        let Some(place) = place else { return };
        hits.recipe(Grade::HINT, place, Runoff::Water { alkalinity, litres: water.litres });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let mut running = false;
    for entry in &cx.log.entries {
        match &entry.event {
            Event::FirstRunnings(_) => running = true,
            Event::LastRunnings(reading) => {
                running = true;
                let sg = cx.actual.wort_gravity(reading);
                if let Some(grade) = Grade::below(sg, || 0.0, &[(cx.limit(&GRAVITY), Severity::Warning)]) {
                    hits.log(grade, entry.place, Runoff::Thin(sg));
                }
            }
            Event::PreBoil(..) | Event::BoilStart => running = false,
            Event::Ph { value, of: recipe::PhOf::Kettle, .. } if running => {
                let bounds = [(cx.limit(&PH_HINT), Severity::Hint), (cx.limit(&PH), Severity::Warning)];
                if let Some(grade) = Grade::above(*value, || 0.0, &bounds) {
                    hits.log(grade, entry.place, Runoff::Alkaline(*value));
                }
            }
            _ => {}
        }
    }
}

impl Detail for Runoff {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Thin(sg) => Message::new(
                format!("the last runnings are {}", say.gravity(*sg)),
                "below 1.008 they bring tannin and hardly any sugar",
                "stop collecting at 1.008 and make the volume up with water in the kettle",
            ),
            Self::Alkaline(ph) => Message::new(
                format!("the runnings are at pH {}", say.ph(*ph)),
                "above pH 6 husks give up tannin",
                "stop collecting, and acidify the sparge water next time",
            ),
            Self::Water { alkalinity, litres } => Message::new(
                format!("the sparge water has an alkalinity of {} as CaCO3", say.ppm(*alkalinity)),
                "it will lift the pH of the last runnings above 6, where husks give up tannin",
                format!("acidify the {} of sparge water: `add lactic acid [88 %] to sparge`", say.volume(*litres)),
            ),
        }
    }
}
