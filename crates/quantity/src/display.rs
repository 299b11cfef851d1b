//! Numbers as they are shown: so many decimals for each unit, metric or customary.

use crate::quantity::ConvertError;
use crate::unit::Customary;
use crate::{Dimension, Quantity, UnitId};

/// How many digits a value is shown with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Places {
    /// So many digits after the point.
    Decimals(u8),
    /// So many significant digits, without zeros at the end of decimals, and never less than the whole
    /// number: 1234.5 g is 1235 g, not 1230 g.
    Significant(u8),
    /// One digit after the point below 10, none from there up.
    OneBelowTen,
}

/// The family of units in which figures are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ShownUnits {
    /// kg, L, °C, bar.
    #[default]
    Metric,
    /// lb, gallons, °F, psi, in one of the customary systems.
    Customary(Customary),
}

/// The digits a unit's values are shown with: SG 3 decimals, °P 1, IBU and EBC 1 below 10 else 0, pH 2,
/// L 1, g 3 significant, °C 1, bar 2, psi 0, ppm 0, % 1; money the decimals of its currency.
#[must_use]
pub const fn places(unit: UnitId) -> Places {
    if let Some(decimals) = unit.currency_decimals() {
        return Places::Decimals(decimals);
    }
    match unit {
        UnitId::SG | UnitId::KG => Places::Decimals(3),
        UnitId::BARE
        | UnitId::PH
        | UnitId::BAR
        | UnitId::LB
        | UnitId::L_PER_KG
        | UnitId::QT_PER_LB
        | UnitId::US_QT_PER_LB
        | UnitId::IMP_QT_PER_LB
        | UnitId::MILLION_PER_ML_P => Places::Decimals(2),
        UnitId::PSI
        | UnitId::KPA
        | UnitId::PPM
        | UnitId::MG_PER_L
        | UnitId::PPM_CACO3
        | UnitId::W
        | UnitId::WK
        | UnitId::LINTNER
        | UnitId::F
        | UnitId::BILLION_CELLS
        | UnitId::L_DEGREES_PER_KG
        | UnitId::MIN
        | UnitId::FT
        | UnitId::M
        | UnitId::KCAL_PER_100_ML
        | UnitId::KJ_PER_100_ML => Places::Decimals(0),
        UnitId::IBU | UnitId::EBC | UnitId::SRM | UnitId::LOV => Places::OneBelowTen,
        UnitId::PACK | UnitId::TABLET | UnitId::EACH => Places::Significant(3),
        _ => match unit.dimension() {
            Dimension::Mass
            | Dimension::Time
            | Dimension::Length
            | Dimension::Power
            | Dimension::Energy
            | Dimension::Cells
            | Dimension::CellsPerVolume
            | Dimension::CellsPerMass
            | Dimension::AmountConcentration
            | Dimension::Equivalents => Places::Significant(3),
            Dimension::Concentration => match unit {
                UnitId::KG_PER_L | UnitId::G_PER_ML => Places::Decimals(3),
                _ => Places::Significant(3),
            },
            _ => Places::Decimals(1),
        },
    }
}

/// The shortest decimal that reads back as the same number: never an exponent, never `-0`, thousands not
/// grouped. A value that is no number, which no figure is, gives `?`.
#[must_use]
pub fn format_plain(value: f64) -> String {
    if !value.is_finite() {
        return "?".to_owned();
    }
    // Adding 0 makes a plain zero of the negative one.
    format!("{}", value + 0.0)
}

/// A value with so many digits: never an exponent, never `-0`, thousands not grouped. Halves are rounded
/// away from zero, as one does on paper, also where the binary value lies a last digit below the half.
#[must_use]
pub fn format_places(value: f64, places: Places) -> String {
    if !value.is_finite() {
        return "?".to_owned();
    }
    match places {
        Places::Decimals(decimals) => fixed(value, usize::from(decimals)),
        Places::OneBelowTen => {
            let one = fixed(value, 1);
            // 9.96 is shown as 10, not as 10.0.
            let below = one.trim_start_matches('-').find('.').is_some_and(|digits| digits < 2);
            if below { one } else { fixed(value, 0) }
        }
        Places::Significant(digits) => significant(value, i32::from(digits.max(1))),
    }
}

/// A value with the digits its unit is shown with, without the unit.
#[must_use]
pub fn format_value(value: f64, unit: UnitId) -> String {
    format_places(value, places(unit))
}

fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", nudged(value));
    if text.starts_with('-') && !text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

/// The value moved away from zero by less than its own last digits can mean, so that 1.0485 (held a hair
/// below) rounds as written.
fn nudged(value: f64) -> f64 {
    value + value * (4.0 * f64::EPSILON)
}

fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let exponent = |value: f64| value.abs().log10().floor() as i32;
    let decimals = |exponent: i32| usize::try_from(digits - 1 - exponent).unwrap_or(0);
    let mut places = decimals(exponent(value));
    // 9.996 has three digits as 10.0, not as 10.00.
    let text = fixed(value, places);
    if let Ok(rounded) = text.parse::<f64>()
        && rounded != 0.0
    {
        places = decimals(exponent(nudged(rounded)));
    }
    let text = fixed(value, places);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Whether a number shown with so many decimals is the value rounded to them: how a stamp agrees.
#[must_use]
pub fn agrees(shown: f64, decimals: u8, value: f64) -> bool {
    format_places(shown, Places::Decimals(decimals)) == format_places(value, Places::Decimals(decimals))
}

/// The unit in which a quantity of this unit is shown. Metric and customary have their counterparts of one
/// size; units of the trade's own scales stay, except that customary shows colours of beer in SRM.
#[must_use]
pub const fn shown_unit(unit: UnitId, shown: ShownUnits) -> UnitId {
    match shown {
        ShownUnits::Metric => match unit {
            UnitId::OZ => UnitId::G,
            UnitId::LB => UnitId::KG,
            UnitId::F => UnitId::C,
            UnitId::PSI => UnitId::BAR,
            UnitId::FT => UnitId::M,
            UnitId::US_TSP
            | UnitId::US_TBSP
            | UnitId::US_FLOZ
            | UnitId::IMP_TSP
            | UnitId::IMP_TBSP
            | UnitId::IMP_FLOZ
            | UnitId::TSP
            | UnitId::TBSP
            | UnitId::FLOZ => UnitId::ML,
            UnitId::US_PT
            | UnitId::US_QT
            | UnitId::US_GAL
            | UnitId::US_BBL
            | UnitId::IMP_PT
            | UnitId::IMP_QT
            | UnitId::IMP_GAL
            | UnitId::IMP_BBL
            | UnitId::PT
            | UnitId::QT
            | UnitId::GAL
            | UnitId::BBL => UnitId::L,
            UnitId::QT_PER_LB | UnitId::US_QT_PER_LB | UnitId::IMP_QT_PER_LB => UnitId::L_PER_KG,
            UnitId::GAL_PER_H | UnitId::US_GAL_PER_H | UnitId::IMP_GAL_PER_H => UnitId::L_PER_H,
            UnitId::F_PER_MIN => UnitId::C_PER_MIN,
            UnitId::PPG => UnitId::L_DEGREES_PER_KG,
            other => other,
        },
        ShownUnits::Customary(customary) => match unit {
            UnitId::G => UnitId::OZ,
            UnitId::KG => UnitId::LB,
            UnitId::C => UnitId::F,
            UnitId::BAR | UnitId::KPA => UnitId::PSI,
            UnitId::M => UnitId::FT,
            UnitId::ML => UnitId::FLOZ.resolve(customary),
            UnitId::L => UnitId::GAL.resolve(customary),
            UnitId::HL => UnitId::BBL.resolve(customary),
            UnitId::L_PER_KG => UnitId::QT_PER_LB.resolve(customary),
            UnitId::L_PER_H => UnitId::GAL_PER_H.resolve(customary),
            UnitId::C_PER_MIN => UnitId::F_PER_MIN,
            UnitId::L_DEGREES_PER_KG => UnitId::PPG,
            UnitId::EBC => UnitId::SRM,
            // Another system's gallon is shown in the reader's own.
            other => other.everyday().resolve(customary),
        },
    }
}

/// A quantity as it is shown: converted, rounded, with its unit: `25.4 L`, `152 F`, `1.048`, `5.4`.
/// Specific gravities and pH stand without a unit, customary volumes without the `us` or `imp` that the
/// reader's own choice of system says already.
///
/// # Errors
/// [`ConvertError::NeedsCustomary`] for a `gal` that is shown as litres before it was resolved;
/// [`ConvertError::NotFinite`].
pub fn show(quantity: Quantity, shown: ShownUnits) -> Result<String, ConvertError> {
    let resolved = match shown {
        ShownUnits::Metric => quantity,
        ShownUnits::Customary(customary) => quantity.resolve(customary),
    };
    let quantity = resolved.convert(shown_unit(resolved.unit, shown))?;
    let number = format_value(quantity.value, quantity.unit);
    let everyday = match shown {
        ShownUnits::Metric => quantity.unit,
        ShownUnits::Customary(_) => quantity.unit.everyday(),
    };
    Ok(match quantity.unit {
        UnitId::SG | UnitId::PH | UnitId::BARE => number,
        _ => format!("{number} {everyday}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_decimals() {
        for (value, want) in [
            (0.0, "0"),
            (-0.0, "0"),
            (1.5, "1.5"),
            (20.0, "20"),
            (1e-7, "0.0000001"),
            (-2.25, "-2.25"),
            (0.1 + 0.2, "0.30000000000000004"),
            (1e21, "1000000000000000000000"),
            (f64::NAN, "?"),
            (f64::INFINITY, "?"),
        ] {
            assert_eq!(format_plain(value), want);
        }
    }

    #[test]
    fn a_value_has_the_digits_of_its_unit() {
        for (value, unit, want) in [
            (1.0508, UnitId::SG, "1.051"),
            (1.0485, UnitId::SG, "1.049"),
            (0.9995, UnitId::SG, "1.000"),
            (12.58, UnitId::P, "12.6"),
            (27.44, UnitId::IBU, "27"),
            (9.94, UnitId::IBU, "9.9"),
            (9.96, UnitId::IBU, "10"),
            (9.95, UnitId::IBU, "10"),
            (-0.04, UnitId::IBU, "0.0"),
            (41.4, UnitId::EBC, "41"),
            (4.02, UnitId::EBC, "4.0"),
            (5.2, UnitId::PERCENT, "5.2"),
            (-0.04, UnitId::PERCENT, "0.0"),
            (5.4, UnitId::PH, "5.40"),
            (30.44, UnitId::L, "30.4"),
            (1234.5, UnitId::L, "1234.5"),
            (116.94, UnitId::G, "117"),
            (0.5, UnitId::G, "0.5"),
            (9.996, UnitId::G, "10"),
            (0.099_96, UnitId::G, "0.1"),
            (0.012_34, UnitId::G, "0.0123"),
            (1234.5, UnitId::G, "1235"),
            (1000.0, UnitId::G, "1000"),
            (0.0, UnitId::G, "0"),
            (-0.0, UnitId::G, "0"),
            (-3.456, UnitId::G, "-3.46"),
            (75.66, UnitId::C, "75.7"),
            (168.2, UnitId::F, "168"),
            (1.105, UnitId::BAR, "1.11"),
            (12.4, UnitId::PSI, "12"),
            (62.5, UnitId::PPM, "63"),
            (-0.2, UnitId::PPM, "0"),
            (4.85, UnitId::KG, "4.850"),
            (f64::NAN, UnitId::L, "?"),
        ] {
            assert_eq!(format_value(value, unit), want, "{value} {unit}");
        }
        let yen = UnitId::currency("JPY").unwrap();
        let euro = UnitId::currency("EUR").unwrap();
        assert_eq!(format_value(1234.4, yen), "1234");
        assert_eq!(format_value(2.4, euro.per(UnitId::KG).unwrap()), "2.40");
    }

    #[test]
    fn what_is_shown_follows_the_reader() {
        let us = ShownUnits::Customary(Customary::Us);
        let imperial = ShownUnits::Customary(Customary::Imperial);
        for (value, unit, shown, want) in [
            (20.0, UnitId::L, ShownUnits::Metric, "20.0 L"),
            (20.0, UnitId::L, us, "5.3 gal"),
            (20.0, UnitId::L, imperial, "4.4 gal"),
            (5.0, UnitId::US_GAL, ShownUnits::Metric, "18.9 L"),
            (5.0, UnitId::GAL, us, "5.0 gal"),
            (5.0, UnitId::US_GAL, imperial, "4.2 gal"),
            (67.0, UnitId::C, us, "153 F"),
            (1.0, UnitId::BAR, us, "15 psi"),
            (2.0, UnitId::KG, us, "4.41 lb"),
            (1.048, UnitId::SG, us, "1.048"),
            (5.35, UnitId::PH, us, "5.35"),
            (19.7, UnitId::EBC, us, "10 SRM"),
            (3.0, UnitId::L_PER_KG, us, "1.44 qt/lb"),
            (0.75, UnitId::MILLION_PER_ML_P, us, "0.75 million/mL/P"),
            (4.0, UnitId::OZ, ShownUnits::Metric, "113 g"),
        ] {
            assert_eq!(show(Quantity::new(value, unit), shown).as_deref(), Ok(want), "{value} {unit}");
        }
        assert_eq!(
            show(Quantity::new(5.0, UnitId::GAL), ShownUnits::Metric),
            Err(ConvertError::NeedsCustomary(UnitId::GAL))
        );
    }

    #[test]
    fn a_stamp_agrees_to_the_digits_it_shows() {
        assert!(agrees(24.0, 0, 23.8));
        assert!(!agrees(23.0, 0, 23.8));
        assert!(agrees(1.051, 3, 1.0508));
        assert!(agrees(0.0, 1, -0.04));
    }
}
