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

/// The porter with a price on everything in it.
fn priced() -> String {
    let mut text =
        PORTER.replace("  moisture            ", "  price               2 EUR/kg\n  moisture            ");
    for (name, with) in [
        ("48 g      Fuggle [alpha 4.6 %]", "48 g      Fuggle [alpha 4.6 %, price 40 EUR/kg]"),
        ("20 g      Fuggle [alpha 4.6 %]", "20 g      Fuggle [alpha 4.6 %, price 40 EUR/kg]"),
        ("1 tablet  kettle finings", "1 tablet  kettle finings [price 0.20 EUR/tablet]"),
        ("english ale yeast [72 %]", "english ale yeast [72 %, 90 billion cells, price 5 EUR/pack]"),
        ("3 g calcium chloride dihydrate", "3 g calcium chloride dihydrate [price 10 EUR/kg]"),
        ("2 mL lactic acid [88 %] to mash", "2 mL lactic acid [88 %, price 15 EUR/L] to mash"),
        ("2 mL lactic acid [88 %] to sparge", "2 mL lactic acid [88 %, price 15 EUR/L] to sparge"),
    ] {
        assert!(text.contains(name), "{name}");
        text = text.replace(name, with);
    }
    text
}

#[test]
fn a_beer_costs_what_its_parts_cost() {
    let settings = Settings::default();
    let cost = |text: &str| {
        let recipe = recipe(text);
        let calc = Calc::new(&recipe, &settings);
        calc.explain(FigureId::Cost).map(|figure| (figure.value, figure.unit(), figure.cautions))
    };
    // 4.85 kg of grain 9.70, 68 g of hops 2.72, a tablet 0.20, 200 billion cells in packs of 90: three, 15.00,
    // 3 g of salt 0.03, 4 mL of acid 0.06.
    let (value, unit, cautions) = cost(&priced()).unwrap();
    assert!((value - 27.71).abs() < 1e-9, "{value}");
    assert_eq!((unit, cautions.len()), ("EUR", 0));
    // By litre what is packaged counts: 18.5 L.
    let all = recipe(&priced());
    let by_litre = Calc::new(&all, &settings).value(FigureId::CostPerLitre).unwrap();
    assert!((by_litre - 27.71 / 18.5).abs() < 1e-3, "{by_litre}");
    // Priced in another measure: by the density, by the mass of a tablet, by the cells of a gram.
    for (from, to, want) in [
        (
            "lactic acid [88 %, price 15 EUR/L] to mash",
            "lactic acid [88 %, density 1.2 g/mL, price 15 EUR/kg] to mash",
            27.716,
        ),
        ("price 0.20 EUR/tablet", "unit mass 2 g, price 100 EUR/kg", 27.71),
        ("90 billion cells, price 5 EUR/pack", "10 billion cells/g, price 300 EUR/kg", 18.71),
        ("price 5 EUR/pack", "price 0 EUR/each", 12.71),
    ] {
        let text = priced().replace(from, to);
        assert_ne!(text, priced());
        let (value, ..) = cost(&text).unwrap();
        assert!((value - want).abs() < 1e-9, "{to}: {value}");
    }
    let missing = cost(&priced().replace(", price 5 EUR/pack", "")).unwrap_err();
    assert!(missing.reason.contains("no price is known of english ale yeast"), "{}", missing.reason);
    let mixed = cost(&priced().replace("10 EUR/kg", "10 GBP/kg")).unwrap_err();
    assert!(mixed.reason.contains("different currencies"), "{}", mixed.reason);
    let (_, unit, cautions) =
        cost(&priced().replace("  batch     20 L", "  batch     20 L\n  currency  GBP")).unwrap();
    assert_eq!(unit, "EUR");
    assert!(cautions[0].contains("no rate is known"), "{cautions:?}");
}

#[test]
fn a_substance_by_another_name_is_the_same_substance() {
    let settings = Settings::default();
    let value = |text: &str, id| Calc::new(&recipe(text), &settings).value(id).unwrap();
    let bottled =
        PORTER.replace("cask      1.8 vol at 12 C", "bottle    2.4 vol at 20 C with dextrose monohydrate");
    assert_ne!(bottled, PORTER);
    let renamed = bottled
        .replace("with dextrose monohydrate", "with quay powder")
        .replace("lactic acid [88 %]", "sour drops")
        + "\nsugar quay powder\n  like                dextrose monohydrate\n\naddition sour drops\n  like                lactic acid\n";
    for id in [FigureId::PrimingSugar, FigureId::MashPh, FigureId::SpargePh] {
        assert_eq!(value(&renamed, id), value(&bottled, id), "{id:?}");
    }
}

#[test]
fn hops_turn_bitter_while_the_wort_is_chilled_where_the_house_counts_that() {
    let text = PORTER.replace("\npitch\n", "\nchill to 20 C over 30 min\n\npitch\n");
    assert_ne!(text, PORTER);
    let recipe = recipe(&text);
    let plain = Settings::default();
    let house = Settings { chill_bitterness: true, ..Settings::default() };
    let (without, with) = (Calc::new(&recipe, &plain), Calc::new(&recipe, &house));
    // From 100 C to 20 C towards 15 C in 30 min: tau = 30 / ln(85 / 5) = 10.59 min, so 0.64, 0.68, 0.73, 0.79, 0.85
    // and 0.92 min for each five degrees down to 70 C, at mean rates of 0.825, 0.533, 0.340, 0.215, 0.134 and 0.082
    // of those at the boil: 1.50 min, and about 0.11 below.
    let hops = with.hop_lines().unwrap();
    assert!((hops[0].stand - 1.61).abs() < 0.03, "{}", hops[0].stand);
    assert_eq!(without.hop_lines().unwrap()[0].stand, 0.0);
    let figure = with.explain(FigureId::Ibu).unwrap();
    assert!(figure.value > without.value(FigureId::Ibu).unwrap());
    assert!(figure.cautions.iter().any(|note| note.contains("a chill to 20 C is outside 90 to 130 C")));
    assert!(figure.formula.iter().any(|line| line.starts_with("chill from")), "{:?}", figure.formula);
}

#[test]
fn a_source_is_softened_by_boiling_or_by_lime() {
    let settings = Settings::default();
    let source = |with: &str| {
        let text = PORTER.replace("source    harbour-tap", &format!("source    harbour-tap{with}"));
        Calc::new(&recipe(&text), &settings).explain(FigureId::SourceAlkalinity).unwrap()
    };
    assert!((source("").value - 130.0).abs() < 0.1);
    // Both end at 1 mEq/L, 50 ppm as CaCO3; all of this water's calcium is enough for that.
    let (boiled, limed) = (source(" [boiled]"), source(" [limed]"));
    assert!((boiled.value - 50.0).abs() < 0.5, "{}", boiled.value);
    assert!((50.0..66.0).contains(&limed.value), "{}", limed.value);
    // Free CO2 0.14 and half the alkalinity 1.30 are 1.44 mmol/L, of which 92 % are 98 mg/L: 3.0 g for 30.45 L.
    let dose = limed.formula.iter().find(|line| line.starts_with("limed with")).unwrap();
    assert!(dose.contains("98 mg/L") && dose.contains("2.97 g"), "{dose}");
    assert!(limed.cautions.iter().any(|note| note.contains("goggles")), "{:?}", limed.cautions);
}
