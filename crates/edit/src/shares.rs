//! A grist in percentages as masses, and the way back.

use figures::{Calc, FigureId};
use quantity::Dimension;
use recipe::{Amount, Joins, Recipe};
use syntax::Edit;
use syntax::vocabulary::ClauseWord;

use crate::line::Placed;
use crate::weigh::{mass_in, number};

/// Whether the grist is written in percentages.
#[must_use]
pub fn in_percent(recipe: &Recipe) -> bool {
    recipe.grist.iter().any(|line| matches!(line.amount, Amount::Share(_)))
}

/// Whether the mashed grist can be written in percentages: all of it by mass, nothing solved for yet.
#[must_use]
pub fn in_masses(placed: Placed<'_>) -> bool {
    let lines = mashed(placed);
    !lines.is_empty()
        && placed.recipe.grist_goal.is_none()
        && placed.recipe.grist_place.is_some()
        && placed.recipe.mash.runnings.is_none()
        && placed.recipe.from.is_none()
        && lines.iter().all(|at| match &placed.recipe.grist[*at].amount {
            Amount::Of(quant) => quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Mass),
            _ => false,
        })
}

/// Lines of the grist that a percentage may stand on: mashed, without a clause.
fn mashed(placed: Placed<'_>) -> Vec<usize> {
    let of_grist = |line: &recipe::GristLine| {
        matches!(line.joins, Joins::Mash)
            && Some(line.place.block) == placed.recipe.grist_place.map(|place| place.block)
            && placed.entry(line.place).is_some_and(|written| written.entry.clauses().next().is_none())
    };
    let grist = placed.recipe.grist.iter().enumerate();
    grist.filter(|(_, line)| of_grist(line)).map(|(at, _)| at).collect()
}

/// Writes the masses that percentages stand for; nothing where they cannot be solved.
#[must_use]
pub fn to_masses(placed: Placed<'_>, calc: &Calc<'_>) -> Vec<Edit> {
    let mut edits = Vec::new();
    let Ok(parts) = calc.grist_parts() else { return edits };
    let units = calc.settings.units_for(Some(calc.recipe));
    if let Some(header) = placed.recipe.grist_place.and_then(|place| placed.entry(place)) {
        header.remove_clause(ClauseWord::ToReach, &mut edits);
    }
    for (line, part) in placed.recipe.grist.iter().zip(parts) {
        if matches!(line.amount, Amount::Share(_))
            && let Some(written) = placed.entry(line.place)
        {
            written.set_amount(&mass_in(part.mass, units), &mut edits);
        }
    }
    edits
}

/// Writes the mashed grist in percentages of itself, to reach the gravity it has; nothing where that cannot
/// be computed.
#[must_use]
pub fn to_percentages(placed: Placed<'_>, calc: &Calc<'_>) -> Vec<Edit> {
    let mut edits = Vec::new();
    let (Ok(parts), Ok(og)) = (calc.grist_parts(), calc.value(FigureId::Og)) else { return edits };
    let lines = mashed(placed);
    let whole: f64 = lines.iter().filter_map(|at| parts.get(*at)).map(|part| part.mass).sum();
    if whole <= 0.0 {
        return edits;
    }
    let mut shares: Vec<f64> = lines
        .iter()
        .map(|at| rounded(parts.get(*at).map_or(0.0, |part| part.mass) / whole * 100.0))
        .collect();
    // What rounding leaves goes to the largest, where it is felt the least.
    let rest = 100.0 - shares.iter().sum::<f64>();
    if let Some(largest) = shares.iter_mut().max_by(|a, b| a.total_cmp(b)) {
        *largest += rest;
    }
    if let Some(header) = placed.recipe.grist_place.and_then(|place| placed.entry(place)) {
        let goal = number((og * 1e4).round() / 1e4);
        header.append(&format!(" to reach {goal}"), &mut edits);
    }
    for (at, share) in lines.iter().zip(shares) {
        if let Some(written) = placed.entry(placed.recipe.grist[*at].place) {
            written.set_amount(&format!("{} %", number((share * 100.0).round() / 100.0)), &mut edits);
        }
    }
    edits
}

/// Tenths of a per cent; of little roast a hundredth, which is seen in the glass.
fn rounded(percent: f64) -> f64 {
    let steps = if percent < 5.0 { 100.0 } else { 10.0 };
    (percent * steps).round() / steps
}
