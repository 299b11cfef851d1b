//! The checks, one file a rule.
//!
//! Invariants:
//! - Pure: no files, no clock, no text layout. A check takes a recipe and its figures and gives hits.
//! - A rule carries no formula of brewing science: it compares figures, and its remedies come from the
//!   solvers of `brewing`.
//! - Detecting, wording and mending are apart: a hit holds numbers; words and edits are made when asked for.
//! - A missing fact silences a rule; it never makes a cascade of findings.
//! - A rule that panics is named in a finding of its own; the others go on.
//! - What can hurt somebody is never lowered by doubt and never silenced for a whole file; no text says
//!   that something is safe or legal.
//! - Ids, groups and levels are public interface; a new rule enters at hint or off.

mod allow;
mod check;
mod cx;
mod edition;
mod expected;
mod finding;
mod hit;
mod level;
mod limits;
mod look;
mod prelude;
mod registry;
mod rule;
mod rules;
mod say;
pub mod stamp;
mod style_range;

pub use allow::{allow, allowed_names};
pub use check::{
    Config, check_definition, check_file, check_log, check_recipe, check_repository, count, findings,
    of_problem, sort,
};
pub use cx::{DefinitionCx, FileCx, LogCx, RecipeCx, RepositoryCx};
pub use edition::Edition;
pub use expected::Wanted;
pub use finding::{Finding, Group, Related, Severity};
pub use hit::{At, Detail, Hit, Hits, Locate, Mend, Message, Texts};
pub use level::{Grade, Level, Levels, UnknownName, nearest};
pub use limits::{Bound, Limit, LimitError, Limits};
pub use registry::{RULES, find, reference_page};
pub use rule::{Check, Doc, Root, Rule, Stage};
pub use say::Say;
pub use style_range::{STYLE_FIGURES, StyleRange};
