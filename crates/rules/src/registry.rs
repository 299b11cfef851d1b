//! Every rule, by name.

use crate::rule::Rule;

pub use crate::rules::RULES;

/// The rule with this id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}

/// The rule of a fault whose own rule is not known.
pub(crate) static FALLBACK: &Rule = &crate::rules::syntax::malformed_line::RULE;
/// The rule of a check that could not be carried out.
pub(crate) static CHECK_FAILED: &Rule = &crate::rules::repository::check_failed::RULE;
