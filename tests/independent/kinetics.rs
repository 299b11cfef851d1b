//! What time does: loss of the precursor of dimethyl sulfide, isomerisation, cooling.

use brewing::bitterness::{equivalent_minutes_cooling, iso_alpha_fraction};
use brewing::dms::{free_left, precursor_left_after};
use brewing::mash::{Mash, temperature_after};
use gyle_tests::generate::Dice;
use quantity::typed::{HeatCapacity, HeatLoss, Mass, Temperature, Time, Volume};
use serde_json::json;

use crate::Case;

/// Every case of the area.
pub(crate) fn cases(dice: &mut Dice) -> Vec<Case> {
    let celsius = Temperature::from_celsius;
    let minutes = Time::from_minutes;
    let mut cases = Vec::new();
    cases.extend((0..100).map(|_| {
        let stretches: Vec<(f64, f64)> =
            (0..=dice.below(3)).map(|_| (dice.between(1.0, 90.0), dice.between(78.0, 100.0))).collect();
        let found = precursor_left_after(stretches.iter().map(|&(time, at)| (minutes(time), celsius(at))));
        ("precursor", json!({ "stretches": stretches }), json!({ "left": found.parts() }))
    }));
    cases.extend((0..40).map(|_| {
        let boil = dice.between(0.0, 90.0);
        ("stripping", json!({ "minutes": boil }), json!({ "left": free_left(minutes(boil)).parts() }))
    }));
    cases.extend((0..150).map(|_| {
        let (time, at) = (dice.between(1.0, 180.0), dice.between(75.0, 130.0));
        let found = iso_alpha_fraction(minutes(time), celsius(at)).parts();
        ("isomerisation", json!({ "minutes": time, "celsius": at }), json!({ "share": found }))
    }));
    cases.extend((0..100).map(|_| {
        let (time, from) = (dice.between(1.0, 240.0), dice.between(70.0, 100.0));
        let (around, tau) = (dice.between(5.0, 30.0), dice.between(15.0, 1500.0));
        let found = equivalent_minutes_cooling(minutes(time), celsius(from), celsius(around), minutes(tau));
        let given = json!({ "minutes": time, "from": from, "around": around, "tau": tau });
        ("cooling stand", given, json!({ "minutes": found.map(Time::minutes) }))
    }));
    cases.extend((0..60).map(|_| {
        let mash = Mash {
            grist: Mass::from_kg(dice.between(3.0, 300.0)),
            liquor: Volume::from_litres(dice.between(10.0, 900.0)),
            vessel: HeatCapacity::from_kj_per_kelvin(dice.between(0.0, 50.0)),
        };
        let (from, around) = (dice.between(60.0, 75.0), dice.between(5.0, 30.0));
        let (loss, time) = (dice.between(0.5, 20.0), dice.between(5.0, 120.0));
        let found = temperature_after(
            &mash,
            celsius(from),
            celsius(around),
            HeatLoss::from_watts_per_kelvin(loss),
            minutes(time),
        );
        let given = json!({
            "from": from,
            "around": around,
            "loss": loss,
            "minutes": time,
            "kj_per_kelvin": mash.heat_capacity(celsius(from)).kj_per_kelvin(),
        });
        ("mash cooling", given, json!({ "celsius": found.map(Temperature::celsius) }))
    }));
    cases
}
