//! The order of a derivation, and the parts of a split.

mod support;

use std::collections::BTreeSet;

use figures::{Calc, DERIVATION, FigureId, Settings};
use support::{PORTER, recipe};

fn replaced(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "no {from:?} to replace");
    text.replace(from, to)
}

#[test]
fn no_figure_is_derived_from_a_later_one() {
    let bottled = replaced(PORTER, "cask      1.8 vol at 12 C", "bottle    2.4 vol with sucrose");
    let started =
        replaced(&bottled, "  at        18 C\n", "  starter   1.5 L at 1.036 [still]\n  at        18 C\n");
    for text in [PORTER, &started] {
        let recipe = recipe(text);
        let settings = Settings::default();
        let calc = Calc::new(&recipe, &settings);
        let mut before = BTreeSet::new();
        for id in DERIVATION.iter().flat_map(|(_, ids)| *ids) {
            before.insert(*id);
            let _ = calc.value(*id);
            let early: Vec<FigureId> = calc.asked().into_iter().filter(|id| !before.contains(id)).collect();
            assert!(early.is_empty(), "{id:?} is derived from {early:?}, which come later");
        }
    }
}

const SPLIT: &str = r#"
split "plain" 12 L

pitch
  100 billion cells  english ale yeast [72 %]
  at        18 C

ferment
  hold      19 C for 7 d

package
  keg       2.4 vol at 4 C

split "sweet" 8 L

pitch
  100 billion cells  english ale yeast [72 %]
  at        18 C

ferment
  hold      19 C for 7 d
  400 g     sucrose on day 2

package
  keg       2.4 vol at 4 C
"#;

#[test]
fn what_goes_into_one_part_of_a_split_counts_for_that_part_alone() {
    let cut = PORTER.find("\npitch\n").unwrap();
    let plain_beer = recipe(PORTER);
    let split = recipe(&format!("{}{SPLIT}", &PORTER[..cut]));
    let settings = Settings::default();
    let whole = Calc::new(&plain_beer, &settings);
    let (plain, sweet) = (Calc::of_part(&split, &settings, 0), Calc::of_part(&split, &settings, 1));
    let of = |calc: &Calc<'_>, id| calc.value(id).unwrap();
    for id in [FigureId::Og, FigureId::Fg, FigureId::Abv, FigureId::Colour, FigureId::GristWeight] {
        assert!((of(&plain, id) - of(&whole, id)).abs() < 1e-9, "{id:?} of the part that gets nothing");
    }
    // 400 g of sugar in 8 L is 50 g/L, by points about 50 × 0.384 = 19.
    let points = (of(&sweet, FigureId::Og) - of(&plain, FigureId::Og)) * 1000.0;
    assert!((18.0..20.0).contains(&points), "{points}");
    // The same as a kilogram in all 20 L.
    let text = replaced(PORTER, "  until     1.014\n", "  until     1.014\n  1 kg      sucrose on day 2\n");
    let as_one = recipe(&text);
    let as_one = Calc::new(&as_one, &settings);
    for id in [FigureId::Og, FigureId::Fg, FigureId::Abv, FigureId::ApparentAttenuation] {
        let off = (of(&sweet, id) - of(&as_one, id)).abs();
        assert!(off < 1e-9, "{id:?} is off by {off}");
    }
    assert!((of(&sweet, FigureId::GristWeight) - of(&plain, FigureId::GristWeight) - 0.4).abs() < 1e-9);
    assert!(of(&sweet, FigureId::PitchingGravity) < of(&sweet, FigureId::Og));
    let sugar =
        |calc: &Calc<'_>| calc.ingredients().iter().filter(|(_, thing, _)| &*thing.name == "sucrose").count();
    assert_eq!((sugar(&plain), sugar(&sweet)), (0, 1));
}
