//! How far a beer ferments: degrees of attenuation, the fermented share of a mixed extract, final gravity.

use quantity::typed::{Fraction, Gravity, Mass, Plato};

use crate::alcohol::{REAL_FROM_APPARENT, REAL_FROM_ORIGINAL};
use crate::gravity;
use crate::source::{Basis, Source};

/// Real degree of fermentation.
pub const ASBC_RDF: Source = Source::new(
    "ASBC Beer-6",
    "ASBC Beer-6: RDF = (OE - RE) / OE / (1 - 0.005161 RE), quoted by Speers 2015.",
    Basis::Published,
);
/// The share of an extract made of several kinds that ferments.
pub const FERMENTED_SHARE: Source = Source::new(
    "fermented share",
    "Each part of the extract by its own fermentability: wort 0.8192 x apparent attenuation of the yeast \
     (Balling), a sugar its real fermentability, malt extract as wort scaled by its fermentability over 0.62.",
    Basis::Computed,
);

/// Real fermentability of an ordinary malt extract, beside which others are scaled.
/// Common practice, no source: 62 % real is about 76 % apparent.
pub const ORDINARY_MALT_EXTRACT: Fraction = Fraction::from_parts(0.62);

/// Apparent degree of fermentation from original and apparent extract (°P): (OE - AE) / OE. From extract,
/// not from gravity points, which read 0.5 to 1.4 percentage points higher. Nothing where OE is not above 0.
/// Source: [`crate::source::DEFINITION`].
#[must_use]
pub fn apparent(oe: Plato, ae: Plato) -> Option<Fraction> {
    share_lost(oe, ae)
}

/// Real degree of fermentation from original and real extract (°P) by the ASBC, which counts the mass lost
/// as gas. Nothing where OE is not above 0 or the result is not finite. Source: [`ASBC_RDF`].
#[must_use]
pub fn real(oe: Plato, re: Plato) -> Option<Fraction> {
    let degree = share_lost(oe, re)? / (1.0 - 0.005_161 * re.plato());
    degree.is_finite().then_some(degree)
}

/// Share of the original extract that has gone between two gravities: (OE - RE) / OE with Balling's real
/// extract. It is 0.8192 times the apparent degree. Nothing where OE is not above 0. Source: [`crate::alcohol::BALLING`].
#[must_use]
pub fn fermented_share_between(og: Gravity, fg: Gravity) -> Option<Fraction> {
    Some(apparent(gravity::plato(og), gravity::plato(fg))? * REAL_FROM_APPARENT)
}

fn share_lost(oe: Plato, left: Plato) -> Option<Fraction> {
    let share = Fraction::from_parts((oe - left) / oe);
    (oe.plato() > 0.0 && share.is_finite()).then_some(share)
}

/// How a part of the extract ferments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fermentability {
    /// Mashed or steeped grain: as the yeast attenuates wort.
    Wort,
    /// A sugar of this real fermentability: 1 for sucrose, 0 for lactose.
    Sugar(Fraction),
    /// Malt extract of this real fermentability: wort, scaled by it over [`ORDINARY_MALT_EXTRACT`].
    MaltExtract(Fraction),
}

impl Fermentability {
    /// The share of this extract that ferments with a yeast of an apparent attenuation (from extract), at
    /// most all of it. Source: [`FERMENTED_SHARE`].
    #[must_use]
    pub fn share(self, yeast: Fraction) -> Fraction {
        let wort = yeast * REAL_FROM_APPARENT;
        match self {
            Self::Wort => wort,
            Self::Sugar(real) => real,
            Self::MaltExtract(real) => wort * (real / ORDINARY_MALT_EXTRACT),
        }
        .min(Fraction::from_parts(1.0))
    }
}

/// Share of a mixed extract that ferments, from the mass and kind of each part and the apparent attenuation
/// of the yeast. Nothing where there is no extract. Source: [`FERMENTED_SHARE`].
#[must_use]
pub fn fermented_share(
    parts: impl IntoIterator<Item = (Mass, Fermentability)>,
    yeast: Fraction,
) -> Option<Fraction> {
    let mut all = Mass::default();
    let mut gone = Mass::default();
    for (mass, kind) in parts {
        all += mass;
        gone += mass * kind.share(yeast).parts();
    }
    let share = Fraction::from_parts(gone / all);
    (all.kg() > 0.0 && share.is_finite()).then_some(share)
}

/// Apparent extract (°P) of a beer whose extract has fermented to a share:
/// ((1 - share) - 0.1808) x OE / 0.8192. Below zero for a share above 0.8192. Source: [`crate::alcohol::BALLING`].
#[must_use]
pub fn final_extract(oe: Plato, share: Fraction) -> Plato {
    oe * ((1.0 - share.parts() - REAL_FROM_ORIGINAL) / REAL_FROM_APPARENT)
}

/// Final gravity of a wort whose extract has fermented to a share; it may be below 1.000.
/// Source: [`crate::alcohol::BALLING`], [`crate::gravity::ASBC_CUBIC`].
#[must_use]
pub fn final_gravity(og: Gravity, share: Fraction) -> Gravity {
    gravity::gravity(final_extract(gravity::plato(og), share))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(x: f64) -> Fraction {
        Fraction::from_parts(x)
    }

    #[test]
    fn share_and_final_gravity_undo_each_other() {
        let og = Gravity::from_sg(1.052);
        for share in [0.0, 0.4, 0.62, 0.8192, 0.95] {
            let back = fermented_share_between(og, final_gravity(og, parts(share))).unwrap();
            assert!((back.parts() - share).abs() < 1e-12, "{share}: {back:?}");
        }
    }

    #[test]
    fn all_malt_ferments_as_the_yeast_says() {
        let share = fermented_share([(Mass::from_kg(3.0), Fermentability::Wort)], parts(0.75)).unwrap();
        let og = Gravity::from_sg(1.050);
        let ae = gravity::plato(final_gravity(og, share));
        let adf = apparent(gravity::plato(og), ae).unwrap();
        assert!((adf.parts() - 0.75).abs() < 1e-12);
    }

    #[test]
    fn sugars_count_by_their_own_fermentability() {
        use Fermentability::{MaltExtract, Sugar, Wort};
        let kg = Mass::from_kg;
        let yeast = parts(0.75);
        let wort = 0.8192 * 0.75;
        // s_f = 0.2, s_u = 0.1 of the extract.
        let mixed = [(kg(7.0), Wort), (kg(2.0), Sugar(parts(1.0))), (kg(1.0), Sugar(parts(0.0)))];
        let share = fermented_share(mixed, yeast).unwrap();
        assert!((share.parts() - (wort * 0.7 + 0.2)).abs() < 1e-12);
        // A half fermentable sugar counts half into each.
        let half = fermented_share([(kg(1.0), Wort), (kg(1.0), Sugar(parts(0.5)))], yeast).unwrap();
        assert!((half.parts() - (wort * 0.5 + 0.25)).abs() < 1e-12);
        // An ordinary malt extract is wort.
        let extract = fermented_share([(kg(1.0), MaltExtract(parts(0.62)))], yeast).unwrap();
        assert!((extract.parts() - wort).abs() < 1e-12);
        assert_eq!(fermented_share([], yeast), None);
    }

    #[test]
    fn no_degree_without_extract() {
        let plato = Plato::from_plato;
        assert_eq!(apparent(plato(0.0), plato(0.0)), None);
        assert_eq!(real(plato(-0.003), plato(0.0)), None);
    }
}
