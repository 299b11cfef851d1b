//! `facts.tsv`: each fact a rule reads, the entry that states it, and what is taken where it is not stated.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use figures::FigureId;
use rules::{Check, RULES};
use syntax::vocabulary::{BLOCKS, Keyword};

fn crate_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/rules")
}

fn rows() -> Vec<[String; 4]> {
    let text = fs::read_to_string(crate_folder().join("facts.tsv")).unwrap();
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("rule\tfact\tentry\tdefault"));
    lines
        .map(|line| {
            let cells: Vec<String> = line.split('\t').map(str::to_owned).collect();
            <[String; 4]>::try_from(cells).expect("four columns")
        })
        .collect()
}

/// Whether an entry is one of the language: `figure ID`, a block, `BLOCK item`, or `BLOCK.KEYWORD`.
fn exists(entry: &str) -> bool {
    if let Some(id) = entry.strip_prefix("figure ") {
        return FigureId::ALL.iter().any(|figure| figure.id() == id);
    }
    let block = |word: &str| BLOCKS.iter().find(|spec| spec.word == word);
    if let Some(word) = entry.strip_suffix(" item") {
        return block(word).is_some_and(|spec| spec.items.is_some());
    }
    match entry.split_once('.') {
        Some((word, keyword)) => {
            block(word).is_some_and(|spec| spec.entries.iter().any(|own| own.keyword.word() == keyword))
        }
        None => block(entry).is_some(),
    }
}

#[test]
fn every_fact_can_be_stated() {
    let rows = rows();
    let mut wrong = Vec::new();
    for [rule, fact, entry, default] in &rows {
        match rules::find(rule) {
            None => wrong.push(format!("no rule is called {rule}")),
            Some(found) if matches!(found.check, Check::Written) => {
                wrong.push(format!("{rule} is found elsewhere and reads nothing here"));
            }
            Some(_) => {}
        }
        wrong.extend(
            entry
                .split(", ")
                .filter(|entry| !exists(entry))
                .map(|entry| format!("{rule}: no entry `{entry}`")),
        );
        if fact.is_empty() || default.is_empty() {
            wrong.push(format!("{rule}: a fact and its default have words"));
        }
    }
    let sorted = rows.windows(2).all(|pair| pair[0] < pair[1]);
    assert!(sorted, "the rows are sorted, each once");
    for rule in RULES.iter().filter(|rule| !matches!(rule.check, Check::Written)) {
        if !rows.iter().any(|[id, ..]| id == rule.id) {
            wrong.push(format!("{} reads no fact", rule.id));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The words behind `prefix` in a source text: `Keyword::TunCapacity` is `TunCapacity`.
fn named(source: &str, prefix: &str) -> BTreeSet<String> {
    let word = |at: usize| {
        let rest = &source[at + prefix.len()..];
        rest.chars().take_while(|c| c.is_alphanumeric()).collect::<String>()
    };
    source.match_indices(prefix).map(|(at, _)| word(at)).filter(|word| !word.is_empty()).collect()
}

/// What the source of a rule names is in the table.
#[test]
fn no_fact_is_read_unlisted() {
    let rows = rows();
    let mut wrong = Vec::new();
    let mut looked_at = 0;
    for group in fs::read_dir(crate_folder().join("src/rules")).unwrap() {
        let group = group.unwrap().path();
        if !group.is_dir() {
            continue;
        }
        for file in fs::read_dir(&group).unwrap() {
            let file = file.unwrap().path();
            let source = fs::read_to_string(&file).unwrap();
            let id = file.file_stem().unwrap().to_str().unwrap().replace('_', "-");
            assert!(rules::find(&id).is_some(), "{} is in no registry", file.display());
            looked_at += 1;
            let own: Vec<&[String; 4]> = rows.iter().filter(|[rule, ..]| *rule == id).collect();
            let has = |ending: &str| {
                own.iter().any(|[_, _, entry, _]| entry.split(", ").any(|entry| entry.ends_with(ending)))
            };
            for word in named(&source, "FigureId::") {
                let figure = FigureId::ALL.iter().find(|figure| format!("{figure:?}") == word);
                if let Some(figure) = figure.filter(|figure| !has(&format!("figure {}", figure.id()))) {
                    wrong.push(format!("{id} reads the figure {}", figure.id()));
                }
            }
            for word in named(&source, "Keyword::") {
                let keyword = Keyword::ALL.iter().find(|keyword| format!("{keyword:?}") == word);
                if let Some(keyword) = keyword.filter(|keyword| !has(&format!(".{}", keyword.word()))) {
                    wrong.push(format!("{id} reads the field {}", keyword.word()));
                }
            }
            for word in named(&source, " Event::") {
                let keyword = Keyword::ALL.iter().find(|keyword| format!("{keyword:?}") == word);
                if let Some(keyword) = keyword.filter(|keyword| !has(&format!("gyle.{}", keyword.word()))) {
                    wrong.push(format!("{id} reads the logged {}", keyword.word()));
                }
            }
        }
    }
    assert_eq!(looked_at, RULES.len());
    assert!(wrong.is_empty(), "{wrong:#?}");
}
