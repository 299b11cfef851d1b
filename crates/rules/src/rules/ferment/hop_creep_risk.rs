//! A generous dry hop shortly before the beer is closed into bottles or cans.

use recipe::Container;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("hop-creep-risk", Group::Ferment, Level::Warning, Check::Part(plan), DOC).whole(&[BlockKind::Ferment, BlockKind::Package]).safety().limits(&[&DOSE, &DAYS]);

static DOSE: Limit = Limit::at_most("hop-creep-dose", 2.0, "g/L", "dry hops from which creep is looked at", "Kirkpatrick and Shellhammer 2018");
static DAYS: Limit = Limit::at_least("hop-creep-days", 3.0, "d", "dry hop to closed container", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A generous dry hop shortly before the beer is closed into bottles or cans.",
    matters: "Hops carry enzymes that make new sugar. With live yeast it ferments in the container: up to several \
              volumes of CO2 more than planned.",
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
  hold      19 C for 10 d
  80 g      Fuggle on day 8 for 2 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
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
  hold      19 C for 12 d
  80 g      Fuggle on day 6 for 3 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
    limits: "A plan is judged by the days between the dry hop and its end; a log by `packaged-before-stable`, \
              which asks for gravities 72 h apart after dry hops.",
    sources: "Kirkpatrick and Shellhammer 2018 (abstract); Kirkendall et al. 2018, second-hand: 10 g/L at 20 C \
              took 1 °P in five days, 2 °P in forty.",
};

struct Creep {
    grams_per_litre: f64,
    days: f64,
    hop: Place,
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    let Some(package) = part.package.lines.iter().find(|line| matches!(line.container, Container::Bottle | Container::Can)) else {
        return;
    };
    let Some(litres) = cx.figure(FigureId::BatchVolume).filter(|litres| *litres > 0.0) else { return };
    let mut total = 0.0;
    for step in &part.ferment.steps {
        let Some(time) = &step.time else { return };
        if step.until.is_some() {
            return;
        }
        total += (time.value + step.over.as_ref().map_or(0.0, |over| over.value)) / 1440.0;
    }
    for line in &part.ferment.additions {
        if line.thing.kind() != Some(BlockKind::Hop) {
            continue;
        }
        let (Some(kg), recipe::During::Day(day, last)) = (look::kg(&line.amount), line.during) else { continue };
        let by_litre = kg * 1000.0 / litres;
        let days = total - f64::from(last.unwrap_or(day));
        if by_litre >= cx.limit(&DOSE) && days < cx.limit(&DAYS) && total > 0.0 {
            let detail = Creep { grams_per_litre: by_litre, days: days.max(0.0), hop: line.place };
            hits.recipe(Grade::WARNING, package.place, detail);
            return;
        }
    }
}

impl Detail for Creep {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{:.1} g/L of dry hops, and the beer is closed {} later", self.grams_per_litre, say.days(self.days)),
            "hops make new sugar in the beer; it ferments in the container and bottles burst",
            "leave three days or more warm on the yeast, and close when two gravities 72 h apart are the same",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.hop), "the dry hop".into())]
    }
}
