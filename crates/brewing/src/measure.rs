//! Readings put right: hot volumes, a hydrometer away from its temperature, a refractometer in beer.

use quantity::typed::{Density, Gravity, Plato, Temperature, TemperatureStep, Volume};

use crate::source::{Basis, Source};
use crate::validity::Range;

/// Density of water.
pub const KELL: Source = Source::new(
    "Kell 1975",
    "Kell 1975, density of water at 1 atm, coefficients from memory; within 0.015 kg/m3 of IAPWS-95 in an \
     independent library from 0 to 100 °C. Wort is taken to expand as water does.",
    Basis::IndependentLibrary,
);
/// Temperature correction of a hydrometer.
pub const HYDROMETER: Source = Source::new(
    "hydrometer correction",
    "First principles: reading x water density at calibration / water density at the sample / \
     (1 + glass expansion x step), Kell 1975 and 25e-6/K for soda-lime glass.",
    Basis::Computed,
);
/// Final gravity from two refractometer readings.
pub const TERRILL: Source = Source::new(
    "Terrill 2011",
    "Terrill 2011, refractometer formulas checked on 68 beers fermented beyond about 60 % apparent \
     attenuation; readings divided by the wort correction factor first.",
    Basis::Published,
);
/// Final gravity from two refractometer readings, older form.
pub const BONHAM: Source = Source::new(
    "Bonham 2001",
    "Bonham, Zymurgy 2001, cubic in both readings, as quoted by Terrill 2010, who found it 0.5 to 8.5 points \
     low in finished beer.",
    Basis::Published,
);
/// Ratio of a refractometer's reading to the extract of wort.
pub const WORT_CORRECTION: Source = Source::new(
    "wort correction factor",
    "Wort bends light more than sucrose of the same extract: reading / 1.04, customarily 1.02 to 1.06; \
     calibrate the instrument.",
    Basis::CommonPractice,
);

/// °C for which the density of water is given.
pub const WATER_DENSITY_RANGE: Range = Range::new(0.0, 150.0, KELL);
/// K between sample and calibration beyond which a hydrometer correction is doubtful.
pub const HYDROMETER_STEP_RANGE: Range = Range::new(-25.0, 25.0, HYDROMETER);
/// Apparent attenuation (parts of one) of the beers behind Terrill's formulas.
pub const TERRILL_ATTENUATION_RANGE: Range = Range::new(0.60, 1.0, TERRILL);
/// Customary wort correction factors.
pub const WORT_CORRECTION_RANGE: Range = Range::new(1.02, 1.06, WORT_CORRECTION);

/// Customary wort correction factor where the house states none.
pub const USUAL_WORT_CORRECTION: f64 = 1.04;
/// Cubic expansion of a hydrometer's soda-lime glass, per K.
pub const GLASS_EXPANSION: f64 = 25e-6;
/// The temperature volumes and gravities are stated at.
pub const REFERENCE: Temperature = Temperature::from_celsius(20.0);

/// Density (kg/L) of air-free water at 1 atm. Valid for [`WATER_DENSITY_RANGE`] (above 100 °C under
/// pressure); a polynomial outside it. Source: [`KELL`].
#[must_use]
pub fn water_density(at: Temperature) -> Density {
    const NUMERATOR: [f64; 6] =
        [-280.542_53e-12, 105.563_02e-9, -46.170_461e-6, -7.987_040_1e-3, 16.945_176, 999.839_52];
    let t = at.celsius();
    let numerator = NUMERATOR.iter().fold(0.0, |sum, c| sum * t + c);
    Density::from_kg_per_litre(numerator / (1.0 + 16.879_850e-3 * t) / 1000.0)
}

/// Factor by which a volume at 20 °C grows when warmed: 1.0416 at 100 °C.
fn expansion(at: Temperature) -> f64 {
    water_density(REFERENCE) / water_density(at)
}

/// Volume a hot kettle shows for a volume at 20 °C. Valid for [`WATER_DENSITY_RANGE`]. Source: [`KELL`].
#[must_use]
pub fn hot_volume(cold: Volume, at: Temperature) -> Volume {
    cold * expansion(at)
}

/// Volume at 20 °C of what a hot kettle shows. Valid for [`WATER_DENSITY_RANGE`]. Source: [`KELL`].
#[must_use]
pub fn cold_volume(hot: Volume, at: Temperature) -> Volume {
    hot / expansion(at)
}

/// Gravity a hydrometer would read at its calibration temperature, from its reading at another.
///
/// `glass` is the cubic expansion of its glass per K, usually [`GLASS_EXPANSION`]. Wort expands a little
/// more than water and glass a little less, so that the two nearly cancel. Doubtful beyond
/// [`HYDROMETER_STEP_RANGE`]: cool the sample instead. Source: [`HYDROMETER`].
#[must_use]
pub fn hydrometer(reading: Gravity, sample: Temperature, calibration: Temperature, glass: f64) -> Gravity {
    let step: TemperatureStep = sample - calibration;
    let water = water_density(calibration) / water_density(sample);
    Gravity::from_sg(reading.sg() * water / (1.0 + glass * step.kelvin()))
}

/// Extract (°P) of unfermented wort from a refractometer's °Brix and the wort correction factor. Not
/// finite for a factor of 0; customary factors are in [`WORT_CORRECTION_RANGE`]. Not valid once fermentation has
/// begun: alcohol bends the reading. Source: [`WORT_CORRECTION`].
#[must_use]
pub fn refractometer_wort(brix: Plato, correction: f64) -> Plato {
    brix / correction
}

/// How final gravity is found from two refractometer readings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum RefractometerFormula {
    /// [`TERRILL`], linear.
    #[default]
    Linear,
    /// [`TERRILL`], cubic.
    Cubic,
    /// [`BONHAM`].
    Bonham,
}

/// A final gravity from refractometer readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RefractometerReading {
    /// The gravity.
    pub gravity: Gravity,
    /// Apparent attenuation the readings imply, if there was an original extract.
    pub attenuation: Option<quantity::typed::Fraction>,
}

impl RefractometerFormula {
    /// Where the formula comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Linear | Self::Cubic => TERRILL,
            Self::Bonham => BONHAM,
        }
    }

    /// Gravity of beer from the first and the last reading (°Brix), both already divided by the wort
    /// correction factor, with the apparent attenuation that implies.
    ///
    /// The linear and the cubic form hold for attenuations in [`TERRILL_ATTENUATION_RANGE`] only: check the
    /// attenuation that comes back. In unfermented wort they are wrong by several points, and none of the
    /// three proves that a beer has finished.
    #[must_use]
    pub fn final_gravity(self, first: Plato, last: Plato) -> RefractometerReading {
        let (i, f) = (first.plato(), last.plato());
        let sg = match self {
            Self::Linear => 1.0 - 8.568_3e-4 * i + 3.494_1e-3 * f,
            Self::Cubic => {
                1.0 + i * (-4.499_3e-3 + i * (2.758_1e-4 - i * 7.28e-6))
                    + f * (1.177_4e-2 + f * (-1.271_7e-3 + f * 6.329_3e-5))
            }
            Self::Bonham => {
                1.001_843 - i * (2.318_474e-3 + i * (7.775e-6 + i * 3.4e-8))
                    + f * (5.74e-3 + f * (3.344e-5 + f * 8.6e-8))
            }
        };
        let gravity = Gravity::from_sg(sg);
        let attenuation = crate::attenuation::apparent(first, crate::gravity::plato(gravity));
        RefractometerReading { gravity, attenuation }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hot_and_cold_volumes_undo_each_other() {
        let cold = Volume::from_litres(22.0);
        for celsius in [0.0, 20.0, 65.0, 100.0] {
            let at = Temperature::from_celsius(celsius);
            assert!((cold_volume(hot_volume(cold, at), at) - cold).litres().abs() < 1e-12);
        }
        assert_eq!(hot_volume(cold, REFERENCE), cold);
    }

    #[test]
    fn a_hydrometer_at_its_temperature_is_right() {
        let reading = Gravity::from_sg(1.048);
        assert_eq!(hydrometer(reading, REFERENCE, REFERENCE, GLASS_EXPANSION), reading);
    }

    #[test]
    fn unfermented_wort_is_told_by_its_attenuation() {
        let plato = Plato::from_plato;
        for formula in [RefractometerFormula::Linear, RefractometerFormula::Cubic] {
            let outside = |first, last| {
                let reading = formula.final_gravity(plato(first), plato(last));
                TERRILL_ATTENUATION_RANGE.check(reading.attenuation.unwrap().parts()).is_some()
            };
            assert!(outside(12.0, 12.0), "{formula:?}");
            assert!(!outside(12.0, 6.0), "{formula:?}");
        }
    }
}
