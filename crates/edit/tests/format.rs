//! The formatter: what it writes, and what it must not touch.

use proptest::prelude::*;

fn formatted(text: &str) -> String {
    syntax::apply(text, &edit::format(&syntax::parse(text)))
}

#[test]
fn lines_and_their_layout() {
    let cases: &[(&str, &str)] = &[
        ("grist\n 5kg pale ale malt\n", "grist\n  5 kg      pale ale malt\n"),
        (
            "grist\n\t450  g   brown   malt [ 150 EBC ,lot X 1]   # fresh\n",
            "grist\n  450 g     brown malt [150 EBC, lot X 1]  # fresh\n",
        ),
        (
            "boil 60 minutes\n  Fuggle [4.6%] to reach 24 IBU at 60 min\n",
            "boil 60 min\n  Fuggle [4.6 %] at 60 min to reach 24 IBU\n",
        ),
        (
            "boil  60 min\n  48 g Fuggle at 60 min #= 24 IBU\n",
            "boil 60 min\n  48 g      Fuggle at 60 min  #= 24 IBU\n",
        ),
        ("pitch\n  200 billion cells english ale yeast\n", "pitch\n  200 billion cells  english ale yeast\n"),
        ("brewhouse  shed-30\n  mash efficiency 78%\n", "brewhouse shed-30\n  mash efficiency     78 %\n"),
        (
            "gyle 27 \"X\" on 2026-03-14\n  10:05 mash in 66.8C\n  day 3 gravity 1.014 at 20 C\n",
            "gyle 27 \"X\" on 2026-03-14\n  10:05   mash in   66.8 C\n  day 3   gravity   1.014 at 20 C\n",
        ),
        ("package\n 8 L bottle 2.4 vol\n", "package\n  8 L       bottle 2.4 vol\n"),
        (
            "expect\n  og 1.051 +/- 0.003\n  ibu/og.points in 0.45..0.65\n",
            "expect\n  og        1.051 ± 0.003\n  ibu/og.points in 0.45..0.65\n",
        ),
        ("notes\n   |  keep   this  \n", "notes\n  |  keep   this\n"),
        ("a\n\n\n\nboil 60 min\n", "a\n\nboil 60 min\n"),
        ("grist\r\n 5kg pale ale malt\r\n", "grist\r\n  5 kg      pale ale malt\r\n"),
        // A line that cannot be read stays as it is.
        (
            "grist\n 4,5 kg  pale ale malt\n  5   what is this ]\n",
            "grist\n 4,5 kg  pale ale malt\n  5   what is this ]\n",
        ),
        ("liquor\n  no-sparge\n", "liquor\n  no sparge\n"),
        (
            "recipe \"A\"\n  batch 5 gal 2 qt\n  tag   winter   cask\n",
            "recipe \"A\"\n  batch     5 gal 2 qt\n  tag       winter cask\n",
        ),
        (
            "ferment\n  hold 18 ± 1 C until 1.012 for 4 days\n",
            "ferment\n  hold      18 ± 1 C for 4 d until 1.012\n",
        ),
    ];
    for (text, want) in cases {
        let have = formatted(text);
        assert_eq!(have, *want, "\nfrom {text:?}");
        assert_eq!(formatted(&have), have, "twice");
    }
}

#[test]
fn edits_are_small() {
    let text = "grist\n  5 kg      pale ale malt\n  450  g    brown malt\n";
    let edits = edit::format(&syntax::parse(text));
    assert_eq!(edits.len(), 1);
    assert!(edits[0].span.len() + u32::try_from(edits[0].text.len()).unwrap() <= 4, "{edits:?}");
}

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
        "\n",
        "\r\n",
        "  ",
        " ",
        "\t",
        "5",
        "4,5",
        "1/2",
        "kg",
        "g",
        "L",
        "P",
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
        "\"",
        "é",
        "-",
        "+",
        "*",
        "og",
        "in",
        "source",
        "add",
        "rest",
    ]);
    prop::collection::vec(piece, 0..50).prop_map(|pieces| pieces.concat())
}

/// What a text means, whatever its layout: every entry without its places.
fn meaning(text: &str) -> Vec<String> {
    let file = syntax::parse(text);
    let mut out = Vec::new();
    for placed in &file.blocks {
        for (_, entry) in placed.block.entries() {
            let words: Vec<&str> = placed.block.slice(entry.span).split_whitespace().collect();
            out.push(format!("{:?} {:?} {}", entry.form, entry.keyword.map(|k| k.node), !words.is_empty()));
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, ..ProptestConfig::default() })]

    #[test]
    fn formatting_twice_changes_nothing(text in pieces()) {
        let once = formatted(&text);
        prop_assert_eq!(formatted(&once), once);
    }

    #[test]
    fn formatting_keeps_every_entry(text in pieces()) {
        prop_assert_eq!(meaning(&formatted(&text)), meaning(&text));
    }
}
