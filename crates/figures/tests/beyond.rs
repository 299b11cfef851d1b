//! Beyond the range that a formula is known for, the figure says so: one case a range, and no range without one.

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use figures::{
    Actual, AlcoholModel, BitternessModel, Calc, ColourModel, Figure, FigureId, Missing, Settings,
};
use support::{PORTER, log, recipe};

/// What a figure does beyond a range.
enum Says {
    /// It is carried on, with a note that has these words in it.
    Note(&'static str),
    /// It has no value, for a reason that has these words in it.
    Nothing(&'static str),
}

use Says::{Note, Nothing};

/// A range passed: its name, what is written instead of what in the porter, the house's settings, the figure.
struct Case {
    range: &'static str,
    changes: &'static [(&'static str, &'static str)],
    settings: fn(&mut Settings),
    figure: FigureId,
    says: Says,
}

const fn case(
    range: &'static str,
    changes: &'static [(&'static str, &'static str)],
    figure: FigureId,
    says: Says,
) -> Case {
    Case { range, changes, settings: |_| (), figure, says }
}

const PALE: &[(&str, &str)] = &[
    ("450 g     brown malt", "5 g       brown malt"),
    ("350 g     crystal malt", "5 g       crystal malt"),
    ("200 g     chocolate malt", "5 g       chocolate malt"),
];
const THICK: &[(&str, &str)] = &[("mash      13 L", "mash      8 L")];

const CASES: &[Case] = {
    use FigureId as F;
    &[
        case(
            "ASBC_RANGE",
            &[("3.6 kg    maris", "9 kg      maris")],
            F::Og,
            Note("the ASBC table ends at 1.083"),
        ),
        case(
            "ASBC_RANGE",
            &[("250 g     flaked barley", "3 kg      sucrose at 10 min"), ("[72 %]", "[98 %]")],
            F::Fg,
            Note("a final gravity of 0.99"),
        ),
        case("BALLING_RANGE", &[("batch     20 L", "batch     45 L")], F::Abv, Note("for which Balling")),
        Case {
            settings: |it| it.alcohol = AlcoholModel::Cutaia,
            ..case("CUTAIA_RANGE", &[("batch     20 L", "batch     45 L")], F::Abv, Note("for which Cutaia"))
        },
        Case {
            settings: |it| it.alcohol = AlcoholModel::UkExcise,
            ..case(
                "UK_EXCISE_RANGE",
                &[("3.6 kg    maris", "14 kg     maris"), ("[72 %]", "[90 %]")],
                F::Abv,
                Nothing("outside what the alcohol model covers"),
            )
        },
        case(
            "TINSETH_MINUTES_RANGE",
            &[("boil 60 min", "boil 150 min"), ("[alpha 4.6 %] at 60 min", "[alpha 4.6 %] at 140 min")],
            F::Ibu,
            Note("a boil of 140 min is outside 0 to 120 min"),
        ),
        case(
            "TINSETH_GRAVITY_RANGE",
            &[("batch     20 L", "batch     60 L")],
            F::Ibu,
            Note("a gravity in the boil of 1.0"),
        ),
        Case {
            settings: |it| it.bitterness = BitternessModel::Rager,
            ..case(
                "RAGER_MINUTES_RANGE",
                &[("boil 60 min", "boil 90 min"), ("[alpha 4.6 %] at 60 min", "[alpha 4.6 %] at 80 min")],
                F::Ibu,
                Note("a boil of 80 min is outside 0 to 60 min"),
            )
        },
        Case {
            settings: |it| it.bitterness = BitternessModel::Garetz,
            ..case(
                "GARETZ_MINUTES_RANGE",
                &[("boil 60 min", "boil 120 min"), ("[alpha 4.6 %] at 60 min", "[alpha 4.6 %] at 110 min")],
                F::Ibu,
                Note("a boil of 110 min is outside 0 to 90 min"),
            )
        },
        case(
            "MALOWICKI_RANGE",
            &[("\npitch\n", "\nstand 20 min at 80 C\n  20 g      Fuggle [alpha 4.6 %]\n\npitch\n")],
            F::Ibu,
            Note("a stand at 80 C is outside 90 to 130 C"),
        ),
        case(
            "MOREY_RANGE",
            &[("200 g     chocolate", "1.6 kg    chocolate")],
            F::Colour,
            Note("a colour of 62 SRM is outside 0 to 50 SRM"),
        ),
        Case {
            settings: |it| it.colour = ColourModel::Daniels,
            ..case("DANIELS_RANGE", PALE, F::Colour, Note("for which Daniels"))
        },
        Case {
            settings: |it| it.colour = ColourModel::Mosher,
            ..case("MOSHER_RANGE", PALE, F::Colour, Note("for which Mosher"))
        },
        case("THICKNESS_RANGE", THICK, F::FirstWortGravity, Note("a mash thickness of 1.6")),
        case("THICKNESS_RANGE", THICK, F::StrikeTemperature, Note("a mash thickness of 1.6")),
        case("RATIO_RANGE", THICK, F::MashPh, Note("a mash thickness of 1.6")),
        case(
            "RATIO_RANGE",
            &[("mash      13 L", "mash      26 L")],
            F::MashPh,
            Note("a mash thickness of 5.4"),
        ),
        case(
            "MASH_RANGE",
            &[("2 mL lactic acid [88 %] to mash", "900 mL lactic acid [88 %] to mash")],
            F::MashPh,
            Nothing("no pH fits this mash"),
        ),
        case(
            "CARAMEL_RANGE",
            &[("crystal malt [150 EBC]", "crystal malt [500 EBC]")],
            F::MashPh,
            Note("a caramel malt of 500 EBC"),
        ),
        case(
            "BUFFERING_RANGE",
            &[("crystal malt [150 EBC]", "crystal malt [150 EBC, buffer 90 mEq/kg]")],
            F::MashPh,
            Note("a buffering of 90 mEq/kg is outside 20 to 70 mEq/kg"),
        ),
        Case {
            settings: |it| it.slaking_heat = true,
            ..case(
                "MOISTURE_RANGE",
                &[("3.6 kg    maris otter malt", "3.6 kg    maris otter malt [moisture 12 %]")],
                F::StrikeTemperature,
                Note("a moisture of the grist of 0.1"),
            )
        },
        Case {
            settings: |it| it.mash_effect = true,
            ..case(
                "MASH_EFFECT_RANGE",
                &[("rest      67 C", "rest      62 C")],
                F::Fg,
                Note("a rest at 62.0 C"),
            )
        },
        case(
            "EVAPORATION_RANGE",
            &[("evaporation         3.2 L/h", "evaporation         25 %/h")],
            F::PreBoilVolume,
            Note("evaporation"),
        ),
        case(
            "GRAIN_ABSORPTION_RANGE",
            &[("grain absorption    0.95 L/kg", "grain absorption    2.5 L/kg")],
            F::TotalLiquor,
            Note("grain absorption 2.5 L/kg is outside 0.6 to 1.9 L/kg"),
        ),
        case(
            "CARBONATE_RANGE",
            &[("2 mL lactic acid [88 %] to sparge", "20 mL lactic acid [88 %] to sparge")],
            F::SpargePh,
            Note("is outside 4.5 to 9.5"),
        ),
        case(
            "RESIDUAL_RANGE",
            &[("raise     to 21 C", "raise     to 25 C")],
            F::ResidualCo2,
            Note("beer at 25 C is outside 0 to 22 C"),
        ),
        case(
            "EQUILIBRIUM_RANGE",
            &[("cask      1.8 vol at 12 C", "keg       2.4 vol at 30 C")],
            F::KegPressure,
            Note("beer at 30 C"),
        ),
        case(
            "ELEVATION_RANGE",
            &[
                ("cask      1.8 vol at 12 C", "keg       2.4 vol at 4 C"),
                ("  boiling point       100 C", "  elevation           11500 m"),
            ],
            F::KegPressure,
            Note("an elevation of 11500 m"),
        ),
        case(
            "STILL_RANGE",
            &[("  at        18 C\n", "  starter   0.5 L at 1.036 [still]\n  at        18 C\n")],
            F::CellsPitched,
            Note("a still starter begun with 400 million/mL"),
        ),
        case(
            "DRY_YEAST_RANGE",
            &[(
                "200 billion cells  english ale yeast [72 %]",
                "11 g      english ale yeast [72 %, 30 billion cells/g]",
            )],
            F::CellsPitched,
            Note("a count of 30.0 billion/g"),
        ),
        case(
            "LIQUID_AGE_RANGE",
            &[
                ("batch     20 L", "batch     20 L\n  date      2026-03-14"),
                (
                    "200 billion cells  english ale yeast [72 %]",
                    "2 pack    english ale yeast [72 %, packed 2025-08-01]",
                ),
            ],
            F::CellsPitched,
            Note("yeast at an age of 225 days is outside 0 to 120 days"),
        ),
        case(
            "SLURRY_AGE_RANGE",
            &[
                ("batch     20 L", "batch     20 L\n  date      2026-03-14"),
                (
                    "200 billion cells  english ale yeast [72 %]",
                    "150 mL    english ale yeast [72 %, 1.2 billion cells/mL, harvested 2025-12-01]",
                ),
            ],
            F::CellsPitched,
            Note("yeast at an age of 103 days is outside 0 to 60 days"),
        ),
        case(
            "DRY_AGE_RANGE",
            &[
                ("batch     20 L", "batch     20 L\n  date      2026-03-14"),
                (
                    "200 billion cells  english ale yeast [72 %]",
                    "11 g      english ale yeast [72 %, packed 2020-03-14]",
                ),
            ],
            F::CellsPitched,
            Note("yeast at an age of 2191 days"),
        ),
    ]
};

/// A range passed in a log of the porter: its name, what is written of the brewhouse, the entries, the figure and
/// what its note says.
const LOGGED: &[(&str, &str, &str, FigureId, &str)] = &[
    (
        "HYDROMETER_STEP_RANGE",
        "",
        "  13:20   og        1.042 [60 C]\n",
        FigureId::ActualOg,
        "a sample that differs from the calibration by 40 C",
    ),
    (
        "WORT_CORRECTION_RANGE",
        "  refractometer factor 1.10\n",
        "  13:20   og        13 Bx [refractometer]\n",
        FigureId::ActualOg,
        "a refractometer factor of 1.100",
    ),
    (
        "TERRILL_ATTENUATION_RANGE",
        "",
        "  13:20   og        1.051\n  14:00   pitch     200 billion cells at 18 C\n  day 1   gravity   11 Bx [refractometer]\n",
        FigureId::ActualFg,
        "the formula for finished beer does not hold yet",
    ),
    (
        "BUFFERING_RANGE",
        "",
        "  10:05   mash in   66.8 C\n  10:17   ph        5.61 at 20 C\n  10:21   add       12 mL lactic acid [88 %] to mash\n  10:36   ph        5.45 at 20 C\n",
        FigureId::ActualMashBuffering,
        "is outside 20 to 70 mEq/kg",
    ),
];

/// Ranges that no figure passes, each with the reason.
const NOT_PASSED: &[(&str, &str)] = &[
    ("DISSOCIATION_RANGE", "acids are counted at pH 5.4 or at a mash pH, which has a range of its own"),
    ("NBS_RANGE", "another scale, which no figure uses"),
    ("LINCOLN_PLATO_RANGE", "another scale, which no figure uses"),
    ("REFRACTIVE_INDEX_RANGE", "readings are written in Brix; the function gives nothing outside its table"),
    ("ETHANOL_DENSITY_RANGE", "the whole of 0 to 1"),
    ("TDS_RATIO_RANGE", "a plausibility of reports"),
    ("GYPSUM_RANGE", "the function gives nothing outside its table"),
    ("CALCIUM_CHLORIDE_RANGE", "the function gives nothing outside its table"),
    ("HOT_WORT_RANGE", "for display in a finding, which says `about`"),
    ("WATER_HEAT_RANGE", "water below the boil; what is written beyond it is an error of its own"),
    ("WATER_DENSITY_RANGE", "water below the boil; what is written beyond it is an error of its own"),
    ("SATURATION_RANGE", "the air of any elevation on earth"),
    ("SCREEN_RANGE", "the colour on a screen says so itself where it was cut"),
    ("HSI_RANGE", "hops state what they lose, not an index"),
    ("HALF_LIFE_RANGE", "a rule looks at stands inside it alone"),
    ("CEILING_RANGE", "a check on the tests"),
    ("SUCROSE_YIELD_RANGE", "a conversion between two ways to write one potential"),
];

/// The porter with something else written in the place of something.
fn changed(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(PORTER.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "no {from:?} to replace");
        text.replace(from, to)
    })
}

fn explained(text: &str, settings: &Settings, id: FigureId) -> Result<Figure, Missing> {
    Calc::new(&recipe(text), settings).explain(id)
}

fn notes(figure: &Result<Figure, Missing>, words: &str) -> bool {
    figure.as_ref().is_ok_and(|figure| figure.cautions.iter().any(|caution| caution.contains(words)))
}

#[test]
fn a_figure_says_so_where_it_is_carried_on_beyond_what_is_known() {
    for Case { range, changes, settings: change, figure: id, says } in CASES {
        let mut settings = Settings::default();
        change(&mut settings);
        let (inside, beyond) =
            (explained(PORTER, &settings, *id), explained(&changed(changes), &settings, *id));
        match says {
            Note(words) => {
                assert!(!notes(&inside, words), "{range}: {id:?} says {words:?} of the plain porter");
                assert!(beyond.as_ref().is_ok_and(|figure| figure.value.is_finite()), "{range}: {beyond:?}");
                assert!(notes(&beyond, words), "{range}: {id:?} does not say {words:?} but {beyond:?}");
            }
            Nothing(words) => {
                assert!(inside.is_ok(), "{range}: {inside:?}");
                let reason = beyond.map(|figure| figure.value).unwrap_err().reason;
                assert!(reason.contains(words), "{range}: {reason}");
            }
        }
    }
}

#[test]
fn a_reading_says_so_where_its_correction_is_carried_on() {
    let settings = Settings::default();
    for (range, house, entries, id, words) in LOGGED {
        let plan =
            changed(&[("  boiling point       100 C\n", &format!("  boiling point       100 C\n{house}"))]);
        let log = log(&format!("{plan}\ngyle 27 \"Estuary Porter\" on 2026-03-14\n{entries}"));
        let plan = log.recipe.as_ref().map(|recipe| Calc::new(recipe, &settings));
        let figure = Actual::new(&log, plan.as_ref(), &settings).explain(*id);
        assert!(notes(&figure, words), "{range}: {id:?} does not say {words:?} but {figure:?}");
    }
}

/// Every range of the science crate has a case here, or a reason why no figure can pass it.
#[test]
fn no_range_is_without_a_case() {
    let mut stated: BTreeMap<String, String> = BTreeMap::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("../brewing/src")];
    while let Some(folder) = folders.pop() {
        for path in fs::read_dir(folder).unwrap().flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = fs::read_to_string(&path).unwrap();
            for line in text.lines() {
                if let Some((name, _)) =
                    line.strip_prefix("pub const ").and_then(|rest| rest.split_once(": Range ="))
                {
                    stated.insert(name.to_owned(), path.display().to_string());
                }
            }
        }
    }
    assert!(stated.len() > 40, "{}", stated.len());
    let shown: BTreeSet<&str> =
        CASES.iter().map(|case| case.range).chain(LOGGED.iter().map(|(range, ..)| *range)).collect();
    let left_out: BTreeMap<&str, &str> = NOT_PASSED.iter().copied().collect();
    for (range, file) in &stated {
        let (shown, left_out) = (shown.contains(&**range), left_out.contains_key(&**range));
        assert!(
            shown != left_out,
            "{range} of {file}: {}",
            if shown { "shown and left out" } else { "no case" }
        );
    }
    for range in shown.iter().chain(left_out.keys()) {
        assert!(stated.contains_key(*range), "{range} is no range any more");
    }
    assert!(left_out.values().all(|reason| !reason.is_empty()));
}
