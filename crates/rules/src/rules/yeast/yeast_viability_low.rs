//! Yeast so old that half of it is likely dead.

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
  5 pack    English ale yeast [72 %, 200 billion cells, packed 2026-02-01]
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
    for line in &cx.part().pitch.lines {
        if line.thing.fact(Keyword::Viability).is_some() || line.thing.kind() != Some(BlockKind::Yeast) {
            continue;
        }
        let Some((days, viability)) = cx.calc.viability_by_age(line) else { continue };
        let middle = viability.typical.parts() * 100.0;
        let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
        if let Some(grade) = Grade::below(middle, || 0.0, &bounds) {
            hits.recipe(
                grade,
                line.place,
                Old {
                    name: look::spoken(&line.thing),
                    days,
                    middle,
                    low: viability.low.parts() * 100.0,
                    high: viability.high.parts() * 100.0,
                },
            );
        }
    }
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
