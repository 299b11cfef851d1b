//! A line of a log whose time is earlier than the line above it.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("log-out-of-order", Group::Log, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A line of a log whose time is earlier than the line above it.",
    matters: "A brew day past midnight needs its date, or every span computed across it is wrong by a day.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
gyle 1 "Harbour Mild" on 2026-03-14
  23:40   boil start
  00:40   flameout"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
gyle 1 "Harbour Mild" on 2026-03-14
  23:40   boil start
  2026-03-15 00:40  flameout"#,
    limits: "Equal times are allowed.",
    sources: "The language itself; no outside source.",
};
