//! What can be wrong with the writing of a line, found without looking beyond its block.

use crate::span::Span;

/// Something wrong with the writing. Ranges are relative to the block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The rule it belongs to, a kebab-case id of the `syntax` or `units` group.
    pub rule: &'static str,
    /// The place.
    pub span: Span,
    /// What is wrong, in the brewer's words.
    pub message: String,
    /// What to do about it.
    pub help: String,
    /// Ways to mend it, the likeliest first.
    pub fixes: Vec<FaultFix>,
}

/// A way to mend a fault; ranges relative to the block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultFix {
    /// What it does, in the imperative.
    pub title: String,
    /// Safe to apply without a look.
    pub safe: bool,
    /// Range and replacement.
    pub edits: Vec<(Span, String)>,
}
