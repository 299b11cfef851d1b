//! A comma between two digits.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("decimal-comma", Group::Units, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A comma between two digits.",
    matters: "It may stand for a decimal point or part thousands, and the two readings differ a thousandfold.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3,2 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3.2 kg      mild ale malt"#,
    limits: "With exactly three digits behind the comma both readings are proposed and neither is applied unasked.",
    sources: "The language itself; no outside source.",
};
