//! The reference of the language, made from the tables that the reader, the units and the figures are made of.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use figures::{FigureId, Scope};
use gyle_tests::current;
use quantity::Dimension;
use quantity::unit::{RATIOS, Scale, UNITS, UnitSpec};
use syntax::ast::{Body, Line};
use syntax::vocabulary::{
    BLOCKS, BlockKind, BlockSpec, ClauseSpec, ClauseWord, Flag, Keyword, Kind, PROPERTY_ONLY, Slot,
    TEXT_FIELDS, item_amounts, property_slots,
};
use syntax::{
    FUNCTIONS, bare_number_stands, clause_form, entry_form, kind_name, kinds_form, slot_forms, usual_units,
};

const HEAD: &str = "\
# Reference of the language

Every word that a `.gyle` file may use: blocks, their entries and clauses, properties, units, figures.
The language in ten minutes is in [language.md](language.md), the checks are in [rules.md](rules.md).

How to read the forms: words are written as they stand. `<a volume>` is a value, and
[Values and their units](#values-and-their-units) says in which units. `(…)` may be left out, and `|` parts
what excludes each other. Clauses may stand in any order, each at most once.

Case does not matter in keywords, and a hyphen is as good as a blank. `#` begins a comment, `|` a line of
prose, `\"…\"` a name with words that would mean something else. Where a value may stand, a range
(`18..20 C`), a tolerance (`1.052 ± 0.002`) or an expression in parentheses (`(2.7 L/kg * grist.weight)`)
may stand as well, where that makes sense.
";

/// The page.
fn page() -> String {
    let mut out = String::from(HEAD);
    out.push_str("\n## Blocks\n\n| block | what it is for |\n|---|---|\n");
    for spec in BLOCKS {
        row(&mut out, [format!("[`{}`](#{})", spec.word, spec.word), spec.doc.into()]);
    }
    for spec in BLOCKS {
        block(&mut out, spec);
    }
    clauses(&mut out);
    properties(&mut out);
    values(&mut out);
    units(&mut out);
    figures(&mut out);
    out
}

/// A row of a table, in which a bar would part cells.
fn row<const N: usize>(out: &mut String, cells: [String; N]) {
    let _ = writeln!(out, "| {} |", cells.map(|cell| cell.replace('|', "\\|")).join(" | "));
}

/// Words as code.
fn code(text: &str) -> String {
    if text.is_empty() { String::new() } else { format!("`{text}`") }
}

fn shown_clauses(specs: &[ClauseSpec]) -> String {
    specs.iter().map(|spec| code(&clause_form(spec))).collect::<Vec<_>>().join(", ")
}

fn takes(slots: &[Slot], optional: u8) -> String {
    slot_forms(slots, optional).join(" ")
}

fn block(out: &mut String, spec: &BlockSpec) {
    let header = format!("{} {}", spec.word, takes(spec.takes, spec.optional));
    let _ = writeln!(out, "\n### {}\n\n{}\n\nHeader: {}", spec.word, spec.doc, code(header.trim()));
    if !spec.clauses.is_empty() {
        let _ = writeln!(out, "with {}", shown_clauses(spec.clauses));
    }
    if spec.kind.is_process() && spec.repeats {
        out.push_str("\nMay stand more than once in a recipe.\n");
    }
    if let Some(clauses) = spec.items {
        let amounts = kinds_form(item_amounts(spec.kind));
        let _ = write!(out, "\nItems: {}", code(&format!("<{amounts}> <name> [properties]")));
        if clauses.is_empty() {
            out.push('\n');
        } else {
            let _ = writeln!(out, " with {}", shown_clauses(clauses));
        }
    }
    if spec.queries {
        out.push_str("\nQueries: `? <an expression> (\"<label>\")`\n");
    }
    match spec.kind {
        BlockKind::Expect => out.push_str(
            "\nEntries: a figure and what it must be (`og 1.044 ± 0.002`, `ibu 24..32`, `colour < 40 EBC`), or a \
             condition between expressions (`sulfate / chloride < 1.5`, `ibu / og.points in 0.45..0.65`).\n",
        ),
        BlockKind::Gyle => out.push_str(
            "\nEntries begin with when: a time of day, a date, a date and a time, or `day <n>` counted from pitching.\n",
        ),
        _ => {}
    }
    if !spec.entries.is_empty() {
        out.push_str("\n| entry | takes | clauses | what it says |\n|---|---|---|---|\n");
        for entry in spec.entries {
            row(
                out,
                [
                    code(entry.keyword.word()),
                    code(&entry_form(entry)),
                    shown_clauses(entry.clauses),
                    entry.doc.into(),
                ],
            );
        }
    }
}

/// Every clause with the blocks that know it.
fn clauses(out: &mut String) {
    out.push_str("\n## Clauses\n\n| clause | in |\n|---|---|\n");
    for word in ClauseWord::ALL {
        let blocks: Vec<String> = BLOCKS
            .iter()
            .filter(|spec| {
                let entries = spec.entries.iter().flat_map(|entry| entry.clauses);
                let mut all = spec.clauses.iter().chain(spec.items.unwrap_or_default()).chain(entries);
                all.any(|clause| clause.word == *word)
            })
            .map(|spec| code(spec.word))
            .collect();
        row(out, [code(word.word()), blocks.join(", ")]);
    }
}

fn properties(out: &mut String) {
    out.push_str(
        "\n## Properties\n\nProperties stand in brackets behind what they describe: `[alpha 4.6 %, leaf]`. Every field of \
         the definition of a thing may stand there and goes before the library; so may a value alone where it can \
         mean one thing only (`[150 EBC]` of a malt, `[4.6 %]` of a hop), and `or <name>`, a substitute.\n",
    );
    let text: Vec<String> = TEXT_FIELDS.iter().map(|field| code(field.word())).collect();
    let _ = writeln!(out, "The text of {} runs to the next comma, bracket or line end.", text.join(", "));
    out.push_str("\n| only a property | takes |\n|---|---|\n");
    for keyword in PROPERTY_ONLY {
        row(out, [code(keyword.word()), code(&takes(property_slots(*keyword).unwrap_or_default(), 0))]);
    }
    out.push_str("\n| word that stands alone |\n|---|\n");
    for flag in Flag::ALL {
        row(out, [code(flag.word())]);
    }
}

/// The kinds of value that the tables above name, in the order they come up.
fn kinds() -> Vec<Kind> {
    let mut all = Vec::new();
    let mut take = |slots: &[Slot]| {
        for slot in slots {
            let Slot::Of(kinds) = slot else { continue };
            for kind in *kinds {
                if !all.contains(kind) {
                    all.push(*kind);
                }
            }
        }
    };
    for spec in BLOCKS {
        take(spec.takes);
        take(&[Slot::Of(item_amounts(spec.kind))]);
        for clause in spec.clauses.iter().chain(spec.items.unwrap_or_default()) {
            take(clause.takes);
        }
        for entry in spec.entries {
            take(entry.takes);
            for clause in entry.clauses {
                take(clause.takes);
            }
        }
    }
    all
}

fn values(out: &mut String) {
    out.push_str(
        "\n## Values and their units\n\nThe units a brewer would write, the likeliest first; any other unit that measures \
         the same is read as well.\n\n| value | usual units | a number alone |\n|---|---|---|\n",
    );
    for kind in kinds() {
        let units: Vec<String> = usual_units(kind).iter().map(|unit| code(unit)).collect();
        let bare = if bare_number_stands(kind) { "yes" } else { "" };
        row(out, [kind_name(kind).into(), units.join(", "), bare.into()]);
    }
    let functions: Vec<String> = FUNCTIONS.iter().map(|(name, _)| code(name)).collect();
    let _ = writeln!(
        out,
        "\nExpressions know `+ - * / ^`, parentheses, figures by their names, names given by `let`, and the \
         functions {}.",
        functions.join(", ")
    );
}

fn conversion(spec: &UnitSpec) -> String {
    match spec.scale {
        Scale::Customary { us, imperial } => {
            format!("{} or {}", code(&us.to_string()), code(&imperial.to_string()))
        }
        _ => String::new(),
    }
}

fn units(out: &mut String) {
    out.push_str(
        "\n## Units\n\nThe formatter writes the first spelling. `°` may stand before a degree. The gallon, pint and their \
         like need `customary us` or `customary imperial` in the recipe, or `customary` in `gyle.toml`.\n",
    );
    let mut by_dimension: Vec<(Dimension, Vec<&UnitSpec>)> = Vec::new();
    for spec in UNITS.iter().filter(|spec| spec.is_written()) {
        match by_dimension.iter_mut().find(|(dimension, _)| *dimension == spec.dimension) {
            Some((_, units)) => units.push(spec),
            None => by_dimension.push((spec.dimension, vec![spec])),
        }
    }
    out.push_str("\n| unit | what it is | also written | stands for |\n|---|---|---|---|\n");
    for spec in by_dimension.iter().flat_map(|(_, units)| units) {
        let aliases: Vec<String> =
            spec.aliases.iter().filter(|alias| !alias.ends_with('/')).map(|alias| code(alias)).collect();
        row(out, [code(spec.symbol), spec.description.into(), aliases.join(", "), conversion(spec)]);
    }
    out.push_str("\nUnits by another are written with `/`; any that makes sense is read, among them:\n");
    out.push_str("\n| unit | what it is |\n|---|---|\n");
    for (unit, description) in RATIOS {
        row(out, [code(&unit.to_string()), (*description).into()]);
    }
    out.push_str("\nMoney is an ISO 4217 code: `12 EUR`, and a price `2.40 EUR/kg`.\n");
}

fn figures(out: &mut String) {
    out.push_str(
        "\n## Figures\n\nIn an expression blanks become dots or hyphens: `pre-boil.gravity`. `gyle explain FIGURE` says \
         more of each.\n",
    );
    for (title, scope) in [("Of a recipe", Scope::Plan), ("Of a log", Scope::Log)] {
        let _ = writeln!(out, "\n### {title}\n\n| figure | words | unit | what it says |\n|---|---|---|---|");
        for id in FigureId::ALL.iter().filter(|id| id.scope() == scope) {
            row(out, [code(id.id()), code(&id.words()), code(id.show().unit()), id.doc().into()]);
        }
    }
}

#[test]
fn the_page_is_current() {
    current("crates/gyle/docs/reference.md", &page(), "docs");
}

/// The cells of a row.
fn cells(line: &str) -> Vec<&str> {
    line.trim_matches('|').split(" | ").map(str::trim).collect()
}

/// The words in the first column of the tables of each section, by the section's heading.
fn first_columns(page: &str) -> BTreeMap<String, BTreeSet<String>> {
    let mut section = String::new();
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for line in page.lines() {
        if let Some(heading) = line.strip_prefix("### ").or_else(|| line.strip_prefix("## ")) {
            section = heading.to_owned();
            found.entry(section.clone()).or_default();
        } else if line.starts_with("| `") {
            let word = cells(line)[0].trim_matches('`').to_owned();
            found.entry(section.clone()).or_default().insert(word);
        }
    }
    found
}

/// The committed page, not the one just made: what a reader finds in it.
fn committed() -> BTreeMap<String, BTreeSet<String>> {
    first_columns(&gyle_tests::read(&gyle_tests::root().join("crates/gyle/docs/reference.md")))
}

fn set<'a>(words: impl IntoIterator<Item = &'a str>) -> BTreeSet<String> {
    words.into_iter().map(str::to_owned).collect()
}

#[test]
fn the_page_lists_every_word_and_no_other() {
    let page = committed();
    let blocks: BTreeSet<String> =
        page.keys().filter(|heading| heading.chars().all(|c| c.is_lowercase())).cloned().collect();
    let kinds =
        BlockKind::ALL.iter().filter(|kind| !matches!(kind, BlockKind::Preamble | BlockKind::Unknown));
    assert_eq!(blocks, set(kinds.map(|kind| kind.word())));

    let mut entries: BTreeSet<String> = blocks.iter().flat_map(|block| page[block].clone()).collect();
    let flags = set(Flag::ALL.iter().map(|flag| flag.word()));
    let properties = &page["Properties"];
    assert!(flags.is_subset(properties), "{flags:?}");
    entries.extend(properties.difference(&flags).cloned());
    assert_eq!(entries, set(Keyword::ALL.iter().map(|keyword| keyword.word())));

    assert_eq!(page["Clauses"], set(ClauseWord::ALL.iter().map(|word| word.word())));
    let mut figures = page["Of a recipe"].clone();
    figures.extend(page["Of a log"].clone());
    assert_eq!(figures, set(FigureId::ALL.iter().map(|id| id.id())));
    let units: BTreeSet<String> = quantity::unit::units().map(|(unit, _)| unit.to_string()).collect();
    assert_eq!(page["Units"], units);
}

/// The reader agrees with the page: it takes a word for a keyword of a block where the page has it there, and
/// for something else where it has not.
#[test]
fn the_reader_knows_the_words_of_the_page() {
    let page = committed();
    let mut wrong = Vec::new();
    let blocks: Vec<&BlockSpec> = BLOCKS.iter().filter(|spec| !spec.entries.is_empty()).collect();
    for word in Keyword::ALL.iter().map(|keyword| keyword.word()) {
        let (with, without): (Vec<&BlockSpec>, Vec<&BlockSpec>) =
            blocks.iter().partition(|spec| page[spec.word].contains(word));
        let mut behind = BTreeSet::new();
        for spec in with {
            let taken = taken(spec, word, BEHIND);
            if taken.is_empty() {
                wrong.push(format!("{} does not know {word}", spec.word));
            }
            behind.extend(taken);
        }
        let behind: Vec<&str> = behind.into_iter().collect();
        for spec in without {
            for taken in taken(spec, word, &behind) {
                wrong.push(format!("{} knows {word} {taken}", spec.word));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A header of the block that has all it needs.
fn header(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Recipe => "recipe \"x\"",
        BlockKind::Cook => "cook 5 L",
        BlockKind::Steep => "steep 30 min at 68 C",
        BlockKind::Boil => "boil 60 min",
        BlockKind::Gyle => "gyle 1 \"x\" on 2026-03-14",
        BlockKind::Tasting => "tasting of 1 on 2026-04-11",
        BlockKind::Style => "style \"1A\"",
        BlockKind::BrewhouseBlock => "brewhouse shed",
        BlockKind::Liquor => "liquor",
        BlockKind::Mash => "mash",
        BlockKind::Sour => "sour",
        BlockKind::Pitch => "pitch",
        BlockKind::Ferment => "ferment",
        BlockKind::Package => "package",
        BlockKind::Malt => "malt x",
        BlockKind::Sugar => "sugar x",
        BlockKind::Hop => "hop x",
        BlockKind::Yeast => "yeast x",
        BlockKind::Water => "water x",
        BlockKind::Addition => "addition x",
        _ => "",
    }
}

/// What may stand behind a keyword, so that every keyword finds something it takes.
const BEHIND: &[&str] = &[
    "",
    "x",
    "A",
    "\"x\"",
    "us",
    "glass",
    "ale",
    "leaf",
    "liquid",
    "yes",
    "38/50",
    "2026-01-01",
    "5",
    "5 g",
    "5 L",
    "5 L keg",
    "5 L at 5 C",
    "5 C",
    "5 min",
    "5 %",
    "5 P",
    "5 EBC",
    "5 WK",
    "5 ppm",
    "5 ppm as CaCO3",
    "5 vol",
    "5 bar",
    "5 L/h",
    "5 L/kg",
    "5 kJ/C",
    "5 kW",
    "5 m",
    "5 K",
    "5 C/h",
    "5 mEq/kg",
    "5 mL/100 g",
    "5 EUR/kg",
    "5 g/L",
    "5 g/mL",
    "5 billion cells",
    "5 million/mL/P",
    "5 % x",
    "5 g x",
    "5 g x for y",
    "to 5 C",
    "to mash",
    "boil 5 min",
    "y = 5",
];

/// What of `behind` makes the reader take a word for a keyword of a block.
fn taken<'b>(spec: &BlockSpec, word: &str, behind: &[&'b str]) -> Vec<&'b str> {
    let when = if spec.kind == BlockKind::Gyle { "10:00 " } else { "" };
    let header = header(spec.kind);
    let lines: String = behind.iter().map(|behind| format!("  {when}{word} {behind}\n")).collect();
    let file = syntax::parse(&format!("{header}\n{lines}"));
    let block = &file.blocks[0].block;
    assert!(block.kind == spec.kind && matches!(block.lines[0].body, Body::Header(_)), "{header}");
    let read = |line: &Line| match &line.body {
        Body::Entry(entry) => entry.keyword.is_some_and(|found| found.node.word() == word),
        _ => false,
    };
    let lines = block.lines[1..].iter().zip(behind);
    lines.filter(|(line, _)| read(line)).map(|(_, behind)| *behind).collect()
}
