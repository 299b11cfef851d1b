//! Splitting, parsing and parsing again after an edit, on four texts: tiny, typical, ten times that, and one
//! that is wrong in every line.

use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use syntax::{parse, reparse};

fn main() {
    divan::main();
}

const TEXTS: &[&str] = &["tiny", "typical", "ten times", "pathological"];

/// A recipe of the demo with its log, as a brewer keeps them.
const RECIPE: &str = concat!(
    include_str!("../../../tests/saltmarsh/recipes/seawall-lager.gyle"),
    include_str!("../../../tests/saltmarsh/logs/42-seawall-lager.gyle"),
);

fn text(name: &str) -> String {
    match name {
        "tiny" => "recipe \"A\"\n  batch     20 L\n".to_owned(),
        "typical" => RECIPE.to_owned(),
        "ten times" => RECIPE.repeat(10),
        // No line of it is right, so that each is read twice and a fault is worded for it.
        _ => "grist\n  3,6 pale malt [alfa 4,6 %, 60 L] at 76 C 5 min (brewing\n  gramz\n".repeat(40),
    }
}

#[divan::bench(args = TEXTS)]
fn whole(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    bencher.counter(BytesCount::of_str(&text)).bench(|| parse(black_box(&text)));
}

/// The text has not changed: it is split into blocks, each is known again, and no entry is parsed.
#[divan::bench(args = TEXTS)]
fn split(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    let before = parse(&text);
    bencher
        .counter(BytesCount::of_str(&text))
        .bench(|| reparse(black_box(&before), black_box(&text), black_box(&text)));
}

/// One amount in the middle is typed over.
#[divan::bench(args = TEXTS)]
fn after_an_edit(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    let middle = text.len() / 2;
    let digit = text[middle..].find(|c: char| c.is_ascii_digit()).map_or(0, |at| at + middle);
    let edited = format!("{}7{}", &text[..digit], &text[digit..]);
    let before = parse(&text);
    bencher
        .counter(BytesCount::of_str(&text))
        .bench(|| reparse(black_box(&before), black_box(&text), black_box(&edited)));
}

/// The same line a thousand times: what one line of the commonest kinds costs.
#[divan::bench(args = [
    "  3.6 kg    maris otter malt",
    "  48 g      Fuggle [alpha 4.6 %] at 60 min",
    "  # extract in the kettle over the laboratory extract",
])]
fn a_thousand_lines(bencher: Bencher<'_, '_>, line: &str) {
    let text = format!("boil 60 min\n{}", format!("{line}\n").repeat(1000));
    bencher.counter(BytesCount::of_str(&text)).bench(|| parse(black_box(&text)));
}
