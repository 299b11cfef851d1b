//! A unit that is not known.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-unit", Group::Units, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A unit that is not known.",
    matters: "An amount without a known unit cannot be computed with.",
    example: r#"recipe "Harbour Mild"
  batch     20 litrs
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "The nearest known unit is proposed. Units match without regard to case unless two differ by case alone.",
    sources: "The language itself; no outside source.",
};
