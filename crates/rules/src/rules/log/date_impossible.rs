//! A date that does not exist, or dates that contradict one another.

use syntax::ast::Date;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("date-impossible", Group::Log, Level::Error, Check::Log(check), DOC).root();

const DOC: Doc = Doc {
    catches: "A date that does not exist, or dates that contradict one another.",
    matters: "Ages, fermentation times and the order of a log are computed from dates.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
gyle 1 "Harbour Mild" on 2026-02-30
  10:00   boil start"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
gyle 1 "Harbour Mild" on 2026-02-28
  10:00   boil start"#,
    limits: "The calendar, leap years respected, and the order of brewing, packaging and tasting.",
    sources: "The language itself; no outside source.",
};

struct TooEarly {
    tasted: Date,
    event: &'static str,
    on: Date,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(brewed) = cx.log.date else { return };
    // The day the beer was closed in, else the last day the log tells of.
    let day_of = |entry: &recipe::LogEntry| Some(entry.moment?.day);
    let packaged = cx.log.entries.iter().filter(|entry| matches!(entry.event, Event::Package { .. })).find_map(day_of);
    let (event, day) = match packaged {
        Some(day) => ("packaged", day),
        None => ("brewed", 0),
    };
    let Some(on) = recipe::later(brewed, day) else { return };
    for tasting in &cx.log.tastings {
        let Some(tasted) = tasting.date else { continue };
        if recipe::days_between(on, tasted).is_some_and(|days| days < 0) {
            hits.log(Grade::ERROR, tasting.place, TooEarly { tasted, event, on });
        }
    }
}

impl Detail for TooEarly {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("the beer was tasted on {}, before it was {} on {}", self.tasted, self.event, self.on),
            "one of the dates has a wrong year, month or day, and the age of the beer is counted from them",
            "mend the date that is wrong",
        )
    }
}
