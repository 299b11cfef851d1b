//! The requests and notifications of the protocol.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, OnceLock};
use std::time::Duration;

use serde_json::json;
use syntax::{Edit, Span};
use tokio::sync::oneshot;
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};
use tower_lsp::lsp_types::request::ApplyWorkspaceEdit;
use tower_lsp::lsp_types::{
    ApplyWorkspaceEditParams, CodeAction, CodeActionParams, CodeActionResponse, CodeLens, CodeLensParams,
    ColorInformation, ColorPresentation, ColorPresentationParams, CompletionParams, CompletionResponse,
    ConfigurationItem, Diagnostic, DidChangeConfigurationParams, DidChangeTextDocumentParams,
    DidChangeWatchedFilesParams, DidChangeWorkspaceFoldersParams, DidCloseTextDocumentParams,
    DidOpenTextDocumentParams, DocumentColorParams, DocumentDiagnosticParams, DocumentDiagnosticReport,
    DocumentDiagnosticReportResult, DocumentFormattingParams, DocumentHighlight, DocumentHighlightParams,
    DocumentLink, DocumentLinkParams, DocumentOnTypeFormattingParams, DocumentRangeFormattingParams,
    DocumentSymbolParams, DocumentSymbolResponse, ExecuteCommandParams, FoldingRange, FoldingRangeParams,
    FullDocumentDiagnosticReport, GotoDefinitionParams, GotoDefinitionResponse, Hover, HoverParams,
    InitializeParams, InitializeResult, InitializedParams, InlayHint, InlayHintParams, Location,
    PrepareRenameResponse, ProgressToken, ReferenceParams, Registration, RelatedFullDocumentDiagnosticReport,
    RelatedUnchangedDocumentDiagnosticReport, RenameFilesParams, RenameParams, SelectionRange,
    SelectionRangeParams, SemanticTokens, SemanticTokensDeltaParams, SemanticTokensFullDeltaResult,
    SemanticTokensParams, SemanticTokensRangeParams, SemanticTokensRangeResult, SemanticTokensResult,
    ServerInfo, SignatureHelp, SignatureHelpParams, SymbolInformation, TextDocumentPositionParams, TextEdit,
    UnchangedDocumentDiagnosticReport, Url, WorkspaceDiagnosticParams, WorkspaceDiagnosticReport,
    WorkspaceDiagnosticReportResult, WorkspaceDocumentDiagnosticReport, WorkspaceEdit,
    WorkspaceFullDocumentDiagnosticReport, WorkspaceSymbolParams, WorkspaceUnchangedDocumentDiagnosticReport,
};
use tower_lsp::{Client, LanguageServer};
use workspace::{Config, FileState, Source};

use crate::documents::{self, Message};
use crate::settings::Settings;
use crate::snapshot::{Client as Can, Snapshot, Text, path_of};
use crate::transport::{Outgoing, internal};
use crate::unsaved::is_config;
use crate::{
    actions, capabilities, check, colours, commands, completion, convert, hints, hover, lenses, navigation,
    signature, tokens,
};

/// How long an answer of the client is waited for.
const PATIENCE: Duration = Duration::from_secs(10);

/// The service.
pub(crate) struct Server {
    client: Client,
    // A sender of the standard library is cloned for each use.
    documents: Mutex<Sender<Message>>,
    outgoing: Outgoing,
    can: OnceLock<Can>,
    tokens: Arc<tokens::Given>,
}

impl Server {
    pub(crate) fn new(client: Client, outgoing: Outgoing, source: Arc<dyn Source>) -> Self {
        let documents = Mutex::new(documents::start(client.clone(), outgoing.clone(), source));
        Self { client, documents, outgoing, can: OnceLock::new(), tokens: Arc::default() }
    }

    fn tell(&self, message: Message) {
        if let Ok(documents) = self.documents.lock() {
            let _ = documents.send(message);
        }
    }

    /// Asks for the files as they are after every message that came before. The asking is done when this
    /// returns; only the answer is waited for.
    fn snapshot(&self) -> oneshot::Receiver<Arc<Snapshot>> {
        let (sender, receiver) = oneshot::channel();
        self.tell(Message::Snapshot(sender));
        receiver
    }

    /// Computes an answer from a snapshot, beside everything else. A request that is given up, or whose
    /// snapshot is outdated before the work begins, costs nothing.
    async fn compute<T: Send + 'static>(
        &self,
        method: &'static str,
        work: impl FnOnce(&Arc<Snapshot>) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        self.compute_until(method, move |snapshot, _| work(snapshot)).await
    }

    /// The same for long work, which looks now and then whether it was given up.
    async fn compute_until<T: Send + 'static>(
        &self,
        method: &'static str,
        work: impl FnOnce(&Arc<Snapshot>, &GivenUp) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        let snapshot = self.snapshot().await.map_err(|_| internal(method))?;
        // A cancelled request drops this future, and with it the guard.
        let guard = Guard(GivenUp::default());
        let given_up = guard.0.clone();
        let done = tokio::task::spawn_blocking(move || {
            if given_up.is_set() {
                Err(Error::request_cancelled())
            } else if snapshot.is_outdated() {
                Err(Error::content_modified())
            } else {
                let answer = work(&snapshot, &given_up);
                // Of a text that has changed meanwhile nobody wants to know.
                if snapshot.is_outdated() { Err(Error::content_modified()) } else { Ok(answer) }
            }
        });
        let answer = done.await.map_err(|_| internal(method))?;
        drop(guard);
        answer
    }

    /// The same for one document.
    async fn about<T: Send + 'static>(
        &self,
        method: &'static str,
        uri: Url,
        work: impl FnOnce(&Arc<Snapshot>, &FileState, &Text) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        self.compute(method, move |snapshot| {
            let state = Arc::clone(snapshot.file(&uri)?);
            let text = snapshot.text(state.id)?;
            work(snapshot, &state, &text)
        })
        .await
    }

    /// Asks the client for its settings, without waiting here.
    fn ask_for_settings(&self) {
        let client = self.client.clone();
        let Ok(documents) = self.documents.lock().map(|documents| documents.clone()) else { return };
        tokio::spawn(async move {
            let item = ConfigurationItem { scope_uri: None, section: Some("gyle".into()) };
            let asked = tokio::time::timeout(PATIENCE, client.configuration(vec![item])).await;
            if let Ok(Ok(values)) = asked
                && let Some(value) = values.first().filter(|value| value.is_object())
            {
                let _ = documents.send(Message::Settings(Settings::read(value)));
            }
        });
    }

    fn watch_files(&self) {
        let client = self.client.clone();
        tokio::spawn(async move {
            let options =
                json!({"watchers": [{"globPattern": "**/*.gyle"}, {"globPattern": "**/gyle.toml"}]});
            let registration = Registration {
                id: "gyle-files".into(),
                method: "workspace/didChangeWatchedFiles".into(),
                register_options: Some(options),
            };
            let _ = tokio::time::timeout(PATIENCE, client.register_capability(vec![registration])).await;
        });
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.tell(Message::Stop);
    }
}

/// Says to a computation that nobody waits for it any more.
#[derive(Clone, Default)]
struct GivenUp(Arc<AtomicBool>);

impl GivenUp {
    fn is_set(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// Gives a computation up when it is dropped.
struct Guard(GivenUp);

impl Drop for Guard {
    fn drop(&mut self) {
        self.0.0.store(true, Ordering::Relaxed);
    }
}

fn folders_of(params: &InitializeParams) -> Vec<PathBuf> {
    let folders = params.workspace_folders.iter().flatten().map(|folder| &folder.uri);
    #[allow(deprecated, reason = "older editors give nothing else")]
    let root = params.root_uri.iter();
    let mut paths: Vec<PathBuf> = folders.chain(root).filter_map(|uri| uri.to_file_path().ok()).collect();
    paths.sort();
    paths.dedup();
    paths
}

fn full(report: FullDocumentDiagnosticReport) -> DocumentDiagnosticReport {
    DocumentDiagnosticReport::Full(RelatedFullDocumentDiagnosticReport {
        related_documents: None,
        full_document_diagnostic_report: report,
    })
}

/// What is wrong with every file, and with each `gyle.toml`. A file that is as it was when the client asked
/// before is only said to be so.
fn whole_repository(
    snapshot: &Arc<Snapshot>,
    before: &HashMap<Url, String>,
    progress: Option<&Progress>,
    given_up: &GivenUp,
) -> Option<Vec<WorkspaceDocumentDiagnosticReport>> {
    if !snapshot.settings.whole_repository {
        return None;
    }
    let all = snapshot.workspace.files().count();
    let mut items = Vec::with_capacity(all);
    for (done, state) in snapshot.workspace.files().enumerate() {
        if given_up.is_set() {
            return None;
        }
        if let Some(progress) = progress.filter(|_| done % 16 == 0) {
            progress.report(done, all);
        }
        let Some(uri) = snapshot.uri(state.id) else { continue };
        let version = snapshot.version(state.id).map(i64::from);
        let result_id = check::result_id(state);
        if let Some(result_id) = result_id.clone()
            && before.get(&uri) == Some(&result_id)
        {
            let unchanged_document_diagnostic_report = UnchangedDocumentDiagnosticReport { result_id };
            items.push(WorkspaceDocumentDiagnosticReport::Unchanged(
                WorkspaceUnchangedDocumentDiagnosticReport {
                    uri,
                    version,
                    unchanged_document_diagnostic_report,
                },
            ));
            continue;
        }
        let found = check::found(snapshot, state.id).into_iter().map(|(_, one)| one).collect();
        items.push(reported(uri, version, result_id, found));
    }
    for config in snapshot.configs() {
        let Some((path, uri)) =
            config.path.as_ref().and_then(|path| Some((path, Url::from_file_path(path).ok()?)))
        else {
            continue;
        };
        items.push(reported(uri, None, None, wrong_with_config(snapshot, path)));
    }
    Some(items)
}

/// What is wrong with a `gyle.toml` that is in force.
fn wrong_with_config(snapshot: &Snapshot, path: &Path) -> Vec<Diagnostic> {
    let own = |config: &&Arc<Config>| config.path.as_deref() == Some(path);
    let Some(config) = snapshot.configs().into_iter().find(own) else { return Vec::new() };
    let text = snapshot.workspace.read(path).unwrap_or_default();
    convert::config_diagnostics(&config.errors, &Text::new(text.into(), snapshot.client.encoding))
}

fn reported(
    uri: Url,
    version: Option<i64>,
    result_id: Option<String>,
    items: Vec<Diagnostic>,
) -> WorkspaceDocumentDiagnosticReport {
    WorkspaceDocumentDiagnosticReport::Full(WorkspaceFullDocumentDiagnosticReport {
        uri,
        version,
        full_document_diagnostic_report: FullDocumentDiagnosticReport { result_id, items },
    })
}

/// Progress of a request, under the token its client gave; it ends when it is dropped.
struct Progress {
    token: ProgressToken,
    outgoing: Outgoing,
}

impl Progress {
    fn begin(token: ProgressToken, outgoing: Outgoing) -> Self {
        let made = Self { token, outgoing };
        made.say(&json!({"kind": "begin", "title": "Checking recipes", "percentage": 0}));
        made
    }

    fn report(&self, done: usize, all: usize) {
        let message = format!("{done} of {all} files");
        self.say(&json!({"kind": "report", "message": message, "percentage": done * 100 / all.max(1)}));
    }

    fn say(&self, value: &serde_json::Value) {
        self.outgoing.notify(check::progress_method(), &json!({"token": self.token, "value": value}));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.say(&json!({"kind": "end"}));
    }
}

/// A request that is sound and cannot be granted, with the reason for the one who asked.
fn refused(reason: String) -> Error {
    Error { code: ErrorCode::ServerError(REQUEST_FAILED), message: reason.into(), data: None }
}

/// All of a text.
const ALL: Span = Span::new(0, u32::MAX);

/// The protocol's code for a request that failed though nothing is wrong with it.
const REQUEST_FAILED: i64 = -32803;

/// Edits of the formatter that touch some lines, given as bytes.
fn format_within(state: &FileState, text: &Text, lines: Span) -> Vec<TextEdit> {
    let edits: Vec<Edit> = edit::format(&state.tree)
        .into_iter()
        .filter(|edit| lines.start <= edit.span.start && edit.span.end <= lines.end)
        .collect();
    text.edits(&edits)
}

#[tower_lsp::async_trait]
impl LanguageServer for Server {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let mut can = capabilities::client(&params.capabilities);
        can.commands = params.initialization_options.as_ref().map(commands::of_client).unwrap_or_default();
        let capabilities = capabilities::server(&can);
        let settings = params.initialization_options.as_ref().map(Settings::read).unwrap_or_default();
        let _ = self.can.set(can.clone());
        self.tell(Message::Start { client: can, settings, folders: folders_of(&params) });
        let info = ServerInfo { name: "gyle".into(), version: Some(env!("CARGO_PKG_VERSION").into()) };
        Ok(InitializeResult { capabilities, server_info: Some(info) })
    }

    async fn initialized(&self, _: InitializedParams) {
        self.tell(Message::Ready);
        let Some(can) = self.can.get() else { return };
        if can.watches {
            self.watch_files();
        }
        if can.configuration {
            self.ask_for_settings();
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        let document = params.text_document;
        self.tell(Message::Open { uri: document.uri, version: document.version, text: document.text });
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        let document = params.text_document;
        self.tell(Message::Change {
            uri: document.uri,
            version: document.version,
            changes: params.content_changes,
        });
    }

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        self.tokens.close(&params.text_document.uri);
        self.tell(Message::Close { uri: params.text_document.uri });
    }

    async fn did_change_watched_files(&self, params: DidChangeWatchedFilesParams) {
        self.tell(Message::Watched(params.changes.iter().map(|change| path_of(&change.uri)).collect()));
    }

    async fn did_change_workspace_folders(&self, params: DidChangeWorkspaceFoldersParams) {
        let paths = |folders: &[tower_lsp::lsp_types::WorkspaceFolder]| -> Vec<PathBuf> {
            folders.iter().filter_map(|folder| folder.uri.to_file_path().ok()).collect()
        };
        self.tell(Message::Folders {
            added: paths(&params.event.added),
            removed: paths(&params.event.removed),
        });
    }

    async fn did_change_configuration(&self, params: DidChangeConfigurationParams) {
        if self.can.get().is_some_and(|can| can.configuration) {
            self.ask_for_settings();
        } else if params.settings.is_object() {
            self.tell(Message::Settings(Settings::read(&params.settings)));
        }
    }

    async fn diagnostic(&self, params: DocumentDiagnosticParams) -> Result<DocumentDiagnosticReportResult> {
        let (uri, before) = (params.text_document.uri, params.previous_result_id);
        let path = path_of(&uri);
        if is_config(&path) {
            let items = self
                .compute("textDocument/diagnostic", move |snapshot| Some(wrong_with_config(snapshot, &path)))
                .await?
                .unwrap_or_default();
            let report = full(FullDocumentDiagnosticReport { result_id: None, items });
            return Ok(DocumentDiagnosticReportResult::Report(report));
        }
        let documents = self.documents.lock().map(|documents| documents.clone()).ok();
        let told = uri.clone();
        let report = self
            .about("textDocument/diagnostic", uri, move |snapshot, state, _| {
                let result_id = check::result_id(state);
                if result_id.is_some() && result_id == before {
                    return Some(Err(result_id.unwrap_or_default()));
                }
                let found = check::found(snapshot, state.id);
                let open = snapshot.open.get(&state.id);
                // Held back is only what the client can be told to ask for again.
                let typing =
                    open.and_then(|open| open.typing).filter(|_| snapshot.client.refreshes_diagnostics);
                let shown = open.map(|open| Arc::clone(&open.shown)).unwrap_or_default();
                let kept = documents::shown_while_typing(&found, typing, &shown);
                let held = kept.len() < found.len();
                if let (Some(documents), Some(open)) = (documents, open)
                    && snapshot.client.refreshes_diagnostics
                {
                    let shown = documents::what_is_shown(kept.iter().copied());
                    let _ = documents.send(Message::Pulled { uri: told, version: open.version, shown, held });
                }
                let items = kept.into_iter().cloned().collect();
                Some(Ok(FullDocumentDiagnosticReport { result_id: result_id.filter(|_| !held), items }))
            })
            .await?;
        let report = match report {
            Some(Err(result_id)) => {
                DocumentDiagnosticReport::Unchanged(RelatedUnchangedDocumentDiagnosticReport {
                    related_documents: None,
                    unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport { result_id },
                })
            }
            Some(Ok(report)) => full(report),
            None => full(FullDocumentDiagnosticReport::default()),
        };
        Ok(DocumentDiagnosticReportResult::Report(report))
    }

    async fn workspace_diagnostic(
        &self,
        params: WorkspaceDiagnosticParams,
    ) -> Result<WorkspaceDiagnosticReportResult> {
        let outgoing = self.outgoing.clone();
        let token = params.work_done_progress_params.work_done_token;
        let before: HashMap<Url, String> =
            params.previous_result_ids.into_iter().map(|one| (one.uri, one.value)).collect();
        let items = self
            .compute_until("workspace/diagnostic", move |snapshot, given_up| {
                let progress = token.map(|token| Progress::begin(token, outgoing));
                whole_repository(snapshot, &before, progress.as_ref(), given_up)
            })
            .await?;
        let report = WorkspaceDiagnosticReport { items: items.unwrap_or_default() };
        Ok(WorkspaceDiagnosticReportResult::Report(report))
    }

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.about("textDocument/formatting", params.text_document.uri, |_, state, text| {
            Some(text.edits(&edit::format(&state.tree)))
        })
        .await
    }

    async fn range_formatting(&self, params: DocumentRangeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        let range = params.range;
        self.about("textDocument/rangeFormatting", params.text_document.uri, move |_, state, text| {
            let last = if range.end.character == 0 && range.end.line > range.start.line {
                range.end.line
            } else {
                range.end.line.saturating_add(1)
            };
            let lines = Span::new(text.lines.line_start(range.start.line), text.lines.line_start(last));
            Some(format_within(state, text, lines))
        })
        .await
    }

    async fn on_type_formatting(
        &self,
        params: DocumentOnTypeFormattingParams,
    ) -> Result<Option<Vec<TextEdit>>> {
        let at = params.text_document_position;
        self.about("textDocument/onTypeFormatting", at.text_document.uri, move |_, state, text| {
            // The line that was just ended; the one with the cursor stays as it is.
            let line = at.position.line.checked_sub(1)?;
            let lines = Span::new(text.lines.line_start(line), text.lines.line_start(at.position.line));
            Some(format_within(state, text, lines))
        })
        .await
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let at = params.text_document_position;
        self.about("textDocument/completion", at.text_document.uri, move |snapshot, state, text| {
            completion::at(snapshot, state, text, at.position)
        })
        .await
    }

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let at = params.text_document_position_params;
        self.about("textDocument/hover", at.text_document.uri, move |snapshot, state, text| {
            hover::at(snapshot, state, text, at.position)
        })
        .await
    }

    async fn inlay_hint(&self, params: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        let range = params.range;
        self.about("textDocument/inlayHint", params.text_document.uri, move |snapshot, state, text| {
            hints::within(snapshot, state, text, range)
        })
        .await
    }

    async fn inlay_hint_resolve(&self, hint: InlayHint) -> Result<InlayHint> {
        let resolved = {
            let hint = hint.clone();
            self.compute("inlayHint/resolve", move |snapshot| hints::resolved(snapshot, hint)).await?
        };
        // Of a text that has changed since, the hint stays as it was.
        Ok(resolved.unwrap_or(hint))
    }

    async fn goto_definition(&self, params: GotoDefinitionParams) -> Result<Option<GotoDefinitionResponse>> {
        let at = params.text_document_position_params;
        self.about("textDocument/definition", at.text_document.uri, move |snapshot, state, text| {
            navigation::definition(snapshot, state, text, at.position)
        })
        .await
    }

    async fn references(&self, params: ReferenceParams) -> Result<Option<Vec<Location>>> {
        let at = params.text_document_position;
        let declaration = params.context.include_declaration;
        self.about("textDocument/references", at.text_document.uri, move |snapshot, state, text| {
            Some(navigation::references(snapshot, state, text, at.position, declaration))
        })
        .await
    }

    async fn document_highlight(
        &self,
        params: DocumentHighlightParams,
    ) -> Result<Option<Vec<DocumentHighlight>>> {
        let at = params.text_document_position_params;
        self.about("textDocument/documentHighlight", at.text_document.uri, move |snapshot, state, text| {
            Some(navigation::highlights(snapshot, state, text, at.position))
        })
        .await
    }

    async fn prepare_rename(&self, at: TextDocumentPositionParams) -> Result<Option<PrepareRenameResponse>> {
        self.about("textDocument/prepareRename", at.text_document.uri, move |snapshot, state, text| {
            Some(navigation::prepare_rename(snapshot, state, text, at.position))
        })
        .await?
        .transpose()
        .map_err(refused)
    }

    async fn rename(&self, params: RenameParams) -> Result<Option<WorkspaceEdit>> {
        let (at, name) = (params.text_document_position, params.new_name);
        self.about("textDocument/rename", at.text_document.uri, move |snapshot, state, text| {
            Some(navigation::rename(snapshot, state, text, at.position, &name))
        })
        .await?
        .transpose()
        .map_err(refused)
    }

    async fn will_rename_files(&self, params: RenameFilesParams) -> Result<Option<WorkspaceEdit>> {
        self.compute("workspace/willRenameFiles", move |snapshot| navigation::moved(snapshot, &params.files))
            .await
    }

    async fn document_symbol(&self, params: DocumentSymbolParams) -> Result<Option<DocumentSymbolResponse>> {
        self.about("textDocument/documentSymbol", params.text_document.uri, |snapshot, state, text| {
            navigation::symbols(snapshot, state, text)
        })
        .await
    }

    async fn symbol(&self, params: WorkspaceSymbolParams) -> Result<Option<Vec<SymbolInformation>>> {
        self.compute("workspace/symbol", move |snapshot| {
            Some(navigation::workspace_symbols(snapshot, &params.query))
        })
        .await
    }

    async fn folding_range(&self, params: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        self.about("textDocument/foldingRange", params.text_document.uri, |snapshot, state, text| {
            Some(navigation::folding(snapshot, state, text))
        })
        .await
    }

    async fn selection_range(&self, params: SelectionRangeParams) -> Result<Option<Vec<SelectionRange>>> {
        let positions = params.positions;
        self.about("textDocument/selectionRange", params.text_document.uri, move |snapshot, state, text| {
            Some(navigation::selections(snapshot, state, text, &positions))
        })
        .await
    }

    async fn semantic_tokens_full(
        &self,
        params: SemanticTokensParams,
    ) -> Result<Option<SemanticTokensResult>> {
        let uri = params.text_document.uri;
        let given = Arc::clone(&self.tokens);
        self.about("textDocument/semanticTokens/full", uri.clone(), move |snapshot, state, text| {
            let data = tokens::within(snapshot, state, text, ALL);
            Some(SemanticTokensResult::Tokens(given.full(uri, data)))
        })
        .await
    }

    async fn semantic_tokens_full_delta(
        &self,
        params: SemanticTokensDeltaParams,
    ) -> Result<Option<SemanticTokensFullDeltaResult>> {
        let (uri, before) = (params.text_document.uri, params.previous_result_id);
        let given = Arc::clone(&self.tokens);
        self.about("textDocument/semanticTokens/full/delta", uri.clone(), move |snapshot, state, text| {
            let data = tokens::within(snapshot, state, text, ALL);
            Some(given.since(uri, &before, data))
        })
        .await
    }

    async fn semantic_tokens_range(
        &self,
        params: SemanticTokensRangeParams,
    ) -> Result<Option<SemanticTokensRangeResult>> {
        let range = params.range;
        self.about(
            "textDocument/semanticTokens/range",
            params.text_document.uri,
            move |snapshot, state, text| {
                let data = tokens::within(snapshot, state, text, text.span(range));
                Some(SemanticTokensRangeResult::Tokens(SemanticTokens { result_id: None, data }))
            },
        )
        .await
    }

    async fn document_color(&self, params: DocumentColorParams) -> Result<Vec<ColorInformation>> {
        let found =
            self.about("textDocument/documentColor", params.text_document.uri, |snapshot, state, text| {
                Some(colours::all(snapshot, state, text))
            });
        Ok(found.await?.unwrap_or_default())
    }

    async fn color_presentation(&self, params: ColorPresentationParams) -> Result<Vec<ColorPresentation>> {
        let range = params.range;
        let found = self.about(
            "textDocument/colorPresentation",
            params.text_document.uri,
            move |snapshot, state, text| Some(colours::presentations(snapshot, state, text, range)),
        );
        Ok(found.await?.unwrap_or_default())
    }

    async fn signature_help(&self, params: SignatureHelpParams) -> Result<Option<SignatureHelp>> {
        let at = params.text_document_position_params;
        self.about("textDocument/signatureHelp", at.text_document.uri, move |snapshot, state, text| {
            signature::at(snapshot, state, text, at.position)
        })
        .await
    }

    async fn code_lens(&self, params: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        self.about("textDocument/codeLens", params.text_document.uri, |snapshot, state, text| {
            lenses::all(snapshot, state, text)
        })
        .await
    }

    async fn code_lens_resolve(&self, lens: CodeLens) -> Result<CodeLens> {
        let resolved = {
            let lens = lens.clone();
            self.compute("codeLens/resolve", move |snapshot| lenses::resolved(snapshot, lens)).await?
        };
        // Of a text that has changed since, the lens says nothing.
        Ok(resolved.unwrap_or(lens))
    }

    async fn execute_command(&self, params: ExecuteCommandParams) -> Result<Option<serde_json::Value>> {
        if !self.can.get().is_some_and(|can| can.applies_edits) {
            return Err(Error::method_not_found());
        }
        if params.command != commands::RESIZE {
            return Err(refused(format!("there is no command `{}`", params.command)));
        }
        let asked: commands::Resize = params
            .arguments
            .into_iter()
            .next()
            .and_then(|argument| serde_json::from_value(argument).ok())
            .ok_or_else(|| {
                Error::invalid_params("`uri`, `position` and `batch` say what is resized to what")
            })?;
        let label = format!("Resize to {}", asked.batch.trim());
        let edit = self
            .compute("workspace/executeCommand", move |snapshot| Some(commands::resize(snapshot, &asked)))
            .await?
            .transpose()
            .map_err(refused)?;
        let Some(edit) = edit else { return Ok(None) };
        let client = self.client.clone();
        // The client is not waited for here: it may wait for this answer.
        tokio::spawn(async move {
            let params = ApplyWorkspaceEditParams { label: Some(label), edit };
            let _ = tokio::time::timeout(PATIENCE, client.send_request::<ApplyWorkspaceEdit>(params)).await;
        });
        Ok(None)
    }

    async fn document_link(&self, params: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
        self.about("textDocument/documentLink", params.text_document.uri, |snapshot, state, text| {
            Some(navigation::links(snapshot, state, text))
        })
        .await
    }

    async fn code_action(&self, params: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        self.about(
            "textDocument/codeAction",
            params.text_document.uri.clone(),
            move |snapshot, state, text| Some(actions::at(snapshot, state, text, &params)),
        )
        .await
    }

    async fn code_action_resolve(&self, action: CodeAction) -> Result<CodeAction> {
        let resolved = {
            let action = action.clone();
            self.compute("codeAction/resolve", move |snapshot| actions::resolved(snapshot, action)).await?
        };
        // Of a text that has changed since, the action does nothing.
        Ok(resolved.unwrap_or(action))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]
mod tests {
    use std::sync::mpsc::channel;
    use std::time::Instant;

    use tower_lsp::LspService;
    use workspace::Memory;

    use super::*;

    #[tokio::test]
    async fn a_request_that_is_dropped_gives_its_work_up() {
        let (frames, _written) = channel();
        let (service, _socket) =
            LspService::new(|client| Server::new(client, Outgoing(frames), Arc::new(Memory::default())));
        let (begun, has_begun) = oneshot::channel();
        let (noticed, has_noticed) = channel();
        let work = service.inner().compute_until("work", move |_, given_up| {
            let _ = begun.send(());
            let until = Instant::now() + Duration::from_secs(20);
            while !given_up.is_set() && Instant::now() < until {
                std::thread::sleep(Duration::from_millis(1));
            }
            let _ = noticed.send(given_up.is_set());
            Some(())
        });
        tokio::select! {
            _ = work => panic!("the work ended by itself"),
            _ = has_begun => {}
        }
        assert_eq!(has_noticed.recv(), Ok(true));
    }

    #[tokio::test]
    async fn a_computation_that_panics_is_answered_and_the_next_one_works() {
        let (frames, _written) = channel();
        let (service, _socket) =
            LspService::new(|client| Server::new(client, Outgoing(frames), Arc::new(Memory::default())));
        let server = service.inner();
        let failed =
            server.compute("work", |_| -> Option<()> { std::panic::resume_unwind(Box::new(1)) }).await;
        assert_eq!(failed.unwrap_err().code, tower_lsp::jsonrpc::ErrorCode::InternalError);
        assert_eq!(server.compute("work", |_| Some(3)).await, Ok(Some(3)));
    }
}
