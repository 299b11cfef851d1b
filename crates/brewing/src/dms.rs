//! Dimethyl sulfide: how much of its precursor a boil leaves, and what a hot stand makes of the rest.

use quantity::typed::{Fraction, Temperature, Time};

use crate::source::{Basis, Source};
use crate::validity::Range;

/// Half-life of the precursor at a rolling boil.
pub const WILSON_BOOER: Source = Source::new(
    "Wilson and Booer 1979",
    "Wilson and Booer 1979, J. Inst. Brew.: S-methylmethionine halves in about 35 min at 100 °C (0.02/min). \
     At pH 5.2 about 38 min, at 5.5 about 32.5 (Dickenson 1979, second hand). Doubling each 6 °C cooler is \
     quoted second hand from Fix 1999.",
    Basis::Published,
);
/// Stripping of free dimethyl sulfide.
pub const STRIPPING: Source = Source::new(
    "stripping",
    "Free dimethyl sulfide leaves an open boil at about 0.18/min at 17 %/h evaporation; second hand.",
    Basis::FromMemory,
);

/// °C for which a half-life is quoted.
pub const HALF_LIFE_RANGE: Range = Range::new(82.0, 100.0, WILSON_BOOER);

/// Time in which half of the S-methylmethionine has gone, at pH 5.4: 35 min at 100 °C, twice as long each
/// 6 °C cooler. Quoted for [`HALF_LIFE_RANGE`]; finite and above 0 at any temperature.
/// Source: [`WILSON_BOOER`].
#[must_use]
pub fn half_life(at: Temperature) -> Time {
    // Clamped where a double would run out, thousands of degrees away.
    let doublings = ((100.0 - at.celsius()) / 6.0).clamp(-1000.0, 1000.0);
    Time::from_minutes(35.0 * f64::exp2(doublings))
}

/// Share of the S-methylmethionine left after a time at a temperature; all of it for no or negative time.
/// Range and source as [`half_life`].
#[must_use]
pub fn precursor_left(time: Time, at: Temperature) -> Fraction {
    let halvings = time.minutes().max(0.0) / half_life(at).minutes();
    Fraction::from_parts(f64::exp2(-halvings))
}

/// Share of the S-methylmethionine left after several stretches of time, each at its temperature.
/// Range and source as [`half_life`].
#[must_use]
pub fn precursor_left_after(stretches: impl IntoIterator<Item = (Time, Temperature)>) -> Fraction {
    Fraction::from_parts(stretches.into_iter().map(|(time, at)| precursor_left(time, at).parts()).product())
}

/// Share of the free dimethyl sulfide left after a time of open boil at 17 %/h evaporation. A closed or
/// resting kettle keeps it. Source: [`STRIPPING`].
#[must_use]
pub fn free_left(boil: Time) -> Fraction {
    Fraction::from_parts((-0.18 * boil.minutes().max(0.0)).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_multiply() {
        let boil = (Time::from_minutes(60.0), Temperature::from_celsius(100.0));
        let stand = (Time::from_minutes(30.0), Temperature::from_celsius(95.0));
        let both = precursor_left_after([boil, stand]).parts();
        let product = precursor_left(boil.0, boil.1).parts() * precursor_left(stand.0, stand.1).parts();
        assert!((both - product).abs() < 1e-15);
        assert_eq!(precursor_left_after([]).parts(), 1.0);
    }

    #[test]
    fn shares_stay_shares() {
        for t in [-1e9, -40.0, 20.0, 100.0, 1e9] {
            for minutes in [-5.0, 0.0, 60.0, 1e9] {
                let left = precursor_left(Time::from_minutes(minutes), Temperature::from_celsius(t)).parts();
                assert!((0.0..=1.0).contains(&left), "{t} °C {minutes} min: {left}");
            }
        }
        assert!((free_left(Time::from_minutes(10.0)).parts() - 0.165).abs() < 0.001);
    }
}
