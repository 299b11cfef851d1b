//! A recipe for another batch: which factor each amount takes so that the beer stays the same.
//!
//! Boil-off, trub and what the vessels keep do not grow with the batch, so that no single factor is right.
//! Held are the gravity and the colour (extract and colour in a litre of wort), the bitterness of each hop,
//! the ions of mash and sparge liquor, and the mash pH where the recipe doses an acid for it.

use quantity::Dimension;
use recipe::{Amount, Joins, KettleTime, Place, Quant, Recipe, Vessel};
use syntax::vocabulary::Keyword;

use crate::calc::Calc;
use crate::figure::Missing;
use crate::id::FigureId;
use crate::settings::Settings;

/// The factor of each amount.
#[derive(Clone, Debug, PartialEq)]
pub struct Resized {
    /// New batch, L.
    pub litres: f64,
    /// Of the batch, and of all that goes by it: yeast, dry hops, finings, water that tops up.
    pub batch: f64,
    /// Of what is mashed, steeped, cooked or boiled, and of water that goes with the grist.
    pub grist: f64,
    /// Of each of the recipe's `additions`, in their order.
    pub additions: Vec<f64>,
    /// Of the mash liquor.
    pub mash: f64,
    /// Of the sparge liquor.
    pub sparge: f64,
    /// Of each addition to the liquor, in their order.
    pub water: Vec<f64>,
    /// Of what is packaged, by part.
    pub packaged: Vec<f64>,
}

/// Rounds after which the factors have settled or never will.
const ROUNDS: usize = 60;
/// Change below which they have.
const SETTLED: f64 = 1e-10;
/// Acid is not dosed beyond this multiple of its share of the batch.
const MOST_ACID: f64 = 4.0;

/// The factors that bring a recipe to another batch.
///
/// # Errors
/// Where gravity or volumes cannot be computed, or the mash is shared with another recipe.
pub fn resize(recipe: &Recipe, settings: &Settings, litres: f64) -> Result<Resized, Missing> {
    if recipe.from.is_some() || recipe.mash.runnings.is_some() {
        return Err(Missing::because(
            "its mash makes another beer as well, and one of the two cannot be resized alone",
        ));
    }
    if !(litres.is_finite() && litres > 0.0) {
        return Err(Missing::because("the new batch is not above zero"));
    }
    let frozen = freeze(recipe, settings);
    let recipe = &frozen;
    let before = Calc::new(recipe, settings);
    before.value(FigureId::Og)?;
    let batch = litres / before.value(FigureId::BatchVolume)?;
    let mut resized = Resized {
        litres,
        batch,
        grist: batch,
        additions: vec![batch; recipe.additions.len()],
        mash: batch,
        sparge: batch,
        water: vec![batch; recipe.liquor.additions.len()],
        packaged: vec![batch; recipe.parts.len()],
    };
    for _ in 0..ROUNDS {
        let last = resized.clone();
        let next = resized.of(recipe);
        resized.settle(&before, &Calc::new(&next, settings))?;
        if resized.moved(&last) < SETTLED {
            break;
        }
    }
    resized.hold_mash_ph(recipe, settings);
    let next = resized.of(recipe);
    for (at, factor) in resized.packaged.iter_mut().enumerate() {
        let packaged = |recipe| Calc::of_part(recipe, settings, at).value(FigureId::PackagedVolume);
        if let (Ok(old), Ok(new)) = (packaged(recipe), packaged(&next)) {
            *factor = new / old;
        }
    }
    let sound = |factor: f64| factor.is_finite() && factor > 0.0;
    if resized.all().all(sound) {
        Ok(resized)
    } else {
        Err(Missing::because("the vessels keep so much that nothing is left of the new batch"))
    }
}

impl Resized {
    fn all(&self) -> impl Iterator<Item = f64> {
        let lists = [&self.additions, &self.water, &self.packaged];
        [self.batch, self.grist, self.mash, self.sparge]
            .into_iter()
            .chain(lists.into_iter().flatten().copied())
    }

    /// The largest relative change of a factor.
    fn moved(&self, from: &Self) -> f64 {
        self.all().zip(from.all()).map(|(new, old)| ((new - old) / old).abs()).fold(0.0, f64::max)
    }

    /// One step nearer.
    fn settle(&mut self, before: &Calc<'_>, now: &Calc<'_>) -> Result<(), Missing> {
        use FigureId as F;
        // Share of the wort of the kettle that reaches the fermenter.
        let share = |calc: &Calc<'_>| -> Result<f64, Missing> {
            Ok(calc.value(F::KnockOutVolume)? / calc.value(F::PostBoilVolume)?)
        };
        self.grist = self.batch * share(before)? / share(now)?;
        let recipe = before.recipe;
        for (factor, addition) in self.additions.iter_mut().zip(&recipe.additions) {
            *factor = if addition.time == KettleTime::Mash { self.grist } else { self.batch };
        }
        if let (Ok(old), Ok(new)) = (before.hop_lines(), now.hop_lines()) {
            for (old, new) in old.iter().zip(new) {
                if old.ibu > 0.0 && new.ibu > 0.0 && new.mass > 0.0 {
                    // Bitterness goes by the mass, so that one division is enough but for the utilisation.
                    self.additions[old.addition] = new.mass / old.mass * old.ibu / new.ibu;
                }
            }
        }
        if let (Ok(old), Ok(new)) = (before.value(F::TotalLiquor), now.value(F::TotalLiquor)) {
            // One factor for both liquors: then ions and their sum stay.
            let (mash, sparge) = (before.value(F::MashLiquor), before.value(F::SpargeLiquor));
            let mashed = mash.is_ok();
            let written = mash.clone().unwrap_or(0.0) + sparge.unwrap_or(0.0);
            // What is written beside the need of the brewhouse stays what it is, by the batch.
            let more = if written > 0.0 { (written - old) * self.batch } else { 0.0 };
            let whole = if written > 0.0 { (new + more) / written } else { new / old };
            (self.mash, self.sparge) = (whole, whole);
            if recipe.liquor.mash.is_none()
                && let (Ok(old), Ok(new)) = (mash, now.value(F::MashLiquor))
            {
                // Not written, so it goes by the rule of the brewhouse.
                self.mash = new / old;
                if let (Ok(old), Ok(new)) = (before.value(F::SpargeLiquor), now.value(F::SpargeLiquor))
                    && recipe.liquor.sparge.is_none()
                    && old > 0.0
                {
                    self.sparge = new / old;
                }
            }
            for (factor, addition) in self.water.iter_mut().zip(&recipe.liquor.additions) {
                *factor = match addition.vessel {
                    _ if !mashed => whole,
                    Vessel::Mash | Vessel::Unsaid => self.mash,
                    Vessel::Sparge => self.sparge,
                    Vessel::All => whole,
                    Vessel::Kettle | Vessel::Fermenter => self.batch,
                };
            }
        }
        Ok(())
    }

    /// Acid of the mash by what keeps its pH, where the grist is met by more or less liquor than before.
    fn hold_mash_ph(&mut self, recipe: &Recipe, settings: &Settings) {
        let is_acid = |at: usize| {
            let addition = &recipe.liquor.additions[at];
            matches!(addition.vessel, Vessel::Mash | Vessel::Unsaid)
                && matches!(addition.amount, Amount::Of(_))
                && addition.thing.words(Keyword::Role).is_some_and(|role| role.eq_ignore_ascii_case("acid"))
        };
        let acids: Vec<usize> = (0..self.water.len()).filter(|at| is_acid(*at)).collect();
        let Ok(wanted) = Calc::new(recipe, settings).value(FigureId::MashPh) else { return };
        if acids.is_empty() {
            return;
        }
        let mut trial = self.clone();
        let mut ph_with = |factor: f64| -> Option<f64> {
            for at in &acids {
                trial.water[*at] = factor;
            }
            Calc::new(&trial.of(recipe), settings).value(FigureId::MashPh).ok()
        };
        // More acid, lower pH: halve the bracket.
        let (mut low, mut high) = (0.0, self.mash * MOST_ACID);
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            match ph_with(middle) {
                Some(ph) if ph > wanted => low = middle,
                Some(_) => high = middle,
                None => return,
            }
        }
        let found = f64::midpoint(low, high);
        if found < self.mash * (MOST_ACID - 0.01) && found > self.mash * 0.01 {
            for at in acids {
                self.water[at] = found;
            }
        }
    }

    /// The factor of a line of the grist.
    #[must_use]
    pub fn of_grist(&self, joins: Joins) -> f64 {
        if matches!(joins, Joins::Fermenter(_)) { self.batch } else { self.grist }
    }

    /// The recipe with every amount that the figures depend on changed, not rounded.
    #[must_use]
    pub fn of(&self, recipe: &Recipe) -> Recipe {
        let mut next = recipe.clone();
        if let Some(batch) = &mut next.batch {
            batch.value = self.litres;
        }
        for line in &mut next.grist {
            scale(&mut line.amount, self.of_grist(line.joins));
        }
        for (addition, factor) in next.additions.iter_mut().zip(&self.additions) {
            scale(&mut addition.amount, *factor);
        }
        let liquor = &mut next.liquor;
        for (volume, factor) in [
            (&mut liquor.mash, self.mash),
            (&mut liquor.sparge, self.sparge),
            (&mut liquor.top_up_kettle, self.batch),
            (&mut liquor.top_up_fermenter, self.batch),
        ] {
            if let Some(volume) = volume {
                scale(&mut volume.amount, factor);
            }
        }
        for (addition, factor) in liquor.additions.iter_mut().zip(&self.water) {
            scale(&mut addition.amount, *factor);
        }
        for cook in &mut next.cooks {
            if let Some(volume) = &mut cook.volume {
                volume.value *= self.grist;
            }
        }
        for steep in &mut next.steeps {
            if let Some(liquor) = &mut steep.liquor {
                liquor.value *= self.grist;
            }
        }
        for part in &mut next.parts {
            if let Some(volume) = &mut part.volume {
                volume.value *= self.batch;
            }
            for line in &mut part.pitch.lines {
                scale(&mut line.amount, self.batch);
            }
            for step in &mut part.pitch.starter {
                step.volume.value *= self.batch;
            }
            for addition in &mut part.ferment.additions {
                scale(&mut addition.amount, self.batch);
            }
        }
        next
    }
}

/// The recipe with what its expressions give in their place: an expression may or may not follow the batch.
fn freeze(recipe: &Recipe, settings: &Settings) -> Recipe {
    let calc = Calc::new(recipe, settings);
    let mut frozen = recipe.clone();
    let fix = |amount: &mut Amount, place: Place| {
        let Amount::Expr(expr) = &*amount else { return };
        let block = recipe.blocks.get(usize::from(place.block));
        let value =
            block.and_then(|block| calc.evaluate(expr, block).ok()).and_then(quantity::Value::quantity);
        if let Some(value) = value
            && let Ok(canonical) = value.canonical()
        {
            *amount = Amount::Of(Quant { value: canonical, unit: Some(value.unit), spread: 0.0 });
        }
    };
    for line in &mut frozen.grist {
        fix(&mut line.amount, line.place);
    }
    for line in &mut frozen.additions {
        fix(&mut line.amount, line.place);
    }
    let liquor = &mut frozen.liquor;
    for volume in
        [&mut liquor.mash, &mut liquor.sparge, &mut liquor.top_up_kettle, &mut liquor.top_up_fermenter]
            .into_iter()
            .flatten()
    {
        fix(&mut volume.amount, volume.place);
    }
    for line in &mut liquor.additions {
        fix(&mut line.amount, line.place);
    }
    for line in frozen.parts.iter_mut().flat_map(|part| &mut part.ferment.additions) {
        fix(&mut line.amount, line.place);
    }
    frozen
}

/// An amount that is written becomes so many times as large; what is solved for or computed follows by itself.
fn scale(amount: &mut Amount, factor: f64) {
    if let Amount::Of(quant) = amount
        && quant.unit.is_some_and(|unit| grows(unit.dimension()))
    {
        quant.value *= factor;
        quant.spread *= factor;
    }
}

/// Whether an amount of this dimension goes by the batch; a dose in each litre does not.
#[must_use]
pub const fn grows(dimension: Dimension) -> bool {
    matches!(dimension, Dimension::Mass | Dimension::Volume | Dimension::Count | Dimension::Cells)
}
