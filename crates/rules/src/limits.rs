//! Limits: named, with unit and source, and settable by the house.

use quantity::{Quantity, UnitId, scan_decimal, scan_unit};

use crate::level::{UnknownName, nearest};
use crate::registry::RULES;

/// A limit of a rule, set under `[check.limits]` by its name.
#[derive(Debug)]
pub struct Limit {
    /// Its name, kebab-case.
    pub name: &'static str,
    /// What is allowed.
    pub bound: Bound,
    /// The unit the bound is in, as the formatter writes it; empty for a bare number.
    pub unit: &'static str,
    /// What it limits, a few words.
    pub what: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// What a limit allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// No more than this.
    AtMost(f64),
    /// No less than this.
    AtLeast(f64),
    /// From this to that.
    Within(f64, f64),
}

impl Limit {
    /// No more than `most`.
    #[must_use]
    pub const fn at_most(
        name: &'static str,
        most: f64,
        unit: &'static str,
        what: &'static str,
        source: &'static str,
    ) -> Self {
        Self { name, bound: Bound::AtMost(most), unit, what, source }
    }
    /// No less than `least`.
    #[must_use]
    pub const fn at_least(
        name: &'static str,
        least: f64,
        unit: &'static str,
        what: &'static str,
        source: &'static str,
    ) -> Self {
        Self { name, bound: Bound::AtLeast(least), unit, what, source }
    }
    /// From `low` to `high`.
    #[must_use]
    pub const fn within(
        name: &'static str,
        low: f64,
        high: f64,
        unit: &'static str,
        what: &'static str,
        source: &'static str,
    ) -> Self {
        Self { name, bound: Bound::Within(low, high), unit, what, source }
    }

    /// The default as the reference page shows it.
    #[must_use]
    pub fn shown(&self) -> String {
        let words = match self.bound {
            Bound::AtMost(_) => "at most ",
            Bound::AtLeast(_) => "at least ",
            Bound::Within(..) => "",
        };
        format!("{words}{}", self.written(self.bound))
    }

    /// A bound as the configuration takes it.
    fn written(&self, bound: Bound) -> String {
        let unit = self.unit;
        let gap = if unit.is_empty() { "" } else { " " };
        match bound {
            Bound::AtMost(value) | Bound::AtLeast(value) => format!("{value}{gap}{unit}"),
            Bound::Within(low, high) => format!("{low}..{high}{gap}{unit}"),
        }
    }

    /// Reads a bound of the same form: one number, or `low..high`, with this unit, one that converts
    /// to it, or none.
    fn read(&self, text: &str) -> Option<Bound> {
        let (low, high) = match text.split_once("..") {
            Some((low, high)) => (Some(low), high),
            None => (None, text),
        };
        let (high, unit) = self.number(high, None)?;
        match (self.bound, low) {
            (Bound::AtMost(_), None) => Some(Bound::AtMost(high)),
            (Bound::AtLeast(_), None) => Some(Bound::AtLeast(high)),
            (Bound::Within(..), Some(low)) => {
                let (low, _) = self.number(low, unit)?;
                (low <= high).then_some(Bound::Within(low, high))
            }
            _ => None,
        }
    }

    /// A number in this limit's unit, with the unit it was written in.
    fn number(&self, text: &str, unit: Option<UnitId>) -> Option<(f64, Option<UnitId>)> {
        let text = text.trim();
        let (number, len) = scan_decimal(text)?;
        if number.fault.is_some() {
            return None;
        }
        let rest = text.get(len..)?.trim_start();
        // Also a unit that no recipe is written in.
        if rest == self.unit {
            return number.value.is_finite().then_some((number.value, whole_unit(rest)));
        }
        let written = if rest.is_empty() { unit } else { Some(whole_unit(rest)?) };
        let value = match (written, whole_unit(self.unit)) {
            (None, _) => number.value,
            (Some(written), Some(wanted)) => Quantity::new(number.value, written).convert(wanted).ok()?.value,
            (Some(_), None) => return None,
        };
        value.is_finite().then_some((value, written))
    }
}

/// The unit that is all of a text.
fn whole_unit(text: &str) -> Option<UnitId> {
    let matched = scan_unit(text)?;
    if matched.len == text.len() { matched.unit.ok() } else { None }
}

/// The limits in force: the defaults, but for those the house has set.
#[derive(Clone, Debug, Default)]
pub struct Limits {
    set: Vec<(&'static str, Bound)>,
}

/// Why a limit could not be set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LimitError {
    /// No limit has this name.
    Unknown(UnknownName),
    /// The value cannot be read; here is a value that can.
    Unreadable {
        /// The default, in the form wanted.
        example: String,
    },
}

impl Limits {
    /// Sets a limit by its name from text such as `5.2..5.6` or `82 C`.
    ///
    /// # Errors
    /// When there is no such limit, or the text is not of the form of its default.
    pub fn set(&mut self, name: &str, text: &str) -> Result<(), LimitError> {
        let Some(limit) = all().find(|limit| limit.name == name) else {
            return Err(LimitError::Unknown(UnknownName {
                nearest: nearest(name, all().map(|limit| limit.name)),
            }));
        };
        let bound =
            limit.read(text).ok_or_else(|| LimitError::Unreadable { example: limit.written(limit.bound) })?;
        self.set.retain(|(other, _)| *other != limit.name);
        self.set.push((limit.name, bound));
        Ok(())
    }

    fn bound(&self, limit: &Limit) -> Bound {
        self.set.iter().find(|(name, _)| *name == limit.name).map_or(limit.bound, |(_, bound)| *bound)
    }

    /// The limit in force, as the configuration takes it.
    #[must_use]
    pub fn written(&self, limit: &Limit) -> String {
        limit.written(self.bound(limit))
    }

    /// The number of a one-sided limit; of a band its upper end.
    #[must_use]
    pub fn of(&self, limit: &Limit) -> f64 {
        match self.bound(limit) {
            Bound::AtMost(value) | Bound::AtLeast(value) | Bound::Within(_, value) => value,
        }
    }

    /// Both ends of a band; a one-sided limit is open at its other end.
    #[must_use]
    pub fn band(&self, limit: &Limit) -> (f64, f64) {
        match self.bound(limit) {
            Bound::AtMost(high) => (f64::NEG_INFINITY, high),
            Bound::AtLeast(low) => (low, f64::INFINITY),
            Bound::Within(low, high) => (low, high),
        }
    }
}

/// Every limit of every rule; one that several rules share comes as often.
pub(crate) fn all() -> impl Iterator<Item = &'static Limit> {
    RULES.iter().flat_map(|rule| rule.limits.iter().copied())
}
