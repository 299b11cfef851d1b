//! Readings that a careful brewer takes and the log has none of, once the brew is over.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("stage-reading-missing", Group::Log, Level::Hint, Check::Log(check), DOC);


const DOC: Doc = Doc {
    catches: "Readings that a careful brewer takes and the log has none of, once the brew is over.",
    matters: "Efficiency, attenuation and the next brew are computed from them, and they cannot be taken \
              afterwards.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  14:00   pitch     200 billion cells at 18 C
  day 8   gravity   1.013
  day 11  gravity   1.013
  day 12  package   18 L keg 2.4 vol at 5 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.42 at 20 C
  11:40   pre-boil  22.4 L at 1.040
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 1   temp      18.5 C
  day 8   gravity   1.013
  day 11  gravity   1.013
  day 12  package   18 L keg 2.4 vol at 5 C"#,
    limits: "One hint a log, from a package or a day after pitching on; none where no brew day is logged at all. \
              Of temperatures of the fermentation one is enough.",
    sources: "Common practice, no source.",
};

struct Missing {
    readings: Vec<&'static str>,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let log = cx.log;
    if cx.actual.pitched_at().is_none() {
        return;
    }
    let last = log.entries.len().saturating_sub(1);
    let packaged = cx.first(|event| matches!(event, Event::Package { .. }));
    if packaged.is_none() && cx.days_since_pitch(last).is_none_or(|days| days < 1.0) {
        return;
    }
    let has = |wanted: fn(&Event) -> bool| cx.first(wanted).is_some();
    // A log of the cellar alone is not asked for the brew day.
    if !has(|event| matches!(event, Event::MashIn(_) | Event::BoilStart | Event::Flameout | Event::BoilEnd | Event::PreBoil(..))) {
        return;
    }
    let mut readings = Vec::new();
    let mashed = has(|event| matches!(event, Event::MashIn(_) | Event::Rest(..) | Event::MashOut(_)));
    if mashed && !has(|event| matches!(event, Event::Ph { of: recipe::PhOf::Mash, .. })) {
        readings.push("mash pH");
    }
    if !has(|event| matches!(event, Event::PreBoil(_, Some(_)))) {
        readings.push("volume and gravity before the boil");
    }
    if !has(|event| matches!(event, Event::Og(..))) {
        readings.push("original gravity");
    } else if cx.actual.fermenter_volume().is_err() {
        readings.push("volume in the fermenter");
    }
    if packaged.is_some() && !has(|event| matches!(event, Event::Temp(_))) {
        readings.push("temperature of the fermentation");
    }
    if readings.is_empty() {
        return;
    }
    hits.log(Grade::HINT, log.name_place, Missing { readings });
}

impl Detail for Missing {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("not logged: {}", listed(&self.readings)),
            "efficiency, attenuation and the next brew are computed from such readings",
            "if they stand in another notebook, copy them here; otherwise put them on the list for the next brew day",
        )
    }
}
