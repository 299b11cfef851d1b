//! The TextMate grammar, made from the language's own tables.

use quantity::UnitId;
use quantity::unit::{UNITS, currencies};
use serde_json::{Value, json};
use syntax::FUNCTIONS;
use syntax::vocabulary::{
    BLOCKS, BlockKind, BlockSpec, ClauseWord, Keyword, PROPERTY_ONLY, Slot, TEXT_FIELDS,
};

const NUMBER: &str = r"[-−]?\d+(?:[.,]\d+)*(?:/\d{1,3}(?![\d.,]))?(?:[ \t\x{a0}]+\d{1,3}/\d{1,3}(?![\d/]))?";
/// What may not stand before a number, or it is part of a word.
const FREE: &str = r"(?<![\p{L}\p{N}_.\-−'/])";
const WORD_ENDS: &str = r##"(?=$|[\s\[\](),"#])"##;

/// Words of the vocabulary, the longest first, hyphen and blanks alike.
fn any_of(words: impl IntoIterator<Item = &'static str>) -> String {
    let mut words: Vec<&str> = words.into_iter().collect();
    words.sort_by_key(|word| (core::cmp::Reverse(word.len()), *word));
    words.dedup();
    let words: Vec<String> = words.iter().map(|word| word.replace([' ', '-'], r"(?:-|\s+)")).collect();
    format!("(?i:{})", words.join("|"))
}

fn escaped(text: &str) -> String {
    text.chars().fold(String::new(), |mut out, c| {
        match c {
            ' ' => out.push_str(r"\s+"),
            '.' | '^' | '/' | '%' => out.extend(['\\', c]),
            c => out.push(c),
        }
        out
    })
}

/// A unit that ends with its word.
fn unit() -> String {
    let mut spellings: Vec<&str> = UNITS
        .iter()
        .filter(|spec| spec.is_written())
        .flat_map(|spec| core::iter::once(spec.symbol).chain(spec.aliases.iter().copied()))
        .collect();
    spellings.sort_by_key(|text| (core::cmp::Reverse(text.len()), *text));
    let all: Vec<String> = spellings.iter().map(|text| escaped(text.trim_end_matches('/'))).collect();
    let alone: Vec<String> =
        spellings.iter().filter(|text| !text.ends_with('/')).map(|text| escaped(text)).collect();
    // Spellings with a bar of their own come before ratios.
    let bars: Vec<&str> = alone.iter().map(String::as_str).filter(|text| text.contains('/')).collect();
    let bars = bars.join("|");
    let codes: Vec<&str> = currencies().filter_map(UnitId::currency_code).collect();
    let (all, alone, codes) = (all.join("|"), alone.join("|"), codes.join("|"));
    let degree = r"(?:(?:[°º]|(?i:deg(?:rees?)?))\s*)?";
    let ends = r"(?![\p{L}\p{N}_°º]|[-.'][\p{L}\p{N}])";
    format!(
        "(?:(?i:{bars}){ends}|{degree}(?:(?i:{all})|{codes})/(?:100\\s*)?[°º]?(?i:{alone}){ends}|(?:{degree}(?i:{alone})|{codes}){ends})"
    )
}

fn captures(names: &[&str]) -> Value {
    let named = names.iter().enumerate().filter(|(_, name)| !name.is_empty());
    Value::Object(
        named.map(|(at, name)| ((at + 1).to_string(), json!({ "name": format!("{name}.gyle") }))).collect(),
    )
}

const UNIT_SCOPE: &str = "keyword.other.unit";
const NUMBER_SCOPE: &str = "constant.numeric";

/// Patterns of one kind of block.
fn block(spec: &'static BlockSpec) -> Value {
    let when = r"(?:\d{1,2}:\d{2}|\d{4}-\d{1,2}-\d{1,2}(?:\s+\d{1,2}:\d{2})?|(?i:day)\s+[-−]?\d+(?:\s+\d{1,2}:\d{2})?)";
    let start = if spec.kind == BlockKind::Gyle { format!(r"^\s*({when})\s+") } else { r"^\s*()".to_owned() };
    let mut patterns = vec![json!({ "include": "#prose" })];
    let keyword = "keyword.other.entry";
    let entries = |text: bool| {
        spec.entries
            .iter()
            .filter(move |e| e.is_text() == text && e.keyword != Keyword::Let)
            .map(|e| e.keyword.word())
    };
    if entries(true).next().is_some() {
        let words = any_of(entries(true));
        // The longest keyword wins: `ph` of a mash is no text of something else.
        let longer: Vec<&str> =
            entries(false).filter(|word| entries(true).any(|text| word.starts_with(text))).collect();
        let not =
            if longer.is_empty() { String::new() } else { format!("(?!{}{WORD_ENDS})", any_of(longer)) };
        patterns.push(json!({
            "begin": format!("{start}{not}({words}){WORD_ENDS}"), "end": "$",
            "beginCaptures": captures(&[NUMBER_SCOPE, keyword]),
            "contentName": "string.unquoted.gyle",
            "patterns": [{ "include": "#remark" }],
        }));
    }
    if spec.entries.iter().any(|entry| entry.keyword == Keyword::Let) {
        patterns.push(json!({
            "begin": format!(r"^\s*((?i:let)){WORD_ENDS}"), "end": "$",
            "beginCaptures": captures(&[keyword]),
            "patterns": [{ "include": "#expression" }],
        }));
    }
    if spec.queries {
        patterns.push(json!({
            "begin": r"^\s*(\?)", "end": "$", "beginCaptures": captures(&["keyword.operator"]),
            "patterns": [{ "include": "#expression" }],
        }));
    }
    if entries(false).next().is_some() {
        let words = any_of(entries(false));
        let leads = spec.entries.iter().any(|entry| entry.amount_leads);
        if leads {
            patterns.push(json!({
                "match": format!(r"^\s+({NUMBER})\s*({})\s+({words}){WORD_ENDS}", unit()),
                "captures": captures(&[NUMBER_SCOPE, UNIT_SCOPE, keyword]),
            }));
        }
        patterns.push(json!({
            "match": format!(r"{start}({words}){WORD_ENDS}(?:\s+({NUMBER})(?:\s*({unit})|(?=$|\s|\.\.)))?", unit = unit()),
            "captures": captures(&[NUMBER_SCOPE, keyword, NUMBER_SCOPE, UNIT_SCOPE]),
        }));
    }
    if spec.kind == BlockKind::Expect {
        patterns.push(json!({ "include": "#expression" }));
    }
    patterns.push(json!({ "include": "#parts" }));
    let header = if spec.takes.first() == Some(&Slot::Id) && spec.kind == BlockKind::Gyle {
        r#"(?:\s+([^\s"\[(]\S*))?"#
    } else {
        "()"
    };
    if spec.kind == BlockKind::Let {
        patterns = vec![json!({ "include": "#expression" })];
    }
    json!({
        "name": format!("meta.block.{}.gyle", spec.word),
        "begin": format!("^((?i:{})){WORD_ENDS}{header}", spec.word),
        "end": r"^(?=\p{L})",
        "beginCaptures": captures(&["keyword.control.block", "entity.name"]),
        "patterns": patterns,
    })
}

/// The file `grammar/textmate/gyle.tmLanguage.json`.
pub(crate) fn textmate() -> String {
    let fields = BLOCKS
        .iter()
        .filter(|spec| spec.kind.is_definition())
        .flat_map(|spec| spec.entries)
        .map(|entry| entry.keyword)
        .chain(PROPERTY_ONLY.iter().copied())
        .filter(|keyword| !TEXT_FIELDS.contains(keyword));
    let fields = any_of(fields.map(Keyword::word).chain(["or"]));
    let texts = any_of(TEXT_FIELDS.iter().map(|keyword| keyword.word()));
    let clauses = any_of(
        ClauseWord::ALL
            .iter()
            .filter(|word| {
                !matches!(word, ClauseWord::Boil | ClauseWord::By | ClauseWord::Of | ClauseWord::Cap)
            })
            .map(|word| word.word()),
    );
    let functions = any_of(FUNCTIONS.iter().map(|(word, _)| *word));
    let unit = unit();
    let values = json!([
        { "include": "#string" },
        { "name": "constant.numeric.gyle", "match": format!(r"{FREE}(?:\d{{4}}-\d{{1,2}}-\d{{1,2}}|\d{{1,2}}:\d{{2}}){WORD_ENDS}") },
        { "match": format!(r"{FREE}({NUMBER})\s*({unit})"), "captures": captures(&[NUMBER_SCOPE, UNIT_SCOPE]) },
        { "match": format!(r"{FREE}({NUMBER})(?=\s*(?:\.\.|±|\+/-|\+-))"), "captures": captures(&[NUMBER_SCOPE]) },
        { "match": format!(r"(\.\.|±|\+/-|\+-)\s*({NUMBER})(?:\s*({unit}))?"), "captures": captures(&["keyword.operator", NUMBER_SCOPE, UNIT_SCOPE]) },
    ]);
    let grammar = json!({
        "$schema": "https://raw.githubusercontent.com/martinring/tmlanguage/master/tmlanguage.json",
        "name": "gyle",
        "scopeName": "source.gyle",
        "fileTypes": ["gyle"],
        "patterns": BLOCKS.iter().map(block).chain([json!({ "include": "#prose" }), json!({ "include": "#remark" })]).collect::<Vec<_>>(),
        "repository": {
            "prose": { "name": "markup.quote.prose.gyle", "match": r"^\s*\|.*$" },
            "remark": { "patterns": [
                { "name": "comment.line.stamp.gyle", "match": r"(?:^|(?<=\s))#=.*$" },
                { "name": "comment.line.number-sign.gyle", "match": r"(?:^|(?<=\s))#(?!=)(?:(?!\s#=).)*" },
            ]},
            "string": { "name": "string.quoted.double.gyle", "match": r#""[^"]*("|(?= \[)|$)"# },
            "values": { "patterns": values },
            "computed": {
                "begin": r"\(", "end": r"\)|$",
                "patterns": [{ "include": "#expression" }],
            },
            "expression": { "patterns": [
                { "include": "#remark" },
                // A sign is worked with here, and no part of its number.
                { "match": format!(r"([-−])(\d+(?:\.\d+)?)(?:\s*({unit}))?"), "captures": captures(&["keyword.operator", NUMBER_SCOPE, UNIT_SCOPE]) },
                { "include": "#values" },
                { "include": "#computed" },
                { "name": "support.function.gyle", "match": format!(r"{functions}(?=\s*\()") },
                { "name": "variable.other.gyle", "match": r"\p{L}[\p{L}\p{N}_]*(?:[-.][\p{L}\p{N}_]+)*" },
                { "name": "constant.numeric.gyle", "match": r"\d+(?:[.,]\d+)*" },
                { "name": "keyword.operator.gyle", "match": r"[-−+*/^<>=≤≥]" },
            ]},
            "properties": {
                "begin": r"\[", "end": r"\]|$",
                "patterns": [
                    { "match": format!(r"(?<=[\[,\s])({texts})(?:\s+((?:(?!,\s)[^\]])*))?(?=$|[,\]])"), "captures": captures(&["support.type.property-name", "string.unquoted"]) },
                    { "match": format!(r"(?:(?<=\[)|(?<=,)|(?<=, ))\s*({fields}){WORD_ENDS}(?:\s+({NUMBER})(?:\s*({unit}))?(?=\s*(?:[,\]]|\.\.)))?"), "captures": captures(&["support.type.property-name", NUMBER_SCOPE, UNIT_SCOPE]) },
                    { "include": "#values" },
                    { "include": "#computed" },
                ],
            },
            "parts": { "patterns": [
                { "include": "#remark" },
                { "include": "#properties" },
                { "match": format!(r"(?<=\s)((?i:on|at|from))\s+((?i:day)\s+[-−]?\d+(?:\s*\.\.\s*\d+)?){WORD_ENDS}"), "captures": captures(&["keyword.operator.word", NUMBER_SCOPE]) },
                { "match": format!(r"(?<=\s)({clauses}|(?i:to\s+reach(?:\s+ph)?)|(?i:until\s+ph))\s+({NUMBER})(?:\s*({unit})|(?=$|\s|\.\.))"), "captures": captures(&["keyword.operator.word", NUMBER_SCOPE, UNIT_SCOPE]) },
                { "name": "keyword.operator.word.gyle", "match": format!(r"(?<=\s)(?:(?i:to\s+reach)|{clauses}){WORD_ENDS}") },
                { "include": "#values" },
                { "include": "#computed" },
            ]},
        },
    });
    format!("{}\n", serde_json::to_string_pretty(&grammar).unwrap_or_default())
}
