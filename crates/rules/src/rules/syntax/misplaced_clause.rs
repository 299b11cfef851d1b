//! A clause that its line does not know.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("misplaced-clause", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A clause that its line does not know.",
    matters: "What it says would be lost without a word.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
boil 60 min
  30 g      Fuggle [alpha 5 %] until 1.010"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
boil 60 min
  30 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Each entry has its own clauses; completion offers them.",
    sources: "The language itself; no outside source.",
};
