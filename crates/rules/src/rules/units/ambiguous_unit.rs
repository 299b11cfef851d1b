//! A customary measure (gal, qt, pt, fl oz, tbsp, tsp, bbl) where nothing says which gallon is meant.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("ambiguous-unit", Group::Units, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "A customary measure (gal, qt, pt, fl oz, tbsp, tsp, bbl) where nothing says which gallon is meant.",
    matters: "The imperial gallon is a fifth larger than the US one, and every figure of the recipe moves with it.",
    example: r#"recipe "Harbour Mild"
  batch     5 gal"#,
    instead: r#"recipe "Harbour Mild"
  customary us
  batch     5 gal"#,
    limits: "Say it once in the recipe (`customary us`) or in `gyle.toml`, or write the exact unit: `usgal`, `impgal`.",
    sources: "The language itself; no outside source.",
};
