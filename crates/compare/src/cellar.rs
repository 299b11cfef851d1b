//! Definitions that go by one name in both recipes and differ in what they say.

use quantity::{Places, Quantity, UnitId, format_places};
use recipe::{Definition, Fact, FactValue, Quant, Recipe};
use syntax::vocabulary::Keyword;

use crate::{CellarChange, Turn};

/// Fields that say nothing about the beer.
const BESIDE_THE_BEER: &[Keyword] = &[Keyword::Stock, Keyword::Source, Keyword::Note, Keyword::Link];

pub(crate) fn changes(before: &Recipe, after: &Recipe) -> Vec<CellarChange> {
    let mut out: Vec<CellarChange> = Vec::new();
    let old = before.things();
    for thing in after.things() {
        let Some(new) = &thing.definition else { continue };
        let name = catalogue::fold(&thing.name);
        let known = old.iter().filter(|one| catalogue::fold(&one.name) == name);
        let same_kind = known.filter_map(|one| one.definition.as_ref()).find(|one| one.kind == new.kind);
        let Some(old) = same_kind else { continue };
        if out.iter().any(|one| one.kind == new.kind && catalogue::fold(&one.name) == name) {
            continue;
        }
        let turns: Vec<Turn> = turns(old, new).into_iter().map(|(_, turn)| turn).collect();
        if !turns.is_empty() {
            out.push(CellarChange { kind: new.kind, name: thing.name.clone(), turns });
        }
    }
    out
}

/// The fields that differ, each with its key.
pub(crate) fn turns(old: &Definition, new: &Definition) -> Vec<(Keyword, Turn)> {
    let mut keys: Vec<Keyword> = Vec::new();
    for fact in new.facts.iter().chain(&old.facts) {
        if !keys.contains(&fact.key) && !BESIDE_THE_BEER.contains(&fact.key) {
            keys.push(fact.key);
        }
    }
    keys.into_iter()
        .filter_map(|key| {
            let (from, to): (Vec<&Fact>, Vec<&Fact>) =
                (old.facts_of(key).collect(), new.facts_of(key).collect());
            let same = from.len() == to.len() && from.iter().zip(&to).all(|(a, b)| same(&a.value, &b.value));
            let said = |facts: &[&Fact]| {
                let texts: Vec<String> = facts.iter().map(|fact| text(&fact.value)).collect();
                (!texts.is_empty()).then(|| texts.join(", "))
            };
            (!same).then(|| (key, Turn { what: key.word().to_owned(), from: said(&from), to: said(&to) }))
        })
        .collect()
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

fn same(a: &FactValue, b: &FactValue) -> bool {
    match (a, b) {
        (FactValue::Number(a), FactValue::Number(b)) => close(a.value, b.value) && close(a.spread, b.spread),
        (FactValue::Range(_, a, b), FactValue::Range(_, c, d)) => close(*a, *c) && close(*b, *d),
        (a, b) => a == b,
    }
}

/// A canonical number in the unit it was written in.
fn number(value: f64, unit: Option<UnitId>) -> Option<f64> {
    unit.map_or(Some(value), |unit| Quantity::from_canonical(value, unit).ok().map(|one| one.value))
}

fn symbol(unit: Option<UnitId>) -> String {
    unit.filter(|unit| *unit != UnitId::SG).map_or(String::new(), |unit| format!(" {unit}"))
}

fn digits(value: f64) -> String {
    format_places(value, Places::Significant(5))
}

fn text(value: &FactValue) -> String {
    let quant = |quant: &Quant| {
        let value = number(quant.value, quant.unit)?;
        let spread = number(quant.value + quant.spread, quant.unit)? - value;
        let spread = if quant.spread > 0.0 { format!(" ± {}", digits(spread)) } else { String::new() };
        Some(format!("{}{spread}{}", digits(value), symbol(quant.unit)))
    };
    match value {
        FactValue::Number(one) => quant(one).unwrap_or_else(|| digits(one.value)),
        FactValue::Range(one, low, high) => {
            let end = |end: f64| number(end, one.unit).map_or_else(|| digits(end), digits);
            format!("{}..{}{}", end(*low), end(*high), symbol(one.unit))
        }
        FactValue::Words(words) => words.to_string(),
        FactValue::Date(date) => date.to_string(),
        FactValue::Set => "set".into(),
    }
}
