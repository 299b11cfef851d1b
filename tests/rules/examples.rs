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
