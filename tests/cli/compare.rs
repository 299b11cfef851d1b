//! `gyle compare`, on files and on a repository of git.

use std::process::Command;

use super::{Folder, demo, kept, said};

impl Folder {
    /// Runs git on the folder, with nothing of the user's settings.
    pub(super) fn git(&self, args: &[&str]) {
        let _ = self.git_says(args);
    }

    /// The lines that differ, without what git says of the files.
    pub(super) fn diff(&self, args: &[&str]) -> String {
        let text = self.git_says(&[&["diff", "--unified=0"], args].concat());
        let lines = text.lines().filter(|line| {
            line.starts_with(['+', '-']) && !line.starts_with("+++") && !line.starts_with("---")
        });
        lines.map(|line| format!("{line}\n")).collect()
    }

    fn git_says(&self, args: &[&str]) -> String {
        let done = Command::new("git")
            .args(args)
            .current_dir(&self.0)
            .envs([
                ("GIT_CONFIG_GLOBAL", "/dev/null"),
                ("GIT_CONFIG_NOSYSTEM", "1"),
                ("GIT_AUTHOR_NAME", "Brewer"),
                ("GIT_AUTHOR_EMAIL", "brewer@example.org"),
                ("GIT_COMMITTER_NAME", "Brewer"),
                ("GIT_COMMITTER_EMAIL", "brewer@example.org"),
            ])
            .output()
            .unwrap();
        assert!(done.status.success(), "git {args:?}: {done:?}");
        String::from_utf8(done.stdout).unwrap()
    }

    pub(super) fn commit(&self, message: &str) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-q", "-m", message]);
    }

    pub(super) fn change(&self, path: &str, changes: &[(&str, &str)]) {
        let mut text = self.read(path);
        for (from, to) in changes {
            assert!(text.contains(from), "{path} has no {from}");
            text = text.replace(from, to);
        }
        self.write(path, text);
    }
}

const BITTER: &str = "saltmarsh/recipes/whin-bank-bitter.gyle";

#[test]
fn revisions_files_and_the_working_tree() {
    let folder = demo("compare");
    folder.git(&["init", "-q", "-b", "main"]);
    folder.commit("The recipes");
    folder.git(&["tag", "first"]);
    // A malt of another harvest, a recipe changed, one new, one gone, one renamed.
    folder.change(
        "saltmarsh/cellar/malts.gyle",
        &[("extract             81.5 %", "extract             79.5 %")],
    );
    folder.change(
        BITTER,
        &[
            (
                "  260 g     crystal malt [150 EBC]\n  30 g      chocolate malt\n",
                "  0.3 kg    crystal malt [150 EBC]\n",
            ),
            (
                "  rest      66 C for 60 min\n",
                "  rest      52 C for 15 min by infusion\n  rest      68 C for 60 min\n",
            ),
            ("at 15 min", "at 5 min"),
        ],
    );
    folder.change("saltmarsh/recipes/ferry-slip-amber.gyle", &[("Ferry Slip Amber", "Ferry Slip Red")]);
    std::fs::remove_file(folder.0.join("saltmarsh/recipes/lantern-tripel.gyle")).unwrap();
    folder.write("saltmarsh/recipes/new beer.gyle", super::PLAIN);
    for (name, args) in [
        ("compare-working-tree", &["compare"][..]),
        ("compare-markdown", &["compare", "first", "--format", "markdown"]),
        ("compare-file-json", &["compare", BITTER, "--format", "json"]),
        ("compare-two-files", &["compare", BITTER, "saltmarsh/recipes/marram-pale-ale.gyle"]),
        (
            "compare-brewhouse",
            &["compare", BITTER, "saltmarsh/recipes/marram-pale-ale.gyle", "--brewhouse", "shed-60"],
        ),
        (
            "compare-brewhouse-markdown",
            &["compare", "first", "--brewhouse", "copper-80", "--format", "markdown"],
        ),
        ("compare-no-brewhouse", &["compare", "--brewhouse", "shed"]),
        ("compare-same", &["compare", "first", "HEAD"]),
        ("compare-no-revision", &["compare", "frist"]),
        ("compare-no-file", &["compare", "first:saltmarsh/none.gyle"]),
        ("compare-no-revision-of-file", &["compare", "frist:saltmarsh/none.gyle"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
    // The same from a folder below, by a path from there.
    let below = Folder(folder.0.join("saltmarsh/recipes"));
    let above = folder.gyle(&["compare", &format!("first:{BITTER}")], "");
    let there = below.gyle(&["compare", "first:./whin-bank-bitter.gyle", "whin-bank-bitter.gyle"], "");
    assert_eq!(String::from_utf8(above.stdout).unwrap(), String::from_utf8(there.stdout).unwrap());
    folder.commit("Changes");
    let (whole, revisions) =
        (folder.gyle(&["compare", "first"], ""), folder.gyle(&["compare", "first", "main"], ""));
    let body = |output: std::process::Output| {
        let text = String::from_utf8(output.stdout).unwrap();
        text.rsplit_once("first to ").unwrap().0.to_owned()
    };
    assert_eq!(body(whole), body(revisions));
}

/// A recipe is followed by its name wherever it stands, then by what it holds.
#[test]
fn recipes_are_followed_by_name_and_then_by_content() {
    let folder = demo("renames");
    folder.git(&["init", "-q", "-b", "main"]);
    folder.commit("The recipes");
    let recipes = "saltmarsh/recipes";
    let take = |path: &str| {
        let text = folder.read(path);
        std::fs::remove_file(folder.0.join(path)).unwrap();
        text
    };
    // Another file, the same name; another file and another name; two names exchanged.
    folder.write(&format!("{recipes}/dark/porter.gyle"), take(&format!("{recipes}/estuary-porter.gyle")));
    let pale = take(&format!("{recipes}/marram-pale-ale.gyle"));
    folder.write(&format!("{recipes}/dune.gyle"), pale.replace("Marram Pale Ale", "Dune Pale Ale"));
    let [tripel, sour] = ["lantern-tripel", "samphire-sour"].map(|name| format!("{recipes}/{name}.gyle"));
    folder.change(&tripel, &[("Lantern Tripel", "Samphire Sour")]);
    folder.change(&sour, &[("Samphire Sour", "Lantern Tripel")]);
    let output = folder.gyle(&["compare", "--format", "json"], "");
    let found: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let pair = |name: &str| {
        let of = found["recipes"].as_array().unwrap().iter().find(|one| one["name"] == name).unwrap();
        let text = |key: &str| of[key].as_str().unwrap().replace(&format!("{recipes}/"), "");
        [text("name_before"), text("path_before"), text("path")]
    };
    assert_eq!(pair("Dune Pale Ale"), ["Marram Pale Ale", "marram-pale-ale.gyle", "dune.gyle"]);
    assert_eq!(pair("Samphire Sour"), ["Samphire Sour", "samphire-sour.gyle", "lantern-tripel.gyle"]);
    assert_eq!(pair("Lantern Tripel"), ["Lantern Tripel", "lantern-tripel.gyle", "samphire-sour.gyle"]);
    // In another file it is the same recipe.
    assert!(found["recipes"].as_array().unwrap().iter().all(|one| one["name"] != "Estuary Porter"));
    assert_eq!((&found["added"], &found["removed"]), (&serde_json::json!([]), &serde_json::json!([])));
}

#[test]
fn without_a_repository_two_files_are_wanted() {
    let folder = Folder(std::env::temp_dir().join(format!("gyle-compare-{}", std::process::id())));
    folder.write("a.gyle", super::PLAIN);
    folder.write("b.gyle", super::PLAIN.replace("4 kg ", "4.5 kg "));
    let mut text = String::new();
    for args in
        [&["compare", "a.gyle", "b.gyle"][..], &["compare", "b.gyle", "a.gyle", "--format", "markdown"]]
    {
        text.push_str(&said(args, &folder.gyle(args, "")));
    }
    kept("compare-files-alone", &text);
    let alone = folder.gyle(&["compare"], "");
    assert_eq!(alone.status.code(), Some(2));
    assert!(String::from_utf8(alone.stderr).unwrap().ends_with("name two files to compare\n"));
}
