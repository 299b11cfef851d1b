//! A name that nothing in reach is called.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unknown-reference", Group::Names, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A name that nothing in reach is called.",
    matters: "Without its definition nothing is known of its extract, alpha or ions, so the figures that need it are missing.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale mult"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "Looked for in this file, the files it uses, the library of `gyle.toml` and the built-in library, in that order. The nearest name of the same kind is proposed.",
    sources: "The language itself; no outside source.",
};
