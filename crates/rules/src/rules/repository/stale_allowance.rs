//! An allowance that silences nothing.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("stale-allowance", Group::Repository, Level::Hint, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "An allowance that silences nothing.",
    matters: "Left behind, it would hide the next real finding of its rule on that line.",
    example: r#"recipe "Harbour Mild"
  batch     20 L  # allow style-og: strong on purpose
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "Not reported while lines of the file cannot be read, nor for a rule that is off.",
    sources: "The language itself; no outside source.",
};
