//! What the tests of this crate share: a brown porter, and text made into a recipe.

use std::sync::Arc;

use recipe::{FileId, Recipe, Scope, Shelf, Units};

/// Five malts, a brewhouse and a water of its own, so that nothing depends on the built-in library but hops,
/// yeast and salts.
pub(crate) const PORTER: &str = include_str!("../porter.gyle");

/// The first recipe of a text that has no fault.
pub(crate) fn recipe(text: &str) -> Recipe {
    let file = syntax::parse(text);
    let units = Units::of(&file);
    let blocks: Vec<_> =
        units.recipes[0].blocks.iter().map(|at| Arc::clone(&file.blocks[*at as usize].block)).collect();
    for placed in &file.blocks {
        assert!(placed.block.faults.is_empty(), "{:?}", placed.block.faults);
    }
    let scope = Scope::new([Arc::new(Shelf::new(FileId::Workspace(0), &file, None))]);
    let made = recipe::build_recipe(&blocks, &[], &scope, &recipe::Settings::default());
    assert!(made.problems.is_empty(), "{:?}", made.problems);
    made
}
