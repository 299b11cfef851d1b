//! The order of a derivation, limits that are passed, and the parts of a split.

mod support;

use std::collections::BTreeSet;

use figures::{AlcoholModel, Calc, ColourModel, DERIVATION, FigureId, Settings};
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

/// What is written instead of what; the figure; what its note says.
type Beyond = (&'static [(&'static str, &'static str)], FigureId, &'static str);

const BEYOND: &[Beyond] = &[
    (&[("3.6 kg    maris", "9 kg      maris")], FigureId::Og, "the ASBC table ends at 1.083"),
    (
        &[("250 g     flaked barley", "3 kg      sucrose at 10 min"), ("[72 %]", "[98 %]")],
        FigureId::Fg,
        "a final gravity of 0.99",
    ),
    (&[("batch     20 L", "batch     45 L")], FigureId::Abv, "for which Balling"),
    (
        &[("boil 60 min", "boil 150 min"), ("[alpha 4.6 %] at 60 min", "[alpha 4.6 %] at 140 min")],
        FigureId::Ibu,
        "a boil of 140 min is outside 0 to 120 min",
    ),
    (&[("batch     20 L", "batch     60 L")], FigureId::Ibu, "a gravity in the boil of 1.0"),
    (
        &[("\npitch\n", "\nstand 20 min at 80 C\n  20 g      Fuggle [alpha 4.6 %]\n\npitch\n")],
        FigureId::Ibu,
        "a stand at 80 C is outside 90 to 130 C",
    ),
    (
        &[("200 g     chocolate", "1.6 kg    chocolate")],
        FigureId::Colour,
        "a colour of 62 SRM is outside 0 to 50 SRM",
    ),
    (&[("mash      13 L", "mash      8 L")], FigureId::FirstWortGravity, "a mash thickness of 1.6"),
    (&[("mash      13 L", "mash      8 L")], FigureId::StrikeTemperature, "a mash thickness of 1.6"),
    (&[("mash      13 L", "mash      8 L")], FigureId::MashPh, "a mash thickness of 1.6"),
    (&[("mash      13 L", "mash      26 L")], FigureId::MashPh, "a mash thickness of 5.4"),
    (&[("crystal malt [150 EBC]", "crystal malt [500 EBC]")], FigureId::MashPh, "a caramel malt of 500 EBC"),
    (
        &[("evaporation         3.2 L/h", "evaporation         25 %/h")],
        FigureId::PreBoilVolume,
        "evaporation",
    ),
    (
        &[("grain absorption    0.95 L/kg", "grain absorption    2.5 L/kg")],
        FigureId::TotalLiquor,
        "grain absorption 2.5 L/kg is outside 0.6 to 1.9 L/kg",
    ),
    (
        &[("2 mL lactic acid [88 %] to sparge", "20 mL lactic acid [88 %] to sparge")],
        FigureId::SpargePh,
        "is outside 4.5 to 9.5",
    ),
    (
        &[("raise     to 21 C", "raise     to 25 C")],
        FigureId::ResidualCo2,
        "beer at 25 C is outside 0 to 22 C",
    ),
    (&[("cask      1.8 vol at 12 C", "keg       2.4 vol at 30 C")], FigureId::KegPressure, "beer at 30 C"),
    (
        &[
            ("cask      1.8 vol at 12 C", "keg       2.4 vol at 4 C"),
            ("  boiling point       100 C", "  elevation           11500 m"),
        ],
        FigureId::KegPressure,
        "an elevation of 11500 m",
    ),
    (
        &[("  at        18 C\n", "  starter   0.5 L at 1.036 [still]\n  at        18 C\n")],
        FigureId::CellsPitched,
        "a still starter begun with 400 million/mL",
    ),
];

#[test]
fn a_figure_says_so_where_it_is_carried_on_beyond_what_is_known() {
    let settings = Settings::default();
    let plain = recipe(PORTER);
    for (changes, id, note) in BEYOND {
        let inside = Calc::new(&plain, &settings).explain(*id);
        let noted = inside.is_ok_and(|figure| figure.cautions.iter().any(|caution| caution.contains(note)));
        assert!(!noted, "{id:?} says {note:?} of the plain porter");
        let text = changes.iter().fold(PORTER.to_owned(), |text, (from, to)| replaced(&text, from, to));
        let beyond = recipe(&text);
        let figure = Calc::new(&beyond, &settings)
            .explain(*id)
            .unwrap_or_else(|missing| panic!("{id:?} with {changes:?}: {}", missing.reason));
        assert!(figure.value.is_finite(), "{id:?}");
        let noted = figure.cautions.iter().any(|caution| caution.contains(note));
        assert!(noted, "{id:?} does not say {note:?} but {:?}", figure.cautions);
    }
}

#[test]
fn other_models_have_limits_of_their_own() {
    let pale = ["450 g     brown", "350 g     crystal", "200 g     chocolate"]
        .into_iter()
        .fold(PORTER.to_owned(), |text, malt| replaced(&text, malt, &format!("5 g       {}", &malt[10..])));
    let small = replaced(PORTER, "batch     20 L", "batch     45 L");
    let cases = [
        (
            &pale,
            Settings { colour: ColourModel::Daniels, ..Settings::default() },
            FigureId::Colour,
            "Daniels",
        ),
        (&small, Settings { alcohol: AlcoholModel::Cutaia, ..Settings::default() }, FigureId::Abv, "Cutaia"),
    ];
    for (text, settings, id, note) in cases {
        let beyond = recipe(text);
        let figure = Calc::new(&beyond, &settings).explain(id).unwrap();
        assert!(
            figure.cautions.iter().any(|caution| caution.contains(note)),
            "{id:?} does not name {note}: {:?}",
            figure.cautions
        );
        let plain = recipe(PORTER);
        let figure = Calc::new(&plain, &settings).explain(id).unwrap();
        assert!(!figure.cautions.iter().any(|caution| caution.contains(note)), "{:?}", figure.cautions);
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
