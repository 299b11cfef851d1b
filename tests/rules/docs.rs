//! Names, words and the reference page.

use std::collections::BTreeSet;

use gyle_tests::current;
use rules::{Check, Doc, Edition, Level, RULES, reference_page};

#[test]
fn ids_read_well_after_allow() {
    let mut seen = BTreeSet::new();
    for rule in RULES {
        let kebab = rule.id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        assert!(kebab && rule.id.contains('-') && !rule.id.starts_with('-'), "{}", rule.id);
        assert!(seen.insert(rule.id), "{} twice", rule.id);
        assert_eq!(rules::find(rule.id).map(|found| found.id), Some(rule.id));
        for absorbed in rule.absorbs {
            assert!(rules::find(absorbed).is_some(), "{} absorbs {absorbed}, which is no rule", rule.id);
        }
    }
}

#[test]
fn every_rule_has_its_words() {
    for rule in RULES {
        for (heading, text) in Doc::HEADINGS.iter().zip(rule.doc.sections()) {
            let may_be_empty = *heading == "Limits" && !rule.limits.is_empty()
                || rule.id == "check-failed" && matches!(*heading, "Example" | "Instead");
            assert!(may_be_empty || !text.trim().is_empty(), "{}: nothing under {heading}", rule.id);
            if !matches!(*heading, "Example" | "Instead" | "Limits") {
                assert!(
                    text.trim_end().ends_with(['.', ')']),
                    "{}: {heading} ends without a full stop",
                    rule.id
                );
            }
        }
        for limit in rule.limits {
            assert!(!limit.what.is_empty() && !limit.source.is_empty(), "{}: {}", rule.id, limit.name);
        }
    }
}

#[test]
fn a_limit_means_one_thing() {
    let mut seen: Vec<(&str, &rules::Limit)> = Vec::new();
    for rule in RULES {
        for limit in rule.limits {
            if let Some((_, other)) = seen.iter().find(|(name, _)| *name == limit.name) {
                assert!(std::ptr::eq(*other, *limit), "two limits are called {}", limit.name);
            } else {
                seen.push((limit.name, limit));
            }
        }
    }
}

/// Words that would promise what no check can know.
#[test]
fn nothing_is_called_safe_or_legal() {
    for rule in RULES {
        for text in rule.doc.sections() {
            for words in [" is safe", " are safe", " is legal", " are legal", "perfectly safe"] {
                assert!(!text.contains(words), "{}: `{words}` in {text}", rule.id);
            }
        }
    }
}

/// Ids, groups and levels are public: a change here is a change for everybody who set one.
#[test]
fn groups_and_levels() {
    let mut table = String::new();
    for rule in RULES {
        let shape = match rule.check {
            Check::Written => "written",
            Check::Recipe(_) => "recipe",
            Check::Part(_) => "part",
            Check::Log(_) => "log",
            Check::RecipeAndLog(..) => "recipe, log",
            Check::Definition(_) => "definition",
            Check::File(_) => "file",
            Check::Repository(_) => "repository",
        };
        let safety = if rule.safety { " safety" } else { "" };
        let later: String =
            rule.later.iter().map(|(from, level)| format!(" {}: {}", from.word(), level.word())).collect();
        table.push_str(&format!(
            "{:10} {:8} {:38} {shape}{safety}{later}\n",
            rule.group.word(),
            rule.level.word(),
            rule.id
        ));
    }
    current("tests/rules/levels.txt", &table, "rules");
}

#[test]
fn the_reference_page_is_current() {
    current("crates/gyle/docs/rules.md", &reference_page(), "rules");
}

/// A frozen edition does not change: what came later is seen in a later one alone, and comes in quietly.
#[test]
fn editions_come_in_quietly() {
    let mut entering = 0;
    for rule in RULES {
        let id = rule.id;
        assert!(rule.later.windows(2).all(|two| two[0].0 < two[1].0), "{id}");
        assert!(rule.later.iter().all(|(edition, _)| *edition > rule.since), "{id}");
        if rule.since > Edition::Y2026 {
            assert!(rule.level <= Level::Hint, "{id} is new and no hint");
            assert_eq!(rule.level_in(Edition::Y2026), Level::Off, "{id}");
        }
        entering += usize::from(rule.level_in(Edition::NEXT) != rule.level_in(Edition::default()));
    }
    assert!(entering > 0, "nothing enters in the next edition");
    assert!(!Edition::FROZEN.contains(&Edition::NEXT));
}
