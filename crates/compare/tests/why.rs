//! Differences shared out: they add up, turn their signs with the sides, and one change has all of it.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

mod support;

use compare::Turn;
use compare::why::{Brewed, CauseGroup, Side, What, Why, why};
use figures::{AlcoholModel, BitternessModel, Calc, FigureId, Settings};
use proptest::prelude::*;
use recipe::Recipe;

const BASE: &str = "recipe \"Whin Bank\"
  batch     20 L
  brewhouse shed-30

grist
  3.6 kg    floor malt
  260 g     crystal malt [150 EBC]
  30 g      chocolate malt

liquor
  source    spring-head
  mash      11.5 L
  add       6 g gypsum to all
  add       1 mL lactic acid [88 %] to mash

mash by infusion
  rest      66 C for 60 min
  rest      76 C for 10 min by direct heat

boil 60 min
  26 g      Challenger [7.4 %] at 60 min
  30 g      Golding [5.2 %] at 15 min

stand 20 min at 80 C
  20 g      Fuggle

pitch
  2 pack    house yeast
  at        18 C

package
  bottle    2.3 vol at 20 C with table sugar

brewhouse shed-30
  mash efficiency     78 %
  evaporation         3.2 L/h
  trub loss           1.5 L
  grain absorption    0.95 L/kg
  hop absorption      5 L/kg

malt floor malt
  kind                base
  extract             81.5 %
  moisture            3.6 %
  colour              5.2 EBC
  price               1.90 EUR/kg

hop Fuggle
  alpha               4.6 %

water spring-head
  calcium             62 ppm
  magnesium           5 ppm
  sodium              14 ppm
  chloride            26 ppm
  sulfate             38 ppm
  alkalinity          130 ppm as CaCO3
  ph                  7.6

yeast house yeast
  kind                ale
  attenuation         75 %
  cells               200 billion
";

/// Changes a brewer might make, and where each belongs.
const CHANGES: &[(CauseGroup, &str, &str)] = &[
    (CauseGroup::Recipe, "  batch     20 L", "  batch     23 L"),
    (CauseGroup::Recipe, "3.6 kg    floor malt", "4.1 kg    floor malt"),
    (CauseGroup::Recipe, "  260 g     crystal malt [150 EBC]\n", ""),
    (CauseGroup::Recipe, "chocolate malt\n", "chocolate malt\n  200 g     table sugar at 10 min\n"),
    (CauseGroup::Recipe, "  mash      11.5 L", "  mash      13 L"),
    (CauseGroup::Recipe, "6 g gypsum to all", "4 g gypsum to mash"),
    (CauseGroup::Recipe, "  add       1 mL lactic acid [88 %] to mash\n", ""),
    (CauseGroup::Recipe, "rest      66 C for 60 min", "rest      68 C for 45 min"),
    (CauseGroup::Recipe, "mash by infusion\n", "mash by infusion\n  rest      52 C for 10 min\n"),
    (CauseGroup::Recipe, "boil 60 min", "boil 75 min"),
    (CauseGroup::Recipe, "26 g      Challenger", "32 g      Challenger"),
    (CauseGroup::Recipe, "[5.2 %] at 15 min", "[5.2 %] at 5 min"),
    (CauseGroup::Recipe, "stand 20 min at 80 C\n  20 g      Fuggle\n", ""),
    (CauseGroup::Recipe, "2 pack ", "3 pack "),
    (CauseGroup::Recipe, "2.3 vol at 20 C", "2.6 vol at 22 C"),
    (CauseGroup::Cellar, "extract             81.5 %", "extract             79 %"),
    (CauseGroup::Cellar, "colour              5.2 EBC", "colour              7 EBC"),
    (CauseGroup::Cellar, "alpha               4.6 %", "alpha               3.8 %"),
    (CauseGroup::Cellar, "calcium             62 ppm", "calcium             80 ppm"),
    (CauseGroup::Cellar, "attenuation         75 %", "attenuation         72 %"),
    (CauseGroup::Brewhouse, "mash efficiency     78 %", "mash efficiency     74 %"),
    (CauseGroup::Brewhouse, "evaporation         3.2 L/h", "evaporation         2.6 L/h"),
    (CauseGroup::Brewhouse, "trub loss           1.5 L", "trub loss           2 L"),
];

fn changed(which: impl Fn(usize) -> bool) -> String {
    let mut text = BASE.to_owned();
    for (at, (_, from, to)) in CHANGES.iter().enumerate().filter(|(at, _)| which(*at)) {
        assert!(text.contains(from), "change {at}");
        text = text.replacen(from, to, 1);
    }
    text
}

fn recipe(text: &str) -> Recipe {
    support::recipe(text).0
}

fn of(text: &str, other: &str) -> Why {
    let (before, after, settings) = (recipe(text), recipe(other), Settings::default());
    let side = |recipe| Side { recipe, settings: &settings, brewed: None };
    why(side(&before), side(&after), &[])
}

fn size(from: f64, to: f64) -> f64 {
    from.abs().max(to.abs()).max(1.0)
}

/// The parts add up, and nothing is left unexplained.
fn adds_up(found: &Why) {
    for part in &found.parts {
        assert_eq!(part.whole, [], "every figure of this recipe can be computed in between");
        for figure in &part.figures {
            let sum: f64 = figure.parts.iter().map(|(_, part)| part).sum();
            let off = (sum - (figure.to - figure.from)).abs();
            assert!(off < 1e-9 * size(figure.from, figure.to), "{:?} is off by {off}", figure.id);
            for (cause, part) in &figure.parts {
                assert_ne!(found.causes[*cause].what, What::Unexplained, "{:?}: {part}", figure.id);
            }
        }
    }
}

#[test]
fn one_change_has_all_of_it() {
    for (at, (group, ..)) in CHANGES.iter().enumerate() {
        let found = of(BASE, &changed(|one| one == at));
        adds_up(&found);
        assert!(!found.parts.is_empty(), "change {at} changes no figure");
        for figure in &found.parts[0].figures {
            assert_eq!(figure.parts.len(), 1, "change {at}, {:?}", figure.id);
            let (cause, part) = figure.parts[0];
            assert_eq!(found.causes[cause].group, *group, "change {at}");
            assert!((part - (figure.to - figure.from)).abs() < 1e-9, "change {at}, {:?}", figure.id);
        }
    }
}

/// Among many changes, one that alone touches a figure has all of it.
#[test]
fn a_planted_change_is_found_among_others() {
    // The boil and the hops of the kettle stay: what is left to the bitterness of the beer is one hop.
    let hop = 10;
    let others = [5, 6, 13, 14, 16, 18, 19];
    let found = of(BASE, &changed(|at| at == hop || others.contains(&at)));
    adds_up(&found);
    let ibu = found.parts[0].figures.iter().find(|figure| figure.id == FigureId::Ibu).unwrap();
    assert_eq!(ibu.parts.len(), 1, "{ibu:?}");
    let What::Lines(lines) = &found.causes[ibu.parts[0].0].what else { unreachable!("a line of the recipe") };
    assert_eq!(lines[0].1.subject, "Challenger");
    assert!(found.parts[0].figures.len() > 10, "the others changed figures too");
}

#[test]
fn models_are_causes() {
    let (one, settings) = (recipe(BASE), Settings::default());
    let other = Settings {
        bitterness: BitternessModel::Rager,
        alcohol: AlcoholModel::UkExcise,
        ..Settings::default()
    };
    let side = |settings| Side { recipe: &one, settings, brewed: None };
    let found = why(side(&settings), side(&other), &[]);
    adds_up(&found);
    for (id, key) in [(FigureId::Ibu, "bitterness"), (FigureId::Abv, "alcohol")] {
        let figure = found.parts[0].figures.iter().find(|figure| figure.id == id).unwrap();
        assert_eq!(figure.parts.len(), 1);
        assert_eq!(found.causes[figure.parts[0].0].what, What::Setting(key));
    }
}

/// What was measured takes the place of what was planned; what it does not explain stands apart.
#[test]
fn readings_are_causes() {
    let (plan, settings) = (recipe(BASE), Settings::default());
    let calc = Calc::new(&plan, &settings);
    let brewed = Brewed {
        mash_efficiency: Some(0.74),
        volume: Some(19.0),
        measured: vec![(FigureId::PitchingGravity, 1.0435), (FigureId::MashPh, 5.4)],
        ..Brewed::default()
    };
    let (planned, done) = (
        Side { recipe: &plan, settings: &settings, brewed: None },
        Side { recipe: &plan, settings: &settings, brewed: Some(&brewed) },
    );
    let found = why(planned, done, &[]);
    let back = why(done, planned, &[]);
    let measured =
        |what: &str, to: &str| What::Reading(Turn { what: what.into(), from: None, to: Some(to.into()) });
    let by = |found: &Why, id: FigureId, what: &What| -> f64 {
        let figure = found.parts[0].figures.iter().find(|figure| figure.id == id).unwrap();
        figure
            .parts
            .iter()
            .find(|(cause, _)| found.causes[*cause].what == *what)
            .map_or(0.0, |(_, part)| *part)
    };
    let gravity = FigureId::PitchingGravity;
    let efficiency = by(&found, gravity, &measured("mash efficiency", "74.0 %"));
    let volume = by(&found, gravity, &measured("volume in the fermenter", "19.0 L"));
    let rest = by(&found, gravity, &What::Unexplained);
    assert!(efficiency < -0.001 && volume > 0.001, "{efficiency} {volume}");
    let difference = 1.0435 - calc.value(gravity).unwrap();
    assert!((efficiency + volume + rest - difference).abs() < 1e-12);
    let planned_again =
        What::Reading(Turn { what: "mash efficiency".into(), from: Some("74.0 %".into()), to: None });
    for (what, back_what) in
        [(measured("mash efficiency", "74.0 %"), planned_again), (What::Unexplained, What::Unexplained)]
    {
        assert!((by(&found, gravity, &what) + by(&back, gravity, &back_what)).abs() < 1e-12);
    }
    // Nothing measured says why the pH is another.
    let ph = 5.4 - calc.value(FigureId::MashPh).unwrap();
    assert!((by(&found, FigureId::MashPh, &What::Unexplained) - ph).abs() < 1e-12);
    // Only what was measured is compared.
    assert_eq!(found.parts[0].figures.len(), 2);
}

#[test]
fn nothing_differs_from_itself() {
    let found = of(BASE, BASE);
    assert_eq!(found.parts, []);
    // Layout, comments and notes are no change.
    let spaced = BASE
        .replace("  30 g      Golding", "    0.030 kg Golding")
        .replace("boil 60 min", "boil 60 min  # rolling");
    assert_eq!(of(BASE, &spaced).parts, []);
}

#[test]
fn parts_of_a_split_are_told_apart() {
    let pitch = "pitch\n  2 pack    house yeast\n  at        18 C\n\n";
    let package = "package\n  bottle    2.3 vol at 20 C with table sugar\n\n";
    let each = |label: &str, own: &str| {
        format!("split \"{label}\" 10 L\n\npitch\n  1 pack    house yeast{own}\n  at        18 C\n\n")
    };
    let parts = format!("{package}{}{}", each("one", ""), each("two", " [80 %]"));
    let split = BASE.replace(package, "").replace(pitch, &parts);
    let other = split.replace("[80 %]", "[84 %]");
    let found = of(&split, &other);
    adds_up(&found);
    let labels: Vec<_> = found.parts.iter().map(|part| part.label.as_deref()).collect();
    assert_eq!(labels, [Some("two")]);
    // A recipe that is split anew goes as one, and what the cellar changed beside it is told apart.
    let found = of(BASE, &split.replace("81.5 %", "79 %"));
    adds_up(&found);
    let gravity = found.parts[0].figures.iter().find(|figure| figure.id == FigureId::Og).unwrap();
    assert_eq!(gravity.parts.len(), 1);
    assert_eq!(found.causes[gravity.parts[0].0].group, CauseGroup::Cellar);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn parts_add_up_and_turn_their_signs(first: u32, second: u32, few in 0u32..3) {
        // Mostly some changes, sometimes nearly all.
        let thin = |mask: u32| if few == 0 { mask } else { mask & mask.rotate_left(7) & mask.rotate_left(13) };
        let text = |mask: u32| changed(|at| thin(mask) >> at & 1 == 1);
        let (one, other) = (text(first), text(second));
        let (there, back) = (of(&one, &other), of(&other, &one));
        adds_up(&there);
        adds_up(&back);
        prop_assert_eq!(there.parts.len(), back.parts.len());
        for (there, back) in there.parts.iter().zip(&back.parts) {
            prop_assert_eq!(there.figures.len(), back.figures.len());
            for (one, other) in there.figures.iter().zip(&back.figures) {
                prop_assert_eq!(one.id, other.id);
                let size = size(one.from, one.to);
                let sorted = |parts: &[(usize, f64)], sign: f64| {
                    let mut all: Vec<f64> = parts.iter().map(|(_, part)| part * sign).filter(|part| part.abs() > 1e-8 * size).collect();
                    all.sort_by(f64::total_cmp);
                    all
                };
                let (one, other) = (sorted(&one.parts, 1.0), sorted(&other.parts, -1.0));
                prop_assert_eq!(one.len(), other.len());
                for (one, other) in one.iter().zip(&other) {
                    prop_assert!((one - other).abs() < 1e-8 * size, "{} {}", one, other);
                }
            }
        }
    }
}
