//! A unit in the wrong case where case tells two units apart.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unit-case", Group::Units, Level::Warning, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A unit in the wrong case where case tells two units apart.",
    matters: "A milligram and a megagram differ by nine powers of ten and by one capital letter.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 Kg      mild ale malt
  200000 Mg black malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "Only for units with a twin: mL and ML, mg and Mg, kW and KW.",
    sources: "The language itself; no outside source.",
};
