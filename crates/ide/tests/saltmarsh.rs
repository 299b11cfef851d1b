//! Every hint of the demo repository, beside its line.
#![allow(clippy::unwrap_used)]

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use syntax::Span;
use workspace::{Disk, Source, Workspace};

#[test]
fn every_hint_of_the_demo_repository() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/saltmarsh").canonicalize().unwrap();
    let mut workspace = Workspace::new(Arc::new(Disk));
    let paths = Disk.walk(&root).files;
    let loaded = workspace.load(&paths);
    for folder in ["recipes", "logs", "cellar"] {
        let mut out = String::new();
        for id in &loaded.files {
            let state = workspace.file(*id).unwrap();
            if !state.path.parent().is_some_and(|parent| parent.ends_with(folder)) {
                continue;
            }
            let analysis = workspace.analyse(*id).unwrap();
            let hints = ide::hints(&workspace, &analysis, Span::new(0, u32::MAX));
            let _ = writeln!(out, "==== {}", state.path.file_name().unwrap().to_string_lossy());
            let mut start = 0;
            for line in state.text.split_inclusive('\n') {
                let bare = line.trim_end_matches(['\n', '\r']);
                let end = u32::try_from(start + bare.len()).unwrap();
                let beside: Vec<String> = hints
                    .iter()
                    .filter(|hint| hint.offset == end)
                    .map(|hint| format!("{}: {}", hint.kind.id(), hint.label))
                    .collect();
                if !beside.is_empty() {
                    let _ = writeln!(out, "{bare:<58} {}", beside.join(" | "));
                }
                start += line.len();
            }
        }
        insta::assert_snapshot!(folder, out);
    }
}
