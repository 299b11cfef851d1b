//! How long it takes to check a recipe and its log, figures included.

use std::sync::Arc;

use figures::{Actual, Calc};
use recipe::{FileId, Log, Recipe, Scope, Shelf, Units, build_log, build_recipe};
use rules::Config;
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

fn blocks(tree: &File, numbers: &[u32]) -> Vec<Arc<Block>> {
    numbers.iter().map(|number| Arc::clone(&tree.blocks[*number as usize].block)).collect()
}

fn scope(tree: &File) -> Scope {
    let texts = CELLAR.iter().map(|text| syntax::parse(text)).zip(1..);
    let cellar = texts.map(|(tree, number)| Arc::new(Shelf::new(FileId::Workspace(number), &tree, None)));
    Scope::new(core::iter::once(Arc::new(Shelf::new(FileId::Workspace(0), tree, None))).chain(cellar))
}

fn porter() -> Recipe {
    let tree = syntax::parse(RECIPE);
    let units = Units::of(&tree);
    build_recipe(&blocks(&tree, &units.recipes[0].blocks), &[], &scope(&tree), &recipe::Settings::default())
}

fn gyle(plan: &Arc<Recipe>) -> Log {
    let tree = syntax::parse(LOG);
    let units = Units::of(&tree);
    let settings = recipe::Settings::default();
    build_log(&blocks(&tree, &units.logs[0].blocks), &scope(&tree), &settings, Some(Arc::clone(plan)))
}

#[divan::bench]
fn figures_alone(bencher: divan::Bencher<'_, '_>) {
    let recipe = porter();
    let settings = figures::Settings::default();
    bencher.bench_local(|| {
        let calc = Calc::new(divan::black_box(&recipe), &settings);
        for id in figures::FigureId::ALL {
            divan::black_box(calc.value(*id).is_ok());
        }
    });
}

#[divan::bench]
fn recipe_with_figures(bencher: divan::Bencher<'_, '_>) {
    let recipe = porter();
    let (settings, config) = (figures::Settings::default(), Config::default());
    bencher.bench_local(|| {
        let calcs = [Calc::new(divan::black_box(&recipe), &settings)];
        rules::check_recipe(&calcs, &config)
    });
}

#[divan::bench]
fn log_with_figures(bencher: divan::Bencher<'_, '_>) {
    let plan = Arc::new(porter());
    let log = gyle(&plan);
    let (settings, config) = (figures::Settings::default(), Config::default());
    bencher.bench_local(|| {
        let calc = Calc::new(&plan, &settings);
        let actual = Actual::new(divan::black_box(&log), Some(&calc), &settings);
        rules::check_log(&actual, &config)
    });
}
