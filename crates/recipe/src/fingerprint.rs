//! The fingerprint of a recipe: what a log pins, to see later whether the recipe has changed.
//!
//! It covers what makes the beer: amounts, names, temperatures, times and what is expected. Layout, comments,
//! notes, the spelling of numbers and units, the order of clauses and of blocks, who wrote it and what it
//! costs leave it the same. It is part of files, so it may never change: FNV-1a of 64 bits (Fowler, Noll and
//! Vo) over a canonical form of the tree, folded to 32 bits.

use std::fmt::Write as _;

use syntax::Span;
use syntax::ast::{
    Block, Clause, ClausePart, Entry, Expr, ExprKind, Form, Measure, Name, Part, Prop, PropKind, Value,
    ValueKind,
};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::library::field;
use crate::model::{LetValue, Recipe};

const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;
/// Values that stand for others that stand for others: deeper than this is a circle.
const LET_DEPTH: usize = 16;

/// Entries and properties that say nothing about the beer.
const BESIDE_THE_BEER: &[Keyword] = &[
    Keyword::Version,
    Keyword::Date,
    Keyword::Link,
    Keyword::Licence,
    Keyword::Brewer,
    Keyword::BasedOn,
    Keyword::Currency,
    Keyword::Price,
    Keyword::Stock,
    Keyword::Source,
    Keyword::Note,
    Keyword::Confidence,
];

/// The fingerprint of a recipe as eight hexadecimal digits.
#[must_use]
pub fn fingerprint(recipe: &Recipe) -> String {
    let mut hash = Hash { state: OFFSET, lets: &recipe.lets, depth: LET_DEPTH };
    let mut blocks: Vec<(usize, &Block)> = Vec::new();
    // Pitch, ferment and package belong to the split above them, so their order counts among parts.
    let mut part = 0;
    for block in &recipe.blocks {
        if block.entries_as == BlockKind::Split {
            part += 1;
        }
        if block.entries_as != BlockKind::Notes {
            blocks.push((part, block));
        }
    }
    let part_of = |(part, block): &(usize, &Block)| match block.entries_as {
        BlockKind::Split | BlockKind::Pitch | BlockKind::Ferment | BlockKind::Package | BlockKind::Expect => {
            *part
        }
        _ => 0,
    };
    blocks.sort_by_key(|entry| (part_of(entry), entry.1.entries_as));
    for (_, block) in blocks {
        if block.kind == block.entries_as {
            hash.word(block.kind.word());
        }
        for line in &block.lines {
            match &line.body {
                syntax::ast::Body::Header(entry) | syntax::ast::Body::Entry(entry) => {
                    hash.entry(block, entry)
                }
                // What cannot be read counts as it is written.
                syntax::ast::Body::Broken(span) => hash.text(block.slice(*span)),
                _ => {}
            }
        }
    }
    let folded = (hash.state >> 32) as u32 ^ hash.state as u32;
    let mut text = String::with_capacity(8);
    // Writing to a string cannot fail.
    let _ = write!(text, "{folded:08x}");
    text
}

struct Hash<'a> {
    state: u64,
    lets: &'a [LetValue],
    depth: usize,
}

impl Hash<'_> {
    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.state = (self.state ^ u64::from(*byte)).wrapping_mul(PRIME);
        }
    }

    /// A word of the language, with an end that no word has.
    fn word(&mut self, word: &str) {
        self.bytes(word.as_bytes());
        self.bytes(&[0]);
    }

    /// Free text: runs of blanks count as one.
    fn text(&mut self, text: &str) {
        for word in text.split_whitespace() {
            self.bytes(word.as_bytes());
            self.bytes(b" ");
        }
        self.bytes(&[1]);
    }

    /// A name: compared as names are.
    fn name(&mut self, text: &str) {
        let folded = catalogue::fold(text);
        self.bytes(folded.as_bytes());
        self.bytes(&[2]);
    }

    fn number(&mut self, number: f64) {
        // There is one zero.
        let number = if number == 0.0 { 0.0 } else { number };
        self.bytes(&number.to_bits().to_be_bytes());
    }

    fn measure(&mut self, measure: &Measure) {
        self.number(measure.number);
        match measure.unit {
            Some(unit) => self.word(&unit.to_string()),
            None => self.word(""),
        }
    }

    fn entry(&mut self, block: &Block, entry: &Entry) {
        if entry.form == Form::Query {
            return;
        }
        if let Some(keyword) = entry.keyword {
            if entry.form != Form::Header
                && BESIDE_THE_BEER.contains(&keyword.node)
                && block.kind == BlockKind::Recipe
            {
                return;
            }
            // A header's keyword is the kind of its block.
            if entry.form != Form::Header {
                self.word(keyword.node.word());
            }
        }
        self.bytes(&[3]);
        let kind = block.entries_as;
        for part in &entry.parts {
            match part {
                Part::Value(value) => self.value(&block.text, value),
                Part::Name(name) => self.name(block.slice(name.span)),
                Part::Props(props) => self.props(block, kind, &props.list),
                Part::Clause(_) => {}
                Part::Label(span) => self.text(block.slice(*span)),
                Part::Text(span) => self.text(block.slice(*span)),
                Part::Relation(relation) => self.word(&format!("{:?}", relation.node)),
            }
        }
        let mut clauses: Vec<&Clause> = entry.clauses().collect();
        clauses.sort_by_key(|clause| clause.word);
        for clause in clauses {
            self.word(clause.word.word());
            for part in &clause.parts {
                match part {
                    ClausePart::Value(value) => self.value(&block.text, value),
                    ClausePart::Name(Name { span, .. }) => self.name(block.slice(*span)),
                    ClausePart::Props(props) => self.props(block, kind, &props.list),
                }
            }
        }
        self.bytes(&[4]);
    }

    fn props(&mut self, block: &Block, kind: BlockKind, props: &[Prop]) {
        for prop in props {
            match &prop.kind {
                PropKind::Keyed { key, value, words, .. } => {
                    if BESIDE_THE_BEER.contains(key) {
                        continue;
                    }
                    self.word(field(kind, *key).word());
                    if let Some(value) = value {
                        self.value(&block.text, value);
                    }
                    if let Some(words) = words {
                        self.name(block.slice(words.span));
                    }
                }
                PropKind::Value(value) => self.value(&block.text, value),
                PropKind::Flag(flag) => self.word(flag.word()),
                // A substitute is offered, never brewed with.
                PropKind::Or(_) => {}
                PropKind::Words(name) => self.name(block.slice(name.span)),
            }
        }
    }

    fn value(&mut self, text: &str, value: &Value) {
        let span_text = |span: Span| span.of(text);
        match &value.kind {
            ValueKind::Plain(one) => {
                self.bytes(b"=");
                self.measure(one);
            }
            ValueKind::Range(low, high) | ValueKind::Tolerance(low, high) => {
                self.bytes(if matches!(value.kind, ValueKind::Range(..)) { b"." } else { b"+" });
                // A unit behind the second number counts for the first.
                self.measure(&Measure { unit: low.unit.or(high.unit), ..*low });
                self.measure(&Measure { unit: high.unit.or(low.unit), ..*high });
            }
            ValueKind::Expr(expr) => self.expr(text, expr),
            ValueKind::Date(date) => self.word(&date.to_string()),
            ValueKind::Clock(clock) => self.bytes(&[b':', clock.hour, clock.minute]),
            ValueKind::Day(first, last) => {
                self.number(f64::from(*first));
                self.number(f64::from(last.unwrap_or(*first)));
            }
            ValueKind::Score(points, of) => {
                self.number(*points);
                self.number(*of);
            }
            ValueKind::Str(span) => self.name(span_text(*span)),
        }
    }

    fn expr(&mut self, text: &str, expr: &Expr) {
        if !crate::expr::is_shallow(expr) {
            self.text(expr.span.of(text));
            return;
        }
        match &expr.kind {
            ExprKind::Measure(measure) => self.measure(measure),
            ExprKind::Range(low, high) => {
                self.measure(low);
                self.measure(high);
            }
            ExprKind::Ident => {
                let name = catalogue::fold(expr.span.of(text));
                let lets = self.lets;
                match (lets.iter().find(|named| *named.name == *name), self.depth.checked_sub(1)) {
                    // A value counts as what it stands for, wherever that is written.
                    (Some(named), Some(depth)) => {
                        let before = core::mem::replace(&mut self.depth, depth);
                        self.expr(&named.block.text, &named.expr);
                        self.depth = before;
                    }
                    _ => self.word(&name),
                }
            }
            ExprKind::Call(function, arguments) => {
                self.word(&format!("{function:?}"));
                for argument in arguments {
                    self.expr(text, argument);
                }
                self.bytes(b";");
            }
            ExprKind::Negate(inner) => {
                self.bytes(b"-");
                self.expr(text, inner);
            }
            ExprKind::Binary(first, operator, second) => {
                self.bytes(b"[");
                self.expr(text, first);
                self.word(&format!("{:?}", operator.node));
                self.expr(text, second);
                self.bytes(b"]");
            }
        }
    }
}
