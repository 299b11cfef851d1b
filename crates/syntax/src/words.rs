//! Faults in the brewer's words: what it is, why it cannot stand, what to write instead.

use quantity::{UnitId, suggest_unit};

use crate::ast::{Clause, Entry, Measure, Part};
use crate::entry::Found;
use crate::fault::{Fault, FaultFix};
use crate::line::is_blank;
use crate::scan::{self, Trouble};
use crate::span::Span;
use crate::vocabulary::{BLOCKS, BlockKind, ClauseSpec, ClauseWord, Kind, Slot};

/// Where a value stands, for the wording.
#[derive(Clone, Copy)]
pub(crate) enum Of<'a> {
    /// Behind this word.
    Fact(&'a str),
    /// As the amount of an item.
    Item(BlockKind, &'a Entry),
}

/// Whether two words are the same but for case, hyphens and blanks.
pub(crate) fn same(known: &str, written: &str) -> bool {
    scan::matches_words(written.trim_matches(is_blank), known)
        .is_some_and(|len| len == written.trim_matches(is_blank).len())
}

fn fault(rule: &'static str, span: Span, message: String, help: String) -> Fault {
    Fault { rule, span, message, help, fixes: Vec::new() }
}

impl Fault {
    fn fix(mut self, title: impl Into<String>, safe: bool, span: Span, text: impl Into<String>) -> Self {
        self.fixes.push(FaultFix { title: title.into(), safe, edits: vec![(span, text.into())] });
        self
    }
}

/// The nearest of some words, if one is near enough to be meant.
fn nearest<'w>(word: &str, known: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    let word = word.to_lowercase();
    let allowed = match word.chars().count() {
        0..=3 => 1,
        4..=7 => 2,
        _ => 3,
    };
    known
        .map(|candidate| (distance(&word, candidate), candidate))
        .filter(|(far, _)| *far <= allowed)
        .min_by_key(|(far, _)| *far)
        .map(|(_, candidate)| candidate)
}

/// Edit distance with swapped neighbours counted once. Words are short, so the plain table will do.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    if a.len() > 40 || b.len() > 40 {
        return usize::MAX;
    }
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut now = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let mut best = (last[j] + usize::from(x != y)).min(last[j + 1] + 1).min(now[j] + 1);
            if i > 0 && j > 0 && a[i - 1] == *y && b[j - 1] == *x {
                best = best.min(before[j - 1] + 1);
            }
            now.push(best);
        }
        before = core::mem::replace(&mut last, now);
    }
    last[b.len()]
}

/// A list in words: `a, b or c`.
fn either(words: &[impl AsRef<str>]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", first.join(", "), last.as_ref())
        }
    }
}

/// What a kind of value is called, with an example.
const fn kind_words(kind: Kind) -> (&'static str, &'static str) {
    match kind {
        Kind::Mass => ("a mass", "500 g"),
        Kind::Volume => ("a volume", "20 L"),
        Kind::Temperature => ("a temperature", "67 C"),
        Kind::Step => ("a difference of temperature", "2 K"),
        Kind::Time => ("a time", "60 min"),
        Kind::Proportion => ("a percentage", "75 %"),
        Kind::Gravity => ("a gravity", "1.050"),
        Kind::Potential => ("an extract potential", "37 ppg"),
        Kind::Colour => ("a colour", "120 EBC"),
        Kind::Bitterness => ("a bitterness", "30 IBU"),
        Kind::Concentration => ("a concentration", "50 ppm"),
        Kind::Alkalinity => ("an alkalinity", "120 ppm as CaCO3"),
        Kind::Carbonation => ("a carbonation", "2.4 vol"),
        Kind::Pressure => ("a pressure", "1.1 bar"),
        Kind::Cells => ("a number of cells", "200 billion cells"),
        Kind::CellsPerVolume => ("a count by volume", "1.2 billion cells/mL"),
        Kind::CellsPerMass => ("a count by mass", "10 billion cells/g"),
        Kind::PitchRate => ("a pitching rate", "0.75 million/mL/P"),
        Kind::Diastatic => ("a diastatic power", "250 WK"),
        Kind::Power => ("a power", "2.8 kW"),
        Kind::HeatCapacity => ("a heat capacity", "1.6 kJ/C"),
        Kind::HeatLoss => ("a cooling rate", "0.1 C/min"),
        Kind::Length => ("a height", "350 m"),
        Kind::Count => ("a count", "1 pack"),
        Kind::Price => ("a price", "2.40 EUR/kg"),
        Kind::VolumePerMass => ("a volume by mass", "0.95 L/kg"),
        Kind::Flow => ("a volume by time", "3.2 L/h"),
        Kind::Rate => ("a share by time", "10 %/h"),
        Kind::Energy => ("an energy", "40 kcal"),
        Kind::Density => ("a density", "1.42 g/mL"),
        Kind::Dose => ("a dose", "5 g/L"),
        Kind::Buffer => ("a buffering", "36 mEq/kg"),
        Kind::UnitMass => ("a mass", "1.25 g"),
        Kind::Oil => ("an oil content", "1.2 mL/100 g"),
        Kind::IonContent => ("an ion content", "232.8 mg/g"),
        Kind::Ph => ("a pH", "5.4"),
        Kind::Factor => ("a factor", "1.2"),
        Kind::Year => ("a year", "2026"),
    }
}

fn kinds_words(kinds: &[Kind]) -> String {
    let names: Vec<&str> = kinds.iter().map(|kind| kind_words(*kind).0).collect();
    either(&names)
}

fn slot_words(slot: &Slot) -> String {
    match slot {
        Slot::Of([]) => "a value".into(),
        Slot::Of(kinds) => format!("{}, such as `{}`", kinds_words(kinds), kind_words(kinds[0]).1),
        Slot::Ref(kind) => format!("the name of {}", block_words(*kind)),
        Slot::Word([]) => "a word".into(),
        Slot::Word(words) => either(words),
        Slot::Words => "words".into(),
        Slot::Text => "text".into(),
        Slot::Str => "text in quotes".into(),
        Slot::Id => "a name without blanks".into(),
        Slot::Date => "a date, such as `2026-03-14`".into(),
        Slot::Clock => "a time of day, such as `10:05`".into(),
        Slot::Day => "a day, such as `day 4`".into(),
        Slot::Score => "points, such as `38/50`".into(),
        Slot::Expr => "something to compute".into(),
        Slot::Chance => "yes, no or possible".into(),
    }
}

/// A kind of definition with its article.
pub(crate) const fn block_words(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Malt => "a malt",
        BlockKind::Sugar => "a sugar",
        BlockKind::Hop => "a hop",
        BlockKind::Yeast => "a yeast",
        BlockKind::Water => "a water",
        BlockKind::Addition => "an addition",
        BlockKind::Style => "a style",
        BlockKind::BrewhouseBlock => "a brewhouse",
        _ => "a block",
    }
}

// ---- lines that cannot be read -----------------------------------------------------------------------------

/// What to say of an entry that cannot be read.
pub(crate) fn unreadable(text: &str, body: Span, kind: BlockKind, found: &Found) -> Fault {
    trouble(text, body, kind, found, 0)
}

/// What to say of a header that cannot be read.
pub(crate) fn unreadable_header(
    text: &str,
    body: Span,
    kind: BlockKind,
    found: &Found,
    skipped: u32,
) -> Fault {
    let mut made = trouble(text, body, kind, found, skipped);
    if made.rule == "malformed-line" {
        made.help = format!("a header of this kind reads `{}`", header_form(kind));
    }
    made
}

fn header_form(kind: BlockKind) -> String {
    let Some(spec) = kind.spec() else { return String::new() };
    let mut out = spec.word.to_owned();
    for slot in spec.takes {
        out.push(' ');
        out.push_str(match slot {
            Slot::Str => "\"NAME\"",
            Slot::Of(kinds) => kinds.first().map_or("", |kind| kind_words(*kind).1),
            Slot::Words | Slot::Ref(_) => "NAME",
            Slot::Id => "ID",
            Slot::Expr => "= VALUE",
            _ => "…",
        });
    }
    out
}

fn trouble(text: &str, body: Span, kind: BlockKind, found: &Found, skipped: u32) -> Fault {
    let written = body.of(text);
    let from = body.start + skipped + u32::try_from(found.at).unwrap_or(0);
    let from = from.min(body.end);
    let sized = |len: usize| Span::new(from, (from + u32::try_from(len).unwrap_or(0)).min(body.end));
    match &found.trouble {
        Trouble::DecimalComma { len, thousands } => {
            let span = sized(*len);
            let number = span.of(text);
            let point = number.replace(',', ".");
            let made = fault(
                "decimal-comma",
                span,
                format!("`{number}` has a comma where a decimal point belongs, so its value is not certain"),
                if *thousands {
                    format!("write `{point}`, or `{}` if thousands are meant", number.replace(',', ""))
                } else {
                    format!("write `{point}`")
                },
            )
            .fix(format!("write {point}"), !thousands, span, point);
            if *thousands {
                let whole = number.replace(',', "");
                made.fix(format!("write {whole}"), false, span, whole)
            } else {
                made
            }
        }
        Trouble::BadNumber { len } => fault(
            "malformed-line",
            sized(*len),
            format!("`{}` is no number that can be computed with", sized(*len).of(text)),
            "write a number such as `12`, `12.5` or `1 1/2`".into(),
        ),
        Trouble::UnitCase { len, meant } => {
            let span = sized(*len);
            fault(
                "unit-case",
                span,
                format!("`{}` in this case is another unit than `{meant}`, a thousand or more times as large or small", span.of(text)),
                format!("write `{meant}`"),
            )
            .fix(format!("write {meant}"), true, span, meant.to_string())
        }
        Trouble::UnitAmbiguous { len } => {
            let span = sized(*len);
            fault(
                "unit-case",
                span,
                format!("`{}` may be a week or degrees Windisch-Kolbach", span.of(text)),
                "write `week` or `WK`".into(),
            )
            .fix("write week", false, span, "week")
            .fix("write WK", false, span, "WK")
        }
        Trouble::BracketOpen => {
            let open = written.rfind('[').map_or(from, |at| body.start + u32::try_from(at).unwrap_or(0));
            fault(
                "malformed-line",
                Span::new(open, body.end),
                "this bracket is not closed, so it is not clear where the properties end".into(),
                "close it with `]`".into(),
            )
            .fix("close the bracket", false, Span::at(body.end), "]")
        }
        Trouble::OperatorBlanks { len } => {
            let span = sized(*len);
            let sign = span.of(text);
            fault(
                "malformed-line",
                span,
                format!(
                    "`{sign}` has a blank on one side only, or a minus none at all; it could be part of a name"
                ),
                format!("write blanks on both sides: ` {sign} `"),
            )
        }
        Trouble::Unreadable => unknown_trouble(text, body, kind, from),
    }
}

/// The place is known and nothing else: the commonest reasons are tried one by one.
fn unknown_trouble(text: &str, body: Span, kind: BlockKind, from: u32) -> Fault {
    let written = body.of(text);
    if let Some(at) = written.find(['\u{201c}', '\u{201d}', '\u{201e}', '\u{00ab}', '\u{00bb}']) {
        let start = body.start + u32::try_from(at).unwrap_or(0);
        let mut edits = Vec::new();
        for (at, c) in written.char_indices() {
            if matches!(c, '\u{201c}' | '\u{201d}' | '\u{201e}' | '\u{00ab}' | '\u{00bb}') {
                let start = body.start + u32::try_from(at).unwrap_or(0);
                edits.push((
                    Span::new(start, start + u32::try_from(c.len_utf8()).unwrap_or(1)),
                    "\"".to_owned(),
                ));
            }
        }
        let width = written[at..].chars().next().map_or(1, char::len_utf8);
        return Fault {
            fixes: vec![FaultFix { title: "write straight quotes".into(), safe: true, edits }],
            ..fault(
                "curly-quotes",
                Span::new(start, start + u32::try_from(width).unwrap_or(1)),
                "these are typographic quotes; names stand in straight ones".into(),
                "write `\"`".into(),
            )
        };
    }
    if written.matches('"').count() % 2 == 1 {
        let open = written.rfind('"').unwrap_or(0);
        let start = body.start + u32::try_from(open).unwrap_or(0);
        let end = written[open..].find(" [").map_or(body.end, |at| start + u32::try_from(at).unwrap_or(0));
        return fault(
            "unclosed-string",
            Span::new(start, end),
            "this quote is not closed, so the rest of the line is taken for part of the name".into(),
            "close it with `\"`".into(),
        )
        .fix("close the quote", false, Span::at(end), "\"");
    }
    let rest = Span::new(from, body.end);
    let rest_text = rest.of(text).trim_start_matches(is_blank);
    let start = body.end - u32::try_from(rest_text.len()).unwrap_or(0);
    let len = scan::word(rest_text).max(rest_text.chars().next().map_or(0, char::len_utf8));
    let span = Span::new(start, start + u32::try_from(len).unwrap_or(0));
    if rest_text.is_empty() {
        return fault(
            "malformed-line",
            body,
            format!("something is missing at the end of `{}`", shorten(written)),
            form_help(kind),
        );
    }
    if kind == BlockKind::Gyle
        && scan::date(written).is_none()
        && scan::clock(written).is_none()
        && scan::day(written).is_none()
    {
        let made = event_words(text, body, kind);
        if let Some(made) = made {
            return made;
        }
    }
    fault(
        "malformed-line",
        span,
        format!("the line can be read up to `{}` and not from there", shorten(span.of(text))),
        form_help(kind),
    )
}

/// A log line whose event is not known.
fn event_words(text: &str, body: Span, kind: BlockKind) -> Option<Fault> {
    let written = body.of(text);
    let word = &written[..scan::word(written)];
    let known = kind.spec()?.entries.iter().map(|entry| entry.keyword.word());
    let near = nearest(word, known)?;
    Some(fault(
        "unknown-keyword",
        Span::new(body.start, body.start + u32::try_from(word.len()).ok()?),
        format!("`{word}` is no event of a log"),
        format!("did you mean `{near}`? An event stands behind its time: `10:05 {near} …`"),
    ))
}

fn shorten(text: &str) -> String {
    let short: String = text.chars().take(40).collect();
    if short.len() < text.len() { format!("{short}…") } else { short }
}

fn form_help(kind: BlockKind) -> String {
    match kind {
        BlockKind::Grist => {
            "a line of the grist reads `AMOUNT MALT`, such as `3.6 kg pale ale malt [6 EBC]`".into()
        }
        BlockKind::Boil => {
            "a line of the boil reads `AMOUNT HOP at TIME`, such as `25 g Fuggle [4.6 %] at 60 min`".into()
        }
        BlockKind::Stand => "a line of a stand reads `AMOUNT HOP`, such as `30 g Cascade`".into(),
        BlockKind::Mash => {
            "a line of the mash reads `rest TEMPERATURE for TIME`, such as `rest 67 C for 60 min`".into()
        }
        BlockKind::Liquor => {
            "a line of the liquor reads `source NAME`, `mash 13 L` or `add 3 g gypsum to mash`".into()
        }
        BlockKind::Pitch => {
            "a line of the pitch reads `AMOUNT YEAST`, such as `200 billion cells english ale yeast`".into()
        }
        BlockKind::Ferment => {
            "a line of the fermentation reads `hold 19 C for 4 d`, or `40 g Cascade on day 4`".into()
        }
        BlockKind::Package => {
            "a line of the package reads `keg 2.4 vol at 5 C`, or `bottle 2.4 vol at 20 C with sucrose`"
                .into()
        }
        BlockKind::Expect => {
            "an expectation reads `FIGURE VALUE`, such as `og 1.050 ± 0.003` or `abv < 4.2 %`".into()
        }
        BlockKind::Gyle => "a line of a log reads `TIME EVENT …`, such as `10:05 mash in 66.8 C`".into(),
        BlockKind::Notes => "notes are prose behind a bar, `| …`, and questions, `? og.points`".into(),
        BlockKind::Tasting => {
            "a tasting has `score 38/50`, `aroma …`, `next …`, and prose behind a bar".into()
        }
        BlockKind::Recipe => {
            "an entry of a recipe reads `batch 20 L`, `style 13C`, `brewhouse shed-30`".into()
        }
        _ => "an entry reads `FIELD VALUE`".into(),
    }
}

/// An entry that stands below no block.
pub(crate) fn entry_without_block(span: Span) -> Fault {
    fault(
        "malformed-line",
        span,
        "this line stands below no block, so nothing says what it belongs to".into(),
        "begin with a header in the first column, such as `recipe \"NAME\"`".into(),
    )
}

/// A header whose first word is no kind of block.
pub(crate) fn unknown_block(span: Span, word: &str) -> Fault {
    let near = nearest(word, BLOCKS.iter().map(|spec| spec.word));
    let made = fault(
        "unknown-block",
        span,
        format!("`{word}` begins no kind of block, so what stands below it is not read"),
        near.map_or_else(
            || "begin a block with a word such as `recipe`, `grist`, `boil`; an entry is indented by two blanks".into(),
            |near| format!("did you mean `{near}`?"),
        ),
    );
    match near {
        Some(near) => made.fix(format!("write {near}"), false, span, near),
        None => made,
    }
}

// ---- entries that can be read ------------------------------------------------------------------------------

/// A log entry without a time.
pub(crate) fn no_time(span: Span) -> Fault {
    fault(
        "malformed-line",
        span,
        "this log entry has no time, so its place in the brew is not known".into(),
        "begin with the time or the day: `10:05 …`, `day 3 …`".into(),
    )
}

/// A line that is no entry of its block.
pub(crate) fn unknown_entry(text: &str, kind: BlockKind, entry: &Entry) -> Fault {
    let first = entry.parts.first().map_or(entry.span, |part| match part {
        Part::Name(name) => name.span,
        _ => entry.span,
    });
    let written = first.of(text);
    let words: Vec<&str> = written.split(is_blank).filter(|word| !word.is_empty()).collect();
    let known =
        || kind.spec().into_iter().flat_map(|spec| spec.entries.iter().map(|entry| entry.keyword.word()));
    let two = words.iter().take(2).copied().collect::<Vec<_>>().join(" ");
    let one = words.first().copied().unwrap_or("");
    let near = nearest(&two, known())
        .map(|near| (near, two.len()))
        .or_else(|| nearest(one, known()).map(|near| (near, one.len())));
    let is_definition = kind.is_definition();
    let what = if is_definition { "field" } else { "entry" };
    let block = kind.word();
    let rule = if is_definition { "unknown-field" } else { "unknown-keyword" };
    let word_len = near.map_or(one.len(), |(_, len)| len);
    let span = Span::new(first.start, first.start + u32::try_from(word_len).unwrap_or(0));
    let span = if matches!(entry.parts.first(), Some(Part::Name(_))) { span } else { entry.span };
    let all: Vec<&str> = known().collect();
    let made = fault(
        rule,
        span,
        format!("`{}` is no {what} of `{block}`, so nothing is done with this line", shorten(span.of(text))),
        match near {
            Some((near, _)) => format!("did you mean `{near}`?"),
            None if kind == BlockKind::Notes => "write prose behind a bar: `| …`".into(),
            None => format!("`{block}` knows {}", either(&all)),
        },
    );
    match near {
        Some((near, _)) => made.fix(format!("write {near}"), false, span, near),
        None => made,
    }
}

/// A second quantity on an item line.
pub(crate) fn second_quantity(text: &str, kind: BlockKind, value: &crate::ast::Value) -> Fault {
    second(text, kind, value.span)
}

fn second(text: &str, kind: BlockKind, span: Span) -> Fault {
    let written = span.of(text);
    let unit = scan::measure(written, 0).ok().flatten().and_then(|(measure, _)| measure.unit);
    let dimension = unit.map(UnitId::dimension);
    let word = match (kind, dimension) {
        (_, Some(quantity::Dimension::Temperature)) => Some("at"),
        (BlockKind::Boil, Some(quantity::Dimension::Time)) => Some("at"),
        (_, Some(quantity::Dimension::Time)) => Some("for"),
        (_, Some(quantity::Dimension::Gravity)) => Some("at"),
        _ => None,
    };
    // `crystal 60 L`: a colour on the scale that some write with a litre's letter.
    if kind == BlockKind::Grist && dimension == Some(quantity::Dimension::Volume) {
        let number = written.split(is_blank).next().unwrap_or(written).trim_end_matches(['L', 'l']);
        return fault(
            "malformed-line",
            span,
            format!("`{written}` reads as litres, and the line already has its amount"),
            format!("write the malt's colour as a property: `[{number} lov]`"),
        )
        .fix(format!("write [{number} lov]"), false, span, format!("[{number} lov]"));
    }
    match word {
        Some(word) => fault(
            "malformed-line",
            span,
            format!("`{written}` stands directly behind another value, and a word between them is missing"),
            format!("write `{word} {written}`"),
        )
        .fix(format!("write {word} {written}"), false, Span::at(span.start), format!("{word} ")),
        None => fault(
            "malformed-line",
            span,
            format!("`{written}` is a second value where one is wanted"),
            "put what describes the thing in brackets, or name it with a word such as `at`, `to`, `for`"
                .into(),
        ),
    }
}

/// An item without a name.
pub(crate) fn item_without_name(text: &str, span: Span) -> Fault {
    fault(
        "malformed-line",
        span,
        format!("`{}` says how much and not of what", shorten(span.of(text))),
        "write the name behind the amount".into(),
    )
}

/// An item without an amount.
pub(crate) fn item_without_amount(text: &str, kind: BlockKind, entry: &Entry) -> Fault {
    let known =
        kind.spec().into_iter().flat_map(|spec| spec.entries.iter().map(|entry| entry.keyword.word()));
    let name = entry.name().map_or(entry.span, |name| name.span);
    let written = name.of(text);
    let first = written.split(is_blank).next().unwrap_or("");
    if let Some(near) = nearest(first, known) {
        let span = Span::new(name.start, name.start + u32::try_from(first.len()).unwrap_or(0));
        return fault(
            "unknown-keyword",
            span,
            format!("`{first}` is no entry of `{}`", kind.word()),
            format!("did you mean `{near}`?"),
        )
        .fix(format!("write {near}"), false, span, near);
    }
    fault(
        "unit-missing",
        name,
        format!("`{}` has no amount, so it counts for nothing", shorten(written)),
        match kind {
            BlockKind::Boil => {
                "write the amount first, such as `25 g …`, or what it is solved for: `to reach 30 IBU`".into()
            }
            BlockKind::Grist => "write the amount first, such as `3.6 kg …` or `80 % …`".into(),
            BlockKind::Pitch => {
                "write the amount first, such as `200 billion cells …`, `1 pack …` or `11 g …`".into()
            }
            _ => "write the amount first".into(),
        },
    )
}

/// A value of another kind than the place wants.
pub(crate) fn wrong_value(text: &str, span: Span, wanted: &str) -> Fault {
    fault(
        "unit-wrong-dimension",
        span,
        format!("`{}` stands where {wanted} is wanted", shorten(span.of(text))),
        format!("write {wanted} there"),
    )
}

/// Something missing behind a word.
pub(crate) fn value_missing(span: Span, word: &str, missing: &[Slot]) -> Fault {
    let what: Vec<String> = missing.iter().take(1).map(slot_words).collect();
    fault(
        "malformed-line",
        span,
        format!("`{word}` says nothing without {}", either(&what)),
        format!("write {} behind `{word}`", either(&what)),
    )
}

/// Something else than the place wants.
pub(crate) fn wrong_slot(text: &str, span: Span, word: &str, slot: &Slot) -> Fault {
    fault(
        "malformed-line",
        span,
        format!("behind `{word}` stands `{}`, where {} is wanted", shorten(span.of(text)), slot_words(slot)),
        format!("write {} there", slot_words(slot)),
    )
}

/// A word that is none of those known.
pub(crate) fn unknown_word(text: &str, span: Span, word: &str, known: &[&str]) -> Fault {
    let written = span.of(text);
    let near = nearest(written, known.iter().copied());
    let made = fault(
        "unknown-keyword",
        span,
        format!("`{}` cannot stand behind `{word}`", shorten(written)),
        near.map_or_else(|| format!("write {}", either(known)), |near| format!("did you mean `{near}`?")),
    );
    match near {
        Some(near) => made.fix(format!("write {near}"), false, span, near),
        None => made,
    }
}

/// A value too many.
pub(crate) fn extra_value(text: &str, span: Span, word: &str) -> Fault {
    let written = span.of(text);
    let unit = scan::measure(written, 0).ok().flatten().and_then(|(measure, _)| measure.unit);
    let missing = match unit.map(UnitId::dimension) {
        Some(quantity::Dimension::Temperature | quantity::Dimension::Gravity) => Some("at"),
        Some(quantity::Dimension::Time) => Some("for"),
        Some(quantity::Dimension::Volume) if word == "og" => Some("with"),
        _ => None,
    };
    let made = fault(
        "malformed-line",
        span,
        format!("`{}` follows directly, and a word that says what it is for is missing", shorten(written)),
        missing.map_or_else(
            || "take it out, or say what it is for".into(),
            |word| format!("write `{word} {written}`"),
        ),
    );
    match missing {
        Some(word) => {
            made.fix(format!("write {word} {written}"), false, Span::at(span.start), format!("{word} "))
        }
        None => made,
    }
}

/// Words too many.
pub(crate) fn extra_words(text: &str, span: Span, word: &str) -> Fault {
    fault(
        "malformed-line",
        span,
        format!("`{word}` is complete before `{}`", shorten(span.of(text))),
        "take these words out, or put them in a comment behind `#`".into(),
    )
}

/// A range whose ends stand the wrong way round.
pub(crate) fn range_inverted(text: &str, span: Span, low: &Measure, high: &Measure) -> Fault {
    let written = span.of(text);
    let bare = |measure: &Measure| {
        let end = if measure.unit.is_some() { measure.unit_span.start } else { measure.span.end };
        Span::new(measure.span.start, end).of(text).trim_end_matches(is_blank).to_owned()
    };
    let (first, second) = (bare(low), bare(high));
    let first_span = Span::new(low.span.start, low.span.start + u32::try_from(first.len()).unwrap_or(0));
    let second_span = Span::new(high.span.start, high.span.start + u32::try_from(second.len()).unwrap_or(0));
    Fault {
        fixes: vec![FaultFix {
            title: "swap the two ends".into(),
            safe: true,
            edits: vec![(first_span, second.clone()), (second_span, first.clone())],
        }],
        ..fault(
            "range-inverted",
            span,
            format!("`{written}` runs downwards, so nothing lies inside it"),
            format!("write the smaller number first: `{second}..{first}`"),
        )
    }
}

/// A number without the unit it needs.
pub(crate) fn unit_missing(text: &str, measure: &Measure, kinds: &[Kind], of: Of<'_>) -> Fault {
    let number = measure.span.of(text);
    let end = Span::at(measure.span.end);
    let mut made = fault(
        "unit-missing",
        measure.span,
        format!("`{number}` has no unit, and nothing is guessed from its size"),
        format!(
            "write {} with its unit, such as `{}`",
            kinds_words(kinds),
            kind_words(*kinds.first().unwrap_or(&Kind::Mass)).1
        ),
    );
    // The word behind the number may be a unit misspelt.
    if let Of::Item(_, entry) = of
        && let Some(name) = entry.name()
    {
        let first = name.span.of(text).split(is_blank).next().unwrap_or("");
        if let Some(unit) =
            suggest_unit(first).filter(|unit| kinds.iter().any(|kind| crate::check::accepts(*kind, *unit)))
        {
            let span = Span::new(name.span.start, name.span.start + u32::try_from(first.len()).unwrap_or(0));
            return fault(
                "unknown-unit",
                span,
                format!("`{first}` is no unit, so the amount is not known"),
                format!("did you mean `{unit}`?"),
            )
            .fix(format!("write {unit}"), false, span, unit.to_string());
        }
    }
    for kind in kinds.iter().take(3) {
        for unit in usual_units(*kind) {
            made = made.fix(format!("write {number} {unit}"), false, end, format!(" {unit}"));
        }
    }
    made
}

/// Units a brewer may have meant, likeliest first.
const fn usual_units(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Mass => &["g", "kg"],
        Kind::Volume => &["L", "mL"],
        Kind::Temperature => &["C", "F"],
        Kind::Time => &["min", "d"],
        Kind::Proportion => &["%"],
        Kind::Colour => &["EBC"],
        Kind::Concentration => &["ppm"],
        Kind::Alkalinity => &["ppm as CaCO3"],
        Kind::Carbonation => &["vol"],
        Kind::Pressure => &["bar"],
        Kind::Cells => &["billion cells"],
        Kind::PitchRate => &["million/mL/P"],
        _ => &[],
    }
}

/// A unit that measures something else.
pub(crate) fn wrong_dimension(
    text: &str,
    measure: &Measure,
    unit: UnitId,
    kinds: &[Kind],
    of: Of<'_>,
) -> Fault {
    let written = measure.span.of(text);
    let is = unit.dimension().name();
    let wanted = kinds_words(kinds);
    let place = match of {
        Of::Fact(word) => format!("behind `{word}`"),
        Of::Item(kind, _) => format!("as an amount of `{}`", kind.word()),
    };
    let mut made = fault(
        "unit-wrong-dimension",
        measure.span,
        format!("`{written}` is {is}; {place} {wanted} is wanted"),
        format!("write {wanted}, such as `{}`", kind_words(*kinds.first().unwrap_or(&Kind::Mass)).1),
    );
    if unit == UnitId::L && kinds.contains(&Kind::Colour) {
        made.help = "a bare `L` is litres; write `lov` for degrees Lovibond".into();
        made = made.fix("write lov", false, measure.unit_span, "lov");
    }
    if unit == UnitId::K && kinds.contains(&Kind::Temperature) {
        made.help = "K counts steps of temperature; write the point in C or F".into();
    }
    if unit == UnitId::PPM && kinds.contains(&Kind::Alkalinity) {
        made.help = "alkalinity needs its scale: `ppm as CaCO3`, dH, mEq/L".into();
        made = made.fix("write ppm as CaCO3", false, measure.unit_span, "ppm as CaCO3");
    }
    made
}

// ---- clauses and properties ----------------------------------------------------------------------------------

/// A clause that stands twice.
pub(crate) fn repeated_clause(span: Span, _first: Span, word: ClauseWord) -> Fault {
    fault(
        "repeated-clause",
        span,
        format!("`{}` stands on this line twice, and they cannot both hold", word.word()),
        "keep one of them".into(),
    )
    .fix("take the second out", false, span, "")
}

/// A clause that has nothing to do there.
pub(crate) fn misplaced_clause(text: &str, clause: &Clause, word: &str, allowed: &[ClauseSpec]) -> Fault {
    let known: Vec<String> = allowed.iter().map(|spec| format!("`{}`", spec.word.word())).collect();
    let subject = if word == "an item" { "an item of this block".to_owned() } else { format!("`{word}`") };
    fault(
        "misplaced-clause",
        clause.span,
        format!("`{}` has no meaning for {subject}, so it would be left out", shorten(clause.span.of(text))),
        if known.is_empty() {
            "take it out".into()
        } else {
            format!("{subject} may have {}", either(&known))
        },
    )
}

/// A clause word with nothing behind it.
pub(crate) fn clause_empty(clause: &Clause, spec: &ClauseSpec) -> Fault {
    let what: Vec<String> = spec.takes.iter().take(2).map(slot_words).collect();
    fault(
        "malformed-line",
        clause.word_span,
        format!("`{}` says nothing without {}", clause.word.word(), either(&what)),
        format!("write {} behind it", either(&what)),
    )
}

/// A value a clause cannot have.
pub(crate) fn clause_value(text: &str, span: Span, word: ClauseWord, spec: &ClauseSpec) -> Fault {
    let what: Vec<String> = spec.takes.iter().map(slot_words).collect();
    fault(
        "unit-wrong-dimension",
        span,
        format!("`{}` cannot stand behind `{}`", shorten(span.of(text)), word.word()),
        format!("write {}", either(&what)),
    )
}

/// A word a clause does not know.
pub(crate) fn clause_word(
    text: &str,
    span: Span,
    word: ClauseWord,
    known: &[&str],
    spec: &ClauseSpec,
) -> Fault {
    let written = span.of(text);
    let near = nearest(written, known.iter().copied());
    let what: Vec<String> = spec.takes.iter().map(slot_words).collect();
    let made = fault(
        "unknown-keyword",
        span,
        format!("`{} {}` is not known here", word.word(), shorten(written)),
        near.map_or_else(|| format!("write {}", either(&what)), |near| format!("did you mean `{near}`?")),
    );
    match near {
        Some(near) => made.fix(format!("write {near}"), false, span, near),
        None => made,
    }
}

/// A property nobody knows.
pub(crate) fn unknown_property(text: &str, span: Span) -> Fault {
    let written = span.of(text);
    let fields = || {
        BLOCKS
            .iter()
            .filter(|spec| spec.kind.is_definition())
            .flat_map(|spec| spec.entries.iter().map(|entry| entry.keyword.word()))
            .chain(crate::vocabulary::Flag::ALL.iter().map(|flag| flag.word()))
    };
    let first = written.split(is_blank).next().unwrap_or("");
    let near = nearest(written, fields()).or_else(|| nearest(first, fields()));
    let made = fault(
        "unknown-field",
        span,
        format!("`{}` is no property, so it would be left out", shorten(written)),
        near.map_or_else(
            || "a property is a field with its value, such as `alpha 4.6 %`, or a word such as `leaf`".into(),
            |near| format!("did you mean `{near}`?"),
        ),
    );
    match near {
        Some(near) => made.fix(
            format!("write {near}"),
            false,
            Span::new(
                span.start,
                span.start
                    + u32::try_from(if nearest(written, fields()).is_some() {
                        written.len()
                    } else {
                        first.len()
                    })
                    .unwrap_or(0),
            ),
            near,
        ),
        None => made,
    }
}

/// A bare number among properties.
pub(crate) fn property_without_unit(text: &str, measure: &Measure) -> Fault {
    let number = measure.span.of(text);
    fault(
        "unit-missing",
        measure.span,
        format!("`{number}` among the properties has no unit, so nothing says what it is"),
        "write the unit, or the field before it: `[4.6 %]`, `[crop 2026]`".into(),
    )
    .fix(format!("write {number} %"), false, Span::at(measure.span.end), " %")
}
