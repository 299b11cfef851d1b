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
