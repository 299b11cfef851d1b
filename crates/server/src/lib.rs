//! The language server: protocol in, answers of the core out.
//!
//! Invariants:
//! - Nothing is computed here: positions, texts and findings are converted, the core answers.
//! - One thread owns the documents and takes messages in the order they came; everybody else reads an
//!   immutable snapshot and never waits for a computation to end.
//! - A handler changes nothing after its first `.await`, and never waits for the client.
//! - Diagnostics are pushed or pulled, never both for one client, and only the document thread pushes them,
//!   with the version they belong to.
//! - Every request is answered: malformed ones, unknown ones, and those whose computation panics.
//! - No network.

mod actions;
mod built_in;
mod capabilities;
mod check;
mod colours;
mod commands;
mod completion;
mod convert;
mod documents;
mod halves;
mod handlers;
mod hints;
mod hover;
mod lenses;
mod navigation;
mod settings;
mod signature;
mod snapshot;
mod tokens;
mod transport;
mod unsaved;

pub use transport::{run, serve};
