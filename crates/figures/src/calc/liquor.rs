//! Water: source, blend, salts and acids by vessel.

use brewing::acid::Acid;
use brewing::ph::Base;
use brewing::water::{self, Ion, Water};
use quantity::typed::{Amount, Concentration, Density, Equivalents, Fraction, Mass, Ph, Volume};
use quantity::{Quantity, UnitId};
use recipe::{FactValue, Place, Quant, Thing, Vessel, WaterAddition};
use syntax::vocabulary::{Flag, Keyword};

use crate::calc::amounts::{Measured, density_kg_per_litre, measured_quant};
use crate::calc::{Calc, finite};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::show::{Show, litres, percent};
use crate::why::Why;

/// The water of one vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselWater {
    /// L
    pub litres: f64,
    /// With its salts, before acids.
    pub salted: Water,
    /// Alkalinity after acids as well, mEq/L; may be negative.
    pub alkalinity_after_acids: f64,
    /// With the ions of its neutral salts; alkalinity and pH as of the source.
    pub neutral: Water,
    /// Acids in it: line of the liquor, which, and mmol.
    pub acids: Vec<(usize, Acid, f64)>,
    /// Bases in it: which, and mmol.
    pub bases: Vec<(Base, f64)>,
}

/// What one line does to the water of a vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterPart {
    /// Index into the liquor's additions.
    pub addition: usize,
    /// The line.
    pub place: Place,
    /// Into which vessel.
    pub vessel: Vessel,
    /// Share of the line's amount that goes there.
    pub share: f64,
    /// Ions it adds, mg/L.
    pub ions: Vec<(Ion, f64)>,
    /// Alkalinity it adds or takes, mEq/L.
    pub alkalinity: f64,
}

/// All the liquor.
#[derive(Clone, Debug)]
pub(crate) struct Liquors {
    pub(crate) source: Water,
    pub(crate) mash: Option<VesselWater>,
    pub(crate) sparge: Option<VesselWater>,
    /// The one vessel of a brew without a mash.
    pub(crate) kettle: Option<VesselWater>,
    pub(crate) parts: Vec<WaterPart>,
}

/// What a gram of an addition brings.
#[derive(Clone, Debug, Default, PartialEq)]
struct Brings {
    /// mg of each ion.
    ions: Vec<(Ion, f64)>,
    /// mEq.
    alkalinity: f64,
    /// The base it is, and its mmol.
    base: Option<(Base, f64)>,
}

const CARBONATE: f64 = 60.008;
const HYDROXIDE: f64 = 17.007;
/// pH at which acids are counted where the alkalinity after acids is asked for.
const MASH_PH: Ph = Ph::from_ph(5.4);

/// Reads `calcium 232.8, sulfate 557.9`: mg of each ion from a gram.
fn ions_of(thing: &Thing) -> Option<Brings> {
    let mut brings = Brings::default();
    for part in thing.words(Keyword::Ions)?.split(',') {
        let part = part.trim();
        let (name, number) = part.rsplit_once(char::is_whitespace)?;
        let milligrams: f64 = number.parse().ok()?;
        let name = name.trim().to_ascii_lowercase();
        let ion = match name.as_str() {
            "calcium" => Ion::Calcium,
            "magnesium" => Ion::Magnesium,
            "sodium" => Ion::Sodium,
            "potassium" => Ion::Potassium,
            "chloride" => Ion::Chloride,
            "sulfate" | "sulphate" => Ion::Sulfate,
            "nitrate" => Ion::Nitrate,
            "bicarbonate" => {
                let mmol = milligrams / Ion::Bicarbonate.molar_mass();
                brings.alkalinity += mmol;
                brings.base = Some((Base::Bicarbonate, mmol));
                continue;
            }
            "carbonate" => {
                let mmol = milligrams / CARBONATE;
                brings.alkalinity += 2.0 * mmol;
                brings.base = Some((Base::Chalk, mmol));
                continue;
            }
            "hydroxide" => {
                let mmol = milligrams / HYDROXIDE;
                brings.alkalinity += mmol;
                brings.base = Some((Base::Lime, mmol / 2.0));
                continue;
            }
            // Ions that no figure names (ammonium, phosphate, zinc) neither help nor harm here.
            _ => continue,
        };
        brings.ions.push((ion, milligrams));
    }
    // Chalk is the carbonate of calcium; that of sodium dissolves whole.
    if let Some((base @ Base::Chalk, _)) = &mut brings.base
        && !brings.ions.iter().any(|(ion, _)| *ion == Ion::Calcium)
    {
        *base = Base::Carbonate;
    }
    Some(brings)
}

/// What an amount of something does to the pH of a mash.
pub(crate) enum MashDose {
    /// Acid, mmol.
    Acid(Acid, f64),
    /// Base, mmol.
    Base(Base, f64),
}

/// An amount of an acid or a base; nothing for other things, or where the amount cannot be used.
pub(crate) fn mash_dose(quant: Quant, thing: &Thing) -> Option<MashDose> {
    let amount = measured_quant(quant)?;
    if let Some(acid) = acid_of(thing) {
        let strength = Fraction::from_parts(thing.number(Keyword::Strength)?.value.value);
        let mmol = acid_in(acid, amount, strength, own_density(thing))?;
        return Some(MashDose::Acid(acid, mmol.mmol()));
    }
    let Measured::Mass(kg) = amount else { return None };
    let (base, by_gram) = ions_of(thing)?.base?;
    Some(MashDose::Base(base, kg * 1000.0 * by_gram))
}

/// Acid in an amount of it.
fn acid_in(acid: Acid, amount: Measured, strength: Fraction, density: Option<Density>) -> Option<Amount> {
    match amount {
        Measured::Volume(litres) => acid.amount_in(Volume::from_litres(litres), strength, density),
        Measured::Mass(kg) => acid.amount_in_mass(Mass::from_kg(kg), strength),
        _ => None,
    }
}

/// The density a line gives; one that goes with the strength is the acid's own business.
fn own_density(thing: &Thing) -> Option<Density> {
    thing.own.iter().find(|fact| fact.key == Keyword::Density).and_then(|fact| match fact.value {
        FactValue::Number(quant) => Some(Density::from_kg_per_litre(density_kg_per_litre(quant))),
        _ => None,
    })
}

/// Which acid a thing is.
pub(crate) fn acid_of(thing: &Thing) -> Option<Acid> {
    let role = thing.words(Keyword::Role)?;
    if !role.eq_ignore_ascii_case("acid") {
        return None;
    }
    let name = thing.kin().to_ascii_lowercase();
    [
        ("lactic", Acid::Lactic),
        ("phosphoric", Acid::Phosphoric),
        ("hydrochloric", Acid::Hydrochloric),
        ("sulfuric", Acid::Sulfuric),
        ("sulphuric", Acid::Sulfuric),
        ("citric", Acid::Citric),
    ]
    .into_iter()
    .find_map(|(word, acid)| name.contains(word).then_some(acid))
}

fn quantity(quant: Quant) -> Quantity {
    Quantity::new(quant.value, quant.unit.unwrap_or(UnitId::BARE))
}

/// A water as its definition gives it. Ions not written count as zero; alkalinity or bicarbonate, whichever
/// is written.
///
/// # Errors
/// Where the water is not known, or a value is in a unit that it cannot have.
pub fn water_of(thing: &Thing) -> Result<Water, Missing> {
    if thing.definition.is_none() {
        return Err(Missing::since(format!("the water {} is not known", thing.name)).at(thing.place));
    }
    let number = |key| thing.number(key).map(|given| given.value);
    let mut made = Water::ION_FREE;
    for (key, ion) in [
        (Keyword::Calcium, Ion::Calcium),
        (Keyword::Magnesium, Ion::Magnesium),
        (Keyword::Sodium, Ion::Sodium),
        (Keyword::Potassium, Ion::Potassium),
        (Keyword::Chloride, Ion::Chloride),
        (Keyword::Sulfate, Ion::Sulfate),
        (Keyword::Nitrate, Ion::Nitrate),
    ] {
        if let Some(quant) = number(key) {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // charges are 1 or 2
            let charges = ion.charge().abs() as u8;
            let value = written_ion(quant, ion.molar_mass(), charges).ok_or_else(|| {
                Missing::since(format!("{} of {} is in a unit it cannot have", key.word(), thing.name))
            })?;
            made = made.with_ion(ion, value);
        }
    }
    if let Some(ph) = number(Keyword::Ph) {
        made.ph = Ph::from_ph(ph.value);
    }
    if let Some(quant) = number(Keyword::Alkalinity) {
        made.alkalinity = quantity::scale::alkalinity(written(quant)).ok_or_else(|| {
            Missing::since(format!(
                "the alkalinity of {} needs a scale: `ppm as CaCO3`, dH, mEq/L",
                thing.name
            ))
        })?;
    } else if let Some(quant) = number(Keyword::Bicarbonate) {
        let ion = written_ion(quant, Ion::Bicarbonate.molar_mass(), 1).ok_or_else(|| {
            Missing::since(format!("bicarbonate of {} is in a unit it cannot have", thing.name))
        })?;
        made.alkalinity = if number(Keyword::Ph).is_some() {
            brewing::carbonate::alkalinity_from_bicarbonate(ion, &made)
        } else {
            Ion::Bicarbonate.equivalents(ion)
        };
        if let Some(quant) = number(Keyword::Carbonate)
            && let Some(ion) = written_ion(quant, CARBONATE, 2)
        {
            made.alkalinity += Equivalents::from_meq_per_litre(2.0 * ion.mg_per_litre() / CARBONATE);
        }
    }
    Ok(made)
}

/// A quantity as the scale functions of `quantity` want it. Values are kept canonical by the recipe, so the
/// unit handed on is the canonical one of its dimension.
fn written(quant: Quant) -> Quantity {
    let whole = quantity(quant);
    match whole.unit.dimension() {
        quantity::Dimension::Equivalents => Quantity::new(quant.value, UnitId::MEQ_PER_L),
        quantity::Dimension::AmountConcentration => Quantity::new(quant.value, UnitId::MMOL_PER_L),
        quantity::Dimension::Concentration => Quantity::new(quant.value, UnitId::PPM),
        _ => whole,
    }
}

fn written_ion(quant: Quant, molar_mass: f64, charges: u8) -> Option<Concentration> {
    quantity::scale::ion(written(quant), molar_mass, charges)
}

/// A source softened as its flags say, and the lime that takes, g/L.
fn softened(source: &Thing, mut base: Water) -> (Water, f64) {
    let mut lime = 0.0;
    if source.flag(Flag::Boiled)
        && let Some(softened) = water::boiled(&base, Fraction::from_parts(0.0))
    {
        base = softened.water;
    }
    if source.flag(Flag::Limed)
        && let Some(liming) = water::lime(&base, Volume::from_litres(1.0))
    {
        lime = liming.recommended.grams();
        base = liming.softened.water;
    }
    (base, lime)
}

impl Calc<'_> {
    /// How the source was softened, with its numbers.
    fn explain_softening(&self, why: &mut Why) {
        let Some(source) = self.recipe.liquor.source.as_ref().filter(|_| why.is_on()) else { return };
        let Ok(reported) = water_of(source) else { return };
        let (after, lime) = softened(source, reported);
        if after == reported {
            return;
        }
        let as_caco3 = |water: &Water| water::as_calcium_carbonate(water.alkalinity).mg_per_litre();
        if source.flag(Flag::Boiled) {
            why.source(&water::BOILING);
            why.caution(|| {
                "softening by boiling ends within 0.3 mEq/L, 15 ppm as CaCO3, of what is computed".into()
            });
        }
        if lime > 0.0 {
            why.source(&water::LIME);
            let share = 1.0 - self.recipe.liquor.blends.iter().map(|(share, _)| share.value).sum::<f64>();
            why.formula(|| {
                let all = self.value(FigureId::TotalLiquor).unwrap_or(0.0) * share;
                format!(
                    "limed with {:.0} mg/L of slaked lime, 92 % of what stoichiometry asks for: {} g for {}",
                    lime * 1000.0,
                    Show::Grams.number(lime * all),
                    litres(all)
                )
            });
            why.caution(|| {
                "lime burns skin and eyes: goggles and gloves. Let the chalk settle, stop near pH 8, and pour the water off"
                    .into()
            });
        }
        why.formula(|| {
            format!(
                "{} softened: alkalinity {:.1} to {:.1} ppm as CaCO3, calcium {:.1} to {:.1} ppm",
                source.name,
                as_caco3(&reported),
                as_caco3(&after),
                reported.calcium.mg_per_litre(),
                after.calcium.mg_per_litre()
            )
        });
    }

    pub(crate) fn liquors(&self) -> Result<&Liquors, Missing> {
        self.once(&self.liquor, || self.make_liquors()).as_ref().map_err(Clone::clone)
    }

    /// What each line of the liquor does to its vessel.
    ///
    /// # Errors
    /// Where the source or the volumes are not known.
    pub fn water_parts(&self) -> Result<&[WaterPart], Missing> {
        Ok(&self.liquors()?.parts)
    }

    /// The water of a vessel.
    ///
    /// # Errors
    /// Where the source or the volumes are not known, or there is no such vessel in this brew.
    pub fn vessel_water(&self, vessel: Vessel) -> Result<&VesselWater, Missing> {
        let liquors = self.liquors()?;
        match vessel {
            Vessel::Mash => liquors.mash.as_ref().ok_or(Missing::because("nothing is mashed")),
            Vessel::Sparge => liquors.sparge.as_ref().ok_or(Missing::because("there is no sparge")),
            _ => liquors.kettle.as_ref().ok_or(Missing::because("all water goes through the mash")),
        }
    }

    /// The untreated blend.
    ///
    /// # Errors
    /// Where no source is named or a water of the blend is not known.
    pub fn source_water(&self) -> Result<Water, Missing> {
        let liquor = &self.recipe.liquor;
        let Some(source) = &liquor.source else {
            return Err(Missing::because("no source water is named: `source NAME` under `liquor`"));
        };
        let base = softened(source, water_of(source)?).0;
        if liquor.blends.is_empty() {
            return Ok(base);
        }
        let mut parts = Vec::with_capacity(liquor.blends.len() + 1);
        let mut rest = 1.0;
        for (share, thing) in &liquor.blends {
            rest -= share.value;
            parts.push((Fraction::from_parts(share.value), water_of(thing)?));
        }
        if rest < -1e-9 {
            return Err(Missing::because("the shares of the blend come to more than 100 %"));
        }
        parts.push((Fraction::from_parts(rest.max(0.0)), base));
        Water::blend(&parts).ok_or(Missing::because("the waters of the blend cannot be mixed"))
    }

    fn make_liquors(&self) -> Result<Liquors, Missing> {
        let source = self.source_water()?;
        let mash = self.value(FigureId::MashLiquor).ok().filter(|litres| *litres > 0.0);
        let sparge = self.value(FigureId::SpargeLiquor).ok().filter(|litres| *litres > 0.0);
        let vessel = |litres: f64| VesselWater {
            litres,
            salted: source,
            alkalinity_after_acids: source.alkalinity.meq_per_litre(),
            neutral: source,
            acids: Vec::new(),
            bases: Vec::new(),
        };
        let kettle = if mash.is_none() {
            Some(vessel(self.value(FigureId::TotalLiquor).or_else(|_| self.value(FigureId::PreBoilVolume))?))
        } else {
            None
        };
        let mut made =
            Liquors { source, mash: mash.map(vessel), sparge: sparge.map(vessel), kettle, parts: Vec::new() };
        // What is solved for comes last: it has to know all the rest.
        for solved in [false, true] {
            for (at, addition) in self.recipe.liquor.additions.iter().enumerate() {
                if matches!(addition.amount, recipe::Amount::Solved) == solved {
                    self.add_to_water(at, addition, &mut made)?;
                }
            }
        }
        Ok(made)
    }

    fn add_to_water(&self, at: usize, addition: &WaterAddition, made: &mut Liquors) -> Result<(), Missing> {
        if addition.thing.definition.is_none() {
            return Err(Missing::since(format!("{} is not known", addition.thing.name)).at(addition.place));
        }
        let whole = made.mash.as_ref().map_or(0.0, |water| water.litres)
            + made.sparge.as_ref().map_or(0.0, |water| water.litres);
        let into = |vessel: Vessel, share: f64, made: &mut Liquors| -> Result<(), Missing> {
            let water = match vessel {
                Vessel::Mash => made.mash.as_mut(),
                Vessel::Sparge => made.sparge.as_mut(),
                _ => made.kettle.as_mut(),
            };
            let Some(water) = water else { return Ok(()) };
            let part = self.dose(at, addition, vessel, share, water)?;
            made.parts.push(part);
            Ok(())
        };
        if made.kettle.is_some() {
            return into(Vessel::Kettle, 1.0, made);
        }
        match addition.vessel {
            Vessel::Sparge => into(Vessel::Sparge, 1.0, made),
            Vessel::All if whole > 0.0 => {
                let mash = made.mash.as_ref().map_or(0.0, |water| water.litres) / whole;
                into(Vessel::Mash, mash, made)?;
                into(Vessel::Sparge, 1.0 - mash, made)
            }
            Vessel::Mash | Vessel::Unsaid | Vessel::All => into(Vessel::Mash, 1.0, made),
            // What goes into the kettle later is no part of the mash or sparge liquor.
            Vessel::Kettle | Vessel::Fermenter => Ok(()),
        }
    }

    /// Puts a share of an addition into a vessel.
    fn dose(
        &self,
        at: usize,
        addition: &WaterAddition,
        vessel: Vessel,
        share: f64,
        water: &mut VesselWater,
    ) -> Result<WaterPart, Missing> {
        let mut part = WaterPart {
            addition: at,
            place: addition.place,
            vessel,
            share,
            ions: Vec::new(),
            alkalinity: 0.0,
        };
        if let Some(acid) = acid_of(&addition.thing) {
            let mmol = self.acid_amount(at, addition, acid, vessel, water)? * share;
            if let Some(ion) = acid.ion() {
                let more = mmol * ion.molar_mass() / water.litres;
                water.salted = water
                    .salted
                    .with_ion(ion, water.salted.ion(ion) + Concentration::from_mg_per_litre(more));
                part.ions.push((ion, more));
            }
            part.alkalinity = -mmol * acid.protons(MASH_PH) / water.litres;
            water.alkalinity_after_acids += part.alkalinity;
            water.acids.push((at, acid, mmol));
            return Ok(part);
        }
        let Some(brings) = ions_of(&addition.thing) else { return Ok(part) };
        let grams = self.mass_of(&addition.amount, &addition.thing)? * 1000.0 * share;
        for (ion, milligrams) in &brings.ions {
            let more = grams * milligrams / water.litres;
            let more_ions = Concentration::from_mg_per_litre(more);
            water.salted = water.salted.with_ion(*ion, water.salted.ion(*ion) + more_ions);
            // The calcium of chalk and lime acts with its base, and is counted there.
            if !matches!(brings.base, Some((Base::Chalk | Base::Lime, _))) {
                water.neutral = water.neutral.with_ion(*ion, water.neutral.ion(*ion) + more_ions);
            }
            part.ions.push((*ion, more));
        }
        part.alkalinity = grams * brings.alkalinity / water.litres;
        if part.alkalinity != 0.0 {
            part.ions.push((Ion::Bicarbonate, part.alkalinity * Ion::Bicarbonate.molar_mass()));
        }
        water.salted.alkalinity += Equivalents::from_meq_per_litre(part.alkalinity);
        water.alkalinity_after_acids += part.alkalinity;
        if let Some((base, mmol)) = brings.base {
            water.bases.push((base, grams * mmol));
        }
        Ok(part)
    }

    /// mmol of acid on a line.
    fn acid_amount(
        &self,
        at: usize,
        addition: &WaterAddition,
        acid: Acid,
        vessel: Vessel,
        water: &VesselWater,
    ) -> Outcome {
        let strength = addition
            .thing
            .number(Keyword::Strength)
            .map(|given| Fraction::from_parts(given.value.value))
            .ok_or_else(|| {
                Missing::since(format!(
                    "{} has no strength: write it on the line, `[88 %]`",
                    addition.thing.name
                ))
                .at(addition.place)
            })?;
        if matches!(addition.amount, recipe::Amount::Solved) {
            return self.solved_acid(at, addition, acid, vessel, water);
        }
        let amount = self.measured(&addition.amount, addition.place.block)?;
        acid_in(acid, amount, strength, own_density(&addition.thing))
            .map(|amount| amount.mmol())
            .ok_or_else(|| Missing::since(format!("the amount of {} cannot be used", addition.thing.name)))
    }

    fn ion_figure(&self, id: FigureId) -> Option<(Vessel, Ion)> {
        use FigureId as F;
        Some(match id {
            F::Calcium => (Vessel::All, Ion::Calcium),
            F::Magnesium => (Vessel::All, Ion::Magnesium),
            F::Sodium => (Vessel::All, Ion::Sodium),
            F::Chloride => (Vessel::All, Ion::Chloride),
            F::Sulfate => (Vessel::All, Ion::Sulfate),
            F::Bicarbonate => (Vessel::All, Ion::Bicarbonate),
            F::MashCalcium => (Vessel::Mash, Ion::Calcium),
            F::MashMagnesium => (Vessel::Mash, Ion::Magnesium),
            F::MashSodium => (Vessel::Mash, Ion::Sodium),
            F::MashChloride => (Vessel::Mash, Ion::Chloride),
            F::MashSulfate => (Vessel::Mash, Ion::Sulfate),
            F::MashBicarbonate => (Vessel::Mash, Ion::Bicarbonate),
            F::SpargeCalcium => (Vessel::Sparge, Ion::Calcium),
            F::SpargeMagnesium => (Vessel::Sparge, Ion::Magnesium),
            F::SpargeSodium => (Vessel::Sparge, Ion::Sodium),
            F::SpargeChloride => (Vessel::Sparge, Ion::Chloride),
            F::SpargeSulfate => (Vessel::Sparge, Ion::Sulfate),
            F::SpargeBicarbonate => (Vessel::Sparge, Ion::Bicarbonate),
            F::SourceCalcium => (Vessel::Unsaid, Ion::Calcium),
            F::SourceMagnesium => (Vessel::Unsaid, Ion::Magnesium),
            F::SourceSodium => (Vessel::Unsaid, Ion::Sodium),
            F::SourceChloride => (Vessel::Unsaid, Ion::Chloride),
            F::SourceSulfate => (Vessel::Unsaid, Ion::Sulfate),
            F::SourceBicarbonate => (Vessel::Unsaid, Ion::Bicarbonate),
            _ => return None,
        })
    }

    /// An ion in a vessel, mg/L; `All` is the whole liquor by volume, `Unsaid` the untreated blend.
    ///
    /// # Errors
    /// Where the source or the volumes are not known, or there is no such vessel.
    pub fn ion_in(&self, vessel: Vessel, ion: Ion) -> Outcome {
        let liquors = self.liquors()?;
        let of = |water: &VesselWater| water.salted.ion(ion).mg_per_litre();
        Ok(match vessel {
            Vessel::Unsaid => liquors.source.ion(ion).mg_per_litre(),
            Vessel::All => match (&liquors.mash, &liquors.sparge, &liquors.kettle) {
                (Some(mash), Some(sparge), _) => {
                    (of(mash) * mash.litres + of(sparge) * sparge.litres) / (mash.litres + sparge.litres)
                }
                (Some(mash), None, _) => of(mash),
                (None, _, Some(kettle)) => of(kettle),
                _ => liquors.source.ion(ion).mg_per_litre(),
            },
            _ => of(self.vessel_water(vessel)?),
        })
    }

    fn explain_ion(&self, vessel: Vessel, ion: Ion, value: f64, why: &mut Why) {
        if !why.is_on() {
            return;
        }
        let Ok(liquors) = self.liquors() else { return };
        if let Some(source) = &self.recipe.liquor.source {
            why.formula(|| {
                let blends: Vec<String> = (self.recipe.liquor.blends.iter())
                    .map(|(share, thing)| format!(" with {} {}", percent(share.value), thing.name))
                    .collect();
                format!(
                    "{}{}: {:.1} ppm",
                    source.name,
                    blends.concat(),
                    liquors.source.ion(ion).mg_per_litre()
                )
            });
        }
        for part in &liquors.parts {
            if vessel != Vessel::All && part.vessel != vessel {
                continue;
            }
            let Some((_, more)) = part.ions.iter().find(|(of, _)| *of == ion) else { continue };
            let addition = &self.recipe.liquor.additions[part.addition];
            why.uses(&recipe::Origin::Here(part.place));
            let Ok(water) = self.vessel_water(part.vessel) else { continue };
            why.formula(|| {
                let (name, into) = (&addition.thing.name, litres(water.litres));
                let vessel = vessel_word(part.vessel);
                let grams =
                    self.mass_of(&addition.amount, &addition.thing).map(|kg| kg * 1000.0 * part.share);
                match grams {
                    Ok(grams) if acid_of(&addition.thing).is_none() && grams > 0.0 => format!(
                        "{name} ({vessel}): {grams:.3} g × {:.1} mg/g / {into} = {more:+.1} ppm",
                        more * water.litres / grams
                    ),
                    _ => format!("{name} ({vessel}): {more:+.1} ppm in {into}"),
                }
            });
        }
        let salted = liquors.parts.iter().any(|part| {
            (vessel == Vessel::All || part.vessel == vessel) && part.ions.iter().any(|(of, _)| *of == ion)
        });
        if vessel != Vessel::All && !salted {
            why.source(&water::STOICHIOMETRY);
            return;
        }
        why.formula(|| match (vessel, &liquors.mash, &liquors.sparge) {
            (Vessel::All, Some(mash), Some(sparge)) => format!(
                "({:.1} × {} + {:.1} × {}) / {} = {value:.1} ppm",
                mash.salted.ion(ion).mg_per_litre(),
                litres(mash.litres),
                sparge.salted.ion(ion).mg_per_litre(),
                litres(sparge.litres),
                litres(mash.litres + sparge.litres)
            ),
            _ => format!("together in {}: {value:.1} ppm", vessel_word(vessel)),
        });
        why.source(&water::STOICHIOMETRY);
    }

    pub(crate) fn water_figure(&self, id: FigureId, why: &mut Why) -> Outcome {
        use FigureId as F;
        if let Some((vessel, ion)) = self.ion_figure(id) {
            let value = self.ion_in(vessel, ion)?;
            self.explain_ion(vessel, ion, value, why);
            return finite(value);
        }
        let as_caco3 = |equivalents: f64| {
            water::as_calcium_carbonate(Equivalents::from_meq_per_litre(equivalents)).mg_per_litre()
        };
        match id {
            F::Alkalinity => {
                let water = self.main_water()?;
                let value = as_caco3(water.salted.alkalinity.meq_per_litre());
                let source = self.liquors()?.source.alkalinity.meq_per_litre();
                why.formula(|| {
                    format!(
                        "({source:.3} of the source + {:.3} of salts) mEq/L × 50.04 = {value:.1} ppm as CaCO3",
                        water.salted.alkalinity.meq_per_litre() - source
                    )
                });
                why.source(&water::STOICHIOMETRY);
                Ok(value)
            }
            F::MashAlkalinity => {
                let water = self.main_water()?;
                let value = as_caco3(water.alkalinity_after_acids);
                for (at, acid, mmol) in &water.acids {
                    why.formula(|| {
                        format!(
                            "{}: {mmol:.2} mmol × {:.3} charges at pH 5.4 / {} = {:.3} mEq/L",
                            self.recipe.liquor.additions[*at].thing.name,
                            acid.protons(MASH_PH),
                            litres(water.litres),
                            mmol * acid.protons(MASH_PH) / water.litres
                        )
                    });
                }
                why.formula(|| {
                    let salted = water.salted.alkalinity.meq_per_litre();
                    format!(
                        "({salted:.3} after salts - {:.3} of acids) mEq/L × 50.04 = {value:.1} ppm as CaCO3",
                        salted - water.alkalinity_after_acids
                    )
                });
                why.source(&water::STOICHIOMETRY);
                Ok(value)
            }
            F::ResidualAlkalinity => {
                let water = self.main_water()?;
                let value = as_caco3(water.salted.residual_alkalinity().meq_per_litre());
                why.source(&water::KOLBACH);
                why.formula(|| {
                    format!(
                        "{:.1} - calcium {:.1} / 1.4015 - magnesium {:.1} / 1.6999 = {value:.1} ppm as CaCO3",
                        as_caco3(water.salted.alkalinity.meq_per_litre()),
                        water.salted.calcium.mg_per_litre(),
                        water.salted.magnesium.mg_per_litre(),
                    )
                });
                Ok(value)
            }
            F::SourceAlkalinity => {
                let value = as_caco3(self.liquors()?.source.alkalinity.meq_per_litre());
                self.explain_softening(why);
                why.formula(|| format!("of the blend before salts: {}", Show::Alkalinity.with_unit(value)));
                why.source(&water::STOICHIOMETRY);
                Ok(value)
            }
            F::SulfateToChloride => {
                let (sulfate, chloride) = (self.value(F::Sulfate)?, self.value(F::Chloride)?);
                if chloride <= 0.0 {
                    return Err(Missing::because("there is no chloride in the liquor"));
                }
                why.formula(|| {
                    format!("{sulfate:.1} / {chloride:.1} = {}", Show::Ratio.number(sulfate / chloride))
                });
                why.source(&brewing::source::DEFINITION);
                if sulfate < 25.0 && chloride < 25.0 {
                    why.caution(|| {
                        "with less than 25 ppm of either the ratio says little (common practice, no source)"
                            .into()
                    });
                }
                Ok(sulfate / chloride)
            }
            F::ChargeImbalance => {
                let liquors = self.liquors()?;
                let balance = liquors.source.charge_balance();
                let share =
                    balance.imbalance().ok_or(Missing::because("the source has no ions to balance"))?.parts();
                why.formula(|| {
                    let source = &liquors.source;
                    format!(
                        "cations {:.1} / 20.04 + {:.1} / 12.15 + {:.1} / 22.99 + {:.1} / 39.10 = {:.3} mEq/L",
                        source.calcium.mg_per_litre(),
                        source.magnesium.mg_per_litre(),
                        source.sodium.mg_per_litre(),
                        source.potassium.mg_per_litre(),
                        balance.cations.meq_per_litre()
                    )
                });
                why.formula(|| {
                    let source = &liquors.source;
                    format!(
                        "anions {:.1} / 35.45 + {:.1} / 48.03 + {:.1} / 62.00 + alkalinity {:.3} = {:.3} mEq/L",
                        source.chloride.mg_per_litre(),
                        source.sulfate.mg_per_litre(),
                        source.nitrate.mg_per_litre(),
                        source.alkalinity.meq_per_litre(),
                        balance.anions.meq_per_litre()
                    )
                });
                why.formula(|| {
                    let (plus, minus) = (balance.cations.meq_per_litre(), balance.anions.meq_per_litre());
                    format!("({plus:.3} - {minus:.3}) / ({plus:.3} + {minus:.3}) = {}", percent(share))
                });
                why.source(&water::STANDARD_METHODS_1030E);
                Ok(share * 100.0)
            }
            F::SpargePh => self.sparge_ph(why),
            _ => Err(Missing::because("it is not computed")),
        }
    }

    /// The water that meets the grist; of a brew without mash, all of it.
    pub(crate) fn main_water(&self) -> Result<&VesselWater, Missing> {
        let liquors = self.liquors()?;
        liquors.mash.as_ref().or(liquors.kettle.as_ref()).ok_or(Missing::because("there is no liquor"))
    }
}

/// A vessel in the trade's word.
pub(crate) const fn vessel_word(vessel: Vessel) -> &'static str {
    match vessel {
        Vessel::Mash => "mash",
        Vessel::Sparge => "sparge",
        Vessel::Kettle => "kettle",
        Vessel::All => "all",
        Vessel::Fermenter => "fermenter",
        Vessel::Unsaid => "source",
    }
}
