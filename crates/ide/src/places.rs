//! Places in files of what recipes and definitions call a place.

use std::sync::Arc;

use recipe::{DefPlace, Definition, FileId, Place};
use syntax::Span;
use syntax::ast::Block;
use workspace::{FileState, Workspace};

/// A place in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Location {
    /// The file.
    pub file: FileId,
    /// Its bytes.
    pub span: Span,
}

/// Where the name of a definition stands.
#[must_use]
pub fn definition_place(workspace: &Workspace, definition: &Definition) -> Option<Location> {
    let place = definition.place;
    let start = match place.file {
        FileId::Catalogue(_) => place.anchor,
        FileId::Workspace(_) => workspace.file(place.file)?.tree.blocks.get(place.anchor as usize)?.start,
    };
    Some(Location { file: place.file, span: definition.name_span.shift(start) })
}

/// How near a definition stands to a file, and how that is said.
pub(crate) fn origin(workspace: &Workspace, state: &FileState, place: DefPlace) -> (u8, String) {
    match place.file {
        FileId::Workspace(_) if place.file == state.id => (0, "this file".to_owned()),
        FileId::Workspace(_) => {
            let path =
                workspace.file(place.file).map(|file| Workspace::shown_path(&file.path, &state.config.root));
            (1, path.unwrap_or_default())
        }
        FileId::Catalogue(_) => (2, "built in".to_owned()),
    }
}

/// The end of the line a place begins on, comment included, in bytes of the file.
pub(crate) fn line_end(blocks: &[Arc<Block>], starts: &[u32], place: Place) -> Option<u32> {
    let at = usize::from(place.block);
    let block = blocks.get(at)?;
    let line = block.lines.partition_point(|line| line.end <= place.span.start);
    // The last line of a file without a line end ends where the text ends.
    let line = block.lines.get(line).or(block.lines.last())?;
    Some(starts.get(at)? + line.span.end)
}

/// From the first to the last byte of some blocks of a file.
pub(crate) fn extent(blocks: &[Arc<Block>], starts: &[u32]) -> Span {
    let length = |block: &Arc<Block>| u32::try_from(block.text.len()).unwrap_or(u32::MAX);
    let start = starts.iter().min().copied().unwrap_or(0);
    let end = blocks.iter().zip(starts).map(|(block, start)| start.saturating_add(length(block))).max();
    Span::new(start, end.unwrap_or(start))
}
