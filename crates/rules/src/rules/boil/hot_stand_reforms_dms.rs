//! A long, hot stand after a boil that left much of the precursor of dimethyl sulfide.

use quantity::typed::{Temperature, Time};

use super::short_boil_for_pale_malt;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("hot-stand-reforms-dms", Group::Boil, Level::Off, Check::Recipe(check), DOC).whole(&[BlockKind::Boil, BlockKind::Grist, BlockKind::Stand]).limits(&[&MICROGRAMS]);

static MICROGRAMS: Limit = Limit::at_most("dms-formed", 60.0, "ug/L", "dimethyl sulfide formed in stands above 80 C", "Anness and Bamforth 1982, second-hand");

const DOC: Doc = Doc {
    catches: "A long, hot stand after a boil that left much of the precursor of dimethyl sulfide.",
    matters: "In a covered stand the precursor goes on turning to dimethyl sulfide, and nothing carries it off.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
stand 40 min at 95 C
  40 g      Fuggle [alpha 5 %]"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
stand 40 min at 75 C
  40 g      Fuggle [alpha 5 %]"#,
    limits: "Off unless switched on: malts differ widely in what they bring. 6 micrograms for a gram of malt are \
              taken.",
    sources: "Fix, Principles of Brewing Science, 1999, pp. 89-93, second-hand; Anness and Bamforth 1982, \
              second-hand, for the threshold of 30 to 50 micrograms/L.",
};

struct Reforms {
    minutes: f64,
    celsius: f64,
    micrograms: f64,
}

/// Precursor that a gram of very pale malt brings, micrograms.
const BROUGHT: f64 = 6.0;

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let Some(boil) = recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()) else { return };
    let (Some(kg), Some(litres)) = (cx.figure(FigureId::GristWeight), cx.figure(FigureId::PostBoilVolume)) else { return };
    if !short_boil_for_pale_malt::is_pale(cx) || litres <= 0.0 {
        return;
    }
    let left = |minutes: f64, celsius: f64| {
        brewing::dms::precursor_left(Time::from_minutes(minutes), Temperature::from_celsius(celsius)).parts()
    };
    let mut precursor = BROUGHT * kg * 1000.0 / litres * left(boil.value, cx.calc.boiling_point());
    for stand in &recipe.stands {
        let (Some(time), Some(at)) = (&stand.time, &stand.temperature) else { continue };
        // Below what was measured the rate is not known, and low.
        if at.value < brewing::dms::HALF_LIFE_RANGE.low {
            continue;
        }
        let after = precursor * left(time.value, at.value);
        let made = precursor - after;
        precursor = after;
        if made > cx.limit(&MICROGRAMS) {
            hits.recipe(Grade::HINT, stand.place, Reforms { minutes: time.value, celsius: at.value, micrograms: made });
            return;
        }
    }
}

impl Detail for Reforms {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} at {} may form about {:.0} micrograms/L of dimethyl sulfide",
                say.time(self.minutes),
                say.temperature(self.celsius),
                self.micrograms
            ),
            "30 to 50 can be smelt, and a covered stand keeps it in",
            format!("boil longer before, stand cooler than {}, or leave the lid off", say.temperature(80.0)),
        )
    }
}
