//! What the tests share: files in memory, and fixtures with markers under the line.

#![allow(dead_code, reason = "every test program uses a part of it")]

use std::fmt::Write as _;
use std::sync::Arc;

use recipe::{FileId, Log, Problem, Recipe, Scope, Settings, Shelf, Units, build_log, build_recipe};
use syntax::ast::{Block, File};

/// Everything a text makes.
pub(crate) struct World {
    pub(crate) text: String,
    pub(crate) tree: File,
    pub(crate) units: Units,
    pub(crate) scope: Scope,
    own: Vec<Problem>,
    pub(crate) recipes: Vec<Arc<Recipe>>,
    pub(crate) logs: Vec<Log>,
}

impl World {
    /// Builds a text, with the library files behind it in the order of look-up.
    pub(crate) fn new(text: &str, libraries: &[&str]) -> Self {
        let tree = syntax::parse(text);
        let shelf = |number: u32, tree: &File| Arc::new(Shelf::new(FileId::Workspace(number), tree, None));
        let shelves = libraries.iter().zip(1..).map(|(text, number)| shelf(number, &syntax::parse(text)));
        let scope = Scope::new(core::iter::once(shelf(0, &tree)).chain(shelves));
        let units = Units::of(&tree);
        let settings = Settings::default();
        let lets = blocks(&tree, &units.lets);
        let recipes: Vec<Arc<Recipe>> = units
            .recipes
            .iter()
            .map(|unit| Arc::new(build_recipe(&blocks(&tree, &unit.blocks), &lets, &scope, &settings)))
            .collect();
        let logs = units
            .logs
            .iter()
            .map(|unit| {
                let plan = recipes.iter().find(|recipe| *recipe.name == *unit.recipe_name).cloned();
                build_log(&blocks(&tree, &unit.blocks), &scope, &settings, plan)
            })
            .collect();
        let own = scope.own_problems();
        Self { text: text.to_owned(), tree, units, scope, own, recipes, logs }
    }

    /// The first recipe.
    #[track_caller]
    pub(crate) fn recipe(&self) -> &Recipe {
        self.recipes.first().expect("the text has a recipe")
    }

    /// The first log.
    #[track_caller]
    pub(crate) fn log(&self) -> &Log {
        self.logs.first().expect("the text has a log")
    }

    /// Every problem with its first byte in the file, in the order of the text.
    pub(crate) fn problems(&self) -> Vec<(u32, &Problem)> {
        let mut all: Vec<(u32, &Problem)> = Vec::new();
        let in_file = |problem: &Problem| self.tree.blocks[usize::from(problem.block)].start;
        all.extend(self.units.problems.iter().chain(&self.own).map(|problem| (in_file(problem), problem)));
        for (unit, recipe) in self.units.recipes.iter().zip(&self.recipes) {
            let start = |problem: &Problem| self.start(unit.blocks[usize::from(problem.block)]);
            all.extend(recipe.problems.iter().map(|problem| (start(problem), problem)));
        }
        for (unit, log) in self.units.logs.iter().zip(&self.logs) {
            let start = |problem: &Problem| self.start(unit.blocks[usize::from(problem.block)]);
            all.extend(log.problems.iter().map(|problem| (start(problem), problem)));
        }
        let mut placed: Vec<(u32, &Problem)> =
            all.into_iter().map(|(start, problem)| (start + problem.fault.span.start, problem)).collect();
        placed.sort_by_key(|(at, problem)| (*at, problem.fault.rule));
        placed
    }

    fn start(&self, block: u32) -> u32 {
        self.tree.blocks[block as usize].start
    }

    /// The text with every problem marked under its line: `^^^ rule`.
    pub(crate) fn marked(&self) -> String {
        let problems = self.problems();
        let mut out = String::new();
        let mut offset = 0usize;
        for line in self.text.split_inclusive('\n') {
            out.push_str(line.trim_end_matches('\n'));
            out.push('\n');
            for (at, problem) in &problems {
                let at = *at as usize;
                if (offset..offset + line.len()).contains(&at) {
                    let column = self.text[offset..at].chars().count();
                    let end = (at + problem.fault.span.len() as usize).min(offset + line.trim_end().len());
                    let width = self.text.get(at..end.max(at)).map_or(0, |text| text.chars().count()).max(1);
                    let _ =
                        writeln!(out, "{}{} {}", " ".repeat(column), "^".repeat(width), problem.fault.rule);
                }
            }
            offset += line.len();
        }
        out
    }
}

pub(crate) fn blocks(tree: &File, numbers: &[u32]) -> Vec<Arc<Block>> {
    numbers.iter().map(|number| Arc::clone(&tree.blocks[*number as usize].block)).collect()
}

/// A fixture without its marker lines: those whose first sign is `^`.
pub(crate) fn unmarked(fixture: &str) -> String {
    fixture
        .lines()
        .filter(|line| !line.trim_start().starts_with('^'))
        .map(|line| format!("{line}\n"))
        .collect()
}

/// Checks that a text has exactly the problems that are marked under its lines.
#[track_caller]
pub(crate) fn check(fixture: &str, libraries: &[&str]) {
    let text = unmarked(fixture);
    let world = World::new(&text, libraries);
    let wanted: String = fixture.lines().map(|line| format!("{line}\n")).collect();
    assert_eq!(world.marked(), wanted, "\nfound:\n{}", world.marked());
}
