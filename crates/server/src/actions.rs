//! Changes that are offered at a place.

use std::collections::HashMap;

use syntax::{Edit, Fix};
use tower_lsp::lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, DocumentChanges, OneOf,
    OptionalVersionedTextDocumentIdentifier, TextDocumentEdit, TextEdit, Url, WorkspaceEdit,
};
use workspace::FileState;

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
    let version = snapshot.open.get(&state.id).map(|open| open.version);
    Some(workspace_edit(snapshot, vec![(uri, version, text.edits(edits))]))
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
