//! The two examples of every rule: the first is found fault with by that rule alone, the second by none.

mod support;

use rules::{Config, Level, RULES};

/// Rules that need a whole workspace, or a mistake in gyle itself: their examples run where those are made.
const ELSEWHERE: &[&str] =
    &["import-missing", "import-cycle", "recipe-ambiguous", "check-failed", "unused-definition"];

#[test]
fn examples_of_every_rule() {
    let mut wrong = String::new();
    for rule in RULES.iter().filter(|rule| !ELSEWHERE.contains(&rule.id)) {
        let mut config = Config::default();
        if rule.level == Level::Off {
            config.levels.set(rule.id, Level::Hint).unwrap();
        }
        let found = |text: &str| -> Vec<(&'static str, String)> {
            support::check(text, &config)
                .into_iter()
                .map(|f| (f.rule, format!("{:?}: {}", f.severity, f.message)))
                .collect()
        };
        let bad = found(rule.doc.example);
        if bad.is_empty() || bad.iter().any(|(id, _)| *id != rule.id) {
            wrong.push_str(&format!("\n{}: the example gives {bad:#?}", rule.id));
        }
        let good = found(rule.doc.instead);
        if !good.is_empty() {
            wrong.push_str(&format!("\n{}: the better text gives {good:#?}", rule.id));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
