//! What stands in the way of a command: a reader that goes away, files that may not be read, a file system that
//! cannot be written.

use std::fs;
use std::io::Read;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use super::{FAULTY, Folder, PLAIN, kept, said};

/// A reader that goes away ends the command without a word.
#[test]
fn a_reader_that_goes_away() {
    let folder = Folder::new("broken-pipe");
    for at in 0..400 {
        folder.write(&format!("r{at}.gyle"), FAULTY);
    }
    for format in super::options::formats() {
        let mut child = Command::new(env!("CARGO_BIN_EXE_gyle"))
            .args(["check", "--format", &format])
            .current_dir(&folder.0)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut first = [0u8; 1];
        child.stdout.take().unwrap().read_exact(&mut first).unwrap();
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{format}");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{format}");
    }
}

/// A folder that this user, or nobody where the user may write everywhere, can read and not write.
struct ReadOnly {
    folder: PathBuf,
    gyle: PathBuf,
    nobody: bool,
}

impl ReadOnly {
    fn new(fill: impl Fn(&Folder)) -> Self {
        // Below the folder for all users, since nobody may not enter everybody's.
        let folder = std::env::temp_dir().join(format!("gyle read-only {}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        let house = folder.join("house");
        fs::create_dir_all(&house).unwrap();
        let gyle = folder.join("gyle");
        fs::copy(env!("CARGO_BIN_EXE_gyle"), &gyle).unwrap();
        let filled = Folder(house);
        fill(&filled);
        let house = filled.0.clone();
        // Dropping it would clear the folder.
        core::mem::forget(filled);
        close(&house);
        for open in [&folder, &gyle] {
            fs::set_permissions(open, fs::Permissions::from_mode(0o755)).unwrap();
        }
        let nobody = fs::write(house.join("probe"), "").is_ok();
        let _ = fs::remove_file(house.join("probe"));
        Self { folder, gyle, nobody }
    }

    fn gyle(&self, args: &[&str]) -> std::process::Output {
        let mut command = Command::new(&self.gyle);
        command.args(args).current_dir(self.folder.join("house")).env("NO_COLOR", "1").env("COLUMNS", "100");
        if self.nobody {
            command.gid(65534).uid(65534);
        }
        command.output().unwrap()
    }
}

/// Takes away the right to write from a folder and all in it.
fn close(path: &Path) {
    if path.is_dir() {
        for entry in fs::read_dir(path).unwrap() {
            close(&entry.unwrap().path());
        }
        fs::set_permissions(path, fs::Permissions::from_mode(0o555)).unwrap();
    } else if !path.ends_with("secret.gyle") {
        fs::set_permissions(path, fs::Permissions::from_mode(0o444)).unwrap();
    }
}

fn open(path: &Path) {
    if path.is_dir() {
        let _ = fs::set_permissions(path, fs::Permissions::from_mode(0o755));
        for entry in fs::read_dir(path).into_iter().flatten().flatten() {
            open(&entry.path());
        }
    }
}

impl Drop for ReadOnly {
    fn drop(&mut self) {
        open(&self.folder);
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// What can be read is checked; what cannot be written is said, and nothing else is lost.
#[test]
fn a_file_system_that_cannot_be_written() {
    let folder = ReadOnly::new(|folder| {
        folder.write("recipes/faulty.gyle", FAULTY);
        folder.write(
            "recipes/loose.gyle",
            "recipe \"Loose\"\n batch 20 L\n\ngrist\n 4 kg pale malt  #= share 90 %\n",
        );
        folder.write("recipes/secret.gyle", PLAIN);
        fs::set_permissions(folder.0.join("recipes/secret.gyle"), fs::Permissions::from_mode(0o000)).unwrap();
    });
    let mut text = String::new();
    for args in [
        &["check", "--format", "line", "--only", "units"][..],
        &["check", "--fix", "--format", "line", "--only", "units,repository"],
        &["check", "--output", "json=out.json", "--output", "line", "--only", "decimal-comma"],
        &["check", "--write-baseline", "known.json", "--only", "units"],
        &["fmt", "recipes/loose.gyle"],
        &["stamp", "recipes/loose.gyle"],
        &["figures", "recipes/secret.gyle"],
        &["index", "--to", "RECIPES.md"],
        &["new", "another"],
        &["man", "pages"],
    ] {
        text.push_str(&said(args, &folder.gyle(args)));
        text.push('\n');
    }
    // The folder is another each time.
    let here = folder.folder.to_string_lossy().into_owned();
    kept("read-only", &text.replace(&here, "FOLDER"));
}
