//! What holds for any yeast and any package: functions undo each other, beer holds less CO2 than water, and an
//! answer that is given is a finite one.

use brewing::atmosphere::{SEA_LEVEL, ambient_pressure, boiling_point};
use brewing::carbonation::{self, PrimingSugar};
use brewing::package::{Container, service_pressure};
use brewing::yeast::{self, Keeping, Kind, Starter, StarterStep};
use brewing::{gravity, package};
use proptest::prelude::*;
use quantity::typed::{
    AbsolutePressure, Carbonation, Cells, CellsPerMass, Fraction, GaugePressure, Gravity, Length, Mass,
    PitchRate, Plato, Temperature, Time, Volume,
};

fn c(value: f64) -> Temperature {
    Temperature::from_celsius(value)
}

fn vol(value: f64) -> Carbonation {
    Carbonation::from_volumes(value)
}

fn litres(value: f64) -> Volume {
    Volume::from_litres(value)
}

fn days(value: f64) -> Time {
    Time::from_minutes(value * 1440.0)
}

fn sugar() -> impl Strategy<Value = PrimingSugar> {
    let share = || (0.3..1.0_f64).prop_map(Fraction::from_parts);
    prop_oneof![
        Just(PrimingSugar::GlucoseAnhydrous),
        Just(PrimingSugar::GlucoseMonohydrate),
        Just(PrimingSugar::Sucrose),
        (share(), share())
            .prop_map(|(extract, fermentability)| PrimingSugar::Extract { extract, fermentability }),
    ]
}

#[test]
fn a_container_without_a_limit_of_its_own_holds_no_refermentation() {
    assert!(Container::Unrated.limit().above.volumes().abs() < 1e-12);
    assert!((Container::Unrated.cold_fill_limit().above.volumes() - 2.5).abs() < 1e-12);
    for kind in Container::ALL {
        assert!(kind.limit().above <= kind.cold_fill_limit().above, "{kind:?}");
    }
    let rising = Container::ALL.windows(2).all(|pair| pair[0].limit().above <= pair[1].limit().above);
    assert!(rising, "weakest first");
    // 40 and 60 psi.
    for (limit, psi) in [(package::KEG_HIGH, 40.0), (package::KEG_CEILING, 60.0)] {
        assert!((limit.bar() * 14.5038 - psi).abs() < 1.0, "{limit:?}");
    }
    assert!((service_pressure(GaugePressure::from_bar(12.0)).bar() - 4.0).abs() < 1e-12);
}

#[test]
fn three_volumes_are_close_to_the_pressures_the_limits_name() {
    // The limit of a thin bottle is set at 2.6 bar at 20 °C and 3.7 bar at 30 °C.
    for (at, bar) in [(20.0, 2.6), (30.0, 3.7)] {
        let held = carbonation::gauge_pressure(vol(3.0), c(at), SEA_LEVEL).bar();
        assert!((held - bar).abs() < 0.06, "{at} °C: {held} bar");
    }
}

#[test]
fn lager_takes_twice_the_cells_of_ale() {
    let (ale, lager) = (Kind::Ale.default_rate(), Kind::Lager.default_rate());
    assert!((lager / ale - 2.0).abs() < 1e-12);
    assert!(Kind::Hybrid.default_rate() > ale && Kind::Hybrid.default_rate() < lager);
}

#[test]
fn a_starter_in_steps_is_each_step_in_turn() {
    let step = |kind, l: f64| StarterStep {
        kind,
        wort: litres(l),
        extract: gravity::extract_mass(litres(l), Gravity::from_sg(1.036)),
    };
    let steps = [step(Starter::Stirred, 1.0), step(Starter::Still, 3.0)];
    let start = Cells::from_billions(100.0);
    let grown = yeast::starter_steps(start, &steps).unwrap();
    let first = Starter::Stirred.grow(start, steps[0].wort, steps[0].extract).unwrap();
    let second = Starter::Still.grow(first, steps[1].wort, steps[1].extract).unwrap();
    assert_eq!(grown, [first, second]);
    assert!(yeast::starter_steps(Cells::from_billions(0.0), &steps).is_none());
}

#[test]
fn a_hotter_mash_ferments_less_far() {
    let effect = |at: f64| yeast::mash_temperature_effect(c(at)).unwrap().parts();
    assert!(effect(yeast::USUAL_REST.celsius()).abs() < 1e-12);
    // From 82 % at 65 to 70 % at 70, as reported.
    assert!((effect(65.0) - effect(70.0) - 0.12).abs() < 1e-12);
    assert!(effect(60.0) == effect(65.0) && effect(85.0) == effect(80.0));
    assert!(yeast::mash_temperature_effect(c(f64::NAN)).is_none());
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn pressure_and_carbonation_undo_each_other(v in 0.2..6.0_f64, at in -1.0..40.0_f64, m in -100.0..4000.0_f64) {
        let ambient = ambient_pressure(Length::from_metres(m)).unwrap();
        let gauge = carbonation::gauge_pressure(vol(v), c(at), ambient);
        prop_assert!((carbonation::equilibrium(gauge, c(at), ambient).volumes() - v).abs() < 1e-12);
        // The higher the brewhouse, the more the gauge must show.
        prop_assert!(gauge.bar() >= carbonation::gauge_pressure(vol(v), c(at), SEA_LEVEL).bar() || m < 0.0);
    }

    #[test]
    fn beer_holds_less_than_pure_water(bar in 0.0..4.0_f64, at in 0.0..27.0_f64) {
        let gauge = GaugePressure::from_bar(bar);
        let beer = carbonation::equilibrium(gauge, c(at), SEA_LEVEL);
        prop_assert!(beer < carbonation::pure_water_ceiling(gauge, c(at), SEA_LEVEL));
    }

    #[test]
    fn warm_beer_keeps_less_and_is_never_below_nothing(a in -2.0..45.0_f64, b in -2.0..45.0_f64) {
        let (cold, warm) = (a.min(b), a.max(b));
        let (more, less) = (carbonation::residual(c(cold)), carbonation::residual(c(warm)));
        prop_assert!(less <= more && less.volumes() > 0.0);
    }

    #[test]
    fn priming_gives_the_volumes_it_was_made_for(
        sugar in sugar(), target in 0.5..4.5_f64, left in 0.0..1.7_f64, beer in 1.0..500.0_f64,
    ) {
        let beer = litres(beer);
        let mass = carbonation::priming_sugar(vol(target), vol(left), sugar, beer).unwrap();
        let made = carbonation::carbonation_from_priming(sugar, mass, beer).unwrap().volumes();
        prop_assert!((left + made - target.max(left)).abs() < 1e-12);
        // A g of CO2 needs at least two of sugar.
        prop_assert!(sugar.co2_yield() < 0.52);
    }

    #[test]
    fn gravity_left_and_released_mass_agree(from in 1.010..1.100_f64, drop in 0.001..0.01_f64, l in 1.0..100.0_f64) {
        let (from, to) = (Gravity::from_sg(from), Gravity::from_sg(from - drop));
        let volumes = carbonation::carbonation_from_gravity(from, to).volumes();
        let share = 0.8192 * (gravity::plato(from) - gravity::plato(to)).plato() / gravity::plato(from).plato();
        let extract = gravity::extract_mass(litres(l), from);
        let mass = carbonation::co2_released(extract, Fraction::from_parts(share)).grams();
        prop_assert!((mass / (volumes * l * carbonation::GRAMS_BY_VOLUME) - 1.0).abs() < 0.011);
    }

    #[test]
    fn rate_and_cells_undo_each_other(rate in 0.1..4.0_f64, l in 1.0..1e4_f64, plato in 2.0..30.0_f64) {
        let (wort, extract) = (litres(l), Plato::from_plato(plato));
        let cells = yeast::cells_needed(PitchRate::from_million_per_ml_plato(rate), wort, extract);
        let back = yeast::pitch_rate(cells, wort, extract).unwrap().million_per_ml_plato();
        prop_assert!((back / rate - 1.0).abs() < 1e-12);
        let density = yeast::cell_density(cells, wort).unwrap();
        let alive = yeast::slurry_cells(wort, density, Fraction::from_parts(1.0));
        prop_assert!((alive / cells - 1.0).abs() < 1e-12);
        let dry = yeast::dry_mass(cells, yeast::DRY_YEAST).unwrap();
        prop_assert!((yeast::dry_cells(dry, yeast::DRY_YEAST) / cells - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_starter_of_the_volume_found_grows_to_its_target(
        start in 20.0..300.0_f64, growth in 1.05..3.5_f64, grams in 60.0..120.0_f64,
    ) {
        let by_litre = Mass::from_grams(grams);
        let (start, target) = (Cells::from_billions(start), Cells::from_billions(start * growth));
        for kind in [Starter::Still, Starter::Stirred] {
            let wort = kind.volume_for(start, target, by_litre).unwrap();
            let grown = kind.grow(start, wort, by_litre * wort.litres()).unwrap();
            // The stirred curve jumps by 0.8 % where its two pieces meet.
            prop_assert!((grown / target - 1.0).abs() < 0.01, "{kind:?}: {grown:?} of {target:?}");
            let none = kind.volume_for(target, start, by_litre).unwrap();
            prop_assert!(none.litres() == 0.0);
        }
    }

    #[test]
    fn viability_falls_and_keeps_its_order(a in 0.0..2000.0_f64, b in 0.0..2000.0_f64) {
        for keeping in [Keeping::Liquid, Keeping::Slurry, Keeping::Dry] {
            let (young, old) =
                (yeast::viability(keeping, days(a.min(b))), yeast::viability(keeping, days(a.max(b))));
            prop_assert!(young.low <= young.typical && young.typical <= young.high);
            prop_assert!(old.low <= young.low && old.typical <= young.typical && old.high <= young.high);
            prop_assert!(old.low.parts() >= 0.0 && young.high.parts() <= 1.0);
        }
    }

    #[test]
    fn an_answer_is_a_finite_one(
        x in prop::array::uniform6(prop_oneof![
            -1e3..1e4_f64, any::<f64>(),
            prop::sample::select(vec![0.0, -1.0, f64::MAX, f64::MIN, f64::INFINITY, f64::NAN]),
        ]),
    ) {
        let share = Fraction::from_parts;
        let sugars = [
            PrimingSugar::Sucrose,
            PrimingSugar::Extract { extract: share(x[0]), fermentability: share(x[1]) },
            PrimingSugar::Yield(x[0]),
        ];
        let mut seen = vec![
            ambient_pressure(Length::from_metres(x[0])).map(AbsolutePressure::bar),
            boiling_point(Length::from_metres(x[0])).map(Temperature::celsius),
            carbonation::gas_volume(Mass::from_kg(x[0]), c(x[1]), AbsolutePressure::from_bar(x[2]))
                .map(Volume::litres),
            carbonation::share_of_room(litres(x[0]), litres(x[1])).map(Fraction::parts),
            yeast::mash_temperature_effect(c(x[0])).map(Fraction::parts),
            yeast::starter_malt_extract(litres(x[0]), Gravity::from_sg(x[1]), share(x[2])).map(Mass::kg),
        ];
        for sugar in sugars {
            seen.push(carbonation::priming_sugar(vol(x[2]), vol(x[3]), sugar, litres(x[4])).map(Mass::kg));
            let made = carbonation::carbonation_from_priming(sugar, Mass::from_kg(x[4]), litres(x[5]));
            seen.push(made.map(Carbonation::volumes));
        }
        let (start, target) = (Cells::from_billions(x[0]), Cells::from_billions(x[1]));
        for kind in [Starter::Still, Starter::Stirred] {
            seen.push(kind.grow(start, litres(x[2]), Mass::from_kg(x[3])).map(Cells::billions));
            seen.push(kind.volume_for(start, target, Mass::from_kg(x[3])).map(Volume::litres));
        }
        let rate = yeast::pitch_rate(start, litres(x[2]), Plato::from_plato(x[3]));
        seen.push(rate.map(PitchRate::million_per_ml_plato));
        seen.push(yeast::dry_mass(start, CellsPerMass::from_billions_per_gram(x[4])).map(Mass::kg));
        for (place, value) in seen.into_iter().enumerate() {
            prop_assert!(value.is_none_or(f64::is_finite), "answer {place} is {value:?}");
        }
    }
}
