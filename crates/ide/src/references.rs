//! Everywhere something is named.

use recipe::FileId;
use workspace::Workspace;

use crate::names::{Mention, Target, all_of, mention_at, mentions};
use crate::places::Location;

/// A place where a name stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    /// Where.
    pub place: Location,
    /// Whether it is given there.
    pub declares: bool,
}

/// Every place of all files where what is named at a byte is named, in the order of the files. Where it is
/// given is among them.
#[must_use]
pub fn references(workspace: &Workspace, file: FileId, offset: u32) -> Vec<Use> {
    let Some(wanted) = mention_at(workspace, file, offset) else { return Vec::new() };
    let mut uses: Vec<Use> =
        all_of(workspace, wanted.target).map(|(file, mention)| use_of(file, &mention)).collect();
    if let (Target::Definition(..), FileId::Catalogue(_)) = (wanted.target, wanted.home.file) {
        uses.push(Use { place: wanted.home, declares: true });
    }
    uses
}

fn use_of(file: FileId, mention: &Mention) -> Use {
    Use { place: Location { file, span: mention.span }, declares: mention.declares }
}

/// Every place of the file itself where what is named at a byte is named.
#[must_use]
pub fn highlights(workspace: &Workspace, file: FileId, offset: u32) -> Vec<Use> {
    let (Some(state), Some(wanted)) = (workspace.file(file), mention_at(workspace, file, offset)) else {
        return Vec::new();
    };
    let same = mentions(workspace, state).into_iter().filter(|mention| mention.target == wanted.target);
    same.map(|mention| use_of(file, &mention)).collect()
}

#[cfg(test)]
mod tests {
    use crate::fixture::{CELLAR, Fixture, OTHER, RECIPE};

    use super::*;

    /// Every line where something is named, with a star where it is given.
    fn named(fixture: &Fixture, uses: &[Use]) -> Vec<String> {
        let file = |file| fixture.workspace.file(file);
        let mut lines: Vec<String> = uses
            .iter()
            .filter_map(|one| {
                let state = file(one.place.file)?;
                let line = state.text.get(..one.place.span.start as usize)?.matches('\n').count();
                let star = if one.declares { "*" } else { "" };
                Some(format!(
                    "{}:{line}{star} {}",
                    state.path.to_string_lossy(),
                    one.place.span.of(&state.text)
                ))
            })
            .collect();
        lines.sort();
        lines
    }

    #[test]
    fn references_are_found_in_all_files() {
        let fixture = Fixture::with(RECIPE, &[CELLAR, OTHER]);
        let uses = references(&fixture.workspace, fixture.file, fixture.offset);
        assert_eq!(
            named(&fixture, &uses),
            [
                "/r/a.gyle:3 floor malt",
                "/r/a.gyle:4 Saltmarsh floor malt",
                "/r/b.gyle:5 floor malt",
                "/r/b.gyle:5 saltmarsh floor malt",
                "/r/b.gyle:7 Saltmarsh floor malt",
                "/r/cellar/m.gyle:1* Saltmarsh floor malt",
                "/r/cellar/m.gyle:2* floor malt",
            ]
        );
        let here = highlights(&fixture.workspace, fixture.file, fixture.offset);
        assert_eq!(named(&fixture, &here), ["/r/a.gyle:3 floor malt", "/r/a.gyle:4 Saltmarsh floor malt"]);
    }
}
