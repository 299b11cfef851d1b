//! The `grist` block: everything fermentable.

use syntax::ast::{Clause, Entry, Form};
use syntax::same_words;
use syntax::vocabulary::{BlockKind, ClauseWord};

use quantity::Dimension;

use super::context::Cx;
use crate::kinds::named_kinds;
use crate::model::{Amount, During, GristLine, Joins, KettleTime, Recipe, Thing};
use crate::words;

pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if let Some(header) = cx.header() {
        recipe.grist_place = Some(cx.place(header.span));
        recipe.grist_goal = cx.clause_gravity(header, ClauseWord::ToReach);
    } else if cx.block.kind == BlockKind::Grist {
        recipe.grist_place = Some(cx.header_place());
    }
    for entry in cx.entries() {
        if entry.form != Form::Item {
            continue;
        }
        let amount = cx.amount_of(entry, true);
        let thing = cx.thing_of(entry, named_kinds(BlockKind::Grist, None));
        let joins = joins(cx, entry, &thing);
        push(cx, &mut recipe.grist, entry, amount, thing, joins);
    }
}

/// Adds a line to the grist list, from whichever block it stands in.
pub(crate) fn push(
    cx: &mut Cx<'_>,
    grist: &mut Vec<GristLine>,
    entry: &Entry,
    amount: Amount,
    thing: Thing,
    joins: Joins,
) {
    if thing.kind() == Some(BlockKind::Malt)
        && let Amount::Of(quant) = &amount
        && quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Volume)
        && let Some(value) = entry.value()
    {
        cx.problem(words::grain_by_volume(cx.text(value.span), &thing.name, value.span));
    }
    let contact = cx.contact(entry);
    grist.push(GristLine { place: cx.place(entry.span), amount, thing, joins, contact, part: None });
}

fn joins(cx: &mut Cx<'_>, entry: &Entry, thing: &Thing) -> Joins {
    if let Some(said) = cx.clause_word(entry, ClauseWord::In) {
        if same_words(said, "cook") {
            return Joins::Cook;
        }
        if same_words(said, "steep") {
            return Joins::Steep;
        }
        cx.mark_broken();
    }
    if entry.clause(ClauseWord::On).is_some_and(|clause| Clause::value(clause).is_some()) {
        return match cx.during(entry) {
            During::Unsaid => Joins::Mash,
            during => Joins::Fermenter(during),
        };
    }
    match cx.kettle_time(entry) {
        KettleTime::Unsaid | KettleTime::Stand(_) if thing.kind() == Some(BlockKind::Sugar) => {
            Joins::Kettle(None)
        }
        KettleTime::Unsaid | KettleTime::Stand(_) => Joins::Mash,
        time => in_kettle(time),
    }
}

/// When something fermentable joins that stands among the kettle's additions.
pub(crate) fn in_kettle(time: KettleTime) -> Joins {
    match time {
        KettleTime::Minutes(left) => Joins::Kettle(Some(left)),
        KettleTime::FirstWort => Joins::FirstWort,
        KettleTime::Flameout | KettleTime::Stand(_) => Joins::Flameout,
        KettleTime::Mash => Joins::Mash,
        KettleTime::Unsaid => Joins::Kettle(None),
    }
}

/// Whether a thing counts as fermentable: it then stands on the grist list, whatever block names it.
pub(crate) fn is_fermentable(thing: &Thing) -> bool {
    matches!(thing.kind(), Some(BlockKind::Malt | BlockKind::Sugar))
}
