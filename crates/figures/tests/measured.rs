//! What a log says of the mash and of the yeast.

mod support;

use figures::{Actual, Calc, FigureId, MashCorrection, Missing, Remedy, Settings};
use support::{PORTER, log};

/// A log of the porter, its mash aimed at pH 5.40.
fn brewed(entries: &str) -> recipe::Log {
    let aimed = PORTER.replace("mash by infusion\n", "mash by infusion\n  ph        5.40\n");
    assert_ne!(aimed, PORTER);
    log(&format!("{aimed}\ngyle 27 \"Estuary Porter\" on 2026-03-14\n{entries}"))
}

fn value(log: &recipe::Log, id: FigureId) -> Result<f64, Missing> {
    let settings = Settings::default();
    let plan = log.recipe.as_ref().map(|recipe| Calc::new(recipe, &settings));
    Actual::new(log, plan.as_ref(), &settings).value(id)
}

fn correction(log: &recipe::Log) -> Option<MashCorrection> {
    let settings = Settings::default();
    let plan = log.recipe.as_ref().map(|recipe| Calc::new(recipe, &settings));
    let actual = Actual::new(log, plan.as_ref(), &settings);
    actual.mash_correction(actual.last_mash_reading()?).ok()
}

const FIRST: &str = "  10:05   mash in   66.8 C\n  10:17   ph        5.61 at 20 C\n";
const DOSED: &str = "  10:05   mash in   66.8 C\n  10:17   ph        5.61 at 20 C\n  10:21   add       3 mL lactic acid [88 %] to mash\n  10:36   ph        5.45 at 20 C\n";

#[test]
fn a_reading_above_the_aim_is_brought_down_by_so_much_acid() {
    // Malts: 3.6 × 36 + 0.45 × 32.6 + 0.35 × 48 + 0.2 × 42 + 0.25 × 10 = 172.0 mEq a unit of pH, × 0.21 = 36.1.
    // The water holds 2.6 mEq/L, of which 0.170 - 0.112 of a charge more is taken up between 5.61 and 5.40: 2.0.
    // 38.1 mEq over 0.972 charges are 39.2 mmol; 88 % lactic acid is 11.78 mol/L: 3.33 mL.
    let log = brewed(FIRST);
    let millilitres = value(&log, FigureId::MashAcidCorrection).unwrap();
    assert!((millilitres - 3.33).abs() < 0.05, "{millilitres}");
    let found = correction(&log).unwrap();
    assert_eq!((found.read, found.aim), (5.61, 5.40));
    assert!(matches!(found.remedy, Remedy::Acid { ref name, .. } if &**name == "lactic acid"), "{found:?}");
}

#[test]
fn what_a_dose_did_tells_the_buffering_and_sizes_the_next() {
    // 3 mL are 35.3 mmol, at pH 5.45 0.975 charges each: 34.5 mEq. The liquor took 0.045 × 2.7 × 13 = 1.6,
    // so the grist took 32.9 over 4.85 kg and 0.16 pH: 42.4 mEq/kg.
    let log = brewed(DOSED);
    let buffering = value(&log, FigureId::ActualMashBuffering).unwrap();
    assert!((buffering - 42.4).abs() < 0.5, "{buffering}");
    let second = value(&log, FigureId::MashAcidCorrection).unwrap();
    // By the malts alone 172.0 / 4.85 = 35.5 mEq/kg: the second dose is larger in this ratio, but for the liquor.
    let by_malts = 0.05 * (172.0 + 2.7 * 13.0 * 0.27) / 0.972 / 11.78;
    assert!((second / by_malts - 42.4 / 35.5).abs() < 0.02, "{second} against {by_malts}");
}

#[test]
fn where_no_acid_is_called_for_the_reason_says_what_is() {
    let why = |entries: &str, id| value(&brewed(entries), id).unwrap_err().reason.into_owned();
    let low = FIRST.replace("5.61", "5.20");
    let said = why(&low, FigureId::MashAcidCorrection);
    assert!(said.contains("g of baking soda would raise it"), "{said}");
    // 172.0 × 0.20 = 34.4 mEq, the liquor gives back 1.2; 0.888 of each mmol acts: 40.1 mmol, 3.4 g.
    let Remedy::BakingSoda(grams) = correction(&brewed(&low)).unwrap().remedy else { unreachable!() };
    assert!((grams - 3.4).abs() < 0.1, "{grams}");
    let near = why(&FIRST.replace("5.61", "5.43"), FigureId::MashAcidCorrection);
    assert!(near.contains("as near"), "{near}");
    let hot = why(&FIRST.replace("at 20 C", "at 65 C"), FigureId::MashAcidCorrection);
    assert!(hot.contains("cooled"), "{hot}");
    for (from, to) in [
        ("  10:21   add       3 mL lactic acid [88 %] to mash\n", ""),
        // What calcium did cannot be told apart from what the acid did.
        ("3 mL lactic acid [88 %]", "5 g calcium chloride dihydrate"),
        ("5.45", "5.59"),
    ] {
        let entries = DOSED.replace(from, to);
        assert_ne!(entries, DOSED);
        let said = why(&entries, FigureId::ActualMashBuffering);
        assert!(said.contains("no acid or base is logged between"), "{said}");
    }
}

#[test]
fn a_reading_in_the_range_that_is_expected_is_left_alone() {
    let read = |ph: &str| {
        let entries = FIRST.replace("5.61", ph);
        correction(&log(&format!("{PORTER}\ngyle 27 \"Estuary Porter\" on 2026-03-14\n{entries}")))
    };
    assert!(PORTER.contains("mash ph   5.3..5.6"));
    assert_eq!(read("5.58").unwrap().remedy, Remedy::Nothing);
    assert!(matches!(read("5.63").unwrap().remedy, Remedy::Acid { .. }));
}

#[test]
fn a_buffering_that_no_grist_has_is_said_and_not_dosed_by() {
    let settings = Settings::default();
    let log = brewed(&DOSED.replace("3 mL", "12 mL"));
    let plan = Calc::new(log.recipe.as_ref().unwrap(), &settings);
    let actual = Actual::new(&log, Some(&plan), &settings);
    let figure = actual.explain(FigureId::ActualMashBuffering).unwrap();
    assert!(figure.value > 70.0, "{}", figure.value);
    assert!(figure.cautions.iter().any(|note| note.contains("outside 20 to 70")), "{:?}", figure.cautions);
    let dose = actual.explain(FigureId::MashAcidCorrection).unwrap();
    assert!(dose.assumed.iter().any(|one| one.what == "buffering"), "{:?}", dose.assumed);
}

#[test]
fn yeast_ages_to_the_day_it_is_pitched() {
    let plan = PORTER.replace(
        "200 billion cells  english ale yeast [72 %]",
        "2 pack    english ale yeast [72 %, 100 billion cells, packed 2026-01-13]",
    );
    assert_ne!(plan, PORTER);
    let entries = "  13:20   og        1.050 with 20 L\n  14:00   pitch     2 pack at 18 C\n";
    let log = log(&format!("{plan}\ngyle 27 \"Estuary Porter\" on 2026-03-14\n{entries}"));
    // 60 days, a fifth lost in each thirty: 200 × 0.8^2 = 128 billion into 20 L of 12.39 P.
    let rate = value(&log, FigureId::ActualPitchRate).unwrap();
    assert!((rate - 128.0 / 20.0 / 12.3876).abs() < 1e-4, "{rate}");
    // The plan knows no day.
    assert_eq!(value(&log, FigureId::CellsPitched).unwrap(), 200.0);
}
