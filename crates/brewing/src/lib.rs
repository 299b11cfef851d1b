//! Pure functions of brewing science, each with its source and validity range.
//!
//! Invariants:
//! - Typed quantities in, typed quantities out; no text, no files, no recipe.
//! - Every public function names its units, its source and the range it holds for. Outside that range it
//!   still gives its value, and the `_RANGE` constant beside it says that it is outside.
//! - Finite, sensible inputs give finite results; where no answer exists the result is `None`.
//! - Volumes are at 20 °C and gravities are SG 20/20 unless a function says otherwise.
//! - Nothing here panics, whatever the numbers.

pub mod acid;
pub mod alcohol;
pub mod atmosphere;
pub mod attenuation;
pub mod bitterness;
pub mod carbonate;
pub mod carbonation;
pub mod colour;
pub mod correct;
pub mod dms;
pub mod gravity;
pub mod grist;
pub mod mash;
pub mod measure;
pub mod package;
pub mod ph;
pub mod salts;
pub mod source;
mod table;
pub mod validity;
pub mod volumes;
pub mod water;
pub mod yeast;
