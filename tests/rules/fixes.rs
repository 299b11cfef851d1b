//! After a fix its finding is gone, and no other has come.

use rules::{Finding, RULES};

use crate::bench::{Bench, switched_on};

/// A text of several files, put together again with one of them changed.
fn with_file(bench: &Bench, changed: recipe::FileId, text: &str) -> String {
    let mut whole = String::new();
    for (id, path, old) in bench.texts() {
        if path != "gyle.toml" {
            whole.push_str(&format!("//- {path}\n{}", if id == changed { text } else { &old }));
            if !whole.ends_with('\n') {
                whole.push('\n');
            }
        }
    }
    whole
}

/// Fixes that offer every unit there is: the wrong one brings the next finding.
const GUESSES: &[(&str, &str)] = &[("unit-missing", "write `20 mL`"), ("unit-missing", "write `20 gal`")];

#[test]
fn a_fix_mends_what_it_says_and_breaks_nothing() {
    let mut wrong = String::new();
    let mut applied = 0;
    for rule in RULES {
        let config = switched_on(rule);
        let bench = Bench::new(rule.doc.example, &config);
        let before = bench.findings();
        for finding in &before {
            for fix in &finding.fixes {
                if GUESSES.contains(&(rule.id, fix.title.as_str())) {
                    continue;
                }
                applied += 1;
                let text = syntax::apply(&bench.text_of(finding), &fix.edits);
                let after = Bench::new(&with_file(&bench, finding.file, &text), &config).findings();
                let said = |list: &[Finding]| -> Vec<String> {
                    list.iter().map(|f| format!("{}: {}", f.rule, f.message)).collect()
                };
                let still = after.iter().any(|f| f.rule == finding.rule && f.message == finding.message);
                let new = after.iter().any(|f| !before.iter().any(|b| b.rule == f.rule));
                if still || new || text == bench.text_of(finding) {
                    wrong.push_str(&format!(
                        "\n{}: `{}` leaves {:#?}\n{text}",
                        rule.id,
                        fix.title,
                        said(&after)
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    // So that the loop above is about something.
    assert!(applied > 40, "{applied}");
}
