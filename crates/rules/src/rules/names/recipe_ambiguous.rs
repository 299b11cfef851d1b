//! A log or a parti-gyle that names a recipe of which the repository has two.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("recipe-ambiguous", Group::Names, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A log or a parti-gyle that names a recipe of which the repository has two.",
    matters: "Plan and log can only be compared when it is certain which plan is meant.",
    example: r#"//- harbour-mild.gyle
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- old-harbour-mild.gyle
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- log.gyle
gyle 1 "Harbour Mild" on 2026-03-14
  10:00   boil start"#,
    instead: r#"//- harbour-mild.gyle
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- old-harbour-mild.gyle
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- log.gyle
gyle 1 "Harbour Mild" of "harbour-mild.gyle" on 2026-03-14
  10:00   boil start"#,
    limits: "A recipe in the same file, or in a file it uses, is nearer and wins.",
    sources: "The language itself; no outside source.",
};
