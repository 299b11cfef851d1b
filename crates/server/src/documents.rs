//! The thread that owns the documents. Messages are taken in the order they came.

use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

use recipe::FileId;
use ropey::Rope;
use rules::Group;
use serde::Serialize;
use syntax::Encoding;
use tokio::sync::oneshot;
use tower_lsp::lsp_types::{Diagnostic, Position, TextDocumentContentChangeEvent, Url};
use workspace::{ConfigError, FileState, Source, Workspace};

use crate::check::{Checker, Job};
use crate::settings::Settings;
use crate::snapshot::{Client, Open, Shown, Snapshot, Text, path_of};
use crate::transport::Outgoing;
use crate::unsaved::{Unsaved, is_config};
use crate::{convert, halves};

/// A line being typed is called wrong only after this rest.
const IDLE: Duration = Duration::from_millis(300);
/// So many files are taken between two messages while the repository is read.
const AT_ONCE: usize = 64;

/// What the document thread is told.
pub(crate) enum Message {
    /// The session begins.
    Start { client: Client, settings: Settings, folders: Vec<PathBuf> },
    /// The client is ready for notifications.
    Ready,
    /// A document is opened.
    Open { uri: Url, version: i32, text: String },
    /// A document is changed.
    Change { uri: Url, version: i32, changes: Vec<TextDocumentContentChangeEvent> },
    /// A document is closed.
    Close { uri: Url },
    /// Somebody wants to read.
    Snapshot(oneshot::Sender<Arc<Snapshot>>),
    /// Files have changed on disk, come or gone.
    Watched(Vec<PathBuf>),
    /// Folders of the workspace have come or gone.
    Folders { added: Vec<PathBuf>, removed: Vec<PathBuf> },
    /// The user has changed settings.
    Settings(Settings),
    /// Files were found below a folder.
    Found(Vec<PathBuf>),
    /// A file was checked.
    Checked(Checked),
    /// What was answered to a client that asked for the diagnostics of a document.
    Pulled {
        uri: Url,
        version: i32,
        /// What it was told of.
        shown: Shown,
        /// Something was held back for the line being typed.
        held: bool,
    },
    /// Files other than the one being edited have to be asked for again.
    Moved,
    /// The session is over.
    Stop,
}

/// What is wrong with a file.
pub(crate) struct Checked {
    /// The file.
    pub(crate) file: FileId,
    /// Its uri.
    pub(crate) uri: Url,
    /// Version, of an open document.
    pub(crate) version: Option<i32>,
    /// Everything found, with the group of its rule.
    pub(crate) diagnostics: Vec<(Group, Diagnostic)>,
}

struct Document {
    uri: Url,
    version: i32,
    rope: Rope,
    /// The text has changed since it was last handed to the workspace.
    dirty: bool,
    /// What the workspace has of it.
    text: Option<Text>,
    /// The line being typed, until it rests.
    typing: Option<(u32, Instant)>,
    /// What was held back for the line being typed.
    held: Option<Vec<(Group, Diagnostic)>>,
    /// Something was held back from a client that asks for itself.
    pull_again: bool,
    /// Rule and line of what was shown last.
    shown: Shown,
}

/// Starts the thread; messages go into what it returns.
pub(crate) fn start(
    client: tower_lsp::Client,
    outgoing: Outgoing,
    source: Arc<dyn Source>,
) -> Sender<Message> {
    let (sender, receiver) = channel();
    let checker = Checker::start(sender.clone(), outgoing.clone(), client);
    let itself = sender.clone();
    let spawned = std::thread::Builder::new().name("documents".into()).spawn(move || {
        let unsaved = Arc::new(Unsaved::over(source));
        let source: Arc<dyn Source> = Arc::clone(&unsaved) as Arc<dyn Source>;
        let mut documents = Documents {
            workspace: Workspace::new(Arc::clone(&source)).indexing(),
            source,
            unsaved,
            open: HashMap::new(),
            client: Arc::default(),
            settings: Arc::default(),
            current: None,
            ready: false,
            unchecked: false,
            waiting: Vec::new(),
            published: HashMap::new(),
            published_configs: HashMap::new(),
            configs_moved: false,
            itself,
            outgoing,
            checker,
        };
        documents.run(&receiver);
    });
    // Without the thread every request is answered with an error, since the receiver is gone.
    drop(spawned);
    sender
}

struct Documents {
    workspace: Workspace,
    source: Arc<dyn Source>,
    /// The same, to lay open configurations over it.
    unsaved: Arc<Unsaved>,
    open: HashMap<PathBuf, Document>,
    client: Arc<Client>,
    settings: Arc<Settings>,
    current: Option<Arc<Snapshot>>,
    ready: bool,
    /// Something has changed since the last job of the checker.
    unchecked: bool,
    /// Files found and not taken yet.
    waiting: Vec<PathBuf>,
    /// Files that are not open and have diagnostics in the client.
    published: HashMap<FileId, Url>,
    /// What is shown of each `gyle.toml`.
    published_configs: HashMap<PathBuf, Vec<ConfigError>>,
    /// A `gyle.toml` may have come or changed since.
    configs_moved: bool,
    itself: Sender<Message>,
    outgoing: Outgoing,
    checker: Checker,
}

#[derive(Serialize)]
struct Publish<'a> {
    uri: &'a Url,
    #[serde(skip_serializing_if = "Option::is_none")]
    version: Option<i32>,
    diagnostics: Vec<&'a Diagnostic>,
}

impl Documents {
    fn run(&mut self, receiver: &Receiver<Message>) {
        loop {
            let message = match receiver.try_recv() {
                Ok(message) => Some(message),
                Err(_) => {
                    // All that has come is taken in: now it is checked.
                    if self.unchecked && self.ready {
                        self.unchecked = false;
                        if self.configs_moved && self.waiting.is_empty() {
                            self.configs_moved = false;
                            self.publish_configs();
                        }
                        let snapshot = self.snapshot();
                        self.checker.check(Job { snapshot, loading: !self.waiting.is_empty() });
                    }
                    if self.waiting.is_empty() {
                        let wait = self.next_rest();
                        match wait {
                            Some(wait) => match receiver.recv_timeout(wait) {
                                Ok(message) => Some(message),
                                Err(RecvTimeoutError::Timeout) => None,
                                Err(RecvTimeoutError::Disconnected) => return,
                            },
                            None => match receiver.recv() {
                                Ok(message) => Some(message),
                                Err(_) => return,
                            },
                        }
                    } else {
                        self.take_some();
                        None
                    }
                }
            };
            if matches!(message, Some(Message::Stop)) {
                return;
            }
            // One odd text must not end the session.
            let _ = catch_unwind(AssertUnwindSafe(|| match message {
                Some(message) => self.take(message),
                None => self.release(),
            }));
        }
    }

    fn take(&mut self, message: Message) {
        match message {
            Message::Start { client, settings, folders } => {
                self.client = Arc::new(client);
                self.settings = Arc::new(settings);
                self.current = None;
                self.search(folders);
            }
            Message::Ready => self.ready = true,
            Message::Open { uri, version, text } => {
                let path = path_of(&uri);
                let document = Document {
                    uri,
                    version,
                    rope: Rope::from_str(&halves::joined(None, &text, None)),
                    dirty: true,
                    text: None,
                    typing: None,
                    held: None,
                    pull_again: false,
                    shown: Shown::default(),
                };
                self.open.insert(path, document);
                self.configs_moved = true;
                self.changed();
            }
            Message::Change { uri, version, changes } => self.change(&uri, version, &changes),
            Message::Close { uri } => self.close(&uri),
            Message::Snapshot(reply) => {
                let _ = reply.send(self.snapshot());
            }
            Message::Watched(paths) => self.reread(&paths),
            Message::Folders { added, removed } => {
                for id in self.ids_below(&removed) {
                    let Some(state) = self.workspace.file(id).map(Arc::clone) else { continue };
                    if !self.open.contains_key(&state.path) {
                        self.workspace.forget(&state.path);
                        self.clear(id);
                    }
                }
                self.search(added);
                self.changed();
            }
            Message::Settings(settings) => {
                if *self.settings != settings {
                    let fewer = self.settings.whole_repository && !settings.whole_repository;
                    self.settings = Arc::new(settings);
                    self.changed();
                    if fewer {
                        let gone: Vec<FileId> = self.published.keys().copied().collect();
                        for id in gone {
                            self.clear(id);
                        }
                    }
                    self.checker.forget();
                    self.checker.refresh(&self.client);
                }
            }
            Message::Found(paths) => {
                self.waiting.extend(paths.into_iter().rev());
                self.unchecked = true;
            }
            Message::Pulled { uri, version, shown, held } => {
                if let Some(document) = self.open.get_mut(&path_of(&uri))
                    && document.version == version
                {
                    document.shown = shown;
                    document.pull_again = held;
                }
            }
            Message::Checked(checked) => self.publish(checked),
            Message::Moved => self.checker.refresh(&self.client),
            Message::Stop => {}
        }
    }

    /// Looks for files below folders, beside everything else.
    fn search(&self, folders: Vec<PathBuf>) {
        if folders.is_empty() {
            return;
        }
        let (source, itself) = (Arc::clone(&self.source), self.itself.clone());
        let spawned = std::thread::Builder::new().name("search".into()).spawn(move || {
            for folder in folders {
                let _ = itself.send(Message::Found(source.walk(&folder).files));
            }
        });
        drop(spawned);
    }

    /// Takes some of the files that were found.
    fn take_some(&mut self) {
        let rest = self.waiting.len().saturating_sub(AT_ONCE);
        let mut paths = self.waiting.split_off(rest);
        paths.retain(|path| self.workspace.file_at(path).is_none() && !self.open.contains_key(path));
        if !paths.is_empty() {
            self.workspace.load(&paths);
            self.configs_moved = true;
            self.changed();
        }
        self.unchecked = true;
    }

    fn changed(&mut self) {
        self.current = None;
        self.unchecked = true;
    }

    fn change(&mut self, uri: &Url, version: i32, changes: &[TextDocumentContentChangeEvent]) {
        let encoding = self.client.encoding;
        let path = path_of(uri);
        let Some(document) = self.open.get_mut(&path) else { return };
        self.configs_moved |= is_config(&path);
        document.version = version;
        document.dirty = true;
        document.held = None;
        document.pull_again = false;
        document.typing = None;
        for change in changes {
            match change.range {
                None => document.rope = Rope::from_str(&halves::joined(None, &change.text, None)),
                Some(range) => {
                    let rope = &mut document.rope;
                    let (start, end) =
                        (char_at(rope, range.start, encoding), char_at(rope, range.end, encoding));
                    // An editor that counts in UTF-16 may change one half of a character.
                    let (before, after) = if encoding == Encoding::Utf16 {
                        (half_before(rope, start, range.start), half_after(rope, end, range.end))
                    } else {
                        (None, None)
                    };
                    let (start, end) = (start.min(end), start.max(end) + usize::from(after.is_some()));
                    let text = halves::joined(before, &change.text, after);
                    let _ = rope.try_remove(start..end);
                    let _ = rope.try_insert(start, &text);
                    let typed = range.start.line == range.end.line
                        && !change.text.contains(['\n', '\r'])
                        && change.text.chars().nth(1).is_none();
                    document.typing = typed.then(|| (range.start.line, Instant::now()));
                }
            }
        }
        // Who still computes with the text as it was may give up.
        if let Some(old) = &self.current {
            old.outdate();
        }
        self.changed();
    }

    fn close(&mut self, uri: &Url) {
        let path = path_of(uri);
        let Some(document) = self.open.remove(&path) else { return };
        if is_config(&path) {
            self.unsaved.put(&path, None);
            self.reread(&[path]);
            return;
        }
        if let Some(id) = self.workspace.file_at(&path) {
            if document.dirty || document.version != 0 {
                self.read_again(&path);
            }
            self.published.insert(id, document.uri);
            self.checker.forget_one(id);
            if !self.settings.whole_repository || self.workspace.file_at(&path).is_none() {
                self.clear(id);
            }
        }
        self.changed();
    }

    /// Takes the text of a file from the disk, or forgets it where it is gone.
    fn read_again(&mut self, path: &std::path::Path) {
        match self.source.read(path) {
            Ok(text) => {
                self.workspace.load_text(path, &text);
            }
            Err(_) => self.workspace.forget(path),
        }
    }

    fn reread(&mut self, paths: &[PathBuf]) {
        let mut configs = false;
        for path in paths {
            if is_config(path) {
                configs = true;
            } else if Workspace::is_gyle(path) && !self.open.contains_key(path) {
                let id = self.workspace.file_at(path);
                self.read_again(path);
                if let (Some(id), None) = (id, self.workspace.file_at(path)) {
                    self.clear(id);
                }
            }
        }
        if configs {
            self.workspace.reload_configs();
            self.configs_moved = true;
        }
        // A file that comes or goes may be what another names.
        self.checker.forget();
        self.changed();
        self.checker.refresh(&self.client);
    }

    fn ids_below(&self, folders: &[PathBuf]) -> Vec<FileId> {
        self.workspace
            .files()
            .filter(|state| folders.iter().any(|folder| state.path.starts_with(folder)))
            .map(|state| state.id)
            .collect()
    }

    /// Lets open configurations count as they are typed.
    fn take_configs(&mut self) {
        let mut taken = false;
        for (path, document) in &mut self.open {
            if document.dirty && is_config(path) {
                document.dirty = false;
                self.unsaved.put(path, Some(document.rope.to_string()));
                taken = true;
            }
        }
        if taken {
            self.workspace.reload_configs();
            self.configs_moved = true;
            self.checker.forget();
            self.checker.refresh(&self.client);
        }
    }

    /// All files as they are now.
    fn snapshot(&mut self) -> Arc<Snapshot> {
        if let Some(current) = &self.current {
            return Arc::clone(current);
        }
        self.take_configs();
        let mut open = HashMap::with_capacity(self.open.len());
        for (path, document) in &mut self.open {
            if is_config(path) {
                continue;
            }
            if document.dirty {
                document.dirty = false;
                self.workspace.load_text(path, &String::from(&document.rope));
            }
            if let Some(state) = self.workspace.file_at(path).and_then(|id| self.workspace.file(id)) {
                let text = match document.text.take() {
                    Some(text) if Arc::ptr_eq(&text.text, &state.text) => text,
                    Some(text) => text.after_edit(Arc::clone(&state.text)),
                    None => Text::new(Arc::clone(&state.text), self.client.encoding),
                };
                document.text = Some(text.clone());
                let typing = document.typing.map(|(line, _)| line);
                let (uri, shown) = (document.uri.clone(), Arc::clone(&document.shown));
                open.insert(state.id, Open { uri, version: document.version, text, typing, shown });
            }
        }
        self.workspace.rest(|id| open.contains_key(&id));
        let made = Arc::new(Snapshot::new(
            self.workspace.clone(),
            open,
            Arc::clone(&self.client),
            Arc::clone(&self.settings),
        ));
        self.current = Some(Arc::clone(&made));
        made
    }

    fn publish(&mut self, checked: Checked) {
        let Some(path) = self.workspace.file(checked.file).map(|state: &Arc<FileState>| state.path.clone())
        else {
            return;
        };
        match (self.open.get_mut(&path), checked.version) {
            (Some(document), Some(version)) => {
                // A later version is on its way.
                if document.version != version {
                    return;
                }
                document.held = None;
                let line = document.typing.map(|(line, _)| line);
                let kept: Vec<&Diagnostic> = shown_while_typing(&checked.diagnostics, line, &document.shown);
                let all = kept.len() == checked.diagnostics.len();
                let now = what_is_shown(kept.iter().copied());
                self.outgoing.notify(
                    "textDocument/publishDiagnostics",
                    &Publish { uri: &document.uri, version: Some(version), diagnostics: kept },
                );
                document.shown = now;
                if all {
                    document.typing = None;
                } else {
                    document.held = Some(checked.diagnostics);
                }
            }
            (None, None) => {
                let diagnostics: Vec<&Diagnostic> = checked.diagnostics.iter().map(|(_, d)| d).collect();
                let before = if diagnostics.is_empty() {
                    self.published.remove(&checked.file).is_some()
                } else {
                    self.published.insert(checked.file, checked.uri.clone());
                    true
                };
                if before {
                    self.outgoing.notify(
                        "textDocument/publishDiagnostics",
                        &Publish { uri: &checked.uri, version: None, diagnostics },
                    );
                }
            }
            _ => {}
        }
    }

    /// Shows what is wrong with every `gyle.toml` in force. A client that pulls is told when it asks.
    fn publish_configs(&mut self) {
        // Unsaved texts come in with a snapshot.
        let snapshot = self.snapshot();
        if self.client.pulls {
            return;
        }
        let mut now: HashMap<PathBuf, Vec<ConfigError>> = HashMap::new();
        for config in snapshot.configs() {
            if let Some(path) = &config.path
                && !config.errors.is_empty()
            {
                now.insert(path.clone(), config.errors.clone());
            }
        }
        let gone: Vec<PathBuf> =
            self.published_configs.keys().filter(|path| !now.contains_key(*path)).cloned().collect();
        for path in gone {
            self.published_configs.remove(&path);
            self.publish_config(&path, &[]);
        }
        for (path, errors) in now {
            if self.published_configs.get(&path) != Some(&errors) {
                self.publish_config(&path, &errors);
                self.published_configs.insert(path, errors);
            }
        }
    }

    fn publish_config(&self, path: &std::path::Path, errors: &[ConfigError]) {
        let Ok(uri) = Url::from_file_path(path) else { return };
        let text = self.source.read(path).unwrap_or_default();
        let made = convert::config_diagnostics(errors, &Text::new(text.into(), self.client.encoding));
        self.outgoing.notify(
            "textDocument/publishDiagnostics",
            &Publish { uri: &uri, version: None, diagnostics: made.iter().collect() },
        );
    }

    /// Takes back what is shown for a file that is not open.
    fn clear(&mut self, id: FileId) {
        if let Some(uri) = self.published.remove(&id)
            && !self.client.pulls
        {
            let nothing = Publish { uri: &uri, version: None, diagnostics: Vec::new() };
            self.outgoing.notify("textDocument/publishDiagnostics", &nothing);
        }
    }

    /// How long until a line that is being typed has rested.
    fn next_rest(&self) -> Option<Duration> {
        let now = Instant::now();
        self.open
            .values()
            .filter(|document| document.held.is_some() || document.pull_again)
            .filter_map(|document| document.typing)
            .map(|(_, since)| (since + IDLE).saturating_duration_since(now))
            .min()
    }

    /// Shows what was held back for lines that have rested.
    fn release(&mut self) {
        let now = Instant::now();
        let mut pull_again = false;
        for document in self.open.values_mut() {
            if document.pull_again && document.typing.is_none_or(|(_, since)| now >= since + IDLE) {
                document.pull_again = false;
                document.typing = None;
                pull_again = true;
            }
            if document.typing.is_some_and(|(_, since)| now >= since + IDLE)
                && let Some(held) = document.held.take()
            {
                document.typing = None;
                let all: Vec<&Diagnostic> = held.iter().map(|(_, d)| d).collect();
                document.shown = what_is_shown(all.iter().copied());
                self.outgoing.notify(
                    "textDocument/publishDiagnostics",
                    &Publish { uri: &document.uri, version: Some(document.version), diagnostics: all },
                );
            }
        }
        if pull_again {
            // The next snapshot knows that the line has rested.
            self.current = None;
            self.checker.refresh_diagnostics();
        }
    }
}

/// What is shown of what was found while a line is typed: a mistake that is new on that line waits.
pub(crate) fn shown_while_typing<'d>(
    found: &'d [(Group, Diagnostic)],
    line: Option<u32>,
    shown: &Shown,
) -> Vec<&'d Diagnostic> {
    let hold = |(group, diagnostic): &(Group, Diagnostic)| {
        let at = diagnostic.range.start.line;
        matches!(group, Group::Syntax | Group::Units | Group::Names)
            && line == Some(at)
            && !shown.contains(&(at, code_of(diagnostic)))
    };
    found.iter().filter(|one| !hold(one)).map(|(_, diagnostic)| diagnostic).collect()
}

/// Line and rule of each.
pub(crate) fn what_is_shown<'d>(diagnostics: impl Iterator<Item = &'d Diagnostic>) -> Shown {
    Arc::new(diagnostics.map(|one| (one.range.start.line, code_of(one))).collect())
}

fn code_of(diagnostic: &Diagnostic) -> Option<String> {
    match &diagnostic.code {
        Some(tower_lsp::lsp_types::NumberOrString::String(code)) => Some(code.clone()),
        _ => None,
    }
}

/// The character a position stands at; one past its line, or past the text, is held at the end.
fn char_at(rope: &Rope, position: Position, encoding: Encoding) -> usize {
    let line = position.line as usize;
    let (Ok(start), Some(slice)) = (rope.try_line_to_char(line), rope.get_line(line)) else {
        return rope.len_chars();
    };
    let mut length = slice.len_chars();
    while length > 0 && slice.get_char(length - 1).is_some_and(|c| matches!(c, '\n' | '\r')) {
        length -= 1;
    }
    let column = position.character as usize;
    let within = match encoding {
        Encoding::Utf32 => column,
        Encoding::Utf8 => slice.try_byte_to_char(column).unwrap_or(length),
        Encoding::Utf16 => slice.try_utf16_cu_to_char(column).unwrap_or(length),
    };
    start + within.min(length)
}

/// The first half of the character that a position stands within.
fn half_before(rope: &Rope, at: usize, position: Position) -> Option<u16> {
    let character = within(rope, at, position)?;
    Some(character.encode_utf16(&mut [0; 2])[0])
}

/// The second half of the character that a position stands within.
fn half_after(rope: &Rope, at: usize, position: Position) -> Option<u16> {
    let character = within(rope, at, position)?;
    character.encode_utf16(&mut [0; 2]).get(1).copied()
}

/// The character of two halves that begins at `at`, where the position stands between them.
fn within(rope: &Rope, at: usize, position: Position) -> Option<char> {
    let character = rope.get_char(at).filter(|character| character.len_utf16() == 2)?;
    let line = rope.try_line_to_char(position.line as usize).ok()?;
    let units = rope.try_char_to_utf16_cu(at).ok()?.checked_sub(rope.try_char_to_utf16_cu(line).ok()?)?;
    (units + 1 == position.character as usize).then_some(character)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_characters_and_holds_what_lies_outside() {
        let rope = Rope::from_str("é𝄞x\r\nab\rc");
        let cases = [
            (0, 6, Encoding::Utf8, 2),
            (0, 3, Encoding::Utf16, 2),
            (0, 2, Encoding::Utf32, 2),
            // Inside a character: its start.
            (0, 1, Encoding::Utf8, 0),
            (0, 2, Encoding::Utf16, 1),
            // Past the line: its end.
            (0, 99, Encoding::Utf16, 3),
            (1, 1, Encoding::Utf16, 6),
            (1, 99, Encoding::Utf8, 7),
            (2, 0, Encoding::Utf16, 8),
            (2, 99, Encoding::Utf32, 9),
            (u32::MAX, 0, Encoding::Utf16, 9),
        ];
        for (line, character, encoding, expected) in cases {
            let at = char_at(&rope, Position::new(line, character), encoding);
            assert_eq!(at, expected, "{line}:{character} {encoding:?}");
        }
    }
}
