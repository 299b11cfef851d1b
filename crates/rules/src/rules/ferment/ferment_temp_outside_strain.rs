//! Fermentation warmer or colder than the yeast likes.

use recipe::FactValue;

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("ferment-temp-outside-strain", Group::Ferment, Level::Warning, Check::RecipeAndLog(plan, log), DOC)
        .whole(&[BlockKind::Ferment, BlockKind::Pitch])
        .exempt(&["mixed-culture"])
        .limits(&[&WARNING, &DONE]);

static WARNING: Limit = Limit::at_most(
    "ferment-temperature-off",
    2.0,
    "K",
    "how far outside the yeast's temperatures; any less is a hint",
    "common practice, no source",
);
static DONE: Limit = Limit::at_least(
    "ferment-temperature-until",
    75.0,
    "%",
    "of the expected attenuation: from then on the temperature makes little flavour",
    "common practice, no source",
);

/// The days in which flavour is made: common practice, no source.
const FIRST_DAYS: f64 = 3.0;

const DOC: Doc = Doc {
    catches: "A main fermentation planned, or logged, outside the temperatures that the yeast's definition gives.",
    matters: "Flavour is made in the first days. Too warm brings fusels and solvent notes, too cold a slow start and a stuck beer.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
pitch
  170 billion cells  English ale yeast [72 %]
ferment
  hold      26 C for 7 d"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
pitch
  170 billion cells  English ale yeast [72 %]
ferment
  hold      19 C for 7 d"#,
    limits: "Only up to three quarters of the expected attenuation: of a plan the holds before the first `raise` or `cool`, \
             and no warmer hold after the third day; of a log the temperatures up to that gravity, or of the first three days where no gravity is logged. Silent where the yeast gives no temperatures.",
    sources: "The yeast's own definition; the limits are common practice, no source.",
};

struct Off {
    value: f64,
    low: f64,
    high: f64,
    yeast: Box<str>,
    logged: bool,
    place: Place,
}

/// The temperatures that all the yeasts together like.
pub(crate) fn liked<'a>(cx: &RecipeCx<'a, '_>) -> Option<(f64, f64, &'a Thing)> {
    let mut whole: Option<(f64, f64, &Thing)> = None;
    for line in &cx.part().pitch.lines {
        let FactValue::Range(_, low, high) = line.thing.fact(Keyword::Temperature)?.value else { return None };
        whole = Some(match whole {
            None => (low, high, &line.thing),
            Some((least, most, first)) => (least.min(low), most.max(high), first),
        });
    }
    whole
}

fn grade(value: f64, low: f64, high: f64, most: f64) -> Option<Grade> {
    let bands = [((low, high), Severity::Hint), ((low - most, high + most), Severity::Warning)];
    Grade::outside(value, || 0.0, &bands)
}

/// The first hold of a plan that its yeast does not like.
fn held_off(cx: &RecipeCx) -> Option<(Grade, Place, Off)> {
    let (low, high, yeast) = liked(cx)?;
    let mut days = 0.0;
    let mut first = None;
    for step in cx.part().ferment.steps.iter().take_while(|step| step.kind == FermentKind::Hold) {
        let Some(held) = &step.temperature else { continue };
        // A warmer hold after the first days is the rest at the end of fermentation.
        if days >= FIRST_DAYS && first.is_some_and(|first| held.value > first) {
            return None;
        }
        first = first.or(Some(held.value));
        days += step.time.as_ref().map_or(FIRST_DAYS, |time| time.value / 1440.0);
        if let Some(grade) = grade(held.value, low, high, cx.limit(&WARNING)) {
            let yeast = look::spoken(yeast);
            let detail = Off { value: held.value, low, high, yeast, logged: false, place: step.place };
            return Some((grade, step.place, detail));
        }
    }
    None
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    if let Some((grade, place, detail)) = held_off(cx) {
        hits.recipe(grade, place, detail);
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    // A plan that is off itself has its own finding.
    if held_off(plan).is_some() {
        return;
    }
    let Some((low, high, yeast)) = liked(plan) else { return };
    let Some(pitched) = cx.actual.pitched_at() else { return };
    let end = cx.ferment_end(cx.limit(&DONE) / 100.0);
    let mut worst: Option<(Grade, f64, Place)> = None;
    for (at, entry) in cx.log.entries.iter().enumerate().skip(pitched + 1) {
        let Event::Temp(celsius) = entry.event else { continue };
        if end.is_some_and(|end| at >= end) || (end.is_none() && cx.days_since_pitch(at).is_none_or(|days| days > FIRST_DAYS)) {
            break;
        }
        if let Some(grade) = grade(celsius, low, high, cx.limit(&WARNING))
            && worst.is_none_or(|(before, _, _)| before.worse(grade) != before)
        {
            worst = Some((grade, celsius, entry.place));
        }
    }
    if let Some((grade, value, place)) = worst {
        hits.log(grade, place, Off { value, low, high, yeast: look::spoken(yeast), logged: true, place });
    }
}

impl Detail for Off {
    fn message(&self, say: Say) -> Message {
        let warm = self.value > self.high;
        let what = if self.logged { "the beer was at" } else { "the beer is held at" };
        Message::new(
            format!(
                "{what} {}, {} likes {} to {}",
                say.temperature(self.value),
                self.yeast,
                say.temperature(self.low),
                say.temperature(self.high)
            ),
            if warm {
                "too warm a start brings fusels and solvent notes"
            } else {
                "too cold a start is slow and may leave sugar behind"
            },
            match (self.logged, warm) {
                (false, _) => format!(
                    "hold {}, or name a yeast that likes it",
                    say.temperature(self.value.clamp(self.low, self.high))
                ),
                (true, true) => format!("cool gently to {} and let the yeast finish before judging it", say.temperature(self.high)),
                (true, false) => format!("warm to {} and rouse the yeast", say.temperature(self.low)),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        if self.logged {
            return Vec::new();
        }
        let near = say.temperature(self.value.clamp(self.low, self.high));
        let value = texts.value(At::Recipe(self.place));
        value.map(|value| Mend::proposed(format!("hold {near}"), value, near)).into_iter().collect()
    }
}
