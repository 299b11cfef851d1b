//! Workspaces over texts in memory.

#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part")]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use recipe::FileId;
use workspace::{Loaded, Memory, Source, Workspace};

/// Files of a text parted by lines `//- path`.
pub fn files(text: &str) -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = Vec::new();
    for line in text.lines() {
        if let Some(path) = line.strip_prefix("//- ") {
            files.push((path.to_owned(), String::new()));
        } else if let Some((_, body)) = files.last_mut() {
            body.push_str(line);
            body.push('\n');
        }
    }
    files
}

/// A workspace over such a text with some paths of it loaded.
pub fn loaded(text: &str, paths: &[&str]) -> (Workspace, Loaded) {
    over(Arc::new(Memory::new(files(text))), paths)
}

/// The same over any source.
pub fn over(source: Arc<dyn Source>, paths: &[&str]) -> (Workspace, Loaded) {
    let mut workspace = Workspace::new(source);
    let paths: Vec<PathBuf> = paths.iter().map(PathBuf::from).collect();
    let loaded = workspace.load(&paths);
    (workspace, loaded)
}

/// The path of a file.
pub fn path_of(workspace: &Workspace, id: FileId) -> String {
    workspace.file(id).map_or_else(|| "built-in".to_owned(), |state| state.path.display().to_string())
}

/// What is found in a file and is no hint: `line rule: message`.
pub fn said(workspace: &Workspace, id: FileId) -> Vec<String> {
    let (Some(state), Some(analysis)) = (workspace.file(id), workspace.analyse(id)) else {
        return Vec::new();
    };
    let told = analysis.findings.iter().filter(|finding| finding.severity > rules::Severity::Hint);
    told.map(|finding| {
        let line = state.text[..finding.span.start as usize].matches('\n').count() + 1;
        format!("{line} {}: {}", finding.rule, finding.message)
    })
    .collect()
}

/// The id of a file that is at hand.
pub fn id(workspace: &Workspace, path: &str) -> FileId {
    workspace.file_at(Path::new(path)).expect("a file at hand")
}
