//! The `mash` block: rests, infusions and decoctions in their order.

use quantity::Dimension;
use syntax::ast::{Entry, Form};
use syntax::same_words;
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::Cx;
use super::{boil, grist, liquor};
use crate::kinds::named_kinds;
use crate::model::{Joins, KettleTime, MashStep, Method, Recipe, Vessel};

pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind == BlockKind::Mash {
        recipe.mash.place = Some(cx.header_place());
        recipe.mash.by = cx.header().and_then(|header| method(cx, header));
    }
    for entry in cx.entries() {
        if entry.form == Form::Item {
            item(cx, recipe, entry);
            continue;
        }
        let Some(keyword) = entry.keyword else { continue };
        let place = cx.place(entry.span);
        match keyword.node {
            Keyword::Rest => {
                let temperature = entry.value().and_then(|value| cx.given(value, Dimension::Temperature));
                let time = cx.clause_given(entry, ClauseWord::For, Dimension::Time);
                let by = method(cx, entry);
                let label = entry.label().map(|span| cx.text(span).into());
                if let Some(temperature) = temperature {
                    recipe.mash.steps.push(MashStep::Rest { place, temperature, time, by, label });
                }
            }
            Keyword::Infuse => {
                let volume = cx.liquor_volume(entry);
                recipe.mash.steps.push(MashStep::Infuse {
                    place,
                    volume: volume.amount,
                    temperature: volume.temperature,
                });
            }
            Keyword::Decoct => {
                let step = decoction(cx, entry);
                recipe.mash.steps.push(step);
            }
            Keyword::Ph => {
                recipe.mash.ph = entry.value().and_then(|value| cx.given(value, Dimension::Number))
            }
            Keyword::Add => {
                let addition = liquor::addition(cx, entry, Vessel::Mash);
                recipe.liquor.additions.push(addition);
            }
            Keyword::Runnings => {
                let volume = entry.value().and_then(|value| cx.given(value, Dimension::Volume));
                let gravity = cx.clause_gravity(entry, ClauseWord::At);
                recipe.mash.runnings = volume.map(|volume| (place, volume, gravity));
                recipe.mash.runnings_measured_at = cx.measured_at(entry.props());
            }
            _ => {}
        }
    }
}

/// An item of the mash: hops, rice hulls, enzymes.
fn item(cx: &mut Cx<'_>, recipe: &mut Recipe, entry: &Entry) {
    let amount = cx.amount_of(entry, false);
    let thing = cx.thing_of(entry, named_kinds(BlockKind::Mash, None));
    if grist::is_fermentable(&thing) {
        grist::push(cx, &mut recipe.grist, entry, amount, thing, Joins::Mash);
    } else {
        boil::push(cx, &mut recipe.additions, entry, amount, thing, KettleTime::Mash);
    }
}

fn method(cx: &mut Cx<'_>, entry: &Entry) -> Option<Method> {
    let said = cx.clause_word(entry, ClauseWord::By)?;
    let found = [
        ("infusion", Method::Infusion),
        ("direct heat", Method::DirectHeat),
        ("decoction", Method::Decoction),
        ("cook", Method::Cook),
    ]
    .into_iter()
    .find_map(|(word, method)| same_words(said, word).then_some(method));
    if found.is_none() {
        cx.mark_broken();
    }
    found
}

/// `decoct 8 L thick at 71 C for 15 min boil 15 min`.
fn decoction(cx: &mut Cx<'_>, entry: &Entry) -> MashStep {
    let volume = entry.value().map(|value| cx.amount(value, false));
    let thick = entry.name().and_then(|name| {
        let said = cx.text(name.span);
        if same_words(said, "thick") {
            Some(true)
        } else if same_words(said, "thin") {
            Some(false)
        } else {
            None
        }
    });
    let time = cx.clause_given(entry, ClauseWord::For, Dimension::Time);
    let rest = cx.clause_given(entry, ClauseWord::At, Dimension::Temperature).map(|at| (at, time));
    let boil = cx.clause_given(entry, ClauseWord::Boil, Dimension::Time);
    MashStep::Decoct { place: cx.place(entry.span), volume, thick, rest, boil }
}
