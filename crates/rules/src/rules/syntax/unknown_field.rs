//! A field that this kind of definition does not have.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-field", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A field that this kind of definition does not have.",
    matters: "What it says would be lost without a word; mostly it is a slip of the pen or another word for a field there is.",
    example: "hop Saltings
  alfa                5 %",
    instead: "hop Saltings
  alpha               5 %",
    limits: "The fields of each kind are listed in the language guide.",
    sources: "The language itself; no outside source.",
};
