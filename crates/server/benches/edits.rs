//! From an edit to its diagnostics and to the hints of the visible lines, three kinds of edit at three sizes, in
//! one process over a pipe. Beside the milliseconds stand multiples of a message and its answer that compute
//! nothing, measured in between: they hold on another machine, and on one that is busy.
#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]

#[path = "../tests/support/mod.rs"]
mod support;

use std::time::{Duration, Instant};

use serde_json::json;
use support::Client;

const URI: &str = "file:///r/many.gyle";
const HOUSE: &str = "brewhouse house\n  mash efficiency 78 %\n  evaporation 3.2 L/h\n  trub loss 1.5 L\n";
const EDITS: usize = 200;
/// Lines an editor shows.
const VISIBLE: usize = 60;

/// A recipe of 50 lines.
fn recipe(at: usize) -> String {
    let mut text = format!(
        "recipe \"Tide {at} é\"\n  batch     20 L\n  brewhouse house\ngrist\n  4.5 kg    Maris Otter malt\n  \
         350 g     crystal malt\n  120 g     wheat malt\nliquor\n  mash      12 L\n  sparge    12.5 L at 75 C\n  \
         add       2 g calcium sulphate dihydrate to mash\nmash\n  rest      66 C for 60 min\n  \
         rest      75 C for 10 min\nboil 60 min\n  25 g      Golding [5 %] at 60 min\n  \
         15 g      Golding [5 %] at 15 min\n  20 g      Fuggle [4.5 %] at flameout\npitch\n  \
         180 billion cells English ale yeast\n  oxygen    8 ppm\nferment\n  hold      19 C for 5 d\n  \
         until     1.010\npackage\n  keg       2.1 vol at 12 C\nnotes\n"
    );
    while text.lines().count() < 50 {
        text.push_str("  | Drink it fresh.\n");
    }
    text
}

fn main() {
    // The test runner asks for a list; there is none.
    if std::env::args().any(|arg| arg == "--list" || arg == "--test") {
        return;
    }
    println!(
        "lines   kind         to diagnostics, ms            to hints, ms                  times a message and its answer"
    );
    println!(
        "                     median    p95    p99    max    median    p95    p99    max    diagnostics    hints"
    );
    for lines in [200, 2_000, 20_000] {
        let text: String = HOUSE.to_owned() + &(0..lines / 50).map(recipe).collect::<String>();
        let all: Vec<&str> = text.split('\n').collect();
        let line_of = |piece: &str, nth: usize| {
            all.iter().enumerate().filter(|(_, line)| line.contains(piece)).nth(nth).unwrap().0
        };
        let amount = line_of("4.5 kg", lines / 100);
        let visible = json!({"start": {"line": amount.saturating_sub(VISIBLE / 2), "character": 0},
            "end": {"line": amount + VISIBLE / 2, "character": 0}});
        let kinds = [
            // What is replaced by what, and back again.
            ("amount", amount, 4, 5, ["7", "5"]),
            ("brewhouse", line_of("mash efficiency", 0), 19, 20, ["6", "8"]),
            ("indent", amount, 0, 2, ["", "  "]),
        ];
        for (kind, line, from, to, texts) in kinds {
            let mut client = Client::with(&[], json!({}));
            client.open(URI, &text);
            client.diagnostics(URI, 1);
            let (mut found, mut shown, mut nothing) = (Vec::new(), Vec::new(), Vec::new());
            for at in 0..EDITS {
                let (new, gone) = (texts[at % 2], if at % 2 == 0 { to - from } else { texts[0].len() });
                let range = json!({"start": {"line": line, "character": from},
                    "end": {"line": line, "character": from + gone}});
                let version = i64::try_from(at).unwrap() + 2;
                let start = Instant::now();
                client.change(URI, version, json!([{"range": range, "text": new}]));
                let hints = client
                    .ask("textDocument/inlayHint", json!({"textDocument": {"uri": URI}, "range": visible}));
                client.diagnostics(URI, version);
                found.push(start.elapsed());
                assert!(client.response(hints)["result"].is_array());
                shown.push(start.elapsed());
                let start = Instant::now();
                let id = client.ask("no/such", json!({}));
                client.response(id);
                nothing.push(start.elapsed());
            }
            assert_eq!(client.end(), 0);
            let (found, shown, nothing) = (sorted(found), sorted(shown), sorted(nothing));
            println!(
                "{lines:>6}  {kind:<12} {}   {}    {:>11.1} {:>8.1}",
                row(&found),
                row(&shown),
                share(&found, 0.5) / share(&nothing, 0.5),
                share(&shown, 0.5) / share(&nothing, 0.5)
            );
            std::thread::sleep(Duration::from_millis(50));
        }
    }
}

fn sorted(mut times: Vec<Duration>) -> Vec<Duration> {
    times.sort();
    times
}

/// The time that a share of all stay below, ms.
fn share(times: &[Duration], share: f64) -> f64 {
    let at = ((times.len() - 1) as f64 * share).round() as usize;
    times[at].as_secs_f64() * 1e3
}

fn row(times: &[Duration]) -> String {
    [0.5, 0.95, 0.99, 1.0].map(|part| format!("{:>6.2}", share(times, part))).join(" ")
}
