//! Files that use each other in a ring.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("import-cycle", Group::Names, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "Files that use each other in a ring.",
    matters: "Which of two definitions is nearer has no answer in a ring.",
    example: r#"//- recipe.gyle
use "cellar.gyle"
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- cellar.gyle
use "recipe.gyle""#,
    instead: r#"//- recipe.gyle
use "cellar.gyle"
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- cellar.gyle
hop Saltings
  alpha               5 %"#,
    limits: "One finding a ring, at the `use` that closes it.",
    sources: "The language itself; no outside source.",
};
