//! A line at the left margin that belongs to the block above it.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("missing-indent", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A line at the left margin that belongs to the block above it.",
    matters: "A line that starts at the margin opens a block; this one reads as an entry whose indent was lost.",
    example: r#"recipe "Harbour Mild"
batch     20 L"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L"#,
    limits: "The line is read as the entry it looks like, so nothing else is lost.",
    sources: "The language itself; no outside source.",
};
