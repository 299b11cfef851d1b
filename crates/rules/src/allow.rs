//! Allowances: `# allow RULE{, RULE}: reason`.

use recipe::FileId;
use syntax::ast::{Block, Body, File};
use syntax::{Edit, Fix, Span};

use crate::check::{Config, sort};
use crate::finding::Finding;
use crate::level::{Level, nearest};
use crate::registry::{RULES, find};
use crate::rule::{Check, Rule};
use crate::rules::repository::{allowance_refused, allowance_without_reason, stale_allowance, unknown_rule};
use crate::rules::syntax::merge_conflict;

/// What an allowance covers.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Scope {
    /// These bytes of the file.
    Bytes(Span),
    /// All of it.
    File,
}

/// An allowance as written. Ranges are bytes of the file.
struct Allowance {
    /// The comment, from its `#`.
    comment: Span,
    /// What goes when the whole comment goes: its line, or the blanks before it too.
    removed: Span,
    scope: Scope,
    names: Vec<(Span, String, bool)>,
    reasoned: bool,
}

/// Leaves out the findings that the file allows, and reports allowances that are at fault themselves.
/// `findings` are those of this file, `whole` says that every rule has had a look: with lines that cannot
/// be read an allowance may be needed again once they can.
#[must_use]
pub fn allow(id: FileId, file: &File, findings: Vec<Finding>, config: &Config, whole: bool) -> Vec<Finding> {
    // Where two versions collide, everything else is noise.
    if findings.iter().any(|finding| finding.file == id && finding.rule == merge_conflict::RULE.id) {
        return findings.into_iter().filter(|finding| finding.rule == merge_conflict::RULE.id).collect();
    }
    let mut allowances = collect(file);
    if allowances.is_empty() {
        return findings;
    }
    let mut left: Vec<Finding> = findings
        .into_iter()
        .filter(|finding| {
            let mut silenced = false;
            for allowance in allowances.iter_mut().filter(|allowance| allowance.reasoned) {
                let inside = match allowance.scope {
                    Scope::Bytes(span) => {
                        span.start <= finding.span.start && finding.span.start < span.end.max(span.start + 1)
                    }
                    Scope::File => find(finding.rule).is_none_or(|rule| !rule.safety),
                };
                if finding.file != id || !inside {
                    continue;
                }
                for (_, name, used) in &mut allowance.names {
                    if name == finding.rule {
                        *used = true;
                        silenced = true;
                    }
                }
            }
            !silenced
        })
        .collect();
    for allowance in &allowances {
        report(id, allowance, config, whole, &mut left);
    }
    sort(&mut left);
    left
}

fn report(id: FileId, allowance: &Allowance, config: &Config, whole: bool, out: &mut Vec<Finding>) {
    let mut push = |rule: &'static Rule, span, message: String, help: String, fixes| {
        if let Some(severity) = config.levels.of(rule).severity() {
            out.push(Finding {
                rule: rule.id,
                group: rule.group,
                severity,
                message,
                help,
                file: id,
                span,
                related: Vec::new(),
                fixes,
                recipe: None,
            });
        }
    };
    if !allowance.reasoned {
        push(
            &allowance_without_reason::RULE,
            allowance.comment,
            "this allowance gives no reason; without one nobody can tell later whether it still holds, so it silences nothing".into(),
            "write why behind a colon: `# allow RULE: reason`".into(),
            Vec::new(),
        );
    }
    let stale = |(_, name, used): &&(Span, String, bool)| {
        // What shows across all files is not looked for in one.
        !used
            && find(name).is_some_and(|rule| {
                config.levels.of(rule) != Level::Off && !matches!(rule.check, Check::Repository(_))
            })
    };
    let all_stale = allowance.names.iter().all(|name| stale(&name));
    for name in &allowance.names {
        let (span, written, _) = name;
        let Some(rule) = find(written) else {
            let near = nearest(written, RULES.iter().map(|rule| rule.id));
            let fixes = near.map(|near| Fix {
                title: format!("write {near}"),
                safe: false,
                edits: vec![Edit { span: *span, text: near.into() }],
            });
            push(
                &unknown_rule::RULE,
                *span,
                format!("no check is called {written}; this allowance silences nothing"),
                near.map_or_else(
                    || "`gyle rules` lists their names".into(),
                    |near| format!("did you mean {near}? `gyle rules` lists them all"),
                ),
                fixes.into_iter().collect(),
            );
            continue;
        };
        if rule.safety && allowance.scope == Scope::File {
            push(
                &allowance_refused::RULE,
                *span,
                format!(
                    "{written} guards against what can hurt somebody; it is not silenced for a whole file"
                ),
                "allow it on the line it is about, with the reason why the hazard is dealt with there".into(),
                Vec::new(),
            );
        } else if whole && allowance.reasoned && stale(&name) {
            let removed = if all_stale { allowance.removed } else { listed_span(allowance, *span) };
            push(
                &stale_allowance::RULE,
                *span,
                format!("{written} finds nothing here; an allowance left behind hides the next real finding"),
                "remove it".into(),
                vec![Fix {
                    title: "remove the allowance".into(),
                    safe: true,
                    edits: vec![Edit { span: removed, text: String::new() }],
                }],
            );
        }
    }
}

/// A name of a list with the comma that goes with it.
fn listed_span(allowance: &Allowance, span: Span) -> Span {
    let at = allowance.names.iter().position(|(other, _, _)| *other == span).unwrap_or(0);
    match (at.checked_sub(1).and_then(|before| allowance.names.get(before)), allowance.names.get(at + 1)) {
        (_, Some((next, _, _))) => Span::new(span.start, next.start),
        (Some((before, _, _)), None) => Span::new(before.end, span.end),
        (None, None) => span,
    }
}

fn collect(file: &File) -> Vec<Allowance> {
    let mut all = Vec::new();
    for placed in &file.blocks {
        let block: &Block = &placed.block;
        for (at, line) in block.lines.iter().enumerate() {
            let Some(comment) = line.comment else { continue };
            let text = comment.of(&block.text);
            let Some(words) = read(text) else { continue };
            let alone = matches!(line.body, Body::Comment);
            let scope = if words.in_file {
                Scope::File
            } else if alone {
                Scope::Bytes(below(block, at).shift(placed.start))
            } else {
                Scope::Bytes(Span::new(line.span.start, line.end).shift(placed.start))
            };
            let blanks = block.text.get(line.span.start as usize..comment.start as usize).unwrap_or("");
            #[allow(clippy::cast_possible_truncation)]
            // the trimmed part of a line is no longer than the line
            let kept = blanks.trim_end().len() as u32;
            let removed = if alone {
                Span::new(line.span.start, line.end)
            } else {
                Span::new(line.span.start + kept, comment.end)
            };
            all.push(Allowance {
                comment: comment.shift(placed.start),
                removed: removed.shift(placed.start),
                scope,
                names: words
                    .names
                    .into_iter()
                    .map(|(span, name)| (span.shift(comment.start + placed.start), name.to_owned(), false))
                    .collect(),
                reasoned: words.reasoned,
            });
        }
    }
    all
}

/// What a comment alone on its line covers: the entry below it, or the block when its header is below.
fn below(block: &Block, at: usize) -> Span {
    for line in block.lines.iter().skip(at + 1) {
        match line.body {
            Body::Comment => {}
            #[allow(clippy::cast_possible_truncation)]
            // a block is shorter than its file, which is measured in u32
            Body::Header(_) => return Span::new(line.span.start, block.text.len() as u32),
            Body::Blank => break,
            _ => return Span::new(line.span.start, line.end),
        }
    }
    Span::at(block.lines.get(at).map_or(0, |line| line.span.start))
}

/// The names of rules that a comment allows, at their places in it; none where it is no allowance.
#[must_use]
pub fn allowed_names(comment: &str) -> Vec<(Span, &str)> {
    read(comment).map(|words| words.names).unwrap_or_default()
}

struct Words<'a> {
    in_file: bool,
    names: Vec<(Span, &'a str)>,
    reasoned: bool,
}

/// Reads a comment as an allowance. Ids have a hyphen, so that an ordinary comment never becomes one.
fn read(comment: &str) -> Option<Words<'_>> {
    let start = |part: &str| -> u32 {
        // The part is a slice of the comment.
        u32::try_from(part.as_ptr() as usize - comment.as_ptr() as usize).unwrap_or(0)
    };
    let rest = comment.strip_prefix('#')?.trim_start();
    let rest = rest.strip_prefix("allow")?;
    if !rest.starts_with([' ', '\t']) {
        return None;
    }
    let rest = rest.trim_start();
    let (in_file, rest) = match rest.strip_prefix("in file").filter(|rest| rest.starts_with([' ', '\t'])) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, rest),
    };
    let (list, reason) = match rest.split_once(':') {
        Some((list, reason)) => (list, reason.trim()),
        None => (rest, ""),
    };
    let mut names = Vec::new();
    for part in list.split(',') {
        let name = part.trim();
        let kebab = name.contains('-')
            && name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        if !kebab {
            return None;
        }
        let from = start(name);
        #[allow(clippy::cast_possible_truncation)] // a name is shorter than its comment
        names.push((Span::new(from, from + name.len() as u32), name));
    }
    Some(Words { in_file, names, reasoned: !reason.is_empty() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_rule_names_make_an_allowance() {
        for (comment, names, in_file, reasoned) in [
            ("# allow mash-ph-off: dark beer, soft water", Some(vec!["mash-ph-off"]), false, true),
            (
                "# allow mash-ph-off, style-og: both wanted",
                Some(vec!["mash-ph-off", "style-og"]),
                false,
                true,
            ),
            ("#allow in file style-og: house style", Some(vec!["style-og"]), true, true),
            ("# allow mash-ph-off", Some(vec!["mash-ph-off"]), false, false),
            ("# allow 20 minutes to settle", None, false, false),
            ("# allow to cool: 20 C", None, false, false),
            ("# allowed by-the-way: no", None, false, false),
            ("# allow hop-back to drain: slow", None, false, false),
            ("# allow", None, false, false),
        ] {
            let read = read(comment);
            assert_eq!(
                read.as_ref().map(|words| words.names.iter().map(|(_, name)| *name).collect::<Vec<_>>()),
                names,
                "{comment}"
            );
            if let Some(words) = read {
                assert_eq!((words.in_file, words.reasoned), (in_file, reasoned), "{comment}");
                for (span, name) in words.names {
                    assert_eq!(span.of(comment), name);
                }
            }
        }
    }
}
