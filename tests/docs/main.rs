//! The pages beside the command: each is made from the tables of the code, or its examples are run.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

mod editors;
mod language;
mod reference;
mod schema;
