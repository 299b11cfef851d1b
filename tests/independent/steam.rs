//! Water and steam: density and heat of the liquid, boiling point by pressure.

use brewing::atmosphere::{ambient_pressure, boiling_point, saturation_temperature};
use brewing::mash::{heat_of_liquor, water_specific_heat};
use brewing::measure::water_density;
use gyle_tests::generate::Dice;
use quantity::typed::{AbsolutePressure, Density, Length, Temperature, Volume};
use serde_json::json;

use crate::Case;

/// Every case of the area.
pub(crate) fn cases(dice: &mut Dice) -> Vec<Case> {
    let mut cases = Vec::new();
    cases.extend((0..300).map(|_| {
        let celsius = dice.between(0.01, 99.9);
        let found: Density = water_density(Temperature::from_celsius(celsius));
        ("density", json!({ "celsius": celsius }), json!({ "kg": found.kg_per_litre() }))
    }));
    cases.extend((0..300).map(|_| {
        // From a kettle high in the mountains to a pressure cooker; even in the logarithm.
        let bar = dice.between(f64::ln(0.05), f64::ln(16.0)).exp();
        let found = saturation_temperature(AbsolutePressure::from_bar(bar)).map(Temperature::celsius);
        ("saturation", json!({ "bar": bar }), json!({ "celsius": found }))
    }));
    cases.extend((0..100).map(|_| {
        let elevation = Length::from_metres(dice.between(-400.0, 5000.0));
        let pressure = ambient_pressure(elevation).map(AbsolutePressure::bar);
        let found = boiling_point(elevation).map(Temperature::celsius);
        ("elevation", json!({ "metres": elevation.metres() }), json!({ "bar": pressure, "celsius": found }))
    }));
    cases.extend((0..100).map(|_| {
        let [from, to] = [dice.between(1.0, 50.0), dice.between(60.0, 99.9)];
        let found = json!({
            "specific": water_specific_heat(Temperature::from_celsius(to)),
            "kj": heat_of_liquor(
                Volume::from_litres(1.0),
                Temperature::from_celsius(from),
                Temperature::from_celsius(to),
            )
            .kj(),
        });
        ("heat", json!({ "from": from, "to": to }), found)
    }));
    cases
}
