//! Where texts come from.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// Largest file that is read, bytes.
pub const LARGEST: u64 = 1 << 20;
/// Most files that are taken from one folder.
pub const MOST: usize = 50_000;

/// A file or folder that was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// Its path.
    pub path: PathBuf,
    /// Why.
    pub reason: String,
}

/// What lies below a folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Walk {
    /// The `.gyle` files, as git would see them, sorted.
    pub files: Vec<PathBuf>,
    /// What could not be looked at.
    pub unreadable: Vec<Skipped>,
    /// There are more files than are taken.
    pub cut: bool,
}

/// Reads files. Paths are absolute and free of `.` and `..`.
pub trait Source: Send + Sync {
    /// The text of a file.
    ///
    /// # Errors
    /// When it cannot be read, is no UTF-8, or is too large ([`io::ErrorKind::FileTooLarge`]).
    fn read(&self, path: &Path) -> io::Result<String>;
    /// Whether a file stands there.
    fn exists(&self, path: &Path) -> bool;
    /// Whether a folder stands there.
    fn is_folder(&self, path: &Path) -> bool;
    /// The `.gyle` files below a folder, however deep.
    fn walk(&self, folder: &Path) -> Walk;
    /// The `.gyle` files of a folder itself, sorted; nothing below it is looked at.
    fn list(&self, folder: &Path) -> Vec<PathBuf>;
    /// Whether a path below a folder leads out of it, over a link.
    fn leads_out(&self, _path: &Path, _folder: &Path) -> bool {
        false
    }
}

/// The file system, with the usual bounds.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl Source for Disk {
    fn read(&self, path: &Path) -> io::Result<String> {
        BoundedDisk::default().read(path)
    }

    fn exists(&self, path: &Path) -> bool {
        BoundedDisk::default().exists(path)
    }

    fn is_folder(&self, path: &Path) -> bool {
        BoundedDisk::default().is_folder(path)
    }

    fn walk(&self, folder: &Path) -> Walk {
        BoundedDisk::default().walk(folder)
    }

    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        BoundedDisk::default().list(folder)
    }

    fn leads_out(&self, path: &Path, folder: &Path) -> bool {
        BoundedDisk::default().leads_out(path, folder)
    }
}

/// The file system, of which no more is read than this.
#[derive(Clone, Copy, Debug)]
pub struct BoundedDisk {
    /// Largest file, bytes.
    pub largest: u64,
    /// Most files of one folder.
    pub most: usize,
}

impl Default for BoundedDisk {
    fn default() -> Self {
        Self { largest: LARGEST, most: MOST }
    }
}

impl Source for BoundedDisk {
    fn read(&self, path: &Path) -> io::Result<String> {
        let file = File::open(path)?;
        let size = file.metadata()?.len();
        let mut bytes = Vec::with_capacity(usize::try_from(size.min(self.largest)).unwrap_or(0) + 1);
        // It may grow while it is read, and some files do not tell their size.
        file.take(self.largest.saturating_add(1)).read_to_end(&mut bytes)?;
        bounded(size.max(bytes.len() as u64), self.largest)?;
        String::from_utf8(bytes).map_err(|error| {
            io::Error::other(format!("it is no UTF-8 text (byte {})", error.utf8_error().valid_up_to()))
        })
    }

    fn exists(&self, path: &Path) -> bool {
        path.is_file()
    }

    fn is_folder(&self, path: &Path) -> bool {
        path.is_dir()
    }

    fn walk(&self, folder: &Path) -> Walk {
        // What is ignored is told by the repository of git first, or else by the house. What both ignore and is
        // asked for all the same is looked at by itself.
        let marked = |mark: &'static str| folder.ancestors().find(move |above| above.join(mark).exists());
        let tops = [".git", "gyle.toml"].into_iter().filter_map(marked).filter(|top| *top != folder);
        for top in tops {
            if let Some(walk) = self.walk_from(top, Some(folder)) {
                return walk;
            }
        }
        self.walk_from(folder, None).unwrap_or_default()
    }

    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
        let mut files: Vec<PathBuf> = entries
            .flatten()
            .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()))
            .map(|entry| entry.path())
            .filter(|path| is_gyle(path))
            .take(self.most)
            .collect();
        files.sort();
        files
    }

    fn leads_out(&self, path: &Path, folder: &Path) -> bool {
        match (path.canonicalize(), folder.canonicalize()) {
            (Ok(path), Ok(folder)) => !path.starts_with(folder),
            _ => false,
        }
    }
}

impl BoundedDisk {
    /// Walks from a folder, where only one further down is wanted on the way there alone; nothing where that is
    /// ignored. What git is told elsewhere (the user's settings, folders above) is not asked: each machine
    /// finds the same files.
    fn walk_from(self, top: &Path, wanted: Option<&Path>) -> Option<Walk> {
        let mut builder = ignore::WalkBuilder::new(top);
        builder.follow_links(false).require_git(false).parents(false).git_global(false);
        if let Some(wanted) = wanted.map(Path::to_path_buf) {
            builder.filter_entry(move |entry| {
                wanted.starts_with(entry.path()) || entry.path().starts_with(&wanted)
            });
        }
        let mut walk = Walk::default();
        let mut found = wanted.is_none();
        for entry in builder.build() {
            match entry {
                Ok(entry) => {
                    found = found || wanted == Some(entry.path());
                    let is_file = || entry.file_type().is_some_and(|kind| kind.is_file());
                    if is_gyle(entry.path())
                        && is_file()
                        && wanted.is_none_or(|folder| entry.path().starts_with(folder))
                    {
                        walk.files.push(entry.into_path());
                    }
                }
                Err(error) => walk.unreadable.extend(skipped(&error)),
            }
        }
        // Which are left out does not hang on which were found first.
        walk.files.sort_by(|a, b| in_order(a, b));
        walk.cut = walk.files.len() > self.most;
        walk.files.truncate(self.most);
        found.then_some(walk)
    }
}

/// Refuses what is too large to be a recipe.
fn bounded(size: u64, largest: u64) -> io::Result<()> {
    if size <= largest {
        return Ok(());
    }
    let reason = format!("it is larger than {} KiB", largest / 1024);
    Err(io::Error::new(io::ErrorKind::FileTooLarge, reason))
}

/// What a walk could not look at; what has gone in the meantime is nothing.
fn skipped(error: &ignore::Error) -> Option<Skipped> {
    match error {
        ignore::Error::WithPath { path, err } => {
            let cause = err.io_error()?;
            (cause.kind() != io::ErrorKind::NotFound)
                .then(|| Skipped { path: path.clone(), reason: reason(cause) })
        }
        ignore::Error::WithDepth { err, .. } | ignore::Error::WithLineNumber { err, .. } => skipped(err),
        _ => None,
    }
}

/// Why a file cannot be read.
pub(crate) fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".into(),
        io::ErrorKind::PermissionDenied => "it may not be read".into(),
        _ => error.to_string(),
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
        let text = self.files.get(path).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))?;
        bounded(text.len() as u64, LARGEST)?;
        Ok(text.clone())
    }

    fn exists(&self, path: &Path) -> bool {
        self.files.contains_key(path)
    }

    fn is_folder(&self, path: &Path) -> bool {
        self.files.keys().any(|file| file != path && file.starts_with(path))
    }

    fn walk(&self, folder: &Path) -> Walk {
        let inside = self.files.keys().filter(|path| path.starts_with(folder) && is_gyle(path));
        Walk { files: inside.cloned().collect(), ..Walk::default() }
    }

    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        let inside = self.files.keys().filter(|path| path.parent() == Some(folder) && is_gyle(path));
        inside.cloned().collect()
    }
}

/// Whether the name says that it is one of ours.
pub(crate) fn is_gyle(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("gyle"))
}

/// The order of normal paths, folder by folder, as [`Path`] has it: taking them apart costs many times as much.
pub(crate) fn in_order(a: &Path, b: &Path) -> core::cmp::Ordering {
    let (a, b) = (a.as_os_str().as_encoded_bytes(), b.as_os_str().as_encoded_bytes());
    // Most begin alike: many bytes at a time, then one by one.
    const MANY: usize = 16;
    let alike = a.chunks_exact(MANY).zip(b.chunks_exact(MANY)).take_while(|(a, b)| a == b).count() * MANY;
    let same = alike + a[alike..].iter().zip(&b[alike..]).take_while(|(a, b)| a == b).count();
    // A name that ends comes before one that goes on.
    let key = |byte: &u8| if std::path::is_separator(char::from(*byte)) { 0 } else { u16::from(*byte) + 1 };
    a.get(same).map(key).cmp(&b.get(same).map(key))
}

/// Whether a normal path is a folder or lies below it.
pub(crate) fn is_below(path: &Path, folder: &Path) -> bool {
    let (whole, root) = (path.as_os_str().as_encoded_bytes(), folder.as_os_str().as_encoded_bytes());
    match whole.strip_prefix(root) {
        Some([]) => true,
        Some([next, ..]) if std::path::is_separator(char::from(*next)) => true,
        _ => path.starts_with(folder),
    }
}

/// A path without `.` and `..`, by its text alone.
#[must_use]
pub fn normal(path: &Path) -> PathBuf {
    // Nearly every path is normal already, and taking one apart costs as much as reading a small recipe.
    let bytes = path.as_os_str().as_encoded_bytes();
    if cfg!(unix)
        && !bytes.starts_with(b".")
        && !bytes.ends_with(b"/")
        && !bytes.windows(2).any(|two| matches!(two, b"/." | b"//"))
    {
        return path.to_path_buf();
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_become_normal_by_their_text() {
        for (written, wanted) in [
            ("/a/b.gyle", "/a/b.gyle"),
            ("/a/.hidden/b", "/a/.hidden/b"),
            ("/a/./b", "/a/b"),
            ("/a/../b", "/b"),
            ("/a//b", "/a/b"),
            ("/a/b/", "/a/b"),
            ("/a/..", "/"),
            ("/..", "/"),
            ("/", "/"),
            ("./b", "b"),
            ("a/b", "a/b"),
            ("", ""),
        ] {
            assert_eq!(normal(Path::new(written)).as_os_str(), wanted, "{written}");
        }
    }

    #[test]
    fn paths_are_shown_from_where_one_stands() {
        for (path, below, wanted) in [
            ("/h/house/recipes/a.gyle", "/h/house", "recipes/a.gyle"),
            ("/h/house/recipes/a.gyle", "/h/house/logs", "../recipes/a.gyle"),
            ("/h/house", "/h/house", ""),
            ("/h/house", "/h/house/logs", ".."),
            ("/elsewhere/a.gyle", "/h/house", "/elsewhere/a.gyle"),
        ] {
            assert_eq!(crate::Workspace::shown_path(Path::new(path), Path::new(below)), wanted, "{path}");
        }
    }
}
