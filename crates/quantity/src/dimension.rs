//! What a unit measures, at run time.
//!
//! [`Dimension`] names what a field of the language asks for; [`Dim`] is the exponent vector with which
//! expressions compute. Several dimensions share one exponent vector (IBU, pH, EBC and volumes of gas are
//! plain numbers in an expression), so the way from a `Dim` to a `Dimension` gives the plainest of them.

use crate::UnitId;
use crate::algebra::AlgebraError;

/// What a unit measures: the rows of the language's unit table and the ratios brewers write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// A number without a unit.
    Number,
    /// Canonical unit: kg.
    Mass,
    /// Canonical unit: L.
    Volume,
    /// Canonical unit: min.
    Time,
    /// A point on a thermometer. Canonical unit: °C.
    Temperature,
    /// The difference of two points. Canonical unit: K.
    TemperatureStep,
    /// Canonical: parts of one.
    Proportion,
    /// Specific gravity, °P or °Bx: each keeps its own unit, since the way between them is a brewing model.
    Gravity,
    /// Gravity points a mass of grain or sugar gives to a volume. Canonical unit: L°/kg.
    ExtractPotential,
    /// Colour of beer (EBC, SRM) or of malt (EBC, °Lovibond). Canonical unit: EBC.
    Colour,
    /// Canonical unit: IBU.
    Bitterness,
    /// Canonical: pH.
    Acidity,
    /// Mass by volume: concentrations, doses, densities. Canonical unit: mg/L.
    Concentration,
    /// Amount of substance by volume. Canonical unit: mmol/L.
    AmountConcentration,
    /// Charge by volume: alkalinity and hardness. Canonical unit: mEq/L.
    Equivalents,
    /// Charge by mass: the buffering of malt. Canonical unit: mEq/kg.
    EquivalentsPerMass,
    /// Dissolved carbon dioxide. Canonical unit: vol.
    Carbonation,
    /// Pressure above the surrounding air. Canonical unit: bar.
    Pressure,
    /// A number of cells. Canonical: billions.
    Cells,
    /// Canonical: million cells/mL.
    CellsPerVolume,
    /// Canonical: billion cells/g.
    CellsPerMass,
    /// Canonical: million/mL/P.
    PitchRate,
    /// Canonical unit: WK.
    DiastaticPower,
    /// Canonical unit: kW.
    Power,
    /// Canonical unit: kJ.
    Energy,
    /// Canonical unit: kJ/C.
    HeatCapacity,
    /// Energy by volume. Canonical unit: kJ/L.
    EnergyPerVolume,
    /// Canonical unit: m.
    Length,
    /// Packs, tablets and pieces, which are not each other.
    Count,
    /// Canonical unit: mmol.
    Amount,
    /// Canonical unit: mEq.
    Charge,
    /// A sum of one currency.
    Money,
    /// Canonical: the currency by kg.
    MoneyPerMass,
    /// Canonical: the currency by L.
    MoneyPerVolume,
    /// The currency by pack, tablet or piece.
    MoneyPerCount,
    /// Volume by mass: liquor to grist, absorption, hop oil. Canonical unit: L/kg.
    VolumePerMass,
    /// Canonical: K/min.
    TemperatureRate,
    /// Canonical unit: L/min.
    VolumeRate,
    /// Canonical: parts of one in a minute.
    ProportionRate,
    /// Packs, tablets or pieces by volume. Canonical: by L.
    CountPerVolume,
}

impl Dimension {
    /// Every dimension.
    pub const ALL: [Self; 40] = [
        Self::Number,
        Self::Mass,
        Self::Volume,
        Self::Time,
        Self::Temperature,
        Self::TemperatureStep,
        Self::Proportion,
        Self::Gravity,
        Self::ExtractPotential,
        Self::Colour,
        Self::Bitterness,
        Self::Acidity,
        Self::Concentration,
        Self::AmountConcentration,
        Self::Equivalents,
        Self::EquivalentsPerMass,
        Self::Carbonation,
        Self::Pressure,
        Self::Cells,
        Self::CellsPerVolume,
        Self::CellsPerMass,
        Self::PitchRate,
        Self::DiastaticPower,
        Self::Power,
        Self::Energy,
        Self::HeatCapacity,
        Self::EnergyPerVolume,
        Self::Length,
        Self::Count,
        Self::Amount,
        Self::Charge,
        Self::Money,
        Self::MoneyPerMass,
        Self::MoneyPerVolume,
        Self::MoneyPerCount,
        Self::VolumePerMass,
        Self::TemperatureRate,
        Self::VolumeRate,
        Self::ProportionRate,
        Self::CountPerVolume,
    ];

    /// The dimension in a brewer's words, with its article: 'a mass', 'an amount of heat'.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Number => "a plain number",
            Self::Mass => "a mass",
            Self::Volume => "a volume",
            Self::Time => "a time",
            Self::Temperature => "a temperature",
            Self::TemperatureStep => "a temperature step",
            Self::Proportion => "a proportion",
            Self::Gravity => "a gravity",
            Self::ExtractPotential => "an extract potential",
            Self::Colour => "a colour",
            Self::Bitterness => "a bitterness",
            Self::Acidity => "a pH",
            Self::Concentration => "a mass by volume",
            Self::AmountConcentration => "an amount of substance by volume",
            Self::Equivalents => "an alkalinity or hardness",
            Self::EquivalentsPerMass => "a buffering by mass",
            Self::Carbonation => "a carbonation",
            Self::Pressure => "a pressure",
            Self::Cells => "a number of cells",
            Self::CellsPerVolume => "a number of cells by volume",
            Self::CellsPerMass => "a number of cells by mass",
            Self::PitchRate => "a pitch rate",
            Self::DiastaticPower => "a diastatic power",
            Self::Power => "a power",
            Self::Energy => "an energy",
            Self::HeatCapacity => "a heat capacity",
            Self::EnergyPerVolume => "an energy by volume",
            Self::Length => "a length",
            Self::Count => "a number of pieces",
            Self::Amount => "an amount of substance",
            Self::Charge => "a number of equivalents",
            Self::Money => "a sum of money",
            Self::MoneyPerMass => "a price by mass",
            Self::MoneyPerVolume => "a price by volume",
            Self::MoneyPerCount => "a price by piece",
            Self::VolumePerMass => "a volume by mass",
            Self::TemperatureRate => "a temperature step by time",
            Self::VolumeRate => "a volume by time",
            Self::ProportionRate => "a proportion by time",
            Self::CountPerVolume => "a number of pieces by volume",
        }
    }

    /// The canonical unit's size in coherent units (kg, L, min, K, kJ, billion cells, …):
    /// `canonical × times / over = coherent`.
    pub(crate) const fn coherent(self) -> (f64, f64) {
        match self {
            Self::Concentration => (1.0, 1e6),
            Self::CellsPerMass => (1000.0, 1.0),
            Self::Power => (60.0, 1.0),
            _ => (1.0, 1.0),
        }
    }

    /// The exponents of the dimension; for counts and money the unit says more ([`crate::UnitId::dim`]).
    pub(crate) const fn dim(self) -> Dim {
        use Base as B;
        const NONE: Dim = Dim::NONE;
        match self {
            Self::Number
            | Self::Proportion
            | Self::Temperature
            | Self::Gravity
            | Self::Colour
            | Self::Bitterness
            | Self::Acidity
            | Self::Carbonation
            | Self::Count => NONE,
            Self::Mass => NONE.with(B::Mass, 1),
            Self::Volume => NONE.with(B::Volume, 1),
            Self::Time => NONE.with(B::Time, 1),
            Self::TemperatureStep => NONE.with(B::Step, 1),
            Self::ExtractPotential => NONE.with(B::Potential, 1),
            Self::Concentration => NONE.with(B::Mass, 1).with(B::Volume, -1),
            Self::AmountConcentration => NONE.with(B::Amount, 1).with(B::Volume, -1),
            Self::Equivalents => NONE.with(B::Charge, 1).with(B::Volume, -1),
            Self::EquivalentsPerMass => NONE.with(B::Charge, 1).with(B::Mass, -1),
            Self::Pressure => NONE.with(B::Pressure, 1),
            Self::Cells => NONE.with(B::Cells, 1),
            Self::CellsPerVolume => NONE.with(B::Cells, 1).with(B::Volume, -1),
            Self::CellsPerMass => NONE.with(B::Cells, 1).with(B::Mass, -1),
            Self::PitchRate => NONE.with(B::Cells, 1).with(B::Volume, -1).with(B::Plato, -1),
            Self::DiastaticPower => NONE.with(B::Diastatic, 1),
            Self::Power => NONE.with(B::Energy, 1).with(B::Time, -1),
            Self::Energy => NONE.with(B::Energy, 1),
            Self::HeatCapacity => NONE.with(B::Energy, 1).with(B::Step, -1),
            Self::EnergyPerVolume => NONE.with(B::Energy, 1).with(B::Volume, -1),
            Self::Length => NONE.with(B::Length, 1),
            Self::Amount => NONE.with(B::Amount, 1),
            Self::Charge => NONE.with(B::Charge, 1),
            Self::Money | Self::MoneyPerCount => NONE.with(B::Money, 1),
            Self::MoneyPerMass => NONE.with(B::Money, 1).with(B::Mass, -1),
            Self::MoneyPerVolume => NONE.with(B::Money, 1).with(B::Volume, -1),
            Self::VolumePerMass => NONE.with(B::Volume, 1).with(B::Mass, -1),
            Self::TemperatureRate => NONE.with(B::Step, 1).with(B::Time, -1),
            Self::VolumeRate => NONE.with(B::Volume, 1).with(B::Time, -1),
            Self::ProportionRate => NONE.with(B::Time, -1),
            Self::CountPerVolume => NONE.with(B::Volume, -1),
        }
    }

    /// What one dimension by another is, where brewers write it so.
    pub(crate) const fn ratio(over: Self, under: Self) -> Option<Self> {
        use Dimension as D;
        Some(match (over, under) {
            (D::Mass, D::Volume) => D::Concentration,
            (D::Mass, D::Mass) | (D::Volume, D::Volume) => D::Proportion,
            (D::Volume, D::Mass) => D::VolumePerMass,
            (D::Volume, D::Time) => D::VolumeRate,
            (D::Temperature | D::TemperatureStep, D::Time) => D::TemperatureRate,
            (D::Proportion, D::Time) => D::ProportionRate,
            (D::Amount, D::Volume) => D::AmountConcentration,
            (D::Charge, D::Volume) => D::Equivalents,
            (D::Charge, D::Mass) => D::EquivalentsPerMass,
            (D::Cells, D::Volume) => D::CellsPerVolume,
            (D::Cells, D::Mass) => D::CellsPerMass,
            (D::Energy, D::Temperature | D::TemperatureStep) => D::HeatCapacity,
            (D::Energy, D::Volume) => D::EnergyPerVolume,
            (D::Count, D::Volume) => D::CountPerVolume,
            (D::Money, D::Mass) => D::MoneyPerMass,
            (D::Money, D::Volume) => D::MoneyPerVolume,
            (D::Money, D::Count) => D::MoneyPerCount,
            _ => return None,
        })
    }
}

/// What the exponents of a [`Dim`] count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum Base {
    Mass,
    Volume,
    Time,
    Step,
    Money,
    Cells,
    Charge,
    Amount,
    Length,
    Energy,
    Pressure,
    Plato,
    Diastatic,
    Potential,
    Pack,
    Tablet,
    Each,
}

const BASES: usize = Base::Each as usize + 1;

/// The dimension of an intermediate result: a product of powers, with the currency if money is in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Dim {
    exponents: [i8; BASES],
    /// Index of the currency plus one; 0 while there is no money in it.
    currency: u8,
}

impl Dim {
    /// A plain number.
    pub const NONE: Self = Self { exponents: [0; BASES], currency: 0 };

    pub(crate) const fn with(mut self, base: Base, exponent: i8) -> Self {
        self.exponents[base as usize] = exponent;
        self
    }

    pub(crate) const fn with_currency(mut self, index: u8) -> Self {
        self.currency = index + 1;
        self
    }

    pub(crate) const fn exponent(self, base: Base) -> i8 {
        self.exponents[base as usize]
    }

    /// Whether this is a plain number.
    #[must_use]
    pub fn is_number(self) -> bool {
        self.exponents == [0; BASES]
    }

    fn combine(self, other: Self, sign: i8) -> Result<Self, AlgebraError> {
        let mut result = self;
        for (mine, theirs) in result.exponents.iter_mut().zip(other.exponents) {
            *mine = theirs
                .checked_mul(sign)
                .and_then(|theirs| mine.checked_add(theirs))
                .ok_or(AlgebraError::PowerTooHigh)?;
        }
        result.currency = match (self.currency, other.currency) {
            (mine, 0) => mine,
            (0, theirs) => theirs,
            (mine, theirs) if mine == theirs => mine,
            _ => return Err(AlgebraError::Currencies),
        };
        if result.exponent(Base::Money) == 0 {
            result.currency = 0;
        }
        Ok(result)
    }

    /// The dimension of a product.
    ///
    /// # Errors
    /// Two currencies; an exponent beyond ±127.
    pub fn times(self, other: Self) -> Result<Self, AlgebraError> {
        self.combine(other, 1)
    }

    /// The dimension of a quotient.
    ///
    /// # Errors
    /// Two currencies; an exponent beyond ±127.
    pub fn over(self, other: Self) -> Result<Self, AlgebraError> {
        self.combine(other, -1)
    }

    /// The dimension of a whole power.
    ///
    /// # Errors
    /// An exponent beyond ±127.
    pub fn power(self, exponent: i32) -> Result<Self, AlgebraError> {
        let mut result = self;
        for mine in &mut result.exponents {
            *mine = i32::from(*mine)
                .checked_mul(exponent)
                .and_then(|value| i8::try_from(value).ok())
                .ok_or(AlgebraError::PowerTooHigh)?;
        }
        if result.exponent(Base::Money) == 0 {
            result.currency = 0;
        }
        Ok(result)
    }

    /// The dimension of a square root, where every exponent is even.
    ///
    /// # Errors
    /// An odd exponent.
    pub fn root(self) -> Result<Self, AlgebraError> {
        let mut result = self;
        for mine in &mut result.exponents {
            if *mine % 2 != 0 {
                return Err(AlgebraError::OddRoot);
            }
            *mine /= 2;
        }
        Ok(result)
    }

    /// The plainest named dimension with these exponents.
    #[must_use]
    pub fn named(self) -> Option<Dimension> {
        if self.is_number() {
            return Some(Dimension::Number);
        }
        let pieces = [Base::Pack, Base::Tablet, Base::Each];
        let mut rest = self;
        rest.currency = 0;
        for base in pieces {
            rest = rest.with(base, 0);
        }
        let counts = pieces.map(|base| self.exponent(base));
        match counts.iter().map(|n| i32::from(n.unsigned_abs())).sum::<i32>() {
            0 => Dimension::ALL.into_iter().find(|&dimension| {
                !matches!(dimension, Dimension::MoneyPerCount | Dimension::CountPerVolume)
                    && dimension.dim() == rest
            }),
            1 => {
                let positive = counts.contains(&1);
                let found = if positive && rest.is_number() {
                    Dimension::Count
                } else if positive && rest == Dimension::CountPerVolume.dim() {
                    Dimension::CountPerVolume
                } else if !positive && rest == Dimension::MoneyPerCount.dim() {
                    Dimension::MoneyPerCount
                } else {
                    return None;
                };
                Some(found)
            }
            _ => None,
        }
    }

    /// The dimension in words: the named one, or 'a product of other units'.
    #[must_use]
    pub fn describe(self) -> &'static str {
        self.named().map_or("a mix of units that has no name", Dimension::name)
    }
}

impl Dim {
    /// The unit of the currency, when money is in it.
    pub(crate) fn money(self) -> Option<UnitId> {
        self.currency.checked_sub(1).map(|index| UnitId::of_currency(usize::from(index)))
    }

    /// What is counted, where a count is in it.
    pub(crate) fn counted(self) -> Option<UnitId> {
        [(Base::Pack, UnitId::PACK), (Base::Tablet, UnitId::TABLET), (Base::Each, UnitId::EACH)]
            .into_iter()
            .find(|(base, _)| self.exponent(*base) != 0)
            .map(|(_, unit)| unit)
    }
}

impl Dimension {
    /// The unit whose values are the canonical ones; `None` where it depends on the quantity (gravity,
    /// counts, money) or no unit is as large (proportions by minute). A proportion's canonical value counts
    /// parts of one, which is a bare number.
    #[must_use]
    pub const fn canonical_unit(self) -> Option<UnitId> {
        Some(match self {
            Self::Number | Self::Proportion => UnitId::BARE,
            Self::Mass => UnitId::KG,
            Self::Volume => UnitId::L,
            Self::Time => UnitId::MIN,
            Self::Temperature => UnitId::C,
            Self::TemperatureStep => UnitId::K,
            Self::ExtractPotential => UnitId::L_DEGREES_PER_KG,
            Self::Colour => UnitId::EBC,
            Self::Bitterness => UnitId::IBU,
            Self::Acidity => UnitId::PH,
            Self::Concentration => UnitId::MG_PER_L,
            Self::AmountConcentration => UnitId::MMOL_PER_L,
            Self::Equivalents => UnitId::MEQ_PER_L,
            Self::EquivalentsPerMass => UnitId::MEQ_PER_KG,
            Self::Carbonation => UnitId::VOL,
            Self::Pressure => UnitId::BAR,
            Self::Cells => UnitId::BILLION_CELLS,
            Self::CellsPerVolume => UnitId::MILLION_CELLS_PER_ML,
            Self::CellsPerMass => UnitId::BILLION_CELLS_PER_G,
            Self::PitchRate => UnitId::MILLION_PER_ML_P,
            Self::DiastaticPower => UnitId::WK,
            Self::Power => UnitId::KW,
            Self::Energy => UnitId::KJ,
            Self::HeatCapacity => UnitId::KJ_PER_C,
            Self::EnergyPerVolume => UnitId::KJ_PER_L,
            Self::Length => UnitId::M,
            Self::Amount => UnitId::MMOL,
            Self::Charge => UnitId::MEQ,
            Self::VolumePerMass => UnitId::L_PER_KG,
            Self::TemperatureRate => UnitId::C_PER_MIN,
            Self::VolumeRate => UnitId::L_PER_MIN,
            Self::Gravity
            | Self::Count
            | Self::Money
            | Self::MoneyPerMass
            | Self::MoneyPerVolume
            | Self::MoneyPerCount
            | Self::CountPerVolume
            | Self::ProportionRate => return None,
        })
    }
}
