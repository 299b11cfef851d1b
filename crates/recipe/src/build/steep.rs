//! The `steep` block: grain steeped without mashing.

use quantity::Dimension;
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::Cx;
use crate::model::{Recipe, Steep};

pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind == BlockKind::Steep {
        let mut steep = Steep { place: cx.header_place(), time: None, temperature: None, liquor: None };
        if let Some(header) = cx.header() {
            steep.time = header.value().and_then(|value| cx.given(value, Dimension::Time));
            steep.temperature = cx.clause_given(header, ClauseWord::At, Dimension::Temperature);
        }
        recipe.steeps.push(steep);
    }
    for entry in cx.entries() {
        if entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Liquor) {
            let litres = entry.value().and_then(|value| cx.given(value, Dimension::Volume));
            if let Some(steep) = recipe.steeps.last_mut() {
                steep.liquor = litres;
            }
        }
    }
}
