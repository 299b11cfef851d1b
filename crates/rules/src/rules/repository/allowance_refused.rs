//! An allowance for a whole file of a rule that guards against what can hurt somebody.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("allowance-refused", Group::Repository, Level::Error, Check::Written, DOC);

const DOC: Doc = Doc {
    catches: "An allowance for a whole file of a rule that guards against what can hurt somebody.",
    matters: "A hazard is dealt with where it arises; silenced for a file, the next one would pass unseen.",
    example: r#"# allow in file container-over-limit: all our bottles are heavy
recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    instead: r#"recipe "Harbour Mild"
  batch     20 L
grist
  3 kg      mild ale malt"#,
    limits: "On a single line, with a reason, the same rule may be allowed.",
    sources: "The language itself; no outside source.",
};
