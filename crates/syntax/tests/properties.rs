//! Properties of the parser that hold for any text.

use proptest::prelude::*;
use syntax::ast::File;

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
        let new = syntax::reparse(&old, &edited);
        same(&new, &syntax::parse(&edited));
        prop_assert_eq!(text_of(&new), edited);
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
