//! A check that could not be carried out, because of a mistake in gyle itself.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("check-failed", Group::Repository, Level::Warning, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A check that could not be carried out, because of a mistake in gyle itself.",
    matters: "What it would have found is not known; the other checks were made.",
    example: "",
    instead: "",
    limits: "There is no text that brings this about on purpose.",
    sources: "The language itself; no outside source.",
};
