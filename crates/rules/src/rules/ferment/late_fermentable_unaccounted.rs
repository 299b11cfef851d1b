//! Sugar, honey or fruit into the fermenter shortly before the beer is closed in, or fruit whose sugar is not known.

use recipe::Container;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("late-fermentable-unaccounted", Group::Ferment, Level::Error, Check::Part(check), DOC).whole(&[BlockKind::Ferment, BlockKind::Package]).safety().limits(&[&DAYS, &FRUIT]);

static DAYS: Limit = Limit::at_least("late-sugar-days", 3.0, "d", "sugar to closed container", "common practice, no source");
static FRUIT: Limit = Limit::at_most("fruit-unknown", 100.0, "g/L", "fruit without a sugar content", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Sugar, honey or fruit into the fermenter shortly before the beer is closed in, or fruit whose sugar \
              is not known.",
    matters: "It ferments in the closed container, or in the figures not at all.",
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
  200 g     honey on day 9
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
  hold      19 C for 14 d
  200 g     honey on day 5
package
  bottle    2.2 vol at 20 C with table sugar"#,
    limits: "Exempt: a keg kept cold. What its extract adds is in the figures where the definition states it.",
    sources: "Common practice, no source.",
};

enum Late {
    Closed { name: Box<str>, days: f64, volumes: Option<f64> },
    Unknown { name: Box<str>, by_litre: f64 },
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    let closed = part.package.lines.iter().any(|line| matches!(line.container, Container::Bottle | Container::Can));
    let mut total = Some(0.0);
    for step in &part.ferment.steps {
        let minutes = step.time.as_ref().map(|time| time.value + step.over.as_ref().map_or(0.0, |over| over.value));
        total = total.zip(minutes.filter(|_| step.until.is_none())).map(|(total, minutes)| total + minutes / 1440.0);
    }
    let litres = cx.figure(FigureId::BatchVolume).filter(|litres| *litres > 0.0);
    for (line, figures) in cx.recipe.grist.iter().zip(cx.grist()) {
        let Joins::Fermenter(during) = line.joins else { continue };
        let name = || look::spoken(&line.thing);
        if let (Some(kg), Some(litres)) = (look::kg(&line.amount), litres) {
            let by_litre = kg * 1000.0 / litres;
            if line.thing.fact(Keyword::Extract).is_none() && by_litre > cx.limit(&FRUIT) {
                hits.recipe(Grade::HINT, line.place, Late::Unknown { name: name(), by_litre });
            }
        }
        let (recipe::During::Day(day, last), Some(total)) = (during, total) else { continue };
        let days = total - f64::from(last.unwrap_or(day));
        let ferments = line.thing.number(Keyword::Fermentability).is_none_or(|share| share.value.value > 0.05);
        if closed && total > 0.0 && ferments && days < cx.limit(&DAYS) {
            let volumes = figures.extract.zip(litres).and_then(|(kg, litres)| {
                brewing::carbonation::carbonation_from_priming(
                    brewing::carbonation::PrimingSugar::Sucrose,
                    quantity::typed::Mass::from_kg(kg),
                    quantity::typed::Volume::from_litres(litres),
                )
                .map(|made| made.volumes())
            });
            hits.recipe(Grade::ERROR, line.place, Late::Closed { name: name(), days: days.max(0.0), volumes });
        }
    }
}

impl Detail for Late {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Closed { name, days, volumes } => Message::new(
                format!(
                    "{name} goes in {} before the beer is closed in{}",
                    say.days(*days),
                    volumes.map_or_else(String::new, |volumes| format!("; all of it would make about {volumes:.1} vol"))
                ),
                "what has not fermented by then ferments in the container, and bottles burst",
                "leave it three days or more, and close when two gravities are the same",
            ),
            Self::Unknown { name, by_litre } => Message::new(
                format!("{by_litre:.0} g/L of {name}, and nothing is known of its sugar"),
                "gravity and alcohol are computed without it",
                "write its sugar on the line: `[8 %]`",
            ),
        }
    }
}
