//! The beer is cooled by 4 C or more while it is still well above the gravity it should end at.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("cooled-before-terminal", Group::Ferment, Level::Warning, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe, BlockKind::Ferment]).limits(&[&STEP, &ABOVE]);

static STEP: Limit = Limit::at_least("cooling-step", 4.0, "K", "cooling that counts", "common practice, no source");
static ABOVE: Limit = Limit::at_most("cooling-above-end", 0.003, "sg", "gravity above the expected end", "2 points of beer and 1 of reading; common practice");

const DOC: Doc = Doc {
    catches: "The beer is cooled by 4 C or more while it is still well above the gravity it should end at.",
    matters: "Cold puts the yeast to sleep before it has finished and cleaned up: sugar, butter and green apple \
              stay in the beer.",
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
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 2   temp      19 C
  day 3   gravity   1.024
  day 4   temp      12 C"#,
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
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 2   temp      19 C
  day 6   gravity   1.013
  day 7   temp      12 C"#,
    limits: "Of a plan: a `cool` after a hold that ends at a gravity 0.003 or more above the computed end.",
    sources: "Common practice, no source.",
};

struct Cooled {
    sg: f64,
    end: f64,
    from: f64,
    to: f64,
    logged: bool,
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let Some(end) = cx.figure(FigureId::Fg) else { return };
    let steps = &cx.part().ferment.steps;
    let mut now: Option<f64> = None;
    let mut gravity: Option<f64> = None;
    for step in steps {
        let to = step.temperature.as_ref().map(|at| at.value);
        if step.kind == FermentKind::Cool
            && let (Some(from), Some(to), Some(sg)) = (now, to, gravity)
            && from - to >= cx.limit(&STEP)
            && let Some(grade) =
                Grade::above(sg - end, || cx.spread(FigureId::Fg), &[(cx.limit(&ABOVE), Severity::Warning)])
        {
            hits.recipe(grade, step.place, Cooled { sg, end, from, to, logged: false });
            return;
        }
        // A step that lasts for days goes on below the gravity of the one before it.
        gravity = step.until.as_ref().and_then(|until| crate::expected::bound(FigureId::Fg, until.value));
        now = to.or(now);
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let (Some(end), Some(pitched)) = (plan.figure(FigureId::Fg), cx.actual.pitched_at()) else { return };
    let gravities = cx.actual.gravities();
    let mut warm: Option<(usize, f64)> = None;
    for (at, entry) in cx.log.entries.iter().enumerate().skip(pitched + 1) {
        let Event::Temp(celsius) = entry.event else { continue };
        if let Some((before, from)) = warm
            && from - celsius >= cx.limit(&STEP)
            && cx.days(before, at).is_some_and(|days| days <= 3.0)
            && let Some(last) = gravities.iter().rev().find(|gravity| gravity.entry < at && gravity.entry > pitched)
            && cx.days(last.entry, at).is_some_and(|days| days <= 1.5)
            && last.sg - end > cx.limit(&ABOVE)
        {
            hits.log(Grade::WARNING, entry.place, Cooled { sg: last.sg, end, from, to: celsius, logged: true });
            return;
        }
        warm = Some((at, celsius));
    }
}

impl Detail for Cooled {
    fn message(&self, say: Say) -> Message {
        let when = if self.logged { "was" } else { "is" };
        Message::new(
            format!(
                "the beer {when} cooled from {} to {} at {}, {} is expected at the end",
                say.temperature(self.from),
                say.temperature(self.to),
                say.gravity(self.sg),
                say.gravity(self.end)
            ),
            "cold stops the yeast before it has finished and cleaned up",
            if self.logged { "warm it again and rouse the yeast" } else { "cool when the gravity has stood still for two days" },
        )
    }
}
