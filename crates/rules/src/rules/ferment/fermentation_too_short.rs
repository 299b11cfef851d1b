//! A beer packaged within a few days of pitching.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("fermentation-too-short", Group::Ferment, Level::Warning, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Ferment, BlockKind::Package]).limits(&[&ALE, &STRONG, &LAGER]);

static ALE: Limit = Limit::at_least("ferment-days", 5.0, "d", "pitching to package of an ale", "common practice, no source");
static STRONG: Limit = Limit::at_least("ferment-days-strong", 10.0, "d", "pitching to package above 1.070", "common practice, no source");
static LAGER: Limit = Limit::at_least("ferment-days-lager", 14.0, "d", "pitching to package of a lager", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A beer packaged within a few days of pitching.",
    matters: "Yeast that has not finished goes on in the package, and has had no time to clean up.",
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
  hold      19 C for 3 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
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
  hold      19 C for 10 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
    limits: "Five days for an ale, ten above 1.070, fourteen for a lager. Steps that end at a gravity count as \
              long enough; a log is judged by its gravities instead where it has two.",
    sources: "Common practice, no source.",
};

struct Short {
    days: f64,
    least: f64,
}

fn least(cx: &RecipeCx) -> f64 {
    if look::yeast_is(cx, "lager") {
        cx.limit(&LAGER)
    } else if cx.figure(FigureId::Og).is_some_and(|og| og > 1.070) {
        cx.limit(&STRONG)
    } else {
        cx.limit(&ALE)
    }
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    let Some(package) = part.package.lines.first() else { return };
    if part.pitch.lines.is_empty() || part.ferment.steps.is_empty() {
        return;
    }
    let mut minutes = 0.0;
    for step in &part.ferment.steps {
        let Some(time) = &step.time else { return };
        if step.until.is_some() {
            return;
        }
        minutes += time.value + step.over.as_ref().map_or(0.0, |over| over.value);
    }
    if part.ferment.until.is_some() {
        return;
    }
    let (days, least) = (minutes / 1440.0, least(cx));
    if days < least {
        hits.recipe(Grade::WARNING, package.place, Short { days, least });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let Some(at) = cx.first(|event| matches!(event, Event::Package { .. })) else { return };
    let (Some(days), Some(entry)) = (cx.days_since_pitch(at), cx.log.entries.get(at)) else { return };
    let pitched = cx.actual.pitched_at().unwrap_or(0);
    let readings = cx.actual.gravities().iter().filter(|gravity| gravity.entry > pitched && gravity.entry < at).count();
    let least = least(plan);
    if days < least && readings < 2 {
        hits.log(Grade::WARNING, entry.place, Short { days, least });
    }
}

impl Detail for Short {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("the beer is packaged {:.0} days after pitching, {:.0} are usual at the least", self.days, self.least),
            "yeast that has not finished goes on in the package",
            "wait until two gravities, two days apart, are the same",
        )
    }
}
