//! Colour of beer from its malts.

mod cie;
pub mod spectrum;

use quantity::scale::L_DEGREES_PER_KG_PER_PPG;
#[doc(no_inline)]
pub use quantity::scale::{
    ebc_from_lovibond as malt_ebc, ebc_from_srm as ebc, lovibond_from_ebc as malt_lovibond,
    srm_from_ebc as srm,
};
use quantity::typed::{Lovibond, MaltColourUnits, Mass, Srm, Volume};

use crate::source::{Basis, Source};
use crate::validity::Range;

/// Malt colour brought into a volume.
pub const MCU: Source = Source::new(
    "malt colour units",
    "MCU = sum of lb x °Lovibond / US gal = 8.3454 x sum of kg x °Lovibond / L.",
    Basis::Computed,
);
/// The default model.
pub const MOREY: Source = Source::new(
    "Morey 1995",
    "Morey, letter in Brewing Techniques 1995: SRM = 1.4922 MCU^0.6859, R2 0.97, below 50 SRM; here never \
     above the MCU, which it would exceed below 3.58.",
    Basis::Published,
);
/// A straight line.
pub const DANIELS: Source = Source::new(
    "Daniels",
    "Daniels, Designing Great Beers: SRM = 0.2 MCU + 8.4, above 10.5 MCU.",
    Basis::Published,
);
/// Another straight line.
pub const MOSHER: Source =
    Source::new("Mosher", "Mosher: SRM = 0.3 MCU + 4.7, above 7 MCU.", Basis::Published);
/// EBC and SRM.
pub const EBC_SRM: Source = Source::new(
    "EBC = 1.97 SRM",
    "EBC = 25 A430, SRM = 12.7 A430, both of 1 cm: the ratio 1.9685 is used as 1.97, as in print.",
    Basis::Published,
);
/// Comparator and spectrophotometer scales of malt.
pub const MALT_SCALES: Source = Source::new(
    "°L = 0.375 EBC + 0.56",
    "°Lovibond = 0.375 EBC + 0.56, Siebel Institute, quoted by a maltster; the same line as \
     SRM = 1.3546 °L - 0.76.",
    Basis::Published,
);

/// SRM up to which [`MOREY`] was fitted.
pub const MOREY_RANGE: Range = Range::new(0.0, 50.0, MOREY);
/// MCU above which [`DANIELS`] is given; the upper end is that of Morey's data (50 SRM).
pub const DANIELS_RANGE: Range = Range::new(10.5, 167.0, DANIELS);
/// MCU above which [`MOSHER`] is given; the upper end is that of Morey's data (50 SRM).
pub const MOSHER_RANGE: Range = Range::new(7.0, 167.0, MOSHER);

/// Malt colour units of malts (mass, colour) in a volume (L at 20 °C). Nothing without a volume.
/// Source: [`MCU`].
#[must_use]
pub fn malt_colour_units(
    malts: impl IntoIterator<Item = (Mass, Lovibond)>,
    volume: Volume,
) -> Option<MaltColourUnits> {
    let kg_lovibond: f64 = malts.into_iter().map(|(mass, colour)| mass.kg() * colour.lovibond()).sum();
    // kg/L to lb/US gal is the same number as ppg to point-litres a kilogram.
    let mcu = MaltColourUnits::from_mcu(L_DEGREES_PER_KG_PER_PPG * kg_lovibond / volume.litres());
    (volume.litres() > 0.0 && mcu.is_finite()).then_some(mcu)
}

/// A model of beer colour from malt colour units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Model {
    /// [`MOREY`].
    #[default]
    Morey,
    /// [`DANIELS`].
    Daniels,
    /// [`MOSHER`].
    Mosher,
}

impl Model {
    /// Where the model comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Morey => MOREY,
            Self::Daniels => DANIELS,
            Self::Mosher => MOSHER,
        }
    }

    /// Colour of beer. Morey is never above the malt colour units and holds for [`MOREY_RANGE`] of its
    /// result; the straight lines hold for [`DANIELS_RANGE`] and [`MOSHER_RANGE`] of the malt colour units
    /// and show colour where there is no malt. Negative malt colour units count as 0.
    #[must_use]
    pub fn colour(self, malt: MaltColourUnits) -> Srm {
        let mcu = malt.mcu().max(0.0);
        Srm::from_srm(match self {
            Self::Morey => (1.4922 * mcu.powf(0.6859)).min(mcu),
            Self::Daniels => 0.2 * mcu + 8.4,
            Self::Mosher => 0.3 * mcu + 4.7,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_malt_no_colour_and_never_above_the_malt() {
        let colour = |mcu: f64| Model::Morey.colour(MaltColourUnits::from_mcu(mcu)).srm();
        assert_eq!(colour(0.0), 0.0);
        assert_eq!(colour(-1.0), 0.0);
        assert_eq!(colour(1.0), 1.0);
        assert_eq!(colour(3.5), 3.5);
        assert!(colour(3.6) < 3.6);
    }

    #[test]
    fn no_volume_no_colour() {
        let malt = [(Mass::from_kg(4.5), Lovibond::from_lovibond(3.0))];
        assert_eq!(malt_colour_units(malt, Volume::from_litres(0.0)), None);
    }
}
