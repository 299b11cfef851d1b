//! The two examples of every rule: the first is found fault with by that rule alone, the second by none.

use rules::RULES;

use crate::bench::{Bench, switched_on};

/// A check that fails is a mistake in gyle itself; no text brings it about on purpose.
const WITHOUT: &[&str] = &["check-failed"];

#[test]
fn the_first_example_is_found_fault_with_and_the_second_is_not() {
    let mut wrong = String::new();
    for rule in RULES.iter().filter(|rule| !WITHOUT.contains(&rule.id)) {
        let found = |text: &str| -> Vec<String> {
            let findings = Bench::new(text, &switched_on(rule)).findings();
            findings.iter().map(|f| format!("{} {}: {}", f.severity.word(), f.rule, f.message)).collect()
        };
        let bad = found(rule.doc.example);
        let own = |line: &String| line.split(' ').nth(1) == Some(&format!("{}:", rule.id));
        if bad.is_empty() || !bad.iter().all(own) {
            wrong.push_str(&format!("\n{}: the example gives {bad:#?}", rule.id));
        }
        let good = found(rule.doc.instead);
        if !good.is_empty() {
            wrong.push_str(&format!("\n{}: the better text gives {good:#?}", rule.id));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// A recipe in customary units is told about in them, and so is its log; the house's choice goes first.
#[test]
fn numbers_are_said_in_the_units_of_the_recipe() {
    let text = |customary: &str| {
        format!(
            "recipe \"Harbour Bitter\"\n{customary}  batch     20 L\ngrist\n  4 kg      pale ale malt\npitch\n  \
             170 billion cells  English ale yeast [72 %]\nferment\n  hold      29 C for 7 d\n\
             gyle 7 \"Harbour Bitter\" on 2026-03-14\n  10:05   mash in   150 C\n"
        )
    };
    for (customary, config, unit) in [
        ("", "", " C"),
        ("  customary us\n", "", " F"),
        ("  customary imperial\n", "", " F"),
        ("", "customary = \"us\"\n", " F"),
        ("  customary us\n", "[figures]\nunits = \"metric\"\n", " C"),
    ] {
        let findings = Bench::new(&text(customary), config).findings();
        for rule in ["ferment-temp-outside-strain", "reading-out-of-bounds"] {
            let said = findings.iter().find(|finding| finding.rule == rule);
            let said = said.map(|finding| finding.message.as_str()).unwrap_or_default();
            assert!(said.contains(unit), "{customary:?} {config:?} {rule}: {said}");
        }
    }
}
