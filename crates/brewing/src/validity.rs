//! Ranges in which a formula holds.
//!
//! A function of this crate always returns its value; whether the inputs were inside the range its source
//! stands for is asked here, so that nobody extrapolates in silence.

use crate::source::Source;

/// The inputs for which a formula was published or checked, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lowest input covered, in the unit the constant's documentation names.
    pub low: f64,
    /// Highest input covered.
    pub high: f64,
    /// Who states the range.
    pub source: Source,
}

/// An input outside a [`Range`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// The input.
    pub value: f64,
    /// The range it misses.
    pub range: Range,
}

impl Outside {
    /// The end of the range that was passed; the low end for a value that is no number.
    #[must_use]
    pub fn limit(&self) -> f64 {
        if self.value > self.range.high { self.range.high } else { self.range.low }
    }
}

impl Range {
    /// Low end, high end and source, in this order.
    #[must_use]
    pub const fn new(low: f64, high: f64, source: Source) -> Self {
        Self { low, high, source }
    }

    /// Nothing if `x` lies in the range; otherwise how it misses it. A value that is no number misses it.
    #[must_use]
    pub fn check(&self, x: f64) -> Option<Outside> {
        let inside = self.low <= x && x <= self.high;
        (!inside).then_some(Outside { value: x, range: *self })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::DEFINITION;

    #[test]
    fn ends_are_inside_and_no_number_is_not() {
        let range = Range::new(1.0, 2.0, DEFINITION);
        for inside in [1.0, 1.5, 2.0] {
            assert_eq!(range.check(inside), None);
        }
        let limit = |x| range.check(x).map(|o| o.limit());
        assert_eq!(limit(0.999), Some(1.0));
        assert_eq!(limit(2.001), Some(2.0));
        assert_eq!(limit(f64::INFINITY), Some(2.0));
        assert_eq!(limit(f64::NAN), Some(1.0));
    }
}
