//! Completions as the protocol has them.

use ide::{Completion, CompletionKind};
use jiff::Zoned;
use tower_lsp::lsp_types::{
    CompletionItem, CompletionItemKind, CompletionList, CompletionResponse, CompletionTextEdit,
    Documentation, InsertTextFormat, Position, TextEdit,
};
use workspace::FileState;

use crate::snapshot::{Snapshot, Text};

/// What may stand at a position.
pub(crate) fn at(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
) -> Option<CompletionResponse> {
    let analysis = snapshot.analysis(state.id)?;
    let now = Zoned::now().strftime("%Y-%m-%d %H:%M").to_string();
    let found = ide::completions(&snapshot.workspace, &analysis, state.id, text.offset(position), Some(&now));
    let items = found.into_iter().enumerate().map(|(at, one)| item(snapshot, text, at, one)).collect();
    // What may stand changes with each word, so that a list is good for one only.
    Some(CompletionResponse::List(CompletionList { is_incomplete: true, items }))
}

fn item(snapshot: &Snapshot, text: &Text, at: usize, one: Completion) -> CompletionItem {
    let snippet = one.snippet && snapshot.client.snippets;
    let insert = if one.snippet && !snippet { one.label.clone() } else { one.insert };
    let replaced = one.replace.of(&text.text);
    CompletionItem {
        kind: Some(match one.kind {
            CompletionKind::Block => CompletionItemKind::CLASS,
            CompletionKind::Keyword => CompletionItemKind::KEYWORD,
            CompletionKind::Property => CompletionItemKind::PROPERTY,
            CompletionKind::Name => CompletionItemKind::CONSTANT,
            CompletionKind::Unit => CompletionItemKind::UNIT,
            CompletionKind::Value => CompletionItemKind::VALUE,
            CompletionKind::Figure => CompletionItemKind::VARIABLE,
            CompletionKind::Rule => CompletionItemKind::REFERENCE,
            CompletionKind::File => CompletionItemKind::FILE,
        }),
        // A client sifts by this once more, by its own idea of what fits: give it what is written.
        filter_text: (!replaced.is_empty()).then(|| {
            if one.label.to_lowercase().starts_with(&replaced.to_lowercase()) {
                one.label.clone()
            } else {
                format!("{replaced} {}", one.label)
            }
        }),
        label: one.label,
        detail: one.detail,
        documentation: one.documentation.map(Documentation::String),
        sort_text: Some(format!("{at:05}")),
        insert_text_format: snippet.then_some(InsertTextFormat::SNIPPET),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit::new(text.range(one.replace), insert))),
        ..CompletionItem::default()
    }
}
