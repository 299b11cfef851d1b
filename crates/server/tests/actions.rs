//! Changes that are offered at a place, with each way of counting columns.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

mod support;

use serde_json::{Value, json};
use support::{Client, at_cursor};

const URI: &str = "file:///r/a.gyle";
const ENCODINGS: [&str; 3] = ["utf-8", "utf-16", "utf-32"];

/// A client that counts so, and asks for edits when an action is chosen or wants them at once.
fn client(encoding: &str, lazy: bool, files: &[(&str, &str)]) -> Client {
    let properties: &[&str] = if lazy { &["edit"] } else { &[] };
    let capabilities = json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"codeAction": {"dataSupport": lazy, "resolveSupport": {"properties": properties}}},
        "workspace": {"workspaceEdit": {"documentChanges": true, "resourceOperations": ["create"]}},
    });
    Client::with(files, capabilities)
}

fn asked(client: &mut Client, text: &str, only: &Value) -> (String, Vec<Value>) {
    let (text, position) = at_cursor(text, &client.encoding);
    client.open(URI, &text);
    let mut context = json!({"diagnostics": []});
    if !only.is_null() {
        context["only"] = only.clone();
    }
    let params = json!({
        "textDocument": {"uri": URI},
        "range": {"start": position, "end": position},
        "context": context,
    });
    let found = client.request("textDocument/codeAction", params);
    (text, found.as_array().unwrap().clone())
}

/// The line after the edits of an action, each taken as characters of the encoding.
fn line_after(client: &Client, text: &str, line: usize, action: &Value) -> String {
    let change = &action["edit"]["documentChanges"][0];
    assert_eq!(change["textDocument"]["uri"], URI);
    assert_eq!(change["textDocument"]["version"], 1);
    let mut units: Vec<String> = text.lines().nth(line).unwrap().chars().map(String::from).collect();
    let width = |c: &str| match &*client.encoding {
        "utf-8" => c.len(),
        "utf-16" => c.encode_utf16().count(),
        _ => c.chars().count(),
    };
    let mut edits = change["edits"].as_array().unwrap().clone();
    edits.reverse();
    for edit in edits.iter().filter(|edit| edit["range"]["start"]["line"] == json!(line)) {
        let index = |end: &str| {
            let column = usize::try_from(edit["range"][end]["character"].as_u64().unwrap()).unwrap();
            let mut seen = 0;
            units
                .iter()
                .position(|c| {
                    let here = seen;
                    seen += width(c);
                    here == column
                })
                .unwrap_or(units.len())
        };
        let (start, end) = (index("start"), index("end"));
        units.splice(start..end, [edit["newText"].as_str().unwrap().to_owned()]);
    }
    units.concat()
}

const BEER: &str = "recipe \"Größe 🍺\"\n  batch     20 L\n\ngrist\n  4 kg      pale ale malt\n\n";

#[test]
fn an_action_is_computed_when_it_is_chosen() {
    let cases = [
        (
            "boil 60 min\n  $0\"Größe 🌾\" [5 %] at 60 min to reach 30 IBU  # é\n\nhop \"Größe 🌾\"\n  alpha               5 %\n",
            "Write the computed amount in",
            "  49 g      \"Größe 🌾\" [5 %] at 60 min  # é",
        ),
        (
            "boil 60 min\n  $020 g      \"Größe 🌾\" [stored 5 C] at 60 min\n",
            "Write this line in US customary units",
            "  0.7055 oz \"Größe 🌾\" [stored 41 F] at 60 min",
        ),
    ];
    for encoding in ENCODINGS {
        for (text, title, want) in cases {
            for lazy in [true, false] {
                let mut client = client(encoding, lazy, &[]);
                let (text, found) = asked(&mut client, &format!("{BEER}{text}"), &Value::Null);
                let Some(action) = found.iter().find(|one| one["title"] == title) else {
                    panic!("{title} is not offered: {found:?}");
                };
                assert_eq!(action["edit"].is_null(), lazy, "{action}");
                let action =
                    if lazy { client.request("codeAction/resolve", action.clone()) } else { action.clone() };
                let line = text.lines().position(|line| line.contains("🌾")).unwrap();
                assert_eq!(line_after(&client, &text, line, &action), want, "{encoding}");
                assert_eq!(client.end(), 0);
            }
        }
    }
}

#[test]
fn an_action_of_an_older_text_does_nothing() {
    let mut client = client("utf-16", true, &[]);
    let (_, found) =
        asked(&mut client, &format!("{BEER}boil 60 min\n  $020 g      Golding at 60 min\n"), &Value::Null);
    client.change(URI, 2, json!([{"text": BEER}]));
    let action = client.request("codeAction/resolve", found[0].clone());
    assert!(action["edit"].is_null(), "{action}");
    assert_eq!(client.end(), 0);
}

#[test]
fn only_kinds_that_are_asked_for() {
    let kinds = |only: Value| {
        let mut client = client("utf-16", true, &[]);
        let text = "recipe \"é\"\n  batch     20$0,5 L\n  brewhouse shed\n";
        let (_, found) = asked(&mut client, text, &only);
        assert_eq!(client.end(), 0);
        let mut kinds: Vec<String> =
            found.iter().map(|one| one["kind"].as_str().unwrap().to_owned()).collect();
        kinds.dedup();
        kinds
    };
    assert!(kinds(json!(["quickfix"])).iter().all(|kind| kind == "quickfix"));
    assert!(!kinds(json!(["quickfix"])).is_empty());
    assert!(kinds(Value::Null).iter().all(|kind| !kind.starts_with("source")));
}

#[test]
fn a_log_of_today_is_a_file_of_its_own() {
    let mut client = client("utf-16", true, &[("/r/gyle.toml", ""), ("/r/a.gyle", "")]);
    let (_, found) = asked(&mut client, "recipe \"Größe 🍺\"\n  $0batch     20 L\n", &Value::Null);
    let title = "Begin gyle 1 of this recipe today, in a log of its own";
    let action = found.iter().find(|one| one["title"] == title).unwrap();
    let action = client.request("codeAction/resolve", action.clone());
    let changes = &action["edit"]["documentChanges"];
    assert_eq!(changes[0]["kind"], "create");
    assert_eq!(changes[0]["uri"], "file:///r/logs/1-grosse.gyle");
    assert_eq!(changes[1]["textDocument"]["uri"], changes[0]["uri"]);
    let text = changes[1]["edits"][0]["newText"].as_str().unwrap();
    assert!(text.starts_with("gyle 1 \"Größe 🍺\" on 20"), "{text}");
    assert_eq!(client.end(), 0);
    // Not for a client that makes no files.
    let mut client = Client::with(&[("/r/gyle.toml", "")], json!({}));
    let (_, found) = asked(&mut client, "recipe \"Größe 🍺\"\n  $0batch     20 L\n", &Value::Null);
    assert!(!found.iter().any(|one| one["title"] == title));
    assert_eq!(client.end(), 0);
}

#[test]
fn a_definition_moves_to_the_cellar() {
    let files = [
        ("/r/gyle.toml", "library = [\"cellar/*.gyle\"]\n"),
        ("/r/cellar/malts.gyle", "malt \"Maß\"\n  extract             80 %\n"),
    ];
    let mut client = client("utf-16", true, &files);
    let (text, found) = asked(
        &mut client,
        "recipe \"🍺\"\n\nma$0lt \"Größe 🌾\"\n  extract             81 %\n",
        &Value::Null,
    );
    let title = "Move Größe 🌾 to the cellar (malts.gyle)";
    let action = found.iter().find(|one| one["title"] == title).unwrap();
    assert_eq!(action["kind"], "refactor.extract");
    let action = client.request("codeAction/resolve", action.clone());
    let changes = &action["edit"]["documentChanges"];
    assert_eq!(changes[0]["textDocument"], json!({"uri": URI, "version": 1}));
    let lines = json!(text.lines().count());
    assert_eq!(changes[0]["edits"][0]["range"]["end"], json!({"line": lines, "character": 0}));
    assert_eq!(changes[1]["textDocument"], json!({"uri": "file:///r/cellar/malts.gyle", "version": null}));
    assert_eq!(changes[1]["edits"][0]["newText"], "\nmalt \"Größe 🌾\"\n  extract             81 %\n");
    assert_eq!(client.end(), 0);
}

#[test]
fn stamps_are_an_action_of_the_file() {
    let mut client = client("utf-8", true, &[]);
    let (text, found) = asked(&mut client, &format!("$0{BEER}"), &json!(["source"]));
    let action =
        found.iter().find(|one| one["title"] == "Stamp the recipes of this file with their figures").unwrap();
    let action = client.request("codeAction/resolve", action.clone());
    assert!(line_after(&client, &text, 0, &action).starts_with("recipe \"Größe 🍺\"  #= og 1.0"));
    assert_eq!(client.end(), 0);
}

/// A text with the edits of an action, columns counted in bytes.
fn applied(text: &str, action: &Value) -> String {
    let starts: Vec<usize> =
        core::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
    let number = |value: &Value| usize::try_from(value.as_u64().unwrap()).unwrap();
    let offset = |at: &Value| starts[number(&at["line"])] + number(&at["character"]);
    let mut edits: Vec<(usize, usize, &str)> = action["edit"]["documentChanges"][0]["edits"]
        .as_array()
        .unwrap()
        .iter()
        .map(|edit| {
            let range = &edit["range"];
            (offset(&range["start"]), offset(&range["end"]), edit["newText"].as_str().unwrap())
        })
        .collect();
    edits.sort_unstable();
    let mut out = text.to_owned();
    for (start, end, new) in edits.into_iter().rev() {
        out.replace_range(start..end, new);
    }
    out
}

/// Faults with a fix on lines that hold what three ways of counting count differently.
const FAULTY: &str = "recipe \"Größe 🍺\"\n  batch     20 L\n  tag       no-sprage\ngrist  # für 🌾\n  \"Größe 🌾\" 4,5 kg\n3.5 kg    pale ale malt  # für 🌾\n  1,250 kg  Maris Oter malt\nliquor\n  mash      12 l\n  sparge    18 L at 76\nboil 60 min\n  20 g      Golding [5 %] at 60 mins  # 🌾\n\nmalt “Größe 🌾”\n  extract             81 %\n";

fn ask_again(client: &mut Client, version: i64, text: &str) -> Vec<Value> {
    client.change(URI, version, json!([{"text": text}]));
    client.diagnostics(URI, version)
}

#[test]
fn every_fix_of_a_diagnostic_is_offered_with_it_and_mends_it() {
    let mut client = client("utf-8", true, &[]);
    client.open(URI, FAULTY);
    let found = client.diagnostics(URI, 1);
    let mut version = 1;
    let mut tried = 0;
    for diagnostic in found.iter().filter(|one| !one["data"].is_null()) {
        let params = json!({
            "textDocument": {"uri": URI},
            "range": diagnostic["range"],
            "context": {"diagnostics": [diagnostic], "only": ["quickfix"]},
        });
        let actions = client.request("textDocument/codeAction", params);
        for title in diagnostic["data"]["fixes"].as_array().unwrap() {
            let title = title.as_str().unwrap();
            let is_it = |one: &&Value| {
                one["title"].as_str().unwrap().to_lowercase() == title.to_lowercase()
                    && &one["diagnostics"][0] == diagnostic
            };
            let Some(action) = actions.as_array().unwrap().iter().find(is_it) else {
                panic!("{title} is not offered with {diagnostic}: {actions}");
            };
            let text = applied(FAULTY, action);
            assert_ne!(text, FAULTY, "{title}");
            version += 1;
            let after = ask_again(&mut client, version, &text);
            let same =
                |one: &&Value| one["code"] == diagnostic["code"] && one["message"] == diagnostic["message"];
            assert!(!after.iter().any(|one| same(&one)), "{title} leaves {after:?}\n{text}");
            version += 1;
            ask_again(&mut client, version, FAULTY);
            tried += 1;
        }
    }
    assert!(tried >= 8, "{tried} of {found:#?}");
    assert_eq!(client.end(), 0);
}

#[test]
fn fix_all_applies_the_safe_fixes_and_nothing_else() {
    let mut client = client("utf-8", true, &[]);
    client.open(URI, FAULTY);
    client.diagnostics(URI, 1);
    let mut text = FAULTY.to_owned();
    let mut rounds = 0;
    for version in 2.. {
        let params = json!({
            "textDocument": {"uri": URI},
            "range": {"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 0}},
            "context": {"diagnostics": [], "only": ["source.fixAll"]},
        });
        let actions = client.request("textDocument/codeAction", params);
        let Some(action) = actions.as_array().unwrap().first() else { break };
        assert_eq!(action["kind"], "source.fixAll");
        text = applied(&text, action);
        ask_again(&mut client, version, &text);
        rounds += 1;
        assert!(rounds < 5, "fixes bring fixes");
    }
    assert!(rounds > 0);
    // What is only proposed stays for the brewer to choose.
    assert!(text.contains("1,250 kg"), "{text}");
    assert!(text.contains("\n  3.5 kg    pale ale malt  # für 🌾\n"), "{text}");
    assert_eq!(client.end(), 0);
}
