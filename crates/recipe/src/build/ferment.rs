//! The `ferment` block: steps in their order, and what is added on the way.

use quantity::Dimension;
use syntax::ast::{Clause, Entry, Form, ValueKind};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::{Cx, clause_text};
use super::grist;
use crate::kinds::named_kinds;
use crate::model::{
    During, Ferment, FermentAddition, FermentKind, FermentStep, Given, GristLine, Joins, Part, PitchLine,
    Quant, Racking,
};

pub(crate) fn read(cx: &mut Cx<'_>, part: &mut Part, list: &mut Vec<GristLine>) {
    if cx.block.kind == BlockKind::Ferment {
        part.ferment.place = Some(cx.header_place());
    }
    for entry in cx.entries() {
        if entry.form == Form::Item {
            item(cx, part, list, entry);
            continue;
        }
        let ferment = &mut part.ferment;
        let Some(keyword) = entry.keyword else { continue };
        match keyword.node {
            Keyword::Hold => {
                let temperature = entry.value().and_then(|value| cx.given(value, Dimension::Temperature));
                step(cx, ferment, entry, FermentKind::Hold, temperature);
            }
            Keyword::Raise | Keyword::Cool => {
                let kind =
                    if keyword.node == Keyword::Raise { FermentKind::Raise } else { FermentKind::Cool };
                let temperature = cx.clause_given(entry, ClauseWord::To, Dimension::Temperature);
                step(cx, ferment, entry, kind, temperature);
            }
            Keyword::FreeRise => {
                let temperature = cx.clause_given(entry, ClauseWord::Cap, Dimension::Temperature);
                step(cx, ferment, entry, FermentKind::FreeRise, temperature);
            }
            Keyword::Until => {
                let gravity = entry.value().and_then(|value| cx.gravity(value));
                if let Some(last) = ferment.steps.last_mut()
                    && last.until.is_none()
                {
                    last.until.clone_from(&gravity);
                }
                ferment.until = gravity.or(ferment.until.take());
            }
            Keyword::Spund => {
                let pressure = entry.value().and_then(|value| cx.given(value, Dimension::Pressure));
                let from = since(cx, entry);
                ferment.spund = pressure.map(|pressure| (cx.place(entry.span), pressure, from));
            }
            Keyword::Pressure => {
                ferment.pressure = entry.value().and_then(|value| cx.given(value, Dimension::Pressure));
            }
            Keyword::Rack => {
                let volume = entry.value().and_then(|value| cx.given(value, Dimension::Volume));
                let to = entry.clause(ClauseWord::To).and_then(clause_text).map(|span| cx.text(span).into());
                let during = cx.during(entry);
                ferment.rackings.push(Racking { place: cx.place(entry.span), volume, to, during });
            }
            _ => {}
        }
    }
}

fn step(
    cx: &mut Cx<'_>,
    ferment: &mut Ferment,
    entry: &Entry,
    kind: FermentKind,
    temperature: Option<Given<f64>>,
) {
    let over = cx.clause_given(entry, ClauseWord::Over, Dimension::Time);
    let time = cx.clause_given(entry, ClauseWord::For, Dimension::Time);
    let until: Option<Given<Quant>> = cx.clause_gravity(entry, ClauseWord::Until);
    // Cooling ends nothing: the beer is done. Any other step goes on fermenting.
    if kind != FermentKind::Cool || until.is_some() {
        ferment.until.clone_from(&until);
    }
    ferment.steps.push(FermentStep { place: cx.place(entry.span), kind, temperature, over, time, until });
}

/// `from 1.018`, `from day 3`.
fn since(cx: &mut Cx<'_>, entry: &Entry) -> During {
    match entry.clause(ClauseWord::From).and_then(Clause::value) {
        None => During::Unsaid,
        Some(value) => match value.kind {
            ValueKind::Day(first, last) => During::Day(first, last),
            ValueKind::Date(date) => cx.date(date, value.span).map_or(During::Unsaid, During::Date),
            _ => cx.gravity(value).map_or(During::Unsaid, |given| During::Gravity(given.value)),
        },
    }
}

fn item(cx: &mut Cx<'_>, part: &mut Part, list: &mut Vec<GristLine>, entry: &Entry) {
    let amount = cx.amount_of(entry, false);
    let thing = cx.thing_of(entry, named_kinds(BlockKind::Ferment, None));
    let during = cx.during(entry);
    if grist::is_fermentable(&thing) {
        grist::push(cx, list, entry, amount, thing, Joins::Fermenter(during));
        return;
    }
    let place = cx.place(entry.span);
    if thing.kind() == Some(BlockKind::Yeast) {
        part.pitch.lines.push(PitchLine { place, amount, thing, during });
        return;
    }
    let contact = cx.contact(entry);
    part.ferment.additions.push(FermentAddition { place, amount, thing, during, contact });
}
