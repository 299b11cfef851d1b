//! Every rule, by name.

use crate::finding::Group;
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

/// The reference page of all rules in Markdown, by group.
#[must_use]
pub fn reference_page() -> String {
    let mut out = String::from(
        "# Checks\n\nWhat `gyle check` looks for, by group. Levels are set by rule or by group under `[check.rules]` in \
         `gyle.toml`, limits under `[check.limits]`; one finding is silenced by `# allow RULE: reason` on its line or \
         above it. This page is written by the checks themselves.\n",
    );
    for group in Group::ALL {
        let rules: Vec<&Rule> = RULES.iter().copied().filter(|rule| rule.group == *group).collect();
        if rules.is_empty() {
            continue;
        }
        out.push_str(&format!("\n## {}\n", group.word()));
        for rule in rules {
            out.push('\n');
            out.push_str(&rule.markdown(3));
        }
    }
    out
}
