//! Every name and value of the demo repository, of the examples and of the built-in library resolves.

// A file that cannot be read fails the test.
#![allow(clippy::panic)]

use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

use gyle_tests::{Repository, gyle_files, read};
use recipe::{FileId, Problem, Recipe, Scope, Settings, Shelf, build_log};
use syntax::vocabulary::BlockKind;

/// Builds every recipe and log of a repository: how many there are of each, and every problem found.
fn build(folder: &str) -> (usize, usize, Vec<String>) {
    let repository = Repository::open(folder);
    let mut found = Vec::new();
    let mut recipes: HashMap<Box<str>, Arc<Recipe>> = HashMap::new();
    for source in &repository.sources {
        let scope = repository.scope(source);
        note(&mut found, &source.path, &source.units.problems);
        note(&mut found, &source.path, &source.shelf.problems);
        note(&mut found, &source.path, &scope.own_problems());
        for (name, built) in source.recipes(&scope) {
            note(&mut found, &source.path, &built.problems);
            let twice = recipes.insert(name, Arc::new(built));
            assert!(twice.is_none(), "{}", source.path.display());
        }
    }
    let mut logs = 0;
    for source in &repository.sources {
        for unit in &source.units.logs {
            let plan = recipes.get(&unit.recipe_name).cloned();
            assert!(plan.is_some(), "{}: no recipe '{}'", source.path.display(), unit.recipe_name);
            let scope = repository.scope(source);
            let log = build_log(&source.blocks(&unit.blocks), &scope, &Settings::default(), plan);
            note(&mut found, &source.path, &log.problems);
            logs += 1;
        }
    }
    (recipes.len(), logs, found)
}

fn note(found: &mut Vec<String>, path: &Path, problems: &[Problem]) {
    for Problem { fault, .. } in problems {
        found.push(format!("{}: {}: {} {}", path.display(), fault.rule, fault.message, fault.help));
    }
}

#[test]
fn the_demo_and_the_examples_resolve() {
    for (folder, recipes, logs) in [
        ("saltmarsh", 14, 7),
        ("language/plain", 1, 1),
        ("language/shadowed", 1, 0),
        ("language/stamped", 1, 0),
        ("language/examples", 7, 2),
    ] {
        let (built, logged, found) = build(folder);
        assert!(found.is_empty(), "{}", found.join("\n"));
        assert_eq!((built, logged), (recipes, logs), "{folder}");
    }
}

/// Every definition of the cellar is there because a recipe or another definition names it.
#[test]
fn nothing_in_the_cellar_stands_unused() {
    let mut texts = String::new();
    let mut names = Vec::new();
    for path in gyle_files("saltmarsh") {
        let text = read(&path);
        let tree = syntax::parse(&text);
        let shelf = Shelf::new(FileId::Workspace(0), &tree, None);
        names.extend(shelf.definitions.iter().map(|definition| definition.name.to_string()));
        for placed in &tree.blocks {
            let below_the_header = placed.block.text.split_once('\n').map_or("", |(_, rest)| rest);
            texts.push_str(below_the_header);
        }
    }
    let texts = catalogue::fold(&texts);
    for name in names {
        assert!(texts.contains(&catalogue::fold(&name)), "{name} is defined and never used");
    }
}

#[test]
fn every_definition_of_the_library_has_sound_values() {
    let scope = Scope::new([]);
    let mut found = Vec::new();
    let mut count = 0;
    for kind in catalogue::Kind::ALL {
        let block_kind = BlockKind::ALL.iter().find(|block| block.word() == kind.word());
        let Some(block_kind) = block_kind else { panic!("no block '{}'", kind.word()) };
        for entry in catalogue::definitions(kind) {
            let definition = scope.find(*block_kind, entry.name);
            let Some(definition) = definition else { panic!("{} is not found", entry.name) };
            for problem in &definition.definition.problems {
                found.push(format!("{}: {}", entry.name, problem.fault.message));
            }
            assert!(!definition.definition.facts.is_empty(), "{}", entry.name);
            count += 1;
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    println!("{count} definitions");
}
