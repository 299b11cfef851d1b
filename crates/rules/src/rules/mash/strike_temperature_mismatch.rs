//! Strike water logged clearly away from the temperature computed for it, or planned above the boiling point.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("strike-temperature-mismatch", Group::Mash, Level::Error, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor, BlockKind::Recipe]).limits(&[&OFF]);

static OFF: Limit = Limit::at_most("strike-off", 2.0, "K", "how far the strike water may be from what is computed", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Strike water logged clearly away from the temperature computed for it, or planned above the boiling \
              point.",
    matters: "The mash lands as much too hot or too cold, and its first minutes decide how the beer ferments.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
mash
  rest      66 C for 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  09:50   strike    67 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
mash
  rest      66 C for 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  09:50   strike    72.3 C
  10:05   mash in   66 C"#,
    limits: "Two degrees are allowed: the tun takes a share that few brewhouses have measured. Of a plan only \
              what water cannot reach is reported.",
    sources: "Heat balance, computed; the limit is common practice, no source.",
};

struct Strike {
    planned: f64,
    logged: Option<f64>,
    target: f64,
    boiling: f64,
}

fn target(cx: &RecipeCx) -> Option<(Place, f64)> {
    look::rests(cx.recipe).next().map(|(place, celsius, _)| (place, celsius))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let (Some((place, target)), Some(planned)) = (target(cx), cx.figure(FigureId::StrikeTemperature)) else { return };
    let boiling = cx.calc.boiling_point();
    if planned > boiling {
        hits.recipe(Grade::ERROR, place, Strike { planned, logged: None, target, boiling });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let (Some((_, target)), Some(planned)) = (target(plan), plan.figure(FigureId::StrikeTemperature)) else { return };
    for entry in &cx.log.entries {
        let Event::Strike(logged) = entry.event else { continue };
        if (logged - planned).abs() > cx.limit(&OFF) + 1e-9 {
            let boiling = plan.calc.boiling_point();
            hits.log(Grade::WARNING, entry.place, Strike { planned, logged: Some(logged), target, boiling });
        }
    }
}

impl Detail for Strike {
    fn message(&self, say: Say) -> Message {
        match self.logged {
            Some(logged) => Message::new(
                format!(
                    "the strike water was {}, {} is computed for a mash at {}",
                    say.temperature(logged),
                    say.temperature(self.planned),
                    say.temperature(self.target)
                ),
                "the first minutes of the mash decide how the beer ferments",
                if logged < self.planned {
                    "heat the mash gently while stirring, or add boiling water a little at a time"
                } else {
                    "stir to cool, or add cold water a little at a time, at once: enzymes are lost within minutes"
                },
            ),
            None => Message::new(
                format!(
                    "the strike water would have to be {}, water boils at {} here",
                    say.temperature(self.planned),
                    say.temperature(self.boiling)
                ),
                "the first rest cannot be reached with this little water",
                "take more mash liquor, warm the tun and the grain, or start at a cooler rest",
            ),
        }
    }
}
