//! Amounts that are computed, written in.

use figures::{Calc, Ingredient, ShownUnits};
use quantity::{Dimension, Quantity, UnitId};
use recipe::{Amount, Place};
use syntax::Edit;
use syntax::ast::{Expr, Form, ValueKind};
use syntax::vocabulary::ClauseWord;

use crate::line::{Placed, Written};
use crate::weigh::{mass_in, number, weighable};

/// Whether the amount of a line is solved for, or computed by an expression.
#[must_use]
pub fn is_solved(placed: Placed<'_>, place: Place) -> bool {
    placed.entry(place).is_some_and(|line| expression(line).is_some() || by_goal(placed, place))
}

/// The expression that stands for the amount of a line.
fn expression(line: Written<'_>) -> Option<&Expr> {
    let readable = matches!(line.entry.form, Form::Item | Form::Fact);
    match &line.amount().or_else(|| line.entry.value()).filter(|_| readable)?.kind {
        ValueKind::Expr(expr) => Some(expr),
        _ => None,
    }
}

/// Whether a line says what to reach in place of an amount.
fn by_goal(placed: Placed<'_>, place: Place) -> bool {
    let recipe = placed.recipe;
    let hops = recipe.additions.iter().map(|one| (one.place, &one.amount, one.to_reach.is_some()));
    let water = recipe.liquor.additions.iter().map(|one| (one.place, &one.amount, one.to_reach.is_some()));
    hops.chain(water).any(|(at, amount, goal)| at == place && goal && matches!(amount, Amount::Solved))
}

/// Writes in the amount of a line that is solved for or computed; nothing where it cannot be computed.
#[must_use]
pub fn write_solved(placed: Placed<'_>, calc: &Calc<'_>, place: Place) -> Vec<Edit> {
    let units = calc.settings.units_for(Some(calc.recipe));
    let mut edits = Vec::new();
    let Some(line) = placed.entry(place) else { return edits };
    if let Some(expr) = expression(line) {
        let value = calc.evaluate(expr, line.block).ok().and_then(quantity::Value::quantity);
        if let Some(text) = value.and_then(|value| computed(value, units)) {
            if line.amount().is_some() {
                line.set_amount(&text, &mut edits);
            } else if let Some(value) = line.entry.value() {
                line.replace(value.span, &text, &mut edits);
            }
        }
    } else if by_goal(placed, place)
        && let Some(text) = solved(calc, place, units)
    {
        line.set_amount(&text, &mut edits);
        line.remove_clause(ClauseWord::ToReach, &mut edits);
    }
    edits
}

/// What an expression gives, as one writes an amount.
fn computed(value: Quantity, units: ShownUnits) -> Option<String> {
    if !value.value.is_finite() || value.value <= 0.0 {
        return None;
    }
    let in_unit = |unit: UnitId| {
        let value = value.convert(unit).ok()?;
        Some(format!("{} {unit}", number(weighable(value.value, unit))))
    };
    match value.unit.dimension() {
        Dimension::Mass => Some(mass_in(value.convert(UnitId::KG).ok()?.value, units)),
        Dimension::Volume if value.convert(UnitId::L).ok()?.value < 0.5 => in_unit(UnitId::ML),
        Dimension::Volume => in_unit(UnitId::L),
        Dimension::Number => None,
        _ => Some(format!("{} {}", quantity::format_value(value.value, value.unit), value.unit)),
    }
}

/// The amount of an ingredient that is solved for or computed, as one writes it.
pub(crate) fn solved(calc: &Calc<'_>, place: Place, units: ShownUnits) -> Option<String> {
    let found = calc.ingredients().into_iter().find(|(at, ..)| *at == place);
    let (value, unit) = match found?.2.ok()? {
        Ingredient::Mass(kg) => (kg, UnitId::KG),
        Ingredient::Volume(litres) => (litres, UnitId::L),
        Ingredient::Cells(_) | Ingredient::Count(..) => return None,
    };
    computed(Quantity::new(value, unit), units)
}

/// Writes the answer to a question in its place, as prose.
#[must_use]
pub fn write_answer(placed: Placed<'_>, place: Place, answer: &str) -> Vec<Edit> {
    let mut edits = Vec::new();
    let query = placed.recipe.queries.iter().find(|query| query.place == place);
    if let (Some(line), Some(query)) = (placed.entry(place), query) {
        let asked = query.label.as_deref().unwrap_or_else(|| query.expr.span.of(&line.block.text).trim());
        line.replace(line.entry.span, &format!("| {asked}: {answer}"), &mut edits);
    }
    edits
}
