//! Text to lossless blocks and entries with their places.
//!
//! Invariants:
//! - Lossless: the lines of a block, line ends included, are its text; the blocks of a file are its text.
//! - A block is parsed by itself: its tree depends on its text and the kind of the block above, on nothing else.
//! - An entry is a pure function of block kind and line; a line that cannot be read costs that line only.
//! - No names are looked up here and no meaning is given: no recipe, no library, no figures.
//! - No paths and no files: text in, tree out. Parsing never fails and never panics.

mod alike;
pub mod ast;
mod block;
mod check;
mod edit;
mod entry;
mod fault;
mod file;
mod form;
mod gap;
mod lexicon;
mod line;
mod line_index;
mod measure;
mod scan;
mod span;
mod split;
pub mod vocabulary;
mod words;

pub use edit::{Edit, Fix, apply};
pub use entry::FUNCTIONS;
pub use fault::{Fault, FaultFix};
pub use file::{parse, parse_block, reparse};
pub use form::{clause_form, entry_form, kinds_form, slot_form, slot_forms};
pub use gap::{Gap, Gaps, Wanted, gaps};
pub use lexicon::same_words;
pub use line_index::{Encoding, LineCol, LineIndex};
pub use measure::{accepts, bare_number_stands, kind_name, usual_units};
pub use span::{Span, Spanned};
