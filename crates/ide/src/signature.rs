//! What belongs on a line and which of it is being written.

use recipe::FileId;
use syntax::vocabulary::{BlockKind, BlockSpec, ClauseSpec, EntrySpec, Slot, item_amounts};
use syntax::{Gaps, clause_form, kinds_form, slot_forms};
use workspace::Workspace;

use crate::completion::Line;

/// The form of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// All of it.
    pub label: String,
    /// Its parts in order, each in bytes of the label.
    pub parts: Vec<core::ops::Range<usize>>,
    /// The part at the place.
    pub active: Option<usize>,
    /// What the line says, from the reference.
    pub documentation: &'static str,
}

/// The form of the line at a byte; nothing where it is not known yet what the line is.
#[must_use]
pub fn signature(workspace: &Workspace, file: FileId, offset: u32) -> Option<Signature> {
    let state = workspace.file(file)?;
    let line = Line::at(state, offset)?;
    let gaps = syntax::gaps(line.block, line.text, line.header);
    if line.header {
        let word = line.text.split_whitespace().next()?;
        let spec = BlockKind::ALL.iter().find(|kind| kind.word() == word)?.spec()?;
        let behind = line.text.get(word.len()..)?;
        // The word itself is still being written.
        if behind.is_empty() {
            return None;
        }
        return Some(made(word, spec.takes, spec.optional, false, spec.clauses, spec.doc, behind, &gaps));
    }
    let spec = line.block.spec()?;
    if let Some(keyword) = gaps.keyword {
        let entry = spec.entries.iter().find(|entry| entry.keyword == keyword)?;
        let behind = behind_keyword(line.text, entry)?;
        let (word, properties) = (keyword.word(), has_properties(entry));
        return Some(made(
            word,
            entry.takes,
            entry.optional,
            properties,
            entry.clauses,
            entry.doc,
            behind,
            &gaps,
        ));
    }
    item(spec, line.text, &gaps)
}

/// A line that is no list of anything known yet, or a thing with its amount.
fn item(spec: &BlockSpec, text: &str, gaps: &Gaps) -> Option<Signature> {
    let clauses = spec.items?;
    let begun = text.starts_with(|c: char| c.is_ascii_digit() || c == '(');
    if !begun {
        return None;
    }
    let mut builder = Builder::default();
    builder.part(&format!("<{}>", kinds_form(item_amounts(spec.kind))));
    builder.part("<name>");
    builder.rest(true, clauses);
    let active = builder.in_hand(gaps, text).unwrap_or_else(|| usize::from(amount_is_whole(text)));
    Some(builder.done(active, spec.doc))
}

#[allow(clippy::too_many_arguments, reason = "one for each part of a line")]
fn made(
    word: &str,
    takes: &[Slot],
    optional: u8,
    properties: bool,
    clauses: &'static [ClauseSpec],
    doc: &'static str,
    behind: &str,
    gaps: &Gaps,
) -> Signature {
    let mut builder = Builder::default();
    builder.label.push_str(word);
    let forms = slot_forms(takes, optional);
    for form in &forms {
        builder.part(form);
    }
    builder.rest(properties, clauses);
    // Behind an amount stands what it is of; all else has one part before the clauses.
    let second = forms.len() > 1
        && match takes {
            [Slot::Of(_), ..] => amount_is_whole(behind.trim_start()),
            _ => behind.trim_start().contains(char::is_whitespace),
        };
    let active = builder.in_hand(gaps, behind).unwrap_or_else(|| usize::from(second));
    builder.done(active, doc)
}

/// Whether things named on this line may have properties.
fn has_properties(entry: &EntrySpec) -> bool {
    entry.takes.iter().any(|slot| matches!(slot, Slot::Ref(_)))
}

/// What stands behind the keyword of a line.
fn behind_keyword<'t>(text: &'t str, entry: &EntrySpec) -> Option<&'t str> {
    let word = entry.keyword.word();
    let first = word.split([' ', '-']).next_back()?;
    let lower = text.to_ascii_lowercase();
    let at = lower.find(first)?;
    text.get(at + first.len()..)
}

/// Whether the amount at the start of a text is written out, a blank behind it.
fn amount_is_whole(text: &str) -> bool {
    if text.starts_with('(') {
        return text.contains(')');
    }
    let Some((_, length)) = quantity::scan_number(text) else { return false };
    let rest = text.get(length..).unwrap_or("").trim_start();
    match quantity::scan_unit(rest) {
        Some(unit) => rest.len() > unit.len,
        None => rest.contains(char::is_whitespace),
    }
}

#[derive(Default)]
struct Builder {
    label: String,
    parts: Vec<core::ops::Range<usize>>,
    properties: Option<usize>,
    clauses: Vec<(&'static ClauseSpec, usize)>,
}

impl Builder {
    fn part(&mut self, text: &str) {
        if !self.label.is_empty() {
            self.label.push(' ');
        }
        let start = self.label.len();
        self.label.push_str(text);
        self.parts.push(start..self.label.len());
    }

    fn rest(&mut self, properties: bool, clauses: &'static [ClauseSpec]) {
        if properties {
            self.properties = Some(self.parts.len());
            self.part("[properties]");
        }
        for clause in clauses {
            self.clauses.push((clause, self.parts.len()));
            self.part(&clause_form(clause));
        }
    }

    /// The clause or the properties that are being written.
    fn in_hand(&self, gaps: &Gaps, text: &str) -> Option<usize> {
        if text.rfind('[') > text.rfind(']') {
            return self.properties;
        }
        if let Some(word) = gaps.clause {
            return self.clauses.iter().find(|(clause, _)| clause.word == word).map(|(_, at)| *at);
        }
        // A value behind the word of a clause fills it: the last word is the one in hand all the same.
        let bare = text.rsplit(['"', ']']).next().unwrap_or("");
        let words: Vec<&str> = bare.split_whitespace().collect();
        let begins = |clause: &ClauseSpec, at: usize| {
            clause.word.word().split(' ').enumerate().all(|(next, word)| {
                words.get(at + next).is_some_and(|written| written.eq_ignore_ascii_case(word))
            })
        };
        let last = |clause: &ClauseSpec| (0..words.len()).rev().find(|at| begins(clause, *at));
        let found = self.clauses.iter().filter_map(|(clause, part)| Some((last(clause)?, clause, *part)));
        // `to reach` begins where `to` does.
        found.max_by_key(|(at, clause, _)| (*at, clause.word.word().len())).map(|(_, _, part)| part)
    }

    fn done(self, active: usize, documentation: &'static str) -> Signature {
        let active = Some(active).filter(|at| *at < self.parts.len());
        Signature { label: self.label, parts: self.parts, active, documentation }
    }
}

#[cfg(test)]
mod tests {
    use crate::fixture::Fixture;

    use super::*;

    /// The part in hand and the whole form.
    fn seen(text: &str) -> Option<(String, String)> {
        let fixture = Fixture::new(text);
        let found = signature(&fixture.workspace, fixture.file, fixture.offset)?;
        let part =
            found.active.and_then(|at| found.label.get(found.parts[at].clone())).unwrap_or("").to_owned();
        assert!(!found.documentation.is_empty());
        Some((part, found.label))
    }

    #[test]
    fn the_part_that_is_written_is_the_active_one() {
        let recipe = "# é\nrecipe \"Größe\"\n";
        for (line, part) in [
            ("boil 60 min\n  4$0", "<a mass, a volume, a number of pieces or a number of cells>"),
            ("boil 60 min\n  40 g $0", "<name>"),
            ("boil 60 min\n  40 g Größe 🌾$0", "<name>"),
            ("boil 60 min\n  40 g Größe [al$0", "[properties]"),
            ("boil 60 min\n  40 g Größe [leaf] at $0", "at <"),
            ("boil 60 min\n  40 g Größe at 60$0", "at <"),
            ("boil 60 min\n  40 g Größe [note 🌾, alpha 4.6 %] at 60$0 min", "at <"),
            ("liquor\n  sparge 12 L at$0 ", ""),
            ("liquor\n  sparge 12 L at $0", "at <a temperature>"),
            ("liquor\n  blend $0", "<a percentage>"),
            ("liquor\n  blend 30 % $0", "<name of a water>"),
            ("boil $0", "<"),
        ] {
            let found = seen(&format!("{recipe}{line}"));
            let Some((active, label)) = found else { panic!("nothing for {line}") };
            assert!(active.starts_with(part), "{line}: {active} of {label}");
        }
        for nothing in ["bo$0", "boil 60 min\n  $0", "boil 60 min\n  zz $0", "boil 60 min\n\n$0"] {
            assert_eq!(seen(&format!("{recipe}{nothing}")), None, "{nothing}");
        }
    }
}
