//! A stamp (`#= …`) that no longer agrees with the figure it shows.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("stale-stamp", Group::Repository, Level::Warning, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A stamp (`#= …`) that no longer agrees with the figure it shows.",
    matters: "A printout or a web page shows the stamp, not the figure.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt  #= 90 %"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "A stamp agrees when the figure, rounded to the digits the stamp shows, is the same number.",
    sources: "The language itself; no outside source.",
};
