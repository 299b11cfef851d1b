//! `grammar/gyle.ebnf` and the parser agree: its second half is written from the vocabulary, sentences made
//! from it are read without a fault, and a sentence with one line spoilt is refused at that line.
//!
//! `UPDATE_GRAMMAR=1 cargo test -p syntax --test grammar` writes the second half anew.

#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::PathBuf;

use proptest::prelude::*;
use syntax::ast::Form;
use syntax::vocabulary::{
    BLOCKS, BlockKind, BlockSpec, ClauseSpec, ClauseWord, EntrySpec, Flag, Keyword, Kind, PROPERTY_ONLY,
    Slot, TEXT_FIELDS, item_amounts, property_slots,
};
use syntax::{accepts, bare_number_stands, parse};

fn path() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../grammar/gyle.ebnf")
}

const MARK: &str = "(* From here on:";

#[test]
fn the_second_half_is_current() {
    let written = std::fs::read_to_string(path()).unwrap();
    let at = written.find(MARK).unwrap();
    let head = at + written[at..].find('\n').unwrap() + 1;
    let current = format!("{}\n{}", &written[..head], second_half());
    if std::env::var_os("UPDATE_GRAMMAR").is_some() {
        std::fs::write(path(), &current).unwrap();
        return;
    }
    assert!(written == current, "run UPDATE_GRAMMAR=1 cargo test -p syntax --test grammar");
}

// Writing the grammar.

/// The name of a rule for a kind of value.
fn kind_rule(kind: Kind) -> &'static str {
    match kind {
        Kind::Mass => "mass",
        Kind::Volume => "volume",
        Kind::Temperature => "temperature",
        Kind::Time => "time",
        Kind::Proportion => "percentage",
        Kind::Gravity => "gravity",
        Kind::Potential => "potential",
        Kind::Colour => "colour",
        Kind::Bitterness => "bitterness",
        Kind::Concentration => "concentration",
        Kind::Alkalinity => "alkalinity",
        Kind::Carbonation => "carbonation",
        Kind::Pressure => "pressure",
        Kind::Cells => "cells",
        Kind::CellsPerVolume => "cells_by_volume",
        Kind::CellsPerMass => "cells_by_mass",
        Kind::PitchRate => "pitch_rate",
        Kind::Diastatic => "diastatic_power",
        Kind::Power => "power_of_heater",
        Kind::HeatCapacity => "heat_capacity",
        Kind::HeatLoss => "heat_loss",
        Kind::Length => "length",
        Kind::Count => "count",
        Kind::Price => "price",
        Kind::VolumePerMass => "volume_by_mass",
        Kind::Flow => "flow",
        Kind::Rate => "rate",
        Kind::Energy => "energy",
        Kind::Density => "density",
        Kind::Dose => "dose",
        Kind::Step => "step",
        Kind::Buffer => "buffering",
        Kind::UnitMass => "mass_of_one",
        Kind::Oil => "oil",
        Kind::IonContent => "ion_content",
        Kind::Ph => "ph",
        Kind::Factor => "factor",
        Kind::Year => "year",
    }
}

/// A unit rule's name.
fn unit_rule(kind: Kind) -> String {
    format!("UNIT_{}", kind_rule(kind).to_uppercase())
}

/// The spellings of the units of a kind; prices stand for all of theirs.
fn spellings(kind: Kind) -> Vec<String> {
    if kind == Kind::Price {
        return vec!["EUR/kg".into(), "USD/lb".into(), "GBP/L".into(), "EUR/pack".into()];
    }
    let mut found = Vec::new();
    for (unit, _) in quantity::units().filter(|(unit, _)| accepts(kind, *unit)) {
        found.push(unit.to_string());
        let aliases = unit.spec().map_or(&[][..], |spec| spec.aliases);
        found.extend(aliases.iter().filter(|alias| !alias.ends_with('/')).map(|alias| (*alias).to_owned()));
    }
    found
}

fn kinds_used() -> Vec<Kind> {
    let mut used: Vec<Kind> = Vec::new();
    let mut add = |slots: &[Slot]| {
        for slot in slots {
            if let Slot::Of(kinds) = slot {
                used.extend(*kinds);
            }
        }
    };
    for block in BLOCKS {
        add(block.takes);
        let entries = block.entries.iter().map(|entry| entry.clauses);
        for clause in entries.chain([block.clauses]).chain(block.items).flatten() {
            add(clause.takes);
        }
        for entry in block.entries {
            add(entry.takes);
        }
    }
    for block in BLOCKS.iter().filter(|block| block.items.is_some()) {
        used.extend(item_amounts(block.kind));
    }
    let mut unique = Vec::new();
    for kind in used {
        if !unique.contains(&kind) {
            unique.push(kind);
        }
    }
    unique
}

fn quoted(word: &str) -> String {
    format!("\"{word}\"")
}

fn either(parts: impl IntoIterator<Item = String>) -> String {
    let mut unique: Vec<String> = Vec::new();
    for part in parts {
        if !unique.contains(&part) {
            unique.push(part);
        }
    }
    match unique.as_slice() {
        [one] => one.clone(),
        many => format!("( {} )", many.join(" | ")),
    }
}

/// Times at which something is done in the boil are one number, not a range.
fn one_time(kinds: &[Kind], word: &str) -> bool {
    kinds == [Kind::Time] && matches!(word, "at" | "boil")
}

fn slot_rules(slot: &Slot, word: &str) -> Vec<String> {
    match slot {
        Slot::Of(kinds) if one_time(kinds, word) => vec!["one_time".into()],
        Slot::Of(kinds) => kinds.iter().map(|&kind| kind_rule(kind).to_owned()).collect(),
        Slot::Ref(_) => vec!["name".into()],
        Slot::Word([]) => vec!["WORD".into()],
        Slot::Word(words) => words.iter().map(|word| quoted(word)).collect(),
        Slot::Words => vec!["WORDS".into(), "STRING".into()],
        Slot::Text => vec!["TEXT".into()],
        Slot::Str => vec!["STRING".into()],
        Slot::Id => vec!["ID".into()],
        Slot::Date => vec!["DATE".into()],
        Slot::Clock => vec!["CLOCK".into()],
        // A step begins on one day; what is added on several is computed with the first.
        Slot::Day if word == "on" => vec!["day".into(), "days".into()],
        Slot::Day => vec!["day".into()],
        Slot::Score => vec!["SCORE".into()],
        Slot::Expr => vec!["expression".into()],
        Slot::Chance => vec!["chance".into()],
    }
}

fn clause_rule(clause: &ClauseSpec) -> String {
    let word = clause.word.word();
    let ph = clause.takes.iter().any(|slot| matches!(slot, Slot::Of(kinds) if kinds.contains(&Kind::Ph)));
    let of = |slots: &[Slot]| either(slots.iter().flat_map(|slot| slot_rules(slot, word)));
    let takes = match clause.word {
        // An amount of sugar, or of beer in the fermenter.
        ClauseWord::With => match clause.takes {
            [amount, Slot::Ref(_)] => format!("[ {} ] name", of(&[*amount])),
            takes => of(takes),
        },
        ClauseWord::Planned => clause.takes.iter().map(|slot| of(&[*slot])).collect::<Vec<_>>().join(" "),
        // A place may be any words here, up to the next clause.
        _ => of(clause.takes).replace("( WORDS | STRING )", "name"),
    };
    let ph = if ph { "[ \"ph\" ] " } else { "" };
    format!("{} {ph}{takes} [ PROPERTIES ]", quoted(word))
}

fn clauses_rule(clauses: &[ClauseSpec]) -> String {
    let all: Vec<String> = clauses.iter().map(clause_rule).collect();
    match all.as_slice() {
        [] => String::new(),
        [one] => format!(" [ {one} ]"),
        all => format!(" ( {} )", all.join(" & ")),
    }
}

fn takes_rule(takes: &[Slot], optional: u8, word: &str) -> String {
    let required = takes.len().saturating_sub(usize::from(optional));
    let mut out = String::new();
    for (at, slot) in takes.iter().enumerate() {
        let rule = either(slot_rules(slot, word));
        // The last of the parts that may be left out may be left out alone.
        if at < required { write!(out, " {rule}") } else { write!(out, " [ {rule} ]") }.unwrap();
    }
    out
}

/// The clauses, the one that is needed first.
fn with_clauses(needed: Option<ClauseWord>, clauses: &[ClauseSpec]) -> String {
    let (needed, rest): (Vec<ClauseSpec>, Vec<ClauseSpec>) =
        clauses.iter().partition(|clause| Some(clause.word) == needed);
    let needed: String = needed.iter().map(|clause| format!(" {}", clause_rule(clause))).collect();
    format!("{needed}{}", clauses_rule(&rest))
}

fn entry_rule(entry: &EntrySpec) -> String {
    let word = entry.keyword.word();
    if entry.is_text() {
        let text = if entry.optional > 0 { "[ TEXT ]" } else { "TEXT" };
        return format!("{} {text}", quoted(word));
    }
    if entry.keyword == Keyword::Let {
        return "let".into();
    }
    let lead = if entry.amount_leads { "[ volume ] " } else { "" };
    let tail = format!("[ PROPERTIES ]{} [ STRING ]", with_clauses(entry.needs(), entry.clauses));
    let solved = entry.clauses.iter().any(|clause| clause.word == ClauseWord::ToReach);
    if solved {
        // The amount is left out where the line says what it is solved for.
        let reach = entry.clauses.iter().find(|clause| clause.word == ClauseWord::ToReach).unwrap();
        let rest: Vec<ClauseSpec> =
            entry.clauses.iter().filter(|clause| clause.word != ClauseWord::ToReach).copied().collect();
        return format!(
            "{word}{} {tail}\n                | {word}{} [ PROPERTIES ]{} {} [ STRING ]",
            takes_rule(entry.takes, entry.optional, word),
            takes_rule(&entry.takes[1..], 0, word),
            clauses_rule(&rest),
            clause_rule(reach),
            word = quoted(word),
        );
    }
    // Quotes behind what takes words would be the words.
    let tail = if entry.takes.iter().any(|slot| matches!(slot, Slot::Str)) {
        tail.replace(" [ STRING ]", "")
    } else {
        tail
    };
    format!("{lead}{}{} {tail}", quoted(word), takes_rule(entry.takes, entry.optional, word))
}

fn header_rule(block: &BlockSpec) -> String {
    match block.kind {
        BlockKind::Let => "let".into(),
        BlockKind::Gyle => {
            let of = &block.clauses[0];
            let (on, planned) = (&block.clauses[1], &block.clauses[2]);
            let bare = |clause| clause_rule(clause).replace(" [ PROPERTIES ]", "");
            format!("\"gyle\" ID STRING [ {} ] ( {} | {} )", bare(of), bare(on), bare(planned))
        }
        _ => {
            let clauses = with_clauses(block.needs(), block.clauses).replace(" [ PROPERTIES ]", "");
            let takes = takes_rule(block.takes, block.optional, block.word);
            format!("{}{takes}{clauses}", quoted(block.word))
        }
    }
}

fn rule_name(block: &BlockSpec) -> String {
    block.word.to_owned()
}

fn second_half() -> String {
    let mut out =
        String::from("(* Quantities. Units match without case unless case tells two of them apart. *)\n\n");
    let rule = |out: &mut String, name: &str, body: &str| writeln!(out, "{name:<15} = {body} ;").unwrap();
    for kind in kinds_used() {
        let (name, unit) = (kind_rule(kind), unit_rule(kind));
        let units = spellings(kind);
        let body = match (kind, bare_number_stands(kind), units.is_empty()) {
            (Kind::Year | Kind::Ph | Kind::Factor, ..) => "NUMBER | RANGE | TOLERANCE | computed".into(),
            (_, true, false) => format!(
                "NUMBER | RANGE | TOLERANCE | NUMBER {unit} | RANGE {unit} | TOLERANCE {unit} | computed"
            ),
            // What is counted is one number.
            (Kind::Count, ..) => format!("NUMBER {unit} | computed"),
            _ => format!("NUMBER {unit} | RANGE {unit} | TOLERANCE {unit} | computed"),
        };
        let sum = match kind {
            Kind::Mass => " | MASS_SUM",
            Kind::Volume => " | VOLUME_SUM",
            Kind::Time => " | TIME_SUM",
            _ => "",
        };
        rule(&mut out, name, &format!("{body}{sum}"));
    }
    rule(&mut out, "one_time", "NUMBER UNIT_TIME | TIME_SUM | computed");
    for (sum, example) in
        [("MASS_SUM", "2 lb 4 oz"), ("VOLUME_SUM", "2 gal 1 qt"), ("TIME_SUM", "1 h 15 min")]
    {
        let words = "a number with its unit, then others in smaller units of the same system";
        rule(&mut out, sum, &format!("? {words}: {example} ?"));
    }
    out.push('\n');
    for kind in kinds_used() {
        let units: Vec<String> = spellings(kind).iter().map(|unit| quoted(unit)).collect();
        if !units.is_empty() {
            rule(&mut out, &unit_rule(kind), &units.join(" | "));
        }
    }
    out.push_str("\n(* Properties *)\n\n");
    let flags: Vec<String> = Flag::ALL.iter().map(|flag| quoted(flag.word())).collect();
    rule(&mut out, "flag", &flags.join(" | "));
    rule(&mut out, "field", &fields().join("\n                | "));
    out.push_str("\n(* Blocks *)\n\n");
    let blocks: Vec<String> =
        BLOCKS.iter().map(|block| format!("BLOCK_{}", block.word.to_uppercase())).collect();
    rule(&mut out, "A_BLOCK", &blocks.join(" | "));
    for block in BLOCKS {
        let name = rule_name(block);
        let upper = name.to_uppercase();
        writeln!(out, "\n(* {} *)", block.doc).unwrap();
        let lines = lines_of(block);
        let line = if lines.is_empty() {
            "FREE_LINE | PROSE_LINE".to_owned()
        } else {
            format!("FREE_LINE | PROSE_LINE | INDENT line_{name} END")
        };
        rule(&mut out, &format!("BLOCK_{upper}"), &format!("header_{name} END {{ {line} }}"));
        rule(&mut out, &format!("header_{name}"), &header_rule(block));
        if !lines.is_empty() {
            rule(&mut out, &format!("line_{name}"), &lines.join("\n                | "));
        }
    }
    out
}

fn lines_of(block: &BlockSpec) -> Vec<String> {
    let mut lines = Vec::new();
    let when = if block.kind == BlockKind::Gyle { "WHEN " } else { "" };
    if let Some(clauses) = block.items {
        let amounts = either(item_amounts(block.kind).iter().map(|&kind| kind_rule(kind).to_owned()));
        lines.push(format!("{amounts} name [ PROPERTIES ]{} [ STRING ]", clauses_rule(clauses)));
        if let Some(reach) = clauses.iter().find(|clause| clause.word == ClauseWord::ToReach) {
            let rest: Vec<ClauseSpec> =
                clauses.iter().filter(|clause| clause.word != ClauseWord::ToReach).copied().collect();
            lines.push(format!(
                "NAME [ PROPERTIES ]{} {} [ STRING ]",
                clauses_rule(&rest),
                clause_rule(reach)
            ));
        }
    }
    lines.extend(block.entries.iter().map(|entry| format!("{when}{}", entry_rule(entry))));
    if block.kind == BlockKind::Expect {
        lines.extend(["expectation".into(), "condition".into()]);
    }
    if block.queries {
        lines.push("query".into());
    }
    lines
}

/// Fields among properties, each with all that it may take in one definition or another.
fn fields() -> Vec<String> {
    let mut takes: BTreeMap<Keyword, Vec<String>> = BTreeMap::new();
    let definitions =
        BLOCKS.iter().filter(|block| block.kind.is_definition()).flat_map(|block| block.entries);
    let only = PROPERTY_ONLY.iter().filter_map(|&keyword| Some((keyword, property_slots(keyword)?)));
    for (keyword, slots) in definitions.map(|entry| (entry.keyword, entry.takes)).chain(only) {
        let rules = if TEXT_FIELDS.contains(&keyword) {
            vec!["FIELD_TEXT".to_owned()]
        } else {
            // Words and text of a field end with the property.
            let words = |rule: String| match rule.as_str() {
                "WORDS" | "TEXT" => "FIELD_WORDS".to_owned(),
                _ => rule,
            };
            slots.iter().flat_map(|slot| slot_rules(slot, "")).map(words).collect()
        };
        takes.entry(keyword).or_default().extend(rules);
    }
    takes
        .into_iter()
        .map(|(keyword, rules)| format!("{} {}", quoted(keyword.word()), either(rules)))
        .collect()
}

// Reading the grammar.

#[derive(Clone, Debug)]
enum Rule {
    Word(String),
    Name(String),
    /// Described in words.
    Special,
    Sequence(Vec<Rule>),
    Choice(Vec<Rule>),
    Permutation(Vec<Rule>),
    Optional(Box<Rule>),
    Repeated(Box<Rule>),
}

struct Grammar {
    rules: BTreeMap<String, Rule>,
}

impl Grammar {
    fn read(text: &str) -> Self {
        let mut marks = marks(text).into_iter().peekable();
        let mut rules = BTreeMap::new();
        while let Some(name) = marks.next() {
            assert_eq!(marks.next().as_deref(), Some("="), "{name}");
            let rule = choice(&mut marks);
            assert_eq!(marks.next().as_deref(), Some(";"), "{name}");
            assert!(rules.insert(name.clone(), rule).is_none(), "{name} twice");
        }
        Self { rules }
    }
}

fn marks(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let len = if let Some(comment) = rest.strip_prefix("(*") {
            rest = comment[comment.find("*)").unwrap() + 2..].trim_start();
            continue;
        } else if let Some(quote) = rest.chars().next().filter(|c| matches!(c, '"' | '\'' | '?')) {
            rest[1..].find(quote).unwrap() + 2
        } else if rest.starts_with(|c: char| c.is_alphabetic()) {
            rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len())
        } else {
            1
        };
        found.push(rest[..len].to_owned());
        rest = rest[len..].trim_start();
    }
    found
}

type Marks = std::iter::Peekable<std::vec::IntoIter<String>>;

fn choice(marks: &mut Marks) -> Rule {
    let mut all = vec![permutation(marks)];
    while marks.next_if(|mark| mark == "|").is_some() {
        all.push(permutation(marks));
    }
    if all.len() == 1 { all.remove(0) } else { Rule::Choice(all) }
}

fn permutation(marks: &mut Marks) -> Rule {
    let mut all = vec![sequence(marks)];
    let mut permuted = false;
    while marks.next_if(|mark| mark == "&").is_some() {
        permuted = true;
        all.push(sequence(marks));
    }
    if permuted { Rule::Permutation(all) } else { all.remove(0) }
}

fn sequence(marks: &mut Marks) -> Rule {
    let mut all = Vec::new();
    while let Some(mark) = marks.next_if(|mark| !matches!(mark.as_str(), "|" | "&" | ";" | ")" | "]" | "}")) {
        all.push(match mark.as_str() {
            "(" => {
                let inner = choice(marks);
                assert_eq!(marks.next().as_deref(), Some(")"));
                inner
            }
            "[" => {
                let inner = choice(marks);
                assert_eq!(marks.next().as_deref(), Some("]"));
                Rule::Optional(Box::new(inner))
            }
            "{" => {
                let inner = choice(marks);
                assert_eq!(marks.next().as_deref(), Some("}"));
                Rule::Repeated(Box::new(inner))
            }
            mark if mark.starts_with(['"', '\'']) => Rule::Word(mark[1..mark.len() - 1].to_owned()),
            mark if mark.starts_with('?') => Rule::Special,
            mark => Rule::Name(mark.to_owned()),
        });
    }
    if all.len() == 1 { all.remove(0) } else { Rule::Sequence(all) }
}

#[test]
fn every_rule_is_defined_and_used() {
    let grammar = Grammar::read(&std::fs::read_to_string(path()).unwrap());
    let mut used = BTreeSet::from(["FILE".to_owned()]);
    fn walk(rule: &Rule, used: &mut BTreeSet<String>) {
        match rule {
            Rule::Name(name) => {
                used.insert(name.clone());
            }
            Rule::Sequence(all) | Rule::Choice(all) | Rule::Permutation(all) => {
                all.iter().for_each(|rule| walk(rule, used));
            }
            Rule::Optional(inner) | Rule::Repeated(inner) => walk(inner, used),
            Rule::Word(_) | Rule::Special => {}
        }
    }
    grammar.rules.values().for_each(|rule| walk(rule, &mut used));
    let defined: BTreeSet<String> = grammar.rules.keys().cloned().collect();
    assert_eq!(defined, used);
}

// Sentences.

/// Draws from a list of random numbers, and zeros when it is used up, which makes sentences end.
struct Dice {
    rolls: std::vec::IntoIter<u32>,
}

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.rolls.next().map_or(0, |roll| roll as usize % sides.max(1))
    }
}

struct Writer<'g> {
    grammar: &'g Grammar,
    dice: Dice,
    depth: usize,
}

/// What the rules described in words may be. The first is the simplest.
fn samples(rule: &str) -> &'static [&'static str] {
    match rule {
        "BOM" => &["\u{feff}"],
        "EOL" => &["\n", "\r\n", "\r"],
        "BLANK" => &[" ", "\t", "\u{a0}", "  "],
        "COMMENT" => &[" a remark", "", " allow a-rule: because", "x"],
        "STAMP" => &["24 IBU", "og 1.050, 20 L"],
        "PROSE_LINE" => &[" prose", " prose # with \" signs [", ""],
        "NAME" => &[
            "Fuggle",
            "maris otter malt",
            "Idaho 7",
            "2-row malt",
            "malt, crushed",
            "Pride of the North",
            "K97",
        ],
        "STRING" => &["corn flakes (brewing)", "a # b", "at 60 min", "x"],
        "WORDS" => &["barley", "2-row at home", "no-sparge bag"],
        "WORD" => &["EUR", "us"],
        "ID" => &["27", "2026-03/a", "x"],
        "TEXT" => &["13C", "as \"written\" [or so", "5 g, 3 g"],
        "FIELD_WORDS" => &["Centennial", "2-row malt", "leaf at home"],
        "FIELD_TEXT" => &["SM-114", "a b c"],
        "IDENTIFIER" => &["og", "mash.ph", "pre-boil-gravity", "dose_2"],
        "NUMBER" => &["12", "12.5", "1/2", "1 1/2", "3"],
        "WHOLE" => &["2", "10"],
        "RANGE" => &["18..20", "1.048..1.056", "1/2..1"],
        "TOLERANCE" => &["66 ± 2", "1.052 +/- 0.002", "5±1"],
        "DATE" => &["2026-03-14"],
        "CLOCK" => &["10:05", "9:30"],
        "DAYS" => &["8..11"],
        "DECIMAL" => &["12", "2.7"],
        "UNIT" => &["g", "L", "L/kg", "%", "min"],
        "FIGURE" => &["og", "mash ph", "abv"],
        "MASS_SUM" => &["2 lb 4 oz", "1 kg 200 g"],
        "VOLUME_SUM" => &["2 gal 1 qt", "2 L 300 mL"],
        "TIME_SUM" => &["1 h 15 min", "1 d 2 h 5 min"],
        _ => &[],
    }
}

impl Writer<'_> {
    fn name(&mut self, name: &str, out: &mut String) {
        let rule = self.grammar.rules.get(name).unwrap_or_else(|| panic!("no rule {name}")).clone();
        let apart = name.chars().any(char::is_lowercase);
        self.depth += 1;
        self.rule(name, &rule, apart, out);
        self.depth -= 1;
    }

    fn rule(&mut self, name: &str, rule: &Rule, apart: bool, out: &mut String) {
        match rule {
            Rule::Word(word) => out.push_str(word),
            Rule::Name(name) => self.name(name, out),
            Rule::Special => {
                let samples = samples(name);
                assert!(!samples.is_empty(), "no samples of {name}");
                out.push_str(samples[self.dice.roll(samples.len())]);
            }
            Rule::Sequence(all) => self.join(name, all, apart, out),
            Rule::Choice(all) => {
                // Far down the simplest is taken, so that expressions come to an end.
                let at = if self.depth > 12 { self.simplest(all) } else { self.dice.roll(all.len()) };
                self.rule(name, &all[at], apart, out);
            }
            Rule::Permutation(all) => {
                let mut left = all.clone();
                let mut picked = Vec::new();
                while !left.is_empty() && self.dice.roll(3) > 0 {
                    picked.push(left.remove(self.dice.roll(left.len())));
                }
                self.join(name, &picked, apart, out);
            }
            Rule::Optional(inner) => {
                if self.dice.roll(2) > 0 {
                    self.rule(name, inner, apart, out);
                }
            }
            Rule::Repeated(inner) => {
                let mut all = Vec::new();
                while all.len() < 6 && self.dice.roll(4) > 0 {
                    all.push((**inner).clone());
                }
                self.join(name, &all, apart, out);
            }
        }
    }

    /// The first alternative that leads to no computation in parentheses or call.
    fn simplest(&self, all: &[Rule]) -> usize {
        let deep = |rule: &Rule| match rule {
            Rule::Name(name) => matches!(name.as_str(), "computed" | "CALL"),
            Rule::Sequence(all) => matches!(all.first(), Some(Rule::Word(word)) if word == "("),
            _ => false,
        };
        all.iter().position(|rule| !deep(rule)).unwrap_or(0)
    }

    fn join(&mut self, name: &str, all: &[Rule], apart: bool, out: &mut String) {
        let mut first = true;
        for rule in all {
            let mut part = String::new();
            self.rule(name, rule, apart, &mut part);
            if part.is_empty() {
                continue;
            }
            if !first && apart {
                out.push_str([" ", "  ", "\t", "\u{a0}"][self.dice.roll(4)]);
            }
            out.push_str(&part);
            first = false;
        }
    }
}

fn sentence(grammar: &Grammar, rolls: Vec<u32>) -> String {
    let mut writer = Writer { grammar, dice: Dice { rolls: rolls.into_iter() }, depth: 0 };
    let mut out = String::new();
    writer.name("FILE", &mut out);
    out
}

fn rolls() -> impl Strategy<Value = Vec<u32>> {
    prop::collection::vec(any::<u32>(), 100..900)
}

thread_local! {
    static GRAMMAR: Grammar = Grammar::read(&std::fs::read_to_string(path()).unwrap());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, max_global_rejects: 20_000, ..ProptestConfig::default() })]

    #[test]
    fn sentences_are_read_without_a_fault(rolls in rolls()) {
        let text = GRAMMAR.with(|grammar| sentence(grammar, rolls));
        for placed in &parse(&text).blocks {
            // `brewhouse NAME` below a recipe is a line of it when nothing follows, and `boil TIME` below `sour`
            // and `cook` when what follows is a line of these.
            let lost = placed.block.faults.iter().any(|fault| fault.rule == "missing-indent");
            if lost && matches!(placed.block.entries_as, BlockKind::Recipe | BlockKind::Sour | BlockKind::Cook) {
                continue;
            }
            prop_assert!(placed.block.faults.is_empty(), "{}\n{:?}", text, placed.block.faults);
            prop_assert!(!placed.block.is_broken(), "{}", text);
        }
    }

    /// Marks that close nothing and two amounts in front are wrong in any entry that is not text as written.
    #[test]
    fn a_spoilt_line_is_refused_there(rolls in rolls(), at in any::<prop::sample::Index>(), how in 0usize..4) {
        let text = GRAMMAR.with(|grammar| sentence(grammar, rolls));
        let file = parse(&text);
        let sound = |placed: &&syntax::ast::Placed| placed.block.faults.is_empty();
        let entries: Vec<(u32, syntax::Span)> = file
            .blocks
            .iter()
            .filter(sound)
            .flat_map(|placed| {
                // What is written after these is text, whatever it is.
                let entries = placed.block.entries().filter(|(_, entry)| entry.form != Form::Text);
                entries.map(|(_, entry)| (placed.start, entry.span)).collect::<Vec<_>>()
            })
            .collect();
        prop_assume!(!entries.is_empty() && file.blocks.iter().all(|placed| sound(&placed)));
        let (start, span) = entries[at.index(entries.len())];
        let (from, to) = ((start + span.start) as usize, (start + span.end) as usize);
        let spoilt = match how {
            0 => format!("{} ]", &text[from..to]),
            1 => format!("67 C 5 L {}", &text[from..to]),
            2 => format!("{} (*", &text[from..to]),
            _ => format!(") {}", &text[from..to]),
        };
        let changed = format!("{}{spoilt}{}", &text[..from], &text[to..]);
        let mut places = Vec::new();
        for placed in &parse(&changed).blocks {
            places.extend(placed.block.faults.iter().map(|fault| (placed.start + fault.span.start) as usize));
        }
        prop_assert!(!places.is_empty(), "{spoilt} in\n{changed}");
        let line = from..=from + spoilt.len();
        prop_assert!(places.iter().all(|place| line.contains(place)), "{spoilt} at {from}, {places:?} in\n{changed}");
    }
}
