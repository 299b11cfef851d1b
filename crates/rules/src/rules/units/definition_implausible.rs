//! A number in a definition that nothing of its kind has.

use quantity::UnitId;
use recipe::{Definition, FactValue};
use syntax::Span;

use crate::limits::Limits;
use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("definition-implausible", Group::Units, Level::Warning, Check::Definition(check), DOC).limits(&[
        &EXTRACT, &MOISTURE, &POWER, &ALPHA, &ATTENUATION, &YEAST_TEMPERATURE, &WATER_PH, &EFFICIENCY, &EVAPORATION, &ABSORPTION,
        &KETTLE,
    ]);

const PRACTICE: &str = "common practice, no source: wider than any known";

static EXTRACT: Limit = Limit::within("malt-extract", 40.0, 90.0, "%", "extract of a malt, dry basis", PRACTICE);
static MOISTURE: Limit = Limit::at_most("malt-moisture", 15.0, "%", "moisture of a malt", PRACTICE);
static POWER: Limit = Limit::at_most("malt-diastatic-power", 600.0, "WK", "diastatic power of a malt", PRACTICE);
static ALPHA: Limit = Limit::within("hop-alpha", 0.5, 25.0, "%", "alpha acids of a hop", PRACTICE);
static ATTENUATION: Limit = Limit::within("yeast-attenuation", 10.0, 102.0, "%", "attenuation of a yeast", PRACTICE);
static YEAST_TEMPERATURE: Limit = Limit::within("yeast-temperature", 2.0, 45.0, "C", "temperatures a yeast likes", PRACTICE);
static WATER_PH: Limit = Limit::within("water-ph", 4.0, 11.0, "", "pH of a water", PRACTICE);
static EFFICIENCY: Limit = Limit::within("house-efficiency", 40.0, 100.0, "%", "mash efficiency of a brewhouse", PRACTICE);
static EVAPORATION: Limit = Limit::at_most("house-evaporation", 40.0, "%", "evaporation in an hour, of the kettle", PRACTICE);
static ABSORPTION: Limit = Limit::within("house-absorption", 0.2, 2.5, "L/kg", "absorption by the grain", PRACTICE);
static KETTLE: Limit = Limit::at_least("house-kettle", 40.0, "%", "kettle, of the mash tun", PRACTICE);

const DOC: Doc = Doc {
    catches: "A number in a definition of the library that no malt, hop, yeast, water or brewhouse has.",
    matters: "Every recipe that uses the definition is computed with it. They keep quiet about what follows until it is mended.",
    example: r#"malt "Mill Lane malt"
  extract             815 %
  colour              6 EBC"#,
    instead: r#"malt "Mill Lane malt"
  extract             81.5 %
  colour              6 EBC"#,
    limits: "Fields taken over by `like` are looked at where they are written.",
    sources: "Common practice, no source.",
};

struct Implausible {
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
}

/// A field, the unit its limit is in, and the limit.
type Row = (BlockKind, Keyword, UnitId, &'static Limit);

static ROWS: &[Row] = &[
    (BlockKind::Malt, Keyword::Extract, UnitId::PERCENT, &EXTRACT),
    (BlockKind::Malt, Keyword::Moisture, UnitId::PERCENT, &MOISTURE),
    (BlockKind::Malt, Keyword::DiastaticPower, UnitId::WK, &POWER),
    (BlockKind::Hop, Keyword::Alpha, UnitId::PERCENT, &ALPHA),
    (BlockKind::Yeast, Keyword::Attenuation, UnitId::PERCENT, &ATTENUATION),
    (BlockKind::Yeast, Keyword::Temperature, UnitId::C, &YEAST_TEMPERATURE),
    (BlockKind::BrewhouseBlock, Keyword::MashEfficiency, UnitId::PERCENT, &EFFICIENCY),
];

/// What is found in the fields that the definition writes itself.
fn found(definition: &Definition, limits: &Limits) -> Option<(Span, Implausible)> {
    let number = |key: Keyword| {
        let fact = definition.fact(key)?;
        let span = match fact.origin {
            Origin::Library(place, span) if place == definition.place => span,
            _ => return None,
        };
        match fact.value {
            FactValue::Number(quant) => Some((span, quant, [quant.value; 2])),
            FactValue::Range(quant, low, high) => Some((span, quant, [low, high])),
            _ => None,
        }
    };
    let outside = |what, ends: [f64; 2], limit: &'static Limit| {
        let (low, high) = limits.band(limit);
        let value = ends.into_iter().find(|value| !(low..=high).contains(value))?;
        Some(Implausible { what, value, low, high, unit: limit.unit })
    };
    for (kind, key, unit, limit) in ROWS {
        if definition.kind != *kind {
            continue;
        }
        let Some((span, quant, ends)) = number(*key) else { continue };
        if quant.unit.is_none_or(|own| own.dimension() != unit.dimension()) {
            continue;
        }
        // Percentages are kept in parts of one.
        let ends = if *unit == UnitId::PERCENT { ends.map(|value| value * 100.0) } else { ends };
        if let Some(one) = outside(limit.what, ends, limit) {
            return Some((span, one));
        }
    }
    match definition.kind {
        BlockKind::Water => {
            let (span, _, ends) = number(Keyword::Ph)?;
            Some((span, outside(WATER_PH.what, ends, &WATER_PH)?))
        }
        BlockKind::BrewhouseBlock => {
            if let Some((span, _, ends)) = number(Keyword::GrainAbsorption)
                && let Some(one) = outside(ABSORPTION.what, ends, &ABSORPTION)
            {
                return Some((span, one));
            }
            let (kettle_span, _, [kettle, _]) = number(Keyword::KettleCapacity)?;
            if let Some((_, _, [tun, _])) = number(Keyword::TunCapacity)
                && let Some(one) = outside(KETTLE.what, [kettle / tun.max(f64::MIN_POSITIVE) * 100.0; 2], &KETTLE)
            {
                return Some((kettle_span, one));
            }
            let (span, quant, [flow, _]) = number(Keyword::Evaporation)?;
            // Kept by the minute.
            let hourly = match quant.unit {
                Some(unit) if unit.dimension() == quantity::Dimension::VolumeRate => {
                    flow * 60.0 / kettle.max(f64::MIN_POSITIVE) * 100.0
                }
                _ => flow * 6000.0,
            };
            Some((span, outside(EVAPORATION.what, [hourly; 2], &EVAPORATION)?))
        }
        _ => None,
    }
}

/// Whether what is computed with the definition is in doubt.
pub(crate) fn doubtful(definition: &Definition, limits: &Limits) -> bool {
    found(definition, limits).is_some()
}

fn check(cx: &DefinitionCx, hits: &mut Hits) {
    if let Some((span, detail)) = found(cx.definition, cx.limits) {
        hits.push(Grade::WARNING, cx.at(span), detail);
    }
}

impl Detail for Implausible {
    fn message(&self, _say: Say) -> Message {
        let number = |value: f64| {
            let gap = if self.unit.is_empty() { "" } else { " " };
            format!("{}{gap}{}", crate::say::significant(value, 3), self.unit)
        };
        let bound = if self.value > self.high {
            format!("no more than {} is known", number(self.high))
        } else {
            format!("no less than {} is known", number(self.low))
        };
        Message::new(
            format!("{} is written for {}; {bound}", number(self.value), self.what),
            "every recipe that uses it is computed with it, and what follows from it is not judged until it is mended",
            "compare it with the sheet it was copied from: the point, the unit and the field",
        )
    }
}
