//! Yeast so old that half of it is likely dead.

use brewing::yeast::Keeping;
use jiff::civil::Date;
use quantity::typed::Time;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("yeast-viability-low", Group::Yeast, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Pitch]).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_least("viability-hint", 75.0, "%", "share of living cells", "common practice, no source");
static WARNING: Limit = Limit::at_least("viability", 50.0, "%", "share of living cells", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Yeast so old that half of it is likely dead.",
    matters: "Dead cells do not ferment, and what they give up feeds spoilers.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  date      2026-09-01
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  1 pack    English ale yeast [72 %, 200 billion cells, packed 2026-02-01]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
  date      2026-09-01
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  1 pack    English ale yeast [72 %, 200 billion cells, packed 2026-08-01]
  at        18 C
  oxygen    8 ppm"#,
    limits: "Only where the date of the yeast and a date of the recipe or of the brew are written. Viability is a \
              range by age; its middle is compared, and a count of your own (`viability 90 %`) wins.",
    sources: "Lore says 20 to 25 % a month, a measured slurry lost 0.2 % a day (December 2012): weakly founded.",
};

struct Old {
    name: Box<str>,
    days: f64,
    middle: f64,
    low: f64,
    high: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(brewed) = cx.recipe.texts.iter().find(|(key, _, _)| *key == Keyword::Date).and_then(|(_, text, _)| civil(text)) else {
        return;
    };
    for line in &cx.part().pitch.lines {
        let thing = &line.thing;
        if thing.fact(Keyword::Viability).is_some() || thing.kind() != Some(BlockKind::Yeast) {
            continue;
        }
        let date = |key| match thing.fact(key)?.value {
            recipe::FactValue::Date(date) => Some(date),
            _ => None,
        };
        let (date, slurry) = match (date(Keyword::Packed), date(Keyword::Harvested)) {
            (Some(packed), _) => (packed, false),
            (None, Some(harvested)) => (harvested, true),
            (None, None) => continue,
        };
        #[allow(clippy::cast_possible_wrap)] // months and days are below 32
        let Ok(date) = Date::new(date.year, date.month as i8, date.day as i8) else { continue };
        let days = brewed.since(date).map_or(-1, |span| span.get_days());
        if days < 0 {
            continue;
        }
        let keeping = if look::is_dry(line) {
            Keeping::Dry
        } else if slurry {
            Keeping::Slurry
        } else {
            Keeping::Liquid
        };
        let days = f64::from(days);
        let viability = brewing::yeast::viability(keeping, Time::from_minutes(days * 1440.0));
        let middle = viability.typical.parts() * 100.0;
        let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
        if let Some(grade) = Grade::below(middle, || 0.0, &bounds) {
            hits.recipe(
                grade,
                line.place,
                Old {
                    name: thing.name.clone(),
                    days,
                    middle,
                    low: viability.low.parts() * 100.0,
                    high: viability.high.parts() * 100.0,
                },
            );
        }
    }
}

/// A date written `2026-03-14`.
fn civil(text: &str) -> Option<Date> {
    text.trim().parse().ok()
}

impl Detail for Old {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} is {:.0} days old, about {} alive ({:.0} to {:.0} %)",
                self.name,
                self.days,
                say.percent(self.middle.round()),
                self.low,
                self.high
            ),
            "what is dead does not ferment",
            "make a starter, buy fresher yeast, or count it and write `viability`",
        )
    }
}
