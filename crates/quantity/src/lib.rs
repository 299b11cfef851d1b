//! Numbers with units: dimensions, the unit table, parsing, conversion, display.
//!
//! Invariants:
//! - No brewing in it: no gravity model, no malt, no recipe.
//! - No text layout, no files, no findings: errors are plain values with the span they concern.
//! - Points and steps of temperature are different things, in types and at run time.
//! - Nothing here panics, whatever the text or the number.

pub mod typed;
