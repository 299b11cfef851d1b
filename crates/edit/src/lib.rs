//! Builds edits over text, tree and recipe: the formatter and whatever else changes a file.
//!
//! Invariants:
//! - Edits are data: nothing here writes a file or speaks a protocol.
//! - The formatter keeps meaning, comments, spelling of numbers and line ends; a line that could not be read
//!   stays as it is; no line moves because another changed.
//! - Formatting twice changes nothing.

mod format;

pub use format::format;
