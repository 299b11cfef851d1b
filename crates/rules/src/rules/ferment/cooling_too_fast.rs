//! A drop at the end of fermentation completed within a few hours.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("cooling-too-fast", Group::Ferment, Level::Off, Check::Part(check), DOC).later(&[(Edition::Y2027, Level::Hint)]).limits(&[&HOURS]);

static HOURS: Limit = Limit::at_least("cooling-time", 6.0, "h", "length of the drop", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A drop at the end of fermentation completed within a few hours.",
    matters: "Shocked yeast gives up esters and acids, and makes a poor next pitch.",
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
  cool      to 2 C over 3 h"#,
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
  cool      to 2 C over 2 d"#,
    limits: "Off in the edition of 2026 unless switched on, a hint at most from 2027 on: many breweries crash-cool without harm they would notice.",
    sources: "White and Zainasheff, Yeast, 2010, second-hand.",
};

struct Fast {
    hours: f64,
    to: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for step in &cx.part().ferment.steps {
        if step.kind != FermentKind::Cool {
            continue;
        }
        let (Some(over), Some(to)) = (&step.over, &step.temperature) else { continue };
        let hours = over.value / 60.0;
        if hours < cx.limit(&HOURS) {
            hits.recipe(Grade::HINT, step.place, Fast { hours, to: to.value });
        }
    }
}

impl Detail for Fast {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the beer is cooled to {} within {:.0} h", say.temperature(self.to), self.hours),
            "shocked yeast gives up what it should keep",
            format!("cool by {} a day where the yeast is to be used again, over a day or two otherwise", say.steps(0.5, 1.0)),
        )
    }
}
