//! What the client can do, and what the server says it can.

use syntax::Encoding;
use tower_lsp::lsp_types::{
    ClientCapabilities, CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CodeLensOptions,
    ColorProviderCapability, CompletionOptions, DiagnosticOptions, DiagnosticServerCapabilities,
    DocumentLinkOptions, DocumentOnTypeFormattingOptions, ExecuteCommandOptions, FileOperationFilter,
    FileOperationPattern, FileOperationPatternKind, FileOperationRegistrationOptions,
    FoldingRangeProviderCapability, HoverProviderCapability, InlayHintOptions, InlayHintServerCapabilities,
    MarkupKind, OneOf, PositionEncodingKind, RenameOptions, ResourceOperationKind,
    SelectionRangeProviderCapability, ServerCapabilities, SignatureHelpOptions, TextDocumentSyncCapability,
    TextDocumentSyncKind, TextDocumentSyncOptions, WorkDoneProgressOptions,
    WorkspaceFileOperationsServerCapabilities, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};

use crate::snapshot::Client;
use crate::{actions, commands, tokens};

/// Reads what the answers depend on.
pub(crate) fn client(capabilities: &ClientCapabilities) -> Client {
    let document = capabilities.text_document.as_ref();
    let workspace = capabilities.workspace.as_ref();
    let window = capabilities.window.as_ref();
    let published = document.and_then(|document| document.publish_diagnostics.as_ref());
    Client {
        encoding: encoding(capabilities),
        pulls: document.is_some_and(|document| document.diagnostic.is_some()),
        describes: published.and_then(|published| published.code_description_support).unwrap_or(false),
        related: published.and_then(|published| published.related_information).unwrap_or(false),
        progress: window.and_then(|window| window.work_done_progress).unwrap_or(false),
        watches: workspace
            .and_then(|workspace| workspace.did_change_watched_files.as_ref())
            .and_then(|watched| watched.dynamic_registration)
            .unwrap_or(false),
        refreshes_hints: workspace
            .and_then(|workspace| workspace.inlay_hint.as_ref())
            .and_then(|hints| hints.refresh_support)
            .unwrap_or(false),
        refreshes_tokens: workspace
            .and_then(|workspace| workspace.semantic_tokens.as_ref())
            .and_then(|tokens| tokens.refresh_support)
            .unwrap_or(false),
        refreshes_diagnostics: workspace
            .and_then(|workspace| workspace.diagnostic.as_ref())
            .and_then(|diagnostic| diagnostic.refresh_support)
            .unwrap_or(false),
        snippets: document
            .and_then(|document| document.completion.as_ref())
            .and_then(|completion| completion.completion_item.as_ref())
            .and_then(|item| item.snippet_support)
            .unwrap_or(false),
        // Said beside its capabilities.
        commands: Vec::new(),
        label_offsets: document
            .and_then(|document| document.signature_help.as_ref())
            .and_then(|help| help.signature_information.as_ref())
            .and_then(|information| information.parameter_information.as_ref())
            .and_then(|parameter| parameter.label_offset_support)
            .unwrap_or(false),
        applies_edits: workspace.and_then(|workspace| workspace.apply_edit).unwrap_or(false),
        refreshes_lenses: workspace
            .and_then(|workspace| workspace.code_lens.as_ref())
            .and_then(|lens| lens.refresh_support)
            .unwrap_or(false),
        markdown: document
            .and_then(|document| document.hover.as_ref())
            .and_then(|hover| hover.content_format.as_ref())
            .is_some_and(|formats| formats.contains(&MarkupKind::Markdown)),
        links_of_definitions: document
            .and_then(|document| document.definition)
            .and_then(|definition| definition.link_support)
            .unwrap_or(false),
        outline_is_tree: document
            .and_then(|document| document.document_symbol.as_ref())
            .and_then(|symbols| symbols.hierarchical_document_symbol_support)
            .unwrap_or(false),
        configuration: workspace.and_then(|workspace| workspace.configuration).unwrap_or(false),
        resolves_edits: document
            .and_then(|document| document.code_action.as_ref())
            .and_then(|action| action.resolve_support.as_ref())
            .is_some_and(|support| support.properties.iter().any(|property| property == "edit")),
        creates_files: workspace.and_then(|workspace| workspace.workspace_edit.as_ref()).is_some_and(
            |edit| {
                let operations = edit.resource_operations.as_deref().unwrap_or_default();
                edit.document_changes == Some(true) && operations.contains(&ResourceOperationKind::Create)
            },
        ),
        versioned_edits: workspace
            .and_then(|workspace| workspace.workspace_edit.as_ref())
            .and_then(|edit| edit.document_changes)
            .unwrap_or(false),
    }
}

/// The first of the client's own order that is known, else the UTF-16 that every client knows.
fn encoding(capabilities: &ClientCapabilities) -> Encoding {
    let offered = capabilities.general.as_ref().and_then(|general| general.position_encodings.as_ref());
    offered
        .into_iter()
        .flatten()
        .find_map(|kind| match kind.as_str() {
            "utf-8" => Some(Encoding::Utf8),
            "utf-16" => Some(Encoding::Utf16),
            "utf-32" => Some(Encoding::Utf32),
            _ => None,
        })
        .unwrap_or(Encoding::Utf16)
}

/// What is advertised to this client.
pub(crate) fn server(client: &Client) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(match client.encoding {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }),
        text_document_sync: Some(TextDocumentSyncCapability::Options(TextDocumentSyncOptions {
            open_close: Some(true),
            change: Some(TextDocumentSyncKind::INCREMENTAL),
            ..TextDocumentSyncOptions::default()
        })),
        diagnostic_provider: client.pulls.then(|| {
            DiagnosticServerCapabilities::Options(DiagnosticOptions {
                identifier: Some("gyle".into()),
                inter_file_dependencies: true,
                workspace_diagnostics: true,
                ..DiagnosticOptions::default()
            })
        }),
        inlay_hint_provider: Some(OneOf::Right(InlayHintServerCapabilities::Options(InlayHintOptions {
            resolve_provider: Some(true),
            ..InlayHintOptions::default()
        }))),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        document_on_type_formatting_provider: Some(DocumentOnTypeFormattingOptions {
            first_trigger_character: "\n".into(),
            more_trigger_character: None,
        }),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(
                [CodeActionKind::QUICKFIX, CodeActionKind::SOURCE_FIX_ALL]
                    .into_iter()
                    .chain(ide::ActionKind::ALL.map(actions::kind_of))
                    .collect(),
            ),
            resolve_provider: Some(true),
            ..CodeActionOptions::default()
        })),
        completion_provider: Some(CompletionOptions {
            // Between the words of a name, and where a list of properties or a text in quotes begins.
            trigger_characters: Some([" ", "[", "\"", "/"].map(String::from).to_vec()),
            ..CompletionOptions::default()
        }),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        })),
        signature_help_provider: Some(SignatureHelpOptions {
            // Not at each blank: a form that comes up by itself would stand before the line it is of.
            trigger_characters: Some(vec!["[".into()]),
            retrigger_characters: Some([" ", ","].map(String::from).to_vec()),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        }),
        color_provider: Some(ColorProviderCapability::Simple(true)),
        code_lens_provider: Some(CodeLensOptions { resolve_provider: Some(true) }),
        execute_command_provider: client.applies_edits.then(|| ExecuteCommandOptions {
            commands: vec![commands::RESIZE.into()],
            ..ExecuteCommandOptions::default()
        }),
        semantic_tokens_provider: Some(tokens::provider()),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        document_link_provider: Some(DocumentLinkOptions {
            resolve_provider: None,
            work_done_progress_options: WorkDoneProgressOptions::default(),
        }),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: Some(WorkspaceFileOperationsServerCapabilities {
                will_rename: Some(FileOperationRegistrationOptions { filters: moves() }),
                ..WorkspaceFileOperationsServerCapabilities::default()
            }),
        }),
        ..ServerCapabilities::default()
    }
}

/// Which files and folders take paths along when they move.
fn moves() -> Vec<FileOperationFilter> {
    let filter = |glob: &str, matches| FileOperationFilter {
        scheme: Some("file".into()),
        pattern: FileOperationPattern { glob: glob.into(), matches: Some(matches), options: None },
    };
    vec![filter("**/*.gyle", FileOperationPatternKind::File), filter("**", FileOperationPatternKind::Folder)]
}
