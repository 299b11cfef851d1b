//! pH of mash and sparge, and the acid that reaches one.

use brewing::acid::Acid;
use brewing::carbonate::Air;
use brewing::ph::{self, Dose, Malt, MaltClass, MaltForm, MaltParameters, MashBalance, MashLiquor};
use quantity::typed::{Amount, Buffering, Ebc, Fraction, Mass, Ph, Volume};
use recipe::{Thing, Vessel, WaterAddition};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::Calc;
use crate::calc::amounts::is_mashed;
use crate::calc::liquor::VesselWater;
use crate::figure::{Missing, Outcome};
use crate::show::{Show, litres};
use crate::why::Why;

/// Standard deviation of a mash pH that was measured for the lot and is written in its definition.
const MEASURED_SD: f64 = 0.03;

/// pH and buffering of a malt: as written, else by its class.
fn parameters(thing: &Thing) -> (MaltParameters, MaltClass) {
    let colour = Ebc::from_ebc(thing.number(Keyword::Colour).map_or(5.0, |given| given.value.value));
    let grain = thing.words(Keyword::Grain).unwrap_or("");
    let named = |words: &[&str]| {
        let name = thing.kin().to_lowercase();
        words.iter().any(|word| name.contains(word))
    };
    let class = match &*thing.words(Keyword::Form).unwrap_or("").to_lowercase() {
        "munich-vienna" => MaltClass::of(MaltForm::MunichVienna, false, colour),
        "caramel" => MaltClass::Caramel,
        "roasted" => MaltClass::of(MaltForm::Roasted, false, colour),
        "acidulated" => MaltClass::Acidulated,
        "adjunct-grain" if named(&["hulls"]) => MaltClass::Inert,
        "adjunct-grain" | "raw" | "flaked" | "torrefied" | "starch" => MaltClass::Unmalted,
        _ if named(&["six row", "six-row"]) => MaltClass::SixRow,
        _ => MaltClass::of(MaltForm::Base, grain == "wheat", colour),
    };
    let mut made = class.parameters(colour);
    if let Some(given) = thing.number(Keyword::MashPh) {
        made.ph = Ph::from_ph(given.value.value);
        // A value of the house's own lot is surer than one of a type.
        if matches!(given.origin, recipe::Origin::Here(_))
            || matches!(given.origin, recipe::Origin::Library(place, _) if matches!(place.file, recipe::FileId::Workspace(_)))
        {
            made.ph_sd = MEASURED_SD;
        }
    }
    if let Some(given) = thing.number(Keyword::Buffer) {
        made.buffering = Buffering::from_meq_per_kg_ph(given.value.value);
        made.buffering_sd = made.buffering * 0.05;
    }
    (made, class)
}

impl Calc<'_> {
    /// The mash as the proton balance sees it, without the acids of the line `but`.
    pub(crate) fn mash_balance(
        &self,
        water: &VesselWater,
        but: Option<usize>,
    ) -> Result<MashBalance, Missing> {
        let wort = self.wort()?;
        let malts: Vec<Malt> = self
            .recipe
            .grist
            .iter()
            .zip(&wort.parts)
            .filter(|(line, _)| is_mashed(line) && line.thing.kind() != Some(BlockKind::Sugar))
            .map(|(line, part)| Malt::new(Mass::from_kg(part.mass), parameters(&line.thing).0))
            .collect();
        if malts.is_empty() {
            return Err(Missing::because("nothing is mashed"));
        }
        let acids = water
            .acids
            .iter()
            .filter(|(at, ..)| Some(*at) != but)
            .map(|(_, acid, mmol)| (*acid, Amount::from_mmol(*mmol)))
            .collect();
        let bases = water.bases.iter().map(|(base, mmol)| (*base, Amount::from_mmol(*mmol))).collect();
        let liquor = MashLiquor::new(water.neutral, Volume::from_litres(water.litres));
        Ok(MashBalance { malts, liquor, acids, bases })
    }

    /// The mash as the proton balance sees it, with everything planned in it.
    ///
    /// # Errors
    /// Where liquor or grist are not known.
    pub fn planned_mash(&self) -> Result<MashBalance, Missing> {
        self.mash_balance(self.vessel_water(Vessel::Mash)?, None)
    }

    pub(crate) fn mash_ph(&self, why: &mut Why) -> Outcome {
        let water = self.vessel_water(Vessel::Mash)?;
        let balance = self.mash_balance(water, None)?;
        let estimate = balance.estimate().ok_or(Missing::because("no pH fits this mash"))?;
        if why.is_on() {
            why.source(&ph::PROTON_BALANCE);
            let wort = self.wort()?;
            let mut malts = 0.0;
            for (line, part) in self.recipe.grist.iter().zip(&wort.parts) {
                if !is_mashed(line) || line.thing.kind() == Some(BlockKind::Sugar) {
                    continue;
                }
                let (one, class) = parameters(&line.thing);
                if class == MaltClass::Unmalted {
                    why.source(&ph::ADJUNCTS);
                } else {
                    why.source(&ph::MALTS);
                }
                let demand = part.mass * one.buffering.meq_per_kg_ph() * (one.ph.ph() - estimate.ph.ph());
                malts += demand;
                if class == MaltClass::Caramel && line.thing.number(Keyword::MashPh).is_none() {
                    let ebc = line.thing.number(Keyword::Colour).map_or(5.0, |given| given.value.value);
                    why.within(&ph::CARAMEL_RANGE, ebc, "a caramel malt of", " EBC");
                }
                if let Some(given) = line.thing.number(Keyword::Buffer) {
                    why.within(&ph::BUFFERING_RANGE, given.value.value, "a buffering of", " mEq/kg");
                }
                why.formula(|| {
                    format!(
                        "{}: {} kg × {:.1} mEq/kg × ({:.3} - {:.3}) = {demand:+.1} mEq of acid",
                        line.thing.name,
                        Show::Mass.number(part.mass),
                        one.buffering.meq_per_kg_ph(),
                        one.ph.ph(),
                        estimate.ph.ph(),
                    )
                });
                if line.thing.number(Keyword::MashPh).is_none() {
                    why.assume(
                        format!("mash ph of {}", line.thing.name),
                        || format!("{:.2}", one.ph.ph()),
                        "average of its class",
                    );
                }
            }
            let liquor = balance.liquor.demand(estimate.ph).meq_per_litre() * water.litres;
            let hardness = balance.liquor.hardness_acid().meq_per_litre() * water.litres;
            let acids: f64 =
                balance.acids.iter().map(|(acid, amount)| acid.charge(*amount, estimate.ph).meq()).sum();
            let start = balance.liquor.water;
            why.formula(|| {
                format!(
                    "liquor: carbonate {:.3} mmol/L × ({:.3} - {:.3} charges at pH {:.2} and {:.3}, pKa 6.30 and 10.25) less its free acid = {:.3} mEq/L, × {} = {liquor:+.1} mEq",
                    balance.liquor.carbonate(),
                    ph::carbonate_charge(start.ph),
                    ph::carbonate_charge(estimate.ph),
                    start.ph.ph(),
                    estimate.ph.ph(),
                    liquor / water.litres,
                    litres(water.litres),
                )
            });
            why.formula(|| {
                format!(
                    "hardness: -(calcium {:.1} / 20.04 / 3.5 + magnesium {:.1} / 12.15 / 7) × {} = {:+.1} mEq",
                    start.calcium.mg_per_litre(),
                    start.magnesium.mg_per_litre(),
                    litres(water.litres),
                    -hardness
                )
            });
            for (at, acid, mmol) in &water.acids {
                let name = &self.recipe.liquor.additions[*at].thing.name;
                why.formula(|| {
                    format!(
                        "{name}: -{mmol:.2} mmol × {:.3} charges at pH {:.3} = {:+.1} mEq",
                        acid.protons(estimate.ph),
                        estimate.ph.ph(),
                        -mmol * acid.protons(estimate.ph)
                    )
                });
            }
            if !balance.bases.is_empty() {
                let without = MashBalance { bases: Vec::new(), ..balance.clone() };
                let bases = balance.demand(estimate.ph).meq() - without.demand(estimate.ph).meq();
                why.formula(|| format!("bases, as far as they act at that pH: {bases:+.1} mEq"));
            }
            why.formula(|| {
                format!(
                    "these sum to 0 at pH {:.3}; malts {:+.1}, acids {:+.1} mEq",
                    estimate.ph.ph(),
                    malts,
                    -acids
                )
            });
            why.within(&ph::RATIO_RANGE, water.litres / wort.mashed, "a mash thickness of", " L/kg");
            why.formula(|| format!("95 % band ± {:.2}", 2.0 * estimate.sd));
            if let Some(source) = &self.recipe.liquor.source
                && source.number(Keyword::Ph).is_none()
            {
                why.assume(format!("ph of {}", source.name), || "7.0".into(), "not stated by the water");
            }
            why.caution(|| "measure it ten minutes after mashing in, in a sample cooled to 20 C".into());
        }
        Ok(estimate.ph.ph())
    }

    /// One standard deviation of the mash pH.
    pub(crate) fn mash_ph_spread(&self) -> Option<f64> {
        Some(self.planned_mash().ok()?.estimate()?.sd)
    }

    pub(crate) fn sparge_ph(&self, why: &mut Why) -> Outcome {
        let water = self.vessel_water(Vessel::Sparge)?;
        let acids: Vec<(Acid, Amount)> =
            water.acids.iter().map(|(_, acid, mmol)| (*acid, Amount::from_mmol(*mmol))).collect();
        let treated = water
            .salted
            .with_acids(&acids, Volume::from_litres(water.litres))
            .ok_or(Missing::because("no pH fits this liquor"))?;
        why.source(&brewing::carbonate::CARBONATE);
        why.formula(|| {
            let (alkalinity, before) = (water.salted.alkalinity.meq_per_litre(), water.salted.ph.ph());
            if acids.is_empty() {
                return format!("alkalinity {alkalinity:.3} mEq/L, no acid: pH {before:.2} as the liquor has it");
            }
            let charge: f64 = acids.iter().map(|(acid, amount)| acid.charge(*amount, treated.ph).meq()).sum();
            let mmol: f64 = acids.iter().map(|(_, amount)| amount.mmol()).sum();
            format!(
                "alkalinity {alkalinity:.3} mEq/L at pH {before:.2} less {:.3} mEq/L of charge from {mmol:.2} mmol of acid in {}, no CO2 lost: by trial pH {:.2}",
                charge / water.litres,
                litres(water.litres),
                treated.ph.ph()
            )
        });
        why.within(&brewing::carbonate::CARBONATE_RANGE, treated.ph.ph(), "a pH of", "");
        Ok(treated.ph.ph())
    }

    /// mmol of an acid that is solved for, in a vessel that has everything else in it.
    pub(crate) fn solved_acid(
        &self,
        at: usize,
        addition: &WaterAddition,
        acid: Acid,
        vessel: Vessel,
        water: &VesselWater,
    ) -> Outcome {
        let goal = addition.to_reach.as_ref().ok_or_else(|| {
            Missing::since(format!("{} without an amount needs `to reach ph 5.4`", addition.thing.name))
                .at(addition.place)
        })?;
        let target = Ph::from_ph(goal.value);
        let dose = if vessel == Vessel::Sparge {
            ph::sparge_acid(&water.salted, Volume::from_litres(water.litres), target, acid, Air::Closed)
        } else {
            self.mash_balance(water, Some(at))?.acid_to(target, acid)
        };
        match dose {
            Some(Dose::Add(amount)) => Ok(amount.mmol()),
            Some(Dose::Past(_)) => Err(Missing::since(format!(
                "the pH is at or below {:.2} without {}, so no acid reaches it",
                goal.value, addition.thing.name
            ))
            .at(addition.place)),
            None => Err(Missing::since(format!("{} cannot reach pH {:.2}", addition.thing.name, goal.value))
                .at(addition.place)),
        }
    }

    /// mL of an acid that is solved for, by its line.
    pub(crate) fn solved_acid_millilitres(&self, at: usize) -> Option<f64> {
        let liquors = self.liquors().ok()?;
        let (_, acid, mmol) = [&liquors.mash, &liquors.sparge, &liquors.kettle]
            .into_iter()
            .flatten()
            .flat_map(|water| &water.acids)
            .find(|(line, ..)| *line == at)?;
        let strength = self.recipe.liquor.additions.get(at)?.thing.number(Keyword::Strength)?.value.value;
        let volume = acid.volume_of(Amount::from_mmol(*mmol), Fraction::from_parts(strength), None)?;
        Some(volume.millilitres())
    }
}
