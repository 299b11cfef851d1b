//! The guide of the language: its examples are read, formatted to themselves, checked and computed.
//!
//! What stands behind the language of a code block says what it is: `gyle PATH` a file of the guide's
//! repository, `toml PATH` its settings, `gyle in PATH` blocks that stand in the place of those of their kinds
//! in that file, `gyle wrong` a file with a fault and `text said` what is said of it, `text figures of NAME`
//! figures of a recipe and their values.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use figures::{Calc, FigureId, ShownUnits};
use gyle_tests::{read, root};
use workspace::{Memory, Workspace};

/// A code block: what it is, and its text.
struct Code {
    info: String,
    text: String,
    line: usize,
}

fn codes() -> Vec<Code> {
    let page = read(&root().join("crates/gyle/docs/language.md"));
    let mut all = Vec::new();
    let mut open: Option<Code> = None;
    for (at, line) in page.lines().enumerate() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(info), None) => {
                open = Some(Code { info: info.to_owned(), text: String::new(), line: at + 1 });
            }
            (Some(_), Some(_)) => all.extend(open.take()),
            (None, Some(code)) => code.text.extend([line, "\n"]),
            (None, None) => {}
        }
    }
    assert!(open.is_none());
    all
}

/// A repository as texts.
type Texts = Vec<(PathBuf, String)>;

fn path(below: &str) -> PathBuf {
    Path::new("/brewery").join(below)
}

/// The files of the guide.
fn files(codes: &[Code]) -> Texts {
    codes
        .iter()
        .filter_map(|code| {
            let (language, name) = code.info.split_once(' ')?;
            let file = matches!(language, "gyle" | "toml") && name.contains('.') && !name.contains(' ');
            file.then(|| (path(name), code.text.clone()))
        })
        .collect()
}

fn opened(files: &Texts) -> Workspace {
    let mut workspace = Workspace::new(Arc::new(Memory::new(files.iter().cloned())));
    let paths: Vec<PathBuf> = files.iter().map(|(path, _)| path.clone()).collect();
    workspace.load(&paths);
    workspace
}

/// The blocks of a text, each with its first word; what stands above the first has none.
fn blocks(text: &str) -> Vec<(&str, String)> {
    let mut all = vec![("", String::new())];
    for line in text.split_inclusive('\n') {
        if line.starts_with(char::is_alphabetic) {
            all.push((line.split_whitespace().next().unwrap_or(""), String::new()));
        }
        all.last_mut().unwrap().1.push_str(line);
    }
    all
}

/// A text with blocks in the place of those of their kinds.
fn with(base: &str, part: &str) -> String {
    // The parts of a split are fermented each for itself.
    let split = blocks(part).iter().any(|(kind, _)| *kind == "split");
    let gone = |kind: &str| {
        !kind.is_empty() && blocks(part).iter().any(|(other, _)| *other == kind)
            || split && matches!(kind, "pitch" | "ferment" | "package")
    };
    let (first, rest): (Vec<_>, Vec<_>) =
        blocks(part).into_iter().partition(|(kind, _)| matches!(*kind, "recipe" | "let"));
    let kept = blocks(base).into_iter().filter(|(kind, _)| !gone(kind));
    first.into_iter().chain(kept).chain(rest).map(|(_, text)| text).collect()
}

/// What is wrong with a file of a repository: findings, a line that is formatted otherwise, a beer that does
/// not compute.
fn wrong(files: &Texts, about: &Path, part: &str) -> Vec<String> {
    let workspace = opened(files);
    let state = workspace.file(workspace.file_at(about).unwrap()).unwrap();
    let analysis = workspace.analyse(state.id).unwrap();
    let mut out: Vec<String> =
        analysis.findings.iter().map(|one| format!("{}: {} ({})", one.rule, one.message, one.help)).collect();
    let formatted = syntax::apply(part, &edit::format(&syntax::parse(part)));
    let changed = part.lines().zip(formatted.lines()).filter(|(written, wanted)| written != wanted);
    out.extend(changed.map(|(written, wanted)| format!("`{written}` is formatted `{wanted}`")));
    if part.lines().count() != formatted.lines().count() {
        out.push("lines are added or taken away by the formatter".into());
    }
    for made in &analysis.recipes {
        for part in 0..made.recipe.parts.len().max(1) {
            let calc = Calc::of_part(&made.recipe, &state.config.figures, part);
            for id in [FigureId::Og, FigureId::Fg, FigureId::Abv, FigureId::Ibu, FigureId::Colour] {
                if let Err(missing) = calc.value(id) {
                    out.push(format!("{}: no {}: {}", made.recipe.name, id.words(), missing.reason));
                }
            }
            for query in &made.recipe.queries {
                let block = &made.recipe.blocks[usize::from(query.place.block)];
                if let Err(error) = calc.answer(&query.expr, block, ShownUnits::Metric) {
                    out.push(format!("{}: no answer: {}", made.recipe.name, error.missing.reason));
                }
            }
        }
    }
    out
}

#[test]
fn the_examples_of_the_guide_are_read_and_compute() {
    let codes = codes();
    let files = files(&codes);
    assert!(files.len() > 5 && codes.len() > 20, "{} {}", files.len(), codes.len());
    let mut trouble = String::new();
    for code in &codes {
        let found = if let Some(name) = code.info.strip_prefix("gyle in ") {
            let mut files = files.clone();
            let (_, text) = files.iter_mut().find(|(have, _)| *have == path(name)).unwrap();
            *text = with(text, &code.text);
            wrong(&files, &path(name), &code.text)
        } else if let Some(name) = code.info.strip_prefix("gyle ").filter(|name| *name != "wrong") {
            wrong(&files, &path(name), &code.text)
        } else if let Some(name) = code.info.strip_prefix("text figures of ") {
            figures_of(&files, name, &code.text)
        } else {
            continue;
        };
        for one in found {
            trouble.push_str(&format!("line {}: {one}\n", code.line));
        }
    }
    assert!(trouble.is_empty(), "{trouble}");
}

/// The lines of a list of figures that are not what is computed.
fn figures_of(files: &Texts, name: &str, list: &str) -> Vec<String> {
    let workspace = opened(files);
    let analyses: Vec<_> = workspace.files().filter_map(|state| workspace.analyse(state.id)).collect();
    let made = analyses.iter().flat_map(|one| &one.recipes).find(|made| &*made.recipe.name == name).unwrap();
    let settings = figures::Settings::default();
    let calc = Calc::new(&made.recipe, &settings);
    let line = |line: &str| {
        let (words, value) = line.split_once("  ").unwrap();
        let figure = calc.explain(FigureId::from_words(words.trim()).unwrap()).unwrap();
        let computed = figure.id.show().with_unit(figure.value);
        (value.trim() != computed).then(|| format!("{words} is {computed}"))
    };
    list.lines().filter_map(line).collect()
}

#[test]
fn the_guide_says_what_is_said_of_a_mistake() {
    let codes = codes();
    let fault = codes.iter().find(|code| code.info == "gyle wrong").unwrap();
    let said = codes.iter().find(|code| code.info == "text said").unwrap();
    let mut files = files(&codes);
    files.push((path("wrong.gyle"), fault.text.clone()));
    let workspace = opened(&files);
    let analysis = workspace.analyse(workspace.file_at(&path("wrong.gyle")).unwrap()).unwrap();
    let grave = analysis.findings.iter().filter(|one| one.severity == rules::Severity::Error);
    let have: String =
        grave.map(|one| format!("{}: {}\n{}\n", one.severity.word(), one.message, one.help)).collect();
    assert_eq!(have, said.text);
}
