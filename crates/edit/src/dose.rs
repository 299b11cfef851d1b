//! Acid to a pH, salts to a profile, a hop to a bitterness, written into a recipe.

use std::sync::Arc;

use brewing::salts::DEFAULT_SALTS;
use brewing::water::Salt;
use figures::{Missing, Settings};
use quantity::UnitId;
use recipe::{Definition, FactValue, Place, Recipe, Scope, Thing, Vessel, WaterAddition};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};
use syntax::{Edit, Span};

use crate::format::{field, stop};
use crate::line::{Placed, Written};
use crate::weigh::{mass_in, number, weighable};

/// The acid that is added where a recipe has none.
const USUAL_ACID: &str = "lactic acid";

/// The names the salts of a solved profile go by in the library.
const SALT_NAMES: [(Salt, &str); 5] = [
    (Salt::Gypsum, "gypsum"),
    (Salt::CalciumChlorideDihydrate, "calcium chloride dihydrate"),
    (Salt::EpsomSalt, "Epsom salt"),
    (Salt::TableSalt, "table salt"),
    (Salt::BakingSoda, "baking soda"),
];

/// Index of the liquor's addition on a line, where it is an acid of the mash.
#[must_use]
pub fn mash_acid(recipe: &Recipe, place: Place) -> Option<usize> {
    recipe.liquor.additions.iter().position(|addition| addition.place == place && is_mash_acid(addition))
}

fn is_mash_acid(addition: &WaterAddition) -> bool {
    matches!(addition.vessel, Vessel::Mash | Vessel::Unsaid)
        && addition.thing.words(Keyword::Role).is_some_and(|role| role.eq_ignore_ascii_case("acid"))
}

/// Whether the mash is acidified.
#[must_use]
pub fn has_mash_acid(recipe: &Recipe) -> bool {
    recipe.liquor.additions.iter().any(is_mash_acid)
}

/// Doses the acid on a line so that the mash comes to a pH; where none stands there, adds lactic acid to the
/// liquor.
///
/// # Errors
/// Where the mash cannot be computed, or no amount of the acid reaches the pH.
pub fn acid_to_ph(
    placed: Placed<'_>,
    settings: &Settings,
    scope: &Scope,
    place: Place,
    ph: f64,
) -> Result<Vec<Edit>, Missing> {
    let recipe = placed.recipe;
    let mut edits = Vec::new();
    if let Some(at) = mash_acid(recipe, place) {
        let addition = &recipe.liquor.additions[at];
        let millilitres = figures::acid_to_ph(recipe, settings, addition, Some(at), ph)?;
        if let Some(line) = placed.entry(addition.place) {
            line.set_amount(&measured(millilitres), &mut edits);
            line.remove_clause(ClauseWord::ToReach, &mut edits);
        }
        return Ok(edits);
    }
    let liquor = recipe.liquor_place.ok_or(Missing::because("there is no liquor block"))?;
    let known = scope.find(BlockKind::Addition, USUAL_ACID);
    let definition =
        known.map(|found| found.definition).ok_or(Missing::because("lactic acid is not known"))?;
    let strength = strength(&definition);
    // No line of the recipe stands at such a place.
    let nowhere = Place { block: liquor.block, span: Span::at(u32::MAX) };
    let thing = thing(USUAL_ACID, nowhere, definition);
    let addition = WaterAddition {
        place: nowhere,
        amount: recipe::Amount::Missing,
        thing,
        vessel: Vessel::Mash,
        to_reach: None,
    };
    let millilitres = figures::acid_to_ph(recipe, settings, &addition, None, ph)?;
    let last = last_line(placed, liquor).ok_or(Missing::because("there is no liquor block"))?;
    let properties = if strength.is_empty() { String::new() } else { format!(" [{strength}]") };
    let text = format!("{} {USUAL_ACID}{properties} to mash", measured(millilitres));
    last.below(&format!("{}{text}", field("add", stop(last.block))), &mut edits);
    Ok(edits)
}

/// The strength of an acid as one writes it on a line; it differs from bottle to bottle.
fn strength(definition: &Definition) -> String {
    match definition.fact(Keyword::Strength).map(|fact| &fact.value) {
        Some(FactValue::Number(quant) | FactValue::Range(quant, ..)) => {
            format!("{} %", number((quant.value * 1000.0).round() / 10.0))
        }
        _ => String::new(),
    }
}

fn measured(millilitres: f64) -> String {
    format!("{} mL", number(weighable(millilitres, UnitId::ML)))
}

fn thing(name: &str, place: Place, definition: Arc<Definition>) -> Thing {
    Thing {
        name: name.into(),
        place,
        definition: Some(definition),
        loose: false,
        own: Vec::new(),
        flags: Vec::new(),
        substitutes: Vec::new(),
    }
}

/// The last entry of a block, behind which more is put: of its additions, where it has some.
fn last_line(placed: Placed<'_>, block: Place) -> Option<Written<'_>> {
    let of_block = || placed.entries().filter(|line| line.place.block == block.block);
    let is_addition =
        |line: &Written<'_>| line.entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Add);
    of_block().filter(is_addition).last().or_else(|| of_block().last())
}

/// Doses salts so that the whole liquor comes as near to the profile of `match` as they can bring it. Salts
/// that are written already get their new amount or go.
///
/// # Errors
/// Where no profile is named, or source or volumes are not known.
pub fn salts_to_profile(
    placed: Placed<'_>,
    settings: &Settings,
    scope: &Scope,
) -> Result<Vec<Edit>, Missing> {
    let recipe = placed.recipe;
    let liquor = recipe.liquor_place.ok_or(Missing::because("there is no liquor block"))?;
    let places: Vec<_> = SALT_NAMES
        .iter()
        .map(|(salt, name)| {
            let found = scope.find(BlockKind::Addition, name);
            (*salt, *name, found.map(|found| found.definition.place))
        })
        .collect();
    let salt_of = |addition: &WaterAddition| {
        let place = addition.thing.definition.as_ref()?.place;
        places.iter().find(|(_, _, known)| *known == Some(place)).map(|(salt, ..)| *salt)
    };
    let written: Vec<(usize, Salt)> = recipe
        .liquor
        .additions
        .iter()
        .enumerate()
        .filter_map(|(at, addition)| Some((at, salt_of(addition)?)))
        .collect();
    let replaced: Vec<usize> = written.iter().map(|(at, _)| *at).collect();
    let doses = figures::salts_to_profile(recipe, settings, &replaced, &DEFAULT_SALTS)?;
    let vessel = if doses.only_kettle {
        "kettle"
    } else if doses.only_mash {
        "mash"
    } else {
        "all"
    };
    let grams = |salt: Salt| {
        let exact = doses.salts.iter().find(|(one, _)| *one == salt).map_or(0.0, |(_, grams)| *grams);
        if exact < LEAST { 0.0 } else { weighable(exact, UnitId::G) }
    };
    let mut edits = Vec::new();
    let mut done = Vec::new();
    for (at, salt) in written {
        let Some(line) = placed.entry(recipe.liquor.additions[at].place) else { continue };
        if grams(salt) == 0.0 || done.contains(&salt) {
            line.remove(&mut edits);
            continue;
        }
        done.push(salt);
        line.set_amount(&format!("{} g", number(grams(salt))), &mut edits);
        match line.entry.clause(ClauseWord::To) {
            Some(clause) => line.set_clause(clause, &format!("to {vessel}"), &mut edits),
            None => line.append(&format!(" to {vessel}"), &mut edits),
        }
    }
    if let Some(last) = last_line(placed, liquor) {
        for (salt, name, known) in &places {
            if grams(*salt) > 0.0 && !done.contains(salt) && known.is_some() {
                let add = field("add", stop(last.block));
                last.below(&format!("{add}{} g {name} to {vessel}", number(grams(*salt))), &mut edits);
            }
        }
    }
    Ok(edits)
}

/// Less of a salt than this, in grams, is left out: no kitchen scale shows it.
const LEAST: f64 = 0.05;

/// Index of the kettle hop on a line, where it has a mass and its bitterness is not solved for.
#[must_use]
pub fn bittering_hop(recipe: &Recipe, place: Place) -> Option<usize> {
    let at = recipe.additions.iter().position(|addition| {
        addition.place == place
            && addition.thing.kind() == Some(BlockKind::Hop)
            && !matches!(addition.time, recipe::KettleTime::Unsaid | recipe::KettleTime::Mash)
    })?;
    let free = recipe.additions.iter().all(|addition| addition.to_reach.is_none());
    free.then_some(at)
}

/// Takes so much of the hop on a line that the whole beer comes to a bitterness.
///
/// # Errors
/// Where the bitterness cannot be computed, or the other hops bring that much already.
pub fn hop_to_ibu(
    placed: Placed<'_>,
    settings: &Settings,
    place: Place,
    ibu: f64,
) -> Result<Vec<Edit>, Missing> {
    let at = bittering_hop(placed.recipe, place).ok_or(Missing::because("there is no hop on this line"))?;
    let kg = figures::hop_to_ibu(placed.recipe, settings, at, ibu)?;
    let mut edits = Vec::new();
    if let Some(line) = placed.entry(place) {
        line.set_amount(&mass_in(kg, settings.units_for(Some(placed.recipe))), &mut edits);
    }
    Ok(edits)
}
