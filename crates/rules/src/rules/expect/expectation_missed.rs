//! An expectation that the recipe does not meet.

use recipe::Test;

use crate::look;
use crate::expected::{bound, condition, shown_apart};
use crate::prelude::*;
use crate::rules::liquor::water_profile_missed;

pub(crate) static RULE: Rule =
    Rule::new("expectation-missed", Group::Expect, Level::Error, Check::Part(check), DOC).whole(&[
        BlockKind::Recipe,
        BlockKind::Grist,
        BlockKind::Liquor,
        BlockKind::Mash,
        BlockKind::Boil,
        BlockKind::Stand,
        BlockKind::Pitch,
    ]);

const DOC: Doc = Doc {
    catches: "A figure outside what `expect` says it must be, or a condition that does not hold.",
    matters: "`expect` is the brewer's own test: it says what the recipe was meant to be, so that a later change that breaks it shows.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  60 g      Fuggle [alpha 5 %] at 60 min
expect
  ibu       25..30"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  60 g      Fuggle [alpha 5 %] at 60 min
expect
  ibu       25..45"#,
    limits: "The ends count as inside, except after `<` and `>`. Ions are judged by `water-profile-missed`. Doubt does not count: what is \
             written is meant.",
    sources: "The recipe itself.",
};

struct Missed {
    figure: FigureId,
    value: f64,
    low: Option<f64>,
    high: Option<f64>,
    strict: bool,
    bitterest: Option<(Place, f64)>,
}

struct ConditionMissed {
    sides: Vec<(String, String)>,
}

/// Below this share of the larger number two values are the same.
const SAME: f64 = 1e-9;

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for (expectation, named) in cx.part().expect.iter().zip(cx.expected()) {
        match &expectation.test {
            Test::Within { low, high, strict, .. } => {
                let Some(figure) = *named else { continue };
                if water_profile_missed::judges(figure) {
                    continue;
                }
                let Some(value) = cx.figure(figure) else { continue };
                let low = low.and_then(|low| bound(figure, low));
                let high = high.and_then(|high| bound(figure, high));
                let beyond = |excess: f64, bound: f64| {
                    let nothing = SAME * bound.abs().max(1.0);
                    if *strict { excess >= -nothing } else { excess > nothing }
                };
                let below = low.is_some_and(|low| beyond(low - value, low));
                let above = high.is_some_and(|high| beyond(value - high, high));
                if below || above {
                    let bitterest =
                        (figure == FigureId::Ibu && above).then(|| look::bitterest(cx)).flatten();
                    let missed = Missed { figure, value, low, high, strict: *strict, bitterest };
                    hits.recipe(Grade::ERROR, expectation.place, missed);
                }
            }
            Test::Condition { sides } => {
                if let Ok(outcome) = condition(cx, expectation.place, sides)
                    && !outcome.holds
                {
                    hits.recipe(Grade::ERROR, expectation.place, ConditionMissed { sides: outcome.sides });
                }
            }
        }
    }
}

impl Detail for Missed {
    fn message(&self, _say: Say) -> Message {
        let bounds: Vec<f64> = self.low.into_iter().chain(self.high).collect();
        let number = |value: f64| self.figure.show().number(value);
        let wanted = match (self.low, self.high) {
            (Some(low), Some(high)) if low < high => format!("{} to {}", number(low), number(high)),
            (Some(value), Some(_)) => number(value),
            (None, Some(high)) if self.strict => format!("less than {}", number(high)),
            (None, Some(high)) => format!("at most {}", number(high)),
            (Some(low), None) if self.strict => format!("more than {}", number(low)),
            (Some(low), None) => format!("at least {}", number(low)),
            (None, None) => String::new(),
        };
        let value = shown_apart(self.figure, self.value, &bounds);
        Message::new(
            format!("{} is {value}, expected {wanted}", self.figure.words()),
            "the recipe no longer is what its own test says",
            "change the recipe back, or the expectation if the new value is meant",
        )
    }
    fn related(&self, say: Say) -> Vec<(At, String)> {
        self.bitterest
            .map(|(place, ibu)| (At::Recipe(place), format!("{} come from here", say.ibu(ibu))))
            .into_iter()
            .collect()
    }
}

impl Detail for ConditionMissed {
    fn message(&self, _say: Say) -> Message {
        let sides: Vec<String> = self.sides.iter().map(|(written, value)| format!("{written} is {value}")).collect();
        Message::new(
            format!("this condition does not hold: {}", listed(&sides)),
            "the recipe no longer is what its own test says",
            "change the recipe back, or the condition if the new value is meant",
        )
    }
}
