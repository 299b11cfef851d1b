//! Yeast pitched into wort far warmer than it likes, or than the fermentation is held at.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("pitch-temp-too-hot", Group::Yeast, Level::Error, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Pitch]).limits(&[&KILLS, &KVEIK, &ABOVE, &ABOVE_HOLD]);

static KILLS: Limit = Limit::at_most("pitch-temperature-error", 40.0, "C", "wort at pitching", "common practice, no source");
static KVEIK: Limit = Limit::at_most("pitch-temperature-kveik", 43.0, "C", "wort at pitching of kveik", "common practice, no source");
static ABOVE: Limit = Limit::at_most("pitch-above-range", 3.0, "K", "wort at pitching above what the yeast likes", "common practice, no source");
static ABOVE_HOLD: Limit = Limit::at_most("pitch-above-hold", 5.0, "K", "wort at pitching above the first hold", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Yeast pitched into wort far warmer than it likes, or than the fermentation is held at.",
    matters: "Heat kills yeast from 40 C on; well before that the first hours make fusels.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        42 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    limits: "Kveik bears more.",
    sources: "Common practice, no source.",
};

struct TooHot {
    celsius: f64,
    reason: Reason,
    logged: bool,
}

enum Reason {
    Kills,
    AboveRange(f64, Box<str>),
    AboveHold(f64),
}

fn grade(cx: &RecipeCx, celsius: f64) -> Option<(Grade, Reason)> {
    let lines = &cx.part().pitch.lines;
    if lines.is_empty() {
        return None;
    }
    let kveik = lines.iter().any(|line| super::pitch_rate_low::is_kveik(&line.thing));
    let kills = cx.limit(if kveik { &KVEIK } else { &KILLS });
    if celsius >= kills {
        return Some((Grade::ERROR, Reason::Kills));
    }
    let range = crate::rules::ferment::ferment_temp_outside_strain::liked(cx);
    if let Some((_, high, yeast)) = range
        && celsius > high + cx.limit(&ABOVE)
    {
        // Held as warm as it is pitched, the hold is what is wrong.
        let held = cx.part().ferment.steps.first().and_then(|step| step.temperature.as_ref());
        if held.is_some_and(|held| held.value + 1.0 >= celsius) {
            return None;
        }
        return Some((Grade::WARNING, Reason::AboveRange(high, look::spoken(yeast))));
    }
    let hold = cx.part().ferment.steps.first().filter(|step| step.kind == FermentKind::Hold)?;
    let held = hold.temperature.as_ref()?.value;
    (celsius > held + cx.limit(&ABOVE_HOLD) && !kveik).then_some((Grade::HINT, Reason::AboveHold(held)))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let pitch = &cx.part().pitch;
    let Some(at) = &pitch.temperature else { return };
    let place = match at.origin {
        Origin::Here(place) => Some(place),
        Origin::Library(..) => pitch.place,
    };
    if let (Some(place), Some((grade, reason))) = (place, grade(cx, at.value)) {
        hits.recipe(grade, place, TooHot { celsius: at.value, reason, logged: false });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    // Pitched as planned, it is the plan that is off.
    let planned = plan.part().pitch.temperature.as_ref().map(|at| at.value);
    let off = planned.filter(|at| grade(plan, *at).is_some());
    for entry in &cx.log.entries {
        let Event::Pitch { temperature: Some(celsius), .. } = entry.event else { continue };
        if off.is_some_and(|planned| celsius <= planned) {
            continue;
        }
        if let Some((grade, reason)) = grade(plan, celsius) {
            hits.log(grade, entry.place, TooHot { celsius, reason, logged: true });
        }
    }
}

impl Detail for TooHot {
    fn message(&self, say: Say) -> Message {
        let at = say.temperature(self.celsius);
        let when = if self.logged { "was" } else { "is" };
        let (what, why) = match &self.reason {
            Reason::Kills => (format!("the yeast {when} pitched at {at}"), "most yeast dies there".to_owned()),
            Reason::AboveRange(high, name) => (
                format!("the yeast {when} pitched at {at}, {name} likes up to {}", say.temperature(*high)),
                "the first hours make fusels and esters that stay".to_owned(),
            ),
            Reason::AboveHold(held) => (
                format!("the yeast {when} pitched at {at} and is then held at {}", say.temperature(*held)),
                "the first hours make the flavour, and cooling by that much shocks the yeast".to_owned(),
            ),
        };
        Message::new(
            what,
            why,
            if self.logged { "cool as fast as you can; if nothing stirs within a day, pitch again" } else { "cool the wort to the fermentation temperature first" },
        )
    }
}
