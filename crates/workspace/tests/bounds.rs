//! What is opened, what is left out, and what is said about it.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

mod support;

use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use workspace::{BoundedDisk, Disk, Loaded, Memory, Skipped, Source, Walk};

/// Writes down every path it is asked for.
#[derive(Default)]
struct Watched {
    files: Memory,
    asked: Mutex<Vec<PathBuf>>,
}

impl Watched {
    fn note(&self, path: &Path) {
        self.asked.lock().unwrap().push(path.to_path_buf());
    }
}

impl Source for Watched {
    fn read(&self, path: &Path) -> io::Result<String> {
        self.note(path);
        self.files.read(path)
    }
    fn exists(&self, path: &Path) -> bool {
        self.files.exists(path)
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.files.is_folder(path)
    }
    fn walk(&self, folder: &Path) -> Walk {
        self.note(folder);
        self.files.walk(folder)
    }
    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        self.note(folder);
        self.files.list(folder)
    }
}

#[test]
fn nothing_outside_the_root_is_read_or_walked() {
    let evil = "use \"/etc/x.gyle\"\nuse \"../../x.gyle\"\nuse \"../../../nowhere.gyle\"\nuse \"../gone.gyle\"\ngyle 1 \"A\" of \"/etc/x.gyle\" on 2026-03-14\n\ngyle 2 \"B\" on 2026-03-14\n\ntasting of 9 on 2026-04-11\n\nrecipe \"Small\"\n  from      \"C\"\n";
    for (mark, root) in [
        ("//- /home/r/gyle.toml\nlibrary = [\"../*.gyle\", \"../../x/**\", \"c/*.gyle\"]\n", "/home/r"),
        ("//- /home/r/.git/HEAD\n", "/home/r"),
        ("", "/home/r/a"),
    ] {
        let text = format!(
            "{mark}//- /home/r/a/b.gyle\n{evil}//- /home/x.gyle\n//- /etc/x.gyle\n//- /x.gyle\n//- /x/y.gyle\n//- /home/r/a/c.gyle\n"
        );
        let source = Arc::new(Watched { files: Memory::new(support::files(&text)), ..Watched::default() });
        let (workspace, _) = support::over(Arc::clone(&source) as Arc<dyn Source>, &["/home/r/a/b.gyle"]);
        let id = support::id(&workspace, "/home/r/a/b.gyle");
        assert!(!support::said(&workspace, id).is_empty());
        let asked = source.asked.lock().unwrap();
        assert!(asked.len() > 1, "{root}: {asked:?}");
        let outside: Vec<&PathBuf> = asked.iter().filter(|path| !path.starts_with(root)).collect();
        assert!(outside.is_empty(), "{root}: {outside:?}");
        assert!(workspace.files().all(|state| state.path.starts_with(root)), "{root}");
    }
}

#[test]
fn a_large_file_is_left_out_of_a_folder_and_refused_by_name() {
    let files = [("/r/large.gyle", "#".repeat((1 << 20) + 1)), ("/r/full.gyle", "#".repeat(1 << 20))];
    for (asked, unreadable, left_out, taken) in
        [("/r", 0, 1, 1), ("/r/large.gyle", 1, 0, 0), ("/r/full.gyle", 0, 0, 1)]
    {
        let source = Memory::new(files.iter().map(|(path, text)| (*path, text.clone())));
        let (_, loaded) = support::over(Arc::new(source), &[asked]);
        let counts = (loaded.unreadable.len(), loaded.left_out.len(), loaded.files.len());
        assert_eq!(counts, (unreadable, left_out, taken), "{asked}");
        for one in loaded.unreadable.iter().chain(&loaded.left_out) {
            assert_eq!(one.reason, "it is larger than 1024 KiB");
        }
    }
}

#[test]
fn paths_that_lead_nowhere_are_told_from_empty_folders() {
    let files = "//- /r/notes.txt\n//- /r/s/a.gyle\n";
    for (asked, unreadable, taken) in
        [("/r", 0, 1), ("/r/nowhere", 1, 0), ("/r/s", 0, 1), ("/r/s/../s/./a.gyle", 0, 1)]
    {
        let (_, loaded) = support::loaded(files, &[asked]);
        assert_eq!((loaded.unreadable.len(), loaded.files.len()), (unreadable, taken), "{asked}");
    }
    let (_, twice) = support::loaded(files, &["/r", "/r/s", "/r/s/a.gyle"]);
    assert_eq!(twice.files.len(), 1, "a file asked for twice is taken once");
}

#[test]
fn a_library_file_that_cannot_be_read_is_said() {
    let files =
        support::files("//- /r/gyle.toml\nlibrary = [\"c/*.gyle\"]\n//- /r/a.gyle\nuse \"c/b.gyle\"\n");
    let files = files.into_iter().chain([("/r/c/b.gyle".to_owned(), "#".repeat((1 << 20) + 1))]);
    let (workspace, loaded) = support::over(Arc::new(Memory::new(files)), &["/r/a.gyle"]);
    let reason = "it is larger than 1024 KiB".to_owned();
    assert_eq!(loaded.unreadable, [Skipped { path: "/r/c/b.gyle".into(), reason }]);
    assert_eq!(
        support::said(&workspace, support::id(&workspace, "/r/a.gyle")),
        ["1 import-missing: `c/b.gyle` cannot be used: it is larger than 1024 KiB"]
    );
}

/// A folder on the disk that is removed when the case ends.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("bounds-{name}"));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn write(&self, path: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn the_disk_is_walked_as_git_would() {
    let folder = Folder::new("walk");
    for path in [
        "b.gyle",
        "a/c.GYLE",
        "a b/fährhaus.gyle",
        "notes.txt",
        ".hidden/d.gyle",
        "out/e.gyle",
        "f.gyle/g.gyle",
    ] {
        folder.write(path, "");
    }
    folder.write(".gitignore", "out/\n");
    let walk = Disk.walk(&folder.0);
    let found: Vec<String> = walk
        .files
        .iter()
        .map(|path| path.strip_prefix(&folder.0).unwrap().display().to_string().replace('\\', "/"))
        .collect();
    assert_eq!(found, ["a/c.GYLE", "a b/fährhaus.gyle", "b.gyle", "f.gyle/g.gyle"]);
    assert_eq!((walk.unreadable, walk.cut), (Vec::new(), false));
    assert_eq!(Disk.list(&folder.0), [folder.0.join("b.gyle")]);
    assert!(Disk.exists(&folder.0.join("b.gyle")) && !Disk.is_folder(&folder.0.join("b.gyle")));
    assert!(Disk.is_folder(&folder.0.join("f.gyle")) && !Disk.exists(&folder.0.join("f.gyle")));
    assert_eq!(Disk.list(&folder.0.join("nowhere")), Vec::<PathBuf>::new());
}

/// What is ignored is told by the repository the folder lies in and by nothing above it.
#[test]
fn what_is_ignored_is_told_by_the_repository() {
    let folder = Folder::new("ignored");
    for path in ["house/a.gyle", "house/sub/b.gyle", "house/sub/deep/c.gyle", "house/out/d.gyle"] {
        folder.write(path, "");
    }
    folder.write(".ignore", "*.gyle\n");
    folder.write(".gitignore", "*.gyle\n");
    folder.write("house/.gitignore", "/out/\n/sub/deep\n");
    let walked = |below: &str| -> Vec<String> {
        let house = folder.0.join("house");
        let found = Disk.walk(&house.join(below)).files;
        found.iter().map(|path| path.strip_prefix(&house).unwrap().display().to_string()).collect()
    };
    for mark in ["gyle.toml", ".git/HEAD"] {
        folder.write(&format!("house/{mark}"), "");
        assert_eq!(walked(""), ["a.gyle", "sub/b.gyle"], "{mark}");
        // From further down the same is ignored, unless it is asked for.
        assert_eq!(walked("sub"), ["sub/b.gyle"], "{mark}");
        assert_eq!(walked("sub/deep"), ["sub/deep/c.gyle"], "{mark}");
        assert_eq!(walked("out"), ["out/d.gyle"], "{mark}");
    }
}

#[test]
fn the_disk_says_why_a_file_cannot_be_read() {
    let folder = Folder::new("read");
    let bytes = folder.write("bytes.gyle", [b'a', 0xff]);
    let large = folder.write("large.gyle", vec![b'#'; (1 << 20) + 1]);
    let full = folder.write("full.gyle", vec![b'#'; 1 << 20]);
    let said = |path: &Path| Disk.read(path).map(|text| text.len()).map_err(|error| error.to_string());
    assert_eq!(said(&bytes), Err("it is no UTF-8 text (byte 1)".into()));
    assert_eq!(said(&large), Err("it is larger than 1024 KiB".into()));
    assert_eq!(said(&full), Ok(1 << 20));
    let (_, loaded): (_, Loaded) = support::over(Arc::new(Disk), &[folder.0.to_str().unwrap()]);
    let reasons: Vec<(&str, &str)> = loaded
        .unreadable
        .iter()
        .map(|one| (one.path.file_name().unwrap().to_str().unwrap(), one.reason.as_str()))
        .collect();
    assert_eq!(reasons, [("bytes.gyle", "it is no UTF-8 text (byte 1)")]);
    assert_eq!(loaded.left_out.len(), 1);
    assert_eq!(loaded.files.len(), 1, "the rest is taken");
}

/// A link that leads out of the house is not followed, whichever way it is named; one that stays inside is.
#[cfg(unix)]
#[test]
fn no_link_leads_out_of_the_house() {
    use std::os::unix::fs::symlink;
    let folder = Folder::new("links");
    let secret = "malt \"secret\"\n  extract  81 %\n";
    folder.write("outside/secret.gyle", secret);
    folder.write("house/cellar/own.gyle", secret.replace("secret", "own"));
    folder.write("house/gyle.toml", "library = [\"cellar/*.gyle\"]\n");
    let recipe = folder.write(
        "house/a.gyle",
        "use \"link.gyle\"\nuse \"linked/secret.gyle\"\nuse \"inner.gyle\"\n\nrecipe \"A\"\n  batch     20 L\n\ngrist\n  1 kg      secret\n",
    );
    symlink(folder.0.join("outside/secret.gyle"), folder.0.join("house/link.gyle")).unwrap();
    symlink(folder.0.join("outside/secret.gyle"), folder.0.join("house/cellar/link.gyle")).unwrap();
    symlink(folder.0.join("outside"), folder.0.join("house/linked")).unwrap();
    symlink(folder.0.join("house/cellar/own.gyle"), folder.0.join("house/inner.gyle")).unwrap();
    let house = folder.0.join("house");
    let (workspace, loaded) = support::over(Arc::new(Disk), &[house.to_str().unwrap()]);
    assert_eq!(loaded.files.len(), 2, "the walk follows no link");
    let mut paths: Vec<String> = workspace
        .files()
        .map(|state| state.path.strip_prefix(&house).unwrap().display().to_string())
        .collect();
    paths.sort();
    assert_eq!(paths, ["a.gyle", "cellar/own.gyle", "inner.gyle"]);
    let said = support::said(&workspace, support::id(&workspace, recipe.to_str().unwrap()));
    let missing: Vec<&String> = said.iter().filter(|one| one.contains("import-missing")).collect();
    assert_eq!(missing.len(), 2, "{said:?}");
    assert!(missing.iter().all(|one| one.contains("it is a link that leads out of ")), "{said:?}");
    assert!(said.iter().any(|one| one.contains("unknown-reference")), "{said:?}");
}

#[test]
fn bounds_are_set_and_what_they_leave_out_is_said() {
    let folder = Folder::new("set");
    for (name, size) in [("a.gyle", 10), ("b.gyle", 2000), ("c.gyle", 10), ("d.gyle", 10)] {
        folder.write(name, "#".repeat(size));
    }
    let root = folder.0.to_str().unwrap();
    for (largest, most, taken, left_out) in [
        (1024, 50, 3, vec!["it is larger than 1 KiB"]),
        (4096, 4, 4, vec![]),
        (4096, 3, 3, vec!["it has more than 3 files; the rest is left out"]),
    ] {
        let (_, loaded) = support::over(Arc::new(BoundedDisk { largest, most }), &[root]);
        let reasons: Vec<&str> = loaded.left_out.iter().map(|one| one.reason.as_str()).collect();
        assert_eq!((loaded.files.len(), reasons), (taken, left_out), "{largest} {most}");
    }
}
