//! Changes an editor offers at a place: cheap to offer, computed when one is chosen.
//!
//! One module an action. To offer, an action looks at what is written only; to change, it may compute. What
//! it changes goes through [`edit`]; here is which of it fits the place.

mod acid;
mod bitterness;
mod cellar;
mod convert;
mod log;
mod resize;
mod salts;
mod shares;
mod solved;
mod stamp;
mod substitute;

pub use resize::resized;

use std::path::PathBuf;

use figures::Calc;
use recipe::{FileId, Place};
use syntax::{Edit, Span};
use workspace::{AnalysedRecipe, Analysis, FileState, Workspace};

/// Which menu of an editor an action belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ActionKind {
    /// Writes the same thing in another way, or another thing in its place.
    Rewrite,
    /// Moves something to where it can be used more often.
    Extract,
    /// Makes a file.
    Create,
    /// Is about the whole file.
    Source,
}

impl ActionKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Rewrite, Self::Extract, Self::Create, Self::Source];
}

/// A change that is offered.
#[derive(Clone, Debug, PartialEq)]
pub struct Action {
    /// Which.
    pub id: &'static str,
    /// What of several the same action offers here; empty where it is one.
    pub choice: String,
    /// What it does, for the menu.
    pub title: String,
    /// Which menu.
    pub kind: ActionKind,
}

/// What an action changes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// Edits by file, in ascending order.
    pub edits: Vec<(FileId, Vec<Edit>)>,
    /// Files made.
    pub created: Vec<NewFile>,
}

/// A file that an action makes.
#[derive(Clone, Debug, PartialEq)]
pub struct NewFile {
    /// Where.
    pub path: PathBuf,
    /// What stands in it.
    pub text: String,
}

/// What actions look at.
pub(crate) struct Cx<'a> {
    pub(crate) workspace: &'a Workspace,
    pub(crate) analysis: &'a Analysis,
    pub(crate) state: &'a FileState,
    pub(crate) span: Span,
    /// Date and time, `2026-03-14 10:05`, where somebody has a clock.
    pub(crate) now: Option<&'a str>,
}

impl<'a> Cx<'a> {
    fn new(
        workspace: &'a Workspace,
        analysis: &'a Analysis,
        span: Span,
        now: Option<&'a str>,
    ) -> Option<Self> {
        let state = workspace.file(analysis.file)?;
        Some(Self { workspace, analysis, state, span, now })
    }

    /// The recipe the place is in.
    pub(crate) fn recipe(&self) -> Option<&'a AnalysedRecipe> {
        let at = self.span.start;
        let holds = |one: &&AnalysedRecipe| {
            one.recipe.blocks.iter().zip(&one.starts).any(|(block, start)| {
                let end = start + u32::try_from(block.text.len()).unwrap_or(u32::MAX);
                *start <= at && (at < end || at == end && usize::try_from(end) == Ok(self.state.text.len()))
            })
        };
        self.analysis.recipes.iter().find(holds)
    }

    /// The recipe with its entry at the place.
    pub(crate) fn entry(&self) -> Option<(edit::Placed<'a>, Place)> {
        let placed = placed(self.recipe()?);
        Some((placed, placed.place_at(self.span.start)?))
    }

    pub(crate) fn calc(&self, placed: edit::Placed<'a>) -> Calc<'a> {
        Calc::new(placed.recipe, &self.state.config.figures)
    }

    /// Edits of this file; nothing where there are none.
    pub(crate) fn change(&self, mut edits: Vec<Edit>) -> Option<Change> {
        edits.sort_by_key(|edit| edit.span.start);
        (!edits.is_empty()).then(|| Change { edits: vec![(self.state.id, edits)], ..Change::default() })
    }
}

pub(crate) fn placed(one: &AnalysedRecipe) -> edit::Placed<'_> {
    edit::Placed { recipe: &one.recipe, starts: &one.starts }
}

/// One kind of action.
struct Offered {
    id: &'static str,
    kind: ActionKind,
    /// Adds a choice and its title for each way it can be done here.
    offer: fn(&Cx<'_>, &mut dyn FnMut(String, String)),
    change: fn(&Cx<'_>, &str) -> Option<Change>,
}

/// Every kind, in the order of the menu.
const ACTIONS: &[Offered] = &[
    solved::ACTION,
    shares::ACTION,
    acid::ACTION,
    salts::ACTION,
    bitterness::ACTION,
    substitute::ACTION,
    resize::ACTION,
    log::ACTION,
    cellar::ACTION,
    convert::LINE,
    convert::FILE,
    stamp::ACTION,
];

/// The changes that are offered for some bytes of a file, of the kinds wanted.
#[must_use]
pub fn actions(
    workspace: &Workspace,
    analysis: &Analysis,
    span: Span,
    wanted: impl Fn(ActionKind) -> bool,
) -> Vec<Action> {
    let mut found = Vec::new();
    let Some(cx) = Cx::new(workspace, analysis, span, None) else { return found };
    for one in ACTIONS.iter().filter(|one| wanted(one.kind)) {
        (one.offer)(&cx, &mut |choice, title| {
            found.push(Action { id: one.id, choice, title, kind: one.kind });
        });
    }
    found
}

/// What an action changes, `now` being the date and the time; nothing where it does not fit the place, or nothing can be computed.
#[must_use]
pub fn action_change(
    workspace: &Workspace,
    analysis: &Analysis,
    span: Span,
    id: &str,
    choice: &str,
    now: Option<&str>,
) -> Option<Change> {
    let cx = Cx::new(workspace, analysis, span, now)?;
    let one = ACTIONS.iter().find(|one| one.id == id)?;
    (one.change)(&cx, choice)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::fixture::Fixture;

    /// Everything offered where the cursor stands, as `id choice: title`.
    pub(crate) fn offered(fixture: &Fixture) -> Vec<String> {
        let analysis = fixture.analysis();
        let at = Span::at(fixture.offset);
        let show = |one: Action| format!("{} {}: {}", one.id, one.choice, one.title);
        actions(&fixture.workspace, &analysis, at, |_| true).into_iter().map(show).collect()
    }

    /// The text after a change.
    pub(crate) fn after(fixture: &Fixture, id: &str, choice: &str) -> Option<String> {
        let analysis = fixture.analysis();
        let change =
            action_change(&fixture.workspace, &analysis, Span::at(fixture.offset), id, choice, None)?;
        let (_, edits) = change.edits.iter().find(|(file, _)| *file == fixture.file)?;
        Some(syntax::apply(&fixture.text(), edits))
    }

    /// The lines that a change writes anew, each as `old -> new`.
    #[track_caller]
    pub(crate) fn check(text: &str, id: &str, choice: &str, want: &[&str]) {
        let fixture = Fixture::new(text);
        let offers = offered(&fixture);
        let prefix = format!("{id} {choice}: ");
        assert!(offers.iter().any(|one| one.starts_with(&prefix)), "{prefix} is not offered: {offers:#?}");
        let new = after(&fixture, id, choice).unwrap_or_default();
        let old = fixture.text();
        let changed: Vec<&str> = new.lines().filter(|line| !old.lines().any(|one| one == *line)).collect();
        assert_eq!(changed, want, "{new}");
        let tree = syntax::parse(&new);
        let formatted = edit::format(&tree);
        let format_before = edit::format(&syntax::parse(&old));
        assert!(format_before.is_empty(), "the fixture is not formatted: {format_before:?}");
        assert!(formatted.is_empty(), "not formatted any more: {formatted:?}\n{new}");
    }
}
