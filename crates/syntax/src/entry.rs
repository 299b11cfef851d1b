//! The grammar of headers and entries, in chumsky, as a pure function of block kind and line.
//!
//! Every line is first parsed with an error type that carries nothing, which is what makes it fast; only a
//! line that fails is parsed again with one that says where and why. Parsers are built once for a file and
//! boxed a kind of line.

use chumsky::error::{EmptyErr, LabelError};
use chumsky::extra::{Full, SimpleState};
use chumsky::input::InputRef;
use chumsky::prelude::*;
use chumsky::util::MaybeRef;
use smallvec::SmallVec;

use crate::ast::{
    Clause, ClausePart, Entry, Expr, ExprKind, Form, Function, Name, Operator, Part, Prop, PropKind, Props,
    Relation, Value, ValueKind, When,
};
use crate::scan::{self, Stops, Trouble};
use crate::span::{Span, Spanned};
use crate::vocabulary::{
    BLOCKS, BlockKind, BlockSpec, ClauseWord, EntrySpec, Flag, Keyword, PROPERTY_ONLY, Slot, TEXT_FIELDS,
};

/// What the leaves need to know of the line they are in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scope {
    /// Offset of the entry in its block.
    base: usize,
    /// Kind of the block, for its entries.
    block: Option<&'static BlockSpec>,
    /// The entry recognised by its keyword.
    entry: Option<&'static EntrySpec>,
    /// Words that end a name.
    stops: Stops,
}

/// An error of the second pass: how far the line could be read, and what is known to be wrong there.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Found {
    pub(crate) at: usize,
    pub(crate) trouble: Trouble,
}

/// Error types of the two passes.
trait LineError<'a>: chumsky::error::Error<'a, &'a str> + 'a {
    fn trouble(at: usize, trouble: Trouble) -> Self;
}

impl<'a> LineError<'a> for EmptyErr {
    fn trouble(_: usize, _: Trouble) -> Self {
        Self::default()
    }
}

impl<'a> LineError<'a> for Found {
    fn trouble(at: usize, trouble: Trouble) -> Self {
        Self { at, trouble }
    }
}

impl<'a> chumsky::error::Error<'a, &'a str> for Found {
    fn merge(self, other: Self) -> Self {
        // A leaf that knows what is wrong says more than a grammar that only knows where.
        let known = |found: &Self| found.trouble != Trouble::Unreadable;
        match (known(&self), known(&other)) {
            (true, false) => self,
            (false, true) => other,
            _ if other.at > self.at => other,
            _ => self,
        }
    }
}

impl<'a, L> LabelError<'a, &'a str, L> for Found {
    fn expected_found<I: IntoIterator<Item = L>>(
        _: I,
        _: Option<MaybeRef<'a, char>>,
        span: SimpleSpan<usize>,
    ) -> Self {
        Self { at: span.start, trouble: Trouble::Unreadable }
    }
}

type Extra<E> = Full<E, SimpleState<Scope>, ()>;
type Input<'a, 'p, E> = InputRef<'a, 'p, &'a str, Extra<E>>;
type Line<'a, E> = Boxed<'a, 'a, &'a str, Entry, Extra<E>>;

/// What a leaf says: its value and length, or what is wrong how far on.
type Leaf<T> = Result<(T, usize), (usize, Trouble)>;

const NO: (usize, Trouble) = (0, Trouble::Unreadable);

/// A parser from a function on the rest of the line.
fn leaf<'a, T, E: LineError<'a>>(
    read: impl Fn(&'a str, usize, &mut Scope) -> Leaf<T> + Clone,
) -> impl Parser<'a, &'a str, T, Extra<E>> + Clone {
    custom(move |input: &mut Input<'a, '_, E>| {
        let start = input.cursor();
        let at = *start.inner();
        let rest: &'a str = input.slice_from(&start..);
        let base = input.state().base + at;
        match read(rest, base, input.state()) {
            Ok((value, len)) => {
                let mut left = len;
                while left > 0 {
                    let Some(c) = input.next() else { break };
                    left = left.saturating_sub(c.len_utf8());
                }
                Ok(value)
            }
            Err((further, trouble)) => Err(E::trouble(at + further, trouble)),
        }
    })
}

fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

fn place(base: usize, len: usize) -> Span {
    Span::new(offset(base), offset(base + len))
}

fn blanks<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, (), Extra<E>> + Clone {
    leaf(|rest, _, _| Ok(((), scan::blanks(rest))))
}

fn sign<'a, E: LineError<'a>>(sign: &'static str) -> impl Parser<'a, &'a str, (), Extra<E>> + Clone {
    leaf(move |rest: &str, _, _| if rest.starts_with(sign) { Ok(((), sign.len())) } else { Err(NO) })
}

/// The position in the block.
fn here<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, usize, Extra<E>> + Clone {
    leaf(|_, base, _| Ok((base, 0)))
}

fn string<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, (Span, Span), Extra<E>> + Clone {
    leaf(|rest: &str, base, _| {
        let after = rest.strip_prefix('"').ok_or(NO)?;
        let close = after.find('"').ok_or(NO)?;
        Ok(((place(base + 1, close), place(base, close + 2)), close + 2))
    })
}

fn plain_value<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, Value, Extra<E>> + Clone {
    leaf(|rest: &str, base, _| {
        let (kind, len) = scan::value(rest, base)?.ok_or(NO)?;
        Ok((Value { span: place(base, len), kind }, len))
    })
}

fn name<'a, E: LineError<'a>>(commas_end: bool) -> impl Parser<'a, &'a str, Name, Extra<E>> + Clone {
    leaf(move |rest: &str, base, scope| scan::name(rest, base, scope.stops, commas_end).ok_or(NO))
}

// ---- expressions ------------------------------------------------------------------------------------------

fn function(word: &str) -> Option<Function> {
    Some(match word.to_ascii_lowercase().as_str() {
        "min" => Function::Min,
        "max" => Function::Max,
        "round" => Function::Round,
        "abs" => Function::Abs,
        "sqrt" => Function::Sqrt,
        "step" => Function::Step,
        _ => return None,
    })
}

/// Length of a name in an expression: letters, digits and `_`, joined by `-` or `.`.
fn ident_len(rest: &str) -> usize {
    let mut len = 0;
    let mut chars = rest.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let joins =
            matches!(c, '-' | '.') && at > 0 && chars.peek().is_some_and(|(_, next)| next.is_alphanumeric());
        let fits = if at == 0 { c.is_alphabetic() } else { c.is_alphanumeric() || c == '_' || joins };
        if !fits {
            break;
        }
        len = at + c.len_utf8();
    }
    len
}

/// An operator with its blanks: on both sides or on neither, `-` always on both.
fn operator<'a, E: LineError<'a>>(
    signs: &'static [(char, Operator)],
) -> impl Parser<'a, &'a str, Spanned<Operator>, Extra<E>> + Clone {
    leaf(move |rest: &str, base, _| {
        let before = scan::blanks(rest);
        let after_blank = &rest[before..];
        let first = after_blank.chars().next().ok_or(NO)?;
        let (_, operator) = signs.iter().find(|(sign, _)| *sign == first).ok_or(NO)?;
        let len = first.len_utf8();
        let behind = scan::blanks(&after_blank[len..]);
        let even = (before > 0) == (behind > 0);
        if !even || (*operator == Operator::Subtract && before == 0) {
            return Err((before, Trouble::OperatorBlanks { len }));
        }
        Ok((Spanned::new(*operator, place(base + before, len)), before + len + behind))
    })
}

fn expression<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, Expr, Extra<E>> + Clone {
    recursive(|expr| {
        let inner = blanks().ignore_then(expr).then_ignore(blanks());
        let measured = leaf(|rest: &str, base, _| {
            if !rest.starts_with(|c: char| c.is_ascii_digit()) {
                return Err(NO);
            }
            let (measure, len) = scan::measure(rest, base)?.ok_or(NO)?;
            Ok((Expr { span: place(base, len), kind: ExprKind::Measure(measure) }, len))
        });
        let call = leaf(|rest: &str, base, _| {
            let len = ident_len(rest);
            let known = function(&rest[..len]).ok_or(NO)?;
            if !rest[len..].starts_with('(') {
                return Err(NO);
            }
            Ok(((known, base), len + 1))
        })
        .then(inner.clone().separated_by(sign(",")).at_least(1).collect::<Vec<Expr>>())
        .then_ignore(sign(")"))
        .then(here())
        .map(|(((known, start), arguments), end)| Expr {
            span: Span::new(offset(start), offset(end)),
            kind: ExprKind::Call(known, arguments),
        });
        let ident = leaf(|rest: &str, base, _| {
            let len = ident_len(rest);
            if len == 0 { Err(NO) } else { Ok((Expr { span: place(base, len), kind: ExprKind::Ident }, len)) }
        });
        let group = sign("(").ignore_then(inner).then_ignore(sign(")"));
        let atom = choice((measured, call, ident, group)).boxed();
        let unary = here()
            .then(
                leaf(|rest: &str, _, _| {
                    let sign = ["-", "\u{2212}"].into_iter().find(|sign| rest.starts_with(sign)).ok_or(NO)?;
                    Ok(((), sign.len()))
                })
                .or_not(),
            )
            .then(atom)
            .map(|((start, minus), expr)| match minus {
                None => expr,
                Some(()) => Expr {
                    span: Span::new(offset(start), expr.span.end),
                    kind: ExprKind::Negate(Box::new(expr)),
                },
            });
        let exponent = leaf(|rest: &str, base, _| {
            let (measure, len) = scan::measure(rest, base)?.ok_or(NO)?;
            if measure.unit.is_some() || measure.number.fract() != 0.0 || measure.number.abs() > 100.0 {
                return Err(NO);
            }
            Ok((Expr { span: place(base, len), kind: ExprKind::Measure(measure) }, len))
        });
        let power =
            unary.then(operator(&[('^', Operator::Power)]).then(exponent).or_not()).map(|(base, raised)| {
                match raised {
                    None => base,
                    Some((operator, exponent)) => binary(base, operator, exponent),
                }
            });
        let term = power.clone().foldl(
            operator(&[('*', Operator::Multiply), ('/', Operator::Divide)]).then(power).repeated(),
            |left, (operator, right)| binary(left, operator, right),
        );
        term.clone().foldl(
            operator(&[('+', Operator::Add), ('-', Operator::Subtract), ('\u{2212}', Operator::Subtract)])
                .then(term)
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

// ---- values, properties, clauses ---------------------------------------------------------------------------

fn value<'a, E: LineError<'a>>(
    expr: impl Parser<'a, &'a str, Expr, Extra<E>> + Clone,
) -> impl Parser<'a, &'a str, Value, Extra<E>> + Clone {
    let grouped = here()
        .then_ignore(sign("("))
        .then_ignore(blanks())
        .then(expr)
        .then_ignore(blanks())
        .then_ignore(sign(")"))
        .then(here())
        .map(|((start, expr), end)| Value {
            span: Span::new(offset(start), offset(end)),
            kind: ValueKind::Expr(Box::new(expr)),
        });
    choice((plain_value(), grouped))
}

/// Field words that may open a property: those of every definition, and a few more.
fn property_key(rest: &str) -> Option<(Keyword, usize)> {
    let first = rest.as_bytes().first()?.to_ascii_lowercase();
    let fields = BLOCKS.iter().filter(|spec| spec.kind.is_definition()).flat_map(|spec| spec.entries);
    let mut best: Option<(Keyword, usize)> = None;
    for key in fields.map(|field| field.keyword).chain(PROPERTY_ONLY.iter().copied()) {
        if key.word().as_bytes()[0] != first {
            continue;
        }
        if let Some(len) = scan::matches_words(rest, key.word())
            && best.is_none_or(|(_, longest)| len > longest)
        {
            best = Some((key, len));
        }
    }
    best
}

fn ends_property(rest: &str) -> bool {
    let after = &rest[scan::blanks(rest)..];
    after.is_empty() || after.starts_with([',', ']'])
}

fn flag<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, PropKind, Extra<E>> + Clone {
    leaf(|rest: &str, _, _| {
        Flag::ALL
            .iter()
            .filter_map(|flag| {
                let len = scan::matches_words(rest, flag.word())?;
                ends_property(&rest[len..]).then_some((PropKind::Flag(*flag), len))
            })
            .max_by_key(|(_, len)| *len)
            .ok_or(NO)
    })
}

fn properties<'a, E: LineError<'a>>(
    value: impl Parser<'a, &'a str, Value, Extra<E>> + Clone + 'a,
) -> impl Parser<'a, &'a str, Props, Extra<E>> + Clone {
    let or = leaf(|rest: &str, _, _| Ok(((), scan::matches_words(rest, "or").ok_or(NO)?)))
        .ignore_then(blanks())
        .ignore_then(name(true))
        .map(PropKind::Or);
    let text_field = leaf(|rest: &str, base, _| {
        let (key, len) = property_key(rest).ok_or(NO)?;
        if !TEXT_FIELDS.contains(&key) {
            return Err(NO);
        }
        let gap = scan::blanks(&rest[len..]);
        let text = &rest[len + gap..];
        let end = text.find([']']).unwrap_or(text.len());
        let end = text[..end].find(", ").unwrap_or(end);
        let end = text[..end].trim_end().len();
        let words = (end > 0).then(|| Name { span: place(base + len + gap, end), quoted: false });
        let kind = PropKind::Keyed { key, key_span: place(base, len), value: None, words };
        Ok((kind, len + gap + end))
    });
    let key = leaf(|rest: &str, base, _| {
        let (key, len) = property_key(rest).ok_or(NO)?;
        Ok(((key, place(base, len)), len))
    });
    let at = leaf(|rest: &str, _, _| {
        let len = scan::matches_words(rest, "at").ok_or(NO)?;
        Ok(((), len + scan::blanks(&rest[len..])))
    });
    let keyed = key
        .then_ignore(blanks())
        .then(
            choice((
                at.or_not().ignore_then(value.clone()).map(|value| (Some(value), None)),
                name(true).map(|words| (None, Some(words))),
            ))
            .or_not(),
        )
        .map(|((key, key_span), rest)| {
            let (value, words) = rest.unwrap_or((None, None));
            PropKind::Keyed { key, key_span, value, words }
        });
    let one = here()
        .then(choice((
            or,
            flag(),
            text_field,
            keyed.boxed(),
            value.map(PropKind::Value),
            name(true).map(PropKind::Words),
        )))
        .then(here())
        .map(|((start, kind), end)| Prop { span: Span::new(offset(start), offset(end)), kind });
    let comma = blanks().ignore_then(sign(",")).ignore_then(blanks());
    let list = one.separated_by(comma).collect::<Vec<Prop>>();
    here()
        .then_ignore(sign("["))
        .then_ignore(blanks())
        .then(list)
        .then_ignore(blanks())
        .then_ignore(leaf(|rest: &str, _, _| match rest.chars().next() {
            Some(']') => Ok(((), 1)),
            None => Err((0, Trouble::BracketOpen)),
            Some(_) => Err(NO),
        }))
        .then(here())
        .map(|((start, list), end)| Props { span: Span::new(offset(start), offset(end)), list })
        .boxed()
}

fn clause<'a, E: LineError<'a>>(
    value: impl Parser<'a, &'a str, Value, Extra<E>> + Clone,
    props: impl Parser<'a, &'a str, Props, Extra<E>> + Clone,
) -> impl Parser<'a, &'a str, Clause, Extra<E>> + Clone {
    let opening = leaf(|rest: &str, base, scope| {
        let (word, len) = scan::clause_word(rest, scope.stops).ok_or(NO)?;
        Ok(((word, place(base, len)), len))
    });
    // `of 27` in a tasting names a gyle, whose id is any run of characters.
    let id = leaf(|rest: &str, base, scope: &mut Scope| {
        let is_tasting = scope.block.is_some_and(|block| block.kind == BlockKind::Tasting);
        let len = scan::word(rest);
        if is_tasting
            && len > 0
            && scan::clause_word(rest, scope.stops).is_none()
            && scan::date(rest).is_none()
        {
            Ok((Name { span: place(base, len), quoted: false }, len))
        } else {
            Err(NO)
        }
    });
    // `to reach ph 5.35`, `until ph 3.4`: the number is not part of a name.
    let ph = leaf(|rest: &str, base, _| {
        let len = scan::matches_words(rest, "ph").ok_or(NO)?;
        Ok((Name { span: place(base, len), quoted: false }, len))
    });
    let part = choice((
        id.map(ClausePart::Name),
        ph.map(ClausePart::Name),
        value.map(ClausePart::Value),
        props.map(ClausePart::Props),
        name(false).map(ClausePart::Name),
    ));
    opening.then(blanks().ignore_then(part).repeated().collect::<Vec<ClausePart>>()).then(here()).map(
        |(((word, word_span), parts), _)| {
            let end = parts.iter().map(|part| match part {
                ClausePart::Value(value) => value.span.end,
                ClausePart::Name(name) => name.span.end + u32::from(name.quoted),
                ClausePart::Props(props) => props.span.end,
            });
            let span = Span::new(word_span.start, end.max().unwrap_or(word_span.end));
            Clause { word, word_span, span, parts: SmallVec::from_vec(parts) }
        },
    )
}

// ---- lines -------------------------------------------------------------------------------------------------

/// The entry whose first words stand here: the longest wins.
fn entry_keyword(rest: &str, block: &'static BlockSpec, led: bool) -> Option<(&'static EntrySpec, usize)> {
    let first = rest.as_bytes().first()?.to_ascii_lowercase();
    let mut best: Option<(&'static EntrySpec, usize)> = None;
    for spec in block.entries {
        let word = spec.keyword.word();
        if word.as_bytes()[0] != first || (led && !spec.amount_leads) {
            continue;
        }
        if let Some(len) = scan::matches_words(rest, word)
            && best.is_none_or(|(_, longest)| len > longest)
        {
            best = Some((spec, len));
        }
    }
    best
}

fn keyword<'a, E: LineError<'a>>(led: bool) -> impl Parser<'a, &'a str, Spanned<Keyword>, Extra<E>> + Clone {
    leaf(move |rest: &str, base, scope: &mut Scope| {
        let (spec, len) = scope.block.and_then(|block| entry_keyword(rest, block, led)).ok_or(NO)?;
        scope.entry = Some(spec);
        scope.stops = spec.clauses.iter().fold(Stops::ITEM, |stops, clause| stops.and(clause.word));
        Ok((Spanned::new(spec.keyword, place(base, len)), len))
    })
}

fn when<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, Spanned<When>, Extra<E>> + Clone {
    leaf(|rest: &str, base, _| {
        let clock_after = |at: usize| {
            let gap = scan::blanks(&rest[at..]);
            (gap > 0)
                .then(|| scan::clock(&rest[at + gap..]))
                .flatten()
                .map(|(clock, len)| (clock, at + gap + len))
        };
        let (when, len) = if let Some((date, at)) = scan::date(rest) {
            clock_after(at)
                .map_or((When::Date(date, None), at), |(clock, end)| (When::Date(date, Some(clock)), end))
        } else if let Some((clock, at)) = scan::clock(rest) {
            (When::Clock(clock), at)
        } else if let Some(((day, None), at)) = scan::day(rest) {
            clock_after(at)
                .map_or((When::Day(day, None), at), |(clock, end)| (When::Day(day, Some(clock)), end))
        } else {
            return Err(NO);
        };
        Ok((Spanned::new(when, place(base, len)), len))
    })
}

fn rest_of_line<'a, E: LineError<'a>>() -> impl Parser<'a, &'a str, Span, Extra<E>> + Clone {
    leaf(|rest: &str, base, _| Ok((place(base, rest.len()), rest.len())))
}

fn entry(form: Form, keyword: Option<Spanned<Keyword>>, parts: Vec<Part>) -> Entry {
    Entry { span: Span::default(), form, when: None, keyword, parts: SmallVec::from_vec(parts) }
}

struct Pieces<'a, E: LineError<'a>> {
    value: Boxed<'a, 'a, &'a str, Value, Extra<E>>,
    expr: Boxed<'a, 'a, &'a str, Expr, Extra<E>>,
    part: Boxed<'a, 'a, &'a str, Part, Extra<E>>,
}

impl<'a, E: LineError<'a>> Pieces<'a, E> {
    fn new() -> Self {
        let expr = expression().boxed();
        let value = value(expr.clone()).boxed();
        let props = properties(value.clone()).boxed();
        let clause = clause(value.clone(), props.clone());
        let score = leaf(|rest: &str, base, scope: &mut Scope| {
            if !scope.entry.is_some_and(|entry| matches!(entry.takes, [Slot::Score])) {
                return Err(NO);
            }
            let ((got, of), len) = scan::score(rest).ok_or(NO)?;
            Ok((Value { span: place(base, len), kind: ValueKind::Score(got, of) }, len))
        });
        let part = choice((
            score.map(Part::Value),
            value.clone().map(Part::Value),
            clause.map(Part::Clause),
            props.map(Part::Props),
            name(false).map(Part::Name),
        ))
        .boxed();
        Self { value, expr, part }
    }

    fn parts(&self) -> impl Parser<'a, &'a str, Vec<Part>, Extra<E>> + Clone + use<'a, E> {
        blanks().ignore_then(self.part.clone()).repeated().collect::<Vec<Part>>()
    }

    /// Keyword facts, items and amount-led facts.
    fn line(&self) -> Line<'a, E> {
        let text = leaf(|rest: &str, _, scope: &mut Scope| {
            if scope.entry.is_some_and(EntrySpec::is_text) { Ok(((), scan::blanks(rest))) } else { Err(NO) }
        })
        .ignore_then(rest_of_line());
        // Where words alone are wanted a number is one of them: `like 10C`, `tag 2026 winter`.
        let words = leaf(|rest: &str, base, scope: &mut Scope| {
            let gap = scan::blanks(rest);
            let after = &rest[gap..];
            let wanted = scope.entry.is_some_and(|entry| matches!(entry.takes, [Slot::Words]));
            let len = after.find(['[', '"']).map_or(after.len(), |at| after[..at].trim_end().len());
            if !wanted || len == 0 {
                return Err(NO);
            }
            Ok((Name { span: place(base + gap, len), quoted: false }, gap + len))
        });
        let fact = keyword(false)
            .then(choice((
                text.map(|span| if span.is_empty() { vec![] } else { vec![Part::Text(span)] }),
                words.then(self.parts()).map(|(name, mut parts)| {
                    parts.insert(0, Part::Name(name));
                    parts
                }),
                self.parts(),
            )))
            .map(|(keyword, parts): (Spanned<Keyword>, Vec<Part>)| {
                let form = if matches!(parts.as_slice(), [Part::Text(_)]) { Form::Text } else { Form::Fact };
                entry(form, Some(keyword), parts)
            });
        let let_line = leaf(|rest: &str, base, scope: &mut Scope| {
            let allowed = scope.block.is_some_and(|block| block.kind == BlockKind::Recipe);
            let len = scan::matches_words(rest, "let").filter(|_| allowed).ok_or(NO)?;
            Ok((Spanned::new(Keyword::Let, place(base, len)), len))
        })
        .then_ignore(blanks())
        .then(self.assignment())
        .map(|(keyword, parts)| entry(Form::Let, Some(keyword), parts));
        let query = leaf(|rest: &str, _, scope: &mut Scope| {
            let allowed = scope.block.is_some_and(|block| block.queries);
            if allowed && rest.starts_with('?') { Ok(((), 1)) } else { Err(NO) }
        })
        .ignore_then(blanks())
        .ignore_then(self.whole_expr())
        .then(blanks().ignore_then(string()).or_not())
        .map(|(value, label)| {
            let mut parts = vec![Part::Value(value)];
            parts.extend(label.map(|(inside, _)| Part::Label(inside)));
            entry(Form::Query, None, parts)
        });
        let led = self.value.clone().then_ignore(blanks()).then(keyword(true)).then(self.parts()).map(
            |((amount, keyword), mut parts)| {
                parts.insert(0, Part::Value(amount));
                entry(Form::Fact, Some(keyword), parts)
            },
        );
        let item = leaf(|_, _, scope: &mut Scope| {
            scope.entry = None;
            scope.stops = Stops::ITEM;
            Ok(((), 0))
        })
        .ignore_then(self.parts())
        .map(|parts| entry(Form::Item, None, parts));
        let ended =
            |line: Boxed<'a, 'a, &'a str, Entry, Extra<E>>| line.then_ignore(blanks()).then_ignore(end());
        choice((
            ended(query.boxed()),
            ended(let_line.boxed()),
            ended(fact.boxed()),
            ended(led.boxed()),
            ended(item.boxed()),
        ))
        .boxed()
    }

    fn whole_expr(&self) -> impl Parser<'a, &'a str, Value, Extra<E>> + Clone + use<'a, E> {
        here().then(self.expr.clone()).then(here()).map(|((start, expr), end)| Value {
            span: Span::new(offset(start), offset(end)),
            kind: ValueKind::Expr(Box::new(expr)),
        })
    }

    /// `NAME = EXPR`.
    fn assignment(&self) -> impl Parser<'a, &'a str, Vec<Part>, Extra<E>> + Clone + use<'a, E> {
        let ident = leaf(|rest: &str, base, _| {
            let len = ident_len(rest);
            if len == 0 { Err(NO) } else { Ok((Name { span: place(base, len), quoted: false }, len)) }
        });
        ident
            .then_ignore(blanks())
            .then_ignore(sign("="))
            .then_ignore(blanks())
            .then(self.whole_expr())
            .map(|(name, value)| vec![Part::Name(name), Part::Value(value)])
    }

    /// A log entry: a time, then an event.
    fn log(&self) -> Line<'a, E> {
        when()
            .or_not()
            .then_ignore(blanks())
            .then(self.line())
            .map(|(when, mut entry)| {
                entry.when = when;
                entry
            })
            .boxed()
    }

    /// `FIGURE VALUE` and conditions.
    fn expectation(&self) -> Line<'a, E> {
        let relation = leaf(|rest: &str, base, _| {
            const SIGNS: &[(&str, Relation)] = &[
                ("<=", Relation::LessOrEqual),
                (">=", Relation::GreaterOrEqual),
                ("\u{2264}", Relation::LessOrEqual),
                ("\u{2265}", Relation::GreaterOrEqual),
                ("<", Relation::Less),
                (">", Relation::Greater),
                ("=", Relation::Equal),
            ];
            let (sign, relation) = SIGNS.iter().find(|(sign, _)| rest.starts_with(sign)).ok_or(NO)?;
            Ok((Spanned::new(*relation, place(base, sign.len())), sign.len()))
        });
        let figure = leaf(|rest: &str, base, _| {
            let mut at = 0;
            let mut end = 0;
            loop {
                let len = ident_len(&rest[at..]);
                if len == 0 {
                    break;
                }
                end = at + len;
                let gap = scan::blanks(&rest[end..]);
                if gap == 0 {
                    break;
                }
                at = end + gap;
            }
            if end == 0 { Err(NO) } else { Ok((Name { span: place(base, end), quoted: false }, end)) }
        });
        let simple = figure
            .then_ignore(blanks())
            .then(relation.clone().then_ignore(blanks()).or_not())
            .then(self.value.clone())
            .then(blanks().ignore_then(string()).or_not())
            .map(|(((figure, relation), value), label)| {
                let mut parts = vec![Part::Name(figure)];
                parts.extend(relation.map(Part::Relation));
                parts.push(Part::Value(value));
                parts.extend(label.map(|(inside, _)| Part::Label(inside)));
                entry(Form::Expectation, None, parts)
            });
        let range = leaf(|rest: &str, base, _| match scan::value(rest, base)? {
            Some((kind @ ValueKind::Range(..), len)) => Ok((Value { span: place(base, len), kind }, len)),
            _ => Err(NO),
        });
        let within = leaf(|rest: &str, base, _| {
            let len = scan::matches_words(rest, "in").ok_or(NO)?;
            Ok((Spanned::new(Relation::Within, place(base, len)), len))
        });
        let and = leaf(|rest: &str, base, _| {
            let len = scan::matches_words(rest, "and").ok_or(NO)?;
            Ok((Spanned::new(Relation::And, place(base, len)), len))
        });
        let side = self.whole_expr();
        let comparison = side
            .clone()
            .then_ignore(blanks())
            .then(choice((
                within.then_ignore(blanks()).then(range),
                relation.then_ignore(blanks()).then(side),
            )))
            .map(|(left, (relation, right))| {
                vec![Part::Value(left), Part::Relation(relation), Part::Value(right)]
            });
        let more = blanks().ignore_then(and).then_ignore(blanks()).then(comparison.clone());
        let condition = comparison
            .foldl(more.repeated(), |mut parts, (and, next)| {
                parts.push(Part::Relation(and));
                parts.extend(next);
                parts
            })
            .map(|parts| entry(Form::Condition, None, parts));
        let ended =
            |line: Boxed<'a, 'a, &'a str, Entry, Extra<E>>| line.then_ignore(blanks()).then_ignore(end());
        choice((ended(simple.boxed()), ended(condition.boxed()))).boxed()
    }

    /// What stands behind the first word of a header.
    fn header(&self) -> Line<'a, E> {
        let assignment = leaf(|_, _, scope: &mut Scope| {
            if scope.block.is_some_and(|block| block.kind == BlockKind::Let) { Ok(((), 0)) } else { Err(NO) }
        })
        .ignore_then(blanks())
        .ignore_then(self.assignment());
        let id = leaf(|rest: &str, base, scope: &mut Scope| {
            let wanted = scope.block.is_some_and(|block| matches!(block.takes.first(), Some(Slot::Id)));
            let len = scan::word(rest);
            if wanted && len > 0 {
                Ok((Name { span: place(base, len), quoted: false }, len))
            } else {
                Err(NO)
            }
        });
        let plain =
            blanks().ignore_then(id.map(Part::Name).or_not()).then(self.parts()).map(|(id, mut parts)| {
                if let Some(id) = id {
                    parts.insert(0, id);
                }
                parts
            });
        choice((
            assignment.then_ignore(blanks()).then_ignore(end()).boxed(),
            plain.then_ignore(blanks()).then_ignore(end()).boxed(),
        ))
        .map(|parts| entry(Form::Header, None, parts))
        .boxed()
    }
}

/// The parsers of one pass, built once for a file.
struct Pass<'a, E: LineError<'a>> {
    line: Line<'a, E>,
    log: Line<'a, E>,
    expectation: Line<'a, E>,
    header: Line<'a, E>,
}

impl<'a, E: LineError<'a>> Pass<'a, E> {
    fn new() -> Self {
        let pieces = Pieces::new();
        Self {
            line: pieces.line(),
            log: pieces.log(),
            expectation: pieces.expectation(),
            header: pieces.header(),
        }
    }

    fn run(&self, text: &'a str, what: What, scope: Scope) -> Result<Entry, Option<E>> {
        let parser = match what {
            What::Header => &self.header,
            What::Entry(BlockKind::Gyle) => &self.log,
            What::Entry(BlockKind::Expect) => &self.expectation,
            What::Entry(_) => &self.line,
        };
        let (found, errors) = parser.parse_with_state(text, &mut SimpleState(scope)).into_output_errors();
        match found {
            Some(entry) if errors.is_empty() => Ok(entry),
            _ => Err(errors.into_iter().next()),
        }
    }
}

/// Which line is parsed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// What stands behind the first word of a header.
    Header,
    /// An entry of a block.
    Entry(BlockKind),
}

/// Brackets deeper than this are no recipe.
const DEEPEST: usize = 40;

/// Both passes; the second is built when a line first fails.
pub(crate) struct Parsers<'a> {
    fast: Pass<'a, EmptyErr>,
    slow: std::cell::OnceCell<Pass<'a, Found>>,
}

impl<'a> Parsers<'a> {
    pub(crate) fn new() -> Self {
        Self { fast: Pass::new(), slow: std::cell::OnceCell::new() }
    }

    /// Reads an entry (or the rest of a header) that starts `base` bytes into its block.
    pub(crate) fn read(&self, text: &'a str, base: u32, what: What, kind: BlockKind) -> Result<Entry, Found> {
        if too_deep(text) {
            return Err(Found { at: 0, trouble: Trouble::Unreadable });
        }
        let block = kind.spec();
        let stops = match (what, block) {
            (What::Header, Some(block)) => {
                block.clauses.iter().fold(Stops::ITEM, |stops, clause| stops.and(clause.word))
            }
            _ => Stops::ITEM,
        };
        let scope = Scope { base: base as usize, block, entry: None, stops };
        if let Ok(mut entry) = self.fast.run(text, what, scope) {
            entry.span = Span::new(base, base + offset(text.len()));
            settle(&mut entry, block, text, base);
            return Ok(entry);
        }
        let slow = self.slow.get_or_init(Pass::new);
        match slow.run(text, what, scope) {
            // Both passes read the same language; were they ever to differ, the line would still be read.
            Ok(mut entry) => {
                entry.span = Span::new(base, base + offset(text.len()));
                settle(&mut entry, block, text, base);
                Ok(entry)
            }
            Err(found) => Err(found.unwrap_or(Found { at: 0, trouble: Trouble::Unreadable })),
        }
    }
}

fn too_deep(text: &str) -> bool {
    let mut depth = 0usize;
    text.bytes().any(|byte| {
        match byte {
            b'(' => depth += 1,
            b')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        depth > DEEPEST
    })
}

/// Decides what quoted texts are: a value where the entry wants one in quotes, else the name of the thing,
/// else a label.
fn settle(entry: &mut Entry, block: Option<&'static BlockSpec>, _text: &str, _base: u32) {
    let spec = entry.keyword.and_then(|keyword| {
        block.and_then(|block| block.entries.iter().find(|spec| spec.keyword == keyword.node))
    });
    let (takes, clauses) = match (entry.form, spec) {
        (Form::Header, _) => {
            block.map_or((&[] as &[Slot], &[] as &[_]), |block| (block.takes, block.clauses))
        }
        (_, Some(spec)) => (spec.takes, spec.clauses),
        _ => (&[] as &[Slot], &[] as &[_]),
    };
    let wants_string = takes.contains(&Slot::Str);
    let wants_name = entry.form == Form::Item
        || takes.iter().any(|slot| matches!(slot, Slot::Ref(_) | Slot::Word(_) | Slot::Words | Slot::Id));
    let mut named = false;
    for part in &mut entry.parts {
        match part {
            Part::Name(name) if name.quoted => {
                let span = name.span;
                if wants_string {
                    *part = Part::Value(Value {
                        span: Span::new(span.start - 1, span.end + 1),
                        kind: ValueKind::Str(span),
                    });
                } else if named || !wants_name {
                    *part = Part::Label(span);
                } else {
                    named = true;
                }
            }
            Part::Name(_) => named = true,
            Part::Clause(clause) => {
                let of_string = clauses.iter().any(|spec: &crate::vocabulary::ClauseSpec| {
                    spec.word == clause.word && spec.takes.contains(&Slot::Str)
                });
                if !of_string {
                    continue;
                }
                for part in &mut clause.parts {
                    if let ClausePart::Name(Name { span, quoted: true }) = *part {
                        *part = ClausePart::Value(Value {
                            span: Span::new(span.start - 1, span.end + 1),
                            kind: ValueKind::Str(span),
                        });
                    }
                }
            }
            _ => {}
        }
    }
    // A label behind a clause was taken for a name of the clause: `for 60 min "label"`.
    let mut label = None;
    if let Some(Part::Clause(clause)) = entry.parts.last_mut()
        && clause.parts.len() > 1
        && let Some(ClausePart::Name(Name { span, quoted: true })) = clause.parts.last().cloned()
        && clause.word != ClauseWord::With
    {
        clause.parts.pop();
        let end = clause.parts.iter().map(|part| match part {
            ClausePart::Value(value) => value.span.end,
            ClausePart::Name(name) => name.span.end + u32::from(name.quoted),
            ClausePart::Props(props) => props.span.end,
        });
        clause.span.end = end.max().unwrap_or(clause.word_span.end);
        label = Some(Part::Label(span));
    }
    entry.parts.extend(label);
}
