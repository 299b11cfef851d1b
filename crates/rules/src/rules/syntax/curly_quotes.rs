//! Curly quotes, as word processors and web pages set them.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("curly-quotes", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "Curly quotes, as word processors and web pages set them.",
    matters: "Only straight quotes mark a name, so that a file reads the same wherever it was typed.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      “mild ale malt”"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "Not inside prose and comments.",
    sources: "The language itself; no outside source.",
};
