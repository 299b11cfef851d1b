//! Texts of a revision of the repository, read from its objects. No other program is run.

use std::path::{Path, PathBuf};

use gix::bstr::ByteSlice as _;
use workspace::{Memory, Workspace};

/// The repository a folder lies in.
pub(crate) struct Repository {
    git: gix::Repository,
    /// Folder of the working tree.
    pub(crate) root: PathBuf,
}

/// The texts of one revision, as if they stood in the working tree.
pub(crate) struct Tree {
    pub(crate) texts: Memory,
    /// Paths of the recipes and logs, absolute.
    pub(crate) files: Vec<PathBuf>,
    /// Paths of the settings, absolute.
    pub(crate) configs: Vec<PathBuf>,
    /// What was left out, one sentence each.
    pub(crate) notes: Vec<String>,
}

impl Repository {
    /// The repository a folder lies in.
    ///
    /// # Errors
    /// When it lies in none that has a working tree: what to say.
    pub(crate) fn around(folder: &Path) -> Result<Self, String> {
        // As git does, the search ends at the folders of GIT_CEILING_DIRECTORIES; one that lies elsewhere
        // is no fault.
        let search =
            gix::discover::upwards::Options { match_ceiling_dir_or_error: false, ..Default::default() };
        let git =
            gix::ThreadSafeRepository::discover_opts(folder, search.apply_environment(), Default::default())
                .map_err(|_| format!("{} lies in no git repository", folder.display()))?
                .to_thread_local();
        let root = git
            .workdir()
            .map(|root| workspace::normal(&std::path::absolute(root).unwrap_or_else(|_| root.to_path_buf())))
            .ok_or("the git repository has no working tree")?;
        Ok(Self { git, root })
    }

    /// Whether something is a revision here.
    pub(crate) fn knows(&self, revision: &str) -> bool {
        self.git.rev_parse_single(revision).is_ok()
    }

    /// Where the work at hand left a revision: the last commit both share; the revision itself where they
    /// share none that is known here, as in a shallow copy.
    ///
    /// # Errors
    /// When there is no such revision: what to say.
    pub(crate) fn left(&self, revision: &str) -> Result<String, String> {
        let of = |name: &str| self.git.rev_parse_single(name).map(|id| id.detach());
        let id = of(revision).map_err(|_| format!("there is no revision `{revision}` here"))?;
        let base = of("HEAD").ok().and_then(|head| self.git.merge_base(id, head).ok()?);
        Ok(base.map_or_else(|| revision.to_owned(), |base| base.detach().to_string()))
    }

    /// The texts of a revision that count for recipes.
    ///
    /// # Errors
    /// When there is no such revision or it cannot be read: what to say.
    pub(crate) fn tree(&self, revision: &str) -> Result<Tree, String> {
        let unreadable = |what: &str| format!("the revision `{revision}` cannot be read: {what}");
        let object = self
            .git
            .rev_parse_single(revision)
            .map_err(|_| format!("there is no revision `{revision}` here"))?
            .object()
            .map_err(|error| unreadable(&error.to_string()))?;
        let tree = object.peel_to_tree().map_err(|error| unreadable(&error.to_string()))?;
        let entries = tree.traverse().breadthfirst.files().map_err(|error| unreadable(&error.to_string()))?;
        // The repository ends where git's folder stands.
        let mut texts: Vec<(PathBuf, String)> = vec![(self.root.join(".git/HEAD"), String::new())];
        let (mut files, mut configs, mut notes) = (Vec::new(), Vec::new(), Vec::new());
        for entry in entries.into_iter().filter(|entry| entry.mode.is_blob()) {
            let Ok(relative) = entry.filepath.to_path() else { continue };
            let is_config = relative.file_name().is_some_and(|name| name == "gyle.toml");
            if !is_config && !Workspace::is_gyle(relative) {
                continue;
            }
            if files.len() == workspace::MOST {
                notes.push(format!(
                    "there are more than {} files in `{revision}`; the rest is left out",
                    files.len()
                ));
                break;
            }
            let object = self.git.find_object(entry.oid).map_err(|error| unreadable(&error.to_string()))?;
            let shown = relative.display();
            if object.data.len() as u64 > workspace::LARGEST {
                notes.push(format!("{shown} of `{revision}` is too large and is left out"));
                continue;
            }
            let Ok(text) = String::from_utf8(object.data.clone()) else {
                notes.push(format!("{shown} of `{revision}` is no UTF-8 text and is left out"));
                continue;
            };
            let path = self.root.join(relative);
            if is_config { &mut configs } else { &mut files }.push(path.clone());
            texts.push((path, text));
        }
        Ok(Tree { texts: Memory::new(texts), files, configs, notes })
    }
}
