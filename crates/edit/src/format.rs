//! The formatter: indent, fixed stops, single blanks, clause order.
//!
//! Each line is written anew from its parts and compared with what stands there; the edit is the smallest
//! range that differs. Stops are fixed columns, so a line's layout depends on that line alone.

use quantity::{scan_number, scan_unit};
use syntax::ast::{
    Block, Body, Clause, ClausePart, Entry, File, Form, Line, Name, Part, PropKind, Props, Relation, Value,
    ValueKind, When,
};
use syntax::vocabulary::{BlockKind, ClauseWord};
use syntax::{Edit, Span};

/// Column the first field is padded to in process blocks and the header of a recipe.
const PROCESS_STOP: usize = 10;
/// Column the first field is padded to in definitions.
const DEFINITION_STOP: usize = 20;
/// Column the time of a log entry is padded to.
const WHEN_STOP: usize = 8;
/// Blanks at the start of an entry.
const INDENT: &str = "  ";

/// The edits that format a file; none when it is formatted. Ranges are bytes of the file.
#[must_use]
pub fn format(file: &File) -> Vec<Edit> {
    let mut edits = Vec::new();
    let mut blank_before = false;
    for placed in &file.blocks {
        let block = &*placed.block;
        for (at, line) in block.lines.iter().enumerate() {
            let whole = block.slice(line.span);
            if matches!(line.body, Body::Blank) {
                if blank_before && line.end > line.span.end {
                    edits.push(Edit {
                        span: Span::new(line.span.start, line.end).shift(placed.start),
                        text: String::new(),
                    });
                    continue;
                }
                blank_before = true;
            } else {
                blank_before = false;
            }
            if let Some(new) = formatted(block, at, line) {
                push_change(&mut edits, placed.start + line.span.start, whole, &new);
            }
        }
    }
    edits
}

/// Adds the smallest edit that turns one text into the other.
pub(crate) fn push_change(edits: &mut Vec<Edit>, start: u32, old: &str, new: &str) {
    if old == new {
        return;
    }
    let prefix = old
        .char_indices()
        .zip(new.chars())
        .find(|((_, a), b)| a != b)
        .map_or(old.len().min(new.len()), |((at, _), _)| at);
    let (old_rest, new_rest) = (&old[prefix..], &new[prefix..]);
    let suffix: usize = old_rest
        .chars()
        .rev()
        .zip(new_rest.chars().rev())
        .take_while(|(a, b)| a == b)
        .map(|(a, _)| a.len_utf8())
        .sum();
    #[allow(clippy::cast_possible_truncation)] // files are bounded far below 4 GiB
    let offset = |at: usize| start + at as u32;
    edits.push(Edit {
        span: Span::new(offset(prefix), offset(old.len() - suffix)),
        text: new_rest[..new_rest.len() - suffix].to_owned(),
    });
}

/// The line as it should stand, without its end; `None` to leave it as it is.
fn formatted(block: &Block, at: usize, line: &Line) -> Option<String> {
    let entry = match &line.body {
        Body::Blank => return Some(String::new()),
        Body::Comment => {
            let text = block.slice(line.comment.or(line.stamp)?).trim_end();
            let at_margin = line.comment.or(line.stamp).is_some_and(|span| span.start == line.span.start);
            return Some(if at_margin { text.to_owned() } else { format!("{INDENT}{text}") });
        }
        Body::Prose(span) => {
            return Some(format!("{INDENT}{}", block.slice(*span).trim_end()));
        }
        Body::Broken(_) => return None,
        Body::Header(entry) | Body::Entry(entry) => entry,
    };
    // A line with a fault stays as it is, but for the indent it has lost.
    let faulty = block.faults.iter().any(|fault| {
        fault.rule != "missing-indent"
            && line.span.touches(fault.span.start)
            && fault.span.start >= line.span.start
    });
    if faulty {
        return None;
    }
    let mut out = Writer { block, text: String::with_capacity(line.span.len() as usize + 16) };
    if entry.form != Form::Header {
        out.text.push_str(INDENT);
    }
    out.entry(entry);
    for trailing in [line.comment, line.stamp].into_iter().flatten() {
        out.text.truncate(out.text.trim_end().len());
        out.text.push_str(INDENT);
        out.text.push_str(block.slice(trailing).trim_end());
    }
    let _ = at;
    Some(out.text)
}

/// Column the first field of a block's entries is padded to.
pub(crate) fn stop(block: &Block) -> usize {
    if block.entries_as.is_definition() { DEFINITION_STOP } else { PROCESS_STOP }
}

/// A field padded to its stop; one as long as the stop is followed by two blanks.
pub(crate) fn field(text: &str, stop: usize) -> String {
    let width = text.chars().count();
    let blanks = if width < stop { stop - width } else { 2 };
    let mut field = String::from(text);
    field.extend(core::iter::repeat_n(' ', blanks));
    field
}

struct Writer<'b> {
    block: &'b Block,
    text: String,
}

impl Writer<'_> {
    fn stop(&self) -> usize {
        stop(self.block)
    }

    fn field(&mut self, text: &str, stop: usize) {
        self.text.push_str(&field(text, stop));
    }

    fn word(&mut self, text: &str) {
        if !self.text.is_empty() && !self.text.ends_with(' ') {
            self.text.push(' ');
        }
        self.text.push_str(text);
    }

    fn entry(&mut self, entry: &Entry) {
        if let Some(when) = &entry.when {
            let text = when_text(&when.node);
            self.field(&text, WHEN_STOP);
        }
        let header = entry.form == Form::Header;
        let ordered = ordered(&entry.parts);
        let mut parts = ordered.into_iter().peekable();
        match (entry.form, entry.keyword) {
            (Form::Let | Form::Query, _) => {
                let text = collapse(self.block.slice(entry.span));
                self.word(&text);
                return;
            }
            (Form::Header, Some(_)) if self.block.kind == BlockKind::Let => {
                let text = collapse(self.block.slice(entry.span));
                self.word(&text);
                return;
            }
            (Form::Condition, _) => {
                let text = collapse(self.block.slice(entry.span));
                self.word(&text);
                return;
            }
            (Form::Expectation, _) => {
                if let Some(Part::Name(name)) = parts.next() {
                    let text = self.name_text(*name);
                    self.field(&text, self.stop());
                }
            }
            (_, Some(keyword)) => {
                // In a package an amount may lead: it is the first field then.
                let leads = parts.peek().is_some_and(
                    |part| matches!(part, Part::Value(value) if value.span.start < keyword.span.start),
                );
                if leads && let Some(Part::Value(value)) = parts.next() {
                    let text = self.value_text(value);
                    self.field(&text, self.stop());
                    self.word(keyword.node.word());
                } else if header {
                    let text = self.block.slice(keyword.span);
                    self.word(text);
                } else if parts.peek().is_none() {
                    self.word(keyword.node.word());
                } else {
                    self.field(keyword.node.word(), self.stop());
                }
            }
            (Form::Header, None) => {
                self.word(self.block.kind.word());
            }
            (_, None) => {
                let has_stop = parts.peek().is_some_and(
                    |part| matches!(part, Part::Value(value) if !matches!(value.kind, ValueKind::Expr(_))),
                );
                if has_stop && let Some(Part::Value(value)) = parts.next() {
                    let text = self.value_text(value);
                    self.field(&text, self.stop());
                }
            }
        }
        for part in parts {
            self.part(part);
        }
        self.text.truncate(self.text.trim_end().len());
    }

    fn part(&mut self, part: &Part) {
        let text = match part {
            Part::Value(value) => self.value_text(value),
            Part::Name(name) => self.name_text(*name),
            Part::Props(props) => self.props_text(props),
            Part::Clause(clause) => self.clause_text(clause),
            Part::Label(span) => format!("\"{}\"", self.block.slice(*span)),
            Part::Text(span) => self.block.slice(*span).trim_end().to_owned(),
            Part::Relation(relation) => relation_text(relation.node).to_owned(),
        };
        self.word(&text);
    }

    fn name_text(&self, name: Name) -> String {
        let text = self.block.slice(name.span);
        if name.quoted { format!("\"{text}\"") } else { collapse(text) }
    }

    fn value_text(&self, value: &Value) -> String {
        let text = self.block.slice(value.span);
        match &value.kind {
            ValueKind::Plain(_) | ValueKind::Range(..) | ValueKind::Tolerance(..) => measures(text),
            ValueKind::Str(span) => format!("\"{}\"", self.block.slice(*span)),
            ValueKind::Expr(_)
            | ValueKind::Date(_)
            | ValueKind::Clock(_)
            | ValueKind::Day(..)
            | ValueKind::Score(..) => collapse(text),
        }
    }

    fn props_text(&self, props: &Props) -> String {
        let mut out = String::from("[");
        for (at, prop) in props.list.iter().enumerate() {
            if at > 0 {
                out.push_str(", ");
            }
            match &prop.kind {
                PropKind::Keyed { key, value, words, .. } => {
                    out.push_str(key.word());
                    if let Some(value) = value {
                        // `[residual at 12 C]` keeps its `at`.
                        out.push_str(if prop_has_at(self.block.slice(prop.span), key.word()) {
                            " at "
                        } else {
                            " "
                        });
                        out.push_str(&self.value_text(value));
                    }
                    if let Some(words) = words {
                        out.push(' ');
                        out.push_str(&self.name_text(*words));
                    }
                }
                PropKind::Value(value) => out.push_str(&self.value_text(value)),
                PropKind::Flag(flag) => out.push_str(flag.word()),
                PropKind::Or(name) => {
                    out.push_str("or ");
                    out.push_str(&self.name_text(*name));
                }
                PropKind::Words(name) => out.push_str(&self.name_text(*name)),
            }
        }
        out.push(']');
        out
    }

    fn clause_text(&self, clause: &Clause) -> String {
        let mut out = clause.word.word().to_owned();
        for part in &clause.parts {
            out.push(' ');
            out.push_str(&match part {
                ClausePart::Value(value) => self.value_text(value),
                ClausePart::Name(name) => self.name_text(*name),
                ClausePart::Props(props) => self.props_text(props),
            });
        }
        out
    }
}

/// Whether `at` stands between the field and its value.
fn prop_has_at(text: &str, key: &str) -> bool {
    let rest = text.get(key.len()..).unwrap_or("").trim_start();
    rest.get(..2).is_some_and(|word| word.eq_ignore_ascii_case("at"))
        && rest[2..].starts_with(|c: char| c.is_whitespace())
}

/// Parts in the order the formatter keeps: what names the thing, clauses by their word, label last.
fn ordered(parts: &[Part]) -> Vec<&Part> {
    let mut all: Vec<&Part> = parts.iter().collect();
    all.sort_by_key(|part| match part {
        Part::Clause(clause) => 1 + clause_rank(clause.word),
        Part::Label(_) => 100,
        _ => 0,
    });
    all
}

const fn clause_rank(word: ClauseWord) -> usize {
    match word {
        ClauseWord::Of => 0,
        ClauseWord::At => 1,
        ClauseWord::To => 2,
        ClauseWord::On => 3,
        ClauseWord::Planned => 4,
        ClauseWord::From => 5,
        ClauseWord::In => 6,
        ClauseWord::Over => 7,
        ClauseWord::For => 8,
        ClauseWord::By => 9,
        ClauseWord::Until => 10,
        ClauseWord::Cap => 11,
        ClauseWord::With => 12,
        ClauseWord::Boil => 13,
        ClauseWord::ToReach => 14,
    }
}

fn when_text(when: &When) -> String {
    let date = |date: &syntax::ast::Date| date.to_string();
    let clock = |clock: &syntax::ast::Clock| format!("{:02}:{:02}", clock.hour, clock.minute);
    match when {
        When::Clock(time) => clock(time),
        When::Date(day, None) => date(day),
        When::Date(day, Some(time)) => format!("{} {}", date(day), clock(time)),
        When::Day(day, None) => format!("day {day}"),
        When::Day(day, Some(time)) => format!("day {day} {}", clock(time)),
    }
}

const fn relation_text(relation: Relation) -> &'static str {
    match relation {
        Relation::Less => "<",
        Relation::LessOrEqual => "<=",
        Relation::Greater => ">",
        Relation::GreaterOrEqual => ">=",
        Relation::Equal => "=",
        Relation::Within => "in",
        Relation::And => "and",
    }
}

/// Runs of blanks become one blank; text in quotes stays.
fn collapse(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut quoted = false;
    for c in text.trim().chars() {
        if c == '"' {
            quoted = !quoted;
        }
        if c.is_whitespace() && !quoted {
            if !out.ends_with(' ') {
                out.push(' ');
            }
        } else {
            out.push(c);
        }
    }
    out
}

/// Numbers as spelled with units as the table spells them: `2lb 4 ounces` becomes `2 lb 4 oz`.
fn measures(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    let mut rest = text.trim();
    while !rest.is_empty() {
        if let Some(after) = rest.strip_prefix("..") {
            out.truncate(out.trim_end().len());
            out.push_str("..");
            rest = after.trim_start();
        } else if let Some(after) = rest.strip_prefix('±').or_else(|| rest.strip_prefix("+/-")) {
            out.truncate(out.trim_end().len());
            out.push_str(" ± ");
            rest = after.trim_start();
        } else if let Some((_, len)) = scan_number(rest) {
            if !(out.is_empty() || out.ends_with([' ', '.'])) {
                out.push(' ');
            }
            out.push_str(&collapse(&rest[..len]));
            rest = rest[len..].trim_start();
        } else if let Some((unit, len)) =
            scan_unit(rest).and_then(|found| Some((found.unit.ok()?, found.len)))
        {
            out.push(' ');
            out.push_str(&unit.to_string());
            rest = rest[len..].trim_start();
        } else {
            // Something no table knows: as it stands.
            return collapse(text);
        }
    }
    out
}
