//! A figure against the range of its style: what the five rules share.

use figures::FigureId;
use quantity::UnitId;
use recipe::{FactValue, Place, Quant, Thing};
use syntax::vocabulary::Keyword;

use crate::cx::RecipeCx;
use crate::finding::Severity;
use crate::hit::{At, Detail, Hits, Message};
use crate::level::Grade;
use crate::limits::Limit;
use crate::look;
use crate::say::{Say, trimmed};

/// Outside by no more than this share of the range's width is a hint.
pub(crate) static NEAR: Limit = Limit::at_most(
    "style-near",
    0.15,
    "",
    "how far outside, as a share of the range's width, is still near it",
    "common practice, no source: styles are described, not measured",
);

/// From here on beer is opaque, EBC: 40 SRM, where the style guidelines' scale ends.
const BLACK: f64 = 78.0;

/// The figures that styles state ranges of, each with its field.
pub const STYLE_FIGURES: [(FigureId, Keyword); 5] = [
    (FigureId::Og, Keyword::Og),
    (FigureId::Fg, Keyword::Fg),
    (FigureId::Abv, Keyword::Abv),
    (FigureId::Ibu, Keyword::Ibu),
    (FigureId::Colour, Keyword::Colour),
];

/// Where most beers of a style lie, in the unit the figure is shown in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StyleRange {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Nothing lies above: black is black, where the range ends at the end of the scale.
    pub open: bool,
}

impl StyleRange {
    /// The range that a style states of a figure in the field `key`.
    #[must_use]
    pub fn of(style: &Thing, figure: FigureId, key: Keyword) -> Option<Self> {
        let FactValue::Range(quant, first, second) = style.fact(key)?.value else {
            return None;
        };
        let (low, high) = (shown(quant, first), shown(quant, second));
        Some(Self { low, high, open: figure == FigureId::Colour && high >= BLACK })
    }

    /// The grade of a value against the range; nothing inside it. `near` is the share of its width that still
    /// counts as near, `spread` one standard deviation of the value.
    #[must_use]
    pub fn grade(self, value: f64, spread: impl FnOnce() -> f64, near: f64) -> Option<Grade> {
        let near = near * (self.high - self.low);
        let top = if self.open { f64::INFINITY } else { self.high };
        let bands = [((self.low, top), Severity::Hint), ((self.low - near, top + near), Severity::Warning)];
        Grade::outside(value, spread, &bands)
    }
}

/// A figure outside the range of its style.
struct Outside {
    figure: FigureId,
    value: f64,
    low: f64,
    high: f64,
    style: Box<str>,
    named: Option<Box<str>>,
    remedy: &'static str,
    bitterest: Option<(Place, f64)>,
    /// Outside by more than is still near.
    far: bool,
}

/// A figure, the ends of its range, and its grade against them.
type Judged = (f64, (f64, f64), Option<Grade>);

/// Judges a figure by the range that the style states in the field `key`; nothing where either is missing.
fn judge(cx: &RecipeCx, figure: FigureId, key: Keyword) -> Option<Judged> {
    let range = StyleRange::of(cx.recipe.style.as_ref()?, figure, key)?;
    let value = cx.figure(figure)?;
    Some((value, (range.low, range.high), range.grade(value, || cx.spread(figure), cx.limit(&NEAR))))
}

/// The grade of a figure against its style: nothing where it cannot be compared, `None` within where it fits.
pub(crate) fn grade(cx: &RecipeCx, figure: FigureId, key: Keyword) -> Option<Option<Grade>> {
    judge(cx, figure, key).map(|(_, _, grade)| grade)
}

/// Compares a figure with the range that the style states in the field `key`.
pub(crate) fn check(
    cx: &RecipeCx,
    hits: &mut Hits,
    figure: FigureId,
    key: Keyword,
    remedies: [&'static str; 2],
) {
    let Some(style) = &cx.recipe.style else { return };
    if let Some((value, (low, high), Some(grade))) = judge(cx, figure, key) {
        let named = style.words(Keyword::Name).map(Into::into);
        let remedy = remedies[usize::from(value > high)];
        let bitterest = (figure == FigureId::Ibu && value > high).then(|| look::bitterest(cx)).flatten();
        let far = grade.severity() == Some(Severity::Warning);
        let detail =
            Outside { figure, value, low, high, style: style.name.clone(), named, remedy, bitterest, far };
        hits.recipe(grade, style.place, detail);
    }
}

/// A bound in the unit the figure is shown in: percentages are kept in parts of one, gravities as written.
fn shown(quant: Quant, bound: f64) -> f64 {
    match quant.unit {
        Some(UnitId::PERCENT) => bound * 100.0,
        Some(UnitId::P | UnitId::BX) => {
            brewing::gravity::gravity(quantity::typed::Plato::from_plato(bound)).sg()
        }
        _ => bound,
    }
}

impl Outside {
    /// The value with as many digits as tell it from the bound that it misses.
    fn told_apart(&self) -> String {
        let bound = if self.value > self.high { self.high } else { self.low };
        let number = self.number(self.value);
        if number != self.number(bound) {
            return number;
        }
        let digits = if matches!(self.figure, FigureId::Og | FigureId::Fg) { 3 } else { 1 };
        (digits + 1..7)
            .map(|digits| format!("{:.digits$}", self.value))
            .find(|number| *number != format!("{bound:.*}", number.len() - number.find('.').unwrap_or(0) - 1))
            .unwrap_or(number)
    }

    fn number(&self, value: f64) -> String {
        match self.figure {
            FigureId::Og | FigureId::Fg => format!("{value:.3}"),
            FigureId::Abv => trimmed(value, 1),
            _ => trimmed(value, usize::from(value < 10.0)),
        }
    }
}

impl Detail for Outside {
    fn absorbs(&self) -> &'static [&'static str] {
        // Strength and end follow from the gravity to start with.
        if self.far && self.figure == FigureId::Og { &["style-abv", "style-fg"] } else { &[] }
    }
    fn message(&self, _say: Say) -> Message {
        let (word, unit) = match self.figure {
            FigureId::Og => ("original gravity", ""),
            FigureId::Fg => ("final gravity", ""),
            FigureId::Abv => ("alcohol", " %"),
            FigureId::Ibu => ("bitterness", " IBU"),
            _ => ("colour", " EBC"),
        };
        let style = self
            .named
            .as_ref()
            .map_or_else(|| self.style.to_string(), |name| format!("{} ({name})", self.style));
        let side = if self.value > self.high { "above" } else { "below" };
        Message::new(
            format!(
                "{word} {}{unit} lies {side} the {} to {}{unit} of style {style}",
                self.told_apart(),
                self.number(self.low),
                self.number(self.high)
            ),
            "most beers judged as this style lie inside",
            format!("{}, or name another style; a style is a description, not a rule", self.remedy),
        )
    }
    fn related(&self, say: Say) -> Vec<(At, String)> {
        self.bitterest
            .map(|(place, ibu)| (At::Recipe(place), format!("{} come from here", say.ibu(ibu))))
            .into_iter()
            .collect()
    }
}
