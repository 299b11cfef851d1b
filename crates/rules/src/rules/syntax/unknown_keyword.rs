//! A first word that the block does not know.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-keyword", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A first word that the block does not know.",
    matters: "The line would say something that nothing listens to; mostly it is a slip of the pen.",
    example: r#"recipe "Harbour Mild"
  bach      20 L"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L"#,
    limits: "In blocks with items a line may begin with a name, so only words near a keyword are taken for a slip.",
    sources: "The language itself; no outside source.",
};
