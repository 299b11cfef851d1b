//! What holds for any numbers: functions undo each other, nothing is lost in the chain of volumes, and an
//! answer that is given is a finite one.

use brewing::bitterness::{Charge, Kettle, Packing};
use brewing::volumes::{Evaporation, Route, Stage};
use brewing::{alcohol, attenuation, bitterness, colour, correct, gravity, grist, measure, volumes};
use proptest::prelude::*;
use quantity::typed::{
    Fraction, Gravity, Ibu, Length, Lovibond, Mass, Plato, Temperature, Time, Volume, VolumePerMass,
    VolumeRate,
};

/// Any finite number, the absurd ones too.
fn finite() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -1e3..1e4_f64,
        1 => prop::num::f64::NORMAL | prop::num::f64::ZERO | prop::num::f64::SUBNORMAL,
        1 => prop::sample::select(vec![0.0, 1.0, -1.0, 20.0, 100.0, f64::MAX, f64::MIN]),
    ]
}

fn route() -> impl Strategy<Value = Route> {
    let share = (0.01..0.30_f64).prop_map(|x| Evaporation::ShareOfPreBoil(Fraction::from_parts(x)));
    let rate = (0.0..8.0_f64).prop_map(|x| Evaporation::Rate(VolumeRate::from_litres_per_hour(x)));
    let amounts = prop::array::uniform10(0.0..9.0_f64);
    (prop_oneof![share, rate], 0.0..150.0_f64, amounts).prop_map(|(evaporation, boil, x)| {
        let litres = Volume::from_litres;
        let keeps = VolumePerMass::from_litres_per_kg;
        Route {
            mashed_grain: Mass::from_kg(x[0]),
            grain_absorption: keeps(x[1]),
            dead_space: litres(x[2]),
            evaporation,
            boil: Time::from_minutes(boil),
            kettle_top_up: litres(x[3]),
            trub: litres(x[4]),
            kettle_hops: Mass::from_kg(x[5] / 20.0),
            hop_absorption: keeps(x[6]),
            fermenter_top_up: litres(x[7]),
            fermenter_loss: litres(x[8]),
            dry_hops: Mass::from_kg(x[9] / 20.0),
            dry_hop_absorption: keeps(8.0),
        }
    })
}

proptest! {
    #[test]
    fn gravity_and_extract_undo_each_other(sg in 0.95..1.4_f64, litres in 0.1..5000.0_f64) {
        let (sg, volume) = (Gravity::from_sg(sg), Volume::from_litres(litres));
        prop_assert!((gravity::gravity(gravity::plato(sg)).sg() - sg.sg()).abs() < 1e-13);
        let back = gravity::gravity_of(gravity::extract_mass(volume, sg), volume);
        prop_assert!((back.unwrap().sg() - sg.sg()).abs() < 1e-12);
    }

    #[test]
    fn alcohol_and_original_gravity_undo_each_other(og in 1.0..1.15_f64, fg in 0.985..1.05_f64) {
        let (og, fg) = (Gravity::from_sg(og), Gravity::from_sg(fg));
        let back = alcohol::original_gravity(alcohol::by_volume(og, fg), fg);
        prop_assert!((back.sg() - og.sg()).abs() < 1e-11, "{back:?}");
    }

    #[test]
    fn more_sugar_ferments_further(adf in 0.5..0.9_f64, sugar in 0.0..5.0_f64) {
        use attenuation::Fermentability::{Sugar, Wort};
        let share = |kg: f64| {
            let parts = [(Mass::from_kg(5.0), Wort), (Mass::from_kg(kg), Sugar(Fraction::from_parts(1.0)))];
            attenuation::fermented_share(parts, Fraction::from_parts(adf)).unwrap()
        };
        prop_assert!(share(sugar + 0.1) > share(sugar));
        prop_assert!(share(sugar).parts() <= 1.0);
    }

    #[test]
    fn the_chain_is_the_same_from_every_stage(route in route(), batch in 1.0..2000.0_f64) {
        let batch = Volume::from_litres(batch);
        let chain = route.volumes(Stage::Batch, batch).unwrap();
        let known = [
            (Stage::TotalLiquor, chain.total_liquor),
            (Stage::PreBoil, chain.pre_boil),
            (Stage::PostBoil, chain.post_boil),
            (Stage::KnockOut, chain.knock_out),
            (Stage::Packaged, chain.packaged),
        ];
        for (stage, volume) in known {
            let again = route.volumes(stage, volume).unwrap();
            prop_assert!((again.batch - batch).litres().abs() < 1e-8, "{stage:?} {again:?}");
        }
    }

    #[test]
    fn an_answer_is_finite(x in prop::array::uniform8(finite())) {
        let [a, b, c, d, e, f, g, h] = x;
        let sg = Gravity::from_sg;
        let litres = Volume::from_litres;
        let minutes = Time::from_minutes;
        let kg = Mass::from_kg;
        let parts = Fraction::from_parts;
        let plato = Plato::from_plato;
        let celsius = Temperature::from_celsius;
        let mut answers: Vec<(&str, Option<f64>)> = vec![
            ("gravity_of", gravity::gravity_of(kg(a), litres(b)).map(Gravity::sg)),
            ("volume_of", gravity::volume_of(kg(a), sg(b)).map(Volume::litres)),
            ("refractive index", gravity::brix_of_refractive_index(a).map(Plato::plato)),
            ("uk_excise", alcohol::uk_excise(sg(a), sg(b)).map(|s| s.declared.parts())),
            ("balling", alcohol::AlcoholMethod::Balling.by_volume(sg(a), sg(b)).map(Fraction::parts)),
            ("cutaia", alcohol::AlcoholMethod::Cutaia.by_volume(sg(a), sg(b)).map(Fraction::parts)),
            ("adf", attenuation::apparent(plato(a), plato(b)).map(Fraction::parts)),
            ("rdf", attenuation::real(plato(a), plato(b)).map(Fraction::parts)),
            ("share", attenuation::fermented_share_between(sg(a), sg(b)).map(Fraction::parts)),
            ("malt colour", colour::malt_colour_units([(kg(a), Lovibond::from_lovibond(b))], litres(c)).map(|m| m.mcu())),
            ("mix", correct::mix((litres(a), sg(b)), (litres(c), sg(d))).map(|(v, g)| v.litres() + g.sg())),
            ("dilution", correct::dilution(litres(a), sg(b), sg(c)).map(Volume::litres)),
            ("extract", correct::extract_to_add(litres(a), sg(b), sg(c), parts(d)).map(|e| e.mass.kg())),
            (
                "longer boil",
                correct::longer_boil(litres(a), sg(b), sg(c), VolumeRate::from_litres_per_hour(d))
                    .map(|boil| boil.time.minutes() + boil.volume.litres()),
            ),
            ("first wort", grist::first_wort(parts(a), parts(b), VolumePerMass::from_litres_per_kg(c)).map(Plato::plato)),
            ("lauter", grist::lauter_efficiency(3, litres(a), litres(b)).map(Fraction::parts)),
            (
                "grist efficiency",
                grist::efficiency_for_grist(parts(a), 2, litres(b), litres(c), litres(d)).map(Fraction::parts),
            ),
            ("evaporation", volumes::evaporation_rate(litres(a), litres(b), litres(c), minutes(d)).map(|r| r.litres_per_hour())),
            ("evaporation share", volumes::evaporation_share(litres(a), litres(b), litres(c), minutes(d)).map(Fraction::parts)),
            (
                "cooling",
                bitterness::equivalent_minutes_cooling(minutes(a), celsius(b), celsius(c), minutes(d)).map(Time::minutes),
            ),
            ("aged", bitterness::aged_alpha(parts(a), parts(b), minutes(c), celsius(d), Packing::Inert).map(Fraction::parts)),
            ("storage index", bitterness::loss_from_storage_index(a).map(Fraction::parts)),
            ("alpha for", bitterness::alpha_for(Ibu::from_ibu(a), litres(b), parts(c)).map(Mass::kg)),
            ("diluted", bitterness::diluted(Ibu::from_ibu(a), litres(b), litres(c)).map(Ibu::ibu)),
            ("iso", Some(bitterness::iso_alpha_fraction(minutes(a), celsius(b)).parts())),
            ("dms", Some(brewing::dms::precursor_left(minutes(a), celsius(b)).parts())),
        ];
        let charge = Charge { alpha: kg(a), boil: minutes(b), stand: minutes(c), factor: d };
        let kettle =
            Kettle { gravity: sg(e), post_boil: litres(f), elevation: Length::from_metres(g) };
        for model in [bitterness::Model::Tinseth, bitterness::Model::Rager, bitterness::Model::Garetz] {
            let ibu = model.bitterness(&[charge], &kettle).map(|each| each[0].ibu());
            answers.push(("bitterness", ibu));
        }
        let route = Route {
            mashed_grain: kg(a),
            grain_absorption: VolumePerMass::from_litres_per_kg(b),
            evaporation: Evaporation::ShareOfPreBoil(parts(c)),
            boil: minutes(d),
            kettle_top_up: litres(e),
            trub: litres(f),
            fermenter_loss: litres(g),
            ..Route::default()
        };
        for stage in [Stage::TotalLiquor, Stage::PostBoil, Stage::Batch, Stage::Packaged] {
            if let Some(v) = route.volumes(stage, litres(h)) {
                let all = [v.total_liquor, v.pre_boil, v.evaporated, v.post_boil, v.knock_out, v.batch, v.packaged];
                answers.extend(all.map(|volume| ("volumes", Some(volume.litres()))));
            }
        }
        for (what, answer) in answers {
            prop_assert!(answer.is_none_or(f64::is_finite), "{what}: {answer:?}");
        }
    }

    #[test]
    fn a_swatch_has_a_colour_for_any_beer(srm in finite(), metres in finite()) {
        let (srm, depth) = (quantity::typed::Srm::from_srm(srm), Length::from_metres(metres));
        let lab = colour::spectrum::lab(srm, depth, colour::spectrum::Viewing::Laboratory);
        prop_assert!(lab.lightness.is_finite() && lab.a.is_finite() && lab.b.is_finite(), "{lab:?}");
    }

    #[test]
    fn hot_volumes_are_larger(litres in 0.1..5000.0_f64, celsius in 21.0..100.0_f64) {
        let cold = Volume::from_litres(litres);
        let hot = measure::hot_volume(cold, Temperature::from_celsius(celsius));
        prop_assert!(hot > cold);
        prop_assert!((measure::cold_volume(hot, Temperature::from_celsius(celsius)) - cold).litres().abs() < 1e-9);
    }
}
