//! The figures of the demo recipes against an independent recomputation.

use std::collections::HashMap;

use figures::{Calc, FigureId, Settings};
use gyle_tests::{Account, Basis, Repository, Table, Tally, Tolerance};

#[test]
fn the_demo_recipes_compute_as_recomputed() {
    account();
}

/// Every row compared.
pub(crate) fn account() -> Tally {
    let repository = Repository::open("saltmarsh");
    let recipes: HashMap<_, _> =
        repository.sources.iter().flat_map(|source| source.recipes(&repository.scope(source))).collect();
    let settings = Settings::default();
    let figure = |recipe: &str, name: &str| {
        let id = FigureId::ALL.iter().find(|id| id.id() == name)?;
        Calc::new(recipes.get(recipe)?, &settings).value(*id).ok()
    };
    let table = Table::read(include_str!("demo_figures.tsv"));
    let mut account = Account::default();
    for row in table.rows() {
        let (recipe, name) = (row.get("recipe"), row.get("figure"));
        let within = Tolerance::Absolute(row.number("tolerance"));
        let id = format!("{recipe}: {name}");
        account.check(&id, figure(recipe, name), row.number("value"), within, Basis::Recomputed);
    }
    account.close("demo_figures.tsv", table.rows().count())
}
