//! A range whose first number is larger than its second.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("range-inverted", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A range whose first number is larger than its second.",
    matters: "Nothing lies between them, so one of the two is wrong or they are the wrong way round.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
ferment
  hold      20..18 C for 7 d"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
ferment
  hold      18..20 C for 7 d"#,
    limits: "Equal numbers are allowed: the range is then one value.",
    sources: "The language itself; no outside source.",
};
