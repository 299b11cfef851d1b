//! Another ingredient in the place of one: how much of it makes the same beer.

use std::sync::Arc;

use quantity::{Dimension, UnitId};
use recipe::{Amount, Definition, Place, Quant, Recipe, Thing};

use crate::calc::Calc;
use crate::figure::Missing;
use crate::settings::Settings;

/// Rounds of the search for a hop's mass.
const ROUNDS: usize = 30;
/// A second line is only moved within these multiples of what it was, and the substitute within the others:
/// beyond them another beer is brewed.
const SECOND: (f64, f64) = (0.5, 1.5);
const FIRST: (f64, f64) = (0.25, 4.0);

/// The new masses in kg, by the places of their lines. A line that is not listed keeps its amount.
pub type Masses = Vec<(Place, f64)>;

/// What another ingredient on a line makes of the amounts: with a malt or a sugar the extract stays, and the
/// colour too where the largest other line can make up for it; with a hop its bitterness. Of whatever else,
/// and of hops that give no bitterness, as much is taken as of the old one.
///
/// # Errors
/// Where what the new one brings is not known, or it brings nothing.
pub fn substitute(
    recipe: &Recipe,
    settings: &Settings,
    place: Place,
    definition: &Arc<Definition>,
) -> Result<Masses, Missing> {
    if let Some(at) = recipe.grist.iter().position(|line| line.place == place) {
        return fermentable(recipe, settings, at, definition);
    }
    if let Some(at) = recipe.additions.iter().position(|line| line.place == place) {
        return hop(recipe, settings, at, definition);
    }
    Ok(Vec::new())
}

/// The thing under its new name; what the line says of the old one does not hold for it.
fn renamed(thing: &Thing, definition: &Arc<Definition>) -> Thing {
    Thing {
        name: definition.name.clone(),
        definition: Some(Arc::clone(definition)),
        own: Vec::new(),
        substitutes: Vec::new(),
        loose: false,
        ..thing.clone()
    }
}

fn kilograms(kg: f64) -> Amount {
    Amount::Of(Quant { value: kg, unit: Some(UnitId::KG), spread: 0.0 })
}

/// Whether a line is weighed.
fn is_mass(amount: &Amount) -> bool {
    matches!(amount, Amount::Of(quant) if quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Mass))
}

/// Extract and colour that a kilogram of a line brings.
fn brings(calc: &Calc<'_>, at: usize) -> Result<(f64, f64), Missing> {
    let part = calc.grist_parts()?.get(at).copied().ok_or(Missing::because("there is no such line"))?;
    Ok((part.extract / part.mass, calc.colour_weight(at)? / part.mass))
}

fn fermentable(
    recipe: &Recipe,
    settings: &Settings,
    at: usize,
    definition: &Arc<Definition>,
) -> Result<Masses, Missing> {
    let before = Calc::new(recipe, settings);
    let line = &recipe.grist[at];
    if !is_mass(&line.amount) {
        return Err(Missing::because("the line is not weighed"));
    }
    let old = before.grist_parts()?[at];
    let (extract, colour) = brings(&before, at)?;
    let mut next = recipe.clone();
    next.grist[at].thing = renamed(&line.thing, definition);
    let now = Calc::new(&next, settings);
    let (new_extract, new_colour) = brings(&now, at)?;
    let sound = |mass: f64, of: f64, (least, most): (f64, f64)| {
        mass.is_finite() && mass >= of * least && mass <= of * most
    };
    // The largest other line of the same place makes up for what colour and extract together ask.
    let others = recipe.grist.iter().enumerate().filter(|(other, one)| {
        *other != at
            && is_mass(&one.amount)
            && core::mem::discriminant(&one.joins) == core::mem::discriminant(&line.joins)
    });
    let parts = before.grist_parts()?;
    let second = others.max_by(|a, b| parts[a.0].mass.total_cmp(&parts[b.0].mass)).map(|(other, _)| other);
    if let Some(second) = second {
        let (e2, c2) = brings(&before, second)?;
        let held = parts[second].mass;
        let (e, c) = (old.mass * extract + held * e2, old.mass * colour + held * c2);
        let determinant = new_extract * c2 - new_colour * e2;
        if determinant.abs() > 1e-9 {
            let first_mass = (e * c2 - c * e2) / determinant;
            let second_mass = (new_extract * c - new_colour * e) / determinant;
            if sound(first_mass, old.mass, FIRST) && sound(second_mass, held, SECOND) {
                return Ok(vec![(line.place, first_mass), (recipe.grist[second].place, second_mass)]);
            }
        }
    }
    let alone = old.mass * extract / new_extract;
    if sound(alone, old.mass, FIRST) {
        Ok(vec![(line.place, alone)])
    } else {
        Err(Missing::because("it brings far more or far less extract than what it would stand for"))
    }
}

fn hop(
    recipe: &Recipe,
    settings: &Settings,
    at: usize,
    definition: &Arc<Definition>,
) -> Result<Masses, Missing> {
    let before = Calc::new(recipe, settings);
    let line = &recipe.additions[at];
    if !is_mass(&line.amount) {
        return Ok(Vec::new());
    }
    let lines = before.hop_lines()?;
    let Some(old) = lines.iter().find(|one| one.addition == at).filter(|one| one.ibu > 0.0) else {
        return Ok(Vec::new());
    };
    let whole: f64 = lines.iter().map(|one| one.ibu).sum();
    let mut next = recipe.clone();
    next.additions[at].thing = renamed(&line.thing, definition);
    let mut mass = old.mass;
    for _ in 0..ROUNDS {
        next.additions[at].amount = kilograms(mass);
        let now = Calc::new(&next, settings);
        let lines = now.hop_lines()?;
        let own = lines.iter().find(|one| one.addition == at).map_or(0.0, |one| one.ibu);
        let others: f64 = lines.iter().map(|one| one.ibu).sum::<f64>() - own;
        if own <= 0.0 {
            return Err(Missing::because("it gives no bitterness where it is added"));
        }
        mass *= (whole - others) / own;
    }
    if mass.is_finite() && mass > 0.0 {
        Ok(vec![(line.place, mass)])
    } else {
        Err(Missing::because("no amount of it gives that bitterness"))
    }
}
