//! A gravity that rises without anything added, or falls faster than yeast can.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("gravity-trend-implausible", Group::Ferment, Level::Warning, Check::Log(check), DOC).absorbs(&["attenuation-implausible", "attenuation-outside-strain"]).limits(&[&RISE, &FALL]);

static RISE: Limit = Limit::at_most("gravity-rise", 0.002, "sg", "rise between two readings", "a hydrometer is read to 0.001");
static FALL: Limit = Limit::at_most("gravity-fall", 0.03, "sg", "fall in a day", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A gravity that rises without anything added, or falls faster than yeast can.",
    matters: "One of the readings is wrong: stratified beer, bubbles on the hydrometer, a warm sample.",
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
  day 3   gravity   1.016
  day 6   gravity   1.021"#,
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
  day 3   gravity   1.021
  day 6   gravity   1.016"#,
    limits: "A rise within two points is noise. Sugar, fruit or another beer logged between the two explains it.",
    sources: "Common practice, no source.",
};

struct Trend {
    first: (f64, Place),
    second: f64,
    rise: bool,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(pitched) = cx.actual.pitched_at() else { return };
    let gravities = cx.actual.gravities();
    let after: Vec<_> = gravities.iter().filter(|gravity| gravity.entry > pitched && !gravity.estimated).collect();
    for pair in after.windows(2) {
        let [first, second] = pair else { continue };
        let added = cx.log.entries.get(first.entry..second.entry).unwrap_or(&[]).iter().any(|entry| {
            matches!(&entry.event, Event::Add { thing, .. } if thing.kind() != Some(BlockKind::Hop))
        });
        if added {
            continue;
        }
        let rise = second.sg - first.sg;
        if rise > cx.limit(&RISE) + 1e-9 {
            hits.log(Grade::WARNING, second.place, Trend { first: (first.sg, first.place), second: second.sg, rise: true });
        } else if let Some(days) = cx.days(first.entry, second.entry).filter(|days| *days > 0.0)
            && -rise / days.max(0.5) > cx.limit(&FALL)
        {
            hits.log(Grade::HINT, second.place, Trend { first: (first.sg, first.place), second: second.sg, rise: false });
        }
    }
}

impl Detail for Trend {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "the gravity {} from {} to {}",
                if self.rise { "rose" } else { "fell" },
                say.gravity(self.first.0),
                say.gravity(self.second)
            ),
            if self.rise { "nothing was added that could raise it, so a reading is wrong" } else { "yeast hardly works that fast, so a reading may be wrong" },
            format!("read again: degas the sample, bring it to {}, and spin the hydrometer", say.temperature(20.0)),
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Log(self.first.1), "the reading before".into())]
    }
}
