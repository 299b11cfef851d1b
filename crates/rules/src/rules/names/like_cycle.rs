//! Definitions that are `like` each other in a ring.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("like-cycle", Group::Names, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "Definitions that are `like` each other in a ring.",
    matters: "Each takes from the other what it does not say itself, so that neither has a value to begin with.",
    example: r#"malt "floor malt"
  like                barn malt
malt "barn malt"
  like                floor malt"#,
    instead: r#"malt "floor malt"
  like                pale ale malt
malt "barn malt"
  like                floor malt"#,
    limits: "Each definition in the ring is named.",
    sources: "The language itself; no outside source.",
};
