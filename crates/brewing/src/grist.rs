//! Extract of the grist: yield of a line, strength of the first wort, what lautering leaves behind.

use quantity::typed::{ExtractPotential, Fraction, Gravity, Mass, Plato, Volume, VolumePerMass};

use crate::measure;
use crate::source::{Basis, Source};
use crate::validity::Range;

/// Extract of a malt as it is, from its analysis.
pub const MALT_ANALYSIS: Source = Source::new(
    "malt analysis",
    "As-is extract = extract on dry basis x (1 - moisture); coarse = fine - difference.",
    Basis::Computed,
);
/// What sugar gives to a wort of about 10 °P.
pub const SUCROSE_YIELD: Source = Source::new(
    "46.21 ppg",
    "Points x litres a kilogram of sucrose at 100 g/L by the ASBC cubic and wort density: 385.64, or 46.21 ppg; \
     0.4 % less at 200 g/L.",
    Basis::Computed,
);
/// Congress extract and hot water extract.
pub const CONGRESS_TO_IOB: Source = Source::new(
    "Congress to IOB",
    "A maltster's technical article: hot water extract (L·°/kg) = (Congress extract % - 1.705) / 0.2586; \
     the two mashes differ by about 2 %, so they are converted only where the method changes.",
    Basis::Published,
);
/// Hot water extract from its own measurement.
pub const HOT_WATER_EXTRACT: Source = Source::new(
    "IOB hot water extract",
    "Institute of Brewing: 50 g in 515 mL, HWE (L·°/kg) = 10.13 x excess gravity.",
    Basis::FromMemory,
);
/// Strength of the first wort.
pub const FIRST_WORT: Source = Source::new(
    "first wort",
    "P = 100 e / (e + w): e extract, w water of a kilogram of grist with its moisture; all extract dissolved.",
    Basis::Computed,
);
/// Lauter efficiency.
pub const LAUTER: Source = Source::new(
    "equal runnings",
    "n equal runnings, each mixed with what the grain keeps: 1 - (a / (a + V/n))^n, a absorbed, V in the kettle. \
     An estimate: a continuous sparge has no n.",
    Basis::Computed,
);

/// Concentration (g/L) between which [`SUCROSE_YIELD`] holds within 0.4 %.
pub const SUCROSE_YIELD_RANGE: Range = Range::new(40.0, 200.0, SUCROSE_YIELD);
/// Mash thickness (L/kg) in use, from thick infusions to thin lager mashes. Common practice, no source.
pub const THICKNESS_RANGE: Range = Range::new(2.1, 6.3, crate::source::COMMON_PRACTICE);

/// Extract share of a malt as it is, from the share on dry basis and the moisture (both parts of one).
/// Source: [`MALT_ANALYSIS`].
#[must_use]
pub fn as_is(dry_basis: Fraction, moisture: Fraction) -> Fraction {
    dry_basis * (1.0 - moisture.parts())
}

/// Coarse-grind extract from fine-grind extract and their difference, 0.01 to 0.02 as a rule.
/// Source: [`MALT_ANALYSIS`].
#[must_use]
pub fn coarse(fine: Fraction, difference: Fraction) -> Fraction {
    fine - difference
}

/// Laboratory extract (kg) of a mass (kg) of malt: mass x extract on dry basis x (1 - moisture). A sugar
/// has its extract as it is, that is moisture 0. Source: [`MALT_ANALYSIS`].
#[must_use]
pub fn extract_of(mass: Mass, dry_basis: Fraction, moisture: Fraction) -> Mass {
    mass * as_is(dry_basis, moisture).parts()
}

/// Hot water extract of the Institute of Brewing from a Congress extract share (0.805, not 80.5). A linear
/// relation of barley malts, about 0.75 to 0.82. Source: [`CONGRESS_TO_IOB`].
#[must_use]
pub fn hot_water_extract_of_congress(congress: Fraction) -> ExtractPotential {
    ExtractPotential::from_point_litres_per_kg((congress.parts() * 100.0 - 1.705) / 0.2586)
}

/// Hot water extract from the gravity of its laboratory mash, 50 g made up to 515 mL.
/// Source: [`HOT_WATER_EXTRACT`].
#[must_use]
pub fn hot_water_extract(laboratory_mash: Gravity) -> ExtractPotential {
    ExtractPotential::from_point_litres_per_kg(10.13 * laboratory_mash.points())
}

/// Extract (°P) of the first wort if everything dissolves: divide a measured first wort by it for the
/// conversion efficiency.
///
/// Extract on dry basis and moisture in parts of one, mash thickness in litres at 20 °C a kilogram; usual
/// ones are in [`THICKNESS_RANGE`]. Nothing where there is neither extract nor water. Source: [`FIRST_WORT`].
#[must_use]
pub fn first_wort(dry_basis: Fraction, moisture: Fraction, thickness: VolumePerMass) -> Option<Plato> {
    let extract = as_is(dry_basis, moisture).parts();
    let density = measure::water_density(measure::REFERENCE).kg_per_litre();
    let water = thickness.litres_per_kg() * density + moisture.parts();
    let strength = Plato::from_plato(100.0 * extract / (extract + water));
    (extract + water > 0.0 && strength.is_finite()).then_some(strength)
}

/// Share of the dissolved extract that reaches the kettle by `runnings` equal runnings (1 is no sparge),
/// when the grain keeps `absorbed` and the kettle gets `kettle` (L at 20 °C).
///
/// Nothing without a running or a kettle volume, or with negative absorption. Source: [`LAUTER`].
#[must_use]
pub fn lauter_efficiency(runnings: u16, absorbed: Volume, kettle: Volume) -> Option<Fraction> {
    if runnings == 0 || kettle.litres() <= 0.0 || absorbed.litres() < 0.0 {
        return None;
    }
    let running = kettle / f64::from(runnings);
    let left = (absorbed / (absorbed + running)).powi(i32::from(runnings));
    let efficiency = Fraction::from_parts(1.0 - left);
    efficiency.is_finite().then_some(efficiency)
}

/// Mash efficiency to expect of another grist in the same kettle: the known efficiency times the ratio of
/// the two lauter efficiencies. This is why a strong beer yields less: 3 kg more grain at a fixed kettle
/// volume cost 6 to 7 points. At most 1; nothing where either lauter efficiency has no value or the known
/// grist's is 0. Source: [`LAUTER`].
#[must_use]
pub fn efficiency_for_grist(
    known: Fraction,
    runnings: u16,
    known_absorbed: Volume,
    absorbed: Volume,
    kettle: Volume,
) -> Option<Fraction> {
    let then = lauter_efficiency(runnings, known_absorbed, kettle)?;
    let now = lauter_efficiency(runnings, absorbed, kettle)?;
    let efficiency = known * (now / then);
    efficiency.is_finite().then_some(efficiency.min(Fraction::from_parts(1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn litres(x: f64) -> Volume {
        Volume::from_litres(x)
    }

    #[test]
    fn more_grain_yields_less() {
        let known = Fraction::from_parts(0.80);
        let stronger = efficiency_for_grist(known, 2, litres(5.0), litres(8.0), litres(27.0)).unwrap();
        let lost = (known - stronger).parts();
        assert!((0.05..0.07).contains(&lost), "{lost}");
        let same = efficiency_for_grist(known, 2, litres(5.0), litres(5.0), litres(27.0)).unwrap();
        assert_eq!(same, known);
    }

    #[test]
    fn nothing_to_lauter() {
        assert_eq!(lauter_efficiency(0, litres(5.0), litres(27.0)), None);
        assert_eq!(lauter_efficiency(1, litres(5.0), litres(0.0)), None);
        assert_eq!(lauter_efficiency(1, litres(-1.0), litres(27.0)), None);
        assert_eq!(lauter_efficiency(3, litres(0.0), litres(27.0)), Some(Fraction::from_parts(1.0)));
    }
}
