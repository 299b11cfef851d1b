//! The `liquor` block, and additions of salts and acids wherever they stand.

use quantity::Dimension;
use syntax::ast::{Clause, Entry};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::Cx;
use crate::model::{Amount, LiquorVolume, Recipe, Vessel, WaterAddition};

pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind == BlockKind::Liquor {
        recipe.liquor_place = Some(cx.header_place());
    }
    for entry in cx.entries() {
        let Some(keyword) = entry.keyword else { continue };
        match keyword.node {
            Keyword::Source => recipe.liquor.source = Some(cx.thing_of(entry, &[BlockKind::Water])),
            Keyword::Blend => {
                let share = entry.value().and_then(|value| cx.given(value, Dimension::Proportion));
                let thing = cx.thing_of(entry, &[BlockKind::Water]);
                if let Some(share) = share {
                    recipe.liquor.blends.push((share, thing));
                }
            }
            Keyword::Mash => recipe.liquor.mash = Some(cx.liquor_volume(entry)),
            Keyword::Sparge => recipe.liquor.sparge = Some(cx.liquor_volume(entry)),
            Keyword::NoSparge => recipe.liquor.no_sparge = Some(cx.place(entry.span)),
            Keyword::TopUp => top_up(cx, recipe, entry),
            Keyword::Add => {
                let addition = addition(cx, entry, Vessel::Unsaid);
                recipe.liquor.additions.push(addition);
            }
            Keyword::Match => recipe.liquor.target = Some(cx.thing_of(entry, &[BlockKind::Water])),
            _ => {}
        }
    }
}

/// `add AMOUNT NAME to VESSEL`, `add NAME to mash to reach ph 5.35`.
pub(crate) fn addition(cx: &mut Cx<'_>, entry: &Entry, usual: Vessel) -> WaterAddition {
    let amount = cx.amount_of(entry, false);
    let thing = cx.thing_of(entry, &[BlockKind::Addition]);
    let vessel = match cx.vessel(entry, ClauseWord::To) {
        Vessel::Unsaid => usual,
        vessel => vessel,
    };
    let to_reach = entry.clause(ClauseWord::ToReach).and_then(Clause::value);
    let to_reach = to_reach.and_then(|value| cx.given(value, Dimension::Number));
    WaterAddition { place: cx.place(entry.span), amount, thing, vessel, to_reach }
}

/// `top up 10 L to fermenter`. Two of one vessel are one water.
pub(crate) fn top_up(cx: &mut Cx<'_>, recipe: &mut Recipe, entry: &Entry) {
    let volume = cx.liquor_volume(entry);
    let place = match cx.vessel(entry, ClauseWord::To) {
        Vessel::Fermenter => &mut recipe.liquor.top_up_fermenter,
        _ => &mut recipe.liquor.top_up_kettle,
    };
    match place {
        Some(LiquorVolume { amount: Amount::Of(sum), .. }) => {
            if let Amount::Of(more) = volume.amount {
                sum.value += more.value;
                sum.spread = sum.spread.hypot(more.spread);
            }
        }
        Some(_) => {}
        None => *place = Some(volume),
    }
}
