//! A lager with a cold phase shorter or warmer than lagering asks for.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("lagering-short-or-warm", Group::Ferment, Level::Off, Check::Part(check), DOC).whole(&[BlockKind::Ferment, BlockKind::Pitch]).limits(&[&DAYS, &COLD]);

static DAYS: Limit = Limit::at_least("lagering-days", 14.0, "d", "length of the cold phase", "common practice, no source");
static COLD: Limit = Limit::at_most("lagering-cold", 5.0, "C", "temperature of the cold phase", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A lager with a cold phase shorter or warmer than lagering asks for.",
    matters: "Cold time clears and rounds a lager.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 75 min
  30 g      Saaz [alpha 3.5 %] at 60 min
pitch
  400 billion cells  Czech lager
  at        9 C
  oxygen    9 ppm
ferment
  hold      10 C for 10 d
  raise     to 16 C for 3 d
  cool      to 8 C over 2 d for 3 d"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 75 min
  30 g      Saaz [alpha 3.5 %] at 60 min
pitch
  400 billion cells  Czech lager
  at        9 C
  oxygen    9 ppm
ferment
  hold      10 C for 10 d
  raise     to 16 C for 3 d
  cool      to 1 C over 5 d for 4 week"#,
    limits: "Off unless switched on: good lagers are made in two weeks.",
    sources: "Common practice, no source.",
};

struct Lagering {
    days: f64,
    celsius: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    if !look::yeast_is(cx, "lager") {
        return;
    }
    let steps = &cx.part().ferment.steps;
    let Some(last) = steps.iter().rfind(|step| step.kind == FermentKind::Cool) else { return };
    let (Some(at), Some(time)) = (&last.temperature, &last.time) else { return };
    let days = time.value / 1440.0;
    if days < cx.limit(&DAYS) || at.value > cx.limit(&COLD) {
        hits.recipe(Grade::HINT, last.place, Lagering { days, celsius: at.value });
    }
}

impl Detail for Lagering {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{:.0} days at {} are hardly lagering", self.days, say.temperature(self.celsius)),
            "cold time clears and rounds a lager",
            format!("give it two weeks or more at {}, about a week for every 2 P of the wort", say.temperatures(0.0, 4.0)),
        )
    }
}
