//! What holds for any mash and any liquor: heat and charge are conserved, doses reach what they aim for, the
//! salt solver is at its optimum, and an answer that is given is a finite one.

use brewing::acid::Acid;
use brewing::carbonate::{self, Air};
use brewing::mash::{self, Decoction, Mash, Vessel};
use brewing::ph::{Base, Dose, Malt, MaltClass, MaltParameters, MashBalance, MashLiquor, sparge_acid};
use brewing::salts::{self, DEFAULT_SALTS, Dilution, Request, Weighting};
use brewing::water::{self, Chlorine, Ion, Salt, Water};
use proptest::prelude::*;
use quantity::typed::{
    Amount, Concentration, Ebc, Equivalents, Fraction, HeatCapacity, HeatLoss, Mass, Ph, Power,
    SpecificEnergy, Temperature, TemperatureStep, Time, Volume, VolumePerMass,
};

/// Any number that is one, the absurd ones too, and now and then one that is none.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -1e3..1e4_f64,
        1 => prop::num::f64::NORMAL | prop::num::f64::ZERO | prop::num::f64::SUBNORMAL,
        1 => prop::sample::select(vec![0.0, 1.0, -1.0, 20.0, f64::MAX, f64::MIN, f64::INFINITY, f64::NAN]),
    ]
}

fn c(value: f64) -> Temperature {
    Temperature::from_celsius(value)
}

fn litres(value: f64) -> Volume {
    Volume::from_litres(value)
}

fn kg(value: f64) -> Mass {
    Mass::from_kg(value)
}

fn p(value: f64) -> Ph {
    Ph::from_ph(value)
}

prop_compose! {
    fn tun()(grist in 0.5..500.0_f64, ratio in 1.5..6.0_f64, vessel in 0.0..20.0_f64) -> Mash {
        Mash {
            grist: kg(grist),
            liquor: litres(grist * ratio),
            vessel: HeatCapacity::from_kj_per_kelvin(vessel),
        }
    }
}

prop_compose! {
    /// A water whose charges balance, from soft to very hard.
    fn balanced()(x in prop::array::uniform7(0.0..3.0_f64), ph in 6.2..8.6_f64) -> Water {
        let [gypsum, chloride, epsom, salt, soda, lime, nitrate] = x;
        let mmol = |ion: Ion, amount: f64| Concentration::from_mg_per_litre(amount * ion.molar_mass());
        Water {
            calcium: mmol(Ion::Calcium, gypsum + chloride + lime),
            magnesium: mmol(Ion::Magnesium, epsom),
            sodium: mmol(Ion::Sodium, salt + soda + nitrate),
            potassium: mmol(Ion::Potassium, 0.0),
            chloride: mmol(Ion::Chloride, 2.0 * chloride + salt),
            sulfate: mmol(Ion::Sulfate, gypsum + epsom),
            nitrate: mmol(Ion::Nitrate, nitrate),
            alkalinity: Equivalents::from_meq_per_litre(2.0 * lime + soda),
            ph: p(ph),
        }
    }
}

prop_compose! {
    fn grist()(
        base in 1.0..8.0_f64,
        dark in 0.0..1.0_f64,
        roast in 0.0..0.6_f64,
        ebc in 30.0..350.0_f64,
    ) -> Vec<Malt> {
        let malt = |class: MaltClass, mass, ebc| Malt::new(kg(mass), class.parameters(Ebc::from_ebc(ebc)));
        vec![
            malt(MaltClass::Pale, base, 5.0),
            malt(MaltClass::Caramel, dark, ebc),
            malt(MaltClass::Roasted, roast, 1000.0),
        ]
    }
}

prop_compose! {
    fn balance()(malts in grist(), water in balanced(), ratio in 2.0..5.0_f64) -> MashBalance {
        let mass: f64 = malts.iter().map(|malt| malt.mass.kg()).sum();
        MashBalance { malts, liquor: MashLiquor::new(water, litres(mass * ratio)), acids: vec![], bases: vec![] }
    }
}

fn amount<T>(dose: Option<Dose<T>>) -> Option<T> {
    match dose {
        Some(Dose::Add(amount)) => Some(amount),
        _ => None,
    }
}

#[test]
fn every_salt_is_neutral_with_its_alkalinity() {
    for salt in Salt::ALL {
        let one = [(salt, Mass::from_grams(0.4))];
        let water = Water::ION_FREE.with_salts(&one, litres(1.0)).unwrap();
        let off = water.charge_balance().difference().meq_per_litre();
        assert!(off.abs() < 1e-12, "{salt:?}: {off}");
    }
}

#[test]
fn hydrates_bring_less_than_the_dry_salt() {
    let calcium = |salt: Salt| salt.contribution(Ion::Calcium).mg_per_litre();
    let dry = calcium(Salt::CalciumChlorideAnhydrous);
    assert!((dry / calcium(Salt::CalciumChlorideDihydrate) - 1.32).abs() < 0.005);
    assert!(calcium(Salt::CalciumChlorideDihydrate) > calcium(Salt::CalciumChlorideHexahydrate));
}

#[test]
fn the_standard_deviation_is_that_of_a_monte_carlo() {
    // 5 kg of pilsner malt in 20 L of a water of 2 mEq/L: 0.08 to 0.10 with class averages, 0.034 to 0.046
    // with the malt measured, by a Monte Carlo of the same inputs.
    let mut pilsner = MaltClass::Pilsner.parameters(Ebc::from_ebc(3.5));
    let water = Water {
        calcium: Concentration::from_mg_per_litre(80.156),
        magnesium: Concentration::from_mg_per_litre(7.29),
        alkalinity: Equivalents::from_meq_per_litre(2.037),
        ph: p(7.6),
        ..Water::ION_FREE
    };
    let sd = |malt: MaltParameters| {
        let malts = vec![Malt::new(kg(5.0), malt)];
        let liquor = MashLiquor::new(water, litres(20.0));
        MashBalance { malts, liquor, acids: vec![], bases: vec![] }.estimate().unwrap().sd
    };
    assert!((0.08..=0.10).contains(&sd(pilsner)), "{}", sd(pilsner));
    pilsner.ph_sd = 0.03;
    assert!((0.034..=0.046).contains(&sd(pilsner)), "{}", sd(pilsner));
}

#[test]
fn magnesium_chloride_with_both_pairs_is_ambiguous_and_said_so() {
    let profile = Water {
        calcium: Concentration::from_mg_per_litre(80.0),
        magnesium: Concentration::from_mg_per_litre(10.0),
        chloride: Concentration::from_mg_per_litre(80.0),
        sulfate: Concentration::from_mg_per_litre(100.0),
        ..Water::ION_FREE
    };
    let fit = [Ion::Calcium, Ion::Magnesium, Ion::Chloride, Ion::Sulfate].map(|ion| (ion, 1.0));
    let listed =
        [Salt::Gypsum, Salt::CalciumChlorideDihydrate, Salt::EpsomSalt, Salt::MagnesiumChlorideHexahydrate];
    let with = |salts| {
        salts::solve(&Request {
            source: Water::ION_FREE,
            target: profile,
            fit: &fit,
            volume: litres(20.0),
            salts,
            weighting: Weighting::Charge,
            dilution: Dilution::None,
        })
        .unwrap()
    };
    assert!(!with(&listed).unique);
    assert!(with(&listed[..3]).unique);
    // The fourth salt brings the fit no nearer.
    assert!((with(&listed).residual_norm - with(&listed[..3]).residual_norm).abs() < 1e-9);
    assert!((with(&listed).floor - with(&listed).residual_norm).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn strike_closes_the_heat_balance(
        tun in tun(), grain in 0.0..30.0_f64, air in 0.0..30.0_f64, to in 30.0..75.0_f64, slaking in 0.0..25.0_f64,
    ) {
        let slaking = SpecificEnergy::from_kj_per_kg(slaking);
        for vessel in [Vessel::Cold { at: c(air) }, Vessel::AsHotAsLiquor] {
            let strike = mash::strike_temperature(&tun, c(grain), vessel, c(to), slaking).unwrap();
            let reached = mash::initial_temperature(&tun, c(grain), vessel, strike, slaking).unwrap();
            prop_assert!((reached.celsius() - to).abs() < 1e-9);
        }
    }

    #[test]
    fn infusions_close_the_heat_balance(tun in tun(), from in 30.0..60.0_f64, rise in 0.5..15.0_f64, at in 80.0..100.0_f64) {
        let to = c(from + rise);
        let volume = mash::infusion_volume(&tun, c(from), to, c(at)).unwrap();
        let reached = mash::infusion_temperature(&tun, c(from), volume, c(at)).unwrap();
        prop_assert!((reached.celsius() - to.celsius()).abs() < 1e-9);
        let needed = mash::infusion_liquor_temperature(&tun, c(from), to, volume).unwrap();
        prop_assert!((needed.celsius() - at).abs() < 1e-8);
    }

    #[test]
    fn decoctions_close_the_heat_balance(
        tun in tun(), from in 35.0..65.0_f64, rise in 0.5..15.0_f64, ratio in 0.8..3.0_f64, loss in 0.0..10.0_f64,
    ) {
        let (to, at, loss) = (c(from + rise), c(100.0), TemperatureStep::from_kelvin(loss));
        for kind in [Decoction::Thin, Decoction::Thick(VolumePerMass::from_litres_per_kg(ratio))] {
            let volume = mash::decoction_volume(&tun, c(from), to, at, kind, loss).unwrap();
            let reached = mash::decoction_temperature(&tun, c(from), volume, at, kind, loss).unwrap();
            prop_assert!((reached.celsius() - to.celsius()).abs() < 1e-9);
        }
        // Grain holds less heat than liquor: more of a thick decoction is needed.
        let volume = |kind| mash::decoction_volume(&tun, c(from), to, at, kind, loss).unwrap().litres();
        let thick = Decoction::Thick(VolumePerMass::from_litres_per_kg(ratio));
        prop_assert!(volume(thick) > volume(Decoction::Thin));
    }

    #[test]
    fn a_rest_gives_back_the_loss_it_cooled_by(tun in tun(), watts in 0.1..20.0_f64, minutes in 5.0..120.0_f64) {
        let (from, air) = (c(67.0), c(18.0));
        let (loss, time) = (HeatLoss::from_watts_per_kelvin(watts), Time::from_minutes(minutes));
        let after = mash::temperature_after(&tun, from, air, loss, time).unwrap();
        prop_assert!(after < from && after > air);
        // Where the mash has cooled to the air there is nothing left to read.
        prop_assume!((after - air).kelvin() > 0.01);
        let read = mash::heat_loss_from_rest(&tun, from, after, air, time).unwrap();
        prop_assert!((read / loss - 1.0).abs() < 1e-6);
    }

    #[test]
    fn charge_stays_balanced_through_salts_blends_and_acids(
        a in balanced(), b in balanced(), share in 0.0..1.0_f64, grams in prop::array::uniform5(0.0..1.0_f64),
    ) {
        let parts = [(Fraction::from_parts(share), a), (Fraction::from_parts(1.0 - share), b)];
        let blend = Water::blend(&parts).unwrap();
        let mixed = a.alkalinity * share + b.alkalinity * (1.0 - share);
        prop_assert!((blend.alkalinity - mixed).meq_per_litre().abs() < 1e-9);
        let carbon = carbonate::total_carbonate(&a) * share + carbonate::total_carbonate(&b) * (1.0 - share);
        prop_assert!((carbonate::total_carbonate(&blend) - carbon).abs() < 1e-6 * (1.0 + carbon));

        let doses: Vec<(Salt, Mass)> =
            DEFAULT_SALTS.into_iter().zip(grams.map(|g| Mass::from_grams(20.0 * g))).collect();
        let salted = blend.with_salts(&doses, litres(20.0)).unwrap();
        prop_assert!(salted.charge_balance().difference().meq_per_litre().abs() < 1e-9);

        // A mineral acid leaves its ion for the alkalinity it takes.
        let acid = [(Acid::Hydrochloric, Amount::from_mmol(5.0)), (Acid::Sulfuric, Amount::from_mmol(2.0))];
        let soured = salted.with_acids(&acid, litres(20.0)).unwrap();
        prop_assert!(soured.ph < salted.ph);
        // Sulfuric acid gives its second proton up only in part below pH 3.
        prop_assume!(soured.ph.ph() > 4.0);
        prop_assert!(soured.charge_balance().difference().meq_per_litre().abs() < 2e-3);
    }

    #[test]
    fn alkalinity_titrated_and_true_undo_each_other(water in balanced(), end in 4.2..4.6_f64) {
        let reported = Water { alkalinity: water::titrated_alkalinity(&water, p(end)), ..water };
        let found = water::true_alkalinity(&reported, p(end)).unwrap();
        prop_assert!((found - water.alkalinity).meq_per_litre().abs() < 1e-9);
    }

    #[test]
    fn bicarbonate_and_alkalinity_undo_each_other(water in balanced()) {
        prop_assume!(water.alkalinity.meq_per_litre() > 0.1);
        let found = carbonate::alkalinity_from_bicarbonate(carbonate::bicarbonate(&water), &water);
        prop_assert!((found - water.alkalinity).meq_per_litre().abs() < 1e-6);
    }

    #[test]
    fn liquor_acid_reaches_its_ph(water in balanced(), target in 4.6..5.9_f64) {
        for acid in Acid::ALL {
            for air in [Air::Closed, Air::ATMOSPHERE] {
                let Some(mmol) = carbonate::acid_for(&water, acid, p(target), air) else { continue };
                prop_assume!(mmol >= 0.0);
                let reached = carbonate::ph_with_acids(&water, &[(acid, mmol)], air).unwrap();
                prop_assert!((reached.ph() - target).abs() < 1e-9, "{acid:?} {air:?}: {reached:?}");
            }
        }
    }

    #[test]
    fn an_acid_by_volume_or_mass_gives_back_its_amount(mmol in 0.01..1e4_f64, strength in 0.05..0.4_f64) {
        let (amount, strength) = (Amount::from_mmol(mmol), Fraction::from_parts(strength));
        for acid in Acid::ALL {
            if let Some(volume) = acid.volume_of(amount, strength, None) {
                prop_assert!((acid.amount_in(volume, strength, None).unwrap() / amount - 1.0).abs() < 1e-12);
            }
            let mass = acid.mass_of(amount, strength).unwrap();
            prop_assert!((acid.amount_in_mass(mass, strength).unwrap() / amount - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn mash_ph_falls_with_acid_and_calcium_and_rises_with_base(mash in balance()) {
        let ph = mash.ph().unwrap().ph();
        let mut more = mash.clone();
        more.acids.push((Acid::Lactic, Amount::from_mmol(10.0)));
        prop_assert!(more.ph().unwrap().ph() < ph);
        let mut harder = mash.clone();
        harder.liquor.water.calcium += Concentration::from_mg_per_litre(40.0);
        prop_assert!(harder.ph().unwrap().ph() < ph);
        for base in [Base::Bicarbonate, Base::Carbonate, Base::Lime, Base::Chalk] {
            let mut higher = mash.clone();
            higher.bases.push((base, Amount::from_mmol(10.0)));
            prop_assert!(higher.ph().unwrap().ph() > ph, "{base:?}");
        }
        let demand = |at: f64| mash.demand(p(at)).meq();
        for step in 0..59 {
            let at = 3.0 + 0.1 * f64::from(step);
            prop_assert!(demand(at + 0.1) < demand(at), "at {at}");
        }
    }

    #[test]
    fn doses_to_a_target_reach_it(mash in balance(), target in 4.8..6.2_f64) {
        let reached = |mash: &MashBalance| mash.ph().unwrap().ph();
        let target_ph = p(target);
        for acid in Acid::ALL {
            if let Some(dose) = amount(mash.acid_to(target_ph, acid)) {
                let mut dosed = mash.clone();
                dosed.acids.push((acid, dose));
                prop_assert!((reached(&dosed) - target).abs() < 1e-9, "{acid:?}");
            }
        }
        for base in [Base::Bicarbonate, Base::Carbonate, Base::Lime, Base::Chalk] {
            if let Some(dose) = amount(mash.base_to(target_ph, base)) {
                let mut dosed = mash.clone();
                dosed.bases.push((base, dose));
                prop_assert!((reached(&dosed) - target).abs() < 1e-9, "{base:?}");
            }
        }
        let sour = MaltClass::Acidulated.parameters(Ebc::from_ebc(4.0));
        let base = mash.malts[0].parameters;
        for displaced in [None, Some(&base)] {
            if let Some(mass) = amount(mash.acidulated_malt_to(target_ph, sour, displaced)) {
                let mut dosed = mash.clone();
                if displaced.is_some() {
                    dosed.malts[0].mass = dosed.malts[0].mass - mass;
                }
                dosed.malts.push(Malt::new(mass, sour));
                prop_assert!((reached(&dosed) - target).abs() < 1e-9);
            }
        }
        // Acid or base, never both, never neither.
        let acid = amount(mash.acid_to(target_ph, Acid::Lactic)).map_or(0.0, Amount::mmol);
        let base = amount(mash.base_to(target_ph, Base::Lime)).map_or(0.0, Amount::mmol);
        prop_assert!(acid * base == 0.0 && acid + base > 0.0);
    }

    #[test]
    fn a_correction_reads_the_buffering_back(mash in balance(), drop in 0.05..0.5_f64) {
        let before = mash.ph().unwrap();
        let after = p(before.ph() - drop);
        let dose = amount(mash.acid_from_measured(before, after, Acid::Phosphoric)).unwrap();
        let read = mash.buffering_from_log(before, after, Acid::Phosphoric.charge(dose, after)).unwrap();
        let grist: f64 = mash.malts.iter().map(|malt| malt.mass.kg()).sum();
        let mean: f64 = mash
            .malts
            .iter()
            .map(|malt| malt.mass.kg() * malt.parameters.buffering.meq_per_kg_ph())
            .sum::<f64>() / grist;
        prop_assert!((read.meq_per_kg_ph() - mean).abs() < 1e-6);
        // From the computed pH it is the dose to the target.
        let planned = amount(mash.acid_to(after, Acid::Phosphoric)).unwrap();
        prop_assert!((planned / dose - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_salt_solver_is_at_its_optimum(
        source in balanced(),
        wanted in prop::array::uniform6(0.0..300.0_f64),
        weights in prop::array::uniform6(0.2..5.0_f64),
        six in any::<bool>(),
        diluted in any::<bool>(),
        charge in any::<bool>(),
    ) {
        let ions = [
            Ion::Calcium, Ion::Magnesium, Ion::Sodium, Ion::Sulfate, Ion::Chloride, Ion::Bicarbonate,
        ];
        let mut target = Water::ION_FREE;
        for (ion, mg) in ions.into_iter().zip(wanted) {
            target = target.with_ion(ion, Concentration::from_mg_per_litre(mg));
        }
        let fit: Vec<(Ion, f64)> = ions.into_iter().zip(weights).collect();
        let mut salts = DEFAULT_SALTS.to_vec();
        if six {
            salts.push(Salt::MagnesiumChlorideHexahydrate);
        }
        let weighting = if charge { Weighting::Charge } else { Weighting::Mass };
        let dilution = if diluted { Dilution::With(Water::ION_FREE) } else { Dilution::None };
        let found = salts::solve(&Request {
            source, target, fit: &fit, volume: litres(25.0), salts: &salts, weighting, dilution,
        }).unwrap();

        let unit = |ion: Ion, amount: Concentration| match weighting {
            Weighting::Charge => ion.equivalents(amount).meq_per_litre(),
            Weighting::Mass => amount.mg_per_litre(),
        };
        // How much the misfit gains from a little more of something.
        let gain = |of: &dyn Fn(Ion) -> Concentration| -> f64 {
            fit.iter()
                .map(|&(ion, weight)| {
                    let miss = unit(ion, target.ion(ion)) - unit(ion, found.water.ion(ion));
                    weight * weight * unit(ion, of(ion)) * miss
                })
                .sum()
        };
        let scale: f64 = fit.iter().map(|&(ion, w)| w * w * unit(ion, target.ion(ion)).abs()).sum::<f64>() + 1.0;
        for &(salt, mass) in &found.salts {
            let slope = gain(&|ion| salt.contribution(ion)) / scale;
            prop_assert!(mass.grams() >= 0.0);
            prop_assert!(slope <= 1e-6, "{salt:?} would help: {slope}");
            prop_assert!(mass.grams() <= 1e-9 || slope.abs() <= 1e-6, "{salt:?} is not settled: {slope}");
        }
        let share = found.source_share.parts();
        prop_assert!((0.0..=1.0).contains(&share));
        if diluted {
            let slope = gain(&|ion| source.ion(ion)) / scale;
            prop_assert!(share >= 1.0 || slope <= 1e-6, "more source would help: {slope}");
            prop_assert!(share <= 0.0 || slope >= -1e-6, "less source would help: {slope}");
        }
        prop_assert!(found.residual_norm >= found.floor * (1.0 - 1e-9), "{} under {}", found.residual_norm, found.floor);
        prop_assert_eq!(found.unique, !six);
    }

    #[test]
    fn an_answer_is_a_finite_one(x in prop::array::uniform10(any_number()), which in 0..19_usize) {
        let mut seen = vec![];
        let tun = Mash { grist: kg(x[0]), liquor: litres(x[1]), vessel: HeatCapacity::from_kj_per_kelvin(x[2]) };
        let (a, b, d) = (c(x[3]), c(x[4]), c(x[5]));
        let slaking = SpecificEnergy::from_kj_per_kg(x[6]);
        let step = TemperatureStep::from_kelvin(x[7]);
        for vessel in [Vessel::Cold { at: a }, Vessel::AsHotAsLiquor] {
            seen.push(mash::strike_temperature(&tun, b, vessel, d, slaking).map(Temperature::celsius));
            seen.push(mash::initial_temperature(&tun, b, vessel, d, slaking).map(Temperature::celsius));
        }
        seen.push(mash::infusion_volume(&tun, a, b, d).map(Volume::litres));
        seen.push(mash::infusion_temperature(&tun, a, litres(x[8]), d).map(Temperature::celsius));
        seen.push(mash::infusion_liquor_temperature(&tun, a, b, litres(x[8])).map(Temperature::celsius));
        let thick = Decoction::Thick(VolumePerMass::from_litres_per_kg(x[9]));
        seen.push(mash::decoction_volume(&tun, a, b, d, thick, step).map(Volume::litres));
        seen.push(mash::decoction_temperature(&tun, a, litres(x[8]), d, thick, step).map(Temperature::celsius));
        seen.push(mash::decoction_volume_by_mixing(litres(x[8]), a, b, d, step).map(Volume::litres));
        let (power, share) = (Power::from_kw(x[8]), Fraction::from_parts(x[9]));
        seen.push(mash::heating_time(&tun, a, b, power, share, power).map(Time::minutes));
        seen.push(mash::liquor_heating_time(litres(x[0]), a, b, power, share).map(Time::minutes));
        let (loss, time) = (HeatLoss::from_watts_per_kelvin(x[8]), Time::from_minutes(x[9]));
        seen.push(mash::temperature_after(&tun, a, b, loss, time).map(Temperature::celsius));
        seen.push(mash::heat_loss_from_rest(&tun, a, b, d, time).map(HeatLoss::watts_per_kelvin));
        seen.push(mash::slaking_heat(share).map(SpecificEnergy::kj_per_kg));

        let mg = Concentration::from_mg_per_litre;
        let water = Water {
            calcium: mg(x[0]), magnesium: mg(x[1]), sodium: mg(x[2]), potassium: mg(x[3]), chloride: mg(x[4]),
            sulfate: mg(x[5]), nitrate: mg(x[6]), alkalinity: Equivalents::from_meq_per_litre(x[7]), ph: p(x[8]),
        };
        let salt = Salt::ALL[which];
        let acid = Acid::ALL[which % 5];
        let dose = [(acid, Amount::from_mmol(x[9]))];
        let all = |water: Water| [
            water.alkalinity.meq_per_litre(), water.ph.ph(), water.calcium.mg_per_litre(),
            water.sulfate.mg_per_litre(),
        ];
        let mut waters = vec![
            water.with_salts(&[(salt, kg(x[9]))], litres(x[3])),
            water.with_acids(&dose, litres(x[3])),
            Water::blend(&[(share, water), (Fraction::from_parts(x[0]), Water::ION_FREE)]),
            water::boiled(&water, share).map(|softened| softened.water),
        ];
        if let Some(liming) = water::lime(&water, litres(x[9])) {
            waters.push(Some(liming.softened.water));
            seen.push(Some(liming.recommended.kg()));
        }
        seen.extend(waters.into_iter().flatten().flat_map(all).map(Some));
        seen.push(water.sulfate_to_chloride());
        seen.push(water.charge_balance().imbalance().map(Fraction::parts));
        seen.push(water::true_alkalinity(&water, p(x[9])).map(Equivalents::meq_per_litre));
        seen.push(
            water::dechlorinate(mg(x[0]), Chlorine::Chloramine, litres(x[1]), Salt::SodiumMetabisulfite)
                .map(|dose| dose.recommended.kg()),
        );
        seen.push(water::gypsum_solubility(a).map(Concentration::mg_per_litre));
        seen.push(water::calcium_chloride_density(share).map(|density| density.kg_per_litre()));
        for air in [Air::Closed, Air::Open { log_pressure: x[4] }] {
            seen.push(carbonate::ph_with_acids(&water, &[(acid, x[9])], air).map(Ph::ph));
            seen.push(carbonate::acid_for(&water, acid, p(x[5]), air));
            seen.push(amount(sparge_acid(&water, litres(x[6]), p(x[7]), acid, air)).map(Amount::mmol));
        }
        seen.push(acid.molarity(share, None));
        seen.push(acid.volume_of(Amount::from_mmol(x[0]), share, None).map(Volume::litres));

        let class = MaltClass::Caramel.parameters(Ebc::from_ebc(x[2]));
        let malts = vec![Malt { quadratic: x[3], ..Malt::new(kg(x[1]), class) }];
        if let Some(mash) = MashBalance::new(malts, &water, litres(x[4]), &[(salt, kg(x[5]))], dose.to_vec()) {
            seen.push(mash.ph().map(Ph::ph));
            seen.push(mash.estimate().map(|found| found.sd));
            seen.push(amount(mash.acid_to(p(x[6]), acid)).map(Amount::mmol));
            seen.push(amount(mash.base_to(p(x[6]), Base::Lime)).map(Amount::mmol));
            seen.push(amount(mash.acidulated_malt_to(p(x[6]), class, None)).map(Mass::kg));
        }
        let fit: Vec<(Ion, f64)> = Ion::ALL.into_iter().zip(x).collect();
        let found = salts::solve(&Request {
            source: water,
            target: Water { calcium: mg(x[9]), ..water },
            fit: &fit,
            volume: litres(x[8]),
            salts: &Salt::ALL,
            weighting: Weighting::Charge,
            dilution: Dilution::With(Water::ION_FREE),
        });
        if let Some(found) = found {
            seen.extend(found.salts.iter().map(|(_, mass)| Some(mass.kg())));
            seen.push(Some(found.residual_norm));
        }
        for (place, value) in seen.into_iter().enumerate() {
            prop_assert!(value.is_none_or(f64::is_finite), "answer {place} is {value:?}");
        }
    }
}
