//! An allowance that names a check that does not exist.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-rule", Group::Repository, Level::Warning, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "An allowance that names a check that does not exist.",
    matters: "It silences nothing, though it looks as if it did.",
    example: r#"recipe "Harbour Mild"
  batch     20 L  # allow style-og-high: strong on purpose
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "The nearest name is proposed.",
    sources: "The language itself; no outside source.",
};
