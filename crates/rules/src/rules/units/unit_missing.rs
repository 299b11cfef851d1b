//! A number without a unit where one is needed.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unit-missing", Group::Units, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A number without a unit where one is needed.",
    matters: "Five of what? Nothing is guessed from the size of a number.",
    example: r#"recipe "Harbour Mild"
  batch     20
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "Bare numbers are allowed for specific gravity, pH, IBU, years, ids, days, scores, factors and in expressions.",
    sources: "The language itself; no outside source.",
};
