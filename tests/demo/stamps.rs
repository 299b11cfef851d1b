//! Stamps over the demo, the examples of the language and generated recipes.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use edit::{Stamping, Stamps, stamp_log, stamp_recipe};
use figures::{FigureId, LineFigure, Scope};
use gyle_tests::generate::{SEED, repository};
use gyle_tests::{gyle_files, read};
use workspace::{Memory, Workspace};

type Texts = Vec<(PathBuf, String)>;

fn repositories() -> Vec<Texts> {
    let mut all: Vec<Texts> = ["saltmarsh", "language/stamped", "language/examples"]
        .into_iter()
        .map(|name| {
            let mut files: Texts =
                gyle_files(name).into_iter().map(|path| (path.clone(), read(&path))).collect();
            let config = Path::new(env!("CARGO_MANIFEST_DIR")).join(name).join("gyle.toml");
            files.extend(std::fs::read_to_string(&config).ok().map(|text| (config, text)));
            files
        })
        .collect();
    let made = repository(40, SEED).into_iter();
    all.push(made.map(|file| (Path::new("/brewery").join(file.path), file.text)).collect());
    all
}

fn loaded(files: &Texts) -> Workspace {
    let mut workspace = Workspace::new(Arc::new(Memory::new(files.iter().cloned())));
    let paths: Vec<PathBuf> =
        files.iter().map(|(path, _)| path.clone()).filter(|path| Workspace::is_gyle(path)).collect();
    workspace.load(&paths);
    workspace
}

/// The files after stamping.
fn stamped(files: &Texts, stamping: &Stamping) -> Texts {
    let workspace = loaded(files);
    files
        .iter()
        .map(|(path, text)| {
            let Some(id) = workspace.file_at(path) else { return (path.clone(), text.clone()) };
            let (state, analysis) = (workspace.file(id).unwrap(), workspace.analyse(id).unwrap());
            let mut edits = Vec::new();
            for one in &analysis.recipes {
                edits.extend(stamp_recipe(&one.recipe, &one.starts, &state.config.figures, stamping));
            }
            for one in &analysis.logs {
                edits.extend(stamp_log(&one.log, &one.starts, stamping));
            }
            (path.clone(), syntax::apply(text, &edits))
        })
        .collect()
}

/// What a check says, but for stamps and the lines themselves.
fn findings(files: &Texts, of_stamps: bool) -> Vec<String> {
    let workspace = loaded(files);
    let mut all = Vec::new();
    for state in workspace.files() {
        for finding in workspace.analyse(state.id).unwrap().findings {
            if ["stale-stamp", "recipe-changed-since-brewed"].contains(&finding.rule) == of_stamps {
                all.push(format!("{:?} {} {:?}", finding.recipe, finding.rule, finding.message));
            }
        }
    }
    all
}

fn everything() -> Stamps {
    Stamps {
        figures: FigureId::ALL.iter().copied().filter(|id| id.scope() == Scope::Plan).collect(),
        lines: LineFigure::ALL.to_vec(),
        pin: true,
    }
}

fn values(files: &Texts) -> usize {
    files.iter().map(|(_, text)| text.matches("#=").count()).sum()
}

/// Every stamp agrees once it is written, is no input, and goes without a trace.
#[test]
fn stamps_agree_come_once_and_go_whole() {
    let mut written = 0;
    for plain in repositories() {
        let plain = stamped(&plain, &Stamping::RemoveAll);
        let all = stamped(&plain, &Stamping::Write(everything()));
        written += values(&all);
        assert_eq!(findings(&all, true), Vec::<String>::new());
        assert_eq!(findings(&all, false), findings(&plain, false));
        for again in [Stamping::Write(everything()), Stamping::Refresh] {
            let twice = stamped(&all, &again);
            for ((path, once), (_, twice)) in all.iter().zip(&twice) {
                assert_eq!(once, twice, "{} stamped twice", path.display());
            }
        }
        for ((path, plain), (_, back)) in plain.iter().zip(&stamped(&all, &Stamping::Remove(everything()))) {
            let trimmed: Vec<&str> = plain.lines().map(str::trim_end).collect();
            let back: Vec<&str> = back.lines().map(str::trim_end).collect();
            assert_eq!(trimmed, back, "{} stamped and cleared", path.display());
        }
    }
    assert!(written > 500, "{written} lines were stamped");
}

/// Whoever changes an ingredient finds the stamps it made stale, and one run brings them up to date.
#[test]
fn stale_stamps_are_found_and_refreshed() {
    let mut stale = 0;
    for plain in repositories() {
        let some = Stamps {
            figures: vec![FigureId::Og, FigureId::Ibu, FigureId::Colour, FigureId::TotalLiquor],
            lines: vec![LineFigure::Ibu, LineFigure::Share],
            pin: false,
        };
        let all = stamped(&stamped(&plain, &Stamping::RemoveAll), &Stamping::Write(some));
        let changed: Texts = all
            .iter()
            .map(|(path, text)| {
                (path.clone(), text.replace(" kg ", "0 kg ").replace("batch     2", "batch     3"))
            })
            .collect();
        let found = findings(&changed, true);
        stale += found.len();
        let fresh = stamped(&changed, &Stamping::Refresh);
        assert_eq!(findings(&fresh, true), Vec::<String>::new());
        assert_eq!(values(&fresh), values(&all));
    }
    assert!(stale > 100, "{stale} stamps went stale");
}
