//! A line at the left margin whose first word opens no block.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-block", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A line at the left margin whose first word opens no block.",
    matters: "Its entries are kept but belong to nothing, so nothing in them is computed.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grits
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "One finding for the whole block.",
    sources: "The language itself; no outside source.",
};
