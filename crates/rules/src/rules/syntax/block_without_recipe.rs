//! A block of a recipe (`grist`, `boil`, `pitch` and so on) with no recipe above it.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("block-without-recipe", Group::Syntax, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A block of a recipe (`grist`, `boil`, `pitch` and so on) with no recipe above it.",
    matters: "It belongs to no beer, so nothing in it is computed.",
    example: "grist
  3 kg      mild ale malt",
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "After a log (`gyle`) only `notes` and `tasting` go on with it; a new `recipe` line opens a recipe again.",
    sources: "The language itself; no outside source.",
};
