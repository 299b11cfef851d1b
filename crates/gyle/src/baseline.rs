//! The baseline: findings a repository lives with for now, so that they do not block new work.
//!
//! A JSON file beside the recipes, one finding a line and sorted, so that its changes read well. An entry is
//! known by its fingerprint, which stays though lines move; paths are relative to the baseline's own folder,
//! so that it is the same from wherever the command runs. What can hurt somebody is never in it.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use workspace::Workspace;

use crate::check::{Checked, absolute};
use crate::output::{Output, complain};
use crate::render::Shown;

/// A finding the baseline lists.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Entry {
    /// Relative to the folder of the baseline, with `/`.
    pub(crate) path: String,
    /// The words of its line, for the reader of the file.
    pub(crate) line: String,
    pub(crate) rule: String,
    pub(crate) fingerprint: String,
}

/// Whether this run would have found an entry again, which stands in the file at this path.
type Covers<'c> = dyn Fn(&Entry, &Path) -> bool + 'c;

fn folder_of(path: &Path) -> PathBuf {
    let path = absolute(path);
    path.parent().map_or(path.clone(), Path::to_path_buf)
}

/// A path relative to a folder, by `..` where it does not lie below it.
fn relative(path: &Path, folder: &Path) -> String {
    let common = folder.ancestors().find(|above| path.starts_with(above)).unwrap_or(folder);
    let up = folder.strip_prefix(common).map_or(0, |below| below.components().count());
    format!("{}{}", "../".repeat(up), Workspace::shown_path(path, common))
}

/// The path of an entry.
fn place(entry: &Entry, folder: &Path) -> PathBuf {
    workspace::normal(&folder.join(&entry.path))
}

fn entry(one: &Shown, workspace: &Workspace, folder: &Path) -> Entry {
    // Only files of the workspace are found fault with.
    let path = workspace
        .file(one.file.id)
        .map_or_else(|| one.file.path.clone(), |state| relative(&state.path, folder));
    Entry {
        path,
        line: one.file.words(one.finding.span.start),
        rule: one.finding.rule.to_owned(),
        fingerprint: one.fingerprint.clone(),
    }
}

fn is_safety(one: &Shown) -> bool {
    rules::find(one.finding.rule).is_some_and(|rule| rule.safety)
}

/// Reads a baseline.
///
/// # Errors
/// When it cannot be read or is none: what to say.
fn read(path: &Path) -> Result<Vec<Entry>, String> {
    let shown = path.display();
    let text = std::fs::read_to_string(path).map_err(|error| {
        format!("{shown} cannot be read: {error}; `gyle check --write-baseline {shown}` makes it")
    })?;
    let foreign = || format!("{shown} is no baseline; `gyle check --write-baseline {shown}` makes it anew");
    let whole: Value = serde_json::from_str(&text).map_err(|_| foreign())?;
    if whole["version"] != 1 {
        return Err(foreign());
    }
    let list = whole["findings"].as_array().ok_or_else(foreign)?;
    list.iter()
        .map(|one| {
            let text = |key: &str| one[key].as_str().map(str::to_owned).ok_or_else(foreign);
            Ok(Entry {
                path: text("path")?,
                line: text("line")?,
                rule: text("rule")?,
                fingerprint: text("fingerprint")?,
            })
        })
        .collect()
}

/// Takes the findings of a baseline out of a run, and notes what is no longer found.
///
/// # Errors
/// When the baseline cannot be read: what to say.
pub(crate) fn apply(
    path: &Path,
    checked: &mut Checked,
    workspace: &Workspace,
    covers: &Covers<'_>,
) -> Result<(), String> {
    let mut left = read(path)?;
    let folder = folder_of(path);
    let mut take = |one: &Shown, same_path: bool| {
        let entry = entry(one, workspace, &folder);
        let at = left.iter().position(|known| {
            known.fingerprint == entry.fingerprint && (!same_path || known.path == entry.path)
        });
        at.map(|at| left.remove(at)).is_some()
    };
    let before = checked.findings.len();
    // First each in its own file, then those of files that have moved.
    for same_path in [true, false] {
        checked.findings.retain(|one| is_safety(one) || !take(one, same_path));
    }
    let known = before - checked.findings.len();
    if known > 0 {
        let what = counted(known, "finding");
        checked.notes.push(format!("{what} in {} left out", path.display()));
    }
    let stale: Vec<&Entry> = left.iter().filter(|entry| covers(entry, &place(entry, &folder))).collect();
    for entry in &stale {
        checked.notes.push(format!(
            "{}: `{}` at `{}` is in the baseline and no longer found",
            entry.path, entry.rule, entry.line
        ));
    }
    if !stale.is_empty() {
        checked.notes.push(format!("`gyle check --write-baseline {}` takes it out", path.display()));
    }
    Ok(())
}

/// Writes what a run found. Entries of files and rules that this run did not look at stay.
pub(crate) fn write(
    path: &Path,
    checked: &Checked,
    workspace: &Workspace,
    covers: &Covers<'_>,
    output: &mut Output,
) -> u8 {
    let folder = folder_of(path);
    let before = match path.exists().then(|| read(path)).transpose() {
        Ok(before) => before.unwrap_or_default(),
        Err(text) => {
            complain(&text);
            return 2;
        }
    };
    let mut entries: Vec<Entry> =
        before.iter().filter(|entry| !covers(entry, &place(entry, &folder))).cloned().collect();
    let (kept, found) = (entries.len(), checked.findings.iter().filter(|one| !is_safety(one)));
    entries.extend(found.map(|one| entry(one, workspace, &folder)));
    let written = entries.len() - kept;
    entries.sort();
    let lines: Vec<String> = entries
        .iter()
        .map(|one| {
            json!({"path": one.path, "line": one.line, "rule": one.rule, "fingerprint": one.fingerprint})
                .to_string()
        })
        .collect();
    let list = if lines.is_empty() { String::new() } else { format!("\n{}\n", lines.join(",\n")) };
    if let Err(error) = std::fs::write(path, format!("{{\"version\":1,\"findings\":[{list}]}}\n")) {
        complain(&format!("{} cannot be written: {error}", path.display()));
        return 2;
    }
    output.line(&format!("{} written to {}", counted(written, "finding"), path.display()));
    let gone =
        before.iter().filter(|old| entries.iter().all(|now| now.fingerprint != old.fingerprint)).count();
    if gone > 0 {
        output.line(&format!("{} taken out that are no longer found", counted(gone, "finding")));
    }
    for one in checked.findings.iter().filter(|one| is_safety(one)) {
        output.line(&format!(
            "{}:{}: `{}` stays out of it: it is about what can hurt somebody, so it is shown until it is mended",
            one.file.path,
            one.range().line,
            one.finding.rule
        ));
    }
    if checked.whole { 0 } else { 2 }
}

fn counted(number: usize, one: &str) -> String {
    if number == 1 { format!("1 {one}") } else { format!("{number} {one}s") }
}
