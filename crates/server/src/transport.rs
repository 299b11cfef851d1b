//! Frames in, frames out: the loop around the service.
//!
//! The service and the client socket are those of `tower-lsp`; its own loop is not used. It reorders work
//! after a wait, stops at the first frame it cannot read and does not end while the input stays open.

use std::future::Future;
use std::io::{BufRead, BufReader, Read, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::pin::Pin;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::task::{Context, Poll, Waker};
use std::time::{Duration, Instant};

use futures_util::{FutureExt, SinkExt, StreamExt};
use serde_json::{Value, json};
use tower_lsp::LspService;
use tower_lsp::jsonrpc::{Error, ErrorCode, Id, Request, Response};
use tower_service::Service;
use workspace::{Disk, Source};

use crate::halves;
use crate::handlers::Server;

/// Largest body that is read, bytes.
const LARGEST: usize = 64 << 20;
/// Longest header line that is read, bytes.
const LONGEST_HEADER: u64 = 8 << 10;
/// How often it is looked whether the editor still lives.
const PARENT_CHECK: Duration = Duration::from_secs(5);
/// How long the last answers may take to be written.
const LAST_WORDS: Duration = Duration::from_millis(500);

/// Where frames for the client go: one thread writes them. `None` ends it.
#[derive(Clone)]
pub(crate) struct Outgoing(pub(crate) Sender<Option<Vec<u8>>>);

impl Outgoing {
    /// Sends a message. A client that has gone away is noticed by the end of its input.
    pub(crate) fn send(&self, message: &impl serde::Serialize) {
        if let Ok(body) = serde_json::to_vec(message) {
            let _ = self.0.send(Some(body));
        }
    }

    /// Sends a notification.
    pub(crate) fn notify(&self, method: &str, params: &impl serde::Serialize) {
        #[derive(serde::Serialize)]
        struct Notification<'a, P> {
            jsonrpc: &'static str,
            method: &'a str,
            params: &'a P,
        }
        self.send(&Notification { jsonrpc: "2.0", method, params });
    }
}

/// Serves standard input and output with the file system. Gives the exit code: 0 after `shutdown` and
/// `exit`, else 1.
#[must_use]
pub fn run() -> u8 {
    serve(std::io::stdin(), std::io::stdout(), Arc::new(Disk), Some(watch_parent))
}

/// Ends the process when the editor that started it is gone and has left the input open.
fn watch_parent(process: u32) {
    let place = std::path::PathBuf::from(format!("/proc/{process}"));
    if !place.exists() {
        return;
    }
    let _ = std::thread::Builder::new().name("parent".into()).spawn(move || {
        while place.exists() {
            std::thread::sleep(PARENT_CHECK);
        }
        std::process::exit(1);
    });
}

/// Serves until `exit` or the end of the input. `watch` is told the process of the client.
#[must_use]
pub fn serve(
    input: impl Read,
    output: impl Write + Send + 'static,
    source: Arc<dyn Source>,
    watch: Option<fn(u32)>,
) -> u8 {
    let Ok(runtime) = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_time().build()
    else {
        return 1;
    };
    let (sender, receiver) = channel();
    let outgoing = Outgoing(sender);
    let writer = std::thread::Builder::new().name("writer".into()).spawn(move || write(output, &receiver));
    let code = {
        let _inside = runtime.enter();
        read_loop(input, &outgoing, &source, watch)
    };
    // What still computes is given up; what was answered is written.
    runtime.shutdown_background();
    let _ = outgoing.0.send(None);
    if code == 0
        && let Ok(writer) = writer
    {
        // A client that reads no more must not keep the process.
        let until = Instant::now() + LAST_WORDS;
        while !writer.is_finished() && Instant::now() < until {
            std::thread::sleep(Duration::from_millis(1));
        }
    }
    code
}

fn write(mut output: impl Write, receiver: &Receiver<Option<Vec<u8>>>) {
    let mut buffer = Vec::new();
    while let Ok(Some(first)) = receiver.recv() {
        buffer.clear();
        let mut end = false;
        for body in core::iter::once(Some(first)).chain(receiver.try_iter()) {
            let Some(body) = body else {
                end = true;
                break;
            };
            let _ = write!(buffer, "Content-Length: {}\r\n\r\n", body.len());
            buffer.extend_from_slice(&body);
        }
        if output.write_all(&buffer).and_then(|()| output.flush()).is_err() || end {
            return;
        }
        buffer.shrink_to(1 << 20);
    }
}

/// What stood in the input.
enum Frame {
    Body(Vec<u8>),
    Malformed(&'static str),
    End,
}

fn read_frame(input: &mut impl BufRead) -> Frame {
    let mut length = None;
    let mut line = Vec::new();
    let mut any = false;
    loop {
        line.clear();
        match input.by_ref().take(LONGEST_HEADER).read_until(b'\n', &mut line) {
            Ok(0) | Err(_) => return Frame::End,
            Ok(_) => {}
        }
        let text = String::from_utf8_lossy(&line);
        let text = text.trim();
        if text.is_empty() {
            if any {
                break;
            }
            // Blank lines between frames do no harm.
            continue;
        }
        any = true;
        if let Some((name, value)) = text.split_once(':')
            && name.trim().eq_ignore_ascii_case("content-length")
        {
            length = value.trim().parse::<usize>().ok();
        }
    }
    let Some(length) = length else { return Frame::Malformed("a message without Content-Length") };
    if length > LARGEST {
        let skipped = std::io::copy(&mut input.by_ref().take(length as u64), &mut std::io::sink());
        return if skipped.is_ok() { Frame::Malformed("a message beyond 64 MiB") } else { Frame::End };
    }
    let mut body = Vec::new();
    match input.by_ref().take(length as u64).read_to_end(&mut body) {
        Ok(read) if read == length => Frame::Body(body),
        _ => Frame::End,
    }
}

/// An error that belongs to no request that could be read.
fn complain(outgoing: &Outgoing, code: i64, message: &str) {
    outgoing.send(&json!({"jsonrpc": "2.0", "id": null, "error": {"code": code, "message": message}}));
}

/// The types at hand call one capability otherwise than the specification, and every client, does.
fn name_as_the_types_do(message: &mut Value) {
    if let Some(workspace) =
        message.pointer_mut("/params/capabilities/workspace").and_then(Value::as_object_mut)
        && let Some(diagnostics) = workspace.get("diagnostics").cloned()
    {
        workspace.entry("diagnostic").or_insert(diagnostics);
    }
}

type Answer = Pin<Box<dyn Future<Output = Option<Response>> + Send>>;

fn read_loop(input: impl Read, outgoing: &Outgoing, source: &Arc<dyn Source>, watch: Option<fn(u32)>) -> u8 {
    let mut input = BufReader::with_capacity(1 << 16, input);
    let (mut service, socket) =
        LspService::new(|client| Server::new(client, outgoing.clone(), Arc::clone(source)));
    let (mut requests, mut replies) = socket.split();
    let to_client = outgoing.clone();
    tokio::spawn(async move {
        while let Some(request) = requests.next().await {
            to_client.send(&request);
        }
    });
    let mut shut_down = false;
    loop {
        let body = match read_frame(&mut input) {
            Frame::Body(body) => body,
            Frame::Malformed(what) => {
                complain(outgoing, -32700, what);
                continue;
            }
            Frame::End => return u8::from(!shut_down),
        };
        let read = serde_json::from_slice::<Value>(&body).or_else(|error| match halves::kept(&body) {
            Some(mended) => serde_json::from_slice(&mended),
            None => Err(error),
        });
        let Ok(mut message) = read else {
            complain(outgoing, -32700, "the body of a message is no JSON");
            continue;
        };
        if message.get("params").is_some_and(Value::is_null)
            && let Some(fields) = message.as_object_mut()
        {
            fields.shift_remove("params");
        }
        if message["method"] == "initialize" {
            name_as_the_types_do(&mut message);
        }
        if message.get("method").is_none() {
            let response = serde_json::from_value::<Response>(message);
            let Ok(response) = response else {
                complain(outgoing, -32600, "a message is neither request nor response");
                continue;
            };
            // A late answer to a request that was given up makes the sink panic.
            let _ = catch_unwind(AssertUnwindSafe(|| replies.send(response).now_or_never()));
            continue;
        }
        let Ok(request) = serde_json::from_value::<Request>(message) else {
            complain(outgoing, -32600, "a message is no JSON-RPC 2.0 request");
            continue;
        };
        match request.method() {
            "exit" if request.id().is_none() => return u8::from(!shut_down),
            "shutdown" if request.id().is_some() => shut_down = true,
            "initialize" => {
                let process = request.params().and_then(|params| params.get("processId"));
                let process = process.and_then(Value::as_u64).and_then(|id| u32::try_from(id).ok());
                if let (Some(watch), Some(process)) = (watch, process) {
                    watch(process);
                }
            }
            _ => {}
        }
        let mut answer = answer(&mut service, request);
        let mut context = Context::from_waker(Waker::noop());
        match answer.as_mut().poll(&mut context) {
            Poll::Ready(Some(response)) => outgoing.send(&response),
            Poll::Ready(None) => {}
            Poll::Pending => {
                let outgoing = outgoing.clone();
                tokio::spawn(async move {
                    if let Some(response) = answer.await {
                        outgoing.send(&response);
                    }
                });
            }
        }
    }
}

/// Calls the service so that every request is answered, whatever happens inside.
fn answer(service: &mut LspService<Server>, request: Request) -> Answer {
    let id = request.id().cloned();
    let method = request.method().to_owned();
    let fail = |id: Option<Id>, error: Error| id.map(|id| Response::from_error(id, error));
    let called = catch_unwind(AssertUnwindSafe(|| service.call(request)));
    Box::pin(async move {
        let Ok(future) = called else { return fail(id, internal(&method)) };
        match AssertUnwindSafe(future).catch_unwind().await {
            Ok(Ok(Some(response))) => Some(response),
            Ok(Ok(None)) => fail(id, Error::method_not_found()),
            Ok(Err(_)) => fail(id, Error::invalid_request()),
            Err(_) => fail(id, internal(&method)),
        }
    })
}

/// What is answered when a computation has panicked.
pub(crate) fn internal(method: &str) -> Error {
    Error {
        code: ErrorCode::InternalError,
        message: format!("{method} could not be answered: this is a mistake in gyle, please report it")
            .into(),
        data: None,
    }
}
