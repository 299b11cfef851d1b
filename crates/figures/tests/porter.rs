//! A brown porter whose figures are known, computed by hand from the definitions.

mod support;

use figures::{Calc, FigureId, Settings};
use support::{PORTER, recipe};

#[test]
fn figures_of_the_porter() {
    let recipe = recipe(PORTER);
    let settings = Settings::default();
    let calc = Calc::new(&recipe, &settings);
    let cases: &[(FigureId, f64, f64)] = &[
        (FigureId::Og, 1.0508, 0.000_05),
        (FigureId::Fg, 1.0138, 0.000_05),
        (FigureId::Ibu, 27.4, 0.05),
        (FigureId::Colour, 41.4, 0.05),
        (FigureId::TotalLiquor, 30.4, 0.05),
        (FigureId::StrikeTemperature, 75.7, 0.05),
        (FigureId::GristWeight, 4.85, 1e-9),
        (FigureId::MashLiquor, 13.0, 1e-9),
        (FigureId::SpargeLiquor, 17.5, 1e-9),
        (FigureId::BatchVolume, 20.0, 1e-9),
    ];
    for (id, want, tolerance) in cases {
        let have = calc.value(*id).unwrap_or_else(|missing| panic!("{id:?}: {}", missing.reason));
        assert!((have - want).abs() <= *tolerance, "{id:?}: {have} where {want} is known");
    }
    let ibu: Vec<f64> = calc.hop_lines().unwrap().iter().map(|line| line.ibu).collect();
    assert!((ibu[0] - 23.8).abs() < 0.05 && (ibu[1] - 3.6).abs() < 0.05, "{ibu:?}");
    let ph = calc.value(FigureId::MashPh).unwrap();
    assert!((5.40..=5.55).contains(&ph), "mash pH {ph}");
}

#[test]
fn every_figure_explains_itself_with_the_value_it_has() {
    let recipe = recipe(PORTER);
    let settings = Settings::default();
    let calc = Calc::new(&recipe, &settings);
    let mut explained = 0;
    for id in FigureId::ALL {
        let (value, figure) = (calc.value(*id), calc.explained(*id));
        assert_eq!(value.is_ok(), figure.is_ok(), "{id:?}");
        let Ok(figure) = figure else { continue };
        explained += 1;
        assert_eq!(value.as_ref().ok(), Some(&figure.value), "{id:?}");
        assert!(!figure.formula.is_empty(), "{id:?} has no formula");
        for line in &figure.formula {
            assert!(!line.contains("NaN") && !line.contains("inf"), "{id:?}: {line}");
        }
    }
    assert!(explained > 45, "{explained} figures of a complete recipe");
}

#[test]
fn an_uncertain_alpha_makes_the_bitterness_uncertain() {
    let recipe = recipe(PORTER);
    let settings = Settings::default();
    let calc = Calc::new(&recipe, &settings);
    // Alpha 10 % on each hop apart, the batch 2 %: the alphas lead.
    let spread = calc.spread(FigureId::Ibu).unwrap();
    assert!((2.0..3.2).contains(&spread), "{spread}");
    // The batch's volume moves nothing that is measured in the mash alone.
    assert_eq!(calc.spread(FigureId::GristWeight), Some(0.0));
}

#[test]
fn percentages_and_a_bitterness_aimed_at_are_solved_together() {
    let text = PORTER
        .replace("grist\n  3.6 kg    maris otter malt\n  450 g     brown malt\n  350 g     crystal malt [150 EBC]\n  200 g     chocolate malt\n  250 g     flaked barley", "grist to reach 1.050\n  74 %      maris otter malt\n  10 %      brown malt\n  7 %       crystal malt [150 EBC]\n  4 %       chocolate malt\n  5 %       flaked barley")
        .replace("48 g      Fuggle [alpha 4.6 %] at 60 min", "Fuggle [alpha 4.6 %] at 60 min to reach 30 IBU");
    assert_ne!(text, PORTER);
    let recipe = recipe(&text);
    let settings = Settings::default();
    let calc = Calc::new(&recipe, &settings);
    assert!((calc.value(FigureId::Og).unwrap() - 1.050).abs() < 1e-9);
    assert!((calc.value(FigureId::Ibu).unwrap() - 30.0).abs() < 1e-6);
}

#[test]
fn an_amount_that_depends_on_itself_says_so() {
    let text = PORTER.replace("3.6 kg    maris otter malt", "(0.7 * grist.weight) maris otter malt");
    let recipe = recipe(&text);
    let settings = Settings::default();
    let missing = Calc::new(&recipe, &settings).value(FigureId::Og).unwrap_err();
    assert!(missing.cycle, "{missing:?}");
}

#[test]
fn a_mash_cools_between_its_rests_where_the_brewhouse_says_how_fast() {
    let settings = Settings::default();
    let plain = recipe(PORTER);
    let steps = Calc::new(&plain, &settings).mash_steps().unwrap();
    assert_eq!((steps[0].cools_to, steps[1].from), (None, 67.0));
    let text = PORTER.replace(
        "  boiling point       100 C\n",
        "  boiling point       100 C\n  heat loss           4 C/h\n",
    );
    assert_ne!(text, PORTER);
    let cooling = recipe(&text);
    let cooled = Calc::new(&cooling, &settings).mash_steps().unwrap();
    // From 67 C towards 20 C, 4 C in the first hour if it went on as it began: 20 + 47 e^(-4/47).
    let end = cooled[0].cools_to.unwrap();
    assert!((end - (20.0 + 47.0 * (-4.0_f64 / 47.0).exp())).abs() < 1e-9, "{end}");
    assert_eq!(cooled[1].from, end);
    // The second is held by the heater. To reach it takes longer by the way lost, and by what the walls take:
    // 2.52 kW less 4 C/h of 65 kJ/C.
    assert_eq!(cooled[1].cools_to, None);
    let (before, now) = (steps[1].ramp.unwrap(), cooled[1].ramp.unwrap());
    let by_hand = before * (76.0 - end) / 9.0 * 2.52 / (2.52 - 4.0 / 3600.0 * 65.0);
    assert!((now - by_hand).abs() < 0.02, "{now} where {by_hand} was expected");
}

#[test]
fn slaking_heat_and_the_loss_of_a_decoction_count_where_the_house_says_so() {
    let decocted =
        PORTER.replace("mash by infusion", "mash by decoction").replace("by direct heat", "by decoction");
    let recipe = recipe(&decocted);
    let plain = Settings::default();
    let house = Settings { slaking_heat: true, decoction_loss: 10.0, ..Settings::default() };
    let (without, with) = (Calc::new(&recipe, &plain), Calc::new(&recipe, &house));
    // 4.85 kg of grist of 4.1 % moisture give about 20 kJ each to 12.98 kg of water: 1.8 C.
    let less = without.value(FigureId::StrikeTemperature).unwrap()
        - with.value(FigureId::StrikeTemperature).unwrap();
    assert!((1.6..2.0).contains(&less), "{less}");
    let figure = with.explain(FigureId::StrikeTemperature).unwrap();
    assert!(figure.formula.iter().any(|line| line.contains("sets free")), "{:?}", figure.formula);
    // 67 to 76 C with boiling mash: 33 degrees to give, of which 10 are lost.
    let drawn = |calc: &Calc<'_>| calc.mash_steps().unwrap()[1].volume.unwrap();
    assert!((drawn(&with) / drawn(&without) - 33.0 / 23.0).abs() < 1e-9);
}
