//! Names resolved: the typed recipe, library and log.
//!
//! Invariants:
//! - What was written, nothing computed: no gravity, no volume of another step, no default is filled in here.
//!   Only an expression without any figure in it is worked out where a fixed value is wanted.
//! - No paths and no files: blocks in, values out. A file is a [`FileId`], its order of look-up a [`Scope`].
//! - Every value knows the place it was written at; every name the definition it resolves to.
//! - Nothing is guessed: a unit with two meanings, a name nobody knows and a time that runs backwards are
//!   problems with a way out, and the value is left out.
//! - A definition of the built-in library is parsed once a process, when it is first named.
//! - Building never fails and never panics, whatever the text.

pub mod build;
mod dates;
mod expr;
mod facts;
mod fingerprint;
mod kinds;
pub mod library;
mod log;
pub mod model;
mod pairs;
pub mod units;
mod words;

pub use build::{Settings, TECHNIQUES, build_recipe};
pub use dates::{days_between, later};
pub use expr::{EvalError, Names, each_name, evaluate};
pub use fingerprint::fingerprint;
pub use kinds::named_kinds;
pub use library::{Alias, DefPlace, Definition, FileId, Found, KnownName, Scope, Shelf, parsed_built_ins};
pub use log::build_log;
pub use model::*;
pub use pairs::LetterPairs;
pub use units::{LogUnit, RecipeUnit, Units, UseUnit};
pub use words::values_at_odds;
