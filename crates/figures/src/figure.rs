//! A computed value that explains itself.

use std::borrow::Cow;

use brewing::source::Source;
use recipe::{Origin, Place};

use crate::id::{FigureId, same_words};

/// A computed value with all that explains it.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Which.
    pub id: FigureId,
    /// In the unit of [`FigureId::show`].
    pub value: f64,
    /// The currency it is in, where it is money.
    pub currency: Option<&'static str>,
    /// One standard deviation below and above, where an uncertainty is known.
    pub bounds: Option<(f64, f64)>,
    /// The formula with the numbers put in, line by line.
    pub formula: Vec<String>,
    /// Where the formulas come from.
    pub sources: Vec<&'static Source>,
    /// What was not written, and what was taken instead.
    pub assumed: Vec<Assumed>,
    /// What limits it: outside a model's range, a known disagreement.
    pub cautions: Vec<String>,
    /// Where its inputs stand.
    pub inputs: Vec<Origin>,
}

impl Figure {
    /// The unit behind its number; a currency where it is money.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        self.currency.unwrap_or(self.id.show().unit())
    }
}

/// Something not written, and what was taken instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// What.
    pub what: Cow<'static, str>,
    /// The value taken, as shown.
    pub value: String,
    /// Where it comes from: `brewhouse shed-30`, `common practice`.
    pub from: Cow<'static, str>,
}

/// Why a figure cannot be computed.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// The reason, for the brewer: "no batch volume is written".
    pub reason: Cow<'static, str>,
    /// Whether the reason is a loop: the value depends on itself.
    pub cycle: bool,
    /// Where to look, when there is a place.
    pub place: Option<Place>,
}

impl Missing {
    /// A reason in fixed words.
    #[must_use]
    pub const fn because(reason: &'static str) -> Self {
        Self { reason: Cow::Borrowed(reason), cycle: false, place: None }
    }
    /// A reason made for the case.
    #[must_use]
    pub fn since(reason: String) -> Self {
        Self { reason: Cow::Owned(reason), cycle: false, place: None }
    }
    /// The same with a place.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }
}

/// A value, or why there is none.
pub type Outcome = Result<f64, Missing>;

/// Figures of single lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineFigure {
    /// Share of the grist's mass, %.
    Share,
    /// Extract it gives, kg.
    Extract,
    /// Bitterness it gives, IBU.
    Ibu,
    /// Its part of the colour units, %.
    Colour,
    /// Alpha acids, g.
    AlphaMass,
    /// An ion it adds to its vessel, ppm.
    Ion(Ion),
    /// Heating time of a step, min.
    RampTime,
    /// Volume of a step, L.
    StepVolume,
    /// Temperature of the water or part of a step, °C.
    StepTemperature,
    /// Temperature of a rest at its end, °C, where nothing heats it.
    RestEnd,
    /// Living cells, billion.
    Cells,
    /// Amount solved for, in the canonical unit.
    SolvedAmount,
    /// Reading minus plan, in the unit of the reading.
    Deviation,
    /// Priming sugar, g.
    PrimingSugar,
    /// Regulator setting of a keg, bar.
    KegPressure,
}

impl LineFigure {
    /// All of them.
    pub const ALL: &'static [Self] = &[
        Self::Share,
        Self::Extract,
        Self::Ibu,
        Self::Colour,
        Self::AlphaMass,
        Self::Ion(Ion::Calcium),
        Self::Ion(Ion::Magnesium),
        Self::Ion(Ion::Sodium),
        Self::Ion(Ion::Chloride),
        Self::Ion(Ion::Sulfate),
        Self::Ion(Ion::Bicarbonate),
        Self::RampTime,
        Self::StepVolume,
        Self::StepTemperature,
        Self::RestEnd,
        Self::Cells,
        Self::SolvedAmount,
        Self::Deviation,
        Self::PrimingSugar,
        Self::KegPressure,
    ];

    /// The figure as words in a file: `alpha mass`.
    #[must_use]
    pub fn words(self) -> String {
        self.id().replace('-', " ")
    }

    /// The figure these words name; separators and case fold.
    #[must_use]
    pub fn from_words(words: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|figure| same_words(figure.id(), words))
    }

    /// The id in JSON.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Share => "share",
            Self::Extract => "extract",
            Self::Ibu => "ibu",
            Self::Colour => "colour",
            Self::AlphaMass => "alpha-mass",
            Self::Ion(ion) => ion.id(),
            Self::RampTime => "ramp-time",
            Self::StepVolume => "step-volume",
            Self::StepTemperature => "step-temperature",
            Self::RestEnd => "rest-end-temperature",
            Self::Cells => "cells",
            Self::SolvedAmount => "solved-amount",
            Self::Deviation => "deviation",
            Self::PrimingSugar => "priming-sugar",
            Self::KegPressure => "keg-pressure",
        }
    }
}

/// Ions that figures name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ion {
    /// Calcium.
    Calcium,
    /// Magnesium.
    Magnesium,
    /// Sodium.
    Sodium,
    /// Chloride.
    Chloride,
    /// Sulfate.
    Sulfate,
    /// Bicarbonate.
    Bicarbonate,
}

impl Ion {
    /// The id in JSON.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Calcium => "calcium",
            Self::Magnesium => "magnesium",
            Self::Sodium => "sodium",
            Self::Chloride => "chloride",
            Self::Sulfate => "sulfate",
            Self::Bicarbonate => "bicarbonate",
        }
    }
}

/// A figure of one line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineValue {
    /// The line.
    pub place: Place,
    /// Which figure.
    pub figure: LineFigure,
    /// Its value.
    pub value: f64,
    /// How it is shown.
    pub show: crate::show::Show,
}
