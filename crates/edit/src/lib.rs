//! Builds and applies edits: the formatter and what changes text.
