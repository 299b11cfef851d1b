//! Texts of configurations as an editor has them, before those of the disk.

use std::collections::HashMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use workspace::{Source, Walk};

/// Files with the texts of open configurations laid over them. Recipes are not among these: the workspace is
/// given their texts itself.
pub(crate) struct Unsaved {
    below: Arc<dyn Source>,
    texts: Mutex<HashMap<PathBuf, String>>,
}

impl Unsaved {
    pub(crate) fn over(below: Arc<dyn Source>) -> Self {
        Self { below, texts: Mutex::default() }
    }

    /// Lays a text over a file, or takes it away.
    pub(crate) fn put(&self, path: &Path, text: Option<String>) {
        let Ok(mut texts) = self.texts.lock() else { return };
        match text {
            Some(text) => texts.insert(path.to_path_buf(), text),
            None => texts.remove(path),
        };
    }

    fn text(&self, path: &Path) -> Option<String> {
        self.texts.lock().ok()?.get(path).cloned()
    }
}

impl Source for Unsaved {
    fn read(&self, path: &Path) -> io::Result<String> {
        self.text(path).map_or_else(|| self.below.read(path), Ok)
    }

    fn exists(&self, path: &Path) -> bool {
        self.texts.lock().is_ok_and(|texts| texts.contains_key(path)) || self.below.exists(path)
    }

    fn is_folder(&self, path: &Path) -> bool {
        self.below.is_folder(path)
    }

    fn walk(&self, folder: &Path) -> Walk {
        self.below.walk(folder)
    }

    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        self.below.list(folder)
    }
}

/// Whether a path is that of a configuration.
pub(crate) fn is_config(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name == "gyle.toml")
}
