//! The smallest pieces of a line: blanks, words, names, numbers with their units, dates, strings.
//!
//! Each function looks at one place of a text and gives what stands there with its end, or nothing. Places
//! are bytes of the text passed; ranges that go into the tree are moved by [`Scene::base`]. Nothing here
//! fails and nothing is allocated.

use quantity::quantity::check_sum;
use quantity::{Number, NumberFault, Quantity, UnitError, UnitId, scan_decimal, scan_number, scan_unit};
use smallvec::SmallVec;

use crate::ast::{Clock, Date, Entry, Form, Measure, Value, ValueKind, When};
use crate::lexicon::Stops;
use crate::span::{Span, Spanned};
use crate::vocabulary::ClauseWord;

/// Something wrong with the writing of a piece that can still be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Slip {
    /// `4,6`; whether exactly three digits follow the comma.
    DecimalComma { three_digits: bool },
    /// `1/0`.
    ZeroBelow,
    /// More digits than a number can hold.
    TooLarge,
    /// `ML` for `mL`.
    UnitCase(UnitId),
    /// `wk`.
    AmbiguousUnit([UnitId; 2]),
    /// A sum whose parts differ between the customary systems.
    CustomarySum,
    /// Curly quotes.
    CurlyQuotes,
    /// A quote without its partner.
    UnclosedString,
    /// `[` without its `]`.
    UnclosedBracket,
    /// `(` without its `)`.
    UnclosedParenthesis,
    /// A sign of arithmetic with a blank on one side only, or a minus without both.
    Blanks(char),
}

/// A slip and its place in the block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Note {
    pub(crate) slip: Slip,
    pub(crate) span: Span,
}

/// What the reading of a line knows and collects.
#[derive(Debug)]
pub(crate) struct Scene {
    /// The entry, whose parts are put in as they are read: moving them from parser to parser costs more than
    /// reading them.
    pub(crate) entry: Box<Entry>,
    /// Where the text being read begins in the block.
    pub(crate) base: u32,
    /// Clause words that end a name here.
    pub(crate) stops: Stops,
    /// Whether what comes first is words even where it looks like a number.
    pub(crate) words_first: bool,
    /// Whether what comes first may be a score (`38/50`).
    pub(crate) scores: bool,
    /// Signs of arithmetic so far.
    pub(crate) signs: u16,
    /// Slips in the order found.
    pub(crate) notes: SmallVec<[Note; 2]>,
}

impl Scene {
    /// For an entry whose text to be read begins at a place of the block.
    pub(crate) fn new(base: u32, form: Form, whole: Span) -> Self {
        let entry = Entry { span: whole, form, when: None, keyword: None, parts: SmallVec::new() };
        Self {
            entry: Box::new(entry),
            base,
            stops: Stops::ITEM,
            words_first: false,
            scores: false,
            signs: 0,
            notes: SmallVec::new(),
        }
    }
    /// A range of the text being read, as one of the block.
    pub(crate) fn span(&self, start: usize, end: usize) -> Span {
        let place = |at: usize| self.base.saturating_add(u32::try_from(at).unwrap_or(u32::MAX));
        Span::new(place(start), place(end))
    }
    pub(crate) fn note(&mut self, slip: Slip, start: usize, end: usize) {
        let span = self.span(start, end);
        self.notes.push(Note { slip, span });
    }
}

/// The rest of a text from a place.
pub(crate) fn rest(text: &str, at: usize) -> &str {
    text.get(at..).unwrap_or("")
}

/// The character at a place.
pub(crate) fn char_at(text: &str, at: usize) -> Option<char> {
    rest(text, at).chars().next()
}

/// The end of the blanks at a place. No-break spaces are blanks.
pub(crate) fn blanks(text: &str, mut at: usize) -> usize {
    let bytes = text.as_bytes();
    loop {
        match bytes.get(at) {
            Some(b' ' | b'\t' | 0x0b | 0x0c) => at += 1,
            Some(0x80..) => match char_at(text, at) {
                Some(blank) if blank.is_whitespace() => at += blank.len_utf8(),
                _ => return at,
            },
            _ => return at,
        }
    }
}

/// Whether this is one of the curly double quotes.
pub(crate) const fn is_curly(character: char) -> bool {
    matches!(character, '\u{201c}'..='\u{201f}')
}

/// The end of the word at a place: a run of anything but blanks, brackets, parentheses, quotes and `#`.
pub(crate) fn word_end(text: &str, mut at: usize) -> usize {
    let bytes = text.as_bytes();
    loop {
        match bytes.get(at) {
            None | Some(b' ' | b'\t' | 0x0b | 0x0c | b'[' | b']' | b'(' | b')' | b'"' | b'#') => return at,
            Some(0..0x80) => at += 1,
            Some(_) => match char_at(text, at) {
                Some(character) if !character.is_whitespace() && !is_curly(character) => {
                    at += character.len_utf8();
                }
                _ => return at,
            },
        }
    }
}

/// Whether a keyword may end here: no letter, digit or sign that would go on with the word.
pub(crate) fn ends_word(text: &str, at: usize) -> bool {
    match text.as_bytes().get(at) {
        None | Some(b' ' | b'\t' | b'[' | b']' | b'(' | b')' | b'"' | b'#' | b',') => true,
        Some(0x80..) => char_at(text, at).is_none_or(|c| c.is_whitespace() || is_curly(c)),
        Some(_) => false,
    }
}

/// A text in quotes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Quoted {
    /// First byte inside.
    pub(crate) inner: usize,
    /// One past the last byte inside.
    pub(crate) inner_end: usize,
    /// One past the closing quote, or the end of the text when there is none.
    pub(crate) end: usize,
    pub(crate) closed: bool,
    pub(crate) curly: bool,
}

/// The text in quotes at a place, straight or curly. One without a partner ends before ` [` or at the end.
pub(crate) fn quoted(text: &str, at: usize) -> Option<Quoted> {
    let open = char_at(text, at).filter(|&c| c == '"' || is_curly(c))?;
    let inner = at + open.len_utf8();
    let body = rest(text, inner);
    let straight = if open == '"' { body.find('"') } else { None };
    let close = straight.or_else(|| body.find(|c| c == '"' || is_curly(c)));
    if let Some(close) = close {
        let sign = char_at(body, close).unwrap_or('"');
        return Some(Quoted {
            inner,
            inner_end: inner + close,
            end: inner + close + sign.len_utf8(),
            closed: true,
            curly: open != '"' || sign != '"',
        });
    }
    let stop = body.find(" [").unwrap_or(body.len());
    let inner_end = inner + body.get(..stop).unwrap_or(body).trim_end().len();
    Some(Quoted { inner, inner_end, end: inner_end, closed: false, curly: open != '"' })
}

/// The text in quotes at a place with its slips noted: the range inside the quotes, and the end.
pub(crate) fn string(text: &str, at: usize, scene: &mut Scene) -> Option<(Span, usize)> {
    let found = quoted(text, at)?;
    if found.curly {
        scene.note(Slip::CurlyQuotes, at, found.end);
    }
    if !found.closed {
        scene.note(Slip::UnclosedString, at, found.end);
    }
    Some((scene.span(found.inner, found.inner_end), found.end))
}

/// One past the parenthesis that closes the one at a place.
pub(crate) fn closing_parenthesis(text: &str, start: usize) -> Option<usize> {
    let mut depth = 0usize;
    for (at, byte) in rest(text, start).bytes().enumerate() {
        match byte {
            b'(' => depth += 1,
            b')' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return Some(start + at + 1);
        }
    }
    None
}

/// The clause word at a place, and its end.
pub(crate) fn clause_word(text: &str, at: usize, stops: Stops) -> Option<(ClauseWord, usize)> {
    let end = word_end(text, at);
    let word = text.as_bytes().get(at..end)?;
    let mut folded = [0u8; 7];
    let letters = folded.get_mut(..word.len())?;
    for (to, from) in letters.iter_mut().zip(word) {
        *to = from.to_ascii_lowercase();
    }
    let found = match &*letters {
        b"at" => ClauseWord::At,
        b"to" => ClauseWord::To,
        b"on" => ClauseWord::On,
        b"from" => ClauseWord::From,
        b"in" => ClauseWord::In,
        b"over" => ClauseWord::Over,
        b"for" => ClauseWord::For,
        b"by" => ClauseWord::By,
        b"until" => ClauseWord::Until,
        b"cap" => ClauseWord::Cap,
        b"with" => ClauseWord::With,
        b"boil" => ClauseWord::Boil,
        b"of" => ClauseWord::Of,
        b"planned" => ClauseWord::Planned,
        _ => return None,
    };
    if !stops.has(found) {
        return None;
    }
    if found == ClauseWord::To {
        let next = blanks(text, end);
        let next_end = word_end(text, next);
        if text.get(next..next_end).is_some_and(|word| word.eq_ignore_ascii_case("reach")) {
            return Some((ClauseWord::ToReach, next_end));
        }
    }
    Some((found, end))
}

/// Whether a number at a place stands for itself: a unit, a range or a tolerance follows it.
fn number_stands(text: &str, at: usize) -> bool {
    let Some((_, len)) = scan_number(rest(text, at)) else { return false };
    let end = at + len;
    if is_word_after_number(text, end) {
        return false;
    }
    let next = blanks(text, end);
    scan_unit(rest(text, next)).is_some()
        || range_sign(text, end).is_some()
        || tolerance_sign(text, end).is_some()
}

/// Whether what follows a number directly makes it part of a word: a hyphen and a letter (`2-row`).
fn is_word_after_number(text: &str, end: usize) -> bool {
    text.as_bytes().get(end) == Some(&b'-') && char_at(text, end + 1).is_some_and(char::is_alphabetic)
}

fn starts_number(text: &str, at: usize) -> bool {
    match text.as_bytes().get(at) {
        Some(b'0'..=b'9') => true,
        Some(b'-') => text.as_bytes().get(at + 1).is_some_and(u8::is_ascii_digit),
        Some(0xe2) => rest(text, at)
            .strip_prefix('\u{2212}')
            .is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit())),
        _ => false,
    }
}

/// The end of the name at a place: words up to a bracket, a quote, a clause word or a number with a unit.
/// A comma may end a word but not the name.
pub(crate) fn name(text: &str, start: usize, stops: Stops) -> Option<usize> {
    let mut at = start;
    let mut end = start;
    loop {
        let word = word_end(text, at);
        if word == at || clause_word(text, at, stops).is_some() {
            break;
        }
        if starts_number(text, at) && number_stands(text, at) {
            break;
        }
        end = word;
        at = blanks(text, word);
    }
    let trimmed = text.get(start..end)?.trim_end_matches(',').len();
    (trimmed > 0).then_some(start + trimmed)
}

/// The end of the words at a place in a list of properties: up to a comma with a blank or the list's end
/// behind it, or to `]`.
pub(crate) fn property_words(text: &str, start: usize) -> usize {
    let body = rest(text, start);
    let mut end = body.len();
    for (at, character) in body.char_indices() {
        if character == ']' || (character == ',' && ends_property(body, at)) {
            end = at;
            break;
        }
    }
    start + body.get(..end).unwrap_or("").trim_end().len()
}

/// Whether a comma at a place parts two properties: it does unless a digit follows directly.
fn ends_property(text: &str, at: usize) -> bool {
    !text.as_bytes().get(at + 1).is_some_and(u8::is_ascii_digit)
}

/// The end of the words of a text field in a list of properties: up to `, ` or `]`.
pub(crate) fn text_field(text: &str, start: usize) -> usize {
    let body = rest(text, start);
    let mut end = body.len();
    for (at, character) in body.char_indices() {
        if character == ']' || (character == ',' && char_at(body, at + 1).is_none_or(char::is_whitespace)) {
            end = at;
            break;
        }
    }
    start + body.get(..end).unwrap_or("").trim_end().len()
}

/// One number with its unit, slips noted. `None` also for a number that is the start of a word.
fn measure(
    text: &str,
    at: usize,
    (number, len): (Number, usize),
    scene: &mut Scene,
) -> Option<(Measure, usize)> {
    let number_end = at + len;
    if is_word_after_number(text, number_end) {
        return None;
    }
    let unit_at = blanks(text, number_end);
    let (unit, unit_end) = match scan_unit(rest(text, unit_at)) {
        Some(found) => {
            let end = unit_at + found.len;
            let unit = match found.unit {
                Ok(unit) => unit,
                Err(UnitError::WrongCase { right }) => {
                    scene.note(Slip::UnitCase(right), unit_at, end);
                    right
                }
                Err(UnitError::Ambiguous { readings }) => {
                    scene.note(Slip::AmbiguousUnit(readings), unit_at, end);
                    readings[0]
                }
            };
            (Some(unit), end)
        }
        None => {
            // What is glued to a number and no unit makes a word of it: `7th`, `34/70-x`.
            let goes_on = !ends_word(text, number_end)
                && range_sign(text, number_end).is_none()
                && tolerance_sign(text, number_end).is_none();
            if goes_on {
                return None;
            }
            (None, number_end)
        }
    };
    match number.fault {
        Some(NumberFault::DecimalComma { three_digits }) => {
            scene.note(Slip::DecimalComma { three_digits }, at, number_end);
        }
        Some(NumberFault::ZeroBelow) => scene.note(Slip::ZeroBelow, at, number_end),
        Some(NumberFault::TooLarge) => scene.note(Slip::TooLarge, at, number_end),
        None => {}
    }
    let unit_span = if unit.is_some() {
        scene.span(unit_at, unit_end)
    } else {
        Span::at(scene.span(unit_end, unit_end).start)
    };
    Some((Measure { number: number.value, unit, span: scene.span(at, unit_end), unit_span }, unit_end))
}

fn range_sign(text: &str, at: usize) -> Option<usize> {
    let at = blanks(text, at);
    rest(text, at).starts_with("..").then(|| blanks(text, at + 2))
}

fn tolerance_sign(text: &str, at: usize) -> Option<usize> {
    let at = blanks(text, at);
    let signs = ["\u{b1}", "+/-", "+-"];
    let sign = signs.into_iter().find(|sign| rest(text, at).starts_with(sign))?;
    Some(blanks(text, at + sign.len()))
}

/// The number of an expression, with its unit.
pub(crate) fn operand(text: &str, at: usize, scene: &mut Scene) -> Option<(Measure, usize)> {
    if !text.as_bytes().get(at).is_some_and(u8::is_ascii_digit) {
        return None;
    }
    let (number, len) = scan_decimal(rest(text, at))?;
    let end = at + len;
    // Inside an expression a sign may be glued to a number.
    let unit_at = blanks(text, end);
    if scan_unit(rest(text, unit_at)).is_some() {
        return measure(text, at, (number, len), scene);
    }
    if char_at(text, end).is_some_and(char::is_alphanumeric) {
        return None;
    }
    if let Some(NumberFault::DecimalComma { three_digits }) = number.fault {
        scene.note(Slip::DecimalComma { three_digits }, at, end);
    }
    let span = scene.span(at, end);
    Some((Measure { number: number.value, unit: None, span, unit_span: Span::at(span.end) }, end))
}

/// A quantity, sum, range or tolerance.
pub(crate) fn quantity(text: &str, at: usize, scene: &mut Scene) -> Option<(ValueKind, usize)> {
    let number = scan_number(rest(text, at))?;
    let (first, end) = measure(text, at, number, scene)?;
    match text.as_bytes().get(blanks(text, end)) {
        Some(b'.') => {
            if let Some((second, end)) = second_bound(text, range_sign(text, end), scene) {
                return Some((ValueKind::Range(first, second), end));
            }
        }
        Some(0xc2 | b'+') => {
            if let Some((second, end)) = second_bound(text, tolerance_sign(text, end), scene) {
                return Some((ValueKind::Tolerance(first, second), end));
            }
        }
        Some(b'0'..=b'9') => {
            let (sum, end) = sum(text, first, end, scene);
            return Some((ValueKind::Plain(sum), end));
        }
        _ => {}
    }
    Some((ValueKind::Plain(first), end))
}

fn second_bound(text: &str, at: Option<usize>, scene: &mut Scene) -> Option<(Measure, usize)> {
    let at = at?;
    let number = scan_number(rest(text, at))?;
    measure(text, at, number, scene)
}

/// Adds the neighbours that add: `2 lb 4 oz`, `1 d 2 h 15 min`.
fn sum(text: &str, first: Measure, end: usize, scene: &mut Scene) -> (Measure, usize) {
    let (mut whole, mut end, mut last) = (first, end, first.unit);
    loop {
        let at = blanks(text, end);
        let Some(above) = last.filter(|unit| unit.is_plain()) else { return (whole, end) };
        if !text.as_bytes().get(at).is_some_and(u8::is_ascii_digit) {
            return (whole, end);
        }
        let Some(number) = scan_number(rest(text, at)) else { return (whole, end) };
        let before = scene.notes.len();
        let Some((part, part_end)) = measure(text, at, number, scene) else {
            scene.notes.truncate(before);
            return (whole, end);
        };
        let Some(unit) = part.unit.filter(|&unit| check_sum(above, unit).is_ok()) else {
            scene.notes.truncate(before);
            return (whole, end);
        };
        let total = Quantity::new(whole.number, above_all(first.unit, above))
            .plus_part(Quantity::new(part.number, unit), None);
        match total {
            Ok(total) => whole.number = total.value,
            Err(_) => scene.note(Slip::CustomarySum, at, part_end),
        }
        whole.span = whole.span.cover(part.span);
        end = part_end;
        last = Some(unit);
    }
}

fn above_all(first: Option<UnitId>, above: UnitId) -> UnitId {
    first.unwrap_or(above)
}

/// One to `most` digits as a small number, and their end.
fn digits(text: &str, at: usize, most: usize) -> Option<(u16, usize)> {
    let (mut value, mut end) = (0, at);
    while let Some(digit) = text.as_bytes().get(end).filter(|byte| byte.is_ascii_digit()) {
        if end - at == most {
            return None;
        }
        value = value * 10 + u16::from(digit - b'0');
        end += 1;
    }
    (end > at).then_some((value, end))
}

fn sign(text: &str, at: usize, wanted: u8) -> Option<usize> {
    (text.as_bytes().get(at) == Some(&wanted)).then_some(at + 1)
}

/// `2026-03-14`.
pub(crate) fn date(text: &str, at: usize) -> Option<(Date, usize)> {
    let (year, end) = digits(text, at, 4).filter(|(_, end)| end - at == 4)?;
    let (month, end) = digits(text, sign(text, end, b'-')?, 2)?;
    let (day, end) = digits(text, sign(text, end, b'-')?, 2)?;
    let date = Date {
        year: i16::try_from(year).ok()?,
        month: u8::try_from(month).ok()?,
        day: u8::try_from(day).ok()?,
    };
    ends_word(text, end).then_some((date, end))
}

/// `10:05`.
pub(crate) fn clock(text: &str, at: usize) -> Option<(Clock, usize)> {
    let (hour, end) = digits(text, at, 2)?;
    let minute_at = sign(text, end, b':')?;
    let (minute, end) = digits(text, minute_at, 2).filter(|(_, end)| end - minute_at == 2)?;
    let clock = Clock { hour: u8::try_from(hour).ok()?, minute: u8::try_from(minute).ok()? };
    (hour < 24 && minute < 60 && ends_word(text, end)).then_some((clock, end))
}

fn whole(text: &str, at: usize) -> Option<(i32, usize)> {
    let (negative, start) = match char_at(text, at) {
        Some(minus @ ('-' | '\u{2212}')) => (true, at + minus.len_utf8()),
        _ => (false, at),
    };
    let (value, end) = digits(text, start, 4)?;
    let value = i32::from(value);
    Some((if negative { -value } else { value }, end))
}

/// `day 3`, `day -2`, `day 8..11`.
pub(crate) fn day(text: &str, at: usize) -> Option<(i32, Option<i32>, usize)> {
    if !text.get(at..at + 3).is_some_and(|word| word.eq_ignore_ascii_case("day")) {
        return None;
    }
    let number_at = blanks(text, at + 3);
    if number_at == at + 3 {
        return None;
    }
    let (first, end) = whole(text, number_at)?;
    if let Some((last, end)) = range_sign(text, end).and_then(|at| whole(text, at))
        && ends_word(text, end)
    {
        return Some((first, Some(last), end));
    }
    ends_word(text, end).then_some((first, None, end))
}

/// `38/50`, of a score.
fn score(text: &str, at: usize) -> Option<(ValueKind, usize)> {
    let (given, len) = scan_decimal(rest(text, at))?;
    let bar = sign(text, blanks(text, at + len), b'/')?;
    let most_at = blanks(text, bar);
    let (most, len) = scan_decimal(rest(text, most_at))?;
    ends_word(text, most_at + len).then_some((ValueKind::Score(given.value, most.value), most_at + len))
}

/// A value: a date, a time of day, a day, a score where one may stand, or a quantity. Expressions and
/// strings are for the grammar.
pub(crate) fn value(text: &str, at: usize, scene: &mut Scene) -> Option<(Value, usize)> {
    let (kind, end) = match text.as_bytes().get(at)? {
        b'd' | b'D' => day(text, at).map(|(first, last, end)| (ValueKind::Day(first, last), end))?,
        b'0'..=b'9' => {
            if scene.scores
                && at == 0
                && let Some(found) = score(text, at)
            {
                found
            } else if text.as_bytes().get(at + 4) == Some(&b'-')
                && let Some((date, end)) = date(text, at)
            {
                (ValueKind::Date(date), end)
            } else if text.as_bytes().get(at + 1..at + 3).is_some_and(|next| next.contains(&b':'))
                && let Some((clock, end)) = clock(text, at)
            {
                (ValueKind::Clock(clock), end)
            } else {
                quantity(text, at, scene)?
            }
        }
        b'-' | 0xe2 => quantity(text, at, scene)?,
        _ => return None,
    };
    Some((Value { span: scene.span(at, end), kind }, end))
}

/// The time of a log entry at the start of a line.
pub(crate) fn when(text: &str, base: u32) -> Option<(Spanned<When>, usize)> {
    let with_clock = |end: usize| match clock(text, blanks(text, end)) {
        Some((clock, end)) => (Some(clock), end),
        None => (None, end),
    };
    let (when, end) = if let Some((clock, end)) = clock(text, 0) {
        (When::Clock(clock), end)
    } else if let Some((date, end)) = date(text, 0) {
        let (clock, end) = with_clock(end);
        (When::Date(date, clock), end)
    } else {
        let (first, None, end) = day(text, 0)? else { return None };
        let (clock, end) = with_clock(end);
        (When::Day(first, clock), end)
    };
    let len = u32::try_from(end).unwrap_or(u32::MAX);
    Some((Spanned::new(when, Span::new(base, base.saturating_add(len))), end))
}

/// The end of the identifier of an expression at a place.
pub(crate) fn identifier(text: &str, start: usize) -> Option<usize> {
    char_at(text, start).filter(|c| c.is_alphabetic())?;
    let mut at = start;
    while let Some(character) = char_at(text, at) {
        let next = at + character.len_utf8();
        match character {
            '_' => at = next,
            '-' | '.' if char_at(text, next).is_some_and(char::is_alphanumeric) => at = next,
            _ if character.is_alphanumeric() => at = next,
            _ => break,
        }
    }
    Some(at)
}
