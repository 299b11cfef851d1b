//! `gyle check --since`: the files that changed since the work at hand left a revision, and those that depend
//! on them.

use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use recipe::FileId;
use workspace::{Source, Workspace};

use crate::output::complain;
use crate::revision::Repository;

/// The files of a workspace in which something else may be found now.
///
/// # Errors
/// When the revision cannot be read: what to say.
pub(crate) fn changed(workspace: &Workspace, revision: &str, here: &Path) -> Result<HashSet<FileId>, String> {
    let repository = Repository::around(here)?;
    let tree = repository.tree(&repository.left(revision)?)?;
    for note in &tree.notes {
        complain(note);
    }
    let then: HashMap<PathBuf, String> =
        tree.files.iter().filter_map(|path| Some((path.clone(), tree.texts.read(path).ok()?))).collect();
    let mut direct: HashSet<FileId> = HashSet::new();
    for state in workspace.files().filter(|state| state.path.starts_with(&repository.root)) {
        if then.get(&state.path).is_none_or(|text| **text != *state.text) {
            direct.insert(state.id);
        }
        // Other settings may find something in any file.
        if let Some(config) = &state.config.path
            && std::fs::read_to_string(config).ok() != tree.texts.read(config).ok()
        {
            direct.insert(state.id);
        }
    }
    let mut touched = workspace.touched_by(&direct);
    // What is gone is missed by those that depended on it.
    let gone: Vec<&PathBuf> = then.keys().filter(|path| !path.exists()).collect();
    if !gone.is_empty() {
        let mut old = Workspace::new(Arc::new(tree.texts.clone()));
        old.load(&tree.files);
        let gone: HashSet<FileId> = gone.into_iter().filter_map(|path| old.file_at(path)).collect();
        let missing = old.touched_by(&gone).into_iter().filter_map(|id| Some(&old.file(id)?.path));
        let direct: HashSet<FileId> = missing.filter_map(|path| workspace.file_at(path)).collect();
        touched.extend(workspace.touched_by(&direct));
    }
    // So are settings that are gone: other ones hold now.
    let settings = tree.configs.iter().filter(|path| !path.exists());
    let folders: Vec<&Path> = settings.filter_map(|path| path.parent()).collect();
    touched.extend(
        workspace
            .files()
            .filter(|state| folders.iter().any(|folder| state.path.starts_with(folder)))
            .map(|state| state.id),
    );
    Ok(touched)
}
