//! The `package` block: containers, carbonation, priming.

use quantity::{Dimension, UnitId};
use syntax::ast::{Clause, Entry, Form, Prop, PropKind};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use super::context::{Cx, own_props};
use super::pitch;
use crate::kinds::named_kinds;
use crate::model::{Amount, Container, During, Given, Packaging, Part, Thing};

pub(crate) fn read(cx: &mut Cx<'_>, part: &mut Part) {
    if cx.block.kind == BlockKind::Package {
        part.package.place = Some(cx.header_place());
    }
    for entry in cx.entries() {
        if entry.form == Form::Item {
            let line = pitch::line(cx, entry, named_kinds(BlockKind::Package, None));
            if matches!(line.thing.kind(), Some(BlockKind::Addition | BlockKind::Hop)) {
                let addition = pitch::addition(cx, entry, line, During::Unsaid);
                part.package.additions.push(addition);
            } else {
                part.package.yeast.push(line);
            }
            continue;
        }
        let Some(keyword) = entry.keyword else { continue };
        if keyword.node == Keyword::Store {
            part.package.store = entry.value().and_then(|value| cx.given(value, Dimension::Temperature));
        } else if let Some(container) = container(keyword.node) {
            let line = line(cx, entry, container);
            part.package.lines.push(line);
        }
    }
}

/// The container a word names.
pub(crate) const fn container(keyword: Keyword) -> Option<Container> {
    Some(match keyword {
        Keyword::Keg => Container::Keg,
        Keyword::Cask => Container::Cask,
        Keyword::Bottle => Container::Bottle,
        Keyword::Can => Container::Can,
        _ => return None,
    })
}

fn line(cx: &mut Cx<'_>, entry: &Entry, container: Container) -> Packaging {
    let mut line = Packaging {
        place: cx.place(entry.span),
        volume: None,
        container,
        carbonation: None,
        limit: None,
        temperature: cx.clause_given(entry, ClauseWord::At, Dimension::Temperature),
        residual_at: None,
        priming: None,
    };
    for value in entry.values() {
        match cx.quant(value).and_then(|quant| quant.unit).map(UnitId::dimension) {
            Some(Dimension::Volume) => line.volume = cx.given(value, Dimension::Volume),
            Some(_) => line.carbonation = cx.given(value, Dimension::Carbonation),
            None => {}
        }
    }
    let stated = |cx: &mut Cx<'_>, wanted: Keyword, dimension: Dimension| -> Option<Given<f64>> {
        let on_line = own_props(entry);
        let of_clauses = entry.clauses().filter(|clause| clause.word != ClauseWord::With);
        let all = on_line.chain(of_clauses.flat_map(Clause::props).flat_map(|props| props.list.iter()));
        let mut values = all.filter_map(|prop: &Prop| match &prop.kind {
            PropKind::Keyed { key, value: Some(value), .. } if *key == wanted => Some(value),
            _ => None,
        });
        values.next().and_then(|value| cx.given(value, dimension))
    };
    line.limit = stated(cx, Keyword::Glass, Dimension::Carbonation);
    line.residual_at = stated(cx, Keyword::Residual, Dimension::Temperature);
    line.priming = entry.clause(ClauseWord::With).map(|clause| priming(cx, clause));
    line
}

/// `with 4.8 g/L dextrose monohydrate`; without an amount it is solved for.
pub(crate) fn priming(cx: &mut Cx<'_>, clause: &Clause) -> (Amount, Thing) {
    let amount = clause.value().map_or(Amount::Solved, |value| cx.amount(value, false));
    (amount, cx.thing_of_clause(clause, &[BlockKind::Sugar]))
}
