//! A fermentation that ran clearly warmer or colder than planned.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("ferment-temp-excursion", Group::Ferment, Level::Warning, Check::Log(check), DOC).limits(&[&WARNING]);

static WARNING: Limit = Limit::at_most("ferment-temperature-plan", 2.0, "K", "how far the beer may be from the plan", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A fermentation that ran clearly warmer or colder than planned.",
    matters: "In the first days two degrees change the flavour of the beer; later they change it little.",
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
  14:00   pitch     200 billion cells at 18 C
  day 1 09:00  temp  21.6 C
  day 1 18:00  temp  21.5 C"#,
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
  14:00   pitch     200 billion cells at 18 C
  day 1 09:00  temp  19.5 C
  day 1 18:00  temp  19 C"#,
    limits: "Two readings in a row, or one, up to three quarters of the expected attenuation; a single reading is \
              a hint. Where the temperature is outside what the yeast likes as well, `ferment-temp-outside-strain` \
              says so.",
    sources: "Common practice, no source.",
};

struct Excursion {
    value: f64,
    planned: f64,
    step: Place,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let Some(pitched) = cx.actual.pitched_at() else { return };
    let Some(first) = plan.part().ferment.steps.first() else { return };
    let (FermentKind::Hold, Some(held)) = (first.kind, &first.temperature) else { return };
    // The first hold, as long as it lasts, and no longer than it matters.
    let days = first.time.as_ref().map(|time| time.value / 1440.0);
    let end = cx.ferment_end(0.75);
    let allowed = |limit: &Limit| cx.limit(limit) + held.spread;
    let mut before = false;
    for (at, entry) in cx.log.entries.iter().enumerate().skip(pitched + 1) {
        let Event::Temp(celsius) = entry.event else { continue };
        let Some(day) = cx.days_since_pitch(at) else { continue };
        if days.is_some_and(|days| day > days) || end.is_some_and(|end| at >= end) || (end.is_none() && day > 4.0) {
            break;
        }
        let off = (celsius - held.value).abs();
        if off > allowed(&WARNING) + 1e-9 {
            let grade = if before { Grade::WARNING } else { Grade::HINT };
            if before {
                hits.log(grade, entry.place, Excursion { value: celsius, planned: held.value, step: first.place });
                return;
            }
            before = true;
        } else {
            before = false;
        }
    }
}

impl Detail for Excursion {
    fn message(&self, say: Say) -> Message {
        let warm = self.value > self.planned;
        Message::new(
            format!("the beer was at {} a second time, {} is planned", say.temperature(self.value), say.temperature(self.planned)),
            if warm { "warm first days bring esters and fusels" } else { "cold first days slow the yeast down" },
            if warm { format!("cool gently: a wet towel and a fan take off {}", say.steps(2.0, 3.0)) } else { "bring it somewhere warmer, and wrap it".into() },
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.step), "the step planned".into())]
    }
}
