//! What a beer of a colour looks like: from its spectrum to tristimulus values, Lab and sRGB.

use quantity::typed::{Length, Srm};

use super::cie::{self, Row};
use crate::source::{Basis, Source};
use crate::validity::Range;

/// Spectrum of an average beer.
pub const AVERAGE_SPECTRUM: Source = Source::new(
    "deLange 2016",
    "deLange in Bamforth (ed.), Brewing Materials and Processes, 2016: mean absorption spectrum of 99 beers, \
     A/A430 = 0.02465 e^-((nm - 430)/17.591) + 0.97535 e^-((nm - 430)/82.122).",
    Basis::Published,
);
/// From a spectrum to the numbers of a colour.
pub const TRISTIMULUS: Source = Source::new(
    "CIE, ASTM E308",
    "Weighted sums over the CIE standard illuminant and observer, 380 to 780 nm by 5 nm (ASTM E308); \
     CIE 1976 L*a*b*; sRGB by IEC 61966-2-1. No measured Lab value of a beer was found to check against.",
    Basis::Computed,
);

/// SRM times cm of beers whose swatch stays within what a screen shows; darker ones are cut to its colours.
pub const SCREEN_RANGE: Range = Range::new(0.0, 25.0, TRISTIMULUS);

/// Light and eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Viewing {
    /// Illuminant D65, 2° observer: what sRGB is defined for.
    Screen,
    /// Illuminant C, 10° observer: what a laboratory reports of beer.
    Laboratory,
}

impl Viewing {
    const fn table(self) -> &'static [Row; cie::ROWS] {
        match self {
            Self::Screen => &cie::D65_2,
            Self::Laboratory => &cie::C_10,
        }
    }
}

/// CIE tristimulus values; Y is 100 for clear water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, the luminance.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// CIE 1976 L*a*b*.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub lightness: f64,
    /// Green to red.
    pub a: f64,
    /// Blue to yellow.
    pub b: f64,
}

/// A colour of a screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Srgb {
    /// Red, green and blue.
    pub channels: [u8; 3],
    /// The colour is beyond what sRGB can show and was cut to it.
    pub cut: bool,
}

/// Absorbance at a wavelength (nm) over that at 430 nm, in the visible range. Source: [`AVERAGE_SPECTRUM`].
#[must_use]
pub fn relative_absorbance(nm: f64) -> f64 {
    let from_430 = nm - 430.0;
    0.024_65 * (-from_430 / 17.591).exp() + 0.975_35 * (-from_430 / 82.122).exp()
}

/// Share of light of a wavelength (nm) that passes a depth of beer; a negative colour or depth passes all.
/// Only colour times depth matters. Source: [`AVERAGE_SPECTRUM`].
#[must_use]
pub fn transmittance(colour: Srm, depth: Length, nm: f64) -> f64 {
    let at_430 = colour.srm() / 12.7 * depth.metres() * 100.0;
    10_f64.powf(-at_430.max(0.0) * relative_absorbance(nm))
}

/// Tristimulus values of light that has passed a depth of beer. Source: [`TRISTIMULUS`].
#[must_use]
pub fn tristimulus(colour: Srm, depth: Length, viewing: Viewing) -> Xyz {
    sum(viewing, |nm| transmittance(colour, depth, nm))
}

/// Tristimulus values of a light and eye with nothing between.
fn white(viewing: Viewing) -> Xyz {
    sum(viewing, |_| 1.0)
}

fn sum(viewing: Viewing, passed: impl Fn(f64) -> f64) -> Xyz {
    let (mut x, mut y, mut z, mut all) = (0.0, 0.0, 0.0, 0.0);
    let mut nm = f64::from(cie::FIRST);
    for [power, x_bar, y_bar, z_bar] in viewing.table() {
        let light = power * passed(nm);
        x += light * x_bar;
        y += light * y_bar;
        z += light * z_bar;
        all += power * y_bar;
        nm += f64::from(cie::STEP);
    }
    let k = 100.0 / all;
    Xyz { x: k * x, y: k * y, z: k * z }
}

/// L*a*b* of a depth of beer. Source: [`TRISTIMULUS`].
#[must_use]
pub fn lab(colour: Srm, depth: Length, viewing: Viewing) -> Lab {
    let (beer, white) = (tristimulus(colour, depth, viewing), white(viewing));
    let f = |t: f64| {
        const D: f64 = 6.0 / 29.0;
        if t > D * D * D { t.cbrt() } else { t / (3.0 * D * D) + 4.0 / 29.0 }
    };
    let (x, y, z) = (f(beer.x / white.x), f(beer.y / white.y), f(beer.z / white.z));
    Lab { lightness: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
}

/// The colour a screen shows for a depth of beer before a white page. Beyond [`SCREEN_RANGE`] (colour times
/// depth in cm) it is cut to what a screen can show. Source: [`TRISTIMULUS`].
#[must_use]
pub fn srgb(colour: Srm, depth: Length) -> Srgb {
    const FROM_XYZ: [[f64; 3]; 3] =
        [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]];
    let Xyz { x, y, z } = tristimulus(colour, depth, Viewing::Screen);
    let linear = FROM_XYZ.map(|[a, b, c]| (a * x + b * y + c * z) / 100.0);
    // The rounded matrix takes white itself a hair beyond 1.
    let cut = linear.iter().any(|c| !(-1e-3..=1.001).contains(c));
    let channels = linear.map(|c| {
        let c = c.clamp(0.0, 1.0);
        let encoded = if c <= 0.003_130_8 { 12.92 * c } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 };
        (encoded * 255.0).round() as u8
    });
    Srgb { channels, cut }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cm(x: f64) -> Length {
        Length::from_metres(x / 100.0)
    }

    #[test]
    fn the_spectrum_keeps_the_validity_test_of_the_method() {
        assert!((relative_absorbance(430.0) - 1.0).abs() < 1e-12);
        // ASBC Beer-10A: A700 / A430 below 0.039 or the beer is turbid.
        assert!(relative_absorbance(700.0) < 0.039);
    }

    #[test]
    fn colour_depends_on_colour_times_depth_alone() {
        for viewing in [Viewing::Screen, Viewing::Laboratory] {
            let a = lab(Srm::from_srm(2.0), cm(5.0), viewing);
            let b = lab(Srm::from_srm(10.0), cm(1.0), viewing);
            assert!((a.lightness - b.lightness).abs() < 1e-9 && (a.b - b.b).abs() < 1e-9);
        }
    }

    #[test]
    fn water_is_white_and_stout_is_no_nonsense() {
        let water = srgb(Srm::from_srm(0.0), cm(5.0));
        assert_eq!(water, Srgb { channels: [255, 255, 255], cut: false });
        for srm in [1e3, 1e9, f64::MAX, f64::NAN, -5.0] {
            let l = lab(Srm::from_srm(srm), cm(5.0), Viewing::Laboratory);
            assert!(l.lightness.is_finite() && l.a.is_finite() && l.b.is_finite(), "{srm}: {l:?}");
        }
        assert_eq!(srgb(Srm::from_srm(1e9), cm(5.0)).channels, [0, 0, 0]);
    }

    #[test]
    fn the_screen_range_is_where_cutting_begins() {
        let cut = |srm: f64| srgb(Srm::from_srm(srm), cm(1.0)).cut;
        assert!(!cut(SCREEN_RANGE.high));
        assert!(cut(SCREEN_RANGE.high + 1.0), "{:?}", srgb(Srm::from_srm(SCREEN_RANGE.high + 1.0), cm(1.0)));
    }
}
