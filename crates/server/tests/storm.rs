//! Random edits: text and diagnostics equal those of a server that was given the text at once.
#![allow(clippy::unwrap_used, clippy::panic)]

mod support;

use std::time::Duration;

use serde_json::{Value, json};
use support::Client;

const URI: &str = "file:///r/storm.gyle";
const SEED: &str = "# Größe 🌾\r\nbrewhouse house\n  mash efficiency 78 %\n\nrecipe \"Bitter é\"\n  batch     20 L\n  brewhouse house\ngrist\n  4.5 kg    pale ale malt # 𝄞\n  350 g     wheat malt\nboil 60 min\n  25 g      Golding [5 %] at 60 min\r\npitch\n  11.5 g    English ale yeast\nrecipe \"Mild\"\n  batch     10 L\ngrist\n  2 kg      pale ale malt\n";

/// Numbers without a pattern, the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % limit.max(1)
    }
}

const PIECES: [&str; 20] = [
    "x",
    "4",
    ",",
    ".",
    "\n",
    "\r\n",
    "  ",
    "\ngrist\n",
    "recipe \"Neu 🍺\"\n",
    "é",
    "𝄞",
    "# allow all\n",
    "kg",
    "%",
    "\n  10 g Saaz [4 %] at 10 min\n",
    "\r",
    "?",
    "(",
    "\"",
    "\tlet a = 3\n",
];

/// Line and column of a character, counted in UTF-16.
fn position(text: &[char], at: usize) -> Value {
    let (mut line, mut column) = (0, 0);
    let mut index = 0;
    while index < at {
        match text[index] {
            '\r' if text.get(index + 1) == Some(&'\n') => column += 1,
            '\n' | '\r' => {
                line += 1;
                column = 0;
            }
            other => column += other.len_utf16(),
        }
        index += 1;
    }
    json!({"line": line, "character": column})
}

/// A place where a position can stand: not between the halves of a line end.
fn place(dice: &mut Dice, text: &[char]) -> usize {
    let at = dice.below(text.len() + 1);
    if at > 0 && text[at - 1] == '\r' && text.get(at) == Some(&'\n') { at - 1 } else { at }
}

/// One notification of some changes.
fn edits(dice: &mut Dice, text: &mut Vec<char>) -> Value {
    let mut changes = Vec::new();
    for _ in 0..=dice.below(3) {
        let a = place(dice, text);
        let b = if dice.below(2) == 0 { a } else { place(dice, text) };
        // Mostly small changes; a big cut now and then.
        let (start, mut end) = (a.min(b), a.max(b));
        if end - start > 12 && dice.below(8) != 0 {
            end = start;
        }
        // Long texts are cut, so that the storm goes on with texts of a usual size.
        let piece = if text.len() > 4_000 { "" } else { PIECES[dice.below(PIECES.len())] };
        if text.len() > 4_000 {
            end = text.len();
            while end > start && text[end - 1] == '\n' {
                end -= 1;
            }
        }
        changes.push(
            json!({"range": {"start": position(text, start), "end": position(text, end)}, "text": piece}),
        );
        text.splice(start..end, piece.chars());
    }
    json!(changes)
}

/// What a fresh server finds in a text, by the pull of a client that pulls.
fn fresh(text: &str) -> Value {
    let mut client = Client::with(&[], json!({"textDocument": {"diagnostic": {}}}));
    client.open(URI, text);
    let found = client.request("textDocument/diagnostic", json!({"textDocument": {"uri": URI}}));
    assert_eq!(client.end(), 0);
    found["items"].clone()
}

#[test]
fn a_storm_of_edits_ends_where_a_fresh_server_begins() {
    let mut dice = Dice(7);
    let mut client = Client::with(&[], json!({"textDocument": {"diagnostic": {}}}));
    let mut text: Vec<char> = SEED.chars().collect();
    client.open(URI, SEED);
    let mut asked = Vec::new();
    for version in 2..2_002_i64 {
        let changes = edits(&mut dice, &mut text);
        client.change(URI, version, changes);
        if dice.below(7) == 0 {
            asked.push(client.ask(
                "textDocument/codeAction",
                json!({
                "textDocument": {"uri": URI}, "context": {"diagnostics": []},
                "range": {"start": {"line": 0, "character": 0}, "end": {"line": 900, "character": 0}}}),
            ));
        }
        if version % 100 == 0 {
            let whole: String = text.iter().collect();
            let found = client.request("textDocument/diagnostic", json!({"textDocument": {"uri": URI}}));
            assert_eq!(found["items"], fresh(&whole), "version {version}: {whole:?}");
        }
    }
    for id in asked {
        let answer = client.response(id);
        assert!(answer["result"].is_array() || answer["error"]["code"] == json!(-32801), "{answer}");
    }
    assert_eq!(client.end(), 0);
}

#[test]
fn a_pushing_server_comes_to_rest_at_the_same_findings() {
    let mut dice = Dice(11);
    let mut client = Client::with(&[], json!({}));
    let mut text: Vec<char> = SEED.chars().collect();
    client.open(URI, SEED);
    for version in 2..302_i64 {
        let changes = edits(&mut dice, &mut text);
        client.change(URI, version, changes);
        if version % 100 == 0 {
            // After a rest nothing is held back.
            let messages = client.collect(Duration::from_millis(900));
            let last = messages
                .iter()
                .rev()
                .find(|message| message["params"]["version"] == json!(version))
                .unwrap_or_else(|| panic!("nothing was pushed for version {version}"));
            let whole: String = text.iter().collect();
            assert_eq!(last["params"]["diagnostics"], fresh(&whole), "{whole:?}");
        }
    }
    assert_eq!(client.end(), 0);
}
