//! Recipe and settings to figures, with their explanations; one function, used by everything that computes.
//!
//! Invariants:
//! - Pure: no files, no clock, no text layout; the same recipe and settings give the same figures.
//! - No formula of brewing science here: those are in `brewing`; here is which value goes into which.
//! - No NaN and no infinity leaves this crate: what cannot be computed is absent with its reason.
//! - What is not written is assumed openly: every default taken is listed in the figure's explanation.

mod calc;
mod derivation;
mod dose;
mod explain;
mod figure;
mod id;
mod log;
mod remedies;
mod resize;
mod settings;
mod show;
mod substitute;
mod why;

pub use calc::{
    Blame, Calc, ExprError, GristPart, HopLine, INPUT_SPREADS, Ingredient, Input, PackageLine, StepFigure,
    VesselWater, WaterPart, price_of, water_of,
};
pub use derivation::DERIVATION;
pub use dose::{SaltDoses, acid_to_ph, expected, hop_to_ibu, salts_to_profile};
pub use explain::explain;
pub use figure::{Assumed, Figure, Ion, LineFigure, LineValue, Missing, Outcome};
pub use id::{FigureId, Scope};
pub use log::{Actual, ActualGravity, real_extract, same_thing};
pub use remedies::{MashCorrection, Remedy};
pub use resize::{Resized, grows, resize};
pub use settings::{AlcoholModel, BitternessGravity, BitternessModel, ColourModel, Settings, ShownUnits};
pub use show::Show;
pub use substitute::{Masses, substitute};
