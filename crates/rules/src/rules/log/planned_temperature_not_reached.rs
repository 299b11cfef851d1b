//! A planned fermentation temperature that the log never shows.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("planned-temperature-not-reached", Group::Log, Level::Warning, Check::Log(check), DOC)
        .whole(&[BlockKind::Ferment])
        .limits(&[&NEAR]);

static NEAR: Limit = Limit::at_most(
    "planned-temperature-near",
    1.0,
    "K",
    "how near the nearest reading has to come",
    "thermometer and place in the fermenter; common practice, no source",
);

const DOC: Doc = Doc {
    catches: "A `hold`, `raise` or `cool` of the plan that is over by the dates of the log, with temperatures logged in its time, none of \
              them near the one planned.",
    matters: "A rest that was planned and not reached did not do its work: a diacetyl rest too cold leaves butter, a main fermentation too cold \
              leaves sugar.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
pitch
  170 billion cells  English ale yeast [72 %]
ferment
  hold      18 C for 4 d
  raise     to 21 C for 3 d
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     170 billion cells at 18 C
  day 1   temp      18 C
  day 5   temp      18.5 C
  day 9   gravity   1.012"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
pitch
  170 billion cells  English ale yeast [72 %]
ferment
  hold      18 C for 4 d
  raise     to 21 C for 3 d
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     170 billion cells at 18 C
  day 1   temp      18 C
  day 5   temp      20.8 C
  day 9   gravity   1.012"#,
    limits: "Steps that end at a gravity end where the log shows it; what follows one whose end is not known is not compared.",
    sources: "The limit is common practice, no source.",
};

struct NotReached {
    planned: f64,
    from: f64,
    nearest: f64,
    kind: FermentKind,
    step: Place,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let Some(pitched) = cx.actual.pitched_at() else { return };
    let last = cx.log.entries.len().saturating_sub(1);
    let Some(now) = cx.days_since_pitch(last) else { return };
    let mut start = 0.0;
    for step in &plan.part().ferment.steps {
        let over = step.over.as_ref().map_or(0.0, |over| over.value / 1440.0);
        let held = step.time.as_ref().map(|time| time.value / 1440.0);
        let until = step.until.as_ref().and_then(|until| {
            let wanted = crate::expected::bound(FigureId::Fg, until.value)?;
            let reached = cx.actual.gravities().into_iter().find(|gravity| gravity.entry > pitched && gravity.sg <= wanted)?;
            cx.days_since_pitch(reached.entry)
        });
        let end = match (held, until) {
            (Some(days), _) => start + over + days,
            (None, Some(day)) => day,
            // Where the step ends is not known, and so neither is where the next begins.
            (None, None) => return,
        };
        if let Some(temperature) = &step.temperature
            && step.kind != FermentKind::FreeRise
            && end <= now
        {
            let readings = cx.log.entries.iter().enumerate().filter_map(|(at, entry)| match entry.event {
                Event::Temp(celsius) => {
                    let day = cx.days_since_pitch(at)?;
                    (day >= start + over && day <= end).then_some((celsius, entry.place))
                }
                _ => None,
            });
            let off = |celsius: f64| (celsius - temperature.value).abs();
            let nearest = readings.min_by(|a, b| off(a.0).total_cmp(&off(b.0)));
            // A range planned is as wide as it says.
            let allowed = cx.limit(&NEAR).max(temperature.spread);
            if let Some((celsius, place)) = nearest
                && off(celsius) > allowed + 1e-9
            {
                hits.log(
                    Grade::WARNING,
                    place,
                    NotReached {
                        planned: temperature.value,
                        from: start,
                        nearest: celsius,
                        kind: step.kind,
                        step: step.place,
                    },
                );
            }
        }
        start = end;
    }
}

impl Detail for NotReached {
    fn message(&self, say: Say) -> Message {
        let extreme = if self.nearest < self.planned { "warmest" } else { "coldest" };
        let remedy = match (self.kind, self.nearest < self.planned) {
            (FermentKind::Raise, true) => {
                "warm it now if the yeast is still at work, and taste for butter before cooling or packaging"
            }
            (_, true) => "warm it now if the yeast is still at work, and read the gravity again after two days",
            (FermentKind::Cool, false) => "cool further before packaging, or expect more yeast and haze in the package",
            (_, false) => "note what it did to the flavour, and cool earlier next time",
        };
        Message::new(
            format!(
                "{} was planned from day {:.0}, the {extreme} reading is {}",
                say.temperature(self.planned),
                self.from,
                say.temperature(self.nearest)
            ),
            "the step did not do what it was planned for",
            remedy,
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.step), "the step planned".into())]
    }
}
