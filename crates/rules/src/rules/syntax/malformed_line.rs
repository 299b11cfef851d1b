//! A line that cannot be read as any of the forms its block knows.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("malformed-line", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A line that cannot be read as any of the forms its block knows.",
    matters: "A line that is not read is not computed with: the beer comes out without it. The rest of the file is read all the same.",
    example: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt at"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "Only this line is lost; whatever depends on it keeps quiet until it is mended.",
    sources: "The language itself; no outside source.",
};
