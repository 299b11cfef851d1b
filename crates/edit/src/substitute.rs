//! Another ingredient in the place of one.

use std::sync::Arc;

use figures::{Missing, Settings};
use recipe::{Amount, Definition, Place, Recipe, Thing};
use syntax::ast::Part;
use syntax::{Edit, Span};

use crate::line::Placed;
use crate::weigh::mass_in;

/// The thing a line of a recipe names, where another may stand in its place.
#[must_use]
pub fn replaceable(recipe: &Recipe, place: Place) -> Option<&Thing> {
    // A percentage is of the whole grist: another malt would change all the masses.
    let weighed = |line: &&recipe::GristLine| matches!(line.amount, Amount::Of(_));
    let grist = recipe.grist.iter().filter(weighed).map(|line| (line.place, &line.thing));
    let kettle = recipe.additions.iter().map(|line| (line.place, &line.thing));
    let cold = recipe.parts.iter().flat_map(|part| {
        let pitched = part.pitch.lines.iter().map(|line| (line.place, &line.thing));
        pitched.chain(part.ferment.additions.iter().map(|line| (line.place, &line.thing)))
    });
    grist.chain(kettle).chain(cold).find(|(at, _)| *at == place).map(|(_, thing)| thing)
}

/// Puts another ingredient on a line, `name` being how it is written there, and so much of it that gravity,
/// bitterness and, where the other malts can make up for it, the colour stay. What the line said of the old
/// one goes with it.
///
/// # Errors
/// Where what the new one brings is not known, or it brings nothing.
pub fn substitute(
    placed: Placed<'_>,
    settings: &Settings,
    place: Place,
    definition: &Arc<Definition>,
    name: &str,
) -> Result<Vec<Edit>, Missing> {
    let masses = figures::substitute(placed.recipe, settings, place, definition)?;
    let units = settings.units_for(Some(placed.recipe));
    let mut edits = Vec::new();
    if let Some(line) = placed.entry(place)
        && let Some(old) = line.entry.name()
    {
        let quote = u32::from(old.quoted);
        let mut whole = Span::new(old.span.start - quote, old.span.end + quote);
        for part in &line.entry.parts {
            if let Part::Props(props) = part {
                whole = whole.cover(props.span);
            }
        }
        line.replace(whole, name, &mut edits);
    }
    for (at, kg) in masses {
        if let Some(line) = placed.entry(at) {
            line.set_amount(&mass_in(kg, units), &mut edits);
        }
    }
    edits.sort_by_key(|edit| edit.span.start);
    Ok(edits)
}
