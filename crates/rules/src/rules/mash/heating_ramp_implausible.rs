//! Two rests of a log between which the mash warmed faster than any heater allows.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("heating-ramp-implausible", Group::Mash, Level::Warning, Check::Log(check), DOC).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("heating-rate-hint", 1.5, "C/min", "how fast a mash warms", "common practice, no source");
static WARNING: Limit = Limit::at_most("heating-rate", 2.0, "C/min", "how fast a mash warms", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Two rests of a log between which the mash warmed faster than any heater allows.",
    matters: "One of the two times or temperatures is wrong, or the thermometer showed the heater and not the \
              mash.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
  rest      76 C for 10 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66.2 C
  10:06   rest      66 C for 60 min
  11:07   rest      76 C for 10 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
  rest      76 C for 10 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66.2 C
  10:06   rest      66 C for 60 min
  11:17   rest      76 C for 10 min"#,
    limits: "The ramp is the time between two `rest` entries less the time written for the first. Silent where \
              the next rest is reached by infusion or decoction.",
    sources: "Common practice, no source: 1 C a minute is brisk for a mash.",
};

struct TooFast {
    from: f64,
    to: f64,
    minutes: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let heated = cx.plan.is_some_and(|plan| {
        !plan.recipe.mash.steps.iter().any(|step| {
            matches!(step, MashStep::Decoct { .. } | MashStep::Infuse { .. })
                || matches!(step, MashStep::Rest { by: Some(Method::Infusion | Method::Decoction | Method::Cook), .. })
        }) && !matches!(plan.recipe.mash.by, Some(Method::Infusion | Method::Decoction))
    });
    if !heated {
        return;
    }
    let mut before: Option<(usize, f64, f64)> = None;
    for (at, entry) in cx.log.entries.iter().enumerate() {
        let Event::Rest(celsius, minutes) = entry.event else { continue };
        if let Some((first, from, held)) = before
            && let Some(between) = cx.minutes(first, at)
            && celsius - from > 2.0
        {
            let ramp = (between - held).max(0.0);
            // Times are logged to the minute.
            let rate = (celsius - from) / (ramp + 1.0);
            let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
            if let Some(grade) = Grade::above(rate, || 0.0, &bounds) {
                hits.log(grade, entry.place, TooFast { from, to: celsius, minutes: ramp });
            }
        }
        before = minutes.map(|minutes| (at, celsius, minutes));
    }
}

impl Detail for TooFast {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "from {} to {} in {}",
                say.temperature(self.from),
                say.temperature(self.to),
                say.time(self.minutes)
            ),
            "no heater warms a mash evenly that fast",
            format!(
                "check the times; at {} a minute it takes about {}. Stir and measure in the middle of the mash",
                say.step(1.0),
                say.time(self.to - self.from)
            ),
        )
    }
}
