//! The tree: files of blocks, blocks of lines, lines of parts.
//!
//! The tree says what was written and where, never what it means: names are not looked up, units are
//! not converted, nothing is computed. All ranges are relative to the start of the block.

use std::sync::Arc;

use quantity::UnitId;
use smallvec::SmallVec;

use crate::fault::Fault;
use crate::span::{Span, Spanned};
use crate::vocabulary::{BlockKind, ClauseWord, Flag, Keyword};

/// A whole file: its blocks in order. Their texts, one after the other, are the text of the file.
#[derive(Clone, Debug, Default)]
pub struct File {
    /// The blocks, the first of which may be a [`BlockKind::Preamble`].
    pub blocks: Vec<Placed>,
    /// Length of the whole text in bytes.
    pub len: u32,
}

/// A block at its place in the file.
#[derive(Clone, Debug)]
pub struct Placed {
    /// First byte of the block in the file.
    pub start: u32,
    /// Line of the block's first byte in the file, from 0.
    pub line: u32,
    /// The block, shared between versions of the file while its text stays the same.
    pub block: Arc<Block>,
}

/// A header with the entries below it, parsed by itself.
#[derive(Debug)]
pub struct Block {
    /// The text, line ends included.
    pub text: Box<str>,
    /// What the header's first word says; `Unknown` when the line is no header but an entry that has lost its
    /// indent.
    pub kind: BlockKind,
    /// What the entries are read as: the kind, or that of the block above when the header has lost its indent.
    pub entries_as: BlockKind,
    /// Every line of the text, in order.
    pub lines: Vec<Line>,
    /// What is wrong with the writing of this block.
    pub faults: Vec<Fault>,
}

/// One line of text.
#[derive(Debug)]
pub struct Line {
    /// From the first byte of the line to its end without the line end.
    pub span: Span,
    /// One past the line end (`\n`, `\r\n` or none at the end of the file).
    pub end: u32,
    /// What it holds.
    pub body: Body,
    /// A comment at the end of the line, or the whole line: from its `#` to its last non-blank.
    pub comment: Option<Span>,
    /// A stamp (`#= …`), the last thing on the line.
    pub stamp: Option<Span>,
}

/// What a line holds.
#[derive(Debug)]
pub enum Body {
    /// Nothing but blanks.
    Blank,
    /// Nothing but a comment.
    Comment,
    /// `| …`: the range begins at the bar.
    Prose(Span),
    /// The header of the block.
    Header(Box<Entry>),
    /// An entry that was read.
    Entry(Box<Entry>),
    /// An entry (or header) that could not be read: the range from its first to its last non-blank, comment left out.
    Broken(Span),
}

/// A header or an entry, as its parts in the order written.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// From the first to the last non-blank, without comment and stamp.
    pub span: Span,
    /// Which of the forms it has.
    pub form: Form,
    /// When (logs only).
    pub when: Option<Spanned<When>>,
    /// The keyword; of a header only where its word is a keyword as well (`mash`, `style`).
    pub keyword: Option<Spanned<Keyword>>,
    /// Amounts, names, properties, clauses and label, in order.
    pub parts: SmallVec<[Part; 3]>,
}

/// The forms of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A block header.
    Header,
    /// `AMOUNT NAME [properties] {clause}`.
    Item,
    /// `KEYWORD {value} [properties] {clause}`.
    Fact,
    /// A keyword with the rest of the line as written.
    Text,
    /// `? EXPR ["label"]`.
    Query,
    /// `let NAME = EXPR`.
    Let,
    /// `FIGURE VALUE` in `expect`; the figure's words are the first part, a name.
    Expectation,
    /// `expr relation expr …` in `expect`.
    Condition,
}

/// One part of an entry.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// An amount or other value.
    Value(Value),
    /// A name, or plain words.
    Name(Name),
    /// `[ … ]`.
    Props(Props),
    /// A clause.
    Clause(Clause),
    /// A label in quotes after the other parts; the range is inside the quotes.
    Label(Span),
    /// The rest of the line of a text fact.
    Text(Span),
    /// A comparison sign, between the expressions of a condition or before the value of an expectation.
    Relation(Spanned<Relation>),
}

/// How two sides are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relation {
    /// `<`
    Less,
    /// `<=`
    LessOrEqual,
    /// `>`
    Greater,
    /// `>=`
    GreaterOrEqual,
    /// `=`
    Equal,
    /// `in` a range.
    Within,
    /// `and`, between two comparisons.
    And,
}

/// A name of one or more words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Name {
    /// The words, without quotes.
    pub span: Span,
    /// Whether it stood in quotes.
    pub quoted: bool,
}

/// A number with or without a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The number as computed with; of a sum (`2 lb 4 oz`) the whole in the first unit.
    pub number: f64,
    /// The unit, of a sum the first one.
    pub unit: Option<UnitId>,
    /// Number and unit together.
    pub span: Span,
    /// The unit alone (empty without one); of a sum that of the first.
    pub unit_span: Span,
}

/// A value at its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// All of it.
    pub span: Span,
    /// What it is.
    pub kind: ValueKind,
}

/// The kinds of value.
#[derive(Clone, Debug, PartialEq)]
pub enum ValueKind {
    /// One quantity or bare number.
    Plain(Measure),
    /// `low..high`; a unit behind the second bound counts for the first, which then has none itself.
    Range(Measure, Measure),
    /// `middle ± plus`; a unit behind the second number counts for the first, which then has none itself.
    /// Of a temperature the second is a step, whatever its unit.
    Tolerance(Measure, Measure),
    /// An expression in parentheses.
    Expr(Box<Expr>),
    /// `2026-03-14`.
    Date(Date),
    /// `10:05`.
    Clock(Clock),
    /// `day 3` or `day 8..11`.
    Day(i32, Option<i32>),
    /// `38/50`.
    Score(f64, f64),
    /// `"…"`; the range is inside the quotes.
    Str(Span),
}

/// A calendar date as written; not checked to exist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    /// Year.
    pub year: i16,
    /// Month, 1 to 12 when it exists.
    pub month: u8,
    /// Day of the month.
    pub day: u8,
}

impl core::fmt::Display for Date {
    /// As it is written, `2026-03-14`.
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// A time of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Clock {
    /// Hours, 0 to 23.
    pub hour: u8,
    /// Minutes, 0 to 59.
    pub minute: u8,
}

/// The time of a log entry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// `10:05`, on the last date written.
    Clock(Clock),
    /// `2026-03-14` with or without a time.
    Date(Date, Option<Clock>),
    /// `day 3` counted from pitching, with or without a time.
    Day(i32, Option<Clock>),
}

/// A word with what it governs: `at 60 min`, `to mash`, `with 4.8 g/L dextrose`.
#[derive(Clone, Debug, PartialEq)]
pub struct Clause {
    /// Which word.
    pub word: ClauseWord,
    /// The word itself.
    pub word_span: Span,
    /// Word and all it governs, properties included.
    pub span: Span,
    /// Values, names and properties, in order.
    pub parts: SmallVec<[ClausePart; 1]>,
}

/// A part of a clause.
#[derive(Clone, Debug, PartialEq)]
pub enum ClausePart {
    /// A value.
    Value(Value),
    /// A name or a word such as `mash`, `flameout`, `ph`.
    Name(Name),
    /// Properties that follow the clause's value.
    Props(Props),
}

/// A list of properties in brackets.
#[derive(Clone, Debug, PartialEq)]
pub struct Props {
    /// Brackets included.
    pub span: Span,
    /// The properties in order.
    pub list: Vec<Prop>,
}

/// One property.
#[derive(Clone, Debug, PartialEq)]
pub struct Prop {
    /// All of it.
    pub span: Span,
    /// What it is.
    pub kind: PropKind,
}

/// The kinds of property.
#[derive(Clone, Debug, PartialEq)]
pub enum PropKind {
    /// A field of the definition and its value or words.
    Keyed {
        /// The field.
        key: Keyword,
        /// Where the field's word stands.
        key_span: Span,
        /// Its value, when it has one.
        value: Option<Value>,
        /// Words after the field (`form leaf`, `lot SM-114`), when they are not a value.
        words: Option<Name>,
    },
    /// A value without a field.
    Value(Value),
    /// A word that stands alone.
    Flag(Flag),
    /// `or NAME`: a substitute.
    Or(Name),
    /// Words that are none of these.
    Words(Name),
}

/// An expression.
#[derive(Clone, Debug, PartialEq)]
pub struct Expr {
    /// All of it, without the outer parentheses.
    pub span: Span,
    /// What it is.
    pub kind: ExprKind,
}

/// The kinds of expression.
#[derive(Clone, Debug, PartialEq)]
pub enum ExprKind {
    /// A quantity.
    Measure(Measure),
    /// `low..high`, only to the right of `in`.
    Range(Measure, Measure),
    /// A name of a figure or of a `let`.
    Ident,
    /// A function of the arguments.
    Call(Function, Vec<Expr>),
    /// Minus.
    Negate(Box<Expr>),
    /// Two sides and the sign between them.
    Binary(Box<Expr>, Spanned<Operator>, Box<Expr>),
}

/// Signs of arithmetic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operator {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
    /// `^` with a whole number to its right.
    Power,
}

/// Functions of expressions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Function {
    /// Smallest.
    Min,
    /// Largest.
    Max,
    /// `round(x, 5 g)`: to the nearest multiple.
    Round,
    /// Absolute value.
    Abs,
    /// Square root.
    Sqrt,
    /// `step(2 F)`: a step of temperature from what reads as a point.
    Step,
}

impl ValueKind {
    /// Whether it is a number, a range or a tolerance, with or without a unit.
    #[must_use]
    pub const fn is_measured(&self) -> bool {
        matches!(self, Self::Plain(_) | Self::Range(..) | Self::Tolerance(..))
    }
}

impl Block {
    /// The header line, when it was read.
    #[must_use]
    pub fn header(&self) -> Option<&Entry> {
        self.lines.iter().find_map(|line| match &line.body {
            Body::Header(entry) => Some(&**entry),
            _ => None,
        })
    }

    /// The entries that were read, with the number of their line in the block.
    pub fn entries(&self) -> impl Iterator<Item = (usize, &Entry)> {
        self.lines.iter().enumerate().filter_map(|(at, line)| match &line.body {
            Body::Entry(entry) => Some((at, &**entry)),
            _ => None,
        })
    }

    /// Whether a line of this block could not be read.
    #[must_use]
    pub fn is_broken(&self) -> bool {
        self.lines.iter().any(|line| matches!(line.body, Body::Broken(_)))
    }

    /// The text of a range.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        span.of(&self.text)
    }
}

impl Entry {
    /// The first value among the parts.
    #[must_use]
    pub fn value(&self) -> Option<&Value> {
        self.values().next()
    }

    /// All values among the parts.
    pub fn values(&self) -> impl Iterator<Item = &Value> {
        self.parts.iter().filter_map(|part| match part {
            Part::Value(value) => Some(value),
            _ => None,
        })
    }

    /// The first name among the parts.
    #[must_use]
    pub fn name(&self) -> Option<Name> {
        self.parts.iter().find_map(|part| match part {
            Part::Name(name) => Some(*name),
            _ => None,
        })
    }

    /// The text of a text fact.
    #[must_use]
    pub fn text(&self) -> Option<Span> {
        self.parts.iter().find_map(|part| match part {
            Part::Text(span) => Some(*span),
            _ => None,
        })
    }

    /// The label.
    #[must_use]
    pub fn label(&self) -> Option<Span> {
        self.parts.iter().find_map(|part| match part {
            Part::Label(span) => Some(*span),
            _ => None,
        })
    }

    /// All clauses in order.
    pub fn clauses(&self) -> impl Iterator<Item = &Clause> {
        self.parts.iter().filter_map(|part| match part {
            Part::Clause(clause) => Some(clause),
            _ => None,
        })
    }

    /// The clause with this word.
    #[must_use]
    pub fn clause(&self, word: ClauseWord) -> Option<&Clause> {
        self.clauses().find(|clause| clause.word == word)
    }

    /// All properties: those of the thing named first, then those that follow a clause.
    pub fn props(&self) -> impl Iterator<Item = &Prop> {
        let own = self.parts.iter().filter_map(|part| match part {
            Part::Props(props) => Some(props),
            _ => None,
        });
        let of_clauses = self.clauses().flat_map(|clause| clause.props());
        own.chain(of_clauses).flat_map(|props| props.list.iter())
    }

    /// The property with this field.
    #[must_use]
    pub fn prop(&self, wanted: Keyword) -> Option<&Prop> {
        self.props().find(|prop| matches!(prop.kind, PropKind::Keyed { key, .. } if key == wanted))
    }

    /// Whether this word stands among the properties.
    #[must_use]
    pub fn flag(&self, wanted: Flag) -> bool {
        self.props().any(|prop| matches!(prop.kind, PropKind::Flag(flag) if flag == wanted))
    }
}

impl Clause {
    /// The value it governs.
    #[must_use]
    pub fn value(&self) -> Option<&Value> {
        self.parts.iter().find_map(|part| match part {
            ClausePart::Value(value) => Some(value),
            _ => None,
        })
    }

    /// The name or word it governs.
    #[must_use]
    pub fn name(&self) -> Option<Name> {
        self.parts.iter().find_map(|part| match part {
            ClausePart::Name(name) => Some(*name),
            _ => None,
        })
    }

    /// The properties that follow it.
    pub fn props(&self) -> impl Iterator<Item = &Props> {
        self.parts.iter().filter_map(|part| match part {
            ClausePart::Props(props) => Some(props),
            _ => None,
        })
    }
}
