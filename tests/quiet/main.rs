//! A house of recipes as brewers write them, and what the default set says of them.
//!
//! The recipes were written from the guide to the language alone, but for `rye-pale-ale`, `steam-lager` and
//! `vienna-lager`, whose author knew the rules. `findings.tsv` lists every finding with a verdict:
//! `right`, or `disputed` where a good brewer may have meant it so. The table and the findings must agree.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use gyle_tests::Table;
use rules::{Edition, Severity};
use syntax::LineIndex;
use workspace::{Disk, Workspace};

/// File, line, severity and rule of each finding by the rules of an edition, sorted.
fn found(edition: Edition) -> Vec<[String; 4]> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("quiet/house");
    let mut workspace = Workspace::new(Arc::new(Disk));
    workspace.look_by(edition);
    let loaded = workspace.load(std::slice::from_ref(&root));
    let recipes: Vec<PathBuf> = loaded
        .files
        .iter()
        .filter_map(|id| workspace.file(*id))
        .filter(|state| state.text.contains("\nrecipe ") || state.text.starts_with("recipe "))
        .map(|state| state.path.clone())
        .collect();
    assert!(recipes.len() >= 30, "{} recipes", recipes.len());
    let own = workspace.files().filter_map(|state| workspace.analyse(state.id)).flat_map(|one| one.findings);
    let mut found: Vec<[String; 4]> = own
        .chain(workspace.check_repositories(&[root]))
        .map(|finding| {
            let state = workspace.file(finding.file).unwrap();
            let line = LineIndex::new(&state.text).line(finding.span.start) + 1;
            let file = state.path.file_name().unwrap().to_str().unwrap().to_owned();
            [file, line.to_string(), finding.severity.word().to_owned(), finding.rule.to_owned()]
        })
        .collect();
    found.sort();
    found
}

#[test]
fn what_is_said_of_good_recipes_is_listed_and_judged() {
    let table = Table::read(include_str!("findings.tsv"));
    let mut listed: Vec<[String; 4]> = Vec::new();
    let mut disputed = 0;
    for row in table.rows() {
        listed.push(["file", "line", "severity", "rule"].map(|column| row.get(column).to_owned()));
        assert!(!row.get("why").is_empty(), "{row:?}");
        match row.get("verdict") {
            "right" => {}
            "disputed" => {
                disputed += 1;
                assert_ne!(row.get("severity"), Severity::Error.word(), "a disputed error: {row:?}");
            }
            other => unreachable!("no verdict {other}: {row:?}"),
        }
    }
    let found = found(Edition::default());
    let new: Vec<String> =
        found.iter().filter(|one| !listed.contains(one)).map(|one| one.join("\t")).collect();
    let gone: Vec<String> =
        listed.iter().filter(|one| !found.contains(one)).map(|one| one.join("\t")).collect();
    assert!(
        new.is_empty() && gone.is_empty(),
        "not listed:\n{}\nno longer found:\n{}",
        new.join("\n"),
        gone.join("\n")
    );
    // A tenth of what is said, and no more, may be a matter of taste.
    assert!(disputed * 10 <= found.len(), "{disputed} of {} are disputed", found.len());
}

/// What enters in the next edition has nothing to say of good recipes.
#[test]
fn the_next_edition_says_no_more_of_good_recipes() {
    assert_eq!(found(Edition::NEXT), found(Edition::default()));
}
