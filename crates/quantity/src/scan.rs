//! Numbers and units at the start of a text, for a line parser that calls this for each value.
//!
//! Nothing here allocates except [`suggest_unit`], which is for the message about an unknown unit. Words
//! are found through a hash table that is built from the unit table at compile time.

use crate::UnitId;
use crate::unit::{CURRENCIES, Case, TABLE, Written};

/// How a number was spelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NumberKind {
    /// `12`
    Whole,
    /// `12.50`, with the number of digits after the point (at most 255 are counted).
    Decimal {
        /// Digits after the point.
        places: u8,
    },
    /// `1/2`
    Fraction,
    /// `1 1/2`
    Mixed,
}

/// What is wrong with a number that can still be recognised as one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NumberFault {
    /// A comma stands directly between two digits. The value reads it as a decimal point, unless a second
    /// comma or a point follows: then commas only part thousands.
    DecimalComma {
        /// Exactly three digits follow each comma, so that it may also part thousands.
        three_digits: bool,
    },
    /// `1/0`; the value is the whole part.
    ZeroBelow,
    /// More digits than a number can hold; the value is the largest one.
    TooLarge,
}

/// A number as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    /// Its value; always finite, and best effort where there is a fault.
    pub value: f64,
    /// How it was spelled.
    pub kind: NumberKind,
    /// What is wrong with it.
    pub fault: Option<NumberFault>,
}

const MINUS_SIGN: &[u8] = "\u{2212}".as_bytes();

/// The length of a sign that stands directly before a digit: `-` or U+2212.
fn sign_len(bytes: &[u8]) -> usize {
    let len = match bytes.first() {
        Some(b'-') => 1,
        Some(0xE2) if bytes.starts_with(MINUS_SIGN) => MINUS_SIGN.len(),
        _ => return 0,
    };
    if bytes.get(len).is_some_and(u8::is_ascii_digit) { len } else { 0 }
}

fn digits(bytes: &[u8], at: usize) -> usize {
    bytes.get(at..).unwrap_or_default().iter().take_while(|b| b.is_ascii_digit()).count()
}

/// Decimal digits with one point, exact for what fits 2^53 and rounded correctly beyond.
fn decimal_value(text: &str) -> f64 {
    const POWERS: [f64; 16] =
        [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];
    if text.len() > 15 {
        return text.parse().unwrap_or(f64::MAX);
    }
    let (mut whole, mut places, mut after) = (0u64, 0usize, false);
    for byte in text.bytes() {
        match byte {
            b'0'..=b'9' => {
                whole = whole * 10 + u64::from(byte - b'0');
                places += usize::from(after);
            }
            _ => after = true,
        }
    }
    whole as f64 / POWERS.get(places).copied().unwrap_or(1.0)
}

/// A number without fractions, as expressions read it: `12`, `12.5`, with a sign directly before a digit.
/// Gives the number and its length in bytes.
///
/// In an expression `6/2` is a division; everywhere else use [`scan_number`].
#[must_use]
pub fn scan_decimal(text: &str) -> Option<(Number, usize)> {
    let bytes = text.as_bytes();
    let start = sign_len(bytes);
    let whole = digits(bytes, start);
    if whole == 0 {
        return None;
    }
    let mut end = start + whole;
    let mut commas = 0usize;
    let mut three_digits = true;
    while bytes.get(end) == Some(&b',') {
        let group = digits(bytes, end + 1);
        if group == 0 {
            break;
        }
        commas += 1;
        three_digits &= group == 3;
        end += 1 + group;
    }
    let mut places = if bytes.get(end) == Some(&b'.') { digits(bytes, end + 1) } else { 0 };
    let point = places > 0;
    if point {
        end += 1 + places;
    }
    let written = text.get(start..end)?;
    let (value, fault) = if commas == 0 {
        (decimal_value(written), None)
    } else {
        let thousands = commas > 1 || point;
        if !thousands {
            places = end - start - whole - 1;
        }
        (comma_value(written, thousands), Some(NumberFault::DecimalComma { three_digits }))
    };
    let (value, fault) =
        if value.is_finite() { (value, fault) } else { (f64::MAX, Some(NumberFault::TooLarge)) };
    let kind = if places == 0 {
        NumberKind::Whole
    } else {
        NumberKind::Decimal { places: u8::try_from(places).unwrap_or(u8::MAX) }
    };
    let value = if start > 0 && value != 0.0 { -value } else { value };
    Some((Number { value, kind, fault }, end))
}

/// The value of digits with commas in them: dropped, or the one comma read as a point.
fn comma_value(written: &str, thousands: bool) -> f64 {
    // A number longer than this is no slip of the keyboard; its leading digits are enough for a message.
    let mut buffer = [0u8; 64];
    let mut len = 0;
    for byte in written.bytes() {
        let byte = match byte {
            b',' if thousands => continue,
            b',' => b'.',
            other => other,
        };
        if let Some(slot) = buffer.get_mut(len) {
            *slot = byte;
            len += 1;
        }
    }
    core::str::from_utf8(&buffer[..len]).map_or(0.0, decimal_value)
}

/// The fraction at an offset: numerator, denominator, end. At most three digits each side of the bar.
fn fraction(bytes: &[u8], at: usize) -> Option<(f64, f64, usize)> {
    let small = |at: usize| -> Option<(f64, usize)> {
        let count = digits(bytes, at);
        if !(1..=3).contains(&count) {
            return None;
        }
        let value = bytes[at..at + count].iter().fold(0u32, |value, b| value * 10 + u32::from(b - b'0'));
        Some((f64::from(value), at + count))
    };
    let (over, bar) = small(at)?;
    if bytes.get(bar) != Some(&b'/') {
        return None;
    }
    let (under, end) = small(bar + 1)?;
    // `1/2.5` is no fraction.
    let decimal = matches!(bytes.get(end), Some(b'.' | b',')) && digits(bytes, end + 1) > 0;
    (!decimal).then_some((over, under, end))
}

/// A number at the start of the text, and its length in bytes: `12`, `12.5`, `1/2`, `1 1/2`, with a sign
/// (`-` or U+2212) directly before a digit. `None` when no number starts here.
///
/// A number that is part of a word (`2-row malt`) is recognised as well: whether a hyphen and a letter
/// follow is for the caller to see.
#[must_use]
pub fn scan_number(text: &str) -> Option<(Number, usize)> {
    let (whole, len) = scan_decimal(text)?;
    if whole.kind != NumberKind::Whole || whole.fault.is_some() {
        return Some((whole, len));
    }
    let bytes = text.as_bytes();
    let start = sign_len(bytes);
    let negative = start > 0;
    let made = |base: f64, (over, under, end): (f64, f64, usize), kind| {
        let (value, fault) =
            if under == 0.0 { (base, Some(NumberFault::ZeroBelow)) } else { (base + over / under, None) };
        let value = if negative && value != 0.0 { -value } else { value };
        Some((Number { value, kind, fault }, end))
    };
    match bytes.get(len) {
        Some(b'/') => {
            if let Some(found) = fraction(bytes, start) {
                return made(0.0, found, NumberKind::Fraction);
            }
        }
        Some(b' ' | b'\t' | 0xC2 | 0xE2) => {
            let blanks = blanks(bytes, len);
            if blanks > 0
                && let Some(found) = fraction(bytes, len + blanks)
            {
                return made(whole.value.abs(), found, NumberKind::Mixed);
            }
        }
        _ => {}
    }
    Some((whole, len))
}

/// Why a unit that was recognised may not stand as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitError {
    /// The case makes it another unit (`ML` is a megalitre); the unit whose spelling was meant.
    WrongCase {
        /// The unit; its display is the right spelling.
        right: UnitId,
    },
    /// `wk` is a week or a degree Windisch-Kolbach.
    Ambiguous {
        /// The two readings, the likelier first.
        readings: [UnitId; 2],
    },
}

/// A unit at the start of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnitMatch {
    /// The unit, or why it may not stand so.
    pub unit: Result<UnitId, UnitError>,
    /// Length in bytes.
    pub len: usize,
}

/// The bytes of blanks at an offset: spaces, tabs and no-break spaces.
fn blanks(bytes: &[u8], at: usize) -> usize {
    let mut end = at;
    loop {
        match bytes.get(end..).unwrap_or_default() {
            [b' ' | b'\t', ..] => end += 1,
            [0xC2, 0xA0, ..] => end += 2,
            [0xE2, 0x80, 0xAF | 0x87, ..] => end += 3,
            _ => return end - at,
        }
    }
}

/// The bytes of a degree sign at an offset: `°`, or the ordinal sign that some keyboards give for it.
fn degree_sign(bytes: &[u8], at: usize) -> usize {
    match bytes.get(at..).unwrap_or_default() {
        [0xC2, 0xB0 | 0xBA, ..] => 2,
        _ => 0,
    }
}

/// Whether a word ends at an offset, so that what stands before it is a whole word.
fn ends_word(text: &str, at: usize) -> bool {
    let Some(rest) = text.get(at..) else { return false };
    let bytes = rest.as_bytes();
    let Some(&first) = bytes.first() else { return true };
    let goes_on =
        |at: usize| rest.get(at..).and_then(|rest| rest.chars().next()).is_some_and(char::is_alphanumeric);
    match first {
        b'-' | b'.' | b'\'' | b'_' => !(first == b'_' || goes_on(1)),
        0..0x80 => !first.is_ascii_alphanumeric(),
        _ => !goes_on(0) && degree_sign(bytes, 0) == 0,
    }
}

/// The length of the word at an offset: letters, then letters and digits; `%` is a word.
const fn word_len(bytes: &[u8], at: usize) -> usize {
    let mut end = at;
    while end < bytes.len() {
        let byte = bytes[end];
        if !(byte.is_ascii_alphabetic() || (end > at && byte.is_ascii_digit())) {
            break;
        }
        end += 1;
    }
    if end == at && at < bytes.len() && bytes[at] == b'%' { 1 } else { end - at }
}

const KEY_BYTES: usize = 16;

/// A word of at most 16 bytes without its case, as one number; 0 for a longer one.
const fn key(bytes: &[u8], at: usize, len: usize) -> u128 {
    if len > KEY_BYTES {
        return 0;
    }
    let mut key = 0u128;
    let mut i = 0;
    while i < len {
        key = (key << 8) | bytes[at + i].to_ascii_lowercase() as u128;
        i += 1;
    }
    key
}

const SLOTS: usize = 2048;

const fn slot(key: u128) -> usize {
    let mixed = (key as u64) ^ ((key >> 64) as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (mixed.wrapping_mul(0xD6E8_FEB8_6659_FD93) >> 53) as usize
}

const NONE: u8 = u8::MAX;

/// What a word may begin.
#[derive(Clone, Copy)]
struct Word {
    key: u128,
    /// Row of the unit table.
    unit: u8,
    /// Row that is meant only before `/`.
    above: u8,
    /// Index of the currency.
    currency: u8,
    /// Whether the word is the formatter's spelling, where case may matter.
    symbol: bool,
    /// Spellings of more than this word: a stretch of `phrases`, the longest first.
    phrases: (u8, u8),
}

#[derive(Clone, Copy)]
struct Phrase {
    text: &'static str,
    word: u16,
    unit: u8,
}

const WORDS: usize = 512;
const PHRASES: usize = 128;

struct Words {
    slots: [u16; SLOTS],
    words: [Word; WORDS],
    phrases: [Phrase; PHRASES],
}

struct Builder {
    table: Words,
    words: usize,
    phrases: usize,
}

impl Builder {
    /// The index of a word, entered if it is new.
    const fn word(&mut self, text: &[u8], len: usize) -> usize {
        assert!(len > 0 && len <= KEY_BYTES, "a spelling starts with a word of at most 16 bytes");
        let key = key(text, 0, len);
        let mut at = slot(key);
        loop {
            let index = self.table.slots[at] as usize;
            if index == 0 {
                break;
            }
            if self.table.words[index].key == key {
                return index;
            }
            at = (at + 1) % SLOTS;
        }
        let index = self.words;
        self.words += 1;
        self.table.slots[at] = index as u16;
        self.table.words[index].key = key;
        index
    }

    const fn spelling(&mut self, text: &'static str, unit: u8, symbol: bool) {
        let bytes = text.as_bytes();
        let len = word_len(bytes, 0);
        let index = self.word(bytes, len);
        if len == bytes.len() {
            assert!(self.table.words[index].unit == NONE, "one spelling, two units");
            self.table.words[index].unit = unit;
            self.table.words[index].symbol = symbol;
        } else if len + 1 == bytes.len() && bytes[len] == b'/' {
            self.table.words[index].above = unit;
        } else {
            self.table.phrases[self.phrases] = Phrase { text, word: index as u16, unit };
            self.phrases += 1;
        }
    }

    /// Puts the phrases of one word side by side, the longest first.
    const fn sort_phrases(&mut self) {
        let mut i = 1;
        while i < self.phrases {
            let mut j = i;
            while j > 0 {
                let (a, b) = (self.table.phrases[j - 1], self.table.phrases[j]);
                if a.word < b.word || (a.word == b.word && a.text.len() >= b.text.len()) {
                    break;
                }
                self.table.phrases[j - 1] = b;
                self.table.phrases[j] = a;
                j -= 1;
            }
            i += 1;
        }
        let mut i = 0;
        while i < self.phrases {
            let word = self.table.phrases[i].word as usize;
            let (start, len) = self.table.words[word].phrases;
            self.table.words[word].phrases = (if len == 0 { i as u8 } else { start }, len + 1);
            i += 1;
        }
    }
}

const fn build() -> Words {
    let word = Word { key: 0, unit: NONE, above: NONE, currency: NONE, symbol: false, phrases: (0, 0) };
    let mut builder = Builder {
        table: Words {
            slots: [0; SLOTS],
            words: [word; WORDS],
            phrases: [Phrase { text: "", word: 0, unit: NONE }; PHRASES],
        },
        words: 1,
        phrases: 0,
    };
    let mut unit = 0;
    while unit < TABLE.len() {
        if matches!(TABLE[unit].written, Written::Anywhere) {
            builder.spelling(TABLE[unit].symbol, unit as u8, true);
            let mut alias = 0;
            while alias < TABLE[unit].aliases.len() {
                builder.spelling(TABLE[unit].aliases[alias], unit as u8, false);
                alias += 1;
            }
        }
        unit += 1;
    }
    builder.sort_phrases();
    let mut currency = 0;
    while currency < CURRENCIES.len() {
        let code = CURRENCIES[currency].code.as_bytes();
        let index = builder.word(code, code.len());
        builder.table.words[index].currency = currency as u8;
        currency += 1;
    }
    builder.table
}

static TABLES: Words = build();

fn look_up(bytes: &[u8], at: usize, len: usize) -> Option<&'static Word> {
    let key = key(bytes, at, len);
    if key == 0 {
        return None;
    }
    let mut at = slot(key);
    loop {
        let index = usize::from(*TABLES.slots.get(at)?);
        if index == 0 {
            return None;
        }
        let word = TABLES.words.get(index)?;
        if word.key == key {
            return Some(word);
        }
        at = (at + 1) % SLOTS;
    }
}

/// A row that was recognised, and whether its case tells another unit.
#[derive(Clone, Copy)]
struct Found {
    row: usize,
    wrong_case: bool,
    end: usize,
}

/// Whether a word's capitals make it another unit than the row whose spelling it folds to.
fn wrong_case(row: usize, symbol: bool, word: &[u8]) -> bool {
    let Some(spec) = TABLE.get(row) else { return false };
    symbol
        && match spec.case {
            Case::Free => false,
            Case::SmallFirst => word.first().is_some_and(u8::is_ascii_uppercase),
            Case::Capitals => word.iter().any(u8::is_ascii_lowercase),
        }
}

/// The length of a phrase at an offset: letters without case, one blank for one or more.
fn phrase_len(bytes: &[u8], at: usize, phrase: &str) -> Option<usize> {
    let mut end = at;
    for &byte in phrase.as_bytes() {
        if byte == b' ' {
            let blanks = blanks(bytes, end);
            if blanks == 0 {
                return None;
            }
            end += blanks;
        } else if bytes.get(end).is_some_and(|found| found.eq_ignore_ascii_case(&byte)) {
            end += 1;
        } else {
            return None;
        }
    }
    Some(end - at)
}

/// The unit below a bar.
fn denominator(bytes: &[u8], at: usize) -> Option<Found> {
    let mut at = at;
    let mut hundred = false;
    if bytes.get(at..).unwrap_or_default().starts_with(b"100") && digits(bytes, at) == 3 {
        at += 3;
        at += blanks(bytes, at);
        hundred = true;
    }
    let degree = degree_sign(bytes, at);
    at += degree;
    let len = word_len(bytes, at);
    let word = look_up(bytes, at, len)?;
    let written = bytes.get(at..at + len)?;
    let row = usize::from(word.unit);
    let spec = TABLE.get(row)?;
    if degree > 0 && !spec.degree {
        return None;
    }
    let end = at + len;
    let wrong = wrong_case(row, word.symbol, written);
    if hundred {
        let row = match spec.id {
            UnitId::G => UnitId::HUNDRED_G,
            UnitId::ML => UnitId::HUNDRED_ML,
            _ => return None,
        };
        return Some(Found { row: row.row_index(), wrong_case: wrong, end });
    }
    if spec.id == UnitId::WK && wrong {
        // Nothing is counted by degree Windisch-Kolbach: below a bar this is a week, misspelled.
        return Some(Found { row: UnitId::WEEK.row_index(), wrong_case: true, end });
    }
    Some(Found { row, wrong_case: wrong, end })
}

/// A ratio that begins with `above` and goes on with a bar at its end.
fn ratio(text: &str, above: Found, over: UnitId) -> Option<UnitMatch> {
    let bytes = text.as_bytes();
    if bytes.get(above.end) != Some(&b'/') {
        return None;
    }
    let below = denominator(bytes, above.end + 1)?;
    let unit = over.per(UnitId::of_row(below.row))?;
    if !ends_word(text, below.end) {
        return None;
    }
    let wrong = above.wrong_case || below.wrong_case;
    Some(UnitMatch {
        unit: if wrong { Err(UnitError::WrongCase { right: unit }) } else { Ok(unit) },
        len: below.end,
    })
}

/// A row of the table by itself, or as the upper side of a ratio if a bar and a unit follow.
fn row_or_ratio(text: &str, found: Found) -> Option<UnitMatch> {
    let unit = UnitId::of_row(found.row);
    if let Some(ratio) = ratio(text, found, unit) {
        return Some(ratio);
    }
    if !ends_word(text, found.end) {
        return None;
    }
    let unit = if !found.wrong_case {
        Ok(unit)
    } else if unit == UnitId::WK {
        Err(UnitError::Ambiguous { readings: [UnitId::WEEK, UnitId::WK] })
    } else {
        Err(UnitError::WrongCase { right: unit })
    };
    Some(UnitMatch { unit, len: found.end })
}

/// The unit at the start of the text, blanks before it already skipped, and its length in bytes.
///
/// The longest spelling that ends with its word wins: `ppm as CaCO3` before `ppm`, `g/L CO2` before `g/L`.
/// Units match without case, except where case tells them apart; `°` may stand before those that take it.
/// `None` when no known unit starts here.
#[must_use]
pub fn scan_unit(text: &str) -> Option<UnitMatch> {
    let bytes = text.as_bytes();
    let mut at = degree_sign(bytes, 0);
    let mut degree = at > 0;
    if degree {
        at += blanks(bytes, at);
    }
    let mut len = word_len(bytes, at);
    if !degree && matches!(len, 3 | 6 | 7) && is_degree_word(bytes.get(..len).unwrap_or_default()) {
        degree = true;
        at = len + blanks(bytes, len);
        len = word_len(bytes, at);
    }
    let word = look_up(bytes, at, len)?;
    let written = bytes.get(at..at + len)?;
    if degree {
        let mut row = usize::from(word.unit);
        if row == UnitId::L.row_index() {
            row = UnitId::LOV.row_index();
        }
        if !TABLE.get(row)?.degree {
            return None;
        }
        let wrong_case = wrong_case(row, word.symbol, written);
        return row_or_ratio(text, Found { row, wrong_case, end: at + len });
    }
    let (start, count) = word.phrases;
    let phrases = usize::from(start)..usize::from(start) + usize::from(count);
    for phrase in TABLES.phrases.get(phrases).unwrap_or_default() {
        let Some(end) = phrase_len(bytes, 0, phrase.text) else { continue };
        let row = usize::from(phrase.unit);
        // A phrase shows its prefix in its first letter just as a word does.
        let small = TABLE.get(row).is_some_and(|spec| spec.case == Case::SmallFirst);
        let wrong_case = small && written.len() == 1 && written.first().is_some_and(u8::is_ascii_uppercase);
        if let Some(found) = row_or_ratio(text, Found { row, wrong_case, end }) {
            return Some(found);
        }
    }
    // `kgs` are kilograms, `KGS` is a currency.
    let is_code = word.currency != NONE && written.iter().all(u8::is_ascii_uppercase);
    if word.unit != NONE && !is_code {
        let row = usize::from(word.unit);
        let wrong_case = wrong_case(row, word.symbol, written);
        return row_or_ratio(text, Found { row, wrong_case, end: len });
    }
    if word.above != NONE {
        let row = usize::from(word.above);
        let found = Found { row, wrong_case: false, end: len };
        return ratio(text, found, UnitId::of_row(row));
    }
    if word.currency != NONE {
        return money(text, usize::from(word.currency), written);
    }
    None
}

/// `deg`, `degree` and `degrees`, written for the sign.
fn is_degree_word(word: &[u8]) -> bool {
    [&b"deg"[..], b"degree", b"degrees"].iter().any(|known| word.eq_ignore_ascii_case(known))
}

/// A currency or a price. Codes are capitals, since in small letters many are words (`all`, `top`, `cup`);
/// a price in small letters is recognised by its bar.
fn money(text: &str, currency: usize, written: &[u8]) -> Option<UnitMatch> {
    let unit = UnitId::of_currency(currency);
    let capitals = written.iter().all(u8::is_ascii_uppercase);
    let above = Found { row: 0, wrong_case: !capitals, end: written.len() };
    if let Some(price) = ratio(text, above, unit) {
        return Some(price);
    }
    (capitals && ends_word(text, above.end)).then_some(UnitMatch { unit: Ok(unit), len: above.end })
}

/// What is written by hand and is no symbol, too short to be near one. A `gr` may be a grain as well, so these
/// are for suggestions only.
const SHORTHAND: &[(&str, UnitId)] = &[
    ("gr", UnitId::G),
    ("grm", UnitId::G),
    ("gm", UnitId::G),
    ("gms", UnitId::G),
    ("ltr", UnitId::L),
    ("ltrs", UnitId::L),
    ("lt", UnitId::L),
];

/// The unit whose spelling is nearest to what is written at the start of the text, for a message about an
/// unknown unit; `None` when nothing is near.
///
/// Near means one slip (two in a word of six letters and more): a letter wrong, missing, too many, or two
/// swapped. Not for the fast path: it compares with every spelling.
#[must_use]
pub fn suggest_unit(text: &str) -> Option<UnitId> {
    let end = text
        .char_indices()
        .find(|(_, c)| c.is_whitespace() || matches!(c, ']' | '[' | ')' | '(' | ',' | '#' | '"'))
        .map_or(text.len(), |(at, _)| at);
    let word = text.get(..end.min(40)).unwrap_or_default().trim_end_matches('.');
    if word.is_empty() {
        return None;
    }
    if let Some(found) = scan_unit(word).filter(|found| found.len == word.len()) {
        return Some(match found.unit {
            Ok(unit) | Err(UnitError::WrongCase { right: unit }) => unit,
            Err(UnitError::Ambiguous { readings: [first, _] }) => first,
        });
    }
    // A degree sign behind its letter, or before a unit that takes none.
    let bare: String = word.chars().filter(|c| !matches!(c, '°' | 'º')).collect();
    if bare.len() != word.len() {
        return suggest_unit(&bare);
    }
    if let Some((above, below)) = word.split_once('/') {
        let (above, below) = (suggest_unit(above)?, suggest_unit(below)?);
        return above.per(below);
    }
    let folded = word.to_lowercase();
    if let Some((_, unit)) = SHORTHAND.iter().find(|(text, _)| *text == folded) {
        return Some(*unit);
    }
    let letters = folded.chars().count();
    let slips = match letters {
        0..=2 => 0,
        3..=5 => 1,
        _ => 2,
    };
    TABLE
        .iter()
        .filter(|spec| spec.is_written())
        .flat_map(|spec| core::iter::once(&spec.symbol).chain(spec.aliases).map(|text| (spec.id, text)))
        // Each letter that only one of them has is a slip.
        .filter(|(_, text)| slips > 0 && text.chars().count().abs_diff(letters) <= slips)
        .map(|(id, text)| (strsim::osa_distance(&folded, &text.to_lowercase()), id))
        .filter(|(distance, _)| *distance <= slips)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, id)| id)
        .or_else(|| UnitId::currency(&word.to_uppercase()))
}
