//! What is said about a line that is written wrongly: `faults.txt` holds lines with the place of each fault
//! marked under them, then its rule, how many ways to mend it are offered, and whether the first is safe. The
//! words are kept as a snapshot.

#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

use std::fmt::Write;

use proptest::prelude::*;
use syntax::ast::File;
use syntax::{Edit, Fault, LineIndex, Span, apply, parse};

const MARKED: &str = include_str!("faults.txt");

/// A fault with its place in the file.
struct Placed<'f> {
    start: u32,
    fault: &'f Fault,
}

fn faults(file: &File) -> Vec<Placed<'_>> {
    let of = |placed: &'_ syntax::ast::Placed| placed.start;
    file.blocks
        .iter()
        .flat_map(|placed| placed.block.faults.iter().map(move |fault| Placed { start: of(placed), fault }))
        .collect()
}

fn is_mark(line: &str) -> bool {
    line.trim_start().starts_with('^')
}

/// The text without the marks.
fn unmarked(marked: &str) -> String {
    marked.lines().filter(|line| !is_mark(line)).fold(String::new(), |text, line| text + line + "\n")
}

/// The text with the faults marked under its lines.
fn mark(text: &str) -> String {
    let file = parse(text);
    let index = LineIndex::new(text);
    let mut out = String::new();
    let faults = faults(&file);
    for (number, line) in text.lines().enumerate() {
        writeln!(out, "{line}").unwrap();
        for Placed { start, fault } in &faults {
            let span = fault.span.shift(*start);
            if index.line(span.start) as usize != number {
                continue;
            }
            let before = &line[..(span.start - index.line_start(number as u32)) as usize];
            let width = fault.span.of(&text[*start as usize..]).chars().count().max(1);
            let mut mark =
                format!("{}{} {}", " ".repeat(before.chars().count()), "^".repeat(width), fault.rule);
            if let Some(first) = fault.fixes.first() {
                write!(mark, " {}{}", fault.fixes.len(), if first.safe { " safe" } else { "" }).unwrap();
            }
            writeln!(out, "{mark}").unwrap();
        }
    }
    out
}

#[test]
fn faults_stand_where_they_should() {
    let found = mark(&unmarked(MARKED));
    let mut wrong = String::new();
    for (wanted, found) in blocks(MARKED).zip(blocks(&found)) {
        if wanted != found {
            writeln!(wrong, "wanted\n{wanted}\nfound\n{found}").unwrap();
        }
    }
    assert_eq!(blocks(MARKED).count(), blocks(&found).count());
    assert!(wrong.is_empty(), "{wrong}");
}

fn blocks(text: &str) -> impl Iterator<Item = &str> {
    text.split("\n\n").map(str::trim_end)
}

/// The words as a user sees them.
#[test]
fn faults_say_what_is_wrong_and_what_to_do() {
    let text = unmarked(MARKED);
    let mut out = String::new();
    for Placed { fault, .. } in faults(&parse(&text)) {
        writeln!(out, "{}: {}\n  {}", fault.rule, fault.message, fault.help).unwrap();
        for fix in &fault.fixes {
            writeln!(out, "  {} {}", if fix.safe { "fix:" } else { "offer:" }, fix.title).unwrap();
        }
    }
    insta::assert_snapshot!("faults", out);
}

/// Words of those who write compilers, not of those who brew.
const JARGON: &[&str] =
    &["token", "identifier", "eof", "unexpected", "expected one of", "span", "parse", "syntax", "invalid"];

/// A fault names things and helps, and does so in a brewer's words.
fn speaks_plainly(fault: &Fault) -> Result<(), String> {
    // What the user wrote is quoted; it is not our choice of words.
    let own = |text: &str| text.split('`').step_by(2).collect::<String>().to_lowercase();
    let titles = fault.fixes.iter().map(|fix| fix.title.as_str());
    for text in [fault.message.as_str(), fault.help.as_str()].into_iter().chain(titles) {
        if let Some(word) = JARGON.iter().find(|word| own(text).contains(*word)) {
            return Err(format!("{word}: {text}"));
        }
    }
    if fault.message.is_empty() || fault.help.is_empty() || fault.fixes.iter().any(|fix| fix.edits.is_empty())
    {
        return Err(format!("says nothing: {fault:?}"));
    }
    Ok(())
}

#[test]
fn no_fault_speaks_jargon() {
    let text = unmarked(MARKED);
    let file = parse(&text);
    let faults = faults(&file);
    assert!(faults.len() > 120, "{}", faults.len());
    for Placed { fault, .. } in faults {
        speaks_plainly(fault).unwrap();
    }
}

fn edits(start: u32, fix: &syntax::FaultFix) -> Vec<Edit> {
    fix.edits.iter().map(|(span, text)| Edit { span: span.shift(start), text: text.clone() }).collect()
}

/// Each offer mends what it is offered for: applied, the line has fewer faults of that rule, or none at all
/// where a safe fix says so.
#[test]
fn every_fix_mends() {
    let text = unmarked(MARKED);
    let file = parse(&text);
    let index = LineIndex::new(&text);
    let mut seen = 0;
    for Placed { start, fault } in faults(&file) {
        for fix in &fault.fixes {
            seen += 1;
            let mended = apply(&text, &edits(start, fix));
            let line = index.line(start + fault.span.start);
            let on_line = |text: &str| {
                let index = LineIndex::new(text);
                let file = parse(text);
                faults(&file)
                    .iter()
                    .filter(|other| {
                        other.fault.rule == fault.rule
                            && index.line(other.start + other.fault.span.start) == line
                            && other.fault.message == fault.message
                    })
                    .count()
            };
            assert_ne!(mended, text, "{fix:?} changes nothing");
            assert!(on_line(&mended) < on_line(&text), "{fix:?} does not mend {fault:?}");
        }
    }
    assert!(seen > 80, "{seen}");
}

/// The line of a text with the safe fixes of its faults applied.
fn mended(text: &str) -> String {
    let file = parse(text);
    let safe: Vec<Edit> = faults(&file)
        .iter()
        .flat_map(|placed| {
            placed.fault.fixes.iter().filter(|fix| fix.safe).flat_map(|fix| edits(placed.start, fix))
        })
        .collect();
    apply(text, &safe)
}

#[test]
fn safe_fixes_do_what_they_say() {
    let cases = [
        ("grist\n  3,6 kg malt\n", "grist\n  3.6 kg malt\n"),
        ("grist\n  3,600 kg malt\n", "grist\n  3,600 kg malt\n"),
        ("mash\n  rest 70..67 C\n", "mash\n  rest 67..70 C\n"),
        ("mash\n  rest 70 C..67 C\n", "mash\n  rest 67 C..70 C\n"),
        ("grist\n  3 kg “pale malt”\n", "grist\n  3 kg \"pale malt\"\n"),
        ("liquor\n  add 3 ML acid to mash\n", "liquor\n  add 3 mL acid to mash\n"),
        ("grist\n3 kg malt\n", "grist\n  3 kg malt\n"),
        ("grist\n- 3 kg malt\n", "grist\n  - 3 kg malt\n"),
        ("liquor\nmash 13 L\n", "liquor\n  mash 13 L\n"),
    ];
    for (text, wanted) in cases {
        assert_eq!(mended(text), wanted, "{text}");
    }
}

/// Lines that have lost their indent, and headers that look like it.
#[test]
fn lost_indents() {
    use syntax::vocabulary::BlockKind as K;
    // Text, then kind and reading of the last block, then whether a lost indent is reported there.
    let cases = [
        ("liquor\nmash 13 L\n", K::Unknown, K::Liquor, true),
        ("liquor\nmash 13 L\nsparge 12 L at 76 C\n", K::Unknown, K::Liquor, true),
        ("liquor\nmash\n", K::Mash, K::Mash, false),
        ("liquor\nmash by infusion\n", K::Mash, K::Mash, false),
        ("recipe \"A\"\nstyle 13C\n", K::Unknown, K::Recipe, true),
        ("recipe \"A\"\nstyle \"13C\"\n", K::Style, K::Style, false),
        ("recipe \"A\"\nbatch 20 L\n", K::Unknown, K::Recipe, true),
        ("recipe \"A\"\nbrewhouse shed-30\n", K::Unknown, K::Recipe, true),
        ("recipe \"A\"\nbrewhouse shed-30\n  batch 20 L\n", K::Unknown, K::Recipe, true),
        ("recipe \"A\"\nbrewhouse shed-30\n  trub loss 2 L\n", K::BrewhouseBlock, K::BrewhouseBlock, false),
        ("malt x\nbrewhouse shed-30\n", K::BrewhouseBlock, K::BrewhouseBlock, false),
        ("sour\nboil 5 min\n", K::Boil, K::Boil, false),
        ("sour\nboil 5 min\n  hold 36 C for 30 h\n", K::Unknown, K::Sour, true),
        ("sour\nboil 60 min\n  8 g Perle at 60 min\n", K::Boil, K::Boil, false),
        ("cook 5 L\nboil 20 min\n  return to mash\n", K::Unknown, K::Cook, true),
        ("steep 30 min at 66 C\nliquor 4 L\n", K::Unknown, K::Steep, true),
        ("boil 60 min\nTarget [10 %] at 60 min to reach 40 IBU\n", K::Unknown, K::Boil, true),
        ("boil 60 min\nTarget\n", K::Unknown, K::Unknown, false),
        ("gyle 1 \"A\" on 2026-03-14\npackage 18 L keg\n", K::Package, K::Package, false),
        ("let x = 3\nbatch 20 L\n", K::Unknown, K::Unknown, false),
    ];
    for (text, kind, reads_as, lost) in cases {
        let file = parse(text);
        let last = &file.blocks.last().unwrap().block;
        assert_eq!((last.kind, last.entries_as), (kind, reads_as), "{text}{:?}", last.faults);
        let reported = last.faults.iter().any(|fault| fault.rule == "missing-indent");
        assert_eq!(reported, lost, "{text}{:?}", last.faults);
    }
}

#[test]
fn what_stands_in_the_first_column() {
    // The rules of a text's faults in order.
    let cases: &[(&str, &[&str])] = &[
        ("# a comment\n\nrecipe \"A\"\n", &[]),
        ("  batch 20 L\n  tag a\nrecipe \"A\"\n", &["malformed-line"]),
        ("- a list\nrecipe \"A\"\n", &["malformed-line"]),
        ("notes\n| prose\n", &["missing-indent"]),
        ("grist\n3 kg malt\n", &["missing-indent"]),
        ("grist\n<<<<<<< ours\n  3 kg malt\n=======\n  4 kg malt\n>>>>>>> theirs\n", &["merge-conflict"]),
        ("nonsense\n3 kg malt\n  foo\n", &["unknown-block"]),
        ("\u{feff}recipe \"A\"\n", &[]),
        ("\u{feff}\n\u{a0}\n", &[]),
    ];
    for (text, rules) in cases {
        let file = parse(text);
        let found: Vec<&str> = faults(&file).iter().map(|placed| placed.fault.rule).collect();
        assert_eq!(found, *rules, "{text}");
    }
}

/// A line of the demo files with one word of it changed.
fn broken_line() -> impl Strategy<Value = String> {
    let lines: Vec<String> = unmarked(MARKED).lines().map(str::to_owned).collect();
    let words = prop::sample::select(vec![
        "",
        "at",
        "60",
        "60 min",
        "67 C",
        "5 L",
        "[",
        "]",
        "(",
        ")",
        "\"",
        "“",
        "#3",
        ",",
        "..",
        "± 2",
        "4,5",
        "day 3",
        "to reach",
        "ph",
        "in",
        "<",
        "*",
        "-",
        "2026-03-14",
        "12:00",
        "wk",
        "ML",
        "xyzzy",
        "with",
        "é",
        "°",
    ]);
    let blocks = prop::sample::select(vec![
        "recipe \"A\"",
        "grist",
        "liquor",
        "mash",
        "boil 60 min",
        "pitch",
        "ferment",
        "package",
        "expect",
        "notes",
        "gyle 1 \"A\" on 2026-03-14",
        "tasting",
        "malt x",
        "hop y",
        "yeast z",
        "water w",
        "brewhouse b",
        "style \"1\"",
        "cook 5 L",
        "sour",
    ]);
    (blocks, prop::sample::select(lines), prop::collection::vec((any::<prop::sample::Index>(), words), 1..4))
        .prop_map(|(block, line, changes)| {
            let mut words: Vec<&str> = line.split(' ').collect();
            for (at, word) in changes {
                let at = at.index(words.len());
                words[at] = word;
            }
            format!("{block}\n  {}\n", words.join(" "))
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn faults_of_any_line_speak_plainly(text in broken_line()) {
        let file = parse(&text);
        for Placed { start, fault } in faults(&file) {
            prop_assert!(speaks_plainly(fault).is_ok(), "{text}{:?}", speaks_plainly(fault));
            let whole = Span::new(start, start + file.blocks.last().unwrap().block.text.len() as u32);
            prop_assert!(fault.span.end <= whole.end, "{text}{fault:?}");
            for fix in &fault.fixes {
                // Edits are in order and inside characters' bounds, so that all of them are applied.
                let edits = edits(start, fix);
                prop_assert!(edits.windows(2).all(|pair| pair[0].span.end <= pair[1].span.start), "{fix:?}");
                prop_assert!(edits.iter().all(|edit| text.get(edit.span.range()).is_some()), "{fix:?}");
            }
        }
    }

    /// Safe fixes come to an end. Two of one place take two rounds, and each may bring another to light.
    #[test]
    fn safe_fixes_of_any_line_mend_it(text in broken_line()) {
        let done = (0..5).fold(text.clone(), |text, _| mended(&text));
        prop_assert_eq!(mended(&done), done, "{}", text);
    }
}
