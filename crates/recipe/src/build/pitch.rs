//! The `pitch` block: the yeast, its starter, oxygen.

use quantity::{Dimension, UnitId};
use syntax::ast::{Entry, Form};
use syntax::vocabulary::{BlockKind, ClauseWord, Flag, Keyword};

use super::context::Cx;
use crate::kinds::named_kinds;
use crate::model::{During, FermentAddition, Part, PitchLine, StarterStep};

pub(crate) fn read(cx: &mut Cx<'_>, part: &mut Part) {
    if cx.block.kind == BlockKind::Pitch {
        part.pitch.place = Some(cx.header_place());
    }
    for entry in cx.entries() {
        if entry.form == Form::Item {
            let line = line(cx, entry, named_kinds(BlockKind::Pitch, None));
            if line.thing.kind() == Some(BlockKind::Addition) {
                let during = if line.during == During::Unsaid { During::Day(0, None) } else { line.during };
                let addition = addition(cx, entry, line, during);
                part.ferment.additions.push(addition);
            } else {
                part.pitch.lines.push(line);
            }
            continue;
        }
        let Some(keyword) = entry.keyword else { continue };
        let Some(value) = entry.value() else { continue };
        match keyword.node {
            Keyword::Starter => {
                let stirred = if entry.flag(Flag::Stirred) {
                    Some(true)
                } else if entry.flag(Flag::Still) {
                    Some(false)
                } else {
                    None
                };
                let gravity = cx.clause_gravity(entry, ClauseWord::At);
                if let Some(volume) = cx.given(value, Dimension::Volume) {
                    part.pitch.starter.push(StarterStep {
                        place: cx.place(entry.span),
                        volume,
                        gravity,
                        stirred,
                    });
                }
            }
            Keyword::Rate => part.pitch.rate = cx.given(value, Dimension::PitchRate),
            Keyword::At => part.pitch.temperature = cx.given(value, Dimension::Temperature),
            Keyword::Oxygen => {
                let flows = match cx.quant(value).and_then(|quant| quant.unit).map(UnitId::dimension) {
                    Some(Dimension::VolumeRate) => true,
                    Some(_) => false,
                    None => continue,
                };
                if flows {
                    let time = cx.clause_given(entry, ClauseWord::For, Dimension::Time);
                    part.pitch.oxygen_flow = cx.given(value, Dimension::VolumeRate).map(|flow| (flow, time));
                } else {
                    part.pitch.oxygen = cx.given(value, Dimension::Concentration);
                }
            }
            _ => {}
        }
    }
}

/// A line that names a yeast.
pub(crate) fn line(cx: &mut Cx<'_>, entry: &Entry, kinds: &[BlockKind]) -> PitchLine {
    let amount = cx.amount_of(entry, false);
    let thing = cx.thing_of(entry, kinds);
    // `at 18 C` on a yeast line is a temperature, no gravity.
    let during = if entry.clause(ClauseWord::On).is_some() { cx.during(entry) } else { During::Unsaid };
    PitchLine { place: cx.place(entry.span), amount, thing, during }
}

/// The line as an addition to the beer, where it turned out to name no yeast.
pub(crate) fn addition(cx: &mut Cx<'_>, entry: &Entry, line: PitchLine, during: During) -> FermentAddition {
    let contact = cx.contact(entry);
    FermentAddition { place: line.place, amount: line.amount, thing: line.thing, during, contact }
}
