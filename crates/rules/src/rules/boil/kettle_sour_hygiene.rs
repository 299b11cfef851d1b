//! Wort held warm for souring for more than a day without acid first, or without a boil after.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("kettle-sour-hygiene", Group::Boil, Level::Warning, Check::Recipe(check), DOC).exempt(&["mixed-culture"]).limits(&[&HOURS]);

static HOURS: Limit = Limit::at_most("souring-hours", 24.0, "h", "souring without acid before or heat after", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Wort held warm for souring for more than a day without acid first, or without a boil after.",
    matters: "Warm wort above pH 4.5 feeds whatever falls in. Without heat afterwards the souring bacteria stay \
              alive in the beer and the brewhouse.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  tag       kettle-sour
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
sour
  50 billion cells  Lactobacillus
  hold      36 C for 30 h until ph 3.4
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
  tag       kettle-sour
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min
sour
  boil      5 min
  add       lactic acid [88 %] to reach ph 4.4
  50 billion cells  Lactobacillus
  hold      36 C for 30 h until ph 3.4
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Souring in the fermenter (mixed-culture) is another thing.",
    sources: "Common practice, no source.",
};

struct Hygiene {
    acid: bool,
    heat: bool,
    hours: f64,
    celsius: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(sour) = &cx.recipe.sour else { return };
    let Some((place, celsius, Some(time), _)) = &sour.hold else { return };
    let hours = time.value / 60.0;
    if hours <= cx.limit(&HOURS) || !(25.0..=49.0).contains(&celsius.value) {
        return;
    }
    let acid = sour.additions.iter().any(|line| {
        line.to_reach.as_ref().map_or(look::role(&line.thing).contains("acid"), |goal| goal.value <= 4.5)
    });
    let heat = cx.recipe.boil.as_ref().is_some_and(|boil| boil.time.as_ref().is_none_or(|time| time.value >= 10.0))
        || cx.recipe.stands.iter().any(|stand| {
            stand.temperature.as_ref().is_some_and(|at| at.value >= 80.0)
                && stand.time.as_ref().is_some_and(|time| time.value >= 10.0)
        });
    if !acid || !heat {
        hits.recipe(Grade::WARNING, *place, Hygiene { acid, heat, hours, celsius: celsius.value });
    }
}

impl Detail for Hygiene {
    fn message(&self, say: Say) -> Message {
        let lacks = match (self.acid, self.heat) {
            (false, true) => "no acid before it",
            (true, false) => "no heat after it",
            _ => "neither acid before it nor heat after it",
        };
        Message::new(
            format!("the wort is held at {} for {:.0} h with {lacks}", say.temperature(self.celsius), self.hours),
            if self.acid {
                "the souring bacteria stay alive in beer and brewhouse"
            } else {
                "above pH 4.5 warm wort feeds whatever falls in"
            },
            if self.acid {
                "boil ten minutes or more after souring"
            } else {
                "bring the wort below pH 4.5 with acid first, cover it, and boil it afterwards"
            },
        )
    }
}
