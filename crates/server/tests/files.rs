//! Files of the repository that are not open, and what reaches them.
#![allow(clippy::unwrap_used, clippy::panic)]

mod support;

use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use serde_json::{Value, json};
use support::Client;
use workspace::{Memory, Source, Walk};

const CELLAR: &str = "malt pale é\n  extract 80 %\n";
const USING: &str = "use \"cellar.gyle\"\nrecipe \"Bitter\"\n  batch 20 L\ngrist\n  4 kg pale é\n";
const BROKEN: &str = "recipe \"Mild\"\n  batch 10 L\ngrist\n  4,5 kg wheat malt\n";
const FILES: [(&str, &str); 3] =
    [("r/cellar.gyle", CELLAR), ("r/using.gyle", USING), ("r/broken.gyle", BROKEN)];

fn codes(message: &Value) -> Vec<String> {
    let list = message["params"]["diagnostics"].as_array().unwrap();
    list.iter().map(|one| one["code"].as_str().unwrap().to_owned()).collect()
}

fn pushed(client: &mut Client, uri: &str, fits: impl Fn(&[String]) -> bool) {
    client.take(|message| {
        message["method"] == json!("textDocument/publishDiagnostics")
            && message["params"]["uri"] == json!(uri)
            && fits(&codes(message))
    });
}

fn has(code: &str) -> impl Fn(&[String]) -> bool + '_ {
    move |codes| codes.iter().any(|one| one == code)
}

#[test]
fn closed_files_are_checked_and_follow_the_cellar() {
    let mut client = Client::with(&FILES, json!({}));
    pushed(&mut client, "file:///r/broken.gyle", has("decimal-comma"));
    // Unsaved text of the cellar counts at once for the recipe that uses it.
    client.open("file:///r/cellar.gyle", CELLAR);
    client.change("file:///r/cellar.gyle", 2, json!([{"text": "malt other\n  extract 80 %\n"}]));
    pushed(&mut client, "file:///r/using.gyle", has("unknown-reference"));
    // Closed unsaved: the text on disk holds again.
    client.notify("textDocument/didClose", json!({"textDocument": {"uri": "file:///r/cellar.gyle"}}));
    pushed(&mut client, "file:///r/using.gyle", |codes| !has("unknown-reference")(codes));
    // Switched off, what is shown for closed files goes.
    client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": {"gyle": {"diagnostics": {"scope": "open"}}}}),
    );
    pushed(&mut client, "file:///r/broken.gyle", <[String]>::is_empty);
    assert_eq!(client.end(), 0);
}

#[test]
fn an_open_recipe_follows_the_cellar() {
    let mut client = Client::with(&FILES, json!({}));
    client.open("file:///r/using.gyle", USING);
    pushed(&mut client, "file:///r/using.gyle", |codes| !has("unknown-reference")(codes));
    client.open("file:///r/cellar.gyle", "malt other\n  extract 80 %\n");
    pushed(&mut client, "file:///r/using.gyle", has("unknown-reference"));
    assert_eq!(client.end(), 0);
}

#[test]
fn all_files_are_reported_to_a_client_that_asks() {
    let mut client = Client::with(&FILES, json!({"textDocument": {"diagnostic": {}}}));
    // The folder is read beside everything else: ask until it is in.
    for _ in 0..1_000 {
        let report = client.request("workspace/diagnostic", json!({"previousResultIds": []}));
        let items = report["items"].as_array().unwrap().clone();
        if items.len() == FILES.len() {
            let broken = items.iter().find(|one| one["uri"] == json!("file:///r/broken.gyle")).unwrap();
            assert!(broken["items"].to_string().contains("decimal-comma"), "{broken}");
            assert_eq!(client.end(), 0);
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    panic!("the folder was not read");
}

#[test]
fn folders_come_and_go() {
    let mut files = FILES.to_vec();
    files.push(("s/other.gyle", BROKEN));
    let mut client = Client::with(&files, json!({}));
    pushed(&mut client, "file:///r/broken.gyle", has("decimal-comma"));
    let folder = |name: &str| json!([{"uri": format!("file:///{name}"), "name": name}]);
    client.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({"event": {"added": folder("s"), "removed": []}}),
    );
    pushed(&mut client, "file:///s/other.gyle", has("decimal-comma"));
    client.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({"event": {"added": [], "removed": folder("s")}}),
    );
    pushed(&mut client, "file:///s/other.gyle", <[String]>::is_empty);
    assert_eq!(client.end(), 0);
}

#[test]
fn a_long_check_shows_its_progress_to_the_end() {
    let names: Vec<String> = (0..60).map(|at| format!("r/b{at}.gyle")).collect();
    let files: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), BROKEN)).collect();
    let mut client = Client::with(&files, json!({"window": {"workDoneProgress": true}}));
    let asked = client.take(|message| message["method"] == json!("window/workDoneProgress/create"));
    client.send(&json!({"jsonrpc": "2.0", "id": asked["id"], "result": null}));
    // An agreement that comes when all is done begins nothing; what begins ends.
    let messages = client.collect(std::time::Duration::from_secs(1));
    let last = messages.iter().any(|one| one["params"]["uri"] == json!("file:///r/b59.gyle"));
    assert!(last, "not all files were checked");
    let kinds: Vec<&Value> = messages
        .iter()
        .filter(|one| one["method"] == json!("$/progress"))
        .map(|one| &one["params"]["value"]["kind"])
        .collect();
    let ends =
        kinds.first().is_none_or(|kind| *kind == "begin") && kinds.last().is_none_or(|kind| *kind == "end");
    assert!(ends, "{kinds:?}");
    assert_eq!(client.end(), 0);
}

/// Files that change while the server runs.
struct Changing(Mutex<Memory>);

impl Changing {
    fn set(&self, files: &[(&str, &str)]) {
        *self.0.lock().unwrap() = Memory::new(files.iter().map(|(path, text)| (*path, *text)));
    }
}

impl Source for Changing {
    fn read(&self, path: &Path) -> io::Result<String> {
        self.0.lock().unwrap().read(path)
    }
    fn exists(&self, path: &Path) -> bool {
        self.0.lock().unwrap().exists(path)
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.0.lock().unwrap().is_folder(path)
    }
    fn walk(&self, folder: &Path) -> Walk {
        self.0.lock().unwrap().walk(folder)
    }
    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        self.0.lock().unwrap().list(folder)
    }
}

#[test]
fn files_that_change_on_disk_are_read_again() {
    let off = ("r/gyle.toml", "[check.rules]\ndecimal-comma = \"off\"\n");
    let source = Arc::new(Changing(Mutex::default()));
    source.set(&FILES);
    let mut client = Client::over(Arc::clone(&source) as Arc<dyn Source>);
    client.initialise(json!({}));
    let broken = "file:///r/broken.gyle";
    let told = |client: &mut Client, name: &str| {
        let changes = json!([{"uri": format!("file:///r/{name}"), "type": 2}]);
        client.notify("workspace/didChangeWatchedFiles", json!({"changes": changes}));
    };
    pushed(&mut client, broken, has("decimal-comma"));
    source.set(&[("r/broken.gyle", BROKEN), off]);
    told(&mut client, "gyle.toml");
    pushed(&mut client, broken, |codes| !has("decimal-comma")(codes));
    source.set(&[("r/broken.gyle", BROKEN)]);
    told(&mut client, "gyle.toml");
    pushed(&mut client, broken, has("decimal-comma"));
    // Gone, and back again.
    source.set(&[]);
    told(&mut client, "broken.gyle");
    pushed(&mut client, broken, <[String]>::is_empty);
    source.set(&[("r/broken.gyle", BROKEN)]);
    told(&mut client, "broken.gyle");
    pushed(&mut client, broken, has("decimal-comma"));
    assert_eq!(client.end(), 0);
}

#[test]
fn a_line_being_typed_is_called_wrong_after_a_rest() {
    let uri = "file:///n/typed.gyle";
    let mut client = Client::with(&[], json!({}));
    client.open(uri, "recipe \"Größe\"\n  batch 20 L\ngrist\n  45 kg wheat malt\n  3,5 kg pale ale malt\n");
    client.diagnostics(uri, 1);
    let at = json!({"line": 3, "character": 3});
    client.change(uri, 2, json!([{"range": {"start": at, "end": at}, "text": ","}]));
    let lines = |found: &[Value]| -> Vec<u64> {
        let commas = found.iter().filter(|one| one["code"] == json!("decimal-comma"));
        commas.map(|one| one["range"]["start"]["line"].as_u64().unwrap()).collect()
    };
    // What was wrong before stays shown meanwhile.
    assert_eq!(lines(&client.diagnostics(uri, 2)), [4]);
    assert_eq!(lines(&client.diagnostics(uri, 2)), [3, 4]);
    // And nothing is pushed a third time.
    assert!(client.collect(Duration::from_millis(600)).is_empty());
    assert_eq!(client.end(), 0);
}

#[test]
fn a_buffer_that_lies_in_no_file_is_checked_but_not_for_its_name() {
    let mut client = Client::with(&[], json!({}));
    let uri = "untitled:Untitled-1";
    client.open(uri, BROKEN);
    let found = client.diagnostics(uri, 1);
    let codes: Vec<&str> = found.iter().filter_map(|one| one["code"].as_str()).collect();
    assert!(codes.contains(&"decimal-comma") && !codes.contains(&"name-file-mismatch"), "{codes:?}");
    assert_eq!(client.end(), 0);
}

const CONFIG: &str = "file:///r/gyle.toml";

#[test]
fn a_configuration_counts_as_it_is_typed() {
    let text = "recipe \"Größe\"\nboil 60 min\n  20 g Fuggle [4,5 %] at 60 min\n";
    let files = [("/r/gyle.toml", "# é\n"), ("/r/a.gyle", text)];
    let is_comma = |one: &Value| one["code"] == json!("decimal-comma");
    let mut client = Client::with(&files, json!({"textDocument": {"diagnostic": {}}}));
    client.open("file:///r/a.gyle", text);
    let found = |client: &mut Client, uri: &str| -> Vec<Value> {
        let params = json!({"textDocument": {"uri": uri}});
        client.request("textDocument/diagnostic", params)["items"].as_array().unwrap().clone()
    };
    assert!(found(&mut client, "file:///r/a.gyle").iter().any(is_comma));
    client.open(CONFIG, "# é\n[check.rules]\ndecimal-comma = \"off\"\n");
    assert!(!found(&mut client, "file:///r/a.gyle").iter().any(is_comma));
    // What is wrong with it stands where it is typed, behind a letter of several bytes.
    client.change(CONFIG, 2, json!([{"text": "rules = \"é\" # é\n[check.rules]\n\"é\" = \"off\"\n"}]));
    let wrong = found(&mut client, CONFIG);
    assert!(wrong.iter().any(|one| one["range"]["start"]["line"] == json!(2)), "{wrong:?}");
    client.notify("textDocument/didClose", json!({"textDocument": {"uri": CONFIG}}));
    assert!(found(&mut client, "file:///r/a.gyle").iter().any(is_comma));
    assert_eq!(found(&mut client, CONFIG), Vec::<Value>::new());
    assert_eq!(client.end(), 0);
}

#[test]
fn an_edited_configuration_is_told_to_a_client_that_waits() {
    let text = "recipe \"Größe\"\nboil 60 min\n  20 g Fuggle [4,5 %] at 60 min\n";
    let mut client = Client::with(&[("/r/gyle.toml", "# é\n"), ("/r/a.gyle", text)], json!({}));
    client.open("file:///r/a.gyle", text);
    assert!(!client.diagnostics("file:///r/a.gyle", 1).is_empty());
    client.open(CONFIG, "# é\n");
    client.change(CONFIG, 2, json!([{"text": "# é\n[check.rules]\ndecimal-comma = \"no\"\n"}]));
    let published = |uri: &'static str, line: u32| {
        move |message: &Value| {
            let found = message["params"]["diagnostics"].as_array();
            message["params"]["uri"] == json!(uri)
                && found.is_some_and(|all| all.iter().any(|one| one["range"]["start"]["line"] == json!(line)))
        }
    };
    client.take(published(CONFIG, 2));
    client.change(CONFIG, 3, json!([{"text": "# é\n[check.rules]\ndecimal-comma = \"off\"\n"}]));
    client.take(|message| {
        let found = message["params"]["diagnostics"].as_array();
        message["params"]["uri"] == json!("file:///r/a.gyle")
            && found.is_some_and(|all| !all.iter().any(|one| one["code"] == json!("decimal-comma")))
    });
    assert_eq!(client.end(), 0);
}

#[test]
fn one_half_of_a_character_may_change() {
    // What an editor that counts in UTF-16 makes of a renaming from wheat to beer: the second halves only.
    let text = "recipe \"É 🌾\" # 🌾\n  4,5 L\n";
    let mut client = Client::with(&[], json!({}));
    assert_eq!(client.encoding, "utf-16");
    client.open("file:///r/h.gyle", text);
    let change = |line: u32, start: u32, end: u32, text: &str| {
        format!(
            r#"{{"range":{{"start":{{"line":{line},"character":{start}}},"end":{{"line":{line},"character":{end}}}}},"text":"{text}"}}"#
        )
    };
    let send = |client: &mut Client, version: i64, changes: &[String]| {
        let body = format!(
            r#"{{"jsonrpc":"2.0","method":"textDocument/didChange","params":{{"textDocument":{{"uri":"file:///r/h.gyle","version":{version}}},"contentChanges":[{}]}}}}"#,
            changes.join(",")
        );
        client.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    };
    let name = |client: &mut Client| {
        let found = client
            .request("textDocument/documentSymbol", json!({"textDocument": {"uri": "file:///r/h.gyle"}}));
        found[0]["name"].as_str().unwrap().to_owned()
    };
    assert_eq!(name(&mut client), "É 🌾");
    send(&mut client, 2, &[change(0, 11, 12, r"\udf7a"), change(0, 17, 18, r"\udf7a")]);
    assert_eq!(name(&mut client), "É 🍺");
    // The first halves of 🍺 and 𝄞 differ, and so do the second ones.
    send(&mut client, 3, &[change(0, 10, 11, r"\ud834"), change(0, 11, 12, r"\udd1e")]);
    let after = name(&mut client);
    assert_eq!(after.encode_utf16().count(), 4, "a half that stays alone keeps its width: {after}");
    send(&mut client, 4, &[change(0, 10, 12, "é")]);
    assert_eq!(name(&mut client), "É é");
    assert_eq!(client.end(), 0);
}
