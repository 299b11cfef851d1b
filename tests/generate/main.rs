//! The findings in a repository of generated recipes, counted by rule.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use gyle_tests::current;
use gyle_tests::generate::{Made, Planted, SEED, repository};
use rules::Finding;
use workspace::{Memory, Workspace};

/// How many recipes are counted.
const RECIPES: usize = 500;

/// The files and the findings of each.
static CHECKED: LazyLock<(Vec<Made>, Vec<Vec<Finding>>)> = LazyLock::new(|| {
    let files = repository(RECIPES, SEED);
    let found = findings(&files);
    (files, found)
});

/// Each file's findings, in the order of the files.
fn findings(files: &[Made]) -> Vec<Vec<Finding>> {
    let root = Path::new("/brewery");
    let texts = files.iter().map(|file| (root.join(&file.path), file.text.clone()));
    let mut workspace = Workspace::new(Arc::new(Memory::new(texts)));
    let paths: Vec<PathBuf> = files
        .iter()
        .map(|file| root.join(&file.path))
        .filter(|path| path.extension().unwrap() == "gyle")
        .collect();
    let loaded = workspace.load(&paths);
    assert_eq!(loaded.files.len(), paths.len());
    let mut by_path: BTreeMap<PathBuf, Vec<Finding>> =
        paths.into_iter().map(|path| (path, Vec::new())).collect();
    let repository = workspace.check_repositories(&[root.to_owned()]);
    let own = loaded.files.iter().flat_map(|id| workspace.analyse(*id).unwrap().findings);
    for finding in own.chain(repository) {
        by_path.get_mut(&workspace.file(finding.file).unwrap().path).unwrap().push(finding);
    }
    files.iter().map(|file| by_path.remove(&root.join(&file.path)).unwrap_or_default()).collect()
}

/// When a rule or the generator changes on purpose: read what became of the findings before taking over the
/// new counts.
#[test]
fn findings_by_rule_are_those_committed() {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for finding in CHECKED.1.iter().flatten() {
        *counts.entry(finding.rule).or_default() += 1;
    }
    let table: String = counts.into_iter().map(|(rule, count)| format!("{count:5} {rule}\n")).collect();
    current("tests/generate/counts.txt", &table, "generate");
}

/// Each planted fault is found by its rule, and each kind is planted.
#[test]
fn what_is_planted_is_found() {
    let (files, found) = &*CHECKED;
    let mut planted: BTreeMap<Planted, usize> = BTreeMap::new();
    let mut missed = Vec::new();
    for (file, findings) in files.iter().zip(found) {
        let Some(fault) = file.planted else { continue };
        *planted.entry(fault).or_default() += 1;
        if !findings.iter().any(|finding| finding.rule == fault.rule()) {
            missed.push(format!("{}: {} in\n{}", file.path, fault.rule(), file.text));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
    assert_eq!(planted.len(), Planted::ALL.len(), "{planted:?}");
}

/// What the generator is said to write.
#[test]
fn the_repository_is_as_described() {
    let files = repository(RECIPES, SEED);
    assert_eq!(files, repository(RECIPES, SEED));
    assert_ne!(files, repository(RECIPES, SEED + 1));
    let recipes: Vec<&Made> = files.iter().filter(|file| file.path.starts_with("recipes/")).collect();
    assert_eq!(recipes.len(), RECIPES);
    let share = |count: usize| count * 100 / RECIPES;
    let own = share(recipes.iter().filter(|file| file.text.contains("\nmalt ")).count());
    let planted = share(recipes.iter().filter(|file| file.planted.is_some()).count());
    assert!((15..=25).contains(&own), "{own} % have definitions of their own");
    assert!((7..=12).contains(&planted), "{planted} % have a planted fault");
}
