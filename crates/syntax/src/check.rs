//! What is wrong with an entry that could be read: units, keywords, fields, clauses.
//!
//! Still a pure function of block kind and line: nothing is looked up. A fault here leaves the entry in the
//! tree, so that the rest of it can be used.

use quantity::{Dimension, UnitId};

use crate::ast::{Clause, ClausePart, Entry, Form, Measure, Part, PropKind, Props, Value, ValueKind};
use crate::fault::Fault;
use crate::vocabulary::{BlockKind, BlockSpec, ClauseSpec, EntrySpec, Kind, Slot};
use crate::words;

/// Whether a unit measures what a place wants.
#[must_use]
pub fn accepts(kind: Kind, unit: UnitId) -> bool {
    use Dimension as D;
    let dimension = unit.dimension();
    match kind {
        Kind::Mass => dimension == D::Mass,
        Kind::Volume => dimension == D::Volume,
        Kind::Temperature => dimension == D::Temperature,
        Kind::Step => matches!(dimension, D::Temperature | D::TemperatureStep),
        Kind::Time => dimension == D::Time,
        Kind::Proportion => dimension == D::Proportion,
        Kind::Gravity => dimension == D::Gravity,
        Kind::Potential => dimension == D::ExtractPotential,
        Kind::Colour => dimension == D::Colour,
        Kind::Bitterness => dimension == D::Bitterness,
        Kind::Concentration => {
            matches!(dimension, D::Concentration | D::AmountConcentration | D::Equivalents | D::Proportion)
                && unit != UnitId::PERCENT
        }
        Kind::Alkalinity => {
            matches!(dimension, D::Equivalents | D::AmountConcentration | D::Concentration)
        }
        Kind::Carbonation => {
            dimension == D::Carbonation || (dimension == D::Concentration && unit != UnitId::PPM)
        }
        Kind::Pressure => dimension == D::Pressure,
        Kind::Cells => dimension == D::Cells,
        Kind::CellsPerVolume => dimension == D::CellsPerVolume,
        Kind::CellsPerMass => dimension == D::CellsPerMass,
        Kind::PitchRate => dimension == D::PitchRate,
        Kind::Diastatic => dimension == D::DiastaticPower,
        Kind::Power => dimension == D::Power,
        Kind::HeatCapacity => dimension == D::HeatCapacity,
        Kind::HeatLoss => matches!(dimension, D::TemperatureRate),
        Kind::Length => dimension == D::Length,
        Kind::Count => dimension == D::Count,
        Kind::Price => {
            matches!(dimension, D::MoneyPerMass | D::MoneyPerVolume | D::MoneyPerCount | D::Money)
        }
        Kind::VolumePerMass => dimension == D::VolumePerMass,
        Kind::Flow => dimension == D::VolumeRate,
        Kind::Rate => dimension == D::ProportionRate,
        Kind::Energy => matches!(dimension, D::Energy | D::EnergyPerVolume),
        Kind::Density => matches!(dimension, D::Concentration | D::Gravity),
        Kind::Dose => matches!(dimension, D::Concentration | D::CountPerVolume) || is_volume_by_volume(unit),
        Kind::Buffer => dimension == D::EquivalentsPerMass,
        Kind::UnitMass => dimension == D::Mass,
        Kind::Oil => dimension == D::VolumePerMass,
        Kind::IonContent => dimension == D::Proportion,
        Kind::Ph | Kind::Factor | Kind::Year => false,
    }
}

/// `mL/L`, `mL/hL`: a dose of a liquid.
fn is_volume_by_volume(unit: UnitId) -> bool {
    unit.dimension() == Dimension::Proportion && unit != UnitId::PERCENT
}

/// Whether a number may stand there without a unit.
const fn bare_allowed(kind: Kind) -> bool {
    matches!(kind, Kind::Gravity | Kind::Ph | Kind::Bitterness | Kind::Factor | Kind::Year | Kind::Density)
}

/// Checks an entry of a block.
pub(crate) fn entry(text: &str, kind: BlockKind, entry: &Entry, faults: &mut Vec<Fault>) {
    let Some(block) = kind.spec() else { return };
    match entry.form {
        Form::Fact | Form::Text => {
            let Some(spec) = entry
                .keyword
                .and_then(|keyword| block.entries.iter().find(|spec| spec.keyword == keyword.node))
            else {
                return;
            };
            if kind == BlockKind::Gyle && entry.when.is_none() {
                faults.push(words::no_time(entry.span));
            }
            fact(text, kind, spec, entry, faults);
        }
        Form::Item => item(text, kind, block, entry, faults),
        _ => {}
    }
}

/// Checks a header.
pub(crate) fn header(text: &str, kind: BlockKind, entry: &Entry, faults: &mut Vec<Fault>) {
    let Some(block) = kind.spec() else { return };
    if kind == BlockKind::Let {
        return;
    }
    slots(text, entry, block.takes, block.optional, block.word, faults);
    clauses(text, entry, block.clauses, block.word, faults);
}

fn fact(text: &str, kind: BlockKind, spec: &EntrySpec, entry: &Entry, faults: &mut Vec<Fault>) {
    if spec.is_text() {
        if entry.text().is_none() {
            faults.push(words::value_missing(entry.span, spec.keyword.word(), spec.takes));
        }
        return;
    }
    // A fact led by an amount has it before its keyword; it belongs to none of the slots.
    let led = entry
        .keyword
        .is_some_and(|keyword| entry.value().is_some_and(|value| value.span.start < keyword.span.start));
    if led {
        if let Some(value) = entry.value() {
            of_kinds(text, value, &[Kind::Volume], spec.keyword.word(), faults);
        }
        let mut rest = entry.clone();
        rest.parts.remove(0);
        slots(text, &rest, spec.takes, spec.optional, spec.keyword.word(), faults);
    } else {
        slots(text, entry, spec.takes, spec.optional, spec.keyword.word(), faults);
    }
    clauses(text, entry, spec.clauses, spec.keyword.word(), faults);
    if !kind.is_definition() {
        all_props(text, entry, faults);
    }
}

fn item(text: &str, kind: BlockKind, block: &BlockSpec, entry: &Entry, faults: &mut Vec<Fault>) {
    let Some(allowed) = block.items else {
        faults.push(words::unknown_entry(text, kind, entry));
        return;
    };
    let mut values = entry.values();
    if let Some(amount) = values.next() {
        amount_of_item(text, kind, amount, entry, faults);
    }
    if let Some(second) = values.next() {
        faults.push(words::second_quantity(text, kind, second));
    }
    if entry.name().is_none() {
        faults.push(words::item_without_name(text, entry.span));
    }
    let solved = entry.clause(crate::vocabulary::ClauseWord::ToReach).is_some();
    if entry.value().is_none() && !solved && entry.name().is_some() {
        faults.push(words::item_without_amount(text, kind, entry));
        return;
    }
    clauses(text, entry, allowed, "an item", faults);
    all_props(text, entry, faults);
}

/// An amount of an item: a mass, a volume, a count, cells or a percentage, by block.
fn amount_of_item(text: &str, kind: BlockKind, value: &Value, entry: &Entry, faults: &mut Vec<Fault>) {
    let kinds: &[Kind] = match kind {
        BlockKind::Grist => &[Kind::Mass, Kind::Volume, Kind::Proportion, Kind::Count],
        BlockKind::Pitch | BlockKind::Sour => &[Kind::Cells, Kind::Mass, Kind::Volume, Kind::Count],
        BlockKind::Package => &[Kind::Cells, Kind::Mass, Kind::Volume, Kind::Count],
        _ => &[Kind::Mass, Kind::Volume, Kind::Count],
    };
    match &value.kind {
        ValueKind::Plain(measure) => unit_of(text, measure, kinds, words::Of::Item(kind, entry), faults),
        ValueKind::Range(low, high) | ValueKind::Tolerance(low, high) => {
            range(text, value, low, high, kinds, words::Of::Item(kind, entry), faults);
        }
        ValueKind::Expr(_) => {}
        _ => faults.push(words::wrong_value(text, value.span, "an amount")),
    }
}

/// Walks the slots of an entry and its values and names side by side.
fn slots(text: &str, entry: &Entry, takes: &[Slot], optional: u8, word: &str, faults: &mut Vec<Fault>) {
    let mut parts = entry
        .parts
        .iter()
        .filter(|part| matches!(part, Part::Value(_) | Part::Name(_) | Part::Text(_)))
        .peekable();
    let required = takes.len() - usize::from(optional).min(takes.len());
    let solved = entry.clause(crate::vocabulary::ClauseWord::ToReach).is_some();
    let mut filled = 0;
    for (at, slot) in takes.iter().enumerate() {
        let Some(part) = parts.peek() else {
            // An amount may be left out where the line says what it is solved for; prices and so on not.
            if at < required {
                faults.push(words::value_missing(entry.span, word, &takes[at..]));
            }
            return;
        };
        let fits = match (slot, part) {
            (Slot::Of(_), Part::Value(value)) => {
                !matches!(value.kind, ValueKind::Str(_) | ValueKind::Day(..))
            }
            (Slot::Ref(_) | Slot::Words | Slot::Id | Slot::Word(_) | Slot::Chance, Part::Name(_)) => true,
            // A quoted name of a style is its code; a number may be a name, as in `confidence 1`.
            (Slot::Words | Slot::Id, Part::Value(_)) => true,
            (Slot::Str, Part::Value(value)) => matches!(value.kind, ValueKind::Str(_)),
            (Slot::Date, Part::Value(value)) => matches!(value.kind, ValueKind::Date(_)),
            (Slot::Clock, Part::Value(value)) => matches!(value.kind, ValueKind::Clock(_)),
            (Slot::Day, Part::Value(value)) => matches!(value.kind, ValueKind::Day(..)),
            (Slot::Score, Part::Value(value)) => matches!(value.kind, ValueKind::Score(..)),
            (Slot::Expr, Part::Value(_)) | (Slot::Text, Part::Text(_)) => true,
            _ => false,
        };
        let may_skip = at >= required || (solved && matches!(slot, Slot::Of(_)));
        if !fits {
            if may_skip {
                continue;
            }
            let span = part_span(part);
            faults.push(words::wrong_slot(text, span, word, slot));
            return;
        }
        match (slot, part) {
            (Slot::Of(kinds), Part::Value(value)) => of_kinds(text, value, kinds, word, faults),
            (Slot::Word(known), Part::Name(name)) if !known.is_empty() => {
                let written = name.span.of(text);
                if !known.iter().any(|word| words::same(word, written)) {
                    faults.push(words::unknown_word(text, name.span, word, known));
                }
            }
            (Slot::Chance, Part::Name(name)) => {
                let known = ["yes", "no", "possible"];
                if !known.iter().any(|word| words::same(word, name.span.of(text))) {
                    faults.push(words::unknown_word(text, name.span, word, &known));
                }
            }
            _ => {}
        }
        parts.next();
        filled += 1;
    }
    let _ = filled;
    if let Some(extra) = parts.next() {
        match extra {
            Part::Value(value) => faults.push(words::extra_value(text, value.span, word)),
            part => faults.push(words::extra_words(text, part_span(part), word)),
        }
    }
}

fn part_span(part: &Part) -> crate::Span {
    match part {
        Part::Value(value) => value.span,
        Part::Name(name) => name.span,
        Part::Props(props) => props.span,
        Part::Clause(clause) => clause.span,
        Part::Label(span) | Part::Text(span) => *span,
        Part::Relation(relation) => relation.span,
    }
}

fn of_kinds(text: &str, value: &Value, kinds: &[Kind], word: &str, faults: &mut Vec<Fault>) {
    match &value.kind {
        ValueKind::Plain(measure) => unit_of(text, measure, kinds, words::Of::Fact(word), faults),
        ValueKind::Range(low, high) | ValueKind::Tolerance(low, high) => {
            range(text, value, low, high, kinds, words::Of::Fact(word), faults);
        }
        ValueKind::Expr(_) => {}
        _ => faults.push(words::wrong_slot(text, value.span, word, &Slot::Of(&[]))),
    }
}

fn range(
    text: &str,
    value: &Value,
    low: &Measure,
    high: &Measure,
    kinds: &[Kind],
    of: words::Of<'_>,
    faults: &mut Vec<Fault>,
) {
    // The unit behind the second number counts for the first.
    let whole = Measure { unit: high.unit.or(low.unit), span: value.span, ..*high };
    unit_of(text, &whole, kinds, of, faults);
    if matches!(value.kind, ValueKind::Range(..)) && low.unit.is_none_or(|unit| Some(unit) == high.unit) {
        let inverted = low.number > high.number;
        if inverted {
            faults.push(words::range_inverted(text, value.span, low, high));
        }
    }
}

fn unit_of(text: &str, measure: &Measure, kinds: &[Kind], of: words::Of<'_>, faults: &mut Vec<Fault>) {
    match measure.unit {
        None => {
            if !kinds.iter().any(|kind| bare_allowed(*kind)) {
                faults.push(words::unit_missing(text, measure, kinds, of));
            }
        }
        Some(unit) => {
            if !kinds.iter().any(|kind| accepts(*kind, unit)) {
                faults.push(words::wrong_dimension(text, measure, unit, kinds, of));
            }
        }
    }
}

fn clauses(text: &str, entry: &Entry, allowed: &[ClauseSpec], word: &str, faults: &mut Vec<Fault>) {
    let mut seen: Vec<&Clause> = Vec::new();
    for clause in entry.clauses() {
        if let Some(first) = seen.iter().find(|first| first.word == clause.word) {
            faults.push(words::repeated_clause(clause.span, first.span, clause.word));
            continue;
        }
        seen.push(clause);
        let Some(spec) = allowed.iter().find(|spec| spec.word == clause.word) else {
            faults.push(words::misplaced_clause(text, clause, word, allowed));
            continue;
        };
        if clause.parts.is_empty() {
            faults.push(words::clause_empty(clause, spec));
            continue;
        }
        one_clause(text, clause, spec, faults);
    }
}

fn one_clause(text: &str, clause: &Clause, spec: &ClauseSpec, faults: &mut Vec<Fault>) {
    let kinds: Vec<Kind> = spec
        .takes
        .iter()
        .filter_map(|slot| match slot {
            Slot::Of(kinds) => Some(kinds.iter().copied()),
            _ => None,
        })
        .flatten()
        .collect();
    let words_known: Vec<&str> = spec
        .takes
        .iter()
        .filter_map(|slot| match slot {
            Slot::Word(known) => Some(known.iter().copied()),
            _ => None,
        })
        .flatten()
        .collect();
    let free = spec.takes.iter().any(|slot| matches!(slot, Slot::Ref(_) | Slot::Words | Slot::Id));
    let mut values = 0;
    for part in &clause.parts {
        match part {
            ClausePart::Value(value) => {
                values += 1;
                if values > 1 && clause.word != crate::vocabulary::ClauseWord::Planned {
                    faults.push(words::extra_value(text, value.span, clause.word.word()));
                    continue;
                }
                match &value.kind {
                    ValueKind::Date(_) if spec.takes.contains(&Slot::Date) => {}
                    ValueKind::Day(..) if spec.takes.contains(&Slot::Day) => {}
                    ValueKind::Clock(_) if spec.takes.contains(&Slot::Clock) => {}
                    ValueKind::Str(_) if spec.takes.contains(&Slot::Str) => {}
                    ValueKind::Expr(_) if !kinds.is_empty() => {}
                    ValueKind::Plain(_) | ValueKind::Range(..) | ValueKind::Tolerance(..)
                        if !kinds.is_empty() =>
                    {
                        of_kinds(text, value, &kinds, clause.word.word(), faults);
                    }
                    _ => faults.push(words::clause_value(text, value.span, clause.word, spec)),
                }
            }
            ClausePart::Name(name) => {
                let written = name.span.of(text);
                // `to reach ph 5.35`, `until ph 3.4`.
                let says_ph = words::same("ph", written) && kinds.contains(&Kind::Ph);
                let known = words_known.iter().any(|word| words::same(word, written));
                if !(says_ph || known || free) {
                    faults.push(words::clause_word(text, name.span, clause.word, &words_known, spec));
                }
            }
            ClausePart::Props(props) => props_of(text, props, faults),
        }
    }
}

fn all_props(text: &str, entry: &Entry, faults: &mut Vec<Fault>) {
    for part in &entry.parts {
        if let Part::Props(props) = part {
            props_of(text, props, faults);
        }
    }
}

fn props_of(text: &str, props: &Props, faults: &mut Vec<Fault>) {
    for prop in &props.list {
        match &prop.kind {
            PropKind::Keyed { key, value: Some(value), .. } => {
                let field = crate::vocabulary::BLOCKS
                    .iter()
                    .filter(|spec| spec.kind.is_definition())
                    .flat_map(|spec| spec.entries)
                    .filter(|field| field.keyword == *key);
                let mut kinds: Vec<Kind> = Vec::new();
                let mut other = false;
                for spec in field {
                    for slot in spec.takes {
                        match slot {
                            Slot::Of(more) => kinds.extend_from_slice(more),
                            _ => other = true,
                        }
                    }
                }
                if *key == crate::vocabulary::Keyword::Glass {
                    kinds.push(Kind::Carbonation);
                }
                if *key == crate::vocabulary::Keyword::Residual {
                    kinds.push(Kind::Temperature);
                }
                let measured = matches!(
                    value.kind,
                    ValueKind::Plain(_) | ValueKind::Range(..) | ValueKind::Tolerance(..)
                );
                if measured && !other && !kinds.is_empty() {
                    of_kinds(text, value, &kinds, key.word(), faults);
                }
            }
            PropKind::Words(name) => faults.push(words::unknown_property(text, name.span)),
            PropKind::Value(value) => {
                if let ValueKind::Plain(measure) = &value.kind
                    && measure.unit.is_none()
                {
                    faults.push(words::property_without_unit(text, measure));
                }
            }
            _ => {}
        }
    }
}
