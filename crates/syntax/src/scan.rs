//! The leaves of the grammar: how words, numbers, values and names are told apart.
//!
//! Each leaf looks at the rest of the entry and says how much of it is its own, or what is wrong there. They
//! allocate nothing and are called by the parsers of [`crate::entry`].

use quantity::{Number, NumberFault, UnitError, UnitId, scan_number, scan_unit};

use crate::Span;
use crate::ast::{Clock, Date, Measure, Name, ValueKind};
use crate::line::is_blank;
use crate::vocabulary::ClauseWord;

/// What is wrong at a place, in data; [`crate::words`] puts it in words.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Trouble {
    /// A comma where a decimal point is wanted.
    DecimalComma {
        /// The number's length in bytes.
        len: usize,
        /// Whether three digits follow, so that thousands may be meant.
        thousands: bool,
    },
    /// A fraction or number that cannot be one: `1/0`, `12345/2`.
    BadNumber {
        /// Its length.
        len: usize,
    },
    /// `ML` for `mL`.
    UnitCase {
        /// Its length.
        len: usize,
        /// What was meant.
        meant: UnitId,
    },
    /// `wk`: weeks or Windisch-Kolbach.
    UnitAmbiguous {
        /// Its length.
        len: usize,
    },
    /// A bracket that is not closed.
    BracketOpen,
    /// An operator without blanks on both sides, or on one only.
    OperatorBlanks {
        /// Its length.
        len: usize,
    },
    /// Something else; nothing more is known than the place.
    Unreadable,
}

/// What is allowed to end a name.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Stops(u16);

impl Stops {
    /// Of item lines.
    pub(crate) const ITEM: Self = Self::of(&[
        ClauseWord::At,
        ClauseWord::To,
        ClauseWord::ToReach,
        ClauseWord::On,
        ClauseWord::From,
        ClauseWord::For,
        ClauseWord::Over,
        ClauseWord::Until,
        ClauseWord::With,
        ClauseWord::In,
    ]);

    pub(crate) const fn of(words: &[ClauseWord]) -> Self {
        let mut bits = 0;
        let mut at = 0;
        while at < words.len() {
            bits |= 1 << words[at] as u16;
            at += 1;
        }
        Self(bits)
    }

    pub(crate) const fn and(self, word: ClauseWord) -> Self {
        Self(self.0 | 1 << word as u16)
    }

    pub(crate) const fn has(self, word: ClauseWord) -> bool {
        self.0 & (1 << word as u16) != 0
    }
}

/// Length of the blanks at the start.
pub(crate) fn blanks(rest: &str) -> usize {
    let bytes = rest.as_bytes();
    let plain = bytes.iter().take_while(|&&b| b == b' ').count();
    if bytes.get(plain).is_none_or(|b| b.is_ascii_graphic()) {
        return plain;
    }
    rest.len() - rest.trim_start_matches(is_blank).len()
}

/// Whether a character ends a word.
const fn ends_word(c: char) -> bool {
    is_blank(c) || matches!(c, '[' | ']' | '(' | ')' | '"' | '#')
}

/// Length of the word at the start.
pub(crate) fn word(rest: &str) -> usize {
    let bytes = rest.as_bytes();
    for (at, &byte) in bytes.iter().enumerate() {
        match byte {
            b' ' | b'\t' | b'[' | b']' | b'(' | b')' | b'"' | b'#' => return at,
            0x80.. => return rest[..].find(ends_word).unwrap_or(rest.len()),
            _ => {}
        }
    }
    rest.len()
}

/// Matches words of the vocabulary at the start: each word whole, a hyphen like a blank, without case.
/// Gives the length in the text.
pub(crate) fn matches_words(rest: &str, wanted: &str) -> Option<usize> {
    let bytes = rest.as_bytes();
    let mut at = 0;
    for want in wanted.bytes() {
        if want == b' ' || want == b'-' {
            if bytes.get(at) == Some(&b'-') {
                at += 1;
            } else {
                let gap = blanks(&rest[at..]);
                if gap == 0 {
                    return None;
                }
                at += gap;
            }
        } else {
            if bytes.get(at).map(u8::to_ascii_lowercase) != Some(want) {
                return None;
            }
            at += 1;
        }
    }
    let next = rest.get(at..)?.chars().next();
    next.is_none_or(|c| ends_word(c) || c == ',').then_some(at)
}

/// The clause word at the start, if it is one of `stops`.
pub(crate) fn clause_word(rest: &str, stops: Stops) -> Option<(ClauseWord, usize)> {
    let first = rest.as_bytes().first()?.to_ascii_lowercase();
    let try_word = |word: ClauseWord| {
        stops.has(word).then(|| matches_words(rest, word.word())).flatten().map(|len| (word, len))
    };
    use ClauseWord as W;
    match first {
        b'a' => try_word(W::At),
        b't' => try_word(W::ToReach).or_else(|| try_word(W::To)),
        b'o' => try_word(W::On).or_else(|| try_word(W::Over)).or_else(|| try_word(W::Of)),
        b'f' => try_word(W::For).or_else(|| try_word(W::From)),
        b'i' => try_word(W::In),
        b'b' => try_word(W::By).or_else(|| try_word(W::Boil)),
        b'u' => try_word(W::Until),
        b'c' => try_word(W::Cap),
        b'w' => try_word(W::With),
        b'p' => try_word(W::Planned),
        _ => None,
    }
}

fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

fn span(base: usize, from: usize, to: usize) -> Span {
    Span::new(offset(base + from), offset(base + to))
}

/// A number; one with a fault is an error.
fn number(rest: &str) -> Result<Option<(Number, usize)>, Trouble> {
    match scan_number(rest) {
        None => Ok(None),
        Some((number, len)) => match number.fault {
            None => Ok(Some((number, len))),
            Some(NumberFault::DecimalComma { three_digits }) => {
                Err(Trouble::DecimalComma { len, thousands: three_digits })
            }
            Some(_) => Err(Trouble::BadNumber { len }),
        },
    }
}

/// Whether a number is directly followed by a hyphen and a letter, as in `2-row malt`: part of a word.
fn is_hyphenated(after: &str) -> bool {
    let mut chars = after.chars();
    chars.next() == Some('-') && chars.next().is_some_and(char::is_alphabetic)
}

/// A unit after optional blanks: which, its length with the blanks, and the blanks alone.
fn unit(after: &str) -> Result<Option<(UnitId, usize, usize)>, Trouble> {
    let gap = blanks(after);
    let rest = &after[gap..];
    let Some(found) = scan_unit(rest) else { return Ok(None) };
    match found.unit {
        Ok(id) => Ok(Some((id, gap + found.len, gap))),
        Err(UnitError::WrongCase { right }) => Err(Trouble::UnitCase { len: found.len, meant: right }),
        Err(UnitError::Ambiguous { .. }) => Err(Trouble::UnitAmbiguous { len: found.len }),
    }
}

/// An error with the place it belongs to, relative to the text scanned.
pub(crate) type At = (usize, Trouble);

/// A number with its unit and whatever of the same kind adds to it.
pub(crate) fn measure(rest: &str, base: usize) -> Result<Option<(Measure, usize)>, At> {
    let Some((first, len)) = number(rest).map_err(|trouble| (0, trouble))? else { return Ok(None) };
    if is_hyphenated(&rest[len..]) {
        return Ok(None);
    }
    let mut at = len;
    let mut whole = Measure {
        number: first.value,
        unit: None,
        span: span(base, 0, len),
        unit_span: span(base, len, len),
    };
    let Some((id, used, gap)) = unit(&rest[at..]).map_err(|trouble| (at + blanks(&rest[at..]), trouble))?
    else {
        return Ok(Some((whole, at)));
    };
    whole.unit = Some(id);
    whole.unit_span = span(base, at + gap, at + used);
    at += used;
    // `2 lb 4 oz`, `1 h 15 min`.
    let mut sum = quantity::Quantity::new(first.value, id);
    let mut last = id;
    loop {
        let gap = blanks(&rest[at..]);
        let more = &rest[at + gap..];
        let Ok(Some((next, len))) = number(more) else { break };
        let Ok(Some((next_unit, used, _))) = unit(&more[len..]) else { break };
        if quantity::quantity::check_sum(last, next_unit).is_err() {
            break;
        }
        let Ok(added) = sum.plus_part(quantity::Quantity::new(next.value, next_unit), None) else { break };
        sum = added;
        last = next_unit;
        at += gap + len + used;
    }
    whole.number = sum.value;
    whole.span = span(base, 0, at);
    Ok(Some((whole, at)))
}

/// `2026-03-14`.
pub(crate) fn date(rest: &str) -> Option<(Date, usize)> {
    let bytes = rest.as_bytes();
    let digits = |range: core::ops::Range<usize>| -> Option<u16> {
        let part = bytes.get(range)?;
        part.iter()
            .all(u8::is_ascii_digit)
            .then(|| part.iter().fold(0u16, |sum, digit| sum * 10 + u16::from(digit - b'0')))
    };
    if bytes.get(4) != Some(&b'-') || bytes.get(7) != Some(&b'-') {
        return None;
    }
    let (year, month, day) = (digits(0..4)?, digits(5..7)?, digits(8..10)?);
    if bytes.get(10).is_some_and(u8::is_ascii_alphanumeric) {
        return None;
    }
    let small = |value: u16| u8::try_from(value).unwrap_or(0);
    Some((Date { year: i16::try_from(year).unwrap_or(0), month: small(month), day: small(day) }, 10))
}

/// `10:05`.
pub(crate) fn clock(rest: &str) -> Option<(Clock, usize)> {
    let colon = rest.as_bytes().iter().position(|&b| b == b':')?;
    if colon == 0 || colon > 2 {
        return None;
    }
    let bytes = rest.as_bytes();
    let two = |part: &[u8]| -> Option<u8> {
        part.iter()
            .all(u8::is_ascii_digit)
            .then(|| part.iter().fold(0, |sum, digit| sum * 10 + (digit - b'0')))
    };
    let hour = two(&bytes[..colon])?;
    let minute = two(bytes.get(colon + 1..colon + 3)?)?;
    let len = colon + 3;
    if bytes.get(len).is_some_and(u8::is_ascii_alphanumeric) || hour > 23 || minute > 59 {
        return None;
    }
    Some((Clock { hour, minute }, len))
}

fn whole_number(rest: &str) -> Option<(i32, usize)> {
    let bytes = rest.as_bytes();
    let (sign, from) = if rest.starts_with('-') {
        (-1, 1)
    } else if rest.starts_with('\u{2212}') {
        (-1, '\u{2212}'.len_utf8())
    } else {
        (1, 0)
    };
    let digits = bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let value: i32 = rest.get(from..from + digits)?.parse().ok()?;
    Some((sign * value, from + digits))
}

/// `day 3`, `day 8..11`.
pub(crate) fn day(rest: &str) -> Option<((i32, Option<i32>), usize)> {
    let word = rest.get(..3)?;
    if !word.eq_ignore_ascii_case("day") {
        return None;
    }
    let gap = blanks(&rest[3..]);
    if gap == 0 {
        return None;
    }
    let (first, len) = whole_number(&rest[3 + gap..])?;
    let mut at = 3 + gap + len;
    let mut second = None;
    if let Some(after) = rest[at..].strip_prefix("..")
        && let Some((last, len)) = whole_number(after)
    {
        second = Some(last);
        at += 2 + len;
    }
    let next = rest[at..].chars().next();
    next.is_none_or(|c| ends_word(c) || c == ',').then_some(((first, second), at))
}

/// `38/50`.
pub(crate) fn score(rest: &str) -> Option<((f64, f64), usize)> {
    let (got, len) = quantity::scan_decimal(rest)?;
    let slash = len + blanks(&rest[len..]);
    let after = rest[slash..].strip_prefix('/')?;
    let gap = blanks(after);
    let (of, of_len) = quantity::scan_decimal(&after[gap..])?;
    Some(((got.value, of.value), slash + 1 + gap + of_len))
}

/// A value that is no expression and no string.
pub(crate) fn value(rest: &str, base: usize) -> Result<Option<(ValueKind, usize)>, At> {
    let Some(first) = rest.chars().next() else { return Ok(None) };
    if first == 'd' || first == 'D' {
        return Ok(day(rest).map(|((from, to), len)| (ValueKind::Day(from, to), len)));
    }
    if !(first.is_ascii_digit() || matches!(first, '-' | '\u{2212}' | '.' | '+')) {
        return Ok(None);
    }
    if let Some((date, len)) = date(rest) {
        return Ok(Some((ValueKind::Date(date), len)));
    }
    if let Some((clock, len)) = clock(rest) {
        return Ok(Some((ValueKind::Clock(clock), len)));
    }
    let Some((low, len)) = measure(rest, base)? else { return Ok(None) };
    let gap = blanks(&rest[len..]);
    let after = &rest[len + gap..];
    let (sign, is_range) = if after.starts_with("..") {
        (2, true)
    } else if after.starts_with('±') {
        ('±'.len_utf8(), false)
    } else if after.starts_with("+/-") {
        (3, false)
    } else {
        return Ok(Some((ValueKind::Plain(low), len)));
    };
    let second = len + gap + sign;
    let second = second + blanks(&rest[second..]);
    let found = measure(&rest[second..], base + second).map_err(|(at, trouble)| (second + at, trouble))?;
    let Some((high, high_len)) = found else { return Err((second, Trouble::Unreadable)) };
    let kind = if is_range { ValueKind::Range(low, high) } else { ValueKind::Tolerance(low, high) };
    Ok(Some((kind, second + high_len)))
}

/// Whether a word begins a number with a unit, which ends a name: `crystal 60 L`.
fn is_quantity(rest: &str) -> bool {
    if !rest.starts_with(|c: char| c.is_ascii_digit()) {
        return false;
    }
    match scan_number(rest) {
        Some((_, len)) => !is_hyphenated(&rest[len..]) && matches!(unit(&rest[len..]), Ok(Some(_)) | Err(_)),
        None => false,
    }
}

/// A name: words up to a bracket, a quote, a clause word or a quantity. A number may not begin it.
pub(crate) fn name(rest: &str, base: usize, stops: Stops, commas_end: bool) -> Option<(Name, usize)> {
    if let Some(after) = rest.strip_prefix('"') {
        let close = after.find('"')?;
        return Some((Name { span: span(base, 1, 1 + close), quoted: true }, close + 2));
    }
    let mut at = 0;
    let mut end = 0;
    loop {
        let here = &rest[at..];
        let mut len = word(here);
        if len == 0 || clause_word(here, stops).is_some() || is_quantity(here) {
            break;
        }
        if at == 0
            && starts_number(here)
            && !scan_number(here).is_some_and(|(_, n)| is_hyphenated(&here[n..]))
        {
            return None;
        }
        let mut last = false;
        if commas_end && let Some(comma) = here[..len].find(',') {
            len = comma;
            last = true;
        }
        if len > 0 {
            end = at + len;
        }
        if last {
            break;
        }
        at += len;
        at += blanks(&rest[at..]);
    }
    (end > 0).then(|| (Name { span: span(base, 0, end), quoted: false }, end))
}

fn starts_number(rest: &str) -> bool {
    let mut chars = rest.chars();
    match chars.next() {
        Some(c) if c.is_ascii_digit() => true,
        Some('-' | '\u{2212}' | '.' | '+') => chars.next().is_some_and(|c| c.is_ascii_digit()),
        _ => false,
    }
}
