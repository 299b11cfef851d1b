//! The class of each word of a file, as the grammars of the editors have them, and what each name stands for.

use core::ops::Range;

use quantity::{scan_number, scan_unit};
use recipe::FileId;
use syntax::Span;
use syntax::ast::{
    Block, Body, ClausePart, Entry, Expr, ExprKind, Form, Line, Measure, Name, Part, PropKind, Props, Value,
    ValueKind,
};
use syntax::vocabulary::BlockKind;
use workspace::Workspace;

use crate::names::{Mention, Target, mentions_in};

/// What a word is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TokenClass {
    /// A comment.
    Comment,
    /// A stamp.
    Stamp,
    /// A line of prose.
    Prose,
    /// Anything in quotes, with the quotes.
    Quoted,
    /// Words that are kept as written.
    Text,
    /// A number, a date, a time, a day or a score.
    Number,
    /// A unit.
    Unit,
    /// The word of a block.
    BlockWord,
    /// The keyword of an entry.
    EntryWord,
    /// The word of a clause.
    ClauseWord,
    /// A field in brackets, and `or` before a substitute.
    Property,
    /// A word in brackets that stands alone.
    Flag,
    /// A sign, and the words between comparisons.
    Operator,
    /// A function of an expression.
    Function,
    /// A figure.
    Figure,
    /// A named value.
    Let,
    /// A malt, hop and so on.
    Definition(BlockKind),
    /// A log.
    Log,
    /// A name that stands for nothing known, or a word such as `mash`.
    Name,
}

/// A word, or several that are one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// Where it stands, in bytes of the file; never empty and on one line.
    pub span: Span,
    /// What it is.
    pub class: TokenClass,
    /// The name is given here.
    pub declares: bool,
    /// It stands for something of the built-in library.
    pub built_in: bool,
}

/// The tokens of a file that touch a range, in the order of the text; none overlaps another. Blanks, brackets
/// and lines that cannot be read have none.
#[must_use]
pub fn tokens(workspace: &Workspace, file: FileId, within: Span) -> Vec<Token> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let blocks = &state.tree.blocks;
    let first = blocks.partition_point(|placed| placed.start <= within.start).saturating_sub(1);
    let last = blocks.partition_point(|placed| placed.start <= within.end);
    let range: Range<usize> = first..last.max(first);
    let mut mentions = mentions_in(workspace, state, range.clone());
    mentions.sort_by_key(|mention| mention.span.start);
    let mut painter = Painter { block: None, start: 0, mentions, tokens: Vec::new() };
    for placed in blocks.get(range).unwrap_or_default() {
        painter.start = placed.start;
        painter.block = Some(&placed.block);
        for line in &placed.block.lines {
            let span = line.span.shift(placed.start);
            if span.start <= within.end && within.start <= span.end {
                painter.line(line);
            }
        }
    }
    let mut tokens = painter.tokens;
    tokens.retain(|token| !token.span.is_empty());
    tokens.sort_by_key(|token| token.span.start);
    // Each byte belongs to what came first.
    let mut end = 0;
    tokens.retain(|token| {
        let free = token.span.start >= end;
        if free {
            end = token.span.end;
        }
        free
    });
    tokens
}

struct Painter<'a> {
    block: Option<&'a Block>,
    /// First byte of the block.
    start: u32,
    /// Names, in the order of the text.
    mentions: Vec<Mention>,
    tokens: Vec<Token>,
}

impl Painter<'_> {
    fn text(&self, span: Span) -> &str {
        self.block.map_or("", |block| block.slice(span))
    }

    fn put(&mut self, span: Span, class: TokenClass) {
        let span = span.shift(self.start);
        self.tokens.push(Token { span, class, declares: false, built_in: false });
    }

    /// The range inside quotes, with the quotes.
    fn quotes(&mut self, inner: Span) {
        let Some(block) = self.block else { return };
        let before = block.text.get(..inner.start as usize).and_then(|text| text.chars().next_back());
        let after = block.text.get(inner.end as usize..).and_then(|text| text.chars().next());
        let length = |c: Option<char>| c.map_or(0, |c| u32::try_from(c.len_utf8()).unwrap_or(1));
        self.put(Span::new(inner.start - length(before), inner.end + length(after)), TokenClass::Quoted);
    }

    fn line(&mut self, line: &Line) {
        match &line.body {
            Body::Header(entry) => self.header(entry),
            Body::Entry(entry) => self.entry(entry),
            Body::Prose(span) => self.put(*span, TokenClass::Prose),
            Body::Blank | Body::Comment | Body::Broken(_) => {}
        }
        if let Some(span) = line.comment {
            self.put(span, TokenClass::Comment);
        }
        if let Some(span) = line.stamp {
            self.put(span, TokenClass::Stamp);
        }
    }

    fn header(&mut self, entry: &Entry) {
        let word = self.block.map_or("", |block| block.kind.word());
        let length = u32::try_from(word.len()).unwrap_or(0);
        self.put(Span::new(entry.span.start, entry.span.start + length), TokenClass::BlockWord);
        self.parts(entry);
    }

    fn entry(&mut self, entry: &Entry) {
        if let Some(keyword) = &entry.keyword {
            self.put(keyword.span, TokenClass::EntryWord);
        }
        if entry.form == Form::Query {
            self.put(Span::new(entry.span.start, entry.span.start + 1), TokenClass::Operator);
        }
        self.parts(entry);
    }

    fn parts(&mut self, entry: &Entry) {
        if let Some(when) = &entry.when {
            self.put(when.span, TokenClass::Number);
        }
        for part in &entry.parts {
            match part {
                Part::Value(value) => self.value(value),
                Part::Name(name) if entry.form == Form::Expectation => {
                    self.put(name.span, TokenClass::Figure);
                }
                Part::Name(name) => self.name(*name, TokenClass::Name),
                Part::Props(props) => self.props(props),
                Part::Clause(clause) => {
                    self.put(clause.word_span, TokenClass::ClauseWord);
                    for part in &clause.parts {
                        match part {
                            ClausePart::Value(value) => self.value(value),
                            ClausePart::Name(name) => self.name(*name, TokenClass::Name),
                            ClausePart::Props(props) => self.props(props),
                        }
                    }
                }
                Part::Label(span) => self.quotes(*span),
                Part::Text(span) => {
                    self.name(Name { span: *span, quoted: false }, TokenClass::Text);
                }
                Part::Relation(relation) => self.put(relation.span, TokenClass::Operator),
            }
        }
    }

    /// A name by what it stands for.
    fn name(&mut self, name: Name, otherwise: TokenClass) {
        if name.quoted {
            self.quotes(name.span);
            return;
        }
        let span = name.span.shift(self.start);
        let at = self.mentions.partition_point(|mention| mention.span.start < span.start);
        let Some(mention) = self.mentions.get(at).filter(|mention| mention.span == span) else {
            self.put(name.span, otherwise);
            return;
        };
        let (class, built_in) = match mention.target {
            Target::Definition(kind, place) => {
                (TokenClass::Definition(kind), matches!(place.file, FileId::Catalogue(_)))
            }
            Target::Log(..) => (TokenClass::Log, false),
            Target::Let(..) => (TokenClass::Let, false),
            Target::Recipe(..) | Target::File(_) => (otherwise, false),
        };
        self.tokens.push(Token { span, class, declares: mention.declares, built_in });
    }

    fn props(&mut self, props: &Props) {
        for prop in &props.list {
            match &prop.kind {
                PropKind::Keyed { key_span, value, words, .. } => {
                    self.put(*key_span, TokenClass::Property);
                    if let Some(value) = value {
                        self.value(value);
                    }
                    if let Some(words) = words {
                        self.name(*words, TokenClass::Text);
                    }
                }
                PropKind::Value(value) => self.value(value),
                PropKind::Flag(_) => self.put(prop.span, TokenClass::Flag),
                PropKind::Or(name) => {
                    self.put(Span::new(prop.span.start, prop.span.start + 2), TokenClass::Property);
                    self.name(*name, TokenClass::Name);
                }
                PropKind::Words(name) => self.name(*name, TokenClass::Text),
            }
        }
    }

    fn value(&mut self, value: &Value) {
        match &value.kind {
            ValueKind::Plain(measure) => self.measure(measure),
            ValueKind::Range(first, second) | ValueKind::Tolerance(first, second) => {
                self.between(first, second);
            }
            ValueKind::Expr(expr) => self.expr(expr),
            ValueKind::Str(inner) => self.quotes(*inner),
            ValueKind::Date(_) | ValueKind::Clock(_) | ValueKind::Day(..) | ValueKind::Score(..) => {
                self.put(value.span, TokenClass::Number);
            }
        }
    }

    /// Two measures with a sign between them.
    fn between(&mut self, first: &Measure, second: &Measure) {
        self.measure(first);
        self.sign(first.span.end, second.span.start);
        self.measure(second);
    }

    /// What stands between two places, without blanks.
    fn sign(&mut self, from: u32, to: u32) {
        let text = self.text(Span::new(from, to));
        let blanks = text.len() - text.trim_start().len();
        let length = text.trim().len();
        let start = from + u32::try_from(blanks).unwrap_or(0);
        self.put(Span::new(start, start + u32::try_from(length).unwrap_or(0)), TokenClass::Operator);
    }

    fn measure(&mut self, measure: &Measure) {
        if measure.unit.is_none() {
            self.put(measure.span, TokenClass::Number);
            return;
        }
        let number = self.text(Span::new(measure.span.start, measure.unit_span.start)).trim_end().len();
        let end = measure.span.start + u32::try_from(number).unwrap_or(0);
        self.put(Span::new(measure.span.start, end), TokenClass::Number);
        self.put(measure.unit_span, TokenClass::Unit);
        // Of a sum (`2 lb 4 oz`) only the first unit has its place in the tree.
        let mut at = measure.unit_span.end;
        while at < measure.span.end {
            let rest = self.text(Span::new(at, measure.span.end));
            let blanks = rest.len() - rest.trim_start().len();
            let rest = rest.trim_start();
            let (length, class) = if let Some((_, length)) = scan_number(rest) {
                (length, TokenClass::Number)
            } else if let Some(unit) = scan_unit(rest) {
                (unit.len, TokenClass::Unit)
            } else {
                return;
            };
            let start = at + u32::try_from(blanks).unwrap_or(0);
            at = start + u32::try_from(length.max(1)).unwrap_or(u32::MAX - start);
            self.put(Span::new(start, at.min(measure.span.end)), class);
        }
    }

    fn expr(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Measure(measure) => self.measure(measure),
            ExprKind::Range(first, second) => self.between(first, second),
            ExprKind::Ident => self.name(Name { span: expr.span, quoted: false }, TokenClass::Figure),
            ExprKind::Call(_, arguments) => {
                let word = self.text(expr.span).find(|c: char| !c.is_alphanumeric()).unwrap_or(0);
                let end = expr.span.start + u32::try_from(word).unwrap_or(0);
                self.put(Span::new(expr.span.start, end), TokenClass::Function);
                arguments.iter().for_each(|argument| self.expr(argument));
            }
            ExprKind::Negate(operand) => {
                let sign = self.text(expr.span).chars().next().map_or(0, char::len_utf8);
                let end = expr.span.start + u32::try_from(sign).unwrap_or(0);
                self.put(Span::new(expr.span.start, end), TokenClass::Operator);
                self.expr(operand);
            }
            ExprKind::Binary(left, operator, right) => {
                self.expr(left);
                self.put(operator.span, TokenClass::Operator);
                self.expr(right);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::fixture::{CELLAR, Fixture};

    use super::*;

    /// Each token with its class, parted by `|`.
    fn shown(fixture: &Fixture, within: Span) -> String {
        let text = fixture.text();
        let one = |token: Token| {
            let mut class = format!("{:?}", token.class);
            if token.declares {
                class.push_str(" given");
            }
            if token.built_in {
                class.push_str(" built in");
            }
            format!("{}={class}\n", token.span.of(&text))
        };
        tokens(&fixture.workspace, fixture.file, within).into_iter().map(one).collect()
    }

    const ALL: Span = Span::new(0, u32::MAX);

    #[test]
    fn words_have_classes_and_names_say_what_they_are() {
        let text = "# é\nlet größe = 20 L\nrecipe \"É\"\n  batch (größe - 2 L)\n  style Porter é\ngrist\n  \
            4 lb 2 oz floor malt [whole, colour 5..7 EBC, or é malt] # 🌾\n  5..7 g \"Größe 🌾\" [lot É]\nboil 60 min\n  \
            25 ± 1 g Fuggle [alpha 4.6 %] at 60 min\nexpect\n  og < 12 P\n  abv 5 % \"stärke\"\nnotes\n  | é\n";
        let seen = shown(&Fixture::with(text, &[CELLAR]), ALL);
        insta::assert_snapshot!(seen);
    }

    #[test]
    fn a_range_gives_the_tokens_of_its_lines() {
        let fixture =
            Fixture::with("recipe \"É\"\ngrist\n  4 kg floor malt\n  1 kg é\nboil 60 min\n", &[CELLAR]);
        let text = fixture.text();
        let at = |piece: &str| u32::try_from(text.find(piece).unwrap_or(0)).unwrap_or(0);
        let seen = shown(&fixture, Span::new(at("floor"), at("floor")));
        assert_eq!(seen, "4=Number\nkg=Unit\nfloor malt=Definition(Malt)\n");
        let all = shown(&fixture, ALL);
        assert!(all.contains(&seen) && all.len() > seen.len(), "{all}");
    }

    #[test]
    fn logs_are_coloured_and_broken_lines_are_left_alone() {
        let text = "gyle 27 \"Größe\" on 2026-03-14\n  10:05 add 3 kg floor malt to mash\n  day 3 ][\n#= é\n";
        let seen = shown(&Fixture::with(text, &[CELLAR]), ALL);
        insta::assert_snapshot!(seen);
    }
}
