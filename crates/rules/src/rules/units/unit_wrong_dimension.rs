//! A unit that measures something else than what stands here.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unit-wrong-dimension", Group::Units, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A unit that measures something else than what stands here.",
    matters: "A volume cannot be computed from a mass or a time; the wrong unit usually means a swapped value.",
    example: r#"recipe "Harbour Mild"
  batch     20 kg
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "A temperature in K is a step, never a point.",
    sources: "The language itself; no outside source.",
};
