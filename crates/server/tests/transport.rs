//! Faults that are known of loops around a language server, as tests of this one.
#![allow(clippy::unwrap_used, clippy::panic)]

mod support;

use std::io::Write;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use support::Client;

const URI: &str = "file:///r/a.gyle";
const TEXT: &str =
    "recipe Bitter\n  batch 20 L\n\nbrewhouse\n  efficiency 75 %\n\ngrist\n  4,5 kg pale ale malt # é\n";

fn pushing() -> Client {
    Client::with(&[], json!({}))
}

fn code(diagnostics: &[Value]) -> Vec<&str> {
    diagnostics.iter().filter_map(|one| one["code"].as_str()).collect()
}

#[test]
fn edits_sent_without_waiting_are_taken_in_order() {
    let mut client = pushing();
    client.open(URI, "");
    let mut expected = String::new();
    for at in 0..500_i64 {
        let text = format!("{at};");
        let start = json!({"line": 0, "character": expected.len()});
        client.change(URI, at + 2, json!([{"range": {"start": start, "end": start}, "text": text}]));
        expected.push_str(&text);
    }
    // The whole text, from the edit that would replace it: a line that was lost would shift its range.
    let whole = client.request("textDocument/diagnostic", json!({"textDocument": {"uri": URI}}));
    let found = whole["items"].as_array().unwrap();
    let end = found.iter().filter_map(|one| one["range"]["end"]["character"].as_u64()).max().unwrap();
    assert_eq!(end as usize, expected.len());
    assert_eq!(client.end(), 0);
}

#[test]
fn a_session_sent_without_waiting_works() {
    let mut client = Client::start(&[]);
    let id = client.ask("initialize", json!({"processId": null, "rootUri": null, "capabilities": {}}));
    client.notify("initialized", json!({}));
    client.open(URI, TEXT);
    let formatting = client.ask(
        "textDocument/formatting",
        json!({"textDocument": {"uri": URI}, "options": {"tabSize": 2, "insertSpaces": true}}),
    );
    assert!(client.response(id)["result"]["capabilities"].is_object());
    assert!(client.response(formatting)["result"].is_array());
    let found = client.diagnostics(URI, 1);
    assert!(code(&found).contains(&"decimal-comma"), "{found:?}");
    assert_eq!(client.end(), 0);
}

#[test]
fn null_params_of_shutdown_are_taken_and_exit_ends_with_the_input_open() {
    let mut client = pushing();
    let id = client.ask("shutdown", Value::Null);
    let answer = client.response(id);
    assert!(answer.get("error").is_none(), "{answer}");
    client.send(&json!({"jsonrpc": "2.0", "method": "exit", "params": null}));
    assert_eq!(client.exit_code(), 0);
}

#[test]
fn exit_without_shutdown_and_a_closed_input_end_with_1() {
    let mut client = pushing();
    client.notify("exit", json!({}));
    assert_eq!(client.exit_code(), 1);
    let mut client = pushing();
    client.hang_up();
    assert_eq!(client.exit_code(), 1);
}

#[test]
fn what_cannot_be_read_is_answered_and_the_session_goes_on() {
    let mut client = pushing();
    let frames: [(&[u8], i64); 6] = [
        (b"Content-Length: 5\r\n\r\n{\"a\":", -32700),
        (b"Content-Length: 4\r\n\r\n\"\xff\xfe\"", -32700),
        (b"Content-Length: 2\r\n\r\n[]", -32600),
        (b"Content-Length: 2\r\n\r\n{}", -32600),
        (b"Content-Type: nothing\r\n\r\n", -32700),
        (b"content-length: 26\r\n\r\n{\"jsonrpc\":\"2.0\",\"id\":null", -32700),
    ];
    for (frame, code) in frames {
        client.raw(frame);
        let answer = client.take(|message| message["id"].is_null() && message.get("error").is_some());
        assert_eq!(answer["error"]["code"], json!(code), "{:?}", String::from_utf8_lossy(frame));
    }
    client.open(URI, TEXT);
    assert!(code(&client.diagnostics(URI, 1)).contains(&"decimal-comma"));
    assert_eq!(client.end(), 0);
}

/// Editors that count in UTF-16 cut pairs in two, so a half comes alone: where it stands in a text that is opened,
/// and where it takes the place of a whole character.
#[test]
fn half_a_character_costs_itself_only() {
    let mut client = pushing();
    let mut after = |method: &str, version: u8, params: &str| {
        let document = format!(r#""textDocument":{{"uri":"{URI}","version":{version},"languageId":"gyle""#);
        let body = format!(
            r#"{{"jsonrpc":"2.0","method":"textDocument/{method}","params":{{{document}{params}}}}}"#
        );
        client.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
        let found = client.diagnostics(URI, i64::from(version));
        found.into_iter().find(|one| one["code"] == "decimal-comma").unwrap()["range"]["start"].take()
    };
    // A backslash of the text itself, a half, and a pair.
    let comma = after("didOpen", 1, r#","text":"grist\n  5 kg  \\ud83c \ud83c \ud83c\udf3e [4,5 EBC]\n"}"#);
    assert_eq!(comma, json!({"line": 1, "character": 21}));
    let range = r#"{"start":{"line":1,"character":17},"end":{"line":1,"character":19}}"#;
    let change = format!(r#"}},"contentChanges":[{{"range":{range},"text":"\udf7a"}}]"#);
    let comma = after("didChange", 2, &change);
    assert_eq!(comma, json!({"line": 1, "character": 20}));
    assert_eq!(client.end(), 0);
}

#[test]
fn unknown_requests_are_answered_and_unknown_notifications_are_not() {
    let mut client = pushing();
    for method in ["no/such", "$/noSuch", "textDocument/noSuch"] {
        for params in [Some(json!({})), Some(Value::Null), Some(json!([1])), None] {
            client.notify(method, json!({}));
            let mut request = json!({"jsonrpc": "2.0", "id": 4242, "method": method});
            if let Some(params) = params {
                request["params"] = params;
            }
            client.send(&request);
            let answer = client.response(4242);
            assert_eq!(answer["error"]["code"], json!(-32601), "{method}");
        }
    }
    assert!(client.collect(Duration::from_millis(20)).is_empty());
    assert_eq!(client.end(), 0);
}

#[test]
fn wrong_params_are_answered() {
    let mut client = pushing();
    let id = client.ask("textDocument/formatting", json!({"textDocument": 3}));
    assert_eq!(client.response(id)["error"]["code"], json!(-32602));
    let id = client.ask("textDocument/formatting", Value::Null);
    assert_eq!(client.response(id)["error"]["code"], json!(-32602));
    // A notification that cannot be read changes nothing.
    client.notify("textDocument/didChange", json!({"textDocument": []}));
    assert_eq!(client.end(), 0);
}

#[test]
fn requests_before_initialize_and_after_shutdown_are_refused() {
    let mut client = Client::start(&[]);
    let id = client.ask(
        "textDocument/formatting",
        json!({"textDocument": {"uri": URI}, "options": {"tabSize": 2, "insertSpaces": true}}),
    );
    assert_eq!(client.response(id)["error"]["code"], json!(-32002));
    client.request("initialize", json!({"processId": null, "rootUri": null, "capabilities": {}}));
    client.request("shutdown", Value::Null);
    let id = client.ask(
        "textDocument/formatting",
        json!({"textDocument": {"uri": URI}, "options": {"tabSize": 2, "insertSpaces": true}}),
    );
    assert_eq!(client.response(id)["error"]["code"], json!(-32600));
    client.notify("exit", json!({}));
    assert_eq!(client.exit_code(), 0);
}

#[test]
fn answers_nobody_waits_for_do_no_harm() {
    let mut client = pushing();
    for id in [json!(0), json!(77), json!("x"), Value::Null] {
        client.send(&json!({"jsonrpc": "2.0", "id": id, "result": null}));
        client.send(&json!({"jsonrpc": "2.0", "id": id, "error": {"code": 1, "message": "no"}}));
    }
    client.open(URI, TEXT);
    assert!(!client.diagnostics(URI, 1).is_empty());
    assert_eq!(client.end(), 0);
}

#[test]
fn many_requests_and_edits_while_the_client_answers_nothing() {
    // Asked for its configuration and its watched files, this client never answers.
    let capabilities = json!({"workspace": {
        "configuration": true, "didChangeWatchedFiles": {"dynamicRegistration": true}}});
    let mut client = Client::with(&[], capabilities);
    client.open(URI, TEXT);
    let mut ids = Vec::new();
    for version in 2..202 {
        client.notify("workspace/didChangeConfiguration", json!({"settings": null}));
        client.change(URI, version, json!([{"text": TEXT}]));
        ids.push(client.ask(
            "textDocument/codeAction",
            json!({
            "textDocument": {"uri": URI}, "context": {"diagnostics": []},
            "range": {"start": {"line": 0, "character": 0}, "end": {"line": 99, "character": 0}}}),
        ));
    }
    let last = ids.pop().unwrap();
    for id in ids {
        // Either answered, or given up since the text has moved on.
        let answer = client.response(id);
        assert!(answer["result"].is_array() || answer["error"]["code"] == json!(-32801), "{answer}");
    }
    assert!(!client.response(last)["result"].as_array().unwrap().is_empty());
    assert_eq!(client.end(), 0);
}

#[test]
fn a_quick_request_does_not_wait_for_a_long_computation() {
    let mut client = pushing();
    let long = TEXT.repeat(3_000);
    client.open(URI, &long);
    client.open("file:///r/b.gyle", TEXT);
    client.diagnostics("file:///r/b.gyle", 1);
    let slow = client.ask("textDocument/diagnostic", json!({"textDocument": {"uri": URI}}));
    let asked = Instant::now();
    client.request(
        "textDocument/formatting",
        json!({"textDocument": {"uri": "file:///r/b.gyle"}, "options": {"tabSize": 2, "insertSpaces": true}}),
    );
    let quick = asked.elapsed();
    client.response(slow);
    assert!(quick <= asked.elapsed());
    assert!(quick < Duration::from_secs(1), "{quick:?}");
    assert_eq!(client.end(), 0);
}

#[test]
fn a_request_is_cancelled_however_many_are_under_way() {
    let mut client = pushing();
    client.open(URI, &TEXT.repeat(500));
    let ids: Vec<i64> = (0..20)
        .map(|_| client.ask("textDocument/diagnostic", json!({"textDocument": {"uri": URI}})))
        .collect();
    for id in &ids {
        client.notify("$/cancelRequest", json!({"id": id}));
    }
    for id in ids {
        let answer = client.response(id);
        assert!(answer["error"]["code"] == json!(-32800) || answer["result"].is_object(), "{answer}");
    }
    // Cancelling what is done, or never was, does no harm.
    client.notify("$/cancelRequest", json!({"id": 1}));
    client.notify("$/cancelRequest", json!({"id": "x"}));
    assert_eq!(client.end(), 0);
}

#[test]
fn a_client_that_reads_no_more_does_not_keep_the_server() {
    let (server_in, mut input) = std::io::pipe().unwrap();
    // Nobody reads this pipe, which holds far less than the diagnostics of these files.
    let (_output, server_out) = std::io::pipe().unwrap();
    let names: Vec<String> = (0..300).map(|at| format!("r/b{at}.gyle")).collect();
    let files = workspace::Memory::new(names.iter().map(|name| (name.as_str(), TEXT)));
    let server =
        std::thread::spawn(move || server::serve(server_in, server_out, std::sync::Arc::new(files), None));
    let folders = json!([{"uri": "file:///r", "name": "r"}]);
    let params = json!({"processId": null, "rootUri": null, "workspaceFolders": folders, "capabilities": {}});
    let send = |input: &mut std::io::PipeWriter, message: Value| {
        let body = message.to_string();
        write!(input, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
    };
    send(&mut input, json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": params}));
    send(&mut input, json!({"jsonrpc": "2.0", "method": "initialized", "params": {}}));
    std::thread::sleep(Duration::from_secs(2));
    send(&mut input, json!({"jsonrpc": "2.0", "id": 2, "method": "shutdown"}));
    send(&mut input, json!({"jsonrpc": "2.0", "method": "exit"}));
    let until = Instant::now() + support::PATIENCE;
    while !server.is_finished() {
        assert!(Instant::now() < until, "the server does not end");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(server.join().unwrap(), 0);
}

#[test]
fn a_client_that_has_closed_its_end_stops_nothing_but_the_session() {
    let (server_in, mut input) = std::io::pipe().unwrap();
    let (output, server_out) = std::io::pipe().unwrap();
    let files = std::sync::Arc::new(workspace::Memory::default());
    let server = std::thread::spawn(move || server::serve(server_in, server_out, files, None));
    let mut send = |message: Value| {
        let body = message.to_string();
        write!(input, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
    };
    let params = json!({"processId": null, "rootUri": null, "capabilities": {}});
    send(json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": params}));
    send(json!({"jsonrpc": "2.0", "method": "initialized", "params": {}}));
    let document = json!({"uri": URI, "languageId": "gyle", "version": 1, "text": TEXT.repeat(300)});
    send(json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": document}}));
    // Nobody will read the answers to what is asked from here on.
    drop(output);
    for id in 2..60 {
        let params = json!({"textDocument": {"uri": URI}});
        send(json!({"jsonrpc": "2.0", "id": id, "method": "textDocument/diagnostic", "params": params}));
    }
    drop(input);
    let until = Instant::now() + support::PATIENCE;
    while !server.is_finished() {
        assert!(Instant::now() < until, "the server does not end");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(server.join().unwrap(), 1, "the session was not shut down");
}

#[test]
fn an_answer_that_comes_when_it_is_no_longer_waited_for_does_no_harm() {
    // Asked for its configuration, this client takes longer than anybody waits.
    let mut client = Client::with(&[], json!({"workspace": {"configuration": true}}));
    let asked = client.take(|message| message["method"] == "workspace/configuration");
    std::thread::sleep(Duration::from_millis(10_300));
    let settings = json!([{"diagnostics": {"scope": "open"}}]);
    client.send(&json!({"jsonrpc": "2.0", "id": asked["id"], "result": settings}));
    client.send(&json!({"jsonrpc": "2.0", "id": asked["id"], "result": settings}));
    client.open(URI, TEXT);
    assert!(!client.diagnostics(URI, 1).is_empty());
    assert_eq!(client.end(), 0);
}
