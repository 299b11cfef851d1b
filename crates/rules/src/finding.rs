//! What a rule finds, in a form every output shares.

use recipe::FileId;
use syntax::{Fix, Span};

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// Worth a look.
    Hint,
    /// Probably a mistake.
    Warning,
    /// A contradiction, an impossibility, or a direct hazard.
    Error,
}

impl Severity {
    /// `error`, `warning`, `hint`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Hint => "hint",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

macro_rules! groups {
    ($($variant:ident = $word:literal, $doc:literal;)*) => {
        /// The groups rules are switched by.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Group { $(#[doc = $doc] $variant),* }
        impl Group {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// As written in the configuration and the output.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }
        }
    };
}

groups! {
    Syntax = "syntax", "How a line is written.";
    Units = "units", "Numbers and their units.";
    Names = "names", "What a name stands for.";
    Grist = "grist", "What is fermentable.";
    Liquor = "liquor", "Water, salts, acids.";
    Mash = "mash", "Rests and how they are reached.";
    Boil = "boil", "Boil and hops.";
    Yeast = "yeast", "Yeast and pitching.";
    Ferment = "ferment", "Fermentation.";
    Package = "package", "Packaging and carbonation.";
    Style = "style", "The style aimed at.";
    Expect = "expect", "The brewer's own tests.";
    Log = "log", "Plan against log.";
    Safety = "safety", "What can hurt somebody.";
    Repository = "repository", "Files and how they hang together.";
}

/// A finding at its place in a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Id of the rule.
    pub rule: &'static str,
    /// Group of the rule.
    pub group: Group,
    /// How bad.
    pub severity: Severity,
    /// What the numbers are and why it matters.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Which file.
    pub file: FileId,
    /// Which bytes of the file.
    pub span: Span,
    /// Other places that have to do with it.
    pub related: Vec<Related>,
    /// Ways to mend it; edits in bytes of the file.
    pub fixes: Vec<Fix>,
    /// The recipe (or gyle) it belongs to, for the fingerprint.
    pub recipe: Option<Box<str>>,
}

/// A place that has to do with a finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Related {
    /// Which file.
    pub file: FileId,
    /// Which bytes of it.
    pub span: Span,
    /// What it has to do with it.
    pub message: String,
}
