//! What comes with a diagnostic, when it is shown, and how a client is told of the whole repository.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

mod support;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use serde_json::{Value, json};
use support::{Client, range_of};
use workspace::{Memory, Source, Walk};

const URI: &str = "file:///r/a.gyle";
const TOML_URI: &str = "file:///r/gyle.toml";

/// A client that pulls and can be told to ask again.
fn pulling() -> Value {
    json!({"textDocument": {"diagnostic": {}}, "workspace": {"diagnostics": {"refreshSupport": true}}})
}

fn is_push_for(uri: &str) -> impl Fn(&Value) -> bool + '_ {
    move |message| {
        message["method"] == "textDocument/publishDiagnostics" && message["params"]["uri"] == json!(uri)
    }
}

fn codes(diagnostics: &Value) -> Vec<&str> {
    diagnostics.as_array().unwrap().iter().filter_map(|one| one["code"].as_str()).collect()
}

#[test]
fn a_diagnostic_leads_to_its_rule_and_says_what_may_go() {
    let text = "# ä\nrecipe \"A\"\n  batch 20 L # 𝄞 allow\n  # allow style-og: as it was\n  batch 10 L\n";
    for (capabilities, described) in [
        (json!({"textDocument": {"publishDiagnostics": {"codeDescriptionSupport": true}}}), true),
        (json!({}), false),
    ] {
        let mut client = Client::with(&[], capabilities);
        client.open(URI, text);
        let found = client.diagnostics(URI, 1);
        let stale = found.iter().find(|one| one["code"] == "stale-allowance").unwrap();
        assert_eq!(stale["tags"], json!([1]), "it may go");
        assert_eq!(stale["source"], "gyle");
        assert!(found.iter().filter(|one| one["code"] != "stale-allowance").all(|one| one["tags"].is_null()));
        assert_eq!(stale["codeDescription"].is_object(), described);
        if described {
            let href = stale["codeDescription"]["href"].as_str().unwrap();
            let page = std::fs::read_to_string(href.strip_prefix("file://").unwrap()).unwrap();
            assert_eq!(page, rules::find("stale-allowance").unwrap().markdown(1));
        }
        assert_eq!(client.end(), 0);
    }
}

#[test]
fn related_places_stand_where_the_client_shows_them() {
    let text = "# 𝄞\nmalt é\n  extract 80 %\nmalt é\n  extract 79 %\n";
    let related = json!({"textDocument": {"publishDiagnostics": {"relatedInformation": true}}});
    let mut client = Client::with(&[], related);
    client.open(URI, text);
    let found = client.diagnostics(URI, 1);
    let twice = found.iter().find(|one| one["relatedInformation"].is_array()).unwrap();
    let place = &twice["relatedInformation"][0]["location"];
    assert_eq!(place["uri"], URI);
    assert_eq!(place["range"], range_of(text, "é", &client.encoding));
    assert_eq!(client.end(), 0);
    let mut client = Client::with(&[], json!({}));
    client.open(URI, text);
    assert!(client.diagnostics(URI, 1).iter().all(|one| one["relatedInformation"].is_null()));
    assert_eq!(client.end(), 0);
}

/// Files that may be changed on the disk, and that make whoever reads them panic when told to.
struct Changing(Mutex<Memory>, Mutex<bool>);

impl Changing {
    fn new(files: &[(&str, &str)]) -> Arc<Self> {
        Arc::new(Self(Mutex::new(Memory::new(files.iter().copied())), Mutex::new(false)))
    }
    fn set(&self, files: &[(&str, &str)]) {
        *self.0.lock().unwrap() = Memory::new(files.iter().copied());
    }
    fn with<T>(&self, look: impl FnOnce(&Memory) -> T) -> T {
        look(&self.0.lock().unwrap())
    }
}

impl Source for Changing {
    fn read(&self, path: &Path) -> std::io::Result<String> {
        if *self.1.lock().unwrap() {
            std::panic::resume_unwind(Box::new("told to"));
        }
        self.with(|files| files.read(path))
    }
    fn exists(&self, path: &Path) -> bool {
        self.with(|files| files.exists(path))
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.with(|files| files.is_folder(path))
    }
    fn walk(&self, folder: &Path) -> Walk {
        self.with(|files| files.walk(folder))
    }
    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        self.with(|files| files.list(folder))
    }
}

const A: &str = "recipe \"A\"\n  batch 20 L\n";
const WRONG: &str = "# 𝄞 é\n[figures]\nbitterness = \"strong\"\n";

#[test]
fn mistakes_in_the_configuration_stand_in_its_file() {
    let source = Changing::new(&[("/r/gyle.toml", WRONG), ("/r/a.gyle", A)]);
    let mut client = Client::over(Arc::clone(&source) as Arc<dyn Source>);
    client.initialise(json!({}));
    let pushed = client.take(is_push_for(TOML_URI));
    let found = &pushed["params"]["diagnostics"];
    assert_eq!(found[0]["range"], range_of(WRONG, "\"strong\"", &client.encoding), "{found}");
    assert!(found[0]["message"].as_str().unwrap().contains("tinseth"), "{found}");
    // Mended on the disk, without a restart.
    source.set(&[("/r/gyle.toml", "[figures]\nbitterness = \"rager\"\n"), ("/r/a.gyle", A)]);
    client.notify("workspace/didChangeWatchedFiles", json!({"changes": [{"uri": TOML_URI, "type": 2}]}));
    let pushed = client.take(is_push_for(TOML_URI));
    assert_eq!(pushed["params"]["diagnostics"], json!([]));
    assert_eq!(client.end(), 0);
}

#[test]
fn a_client_that_pulls_is_told_of_the_repository_with_progress_and_of_changes_alone() {
    let files = [("/r/gyle.toml", WRONG), ("/r/a.gyle", A), ("/r/b.gyle", "recipe \"B\"\n  batch 2,5 L\n")];
    let source = Changing::new(&files);
    let mut client = Client::over(Arc::clone(&source) as Arc<dyn Source>);
    client.initialise(pulling());
    let ask = |client: &mut Client, before: &[(String, String)]| {
        let before: Vec<Value> =
            before.iter().map(|(uri, value)| json!({"uri": uri, "value": value})).collect();
        let found = client
            .request("workspace/diagnostic", json!({"previousResultIds": before, "workDoneToken": "t"}));
        for kind in ["begin", "end"] {
            client.take(|message| {
                message["method"] == "$/progress"
                    && message["params"]["token"] == "t"
                    && message["params"]["value"]["kind"] == kind
            });
        }
        found["items"].as_array().unwrap().clone()
    };
    // Until the repository has been read the answer holds what is there.
    let mut items = Vec::new();
    for _ in 0..200 {
        items = ask(&mut client, &[]);
        if items.len() == 3 {
            break;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    let of = |items: &[Value], uri: &str| items.iter().find(|one| one["uri"] == uri).unwrap().clone();
    assert_eq!(codes(&of(&items, "file:///r/b.gyle")["items"]), ["decimal-comma"]);
    assert_eq!(of(&items, TOML_URI)["items"].as_array().unwrap().len(), 1);
    let known: Vec<(String, String)> = items
        .iter()
        .filter_map(|one| Some((one["uri"].as_str()?.to_owned(), one["resultId"].as_str()?.to_owned())))
        .collect();
    assert_eq!(known.len(), 2);
    let again = ask(&mut client, &known);
    assert_eq!(of(&again, "file:///r/b.gyle")["kind"], "unchanged");
    // What has changed is told in full.
    client.open("file:///r/b.gyle", "recipe \"B\"\n  batch 2.5 L\n");
    let again = ask(&mut client, &known);
    assert_eq!(of(&again, "file:///r/b.gyle")["kind"], "full");
    assert_eq!(of(&again, URI)["kind"], "unchanged");
    // A document asked for twice is unchanged as well.
    let params = json!({"textDocument": {"uri": "file:///r/b.gyle"}});
    let first = client.request("textDocument/diagnostic", params.clone());
    let mut params = params;
    params["previousResultId"] = first["resultId"].clone();
    assert_eq!(client.request("textDocument/diagnostic", params.clone())["kind"], "unchanged");
    client.change("file:///r/b.gyle", 2, json!([{"text": "recipe \"B\"\n  batch 3,5 L\n"}]));
    let changed = client.request("textDocument/diagnostic", params);
    assert_eq!(codes(&changed["items"]), ["decimal-comma"]);

    // A computation that panics is answered, and the session goes on.
    *source.1.lock().unwrap() = true;
    let id = client.ask("workspace/diagnostic", json!({"previousResultIds": []}));
    assert_eq!(client.response(id)["error"]["code"], json!(-32603));
    *source.1.lock().unwrap() = false;
    assert_eq!(ask(&mut client, &[]).len(), 3);
    assert_eq!(client.end(), 0);
}

/// One letter more on the line of the batch, which then cannot be read.
fn type_a_letter(client: &mut Client, version: i64) {
    let at = json!({"line": 1, "character": 8});
    client.change(URI, version, json!([{"range": {"start": at, "end": at}, "text": "x"}]));
}

#[test]
fn a_line_that_is_typed_is_wrong_only_when_it_rests() {
    // Pushed: at first nothing, then the mistake, for the same version.
    let mut client = Client::with(&[], json!({}));
    client.open(URI, A);
    client.diagnostics(URI, 1);
    type_a_letter(&mut client, 2);
    let first = json!(client.diagnostics(URI, 2));
    let then = json!(client.diagnostics(URI, 2));
    assert!(codes(&then).len() > codes(&first).len(), "{first} {then}");
    // Seen once, it stays while the line is typed on.
    type_a_letter(&mut client, 3);
    assert_eq!(codes(&json!(client.diagnostics(URI, 3))), codes(&then));
    assert_eq!(client.end(), 0);

    // Pulled: the client is told to ask again.
    let mut client = Client::with(&[], pulling());
    client.open(URI, A);
    let params = json!({"textDocument": {"uri": URI}});
    client.request("textDocument/diagnostic", params.clone());
    type_a_letter(&mut client, 2);
    let answer = client.request("textDocument/diagnostic", params.clone());
    assert_eq!(codes(&answer["items"]), codes(&first));
    assert!(answer["resultId"].is_null());
    let told = client.take(|message| message["method"] == "workspace/diagnostic/refresh");
    client.send(&json!({"jsonrpc": "2.0", "id": told["id"], "result": null}));
    let answer = client.request("textDocument/diagnostic", params.clone());
    assert_eq!(codes(&answer["items"]), codes(&then));
    assert_eq!(client.end(), 0);

    // A client that cannot be told is told at once.
    let mut client = Client::with(&[], json!({"textDocument": {"diagnostic": {}}}));
    client.open(URI, A);
    type_a_letter(&mut client, 2);
    let answer = client.request("textDocument/diagnostic", params);
    assert_eq!(codes(&answer["items"]), codes(&then));
    assert_eq!(client.end(), 0);
}

#[test]
fn settings_change_without_a_restart() {
    let text = "recipe \"A\"\n  batch 20 L\ngrist\n  4 kg pale ale malt # 𝄞\n";
    let mut client = Client::with(&[], json!({"workspace": {"inlayHint": {"refreshSupport": true}}}));
    client.open(URI, text);
    let params = json!({"textDocument": {"uri": URI},
        "range": {"start": {"line": 0, "character": 0}, "end": {"line": 4, "character": 0}}});
    let shown = client.request("textDocument/inlayHint", params.clone()).as_array().unwrap().len();
    assert!(shown > 1);
    for (hints, fewer) in
        [(json!({"grist": false}), true), (json!({"enabled": false}), true), (json!({}), false)]
    {
        let settings = json!({"settings": {"gyle": {"hints": hints}}});
        client.notify("workspace/didChangeConfiguration", settings);
        let told = client.take(|message| message["method"] == "workspace/inlayHint/refresh");
        client.send(&json!({"jsonrpc": "2.0", "id": told["id"], "result": null}));
        let now = client.request("textDocument/inlayHint", params.clone());
        assert_eq!(now.as_array().map_or(0, Vec::len) < shown, fewer, "{hints}");
    }
    assert_eq!(client.end(), 0);
}
