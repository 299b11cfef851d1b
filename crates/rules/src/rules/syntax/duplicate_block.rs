//! A second block of a kind that a recipe has only once.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("duplicate-block", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A second block of a kind that a recipe has only once.",
    matters: "Whether the second one replaces the first or adds to it is not said; it is left out of the computation.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
grist
  200 g     black malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
  200 g     black malt"#,
    limits: "`stand`, `notes`, `steep`, `cook`, `split` and `tasting` may repeat, and each `split` counts apart.",
    sources: "The language itself; no outside source.",
};
