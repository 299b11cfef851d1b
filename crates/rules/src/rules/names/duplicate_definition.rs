//! Two definitions of one kind and one name in one file.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("duplicate-definition", Group::Names, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "Two definitions of one kind and one name in one file.",
    matters: "Which one a recipe means depends on nothing a reader can see.",
    example: "hop Saltings
  alpha               5 %
hop saltings
  alpha               7 %",
    instead: r#"hop "Saltings 2025"
  alpha               5 %
hop "Saltings 2026"
  alpha               7 %"#,
    limits: "Shadowing a definition of another file is allowed: the nearer one wins.",
    sources: "The language itself; no outside source.",
};
