//! A rest that the water added for it cannot reach: it is not hotter than the rest, or the tun cannot hold it.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("infusion-step-unreachable", Group::Mash, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor]).limits(&[&FULL]);

static FULL: Limit = Limit::at_most("infusion-tun-full", 97.0, "%", "how full the tun may be after an infusion", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A rest that the water added for it cannot reach: it is not hotter than the rest, or the tun cannot \
              hold it.",
    matters: "The step will come out cooler than planned, or the mash will run over.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed [tun capacity 17 L]
grist
  4 kg      pale ale malt
liquor
  mash      12 L
mash by infusion
  rest      50 C for 10 min
  rest      66 C for 60 min

brewhouse shed
  mash efficiency     75 %"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed [tun capacity 28 L]
grist
  4 kg      pale ale malt
liquor
  mash      12 L
mash by infusion
  rest      50 C for 10 min
  rest      66 C for 60 min

brewhouse shed
  mash efficiency     75 %"#,
    limits: "The water is taken two degrees below the boiling point here. Silent where the tun is not known and \
              the water is hot enough.",
    sources: "Heat balance, computed.",
};

struct Unreachable {
    from: f64,
    to: f64,
    water: Option<f64>,
    volume: Option<f64>,
    filled: f64,
    tun: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Ok(steps) = cx.calc.mash_steps() else { return };
    let tun = look::house(cx.recipe, Keyword::TunCapacity);
    for step in steps.iter().skip(1).filter(|step| step.by == Method::Infusion && step.to > step.from) {
        let cannot = step.volume.is_none();
        let full = tun.is_some_and(|tun| step.mash_volume > cx.limit(&FULL) / 100.0 * tun);
        if cannot || full {
            hits.recipe(
                Grade::ERROR,
                step.place,
                Unreachable {
                    from: step.from,
                    to: step.to,
                    water: step.temperature,
                    volume: step.volume,
                    filled: step.mash_volume,
                    tun,
                },
            );
            return;
        }
    }
}

impl Detail for Unreachable {
    fn message(&self, say: Say) -> Message {
        match (self.volume, self.tun) {
            (Some(volume), Some(tun)) => Message::new(
                format!(
                    "from {} to {} takes {} of water, and then the mash fills {} of a tun of {}",
                    say.temperature(self.from),
                    say.temperature(self.to),
                    say.volume(volume),
                    say.volume(self.filled),
                    say.volume(tun)
                ),
                "a full tun runs over with hot mash, which scalds",
                "mash in thicker, heat the step or draw a decoction instead, or brew less",
            ),
            _ => Message::new(
                format!(
                    "from {} to {} cannot be reached with water{}",
                    say.temperature(self.from),
                    say.temperature(self.to),
                    self.water.map_or_else(String::new, |water| format!(" at {}", say.temperature(water)))
                ),
                "water has to be clearly hotter than the rest it is to reach",
                "heat the step, or draw a decoction: `by direct heat`, `by decoction`",
            ),
        }
    }
}
