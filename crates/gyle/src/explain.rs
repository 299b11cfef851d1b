//! `gyle explain` and `gyle rules`.

use figures::FigureId;
use serde_json::json;

use crate::args::{ExplainArgs, ListFormat, RulesArgs};
use crate::output::{Output, complain};

pub(crate) fn run(args: &ExplainArgs, output: &mut Output) -> u8 {
    if let Some(rule) = rules::find(&args.id) {
        output.text(&rule.markdown(1));
        return 0;
    }
    if let Some(id) = FigureId::from_words(&args.id) {
        output.text(&figures::explain(id));
        return 0;
    }
    let figure_ids = FigureId::ALL.iter().map(|id| id.id());
    let known = rules::RULES.iter().map(|rule| rule.id).chain(figure_ids);
    let near = rules::nearest(&args.id, known);
    complain(&match near {
        Some(near) => format!("there is no rule and no figure `{}`; did you mean `{near}`?", args.id),
        None => format!(
            "there is no rule and no figure `{}`; `gyle rules` lists the rules, `gyle figures FILE` the figures",
            args.id
        ),
    });
    2
}

pub(crate) fn list(args: &RulesArgs, output: &mut Output) -> u8 {
    match args.format {
        ListFormat::Human => {
            for rule in rules::RULES {
                output.line(&format!(
                    "{:<10} {:<36} {:<8} {}",
                    rule.group.word(),
                    rule.id,
                    rule.level.word(),
                    summary(rule)
                ));
            }
        }
        ListFormat::Json => {
            let list: Vec<_> = rules::RULES
                .iter()
                .map(|rule| {
                    json!({
                        "id": rule.id,
                        "group": rule.group.word(),
                        "level": rule.level.word(),
                        "since": rule.since.word(),
                        "later": rule
                            .later
                            .iter()
                            .map(|(edition, level)| json!({"edition": edition.word(), "level": level.word()}))
                            .collect::<Vec<_>>(),
                        "safety": rule.safety,
                        "summary": summary(rule),
                    })
                })
                .collect();
            output.line(&json!({"version": 1, "rules": list}).to_string());
        }
        ListFormat::Markdown => {
            output.text("# The rules\n");
            for group in rules::Group::ALL {
                for rule in rules::RULES.iter().filter(|rule| rule.group == *group) {
                    output.text("\n");
                    output.text(&rule.markdown(2));
                }
            }
        }
    }
    0
}

/// The first sentence of what a rule catches.
pub(crate) fn summary(rule: &rules::Rule) -> &'static str {
    let text = rule.doc.catches.trim();
    text.split_once(". ").map_or(text, |(first, _)| first).trim_end_matches('.')
}
