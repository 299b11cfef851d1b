//! What containers hold: limits by kind, with what each limit rests on.
//!
//! A limit is a point of caution and no promise: glass that was knocked, scratched or used before holds less.
//! The maker's rating and the rules of the place go first.

use quantity::typed::{Carbonation, GaugePressure};

use crate::source::{Basis, Source};

/// Limits of the trade.
pub const CONTAINER_PRACTICE: Source = Source::new(
    "container practice",
    "Carbonation that brewers put into this kind of container: common practice, no source. The maker's rating \
     goes first.",
    Basis::CommonPractice,
);
/// New industry beer glass.
pub const GLASSMAKER: Source = Source::new(
    "a glassmaker's statement",
    "A glassmaker's statement, second-hand, that beer bottles are typically rated to 4 volumes; one step of \
     margin taken off.",
    Basis::Published,
);
/// Glass for soft drinks.
pub const BS_6119: Source = Source::new(
    "BS 6119-1:1981",
    "BS 6119-1:1981, multi-trip bottles for carbonated soft drinks, scope: designed for at most 4.5 volumes \
     (9 g/L) at 20 °C.",
    Basis::Published,
);
/// Kegs.
pub const KEG_PRACTICE: Source = Source::new(
    "keg practice",
    "Follow the stamped rating; where it is unknown 4.1 bar (60 psi) is a ceiling and 2.8 bar (40 psi) steady is \
     high. A worker was killed in 2012 when a plastic keg was cleaned with unregulated air above 60 psi.",
    Basis::Published,
);
/// Proof pressure against service pressure.
pub const PROOF: Source = Source::new(
    "proof pressure",
    "Service pressure at most a third of the proof pressure of new glass: common practice, no source.",
    Basis::CommonPractice,
);

/// A container that is closed on beer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Container {
    /// One-way bottle of thin glass: the longneck; any bottle of which nothing is known.
    LightBottle,
    /// New bottle of the brewing industry.
    NewBeerBottle,
    /// Returnable heavy half-litre bottle, swing-top made for pressure.
    ReturnableBottle,
    /// Heavy bottle of the Belgian kind, 330 or 750 mL.
    HeavyBottle,
    /// Sparkling-wine bottle with a wired closure.
    SparklingWineBottle,
    /// Multi-trip bottle for soft drinks.
    SoftDrinkBottle,
    /// New PET bottle for carbonated drinks.
    PetBottle,
    /// Can.
    Can,
    /// Growler, wine bottle, preserving jar, decorative swing-top: not made for pressure.
    Unrated,
}

/// What a container holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Above it is an error, when the beer conditions or warms in it.
    pub above: Carbonation,
    /// What the limit rests on.
    pub source: Source,
}

impl Container {
    /// All of them, weakest kinds first.
    pub const ALL: [Self; 9] = [
        Self::Unrated,
        Self::Can,
        Self::LightBottle,
        Self::NewBeerBottle,
        Self::ReturnableBottle,
        Self::HeavyBottle,
        Self::SoftDrinkBottle,
        Self::PetBottle,
        Self::SparklingWineBottle,
    ];

    /// The limit for beer that conditions in the container. 0 for what is not made for pressure.
    ///
    /// Sources beside each limit. A stated rating replaces it; of several the lowest holds.
    #[must_use]
    pub const fn limit(self) -> Limit {
        let (volumes, source) = match self {
            Self::LightBottle => (3.0, CONTAINER_PRACTICE),
            Self::NewBeerBottle => (3.5, GLASSMAKER),
            Self::ReturnableBottle => (3.5, CONTAINER_PRACTICE),
            Self::HeavyBottle | Self::PetBottle => (4.5, CONTAINER_PRACTICE),
            Self::SoftDrinkBottle => (4.5, BS_6119),
            Self::SparklingWineBottle => (6.0, CONTAINER_PRACTICE),
            Self::Can => (2.8, CONTAINER_PRACTICE),
            Self::Unrated => (0.0, CONTAINER_PRACTICE),
        };
        Limit { above: Carbonation::from_volumes(volumes), source }
    }

    /// The limit for carbonated beer that is filled cold, kept cold and drunk soon: 2.5 vol for what is not
    /// made for pressure (source: [`CONTAINER_PRACTICE`]), else as [`Self::limit`].
    #[must_use]
    pub const fn cold_fill_limit(self) -> Limit {
        match self {
            Self::Unrated => Limit { above: Carbonation::from_volumes(2.5), source: CONTAINER_PRACTICE },
            _ => self.limit(),
        }
    }
}

/// Share of a limit from which it is worth a warning (common practice, no source).
pub const NEAR_LIMIT: f64 = 0.9;

/// Pressure a keg of unknown rating is taken to bear. Source: [`KEG_PRACTICE`].
pub const KEG_CEILING: GaugePressure = GaugePressure::from_bar(4.1);

/// Steady pressure in a keg that is worth a warning. Source: [`KEG_PRACTICE`].
pub const KEG_HIGH: GaugePressure = GaugePressure::from_bar(2.8);

/// Highest steady pressure for glass of this proof pressure. Source: [`PROOF`]. Never compare the pressure at
/// which glass bursts with that of service.
#[must_use]
pub fn service_pressure(proof: GaugePressure) -> GaugePressure {
    proof / 3.0
}
