//! Which models are used: the `[figures]` section of the configuration.

use quantity::Customary;

/// Model of bitterness.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BitternessModel {
    /// Tinseth 1997.
    #[default]
    Tinseth,
    /// Rager 1990.
    Rager,
    /// Garetz 1994.
    Garetz,
}

/// Which gravity the bitterness model takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BitternessGravity {
    /// Mean of pre-boil and post-boil.
    #[default]
    Mean,
    /// Before the boil.
    PreBoil,
    /// After the boil.
    PostBoil,
}

/// Model of colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ColourModel {
    /// Morey 1995.
    #[default]
    Morey,
    /// Daniels.
    Daniels,
    /// Mosher.
    Mosher,
}

/// Model of alcohol.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum AlcoholModel {
    /// Balling.
    #[default]
    Balling,
    /// Cutaia, Reid & Speers 2009.
    Cutaia,
    /// The UK excise factors, cut to one decimal.
    UkExcise,
}

/// Units of what is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ShownUnits {
    /// Metric.
    #[default]
    Metric,
    /// US customary.
    Us,
    /// Imperial.
    Imperial,
}

/// Settings of the figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Model of bitterness.
    pub bitterness: BitternessModel,
    /// Which gravity it takes.
    pub bitterness_gravity: BitternessGravity,
    /// Factor on the utilisation of pellets; 1 unless the house sets one.
    pub pellet_factor: f64,
    /// Factor on the utilisation of first-wort hops; 1 unless the house sets one.
    pub first_wort_factor: f64,
    /// Utilisation of mash hops over that of the whole boil; 0 unless the house sets one.
    pub mash_hop_factor: f64,
    /// Whether hops go on turning bitter while the wort is chilled, where the recipe says how long that takes.
    pub chill_bitterness: bool,
    /// Model of colour.
    pub colour: ColourModel,
    /// Model of alcohol.
    pub alcohol: AlcoholModel,
    /// Whether the mash temperature moves the attenuation.
    pub mash_effect: bool,
    /// Whether the heat that dry grain sets free when it is wetted is counted in the strike.
    pub slaking_heat: bool,
    /// What a decoction loses on its way back, as a step of temperature, K.
    pub decoction_loss: f64,
    /// Units of what is shown; where the house says nothing, those the recipe is written for.
    pub units: Option<ShownUnits>,
    /// Which gallon is meant where a recipe does not say.
    pub customary: Option<Customary>,
}

impl Settings {
    /// The units in which the figures of a recipe are shown: the house's, else what its `customary` says.
    #[must_use]
    pub fn units_for(&self, recipe: Option<&recipe::Recipe>) -> ShownUnits {
        self.units.unwrap_or_else(|| match recipe.and_then(|recipe| recipe.customary).or(self.customary) {
            None => ShownUnits::Metric,
            Some(Customary::Us) => ShownUnits::Us,
            Some(Customary::Imperial) => ShownUnits::Imperial,
        })
    }
}

impl ShownUnits {
    /// The same for the unit table.
    #[must_use]
    pub const fn table(self) -> quantity::ShownUnits {
        match self {
            Self::Metric => quantity::ShownUnits::Metric,
            Self::Us => quantity::ShownUnits::Customary(Customary::Us),
            Self::Imperial => quantity::ShownUnits::Customary(Customary::Imperial),
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            bitterness: BitternessModel::default(),
            bitterness_gravity: BitternessGravity::default(),
            pellet_factor: 1.0,
            first_wort_factor: 1.0,
            mash_hop_factor: 0.0,
            chill_bitterness: false,
            colour: ColourModel::default(),
            alcohol: AlcoholModel::default(),
            mash_effect: false,
            slaking_heat: false,
            decoction_loss: 0.0,
            units: None,
            customary: None,
        }
    }
}
