//! A beer stronger than its yeast is said to tolerate.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("alcohol-tolerance-exceeded", Group::Yeast, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe]).limits(&[&NEAR, &UNKNOWN]);

static NEAR: Limit = Limit::at_most("tolerance-near", 0.5, "%", "alcohol below the tolerance that is worth a hint", "common practice, no source");
static UNKNOWN: Limit = Limit::at_most("tolerance-unknown", 10.0, "%", "alcohol for a yeast that states no tolerance", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A beer stronger than its yeast is said to tolerate.",
    matters: "It stops early, sweet and unhappy, and bottles may not carbonate.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  11 kg     pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  550 billion cells  English ale yeast [78 %]
  at        18 C
  oxygen    12 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  5 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  250 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    10 ppm"#,
    limits: "Of several yeasts the most tolerant counts. Where none gives a tolerance, a hint above 10 %.",
    sources: "The yeast's own definition; 10 % is common practice, no source.",
};

struct Exceeded {
    abv: f64,
    tolerance: f64,
    stated: bool,
    name: Box<str>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let lines = &cx.part().pitch.lines;
    let Some(first) = lines.first() else { return };
    let Some(abv) = cx.figure(FigureId::Abv) else { return };
    let best = lines
        .iter()
        .filter_map(|line| Some((line, line.thing.number(Keyword::Tolerance)?.value.value * 100.0)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let spread = || cx.spread(FigureId::Abv);
    match best {
        Some((line, tolerance)) => {
            let bounds = [(tolerance, Severity::Warning), (tolerance - cx.limit(&NEAR), Severity::Hint)];
            if let Some(grade) = Grade::above(abv, spread, &bounds) {
                hits.recipe(grade, line.place, Exceeded { abv, tolerance, stated: true, name: look::spoken(&line.thing) });
            }
        }
        None => {
            let most = cx.limit(&UNKNOWN);
            if let Some(grade) = Grade::above(abv, spread, &[(most, Severity::Hint)]) {
                hits.recipe(grade, first.place, Exceeded { abv, tolerance: most, stated: false, name: look::spoken(&first.thing) });
            }
        }
    }
}

impl Detail for Exceeded {
    fn message(&self, say: Say) -> Message {
        let whose = if self.stated { "tolerates" } else { "states no tolerance; many yeasts stop near" };
        Message::new(
            format!("the beer comes to {} of alcohol, {} {whose} {}", say.percent(self.abv), self.name, say.percent(self.tolerance)),
            "near its limit yeast stops early, and bottles may not carbonate",
            "take a yeast that tolerates more, pitch generously with oxygen, and add fresh yeast for bottles",
        )
    }
}
