//! How figures are shown: unit and digits.

use quantity::display::{format_value, shown_unit};
use quantity::typed::Gravity;
use quantity::{Dimension, Quantity, UnitId};

use crate::settings::ShownUnits;

/// Kinds of number, each with its unit and digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Show {
    /// Specific gravity.
    Gravity,
    /// °P
    Plato,
    /// A percentage.
    Percent,
    /// A proportion in parts of one, shown as a percentage.
    Share,
    /// A proportion of volume in parts of one a minute, shown as %/h.
    SharePerMinute,
    /// IBU
    Ibu,
    /// A ratio without unit.
    Ratio,
    /// A factor without unit.
    Factor,
    /// EBC
    Colour,
    /// kcal/100 mL
    Energy,
    /// kg
    Mass,
    /// g
    Grams,
    /// mL
    Millilitres,
    /// WK
    Diastatic,
    /// L
    Volume,
    /// L/h, of a value in L/min.
    Flow,
    /// L/h, of a value in L/h.
    Evaporation,
    /// L/kg
    Thickness,
    /// °C
    Temperature,
    /// pH
    Ph,
    /// mEq/kg for each unit of pH
    Buffering,
    /// ppm as CaCO3
    Alkalinity,
    /// ppm
    Ion,
    /// Billion cells.
    Cells,
    /// million/mL/P
    PitchRate,
    /// vol
    Carbonation,
    /// bar
    Pressure,
    /// g/L
    Dose,
    /// Money of an unnamed currency.
    Money,
    /// min
    Minutes,
    /// m
    Metres,
    /// kW
    Power,
    /// kJ/C
    HeatCapacity,
}

impl Show {
    /// The unit behind the number; empty for gravities, pH, ratios and money.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Gravity => "sg",
            Self::Plato => "P",
            Self::Percent | Self::Share => "%",
            Self::SharePerMinute => "%/h",
            Self::Ibu => "IBU",
            Self::Ratio | Self::Factor | Self::Money => "",
            Self::Ph => "pH",
            Self::Colour => "EBC",
            Self::Energy => "kcal/100 mL",
            Self::Mass => "kg",
            Self::Grams => "g",
            Self::Millilitres => "mL",
            Self::Diastatic => "WK",
            Self::Volume => "L",
            Self::Flow | Self::Evaporation => "L/h",
            Self::Thickness => "L/kg",
            Self::Temperature => "C",
            Self::Buffering => "mEq/kg",
            Self::Alkalinity => "ppm as CaCO3",
            Self::Ion => "ppm",
            Self::Cells => "billion",
            Self::PitchRate => "million/mL/P",
            Self::Carbonation => "vol",
            Self::Pressure => "bar",
            Self::Dose => "g/L",
            Self::Minutes => "min",
            Self::Metres => "m",
            Self::Power => "kW",
            Self::HeatCapacity => "kJ/C",
        }
    }

    /// What a value written beside the figure may measure, a plain number aside.
    #[must_use]
    pub const fn dimensions(self) -> &'static [Dimension] {
        use Dimension as D;
        match self {
            Self::Gravity | Self::Plato => &[D::Gravity],
            Self::Percent | Self::Share => &[D::Proportion],
            Self::Ibu => &[D::Bitterness],
            Self::Colour => &[D::Colour],
            Self::Energy => &[D::EnergyPerVolume],
            Self::Mass | Self::Grams => &[D::Mass],
            Self::Millilitres | Self::Volume => &[D::Volume],
            Self::Diastatic => &[D::DiastaticPower],
            Self::Flow | Self::Evaporation => &[D::VolumeRate],
            Self::Thickness => &[D::VolumePerMass],
            Self::Temperature => &[D::Temperature],
            Self::Ph => &[D::Acidity],
            Self::Alkalinity => &[D::Concentration, D::Equivalents],
            Self::Ion | Self::Dose => &[D::Concentration],
            Self::Cells => &[D::Cells],
            Self::PitchRate => &[D::PitchRate],
            Self::Carbonation => &[D::Carbonation],
            Self::Pressure => &[D::Pressure],
            Self::Minutes => &[D::Time],
            Self::Metres => &[D::Length],
            Self::Power => &[D::Power],
            Self::HeatCapacity => &[D::HeatCapacity],
            Self::SharePerMinute => &[D::ProportionRate],
            Self::Money => &[D::Money],
            Self::Buffering => &[D::EquivalentsPerMass],
            Self::Ratio | Self::Factor => &[],
        }
    }

    /// What stands in the file's units for one unit of the value: parts of one are shown in percent.
    const fn scale(self) -> f64 {
        match self {
            Self::Share => 100.0,
            Self::SharePerMinute => 6000.0,
            Self::Flow => 60.0,
            _ => 1.0,
        }
    }

    /// The value in [`Self::unit`].
    #[must_use]
    pub fn scaled(self, value: f64) -> f64 {
        value * self.scale()
    }

    /// The value in a unit of the table, which must be exact; `None` where the unit is none of this kind.
    #[must_use]
    pub fn in_unit(self, value: f64, unit: UnitId) -> Option<f64> {
        if self == Self::Gravity && matches!(unit, UnitId::P | UnitId::BX) {
            return Some(brewing::gravity::plato(Gravity::from_sg(value)).plato());
        }
        Quantity::new(self.scaled(value), self.measure()?).convert(unit).ok().map(|converted| converted.value)
    }

    /// The number alone, with its digits; never `-0`.
    #[must_use]
    pub fn number(self, value: f64) -> String {
        let value = value * self.scale();
        match self {
            Self::Gravity | Self::Mass => fixed(value, 3),
            Self::Plato
            | Self::Percent
            | Self::Share
            | Self::SharePerMinute
            | Self::Volume
            | Self::Flow
            | Self::Evaporation
            | Self::Temperature
            | Self::Buffering
            | Self::Dose
            | Self::Carbonation => fixed(value, 1),
            Self::Ibu | Self::Colour => fixed(value, if value.abs() < 9.95 { 1 } else { 0 }),
            Self::Ph | Self::Pressure | Self::Ratio | Self::PitchRate | Self::Thickness | Self::Money => {
                fixed(value, 2)
            }
            Self::Factor | Self::HeatCapacity | Self::Power => significant(value, 3),
            Self::Energy
            | Self::Diastatic
            | Self::Alkalinity
            | Self::Ion
            | Self::Cells
            | Self::Minutes
            | Self::Metres => fixed(value, 0),
            Self::Grams | Self::Millilitres => significant(value, 3),
        }
    }

    /// The unit of the table behind a kind that has a customary counterpart.
    const fn measure(self) -> Option<UnitId> {
        match self {
            Self::Mass => Some(UnitId::KG),
            Self::Grams => Some(UnitId::G),
            Self::Volume => Some(UnitId::L),
            Self::Millilitres => Some(UnitId::ML),
            Self::Flow | Self::Evaporation => Some(UnitId::L_PER_H),
            Self::Thickness => Some(UnitId::L_PER_KG),
            Self::Temperature => Some(UnitId::C),
            Self::Pressure => Some(UnitId::BAR),
            Self::Metres => Some(UnitId::M),
            Self::Colour => Some(UnitId::EBC),
            _ => None,
        }
    }

    /// The value in the units of the reader, with its unit of the table.
    fn converted(self, value: f64, units: ShownUnits) -> Option<Quantity> {
        if units == ShownUnits::Metric {
            return None;
        }
        // Doses are weighed and pipetted in grams and millilitres everywhere; only larger ones change.
        let small = match self {
            Self::Grams => value.abs() < 10.0,
            Self::Millilitres => value.abs() < 50.0,
            _ => false,
        };
        let unit = self.measure().filter(|_| !small)?;
        Quantity::new(value * self.scale(), unit).convert(shown_unit(unit, units.table())).ok()
    }

    /// The value in the unit it is shown in to the reader, not rounded.
    #[must_use]
    pub fn value_in(self, value: f64, units: ShownUnits) -> f64 {
        self.converted(value, units).map_or_else(|| self.scaled(value), |quantity| quantity.value)
    }

    /// The number alone in the units of the reader.
    #[must_use]
    pub fn number_in(self, value: f64, units: ShownUnits) -> String {
        match self.converted(value, units) {
            Some(quantity) => format_value(quantity.value, quantity.unit),
            None => self.number(value),
        }
    }

    /// Number and unit in the units of the reader.
    #[must_use]
    pub fn shown(self, value: f64, units: ShownUnits) -> String {
        match self.converted(value, units) {
            Some(quantity) => {
                format!("{} {}", format_value(quantity.value, quantity.unit), quantity.unit.everyday())
            }
            None => self.with_unit(value),
        }
    }

    /// Number and unit.
    #[must_use]
    pub fn with_unit(self, value: f64) -> String {
        match self {
            Self::Gravity | Self::Ph | Self::Ratio | Self::Factor | Self::Money => self.number(value),
            _ => format!("{} {}", self.number(value), self.unit()),
        }
    }
}

/// Litres in a formula, fine enough to compute on with.
pub(crate) fn litres(value: f64) -> String {
    format!("{} L", fixed(value, 2))
}

/// Parts of one in percent in a formula, with two digits behind the point where they are not zero.
pub(crate) fn percent(parts: f64) -> String {
    let text = fixed(parts * 100.0, 2);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A gravity in a formula.
pub(crate) fn sg(value: f64) -> String {
    fixed(value, 4)
}

/// A number with so many digits behind the point.
fn fixed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}

/// A number with so many significant digits, trailing zeros behind the point left out.
fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return fixed(value, 0);
    }
    #[allow(clippy::cast_possible_truncation)] // a decimal exponent of a finite f64 fits
    let exponent = value.abs().log10().floor() as i32;
    #[allow(clippy::cast_sign_loss)] // clamped at zero
    let behind = (digits - 1 - exponent).max(0) as usize;
    let text = fixed(value, behind);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_reader_chooses_the_units() {
        for (show, value, us, imperial) in [
            (Show::Volume, 20.0, "5.3 gal", "4.4 gal"),
            (Show::Mass, 4.85, "10.69 lb", "10.69 lb"),
            (Show::Temperature, 66.0, "151 F", "151 F"),
            (Show::Thickness, 3.0, "1.44 qt/lb", "1.20 qt/lb"),
            (Show::Flow, 3.2 / 60.0, "0.8 gal/h", "0.7 gal/h"),
            (Show::Pressure, 0.8, "12 psi", "12 psi"),
            (Show::Colour, 19.7, "10 SRM", "10 SRM"),
            (Show::Grams, 4.0, "4 g", "4 g"),
            (Show::Grams, 113.4, "4 oz", "4 oz"),
            (Show::Gravity, 1.0508, "1.051", "1.051"),
            (Show::Ion, 62.4, "62 ppm", "62 ppm"),
        ] {
            assert_eq!(show.shown(value, ShownUnits::Us), us, "{show:?}");
            assert_eq!(show.shown(value, ShownUnits::Imperial), imperial, "{show:?}");
            assert_eq!(show.shown(value, ShownUnits::Metric), show.with_unit(value));
        }
    }

    #[test]
    fn digits_and_units() {
        for (show, value, want) in [
            (Show::Gravity, 1.0508, "1.051"),
            (Show::Plato, 12.58, "12.6 P"),
            (Show::Ibu, 27.44, "27 IBU"),
            (Show::Ibu, 9.94, "9.9 IBU"),
            (Show::Ibu, 9.96, "10 IBU"),
            (Show::Colour, 4.02, "4.0 EBC"),
            (Show::Percent, -0.04, "0.0 %"),
            (Show::Share, 0.78, "78.0 %"),
            (Show::Ph, 5.4, "5.40"),
            (Show::Grams, 0.5, "0.5 g"),
            (Show::Grams, 116.94, "117 g"),
            (Show::Grams, 1234.5, "1234 g"),
            (Show::Ion, -0.2, "0 ppm"),
            (Show::Flow, 3.2 / 60.0, "3.2 L/h"),
        ] {
            assert_eq!(show.with_unit(value), want, "{show:?} {value}");
        }
    }
}
