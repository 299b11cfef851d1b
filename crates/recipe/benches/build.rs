//! How long a recipe, a log and a shelf take to build from parsed blocks.

use std::sync::Arc;

use recipe::{FileId, Recipe, Scope, Settings, Shelf, Units, build_log, build_recipe, fingerprint};
use syntax::ast::{Block, File};

fn main() {
    divan::main();
}

const RECIPE: &str = include_str!("../../../tests/saltmarsh/recipes/estuary-porter.gyle");
const LOG: &str = include_str!("../../../tests/saltmarsh/logs/27-estuary-porter.gyle");
const CELLAR: [&str; 4] = [
    include_str!("../../../tests/saltmarsh/cellar/brewhouses.gyle"),
    include_str!("../../../tests/saltmarsh/cellar/malts.gyle"),
    include_str!("../../../tests/saltmarsh/cellar/waters.gyle"),
    include_str!("../../../tests/saltmarsh/cellar/yeasts.gyle"),
];

fn shelf(number: u32, tree: &File) -> Arc<Shelf> {
    Arc::new(Shelf::new(FileId::Workspace(number), tree, None))
}

fn scope(tree: &File) -> Scope {
    let cellar = CELLAR.iter().zip(1..).map(|(text, number)| shelf(number, &syntax::parse(text)));
    Scope::new(core::iter::once(shelf(0, tree)).chain(cellar))
}

fn blocks(tree: &File, numbers: &[u32]) -> Vec<Arc<Block>> {
    numbers.iter().map(|number| Arc::clone(&tree.blocks[*number as usize].block)).collect()
}

fn porter() -> (Vec<Arc<Block>>, Scope) {
    let tree = syntax::parse(RECIPE);
    let units = Units::of(&tree);
    (blocks(&tree, &units.recipes[0].blocks), scope(&tree))
}

fn built() -> Recipe {
    let (blocks, scope) = porter();
    build_recipe(&blocks, &[], &scope, &Settings::default())
}

#[divan::bench]
fn sort_blocks(bencher: divan::Bencher<'_, '_>) {
    let tree = syntax::parse(RECIPE);
    bencher.bench_local(|| Units::of(divan::black_box(&tree)));
}

#[divan::bench]
fn recipe(bencher: divan::Bencher<'_, '_>) {
    let (blocks, scope) = porter();
    bencher.bench_local(|| build_recipe(divan::black_box(&blocks), &[], &scope, &Settings::default()));
}

#[divan::bench]
fn log(bencher: divan::Bencher<'_, '_>) {
    let plan = Arc::new(built());
    let tree = syntax::parse(LOG);
    let units = Units::of(&tree);
    let (own, scope) = (blocks(&tree, &units.logs[0].blocks), scope(&tree));
    bencher.bench_local(|| {
        build_log(divan::black_box(&own), &scope, &Settings::default(), Some(Arc::clone(&plan)))
    });
}

#[divan::bench]
fn fingerprint_of_recipe(bencher: divan::Bencher<'_, '_>) {
    let recipe = built();
    bencher.bench_local(|| fingerprint(divan::black_box(&recipe)));
}

#[divan::bench]
fn shelf_of_cellar(bencher: divan::Bencher<'_, '_>) {
    let trees: Vec<File> = CELLAR.iter().map(|text| syntax::parse(text)).collect();
    bencher.bench_local(|| trees.iter().map(|tree| shelf(0, tree)).collect::<Vec<_>>());
}
