//! The examples that the language is described by are read, and compute.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use figures::{Actual, Calc, FigureId as F};
use gyle_tests::{gyle_files, read};
use rules::Severity;
use syntax::ast::{Body, Part};
use syntax::vocabulary::{BLOCKS, BlockKind, ClauseWord, EntrySpec, Keyword};
use workspace::{Disk, Workspace};

fn open(folder: &str) -> Workspace {
    let mut workspace = Workspace::new(Arc::new(Disk));
    let loaded = workspace.load(&[Path::new(env!("CARGO_MANIFEST_DIR")).join("language").join(folder)]);
    assert!(!loaded.files.is_empty() && loaded.unreadable.is_empty(), "{folder}");
    workspace
}

/// The figures of a recipe of a folder.
fn values(folder: &str, name: &str, ids: &[F]) -> Vec<f64> {
    let workspace = open(folder);
    for state in workspace.files() {
        for made in workspace.analyse(state.id).unwrap().recipes {
            if &*made.recipe.name == name {
                let calc = Calc::new(&made.recipe, &state.config.figures);
                return ids.iter().map(|id| calc.value(*id).unwrap()).collect();
            }
        }
    }
    Vec::new()
}

/// The five malts are shadowed by ones of known analysis; the values are computed by hand from the
/// definitions of the figures.
#[test]
fn the_porter_on_known_malts() {
    let want = [
        (F::Og, 1.0508, 0.000_05),
        (F::Fg, 1.0138, 0.000_05),
        (F::Ibu, 27.4, 0.05),
        (F::Colour, 41.4, 0.05),
        (F::TotalLiquor, 30.4, 0.05),
        (F::StrikeTemperature, 75.7, 0.05),
    ];
    let ids: Vec<F> = want.iter().map(|(id, ..)| *id).collect();
    let have = values("shadowed", "Estuary Porter", &ids);
    assert_eq!(have.len(), want.len());
    for ((id, want, tolerance), have) in want.into_iter().zip(have) {
        assert!((have - want).abs() <= tolerance, "{id:?}: {have} where {want} is known");
    }
}

/// The boil of the chapter on stamps has the first of the porter's two hops, which gives 23.8 IBU; the
/// second gives the other 3.6.
#[test]
fn the_porter_with_the_stamped_boil() {
    let stamped = values("stamped", "Estuary Porter", &[F::Ibu]);
    let plain = values("plain", "Estuary Porter", &[F::Ibu]);
    assert_eq!((stamped.len(), plain.len()), (1, 1));
    assert!((stamped[0] - 23.8).abs() < 0.3, "{stamped:?}");
    assert!((plain[0] - stamped[0] - 3.6).abs() < 0.3, "{plain:?} {stamped:?}");
}

/// What each example must be able to say of its beer.
#[test]
fn every_example_computes() {
    let mut seen = 0;
    for folder in ["plain", "shadowed", "stamped", "examples"] {
        let workspace = open(folder);
        for state in workspace.files() {
            let analysis = workspace.analyse(state.id).unwrap();
            for made in &analysis.recipes {
                let parts = made.recipe.parts.len().max(1);
                for part in 0..parts {
                    let calc = Calc::of_part(&made.recipe, &state.config.figures, part);
                    for id in [F::Og, F::Fg, F::Abv, F::Ibu, F::Colour, F::BatchVolume] {
                        let value = calc.value(id);
                        assert!(value.is_ok(), "{}: {id:?}: {:?}", made.recipe.name, value.err());
                    }
                    seen += 1;
                }
            }
            for made in &analysis.logs {
                let calc = made.log.recipe.as_deref().map(|recipe| Calc::new(recipe, &state.config.figures));
                let actual = Actual::new(&made.log, calc.as_ref(), &state.config.figures);
                let measured = F::ALL.iter().filter(|id| actual.explain(**id).is_ok()).count();
                assert!(measured > 0, "gyle {}", made.log.id);
            }
            for finding in analysis.findings {
                let grave = finding.severity == Severity::Error && folder != "stamped";
                assert!(!grave, "{}: {}", state.path.display(), finding.message);
            }
        }
    }
    assert!(seen >= 10, "{seen}");
}

/// The clauses are used as a brewer would use them: nothing is found that is wrong with them, and the
/// formatter leaves them alone.
#[test]
fn every_clause_is_read_in_silence() {
    let workspace = open("clauses");
    let mut wrong = Vec::new();
    for state in workspace.files() {
        let findings = workspace.analyse(state.id).unwrap().findings;
        let grave = findings.iter().filter(|finding| finding.severity > Severity::Hint);
        wrong.extend(grave.map(|finding| format!("{}: {}", state.path.display(), finding.message)));
        if !edit::format(&syntax::parse(&state.text)).is_empty() {
            wrong.push(format!("{} is not formatted", state.path.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every keyword and every clause of every block stands somewhere in the demo, among the examples or in the
/// built-in library.
#[test]
fn every_word_of_the_language_is_used() {
    let mut used: BTreeSet<(BlockKind, Keyword)> = BTreeSet::new();
    let mut clauses: BTreeSet<(BlockKind, Option<Keyword>, ClauseWord)> = BTreeSet::new();
    let files = gyle_files("language").into_iter().chain(gyle_files("saltmarsh")).map(|path| read(&path));
    let library = catalogue::files().iter().map(|(_, text)| (*text).to_owned());
    for text in files.chain(library) {
        for placed in &syntax::parse(&text).blocks {
            let kind = placed.block.kind;
            for line in &placed.block.lines {
                let (Body::Entry(entry) | Body::Header(entry)) = &line.body else { continue };
                let keyword = entry.keyword.map(|keyword| keyword.node);
                used.extend(keyword.map(|keyword| (kind, keyword)));
                for part in &entry.parts {
                    if let Part::Clause(clause) = part {
                        clauses.insert((kind, keyword, clause.word));
                    }
                }
            }
        }
    }
    let mut unused = Vec::new();
    for spec in BLOCKS {
        let items = spec.items.iter().flat_map(|items| *items).map(|clause| (None, clause.word));
        let facts = spec
            .entries
            .iter()
            .flat_map(|entry| entry.clauses.iter().map(move |clause| (Some(entry.keyword), clause.word)));
        // Every definition has them; nobody buys a style, or a brewhouse by the kilogram.
        let odd = |keyword| {
            matches!(spec.kind, BlockKind::Style | BlockKind::BrewhouseBlock)
                && matches!(keyword, Keyword::Price | Keyword::Lot | Keyword::Stock | Keyword::Allergen)
        };
        let missing = |entry: &&EntrySpec| !used.contains(&(spec.kind, entry.keyword)) && !odd(entry.keyword);
        for entry in spec.entries.iter().filter(missing) {
            unused.push(format!("{}: {}", spec.word, entry.keyword.word()));
        }
        for (keyword, word) in items.chain(facts) {
            if !clauses.contains(&(spec.kind, keyword, word)) {
                let keyword = keyword.map_or("an item", Keyword::word);
                unused.push(format!("{}: {keyword} … {}", spec.word, word.word()));
            }
        }
    }
    assert!(unused.is_empty(), "{}", unused.join("\n"));
}
