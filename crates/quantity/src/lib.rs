//! Numbers with units: dimensions, the unit table, scanning, conversion, display.
//!
//! Invariants:
//! - No brewing in it: no gravity model, no malt, no recipe. Scales whose conversion is a definition
//!   (colour, extract potential, diastatic power, hardness, pressure) are here; SG to °P is not.
//! - No text layout, no files, no findings: errors are plain values, for the caller to put in words.
//! - Points and steps of temperature are different things, in types and at run time.
//! - A quantity keeps the unit it was written in; nothing is converted before somebody asks.
//! - A unit that means two things (gal, wk) has no factor until somebody says which.
//! - Scanning allocates nothing and reads each byte a bounded number of times.
//! - Nothing here panics, whatever the text or the number.

pub mod algebra;
pub mod dimension;
pub mod display;
pub mod quantity;
pub mod scale;
pub mod scan;
pub mod typed;
pub mod unit;

pub use algebra::{AlgebraError, Kind, Value};
pub use dimension::{Dim, Dimension};
pub use display::{Places, ShownUnits, format_places, format_plain, format_value, places, show};
pub use quantity::{ConvertError, Quantity, SumError};
pub use scan::{
    Number, NumberFault, NumberKind, UnitError, UnitMatch, scan_decimal, scan_number, scan_unit, suggest_unit,
};
pub use unit::{Customary, System, UnitId, UnitSpec, currencies, units};
