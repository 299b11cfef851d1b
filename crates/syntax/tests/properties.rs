//! Properties of the parser that hold for any text.

#![allow(clippy::unwrap_used, reason = "a test helper that finds no files has to stop")]

use std::path::Path;
use std::sync::LazyLock;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use syntax::ast::{Block, Body, File};

fn text_of(file: &File) -> String {
    let mut out = String::new();
    for placed in &file.blocks {
        assert_eq!(placed.start as usize, out.len());
        let mut at = 0;
        for line in &placed.block.lines {
            assert_eq!(line.span.start, at);
            assert!(line.span.end <= line.end);
            at = line.end;
        }
        assert_eq!(at as usize, placed.block.text.len());
        for fault in &placed.block.faults {
            let text = placed.block.text.get(fault.span.range());
            assert!(text.is_some(), "{fault:?} lies inside a character or outside its block");
            for (span, _) in fault.fixes.iter().flat_map(|fix| &fix.edits) {
                assert!(placed.block.text.get(span.range()).is_some(), "{fault:?}");
            }
        }
        out.push_str(&placed.block.text);
    }
    out
}

fn same(a: &File, b: &File) {
    assert_eq!(format!("{a:?}"), format!("{b:?}"));
}

/// Pieces that a recipe is made of, put together at random.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "recipe",
        "\"Ä\"",
        "grist",
        "boil",
        "liquor",
        "mash",
        "pitch",
        "gyle",
        "expect",
        "notes",
        "malt",
        "let",
        "\n",
        "\r\n",
        "\r",
        "  ",
        " ",
        "\t",
        "\u{a0}",
        "5",
        "4,5",
        "1/2",
        "kg",
        "g",
        "L",
        "°P",
        "C",
        "%",
        "min",
        "..",
        "±",
        "[",
        "]",
        "(",
        ")",
        "at",
        "to",
        "to reach",
        "for",
        "until",
        "with",
        "on",
        "day",
        "3",
        "2026-03-14",
        "10:05",
        "#",
        "#= ",
        "|",
        "?",
        "=",
        "<",
        "Fuggle",
        "pale ale malt",
        "2-row",
        "or",
        "alpha",
        "lot",
        ",",
        ";",
        "\"",
        "“",
        "é",
        "🍺",
        "-",
        "+",
        "*",
        "/",
        "^",
        "og",
        "in",
    ]);
    prop::collection::vec(piece, 0..60).prop_map(|pieces| pieces.concat())
}

/// The files of the demo and the examples.
static FILES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests");
    let mut folders = vec![root.join("saltmarsh"), root.join("language")];
    let mut files = Vec::new();
    while let Some(folder) = folders.pop() {
        for path in std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "gyle") {
                files.push(path);
            }
        }
    }
    files.sort();
    files.into_iter().map(|path| std::fs::read_to_string(path).unwrap()).collect()
});

fn character_bounds(text: &str) -> Vec<usize> {
    text.char_indices().map(|(at, _)| at).chain([text.len()]).collect()
}

/// Texts that would cost too much, or go too deep, if a line were read without bounds.
#[test]
fn what_is_long_or_deep_stays_cheap() {
    let lines = [
        "(".repeat(50_000),
        format!("{}1{}", "(".repeat(50_000), ")".repeat(50_000)),
        format!("x = {}1", "- ".repeat(50_000)),
        format!("x = 1{}", " + 1".repeat(50_000)),
        format!("x = 1{}", " + 1".repeat(1000)),
        format!("x = {}1{}", "min(".repeat(16), ")".repeat(16)),
        format!("x = {}1", "min(".repeat(20_000)),
        format!("1 kg {}", "a ".repeat(50_000)),
        format!("1 kg {}", "1 kg ".repeat(20_000)),
        format!("1 kg a [{}]", "b c, ".repeat(20_000)),
        format!("1 kg a {}", "[b] ".repeat(20_000)),
        format!("1 kg a {}", "at 1 min ".repeat(20_000)),
        "[".repeat(50_000),
        "\"".repeat(50_001),
        "\u{201c} # ".repeat(20_000),
        "# ".repeat(50_000),
        "#= ".repeat(50_000),
        "9".repeat(50_000),
        "1,".repeat(50_000),
        "1 lb ".repeat(20_000),
        "\u{a0}".repeat(50_000),
        "a".repeat(100_000),
    ];
    for line in &lines {
        for block in
            ["", "grist\n  ", "expect\n  ", "recipe \"A\"\n  let ", "recipe \"A\"\n  ? ", "notes\n  note "]
        {
            let text = format!("{block}{line}\n");
            let start = Instant::now();
            let file = syntax::parse(&text);
            let shown = format!("{:?}", file.blocks.last().map(|placed| placed.block.faults.len()));
            let taken = start.elapsed();
            assert!(
                taken < Duration::from_secs(2),
                "{taken:?} {shown} {block}{}",
                &line[..line.len().min(40)]
            );
            assert_eq!(text_of(&file), text);
        }
    }
}

/// The deepest tree that is built can be cloned, compared, shown and dropped.
#[test]
fn the_deepest_tree_can_be_walked() {
    let file = syntax::parse(&format!("let x = 1{}\n", " + 1".repeat(1000)));
    let header = file.blocks[0].block.header().unwrap();
    assert_eq!(*header, header.clone());
    assert!(format!("{header:?}").len() > 1000);
}

const RECIPE: &str = "recipe \"Brückenbräu\"\n  batch     20 L\n\ngrist\n  3.6 kg    pale ale malt\n\nboil 60 min\n  25 g      Fuggle [4.6 %] at 60 min\n\nexpect\n  og        1.050\n";

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_kept_whole(text in any::<String>()) {
        prop_assert_eq!(text_of(&syntax::parse(&text)), text);
    }

    #[test]
    fn anything_like_a_recipe_is_kept_whole(text in pieces()) {
        prop_assert_eq!(text_of(&syntax::parse(&text)), text);
    }

    #[test]
    fn an_edit_gives_what_a_whole_parse_gives(
        base in prop_oneof![Just(RECIPE.to_owned()), pieces()],
        at in any::<prop::sample::Index>(),
        to in any::<prop::sample::Index>(),
        with in pieces(),
    ) {
        let bounds: Vec<usize> = base.char_indices().map(|(at, _)| at).chain([base.len()]).collect();
        let (a, b) = (bounds[at.index(bounds.len())], bounds[to.index(bounds.len())]);
        let (a, b) = (a.min(b), a.max(b));
        let edited = format!("{}{with}{}", &base[..a], &base[b..]);
        let old = syntax::parse(&base);
        let new = syntax::reparse(&old, &base, &edited);
        same(&new, &syntax::parse(&edited));
        prop_assert_eq!(text_of(&new), edited);
    }

    #[test]
    fn edits_of_the_demo_give_what_a_whole_parse_gives(
        file in any::<prop::sample::Index>(),
        edits in prop::collection::vec(
            (any::<prop::sample::Index>(), 0usize..60, prop_oneof![Just(String::new()), pieces()]),
            1..4,
        ),
    ) {
        let mut text = FILES[file.index(FILES.len())].clone();
        let mut tree = syntax::parse(&text);
        for (at, len, with) in edits {
            let bounds = character_bounds(&text);
            let at = at.index(bounds.len());
            let (from, to) = (bounds[at], bounds[(at + len).min(bounds.len() - 1)]);
            let edited = format!("{}{with}{}", &text[..from], &text[to..]);
            tree = syntax::reparse(&tree, &text, &edited);
            text = edited;
            same(&tree, &syntax::parse(&text));
            prop_assert_eq!(&text_of(&tree), &text);
        }
    }

    /// A line that is broken costs that line only.
    #[test]
    fn a_broken_line_costs_itself_only(
        file in any::<prop::sample::Index>(),
        line in any::<prop::sample::Index>(),
        with in "[ -~]{0,20}",
    ) {
        let text = &FILES[file.index(FILES.len())];
        let lines: Vec<&str> = text.lines().collect();
        let indented: Vec<usize> = (0..lines.len()).filter(|&at| lines[at].starts_with(' ')).collect();
        prop_assume!(!indented.is_empty());
        let at = indented[line.index(indented.len())];
        let changed: String =
            lines.iter().enumerate().map(|(i, l)| if i == at { format!("  {with}\n") } else { format!("{l}\n") }).collect();
        let bodies = |text: &str| -> Vec<String> {
            let file = syntax::parse(text);
            let entry = |body: &Body, block: &Block| match body {
                Body::Entry(entry) | Body::Header(entry) => block.slice(entry.span).to_owned(),
                other => format!("{other:?}").split('(').next().unwrap().to_owned(),
            };
            file.blocks.iter().flat_map(|p| p.block.lines.iter().map(|l| entry(&l.body, &p.block)).collect::<Vec<_>>()).collect()
        };
        let (before, after) = (bodies(text), bodies(&changed));
        prop_assert_eq!(before.len(), after.len());
        for (i, (before, after)) in before.iter().zip(&after).enumerate() {
            prop_assert!(i == at || before == after, "line {}: {} became {}", i, before, after);
        }
    }

    #[test]
    fn blocks_parse_alone(text in pieces()) {
        // A block's tree depends on its text and on what the block above is read as.
        let file = syntax::parse(&text);
        for placed in &file.blocks {
            let again = syntax::parse(&placed.block.text);
            prop_assert!(!again.blocks.is_empty());
        }
    }
}

/// What once broke a property.
#[test]
fn odd_texts_are_kept_whole() {
    for text in ["gyle\n\n“", "gyle  \n“gristrecipe"] {
        assert_eq!(text_of(&syntax::parse(text)), text);
    }
}
