//! A mash pH, predicted or measured, outside what mashes work best at.

use figures::{MashCorrection, Remedy};

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mash-ph-off", Group::Mash, Level::Error, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor]).limits(&[&HINT, &WARNING, &ERROR]);

static HINT: Limit = Limit::within("mash-ph", 5.2, 5.6, "", "mash pH at room temperature", "BRI Table 4.9");
static WARNING: Limit = Limit::within("mash-ph-warning", 5.1, 5.8, "", "mash pH at room temperature", "BRI Table 4.9");
static ERROR: Limit = Limit::at_least("mash-ph-error", 4.7, "", "mash pH at room temperature", "BRI Table 4.9: unfilterable below");

const DOC: Doc = Doc {
    catches: "A mash pH, predicted or measured, outside what mashes work best at.",
    matters: "Conversion, run-off, hop bitterness and the taste of the beer all depend on it; below 4.7 a mash \
              hardly filters, above 5.8 the beer turns harsh.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.92 at 20 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.42 at 20 C"#,
    limits: "All at room temperature: a hot sample reads about 0.35 lower at 65 C. Of a log the last reading of \
              the mash counts. A prediction is uncertain by about 0.1, so it is lowered by one level near a limit.",
    sources: "Briggs, Boulton, Brookes, Stevens, Brewing: Science and Practice, 2004, Table 4.9, second-hand, for \
              the optima.",
};

struct Off {
    ph: f64,
    measured: bool,
    /// What would put a measured mash right.
    correction: Option<MashCorrection>,
}

fn grade(limits: &crate::limits::Limits, ph: f64, spread: impl FnOnce() -> f64) -> Option<Grade> {
    let bands = [
        (limits.band(&HINT), Severity::Hint),
        (limits.band(&WARNING), Severity::Warning),
        (limits.band(&ERROR), Severity::Error),
    ];
    Grade::outside(ph, spread, &bands)
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    // The model wants the water; a guess at it is worth no finding.
    if cx.recipe.liquor.source.is_none() {
        return;
    }
    let Some(ph) = cx.figure(FigureId::MashPh) else { return };
    if let Some(grade) = grade(cx.limits, ph, || cx.spread(FigureId::MashPh).max(MODEL)) {
        let place = cx.recipe.mash.place.or(cx.recipe.liquor_place).unwrap_or(cx.recipe.name_place);
        hits.recipe(grade, place, Off { ph, measured: false, correction: None });
    }
}

/// What the model is uncertain by at the least.
const MODEL: f64 = 0.1;

fn log(cx: &LogCx, hits: &mut Hits) {
    let last = cx.last(|event| matches!(event, Event::Ph { of: recipe::PhOf::Mash, .. }));
    let Some((at, entry)) = last.and_then(|at| Some((at, cx.log.entries.get(at)?))) else { return };
    let Event::Ph { value, sample, .. } = entry.event else { return };
    // A hot sample has a rule of its own.
    if sample.is_some_and(|celsius| celsius > 40.0) {
        return;
    }
    if let Some(grade) = grade(cx.limits, value, || 0.0) {
        let correction = cx.actual.mash_correction(at).ok();
        hits.log(grade, entry.place, Off { ph: value, measured: true, correction });
    }
}

impl Detail for Off {
    fn message(&self, say: Say) -> Message {
        let high = self.ph > 5.4;
        let dose = self.correction.as_ref().and_then(|found| {
            let dose = match &found.remedy {
                Remedy::Acid { name, strength, millilitres } => {
                    format!("{} of {name} of {:.0} %", say.millilitres(millilitres / 1000.0), strength * 100.0)
                }
                Remedy::BakingSoda(grams) => format!("{} of baking soda", say.mass(grams / 1000.0)),
                Remedy::Nothing => return None,
            };
            Some(format!(
                "{dose} bring it to {}: give two thirds, stir, wait ten minutes and read a cooled sample again",
                say.ph(found.aim)
            ))
        });
        Message::new(
            format!(
                "the mash is {} at pH {} (room temperature)",
                if self.measured { "measured" } else { "predicted" },
                say.ph(self.ph)
            ),
            if high {
                "above 5.6 conversion slows and the beer turns harsh"
            } else {
                "below 5.2 the mash filters badly and the beer turns thin and sharp"
            },
            dose.unwrap_or_else(|| match (self.measured, high) {
                (false, true) => "add acid or calcium to the mash: `add lactic acid [88 %] to mash to reach ph 5.4` computes how much".into(),
                (false, false) => "leave acid out, or take water with more alkalinity".into(),
                (true, true) => "add acid in small steps, stir, wait ten minutes and read again on a cooled sample".into(),
                (true, false) => "add baking soda in small steps, stir, wait ten minutes and read again on a cooled sample".into(),
            }),
        )
    }
}
