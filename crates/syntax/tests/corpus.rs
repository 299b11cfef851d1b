//! The files that brewers read: every demo, every example of the language, the built-in library.

#![allow(clippy::unwrap_used, reason = "a test helper that finds no files has to stop")]

use std::path::{Path, PathBuf};

use syntax::{LineIndex, parse};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    let entries = std::fs::read_dir(folder).unwrap();
    for path in entries.map(|entry| entry.unwrap().path()) {
        if path.is_dir() {
            gather(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "gyle") {
            files.push(path);
        }
    }
}

/// Path and text of each file.
fn corpus() -> Vec<(String, String)> {
    let mut files = Vec::new();
    for folder in ["tests/saltmarsh", "tests/language", "crates/catalogue/data"] {
        gather(&root().join(folder), &mut files);
    }
    files.sort();
    files
        .into_iter()
        .map(|path| (path.display().to_string(), std::fs::read_to_string(path).unwrap()))
        .collect()
}

#[test]
fn nothing_is_wrong_with_them() {
    let corpus = corpus();
    assert!(corpus.len() >= 40, "{} files", corpus.len());
    let mut found = String::new();
    for (path, text) in &corpus {
        let index = LineIndex::new(text);
        for placed in &parse(text).blocks {
            for fault in &placed.block.faults {
                let line = index.line(placed.start + fault.span.start) + 1;
                found.push_str(&format!("{path}:{line}: {}: {}\n", fault.rule, fault.message));
            }
        }
    }
    assert!(found.is_empty(), "{found}");
}

#[test]
fn no_line_of_them_is_lost() {
    for (path, text) in corpus() {
        let file = parse(&text);
        let joined: String = file.blocks.iter().map(|placed| &*placed.block.text).collect();
        assert_eq!(joined, text, "{path}");
        assert!(file.blocks.iter().all(|placed| !placed.block.is_broken()), "{path}");
    }
}
