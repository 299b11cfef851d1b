//! A number with its unit, as written.

use core::fmt;

use crate::display::format_plain;
use crate::scale;
use crate::typed::{self, Ebc, Lovibond};
use crate::unit::{Customary, Parts, Scale, System};
use crate::{Dimension, UnitId};

/// A value in the unit it was written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The number.
    pub value: f64,
    /// Its unit; [`UnitId::BARE`] for a number without one.
    pub unit: UnitId,
}

/// Why a quantity cannot be had in another unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ConvertError {
    /// The two measure different things.
    Dimensions {
        /// What the quantity measures.
        from: Dimension,
        /// What was asked for.
        to: Dimension,
    },
    /// The unit means one thing under US customary and another under imperial.
    NeedsCustomary(UnitId),
    /// From one gravity scale to another only a brewing model leads.
    NeedsModel,
    /// Packs, tablets and pieces are not each other.
    DifferentThings,
    /// No rate of exchange is known here.
    Currencies,
    /// The result is too large for a number.
    NotFinite,
}

/// Why two neighbouring quantities do not add as `2 lb 4 oz` does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SumError {
    /// One of the two is a ratio, a point, a proportion or another scale.
    NotPlain,
    /// The two measure different things.
    Dimensions {
        /// What the first measures.
        first: Dimension,
        /// What the second measures.
        second: Dimension,
    },
    /// One is metric, the other customary.
    Systems,
    /// The second unit is not smaller than the first.
    NotSmaller,
    /// How many of the second make one of the first depends on the customary system.
    NeedsCustomary(UnitId),
    /// A part below zero.
    Negative,
    /// The result is too large for a number.
    NotFinite,
}

impl fmt::Display for Quantity {
    /// As one writes it: the shortest decimal, a blank, the formatter's spelling of the unit.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&format_plain(self.value))?;
        if self.unit.is_bare() { Ok(()) } else { write!(f, " {}", self.unit) }
    }
}

const fn finite(value: f64) -> Result<f64, ConvertError> {
    if value.is_finite() { Ok(value) } else { Err(ConvertError::NotFinite) }
}

impl Quantity {
    /// A value in a unit.
    #[must_use]
    pub const fn new(value: f64, unit: UnitId) -> Self {
        Self { value, unit }
    }

    /// A number without a unit.
    #[must_use]
    pub const fn bare(value: f64) -> Self {
        Self { value, unit: UnitId::BARE }
    }

    /// What it measures.
    #[must_use]
    pub const fn dimension(self) -> Dimension {
        self.unit.dimension()
    }

    /// The same quantity in the exact unit of a customary system.
    #[must_use]
    pub const fn resolve(self, customary: Customary) -> Self {
        Self { value: self.value, unit: self.unit.resolve(customary) }
    }

    /// The value in the canonical unit of its dimension (see [`Dimension`]). A gravity, a count or a sum
    /// of money is its own canonical value.
    ///
    /// # Errors
    /// [`ConvertError::NeedsCustomary`] and [`ConvertError::NotFinite`].
    pub fn canonical(self) -> Result<f64, ConvertError> {
        let value = match (self.unit.factor(), self.unit.spec().map(|spec| spec.scale)) {
            (Some(factor), _) => factor.apply(self.value),
            (None, Some(Scale::Fahrenheit)) => typed::Temperature::from_fahrenheit(self.value).celsius(),
            (None, Some(Scale::Lovibond)) => {
                scale::ebc_from_lovibond(Lovibond::from_lovibond(self.value)).ebc()
            }
            (None, Some(Scale::Lintner)) => scale::wk_from_lintner(self.value).wk(),
            (None, _) => return Err(ConvertError::NeedsCustomary(self.unit)),
        };
        finite(value)
    }

    /// A canonical value in a unit of that dimension; the inverse of [`Quantity::canonical`].
    ///
    /// # Errors
    /// [`ConvertError::NeedsCustomary`] and [`ConvertError::NotFinite`].
    pub fn from_canonical(value: f64, unit: UnitId) -> Result<Self, ConvertError> {
        let value = match (unit.factor(), unit.spec().map(|spec| spec.scale)) {
            (Some(factor), _) => factor.inverse().apply(value),
            (None, Some(Scale::Fahrenheit)) => typed::Temperature::from_celsius(value).fahrenheit(),
            (None, Some(Scale::Lovibond)) => scale::lovibond_from_ebc(Ebc::from_ebc(value)).lovibond(),
            (None, Some(Scale::Lintner)) => scale::lintner_from_wk(typed::DiastaticPower::from_wk(value)),
            (None, _) => return Err(ConvertError::NeedsCustomary(unit)),
        };
        finite(value).map(|value| Self { value, unit })
    }

    /// The same quantity in another unit of its dimension.
    ///
    /// # Errors
    /// See [`ConvertError`].
    pub fn convert(self, to: UnitId) -> Result<Self, ConvertError> {
        if self.unit == to {
            return finite(self.value).map(|value| Self { value, unit: to });
        }
        let dimensions = (self.dimension(), to.dimension());
        if dimensions.0 != dimensions.1 {
            return Err(ConvertError::Dimensions { from: dimensions.0, to: dimensions.1 });
        }
        if self.unit.currency_code() != to.currency_code() {
            return Err(ConvertError::Currencies);
        }
        if dimensions.0 == Dimension::Gravity {
            return Err(ConvertError::NeedsModel);
        }
        if self.unit.dim() != to.dim() {
            return Err(ConvertError::DifferentThings);
        }
        for unit in [self.unit, to] {
            if unit.needs_customary() {
                return Err(ConvertError::NeedsCustomary(unit));
            }
        }
        if let (Some(from), Some(into)) = (self.unit.factor(), to.factor()) {
            return finite(from.by(into.inverse()).apply(self.value)).map(|value| Self { value, unit: to });
        }
        Self::from_canonical(self.canonical()?, to)
    }

    /// The sum of neighbours, `2 lb 4 oz`, in the unit of the first.
    ///
    /// # Errors
    /// See [`SumError`]; `customary` is needed only where the two parts' ratio depends on it.
    pub fn plus_part(self, part: Self, customary: Option<Customary>) -> Result<Self, SumError> {
        check_sum(self.unit, part.unit)?;
        if self.value < 0.0 || part.value < 0.0 {
            return Err(SumError::Negative);
        }
        let settled = customary.or_else(|| {
            // Where both systems agree on the ratio nobody has to say which.
            let us = part_ratio(self.unit, part.unit, Customary::Us)?;
            let imperial = part_ratio(self.unit, part.unit, Customary::Imperial)?;
            ((us - imperial).abs() <= us * 1e-12).then_some(Customary::Us)
        });
        let Some(customary) = settled else {
            let unit = if self.unit.needs_customary() { self.unit } else { part.unit };
            return Err(SumError::NeedsCustomary(unit));
        };
        let converted =
            part.resolve(customary).convert(self.unit.resolve(customary)).map_err(|_| SumError::NotFinite)?;
        let value = self.value + converted.value;
        if value.is_finite() { Ok(Self { value, unit: self.unit }) } else { Err(SumError::NotFinite) }
    }
}

/// How many of the first unit one of the second is, in one customary system.
fn part_ratio(first: UnitId, second: UnitId, customary: Customary) -> Option<f64> {
    let one = Quantity::new(1.0, second.resolve(customary)).convert(first.resolve(customary));
    one.ok().map(|one| one.value)
}

/// Whether quantities in these two units may be neighbours that add: both plain, of one dimension and one
/// system, the second smaller. Needs no customary system: the order of sizes is the same in both.
///
/// # Errors
/// See [`SumError`].
pub fn check_sum(first: UnitId, second: UnitId) -> Result<(), SumError> {
    let dimensions = (first.dimension(), second.dimension());
    if dimensions.0 != dimensions.1 {
        return Err(SumError::Dimensions { first: dimensions.0, second: dimensions.1 });
    }
    if !first.is_plain() || !second.is_plain() {
        return Err(SumError::NotPlain);
    }
    if first.system() != second.system() && [first, second].iter().all(|u| u.system() != System::Neutral) {
        return Err(SumError::Systems);
    }
    match part_ratio(first, second, Customary::Us) {
        Some(ratio) if ratio < 1.0 => Ok(()),
        _ => Err(SumError::NotSmaller),
    }
}

/// The value a typed quantity holds, for a quantity of its dimension.
macro_rules! typed_from {
    ($($name:ident: $dimension:ident, $make:ident;)*) => {$(
        impl TryFrom<Quantity> for typed::$name {
            type Error = ConvertError;
            fn try_from(quantity: Quantity) -> Result<Self, ConvertError> {
                if quantity.dimension() != Dimension::$dimension {
                    return Err(ConvertError::Dimensions {
                        from: quantity.dimension(),
                        to: Dimension::$dimension,
                    });
                }
                quantity.canonical().map(Self::$make)
            }
        }
    )*};
}

typed_from! {
    Mass: Mass, from_kg;
    Volume: Volume, from_litres;
    Time: Time, from_minutes;
    Temperature: Temperature, from_celsius;
    TemperatureStep: TemperatureStep, from_kelvin;
    Fraction: Proportion, from_parts;
    Ebc: Colour, from_ebc;
    Ibu: Bitterness, from_ibu;
    Concentration: Concentration, from_mg_per_litre;
    Equivalents: Equivalents, from_meq_per_litre;
    Amount: Amount, from_mmol;
    GaugePressure: Pressure, from_bar;
    Carbonation: Carbonation, from_volumes;
    Cells: Cells, from_billions;
    PitchRate: PitchRate, from_million_per_ml_plato;
    DiastaticPower: DiastaticPower, from_wk;
    Power: Power, from_kw;
    HeatCapacity: HeatCapacity, from_kj_per_kelvin;
    Energy: Energy, from_kj;
    Length: Length, from_metres;
    VolumePerMass: VolumePerMass, from_litres_per_kg;
    ExtractPotential: ExtractPotential, from_point_litres_per_kg;
    Charge: Charge, from_meq;
    ChargePerMass: EquivalentsPerMass, from_meq_per_kg;
    CellDensity: CellsPerVolume, from_million_per_ml;
    CellsPerMass: CellsPerMass, from_billions_per_gram;
}

impl TryFrom<Quantity> for typed::Density {
    type Error = ConvertError;
    fn try_from(quantity: Quantity) -> Result<Self, ConvertError> {
        typed::Concentration::try_from(quantity)
            .map(|value| Self::from_kg_per_litre(value.mg_per_litre() / 1e6))
    }
}

impl TryFrom<Quantity> for typed::VolumeRate {
    type Error = ConvertError;
    fn try_from(quantity: Quantity) -> Result<Self, ConvertError> {
        quantity.convert(UnitId::L_PER_H).map(|rate| Self::from_litres_per_hour(rate.value))
    }
}

impl UnitId {
    /// Whether this is the unit of a bare number, which stands for a specific gravity, a pH, IBU or a
    /// factor, wherever the language allows one.
    #[must_use]
    pub const fn is_bare(self) -> bool {
        matches!(self.parts(), Parts::Row(0))
    }
}
