//! A tag that is nearly the name of a technique the checks respect.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-tag", Group::Names, Level::Warning, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A tag that is nearly the name of a technique the checks respect.",
    matters: "A misspelt technique tag changes nothing, and the checks go on to question what was meant.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
  tag       nosparge"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
  tag       no-sparge"#,
    limits: "Other tags are free words.",
    sources: "The language itself; no outside source.",
};
