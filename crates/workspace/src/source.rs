//! Where texts come from.

use std::collections::BTreeMap;
use std::io;
use std::path::{Component, Path, PathBuf};

/// Largest file that is read, bytes.
pub const LARGEST: u64 = 1 << 20;
/// Most files that are taken from one repository.
pub const MOST: usize = 50_000;

/// Reads files. Paths are absolute and free of `.` and `..`.
pub trait Source: Send + Sync {
    /// The text of a file.
    ///
    /// # Errors
    /// When it cannot be read, is too large, or is no UTF-8.
    fn read(&self, path: &Path) -> io::Result<String>;
    /// Whether a file stands there.
    fn exists(&self, path: &Path) -> bool;
    /// The `.gyle` files below a folder, as git would see them, sorted; and whether some were left out
    /// because there are too many.
    fn walk(&self, folder: &Path) -> (Vec<PathBuf>, bool);
}

/// The file system.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl Source for Disk {
    fn read(&self, path: &Path) -> io::Result<String> {
        let bytes = std::fs::read(path)?;
        if bytes.len() as u64 > LARGEST {
            return Err(io::Error::other(format!(
                "it is larger than {} KiB and is left out",
                LARGEST / 1024
            )));
        }
        String::from_utf8(bytes).map_err(|error| {
            io::Error::other(format!("it is no UTF-8 text (byte {})", error.utf8_error().valid_up_to()))
        })
    }

    fn exists(&self, path: &Path) -> bool {
        path.is_file()
    }

    fn walk(&self, folder: &Path) -> (Vec<PathBuf>, bool) {
        let mut found = Vec::new();
        let walker = ignore::WalkBuilder::new(folder).follow_links(false).require_git(false).build();
        for entry in walker.flatten() {
            let is_file = entry.file_type().is_some_and(|kind| kind.is_file());
            if is_file && is_gyle(entry.path()) {
                if found.len() == MOST {
                    found.sort();
                    return (found, true);
                }
                found.push(entry.into_path());
            }
        }
        found.sort();
        (found, false)
    }
}

/// Texts in memory, for tests and for hosts without a file system.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    files: BTreeMap<PathBuf, String>,
}

impl Memory {
    /// From paths and texts; paths are taken as absolute.
    pub fn new<P: Into<PathBuf>, T: Into<String>>(files: impl IntoIterator<Item = (P, T)>) -> Self {
        let files = files
            .into_iter()
            .map(|(path, text)| (normal(&Path::new("/").join(path.into())), text.into()))
            .collect();
        Self { files }
    }
}

impl Source for Memory {
    fn read(&self, path: &Path) -> io::Result<String> {
        self.files.get(path).cloned().ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }

    fn exists(&self, path: &Path) -> bool {
        self.files.contains_key(path)
    }

    fn walk(&self, folder: &Path) -> (Vec<PathBuf>, bool) {
        let inside = self.files.keys().filter(|path| path.starts_with(folder) && is_gyle(path));
        (inside.cloned().collect(), false)
    }
}

/// Whether the name says that it is one of ours.
pub(crate) fn is_gyle(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("gyle"))
}

/// A path without `.` and `..`, by its text alone.
#[must_use]
pub fn normal(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    out
}
