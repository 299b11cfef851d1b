//! Builds edits over text, tree and recipe: the formatter and whatever else changes a file.
//!
//! Invariants:
//! - Edits are data: nothing here writes a file or speaks a protocol.
//! - The formatter keeps meaning, comments, spelling of numbers and line ends; a line that could not be read
//!   stays as it is; no line moves because another changed.
//! - Formatting twice changes nothing, nor does stamping twice.
//! - A change of a recipe touches the lines it must and nothing else of them; a line that was formatted
//!   stays so.
//! - No brewing is computed here: amounts come from `figures`, here they are rounded and written.

mod brew_day;
mod convert;
mod dose;
mod format;
mod line;
mod resize;
mod shares;
mod solved;
mod stamp;
mod substitute;
mod weigh;

pub use brew_day::{Start, log_skeleton};
pub use convert::{convert, convert_file, systems};
pub use dose::{acid_to_ph, bittering_hop, has_mash_acid, hop_to_ibu, mash_acid, salts_to_profile};
pub use format::format;
pub use line::Placed;
pub use resize::{resize, volume};
pub use shares::{in_masses, in_percent, to_masses, to_percentages};
pub use solved::{is_solved, write_answer, write_solved};
pub use stamp::{Stamping, Stamps, stamp_log, stamp_recipe};
pub use substitute::{replaceable, substitute};
pub use weigh::{mass, mass_in, number, weighable};
