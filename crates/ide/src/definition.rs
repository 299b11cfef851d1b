//! Where a name is given.

use recipe::FileId;
use syntax::Span;
use workspace::Workspace;

use crate::names::mention_at;
use crate::places::Location;

/// Where the name at a byte is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Origin {
    /// The name as it stands at the place asked for.
    pub name: Span,
    /// Where it is given.
    pub home: Location,
}

/// Where the name at a byte of a file is given; of the built-in library too.
#[must_use]
pub fn definition(workspace: &Workspace, file: FileId, offset: u32) -> Option<Origin> {
    let mention = mention_at(workspace, file, offset)?;
    Some(Origin { name: mention.span, home: mention.home })
}

#[cfg(test)]
mod tests {
    use crate::fixture::{CELLAR, Fixture, OTHER};

    use super::*;

    /// The file and words that a place leads to.
    fn led(fixture: &Fixture) -> Option<String> {
        let origin = definition(&fixture.workspace, fixture.file, fixture.offset)?;
        let text = match origin.home.file {
            FileId::Workspace(_) => fixture.workspace.file(origin.home.file)?.text.to_string(),
            FileId::Catalogue(at) => catalogue::files().get(usize::from(at))?.1.to_owned(),
        };
        let line = text.get(..origin.home.span.start as usize)?.matches('\n').count();
        let place = match origin.home.file {
            FileId::Workspace(_) => {
                fixture.workspace.file(origin.home.file)?.path.to_string_lossy().into_owned()
            }
            FileId::Catalogue(_) => "built in".to_owned(),
        };
        let line = if place == "built in" { String::new() } else { format!(":{line}") };
        Some(format!("{} {place}{line}", origin.home.span.of(&text)))
    }

    #[test]
    fn a_name_leads_to_where_it_is_given() {
        for (text, wanted) in [
            (
                "# é\nrecipe \"Ä\"\ngrist\n  4 kg saltmarsh fl$0oor malt",
                Some("Saltmarsh floor malt /r/cellar/m.gyle:1"),
            ),
            (
                "# é\nrecipe \"Ä\"\ngrist\n  4 kg floor malt$0",
                Some("Saltmarsh floor malt /r/cellar/m.gyle:1"),
            ),
            ("# é\nrecipe \"Ä\"\n  brewhouse she$0d-30", Some("shed-30 /r/cellar/m.gyle:5")),
            ("# é\nrecipe \"Ä\"\nboil 60 min\n  20 g fugg$0le at 5 min", Some("Fuggle built in")),
            ("# é\nrecipe \"Ä\"\n  style 13$0C", Some("13C built in")),
            (
                "# é\nrecipe \"Ä\"\npackage\n  keg 2 vol at 8 C with 4 g/L dex$0trose",
                Some("dextrose monohydrate built in"),
            ),
            ("# é\nrecipe \"Ä\"\n  from \"Oth$0er\"", Some("Other /r/b.gyle:2")),
            ("# é\nlet ä = 20 L\nrecipe \"Ä\"\n  batch ($0ä)", Some("ä /r/a.gyle:1")),
            ("# é\nlet ä = 20 L\nrecipe \"Ä\"\n  let ä = 30 L\n  batch (2 * $0ä)", Some("ä /r/a.gyle:3")),
            ("# é\nuse \"b.g$0yle\"", Some(" /r/b.gyle:0")),
            ("# é\ntasting of 2$07 on 2026-04-11", Some("27 /r/b.gyle:6")),
            ("# é\nrecipe \"Ä\"\ngrist\n  4 $0kg floor malt", None),
            ("# é\nrecipe \"Ä\"\ngrist\n  4 kg floor mal$0 x", None),
        ] {
            let fixture = Fixture::with(text, &[CELLAR, OTHER]);
            assert_eq!(led(&fixture).as_deref(), wanted, "{text}");
        }
    }
}
