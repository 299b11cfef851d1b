//! Neighbours that add, and conversions that are refused.

use quantity::quantity::check_sum;
use quantity::{ConvertError, Customary, Dimension, Quantity, SumError, UnitId};

#[test]
fn neighbours_add_when_the_second_is_a_smaller_part() {
    for (first, second, customary, sum) in [
        ((2.0, UnitId::LB), (4.0, UnitId::OZ), None, 2.25),
        ((1.0, UnitId::H), (15.0, UnitId::MIN), None, 1.25),
        ((1.0, UnitId::WEEK), (3.5, UnitId::D), None, 1.5),
        ((5.0, UnitId::KG), (250.0, UnitId::G), None, 5.25),
        ((5.0, UnitId::GAL), (2.0, UnitId::QT), None, 5.5),
        ((1.0, UnitId::GAL), (64.0, UnitId::FLOZ), Some(Customary::Us), 1.5),
        ((1.0, UnitId::GAL), (80.0, UnitId::FLOZ), Some(Customary::Imperial), 1.5),
        ((1.0, UnitId::US_GAL), (2.0, UnitId::US_QT), None, 1.5),
    ] {
        let sum_of = Quantity::new(first.0, first.1).plus_part(Quantity::new(second.0, second.1), customary);
        let sum_of = sum_of.unwrap();
        assert_eq!(sum_of.unit, first.1);
        assert!((sum_of.value - sum).abs() < 1e-12, "{sum_of}");
    }
}

#[test]
fn what_does_not_add_says_why() {
    for (first, second, why) in [
        (UnitId::KG, UnitId::OZ, SumError::Systems),
        (UnitId::OZ, UnitId::LB, SumError::NotSmaller),
        (UnitId::G, UnitId::G, SumError::NotSmaller),
        (UnitId::C, UnitId::F, SumError::NotPlain),
        (UnitId::PERCENT, UnitId::PERCENT, SumError::NotPlain),
        (UnitId::L_PER_KG, UnitId::L_PER_KG, SumError::NotPlain),
        (
            UnitId::L,
            UnitId::C,
            SumError::Dimensions { first: Dimension::Volume, second: Dimension::Temperature },
        ),
    ] {
        assert_eq!(check_sum(first, second), Err(why), "{first} {second}");
    }
    let gallon = Quantity::new(1.0, UnitId::GAL);
    assert_eq!(
        gallon.plus_part(Quantity::new(3.0, UnitId::FLOZ), None),
        Err(SumError::NeedsCustomary(UnitId::GAL))
    );
    assert_eq!(
        Quantity::new(1.0, UnitId::LB).plus_part(Quantity::new(-3.0, UnitId::OZ), None),
        Err(SumError::Negative)
    );
}

#[test]
fn conversions_that_are_refused_say_why() {
    let euro = UnitId::currency("EUR").unwrap();
    let dollar = UnitId::currency("USD").unwrap();
    let dimensions = |from, to| ConvertError::Dimensions { from, to };
    for (from, to, why) in [
        (UnitId::KG, UnitId::L, dimensions(Dimension::Mass, Dimension::Volume)),
        (UnitId::C, UnitId::K, dimensions(Dimension::Temperature, Dimension::TemperatureStep)),
        (UnitId::GAL, UnitId::L, ConvertError::NeedsCustomary(UnitId::GAL)),
        (UnitId::L, UnitId::GAL, ConvertError::NeedsCustomary(UnitId::GAL)),
        (UnitId::L_PER_KG, UnitId::QT_PER_LB, ConvertError::NeedsCustomary(UnitId::QT_PER_LB)),
        (UnitId::SG, UnitId::P, ConvertError::NeedsModel),
        (UnitId::P, UnitId::BX, ConvertError::NeedsModel),
        (UnitId::PACK, UnitId::TABLET, ConvertError::DifferentThings),
        (euro, dollar, ConvertError::Currencies),
        (euro.per(UnitId::KG).unwrap(), dollar.per(UnitId::KG).unwrap(), ConvertError::Currencies),
    ] {
        assert_eq!(Quantity::new(1.0, from).convert(to), Err(why), "{from} to {to}");
    }
    assert_eq!(Quantity::new(f64::MAX, UnitId::KG).convert(UnitId::G), Err(ConvertError::NotFinite));
    assert_eq!(Quantity::new(f64::NAN, UnitId::KG).convert(UnitId::KG), Err(ConvertError::NotFinite));
}

#[test]
fn common_conversions_are_exact() {
    for (value, from, to, want) in [
        (250.0, UnitId::G, UnitId::KG, 0.25),
        (62.0, UnitId::PPM, UnitId::MG_PER_L, 62.0),
        (0.1, UnitId::G_PER_L, UnitId::PPM, 100.0),
        (5.0, UnitId::G_PER_HL, UnitId::PPM, 50.0),
        (1.2, UnitId::MILLION_CELLS_PER_ML, UnitId::BILLION_CELLS_PER_ML, 0.0012),
        (3.0, UnitId::GAL.resolve(Customary::Us), UnitId::QT.resolve(Customary::Us), 12.0),
        (90.0, UnitId::MIN, UnitId::H, 1.5),
    ] {
        assert_eq!(
            Quantity::new(value, from).convert(to).map(|found| found.value),
            Ok(want),
            "{from} to {to}"
        );
    }
    assert_eq!(Quantity::new(5.0, UnitId::PERCENT).canonical(), Ok(0.05));
    assert_eq!(Quantity::new(35.0, UnitId::PERCENT).canonical(), Ok(0.35));
}

#[test]
fn a_price_by_gallon_follows_the_system() {
    let euro = UnitId::currency("EUR").unwrap();
    let price = euro.per(UnitId::GAL).unwrap();
    assert!(price.needs_customary());
    assert_eq!(price.resolve(Customary::Us), euro.per(UnitId::US_GAL).unwrap());
    assert_eq!(price.resolve(Customary::Us).everyday(), price);
    let by_litre = Quantity::new(4.546_09, price.resolve(Customary::Imperial));
    let by_litre = by_litre.convert(euro.per(UnitId::L).unwrap()).unwrap();
    assert!((by_litre.value - 1.0).abs() < 1e-12);
}
