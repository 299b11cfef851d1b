//! What the faults say: what stands there, why it matters, what to write instead, and the fixes.

use quantity::{UnitId, format_plain, scan_number, suggest_unit};

use crate::ast::{Clause, Measure, Name, Value, ValueKind};
use crate::check::{CHANCES, Shape};
use crate::entry::{Problem, Want};
use crate::fault::{Fault, FaultFix};
use crate::lexicon::{self, nearest};
use crate::measure::{accepts, bare_number_stands, kind_name, usual_units};
use crate::scan::{self, Note, Slip};
use crate::span::Span;
use crate::vocabulary::{BLOCKS, BlockKind, ClauseSpec, ClauseWord, Flag, Keyword, Kind, Slot, item_amounts};

const MALFORMED: &str = "malformed-line";

fn fault(rule: &'static str, span: Span, message: String, help: impl Into<String>) -> Fault {
    Fault { rule, span, message, help: help.into(), fixes: Vec::new() }
}

impl Fault {
    fn fix(mut self, safe: bool, title: impl Into<String>, edits: Vec<(Span, String)>) -> Self {
        self.fixes.push(FaultFix { title: title.into(), safe, edits });
        self
    }
    /// Offers another text for a range.
    fn offer(self, span: Span, text: impl Into<String>) -> Self {
        let text = text.into();
        self.fix(false, format!("write `{text}`"), vec![(span, text)])
    }
    /// Offers a text to be put in at a place; the title shows it with its neighbour.
    fn offer_insert(self, at: u32, text: impl Into<String>, shown: &str) -> Self {
        self.fix(false, format!("write `{shown}`"), vec![(Span::at(at), text.into())])
    }
}

/// What was written, shortened when it is long.
fn shown(text: &str, span: Span) -> String {
    let written = span.of(text).trim();
    if written.chars().count() <= 40 {
        return written.to_owned();
    }
    let short: String = written.chars().take(37).collect();
    format!("{}…", short.trim_end())
}

/// `a`, `a or b`, `a, b or c`.
fn either<S: AsRef<str>>(words: impl IntoIterator<Item = S>) -> String {
    listed(words, "or")
}

fn listed<S: AsRef<str>>(words: impl IntoIterator<Item = S>, last: &str) -> String {
    let mut words: Vec<S> = words.into_iter().collect();
    let Some(end) = words.pop() else { return String::new() };
    if words.is_empty() {
        return end.as_ref().to_owned();
    }
    let front: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    format!("{} {last} {}", front.join(", "), end.as_ref())
}

fn kinds_named(kinds: &[Kind]) -> String {
    either(kinds.iter().map(|&kind| kind_name(kind)))
}

/// The units to write for one of several kinds.
fn units_named(kinds: &[Kind]) -> String {
    let units = kinds.iter().flat_map(|&kind| usual_units(kind)).take(6).map(|unit| format!("`{unit}`"));
    either(units)
}

/// What may be written for one of several kinds, as advice.
fn advice(kinds: &[Kind]) -> String {
    let bare = kinds.iter().any(|&kind| bare_number_stands(kind));
    let units = units_named(kinds);
    match (bare, units.is_empty()) {
        (true, true) => "Write a bare number.".to_owned(),
        (true, false) => format!("Write a bare number, or one in {units}."),
        (false, _) => format!("Write it in {units}."),
    }
}

/// What a place of an entry takes, with its article.
fn slot_named(slot: &Slot) -> String {
    match slot {
        Slot::Of(kinds) => kinds_named(kinds),
        Slot::Ref(kind) => format!("the name of {} {}", article(kind.word()), kind.word()),
        Slot::Word([]) => "one word".to_owned(),
        Slot::Word(words) => either(words.iter().map(|word| format!("`{word}`"))),
        Slot::Words => "a name".to_owned(),
        Slot::Text => "some text".to_owned(),
        Slot::Str => "a text in quotes".to_owned(),
        Slot::Id => "an id without blanks".to_owned(),
        Slot::Date => "a date like 2026-03-14".to_owned(),
        Slot::Clock => "a time like 10:05".to_owned(),
        Slot::Day => "a day like `day 4`".to_owned(),
        Slot::Score => "a score like 38/50".to_owned(),
        Slot::Expr => "a value or a sum of values".to_owned(),
        Slot::Chance => "`yes`, `no` or `possible`".to_owned(),
    }
}

const fn article(word: &str) -> &'static str {
    match word.as_bytes() {
        [b'a' | b'e' | b'i' | b'o' | b'u', ..] => "an",
        _ => "a",
    }
}

fn clauses_named(clauses: &[ClauseSpec]) -> String {
    listed(clauses.iter().map(|clause| format!("`{}`", clause.word.word())), "and")
}

/// The slot of a clause as advice: `for 60 min`.
fn example(slot: &Slot) -> String {
    match slot {
        Slot::Of(kinds) => kinds.first().map_or(String::new(), |&kind| example_of(kind).to_owned()),
        Slot::Word([first, ..]) => (*first).to_owned(),
        Slot::Word([]) => "EUR".to_owned(),
        Slot::Date => "2026-03-14".to_owned(),
        Slot::Clock => "10:05".to_owned(),
        Slot::Day => "day 4".to_owned(),
        Slot::Score => "38/50".to_owned(),
        Slot::Str => "\"…\"".to_owned(),
        Slot::Ref(_) | Slot::Words | Slot::Text | Slot::Id => "…".to_owned(),
        Slot::Expr => "20 L".to_owned(),
        Slot::Chance => "no".to_owned(),
    }
}

const fn example_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Mass => "20 g",
        Kind::Volume => "20 L",
        Kind::Temperature => "18 C",
        Kind::Time => "60 min",
        Kind::Proportion => "78 %",
        Kind::Gravity => "1.048",
        Kind::Potential => "37 ppg",
        Kind::Colour => "5 EBC",
        Kind::Bitterness => "30",
        Kind::Concentration => "50 ppm",
        Kind::Alkalinity => "130 ppm as CaCO3",
        Kind::Carbonation => "2.4 vol",
        Kind::Pressure => "1 bar",
        Kind::Cells => "200 billion cells",
        Kind::CellsPerVolume => "1.2 billion cells/mL",
        Kind::CellsPerMass => "10 billion cells/g",
        Kind::PitchRate => "0.75 million/mL/P",
        Kind::Diastatic => "250 WK",
        Kind::Power => "2.8 kW",
        Kind::HeatCapacity => "1.6 kJ/C",
        Kind::HeatLoss => "1 C/h",
        Kind::Length => "350 m",
        Kind::Count => "1 each",
        Kind::Price => "1.90 EUR/kg",
        Kind::VolumePerMass => "3 L/kg",
        Kind::Flow => "3 L/h",
        Kind::Rate => "10 %/h",
        Kind::Energy => "3600 kJ",
        Kind::Density => "1.4 kg/L",
        Kind::Dose => "5 g/L",
        Kind::Step => "0.5 K",
        Kind::Buffer => "40 mEq/kg",
        Kind::UnitMass => "2.5 g",
        Kind::Oil => "1.2 mL/100 g",
        Kind::IonContent => "272 mg/g",
        Kind::Ph => "5.4",
        Kind::Factor => "1.04",
        Kind::Year => "2026",
    }
}

// Units and numbers.

pub(crate) fn unit_missing(text: &str, word: &str, span: Span, kinds: &[Kind]) -> Fault {
    let written = shown(text, span);
    let mut found = fault(
        "unit-missing",
        span,
        format!("`{written}` has no unit; `{word}` takes {}", kinds_named(kinds)),
        format!("A number alone could be anything, so nothing is guessed. {}", advice(kinds)),
    );
    for unit in kinds.iter().flat_map(|&kind| usual_units(kind)).take(4) {
        found = found.offer_insert(span.end, format!(" {unit}"), &format!("{written} {unit}"));
    }
    found
}

pub(crate) fn wrong_dimension(
    text: &str,
    shape: Shape,
    word: &str,
    measure: &Measure,
    kinds: &[Kind],
    span: Span,
) -> Fault {
    let is = measure.unit.map_or("a plain number", |unit| unit.dimension().name());
    let other = measure.unit.and_then(|unit| {
        shape.clauses.iter().find(|clause| {
            clause.word.word() != word
                && clause.takes.iter().any(
                    |slot| matches!(slot, Slot::Of(kinds) if kinds.iter().any(|&kind| accepts(kind, unit))),
                )
        })
    });
    let written = shown(text, span);
    let mut found = fault(
        "unit-wrong-dimension",
        span,
        format!("`{written}` is {is}, but `{word}` takes {}", kinds_named(kinds)),
        advice(kinds),
    );
    if let Some(clause) = other {
        let clause = clause.word.word();
        found.help = format!("{} Or was `{clause} {written}` meant?", found.help);
    }
    // `alkalinity 130 ppm`: the scale is missing, not the unit.
    if kinds.contains(&Kind::Alkalinity) && measure.unit == Some(UnitId::PPM) {
        found.help = "Say of what: calcium carbonate is usual on a water report.".to_owned();
        return found.offer(span, format!("{written} as CaCO3"));
    }
    // `colour 60 L`: the old sign of degrees Lovibond.
    if kinds.contains(&Kind::Colour) && measure.unit == Some(UnitId::L) {
        found.help = format!("`L` is always litres. {}", found.help);
        return found.offer(span, format!("{} lov", format_plain(measure.number)));
    }
    if kinds.contains(&Kind::Carbonation) && measure.unit == Some(UnitId::G_PER_L) {
        found.help = "Say of what, so that it is not taken for sugar.".to_owned();
        return found.offer(span, format!("{written} CO2"));
    }
    // The number is right more often than not. Of most measures one unit is by far the likeliest; a
    // temperature has two scales that look alike.
    if measure.unit.is_some() && measure.span == span && other.is_none() {
        let number = shown(text, Span::new(span.start, measure.unit_span.start)).trim_end().to_owned();
        let offered = if kinds.contains(&Kind::Temperature) { 2 } else { 1 };
        for unit in kinds.iter().flat_map(|&kind| usual_units(kind)).take(offered) {
            found = found.offer(span, format!("{number} {unit}"));
        }
    }
    found
}

pub(crate) fn step_for_point(text: &str, word: &str, measure: &Measure) -> Fault {
    let written = shown(text, measure.span);
    fault(
        "unit-wrong-dimension",
        measure.span,
        format!("`{written}` is a step between two temperatures; `{word}` takes a point on the thermometer"),
        "`K` stands for differences only. Write the temperature in `C` or `F`.",
    )
    .offer(measure.unit_span, "C")
}

pub(crate) fn unknown_unit_in_item(text: &str, amount: Span, name: Span) -> Option<Fault> {
    let written = name.of(text);
    let end = scan::word_end(written, 0);
    let word = written.get(..end)?;
    if end == written.len() {
        return None;
    }
    let unit = suggest_unit(word)?;
    let span = Span::new(name.start, name.start + end as u32);
    let amount = shown(text, amount);
    Some(
        fault(
            "unknown-unit",
            span,
            format!("`{word}` is no unit; `{amount}` is left without one"),
            format!("Without its unit the amount cannot be used. Did you mean `{amount} {unit}`?"),
        )
        .offer(span, unit.to_string()),
    )
}

pub(crate) fn unknown_unit(text: &str, shape: Shape, number: Span, name: Span) -> Option<Fault> {
    let written = name.of(text);
    let end = scan::word_end(written, 0);
    let word = written.get(..end)?;
    let span = Span::new(name.start, name.start + end as u32);
    let kinds = shape.takes.iter().find_map(|slot| match slot {
        Slot::Of(kinds) => Some(*kinds),
        _ => None,
    });
    let suggestion = suggest_unit(word);
    if suggestion.is_none() && (word.chars().count() > 6 || end < written.len()) {
        return None;
    }
    let number = shown(text, number);
    let help = match (suggestion, kinds) {
        (Some(unit), _) => {
            format!("Without its unit the value cannot be used. Did you mean `{number} {unit}`?")
        }
        (None, Some(kinds)) => format!("Without its unit the value cannot be used. {}", advice(kinds)),
        (None, None) => "Without its unit the value cannot be used.".to_owned(),
    };
    let found = fault("unknown-unit", span, format!("`{word}` behind `{number}` is no unit"), help);
    Some(match suggestion {
        Some(unit) => found.offer(span, unit.to_string()),
        None => found,
    })
}

pub(crate) fn number_in_a_word(text: &str, name: Span) -> Fault {
    let written = name.of(text);
    let word = written.get(..scan::word_end(written, 0)).unwrap_or(written);
    let span = Span::new(name.start, name.start + word.len() as u32);
    let (number, unit) = match scan_number(word) {
        Some((_, len)) => word.split_at_checked(len).unwrap_or((word, "")),
        None => (word, ""),
    };
    let found = fault(
        "unknown-unit",
        span,
        format!("`{unit}` behind `{number}` is no unit, so the line has no amount"),
        "Write the amount first with a unit, as in `20 g Fuggle`; where the word is part of a name, put an amount before it.",
    );
    match suggest_unit(unit) {
        Some(unit) => found.offer(span, format!("{number} {unit}")),
        None => found,
    }
}

pub(crate) fn range_inverted(text: &str, low: &Measure, high: &Measure) -> Fault {
    let span = low.span.cover(high.span);
    // The numbers change places; a unit written once stays where it is.
    let number = |measure: &Measure| {
        if measure.unit_span.is_empty() {
            measure.span
        } else {
            let written =
                text.get(measure.span.start as usize..measure.unit_span.start as usize).unwrap_or("");
            Span::new(measure.span.start, measure.span.start + written.trim_end().len() as u32)
        }
    };
    let (first, second) = (number(low), number(high));
    let edits = vec![(first, second.of(text).to_owned()), (second, first.of(text).to_owned())];
    fault(
        "range-inverted",
        span,
        format!("`{}` runs downwards", shown(text, span)),
        "A range names its lower end first; with the ends swapped nothing lies inside it.",
    )
    .fix(true, "swap the ends of the range", edits)
}

pub(crate) fn range_of_days(span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        "one day is wanted here, not several".to_owned(),
        "A step begins on one day. Write the first of them.",
    )
}

pub(crate) fn one_number(text: &str, span: Span, boil: bool) -> Fault {
    let what = if boil { "minutes of the boil" } else { "a number of pieces" };
    fault(
        MALFORMED,
        span,
        format!("`{}` leaves open how many", shown(text, span)),
        format!("For {what} write one number: it is what will be done, not a guess."),
    )
}

pub(crate) fn slip(text: &str, note: &Note) -> Fault {
    let span = note.span;
    let written = shown(text, span);
    match note.slip {
        Slip::DecimalComma { three_digits } => decimal_comma(text, span, three_digits),
        Slip::ZeroBelow => fault(
            MALFORMED,
            span,
            format!("`{written}` divides by zero"),
            "Write the fraction with another number below the bar.",
        ),
        Slip::TooLarge => fault(
            MALFORMED,
            span,
            "this number is too large to compute with".to_owned(),
            "Was a blank or a point left out?",
        ),
        Slip::UnitCase(right) => fault(
            "unit-case",
            span,
            format!("`{written}` in these capitals is another unit; here `{right}` must be meant"),
            "A capital M is a million and a small m a thousandth, so the case is part of the unit.",
        )
        .fix(true, format!("write `{right}`"), vec![(span, right.to_string())]),
        Slip::AmbiguousUnit(readings) => {
            let [first, second] = readings;
            fault(
                "unit-case",
                span,
                format!("`{written}` could be `{first}` or `{second}`"),
                "One is a length of time, the other a diastatic power. Write the one you mean.",
            )
            .offer(span, first.to_string())
            .offer(span, second.to_string())
        }
        Slip::CustomarySum => fault(
            MALFORMED,
            span,
            format!("how much `{written}` adds depends on which gallon is meant"),
            "US and imperial measures part their pints differently. Write the whole in one unit.",
        ),
        Slip::CurlyQuotes => fault(
            "curly-quotes",
            span,
            "these quotes are curly".to_owned(),
            "Names stand in straight quotes, so that the same name is always the same text.",
        )
        .fix(true, "write straight quotes", straightened(text, span)),
        Slip::UnclosedString => fault(
            "unclosed-string",
            span,
            "the closing quote is missing".to_owned(),
            "Without it the text runs to the end of the line. Put a `\"` behind the last word of the name.",
        )
        .fix(false, "close the quotes", vec![(Span::at(span.end), "\"".to_owned())]),
        Slip::UnclosedBracket => fault(
            MALFORMED,
            span,
            "the closing `]` is missing".to_owned(),
            "Without it the rest of the line counts as a property. Put it behind the last one.",
        )
        .fix(false, "close the brackets", vec![(Span::at(span.end), "]".to_owned())]),
        Slip::UnclosedParenthesis => fault(
            MALFORMED,
            span,
            "the closing `)` is missing".to_owned(),
            "Each `(` needs its `)`, so that it is clear what is computed first.",
        )
        .fix(false, "close the parentheses", vec![(Span::at(span.end), ")".to_owned())]),
        Slip::Blanks(sign) => {
            let help = if matches!(sign, '-' | '\u{2212}') {
                "A minus needs a blank on both sides: without them it would be a hyphen in a name."
            } else {
                "Put a blank on both sides of it, or on neither."
            };
            fault(MALFORMED, span, format!("the `{sign}` has a blank on one side only"), help).fix(
                false,
                format!("put blanks around `{sign}`"),
                blanks_around(text, span),
            )
        }
    }
}

fn decimal_comma(text: &str, span: Span, three_digits: bool) -> Fault {
    let written = span.of(text);
    let with_point = written.replace(',', ".");
    let help = if three_digits {
        "A comma parts thousands for some and decimals for others, so neither is guessed."
    } else {
        "Numbers are written with a point here, since a comma parts the members of a list."
    };
    let found = fault("decimal-comma", span, format!("`{written}` is written with a comma"), help);
    // More than one comma, or a point besides: only thousands can be meant.
    let thousands = written.matches(',').count() > 1 || written.contains('.');
    if thousands {
        return found.offer(span, written.replace(',', ""));
    }
    if three_digits {
        return found.offer(span, with_point).offer(span, written.replace(',', ""));
    }
    let title = format!("write `{with_point}`");
    found.fix(true, title, vec![(span, with_point)])
}

fn straightened(text: &str, span: Span) -> Vec<(Span, String)> {
    let mut edits = Vec::new();
    for (at, character) in span.of(text).char_indices().filter(|(_, c)| scan::is_curly(*c)) {
        let start = span.start + at as u32;
        edits.push((Span::new(start, start + character.len_utf8() as u32), "\"".to_owned()));
    }
    edits
}

fn blanks_around(text: &str, span: Span) -> Vec<(Span, String)> {
    let blank = |c: Option<char>| c.is_none_or(char::is_whitespace);
    let before = text.get(..span.start as usize).and_then(|before| before.chars().next_back());
    let mut edits = Vec::new();
    if !blank(before) {
        edits.push((Span::at(span.start), " ".to_owned()));
    }
    if !blank(scan::char_at(text, span.end as usize)) {
        edits.push((Span::at(span.end), " ".to_owned()));
    }
    edits
}

// Items.

pub(crate) fn no_amount(text: &str, shape: Shape, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` is no amount", shown(text, span)),
        format!(
            "A line of `{}` begins with how much: {}.",
            shape.word,
            kinds_named(item_amounts(shape.block))
        ),
    )
}

pub(crate) fn second_name(text: &str, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` stands behind a name that has ended", shown(text, span)),
        "One line names one thing. Put the whole name in quotes, or what describes it in brackets.",
    )
}

pub(crate) fn item_without_name(text: &str, shape: Shape, whole: Span) -> Fault {
    fault(
        MALFORMED,
        whole,
        format!("`{}` does not say of what", shown(text, whole)),
        format!("A line of `{}` names a thing behind its amount, as in `20 g Fuggle`.", shape.word),
    )
}

pub(crate) fn item_without_amount(text: &str, shape: Shape, name: Span) -> Fault {
    let reach = if shape.clause(ClauseWord::ToReach).is_some() {
        " Only a line that says `to reach` may leave it out."
    } else {
        ""
    };
    fault(
        MALFORMED,
        name,
        format!("`{}` has no amount", shown(text, name)),
        format!(
            "Without it nothing can be computed. Write how much in front: {}.{reach}",
            kinds_named(item_amounts(shape.block))
        ),
    )
}

/// The keyword that what stands at the start of a line comes near to.
pub(crate) fn near_keyword(text: &str, block: BlockKind, span: Span) -> Option<Fault> {
    let written = span.of(text);
    let words = block.spec()?.entries.iter().map(|entry| entry.keyword.word());
    let (length, keyword) = nearest_start(written, words)?;
    let span = Span::new(span.start, span.start + length as u32);
    Some(unknown_start(text, block, span, &format!("Did you mean `{keyword}`?")).offer(span, keyword))
}

/// A line that starts with a word its block does not know.
fn unknown_start(text: &str, block: BlockKind, span: Span, advice: &str) -> Fault {
    let (rule, what) = if block.is_definition() {
        ("unknown-field", "is no field of")
    } else {
        ("unknown-keyword", "begins no line of")
    };
    fault(
        rule,
        span,
        format!("`{}` {what} `{}`", shown(text, span), block.word()),
        format!("What is not known cannot be computed with. {advice}"),
    )
}

/// The word of a list nearest to the first words of a line, and how much of the line it stands for.
fn nearest_start(
    written: &str,
    words: impl Iterator<Item = &'static str> + Clone,
) -> Option<(usize, &'static str)> {
    let mut ends = Vec::new();
    let mut at = 0;
    for _ in 0..3 {
        let end = scan::word_end(written, at);
        if end == at {
            break;
        }
        ends.push(end);
        at = scan::blanks(written, end);
    }
    ends.into_iter().rev().find_map(|end| {
        Some((end, nearest(written.get(..end)?.trim_end_matches([':', '=']), words.clone())?))
    })
}

pub(crate) fn unknown_keyword(text: &str, block: BlockKind, span: Span) -> Fault {
    if let Some(found) = near_keyword(text, block, span) {
        return found;
    }
    let word = first_word(text, span);
    let Some(spec) = block.spec() else { return not_understood(text, span) };
    if spec.entries.is_empty() {
        return fault(
            MALFORMED,
            span,
            format!("`{}` has no lines of its own", block.word()),
            "What is indented below it has no meaning there. Move it to the block it belongs to.",
        );
    }
    let known = listed(spec.entries.iter().map(|entry| format!("`{}`", entry.keyword.word())), "and");
    unknown_start(text, block, word, &format!("`{}` knows {known}.", block.word()))
}

/// An amount leads a line in a block that has no items.
pub(crate) fn amount_leads(text: &str, block: BlockKind, span: Span) -> Fault {
    let has_add =
        block.spec().is_some_and(|spec| spec.entries.iter().any(|entry| entry.keyword == Keyword::Add));
    let found = fault(
        MALFORMED,
        span,
        format!("`{}` begins with an amount, which `{}` does not take", shown(text, span), block.word()),
        if has_add {
            "Say what is done with it: `add` for what goes into the water or the wort."
        } else {
            "Each line here begins with a word that says what it is about."
        },
    );
    if has_add {
        let start = format!("add {}", shown(text, span));
        found.offer_insert(span.start, "add ", &start)
    } else {
        found
    }
}

// Facts and headers.

pub(crate) fn missing(text: &str, shape: Shape, slot: &Slot, keyword: Span) -> Fault {
    let word = shape.word;
    let written = shown(text, keyword);
    let what = match slot {
        Slot::Of([kind]) => {
            Some(without_article(kind_name(*kind))).filter(|&name| name != word).unwrap_or("value").to_owned()
        }
        Slot::Of(kinds) => if kinds.contains(&Kind::Mass) { "amount" } else { "value" }.to_owned(),
        Slot::Ref(_) | Slot::Words => "name".to_owned(),
        Slot::Word(_) | Slot::Chance => "word that says which".to_owned(),
        Slot::Text => "text".to_owned(),
        Slot::Str => "text in quotes".to_owned(),
        Slot::Id => "id".to_owned(),
        Slot::Date => "date".to_owned(),
        Slot::Clock => "time".to_owned(),
        Slot::Day => "day".to_owned(),
        Slot::Score => "score".to_owned(),
        Slot::Expr => "value".to_owned(),
    };
    let help = match slot {
        Slot::Ref(_) | Slot::Words | Slot::Text | Slot::Id => {
            format!("Write {} behind `{word}`.", slot_named(slot))
        }
        _ => format!("Write {}, as in `{word} {}`.", slot_named(slot), example(slot)),
    };
    fault(MALFORMED, keyword, format!("`{written}` has no {what}"), help)
}

fn without_article(name: &str) -> &str {
    name.strip_prefix("a ")
        .or_else(|| name.strip_prefix("an "))
        .or_else(|| name.strip_prefix("the "))
        .unwrap_or(name)
}

pub(crate) fn missing_clause(text: &str, shape: Shape, word: ClauseWord, keyword: Span) -> Fault {
    let example = shape.clause(word).and_then(|clause| clause.takes.first()).map_or(String::new(), example);
    let between = if shape.takes.is_empty() { "" } else { " …" };
    let what = match word {
        ClauseWord::Boil => "how long it boils".to_owned(),
        word => format!("{} what", word.word()),
    };
    fault(
        MALFORMED,
        keyword,
        format!("`{}` does not say {what}", shown(text, keyword)),
        format!("Write it behind: `{}{} {} {example}`.", shape.word, between, word.word()),
    )
}

pub(crate) fn text_missing(text: &str, keyword: Span) -> Fault {
    let written = shown(text, keyword);
    fault(
        MALFORMED,
        keyword,
        format!("nothing stands behind `{written}`"),
        "Write its text on the same line, or delete the line.",
    )
}

pub(crate) fn one_word(text: &str, shape: Shape, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` is more than one word", shown(text, span)),
        format!("`{}` takes {}.", shape.word, shape.takes.first().map_or("one word".to_owned(), slot_named)),
    )
}

pub(crate) fn wrong_word(text: &str, word: &str, span: Span, takes: &[Slot]) -> Fault {
    let written = shown(text, span);
    let known = takes.iter().flat_map(|slot| match slot {
        Slot::Word(words) => *words,
        Slot::Chance => CHANCES,
        _ => &[],
    });
    let found = fault(
        MALFORMED,
        span,
        format!("`{word} {written}` is not known"),
        format!("`{word}` takes {}.", choices(takes)),
    );
    match nearest(span.of(text), known.copied()) {
        Some(near) => found.offer(span, near),
        None => found,
    }
}

/// What may stand at a place that takes one of several things.
fn choices(takes: &[Slot]) -> String {
    let mut named: Vec<String> = Vec::new();
    for slot in takes {
        match slot {
            Slot::Of(kinds) => named.extend(kinds.iter().map(|&kind| kind_name(kind).to_owned())),
            Slot::Word(words) => named.extend(words.iter().map(|word| format!("`{word}`"))),
            Slot::Chance => named.extend(CHANCES.iter().map(|word| format!("`{word}`"))),
            slot => named.push(slot_named(slot)),
        }
    }
    let mut unique: Vec<String> = Vec::new();
    for name in named {
        if !unique.contains(&name) {
            unique.push(name);
        }
    }
    either(unique)
}

pub(crate) fn properties_in_header(text: &str, shape: Shape, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` stands on the line that opens `{}`", shown(text, span), shape.word),
        "Properties describe one thing on one line. Write a line of its own below for each of them.",
    )
}

/// The words that would say what a value is for: `at`, `for`.
fn linking_words(shape: Shape, value: &Value) -> Vec<&'static str> {
    let fits = |slot: &Slot| match (slot, &value.kind) {
        (
            Slot::Of(kinds),
            ValueKind::Plain(measure) | ValueKind::Range(_, measure) | ValueKind::Tolerance(_, measure),
        ) => match measure.unit {
            Some(unit) => kinds.iter().any(|&kind| accepts(kind, unit)),
            None => kinds.iter().any(|&kind| bare_number_stands(kind)),
        },
        (Slot::Day, ValueKind::Day(..))
        | (Slot::Date, ValueKind::Date(_))
        | (Slot::Clock, ValueKind::Clock(_)) => true,
        _ => false,
    };
    shape
        .clauses
        .iter()
        .filter(|clause| clause.takes.iter().any(fits))
        .map(|clause| clause.word.word())
        .collect()
}

pub(crate) fn neighbour(
    text: &str,
    shape: Shape,
    value: &Value,
    name: Option<Name>,
    within: Option<ClauseWord>,
) -> Fault {
    let written = shown(text, value.span);
    if let (Some(name), ValueKind::Expr(_)) = (name, &value.kind)
        && !name.quoted
    {
        return quote_the_name(text, name.span.cover(value.span));
    }
    let unit = match &value.kind {
        ValueKind::Plain(measure) | ValueKind::Range(_, measure) | ValueKind::Tolerance(_, measure) => {
            measure.unit
        }
        _ => None,
    };
    if shape.item
        && name.is_some()
        && unit == Some(UnitId::L)
        && let ValueKind::Plain(measure) = value.kind
    {
        let number = format_plain(measure.number);
        return fault(
            MALFORMED,
            value.span,
            format!("`{written}` behind a name is a volume, since `L` is always litres"),
            format!(
                "A colour goes into brackets with its own unit: `[{number} lov]`. Where the number is part of the name, write it without the `L`."
            ),
        )
        .offer(value.span, format!("[{number} lov]"));
    }
    let mut words = linking_words(shape, value);
    words.retain(|word| within.is_none_or(|clause| clause.word() != *word));
    if shape.item
        && words.is_empty()
        && let Some(unit) = unit
        && [Kind::Proportion, Kind::Colour, Kind::Cells, Kind::CellsPerMass, Kind::CellsPerVolume]
            .iter()
            .any(|&kind| accepts(kind, unit))
    {
        return fault(
            MALFORMED,
            value.span,
            format!("`{written}` stands behind the name without a word or brackets"),
            "What describes the thing on this line goes into brackets.",
        )
        .offer(value.span, format!("[{written}]"));
    }
    let help = if words.is_empty() {
        let word = within.map_or(shape.word, ClauseWord::word);
        format!("`{word}` takes one value here. Move the second to a line of its own, or delete it.")
    } else {
        let choices = either(words.iter().map(|word| format!("`{word} {written}`")));
        let why = if name.is_some() {
            "A name ends before a number with its unit."
        } else {
            "Two amounts side by side only add when the second is in the smaller unit."
        };
        format!("{why} Write {choices}.")
    };
    let mut found = fault(
        MALFORMED,
        value.span,
        format!("`{written}` stands there without the word that says what it is for"),
        help,
    );
    for word in words {
        found = found.offer_insert(value.span.start, format!("{word} "), &format!("{word} {written}"));
    }
    found
}

fn quote_the_name(text: &str, span: Span) -> Fault {
    let name = span.of(text);
    fault(
        MALFORMED,
        span,
        format!("`{}` has parentheses in its name", shown(text, span)),
        "In parentheses stands what is to be computed. Put the whole name in quotes.",
    )
    .fix(false, "put the name in quotes", vec![(span, format!("\"{name}\""))])
}

pub(crate) fn stray_value(text: &str, shape: Shape, value: &Value) -> Fault {
    let written = shown(text, value.span);
    let takes = takes_named(shape);
    let words = linking_words(shape, value);
    let mut found = fault(
        MALFORMED,
        value.span,
        format!("`{}` does not take `{written}`", shape.word),
        format!("`{}` takes {takes}.", shape.word),
    );
    if let ValueKind::Plain(_) | ValueKind::Expr(_) = value.kind
        && shape.takes.contains(&Slot::Str)
    {
        found.help = format!("`{}` takes a text in quotes.", shape.word);
        return found.offer(value.span, format!("\"{}\"", value.span.of(text)));
    }
    if !words.is_empty() {
        let choices = either(words.iter().map(|word| format!("`{} {word} {written}`", shape.word)));
        found.help = format!("Write {choices}.");
        for word in words {
            found = found.offer_insert(value.span.start, format!("{word} "), &format!("{word} {written}"));
        }
    }
    found
}

pub(crate) fn stray_name(text: &str, shape: Shape, span: Span) -> Fault {
    let written = span.of(text);
    let first = written.get(..scan::word_end(written, 0)).unwrap_or("");
    if ClauseWord::ALL.iter().any(|word| first.eq_ignore_ascii_case(word.word())) {
        return foreign(text, shape, span);
    }
    if shape.takes.contains(&Slot::Str) && shape.header {
        return fault(
            MALFORMED,
            span,
            format!("`{}` stands there without quotes", shown(text, span)),
            format!("`{}` takes its name in quotes.", shape.word),
        )
        .offer(span, format!("\"{}\"", written.trim_matches('"')));
    }
    fault(
        MALFORMED,
        span,
        format!("`{}` has no place here", shown(text, span)),
        format!("`{}` takes {}. Remarks go behind a `#`.", shape.word, takes_named(shape)),
    )
}

/// What an entry takes behind its keyword.
fn takes_named(shape: Shape) -> String {
    match shape.takes {
        [] if shape.clauses.is_empty() => "nothing behind it".to_owned(),
        [] => format!("only {}", clauses_named(shape.clauses)),
        takes => listed(takes.iter().map(slot_named), "and"),
    }
}

fn foreign(text: &str, shape: Shape, span: Span) -> Fault {
    let what = if shape.item { format!("a line of `{}`", shape.word) } else { format!("`{}`", shape.word) };
    let help = match shape.clauses {
        [] => format!("{} takes nothing of the kind.", capital(&what)),
        clauses => format!("{} may be followed by {}.", capital(&what), clauses_named(clauses)),
    };
    fault(MALFORMED, span, format!("`{}` does not belong to {what}", shown(text, span)), help)
}

fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or(String::new(), |first| first.to_uppercase().chain(characters).collect())
}

pub(crate) fn foreign_clause(text: &str, shape: Shape, clause: &Clause) -> Fault {
    foreign(text, shape, clause.span)
}

pub(crate) fn repeated_clause(clause: &Clause) -> Fault {
    let word = clause.word.word();
    fault(
        "repeated-clause",
        clause.span,
        format!("`{word}` stands twice on this line"),
        "Only one of them can be meant. Delete the other, or write a second line.",
    )
}

pub(crate) fn empty_clause(
    text: &str,
    shape: Shape,
    clause: &Clause,
    spec: &ClauseSpec,
    has_value: bool,
) -> Fault {
    let word = clause.word.word();
    if has_value {
        return fault(
            MALFORMED,
            clause.span,
            format!("`{}` does not say of what", shown(text, clause.span)),
            "Name the sugar behind the amount.",
        );
    }
    let wanted = choices(spec.takes);
    let example = spec.takes.first().map_or(String::new(), example);
    let _ = shape;
    fault(
        MALFORMED,
        clause.word_span,
        format!("nothing stands behind `{word}`"),
        format!("It takes {wanted}, as in `{word} {example}`."),
    )
}

pub(crate) fn wrong_in_clause(text: &str, clause: &Clause, spec: &ClauseSpec, span: Span) -> Fault {
    let word = clause.word.word();
    let wanted = choices(spec.takes);
    fault(
        MALFORMED,
        span,
        format!("`{word} {}` does not fit here", shown(text, span)),
        format!("Here `{word}` takes {wanted}."),
    )
}

// Properties.

pub(crate) fn unknown_property(text: &str, span: Span) -> Fault {
    let written = span.of(text);
    let words = lexicon::fields().map(Keyword::word).chain(Flag::ALL.iter().map(|flag| flag.word()));
    let words: Vec<&'static str> = words.collect();
    let found = fault(
        "unknown-field",
        span,
        format!("`{}` is no property of anything", shown(text, span)),
        "A property is a field with its value, such as `alpha 4.6 %`, or a word such as `leaf`. Remarks go behind `note`.",
    );
    match nearest_start(written, words.iter().copied()) {
        Some((length, near)) => {
            let word = Span::new(span.start, span.start + length as u32);
            let mut found = found.offer(word, near);
            found.help = format!("Did you mean `{near}`?");
            found
        }
        None => found,
    }
}

pub(crate) fn field_without_value(text: &str, key: Keyword, span: Span) -> Fault {
    let wanted = lexicon::field_slots(key).flatten().next();
    let help = match wanted {
        Some(slot) => format!("Write {}, as in `{} {}`.", slot_named(slot), key.word(), example(slot)),
        None => "Write its value behind it.".to_owned(),
    };
    fault(MALFORMED, span, format!("`{}` has no value", shown(text, span)), help)
}

pub(crate) fn words_for_value(text: &str, key: Keyword, span: Span) -> Fault {
    let wanted: Vec<Slot> = lexicon::field_slots(key).flatten().copied().collect();
    fault(
        MALFORMED,
        span,
        format!("`{} {}` is not known", key.word(), shown(text, span)),
        format!("`{}` takes {}.", key.word(), choices(&wanted)),
    )
}

const UNNAMED_HELP: &str = "Without a field only a colour, a percentage, a mass, a number of cells or a temperature says what it is.";

pub(crate) fn unnamed_without_unit(text: &str, span: Span) -> Fault {
    let written = shown(text, span);
    let mut found = fault(
        "unit-missing",
        span,
        format!("`{written}` has neither a unit nor a word before it"),
        UNNAMED_HELP.to_owned(),
    );
    for unit in ["%", "EBC"] {
        found = found.offer_insert(span.end, format!(" {unit}"), &format!("{written} {unit}"));
    }
    found
}

pub(crate) fn unnamed_with_wrong_unit(text: &str, span: Span, measure: &Measure, unit: UnitId) -> Fault {
    let written = shown(text, span);
    let is = unit.dimension().name();
    let found = fault(
        "unit-wrong-dimension",
        span,
        format!("`{written}` is {is}, and no word before it says of what"),
        UNNAMED_HELP.to_owned(),
    );
    if unit == UnitId::L {
        return found.offer(span, format!("{} lov", format_plain(measure.number)));
    }
    found
}

// Whole lines.

pub(crate) fn no_expected_value(text: &str, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` is nothing a figure can be", shown(text, span)),
        "Write a value, a range such as `24..32`, or one with a tolerance such as `1.051 ± 0.003`.",
    )
}

pub(crate) fn let_name_taken(text: &str, span: Span, unit: bool) -> Fault {
    let what = if unit { "a unit" } else { "a function" };
    fault(
        MALFORMED,
        span,
        format!("`{}` is {what} already", shown(text, span)),
        "A name that means two things cannot be computed with. Choose another.",
    )
}

pub(crate) fn missing_indent(span: Span, line_start: u32) -> Fault {
    fault(
        "missing-indent",
        span,
        "this line is not indented".to_owned(),
        "What belongs to the block above stands behind two blanks; a word in the first column opens a new block.",
    )
    .fix(true, "indent this line", vec![(Span::at(line_start), "  ".to_owned())])
}

pub(crate) fn unknown_block(text: &str, line: Span) -> Fault {
    let span = first_word(text, line);
    let written = shown(text, span);
    let found = fault(
        "unknown-block",
        span,
        format!("`{written}` opens no block"),
        "A line in the first column opens a block such as `recipe`, `grist` or `malt`; lines of a block are indented. Nothing below it is read.",
    );
    match nearest(span.of(text).trim_end_matches([':', '=']), BLOCKS.iter().map(|spec| spec.word)) {
        Some(near) => {
            let mut found = found.offer(span, near);
            found.help = format!("Did you mean `{near}`? Until then nothing below it is read.");
            found
        }
        None => found,
    }
}

pub(crate) fn no_block(span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        "this stands above the first block of the file".to_owned(),
        "Begin with a line such as `recipe \"NAME\"` in the first column, and indent what belongs to it.",
    )
}

/// The first word of a line, or all of the line when it begins with a mark.
fn first_word(text: &str, span: Span) -> Span {
    let end = span.start + scan::word_end(span.of(text), 0) as u32;
    if end > span.start { Span::new(span.start, end) } else { span }
}

pub(crate) fn no_time(text: &str, span: Span) -> Fault {
    let word = first_word(text, span);
    fault(
        MALFORMED,
        word,
        format!("`{}` does not say when", shown(text, span)),
        "A line of a log begins with its time: `10:05`, `2026-03-14`, `2026-03-14 10:05` or `day 3`.",
    )
}

pub(crate) fn nothing_happened(text: &str, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` does not say what happened", shown(text, span)),
        "Write the event behind the time, as in `10:05 mash in 66.8 C`.",
    )
}

pub(crate) fn query_elsewhere(block: BlockKind, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` takes no question", block.word()),
        "Questions stand in `recipe`, `notes` and `gyle`.",
    )
}

pub(crate) fn merge_conflict(span: Span) -> Fault {
    fault(
        "merge-conflict",
        span,
        "two versions of this file were not put together".to_owned(),
        "Keep one of the two, or parts of both, and delete the lines with the marks.",
    )
}

fn not_understood(text: &str, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` is not understood", shown(text, span)),
        "Write one thing a line, beginning with an amount or a word of the block.",
    )
}

pub(crate) fn date_missing(text: &str, span: Span) -> Fault {
    fault(
        MALFORMED,
        span,
        format!("`{}` has no date", shown(text, span)),
        "Times in a log count from it. Write `on 2026-03-14`, or `planned 2026-03-14 08:00` for a brew to come.",
    )
}

/// A line that could not be read further than one place. `start` is where the text begins in the block.
pub(crate) fn problem(text: &str, problem: Problem, start: u32, whole: Span, block: BlockKind) -> Fault {
    let at = scan::blanks(text, (start + problem.at as u32) as usize) as u32;
    let next = scan::char_at(text, at as usize).filter(|_| at < whole.end);
    let mark = match next {
        Some(character) => Span::new(at, at + character.len_utf8() as u32),
        None => Span::at(at.min(whole.end)),
    };
    // The whole word at the place, or the place when no word stands there.
    let word = match scan::word_end(text, at as usize) {
        end if end > at as usize && next.is_some() => Span::new(at, (end as u32).min(whole.end)),
        _ => mark,
    };
    let before = text.get(whole.start as usize..at as usize).unwrap_or("").trim_end();
    let behind = before.chars().next_back();
    match (problem.want, next) {
        (Want::Simpler, _) => fault(
            MALFORMED,
            whole,
            "this line computes too much at once".to_owned(),
            "Give parts of it a name with `let` and use the names.",
        ),
        (_, Some(']')) => fault(
            MALFORMED,
            mark,
            "this `]` closes nothing".to_owned(),
            "Properties stand between `[` and `]`. Delete it, or write the `[` before the first of them.",
        )
        .fix(false, "delete it", vec![(mark, String::new())]),
        (Want::Part | Want::End | Want::Closing | Want::Expectation, Some(')')) => fault(
            MALFORMED,
            mark,
            "this `)` closes nothing".to_owned(),
            "Delete it, or write the `(` where the computation begins.",
        )
        .fix(false, "delete it", vec![(mark, String::new())]),
        (_, Some('#')) => fault(
            MALFORMED,
            mark,
            "a remark needs a blank before its `#`".to_owned(),
            "Without one the `#` counts as part of the word, where it cannot stand. A name with `#` in it goes into quotes.",
        )
        .fix(false, "put a blank before it", vec![(Span::at(at), " ".to_owned())]),
        (Want::Part, Some(',')) => fault(
            MALFORMED,
            mark,
            "a comma cannot end a name".to_owned(),
            "Commas part properties in brackets. Delete it, or put the whole name in quotes.",
        )
        .fix(false, "delete the comma", vec![(mark, String::new())]),
        (Want::Part | Want::End, Some(character)) => fault(
            MALFORMED,
            mark,
            format!("nothing begins with `{character}`"),
            format!(
                "Behind `{}` may follow an amount, a name, properties in brackets or words such as `at`.",
                tail(before)
            ),
        ),
        (Want::Part | Want::End, None) => not_understood(text, whole),
        (Want::Property, Some(_)) => fault(
            MALFORMED,
            mark,
            "this is no property".to_owned(),
            "Between `[` and `]` stand fields with their values, such as `alpha 4.6 %`, parted by commas.",
        ),
        (Want::Property, None) => fault(
            MALFORMED,
            mark,
            "a property is missing at the end".to_owned(),
            "Between `[` and `]` stand fields with their values, such as `alpha 4.6 %`, parted by commas.",
        ),
        (Want::Function, _) => {
            let word = scan::identifier(text, at as usize).map_or(mark, |end| Span::new(at, end as u32));
            let known = crate::entry::FUNCTIONS.iter().map(|(name, _)| *name);
            let found = fault(
                MALFORMED,
                word,
                format!("`{}` is no function", shown(text, word)),
                format!("Functions are {}.", listed(known.clone().map(|name| format!("`{name}`")), "and")),
            );
            match nearest(word.of(text), known) {
                Some(near) => found.offer(word, near),
                None => found,
            }
        }
        (Want::Operand, _) => {
            let message = match behind {
                Some(sign @ ('+' | '-' | '*' | '/' | '^' | '(' | '=' | '<' | '>' | ',' | '\u{2212}')) => {
                    format!("a value is missing behind `{sign}`")
                }
                Some(_) if next.is_some() => format!("`{}` is no value", shown(text, word)),
                _ => "a value is missing here".to_owned(),
            };
            fault(
                MALFORMED,
                mark,
                message,
                "Write a number with its unit, the name of a figure such as `batch`, or a computation in parentheses.",
            )
        }
        (Want::Closing, Some(character)) => {
            let comma = character == ',' && behind.is_some_and(|c| c.is_ascii_digit());
            fault(
                MALFORMED,
                word,
                format!("`{}` cannot follow `{}`", shown(text, word), tail(before)),
                if comma {
                    "Numbers are written with a point."
                } else {
                    "Between two values stands one of `+`, `-`, `*` and `/`; a unit belongs to the number before it, none follows a `)`."
                },
            )
        }
        (Want::Closing, None) => slip(text, &Note { slip: Slip::UnclosedParenthesis, span: mark }),
        (Want::Exponent, _) => fault(
            MALFORMED,
            word,
            "a whole number is missing behind `^`".to_owned(),
            "Powers are whole numbers; a root is written `sqrt(…)`.",
        ),
        (Want::Relation, _) if block == BlockKind::Expect => fault(
            MALFORMED,
            if mark.is_empty() { whole } else { mark },
            format!("`{}` is compared with nothing", tail(before)),
            "Write the values a figure may have, as in `ibu 24..32`, or a comparison such as `sulfate / chloride < 1.5`.",
        ),
        (Want::Relation | Want::Expectation, _) => fault(
            MALFORMED,
            if mark.is_empty() { whole } else { word },
            format!("`{}` cannot stand behind the value", shown(text, word)),
            "A line of `expect` is one figure and its values, as in `og 1.051 ± 0.003` or `abv < 4.2 %`.",
        ),
        (Want::Range, _) => fault(
            MALFORMED,
            mark,
            "a range is missing behind `in`".to_owned(),
            "Write its two ends, as in `in 0.45..0.65`.",
        ),
        (Want::LetName, _) => fault(
            MALFORMED,
            mark,
            "a name is missing behind `let`".to_owned(),
            "Names begin with a letter and have no blanks, as in `let dose = 5 g`.",
        ),
        (Want::Equals, _) => fault(
            MALFORMED,
            mark,
            format!("`=` is missing behind `{}`", tail(before)),
            "Write the name without blanks, then `=`, then the value, as in `let dose = 5 g`.",
        ),
    }
}

/// The last word of what stands before a place.
fn tail(before: &str) -> &str {
    let last = before.rsplit(|c: char| c.is_whitespace() || c == '(').next();
    last.filter(|word| !word.is_empty()).unwrap_or(before)
}
