//! Every finding is written for a brewer, and no text brings the checker down.
//!
//! The corpus: the demo, the examples of the language, a file for each kind of mistake, the bad example of each
//! rule, and the files of the demo with lines broken at random.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use gyle_tests::{gyle_files, read};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use rules::Finding;
use workspace::{Disk, Memory, Workspace};

/// Words of those who write parsers, not of those who brew.
const JARGON: &[&str] = &[
    "token",
    "tokens",
    "identifier",
    "EOF",
    "unexpected",
    "expected one of",
    "span",
    "spans",
    "parse",
    "parsed",
    "parser",
    "parsing",
    "syntax error",
    "AST",
    "None",
    "Some",
    "NaN",
    "inf",
];

/// Whether a text has a word of the list, as a word of its own.
fn jargon(text: &str) -> Option<&'static str> {
    JARGON.iter().copied().find(|word| {
        text.match_indices(word).any(|(at, _)| {
            let letter = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '-');
            !letter(text[..at].chars().next_back()) && !letter(text[at + word.len()..].chars().next())
        })
    })
}

/// Everything a finding says.
fn said(finding: &Finding) -> Vec<&str> {
    let mut texts = vec![finding.message.as_str(), finding.help.as_str()];
    texts.extend(finding.related.iter().map(|one| one.message.as_str()));
    texts.extend(finding.fixes.iter().map(|fix| fix.title.as_str()));
    texts
}

/// What is true of every finding: it speaks, without jargon, of a place that exists.
fn sound(workspace: &Workspace, finding: &Finding) -> Result<(), String> {
    for text in said(finding) {
        if let Some(word) = jargon(text) {
            return Err(format!("{}: `{word}` in: {text}", finding.rule));
        }
    }
    if finding.message.trim().is_empty() || finding.help.trim().is_empty() {
        return Err(format!("{}: no message or no help: {finding:?}", finding.rule));
    }
    let places = std::iter::once((finding.file, finding.span))
        .chain(finding.related.iter().map(|one| (one.file, one.span)))
        .chain(finding.fixes.iter().flat_map(|fix| fix.edits.iter().map(|edit| (finding.file, edit.span))));
    for (file, span) in places {
        let Some(state) = workspace.file(file) else { continue };
        if state.text.get(span.start as usize..span.end as usize).is_none() {
            return Err(format!("{}: {span:?} is no place of {}", finding.rule, state.path.display()));
        }
    }
    Ok(())
}

fn all_findings(workspace: &Workspace) -> Vec<Finding> {
    workspace
        .files()
        .filter_map(|state| workspace.analyse(state.id))
        .flat_map(|analysis| analysis.findings)
        .collect()
}

/// A repository as texts.
fn folder(name: &str) -> Vec<(PathBuf, String)> {
    let mut files: Vec<(PathBuf, String)> =
        gyle_files(name).into_iter().map(|path| (path.clone(), read(&path))).collect();
    let config = Path::new(env!("CARGO_MANIFEST_DIR")).join(name).join("gyle.toml");
    if let Ok(text) = std::fs::read_to_string(&config) {
        files.push((config, text));
    }
    files
}

fn opened(files: &[(PathBuf, String)]) -> Workspace {
    let mut workspace = Workspace::new(Arc::new(Memory::new(files.iter().cloned())));
    let paths: Vec<PathBuf> = files.iter().map(|(path, _)| path.clone()).collect();
    workspace.load(&paths);
    workspace
}

/// The bad example of a rule as files.
fn files_of(example: &str) -> Vec<(PathBuf, String)> {
    let files = rules::Doc::files(example).into_iter();
    files.map(|(path, text)| (Path::new("/brewery").join(path), text)).collect()
}

#[test]
fn findings_speak_to_a_brewer() {
    let mut fired = BTreeSet::new();
    let mut wrong = Vec::new();
    let mut look = |workspace: &Workspace| {
        for finding in all_findings(workspace) {
            fired.insert(finding.rule);
            wrong.extend(sound(workspace, &finding).err());
        }
    };
    for name in ["saltmarsh", "language", "faulty"] {
        let mut workspace = Workspace::new(Arc::new(Disk));
        workspace.load(&[Path::new(env!("CARGO_MANIFEST_DIR")).join(name)]);
        look(&workspace);
    }
    for rule in rules::RULES {
        look(&opened(&files_of(rule.doc.example)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let silent: Vec<&str> =
        rules::RULES.iter().map(|rule| rule.id).filter(|id| !fired.contains(id)).collect();
    // Most rules speak somewhere in the corpus, so that the list above is of what users read.
    assert!(silent.len() * 4 < rules::RULES.len(), "{silent:?}");
}

/// What happens to a text.
#[derive(Clone, Debug)]
struct Break {
    file: prop::sample::Index,
    at: prop::sample::Index,
    len: usize,
    with: &'static str,
}

fn breaks() -> impl Strategy<Value = Vec<Break>> {
    let with = prop::sample::select(vec![
        "",
        " ",
        "\n",
        "\r\n",
        ",",
        "-",
        "%",
        " kg",
        " at ",
        "[",
        "]",
        "(",
        "\"",
        "#",
        "#= ",
        "?",
        "999999999999",
        "1e308",
        "-1",
        "0",
        "é",
        "😀",
        "\t",
        "to ",
        "recipe \"x\"",
        "let a = a",
        "..",
        "± ",
        "/",
        " C",
        "\u{2028}",
        "gyle 1 \"x\" on 2026-02-30",
        "use \"a.gyle\"",
        "10:99",
        "day 0",
    ]);
    let one = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0usize..12, with)
        .prop_map(|(file, at, len, with)| Break { file, at, len, with });
    prop::collection::vec(one, 1..6)
}

/// The nearest beginning of a character at or before a byte.
fn floor(text: &str, mut at: usize) -> usize {
    at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Random edits of the demo: nothing panics, places exist, words stay plain, and a text typed into an open
/// file is found to be what a fresh start finds.
#[test]
fn no_edit_of_the_demo_brings_the_checker_down() {
    let files = folder("saltmarsh");
    let base = opened(&files);
    let config = Config {
        cases: 200,
        rng_seed: RngSeed::Fixed(20_260_314),
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new(config)
        .run(&breaks(), |breaks| {
            let mut files = files.clone();
            let mut typed = base.clone();
            for one in &breaks {
                let (path, text) = {
                    let gyle: Vec<usize> =
                        (0..files.len()).filter(|at| Workspace::is_gyle(&files[*at].0)).collect();
                    let (path, text) = &mut files[*one.file.get(&gyle)];
                    let start = floor(text, one.at.index(text.len() + 1));
                    let end = floor(text, start + one.len).max(start);
                    text.replace_range(start..end, one.with);
                    (path.clone(), text.clone())
                };
                typed = typed.with_text(&path, &text).0;
                // Settings and figures of the file, too.
                let id = typed.file_at(&path).unwrap();
                let analysis = typed.analyse(id).unwrap();
                for made in &analysis.recipes {
                    let settings = figures::Settings::default();
                    for part in 0..made.recipe.parts.len().max(1) {
                        let calc = figures::Calc::of_part(&made.recipe, &settings, part);
                        for figure in figures::FigureId::ALL {
                            if let Ok(value) = calc.value(*figure) {
                                prop_assert!(value.is_finite(), "{figure:?} of {}", made.recipe.name);
                            }
                        }
                    }
                }
                for finding in &analysis.findings {
                    if let Err(wrong) = sound(&typed, finding) {
                        return Err(TestCaseError::fail(wrong));
                    }
                }
            }
            let fresh = opened(&files);
            for state in fresh.files() {
                let id = typed.file_at(&state.path).unwrap();
                let key = |workspace: &Workspace, finding: &Finding| {
                    (
                        finding.rule,
                        finding.message.clone(),
                        finding.span,
                        workspace.file(finding.file).map(|state| state.path.clone()),
                    )
                };
                let of = |workspace: &Workspace, id| {
                    let found = workspace.analyse(id).unwrap().findings;
                    found.iter().map(|finding| key(workspace, finding)).collect::<Vec<_>>()
                };
                prop_assert_eq!(of(&fresh, state.id), of(&typed, id));
            }
            Ok(())
        })
        .unwrap();
}
