//! `gyle check --watch`: checks again whenever a file changes.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher};
use workspace::Workspace;

use crate::args::CheckArgs;
use crate::check::absolute;
use crate::output::{Output, complain};

/// An editor writes a file in several steps; what comes within this time is one change.
const QUIET: Duration = Duration::from_millis(80);

/// Runs a check, and again after each change, until somebody ends it or nobody reads it any more.
pub(crate) fn run(args: &CheckArgs, output: &mut Output, check: impl Fn(&mut Output) -> u8) -> u8 {
    loop {
        // Watched before it is checked, so that nothing is missed in between; and anew each time, since
        // folders come and go.
        let (sender, changes) = channel();
        let mut watcher = match notify::recommended_watcher(sender) {
            Ok(watcher) => watcher,
            Err(error) => {
                complain(&format!("changes cannot be watched here: {error}"));
                return 2;
            }
        };
        if let Err(text) = watch(&mut watcher, &args.paths) {
            complain(&text);
            return 2;
        }
        let code = check(output);
        if !output.flush() {
            return code;
        }
        complain("waiting for changes; Ctrl+C ends");
        if !wait(&changes) {
            return code;
        }
    }
}

/// Watches the houses that the paths belong to: what the cellar says decides over recipes elsewhere.
fn watch(watcher: &mut RecommendedWatcher, paths: &[PathBuf]) -> Result<(), String> {
    let workspace = Workspace::new(std::sync::Arc::new(workspace::Disk));
    let mut folders: Vec<PathBuf> = Vec::new();
    for path in paths {
        let path = absolute(path);
        let folder = if path.is_file() { path.parent().unwrap_or(&path) } else { &path };
        // Houses further down lie below the folder, and so are watched with it.
        folders.push(workspace.config_for(&folder.join("any.gyle")).root.clone());
        folders.push(folder.to_path_buf());
    }
    folders.sort();
    folders.dedup();
    let mut last: Option<&Path> = None;
    for folder in &folders {
        if last.is_some_and(|last| folder.starts_with(last)) {
            continue;
        }
        // A folder that is gone may come back: its nearest parent tells.
        let there = folder.ancestors().find(|folder| folder.is_dir()).unwrap_or(folder);
        let mode = if there == folder { RecursiveMode::Recursive } else { RecursiveMode::NonRecursive };
        watcher
            .watch(there, mode)
            .map_err(|error| format!("{} cannot be watched: {error}", folder.display()))?;
        if there == folder {
            last = Some(folder);
        }
        if let Some(parent) = there.parent() {
            // Whether the folder itself goes away or is put in place anew.
            let _ = watcher.watch(parent, RecursiveMode::NonRecursive);
        }
    }
    Ok(())
}

/// Waits for a change that matters. False when there will be none.
fn wait(changes: &Receiver<notify::Result<Event>>) -> bool {
    loop {
        let Ok(change) = changes.recv() else { return false };
        if !matters(&change) {
            continue;
        }
        while changes.recv_timeout(QUIET).is_ok() {}
        return true;
    }
}

fn matters(change: &notify::Result<Event>) -> bool {
    let Ok(event) = change else { return true };
    if event.kind.is_access() {
        return false;
    }
    event.paths.iter().any(|path| {
        Workspace::is_gyle(path)
            || path.file_name().is_some_and(|name| name == "gyle.toml")
            || is_folder(path)
    })
}

/// A folder, or what was one: a name without an ending that is no file now.
fn is_folder(path: &Path) -> bool {
    path.is_dir() || (path.extension().is_none() && !path.exists())
}
