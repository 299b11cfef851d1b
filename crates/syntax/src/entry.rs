//! The grammar of a line: one parser for each form of entry.
//!
//! Each parser is written once and built twice: with an error type that holds nothing, which reads every
//! line first, and with one that remembers the place and what was wanted there, which reads a line again
//! only when the first has refused it. What a line may hold by its keyword is not the grammar's business
//! (see `check`): the grammar reads amounts, names, properties and clauses wherever they stand.

use chumsky::error::{Error, LabelError};
use chumsky::input::{Checkpoint, InputRef};
use chumsky::inspector::Inspector;
use chumsky::prelude::*;
use chumsky::util::MaybeRef;
use smallvec::SmallVec;

use crate::ast::{
    Clause, ClausePart, Expr, ExprKind, Function, Name, Operator, Part, Prop, PropKind, Props, Relation,
    Value, ValueKind,
};
use crate::lexicon::{self, PropertyWord};
use crate::scan::{self, Scene, Slip};
use crate::span::{Span, Spanned};
use crate::vocabulary::{Keyword, TEXT_FIELDS};

/// The parts of an entry in order.
pub(crate) type Parts = SmallVec<[Part; 3]>;
type Input<'s> = &'s str;
type Extra<E> = extra::Full<E, Scene, ()>;

/// The most parentheses one inside the other, and the most signs of arithmetic, in one line. Beyond that
/// nobody reads it, and the tree would be too deep to walk.
const MOST_NESTED: usize = 16;
const MOST_SIGNS: u16 = 1000;

/// What would have to stand at the place where a line cannot be read further.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Want {
    /// An amount, a name, properties or a clause: nothing of the kind starts here.
    Part,
    /// A property, or the end of the list.
    Property,
    /// A number, a figure, a function or an expression in parentheses.
    Operand,
    /// A closing parenthesis, or a sign of arithmetic.
    Closing,
    /// A whole number behind `^`.
    Exponent,
    /// A word before a parenthesis that is no function.
    Function,
    /// `<`, `<=`, `>`, `>=`, `=` or `in`.
    Relation,
    /// A figure and its value.
    Expectation,
    /// A range behind `in`.
    Range,
    /// A name to give to a value.
    LetName,
    /// `=` behind that name.
    Equals,
    /// Fewer signs or parentheses.
    Simpler,
    /// Anything but what is there.
    End,
}

/// Where a line cannot be read further, and what was wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Problem {
    /// Place in the text being read.
    pub(crate) at: usize,
    pub(crate) want: Want,
}

/// An error type the grammar can be built with.
pub(crate) trait Complaint<'s>: Error<'s, Input<'s>> + 's {
    fn new(at: usize, want: Want) -> Self;
}

impl<'s> Complaint<'s> for EmptyErr {
    fn new(_: usize, _: Want) -> Self {
        Self::default()
    }
}

impl<'s> Complaint<'s> for Problem {
    fn new(at: usize, want: Want) -> Self {
        Self { at, want }
    }
}

impl Problem {
    /// Which of two problems of one line says more.
    fn weight(&self) -> (bool, usize, u8) {
        let particular = match self.want {
            Want::Part | Want::End => 0,
            Want::Operand | Want::Closing | Want::Property => 1,
            _ => 2,
        };
        (self.want == Want::Simpler, self.at, particular)
    }
}

impl<'s> Error<'s, Input<'s>> for Problem {
    fn merge(self, other: Self) -> Self {
        if other.weight() > self.weight() { other } else { self }
    }
}

impl<'s, L> LabelError<'s, Input<'s>, L> for Problem {
    fn expected_found<I: IntoIterator<Item = L>>(
        _: I,
        _: Option<MaybeRef<'s, char>>,
        at: SimpleSpan,
    ) -> Self {
        Self { at: at.start, want: Want::End }
    }
    fn merge_expected_found<I: IntoIterator<Item = L>>(
        self,
        _: I,
        _: Option<MaybeRef<'s, char>>,
        _: SimpleSpan,
    ) -> Self {
        self
    }
}

impl<'s> Inspector<'s, Input<'s>> for Scene {
    type Checkpoint = (usize, usize, u16);

    fn on_token(&mut self, _: &char) {}
    fn on_save<'p>(&self, _: &chumsky::input::Cursor<'s, 'p, Input<'s>>) -> Self::Checkpoint {
        (self.entry.parts.len(), self.notes.len(), self.signs)
    }
    fn on_rewind<'p>(&mut self, to: &Checkpoint<'s, 'p, Input<'s>, Self::Checkpoint>) {
        let (parts, notes, signs) = *to.inspector();
        self.entry.parts.truncate(parts);
        self.notes.truncate(notes);
        self.signs = signs;
    }
}

/// A parser made of a scanner: text, place and scene to what stands there and its end.
fn leaf<'s, E: Complaint<'s>, O>(
    scan: impl Fn(&'s str, usize, &mut Scene) -> Result<(O, usize), Want> + Copy,
) -> impl Parser<'s, Input<'s>, O, Extra<E>> + Copy {
    custom(move |input| {
        let at = *input.cursor().inner();
        let text = input.full_slice();
        match scan(text, at, input.state()) {
            Ok((out, end)) => {
                advance(input, end);
                Ok(out)
            }
            Err(want) => Err(E::new(at, want)),
        }
    })
}

type Line<'s, 'p, E> = InputRef<'s, 'p, Input<'s>, Extra<E>>;

/// Moves to a place further on.
fn advance<'s, E: Complaint<'s>>(input: &mut Line<'s, '_, E>, end: usize) {
    while *input.cursor().inner() < end {
        input.skip();
    }
}

/// What the first byte at a place opens. A line is read by it, so that nothing is tried in vain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Opens {
    Bracket,
    Parenthesis,
    Quotes,
    /// A number, or the sign of one.
    Number,
    Word,
    Nothing,
}

fn opens(text: &str, at: usize) -> Opens {
    match text.as_bytes().get(at) {
        Some(b'[') => Opens::Bracket,
        Some(b'(') => Opens::Parenthesis,
        Some(b'"') => Opens::Quotes,
        Some(b'0'..=b'9' | b'-') => Opens::Number,
        None | Some(b']' | b')' | b'#') => Opens::Nothing,
        Some(0xe2) => match scan::char_at(text, at) {
            Some(quote) if scan::is_curly(quote) => Opens::Quotes,
            _ => Opens::Number,
        },
        Some(_) => Opens::Word,
    }
}

fn blanks<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, (), Extra<E>> + Copy {
    leaf(|text, at, _| Ok(((), scan::blanks(text, at))))
}

/// A sign, with the blanks around it.
fn sign<'s, E: Complaint<'s>>(sign: char, want: Want) -> impl Parser<'s, Input<'s>, usize, Extra<E>> + Copy {
    leaf(move |text, at, _| {
        let start = scan::blanks(text, at);
        if scan::char_at(text, start) == Some(sign) {
            Ok((start, scan::blanks(text, start + sign.len_utf8())))
        } else {
            Err(want)
        }
    })
}

/// A value without parentheses around it.
fn plain_value<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, Value, Extra<E>> + Copy {
    leaf(|text, at, scene| scan::value(text, at, scene).ok_or(Want::Part))
}

fn value<'s, E: Complaint<'s>>(
    expression: impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, Value, Extra<E>> + Clone {
    choice((plain_value(), in_parentheses(expression)))
}

/// A value in parentheses.
fn in_parentheses<'s, E: Complaint<'s>>(
    expression: impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, Value, Extra<E>> + Clone {
    expression
        .delimited_by(sign('(', Want::Part), closing())
        .map_with(|expr, extra| Value { span: place(extra), kind: ValueKind::Expr(Box::new(expr)) })
}

/// `)`, or the end of the line with a note that it is missing.
fn closing<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, (), Extra<E>> + Copy {
    leaf(|text, at, scene| {
        let start = scan::blanks(text, at);
        match scan::char_at(text, start) {
            Some(')') => Ok(((), start + 1)),
            None => {
                scene.note(Slip::UnclosedParenthesis, at, at);
                Ok(((), at))
            }
            Some(_) => Err(Want::Closing),
        }
    })
}

/// The range of the text just read, in the block.
fn place<'s, E: Complaint<'s>>(extra: &mut chumsky::input::MapExtra<'s, '_, Input<'s>, Extra<E>>) -> Span {
    let read: SimpleSpan = extra.span();
    extra.state().span(read.start, read.end)
}

/// The name at a place, and its end.
fn scan_name(text: &str, at: usize, scene: &Scene) -> Option<(Name, usize)> {
    let end = if scene.words_first && at == 0 { all_words(text) } else { scan::name(text, at, scene.stops) }?;
    Some((Name { span: scene.span(at, end), quoted: false }, end))
}

/// Words to the end of the text, or to properties or a label.
fn all_words(text: &str) -> Option<usize> {
    let mut end = 0;
    loop {
        let word = scan::word_end(text, scan::blanks(text, end));
        if word == scan::blanks(text, end) {
            let end = text.get(..end)?.trim_end_matches(',').len();
            return (end > 0).then_some(end);
        }
        end = word;
    }
}

fn string<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, Span, Extra<E>> + Copy {
    leaf(|text, at, scene| scan::string(text, at, scene).ok_or(Want::Part))
}

fn quoted_name<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, Name, Extra<E>> + Copy {
    string().map(|span| Name { span, quoted: true })
}

/// `[a, b, c]`.
fn properties<'s, E: Complaint<'s>>(
    computed: impl Parser<'s, Input<'s>, Value, Extra<E>> + Clone + 's,
) -> impl Parser<'s, Input<'s>, Props, Extra<E>> + Clone {
    let property = custom(move |input: &mut Line<'s, '_, E>| {
        let (at, text) = (*input.cursor().inner(), input.full_slice());
        property(input, at, text, &computed).map(|(prop, end)| {
            advance(input, end);
            prop
        })
    });
    let close = leaf(|text, at, scene| {
        let start = scan::blanks(text, at);
        match scan::char_at(text, start) {
            Some(']') => Ok(((), start + 1)),
            None => {
                scene.note(Slip::UnclosedBracket, at, at);
                Ok(((), at))
            }
            Some(_) => Err(Want::Property),
        }
    });
    property
        .separated_by(sign(',', Want::Property))
        .allow_trailing()
        // Most lists have one member; a vector that grows would take room for four.
        .collect::<SmallVec<[Prop; 1]>>()
        .delimited_by(sign('[', Want::Part), close)
        .map_with(|list, extra| Props { span: place(extra), list: list.into_vec() })
}

/// One property and its end: a value, a field with what it takes, a flag, a substitute or words.
fn property<'s, E: Complaint<'s>>(
    input: &mut Line<'s, '_, E>,
    at: usize,
    text: &'s str,
    computed: &impl Parser<'s, Input<'s>, Value, Extra<E>>,
) -> Result<(Prop, usize), E> {
    let (kind, end) = match lexicon::property(text, at) {
        Some((word, word_end)) => property_word(input, (at, word_end), word, text, computed),
        None => {
            let before = input.save();
            match property_value(input, at, text, computed) {
                Some((value, end)) if ends_property(text, end) => Some((PropKind::Value(value), end)),
                _ => {
                    input.rewind(before);
                    None
                }
            }
        }
    }
    .or_else(|| property_words(text, at, input.state()).map(|(words, end)| (PropKind::Words(words), end)))
    .ok_or_else(|| E::new(at, Want::Property))?;
    Ok((Prop { span: input.state().span(at, end), kind }, end))
}

/// A property that begins with a word of the vocabulary; nothing when it cannot be read as one.
fn property_word<'s, E: Complaint<'s>>(
    input: &mut Line<'s, '_, E>,
    (at, word_end): (usize, usize),
    word: PropertyWord,
    text: &'s str,
    computed: &impl Parser<'s, Input<'s>, Value, Extra<E>>,
) -> Option<(PropKind, usize)> {
    let next = scan::blanks(text, word_end);
    let alone = ends_property(text, word_end);
    let key = match word {
        PropertyWord::Or => {
            return property_words(text, next, input.state()).map(|(name, end)| (PropKind::Or(name), end));
        }
        PropertyWord::Flag(flag) | PropertyWord::Either(_, flag) if alone => {
            return Some((PropKind::Flag(flag), word_end));
        }
        PropertyWord::Flag(_) => return None,
        PropertyWord::Field(key) | PropertyWord::Either(key, _) => key,
    };
    let key = Spanned::new(key, input.state().span(at, word_end));
    if alone {
        return Some((keyed(key, None, None), word_end));
    }
    if TEXT_FIELDS.contains(&key.node) {
        let end = scan::text_field(text, next);
        let words = Name { span: input.state().span(next, end), quoted: false };
        return Some((keyed(key, None, Some(words)), end));
    }
    // `residual at 12 C`.
    let value_at = lexicon::match_word(text, next, "at").map_or(next, |end| scan::blanks(text, end));
    let before = input.save();
    if let Some((value, end)) = property_value(input, value_at, text, computed) {
        if ends_property(text, end) {
            return Some((keyed(key, Some(value), None), end));
        }
        if let Some((words, end)) = property_words(text, scan::blanks(text, end), input.state()) {
            return Some((keyed(key, Some(value), Some(words)), end));
        }
    }
    input.rewind(before);
    property_words(text, next, input.state()).map(|(words, end)| (keyed(key, None, Some(words)), end))
}

fn property_value<'s, E: Complaint<'s>>(
    input: &mut Line<'s, '_, E>,
    at: usize,
    text: &'s str,
    computed: &impl Parser<'s, Input<'s>, Value, Extra<E>>,
) -> Option<(Value, usize)> {
    match opens(text, at) {
        Opens::Number | Opens::Word => scan::value(text, at, input.state()),
        Opens::Parenthesis => {
            advance(input, at);
            let value = input.parse(computed).ok()?;
            Some((value, *input.cursor().inner()))
        }
        _ => None,
    }
}

/// Words of a property, in quotes or not.
fn property_words(text: &str, at: usize, scene: &mut Scene) -> Option<(Name, usize)> {
    if opens(text, at) == Opens::Quotes {
        let notes = scene.notes.len();
        match scan::string(text, at, scene) {
            Some((span, end)) if ends_property(text, end) => return Some((Name { span, quoted: true }, end)),
            _ => scene.notes.truncate(notes),
        }
    }
    let end = scan::property_words(text, at);
    (end > at).then(|| (Name { span: scene.span(at, end), quoted: false }, end))
}

/// Whether a property may end at a place.
fn ends_property(text: &str, at: usize) -> bool {
    matches!(text.as_bytes().get(scan::blanks(text, at)), None | Some(b',' | b']'))
}

fn keyed(key: Spanned<Keyword>, value: Option<Value>, words: Option<Name>) -> PropKind {
    PropKind::Keyed { key: key.node, key_span: key.span, value, words }
}

fn clause<'s, E: Complaint<'s>>(
    computed: impl Parser<'s, Input<'s>, Value, Extra<E>> + Clone,
    properties: impl Parser<'s, Input<'s>, Props, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, Clause, Extra<E>> + Clone {
    let word = leaf(|text, at, scene| {
        let (word, end) = scan::clause_word(text, at, scene.stops).ok_or(Want::Part)?;
        Ok((Spanned::new(word, scene.span(at, end)), scan::blanks(text, end)))
    });
    // One part, with the blanks behind it.
    let part = move |input: &mut Line<'s, '_, E>| {
        let (at, text) = (*input.cursor().inner(), input.full_slice());
        let nested = match opens(text, at) {
            Opens::Bracket => Some(ClausePart::Props(input.parse(&properties)?)),
            Opens::Parenthesis => Some(ClausePart::Value(input.parse(&computed)?)),
            Opens::Quotes | Opens::Nothing => return Err(E::new(at, Want::Part)),
            Opens::Number | Opens::Word => None,
        };
        if let Some(nested) = nested {
            skip_blanks(input);
            return Ok(nested);
        }
        let scene = input.state();
        let (part, end) = if let Some((value, end)) = scan::value(text, at, scene) {
            (ClausePart::Value(value), end)
        } else if let Some(end) = ph_before_value(text, at) {
            (ClausePart::Name(Name { span: scene.span(at, end), quoted: false }), end)
        } else if let Some((name, end)) = scan_name(text, at, scene) {
            (ClausePart::Name(name), end)
        } else {
            return Err(E::new(at, Want::Part));
        };
        advance(input, scan::blanks(text, end));
        Ok(part)
    };
    // What is no part of it may be the next of the line, which says what is wrong with it.
    let parts = custom(move |input: &mut Line<'s, '_, E>| {
        let mut parts = SmallVec::<[ClausePart; 1]>::new();
        loop {
            let before = input.save();
            match part(input) {
                Ok(part) => parts.push(part),
                Err(_) => {
                    input.rewind(before);
                    return Ok(parts);
                }
            }
        }
    });
    // Quotes directly behind the word belong to it; quotes behind a value are the label of the line.
    word.then(quoted_name().then_ignore(blanks()).or_not()).then(parts).map(|((word, first), mut parts)| {
        if let Some(first) = first {
            parts.insert(0, ClausePart::Name(first));
        }
        let span = parts.iter().fold(word.span, |span, part| span.cover(part.span()));
        Clause { word: word.node, word_span: word.span, span, parts }
    })
}

/// `ph` before its value, as in `until ph 3.4`: elsewhere the number would belong to the name.
fn ph_before_value(text: &str, at: usize) -> Option<usize> {
    let end = lexicon::match_word(text, at, "ph")?;
    matches!(opens(text, scan::blanks(text, end)), Opens::Number | Opens::Parenthesis).then_some(end)
}

impl ClausePart {
    /// Where it stands; of words in quotes the range inside the quotes.
    pub(crate) const fn span(&self) -> Span {
        match self {
            Self::Value(value) => value.span,
            Self::Name(name) => name.span,
            Self::Props(props) => props.span,
        }
    }
}

/// Amounts, names, properties, clauses and labels in any order: items, facts and headers.
fn parts<'s, E: Complaint<'s>>(
    expression: impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone + 's,
) -> impl Parser<'s, Input<'s>, (), Extra<E>> + Clone {
    let computed = in_parentheses(expression).boxed();
    let properties = properties(computed.clone()).boxed();
    let clause = clause(computed.clone(), properties.clone());
    let part = move |input: &mut Line<'s, '_, E>, at: usize, text: &'s str| {
        match opens(text, at) {
            Opens::Bracket => return input.parse(&properties).map(Part::Props),
            Opens::Parenthesis => return input.parse(&computed).map(Part::Value),
            Opens::Quotes => return input.parse(string()).map(Part::Label),
            Opens::Nothing => return Err(E::new(at, Want::Part)),
            Opens::Number | Opens::Word => {}
        }
        let scene = input.state();
        let words = scene.words_first && at == 0;
        let (part, end) = if !words && let Some((value, end)) = scan::value(text, at, scene) {
            (Part::Value(value), end)
        } else if !words && scan::clause_word(text, at, scene.stops).is_some() {
            return input.parse(&clause).map(Part::Clause);
        } else if let Some((name, end)) = scan_name(text, at, scene) {
            (Part::Name(name), end)
        } else {
            return Err(E::new(at, Want::Part));
        };
        advance(input, end);
        Ok(part)
    };
    // To the end of the line: a combinator for each part would cost more than the part.
    custom(move |input: &mut Line<'s, '_, E>| {
        let text = input.full_slice();
        loop {
            skip_blanks(input);
            let at = *input.cursor().inner();
            if at >= text.len() {
                return Ok(());
            }
            let part = part(input, at, text)?;
            input.state().entry.parts.push(part);
        }
    })
}

/// Moves over the blanks that stand next.
fn skip_blanks<'s, E: Complaint<'s>>(input: &mut Line<'s, '_, E>) {
    let end = scan::blanks(input.full_slice(), *input.cursor().inner());
    advance(input, end);
}

/// The end of the text, or the place where something stands that nothing can be made of.
fn end_of_line<'s, E: Complaint<'s>>(want: Want) -> impl Parser<'s, Input<'s>, (), Extra<E>> + Copy {
    leaf(move |text, at, _| {
        let next = scan::blanks(text, at);
        if next == text.len() { Ok(((), next)) } else { Err(want) }
    })
}

fn expression<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone {
    recursive(|expression| {
        let number = leaf(|text, at, scene| {
            let (measure, end) = scan::operand(text, at, scene).ok_or(Want::Operand)?;
            Ok((Expr { span: measure.span, kind: ExprKind::Measure(measure) }, end))
        });
        let function = leaf(|text, at, _| {
            let end = scan::identifier(text, at).ok_or(Want::Operand)?;
            let open = scan::blanks(text, end);
            if scan::char_at(text, open) != Some('(') {
                return Err(Want::Operand);
            }
            let function = text.get(at..end).and_then(function).ok_or(Want::Function)?;
            Ok((function, scan::blanks(text, open + 1)))
        });
        let call = function
            .then(
                expression
                    .clone()
                    .separated_by(sign(',', Want::Closing))
                    .at_least(1)
                    .collect::<Vec<_>>()
                    .then_ignore(closing()),
            )
            .map_with(|(function, arguments), extra| Expr {
                span: place(extra),
                kind: ExprKind::Call(function, arguments),
            });
        let ident = leaf(|text, at, scene| {
            let end = scan::identifier(text, at).ok_or(Want::Operand)?;
            // A word before a parenthesis would be a function.
            if scan::char_at(text, scan::blanks(text, end)) == Some('(') {
                return Err(Want::Function);
            }
            Ok((Expr { span: scene.span(at, end), kind: ExprKind::Ident }, end))
        });
        let in_parentheses = expression.delimited_by(sign('(', Want::Operand), closing());
        let operand = choice((number, call, ident, in_parentheses));
        let exponent = leaf(|text, at, scene| {
            let (number, end) = scan::operand(text, at, scene)
                .filter(|(measure, _)| measure.unit.is_none() && measure.number.fract() == 0.0)
                .ok_or(Want::Exponent)?;
            Ok((Expr { span: number.span, kind: ExprKind::Measure(number) }, end))
        });
        let power =
            operand.then(operator(&[('^', Operator::Power)]).then(exponent).or_not()).map(|(base, power)| {
                match power {
                    Some((operator, exponent)) => binary(base, operator, exponent),
                    None => base,
                }
            });
        let minus = leaf(|text, at, scene: &mut Scene| {
            if scan::char_at(text, at).is_none_or(|c| !matches!(c, '-' | '\u{2212}')) {
                return Err(Want::Operand);
            }
            count_sign(scene)?;
            let sign = scan::char_at(text, at).map_or(1, char::len_utf8);
            Ok((scene.span(at, at + sign), scan::blanks(text, at + sign)))
        });
        let unary = minus.repeated().foldr(power, |minus: Span, operand: Expr| Expr {
            span: minus.cover(operand.span),
            kind: ExprKind::Negate(Box::new(operand)),
        });
        let product = unary.clone().foldl(
            operator(&[('*', Operator::Multiply), ('/', Operator::Divide)]).then(unary).repeated(),
            |left, (operator, right)| binary(left, operator, right),
        );
        product.clone().foldl(
            operator(&[('+', Operator::Add), ('-', Operator::Subtract), ('\u{2212}', Operator::Subtract)])
                .then(product)
                .repeated(),
            |left, (operator, right)| binary(left, operator, right),
        )
    })
}

fn binary(left: Expr, operator: Spanned<Operator>, right: Expr) -> Expr {
    Expr {
        span: left.span.cover(right.span),
        kind: ExprKind::Binary(Box::new(left), operator, Box::new(right)),
    }
}

/// Functions fold case like every word.
fn function(word: &str) -> Option<Function> {
    FUNCTIONS.iter().find(|(name, _)| word.eq_ignore_ascii_case(name)).map(|(_, function)| *function)
}

/// The functions of expressions by name.
pub const FUNCTIONS: &[(&str, Function)] = &[
    ("min", Function::Min),
    ("max", Function::Max),
    ("round", Function::Round),
    ("abs", Function::Abs),
    ("sqrt", Function::Sqrt),
    ("step", Function::Step),
];

fn count_sign(scene: &mut Scene) -> Result<(), Want> {
    scene.signs += 1;
    if scene.signs > MOST_SIGNS { Err(Want::Simpler) } else { Ok(()) }
}

/// A sign between two operands with the blanks around it: on both sides or on neither, a minus on both.
fn operator<'s, E: Complaint<'s>>(
    signs: &'static [(char, Operator)],
) -> impl Parser<'s, Input<'s>, Spanned<Operator>, Extra<E>> + Copy {
    leaf(move |text, at, scene: &mut Scene| {
        let start = scan::blanks(text, at);
        let found = scan::char_at(text, start).ok_or(Want::Closing)?;
        let (_, operator) = *signs.iter().find(|(sign, _)| *sign == found).ok_or(Want::Closing)?;
        count_sign(scene)?;
        let end = start + found.len_utf8();
        let next = scan::blanks(text, end);
        let (before, after) = (start > at, next > end);
        if before != after || (operator == Operator::Subtract && !before) {
            scene.note(Slip::Blanks(found), start, end);
        }
        Ok((Spanned::new(operator, scene.span(start, end)), next))
    })
}

fn as_value(expr: Expr) -> Part {
    Part::Value(Value { span: expr.span, kind: ValueKind::Expr(Box::new(expr)) })
}

fn relation<'s, E: Complaint<'s>>() -> impl Parser<'s, Input<'s>, Spanned<Relation>, Extra<E>> + Copy {
    leaf(|text, at, scene| {
        let start = scan::blanks(text, at);
        let signs = [
            ("<=", Relation::LessOrEqual),
            (">=", Relation::GreaterOrEqual),
            ("\u{2264}", Relation::LessOrEqual),
            ("\u{2265}", Relation::GreaterOrEqual),
            ("<", Relation::Less),
            (">", Relation::Greater),
            ("=", Relation::Equal),
        ];
        let (sign, relation) = *signs
            .iter()
            .find(|(sign, _)| scan::rest(text, start).starts_with(sign))
            .ok_or(Want::Relation)?;
        let end = start + sign.len();
        Ok((Spanned::new(relation, scene.span(start, end)), scan::blanks(text, end)))
    })
}

/// A word between two sides of a condition.
fn linking_word<'s, E: Complaint<'s>>(
    word: &'static str,
    relation: Relation,
) -> impl Parser<'s, Input<'s>, Spanned<Relation>, Extra<E>> + Copy {
    leaf(move |text, at, scene| {
        let start = scan::blanks(text, at);
        let end = lexicon::match_word(text, start, word).ok_or(Want::Relation)?;
        Ok((Spanned::new(relation, scene.span(start, end)), scan::blanks(text, end)))
    })
}

/// `EXPR < EXPR`, `EXPR in RANGE`, joined by `and`.
fn condition<'s, E: Complaint<'s>>(
    expression: impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, (), Extra<E>> + Clone {
    let range = leaf(|text, at, scene| match scan::quantity(text, at, scene) {
        Some((ValueKind::Range(low, high), end)) => {
            Ok((Expr { span: low.span.cover(high.span), kind: ExprKind::Range(low, high) }, end))
        }
        _ => Err(Want::Range),
    });
    let within = linking_word("in", Relation::Within).then(range);
    let compared = relation().then(expression.clone());
    let comparison = expression
        .then(choice((within, compared)))
        .map(|(left, (relation, right))| [as_value(left), Part::Relation(relation), as_value(right)]);
    let further = linking_word("and", Relation::And).map(Part::Relation).then(comparison.clone());
    comparison
        .map_with(|comparison, extra| extra.state().entry.parts.extend(comparison))
        .foldl_with(further.repeated(), |(), (and, comparison), extra| {
            extra.state().entry.parts.push(and);
            extra.state().entry.parts.extend(comparison);
        })
        .then_ignore(end_of_line(Want::Closing))
}

/// `FIGURE VALUE` or `FIGURE < VALUE`.
fn expectation<'s, E: Complaint<'s>>(
    value: impl Parser<'s, Input<'s>, Value, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, (), Extra<E>> + Clone {
    let figure = leaf(|text, at, scene| {
        let end = figure_words(text, at).ok_or(Want::Expectation)?;
        Ok((Name { span: scene.span(at, end), quoted: false }, scan::blanks(text, end)))
    });
    figure
        .then(relation().or_not())
        .then(value)
        .then_ignore(blanks())
        .then(string().or_not())
        .then_ignore(end_of_line(Want::Expectation))
        .map_with(|(((figure, relation), value), label), extra| {
            let parts = &mut extra.state().entry.parts;
            parts.push(Part::Name(figure));
            parts.extend(relation.map(Part::Relation));
            parts.push(Part::Value(value));
            parts.extend(label.map(Part::Label));
        })
}

/// The words of a figure: up to a number, a parenthesis, a sign, or a word that joins two sides.
fn figure_words(text: &str, start: usize) -> Option<usize> {
    let (mut at, mut end) = (start, start);
    while let Some(word) = scan::identifier(text, at) {
        let written = text.get(at..word).unwrap_or("");
        if end > start && ["in", "and"].iter().any(|joins| written.eq_ignore_ascii_case(joins)) {
            break;
        }
        end = word;
        at = scan::blanks(text, word);
        if at == word {
            break;
        }
    }
    (end > start).then_some(end)
}

/// `EXPR ["label"]`, behind the `?`.
fn query<'s, E: Complaint<'s>>(
    expression: impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, (), Extra<E>> + Clone {
    expression
        .map(as_value)
        .then_ignore(blanks())
        .then(string().map(Part::Label).or_not())
        .then_ignore(end_of_line(Want::Closing))
        .map_with(|(expr, label), extra| {
            extra.state().entry.parts.extend(core::iter::once(expr).chain(label))
        })
}

/// `NAME = EXPR`, behind `let`.
fn letting<'s, E: Complaint<'s>>(
    expression: impl Parser<'s, Input<'s>, Expr, Extra<E>> + Clone,
) -> impl Parser<'s, Input<'s>, (), Extra<E>> + Clone {
    let name = leaf(|text, at, scene| {
        let end = scan::identifier(text, at).ok_or(Want::LetName)?;
        Ok((Name { span: scene.span(at, end), quoted: false }, end))
    });
    name.then_ignore(sign('=', Want::Equals))
        .then(expression)
        .then_ignore(end_of_line(Want::Closing))
        .map_with(|(name, expr), extra| extra.state().entry.parts.extend([Part::Name(name), as_value(expr)]))
}

/// The parsers of one error type, each boxed.
struct Grammar<'s, E: Complaint<'s>> {
    parts: Boxed<'s, 's, Input<'s>, (), Extra<E>>,
    expectation: Boxed<'s, 's, Input<'s>, (), Extra<E>>,
    condition: Boxed<'s, 's, Input<'s>, (), Extra<E>>,
    query: Boxed<'s, 's, Input<'s>, (), Extra<E>>,
    letting: Boxed<'s, 's, Input<'s>, (), Extra<E>>,
}

impl<'s, E: Complaint<'s>> Grammar<'s, E> {
    fn new() -> Self {
        let expression = expression::<E>().boxed();
        Self {
            parts: parts(expression.clone()).boxed(),
            expectation: expectation(value(expression.clone())).boxed(),
            condition: condition(expression.clone()).boxed(),
            query: query(expression.clone()).boxed(),
            letting: letting(expression).boxed(),
        }
    }

    fn of(&self, form: Reading) -> &Boxed<'s, 's, Input<'s>, (), Extra<E>> {
        match form {
            Reading::Parts => &self.parts,
            Reading::Expectation => &self.expectation,
            Reading::Condition => &self.condition,
            Reading::Query => &self.query,
            Reading::Letting => &self.letting,
        }
    }
}

/// Which of the parsers reads a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reading {
    /// Amounts, names, properties, clauses, labels.
    Parts,
    /// `FIGURE VALUE`.
    Expectation,
    /// `EXPR < EXPR`.
    Condition,
    /// `EXPR ["label"]`.
    Query,
    /// `NAME = EXPR`.
    Letting,
}

/// The grammar, built once for a text. The second set of parsers is built when a line first needs it.
pub(crate) struct Reader<'s> {
    fast: Grammar<'s, EmptyErr>,
    careful: core::cell::OnceCell<Grammar<'s, Problem>>,
}

impl<'s> Reader<'s> {
    pub(crate) fn new() -> Self {
        Self { fast: Grammar::new(), careful: core::cell::OnceCell::new() }
    }

    /// Reads the whole of a text into the entry of the scene, or says where it cannot be read further.
    pub(crate) fn read(&self, form: Reading, text: &'s str, scene: &mut Scene) -> Result<(), Problem> {
        if text.is_empty() && form == Reading::Parts {
            return Ok(());
        }
        if too_nested(text) {
            return Err(Problem { at: 0, want: Want::Simpler });
        }
        let (parts, notes) = (scene.entry.parts.len(), scene.notes.len());
        if self.fast.of(form).parse_with_state(text, scene).has_output() {
            return Ok(());
        }
        scene.entry.parts.truncate(parts);
        scene.notes.truncate(notes);
        scene.signs = 0;
        let careful = self.careful.get_or_init(Grammar::new);
        let problems = careful.of(form).parse_with_state(text, scene).into_errors();
        scene.entry.parts.truncate(parts);
        scene.notes.truncate(notes);
        Err(problems.into_iter().max_by_key(Problem::weight).unwrap_or(Problem { at: 0, want: Want::End }))
    }
}

fn too_nested(text: &str) -> bool {
    // Those in quotes are counted too: a name with that many parentheses is none.
    memchr::memchr_iter(b'(', text.as_bytes()).nth(MOST_NESTED).is_some()
}
