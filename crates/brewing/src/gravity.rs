//! Specific gravity, extract content, wort density and the mass of extract.
//!
//! Gravity is apparent specific gravity 20/20 °C; volumes are at 20 °C.

use quantity::typed::{Density, Fraction, Gravity, Mass, Plato, Volume};

use crate::source::{Basis, Source};
use crate::table::interpolate;
use crate::validity::Range;

/// The default relation of gravity and extract.
pub const ASBC_CUBIC: Source = Source::new(
    "ASBC cubic",
    "Cubic fit to the ASBC extract table: P = 135.997 SG^3 - 630.272 SG^2 + 1111.14 SG - 616.868; \
     the way back is its numeric inverse.",
    Basis::Published,
);
/// The relation fitted to the sucrose table of the National Bureau of Standards.
pub const NBS_CUBIC: Source = Source::new(
    "NBS cubic",
    "Cubic fit to the sucrose table of NBS Circular C440 (rms 0.0009 °Bx): \
     Bx = 182.4601 SG^3 - 775.6821 SG^2 + 1262.7794 SG - 669.5622.",
    Basis::Published,
);
/// The Lincoln equation.
pub const LINCOLN: Source =
    Source::new("Lincoln equation", "Lincoln equation: P = (463 - 205 SG) (SG - 1).", Basis::Published);
/// Wort density from gravity.
pub const WORT_DENSITY: Source = Source::new(
    "wort density",
    "Density of wort at 20 °C from SG 20/20 in air: 0.99700 SG + 0.00120 kg/L \
     (water 998.20, air 1.20 kg/m3).",
    Basis::Computed,
);
/// Refractive index of sucrose solutions.
pub const OIV_REFRACTIVE_INDEX: Source = Source::new(
    "OIV refractive index table",
    "Refractive index of sucrose solutions at 20 °C, 589.3 nm: OIV-MA-AS2-02, Table II, as reprinted in the \
     French order of 14 September 2011, annex IV.",
    Basis::Published,
);
/// Density of water and ethanol.
pub const OIML_R22: Source = Source::new(
    "OIML R 22",
    "International alcoholometric tables, OIML R 22 (1975), general formula at 20 °C.",
    Basis::Published,
);

/// SG for which the ASBC table was made; its cubic stays within 0.013 °P of sucrose data up to 1.130.
pub const ASBC_RANGE: Range = Range::new(1.000, 1.083, ASBC_CUBIC);
/// SG for which the NBS cubic was fitted.
pub const NBS_RANGE: Range = Range::new(1.000, 1.178_74, NBS_CUBIC);
/// °P for which the Lincoln equation is given.
pub const LINCOLN_PLATO_RANGE: Range = Range::new(0.0, 20.0, LINCOLN);
/// °Brix of the densely tabulated part of the refractive index table.
pub const REFRACTIVE_INDEX_RANGE: Range = Range::new(10.0, 15.0, OIV_REFRACTIVE_INDEX);
/// Mass fraction of ethanol for which the general formula of OIML R 22 is given.
pub const ETHANOL_DENSITY_RANGE: Range = Range::new(0.0, 1.0, OIML_R22);

/// A relation of gravity and extract. The default is the ASBC cubic.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum ExtractScale {
    /// [`ASBC_CUBIC`].
    #[default]
    Asbc,
    /// [`NBS_CUBIC`]: °Brix of sucrose.
    Nbs,
    /// [`LINCOLN`].
    Lincoln,
}

const ASBC: [f64; 4] = [135.997, -630.272, 1111.14, -616.868];
const NBS: [f64; 4] = [182.4601, -775.6821, 1262.7794, -669.5622];

impl ExtractScale {
    /// Where the relation comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Asbc => ASBC_CUBIC,
            Self::Nbs => NBS_CUBIC,
            Self::Lincoln => LINCOLN,
        }
    }

    /// Extract (°P) at a gravity. Defined for every gravity; see the range constants for where it is
    /// published. At SG 1.000 the cubics give -0.003 and -0.005, not 0: see [`plato_of_reading`].
    #[must_use]
    pub fn plato(self, gravity: Gravity) -> Plato {
        let sg = gravity.sg();
        Plato::from_plato(match self {
            Self::Asbc => polynomial(&ASBC, sg),
            Self::Nbs => polynomial(&NBS, sg),
            Self::Lincoln => (463.0 - 205.0 * sg) * (sg - 1.0),
        })
    }

    /// Gravity at an extract content (°P): the inverse of [`Self::plato`], to the last digits of a double.
    /// The cubics rise everywhere, so every extract has exactly one gravity; the Lincoln parabola has its
    /// top at 81.2 °P and anything higher gives the gravity of the top (1.629).
    #[must_use]
    pub fn gravity(self, extract: Plato) -> Gravity {
        let p = extract.plato();
        Gravity::from_sg(match self {
            Self::Asbc => invert_cubic(&ASBC, p),
            Self::Nbs => invert_cubic(&NBS, p),
            Self::Lincoln => (668.0 - (66_564.0 - 820.0 * p).max(0.0).sqrt()) / 410.0,
        })
    }
}

/// Highest power first.
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().fold(0.0, |sum, c| sum * x + c)
}

/// The root of a cubic that rises everywhere and bends from concave to convex once.
///
/// Newton's method started on the side where it approaches the root without ever passing it: left of the
/// root where the curve is concave, right of it where it is convex.
fn invert_cubic(c: &[f64; 4], target: f64) -> f64 {
    let value = |x: f64| polynomial(c, x) - target;
    let slope = |x: f64| (3.0 * c[0] * x + 2.0 * c[1]) * x + c[2];
    let bend = -c[1] / (3.0 * c[0]);
    let start = if value(bend) < 0.0 {
        bend - value(bend) / slope(bend)
    } else if value(1.0) > 0.0 {
        1.0 - value(1.0) / slope(1.0)
    } else {
        1.0
    };
    newton(start, |x| (value(x), slope(x)))
}

/// A step shorter than this, whose next is no shorter, is rounding and nothing else.
const ROUNDING: f64 = 1e-12;

/// Newton's method until it no longer moves, or only to and fro between neighbouring doubles; an absurd target
/// ends it after a bounded number of steps.
fn newton(start: f64, value_and_slope: impl Fn(f64) -> (f64, f64)) -> f64 {
    let (mut x, mut last) = (start, f64::INFINITY);
    for _ in 0..200 {
        let (value, slope) = value_and_slope(x);
        let next = x - value / slope;
        let step = (next - x).abs();
        if !next.is_finite() || step <= f64::EPSILON * x.abs() || (last < ROUNDING && step >= last) {
            break;
        }
        (x, last) = (next, step);
    }
    x
}

/// Extract (°P) at a gravity by the ASBC cubic. Published for [`ASBC_RANGE`], defined everywhere; below
/// 1.000 it is negative, as the apparent extract of a dry beer truly is. Source: [`ASBC_CUBIC`].
#[must_use]
pub fn plato(gravity: Gravity) -> Plato {
    ExtractScale::Asbc.plato(gravity)
}

/// Gravity at an extract content (°P) by the numeric inverse of the ASBC cubic: [`plato`] and back returns
/// the same number. Source: [`ASBC_CUBIC`].
#[must_use]
pub fn gravity(extract: Plato) -> Gravity {
    ExtractScale::Asbc.gravity(extract)
}

/// Extract (°P) as it is shown: within 0.005 °P of water it is 0, so that water does not read -0.003.
/// Not for computing with, since it cannot be undone. Source: [`ASBC_CUBIC`].
#[must_use]
pub fn plato_of_reading(reading: Gravity) -> Plato {
    let extract = plato(reading);
    if extract.plato().abs() < 0.005 { Plato::from_plato(0.0) } else { extract }
}

/// Density (kg/L) of wort or beer at 20 °C from its gravity. Linear, so defined for every gravity.
/// Source: [`WORT_DENSITY`].
#[must_use]
pub fn density(gravity: Gravity) -> Density {
    Density::from_kg_per_litre(0.997_00 * gravity.sg() + 0.001_20)
}

/// Mass of extract (kg) in a volume (L at 20 °C) at a gravity: volume x density x °P / 100. Negative below
/// SG 1.000. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn extract_mass(volume: Volume, gravity: Gravity) -> Mass {
    Mass::from_kg(volume.litres() * extract_per_litre(gravity))
}

fn extract_per_litre(gravity: Gravity) -> f64 {
    density(gravity).kg_per_litre() * plato(gravity).plato() / 100.0
}

/// Gravity at which a volume (L at 20 °C) holds a mass of extract (kg): the inverse of [`extract_mass`].
///
/// Nothing if there is no such gravity: the volume is not above zero, an input is no number, or the extract
/// is below -0.5 or above 1.5 kg/L, more than a litre of sugar weighs. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn gravity_of(extract: Mass, volume: Volume) -> Option<Gravity> {
    let target = extract.kg() / volume.litres();
    if volume.litres() <= 0.0 || !(-0.5..=1.5).contains(&target) {
        return None;
    }
    // Extract per litre rises and is convex in the gravity, so that the tangent at 1 lands right of the
    // root and Newton's method walks down to it.
    let value_and_slope = |sg: f64| {
        let g = Gravity::from_sg(sg);
        let plato_slope = (3.0 * ASBC[0] * sg + 2.0 * ASBC[1]) * sg + ASBC[2];
        let slope = (0.997_00 * plato(g).plato() + density(g).kg_per_litre() * plato_slope) / 100.0;
        (extract_per_litre(g) - target, slope)
    };
    Some(Gravity::from_sg(newton(1.0, value_and_slope)))
}

/// Volume (L at 20 °C) in which a mass of extract (kg) has a gravity. Nothing where that gravity holds no
/// extract (SG 1.000 and below) or the result would be no finite volume. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn volume_of(extract: Mass, gravity: Gravity) -> Option<Volume> {
    let per_litre = extract_per_litre(gravity);
    let volume = Volume::from_litres(extract.kg() / per_litre);
    (per_litre > 0.0 && volume.is_finite()).then_some(volume)
}

/// Refractive index at 20 °C and sucrose by mass (°Brix), from 10 to 15 in steps of a half, and 30.
const REFRACTIVE_INDEX: [(f64, f64); 12] = [
    (1.347_82, 10.0),
    (1.348_60, 10.5),
    (1.349_37, 11.0),
    (1.350_15, 11.5),
    (1.350_93, 12.0),
    (1.351_71, 12.5),
    (1.352_50, 13.0),
    (1.353_29, 13.5),
    (1.354_08, 14.0),
    (1.354_88, 14.5),
    (1.355_68, 15.0),
    (1.381_15, 30.0),
];

/// Sucrose by mass (°Brix, given as °P) at a refractive index (20 °C, 589.3 nm).
///
/// Linear interpolation in [`REFRACTIVE_INDEX_RANGE`], good to 0.01 °Brix. From 15 to 30 the table at hand
/// has no entry between: a parabola through 10, 15 and 30, which agrees within 0.02 with the table's values
/// at 20 and 25 as remembered. Nothing below 10 and above 30: the table ends there.
/// Source: [`OIV_REFRACTIVE_INDEX`].
#[must_use]
pub fn brix_of_refractive_index(index: f64) -> Option<Plato> {
    let [(lowest, _), .., (n15, _), (n30, _)] = REFRACTIVE_INDEX;
    let bend = if index > n15 { SPARSE_BEND * (index - n15) * (index - n30) } else { 0.0 };
    (lowest..=n30).contains(&index).then(|| Plato::from_plato(interpolate(&REFRACTIVE_INDEX, index) + bend))
}

/// Second divided difference of °Brix over the refractive index through 10, 15 and 30.
const SPARSE_BEND: f64 = {
    let ((n0, bx0), (n1, bx1), (n2, bx2)) = (REFRACTIVE_INDEX[0], REFRACTIVE_INDEX[10], REFRACTIVE_INDEX[11]);
    ((bx2 - bx1) / (n2 - n1) - (bx1 - bx0) / (n1 - n0)) / (n2 - n0)
};

/// Coefficients of the general formula at 20 °C, lowest power of the mass fraction first.
const OIML_AT_20_C: [f64; 12] = [
    998.201_23,
    -192.976_949_5,
    389.123_895_8,
    -1_668.103_923,
    13_522.154_41,
    -88_292.783_88,
    306_287.404_2,
    -613_838.123_4,
    747_017.299_8,
    -547_846.135_4,
    223_446.033_4,
    -39_032.854_26,
];

/// Density (kg/L) of a mixture of ethanol and water at 20 °C by mass fraction of ethanol.
/// Valid for [`ETHANOL_DENSITY_RANGE`]; the polynomial means nothing outside it. Source: [`OIML_R22`].
#[must_use]
pub fn ethanol_density(by_mass: Fraction) -> Density {
    let kg_per_m3 = OIML_AT_20_C.iter().rev().fold(0.0, |sum, c| sum * by_mass.parts() + c);
    Density::from_kg_per_litre(kg_per_m3 / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCALES: [ExtractScale; 3] = [ExtractScale::Asbc, ExtractScale::Nbs, ExtractScale::Lincoln];

    #[test]
    fn every_scale_undoes_itself() {
        for scale in SCALES {
            for thousandths in 980..=1300 {
                let sg = f64::from(thousandths) / 1000.0;
                let back = scale.gravity(scale.plato(Gravity::from_sg(sg))).sg();
                assert!((back - sg).abs() < 1e-13, "{scale:?} at {sg}: {back}");
            }
        }
    }

    #[test]
    fn the_inverse_is_finite_for_any_extract() {
        for scale in SCALES {
            for p in [-1e300, -1e9, -400.0, 0.0, 81.2, 96.9, 1e9, 1e300] {
                assert!(scale.gravity(Plato::from_plato(p)).is_finite(), "{scale:?} at {p}");
            }
        }
    }

    #[test]
    fn extract_volume_and_gravity_close_the_balance() {
        for thousandths in [1001, 1010, 1040, 1083, 1120, 1200] {
            let sg = Gravity::from_sg(f64::from(thousandths) / 1000.0);
            let volume = Volume::from_litres(23.0);
            let extract = extract_mass(volume, sg);
            let gravity = gravity_of(extract, volume).unwrap();
            assert!((gravity.sg() - sg.sg()).abs() < 1e-13, "{gravity:?}");
            assert!((volume_of(extract, sg).unwrap().litres() - 23.0).abs() < 1e-9);
        }
    }

    #[test]
    fn no_gravity_without_a_volume() {
        let kg = Mass::from_kg;
        let litres = Volume::from_litres;
        for (extract, volume) in
            [(1.0, 0.0), (1.0, -1.0), (0.0, 0.0), (2.0, 1.0), (f64::NAN, 1.0), (1.0, f64::NAN)]
        {
            assert_eq!(gravity_of(kg(extract), litres(volume)), None, "{extract} kg in {volume} L");
        }
        assert_eq!(volume_of(kg(1.0), Gravity::from_sg(1.0)), None);
    }

    #[test]
    fn the_sparse_part_of_the_refractive_table_is_bent() {
        // 20 and 25 °Brix as remembered from the full table; the straight line would read 0.2 low.
        for (index, brix) in [(1.363_84, 20.0), (1.372_33, 25.0), (1.381_15, 30.0), (1.355_68, 15.0)] {
            let read = brix_of_refractive_index(index).unwrap().plato();
            assert!((read - brix).abs() < 0.02, "{index}: {read}");
        }
        assert_eq!(brix_of_refractive_index(1.333), None);
        assert_eq!(brix_of_refractive_index(1.4), None);
    }

    #[test]
    fn water_is_shown_as_nought() {
        assert_eq!(plato_of_reading(Gravity::from_sg(1.0)).plato(), 0.0);
        assert!(plato_of_reading(Gravity::from_sg(0.999)).plato() < -0.2);
    }

    /// Close to the root the last digit may go to and fro; that must not be waited for.
    #[test]
    fn inverting_takes_a_few_steps() {
        let mut most = 0;
        for thousandth in 0..1_600 {
            let target = f64::from(thousandth) * 0.025;
            let steps = core::cell::Cell::new(0);
            let x = newton(1.0, |x| {
                steps.set(steps.get() + 1);
                let [a, b, c, _] = ASBC;
                (polynomial(&ASBC, x) - target, (3.0 * a * x + 2.0 * b) * x + c)
            });
            assert!((polynomial(&ASBC, x) - target).abs() < 1e-11, "{target}");
            most = most.max(steps.get());
        }
        assert!(most <= 12, "{most} steps");
    }
}
