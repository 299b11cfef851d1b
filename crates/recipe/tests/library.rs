//! Names, shelves, and what definitions take over from one another.

mod support;

use recipe::{FactValue, FileId, Found, Scope};
use support::World;
use syntax::vocabulary::{BlockKind, Keyword};

fn scope(files: &[&str]) -> Scope {
    let (own, libraries) = files.split_first().expect("a file");
    World::new(own, libraries).scope
}

/// Name and file of what a name resolves to.
fn found(scope: &Scope, kind: BlockKind, name: &str) -> Option<(String, FileId)> {
    scope.find(kind, name).map(|found| (found.definition.name.to_string(), found.definition.place.file))
}

fn number(found: &Found, key: Keyword) -> Option<f64> {
    match found.definition.fact(key)?.value {
        FactValue::Number(quant) | FactValue::Range(quant, _, _) => Some(quant.value),
        _ => None,
    }
}

#[test]
fn the_nearest_definition_holds() {
    let scope = scope(&[
        "malt house\n  colour              5 EBC\n",
        "malt House\n  colour              6 EBC\nmalt \"pale ale malt\"\n  colour              7 EBC\n",
        "malt \"pale ale malt\"\n  colour              8 EBC\nmalt far\n  alias               faraway\n",
    ]);
    let own = FileId::Workspace;
    for (name, wanted) in [
        ("HOUSE", Some(("house", own(0)))),
        ("pale-ale malt", Some(("pale ale malt", own(1)))),
        ("faraway", Some(("far", own(2)))),
        ("wheat malt", Some(("wheat malt", FileId::Catalogue(3)))),
        ("nowhere", None),
        ("", None),
    ] {
        let wanted = wanted.map(|(name, file)| (name.to_owned(), file));
        let found = found(&scope, BlockKind::Malt, name);
        assert_eq!(found.as_ref().map(|(name, _)| name), wanted.as_ref().map(|(name, _)| name), "{name}");
        match (found.map(|(_, file)| file), wanted.map(|(_, file)| file)) {
            (Some(FileId::Catalogue(_)), Some(FileId::Catalogue(_))) => {}
            (found, wanted) => assert_eq!(found, wanted, "{name}"),
        }
    }
    assert_eq!(found(&scope, BlockKind::Hop, "house"), None);
    assert_eq!(found(&scope, BlockKind::Recipe, "house"), None);
}

#[test]
fn loose_names_are_known_as_such() {
    let scope =
        scope(&["addition salt\n  alias               sea salt\n  alias               brine [loose]\n"]);
    for (name, loose) in [
        ("salt", Some(false)),
        ("sea salt", Some(false)),
        ("brine", Some(true)),
        ("calcium chloride", Some(true)),
        ("calcium chloride dihydrate", Some(false)),
        ("sand", None),
    ] {
        assert_eq!(scope.find(BlockKind::Addition, name).map(|found| found.loose), loose, "{name}");
    }
}

#[test]
fn what_a_definition_is_like() {
    let scope = scope(&[
        "malt a\n  like                b\n  colour              1 EBC\n",
        "malt b\n  like                c\n  colour              2 EBC\n  moisture            2 %\n  stock               25 kg\nmalt c\n  extract             80 %\n  moisture            3 %\n  lot                 SM-1\n",
    ]);
    let a = scope.find(BlockKind::Malt, "a").expect("a");
    assert_eq!(number(&a, Keyword::Colour), Some(1.0));
    assert_eq!(number(&a, Keyword::Moisture), Some(0.02));
    assert_eq!(number(&a, Keyword::Extract), Some(0.8));
    assert_eq!(a.definition.facts_of(Keyword::Colour).count(), 1);
    // One sack's lot and stock are no other's.
    assert_eq!(a.definition.fact(Keyword::Stock), None);
    assert_eq!(a.definition.fact(Keyword::Lot), None);
    assert_eq!(a.definition.like.as_ref().map(|(name, _)| &**name), Some("b"));
}

#[test]
fn a_definition_like_its_own_name_starts_from_the_next_of_it() {
    let scope =
        scope(&["malt \"wheat malt\"\n  like                wheat malt\n  colour              9 EBC\n"]);
    let wheat = scope.find(BlockKind::Malt, "wheat malt").expect("wheat malt");
    assert_eq!(wheat.definition.place.file, FileId::Workspace(0));
    assert_eq!(number(&wheat, Keyword::Colour), Some(9.0));
    assert!(number(&wheat, Keyword::Extract).is_some_and(|extract| extract > 0.7));
    assert!(scope.own_problems().is_empty());
}

#[test]
fn a_library_does_not_see_the_recipe_it_is_used_from() {
    let scope = scope(&[
        "malt base\n  colour              1 EBC\n",
        "malt house\n  like                base\n",
        "malt base\n  colour              3 EBC\n",
    ]);
    let house = scope.find(BlockKind::Malt, "house").expect("house");
    assert_eq!(number(&house, Keyword::Colour), Some(3.0));
}

#[test]
fn a_circle_ends_somewhere() {
    let scope = scope(&[
        "malt a\n  like                b\n  colour              1 EBC\nmalt b\n  like                a\n  moisture            2 %\nmalt c\n  like                c\n",
    ]);
    for name in ["a", "b"] {
        let found = scope.find(BlockKind::Malt, name).expect("a malt");
        assert_eq!(number(&found, Keyword::Colour), Some(1.0), "{name}");
        assert_eq!(number(&found, Keyword::Moisture), Some(0.02), "{name}");
    }
    assert!(scope.find(BlockKind::Malt, "c").is_some());
    let rules: Vec<&str> = scope.own_problems().iter().map(|problem| problem.fault.rule).collect();
    assert_eq!(rules, ["like-cycle", "like-cycle", "unknown-reference"]);
}

#[test]
fn built_in_definitions_take_over_too() {
    let scope = scope(&[""]);
    let mut some = 0;
    for entry in catalogue::definitions(catalogue::Kind::Style) {
        let found = scope.find(BlockKind::Style, entry.name).expect("a style");
        if let Some((base, _)) = &found.definition.like {
            let base = scope.find(BlockKind::Style, base).expect("the style it is like");
            let own = found
                .definition
                .block
                .entries()
                .filter_map(|(_, entry)| entry.keyword)
                .map(|keyword| keyword.node);
            let own: Vec<Keyword> = own.collect();
            for fact in &base.definition.facts {
                assert!(found.definition.fact(fact.key).is_some(), "{}: {}", entry.name, fact.key.word());
                if !own.contains(&fact.key) {
                    assert_eq!(found.definition.fact(fact.key).map(|fact| &fact.value), Some(&fact.value));
                }
            }
            some += 1;
        }
    }
    assert!(some > 0);
}

#[test]
fn did_you_mean() {
    let scope = scope(&["malt \"house pale\"\nyeast \"farmhouse, dry\"\n"]);
    for (kind, written, wanted) in [
        (BlockKind::Hop, "Fugle", Some("Fuggle")),
        (BlockKind::Hop, "fuggels", Some("Fuggles")),
        (BlockKind::Hop, "Centenial", Some("Centennial")),
        (BlockKind::Malt, "house pael", Some("house pale")),
        (BlockKind::Malt, "crystal", Some("crystal malt")),
        (BlockKind::Malt, "chocolate", Some("chocolate malt")),
        (BlockKind::Yeast, "farmhouse", Some("farmhouse, dry")),
        (BlockKind::Water, "rainwater", Some("rain water")),
        (BlockKind::Style, "13C English Porter", Some("13C")),
        (BlockKind::Style, "english porter", Some("13C")),
        (BlockKind::Style, "Englich Porter", Some("13C")),
        (BlockKind::Style, "99Z", None),
        (BlockKind::Hop, "zzzzzzzzzz", None),
        (BlockKind::Hop, "", None),
        (BlockKind::Use, "Fuggle", None),
    ] {
        assert_eq!(scope.nearest(kind, written).as_deref(), wanted, "{written}");
    }
}

#[test]
fn names_for_completion() {
    let scope = scope(&["hop fuggle\n  alias               our fuggle\n", "hop Fuggle\nhop other\n"]);
    let names = scope.names(BlockKind::Hop);
    let fuggles: Vec<_> = names.iter().filter(|name| catalogue::same(&name.name, "fuggle")).collect();
    assert_eq!(fuggles.len(), 1);
    assert_eq!(fuggles[0].place.file, FileId::Workspace(0));
    assert!(names.iter().any(|name| &*name.name == "our fuggle" && name.alias));
    assert!(names.iter().any(|name| &*name.name == "other" && name.place.file == FileId::Workspace(1)));
    assert!(names.iter().any(|name| matches!(name.place.file, FileId::Catalogue(_))));
    assert!(scope.names(BlockKind::Water).iter().all(|name| matches!(name.place.file, FileId::Catalogue(_))));
    // Every name that is offered is found.
    for kind in BlockKind::ALL.iter().filter(|kind| kind.is_definition()) {
        for name in scope.names(*kind) {
            let found = scope.find(*kind, &name.name).unwrap_or_else(|| panic!("{} is not found", name.name));
            assert_eq!(found.definition.place, name.place, "{}", name.name);
            assert_eq!(found.loose, name.loose, "{}", name.name);
        }
    }
}

#[test]
fn fields_are_read_as_they_are_meant() {
    let text = "yeast y\n  cells               100 billion cells\n  cells               10 billion cells/g\n  attenuation         70..74 %\n  diastatic           possible\n  packed              2026-03-01\nmalt m\n  diastatic           300 WK\n  lot                 SM-114, east field\n  allergen            barley\nhop h\n  stored              4 C vacuum\nwater w\n  alkalinity          130 ppm as CaCO3\n  ph                  7.6\n";
    let scope = scope(&[text]);
    let yeast = scope.find(BlockKind::Yeast, "y").expect("y").definition;
    let cells: Vec<f64> = yeast
        .facts_of(Keyword::Cells)
        .filter_map(|fact| match fact.value {
            FactValue::Number(quant) => Some(quant.value),
            _ => None,
        })
        .collect();
    assert_eq!(cells, [100.0, 10.0]);
    let value = |kind, name: &str, key| {
        scope.find(kind, name).and_then(|found| found.definition.fact(key).map(|fact| fact.value.clone()))
    };
    let FactValue::Range(middle, low, high) =
        value(BlockKind::Yeast, "y", Keyword::Attenuation).expect("attenuation")
    else {
        panic!("no range")
    };
    assert!((middle.value - 0.72).abs() < 1e-12 && (middle.spread - 0.02).abs() < 1e-12);
    assert!((low - 0.70).abs() < 1e-12 && (high - 0.74).abs() < 1e-12);
    assert_eq!(value(BlockKind::Yeast, "y", Keyword::Diastatic), Some(FactValue::Words("possible".into())));
    assert!(
        matches!(value(BlockKind::Yeast, "y", Keyword::Packed), Some(FactValue::Date(date)) if date.day == 1)
    );
    // `diastatic` of a malt is its diastatic power.
    assert!(matches!(value(BlockKind::Malt, "m", Keyword::DiastaticPower), Some(FactValue::Number(_))));
    assert_eq!(
        value(BlockKind::Malt, "m", Keyword::Lot),
        Some(FactValue::Words("SM-114, east field".into()))
    );
    let hop = scope.find(BlockKind::Hop, "h").expect("h").definition;
    assert_eq!(hop.facts_of(Keyword::Stored).count(), 2);
    assert!(
        matches!(value(BlockKind::Water, "w", Keyword::Alkalinity), Some(FactValue::Number(quant)) if (quant.value - 130.0 / 50.043).abs() < 1e-6)
    );
    assert!(
        matches!(value(BlockKind::Water, "w", Keyword::Ph), Some(FactValue::Number(quant)) if quant.unit.is_none())
    );
}

#[test]
fn a_field_without_its_indent_stays_with_its_definition() {
    let scope =
        scope(&["malt m\n  extract             80 %\ncolour 5 EBC\n  moisture            4 %\nmalt n\n"]);
    let malt = scope.find(BlockKind::Malt, "m").expect("m");
    assert_eq!(number(&malt, Keyword::Colour), Some(5.0));
    assert_eq!(number(&malt, Keyword::Moisture), Some(0.04));
    let colour = malt.definition.fact(Keyword::Colour).expect("a colour");
    assert!(matches!(colour.origin, recipe::Origin::Library(place, _) if place.anchor == 1));
    assert!(scope.find(BlockKind::Malt, "n").is_some());
}
