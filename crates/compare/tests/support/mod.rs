//! Recipes made from text, for the tests of this folder.

use std::sync::Arc;

use recipe::{FileId, Recipe, Scope, Shelf, Units};

/// The first recipe of a text, which must be without a fault, and what its names mean.
pub(crate) fn recipe(text: &str) -> (Recipe, Scope) {
    let file = syntax::parse(text);
    let units = Units::of(&file);
    let unit = units.recipes.first().unwrap();
    let blocks =
        |list: &[u32]| list.iter().map(|at| file.blocks[*at as usize].block.clone()).collect::<Vec<_>>();
    let scope = Scope::new([Arc::new(Shelf::new(FileId::Workspace(0), &file, None))]);
    let made = recipe::build_recipe(
        &blocks(&unit.blocks),
        &blocks(&units.lets),
        &scope,
        &recipe::Settings::default(),
    );
    assert!(made.problems.is_empty(), "{:?}", made.problems);
    (made, scope)
}
