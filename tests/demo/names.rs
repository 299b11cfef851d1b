//! Every name and value of the demo repository, of the examples and of the built-in library resolves.

// A file that cannot be read fails the test.
#![allow(clippy::panic)]

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use gyle_tests::{gyle_files, read};
use recipe::{FileId, Problem, Recipe, Scope, Settings, Shelf, Units, build_log, build_recipe};
use syntax::ast::{Block, File};
use syntax::vocabulary::BlockKind;

fn blocks(tree: &File, numbers: &[u32]) -> Vec<Arc<Block>> {
    numbers.iter().map(|number| Arc::clone(&tree.blocks[*number as usize].block)).collect()
}

/// One repository: its files with their trees and what their blocks make.
struct Repository {
    files: Vec<(PathBuf, File, Units, Arc<Shelf>)>,
    found: Vec<String>,
}

impl Repository {
    fn open(folder: &str) -> Self {
        let mut files = Vec::new();
        let mut found = Vec::new();
        for (path, number) in gyle_files(folder).into_iter().zip(0..) {
            let tree = syntax::parse(&read(&path));
            let units = Units::of(&tree);
            let shelf = Arc::new(Shelf::new(FileId::Workspace(number), &tree, None));
            note(&mut found, &path, &units.problems);
            note(&mut found, &path, &shelf.problems);
            files.push((path, tree, units, shelf));
        }
        assert!(!files.is_empty(), "{folder}");
        Self { files, found }
    }

    /// Builds everything; returns how many recipes and logs there are.
    fn build(&mut self) -> (usize, usize) {
        let settings = Settings::default();
        let mut recipes: HashMap<Box<str>, Arc<Recipe>> = HashMap::new();
        for (path, tree, units, own) in &self.files {
            let cellar = self.files.iter().map(|(.., shelf)| shelf).filter(|shelf| !Arc::ptr_eq(shelf, own));
            let scope = Scope::new(std::iter::once(own).chain(cellar).cloned());
            note(&mut self.found, path, &scope.own_problems());
            let lets = blocks(tree, &units.lets);
            for unit in &units.recipes {
                let built = build_recipe(&blocks(tree, &unit.blocks), &lets, &scope, &settings);
                note(&mut self.found, path, &built.problems);
                assert!(recipes.insert(unit.name.clone(), Arc::new(built)).is_none(), "{} twice", unit.name);
            }
        }
        let mut logs = 0;
        for (path, tree, units, own) in &self.files {
            let cellar = self.files.iter().map(|(.., shelf)| shelf).filter(|shelf| !Arc::ptr_eq(shelf, own));
            let scope = Scope::new(std::iter::once(own).chain(cellar).cloned());
            for unit in &units.logs {
                let plan = recipes.get(&unit.recipe_name).cloned();
                assert!(plan.is_some(), "{}: no recipe '{}'", path.display(), unit.recipe_name);
                let log = build_log(&blocks(tree, &unit.blocks), &scope, &settings, plan);
                note(&mut self.found, path, &log.problems);
                logs += 1;
            }
        }
        (recipes.len(), logs)
    }
}

fn note(found: &mut Vec<String>, path: &std::path::Path, problems: &[Problem]) {
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
        let mut repository = Repository::open(folder);
        assert_eq!(repository.build(), (recipes, logs), "{folder}");
        assert!(repository.found.is_empty(), "{}", repository.found.join("\n"));
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
