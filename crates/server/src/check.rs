//! The thread that checks: first what is open, then, after a rest, the other files of the repository.

use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use recipe::FileId;
use rules::Group;
use serde_json::json;
use tokio::runtime::Handle;
use tower_lsp::lsp_types::notification::Progress;
use tower_lsp::lsp_types::request::{
    CodeLensRefresh, InlayHintRefreshRequest, SemanticTokensRefresh, WorkDoneProgressCreate,
    WorkspaceDiagnosticRefresh,
};
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticSeverity, NumberOrString, ProgressToken, Range, WorkDoneProgressCreateParams,
};
use workspace::FileState;

use crate::convert;
use crate::documents::{Checked, Message};
use crate::snapshot::{Client, Snapshot};
use crate::transport::Outgoing;

/// Other files are checked after this rest.
const REST: Duration = Duration::from_millis(200);
/// How long an answer of the client is waited for.
const PATIENCE: Duration = Duration::from_secs(10);

/// What to check.
pub(crate) struct Job {
    /// The files.
    pub(crate) snapshot: Arc<Snapshot>,
    /// Files are still being read; those that are not open wait.
    pub(crate) loading: bool,
}

enum Order {
    Check(Job),
    Forget,
    ForgetOne(FileId),
}

/// Gives work to the thread.
pub(crate) struct Checker {
    orders: Sender<Order>,
    client: tower_lsp::Client,
    runtime: Option<Handle>,
}

impl Checker {
    pub(crate) fn start(results: Sender<Message>, outgoing: Outgoing, client: tower_lsp::Client) -> Self {
        let (orders, receiver) = channel();
        let runtime = Handle::try_current().ok();
        let mut worker = Worker {
            results,
            outgoing,
            client: client.clone(),
            runtime: runtime.clone(),
            checked: HashMap::new(),
            progress: None,
            sessions: 0,
        };
        let spawned = std::thread::Builder::new().name("check".into()).spawn(move || worker.run(&receiver));
        drop(spawned);
        Self { orders, client, runtime }
    }

    pub(crate) fn check(&self, job: Job) {
        let _ = self.orders.send(Order::Check(job));
    }

    /// Everything has to be checked again.
    pub(crate) fn forget(&self) {
        let _ = self.orders.send(Order::Forget);
    }

    /// One file has to be checked again.
    pub(crate) fn forget_one(&self, id: FileId) {
        let _ = self.orders.send(Order::ForgetOne(id));
    }

    /// Tells the client to ask again for what it shows.
    pub(crate) fn refresh(&self, can: &Client) {
        self.ask_again(
            can.refreshes_hints,
            can.refreshes_tokens,
            can.refreshes_lenses,
            can.pulls && can.refreshes_diagnostics,
        );
    }

    /// Tells a client that pulls to ask again for what is wrong.
    pub(crate) fn refresh_diagnostics(&self) {
        self.ask_again(false, false, false, true);
    }

    fn ask_again(&self, hints: bool, tokens: bool, lenses: bool, diagnostics: bool) {
        let Some(runtime) = &self.runtime else { return };
        let client = self.client.clone();
        runtime.spawn(async move {
            let ask = async {
                if hints {
                    let _ = client.send_request::<InlayHintRefreshRequest>(()).await;
                }
                if tokens {
                    let _ = client.send_request::<SemanticTokensRefresh>(()).await;
                }
                if lenses {
                    let _ = client.send_request::<CodeLensRefresh>(()).await;
                }
                if diagnostics {
                    let _ = client.send_request::<WorkspaceDiagnosticRefresh>(()).await;
                }
            };
            let _ = tokio::time::timeout(PATIENCE, ask).await;
        });
    }
}

struct Worker {
    results: Sender<Message>,
    outgoing: Outgoing,
    client: tower_lsp::Client,
    runtime: Option<Handle>,
    /// State of each file when it was last checked.
    checked: HashMap<FileId, (Arc<FileState>, Option<i32>)>,
    /// Token of the progress shown; the flag says that the client has agreed.
    progress: Option<(ProgressToken, Arc<AtomicBool>, bool)>,
    sessions: u32,
}

impl Worker {
    fn run(&mut self, receiver: &Receiver<Order>) {
        let mut next = None;
        loop {
            let order = match next.take() {
                Some(order) => order,
                None => match receiver.recv() {
                    Ok(order) => order,
                    Err(_) => return,
                },
            };
            let job = match order {
                Order::Forget => {
                    self.checked.clear();
                    continue;
                }
                Order::ForgetOne(id) => {
                    self.checked.remove(&id);
                    continue;
                }
                Order::Check(job) => job,
            };
            let snapshot = &job.snapshot;
            if !snapshot.client.pulls {
                for (id, open) in &snapshot.open {
                    self.check(snapshot, *id, Some(open.version));
                }
            }
            if job.loading {
                continue;
            }
            let elsewhere = self.elsewhere(snapshot);
            if elsewhere.is_empty() {
                continue;
            }
            match receiver.recv_timeout(REST) {
                Ok(order) => {
                    next = Some(order);
                    continue;
                }
                Err(RecvTimeoutError::Disconnected) => return,
                Err(RecvTimeoutError::Timeout) => {}
            }
            next = self.check_elsewhere(snapshot, elsewhere, receiver);
        }
    }

    /// Files that have to be checked and are not open, and open ones that a change elsewhere has reached.
    fn elsewhere(&mut self, snapshot: &Snapshot) -> Vec<FileId> {
        let states: Vec<&Arc<FileState>> = snapshot.workspace.files().collect();
        let is_new = |checked: &HashMap<FileId, (Arc<FileState>, Option<i32>)>, state: &Arc<FileState>| {
            checked.get(&state.id).is_none_or(|(before, _)| before.stamp != state.stamp)
        };
        let moved: Vec<&Arc<FileState>> =
            states.iter().copied().filter(|state| is_new(&self.checked, state)).collect();
        if moved.is_empty() {
            return Vec::new();
        }
        if snapshot.client.pulls {
            let first = self.checked.is_empty();
            let others = moved.iter().any(|state| !snapshot.open.contains_key(&state.id));
            for state in &moved {
                self.checked.insert(state.id, (Arc::clone(state), None));
            }
            if others && !first {
                let _ = self.results.send(Message::Moved);
            }
            return Vec::new();
        }
        if !snapshot.settings.whole_repository {
            return Vec::new();
        }
        moved.iter().map(|state| state.id).filter(|id| !snapshot.open.contains_key(id)).collect()
    }

    fn check_elsewhere(
        &mut self,
        snapshot: &Arc<Snapshot>,
        files: Vec<FileId>,
        receiver: &Receiver<Order>,
    ) -> Option<Order> {
        let all = files.len();
        if all >= 20 && snapshot.client.progress {
            self.begin();
        }
        for (done, id) in files.into_iter().enumerate() {
            if let Ok(order) = receiver.try_recv() {
                // The rest is found again with the next snapshot.
                self.end();
                return Some(order);
            }
            if done % 16 == 0 {
                self.report(done, all);
            }
            self.check(snapshot, id, None);
        }
        self.end();
        None
    }

    fn check(&mut self, snapshot: &Arc<Snapshot>, id: FileId, version: Option<i32>) {
        let Some(state) = snapshot.workspace.file(id) else { return };
        if let Some((before, last)) = self.checked.get(&id)
            && before.stamp == state.stamp
            && *last == version
        {
            return;
        }
        let before = self.checked.insert(id, (Arc::clone(state), version));
        self.forget_logs_of(snapshot, state, before.as_ref().map(|(state, _)| state));
        let Some(uri) = snapshot.uri(id) else { return };
        let diagnostics = found(snapshot, id);
        let _ = self.results.send(Message::Checked(Checked { file: id, uri, version, diagnostics }));
        // To let go of what was known of many recipes takes as long as to tell of them: that comes first.
        std::thread::yield_now();
        drop(before);
    }

    /// Logs look at the recipe they name, wherever it stands.
    fn forget_logs_of(&mut self, snapshot: &Snapshot, now: &FileState, before: Option<&Arc<FileState>>) {
        let Some(before) = before else { return };
        let names: Vec<&str> =
            before.units.recipes.iter().chain(&now.units.recipes).map(|unit| &*unit.name).collect();
        for state in snapshot.workspace.files() {
            if state.id != now.id && state.units.logs.iter().any(|log| names.contains(&&*log.recipe_name)) {
                self.checked.remove(&state.id);
            }
        }
    }

    fn begin(&mut self) {
        let Some(runtime) = &self.runtime else { return };
        self.sessions += 1;
        let token = ProgressToken::String(format!("gyle-check-{}", self.sessions));
        let agreed = Arc::new(AtomicBool::new(false));
        self.progress = Some((token.clone(), Arc::clone(&agreed), false));
        let client = self.client.clone();
        runtime.spawn(async move {
            let ask = client.send_request::<WorkDoneProgressCreate>(WorkDoneProgressCreateParams { token });
            if let Ok(Ok(())) = tokio::time::timeout(PATIENCE, ask).await {
                agreed.store(true, Ordering::Release);
            }
        });
    }

    fn report(&mut self, done: usize, all: usize) {
        let Some((token, agreed, begun)) = &mut self.progress else { return };
        if !agreed.load(Ordering::Acquire) {
            return;
        }
        let percentage = done * 100 / all.max(1);
        let message = format!("{done} of {all} files");
        let value = if *begun {
            json!({"kind": "report", "message": message, "percentage": percentage})
        } else {
            *begun = true;
            json!({"kind": "begin", "title": "Checking recipes", "message": message, "percentage": percentage})
        };
        self.outgoing.notify(progress_method(), &json!({"token": token, "value": value}));
    }

    fn end(&mut self) {
        if let Some((token, _, true)) = self.progress.take() {
            self.outgoing.notify(progress_method(), &json!({"token": token, "value": {"kind": "end"}}));
        }
    }
}

pub(crate) fn progress_method() -> &'static str {
    use tower_lsp::lsp_types::notification::Notification;
    Progress::METHOD
}

/// Everything found in a file. A computation that panics is named in a diagnostic of its own.
pub(crate) fn found(snapshot: &Snapshot, id: FileId) -> Vec<(Group, Diagnostic)> {
    let done = catch_unwind(AssertUnwindSafe(|| {
        let (analysis, text) = (snapshot.analysis(id)?, snapshot.text(id)?);
        let diagnostics = convert::diagnostics(snapshot, &text, &analysis.findings);
        Some(analysis.findings.iter().map(|finding| finding.group).zip(diagnostics).collect())
    }));
    done.unwrap_or_else(|_| {
        let diagnostic = Diagnostic {
            range: Range::default(),
            severity: Some(DiagnosticSeverity::WARNING),
            code: Some(NumberOrString::String("check-failed".into())),
            source: Some("gyle".into()),
            message: "this file could not be checked\n\
                      this is a mistake in gyle, not in the file: please report it with the file"
                .into(),
            ..Diagnostic::default()
        };
        Some(vec![(Group::Repository, diagnostic)])
    })
    .unwrap_or_default()
}

/// What the client may name to be told that nothing has changed; nothing where findings hang on other files.
pub(crate) fn result_id(state: &FileState) -> Option<String> {
    state.stands_alone().then(|| format!("{:x}", state.stamp))
}
