//! What an editor shows and asks of a file: one module for each feature.
//!
//! Invariants:
//! - No types of the protocol: the server converts.
//! - Positions are byte offsets into the text of a file, places are a [`recipe::FileId`] and a span.
//! - No input or output, and paths only where files move: everything comes from a
//!   [`workspace::Workspace`] and its [`workspace::Analysis`].
//! - Nothing is computed here that a figure or a rule does not compute; what is missing is not shown.
//! - No panics on any input, however broken.

mod actions;
mod colours;
mod completion;
mod definition;
mod explain;
mod facts;
#[cfg(test)]
mod fixture;
mod folding;
mod hints;
mod hover;
mod lenses;
mod links;
mod moved_files;
mod names;
mod places;
mod readings;
mod references;
mod rename;
mod signature;
mod symbols;
mod tokens;

pub use actions::{Action, ActionKind, Change, NewFile, action_change, actions, resized};
pub use colours::{Swatch, swatches};
pub use completion::{Completion, CompletionKind, completions};
pub use definition::{Origin, definition};
pub use folding::{Fold, FoldKind, folding, selection};
pub use hints::{Hint, HintKind, hint_tooltip, hints};
pub use hover::{Hover, hover};
pub use lenses::{Lens, LensKind, Remark, Uses, lenses, remark};
pub use links::{Link, LinkTo, links};
pub use moved_files::moved_files;
pub use names::Renaming;
pub use places::{Location, definition_place};
pub use references::{Use, highlights, references};
pub use rename::{prepare_rename, rename};
pub use signature::{Signature, signature};
pub use symbols::{Found, Symbol, SymbolKind, document_symbols, workspace_symbols};
pub use tokens::{Token, TokenClass, tokens};
