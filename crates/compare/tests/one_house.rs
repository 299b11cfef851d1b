//! Two recipes on one brewhouse, for a litre of beer; and changes that came through the cellar.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

mod support;

use std::sync::Arc;

use compare::why::{Moved, through_cellar};
use compare::{Change, Comparison, Side, compare_on};
use figures::{FigureId, Settings};
use recipe::{Definition, Scope};
use support::recipe;

const RECIPE: &str = "recipe \"Whin Bank\"
  batch     20 L
  brewhouse shed

grist
  3.6 kg    floor malt
  300 g     crystal malt [150 EBC]

liquor
  source    soft
  mash      11 L
  add       6 g gypsum to all

mash
  rest      66 C for 60 min

boil 60 min
  26 g      Challenger [7.4 %] at 60 min
";

/// Losses that grow with the batch alone, so that a litre is a litre.
const HOUSE: &str = "
brewhouse shed
  mash efficiency     78 %
  evaporation         10 %/h
  trub loss           0 L
  mash dead space     0 L
  fermenter loss      0 L
  grain absorption    0.95 L/kg
  hop absorption      5 L/kg

brewhouse barn
  mash efficiency     70 %
  evaporation         4 L/h

malt floor malt
  kind                base
  extract             81.5 %
  moisture            3.6 %
  colour              5.2 EBC

water soft
  calcium             10 ppm
  chloride            10 ppm
  sulfate             10 ppm
  alkalinity          10 ppm as CaCO3
";

fn house(scope: &Scope, name: &str) -> Arc<Definition> {
    scope.find(syntax::vocabulary::BlockKind::BrewhouseBlock, name).unwrap().definition
}

fn on(name: &str, before: &str, after: &str) -> Comparison {
    let (old, scope) = recipe(&format!("{before}{HOUSE}"));
    let (new, _) = recipe(&format!("{after}{HOUSE}"));
    let settings = Settings::default();
    let side = |recipe| Side { recipe, settings: &settings };
    compare_on(&house(&scope, name), side(&old), side(&new))
}

/// The same beer in a kettle twice as large, and on another brewhouse by its own line.
fn doubled() -> String {
    let mut text = RECIPE.replace("brewhouse shed", "brewhouse barn");
    for (one, two) in [
        ("20 L", "40 L"),
        ("3.6 kg", "7200 g"),
        ("300 g", "0.6 kg"),
        ("11 L", "22 L"),
        ("6 g", "12 g"),
        ("26 g", "52 g"),
    ] {
        assert!(text.contains(one));
        text = text.replacen(one, two, 1);
    }
    text
}

#[test]
fn twice_as_much_of_a_beer_is_the_same_beer() {
    let found = on("shed", RECIPE, &doubled());
    assert_eq!(found.sections, []);
    assert_eq!(found.figures, []);
    // On its own brewhouse each is another beer.
    let settings = Settings::default();
    let (old, new) = (recipe(&format!("{RECIPE}{HOUSE}")).0, recipe(&format!("{}{HOUSE}", doubled())).0);
    let side = |recipe| Side { recipe, settings: &settings };
    let apart = compare::compare(side(&old), side(&new));
    let og = apart.figures[0].figures.iter().find(|one| one.id == FigureId::Og);
    assert!(og.is_some_and(|og| og.from > og.to), "{og:?}");
    assert!(apart.sections.len() > 3);
}

#[test]
fn amounts_are_those_for_a_litre() {
    let other = doubled().replace("52 g ", "60 g ").replace("  0.6 kg     crystal malt [150 EBC]\n", "");
    let found = on("shed", RECIPE, &other);
    let mut said: Vec<String> = Vec::new();
    for line in found.sections.iter().flat_map(|section| &section.lines) {
        said.push(match &line.change {
            Change::Changed(turns) => format!("{:?} > {:?}", turns[0].from, turns[0].to),
            Change::Removed(text) => text.clone(),
            other => unreachable!("{other:?}"),
        });
    }
    assert_eq!(said, ["15 g/L crystal malt [150 EBC]", "Some(\"1.3 g/L\") > Some(\"1.5 g/L\")"]);
    let grist = found.figures[0].figures.iter().find(|one| one.id == FigureId::GristWeight).unwrap();
    assert!(grist.per_litre);
    assert!((grist.from.unwrap() - 195.0).abs() < 1e-9 && (grist.to.unwrap() - 180.0).abs() < 1e-9);
    // What does not grow with the batch stays what it is.
    assert!(found.figures[0].figures.iter().any(|one| one.id == FigureId::Ibu && !one.per_litre));
}

#[test]
fn what_the_cellar_moves_is_told_apart() {
    let text = format!("{RECIPE}{HOUSE}");
    let hop = text.replace("26 g ", "30 g ");
    let both = hop.replace("81.5 %", "79 %").replace("calcium             10", "calcium             40");
    let settings = Settings::default();
    let moved = |text: &str, other: &str| -> Vec<Moved> {
        let (old, new) = (recipe(text).0, recipe(other).0);
        let side = |recipe| Side { recipe, settings: &settings };
        through_cellar(side(&old), side(&new))
    };
    assert_eq!(moved(&text, &hop), []);
    let found = moved(&text, &both);
    let by = |id: FigureId| -> Vec<&str> {
        found.iter().filter(|one| one.id == id).map(|one| &*one.name).collect()
    };
    assert_eq!(by(FigureId::Og), ["floor malt"]);
    assert_eq!(by(FigureId::Calcium), ["soft"]);
    // The malt moves the bitterness a little; the hop, a line of the recipe, is no definition.
    assert_eq!(by(FigureId::Ibu), ["floor malt"]);
    assert_eq!(by(FigureId::GristWeight), Vec::<&str>::new());
}
