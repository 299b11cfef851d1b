//! Nothing panics, whatever the text, and every place lies inside its block.

mod support;

use proptest::prelude::*;
use recipe::fingerprint;
use support::World;

const FILES: &[&str] = &[
    include_str!("../../../tests/saltmarsh/recipes/estuary-porter.gyle"),
    include_str!("../../../tests/saltmarsh/recipes/samphire-sour.gyle"),
    include_str!("../../../tests/saltmarsh/recipes/seawall-lager.gyle"),
    include_str!("../../../tests/saltmarsh/recipes/ferry-slip-amber.gyle"),
    include_str!("../../../tests/saltmarsh/logs/41-low-tide-session.gyle"),
    include_str!("../../../tests/saltmarsh/logs/42-seawall-lager.gyle"),
    include_str!("../../../tests/saltmarsh/cellar/malts.gyle"),
    include_str!("../../../tests/saltmarsh/cellar/brewhouses.gyle"),
];

const CELLAR: &str = include_str!("../../../tests/saltmarsh/cellar/brewhouses.gyle");

/// Builds everything and looks at every place.
fn sound(text: &str) {
    let world = World::new(text, &[CELLAR]);
    for recipe in &world.recipes {
        assert!(!recipe.parts.is_empty());
        let inside = |place: recipe::Place| {
            let block = &recipe.blocks[usize::from(place.block)];
            assert!(block.text.get(place.span.range()).is_some(), "{place:?} in {text}");
        };
        inside(recipe.name_place);
        recipe.grist.iter().for_each(|line| (inside(line.place), inside(line.thing.place)).0);
        recipe.additions.iter().for_each(|line| (inside(line.place), inside(line.thing.place)).0);
        recipe.tags.iter().for_each(|(_, place)| inside(*place));
        recipe.queries.iter().for_each(|query| inside(query.place));
        assert_eq!(fingerprint(recipe).len(), 8);
    }
    for log in &world.logs {
        for entry in &log.entries {
            let block = &log.blocks[usize::from(entry.place.block)];
            assert!(block.text.get(entry.place.span.range()).is_some());
        }
        for problem in &log.problems {
            let block = &log.blocks[usize::from(problem.block)];
            assert!(block.text.get(problem.fault.span.range()).is_some());
        }
    }
    for (at, problem) in world.problems() {
        let end = at + problem.fault.span.len();
        assert!(text.get(at as usize..end as usize).is_some(), "{}: {at}..{end}", problem.fault.rule);
        assert!(!problem.fault.message.is_empty() && !problem.fault.help.is_empty());
        for fix in &problem.fault.fixes {
            assert!(!fix.edits.is_empty());
        }
    }
    // Marking problems reads every span as text.
    let _ = world.marked();
}

/// Words and signs of the language in any order, which reach further than any letters do.
fn lines() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "recipe",
        "\"A\"",
        "grist",
        "liquor",
        "mash",
        "boil",
        "60 min",
        "pitch",
        "ferment",
        "package",
        "expect",
        "split",
        "gyle",
        "27",
        "tasting",
        "malt",
        "like",
        "alias",
        "let",
        "=",
        "use",
        "on",
        "at",
        "to",
        "reach",
        "for",
        "with",
        "until",
        "by",
        "in",
        "of",
        "20 L",
        "5 gal",
        "1..2 qt",
        "3 kg",
        "10 %",
        "1.050",
        "12 P",
        "18 ± 2 C",
        "2026-02-30",
        "2026-03-14",
        "10:05",
        "day 3",
        "day -2147483648",
        "(a + 1 kg)",
        "(",
        ")",
        "[",
        "]",
        "[88 %, hot]",
        "[alpha 5 %, or Fuggle]",
        "Fuggle",
        "pale ale malt",
        "customary",
        "us",
        "add",
        "rest",
        "ph",
        "og",
        "flameout",
        "no sparge",
        "top up",
        "starter",
        "hold",
        "raise",
        "\n",
        "\n",
        "\n  ",
        "\n  ",
        "\n  ",
        "\n\t",
        "#",
        "|",
        "?",
        "é",
        "°",
        "\u{a0}",
        "\"",
        ",",
        "..",
        "9999999999999999999999 kg",
        "1/0 kg",
    ]);
    prop::collection::vec(word, 0..60).prop_map(|words| words.join(" "))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text_is_built(text in "\\PC{0,200}|(.|\n){0,200}") {
        sound(&text);
    }

    #[test]
    fn words_of_the_language_in_any_order_are_built(text in lines()) {
        sound(&text);
    }

    #[test]
    fn edited_files_are_built(
        file in 0..FILES.len(),
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0usize..12, lines()), 1..4),
    ) {
        let mut text = FILES[file].to_owned();
        for (at, len, new) in edits {
            let mut start = at.index(text.len() + 1);
            while !text.is_char_boundary(start) {
                start -= 1;
            }
            let mut end = (start + len).min(text.len());
            while !text.is_char_boundary(end) {
                end += 1;
            }
            text.replace_range(start..end, &new);
        }
        sound(&text);
    }
}

#[test]
fn long_expressions_are_refused_not_followed() {
    let deep = format!(
        "recipe \"A\"\n  batch     (1 L{})\ngrist\n  (1 kg{}) pale ale malt\n",
        " + 1 L".repeat(3000),
        " + 1 kg".repeat(3000)
    );
    let world = World::new(&deep, &[]);
    assert_eq!(world.recipe().batch, None);
    sound(&deep);
}

#[test]
fn values_that_stand_for_a_million_others_are_left_out() {
    use std::fmt::Write as _;
    let mut text = String::from("let v0 = 1 L\n");
    for at in 1..60 {
        let _ = writeln!(text, "let v{at} = v{0} + v{0}", at - 1);
    }
    text.push_str("recipe \"A\"\n  batch     (v59)\ngrist\n  (v9 * 1 kg/L) pale ale malt\n");
    let world = World::new(&text, &[]);
    assert_eq!(world.recipe().batch, None);
    let names = &world.recipe().lets;
    assert!(names.iter().any(|named| *named.name == *"v8"));
    assert!(!names.iter().any(|named| *named.name == *"v30"));
    sound(&text);
    // A loop is left to whoever computes it.
    let world = World::new("let a = b\nlet b = a\nrecipe \"A\"\n  batch     (a)\n", &[]);
    assert_eq!(world.recipe().lets.len(), 2);
    assert_eq!(world.recipe().batch, None);
}
