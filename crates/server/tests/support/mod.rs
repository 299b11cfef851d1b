//! A client in the same process, over a pipe.

#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part")]

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, PipeReader, PipeWriter, Read, Write};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use workspace::{Memory, Source};

/// Nothing takes this long; a test that waits so long fails.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// The client.
pub struct Client {
    input: Option<PipeWriter>,
    messages: Receiver<Value>,
    waiting: VecDeque<Value>,
    server: Option<JoinHandle<u8>>,
    next: i64,
    /// Positions are counted so.
    pub encoding: String,
}

impl Client {
    /// Starts a server over files in memory, not initialised yet.
    pub fn start(files: &[(&str, &str)]) -> Self {
        Self::over(Arc::new(Memory::new(files.iter().map(|(path, text)| (*path, *text)))))
    }

    /// Starts a server over any files, not initialised yet.
    pub fn over(source: Arc<dyn Source>) -> Self {
        let (server_in, input) = std::io::pipe().unwrap();
        let (output, server_out) = std::io::pipe().unwrap();
        let server = std::thread::spawn(move || server::serve(server_in, server_out, source, None));
        let (sender, messages) = channel();
        std::thread::spawn(move || {
            let mut output = BufReader::new(output);
            while let Some(message) = read(&mut output) {
                if sender.send(message).is_err() {
                    return;
                }
            }
        });
        Self {
            input: Some(input),
            messages,
            waiting: VecDeque::new(),
            server: Some(server),
            next: 0,
            encoding: String::new(),
        }
    }

    /// Starts and initialises.
    pub fn with(files: &[(&str, &str)], capabilities: Value) -> Self {
        let mut client = Self::start(files);
        client.initialise(capabilities);
        client
    }

    /// Begins the session with one folder.
    pub fn initialise(&mut self, capabilities: Value) {
        let client = self;
        let folders = json!([{"uri": "file:///r", "name": "r"}]);
        let result = client.request(
            "initialize",
            json!({"processId": null, "rootUri": null, "workspaceFolders": folders, "capabilities": capabilities}),
        );
        client.encoding = result["capabilities"]["positionEncoding"].as_str().unwrap().to_owned();
        client.notify("initialized", json!({}));
    }

    /// Writes bytes as they are.
    pub fn raw(&mut self, bytes: &[u8]) {
        self.input.as_mut().unwrap().write_all(bytes).unwrap();
    }

    /// Writes a message.
    pub fn send(&mut self, message: &Value) {
        let body = message.to_string();
        self.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    }

    pub fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Sends a request and does not wait.
    pub fn ask(&mut self, method: &str, params: Value) -> i64 {
        self.next += 1;
        self.send(&json!({"jsonrpc": "2.0", "id": self.next, "method": method, "params": params}));
        self.next
    }

    /// The whole response to a request.
    pub fn response(&mut self, id: i64) -> Value {
        self.take(|message| message.get("method").is_none() && message["id"] == json!(id))
    }

    /// Sends a request; its result.
    pub fn request(&mut self, method: &str, params: Value) -> Value {
        let id = self.ask(method, params);
        let response = self.response(id);
        assert!(response.get("error").is_none(), "{method}: {response}");
        response["result"].clone()
    }

    /// The first message, old or new, that fits.
    pub fn take(&mut self, fits: impl Fn(&Value) -> bool) -> Value {
        let until = Instant::now() + PATIENCE;
        if let Some(at) = self.waiting.iter().position(&fits) {
            return self.waiting.remove(at).unwrap();
        }
        loop {
            let left = until.saturating_duration_since(Instant::now());
            match self.messages.recv_timeout(left) {
                Ok(message) if fits(&message) => return message,
                Ok(message) => self.waiting.push_back(message),
                Err(RecvTimeoutError::Timeout) => panic!("no answer; there are {:?}", self.waiting),
                Err(RecvTimeoutError::Disconnected) => panic!("the server has ended"),
            }
        }
    }

    /// Everything that comes within a time.
    pub fn collect(&mut self, time: Duration) -> Vec<Value> {
        let until = Instant::now() + time;
        while let Ok(message) = self.messages.recv_timeout(until.saturating_duration_since(Instant::now())) {
            self.waiting.push_back(message);
        }
        self.waiting.drain(..).collect()
    }

    /// Drops what has come and nobody waits for.
    pub fn forget(&mut self) {
        self.waiting.clear();
        while self.messages.try_recv().is_ok() {}
    }

    pub fn open(&mut self, uri: &str, text: &str) {
        self.notify(
            "textDocument/didOpen",
            json!({"textDocument": {"uri": uri, "languageId": "gyle", "version": 1, "text": text}}),
        );
    }

    pub fn change(&mut self, uri: &str, version: i64, changes: Value) {
        self.notify(
            "textDocument/didChange",
            json!({"textDocument": {"uri": uri, "version": version}, "contentChanges": changes}),
        );
    }

    /// The diagnostics pushed for this version.
    pub fn diagnostics(&mut self, uri: &str, version: i64) -> Vec<Value> {
        let message = self.take(|message| {
            message["method"] == json!("textDocument/publishDiagnostics")
                && message["params"]["uri"] == json!(uri)
                && message["params"]["version"] == json!(version)
        });
        message["params"]["diagnostics"].as_array().unwrap().clone()
    }

    /// Ends the session in order; the exit code. The input stays open.
    pub fn end(mut self) -> u8 {
        self.request("shutdown", Value::Null);
        self.send(&json!({"jsonrpc": "2.0", "method": "exit"}));
        self.exit_code()
    }

    /// Waits for the end; the input stays open.
    pub fn exit_code(&mut self) -> u8 {
        let server = self.server.take().unwrap();
        let until = Instant::now() + PATIENCE;
        while !server.is_finished() {
            assert!(Instant::now() < until, "the server does not end");
            std::thread::sleep(Duration::from_millis(1));
        }
        server.join().unwrap()
    }

    /// Closes the input.
    pub fn hang_up(&mut self) {
        self.input = None;
    }
}

fn read(input: &mut BufReader<PipeReader>) -> Option<Value> {
    let mut length = 0;
    loop {
        let mut line = String::new();
        if input.read_line(&mut line).ok()? == 0 {
            return None;
        }
        if line.trim().is_empty() {
            break;
        }
        if let Some(value) = line.strip_prefix("Content-Length:") {
            length = value.trim().parse().ok()?;
        }
    }
    let mut body = vec![0; length];
    input.read_exact(&mut body).ok()?;
    serde_json::from_slice(&body).ok()
}

/// How wide a text is when counted so.
pub fn width(text: &str, encoding: &str) -> usize {
    match encoding {
        "utf-8" => text.len(),
        "utf-16" => text.encode_utf16().count(),
        _ => text.chars().count(),
    }
}

/// The position of a byte.
pub fn position(text: &str, at: usize, encoding: &str) -> Value {
    let before = &text[..at];
    let line = before.rsplit('\n').next().unwrap();
    json!({"line": before.matches('\n').count(), "character": width(line, encoding)})
}

/// The range of the first place where a piece stands.
pub fn range_of(text: &str, piece: &str, encoding: &str) -> Value {
    let at = text.find(piece).unwrap();
    json!({"start": position(text, at, encoding), "end": position(text, at + piece.len(), encoding)})
}

/// A text without its `$0`, and the position where that stood.
pub fn at_cursor(text: &str, encoding: &str) -> (String, Value) {
    let at = text.find("$0").unwrap();
    let text = text.replacen("$0", "", 1);
    let position = position(&text, at, encoding);
    (text, position)
}
