//! Which units a kind of value takes, and how both are called in a message.

use quantity::{Dimension as D, UnitId};

use crate::vocabulary::Kind;

/// Whether a unit measures what a kind of value is.
#[must_use]
pub fn accepts(kind: Kind, unit: UnitId) -> bool {
    let dimension = unit.dimension();
    match kind {
        Kind::Mass | Kind::UnitMass => dimension == D::Mass,
        Kind::Volume => dimension == D::Volume,
        Kind::Temperature => dimension == D::Temperature,
        Kind::Step => dimension == D::TemperatureStep,
        Kind::Time => dimension == D::Time,
        // Strengths are given by mass and by mass and volume.
        Kind::Proportion => matches!(unit, UnitId::PERCENT | UnitId::PERCENT_WV),
        Kind::Gravity => dimension == D::Gravity,
        Kind::Potential => dimension == D::ExtractPotential,
        Kind::Colour => dimension == D::Colour,
        Kind::Bitterness => dimension == D::Bitterness,
        Kind::Concentration => {
            matches!(dimension, D::Concentration | D::AmountConcentration | D::Equivalents)
                && unit != UnitId::PERCENT_WV
        }
        Kind::Alkalinity => matches!(dimension, D::Equivalents | D::AmountConcentration),
        Kind::Carbonation => dimension == D::Carbonation,
        Kind::Pressure => dimension == D::Pressure,
        Kind::Cells => dimension == D::Cells,
        Kind::CellsPerVolume => dimension == D::CellsPerVolume,
        Kind::CellsPerMass => dimension == D::CellsPerMass,
        Kind::PitchRate => dimension == D::PitchRate,
        Kind::Diastatic => dimension == D::DiastaticPower,
        Kind::Power => dimension == D::Power,
        Kind::HeatCapacity => dimension == D::HeatCapacity,
        Kind::HeatLoss => dimension == D::TemperatureRate,
        Kind::Length => dimension == D::Length,
        Kind::Count => dimension == D::Count,
        Kind::Price => matches!(dimension, D::MoneyPerMass | D::MoneyPerVolume | D::MoneyPerCount),
        Kind::VolumePerMass | Kind::Oil => dimension == D::VolumePerMass,
        Kind::Flow => dimension == D::VolumeRate,
        Kind::Rate => dimension == D::ProportionRate,
        Kind::Energy => matches!(dimension, D::Energy | D::EnergyPerVolume),
        Kind::Density => dimension == D::Concentration && !matches!(unit, UnitId::PPM | UnitId::PERCENT_WV),
        Kind::Dose => {
            matches!(dimension, D::Concentration | D::CountPerVolume)
                || (dimension == D::Proportion && unit != UnitId::PERCENT)
        }
        Kind::Buffer => dimension == D::EquivalentsPerMass,
        Kind::IonContent => dimension == D::Proportion,
        Kind::Ph | Kind::Factor | Kind::Year => false,
    }
}

/// Whether a bare number says all there is to say.
#[must_use]
pub const fn bare_number_stands(kind: Kind) -> bool {
    matches!(kind, Kind::Gravity | Kind::Bitterness | Kind::Ph | Kind::Factor | Kind::Year)
}

/// A kind in a brewer's words, with its article.
#[must_use]
pub const fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Mass => "a mass",
        Kind::Volume => "a volume",
        Kind::Temperature => "a temperature",
        Kind::Time => "a time",
        Kind::Proportion => "a percentage",
        Kind::Gravity => "a gravity",
        Kind::Potential => "an extract potential",
        Kind::Colour => "a colour",
        Kind::Bitterness => "a bitterness",
        Kind::Concentration => "a concentration",
        Kind::Alkalinity => "an alkalinity or hardness",
        Kind::Carbonation => "a carbonation",
        Kind::Pressure => "a pressure",
        Kind::Cells => "a number of cells",
        Kind::CellsPerVolume => "a number of cells by volume",
        Kind::CellsPerMass => "a number of cells by mass",
        Kind::PitchRate => "a pitching rate",
        Kind::Diastatic => "a diastatic power",
        Kind::Power => "a power",
        Kind::HeatCapacity => "a heat capacity",
        Kind::HeatLoss => "a loss of temperature by time",
        Kind::Length => "a length",
        Kind::Count => "a number of pieces",
        Kind::Price => "a price",
        Kind::VolumePerMass => "a volume by mass",
        Kind::Flow => "a volume by time",
        Kind::Rate => "a percentage by time",
        Kind::Energy => "an energy",
        Kind::Density => "a density",
        Kind::Dose => "a dose",
        Kind::Step => "a step of temperature",
        Kind::Buffer => "a buffering by mass",
        Kind::UnitMass => "the mass of one piece",
        Kind::Oil => "a volume of oil by mass",
        Kind::IonContent => "a share by mass",
        Kind::Ph => "a pH",
        Kind::Factor => "a plain factor",
        Kind::Year => "a year",
    }
}

/// The units a brewer would write for a kind, the likeliest first; none where a bare number is written.
#[must_use]
pub const fn usual_units(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Mass => &["g", "kg", "oz", "lb"],
        Kind::UnitMass => &["g", "mg"],
        Kind::Volume => &["L", "mL", "gal"],
        Kind::Temperature => &["C", "F"],
        Kind::Step => &["K"],
        Kind::Time => &["min", "h", "d"],
        Kind::Proportion => &["%"],
        Kind::Gravity => &["P", "Bx"],
        Kind::Potential => &["ppg", "L°/kg"],
        Kind::Colour => &["EBC", "SRM", "lov"],
        Kind::Bitterness => &["IBU"],
        Kind::Concentration => &["ppm", "g/L", "mmol/L"],
        Kind::Alkalinity => &["ppm as CaCO3", "mEq/L", "dH"],
        Kind::Carbonation => &["vol", "g/L CO2"],
        Kind::Pressure => &["bar", "kPa", "psi"],
        Kind::Cells => &["billion cells", "million cells"],
        Kind::CellsPerVolume => &["billion cells/mL", "million cells/mL"],
        Kind::CellsPerMass => &["billion cells/g"],
        Kind::PitchRate => &["million/mL/P"],
        Kind::Diastatic => &["WK", "lintner"],
        Kind::Power => &["kW", "W"],
        Kind::HeatCapacity => &["kJ/C"],
        Kind::HeatLoss => &["C/h"],
        Kind::Length => &["m", "ft"],
        Kind::Count => &["each", "pack", "tablet"],
        Kind::Price => &["EUR/kg", "USD/lb"],
        Kind::VolumePerMass => &["L/kg"],
        Kind::Oil => &["mL/100 g"],
        Kind::Flow => &["L/h", "L/min"],
        Kind::Rate => &["%/h"],
        Kind::Energy => &["kJ", "kcal"],
        Kind::Density => &["g/mL", "kg/L"],
        Kind::Dose => &["g/L", "mL/L", "g/hL"],
        Kind::Buffer => &["mEq/kg"],
        Kind::IonContent => &["mg/g"],
        Kind::Ph | Kind::Factor | Kind::Year => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::scan_unit;

    #[test]
    fn the_usual_units_of_a_kind_are_accepted() {
        let mut seen = 0;
        for (kind, units) in KINDS.iter().map(|&kind| (kind, usual_units(kind))) {
            for unit in units {
                let found = scan_unit(unit).and_then(|found| found.unit.ok());
                assert!(found.is_some_and(|unit| accepts(kind, unit)), "{kind:?}: {unit}");
                seen += 1;
            }
            assert!(
                !units.is_empty() || bare_number_stands(kind),
                "{kind:?} has neither units nor bare numbers"
            );
        }
        assert!(seen > 60);
    }

    #[test]
    fn near_relations_are_told_apart() {
        let cases = [
            (Kind::Temperature, "K", false),
            (Kind::Step, "K", true),
            (Kind::Concentration, "ppm", true),
            (Kind::Alkalinity, "ppm", false),
            (Kind::Alkalinity, "dH", true),
            (Kind::Carbonation, "g/L", false),
            (Kind::Carbonation, "g/L CO2", true),
            (Kind::Dose, "g/hL", true),
            (Kind::Dose, "mL/L", true),
            (Kind::Dose, "%", false),
            (Kind::Proportion, "% w/v", true),
            (Kind::Concentration, "% w/v", false),
            (Kind::Volume, "gal", true),
            (Kind::Colour, "L", false),
        ];
        for (kind, unit, right) in cases {
            let found = scan_unit(unit).and_then(|found| found.unit.ok());
            assert_eq!(found.map(|unit| accepts(kind, unit)), Some(right), "{kind:?}: {unit}");
        }
    }

    const KINDS: &[Kind] = &[
        Kind::Mass,
        Kind::Volume,
        Kind::Temperature,
        Kind::Time,
        Kind::Proportion,
        Kind::Gravity,
        Kind::Potential,
        Kind::Colour,
        Kind::Bitterness,
        Kind::Concentration,
        Kind::Alkalinity,
        Kind::Carbonation,
        Kind::Pressure,
        Kind::Cells,
        Kind::CellsPerVolume,
        Kind::CellsPerMass,
        Kind::PitchRate,
        Kind::Diastatic,
        Kind::Power,
        Kind::HeatCapacity,
        Kind::HeatLoss,
        Kind::Length,
        Kind::Count,
        Kind::Price,
        Kind::VolumePerMass,
        Kind::Flow,
        Kind::Rate,
        Kind::Energy,
        Kind::Density,
        Kind::Dose,
        Kind::Step,
        Kind::Buffer,
        Kind::UnitMass,
        Kind::Oil,
        Kind::IonContent,
        Kind::Ph,
        Kind::Factor,
        Kind::Year,
    ];
}
