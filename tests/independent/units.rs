//! Conversions between units that other libraries know too.

use gyle_tests::generate::Dice;
use quantity::{Quantity, UnitId, scan_unit};
use serde_json::json;

use crate::Case;

const MASS: &[&str] = &["g", "kg", "mg", "oz", "lb"];
const VOLUME: &[&str] = &[
    "L", "mL", "hL", "m3", "ustsp", "ustbsp", "usfloz", "uspt", "usqt", "usgal", "usbbl", "impfloz", "imppt",
    "impqt", "impgal", "impbbl",
];
const TIME: &[&str] = &["s", "min", "h", "d", "week"];
const TEMPERATURE: &[&str] = &["C", "F"];
const ENERGY: &[&str] = &["kJ", "kcal"];
const PLAIN: &[&str] = &[];

/// Units of one dimension: what stands above the bar and what below it.
const GROUPS: [(&str, &[&str], &[&str]); 14] = [
    ("mass", MASS, PLAIN),
    ("volume", VOLUME, PLAIN),
    ("time", TIME, PLAIN),
    ("temperature", TEMPERATURE, PLAIN),
    ("length", &["m", "ft"], PLAIN),
    ("pressure", &["bar", "kPa", "psi"], PLAIN),
    ("energy", ENERGY, PLAIN),
    ("power", &["W", "kW"], PLAIN),
    ("concentration", MASS, VOLUME),
    ("volume by mass", VOLUME, MASS),
    ("flow", VOLUME, TIME),
    ("heating rate", TEMPERATURE, TIME),
    ("heat capacity", ENERGY, TEMPERATURE),
    ("energy by volume", ENERGY, VOLUME),
];

/// A unit of a group as it is written, and as it was understood where it was.
fn unit(dice: &mut Dice, above: &[&str], below: &[&str]) -> (String, Option<UnitId>) {
    let mut text = (*dice.pick(above)).to_owned();
    if !below.is_empty() {
        text = format!("{text}/{}", dice.pick(below));
    }
    let found = scan_unit(&text).filter(|found| found.len == text.len()).and_then(|found| found.unit.ok());
    (text, found)
}

/// Every case of the area.
pub(crate) fn cases(dice: &mut Dice) -> Vec<Case> {
    let mut cases = Vec::new();
    for (name, above, below) in GROUPS {
        cases.extend((0..60).map(|_| {
            let value = dice.between(0.01, 900.0);
            let (from, from_unit) = unit(dice, above, below);
            let (to, to_unit) = unit(dice, above, below);
            let found =
                from_unit.zip(to_unit).and_then(|(from, to)| Quantity::new(value, from).convert(to).ok());
            let given = json!({ "value": value, "from": from, "to": to });
            (name, given, json!({ "value": found.map(|found| found.value) }))
        }));
    }
    cases
}
