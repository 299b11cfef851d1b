//! `gyle check`.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;
use recipe::FileId;
use rules::Finding;
use workspace::{Config, Disk, Loaded, Workspace};

use crate::args::{CheckArgs, Format};
use crate::output::{Output, complain};
use crate::render;

/// Findings of a whole run, with what they refer to.
pub(crate) struct Checked {
    pub(crate) workspace: Workspace,
    pub(crate) findings: Vec<Finding>,
    pub(crate) files: usize,
    pub(crate) notes: Vec<String>,
    /// Folder that paths are shown relative to.
    pub(crate) here: PathBuf,
}

/// What standard input is called where it stands for no path. No file of recipes has such a name.
pub(crate) const STANDARD_INPUT: &str = "standard input";

/// An absolute path without touching the file.
pub(crate) fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf())
}

/// Takes paths and standard input into a workspace. Says on standard error what could not be read; the
/// second value is whether everything could.
pub(crate) fn load(paths: &[PathBuf], stdin_path: Option<&Path>) -> (Workspace, Loaded, bool) {
    let mut workspace = Workspace::new(Arc::new(Disk));
    let mut whole = true;
    let from_stdin = paths.iter().any(|path| path.as_os_str() == "-");
    let paths: Vec<PathBuf> =
        paths.iter().filter(|path| path.as_os_str() != "-").map(|path| absolute(path)).collect();
    let mut loaded = workspace.load(&paths);
    if from_stdin {
        let mut text = String::new();
        match std::io::stdin().read_to_string(&mut text) {
            Ok(_) => {
                let path = absolute(stdin_path.unwrap_or(Path::new(STANDARD_INPUT)));
                loaded.files.push(workspace.load_text(&path, &text));
            }
            Err(error) => {
                complain(&format!("standard input cannot be read: {error}"));
                whole = false;
            }
        }
    }
    let here = absolute(Path::new("."));
    for skipped in &loaded.unreadable {
        complain(&format!("{}: {}", Workspace::shown_path(&skipped.path, &here), skipped.reason));
        whole = false;
    }
    (workspace, loaded, whole)
}

/// Says what is wrong with the configurations in force. False when something is.
pub(crate) fn sound_configs(workspace: &Workspace, files: &[FileId], here: &Path) -> bool {
    let mut seen: Vec<Arc<Config>> = Vec::new();
    for state in files.iter().filter_map(|id| workspace.file(*id)) {
        if !seen.iter().any(|config| Arc::ptr_eq(config, &state.config)) {
            seen.push(Arc::clone(&state.config));
        }
    }
    let mut sound = true;
    for config in &seen {
        let Some(path) = &config.path else { continue };
        let text = std::fs::read_to_string(path).unwrap_or_default();
        for error in &config.errors {
            let line = text.get(..error.span.start).map_or(0, |before| before.matches('\n').count()) + 1;
            complain(&format!(
                "{}:{line}: {}; {}",
                Workspace::shown_path(path, here),
                error.message,
                error.help
            ));
            sound = false;
        }
    }
    sound
}

pub(crate) fn run(args: &CheckArgs, output: &mut Output) -> u8 {
    let (mut workspace, loaded, mut whole) = load(&args.paths, args.stdin_path.as_deref());
    let here = absolute(Path::new("."));
    if !sound_configs(&workspace, &loaded.files, &here) {
        return 2;
    }
    if args.fix {
        whole &= fix(&mut workspace, &loaded.files);
    }
    let mut findings: Vec<Finding> = loaded
        .files
        .par_iter()
        .flat_map_iter(|id| workspace.analyse(*id).map(|analysis| analysis.findings).unwrap_or_default())
        .collect();
    let folders: Vec<PathBuf> = args.paths.iter().map(|path| absolute(path)).collect();
    findings.extend(workspace.check_repositories(&folders));
    let order = |id: FileId| workspace.file(id).map(|state| state.path.clone());
    findings.sort_by_cached_key(|finding| {
        (order(finding.file), finding.span.start, finding.rule, finding.span.end)
    });
    let failed = findings.iter().any(|finding| args.fail_on.fails(finding.severity));
    let checked = Checked { workspace, findings, files: loaded.files.len(), notes: loaded.notes, here };
    match args.format {
        Format::Human => render::human::findings(&checked, args.color, output),
        Format::Json => render::json::findings(&checked, output),
    }
    if !whole { 2 } else { u8::from(failed) }
}

/// Rounds of fixing: a fix may uncover what the next can mend.
const ROUNDS: usize = 4;

/// Applies the safe fixes to the files on disk. False when a file could not be written.
fn fix(workspace: &mut Workspace, files: &[FileId]) -> bool {
    let mut whole = true;
    for id in files {
        let mut changed = false;
        for _ in 0..ROUNDS {
            let Some(analysis) = workspace.analyse(*id) else { break };
            let Some(state) = workspace.file(*id).cloned() else { break };
            let edits: Vec<syntax::Edit> = analysis
                .findings
                .iter()
                .filter_map(|finding| finding.fixes.iter().find(|fix| fix.safe))
                .flat_map(|fix| fix.edits.iter().cloned())
                .collect();
            let text = syntax::apply(&state.text, &edits);
            if *text == *state.text {
                break;
            }
            changed = true;
            workspace.load_text(&state.path, &text);
        }
        if changed
            && let Some(state) = workspace.file(*id)
            && let Err(error) = std::fs::write(&state.path, state.text.as_bytes())
        {
            complain(&format!("{} cannot be written: {error}", state.path.display()));
            whole = false;
        }
    }
    whole
}
