//! Commands that a client asks for by name.

use serde::Deserialize;
use serde_json::Value;
use tower_lsp::lsp_types::{Position, Url, WorkspaceEdit};

use crate::actions::edit_of_change;
use crate::snapshot::Snapshot;

/// The commands a client says it runs itself, `{"commands": ["gyle.showReferences"]}` in what it begins with.
pub(crate) fn of_client(options: &Value) -> Vec<String> {
    let given = options.get("commands").and_then(Value::as_array).into_iter().flatten();
    given.filter_map(Value::as_str).map(str::to_owned).collect()
}

/// Brings the recipe at a position to a batch of any size.
pub(crate) const RESIZE: &str = "gyle.resizeTo";

/// The argument of [`RESIZE`].
#[derive(Deserialize)]
pub(crate) struct Resize {
    pub(crate) uri: Url,
    pub(crate) position: Position,
    /// As one writes it: `50 L`.
    pub(crate) batch: String,
}

/// What a resizing changes.
///
/// # Errors
/// Why the recipe cannot be brought to that batch, in a brewer's words.
pub(crate) fn resize(snapshot: &Snapshot, asked: &Resize) -> Result<WorkspaceEdit, String> {
    let nothing = || "there is no recipe here".to_owned();
    let state = snapshot.file(&asked.uri).ok_or_else(nothing)?;
    let (text, analysis) = snapshot.text(state.id).zip(snapshot.analysis(state.id)).ok_or_else(nothing)?;
    let change = ide::resized(&snapshot.workspace, &analysis, text.offset(asked.position), &asked.batch)?;
    edit_of_change(snapshot, &change).ok_or_else(nothing)
}
