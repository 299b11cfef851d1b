//! The tables of the tree-sitter scanner, made from the language's own tables.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use quantity::quantity::check_sum;
use quantity::unit::{UNITS, currencies};
use quantity::{Dimension, Quantity, UnitError, UnitId, scan_unit};
use syntax::vocabulary::{
    BLOCKS, BlockKind, ClauseSpec, ClauseWord, EntrySpec, Flag, Keyword, Kind, PROPERTY_ONLY, Slot,
    TEXT_FIELDS, item_amounts, property_slots,
};

/// Every kind of value, in the order of the enumeration.
const KINDS: &[Kind] = &[
    Kind::Mass,
    Kind::Volume,
    Kind::Temperature,
    Kind::Time,
    Kind::Proportion,
    Kind::Gravity,
    Kind::Potential,
    Kind::Colour,
    Kind::Bitterness,
    Kind::Concentration,
    Kind::Alkalinity,
    Kind::Carbonation,
    Kind::Pressure,
    Kind::Cells,
    Kind::CellsPerVolume,
    Kind::CellsPerMass,
    Kind::PitchRate,
    Kind::Diastatic,
    Kind::Power,
    Kind::HeatCapacity,
    Kind::HeatLoss,
    Kind::Length,
    Kind::Count,
    Kind::Price,
    Kind::VolumePerMass,
    Kind::Flow,
    Kind::Rate,
    Kind::Energy,
    Kind::Density,
    Kind::Dose,
    Kind::Step,
    Kind::Buffer,
    Kind::UnitMass,
    Kind::Oil,
    Kind::IonContent,
    Kind::Ph,
    Kind::Factor,
    Kind::Year,
];

fn mask(kinds: &[Kind]) -> u64 {
    kinds.iter().fold(0, |mask, kind| mask | 1 << *kind as u64)
}

/// The kinds of value a unit measures.
fn measures(unit: UnitId) -> u64 {
    mask(&KINDS.iter().copied().filter(|&kind| syntax::accepts(kind, unit)).collect::<Vec<_>>())
}

fn quoted(text: &str) -> String {
    let escaped: String = text
        .bytes()
        .map(|byte| if byte.is_ascii() { char::from(byte).to_string() } else { format!("\\{byte:03o}") })
        .collect();
    format!("\"{escaped}\"")
}

/// Words of one `Slot::Word` and the like, written as one text with a bar behind each.
fn words(words: &[&str]) -> String {
    quoted(&words.iter().map(|word| format!("{word}|")).collect::<String>())
}

fn slot(slot: &Slot) -> String {
    let (name, kinds, known) = match slot {
        Slot::Of(kinds) => ("OF", mask(kinds), "0".to_owned()),
        Slot::Ref(_) => ("REF", 0, "0".to_owned()),
        Slot::Word(known) => ("WORD", 0, words(known)),
        Slot::Words => ("WORDS", 0, "0".to_owned()),
        Slot::Text => ("TEXT", 0, "0".to_owned()),
        Slot::Str => ("STR", 0, "0".to_owned()),
        Slot::Id => ("ID", 0, "0".to_owned()),
        Slot::Date => ("DATE", 0, "0".to_owned()),
        Slot::Clock => ("CLOCK", 0, "0".to_owned()),
        Slot::Day => ("DAY", 0, "0".to_owned()),
        Slot::Score => ("SCORE", 0, "0".to_owned()),
        Slot::Expr => ("EXPR", 0, "0".to_owned()),
        Slot::Chance => ("CHANCE", 0, "0".to_owned()),
    };
    format!("{{SLOT_{name}, {kinds:#x}ull, {known}}}")
}

/// Lists of slots and of clauses, each written once and called by its number.
#[derive(Default)]
struct Pool {
    text: String,
    lists: Vec<String>,
}

impl Pool {
    fn entered(&mut self, kind: &str, items: &[String]) -> (String, usize) {
        if items.is_empty() {
            return ("0".to_owned(), 0);
        }
        let body = items.join(", ");
        let made = format!("{kind}:{body}");
        let at = self.lists.iter().position(|list| *list == made).unwrap_or_else(|| {
            self.lists.push(made);
            let at = self.lists.len() - 1;
            let _ = writeln!(self.text, "static const {kind} list_{at}[] = {{{body}}};");
            at
        });
        (format!("list_{at}"), items.len())
    }
    fn slots<'a>(&mut self, slots: impl IntoIterator<Item = &'a Slot>) -> String {
        let slots: Vec<String> = slots.into_iter().map(slot).collect();
        let (list, count) = self.entered("Slot", &slots);
        format!("{list}, {count}")
    }
    fn clauses(&mut self, clauses: &[ClauseSpec]) -> String {
        let made: Vec<String> = clauses
            .iter()
            .map(|clause| format!("{{{}, {}}}", clause.word as u8, self.slots(clause.takes)))
            .collect();
        let (list, count) = self.entered("ClauseSpec", &made);
        format!("{list}, {count}")
    }
}

fn entry(pool: &mut Pool, entry: &EntrySpec) -> String {
    let keyword = match entry.keyword {
        Keyword::Let => "KEY_LET",
        Keyword::Boil => "KEY_BOIL",
        _ => "KEY_ANY",
    };
    let (takes, clauses) = (pool.slots(entry.takes), pool.clauses(entry.clauses));
    format!(
        "{{{}, {keyword}, {}, {}, {}, {}, {takes}, {clauses}}}",
        quoted(entry.keyword.word()),
        u8::from(entry.is_text()),
        entry.optional,
        u8::from(entry.amount_leads),
        entry.needs().map_or(0, |word| 1 << word as u16),
    )
}

/// Longest first, so that the first that matches is the longest.
fn longest_first<T>(items: &mut [T], word: impl Fn(&T) -> &'static str) {
    items.sort_by_key(|item| (core::cmp::Reverse(word(item).len()), word(item)));
}

fn blocks(out: &mut String) {
    let mut pool = Pool::default();
    let mut tables = String::new();
    let mut rows = String::new();
    for kind in BlockKind::ALL {
        let Some(spec) = kind.spec() else {
            rows.push_str("  {0},\n");
            continue;
        };
        let mut entries: Vec<&EntrySpec> = spec.entries.iter().collect();
        longest_first(&mut entries, |entry| entry.keyword.word());
        let entries: Vec<String> = entries.into_iter().map(|spec| entry(&mut pool, spec)).collect();
        let at = *kind as u8;
        if !entries.is_empty() {
            let _ = writeln!(
                tables,
                "static const EntrySpec entries_{at}[] = {{\n  {},\n}};",
                entries.join(",\n  ")
            );
        }
        let table = if entries.is_empty() { "0".to_owned() } else { format!("entries_{at}") };
        let _ = writeln!(
            rows,
            "  {{{}, {}, {}, {}, {}, {table}, {}, {}, {}, {:#x}ull, {}}},",
            quoted(spec.word),
            spec.optional,
            u8::from(spec.queries),
            pool.slots(spec.takes),
            pool.clauses(spec.clauses),
            entries.len(),
            u8::from(spec.items.is_some()),
            pool.clauses(spec.items.unwrap_or(&[])),
            mask(item_amounts(*kind)),
            u8::from(spec.takes.is_empty()),
        );
    }
    let fields: Vec<Keyword> = BLOCKS
        .iter()
        .filter(|spec| spec.kind.is_definition())
        .flat_map(|spec| spec.entries)
        .map(|entry| entry.keyword)
        .chain(PROPERTY_ONLY.iter().copied())
        .collect();
    let mut names: Vec<(&'static str, Option<Keyword>, bool)> = vec![("or", None, false)];
    names.extend(Flag::ALL.iter().map(|flag| (flag.word(), None, true)));
    for field in fields {
        match names.iter_mut().find(|(word, ..)| *word == field.word()) {
            Some((_, found, _)) => *found = Some(field),
            None => names.push((field.word(), Some(field), false)),
        }
    }
    longest_first(&mut names, |(word, ..)| word);
    let mut properties = String::new();
    for (word, field, flag) in names {
        let kind = match (field, flag) {
            (Some(_), true) => "EITHER",
            (Some(_), false) => "FIELD",
            (None, true) => "FLAG",
            (None, false) => "OR",
        };
        let slots: Vec<&Slot> = field.map_or(Vec::new(), |field| {
            BLOCKS
                .iter()
                .filter(|spec| spec.kind.is_definition())
                .flat_map(|spec| spec.entries)
                .filter(|entry| entry.keyword == field)
                .map(|entry| entry.takes)
                .chain(property_slots(field))
                .flatten()
                .collect()
        });
        let text = field.is_some_and(|field| TEXT_FIELDS.contains(&field));
        let slots = pool.slots(slots);
        let _ = writeln!(properties, "  {{{}, PROPERTY_{kind}, {}, {slots}}},", quoted(word), u8::from(text));
    }
    out.push_str(&pool.text);
    out.push_str(&tables);
    let _ = writeln!(out, "static const BlockSpec blocks[] = {{\n{rows}}};");
    let _ = writeln!(out, "static const PropertySpec properties[] = {{\n{properties}}};");
    out.push_str("enum {\n");
    for kind in BlockKind::ALL {
        let _ = writeln!(out, "  BLOCK_{} = {},", format!("{kind:?}").to_uppercase(), *kind as u8);
    }
    for word in ClauseWord::ALL {
        let _ = writeln!(out, "  CLAUSE_{} = {},", format!("{word:?}").to_uppercase(), *word as u8);
    }
    out.push_str("};\n");
    let _ = writeln!(
        out,
        "#define BARE_KINDS {:#x}ull\n#define UNNAMED_KINDS {:#x}ull\n#define KIND_TIME {:#x}ull\n#define KIND_PH {:#x}ull\n#define KIND_TEMPERATURE {:#x}ull",
        mask(&KINDS.iter().copied().filter(|&kind| syntax::bare_number_stands(kind)).collect::<Vec<_>>()),
        mask(&[
            Kind::Proportion,
            Kind::Colour,
            Kind::Mass,
            Kind::Cells,
            Kind::CellsPerVolume,
            Kind::CellsPerMass,
            Kind::Temperature,
        ]),
        mask(&[Kind::Time]),
        mask(&[Kind::Ph]),
        mask(&[Kind::Temperature]),
    );
}

fn units(out: &mut String) {
    let row = |id: UnitId| UNITS.iter().position(|spec| spec.id == id).unwrap_or(0);
    let mut spellings = String::new();
    for (at, spec) in UNITS.iter().enumerate().filter(|(_, spec)| spec.is_written()) {
        // What another case of the symbol makes of it is asked of the reader itself.
        let mut flipped: String = spec.symbol.to_owned();
        if let Some(first) = flipped.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        let wrong = |text: &str| {
            scan_unit(text).is_some_and(
                |found| matches!(found.unit, Err(UnitError::WrongCase { right }) if right == spec.id),
            )
        };
        let case = if wrong(&flipped) {
            "CASE_SMALL_FIRST"
        } else if matches!(
            scan_unit(&spec.symbol.to_lowercase()).map(|found| found.unit),
            Some(Err(UnitError::Ambiguous { .. }))
        ) && spec.id == UnitId::WK
        {
            "CASE_CAPITALS"
        } else {
            "CASE_FREE"
        };
        for (text, symbol) in
            core::iter::once((spec.symbol, true)).chain(spec.aliases.iter().map(|&text| (text, false)))
        {
            let _ = writeln!(
                spellings,
                "  {{{}, {at}, {case}, {}, {}}},",
                quoted(text),
                u8::from(symbol),
                u8::from(spec.degree)
            );
        }
    }
    let _ = writeln!(out, "static const Spelling spellings[] = {{\n{spellings}}};");
    out.push_str("static const UnitSpec units[] = {\n");
    for spec in UNITS {
        let dimension = match spec.dimension {
            Dimension::TemperatureStep => "UNIT_STEP",
            Dimension::Count => "UNIT_COUNT",
            _ => "UNIT_OTHER",
        };
        let _ = writeln!(out, "  {{{:#x}ull, {dimension}}},", measures(spec.id));
    }
    out.push_str("};\nstatic const Ratio ratios[] = {\n");
    for above in UNITS {
        for below in UNITS {
            if let Some(ratio) = above.id.per(below.id) {
                let _ =
                    writeln!(out, "  {{{}, {}, {:#x}ull}},", row(above.id), row(below.id), measures(ratio));
            }
        }
    }
    out.push_str("};\nstatic const Sum sums[] = {\n");
    for first in UNITS.iter().filter(|spec| spec.id.is_plain()) {
        for second in UNITS.iter().filter(|spec| spec.id.is_plain()) {
            let adds = check_sum(first.id, second.id).is_ok();
            let unsure = Quantity::new(1.0, first.id).plus_part(Quantity::new(1.0, second.id), None).is_err();
            if adds {
                let _ = writeln!(out, "  {{{}, {}, {}}},", row(first.id), row(second.id), u8::from(unsure));
            }
        }
    }
    out.push_str("};\nstatic const Ratio prices[] = {\n");
    if let Some(money) = currencies().next() {
        for below in UNITS {
            if let Some(price) = money.per(below.id) {
                let _ = writeln!(out, "  {{0, {}, {:#x}ull}},", row(below.id), measures(price));
            }
        }
        let _ = writeln!(out, "}};\n#define MONEY_KINDS {:#x}ull", measures(money));
    }
    let codes: BTreeSet<&str> = currencies().filter_map(UnitId::currency_code).collect();
    let _ = writeln!(
        out,
        "static const char currencies[] = {};",
        codes.into_iter().map(|code| format!("\"{code}\"")).collect::<Vec<_>>().join("\n  ")
    );
    let named = [
        ("G", UnitId::G),
        ("ML", UnitId::ML),
        ("HUNDRED_G", UnitId::HUNDRED_G),
        ("HUNDRED_ML", UnitId::HUNDRED_ML),
        ("WK", UnitId::WK),
        ("WEEK", UnitId::WEEK),
        ("L", UnitId::L),
        ("LOV", UnitId::LOV),
    ];
    for (name, id) in named {
        let _ = writeln!(out, "#define ROW_{name} {}", row(id));
    }
}

/// Characters of one make as ranges.
fn ranges(out: &mut String, name: &str, belongs: impl Fn(char) -> bool) {
    let mut found: Vec<(u32, u32)> = Vec::new();
    for code in 0x80..=0x10_FFFFu32 {
        if char::from_u32(code).is_some_and(&belongs) {
            match found.last_mut() {
                Some((_, last)) if *last + 1 == code => *last = code,
                _ => found.push((code, code)),
            }
        }
    }
    let text: Vec<String> = found.iter().map(|(first, last)| format!("{{{first:#x}, {last:#x}}}")).collect();
    let lines: Vec<String> = text.chunks(6).map(|chunk| format!("  {},", chunk.join(", "))).collect();
    let _ = writeln!(out, "static const Range {name}[] = {{\n{}\n}};", lines.join("\n"));
}

/// The header file `grammar/tree-sitter/src/words.h`.
#[must_use]
pub(crate) fn scanner_tables() -> String {
    let mut out = String::from(
        "// Made from the tables of the language by `cargo test -p gyle-tests --test grammar`; see README.md.\n",
    );
    blocks(&mut out);
    units(&mut out);
    ranges(&mut out, "letters", char::is_alphabetic);
    ranges(&mut out, "letters_and_digits", char::is_alphanumeric);
    out
}
