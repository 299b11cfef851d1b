//! A refractometer reading after pitching, taken for a gravity.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("refractometer-needs-alcohol-correction", Group::Log, Level::Error, Check::Log(check), DOC).root();


const DOC: Doc = Doc {
    catches: "A refractometer reading after pitching, taken for a gravity.",
    matters: "Alcohol bends light: the instrument reads far too high in beer. A formula can only estimate the \
              gravity.",
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
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 9   fg        5.8 Bx [refractometer]"#,
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
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 9   fg        1.013"#,
    limits: "A hint; a warning for `fg` and for the last reading before the package, which the strength of the beer is computed from. Whether beer is fit to \
              be closed in is judged by `packaged-before-stable`.",
    sources: "Terrill 2011 for the estimate.",
};

struct Refractometer {
    estimate: f64,
    last: bool,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(pitched) = cx.actual.pitched_at() else { return };
    let gravities = cx.actual.gravities();
    let closed = cx.first(|event| matches!(event, Event::Package { .. }));
    // What the beer is closed in by, the other readings only show where it goes.
    let final_reading = closed.and_then(|at| gravities.iter().rev().find(|gravity| gravity.entry < at)).map(|gravity| gravity.entry);
    for gravity in gravities {
        let Some(entry) = cx.log.entries.get(gravity.entry) else { continue };
        if gravity.entry <= pitched || !gravity.estimated {
            continue;
        }
        let last = matches!(entry.event, Event::Fg(_)) || final_reading == Some(gravity.entry);
        let grade = if last { Grade::WARNING } else { Grade::HINT };
        hits.log(grade, gravity.place, Refractometer { estimate: gravity.sg, last });
    }
}

impl Detail for Refractometer {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the refractometer's reading stands for about {} once alcohol is reckoned in", say.gravity(self.estimate)),
            if self.last { "alcohol and attenuation computed from it are estimates" } else { "it shows a trend, and no gravity" },
            "read the final gravity with a hydrometer",
        )
    }
}
