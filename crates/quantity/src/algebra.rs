//! Arithmetic of quantities at run time: what expressions compute with.
//!
//! Everything is a plain product of units but points of temperature: point - point is a step, point ± step a
//! point, and nothing else can be done with a point. IBU, pH, EBC, volumes of gas and specific gravities are
//! plain numbers here. A gravity in °P or °Bx is refused rather than taken for one: the caller, who knows a
//! model, makes it a specific gravity first.

use crate::{Dim, Dimension, Quantity, UnitId};

/// Why two quantities cannot be combined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlgebraError {
    /// An exponent beyond what is counted.
    PowerTooHigh,
    /// Two currencies.
    Currencies,
    /// The root of an odd power.
    OddRoot,
    /// Sums, differences and comparisons of things that are not alike.
    Unlike {
        /// What stands to the left.
        left: Kind,
        /// What stands to the right.
        right: Kind,
    },
    /// A sum of two points of temperature, or a product of one.
    PointOfTemperature,
    /// A unit that means two things, without a word which.
    NeedsCustomary(UnitId),
    /// A gravity that is not a specific gravity: the way there is a brewing model.
    NeedsModel(UnitId),
    /// No number comes out: a division by zero, the root of a negative.
    NotFinite,
}

/// What a value of an expression is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A product of powers of units; a plain number without any.
    Linear(Dim),
    /// A point of temperature.
    Point,
}

impl Kind {
    /// In a brewer's words, with its article.
    #[must_use]
    pub fn describe(self) -> &'static str {
        match self {
            Self::Linear(dim) => dim.describe(),
            Self::Point => Dimension::Temperature.name(),
        }
    }
}

/// A value of an expression, in coherent units (kg, L, min, K, kJ, billion cells, …; °C for a point).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    /// The number.
    pub number: f64,
    /// What it is.
    pub kind: Kind,
}

type Result<T> = core::result::Result<T, AlgebraError>;

impl Value {
    /// A plain number.
    #[must_use]
    pub const fn number(number: f64) -> Self {
        Self { number, kind: Kind::Linear(Dim::NONE) }
    }

    /// A point of temperature, °C.
    #[must_use]
    pub const fn point(celsius: f64) -> Self {
        Self { number: celsius, kind: Kind::Point }
    }

    /// A canonical value of a dimension.
    #[must_use]
    pub const fn of(dimension: Dimension, canonical: f64) -> Self {
        if matches!(dimension, Dimension::Temperature) {
            return Self::point(canonical);
        }
        let (times, over) = dimension.coherent();
        Self { number: canonical * times / over, kind: Kind::Linear(dimension.dim()) }
    }

    /// A quantity as written: `5 %` is 0.05, `12 SRM` its EBC, `1.048 sg` 1.048.
    ///
    /// # Errors
    /// [`AlgebraError::NeedsCustomary`], [`AlgebraError::NeedsModel`] for °P and °Bx,
    /// [`AlgebraError::NotFinite`].
    pub fn of_quantity(quantity: Quantity) -> Result<Self> {
        if quantity.dimension() == Dimension::Gravity && quantity.unit != UnitId::SG {
            return Err(AlgebraError::NeedsModel(quantity.unit));
        }
        let canonical = quantity.canonical().map_err(|error| match error {
            crate::ConvertError::NeedsCustomary(unit) => AlgebraError::NeedsCustomary(unit),
            _ => AlgebraError::NotFinite,
        })?;
        let mut value = Self::of(quantity.dimension(), canonical);
        if value.kind != Kind::Point {
            // Counts and money: the unit says more than the dimension.
            value.kind = Kind::Linear(quantity.unit.dim());
        }
        value.finite()
    }

    fn finite(self) -> Result<Self> {
        if self.number.is_finite() { Ok(self) } else { Err(AlgebraError::NotFinite) }
    }

    const fn with(self, number: f64) -> Self {
        Self { number, kind: self.kind }
    }

    fn dim(self) -> Result<Dim> {
        match self.kind {
            Kind::Linear(dim) => Ok(dim),
            Kind::Point => Err(AlgebraError::PointOfTemperature),
        }
    }

    /// Whether it is a step of temperature.
    fn is_step(self) -> bool {
        self.kind == Kind::Linear(Dimension::TemperatureStep.dim())
    }

    /// The sum.
    ///
    /// # Errors
    /// Things that are not alike; two points of temperature.
    pub fn plus(self, other: Self) -> Result<Self> {
        match (self.kind, other.kind) {
            (Kind::Point, Kind::Point) => Err(AlgebraError::PointOfTemperature),
            (Kind::Point, _) if other.is_step() => self.with(self.number + other.number).finite(),
            (_, Kind::Point) if self.is_step() => other.with(self.number + other.number).finite(),
            (left, right) if left == right => self.with(self.number + other.number).finite(),
            (left, right) => Err(AlgebraError::Unlike { left, right }),
        }
    }

    /// The difference.
    ///
    /// # Errors
    /// Things that are not alike.
    pub fn minus(self, other: Self) -> Result<Self> {
        match (self.kind, other.kind) {
            (Kind::Point, Kind::Point) => {
                Self::of(Dimension::TemperatureStep, self.number - other.number).finite()
            }
            (Kind::Point, _) if other.is_step() => self.with(self.number - other.number).finite(),
            (left, right) if left == right => self.with(self.number - other.number).finite(),
            (left, right) => Err(AlgebraError::Unlike { left, right }),
        }
    }

    /// The product.
    ///
    /// # Errors
    /// A point of temperature; two currencies.
    pub fn times(self, other: Self) -> Result<Self> {
        let dim = self.dim()?.times(other.dim()?)?;
        Self { number: self.number * other.number, kind: Kind::Linear(dim) }.finite()
    }

    /// The quotient.
    ///
    /// # Errors
    /// A point of temperature; a division by zero.
    pub fn over(self, other: Self) -> Result<Self> {
        let dim = self.dim()?.over(other.dim()?)?;
        Self { number: self.number / other.number, kind: Kind::Linear(dim) }.finite()
    }

    /// A whole power.
    ///
    /// # Errors
    /// A point of temperature; an exponent beyond what is counted.
    pub fn power(self, exponent: i32) -> Result<Self> {
        let dim = self.dim()?.power(exponent)?;
        Self { number: self.number.powi(exponent), kind: Kind::Linear(dim) }.finite()
    }

    /// The square root.
    ///
    /// # Errors
    /// A point of temperature, an odd power, a negative.
    pub fn root(self) -> Result<Self> {
        let dim = self.dim()?.root()?;
        Self { number: self.number.sqrt(), kind: Kind::Linear(dim) }.finite()
    }

    /// The negative.
    ///
    /// # Errors
    /// A point of temperature.
    pub fn negated(self) -> Result<Self> {
        self.dim()?;
        Ok(self.with(-self.number))
    }

    /// Without its sign.
    ///
    /// # Errors
    /// A point of temperature.
    pub fn absolute(self) -> Result<Self> {
        self.dim()?;
        Ok(self.with(self.number.abs()))
    }

    /// To the nearest multiple.
    ///
    /// # Errors
    /// A multiple that is not alike, or zero.
    pub fn rounded(self, to: Self) -> Result<Self> {
        let same = self.kind == to.kind || (self.kind == Kind::Point && to.is_step());
        if !same {
            return Err(AlgebraError::Unlike { left: self.kind, right: to.kind });
        }
        // Where a whole number of multiples makes one, dividing by that number keeps 0.1 free of stray digits.
        let in_one = (1.0 / to.number).round();
        let multiples = if in_one != 0.0 && (in_one * to.number - 1.0).abs() < 1e-12 {
            (self.number * in_one).round() / in_one
        } else {
            (self.number / to.number).round() * to.number
        };
        self.with(multiples).finite()
    }

    /// Read as a step of temperature: `step(2 F)`.
    ///
    /// # Errors
    /// Anything that is neither a point nor a step. `fahrenheit` says on which scale the point was written.
    pub fn step(self, fahrenheit: bool) -> Result<Self> {
        if self.is_step() {
            return Ok(self);
        }
        if self.kind != Kind::Point {
            return Err(AlgebraError::Unlike {
                left: self.kind,
                right: Kind::Linear(Dimension::TemperatureStep.dim()),
            });
        }
        // The point 2 °F is -16.7 °C; the step is 2 / 1.8 K.
        let kelvin = if fahrenheit { self.number + 32.0 / 1.8 } else { self.number };
        Ok(Self::of(Dimension::TemperatureStep, kelvin))
    }

    /// Which of two is larger.
    ///
    /// # Errors
    /// Things that are not alike.
    pub fn compare(self, other: Self) -> Result<core::cmp::Ordering> {
        if self.kind == other.kind {
            // Not `total_cmp`, for which -0 is less than 0.
            self.number.partial_cmp(&other.number).ok_or(AlgebraError::NotFinite)
        } else {
            Err(AlgebraError::Unlike { left: self.kind, right: other.kind })
        }
    }

    /// Canonical value, if this is of that dimension.
    #[must_use]
    pub fn canonical(self, dimension: Dimension) -> Option<f64> {
        if dimension == Dimension::Temperature {
            return (self.kind == Kind::Point).then_some(self.number);
        }
        let (times, over) = dimension.coherent();
        (self.kind == Kind::Linear(dimension.dim())).then_some(self.number * over / times)
    }

    /// The plainest dimension it can be shown in, with the canonical value there.
    #[must_use]
    pub fn named(self) -> Option<(Dimension, f64)> {
        let dimension = match self.kind {
            Kind::Point => Dimension::Temperature,
            Kind::Linear(dim) => dim.named()?,
        };
        let (times, over) = dimension.coherent();
        Some((dimension, if self.kind == Kind::Point { self.number } else { self.number * over / times }))
    }
}

impl Value {
    /// The value as a quantity in the canonical unit of its dimension; `None` for a mix of units that has no
    /// name.
    #[must_use]
    pub fn quantity(self) -> Option<Quantity> {
        let dim = match self.kind {
            Kind::Point => return Some(Quantity::new(self.number, UnitId::C)),
            Kind::Linear(dim) => dim,
        };
        let (dimension, canonical) = self.named()?;
        let unit = match dimension {
            Dimension::Money => dim.money()?,
            Dimension::MoneyPerMass => dim.money()?.per(UnitId::KG)?,
            Dimension::MoneyPerVolume => dim.money()?.per(UnitId::L)?,
            Dimension::MoneyPerCount => dim.money()?.per(dim.counted()?)?,
            Dimension::Count => dim.counted()?,
            Dimension::CountPerVolume => dim.counted()?.per(UnitId::L)?,
            Dimension::ProportionRate => UnitId::PERCENT_PER_H,
            named => named.canonical_unit()?,
        };
        Quantity::from_canonical(canonical, unit).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(number: f64, unit: UnitId) -> Value {
        Value::of_quantity(Quantity::new(number, unit)).unwrap()
    }

    #[test]
    fn products_have_the_dimension_they_should() {
        let liquor = value(2.7, UnitId::L_PER_KG).times(value(5000.0, UnitId::G)).unwrap();
        assert_eq!(liquor.canonical(Dimension::Volume), Some(13.5));
        let salt = value(3.0, UnitId::G_PER_L).times(value(20.0, UnitId::L)).unwrap();
        assert!((salt.canonical(Dimension::Mass).unwrap() - 0.06).abs() < 1e-12);
        let ratio = value(1.0, UnitId::KG).over(value(250.0, UnitId::G)).unwrap();
        assert_eq!(ratio, Value::number(4.0));
        let heat = value(2.0, UnitId::KW).times(value(3.0, UnitId::MIN)).unwrap();
        assert_eq!(heat.canonical(Dimension::Energy), Some(360.0));
    }

    #[test]
    fn points_and_steps() {
        let rest = value(67.0, UnitId::C);
        let grain = value(18.0, UnitId::C);
        let rise = rest.minus(grain).unwrap();
        assert_eq!(rise.canonical(Dimension::TemperatureStep), Some(49.0));
        assert_eq!(grain.plus(rise).unwrap(), rest);
        assert_eq!(rest.plus(grain), Err(AlgebraError::PointOfTemperature));
        assert_eq!(rest.times(Value::number(2.0)), Err(AlgebraError::PointOfTemperature));
        let two_f = value(2.0, UnitId::F).step(true).unwrap();
        assert!((two_f.canonical(Dimension::TemperatureStep).unwrap() - 2.0 / 1.8).abs() < 1e-12);
    }

    #[test]
    fn scales_of_the_trade_are_plain_numbers() {
        for (number, unit, plain) in [
            (24.0, UnitId::IBU, 24.0),
            (10.0, UnitId::SRM, 19.7),
            (2.4, UnitId::VOL, 2.4),
            (1.977, UnitId::G_CO2_PER_L, 1.0),
            (5.0, UnitId::PERCENT, 0.05),
            (1.048, UnitId::SG, 1.048),
        ] {
            let found = value(number, unit);
            assert_eq!(found.kind, Value::number(0.0).kind, "{unit}");
            assert!((found.number - plain).abs() < 1e-12, "{unit}: {}", found.number);
        }
        for unit in [UnitId::P, UnitId::BX] {
            let refused = Value::of_quantity(Quantity::new(12.0, unit));
            assert_eq!(refused, Err(AlgebraError::NeedsModel(unit)));
        }
        let zero = Value::number(0.0);
        assert_eq!(zero.negated().unwrap().compare(zero), Ok(core::cmp::Ordering::Equal));
    }

    #[test]
    fn money_keeps_its_currency() {
        let (euro, krona) = (UnitId::currency("EUR").unwrap(), UnitId::currency("SEK").unwrap());
        let price = value(1.9, euro.per(UnitId::KG).unwrap());
        let paid = price.times(value(500.0, UnitId::G)).unwrap();
        assert_eq!(paid.quantity(), Some(Quantity::new(0.95, euro)));
        assert!(matches!(paid.plus(value(1.0, krona)), Err(AlgebraError::Unlike { .. })));
        assert_eq!(paid.over(value(1.0, krona)), Err(AlgebraError::Currencies));
        let packs = value(3.0, euro.per(UnitId::PACK).unwrap()).times(value(2.0, UnitId::PACK)).unwrap();
        assert_eq!(packs.quantity(), Some(Quantity::new(6.0, euro)));
        assert!(matches!(
            value(2.0, UnitId::PACK).plus(value(1.0, UnitId::TABLET)),
            Err(AlgebraError::Unlike { .. })
        ));
    }

    #[test]
    fn rounding_leaves_no_stray_digits() {
        for (number, unit, step, want) in [
            (0.333, UnitId::KG, Value::of(Dimension::Mass, 0.1), 0.3),
            (0.017_3, UnitId::KG, Value::of(Dimension::Mass, 0.005), 0.015),
            (66.7, UnitId::C, Value::of(Dimension::TemperatureStep, 0.5), 66.5),
            (66.7, UnitId::C, Value::point(1.0), 67.0),
        ] {
            assert_eq!(value(number, unit).rounded(step).map(|found| found.number), Ok(want));
        }
        let none = value(1.0, UnitId::KG).rounded(Value::of(Dimension::Mass, 0.0));
        assert_eq!(none, Err(AlgebraError::NotFinite));
    }

    #[test]
    fn unlike_things_do_not_add() {
        let mass = value(1.0, UnitId::KG);
        let volume = value(1.0, UnitId::L);
        assert!(matches!(mass.plus(volume), Err(AlgebraError::Unlike { .. })));
        assert!(matches!(mass.compare(volume), Err(AlgebraError::Unlike { .. })));
        assert_eq!(mass.over(Value::number(0.0)), Err(AlgebraError::NotFinite));
    }
}
