//! What a reading of the mash calls for, and what a correction showed of the grist.

use brewing::acid::Acid;
use brewing::ph::{BUFFERING_RANGE, Base, Dose, MashBalance, PROTON_BALANCE};
use brewing::water::Salt;
use quantity::typed::{Amount, Charge, Fraction, Ph};
use recipe::{Event, PhOf, Thing, Vessel};
use syntax::vocabulary::Keyword;

use crate::dose::{expected, expected_bounds};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::log::Actual;
use crate::show::Show;
use crate::why::Why;

/// What brings a mash that was read to the pH aimed at.
#[derive(Clone, Debug, PartialEq)]
pub struct MashCorrection {
    /// Index of the reading in the log.
    pub entry: usize,
    /// As read.
    pub read: f64,
    /// What is aimed at: written, else expected, else planned.
    pub aim: f64,
    /// What to give.
    pub remedy: Remedy,
}

/// What to give to a mash.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// Acid: its name and strength (parts of one), mL.
    Acid {
        /// As the log or the recipe names it.
        name: Box<str>,
        /// Share by mass.
        strength: f64,
        /// mL
        millilitres: f64,
    },
    /// Baking soda, g.
    BakingSoda(f64),
    /// Nothing: the reading is as near as a meter can tell.
    Nothing,
}

/// A difference of pH that meters can tell apart, less what the sum of two decimals is off.
const TOLD_APART: f64 = 0.05 - 1e-9;
/// A sample warmer than this reads another pH, °C.
const COOL_SAMPLE: f64 = 35.0;
/// The acid taken where none is named: lactic acid of the strength that is sold most.
const USUAL_ACID: (&str, Acid, f64) = ("lactic acid", Acid::Lactic, 0.88);

impl Actual<'_> {
    /// Readings of the mash in cooled samples: entry and pH.
    fn mash_readings(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.log.entries.iter().enumerate().filter_map(|(at, entry)| match entry.event {
            Event::Ph { value, sample, of: PhOf::Mash } if sample.is_none_or(|it| it <= COOL_SAMPLE) => {
                Some((at, value))
            }
            _ => None,
        })
    }

    /// Acid of what was put into the mash between two entries at a pH, negative for a base; nothing where some
    /// of it cannot be counted.
    fn given_between(&self, from: usize, to: usize, ph: Ph) -> Option<Charge> {
        let mut given = Charge::from_meq(0.0);
        for entry in self.log.entries.get(from + 1..to)? {
            let Event::Add { amount, thing, vessel: Vessel::Mash } = &entry.event else { continue };
            let recipe::Amount::Of(quant) = amount else { return None };
            let one = match crate::calc::mash_dose(*quant, thing)? {
                crate::calc::MashDose::Acid(acid, mmol) => acid.charge(Amount::from_mmol(mmol), ph),
                crate::calc::MashDose::Base(base, mmol) => {
                    let mash = self.plan?.planned_mash().ok()?;
                    let mut with = mash.clone();
                    with.bases.push((base, Amount::from_mmol(mmol)));
                    mash.demand(ph) - with.demand(ph)
                }
            };
            given += one;
        }
        Some(given)
    }

    /// The buffering of the grist as the log's own corrections show it, mEq/(kg·pH): the mean over all of them,
    /// by how far each moved the pH.
    fn shown_buffering(&self, why: &mut Why) -> Outcome {
        let plan = self.plan.ok_or(Missing::because("the recipe is not found"))?;
        let mash = plan.planned_mash()?;
        let readings: Vec<(usize, f64)> = self.mash_readings().collect();
        let (mut sum, mut moved) = (0.0, 0.0);
        for pair in readings.windows(2) {
            let [(from, before), (to, after)] = pair else { continue };
            let change = (before - after).abs();
            let Some(given) = self.given_between(*from, *to, Ph::from_ph(*after)) else { continue };
            if change < TOLD_APART || given.meq() == 0.0 {
                continue;
            }
            let Some(one) = mash
                .buffering_from_log(Ph::from_ph(*before), Ph::from_ph(*after), given)
                .map(|it| it.meq_per_kg_ph())
            else {
                continue;
            };
            why.formula(|| {
                let liquor = (mash.liquor.demand(Ph::from_ph(*after)) - mash.liquor.demand(Ph::from_ph(*before)))
                    .meq_per_litre()
                    * mash.liquor.volume.litres();
                format!(
                    "{before:.2} to {after:.2}: ({:+.1} mEq of acid given - {liquor:+.1} taken by the liquor) / ({} kg × {:+.2} pH) = {one:.1} mEq/kg",
                    given.meq(),
                    Show::Mass.number(grist(&mash)),
                    before - after
                )
            });
            sum += one * change;
            moved += change;
        }
        if moved == 0.0 {
            return Err(Missing::because(
                "no acid or base is logged between two readings of the mash that differ by 0.05 or more",
            ));
        }
        Ok(sum / moved)
    }

    pub(crate) fn mash_buffering(&self, why: &mut Why) -> Outcome {
        let shown = self.shown_buffering(why)?;
        why.source(&PROTON_BALANCE);
        why.within(&BUFFERING_RANGE, shown, "a buffering of", " mEq/kg");
        if let Some(planned) = self.plan.and_then(|plan| plan.planned_mash().ok()).map(|mash| mean(&mash)) {
            why.formula(|| format!("the malts were taken to have {planned:.1} mEq/kg together"));
        }
        Ok(shown)
    }

    /// What brings the mash from a reading to the pH aimed at.
    ///
    /// # Errors
    /// Where there is no such reading in a cooled sample, or nothing to aim at.
    pub fn mash_correction(&self, entry: usize) -> Result<MashCorrection, Missing> {
        self.correction(entry, &mut Why::off())
    }

    /// The last reading of the mash in a cooled sample, as an index into the log.
    #[must_use]
    pub fn last_mash_reading(&self) -> Option<usize> {
        self.mash_readings().last().map(|(at, _)| at)
    }

    /// The mash with the buffering that the log shows, where it shows a likely one.
    fn buffered_as_shown(&self, why: &mut Why) -> Result<MashBalance, Missing> {
        let plan = self.plan.ok_or(Missing::because("the recipe is not found"))?;
        let mut mash = plan.planned_mash()?;
        let planned = mean(&mash);
        match self.shown_buffering(&mut Why::off()) {
            Ok(shown) if BUFFERING_RANGE.check(shown).is_none() => {
                for malt in &mut mash.malts {
                    malt.parameters.buffering = malt.parameters.buffering * (shown / planned);
                }
                why.formula(|| format!("buffering {shown:.1} mEq/kg, as the correction before showed it"));
            }
            _ => why.assume("buffering", || format!("{planned:.1} mEq/kg"), "the malts of the recipe"),
        }
        Ok(mash)
    }

    fn correction(&self, entry: usize, why: &mut Why) -> Result<MashCorrection, Missing> {
        let plan = self.plan.ok_or(Missing::because("the recipe is not found"))?;
        let (_, read) = self
            .mash_readings()
            .find(|(at, _)| *at == entry)
            .ok_or(Missing::because("no mash pH is logged of a sample cooled to 35 C or less"))?;
        let written = plan.recipe.mash.ph.as_ref().map(|given| given.value);
        let aim = match written.or_else(|| expected(plan.recipe, FigureId::MashPh)) {
            Some(aim) => aim,
            None => plan.value(FigureId::MashPh)?,
        };
        // A brewer who names a range is content anywhere in it.
        let content = written.is_none()
            && expected_bounds(plan.recipe, FigureId::MashPh)
                .is_some_and(|(low, high)| low <= read && read <= high);
        if content || (read - aim).abs() < TOLD_APART {
            return Ok(MashCorrection { entry, read, aim, remedy: Remedy::Nothing });
        }
        let mash = self.buffered_as_shown(why)?;
        let (from, to) = (Ph::from_ph(read), Ph::from_ph(aim));
        why.source(&PROTON_BALANCE);
        let malts = mean(&mash) * grist(&mash) * (read - aim);
        let all = (mash.demand(to) - mash.demand(from)).meq();
        why.formula(|| {
            format!(
                "{} kg × {:.1} mEq/kg × ({read:.2} - {aim:.2}) = {malts:+.1} mEq for the malts, {:+.1} for liquor and acids already in it: {all:+.1} mEq",
                Show::Mass.number(grist(&mash)),
                mean(&mash),
                all - malts
            )
        });
        let cannot = Missing::because("no dose fits this mash");
        if aim > read {
            let Some(Dose::Add(soda)) = mash.base_from_measured(from, to, Base::Bicarbonate) else {
                return Err(cannot);
            };
            let grams = soda.mmol() * Salt::BakingSoda.molar_mass() / 1000.0;
            return Ok(MashCorrection { entry, read, aim, remedy: Remedy::BakingSoda(grams) });
        }
        let (name, acid, strength) = self.acid_at_hand();
        let Some(Dose::Add(amount)) = mash.acid_from_measured(from, to, acid) else { return Err(cannot) };
        let volume = acid.volume_of(amount, Fraction::from_parts(strength), None).ok_or(cannot)?;
        why.formula(|| {
            format!(
                "{all:.1} mEq / {:.3} charges at pH {aim:.2} = {:.1} mmol, {} mL of {name} of {:.0} %",
                acid.protons(to),
                amount.mmol(),
                Show::Millilitres.number(volume.millilitres()),
                strength * 100.0
            )
        });
        let remedy = Remedy::Acid { name: name.into(), strength, millilitres: volume.millilitres() };
        Ok(MashCorrection { entry, read, aim, remedy })
    }

    /// The acid of the log's mash, else of the recipe's, else the usual.
    fn acid_at_hand(&self) -> (&str, Acid, f64) {
        let logged = self.log.entries.iter().filter_map(|entry| match &entry.event {
            Event::Add { thing, vessel: Vessel::Mash, .. } => Some(thing),
            _ => None,
        });
        let planned = self.plan.into_iter().flat_map(|plan| &plan.recipe.liquor.additions);
        let acid = |thing: &'_ Thing| {
            let strength = thing.number(Keyword::Strength)?.value.value;
            Some((crate::calc::acid_of(thing)?, strength))
        };
        logged
            .chain(planned.map(|addition| &addition.thing))
            .find_map(|thing| acid(thing).map(|(acid, strength)| (&*thing.name, acid, strength)))
            .unwrap_or(USUAL_ACID)
    }

    pub(crate) fn mash_acid_correction(&self, why: &mut Why) -> Outcome {
        let last = self
            .last_mash_reading()
            .ok_or(Missing::because("no mash pH is logged of a sample cooled to 35 C or less"))?;
        let found = self.correction(last, why)?;
        match found.remedy {
            Remedy::Acid { millilitres, .. } => {
                why.caution(|| {
                    "give two thirds of it, stir, wait ten minutes and read a cooled sample again; wear gloves and eye protection with strong acid"
                        .into()
                });
                Ok(millilitres)
            }
            Remedy::BakingSoda(grams) => Err(Missing::since(format!(
                "the mash read {:.2}, below the {:.2} aimed at: {} g of baking soda would raise it",
                found.read,
                found.aim,
                Show::Grams.number(grams)
            ))),
            Remedy::Nothing => Err(Missing::since(format!(
                "the mash read {:.2}, which is as wanted or as near to the {:.2} aimed at as a meter can tell",
                found.read, found.aim
            ))),
        }
    }
}

/// Grain in a mash, kg.
fn grist(mash: &MashBalance) -> f64 {
    mash.malts.iter().map(|malt| malt.mass.kg()).sum()
}

/// Mean buffering of the grist of a mash, mEq/(kg·pH).
fn mean(mash: &MashBalance) -> f64 {
    let sum: f64 =
        mash.malts.iter().map(|malt| malt.mass.kg() * malt.parameters.buffering.meq_per_kg_ph()).sum();
    sum / grist(mash)
}
