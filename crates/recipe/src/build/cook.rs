//! The `cook` block: adjuncts boiled apart.

use quantity::Dimension;
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::Cx;
use crate::model::{Cook, Recipe};

pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    if cx.block.kind == BlockKind::Cook {
        let value = cx.header().and_then(|header| header.value());
        let volume = value.and_then(|value| cx.given(value, Dimension::Volume));
        recipe.cooks.push(Cook { place: cx.header_place(), volume, rests: Vec::new(), boil: None });
    }
    for entry in cx.entries() {
        let Some(keyword) = entry.keyword else { continue };
        match keyword.node {
            Keyword::Rest => {
                let temperature = entry.value().and_then(|value| cx.given(value, Dimension::Temperature));
                let time = cx.clause_given(entry, ClauseWord::For, Dimension::Time);
                if let (Some(temperature), Some(cook)) = (temperature, recipe.cooks.last_mut()) {
                    cook.rests.push((temperature, time));
                }
            }
            Keyword::Boil => {
                let time = entry.value().and_then(|value| cx.given(value, Dimension::Time));
                if let Some(cook) = recipe.cooks.last_mut() {
                    cook.boil = time;
                }
            }
            _ => {}
        }
    }
}
