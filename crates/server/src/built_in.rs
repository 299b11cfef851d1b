//! The built-in library as files that any editor can open.
//!
//! The protocol knows no text that lies in no file: an address with a scheme of our own would open only in
//! clients taught to ask for it. So a definition of the built-in library is shown in a read-only copy, in the
//! user's cache folder or else the folder for temporary files, with the version in its path so that two versions
//! never write over each other. A copy that differs from the library is written anew before it is shown; a name
//! in a copy stands for the built-in definition itself.

use std::collections::BTreeMap;
use std::env;
use std::ffi::OsString;
use std::fs;
use std::io::{ErrorKind, Result};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};
use std::time::SystemTime;

use syntax::LineIndex;

/// Where copies may lie, the best place first. A relative path in the environment is no place.
fn places(variable: impl Fn(&str) -> Option<OsString>) -> Vec<PathBuf> {
    let folder = |name: &str| variable(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let home = |below: &str| folder("HOME").map(|home| home.join(below));
    let caches = if cfg!(windows) {
        vec![folder("LOCALAPPDATA")]
    } else if cfg!(target_os = "macos") {
        vec![home("Library/Caches")]
    } else {
        vec![folder("XDG_CACHE_HOME"), home(".cache")]
    };
    caches.into_iter().flatten().chain([env::temp_dir()]).map(|place| place.join(FOLDER)).collect()
}

const FOLDER: &str = concat!("gyle/catalogue-", env!("CARGO_PKG_VERSION"));

fn folders() -> &'static [PathBuf] {
    static FOLDERS: OnceLock<Vec<PathBuf>> = OnceLock::new();
    FOLDERS.get_or_init(|| places(|name| env::var_os(name)))
}

/// The path of a copy of a file of the library, written where it is not there yet.
pub(crate) fn path(at: u8) -> Option<PathBuf> {
    let (name, text) = catalogue::files().get(usize::from(at))?;
    copy(name, text)
}

/// The path of a read-only file with a text of our own, written where it is not there yet.
pub(crate) fn copy(name: &str, text: &str) -> Option<PathBuf> {
    folders().iter().find_map(|folder| {
        let path = folder.join(name);
        write(&path, text).ok().map(|()| path)
    })
}

/// Text and lines of a file of the library; what is asked for is kept, since half the hints lead there.
pub(crate) fn text(at: u8) -> Option<(Arc<str>, Arc<LineIndex>)> {
    type Kept = OnceLock<(Arc<str>, Arc<LineIndex>)>;
    static TEXTS: OnceLock<Vec<Kept>> = OnceLock::new();
    let at = usize::from(at);
    let (_, text) = catalogue::files().get(at)?;
    let texts = TEXTS.get_or_init(|| catalogue::files().iter().map(|_| OnceLock::new()).collect());
    Some(texts.get(at)?.get_or_init(|| (Arc::from(*text), Arc::new(LineIndex::new(text)))).clone())
}

/// Which file of the library a path is the copy of.
pub(crate) fn file_at(path: &Path) -> Option<u8> {
    let name = path.file_name()?.to_str()?;
    let folder = path.parent()?;
    folders().iter().find(|known| *known == folder)?;
    catalogue::files().iter().position(|(known, _)| *known == name).and_then(|at| u8::try_from(at).ok())
}

/// Makes a read-only file with this text, and nothing where it is there.
fn write(path: &Path, text: &str) -> Result<()> {
    // Length and time of what was found to be a copy: hints ask at every letter typed.
    static COMPARED: Mutex<BTreeMap<PathBuf, (u64, SystemTime)>> = Mutex::new(BTreeMap::new());
    // A link could lead anywhere, and is no copy whatever it leads to.
    let meta = fs::symlink_metadata(path).ok().filter(|meta| meta.is_file());
    let state = meta.and_then(|meta| Some((meta.len(), meta.modified().ok()?)));
    if let (Some(state), Ok(mut compared)) = (state, COMPARED.lock()) {
        if compared.get(path) == Some(&state) {
            return Ok(());
        }
        if fs::read(path)? == text.as_bytes() {
            compared.insert(path.to_owned(), state);
            return Ok(());
        }
    }
    let folder = path.parent().ok_or(ErrorKind::NotFound)?;
    fs::create_dir_all(folder)?;
    // Written beside and moved, so that a second server never reads half a file.
    let beside = path.with_extension(format!("{}.part", std::process::id()));
    let written = fs::OpenOptions::new().write(true).create_new(true).open(&beside).and_then(|mut file| {
        std::io::Write::write_all(&mut file, text.as_bytes())?;
        let mut permissions = file.metadata()?.permissions();
        permissions.set_readonly(true);
        file.set_permissions(permissions)?;
        fs::rename(&beside, path)
    });
    if written.is_err() {
        let _ = fs::remove_file(&beside);
    }
    written
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test may fail")]
mod tests {
    use super::*;

    #[test]
    fn a_copy_is_read_only_and_mended() {
        let folder = env::temp_dir().join(format!("gyle-copy-{}", std::process::id()));
        let path = folder.join("é").join("malts.gyle");
        for _ in 0..2 {
            write(&path, "malt é\n").unwrap();
            assert_eq!(fs::read_to_string(&path).unwrap(), "malt é\n");
            assert!(fs::metadata(&path).unwrap().permissions().readonly());
        }
        // Another text in its place, as somebody may leave there.
        fs::remove_file(&path).unwrap();
        fs::write(&path, "malt x\n").unwrap();
        write(&path, "malt é\n").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "malt é\n");
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
        fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn the_cache_of_the_user_comes_first_and_the_temporary_folder_last() {
        let known = |name: &str| match name {
            "HOME" => Some("/home/é".into()),
            "XDG_CACHE_HOME" => Some("not/absolute".into()),
            _ => None,
        };
        let all = places(known);
        assert_eq!(all.last(), Some(&env::temp_dir().join(FOLDER)));
        if cfg!(target_os = "linux") {
            assert_eq!(all.first(), Some(&Path::new("/home/é/.cache").join(FOLDER)));
        }
        assert_eq!(places(|_| None).len(), 1);
    }

    #[test]
    fn a_copy_is_known_by_its_path() {
        let at = u8::try_from(catalogue::files().len() - 1).unwrap();
        let copy = path(at).unwrap();
        assert_eq!(file_at(&copy), Some(at));
        assert_eq!(file_at(&copy.with_file_name("other.gyle")), None);
        assert_eq!(file_at(Path::new("/r").join(copy.file_name().unwrap()).as_path()), None);
    }
}
