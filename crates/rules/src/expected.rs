//! What `expect` asks for, beside what is computed.

use std::sync::Arc;

use figures::{FigureId, Missing, Show};
use quantity::typed::{Equivalents, Plato};
use quantity::{Dimension, UnitId};
use recipe::Quant;
use syntax::ast::{Expr, Relation};

use crate::cx::RecipeCx;

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
    /// The sides as computed, in words.
    pub(crate) sides: Vec<String>,
}

/// Computes a chain of comparisons.
pub(crate) fn condition(
    _cx: &RecipeCx,
    _sides: &[(Option<Relation>, Arc<Expr>)],
) -> Result<Condition, Missing> {
    Err(Missing::because("conditions cannot be computed yet"))
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
