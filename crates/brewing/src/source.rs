//! Where a formula or a number comes from, so that a figure can say so.
//!
//! Each module keeps the constants of its own formulas beside them; here are the type and the few
//! sources that several modules share.

use core::fmt;

/// How far a source can be relied upon.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Basis {
    /// Read in a named publication, or in a public text that quotes it.
    Published,
    /// The result of an independent, public numerical library.
    IndependentLibrary,
    /// Derived or computed for this project from published definitions.
    Computed,
    /// Published, and quoted from memory: not read again.
    FromMemory,
    /// Common practice, no source.
    CommonPractice,
}

impl Basis {
    /// The words that stand beside a figure.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::IndependentLibrary => "independent library",
            Self::Computed => "computed",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// The origin of one formula or number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// A few words, for a hint: `Tinseth 1997`.
    pub short: &'static str,
    /// A full sentence or citation, for an explanation.
    pub full: &'static str,
    /// How far it can be relied upon.
    pub basis: Basis,
}

impl Source {
    /// Short name, full citation and basis, in this order.
    #[must_use]
    pub const fn new(short: &'static str, full: &'static str, basis: Basis) -> Self {
        Self { short, full, basis }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.full, self.basis.words())
    }
}

/// Conservation of mass, of extract and of heat.
pub const BALANCE: Source = Source::new(
    "mass balance",
    "Conservation of mass: what goes in comes out, extract counted as volume x density x degrees Plato.",
    Basis::Computed,
);

/// A definition of the trade rather than a measurement.
pub const DEFINITION: Source =
    Source::new("definition", "By definition of the term, in the units stated.", Basis::Computed);

/// A rule of thumb without a source.
pub const COMMON_PRACTICE: Source =
    Source::new("common practice", "Common practice in brewing, no source.", Basis::CommonPractice);
