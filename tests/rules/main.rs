//! The checks, run through the whole of the workspace as an editor or a terminal runs them.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

mod bench;
mod docs;
mod edges;
mod examples;
mod facts;
mod fixes;
mod fixtures;
mod limits;
mod styles;
