//! Markers that a version control tool leaves where two changes collide.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("merge-conflict", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "Markers that a version control tool leaves where two changes collide.",
    matters: "Both versions stand in the file at once, so every amount between the markers counts twice.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
<<<<<<< ours
  200 g     black malt
=======
  250 g     black malt
>>>>>>> theirs"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
  200 g     black malt"#,
    limits: "One finding a file; the file is not formatted until they are gone.",
    sources: "The language itself; no outside source.",
};
