//! A date that does not exist, or dates that contradict one another.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("date-impossible", Group::Log, Level::Error, Check::Written, DOC).root();

const DOC: Doc = Doc {
    catches: "A date that does not exist, or dates that contradict one another.",
    matters: "Ages, fermentation times and the order of a log are computed from dates.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
gyle 1 "Harbour Mild" on 2026-02-30
  10:00   boil start"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
gyle 1 "Harbour Mild" on 2026-02-28
  10:00   boil start"#,
    limits: "The calendar; leap years are respected.",
    sources: "The language itself; no outside source.",
};
