//! Markers that a version control tool leaves where two changes collide.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("merge-conflict", Group::Syntax, Level::Error, Check::File(check), DOC);

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

struct Conflict;

/// Whether a line is a marker of a merge.
fn is_marker(line: &str) -> bool {
    ["<<<<<<<", ">>>>>>>"].iter().any(|marker| {
        line.strip_prefix(marker).is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t', '\r']))
    })
}

fn check(cx: &FileCx, hits: &mut Hits) {
    for placed in &cx.file.blocks {
        for line in &placed.block.lines {
            if is_marker(line.span.of(&placed.block.text)) {
                hits.push(Grade::ERROR, At::File(cx.id, line.span.shift(placed.start)), Conflict);
                return;
            }
        }
    }
}

impl Detail for Conflict {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            "two versions of this file collide here",
            "both stand in it, so that amounts count twice; nothing else is checked until that is settled",
            "keep one version, or what belongs of both, and take the marker lines out",
        )
    }
}
