//! What is shown at a place, with each way of counting columns.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

mod support;

use serde_json::{Value, json};
use support::{Client, at_cursor, range_of};

const URI: &str = "file:///r/a.gyle";

const ENCODINGS: [&str; 3] = ["utf-8", "utf-16", "utf-32"];

/// A client that counts so and takes snippets.
fn client(encoding: &str, files: &[(&str, &str)]) -> Client {
    let capabilities = json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"hover": {"contentFormat": ["markdown"]}, "completion": {"completionItem": {"snippetSupport": true}}},
    });
    let client = Client::with(files, capabilities);
    assert_eq!(client.encoding, encoding);
    client
}

fn ask(client: &mut Client, method: &str, text: &str) -> Value {
    let (text, position) = at_cursor(text, &client.encoding);
    client.open(URI, &text);
    client.request(method, json!({"textDocument": {"uri": URI}, "position": position}))
}

#[test]
fn completion_replaces_a_name_from_its_first_word() {
    for encoding in ENCODINGS {
        let mut client = client(encoding, &[]);
        let text = "recipe \"É\"\ngrist\n  4 kg \u{a0}\u{a0}maris o$0";
        let list = ask(&mut client, "textDocument/completion", text);
        let items = list["items"].as_array().unwrap();
        let item = items.iter().find(|item| item["label"] == "Maris Otter malt").unwrap();
        assert_eq!(item["textEdit"]["newText"], "Maris Otter malt");
        let text = text.replace("$0", "");
        assert_eq!(item["textEdit"]["range"], range_of(&text, "maris o", encoding));
        assert!(items.iter().all(|item| item["preselect"].is_null()));
        assert_eq!(client.end(), 0);
    }
}

#[test]
fn completion_of_a_block_is_a_snippet_where_that_is_known() {
    for (snippets, wanted) in [(true, "boil ${1:60 min}\n  ${2:20 g} $0"), (false, "boil")] {
        let item = json!({"textDocument": {"completion": {"completionItem": {"snippetSupport": snippets}}}});
        let mut client = Client::with(&[], item);
        let list = ask(&mut client, "textDocument/completion", "recipe \"É\"\nboi$0");
        assert_eq!(list["items"][0]["textEdit"]["newText"], wanted);
        assert_eq!(client.end(), 0);
    }
}

#[test]
fn hover_tells_a_name_and_its_range() {
    for encoding in ENCODINGS {
        let cellar = [
            ("/r/gyle.toml", "library = [\"cellar.gyle\"]\n"),
            ("/r/cellar.gyle", "malt É𝄞-malt\n  colour 5 EBC\n"),
        ];
        let mut client = client(encoding, &cellar);
        let text = "recipe \"É\"\ngrist\n  4 kg \u{a0}\u{a0}É𝄞-ma$0lt # 𝄞\n";
        let found = ask(&mut client, "textDocument/hover", text);
        assert_eq!(found["contents"]["kind"], "markdown");
        let said = found["contents"]["value"].as_str().unwrap();
        assert!(said.starts_with("**malt É𝄞-malt**\n\ncellar.gyle\n"), "{said}");
        assert_eq!(found["range"], range_of(&text.replace("$0", ""), "É𝄞-malt", encoding));
        assert_eq!(client.end(), 0);
    }
    // Without markdown the same words stand without marks.
    let mut client = Client::with(&[], json!({}));
    let found = ask(&mut client, "textDocument/hover", "recipe \"É\"\ngrist\n  4 kg Maris O$0tter malt\n");
    assert_eq!(found["contents"]["kind"], "plaintext");
    assert!(
        found["contents"]["value"]
            .as_str()
            .unwrap()
            .starts_with("malt heritage pale malt, Maris Otter type\n"),
        "{found}"
    );
    assert_eq!(client.end(), 0);
}

const CELLAR: (&str, &str) =
    ("/r/cellar/m.gyle", "# é\nmalt \"Größer malt\"\n  extract 80 %\n  colour 5 EBC\n");

const HOUSE: (&str, &str) = ("/r/gyle.toml", "library = [\"cellar/*.gyle\"]\n");

#[test]
fn a_definition_opens_in_the_cellar_or_the_built_in_library() {
    for encoding in ENCODINGS {
        let mut client = client(encoding, &[HOUSE, CELLAR]);
        let found =
            ask(&mut client, "textDocument/definition", "recipe \"É\"\ngrist\n  4 kg größ$0er malt\n");
        assert_eq!(found["uri"], "file:///r/cellar/m.gyle");
        assert_eq!(found["range"], range_of(CELLAR.1, "Größer malt", encoding));
        assert_eq!(client.end(), 0);
    }
    let mut client = client("utf-16", &[]);
    let found =
        ask(&mut client, "textDocument/definition", "recipe \"É\"\nboil 60 min\n  20 g Fugg$0le at 5 min\n");
    let path = url_path(&found);
    let text = std::fs::read_to_string(&path).unwrap();
    let line = usize::try_from(found["range"]["start"]["line"].as_u64().unwrap()).unwrap();
    assert!(text.lines().nth(line).unwrap().starts_with("hop"), "{path}: {line}");
    assert!(std::fs::metadata(&path).unwrap().permissions().readonly());
    // From the copy the uses of the built-in definition are found.
    client.open(found["uri"].as_str().unwrap(), &text);
    let params = json!({
        "textDocument": {"uri": found["uri"]},
        "position": found["range"]["start"],
        "context": {"includeDeclaration": false},
    });
    let uses = client.request("textDocument/references", params);
    assert_eq!(uses.as_array().unwrap().len(), 1, "{uses}");
    assert_eq!(uses[0]["uri"], URI);
    assert_eq!(client.end(), 0);
}

fn url_path(found: &Value) -> String {
    found["uri"].as_str().unwrap().strip_prefix("file://").unwrap().to_owned()
}

#[test]
fn references_highlights_and_renaming_go_through_all_files() {
    for encoding in ENCODINGS {
        let mut client = client(encoding, &[HOUSE, CELLAR]);
        let text = "recipe \"É\"\ngrist\n  4 kg größ$0er malt\n";
        let (plain, position) = at_cursor(text, encoding);
        client.open(URI, &plain);
        let at = json!({"textDocument": {"uri": URI}, "position": position});
        let mut with = at.clone();
        with["context"] = json!({"includeDeclaration": true});
        let found = client.request("textDocument/references", with);
        let mut uris: Vec<&str> =
            found.as_array().unwrap().iter().map(|one| one["uri"].as_str().unwrap()).collect();
        uris.sort_unstable();
        assert_eq!(uris, [URI, "file:///r/cellar/m.gyle"]);
        let marks = client.request("textDocument/documentHighlight", at.clone());
        assert_eq!(marks[0]["range"], range_of(&plain, "größer malt", encoding));
        let words = client.request("textDocument/prepareRename", at.clone());
        assert_eq!(words["placeholder"], "größer malt");
        assert_eq!(words["range"], range_of(&plain, "größer malt", encoding));
        let mut with = at.clone();
        with["newName"] = json!("Kleiner malt");
        let edit = client.request("textDocument/rename", with.clone());
        for (uri, text, words) in
            [(URI, &*plain, "größer malt"), ("file:///r/cellar/m.gyle", CELLAR.1, "Größer malt")]
        {
            let change = &edit["changes"][uri][0];
            assert_eq!(change["range"], range_of(text, words, encoding), "{uri}");
            assert_eq!(change["newText"], "Kleiner malt");
        }
        with["newName"] = json!("");
        let id = client.ask("textDocument/rename", with);
        let refused = client.response(id);
        assert_eq!(refused["error"]["code"], -32803);
        assert!(refused["error"]["message"].as_str().unwrap().contains("at least one letter"));
        assert_eq!(client.end(), 0);
    }
}

#[test]
fn the_shape_of_a_file_is_known() {
    for encoding in ENCODINGS {
        let mut client = client(encoding, &[HOUSE, CELLAR]);
        let text = "use \"cellar/m.gyle\"\nrecipe \"Ä 🌾\" # é\n  batch 20 L\nboil 60 min # é\n  20 g \"é\" at 5 min\n";
        client.open(URI, text);
        let whole = json!({"textDocument": {"uri": URI}});
        let outline = client.request("textDocument/documentSymbol", whole.clone());
        assert_eq!(outline[1]["name"], "Ä 🌾");
        assert_eq!(outline[2]["containerName"], "Ä 🌾");
        let folds = client.request("textDocument/foldingRange", whole.clone());
        let lines: Vec<_> = folds
            .as_array()
            .unwrap()
            .iter()
            .map(|one| (one["startLine"].clone(), one["endLine"].clone()))
            .collect();
        assert_eq!(lines, [(json!(1), json!(4)), (json!(3), json!(4))]);
        let links = client.request("textDocument/documentLink", whole);
        assert_eq!(links[0]["target"], "file:///r/cellar/m.gyle");
        let time = range_of(text, "5 min\n", encoding);
        let params = json!({"textDocument": {"uri": URI}, "positions": [time["start"]]});
        let grown = client.request("textDocument/selectionRange", params);
        assert_eq!(grown[0]["range"], range_of(text, "5 min", encoding));
        assert_eq!(grown[0]["parent"]["range"], range_of(text, "at 5 min", encoding));
        let found = client.request("workspace/symbol", json!({"query": "groß"}));
        assert_eq!(found[0]["location"]["range"], range_of(CELLAR.1, "Größer malt", encoding));
        let files =
            json!({"files": [{"oldUri": "file:///r/cellar/m.gyle", "newUri": "file:///r/cellar/ü.gyle"}]});
        let moved = client.request("workspace/willRenameFiles", files);
        let change = &moved["changes"][URI][0];
        assert_eq!(
            (&change["newText"], &change["range"]),
            (&json!("cellar/ü.gyle"), &range_of(text, "cellar/m.gyle", encoding))
        );
        assert_eq!(client.end(), 0);
    }
}
