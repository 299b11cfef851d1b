//! What `expect` asks for, beside what is computed.

use std::sync::Arc;

use figures::{FigureId, Missing, Show};
use quantity::typed::{Equivalents, Plato};
use quantity::{Dimension, UnitId, Value};
use recipe::{Part, Place, Quant, Recipe, Test};
use syntax::ast::{Expr, ExprKind, Relation};

use crate::cx::RecipeCx;
use crate::style_range::{STYLE_FIGURES, StyleRange};

/// What a recipe says itself that a figure is to be.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wanted {
    /// The bounds under `expect`, in the unit the figure is shown in; both open where it expects nothing.
    pub expected: (Option<f64>, Option<f64>),
    /// Where most beers of its style lie.
    pub style: Option<StyleRange>,
}

impl Wanted {
    /// What the recipe, in this part of it, wants of a figure.
    #[must_use]
    pub fn of(recipe: &Recipe, part: &Part, figure: FigureId) -> Self {
        let mut wanted = Self::default();
        for one in &part.expect {
            if let Test::Within { figure: words, low, high, .. } = &one.test
                && FigureId::from_words(words) == Some(figure)
            {
                let bound = |quant: &Option<Quant>| quant.and_then(|quant| bound(figure, quant));
                wanted.expected = (bound(low), bound(high));
            }
        }
        let key = STYLE_FIGURES.iter().find(|(id, _)| *id == figure).map(|(_, key)| *key);
        if let (Some(style), Some(key)) = (&recipe.style, key) {
            wanted.style = StyleRange::of(style, figure, key);
        }
        wanted
    }

    /// Whether a value lies outside what is expected.
    #[must_use]
    pub fn misses(&self, value: f64) -> bool {
        let (low, high) = self.expected;
        low.is_some_and(|low| value < low) || high.is_some_and(|high| value > high)
    }
}

/// A bound in the unit its figure is shown in; nothing where it measures something else.
pub(crate) fn bound(figure: FigureId, quant: Quant) -> Option<f64> {
    let dimension = quant.unit.map_or(Dimension::Number, UnitId::dimension);
    let value = match (figure.show(), dimension) {
        (Show::Gravity, Dimension::Gravity) if quant.unit != Some(UnitId::SG) => {
            brewing::gravity::gravity(Plato::from_plato(quant.value)).sg()
        }
        // Proportions are kept in parts of one.
        (Show::Percent | Show::Share, Dimension::Proportion) => quant.value * 100.0,
        // Masses are kept in kg, doses in mg/L.
        (Show::Grams, Dimension::Mass) => quant.value * 1000.0,
        (Show::Dose, Dimension::Concentration) => quant.value / 1000.0,
        // Flows are kept in L/min.
        (Show::Evaporation, Dimension::VolumeRate) => quant.value * 60.0,
        // Alkalinity is kept in mEq/L.
        (Show::Alkalinity, Dimension::Equivalents) => {
            brewing::water::as_calcium_carbonate(Equivalents::from_meq_per_litre(quant.value)).mg_per_litre()
        }
        _ => quant.value,
    };
    value.is_finite().then_some(value)
}

/// What became of a condition.
pub(crate) struct Condition {
    /// Whether it holds.
    pub(crate) holds: bool,
    /// The sides that had to be computed: as written, and their value.
    pub(crate) sides: Vec<(String, String)>,
}

/// Computes a chain of comparisons that stands at a place.
pub(crate) fn condition(
    cx: &RecipeCx,
    place: Place,
    sides: &[(Option<Relation>, Arc<Expr>)],
) -> Result<Condition, Missing> {
    let block = cx
        .recipe
        .blocks
        .get(usize::from(place.block))
        .ok_or(Missing::because("the condition stands in no block of the recipe"))?;
    let value = |expr: &Expr| cx.calc.evaluate(expr, block).map_err(|error| error.missing);
    let mut made = Condition { holds: true, sides: Vec::new() };
    let mut left: Option<Value> = None;
    for (relation, expr) in sides {
        let fails = |_| Missing::because("its two sides measure different things");
        if let ExprKind::Range(low, high) = &expr.kind {
            let bound = |measure: &syntax::ast::Measure| {
                value(&Expr { span: measure.span, kind: ExprKind::Measure(*measure) })
            };
            let Some(left) = left else { continue };
            made.holds &= left.compare(bound(low)?).map_err(fails)?.is_ge()
                && left.compare(bound(high)?).map_err(fails)?.is_le();
            continue;
        }
        let right = value(expr)?;
        if !matches!(expr.kind, ExprKind::Measure(_)) {
            made.sides.push((block.slice(expr.span).trim().to_owned(), said(right)));
        }
        if let (Some(left), Some(relation)) = (left, relation)
            && *relation != Relation::And
        {
            let order = left.compare(right).map_err(fails)?;
            made.holds &= match relation {
                Relation::Less => order.is_lt(),
                Relation::LessOrEqual => order.is_le(),
                Relation::Greater => order.is_gt(),
                Relation::GreaterOrEqual => order.is_ge(),
                Relation::Equal | Relation::Within | Relation::And => order.is_eq(),
            };
        }
        left = Some(right);
    }
    Ok(made)
}

/// A computed value with its unit.
fn said(value: Value) -> String {
    match value.quantity() {
        Some(quantity) if quantity.unit != UnitId::BARE => {
            format!("{} {}", crate::say::significant(quantity.value, 4), quantity.unit)
        }
        _ => crate::say::significant(value.number, 4),
    }
}

/// A value with as many digits as it takes to tell it from a bound.
pub(crate) fn shown_apart(figure: FigureId, value: f64, bounds: &[f64]) -> String {
    let show = figure.show();
    let text = show.number(value);
    if bounds.iter().all(|bound| show.number(*bound) != text) {
        return show.with_unit(value);
    }
    for digits in 1..=5 {
        let text = format!("{value:.digits$}");
        if bounds.iter().all(|bound| format!("{bound:.digits$}") != text) {
            return if show.unit().is_empty() || show == Show::Gravity || show == Show::Ph {
                text
            } else {
                format!("{text} {}", show.unit())
            };
        }
    }
    show.with_unit(value)
}
