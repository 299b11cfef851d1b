//! Units and scales against their definitions.
//!
//! Each row of `unit_factors.tsv` is read as a brewer writes it, converted, and compared. Rows of the source
//! tables whose unit the language does not have stand there with that reason.

// A row that cannot be read fails the test.
#![allow(clippy::panic)]

use gyle_tests::{Account, Basis, Table, Tally, Tolerance, number};
use quantity::typed::{AbsolutePressure, GaugePressure};
use quantity::{Quantity, UnitId, scale, scan_number, scan_unit};

fn unit(text: &str) -> UnitId {
    let found = scan_unit(text).expect(text);
    assert_eq!(found.len, text.len(), "not the whole of {text}");
    found.unit.expect(text)
}

fn quantity(text: &str) -> Quantity {
    let (value, len) = scan_number(text).expect(text);
    assert_eq!(value.fault, None, "{text}");
    Quantity::new(value.value, unit(text[len..].trim_start()))
}

#[test]
fn units_have_their_size() {
    account();
}

/// Every row compared.
pub(crate) fn account() -> Tally {
    let table = Table::read(include_str!("unit_factors.tsv"));
    let mut account = Account::default();
    for row in table.rows() {
        let id = format!("{} in {}", row.get("from"), row.get("to"));
        if row.get("aside") != "-" {
            account.set_aside(&id, row.get("aside"));
            continue;
        }
        let basis = match row.get("basis") {
            "printed" => Basis::Printed,
            "library" => Basis::Library,
            "recomputed" => Basis::Recomputed,
            other => panic!("{id}: no basis {other}"),
        };
        let got = quantity(row.get("from")).convert(unit(row.get("to"))).ok().map(|found| found.value);
        let expected = row.number("expected");
        let share = number(row.get("tol"));
        // A share of nothing is nothing: around 0 the tolerance is absolute.
        let within = if expected == 0.0 { Tolerance::Absolute(share) } else { Tolerance::Relative(share) };
        account.check(&id, got, expected, within, basis);
    }
    account.close("unit_factors.tsv", table.rows().count())
}

#[test]
fn pressure_above_vacuum() {
    // 10 psig at 101.325 kPa is 170.273 kPa absolute: computed from the definition of the pound-force.
    let gauge = GaugePressure::try_from(quantity("10 psi")).unwrap();
    let absolute = scale::absolute(gauge, AbsolutePressure::from_bar(scale::STANDARD_ATMOSPHERE_BAR));
    assert!((absolute.bar() - 1.702_73).abs() < 1e-5);
    let back = scale::gauge(absolute, AbsolutePressure::from_bar(scale::STANDARD_ATMOSPHERE_BAR));
    assert!((back.bar() - gauge.bar()).abs() < 1e-12);
}

#[test]
fn hardness_counts_two_charges_and_alkalinity_one() {
    // 1 mmol/L of calcium and magnesium is 5.6077 degrees dH and 100.086 mg/L as CaCO3 (IUPAC 2021 masses).
    let hard = scale::hardness(quantity("1 mmol/L")).unwrap();
    let in_dh = Quantity::new(hard.meq_per_litre(), UnitId::MEQ_PER_L).convert(UnitId::DH).unwrap();
    assert!((in_dh.value - 5.6077).abs() < 1e-4);
    assert_eq!(scale::alkalinity(quantity("1 mmol/L")).unwrap().meq_per_litre(), 1.0);
    assert_eq!(scale::alkalinity(quantity("100 ppm")), None);
    // 1 mg/L of calcium is 2.49728 mg/L as CaCO3, of magnesium 4.11792.
    for (molar_mass, as_caco3) in [(40.078, 2.497_28), (24.305, 4.117_92)] {
        let found = scale::ion(Quantity::new(as_caco3, UnitId::PPM_CACO3), molar_mass, 2).unwrap();
        assert!((found.mg_per_litre() - 1.0).abs() < 1e-5, "{molar_mass}");
    }
    let chloride = scale::ion(quantity("2 mmol/L"), 35.45, 1).unwrap();
    assert!((chloride.mg_per_litre() - 70.9).abs() < 1e-9);
}

#[test]
fn extract_potential_of_sucrose_and_malt() {
    // 46.21 ppg is the whole; 386 L°/kg printed as its round figure is 385.6 (computed near 100 g/L).
    for (text, share) in [("46.21 ppg", 1.0), ("385.64 L°/kg", 1.0), ("80 %", 0.8), ("37 ppg", 0.8007)] {
        let found = scale::extract_share(quantity(text)).unwrap().parts();
        assert!((found - share).abs() < 5e-5, "{text}: {found}");
    }
    assert_eq!(scale::extract_share(quantity("4 EBC")), None);
}
