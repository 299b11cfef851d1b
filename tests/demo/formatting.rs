//! The formatter over the whole corpus: the demo, the examples of the language, the built-in library and
//! generated recipes.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use figures::{Actual, Calc, FigureId};
use gyle_tests::generate::{SEED, repository};
use gyle_tests::{gyle_files, read};
use syntax::ast::{Body, Entry, Form, Part, Placed, ValueKind};
use workspace::{Memory, Workspace};

/// A repository as texts.
type Texts = Vec<(PathBuf, String)>;

/// Repositories whose recipes and logs compute.
fn repositories() -> Vec<Texts> {
    let mut all: Vec<Texts> = [
        "saltmarsh",
        "language/plain",
        "language/shadowed",
        "language/stamped",
        "language/examples",
        "language/clauses",
    ]
    .into_iter()
    .map(|name| {
        let mut files: Texts = gyle_files(name).into_iter().map(|path| (path.clone(), read(&path))).collect();
        let config = Path::new(env!("CARGO_MANIFEST_DIR")).join(name).join("gyle.toml");
        files.extend(std::fs::read_to_string(&config).ok().map(|text| (config, text)));
        files
    })
    .collect();
    let made = repository(60, SEED).into_iter();
    all.push(made.map(|file| (Path::new("/brewery").join(file.path), file.text)).collect());
    all
}

/// The built-in library.
fn library() -> Texts {
    catalogue::files().iter().map(|(name, text)| (PathBuf::from(name), (*text).to_owned())).collect()
}

fn formatted(text: &str) -> String {
    syntax::apply(text, &edit::format(&syntax::parse(text)))
}

/// Every figure of every recipe and log, as text of all its digits.
fn figures_of(files: &Texts) -> Vec<String> {
    let mut workspace = Workspace::new(Arc::new(Memory::new(files.iter().cloned())));
    let paths: Vec<PathBuf> =
        files.iter().map(|(path, _)| path.clone()).filter(|path| Workspace::is_gyle(path)).collect();
    workspace.load(&paths);
    let mut all = Vec::new();
    for state in workspace.files() {
        let analysis = workspace.analyse(state.id).unwrap();
        let settings = &state.config.figures;
        for made in &analysis.recipes {
            for part in 0..made.recipe.parts.len().max(1) {
                let calc = Calc::of_part(&made.recipe, settings, part);
                for id in FigureId::ALL {
                    let value = calc.value(*id).map_err(|missing| missing.reason);
                    all.push(format!("{} {part} {}: {value:?}", made.recipe.name, id.id()));
                }
            }
        }
        for made in &analysis.logs {
            let calc = made.log.recipe.as_deref().map(|recipe| Calc::new(recipe, settings));
            let actual = Actual::new(&made.log, calc.as_ref(), settings);
            for id in FigureId::ALL {
                let value = actual.explain(*id).map(|figure| figure.value).map_err(|missing| missing.reason);
                all.push(format!("gyle {} {}: {value:?}", made.log.id, id.id()));
            }
        }
    }
    all
}

/// The text as somebody careless would type it: other indents, other gaps, blanks at the ends of lines.
/// Prose and the inside of text stay.
fn careless(text: &str) -> String {
    const INDENTS: [&str; 4] = [" ", "\t", "    ", "   "];
    let mut out = String::with_capacity(text.len() * 2);
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    for (at, line) in text.lines().enumerate() {
        let inside = line.trim_start();
        if inside.is_empty() || inside.len() == line.len() || inside.starts_with(['|', '#']) {
            out.push_str(line);
        } else {
            out.push_str(INDENTS[at % INDENTS.len()]);
            // The gap behind the first field is the one that the formatter fills.
            match inside.split_once("  ") {
                Some((first, rest)) => {
                    out.push_str(first);
                    out.push_str(["  ", "\t", "            "][at % 3]);
                    out.push_str(rest.trim_start());
                }
                None => out.push_str(inside),
            }
            out.push_str(["", "  ", "\t"][at % 3]);
        }
        out.push_str(end);
    }
    out
}

/// What was typed carelessly is written as it was, twice as well as once, and the beer stays the same.
#[test]
fn formatting_restores_the_writing_and_leaves_the_figures() {
    let (mut computed, mut careless_files) = (0, 0);
    for files in repositories().into_iter().chain([library()]) {
        let each = |change: fn(&str) -> String| -> Texts {
            let change = |(path, text): &(PathBuf, String)| match path.extension() {
                Some(extension) if extension == "toml" => (path.clone(), text.clone()),
                _ => (path.clone(), change(text)),
            };
            files.iter().map(change).collect()
        };
        let typed = each(careless);
        let once: Texts =
            typed.iter().zip(&files).map(|((path, typed), _)| (path.clone(), formatted(typed))).collect();
        for ((path, typed), ((_, once), (_, wanted))) in typed.iter().zip(once.iter().zip(&files)) {
            if path.extension().is_some_and(|extension| extension == "toml") {
                continue;
            }
            assert_eq!(formatted(once), *once, "{} formatted twice", path.display());
            // A line that cannot be read is left as it was typed; the planted faults are such lines.
            let readable = syntax::parse(wanted).blocks.iter().all(|placed| placed.block.faults.is_empty());
            if readable {
                careless_files += usize::from(typed != wanted);
                assert_eq!(once, &formatted(wanted), "{}", path.display());
            }
        }
        let before = figures_of(&typed);
        assert_eq!(before, figures_of(&once));
        assert_eq!(before, figures_of(&files));
        computed += before.iter().filter(|figure| figure.contains("Ok(")).count();
    }
    assert!(computed > 4000, "{computed} figures compared");
    assert!(careless_files > 80, "{careless_files} files were typed otherwise");
}

/// The numbers in a text that stand for amounts: where each begins and ends.
fn amounts(text: &str) -> Vec<(usize, usize)> {
    let of = |placed: &Placed, entry: &Entry| -> Option<(usize, usize)> {
        let Some(Part::Value(value)) = entry.parts.iter().find(|part| matches!(part, Part::Value(_))) else {
            return None;
        };
        let ValueKind::Plain(measure) = &value.kind else { return None };
        let unit = measure.unit?;
        let number = placed.block.text[measure.span.start as usize..measure.span.end as usize].find(' ')?;
        // Of a sum the number is followed by another.
        let plain = placed.block.text[measure.span.start as usize + number..measure.span.end as usize].trim()
            == unit.to_string();
        let start = (placed.start + measure.span.start) as usize;
        (plain && matches!(entry.form, Form::Item | Form::Fact)).then_some((start, start + number))
    };
    let mut found = Vec::new();
    for placed in &syntax::parse(text).blocks {
        for line in &placed.block.lines {
            if let Body::Entry(entry) = &line.body {
                found.extend(of(placed, entry));
            }
        }
    }
    found
}

/// Whoever changes one amount changes one line, however long the new number is.
#[test]
fn changing_an_amount_changes_one_line() {
    let mut changed = 0;
    for (path, text) in repositories().into_iter().flatten().chain(library()) {
        if !Workspace::is_gyle(&path) {
            continue;
        }
        let text = formatted(&text);
        let found = amounts(&text);
        // The files of the library have a thousand and more.
        for (start, end) in found.iter().step_by(1 + found.len() / 60) {
            for number in ["7", "12345.678"] {
                if text[*start..*end] == *number {
                    continue;
                }
                let new = formatted(&format!("{}{number}{}", &text[..*start], &text[*end..]));
                assert_eq!(new.lines().count(), text.lines().count(), "{}", path.display());
                let lines = text.lines().zip(new.lines()).filter(|(old, new)| old != new).count();
                assert_eq!(lines, 1, "{}: {number} at {start}", path.display());
                changed += 1;
            }
        }
    }
    assert!(changed > 1500, "{changed} amounts changed");
}
