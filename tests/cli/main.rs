//! What the command prints, and the codes it ends with.
//!
//! A case is a row: a name, the arguments and what stands on standard input. It runs in a copy of the files
//! it needs, so that `--fix` and `fmt` change nothing here, and its output is kept as a snapshot.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used, clippy::panic)]

mod compare;
mod faulty;
mod house;
mod options;
mod places;
mod reports;
mod stamp;
mod story;
mod watch;
mod why;

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder that is removed when the case ends.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("cli-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn write(&self, path: &str, text: impl AsRef<[u8]>) {
        let path = self.0.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    fn read(&self, path: &str) -> String {
        fs::read_to_string(self.0.join(path)).unwrap()
    }

    fn gyle(&self, args: &[&str], input: &str) -> Output {
        let mut child = Command::new(env!("CARGO_BIN_EXE_gyle"))
            .args(args)
            .current_dir(&self.0)
            .env("NO_COLOR", "1")
            .env("COLUMNS", "100")
            // The target folder may lie in a repository, which is none of the case's.
            .env("GIT_CEILING_DIRECTORIES", env!("CARGO_TARGET_TMPDIR"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A command that does not read its input may have ended already.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        child.wait_with_output().unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The tests of the repository, where the demo stands.
fn tests() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests")
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

fn demo(name: &str) -> Folder {
    let folder = Folder::new(name);
    copy(&tests().join("saltmarsh"), &folder.0.join("saltmarsh"));
    folder
}

/// Output and code as one text.
fn said(args: &[&str], output: &Output) -> String {
    let mut text = format!("$ gyle {}\n{}", args.join(" "), String::from_utf8_lossy(&output.stdout));
    let errors = String::from_utf8_lossy(&output.stderr);
    if !errors.is_empty() {
        text.push_str("--- standard error\n");
        text.push_str(&errors);
    }
    text.push_str(&format!("--- code {}\n", output.status.code().unwrap()));
    text
}

fn kept(name: &str, text: &str) {
    insta::with_settings!({snapshot_path => tests().join("cli/snapshots"), prepend_module_to_snapshot => false, omit_expression => true}, {
        insta::assert_snapshot!(name, text);
    });
}

/// A recipe with a decimal comma, a missing unit and a hop that boils longer than the wort.
const FAULTY: &str = "recipe \"Fährhaus Bitter\"
  batch     20 L

grist
  4,1 kg    pale malt
  200       crystal malt [150 EBC]

boil 60 min
  30 g      Fuggle [4.9 %] at 90 min
";

const PLAIN: &str = "recipe \"Plain\"
  batch     20 L

grist
  4 kg      pale malt
";

#[test]
fn commands_on_the_demo() {
    let folder = demo("demo");
    let bitter = "saltmarsh/recipes/whin-bank-bitter.gyle";
    let log = "saltmarsh/logs/31-whin-bank-bitter.gyle";
    for (name, args) in [
        ("check-demo", &["check", "saltmarsh"][..]),
        ("check-demo-fail-on-warning", &["check", "saltmarsh", "--fail-on", "warning"]),
        ("check-log-json", &["check", log, "--format", "json"]),
        ("figures-recipe", &["figures", bitter]),
        ("figures-recipe-why", &["figures", bitter, "--why"]),
        ("figures-recipe-json", &["figures", bitter, "--format", "json"]),
        ("figures-log", &["figures", log]),
        ("explain-rule", &["explain", "addition-off-plan"]),
        ("explain-figure", &["explain", "strike-temperature"]),
        ("explain-nothing", &["explain", "strike-temperatur"]),
        ("fmt-demo", &["fmt", "saltmarsh", "--check"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
}

#[test]
fn the_demo_has_its_three_troubles_and_no_other() {
    let folder = demo("troubles");
    let args = ["check", "saltmarsh", "--format", "json"];
    let output = folder.gyle(&args, "");
    assert_eq!(output.status.code(), Some(0));
    let text = String::from_utf8(output.stdout).unwrap();
    let found: serde_json::Value = serde_json::from_str(&text).unwrap();
    let mut troubles: Vec<(&str, &str)> = found["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|one| one["severity"] != "hint")
        .map(|one| (one["rule"].as_str().unwrap(), one["path"].as_str().unwrap()))
        .collect();
    troubles.sort_unstable();
    assert_eq!(
        troubles,
        [
            ("addition-off-plan", "saltmarsh/logs/31-whin-bank-bitter.gyle"),
            ("correction-not-remeasured", "saltmarsh/logs/31-whin-bank-bitter.gyle"),
            ("water-profile-missed", "saltmarsh/recipes/whin-bank-bitter.gyle"),
        ]
    );
}

#[test]
fn commands_on_faulty_texts() {
    let folder = Folder::new("faulty");
    folder.write("a b/fährhaus.gyle", FAULTY);
    folder.write("a b/plain.gyle", PLAIN);
    folder.write("a b/notes.txt", "not a recipe");
    for (name, args, input) in [
        ("check-faulty", &["check", "a b"][..], ""),
        ("check-faulty-never", &["check", "a b", "--fail-on", "never"], ""),
        ("check-faulty-json", &["check", "a b/fährhaus.gyle", "--format", "json"], ""),
        ("check-standard-input", &["check", "-"], FAULTY),
        ("check-standard-input-fix", &["check", "-", "--fix"], FAULTY),
        ("check-standard-input-as", &["check", "-", "--stdin-path", "a b/new.gyle"], FAULTY),
        ("figures-faulty", &["figures", "a b/fährhaus.gyle"], ""),
        ("figures-standard-input-json", &["figures", "-", "--format", "json"], PLAIN),
        (
            "fmt-standard-input",
            &["fmt", "-"],
            "recipe \"X\"\n batch   20 L\n\n\n\ngrist\n     4 kg pale malt\n",
        ),
        ("check-nowhere", &["check", "nowhere"], ""),
        ("check-nowhere-among-good", &["check", "nowhere.gyle", "a b/plain.gyle"], ""),
        ("unknown-option", &["check", "--no-such"], ""),
    ] {
        kept(name, &said(args, &folder.gyle(args, input)));
    }
}

#[test]
fn a_file_that_is_not_text_is_named_and_the_rest_is_checked() {
    let folder = Folder::new("bytes");
    folder.write("bytes.gyle", [0xff, 0xfe, 0x00, 0x72]);
    folder.write("plain.gyle", PLAIN);
    let args = ["check", "."];
    kept("check-bytes", &said(&args, &folder.gyle(&args, "")));
}

#[test]
fn a_faulty_configuration_is_shown_with_its_line() {
    let folder = Folder::new("configuration");
    folder.write("gyle.toml", "edition = \"2026\"\n\n[figures]\nbiterness = \"tinseth\"\n\n[rules]\n\"hop-time-exceeds-boi\" = \"off\"\n");
    folder.write("plain.gyle", PLAIN);
    let args = ["check", "."];
    kept("check-configuration", &said(&args, &folder.gyle(&args, "")));
}

#[test]
fn fixing_and_formatting_change_files() {
    let folder = Folder::new("changing");
    folder.write("faulty.gyle", FAULTY);
    folder.write("crlf.gyle", "recipe \"Lines\"\r\n batch 20 L\r\n");
    let mut text = String::new();
    for args in [
        &["fmt", "--diff", "crlf.gyle"][..],
        &["fmt", "--check", "."],
        &["fmt", "."],
        &["fmt", "--check", "."],
        &["check", "--fix", "faulty.gyle"],
    ] {
        text.push_str(&said(args, &folder.gyle(args, "")));
        text.push('\n');
    }
    for file in ["crlf.gyle", "faulty.gyle"] {
        text.push_str(&format!("--- {file}\n{}", folder.read(file).replace('\r', "\\r")));
    }
    kept("changing", &text);
}
