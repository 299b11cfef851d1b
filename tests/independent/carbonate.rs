//! Liquor: pH after acids and salts, blends, free bicarbonate, titration, what dissolves.

use brewing::acid::Acid;
use brewing::carbonate::{Air, acid_for, bicarbonate, carbonic_acid, ph_with_acids, total_carbonate};
use brewing::water::{Ion, Salt, Water, chalk_solubility, gypsum_solubility, titrated_alkalinity};
use gyle_tests::generate::Dice;
use quantity::typed::{Concentration, Equivalents, Fraction, Mass, Ph, Temperature, Volume};
use serde_json::{Value, json};

use crate::Case;

/// A liquor as brewers meet it, from soft to very hard, its charges balanced by sodium or chloride.
fn liquor(dice: &mut Dice) -> Water {
    let mut water = Water {
        calcium: Concentration::from_mg_per_litre(dice.between(2.0, 200.0)),
        magnesium: Concentration::from_mg_per_litre(dice.between(0.0, 40.0)),
        sodium: Concentration::from_mg_per_litre(dice.between(2.0, 60.0)),
        potassium: Concentration::from_mg_per_litre(dice.between(0.0, 10.0)),
        chloride: Concentration::from_mg_per_litre(dice.between(2.0, 120.0)),
        sulfate: Concentration::from_mg_per_litre(dice.between(0.0, 250.0)),
        nitrate: Concentration::from_mg_per_litre(dice.between(0.0, 40.0)),
        alkalinity: Equivalents::from_meq_per_litre(dice.between(0.3, 6.5)),
        ph: Ph::from_ph(dice.between(6.6, 8.6)),
    };
    let surplus = water.charge_balance().difference();
    let (ion, wanting) = if surplus.meq_per_litre() > 0.0 {
        (Ion::Chloride, surplus)
    } else {
        (Ion::Sodium, Equivalents::from_meq_per_litre(0.0) - surplus)
    };
    water = water.with_ion(ion, water.ion(ion) + ion.concentration(wanting));
    water
}

/// A water as the scripts read it: ions in mg/L, alkalinity in mEq/L.
pub(crate) fn written(water: &Water) -> Value {
    json!({
        "Ca": water.calcium.mg_per_litre(),
        "Mg": water.magnesium.mg_per_litre(),
        "Na": water.sodium.mg_per_litre(),
        "K": water.potassium.mg_per_litre(),
        "Cl": water.chloride.mg_per_litre(),
        "SO4": water.sulfate.mg_per_litre(),
        "NO3": water.nitrate.mg_per_litre(),
        "alkalinity": water.alkalinity.meq_per_litre(),
        "pH": water.ph.ph(),
    })
}

fn ph(found: Option<Ph>) -> Value {
    json!({ "pH": found.map(Ph::ph) })
}

/// Acid towards a pH that brewers aim at, and the pH it gives.
fn acidified(dice: &mut Dice, kind: &'static str, air: Air, reached: (f64, f64)) -> Case {
    let water = liquor(dice);
    let acid = *dice.pick(&Acid::ALL);
    let target = Ph::from_ph(dice.between(reached.0, reached.1));
    let mmol = acid_for(&water, acid, target, air).unwrap_or(0.0).max(0.0);
    let given = json!({ "water": written(&water), "acid": format!("{acid:?}"), "mmol": mmol });
    (kind, given, ph(ph_with_acids(&water, &[(acid, mmol)], air)))
}

fn salted(dice: &mut Dice) -> Case {
    let water = liquor(dice);
    let salts = [
        Salt::Gypsum,
        Salt::CalciumChlorideDihydrate,
        Salt::EpsomSalt,
        Salt::TableSalt,
        Salt::BakingSoda,
        Salt::WashingSoda,
        Salt::PotassiumBicarbonate,
    ];
    let salt = *dice.pick(&salts);
    let grams = dice.between(0.02, 0.4);
    let after = water.with_salts(&[(salt, Mass::from_grams(grams))], Volume::from_litres(1.0));
    let given = json!({ "water": written(&water), "salt": format!("{salt:?}"), "grams": grams });
    ("salts", given, ph(after.map(|water| water.ph)))
}

fn blended(dice: &mut Dice) -> Case {
    let waters = [liquor(dice), liquor(dice)];
    let share = dice.between(0.05, 0.95);
    let parts = [(Fraction::from_parts(share), waters[0]), (Fraction::from_parts(1.0 - share), waters[1])];
    let given = json!({ "waters": waters.map(|water| written(&water)), "share": share });
    ("blends", given, ph(Water::blend(&parts).map(|water| water.ph)))
}

/// Every case of the area.
pub(crate) fn cases(dice: &mut Dice) -> Vec<Case> {
    let mut cases = Vec::new();
    cases.extend((0..300).map(|_| acidified(dice, "closed", Air::Closed, (4.5, 7.0))));
    cases.extend((0..150).map(|_| acidified(dice, "open", Air::ATMOSPHERE, (4.5, 8.0))));
    cases.extend((0..100).map(|_| salted(dice)));
    cases.extend((0..60).map(|_| blended(dice)));
    cases.extend((0..100).map(|_| {
        let water = liquor(dice);
        let found = json!({
            "bicarbonate": bicarbonate(&water).mg_per_litre(),
            "total": total_carbonate(&water),
            "acid": carbonic_acid(&water),
            "conductivity": water.conductivity().microsiemens_per_cm(),
        });
        ("species", json!({ "water": written(&water) }), found)
    }));
    cases.extend((0..60).map(|_| {
        let water = liquor(dice);
        let end = dice.between(4.3, 4.5);
        let found = titrated_alkalinity(&water, Ph::from_ph(end)).meq_per_litre();
        ("titration", json!({ "water": written(&water), "end": end }), json!({ "alkalinity": found }))
    }));
    cases.extend((0..=40).map(|celsius| {
        let celsius = f64::from(celsius);
        let found = gypsum_solubility(Temperature::from_celsius(celsius)).map(Concentration::mg_per_litre);
        ("gypsum", json!({ "celsius": celsius }), json!({ "mg": found }))
    }));
    cases.extend((0..41).map(|i| {
        let log_pressure = (i > 0).then(|| dice.between(-4.0, 0.0));
        let air = log_pressure.map_or(Air::Closed, |log_pressure| Air::Open { log_pressure });
        let found = chalk_solubility(air).map(Concentration::mg_per_litre);
        ("chalk", json!({ "log_pressure": log_pressure }), json!({ "mg": found }))
    }));
    cases
}
