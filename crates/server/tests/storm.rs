//! Random edits: text, diagnostics, hints and tokens equal those of a server that was given the text at once, and
//! memory stays where it was. `GYLE_STORM=10000 cargo test --release -p server --test storm` for a long one.
#![allow(clippy::unwrap_used, clippy::panic)]

mod support;

use std::sync::LazyLock;
use std::time::Duration;

use peak_alloc::PeakAlloc;
use serde_json::{Value, json};
use support::Client;

const URI: &str = "file:///r/storm.gyle";
const SEED: &str = "# Größe 🌾\r\nbrewhouse house\n  mash efficiency 78 %\n\nrecipe \"Bitter é\"\n  batch     20 L\n  brewhouse house\ngrist\n  4.5 kg    pale ale malt # 𝄞\n  350 g     wheat malt\nboil 60 min\n  25 g      Golding [5 %] at 60 min\r\npitch\n  11.5 g    English ale yeast\nrecipe \"Mild\"\n  batch     10 L\ngrist\n  2 kg      pale ale malt\n";

/// All lines there may be.
static ALL: LazyLock<Value> =
    LazyLock::new(|| json!({"start": {"line": 0, "character": 0}, "end": {"line": 9_999, "character": 0}}));

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

/// How many edits a storm has: a few thousand, or what `GYLE_STORM` says.
fn length() -> i64 {
    std::env::var("GYLE_STORM").ok().and_then(|edits| edits.parse().ok()).unwrap_or(2_000)
}

/// What is found in a text, by the pull of a client that pulls, what is shown beside its lines, and the classes
/// of its words.
fn shown(client: &mut Client) -> (Value, Value, Value) {
    let found = client.request("textDocument/diagnostic", json!({"textDocument": {"uri": URI}}));
    let mut hints =
        client.request("textDocument/inlayHint", json!({"textDocument": {"uri": URI}, "range": *ALL}));
    for hint in hints.as_array_mut().into_iter().flatten() {
        // What a hint is explained by holds the version of its text.
        assert!(hint["data"]["version"].is_number(), "{hint}");
        hint["data"]["version"] = Value::Null;
    }
    let tokens = client.request("textDocument/semanticTokens/full", json!({"textDocument": {"uri": URI}}));
    (found["items"].clone(), hints, tokens["data"].clone())
}

/// The same of a fresh server that was given the text at once.
fn fresh(text: &str) -> (Value, Value, Value) {
    let mut client = Client::with(&[], json!({"textDocument": {"diagnostic": {}}}));
    client.open(URI, text);
    let shown = shown(&mut client);
    assert_eq!(client.end(), 0);
    shown
}

/// A request that comes between the edits.
fn ask(dice: &mut Dice, client: &mut Client, lines: usize) -> i64 {
    let at = json!({"line": dice.below(lines + 2), "character": dice.below(30)});
    let (document, context) = (json!({"uri": URI}), json!({"diagnostics": []}));
    match dice.below(11) {
        0 => client.ask("textDocument/hover", json!({"textDocument": document, "position": at})),
        1 => client.ask("textDocument/completion", json!({"textDocument": document, "position": at})),
        2 => client.ask("textDocument/inlayHint", json!({"textDocument": document, "range": *ALL})),
        3 => client.ask("textDocument/documentSymbol", json!({"textDocument": document})),
        4 => client.ask("textDocument/semanticTokens/full", json!({"textDocument": document})),
        5 => client.ask(
            "textDocument/semanticTokens/full/delta",
            json!({"textDocument": document, "previousResultId": dice.below(9).to_string()}),
        ),
        6 => {
            client.ask("textDocument/semanticTokens/range", json!({"textDocument": document, "range": *ALL}))
        }
        7 => client.ask("textDocument/documentColor", json!({"textDocument": document})),
        8 => client.ask("textDocument/codeLens", json!({"textDocument": document})),
        9 => client.ask("textDocument/signatureHelp", json!({"textDocument": document, "position": at})),
        _ => client.ask(
            "textDocument/codeAction",
            json!({"textDocument": document, "context": context, "range": {"start": at, "end": at}}),
        ),
    }
}

/// Answered, or given up since the text has moved on.
fn is_answered(answer: &Value) -> bool {
    answer.get("result").is_some() || answer["error"]["code"] == json!(-32801)
}

#[test]
fn a_storm_of_edits_ends_where_a_fresh_server_begins() {
    let mut dice = Dice(7);
    let mut client = Client::with(&[], json!({"textDocument": {"diagnostic": {}}}));
    let mut text: Vec<char> = SEED.chars().collect();
    client.open(URI, SEED);
    let mut asked = Vec::new();
    let mut beside = 0;
    for version in 2..length() + 2 {
        let changes = edits(&mut dice, &mut text);
        client.change(URI, version, changes);
        if dice.below(7) == 0 {
            let lines = text.iter().filter(|letter| **letter == '\n').count();
            asked.push(ask(&mut dice, &mut client, lines));
        }
        // What a storm leaves has few recipes that can be computed: now and then it begins again.
        if version % 250 == 0 {
            text = SEED.chars().collect();
            client.change(URI, version, json!([{"text": SEED}]));
        }
        // Soon after it has begun there are values to compare, later there is trouble.
        if version % 100 == 7 || version % 250 == 2 {
            let whole: String = text.iter().collect();
            let (now, expected) = (shown(&mut client), fresh(&whole));
            beside += now.1.as_array().map_or(0, Vec::len);
            assert_eq!(now, expected, "version {version}: {whole:?}");
            for id in asked.drain(..) {
                let answer = client.response(id);
                assert!(is_answered(&answer), "{answer}");
            }
        }
    }
    assert!(beside > 0, "no hint was ever compared");
    assert_eq!(client.end(), 0);
}

#[global_allocator]
static ALLOCATOR: PeakAlloc = PeakAlloc;

/// Memory of this process, KiB.
#[derive(Clone, Copy)]
struct Memory {
    /// Asked for and not given back.
    held: f64,
    /// What the system has given it: the code that has run, and what the allocator keeps between its pieces, which
    /// differs from run to run by [`KEPT`]. Zero where the system does not say.
    resident: f64,
}

/// What the allocator may keep the more, KiB.
const KEPT: f64 = 3072.0;

impl Memory {
    fn now() -> Self {
        // What was known before the last edit is let go after the answer to it.
        std::thread::sleep(Duration::from_millis(200));
        let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
        let resident = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
        Self {
            held: f64::from(ALLOCATOR.current_usage_as_kb()),
            resident: resident.map_or(0.0, |line| line.trim().trim_end_matches(" kB").parse().unwrap()),
        }
    }
}

/// Run in a process of its own, so that no other test is measured with it.
#[test]
fn a_storm_leaves_no_memory_behind() {
    const ALONE: &str = "GYLE_STORM_ALONE";
    if std::env::var(ALONE).is_err() {
        let this = std::env::current_exe().unwrap();
        let done = std::process::Command::new(this)
            .args(["--exact", "a_storm_leaves_no_memory_behind", "--nocapture"])
            .env(ALONE, "1")
            .status()
            .unwrap();
        assert!(done.success());
        return;
    }
    let mut dice = Dice(23);
    let mut client = Client::with(&[], json!({}));
    let mut text: Vec<char> = SEED.chars().collect();
    // First what is kept for good is made: the largest text of the storm, the built-in library.
    let largest = SEED.repeat(9);
    client.open(URI, &largest);
    client.diagnostics(URI, 1);
    for line in 0..largest.lines().count() {
        for character in 0..14 {
            let at = json!({"line": line, "character": character});
            client.request("textDocument/completion", json!({"textDocument": {"uri": URI}, "position": at}));
        }
    }
    client.change(URI, 2, json!([{"text": SEED}]));
    let edits_in_all = length() * 5;
    let mut measured = Vec::new();
    let mut version = 2;
    for edit in 1..=edits_in_all {
        version += 1;
        let changes = edits(&mut dice, &mut text);
        client.change(URI, version, changes);
        let lines = text.iter().filter(|letter| **letter == '\n').count();
        if dice.below(20) == 0 {
            let id = ask(&mut dice, &mut client, lines);
            let answer = client.response(id);
            assert!(is_answered(&answer), "{answer}");
            client.forget();
        }
        // Measured at the same text, the first time after a tenth of the edits.
        if edit == edits_in_all / 10 || edit == edits_in_all {
            version += 1;
            text = SEED.chars().collect();
            client.change(URI, version, json!([{"text": SEED}]));
            client.diagnostics(URI, version);
            let _ = shown(&mut client);
            client.forget();
            measured.push((edit, Memory::now()));
        }
    }
    let [(tenth, early), (all, late)] = measured[..] else { unreachable!("measured twice") };
    for (edits, Memory { held, resident }) in [(tenth, early), (all, late)] {
        println!("{held:.0} KiB held after {edits} edits, {resident:.0} resident");
    }
    assert!(
        late.held <= early.held * 1.1,
        "{} KiB after a tenth of the edits, {} after all",
        early.held,
        late.held
    );
    assert!(
        late.resident <= early.resident * 1.1 + KEPT,
        "{} KiB resident after a tenth of the edits, {} after all",
        early.resident,
        late.resident
    );
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
            assert_eq!(last["params"]["diagnostics"], fresh(&whole).0, "{whole:?}");
        }
    }
    assert_eq!(client.end(), 0);
}
