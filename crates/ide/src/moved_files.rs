//! Paths that follow files which move.

use std::path::Path;

use workspace::Workspace;

use crate::names::{Renaming, Target, mentions};

/// What paths of a file become when files move: the edits for every file that names one of them. `moved` are
/// old and new path.
#[must_use]
pub fn moved_files(workspace: &Workspace, moved: &[(&Path, &Path)]) -> Vec<Renaming> {
    let new_path = |path: &Path| {
        moved.iter().find_map(|(old, new)| {
            // A folder takes its files along.
            path.strip_prefix(old)
                .ok()
                .map(|rest| if rest.as_os_str().is_empty() { new.to_path_buf() } else { new.join(rest) })
        })
    };
    let mut renamings = Vec::new();
    for state in workspace.files() {
        let own = new_path(&state.path);
        let mut edits = Vec::new();
        for mention in mentions(workspace, state) {
            let Target::File(to) = mention.target else { continue };
            let Some(target) = workspace.file(to) else { continue };
            let there = new_path(&target.path);
            if own.is_none() && there.is_none() {
                continue;
            }
            let from = own.as_deref().unwrap_or(&state.path);
            let text = Workspace::path_between(from, there.as_deref().unwrap_or(&target.path));
            if text != mention.span.of(&state.text) {
                edits.push(syntax::Edit { span: mention.span, text });
            }
        }
        if !edits.is_empty() {
            renamings.push(Renaming { file: state.id, edits });
        }
    }
    renamings
}

#[cfg(test)]
mod tests {
    use crate::fixture::{Fixture, OTHER};

    use super::*;

    #[test]
    fn paths_follow_files_that_move() {
        let fixture = Fixture::with("# é\nuse \"b.gyle\"\n", &[OTHER]);
        let moved = |old, new| {
            let renamings = moved_files(&fixture.workspace, &[(Path::new(old), Path::new(new))]);
            let mut texts: Vec<String> =
                renamings.iter().flat_map(|renaming| &renaming.edits).map(|edit| edit.text.clone()).collect();
            texts.sort();
            texts
        };
        assert_eq!(moved("/r/b.gyle", "/r/recipes/b.gyle"), ["../a.gyle", "recipes/b.gyle"]);
        assert_eq!(moved("/r/a.gyle", "/r/c.gyle"), ["c.gyle"]);
        assert_eq!(moved("/r/x.gyle", "/r/c.gyle"), [""; 0]);
    }
}
