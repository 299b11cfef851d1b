//! A `use` of a file that is not there.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("import-missing", Group::Names, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A `use` of a file that is not there.",
    matters: "Everything it should bring is unknown, and so are the figures that need it.",
    example: r#"use "cellar.gyle"
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    instead: r#"//- recipe.gyle
use "cellar.gyle"
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt
//- cellar.gyle
hop Saltings
  alpha               5 %"#,
    limits: "Paths are relative to the file that says `use`, and stay inside the repository.",
    sources: "The language itself; no outside source.",
};
