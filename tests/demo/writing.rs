//! The demo repository, the examples of the language and the built-in library are written without a fault.

// A file that cannot be read fails the test.
#![allow(clippy::panic)]

use std::collections::HashMap;

use gyle_tests::{gyle_files, read};
use syntax::ast::{File, Line};
use syntax::vocabulary::BlockKind;

/// The faults of a file, one a line, and the file with them.
fn faults(name: &str, text: &str) -> (File, Vec<String>) {
    let file = syntax::parse(text);
    let mut found = Vec::new();
    for placed in &file.blocks {
        let line_at = |at: usize| placed.line as usize + placed.block.text[..at].lines().count().max(1);
        for fault in &placed.block.faults {
            let line = line_at(fault.span.start as usize);
            found.push(format!("{name}:{line}: {}: {} {}", fault.rule, fault.message, fault.help));
        }
    }
    let joined: String = file.blocks.iter().map(|placed| &*placed.block.text).collect();
    assert_eq!(joined, text, "{name}");
    (file, found)
}

#[test]
fn the_library_is_written_without_a_fault() {
    let found: Vec<String> =
        catalogue::files().iter().flat_map(|(name, text)| faults(name, text).1).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The block that the index cuts out is the block that the parser sees in the whole file.
#[test]
fn the_index_of_the_library_cuts_whole_blocks() {
    let bodies = |lines: &[Line]| lines.iter().map(|line| format!("{:?}", line.body)).collect::<Vec<_>>();
    let mut blocks = HashMap::new();
    for (at, (_, text)) in catalogue::files().iter().enumerate() {
        for placed in syntax::parse(text).blocks {
            blocks.insert((at, placed.start as usize), placed.block);
        }
    }
    for entry in catalogue::Kind::ALL.into_iter().flat_map(catalogue::definitions) {
        let alone = syntax::parse(entry.text());
        let [placed] = alone.blocks.as_slice() else { panic!("{}: more than one block", entry.name) };
        assert_eq!(placed.block.kind.word(), entry.kind.word(), "{}", entry.name);
        let Some(block) = blocks.get(&(entry.file, entry.start)) else {
            panic!("{}: no block there", entry.name)
        };
        let (cut, seen) = (bodies(&placed.block.lines), bodies(&block.lines));
        assert_eq!(cut, seen[..cut.len()], "{}", entry.name);
        assert!(
            block.text[placed.block.text.len()..].lines().all(|rest| !rest.starts_with(' ')),
            "{}",
            entry.name
        );
    }
}

#[test]
fn the_demo_and_the_examples_are_written_without_a_fault() {
    let mut found = Vec::new();
    for folder in ["saltmarsh", "language"] {
        let files = gyle_files(folder);
        assert!(!files.is_empty(), "{folder}");
        for path in files {
            found.extend(faults(&path.display().to_string(), &read(&path)).1);
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// Every file is as the formatter would leave it.
#[test]
fn every_file_formats_to_itself() {
    let mut texts: Vec<(String, String)> =
        catalogue::files().iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
    for path in ["saltmarsh", "language"].into_iter().flat_map(gyle_files) {
        texts.push((path.display().to_string(), read(&path)));
    }
    for (name, text) in texts {
        let edits = edit::format(&syntax::parse(&text));
        let first = edits.first().map(|edit| text[..edit.span.start as usize].lines().count());
        assert!(edits.is_empty(), "{name}: line {first:?} and {} more places", edits.len() - 1);
    }
}

/// What the demo repository is there to show.
#[test]
fn the_demo_shows_every_kind_of_block() {
    let mut kinds = Vec::new();
    for path in gyle_files("saltmarsh") {
        let file = syntax::parse(&read(&path));
        kinds.extend(file.blocks.iter().map(|placed| placed.block.kind));
    }
    let count = |kind| kinds.iter().filter(|seen| **seen == kind).count();
    assert!(count(BlockKind::Recipe) >= 12, "{}", count(BlockKind::Recipe));
    assert!(count(BlockKind::Gyle) >= 6, "{}", count(BlockKind::Gyle));
    for kind in BlockKind::ALL {
        let not_shown = matches!(kind, BlockKind::Preamble | BlockKind::Unknown);
        assert!(not_shown || count(*kind) > 0, "no {} block", kind.word());
    }
}
