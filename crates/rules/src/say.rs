//! Numbers in messages: rounded as a brewer would say them, in the units that are shown.

use figures::ShownUnits;
use quantity::{Quantity, UnitId};

/// Says numbers in the units of the house.
#[derive(Clone, Copy, Debug, Default)]
pub struct Say {
    /// Units of what is shown.
    pub units: ShownUnits,
}

impl Say {
    const fn metric(self) -> bool {
        matches!(self.units, ShownUnits::Metric)
    }

    /// A temperature, from °C.
    #[must_use]
    pub fn temperature(self, celsius: f64) -> String {
        if self.metric() {
            return format!("{} C", trimmed(celsius, 1));
        }
        format!("{} F", trimmed(to(celsius, UnitId::C, UnitId::F), 0))
    }

    /// From one temperature to another, from °C.
    #[must_use]
    pub fn temperatures(self, low: f64, high: f64) -> String {
        join(&self.temperature(low), &self.temperature(high))
    }

    /// From one step of temperature to another, from K.
    #[must_use]
    pub fn steps(self, low: f64, high: f64) -> String {
        join(&self.step(low), &self.step(high))
    }

    /// A volume and the temperature it was read at, as a log has it.
    #[must_use]
    pub fn read_at(self, litres: f64, celsius: f64) -> String {
        format!("`{} [{}]`", self.volume(litres), self.temperature(celsius))
    }

    /// A step of temperature, from K.
    #[must_use]
    pub fn step(self, kelvin: f64) -> String {
        if self.metric() {
            return format!("{} C", trimmed(kelvin, 1));
        }
        // A step of one kelvin is 1.8 Fahrenheit degrees by definition.
        format!("{} F", trimmed(kelvin * 1.8, 1))
    }

    /// A volume of water, wort or beer, from L.
    #[must_use]
    pub fn volume(self, litres: f64) -> String {
        let digits = if litres.abs() < 10.0 { 2 } else { 1 };
        match self.units {
            ShownUnits::Metric => format!("{} L", trimmed(litres, if litres.abs() < 1.0 { 2 } else { 1 })),
            ShownUnits::Us => format!("{} gal", trimmed(to(litres, UnitId::L, UnitId::US_GAL), digits)),
            ShownUnits::Imperial => {
                format!("{} gal", trimmed(to(litres, UnitId::L, UnitId::IMP_GAL), digits))
            }
        }
    }

    /// A mass of malt or sugar, from kg.
    #[must_use]
    pub fn mass(self, kg: f64) -> String {
        if !self.metric() {
            let pounds = to(kg, UnitId::KG, UnitId::LB);
            return if pounds.abs() < 1.0 {
                format!("{} oz", trimmed(pounds * 16.0, 1))
            } else {
                format!("{} lb", trimmed(pounds, 2))
            };
        }
        if kg.abs() < 1.0 {
            return format!("{} g", significant(kg * 1000.0, 3));
        }
        format!("{} kg", trimmed(kg, 2))
    }

    /// A small mass of hops, salt or sugar, from kg.
    #[must_use]
    pub fn small_mass(self, kg: f64) -> String {
        if kg.abs() < 1e-4 && kg != 0.0 {
            return format!("{} mg", significant(kg * 1e6, 2));
        }
        if !self.metric() && kg.abs() >= 0.005 {
            return format!("{} oz", trimmed(to(kg, UnitId::KG, UnitId::OZ), 2));
        }
        // As finely as it can be weighed.
        let digits = if kg.abs() < 0.01 { 2 } else { 3 };
        format!("{} g", significant(kg * 1000.0, digits))
    }

    /// A small volume of acid, from L; always in mL, which is what a pipette shows.
    #[must_use]
    pub fn millilitres(self, litres: f64) -> String {
        format!("{} mL", significant(litres * 1000.0, 2))
    }

    /// Specific gravity.
    #[must_use]
    pub fn gravity(self, sg: f64) -> String {
        format!("{sg:.3}")
    }

    /// A length of time, from minutes, in the unit a brewer would use.
    #[must_use]
    pub fn time(self, minutes: f64) -> String {
        let size = minutes.abs();
        if size >= 2.0 * 1440.0 - 0.5 {
            format!("{} d", trimmed(minutes / 1440.0, 1))
        } else if size > 180.0 {
            format!("{} h", trimmed(minutes / 60.0, 1))
        } else {
            format!("{} min", trimmed(minutes, usize::from(size < 2.0)))
        }
    }

    /// Whole days, with their word.
    #[must_use]
    pub fn days(self, days: f64) -> String {
        if days.round() == 1.0 { "1 day".to_owned() } else { format!("{days:.0} days") }
    }

    /// A share in parts of one, as a percentage.
    #[must_use]
    pub fn share(self, parts: f64) -> String {
        self.percent(parts * 100.0)
    }

    /// A percentage.
    #[must_use]
    pub fn percent(self, percent: f64) -> String {
        format!("{} %", trimmed(percent, usize::from(percent.abs() < 20.0)))
    }

    /// Bitterness.
    #[must_use]
    pub fn ibu(self, ibu: f64) -> String {
        format!("{} IBU", trimmed(ibu, usize::from(ibu.abs() < 9.95)))
    }

    /// A pH.
    #[must_use]
    pub fn ph(self, ph: f64) -> String {
        format!("{ph:.2}")
    }

    /// A concentration, from mg/L.
    #[must_use]
    pub fn ppm(self, ppm: f64) -> String {
        format!("{} ppm", trimmed(ppm, usize::from(ppm.abs() < 2.0)))
    }

    /// Carbonation in volumes.
    #[must_use]
    pub fn volumes(self, volumes: f64) -> String {
        format!("{} vol", trimmed(volumes, 1))
    }

    /// A gauge pressure, from bar.
    #[must_use]
    pub fn pressure(self, bar: f64) -> String {
        if self.metric() {
            return format!("{} bar", trimmed(bar, 2));
        }
        format!("{} psi", trimmed(to(bar, UnitId::BAR, UnitId::PSI), 0))
    }

    /// Cells, from billions.
    #[must_use]
    pub fn cells(self, billion: f64) -> String {
        format!("{} billion cells", significant(billion, 3))
    }

    /// A number of things, with its word in the singular or the plural.
    #[must_use]
    pub fn count(self, number: usize, one: &str, many: &str) -> String {
        if number == 1 { format!("1 {one}") } else { format!("{number} {many}") }
    }
}

/// Two ends with their unit behind the second.
fn join(low: &str, high: &str) -> String {
    format!("{} to {high}", low.split(' ').next().unwrap_or(low))
}

fn to(value: f64, from: UnitId, to: UnitId) -> f64 {
    Quantity::new(value, from).convert(to).map_or(value, |quantity| quantity.value)
}

/// So many digits behind the point at the most, without trailing zeros, and never `-0`.
#[must_use]
pub(crate) fn trimmed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.into() }
}

/// So many significant digits, without trailing zeros behind the point.
#[must_use]
pub(crate) fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".into();
    }
    #[allow(clippy::cast_possible_truncation)] // the decimal exponent of a finite number fits
    let exponent = value.abs().log10().floor() as i32;
    trimmed(value, usize::try_from(digits - 1 - exponent).unwrap_or(0))
}

/// An amount after a slip of a factor: the other unit where a thousandth or a thousandfold was meant and
/// there is such a unit, else the other number.
#[must_use]
pub(crate) fn with_unit_slip(number: f64, unit: &str, factor: f64, written: f64) -> String {
    let smaller = [("kg", "g"), ("g", "mg"), ("L", "mL")];
    let swapped = if factor < 0.002 {
        smaller.iter().find(|(large, _)| *large == unit).map(|(_, small)| *small)
    } else if factor > 900.0 {
        smaller.iter().find(|(_, small)| *small == unit).map(|(large, _)| *large)
    } else {
        None
    };
    match swapped {
        Some(other) => format!("{} {other}", significant(written, 6)),
        None => format!("{} {unit}", significant(number, 6)),
    }
}

/// Names joined as in a sentence: `a`, `a and b`, `a, b and c`.
#[must_use]
pub(crate) fn listed<T: AsRef<str>>(names: &[T]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", first.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_a_brewer_says_them() {
        let say = Say::default();
        let us = Say { units: ShownUnits::Us };
        for (said, want) in [
            (say.temperature(66.0), "66 C"),
            (say.temperature(66.84), "66.8 C"),
            (us.temperature(66.0), "151 F"),
            (us.step(2.0), "3.6 F"),
            (say.temperatures(64.0, 66.0), "64 to 66 C"),
            (us.temperatures(64.0, 66.0), "147 to 151 F"),
            (us.steps(2.0, 3.0), "3.6 to 5.4 F"),
            (say.read_at(27.0, 98.0), "`27 L [98 C]`"),
            (say.volume(17.25), "17.2 L"),
            (say.volume(0.75), "0.75 L"),
            (us.volume(20.0), "5.3 gal"),
            (say.mass(0.45), "450 g"),
            (say.mass(4.25), "4.25 kg"),
            (us.mass(0.2), "7.1 oz"),
            (say.small_mass(0.000_456), "0.46 g"),
            (say.small_mass(0.003_19), "3.2 g"),
            (say.small_mass(0.036_8), "36.8 g"),
            (say.millilitres(0.0021), "2.1 mL"),
            (say.gravity(1.05), "1.050"),
            (say.time(60.0), "60 min"),
            (say.time(240.0), "4 h"),
            (say.time(2880.0), "2 d"),
            (say.time(0.5), "0.5 min"),
            (say.percent(-0.01), "0 %"),
            (say.ibu(9.96), "10 IBU"),
            (say.ibu(3.04), "3 IBU"),
            (us.pressure(1.0), "15 psi"),
        ] {
            assert_eq!(said, want);
        }
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
        assert_eq!(listed::<&str>(&[]), "");
    }
}
