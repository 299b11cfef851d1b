//! What an editor shows and asks of a file: one module for each feature.
//!
//! Invariants:
//! - No types of the protocol: the server converts.
//! - Positions are byte offsets into the text of a file, places are a [`recipe::FileId`] and a span.
//! - No paths and no input or output: everything comes from a [`workspace::Workspace`] and its
//!   [`workspace::Analysis`].
//! - Nothing is computed here that a figure or a rule does not compute; what is missing is not shown.
//! - No panics on any input, however broken.

mod completion;
mod explain;
mod facts;
#[cfg(test)]
mod fixture;
mod hints;
mod hover;
mod places;
mod readings;

pub use completion::{Completion, CompletionKind, completions};
pub use hints::{Hint, HintKind, hint_tooltip, hints};
pub use hover::{Hover, hover};
pub use places::{Target, definition_place};
