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
    ]).purpose();

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
    /// Other expectations that are missed because this one is: place and words.
    with: Vec<(Place, String)>,
    bitterest: Option<(Place, f64)>,
}

struct ConditionMissed {
    sides: Vec<(String, String)>,
}

/// Gravity off by more than this share of its points puts the whole grist in doubt: common practice, no source.
const FAR: f64 = 0.25;
/// Bitterness off by no more than this share follows from the gravity: common practice, no source.
const FOLLOWS: f64 = 0.4;

/// Below this share of the larger number two values are the same.
const SAME: f64 = 1e-9;

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let mut missed: Vec<(Place, Missed)> = Vec::new();
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
                    let one = Missed { figure, value, low, high, strict: *strict, with: Vec::new(), bitterest };
                    missed.push((expectation.place, one));
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
    // What follows from the gravity is said with it.
    if let Some(at) = missed.iter().position(|(_, one)| one.figure == FigureId::Og) {
        let (place, mut og) = missed.remove(at);
        let above = og.above();
        let mut left = Vec::new();
        for (place, one) in missed {
            let follows = match one.figure {
                FigureId::Fg | FigureId::Abv => one.above() == above,
                FigureId::Colour => one.above() == above,
                // A stronger wort takes up less; a smaller batch makes all of it stronger.
                FigureId::Ibu if one.above() == above => og.off() > FAR,
                FigureId::Ibu => one.off() <= FOLLOWS,
                _ => false,
            };
            if follows { og.with.push((place, one.facts())) } else { left.push((place, one)) }
        }
        missed = left;
        missed.push((place, og));
    }
    for (place, one) in missed {
        hits.recipe(Grade::ERROR, place, one);
    }
}

impl Missed {
    /// Whether the figure is too high.
    fn above(&self) -> bool {
        self.high.is_some_and(|high| self.value >= high)
    }

    /// The bound that is missed, and by what share of it.
    fn off(&self) -> f64 {
        let bound = if self.above() { self.high } else { self.low }.unwrap_or(self.value);
        let scale = if self.figure == FigureId::Og { bound - 1.0 } else { bound };
        if scale > 0.0 { (self.value - bound).abs() / scale } else { 0.0 }
    }

    fn facts(&self) -> String {
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
        format!("{} is {}, expected {wanted}", self.figure.words(), shown_apart(self.figure, self.value, &bounds))
    }
}

impl Detail for Missed {
    fn taints(&self) -> &'static [BlockKind] {
        if self.figure == FigureId::Og && self.off() > FAR { &[BlockKind::Grist] } else { &[] }
    }
    fn absorbs(&self) -> &'static [&'static str] {
        match self.figure {
            FigureId::Og => &[
                "style-og",
                "style-abv",
                "style-fg",
                "style-mismatch",
                "gravity-off-plan",
                "efficiency-implausible",
            ],
            FigureId::Fg => &["style-fg"],
            FigureId::Abv => &["style-abv"],
            FigureId::Ibu => &["style-ibu", "addition-off-plan", "addition-missed"],
            FigureId::Colour => &["style-colour"],
            FigureId::MashPh => &["mash-ph-off"],
            _ => &[],
        }
    }
    fn message(&self, _say: Say) -> Message {
        Message::new(
            self.facts(),
            "the recipe no longer is what its own test says",
            "change the recipe back, or the expectation if the new value is meant",
        )
    }
    fn related(&self, say: Say) -> Vec<(At, String)> {
        self.bitterest
            .map(|(place, ibu)| (At::Recipe(place), format!("{} come from here", say.ibu(ibu))))
            .into_iter()
            .chain(self.with.iter().map(|(place, facts)| (At::Recipe(*place), facts.clone())))
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
