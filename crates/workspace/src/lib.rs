//! Files by id, unsaved texts, `use` and `library`, the configuration in force, what depends on what.
//!
//! Invariants:
//! - The only crate that sees paths. Reading goes through a [`Source`]; everything above gets ids and texts.
//! - A [`Workspace`] is a snapshot: a change makes a new one that shares all that did not change, so readers
//!   never wait and never see half a change.
//! - One [`Workspace::analyse`] for the command line and the editor.
//! - Nothing outside the repository root is walked, and nothing outside it is opened unless it is asked for or
//!   named in `gyle.toml`. Size and number of files are bounded, and what was left out is said. No network.

mod analyse;
mod config;
mod files;
mod in_force;
mod kept;
mod repository;
mod settings;
mod source;
mod tree;
mod written;

pub use analyse::{AnalysedLog, AnalysedRecipe, Analysis};
pub use config::{Config, ConfigError, Library, Root};
pub use files::{FileState, Loaded, Workspace};
pub use repository::{Use, User};
pub use settings::{Setting, SettingValue, settings};
pub use source::{BoundedDisk, Disk, LARGEST, MOST, Memory, Skipped, Source, Walk, normal};
pub use tree::Tree;
