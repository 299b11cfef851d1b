//! What the tests of this crate share: a brown porter, and text made into a recipe.

use std::sync::Arc;

use recipe::{FileId, Log, Recipe, Scope, Shelf, Units};
use syntax::ast::Block;

/// Five malts, a brewhouse and a water of its own, so that nothing depends on the built-in library but hops,
/// yeast and salts.
pub(crate) const PORTER: &str = include_str!("../porter.gyle");

/// The first recipe of a text that has no fault.
#[allow(dead_code)] // not every test looks at a recipe alone
pub(crate) fn recipe(text: &str) -> Recipe {
    read(text).1
}

/// The first log of a text that has no fault, with its first recipe.
#[allow(dead_code)] // not every test has a log
pub(crate) fn log(text: &str) -> Log {
    let (file, plan, scope) = read(text);
    let blocks = blocks(&file, &Units::of(&file).logs[0].blocks);
    let made = recipe::build_log(&blocks, &scope, &recipe::Settings::default(), Some(Arc::new(plan)));
    assert!(made.problems.is_empty(), "{:?}", made.problems);
    made
}

fn blocks(file: &syntax::ast::File, wanted: &[u32]) -> Vec<Arc<Block>> {
    wanted.iter().map(|at| Arc::clone(&file.blocks[*at as usize].block)).collect()
}

fn read(text: &str) -> (syntax::ast::File, Recipe, Scope) {
    let file = syntax::parse(text);
    for placed in &file.blocks {
        assert!(placed.block.faults.is_empty(), "{:?}", placed.block.faults);
    }
    let scope = Scope::new([Arc::new(Shelf::new(FileId::Workspace(0), &file, None))]);
    let blocks = blocks(&file, &Units::of(&file).recipes[0].blocks);
    let made = recipe::build_recipe(&blocks, &[], &scope, &recipe::Settings::default());
    assert!(made.problems.is_empty(), "{:?}", made.problems);
    (file, made, scope)
}
