//! Changes to one line of a recipe: the smallest edits, at the stops the formatter keeps.

use std::sync::Arc;

use quantity::UnitId;
use recipe::{Place, Recipe};
use syntax::ast::{Block, Body, Clause, Entry, Form, Line, Part, Value, ValueKind};
use syntax::vocabulary::ClauseWord;
use syntax::{Edit, Span};

use crate::format::{field, push_change};

/// A recipe at its place in a file.
#[derive(Clone, Copy)]
pub struct Placed<'r> {
    /// The recipe.
    pub recipe: &'r Recipe,
    /// Start of each of its blocks in the file, bytes.
    pub starts: &'r [u32],
}

impl<'r> Placed<'r> {
    /// Every entry that was read, headers included.
    pub(crate) fn entries(self) -> impl Iterator<Item = Written<'r>> {
        let blocks = self.recipe.blocks.iter().zip(self.starts).enumerate();
        blocks.flat_map(|(index, (block, start))| {
            block.lines.iter().filter_map(move |line| Written::of(block, *start, index, line))
        })
    }

    /// The entry, header included, on the line of a byte of the file.
    #[must_use]
    pub fn place_at(self, offset: u32) -> Option<Place> {
        self.entries()
            .find(|line| {
                line.start + line.line.span.start <= offset && offset <= line.start + line.line.span.end
            })
            .map(|line| line.place)
    }

    /// The entry at a place.
    pub(crate) fn entry(self, place: Place) -> Option<Written<'r>> {
        let index = usize::from(place.block);
        let block = self.recipe.blocks.get(index)?;
        let at = block.lines.partition_point(|line| line.end <= place.span.start);
        Written::of(block, *self.starts.get(index)?, index, block.lines.get(at)?)
    }
}

/// An entry at its place in a file.
#[derive(Clone, Copy)]
pub(crate) struct Written<'r> {
    pub(crate) block: &'r Arc<Block>,
    pub(crate) start: u32,
    pub(crate) place: Place,
    pub(crate) line: &'r Line,
    pub(crate) entry: &'r Entry,
}

impl<'r> Written<'r> {
    pub(crate) fn of(block: &'r Arc<Block>, start: u32, index: usize, line: &'r Line) -> Option<Self> {
        let (Body::Header(entry) | Body::Entry(entry)) = &line.body else { return None };
        let place = Place { block: u16::try_from(index).ok()?, span: entry.span };
        Some(Self { block, start, place, line, entry })
    }

    /// The amount: the first value, where it stands before the name.
    pub(crate) fn amount(self) -> Option<&'r Value> {
        self.entry.parts.iter().find_map(|part| match part {
            Part::Value(value) => Some(Some(value)),
            Part::Name(_) => Some(None),
            _ => None,
        })?
    }

    fn text(self, span: Span) -> &'r str {
        span.of(&self.block.text)
    }

    /// Writes something else in a range of the line.
    pub(crate) fn replace(self, span: Span, text: &str, edits: &mut Vec<Edit>) {
        push_change(edits, self.start + span.start, self.text(span), text);
    }

    /// Whether the first field is padded to a stop: an item that begins with an amount in process blocks.
    fn amount_leads(self) -> bool {
        self.amount().is_some_and(|value| value.span.start == self.entry.span.start)
    }

    /// Writes the amount, or puts it before the name where there is none.
    pub(crate) fn set_amount(self, text: &str, edits: &mut Vec<Edit>) {
        let stop = crate::format::stop(self.block);
        if let Some(value) = self.amount() {
            if self.amount_leads() {
                // The field behind it keeps its stop.
                let after = &self.block.text[value.span.end as usize..self.entry.span.end as usize];
                let blanks = after.len() - after.trim_start().len();
                let whole = Span::new(value.span.start, value.span.end + u32::try_from(blanks).unwrap_or(0));
                self.replace(whole, &field(text, stop), edits);
            } else {
                self.replace(value.span, text, edits);
            }
        } else if let Some(name) = self.entry.name() {
            let quote = u32::from(name.quoted);
            let at = Span::at(name.span.start - quote);
            let new = if self.entry.form == Form::Item { field(text, stop) } else { format!("{text} ") };
            self.replace(at, &new, edits);
        }
    }

    /// Takes a clause away, with the blanks before it.
    pub(crate) fn remove_clause(self, word: ClauseWord, edits: &mut Vec<Edit>) {
        if let Some(clause) = self.entry.clause(word) {
            self.replace(self.with_blanks_before(clause.span), "", edits);
        }
    }

    fn with_blanks_before(self, span: Span) -> Span {
        let before = &self.block.text[..span.start as usize];
        Span::new(
            u32::try_from(before.trim_end_matches([' ', '\t', '\u{a0}']).len()).unwrap_or(span.start),
            span.end,
        )
    }

    /// Writes what a clause governs anew.
    pub(crate) fn set_clause(self, clause: &Clause, text: &str, edits: &mut Vec<Edit>) {
        self.replace(clause.span, text, edits);
    }

    /// Puts something behind the last part of the entry.
    pub(crate) fn append(self, text: &str, edits: &mut Vec<Edit>) {
        self.replace(Span::at(self.entry.span.end), text, edits);
    }

    /// Takes the line away, its line end included.
    pub(crate) fn remove(self, edits: &mut Vec<Edit>) {
        self.replace(Span::new(self.line.span.start, self.line.end), "", edits);
    }

    /// Puts a line below this one, with the indent of entries and the line end of the file.
    pub(crate) fn below(self, text: &str, edits: &mut Vec<Edit>) {
        let end = line_end(&self.block.text);
        let last = self.line.end == self.line.span.end;
        let new = if last { format!("{end}  {text}") } else { format!("  {text}{end}") };
        edits.push(Edit { span: Span::at(self.start + self.line.end), text: new });
    }

    /// Writes each number of a value anew, as `change` makes it.
    pub(crate) fn change_value(
        self,
        value: &Value,
        change: &dyn Fn(Number<'_>) -> Option<String>,
        edits: &mut Vec<Edit>,
    ) {
        let Some(text) = changed(&self.block.text, value, change) else { return };
        let is_amount = self.amount().is_some_and(|amount| amount.span == value.span);
        if is_amount && self.amount_leads() {
            self.set_amount(&text, edits);
        } else {
            self.replace(value.span, &text, edits);
        }
    }
}

/// A number of a value, with the unit that counts for it.
#[derive(Clone, Copy)]
pub(crate) struct Number<'t> {
    pub(crate) number: f64,
    pub(crate) unit: Option<UnitId>,
    /// The unit as it stands behind this number; empty where another number of the value carries it.
    pub(crate) written: &'t str,
    /// The width of a tolerance.
    pub(crate) is_width: bool,
    /// Number and unit, in the block.
    pub(crate) span: Span,
}

/// A value with each of its numbers written anew; `None` where one cannot be.
fn changed(text: &str, value: &Value, change: &dyn Fn(Number<'_>) -> Option<String>) -> Option<String> {
    let (first, second) = match &value.kind {
        ValueKind::Plain(one) => (one, None),
        ValueKind::Range(first, second) | ValueKind::Tolerance(first, second) => (first, Some(second)),
        _ => return None,
    };
    let mut out = String::new();
    let mut done = value.span.start;
    for measure in core::iter::once(first).chain(second) {
        out.push_str(Span::new(done, measure.span.start).of(text));
        let unit = measure.unit.or(first.unit).or(second.and_then(|second| second.unit));
        let is_width = matches!(value.kind, ValueKind::Tolerance(..)) && measure.span != first.span;
        let written = measure.unit_span.of(text);
        out.push_str(&change(Number {
            number: measure.number,
            unit,
            written,
            is_width,
            span: measure.span,
        })?);
        done = measure.span.end;
    }
    out.push_str(Span::new(done, value.span.end).of(text));
    Some(out)
}

/// How lines end in a text.
pub(crate) fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}
