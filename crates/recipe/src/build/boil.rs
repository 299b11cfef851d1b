//! The kettle: `boil`, `stand` and `chill`.

use quantity::Dimension;
use syntax::ast::{Clause, Entry, Form};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::Cx;
use super::{grist, liquor};
use crate::kinds::named_kinds;
use crate::model::{Addition, Amount, Boil, Chill, KettleTime, Recipe, Stand, Thing};

pub(crate) fn read_boil(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind == BlockKind::Boil {
        let value = cx.header().and_then(|header| header.value());
        let time = value.and_then(|value| cx.given(value, Dimension::Time));
        recipe.boil = Some(Boil { place: cx.header_place(), time });
    }
    for entry in cx.entries() {
        if entry.form == Form::Item {
            let time = cx.kettle_time(entry);
            item(cx, recipe, entry, time);
        } else if entry.keyword.is_some_and(|keyword| keyword.node == Keyword::TopUp) {
            liquor::top_up(cx, recipe, entry);
        }
    }
}

pub(crate) fn read_stand(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind == BlockKind::Stand {
        let mut stand = Stand { place: cx.header_place(), time: None, temperature: None };
        if let Some(header) = cx.header() {
            stand.time = header.value().and_then(|value| cx.given(value, Dimension::Time));
            stand.temperature = cx.clause_given(header, ClauseWord::At, Dimension::Temperature);
        }
        recipe.stands.push(stand);
    }
    let stand = recipe.stands.len().saturating_sub(1);
    for entry in cx.entries() {
        if entry.form == Form::Item {
            item(cx, recipe, entry, KettleTime::Stand(stand));
        }
    }
}

pub(crate) fn read_chill(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind != BlockKind::Chill {
        return;
    }
    let mut chill = Chill { place: cx.header_place(), to: None, over: None };
    if let Some(header) = cx.header() {
        chill.to = cx.clause_given(header, ClauseWord::To, Dimension::Temperature);
        chill.over = cx.clause_given(header, ClauseWord::Over, Dimension::Time);
    }
    recipe.chill = Some(chill);
}

fn item(cx: &mut Cx<'_>, recipe: &mut Recipe, entry: &Entry, time: KettleTime) {
    let amount = cx.amount_of(entry, false);
    let thing = cx.thing_of(entry, named_kinds(BlockKind::Boil, None));
    if grist::is_fermentable(&thing) {
        grist::push(cx, &mut recipe.grist, entry, amount, thing, grist::in_kettle(time));
    } else {
        push(cx, &mut recipe.additions, entry, amount, thing, time);
    }
}

/// Adds a hop or the like to those of the kettle.
pub(crate) fn push(
    cx: &mut Cx<'_>,
    additions: &mut Vec<Addition>,
    entry: &Entry,
    amount: Amount,
    thing: Thing,
    time: KettleTime,
) {
    let contact = cx.contact(entry);
    let to_reach = entry.clause(ClauseWord::ToReach).and_then(Clause::value);
    let to_reach = to_reach.and_then(|value| cx.given(value, Dimension::Bitterness));
    additions.push(Addition { place: cx.place(entry.span), amount, thing, time, contact, to_reach });
}
