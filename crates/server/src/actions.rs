//! Changes that are offered at a place.

use std::collections::HashMap;

use ide::{Action, ActionKind, Change};
use jiff::Zoned;
use serde::{Deserialize, Serialize};
use syntax::{Edit, Fix, Span};
use tower_lsp::lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CreateFile, DocumentChangeOperation,
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, Range, ResourceOp, TextDocumentEdit,
    TextEdit, Url, WorkspaceEdit,
};
use workspace::{Analysis, FileState};

use crate::convert;
use crate::snapshot::{Snapshot, Text};

/// Edits of one file, with the version they are made for where the client understands that.
pub(crate) fn workspace_edit(
    snapshot: &Snapshot,
    changes: Vec<(Url, Option<i32>, Vec<TextEdit>)>,
) -> WorkspaceEdit {
    if snapshot.client.versioned_edits {
        let edits = changes
            .into_iter()
            .map(|(uri, version, edits)| TextDocumentEdit {
                text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
                edits: edits.into_iter().map(OneOf::Left).collect(),
            })
            .collect();
        return WorkspaceEdit {
            document_changes: Some(DocumentChanges::Edits(edits)),
            ..WorkspaceEdit::default()
        };
    }
    let changes: HashMap<Url, Vec<TextEdit>> =
        changes.into_iter().map(|(uri, _, edits)| (uri, edits)).collect();
    WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() }
}

/// Edits of one file.
fn edit_of(snapshot: &Snapshot, state: &FileState, text: &Text, edits: &[Edit]) -> Option<WorkspaceEdit> {
    let uri = snapshot.uri(state.id)?;
    let version = snapshot.version(state.id);
    Some(workspace_edit(snapshot, vec![(uri, version, text.edits(edits))]))
}

/// What an action carries to be computed when it is chosen.
#[derive(Serialize, Deserialize)]
struct Data {
    uri: Url,
    /// Of the text it was offered for; none of a file that is not open.
    version: Option<i32>,
    start: u32,
    end: u32,
    id: String,
    choice: String,
}

/// The kind of the protocol.
pub(crate) fn kind_of(kind: ActionKind) -> CodeActionKind {
    match kind {
        ActionKind::Rewrite => CodeActionKind::REFACTOR_REWRITE,
        ActionKind::Extract => CodeActionKind::REFACTOR_EXTRACT,
        ActionKind::Create => CodeActionKind::REFACTOR,
        ActionKind::Source => CodeActionKind::SOURCE,
    }
}

/// A change of any files.
pub(crate) fn edit_of_change(snapshot: &Snapshot, change: &Change) -> Option<WorkspaceEdit> {
    let mut changes = Vec::with_capacity(change.edits.len());
    for (file, edits) in &change.edits {
        let version = snapshot.version(*file);
        changes.push((snapshot.uri(*file)?, version, snapshot.text(*file)?.edits(edits)));
    }
    if change.created.is_empty() {
        return Some(workspace_edit(snapshot, changes));
    }
    // Offered only to clients that make files.
    let mut operations = Vec::new();
    for file in &change.created {
        let uri = Url::from_file_path(&file.path).ok()?;
        operations.push(DocumentChangeOperation::Op(ResourceOp::Create(CreateFile {
            uri: uri.clone(),
            options: None,
            annotation_id: None,
        })));
        changes.push((uri, None, vec![TextEdit::new(Range::default(), file.text.clone())]));
    }
    operations.extend(changes.into_iter().map(|(uri, version, edits)| {
        DocumentChangeOperation::Edit(TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        })
    }));
    let document_changes = Some(DocumentChanges::Operations(operations));
    Some(WorkspaceEdit { document_changes, ..WorkspaceEdit::default() })
}

/// What an action changes now.
fn change_of(
    snapshot: &Snapshot,
    analysis: &Analysis,
    span: Span,
    id: &str,
    choice: &str,
) -> Option<WorkspaceEdit> {
    let now = Zoned::now().strftime("%Y-%m-%d %H:%M").to_string();
    let change = ide::action_change(&snapshot.workspace, analysis, span, id, choice, Some(&now))?;
    edit_of_change(snapshot, &change)
}

/// What is offered at a place beside fixes, computed at once only where the client cannot ask for it later.
fn offers(
    snapshot: &Snapshot,
    state: &FileState,
    analysis: &Analysis,
    asked: Span,
    params: &CodeActionParams,
) -> Vec<CodeActionOrCommand> {
    // Of the whole file only where it is asked for: as one more entry at every place it would be in the way.
    let fits = |kind: ActionKind| {
        wanted(params, &kind_of(kind))
            && (kind != ActionKind::Source || params.context.only.is_some())
            && (kind != ActionKind::Create || snapshot.client.creates_files)
    };
    let Some(uri) = snapshot.uri(state.id) else { return Vec::new() };
    let version = snapshot.version(state.id);
    let made = ide::actions(&snapshot.workspace, analysis, asked, fits).into_iter().filter_map(|one| {
        let Action { id, choice, title, kind } = one;
        let (edit, data) = if snapshot.client.resolves_edits {
            let data = Data {
                uri: uri.clone(),
                version,
                start: asked.start,
                end: asked.end,
                id: id.to_owned(),
                choice,
            };
            (None, Some(serde_json::to_value(data).ok()?))
        } else {
            (Some(change_of(snapshot, analysis, asked, id, &choice)?), None)
        };
        Some(CodeActionOrCommand::CodeAction(CodeAction {
            title,
            kind: Some(kind_of(kind)),
            edit,
            data,
            ..CodeAction::default()
        }))
    });
    made.collect()
}

/// An action with its edit. One of a text that has changed since it was offered gets none.
pub(crate) fn resolved(snapshot: &Snapshot, mut action: CodeAction) -> Option<CodeAction> {
    let data: Data = serde_json::from_value(action.data.clone()?).ok()?;
    let state = snapshot.file(&data.uri)?;
    if snapshot.version(state.id) != data.version {
        return None;
    }
    let analysis = snapshot.analysis(state.id)?;
    let span = Span::new(data.start, data.end);
    action.edit = Some(change_of(snapshot, &analysis, span, &data.id, &data.choice)?);
    Some(action)
}

/// Whether a kind is among those asked for; kinds are prefixes.
fn wanted(params: &CodeActionParams, kind: &CodeActionKind) -> bool {
    params.context.only.as_ref().is_none_or(|only| {
        only.iter().any(|one| {
            kind.as_str() == one.as_str()
                || kind.as_str().strip_prefix(one.as_str()).is_some_and(|rest| rest.starts_with('.'))
        })
    })
}

/// All changes offered for a range.
pub(crate) fn at(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    params: &CodeActionParams,
) -> Vec<CodeActionOrCommand> {
    let Some(analysis) = snapshot.analysis(state.id) else { return Vec::new() };
    let mut out = Vec::new();
    let asked = text.span(params.range);
    if wanted(params, &CodeActionKind::QUICKFIX) {
        for finding in &analysis.findings {
            if finding.span.start > asked.end || finding.span.end < asked.start {
                continue;
            }
            for (at, fix) in finding.fixes.iter().enumerate() {
                let diagnostic = convert::diagnostics(snapshot, text, core::slice::from_ref(finding));
                out.push(CodeActionOrCommand::CodeAction(CodeAction {
                    title: title(fix),
                    kind: Some(CodeActionKind::QUICKFIX),
                    diagnostics: Some(diagnostic),
                    edit: edit_of(snapshot, state, text, &fix.edits),
                    is_preferred: Some(at == 0 && fix.safe),
                    ..CodeAction::default()
                }));
            }
        }
    }
    out.extend(offers(snapshot, state, &analysis, asked, params));
    // Only where it is asked for: as one more entry at every place it would be in the way.
    let all = params.context.only.is_some() && wanted(params, &CodeActionKind::SOURCE_FIX_ALL);
    if all {
        let mut edits: Vec<Edit> = Vec::new();
        for fix in analysis.findings.iter().filter_map(|finding| finding.fixes.iter().find(|fix| fix.safe)) {
            let clashes = fix.edits.iter().any(|new| {
                edits.iter().any(|old| new.span.start <= old.span.end && old.span.start <= new.span.end)
            });
            if !clashes {
                edits.extend(fix.edits.iter().cloned());
            }
        }
        edits.sort_by_key(|edit| edit.span.start);
        if !edits.is_empty() {
            out.push(CodeActionOrCommand::CodeAction(CodeAction {
                title: "Apply every safe fix of this file".into(),
                kind: Some(CodeActionKind::SOURCE_FIX_ALL),
                edit: edit_of(snapshot, state, text, &edits),
                ..CodeAction::default()
            }));
        }
    }
    out
}

/// Titles of fixes begin in lower case; a menu wants a capital.
fn title(fix: &Fix) -> String {
    let mut letters = fix.title.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
