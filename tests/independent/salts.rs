//! The salt solver: random sources, profiles, salts at hand, weights and dilution.

use brewing::salts::{DEFAULT_SALTS, Dilution, Request, Weighting, solve};
use brewing::water::{Ion, Salt, Water};
use gyle_tests::generate::Dice;
use quantity::typed::{Concentration, Equivalents, Mass, Ph, Volume};
use serde_json::json;

use crate::Case;
use crate::carbonate::written;

/// Any water, balanced or not: a profile is often not.
fn water(dice: &mut Dice) -> Water {
    let mut mg = |most: f64| Concentration::from_mg_per_litre(dice.between(0.0, most));
    let (calcium, magnesium, sodium) = (mg(180.0), mg(40.0), mg(120.0));
    let (potassium, chloride, sulfate, nitrate) = (mg(10.0), mg(200.0), mg(350.0), mg(40.0));
    Water {
        calcium,
        magnesium,
        sodium,
        potassium,
        chloride,
        sulfate,
        nitrate,
        alkalinity: Equivalents::from_meq_per_litre(dice.between(0.5, 6.0)),
        ph: Ph::from_ph(dice.between(6.8, 8.2)),
    }
}

/// Every case of the area.
pub(crate) fn cases(dice: &mut Dice) -> Vec<Case> {
    let extra = [Salt::Chalk, Salt::SlakedLime, Salt::MagnesiumChlorideHexahydrate, Salt::PotassiumChloride];
    let fitted = [Ion::Calcium, Ion::Magnesium, Ion::Sodium, Ion::Chloride, Ion::Sulfate, Ion::Bicarbonate];
    (0..400)
        .map(|_| {
            let (source, target) = (water(dice), water(dice));
            let mut salts: Vec<Salt> = DEFAULT_SALTS.into_iter().filter(|_| !dice.chance(6)).collect();
            if dice.chance(3) {
                salts.push(*dice.pick(&extra));
            }
            let mut fit = Vec::new();
            for ion in fitted {
                if !dice.chance(8) {
                    fit.push((ion, if dice.chance(3) { dice.between(0.2, 3.0) } else { 1.0 }));
                }
            }
            if fit.is_empty() {
                fit.push((Ion::Calcium, 1.0));
            }
            let weighting = *dice.pick(&[Weighting::Charge, Weighting::Mass]);
            let other = match dice.below(3) {
                0 => None,
                1 => Some(Water::ION_FREE),
                _ => Some(Water { alkalinity: Equivalents::from_meq_per_litre(0.2), ..Water::ION_FREE }),
            };
            let volume = dice.between(5.0, 2000.0);
            let found = solve(&Request {
                source,
                target,
                fit: &fit,
                volume: Volume::from_litres(volume),
                salts: &salts,
                weighting,
                dilution: other.map_or(Dilution::None, Dilution::With),
            });
            let by_name = |salt: Salt| format!("{salt:?}");
            let given = json!({
                "source": written(&source),
                "target": written(&target),
                "fit": fit.iter().map(|(ion, weight)| json!([format!("{ion:?}"), weight])).collect::<Vec<_>>(),
                "salts": salts.iter().map(|&salt| by_name(salt)).collect::<Vec<_>>(),
                "weighting": format!("{weighting:?}"),
                "dilution": other.as_ref().map(written),
            });
            let gyle = json!({
                "norm": found.as_ref().map(|found| found.residual_norm),
                "share": found.as_ref().map(|found| found.source_share.parts()),
                "grams": found.as_ref().map(|found| {
                    found.salts.iter().map(|(_, mass): &(Salt, Mass)| mass.grams() / volume).collect::<Vec<_>>()
                }),
            });
            (if other.is_some() { "diluted" } else { "undiluted" }, given, gyle)
        })
        .collect()
}
