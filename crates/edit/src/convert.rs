//! Measures of one system written in the other, their meaning unchanged.
//!
//! Converted is what has a counterpart: masses, volumes, temperatures, pressures, lengths and what is made
//! of them. Scales of the trade (gravity, colour, bitterness, ions) belong to both systems and stay, as do
//! small doses, which are weighed in grams everywhere, and expressions.

use quantity::display::shown_unit;
use quantity::unit::System;
use quantity::{Customary, Dimension, Places, Quantity, ShownUnits, UnitId, format_places};
use syntax::ast::{Block, Body, ClausePart, Entry, File, Measure, Part, PropKind, Props, Value, ValueKind};
use syntax::vocabulary::{BlockKind, Keyword};
use syntax::{Edit, Span};

use crate::line::{Number, Written};
use crate::weigh::number;

/// Masses below this, in kg, are weighed in grams everywhere.
const SMALL_MASS: f64 = 0.01;
/// Volumes below this, in L, are measured in millilitres everywhere.
const SMALL_VOLUME: f64 = 0.05;
/// Digits a converted number keeps: it is off by less than a two-thousandth.
const DIGITS: u8 = 4;

/// Which systems the measures within some bytes of a file belong to: metric, customary. Only such count as
/// can be converted.
#[must_use]
pub fn systems(file: &File, within: Span, house: Option<Customary>) -> (bool, bool) {
    let us = ShownUnits::Customary(Customary::Us);
    (
        !convert(file, within, us, house).is_empty(),
        !convert(file, within, ShownUnits::Metric, house).is_empty(),
    )
}

/// The edits that write a whole file in another system. A recipe that says nothing of customary measures then
/// says which it is written in, so that a gallon is a gallon.
#[must_use]
pub fn convert_file(file: &File, to: ShownUnits, house: Option<Customary>) -> Vec<Edit> {
    const WHOLE: Span = Span::new(0, u32::MAX);
    let plain = convert(file, WHOLE, to, house);
    let ShownUnits::Customary(customary) = to else { return plain };
    // A gallon that nobody has called US or imperial is not made one by the way.
    let unsaid = |entry: &Entry| values(entry).into_iter().any(|value| is_unsaid(&value.kind));
    if plain.is_empty() || file.blocks.iter().any(|placed| placed.block.entries().any(|(_, one)| unsaid(one)))
    {
        return plain;
    }
    let word = match customary {
        Customary::Us => "us",
        Customary::Imperial => "imperial",
    };
    let mut edits = converted_with(file, WHOLE, to, house, Some(customary));
    for (index, placed) in file.blocks.iter().enumerate() {
        let silent = placed.block.kind == BlockKind::Recipe && said(&placed.block).or(house).is_none();
        let header = placed.block.lines.iter().find(|line| matches!(line.body, Body::Header(_)));
        if silent
            && let Some(header) = header
            && let Some(written) = Written::of(&placed.block, placed.start, index, header)
        {
            written.below(&format!("customary {word}"), &mut edits);
        }
    }
    edits.sort_by_key(|edit| edit.span.start);
    edits
}

/// Whether the unit of a value means one thing in US measures and another in imperial ones.
fn is_unsaid(value: &ValueKind) -> bool {
    let needs = |measure: &Measure| measure.unit.is_some_and(UnitId::needs_customary);
    match value {
        ValueKind::Plain(one) => needs(one),
        ValueKind::Range(first, second) | ValueKind::Tolerance(first, second) => {
            needs(first) || needs(second)
        }
        _ => false,
    }
}

/// The edits that write the measures of the lines that touch some bytes of a file in another system. A
/// customary measure that nobody has said to be US or imperial stays.
#[must_use]
pub fn convert(file: &File, within: Span, to: ShownUnits, house: Option<Customary>) -> Vec<Edit> {
    converted_with(file, within, to, house, None)
}

/// The same; `usual` is what a recipe that says nothing is going to say.
fn converted_with(
    file: &File,
    within: Span,
    to: ShownUnits,
    house: Option<Customary>,
    usual: Option<Customary>,
) -> Vec<Edit> {
    let mut edits = Vec::new();
    let mut in_force = house;
    for (index, placed) in file.blocks.iter().enumerate() {
        let block = &placed.block;
        match block.kind {
            BlockKind::Recipe => in_force = said(block).or(house).or(usual),
            BlockKind::Gyle | BlockKind::Tasting => in_force = house,
            _ => {}
        }
        let here = if block.kind.is_definition() { house } else { in_force };
        let end = placed.start + u32::try_from(block.text.len()).unwrap_or(u32::MAX);
        if end < within.start || placed.start > within.end {
            continue;
        }
        for line in &block.lines {
            let touched = line.span.start + placed.start <= within.end
                && line.span.end + placed.start >= within.start
                && matches!(line.body, Body::Header(_) | Body::Entry(_));
            if touched && let Some(written) = Written::of(block, placed.start, index, line) {
                for value in values(written.entry) {
                    let is_new = core::cell::Cell::new(false);
                    let mut found = Vec::new();
                    let change = |one: Number<'_>| {
                        let text = converted(one, to, here);
                        is_new.set(is_new.get() || text.is_some());
                        text.or_else(|| Some(one.span.of(&block.text).to_owned()))
                    };
                    written.change_value(value, &change, &mut found);
                    if is_new.get() {
                        edits.append(&mut found);
                    }
                }
            }
        }
    }
    edits
}

/// The measures a recipe says it is written in.
fn said(block: &Block) -> Option<Customary> {
    let (_, entry) = block
        .entries()
        .find(|(_, entry)| entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Customary))?;
    let word = entry.name()?.span.of(&block.text);
    if word.eq_ignore_ascii_case("us") {
        Some(Customary::Us)
    } else {
        word.eq_ignore_ascii_case("imperial").then_some(Customary::Imperial)
    }
}

/// Every value of an entry, those of its properties and clauses included.
fn values(entry: &Entry) -> Vec<&Value> {
    fn of_props<'e>(props: &'e Props, found: &mut Vec<&'e Value>) {
        for prop in &props.list {
            match &prop.kind {
                PropKind::Keyed { value: Some(value), .. } | PropKind::Value(value) => found.push(value),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    for part in &entry.parts {
        match part {
            Part::Value(value) => found.push(value),
            Part::Props(props) => of_props(props, &mut found),
            Part::Clause(clause) => {
                for part in &clause.parts {
                    match part {
                        ClausePart::Value(value) => found.push(value),
                        ClausePart::Props(props) => of_props(props, &mut found),
                        ClausePart::Name(_) => {}
                    }
                }
            }
            _ => {}
        }
    }
    found
}

/// A number in the other system; `None` where it has no counterpart there.
fn converted(one: Number<'_>, to: ShownUnits, in_force: Option<Customary>) -> Option<String> {
    let unit = one.unit?;
    let unit = in_force.map_or(unit, |customary| unit.resolve(customary));
    let from = match to {
        ShownUnits::Metric => System::Customary,
        ShownUnits::Customary(_) => System::Metric,
    };
    let target = shown_unit(unit, to);
    if unit.needs_customary() || unit.system() != from || target == unit {
        return None;
    }
    let whole = Quantity::new(one.number, unit);
    let small = match unit.dimension() {
        Dimension::Mass => whole.canonical().ok()? < SMALL_MASS,
        Dimension::Volume => whole.canonical().ok()? < SMALL_VOLUME,
        _ => false,
    };
    if small && from == System::Metric {
        return None;
    }
    let temperature = unit.dimension() == Dimension::Temperature;
    let value = if temperature && one.is_width {
        // The width of a tolerance is a step.
        if target == UnitId::F { one.number * 1.8 } else { one.number / 1.8 }
    } else {
        whole.convert(target).ok()?.value
    };
    let text = if temperature {
        number(format_places(value, Places::Decimals(1)).parse().ok()?)
    } else {
        format_places(value, Places::Significant(DIGITS))
    };
    if one.written.is_empty() {
        return Some(text);
    }
    let said = match to {
        ShownUnits::Customary(customary) if in_force == Some(customary) => target.everyday(),
        _ => target,
    };
    Some(format!("{text} {said}"))
}
