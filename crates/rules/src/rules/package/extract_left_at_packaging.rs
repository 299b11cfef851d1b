//! Beer closed in at a gravity clearly above the end expected.

use recipe::Container;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("extract-left-at-packaging", Group::Package, Level::Error, Check::Log(check), DOC).safety().limits(&[&WARNING, &ERROR]).whole(&[BlockKind::Grist, BlockKind::Recipe, BlockKind::Pitch]);

static WARNING: Limit = Limit::at_most("extract-left", 0.003, "sg", "gravity above the expected end", "three points of attenuation in a beer of 1.045; common practice");
static ERROR: Limit = Limit::at_most("extract-left-error", 0.004, "sg", "gravity above the expected end", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Beer closed in at a gravity clearly above the end expected.",
    matters: "If the yeast wakes up, each 0.001 adds half a volume of CO2 to the container.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [76 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 7   gravity   1.015
  day 10  gravity   1.015
  day 11  package   18 L bottle 2.2 vol"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [76 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 7   gravity   1.011
  day 10  gravity   1.011
  day 11  package   18 L bottle 2.2 vol"#,
    limits: "Bottles and cans; a keg is a warning at the most. The end expected comes from the yeast, which is \
              known to three points or so.",
    sources: "Stoichiometry of fermentation: 0.49 vol for 0.001.",
};

struct Left {
    sg: f64,
    end: f64,
    volumes: f64,
    closed: bool,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let (Some(end), Some(pitched)) = (plan.figure(FigureId::Fg), cx.actual.pitched_at()) else { return };
    let packaged = cx.log.entries.iter().enumerate().find_map(|(at, entry)| match &entry.event {
        Event::Package { container: Some(container), .. } => Some((at, *container, entry.place)),
        _ => None,
    });
    let Some((at, container, place)) = packaged else { return };
    let gravities = cx.actual.gravities();
    let Some(last) = gravities.iter().rev().find(|gravity| gravity.entry > pitched && gravity.entry < at) else { return };
    let left = last.sg - end;
    let closed = matches!(container, Container::Bottle | Container::Can);
    let grade = if left > cx.limit(&ERROR) {
        // A refractometer's last reading is an estimate, but nearer than a gravity of days before.
        Some(if closed && !last.estimated { Grade::ERROR } else { Grade::WARNING })
    } else if left > cx.limit(&WARNING) && closed {
        Some(Grade::WARNING)
    } else {
        None
    };
    if let Some(grade) = grade {
        let volumes = plan.calc.carbonation_of_points(last.sg, end);
        hits.log(grade, place, Left { sg: last.sg, end, volumes, closed });
    }
}

impl Detail for Left {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the beer was closed in at {}, {} is expected at the end", say.gravity(self.sg), say.gravity(self.end)),
            if self.closed {
                format!("if it wakes up it makes about {:.1} vol more, and bottles burst", self.volumes)
            } else {
                format!("if it wakes up it makes about {:.1} vol more", self.volumes)
            },
            if self.closed {
                "keep the bottles cold and covered, away from people, open one every few days, and vent or empty them if they gush"
            } else {
                "watch the pressure, and keep a working relief valve on the keg"
            },
        )
    }
}
