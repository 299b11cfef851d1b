//! The `sour` block: souring in the kettle.

use quantity::Dimension;
use syntax::ast::{Clause, Form};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::Cx;
use super::{liquor, pitch};
use crate::kinds::named_kinds;
use crate::model::{Recipe, Sour, Vessel, WaterAddition};

pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    let place = cx.header_place();
    let sour = recipe.sour.get_or_insert_with(|| Sour {
        place,
        boil: None,
        pitches: Vec::new(),
        additions: Vec::new(),
        hold: None,
    });
    for entry in cx.entries() {
        if entry.form == Form::Item {
            let line = pitch::line(cx, entry, named_kinds(BlockKind::Sour, None));
            if line.thing.kind() == Some(BlockKind::Addition) {
                sour.additions.push(WaterAddition {
                    place: line.place,
                    amount: line.amount,
                    thing: line.thing,
                    vessel: Vessel::Kettle,
                    to_reach: None,
                });
            } else {
                sour.pitches.push(line);
            }
            continue;
        }
        let Some(keyword) = entry.keyword else { continue };
        match keyword.node {
            Keyword::Boil => sour.boil = entry.value().and_then(|value| cx.given(value, Dimension::Time)),
            Keyword::Add => sour.additions.push(liquor::addition(cx, entry, Vessel::Kettle)),
            Keyword::Hold => {
                let temperature = entry.value().and_then(|value| cx.given(value, Dimension::Temperature));
                let time = cx.clause_given(entry, ClauseWord::For, Dimension::Time);
                let until = entry.clause(ClauseWord::Until).and_then(Clause::value);
                let ph = until.and_then(|value| cx.given(value, Dimension::Number));
                sour.hold = temperature.map(|temperature| (cx.place(entry.span), temperature, time, ph));
            }
            _ => {}
        }
    }
}
