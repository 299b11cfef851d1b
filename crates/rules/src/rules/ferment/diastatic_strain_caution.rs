//! A diastatic yeast in beer for bottles or cans with little time for it to finish.

use recipe::Container;

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("diastatic-strain-caution", Group::Ferment, Level::Warning, Check::RecipeAndLog(plan, log), DOC).safety().limits(&[&DAYS, &STABLE]);

static DAYS: Limit = Limit::at_least("diastatic-days", 14.0, "d", "fermentation planned with a diastatic yeast", "common practice, no source");
static STABLE: Limit = Limit::at_least("diastatic-stable-days", 14.0, "d", "equal gravities with a diastatic yeast", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A diastatic yeast in beer for bottles or cans with little time for it to finish.",
    matters: "Diastatic yeast goes on fermenting dextrins for weeks. In bottles that looks stable and then bursts.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  saison yeast
  at        20 C
  oxygen    8 ppm
ferment
  hold      22 C for 7 d
package
  bottle    2.4 vol at 20 C with table sugar"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  saison yeast
  at        20 C
  oxygen    8 ppm
ferment
  hold      22 C for 21 d
package
  bottle    2.4 vol at 20 C with table sugar"#,
    limits: "Yeasts defined `diastatic yes`. Of a log the time between the first of the last equal gravities and \
              the package counts.",
    sources: "Common practice, no source.",
};

struct Diastatic {
    name: Box<str>,
    days: f64,
    least: f64,
}

fn diastatic<'a>(cx: &'a RecipeCx<'_, '_>) -> Option<&'a Thing> {
    cx.part().pitch.lines.iter().map(|line| &line.thing).find(|thing| thing.words(Keyword::Diastatic) == Some("yes"))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    let (Some(yeast), Some(line)) = (
        diastatic(cx),
        part.package.lines.iter().find(|line| matches!(line.container, Container::Bottle | Container::Can)),
    ) else {
        return;
    };
    let mut days = 0.0;
    for step in &part.ferment.steps {
        let Some(time) = &step.time else { return };
        days += (time.value + step.over.as_ref().map_or(0.0, |over| over.value)) / 1440.0;
    }
    let least = cx.limit(&DAYS);
    if days > 0.0 && days < least {
        hits.recipe(Grade::WARNING, line.place, Diastatic { name: look::spoken(yeast), days, least });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(yeast) = cx.plan.and_then(diastatic) else { return };
    let packaged = cx.log.entries.iter().position(|entry| {
        matches!(&entry.event, Event::Package { container: Some(Container::Bottle | Container::Can), .. })
    });
    let (Some(at), Some(pitched)) = (packaged, cx.actual.pitched_at()) else { return };
    let gravities = cx.actual.gravities();
    let readings: Vec<_> = gravities.iter().filter(|gravity| gravity.entry > pitched && gravity.entry < at).collect();
    let Some(last) = readings.last() else { return };
    let mut first = *last;
    for reading in readings.iter().rev() {
        if (reading.sg - last.sg).abs() > 0.001_05 {
            break;
        }
        first = reading;
    }
    let (Some(days), Some(entry)) = (cx.days(first.entry, at), cx.log.entries.get(at)) else { return };
    let least = cx.limit(&STABLE);
    if days < least {
        hits.log(Grade::WARNING, entry.place, Diastatic { name: look::spoken(yeast), days, least });
    }
}

impl Detail for Diastatic {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} is diastatic, and the beer is closed in after {:.0} days; {:.0} are asked for", self.name, self.days, self.least),
            "it goes on fermenting dextrins for weeks, and bottles that seemed done burst",
            "wait until the gravity has stood still for two weeks, use heavy bottles within their rating, and keep its gear apart",
        )
    }
}
