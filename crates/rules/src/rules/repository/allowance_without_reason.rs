//! An allowance without a reason.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("allowance-without-reason", Group::Repository, Level::Warning, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "An allowance without a reason.",
    matters: "Months later nobody can tell whether it still holds. It silences nothing until a reason is given.",
    example: r#"recipe "Harbour Mild"
  batch     20 L  # allow suspicious-magnitude
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "The reason stands behind a colon.",
    sources: "The language itself; no outside source.",
};
