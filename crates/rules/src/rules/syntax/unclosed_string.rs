//! Quotes that are opened and not closed on the same line.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unclosed-string", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "Quotes that are opened and not closed on the same line.",
    matters: "Where the name ends has to be guessed, and what follows it on the line may be taken for a part of the name.",
    example: r#"recipe "Harbour Mild
  batch     20 L"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L"#,
    limits: "A name without closing quotes ends before ` [` or at the end of the line.",
    sources: "The language itself; no outside source.",
};
