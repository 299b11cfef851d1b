//! Written values as canonical numbers.

use quantity::{Customary, Dimension, Quantity, UnitId};
use syntax::Span;
use syntax::ast::{Measure, Value, ValueKind};

use crate::expr::{Names, evaluate};
use crate::model::{FactValue, Quant};

/// Why a written value cannot be used as a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Unusable {
    /// The unit means one thing in US measures and another in imperial ones, and nobody said which.
    NeedsCustomary(UnitId),
    /// It is no number, or one without bounds.
    NoNumber,
}

/// A value with both its ends, canonical like [`Quant`]; `low` is no more than `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ends {
    pub(crate) quant: Quant,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) is_range: bool,
}

/// A number in the canonical unit of its dimension, and the exact unit it was written in.
fn canonical(
    number: f64,
    unit: Option<UnitId>,
    customary: Option<Customary>,
) -> Result<(f64, Option<UnitId>), Unusable> {
    let Some(unit) = unit else {
        return if number.is_finite() { Ok((number, None)) } else { Err(Unusable::NoNumber) };
    };
    let exact = match customary {
        Some(customary) => unit.resolve(customary),
        None if unit.needs_customary() => return Err(Unusable::NeedsCustomary(unit)),
        None => unit,
    };
    match Quantity::new(number, exact).canonical() {
        Ok(value) => Ok((value, Some(exact))),
        Err(_) => Err(Unusable::NoNumber),
    }
}

/// Half the width of `middle ± plus`, canonical. For temperatures the second number is a step.
fn half_width(
    middle: &Measure,
    plus: &Measure,
    unit: Option<UnitId>,
    customary: Option<Customary>,
) -> Result<f64, Unusable> {
    let own = plus.unit.or(unit);
    let is_point = |unit: Option<UnitId>| unit.is_some_and(|unit| unit.dimension() == Dimension::Temperature);
    if own == unit || is_point(own) {
        // Measured around the middle, which is right on scales with an offset as well.
        let around = if is_point(own) { 0.0 } else { middle.number };
        let (high, _) = canonical(around + plus.number, own, customary)?;
        let (low, _) = canonical(around - plus.number, own, customary)?;
        return Ok((high - low).abs() / 2.0);
    }
    canonical(plus.number, own, customary).map(|(value, _)| value.abs())
}

/// A plain value, a range or a tolerance as numbers.
pub(crate) fn ends(value: &ValueKind, customary: Option<Customary>) -> Result<Ends, Unusable> {
    match value {
        ValueKind::Plain(measure) => {
            let (value, unit) = canonical(measure.number, measure.unit, customary)?;
            let quant = Quant { value, unit, spread: 0.0 };
            Ok(Ends { quant, low: value, high: value, is_range: false })
        }
        ValueKind::Range(first, second) => {
            let (low, unit) = canonical(first.number, first.unit.or(second.unit), customary)?;
            let (high, last) = canonical(second.number, second.unit.or(first.unit), customary)?;
            if last.map(UnitId::dimension) != unit.map(UnitId::dimension) {
                return Err(Unusable::NoNumber);
            }
            let spread = (high - low).abs() / 2.0;
            let quant = Quant { value: f64::midpoint(low, high), unit, spread };
            // Written the wrong way round it is a finding of its own, and meant all the same.
            Ok(Ends { quant, low: low.min(high), high: low.max(high), is_range: true })
        }
        ValueKind::Tolerance(middle, plus) => {
            let unit = middle.unit.or(plus.unit);
            let (value, exact) = canonical(middle.number, unit, customary)?;
            let spread = half_width(middle, plus, unit, customary)?;
            if !spread.is_finite() {
                return Err(Unusable::NoNumber);
            }
            let quant = Quant { value, unit: exact, spread };
            Ok(Ends { quant, low: value - spread, high: value + spread, is_range: false })
        }
        _ => Err(Unusable::NoNumber),
    }
}

/// Where no name stands for anything: in the fields of definitions and in properties.
struct NoNames;

impl Names for NoNames {
    type Error = ();

    fn name(&mut self, _: &str, _: Span) -> Result<quantity::Value, ()> {
        Err(())
    }
}

/// The unit that names a dimension when a value of it came out of an expression.
fn unit_of(value: &quantity::Value) -> Result<(f64, Option<UnitId>), Unusable> {
    let (dimension, number) = value.named().ok_or(Unusable::NoNumber)?;
    if dimension == Dimension::Number {
        return Ok((number, None));
    }
    let unit = quantity::units().map(|(unit, _)| unit).find(|unit| {
        unit.dimension() == dimension
            && (dimension != Dimension::Count || quantity::Kind::Linear(unit.dim()) == value.kind)
    });
    unit.map(|unit| (number, Some(unit))).ok_or(Unusable::NoNumber)
}

/// What a value of a definition or a property says. The words of a text in quotes are `text`'s.
pub(crate) fn fact_value(
    text: &str,
    value: &Value,
    customary: Option<Customary>,
) -> Result<FactValue, Unusable> {
    match &value.kind {
        ValueKind::Date(date) => Ok(FactValue::Date(*date)),
        ValueKind::Str(span) => Ok(FactValue::Words(span.of(text).into())),
        ValueKind::Expr(expr) => {
            let worked_out = evaluate(expr, text, customary, &mut NoNames);
            let (value, unit) =
                worked_out.map_err(|_| Unusable::NoNumber).and_then(|value| unit_of(&value))?;
            Ok(FactValue::Number(Quant { value, unit, spread: 0.0 }))
        }
        ValueKind::Plain(_) | ValueKind::Range(..) | ValueKind::Tolerance(..) => {
            let ends = ends(&value.kind, customary)?;
            Ok(if ends.is_range {
                FactValue::Range(ends.quant, ends.low, ends.high)
            } else {
                FactValue::Number(ends.quant)
            })
        }
        _ => Ok(FactValue::Words(value.span.of(text).into())),
    }
}

/// The unit of a value that needs a word which measures are meant, with its place.
pub(crate) fn unit_span(value: &ValueKind) -> Option<Span> {
    match value {
        ValueKind::Plain(measure) => Some(measure.unit_span),
        ValueKind::Range(low, high) | ValueKind::Tolerance(low, high) => {
            Some(if high.unit.is_some() { high.unit_span } else { low.unit_span })
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn read(text: &str, customary: Option<Customary>) -> Result<Ends, Unusable> {
        // A property of a brewhouse takes any value.
        let file = syntax::parse(&format!("malt x\n  stock {text}\n"));
        let block = &file.blocks[0].block;
        let (_, entry) = block.entries().next().unwrap_or_else(|| panic!("{text}: {:?}", block.faults));
        ends(&entry.value().expect("a value").kind, customary)
    }

    #[test]
    fn values_are_canonical() {
        for (text, value, spread) in [
            ("450 g", 0.45, 0.0),
            ("2 lb 4 oz", 1.020_582_832_5, 0.0),
            ("18..20 C", 19.0, 1.0),
            ("66 ± 2 F", 18.888_888_888_9, 1.111_111_111_1),
            ("19 C ± 1 K", 19.0, 1.0),
            ("19 C ± 2 F", 19.0, 1.111_111_111_1),
            ("1.052 ± 0.002", 1.052, 0.002),
            ("12.4 ± 0.2 P", 12.4, 0.2),
            ("1.2 kg ± 20 g", 1.2, 0.02),
            ("5 %", 0.05, 0.0),
            ("130 ppm as CaCO3", 130.0 / 50.043, 0.0),
            ("60 lov", (60.0 - 0.56) / 0.375, 0.0),
            ("8 ± 1 lov", (8.0 - 0.56) / 0.375, 1.0 / 0.375),
            ("1 1/2 usgal", 5.678_117_676, 0.0),
        ] {
            let found = read(text, None).unwrap_or_else(|why| panic!("{text}: {why:?}"));
            assert!((found.quant.value - value).abs() < 1e-6 * value.abs(), "{text}: {found:?}");
            assert!((found.quant.spread - spread).abs() < 1e-6, "{text}: {found:?}");
        }
    }

    #[test]
    fn a_gallon_needs_a_word_which() {
        assert_eq!(read("5 gal", None), Err(Unusable::NeedsCustomary(UnitId::GAL)));
        let us = read("5 gal", Some(Customary::Us)).expect("a US gallon");
        assert_eq!(us.quant.unit, Some(UnitId::US_GAL));
        assert!((us.quant.value - 18.927_058_92).abs() < 1e-9);
        let imperial = read("1..2 gal", Some(Customary::Imperial)).expect("imperial gallons");
        assert!((imperial.quant.value - 6.819_135).abs() < 1e-9);
    }
}
