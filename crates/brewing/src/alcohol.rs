//! Real extract, alcohol by weight and by volume, excise strength, food energy.
//!
//! OE, AE and RE are original, apparent and real extract in °P; OG and FG are SG 20/20.

use quantity::typed::{Energy, Fraction, Gravity, Mass, Plato, Volume};

use crate::gravity;
use crate::source::{Basis, Source};
use crate::validity::Range;

/// Real extract and alcohol from extract.
pub const BALLING: Source = Source::new(
    "Balling",
    "Balling 1843-65: 2.0665 g of extract give 1 g of alcohol, 0.9565 g of carbon dioxide and 0.11 g of \
     yeast; RE = 0.1808 OE + 0.8192 AE; A = (OE - RE) / (2.0665 - 0.010665 OE). Quoted in Nielsen et al., \
     'Balling's formula - scrutiny of a brewing dogma'.",
    Basis::Published,
);
/// Alcohol from apparent extract, fitted to 532 beers.
pub const CUTAIA: Source = Source::new(
    "Cutaia et al. 2009",
    "Cutaia, Reid and Speers 2009, J. Inst. Brew. 115(4) 318-327, Table VI: \
     A = (0.372 + 0.00357 OE) (OE - AE).",
    Basis::Published,
);
/// The factor table of the United Kingdom.
pub const UK_EXCISE: Source = Source::new(
    "UK excise table",
    "HMRC Notice 226 section 30 (table of the Laboratory of the Government Chemist): ABV = (OG - PG) x factor, \
     truncated to one decimal. The notice was withdrawn in February 2025; check the guide now in force.",
    Basis::Published,
);
/// Alcohol by volume from alcohol by weight.
pub const ETHANOL_GRAVITY: Source = Source::new(
    "ethanol 0.7907",
    "ABV = ABW x FG / 0.7907: SG 20/20 of ethanol from the densities of OIML R 22 (789.24 and 998.20 kg/m3).",
    Basis::Computed,
);
/// Food energy.
pub const ASBC_ENERGY: Source = Source::new(
    "ASBC Beer-33",
    "ASBC Beer-33: kcal in 100 g = 6.9 A + 4.0 (RE - ash), ash 0.1 % where unknown.",
    Basis::FromMemory,
);

/// OE (°P) of the beers that [`BALLING`] was checked against: the means of five sets of 532 beers, where it
/// is 0.06 % by mass off.
pub const BALLING_RANGE: Range = Range::new(9.4, 18.0, BALLING);
/// OE (°P) of the beers behind [`CUTAIA`].
pub const CUTAIA_RANGE: Range = Range::new(9.4, 18.0, CUTAIA);
/// Degrees (gravity points) between OG and PG that the table of [`UK_EXCISE`] covers.
pub const UK_EXCISE_RANGE: Range = Range::new(0.0, 100.7, UK_EXCISE);

/// Specific gravity 20/20 °C of pure ethanol.
const ETHANOL_SG: f64 = 0.7907;
/// Density of pure ethanol at 20 °C, kg/L (OIML R 22).
const ETHANOL_DENSITY: f64 = 0.789_24;
/// Balling's share of original extract in real extract; the rest is apparent extract.
pub(crate) const REAL_FROM_ORIGINAL: f64 = 0.1808;
pub(crate) const REAL_FROM_APPARENT: f64 = 0.8192;
/// Balling's extract for one part of alcohol, and that less the alcohol, by hundredths.
const EXTRACT_PER_ALCOHOL: f64 = 2.0665;
const LOST_PER_ALCOHOL: f64 = 0.010_665;
/// Ash in 100 g of beer where nothing is known, from the energy method.
pub const USUAL_ASH: Fraction = Fraction::from_parts(0.001);

/// How alcohol by volume is found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum AlcoholMethod {
    /// [`BALLING`] with [`ETHANOL_GRAVITY`].
    #[default]
    Balling,
    /// [`CUTAIA`] with [`ETHANOL_GRAVITY`]; outside [`CUTAIA_RANGE`] it is extrapolated.
    Cutaia,
    /// [`UK_EXCISE`], truncated.
    UkExcise,
}

impl AlcoholMethod {
    /// Where the method comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Balling => BALLING,
            Self::Cutaia => CUTAIA,
            Self::UkExcise => UK_EXCISE,
        }
    }

    /// Alcohol by volume at 20 °C. Nothing for a UK excise strength outside [`UK_EXCISE_RANGE`], or for
    /// gravities so absurd that the result is no finite number.
    #[must_use]
    pub fn by_volume(self, og: Gravity, fg: Gravity) -> Option<Fraction> {
        let strength = match self {
            Self::Balling => by_volume(og, fg),
            Self::Cutaia => volume_from_weight(by_weight_cutaia(gravity::plato(og), gravity::plato(fg)), fg),
            Self::UkExcise => uk_excise(og, fg)?.declared,
        };
        strength.is_finite().then_some(strength)
    }
}

/// Real extract (°P) from original and apparent extract. Linear, defined for all values; on data of 532
/// beers it reads 0.1 to 0.2 °P below the measured. Source: [`BALLING`].
#[must_use]
pub fn real_extract(oe: Plato, ae: Plato) -> Plato {
    oe * REAL_FROM_ORIGINAL + ae * REAL_FROM_APPARENT
}

/// Apparent extract (°P) from original and real extract: the inverse of [`real_extract`].
/// Source: [`BALLING`].
#[must_use]
pub fn apparent_extract(oe: Plato, re: Plato) -> Plato {
    (re - oe * REAL_FROM_ORIGINAL) / REAL_FROM_APPARENT
}

/// Alcohol by weight from original and real extract (°P). Negative where RE is above OE. The denominator
/// reaches zero at 193.8 °P, beyond any wort. Source: [`BALLING`].
#[must_use]
pub fn by_weight(oe: Plato, re: Plato) -> Fraction {
    percent((oe - re).plato() / (EXTRACT_PER_ALCOHOL - LOST_PER_ALCOHOL * oe.plato()))
}

/// Alcohol by weight from original and apparent extract (°P). Fitted for [`CUTAIA_RANGE`], extrapolated
/// outside. Source: [`CUTAIA`].
#[must_use]
pub fn by_weight_cutaia(oe: Plato, ae: Plato) -> Fraction {
    percent((0.372 + 0.003_57 * oe.plato()) * (oe - ae).plato())
}

/// Original extract (°P) from alcohol by weight and real extract (°P): Balling's own direction.
/// Source: [`BALLING`].
#[must_use]
pub fn original_extract(by_weight: Fraction, re: Plato) -> Plato {
    let a = by_weight.parts() * 100.0;
    let lost = LOST_PER_ALCOHOL * 100.0;
    Plato::from_plato(100.0 * (EXTRACT_PER_ALCOHOL * a + re.plato()) / (100.0 + lost * a))
}

/// Alcohol by volume at 20 °C from alcohol by weight and the gravity of the beer.
/// Source: [`ETHANOL_GRAVITY`].
#[must_use]
pub fn volume_from_weight(by_weight: Fraction, fg: Gravity) -> Fraction {
    by_weight * (fg.sg() / ETHANOL_SG)
}

/// Alcohol by weight from alcohol by volume at 20 °C and the gravity of the beer. Not finite for a beer of
/// gravity 0. Source: [`ETHANOL_GRAVITY`].
#[must_use]
pub fn weight_from_volume(by_volume: Fraction, fg: Gravity) -> Fraction {
    by_volume * (ETHANOL_SG / fg.sg())
}

/// Alcohol by volume at 20 °C from original and final gravity. Source: [`BALLING`], [`ETHANOL_GRAVITY`].
#[must_use]
pub fn by_volume(og: Gravity, fg: Gravity) -> Fraction {
    let oe = gravity::plato(og);
    volume_from_weight(by_weight(oe, real_extract(oe, gravity::plato(fg))), fg)
}

/// Original gravity of a beer from its alcohol by volume at 20 °C and final gravity: the inverse of
/// [`by_volume`]. Source: [`BALLING`], [`ETHANOL_GRAVITY`].
#[must_use]
pub fn original_gravity(by_volume: Fraction, fg: Gravity) -> Gravity {
    let a = weight_from_volume(by_volume, fg).parts() * 100.0;
    let ae = gravity::plato(fg).plato();
    let oe =
        (EXTRACT_PER_ALCOHOL * a + REAL_FROM_APPARENT * ae) / (REAL_FROM_APPARENT + LOST_PER_ALCOHOL * a);
    gravity::gravity(Plato::from_plato(oe))
}

/// An excise strength.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExciseStrength {
    /// Alcohol by volume before truncation.
    pub exact: Fraction,
    /// Alcohol by volume truncated to one decimal of a percent.
    pub declared: Fraction,
}

/// Upper limit of OG - PG in degrees, and the factor up to it.
const UK_FACTORS: [(f64, f64); 11] = [
    (6.9, 0.125),
    (10.4, 0.126),
    (17.2, 0.127),
    (26.1, 0.128),
    (36.0, 0.129),
    (46.5, 0.130),
    (57.1, 0.131),
    (67.9, 0.132),
    (78.8, 0.133),
    (89.7, 0.134),
    (100.7, 0.135),
];

/// Excise strength from original and present gravity by the United Kingdom's factor table. Nothing outside
/// [`UK_EXCISE_RANGE`]. A figure for planning: what is declared follows the rules now in force.
/// Source: [`UK_EXCISE`].
#[must_use]
pub fn uk_excise(og: Gravity, present: Gravity) -> Option<ExciseStrength> {
    // Degrees are read to a tenth; a binary fraction just above a limit must not take the next factor.
    let degrees = tidy(og.points() - present.points());
    if degrees < 0.0 {
        return None;
    }
    let (_, factor) = UK_FACTORS.iter().find(|(limit, _)| degrees <= *limit)?;
    let exact = degrees * factor;
    let declared = (tidy(exact) * 10.0 + 1e-6).floor() / 10.0;
    Some(ExciseStrength { exact: percent(exact), declared: percent(declared) })
}

/// Rounds away the noise of binary fractions, far below a tenth of a degree.
fn tidy(x: f64) -> f64 {
    (x * 1e6).round() / 1e6
}

fn percent(x: f64) -> Fraction {
    Fraction::from_parts(x / 100.0)
}

/// Mass of pure alcohol (kg) in a volume of beer at 20 °C. Source: [`gravity::OIML_R22`].
#[must_use]
pub fn alcohol_mass(beer: Volume, by_volume: Fraction) -> Mass {
    Mass::from_kg(beer.litres() * by_volume.parts() * ETHANOL_DENSITY)
}

/// Food energy of 100 g of beer from alcohol by weight, real extract (°P) and ash by mass (see
/// [`USUAL_ASH`]). Source: [`ASBC_ENERGY`].
#[must_use]
pub fn energy_in_100_g(by_weight: Fraction, re: Plato, ash: Fraction) -> Energy {
    let kcal = 6.9 * by_weight.parts() * 100.0 + 4.0 * (re.plato() - ash.parts() * 100.0);
    Energy::from_kcal(kcal)
}

/// Food energy of 100 mL of beer from its gravities, with the usual ash. Below zero only for water, where
/// there is no extract to carry the ash. Source: [`ASBC_ENERGY`], [`BALLING`].
#[must_use]
pub fn energy_in_100_ml(og: Gravity, fg: Gravity) -> Energy {
    let oe = gravity::plato(og);
    let re = real_extract(oe, gravity::plato(fg));
    energy_in_100_g(by_weight(oe, re), re, USUAL_ASH) * gravity::density(fg).kg_per_litre()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sg(value: f64) -> Gravity {
        Gravity::from_sg(value)
    }

    #[test]
    fn alcohol_and_original_gravity_undo_each_other() {
        for (og, fg) in [(1.030, 1.008), (1.050, 1.010), (1.066, 0.998), (1.100, 1.020)] {
            let back = original_gravity(by_volume(sg(og), sg(fg)), sg(fg));
            assert!((back.sg() - og).abs() < 1e-12, "{og} {fg}: {back:?}");
            let (oe, ae) = (gravity::plato(sg(og)), gravity::plato(sg(fg)));
            let re = real_extract(oe, ae);
            assert!((original_extract(by_weight(oe, re), re) - oe).plato().abs() < 1e-12);
            assert!((apparent_extract(oe, re) - ae).plato().abs() < 1e-12);
        }
    }

    #[test]
    fn excise_strength_is_truncated_and_ends_with_the_table() {
        let declared =
            |og: f64, pg: f64| uk_excise(sg(og), sg(pg)).map(|s| (s.declared.parts() * 1000.0).round());
        // 40 degrees x 0.130 is 5.2 exactly and stays 5.2.
        assert_eq!(declared(1.050, 1.010), Some(52.0));
        assert_eq!(declared(1.057, 1.018), Some(50.0));
        // 46.5 still takes 0.130, 46.6 takes 0.131.
        assert_eq!(declared(1.0565, 1.010), Some(60.0));
        assert_eq!(declared(1.0566, 1.010), Some(61.0));
        assert_eq!(declared(1.120, 1.010), None);
        assert_eq!(declared(1.010, 1.011), None);
        assert_eq!(declared(1.010, 1.010), Some(0.0));
        assert_eq!(declared(f64::NAN, 1.010), None);
    }

    #[test]
    fn methods_agree_on_an_ordinary_beer() {
        let all = [AlcoholMethod::Balling, AlcoholMethod::Cutaia, AlcoholMethod::UkExcise];
        for method in all {
            let abv = method.by_volume(sg(1.048), sg(1.010)).unwrap().parts() * 100.0;
            assert!((4.9..=5.1).contains(&abv), "{method:?}: {abv}");
        }
    }
}
