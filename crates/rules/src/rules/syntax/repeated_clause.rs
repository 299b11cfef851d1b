//! The same clause twice on one line.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("repeated-clause", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "The same clause twice on one line.",
    matters: "Of two times or two temperatures only one can be meant, and which one is not said.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
boil 60 min
  30 g      Fuggle [alpha 5 %] at 60 min at 10 min"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
boil 60 min
  15 g      Fuggle [alpha 5 %] at 60 min
  15 g      Fuggle [alpha 5 %] at 10 min"#,
    limits: "A hop added at two times is two lines.",
    sources: "The language itself; no outside source.",
};
