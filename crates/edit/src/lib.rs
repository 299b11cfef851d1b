//! Builds edits over text, tree and recipe: the formatter and whatever else changes a file.
//!
//! Invariants:
//! - Edits are data: nothing here writes a file or speaks a protocol.
//! - The formatter keeps meaning, comments, spelling of numbers and line ends; a line that could not be read
//!   stays as it is; no line moves because another changed.
//! - Formatting twice changes nothing, nor does stamping twice.

mod format;
mod stamp;

pub use format::format;
pub use stamp::{Stamping, Stamps, stamp_log, stamp_recipe};
