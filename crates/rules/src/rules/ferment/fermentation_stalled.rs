//! A gravity that stands still well above the end expected, or does not move after pitching.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("fermentation-stalled", Group::Ferment, Level::Warning, Check::Log(check), DOC).limits(&[&HOURS, &LEFT]);

static HOURS: Limit = Limit::at_least("stall-hours", 48.0, "h", "how long the gravity stands still", "common practice, no source");
static LEFT: Limit = Limit::at_least("stall-points", 0.003, "sg", "gravity left above the expected end", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A gravity that stands still well above the end expected, or does not move after pitching.",
    matters: "The sooner a stuck beer is warmed and roused, the likelier it finishes; packaged as it is, it wakes \
              up in the bottle.",
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
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 5   gravity   1.024
  day 8   gravity   1.024"#,
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
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 5   gravity   1.018
  day 8   gravity   1.013"#,
    limits: "Silent once the log has a package: then other checks speak.",
    sources: "Common practice, no source.",
};

enum Stalled {
    Stuck { sg: f64, end: f64, days: f64 },
    NoStart { sg: f64, hours: f64 },
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(pitched) = cx.actual.pitched_at() else { return };
    if cx.first(|event| matches!(event, Event::Package { .. } | Event::Fg(_))).is_some() {
        return;
    }
    let gravities = cx.actual.gravities();
    let after: Vec<_> = gravities.iter().filter(|gravity| gravity.entry > pitched && !gravity.estimated).collect();
    let Some(last) = after.last() else { return };
    let lager = cx.plan.is_some_and(|plan| look::yeast_is(plan, "lager"));
    let start = if lager { 72.0 } else { 48.0 };
    if let (Ok(og), Some(days)) = (cx.actual.value(FigureId::ActualOg), cx.days_since_pitch(last.entry)) {
        let hours = days * 24.0;
        if hours >= start && og - last.sg < 0.003 {
            hits.log(Grade::WARNING, last.place, Stalled::NoStart { sg: last.sg, hours });
            return;
        }
    }
    let Some(end) = cx.plan.and_then(|plan| plan.figure(FigureId::Fg)) else { return };
    let mut first = *last;
    for reading in after.iter().rev() {
        if (reading.sg - last.sg).abs() > 0.001_05 {
            break;
        }
        first = reading;
    }
    let Some(days) = cx.days(first.entry, last.entry) else { return };
    if days * 24.0 >= cx.limit(&HOURS) && last.sg - end >= cx.limit(&LEFT) {
        hits.log(Grade::WARNING, last.place, Stalled::Stuck { sg: last.sg, end, days });
    }
}

impl Detail for Stalled {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Stuck { sg, end, days } => Message::new(
                format!("the gravity has stood at {} for {:.0} days, {} is expected", say.gravity(*sg), days, say.gravity(*end)),
                "packaged as it is, the beer wakes up in the container",
                format!("warm it by {}, rouse the yeast, and if nothing moves in three days pitch fresh yeast that is at work", say.steps(2.0, 3.0)),
            ),
            Self::NoStart { sg, hours } => Message::new(
                format!("the gravity is still {} {:.0} h after pitching", say.gravity(*sg), hours),
                "wort without working yeast is open to whatever falls in",
                "check the temperature, warm it to the upper end of the yeast's range, and pitch again if nothing stirs within half a day",
            ),
        }
    }
}
