//! One recipe's figures, computed on demand and remembered.
//!
//! Every figure is a function of the recipe and of other figures. A figure is computed when it is first
//! asked for; one that asks for itself on the way is a loop and says so.

mod amounts;
mod beer;
mod cost;
mod expr;
mod hops;
mod lines;
mod liquor;
mod mash;
mod package;
mod ph;
mod solve;
mod spread;
mod wort;
mod yeast;

use std::cell::{Cell, OnceCell, RefCell};
use std::rc::Rc;

use quantity::UnitId;
use quantity::typed::{Gravity, Plato};
use recipe::{Origin, Part, Quant, Recipe};
use syntax::ast::Date;
use syntax::vocabulary::Keyword;

use crate::figure::{Figure, Missing, Outcome};
use crate::id::{FigureId, Scope};
use crate::settings::Settings;
use crate::show::Show;
use crate::why::Why;

pub(crate) use beer::{alcohol_by_volume, apparent_percent};
pub use cost::{Ingredient, price_of};
pub use expr::{Blame, ExprError};
pub use hops::HopLine;
pub(crate) use liquor::{MashDose, acid_of, mash_dose};
pub use liquor::{VesselWater, WaterPart, water_of};
pub use mash::StepFigure;
pub use package::PackageLine;
pub use spread::{INPUT_SPREADS, Input};
pub use wort::GristPart;
pub(crate) use wort::Wort;
pub(crate) use yeast::rate_of;

/// The figures of one recipe (one part of it, where it is split).
pub struct Calc<'r> {
    /// The recipe.
    pub recipe: &'r Recipe,
    /// The models used.
    pub settings: &'r Settings,
    part: usize,
    memo: [Cell<Memo>; FigureId::COUNT],
    /// What was read for each figure.
    memo_reads: [Cell<Reads>; FigureId::COUNT],
    reasons: RefCell<Vec<Missing>>,
    wort: Once<Result<Rc<Wort>, Missing>>,
    wort_busy: Cell<bool>,
    hops: Once<Result<Vec<HopLine>, Missing>>,
    liquor: Once<Result<liquor::Liquors, Missing>>,
    /// Amounts being solved for, while they are being solved.
    trial: Option<solve::Solution>,
    solution: Once<Result<solve::Solution, Missing>>,
    solving: Cell<bool>,
    lets_busy: RefCell<Vec<usize>>,
    /// One input moved, to see what depends on it.
    nudge: Option<(Input, f64)>,
    /// What was read for what is being computed.
    reads: Cell<Reads>,
    /// The day the yeast is pitched, where one is known: yeast ages to it.
    brewed: Option<Date>,
    /// Figures taken as known.
    given: Vec<(FigureId, f64)>,
    parent: OnceCell<Option<Box<Calc<'r>>>>,
    empty_part: Part,
}

/// Kinds of inputs that were read on the way to something, by their bits.
type Reads = u16;

/// Something computed once, and what was read for it.
struct Once<T> {
    value: OnceCell<T>,
    reads: Cell<Reads>,
}

impl<T> Once<T> {
    const fn new() -> Self {
        Self { value: OnceCell::new(), reads: Cell::new(0) }
    }

    /// Forgets it where this was read for it.
    fn forget(&mut self, bit: Reads) {
        if self.reads.get() & bit != 0 {
            *self = Self::new();
        }
    }
}

#[derive(Clone, Copy, Debug)]
enum Memo {
    Unknown,
    Busy,
    Known(f64),
    Absent(usize),
}

impl<'r> Calc<'r> {
    /// The figures of the whole recipe; of its first part where it is split.
    #[must_use]
    pub fn new(recipe: &'r Recipe, settings: &'r Settings) -> Self {
        Self::of_part(recipe, settings, 0)
    }

    /// The figures of one part of a split recipe.
    #[must_use]
    pub fn of_part(recipe: &'r Recipe, settings: &'r Settings, part: usize) -> Self {
        Self {
            recipe,
            settings,
            part,
            memo: [const { Cell::new(Memo::Unknown) }; FigureId::COUNT],
            memo_reads: [const { Cell::new(0) }; FigureId::COUNT],
            reasons: RefCell::default(),
            wort: Once::new(),
            wort_busy: Cell::new(false),
            hops: Once::new(),
            liquor: Once::new(),
            trial: None,
            solution: Once::new(),
            solving: Cell::new(false),
            lets_busy: RefCell::default(),
            nudge: None,
            reads: Cell::new(0),
            brewed: recipe.date(),
            given: Vec::new(),
            parent: OnceCell::new(),
            empty_part: Part::default(),
        }
    }

    /// The same recipe brewed on a day.
    pub(crate) fn on(&self, day: Date) -> Calc<'r> {
        let mut other = Self::of_part(self.recipe, self.settings, self.part);
        other.brewed = Some(day);
        other
    }

    /// The same with one input moved. What was computed without a look at it is taken over.
    fn moved(&self, input: Input, by: f64) -> Calc<'r> {
        let other = self.variant(Some((input, by)), None);
        for (at, memo) in self.memo.iter().enumerate() {
            let reads = self.memo_reads[at].get();
            if matches!(memo.get(), Memo::Known(_)) && reads & input.bit() == 0 {
                other.memo[at].set(memo.get());
                other.memo_reads[at].set(reads);
            }
        }
        if let Some(Ok(wort)) = self.wort.value.get()
            && self.wort.reads.get() & input.bit() == 0
        {
            let _ = other.wort.value.set(Ok(Rc::clone(wort)));
            other.wort.reads.set(self.wort.reads.get());
        }
        other
    }

    /// Moves the input that is moved by something else: what hangs on it is forgotten.
    fn move_by(&mut self, by: f64) {
        let Some((input, moved)) = &mut self.nudge else { return };
        *moved = by;
        let bit = input.bit();
        for (memo, reads) in self.memo.iter().zip(&self.memo_reads) {
            if reads.get() & bit != 0 {
                memo.set(Memo::Unknown);
            }
        }
        self.wort.forget(bit);
        self.hops.forget(bit);
        self.liquor.forget(bit);
        self.solution.forget(bit);
    }

    /// A fresh computation with one input moved or a trial of what is solved for.
    fn variant(&self, nudge: Option<(Input, f64)>, trial: Option<solve::Solution>) -> Calc<'r> {
        let mut other = Self::of_part(self.recipe, self.settings, self.part);
        other.nudge = nudge;
        other.brewed = self.brewed;
        other.trial = trial;
        for &(id, value) in &self.given {
            other.give(id, value);
        }
        other
    }

    /// The same with a figure taken as known, whatever the recipe makes of it: without doubt, and what is
    /// computed from it follows. The value is in the unit the figure is shown in.
    #[must_use]
    pub fn with(mut self, id: FigureId, value: f64) -> Self {
        self.give(id, value);
        self
    }

    fn give(&mut self, id: FigureId, value: f64) {
        self.memo[id as usize].set(Memo::Known(value));
        self.given.push((id, value));
    }

    /// The part of the recipe this is of.
    #[must_use]
    pub fn part(&self) -> &Part {
        self.recipe.parts.get(self.part).unwrap_or(&self.empty_part)
    }

    /// The value of a figure in the unit it is shown in, or why there is none.
    ///
    /// # Errors
    /// The reason it cannot be computed.
    pub fn value(&self, id: FigureId) -> Outcome {
        let cell = &self.memo[id as usize];
        match cell.get() {
            Memo::Known(value) => {
                self.has_read(self.memo_reads[id as usize].get());
                Ok(value)
            }
            Memo::Absent(at) => {
                self.has_read(self.memo_reads[id as usize].get());
                Err(self.reason(at))
            }
            Memo::Busy => Err(Missing {
                reason: format!("{} depends on itself", id.words()).into(),
                cycle: true,
                place: None,
            }),
            Memo::Unknown => {
                cell.set(Memo::Busy);
                let reads = &self.memo_reads[id as usize];
                let outcome = self.noting(reads, || self.compute(id, &mut Why::off())).and_then(finite);
                cell.set(match &outcome {
                    Ok(value) => Memo::Known(*value),
                    Err(missing) => {
                        let mut reasons = self.reasons.borrow_mut();
                        reasons.push(missing.clone());
                        Memo::Absent(reasons.len() - 1)
                    }
                });
                outcome
            }
        }
    }

    /// The figures that have been asked for so far, by themselves or on the way to another, in no order.
    #[must_use]
    pub fn asked(&self) -> Vec<FigureId> {
        let known = |id: &FigureId| !matches!(self.memo[*id as usize].get(), Memo::Unknown);
        FigureId::ALL.iter().copied().filter(known).collect()
    }

    fn reason(&self, at: usize) -> Missing {
        self.reasons.borrow().get(at).cloned().unwrap_or(Missing::because("it cannot be computed"))
    }

    /// A figure with its formula, sources and assumptions. The uncertainty is left to
    /// [`Calc::spread`], which costs more.
    ///
    /// # Errors
    /// The reason it cannot be computed.
    pub fn explain(&self, id: FigureId) -> Result<Figure, Missing> {
        let known = self.value(id)?;
        let mut why = Why::on();
        // Computed once more, now recording; what it depends on is remembered, so this is cheap.
        let value = self.compute(id, &mut why).and_then(finite).unwrap_or(known);
        let record = why.into_record();
        Ok(Figure {
            id,
            value,
            currency: id.is_money().then(|| self.currency()).flatten(),
            bounds: None,
            formula: record.formula,
            sources: record.sources,
            assumed: record.assumed,
            cautions: record.cautions,
            inputs: record.inputs,
        })
    }

    fn compute(&self, id: FigureId, why: &mut Why) -> Outcome {
        use FigureId as F;
        if id.scope() == Scope::Log {
            return Err(Missing::because("it comes from a log"));
        }
        match id {
            F::Og => self.og(why),
            F::PitchingGravity => self.pitching_gravity(why),
            F::PreBoilGravity => self.pre_boil_gravity(why),
            F::PostBoilGravity => self.post_boil_gravity(why),
            F::GristWeight => self.grist_weight(why),
            F::ExtractMass => self.extract_mass(why),
            F::DiastaticPower => self.diastatic_power(why),
            F::TotalLiquor => self.total_liquor(why),
            F::PreBoilVolume => self.pre_boil_volume(why),
            F::PostBoilVolume => self.post_boil_volume(why),
            F::KnockOutVolume => self.knock_out_volume(why),
            F::BatchVolume => self.batch_volume(why),
            F::PackagedVolume => self.packaged_volume(why),
            F::BrewhouseEfficiency => self.brewhouse_efficiency(why),
            F::Colour => self.colour(why),
            F::FirstWortGravity => self.first_wort_gravity(why),
            F::LauterEfficiency => self.lauter_efficiency(why),
            F::MashEfficiencyEstimate => self.mash_efficiency_estimate(why),
            F::Co2Released => self.co2_released(why),
            F::FreeRiseCeiling => self.free_rise_ceiling(why),
            F::Fg => self.fg(why),
            F::Abv => self.abv(why),
            F::AbvPackaged => self.abv_packaged(why),
            F::AlcoholByWeight => self.alcohol_by_weight(why),
            F::AlcoholMass => self.alcohol_mass(why),
            F::ApparentAttenuation => self.apparent_attenuation(why),
            F::RealAttenuation => self.real_attenuation(why),
            F::Energy => self.energy(why),
            F::Ibu => self.ibu(why),
            F::BitternessRatio => self.bitterness_ratio(why),
            F::MashLiquor => self.mash_liquor(why),
            F::SpargeLiquor => self.sparge_liquor(why),
            F::MashVolume => self.mash_volume(why),
            F::MashThickness => self.mash_thickness(why),
            F::StrikeTemperature => self.strike_temperature(why),
            F::MashPh => self.mash_ph(why),
            F::CellsNeeded => self.cells_needed(why),
            F::CellsPitched => self.cells_pitched(why),
            F::PitchRate => self.pitch_rate(why),
            F::StarterVolume => self.starter_volume(why),
            F::Carbonation => self.carbonation(why),
            F::KegPressure => self.keg_pressure(why),
            F::PrimingSugar => self.priming_sugar(why),
            F::PrimingRate => self.priming_rate(why),
            F::ResidualCo2 => self.residual_co2(why),
            F::Cost => self.cost(why),
            F::CostPerLitre => self.cost_per_litre(why),
            _ => self.water_figure(id, why),
        }
    }

    /// Moves an input where the uncertainty of a figure asks what depends on it.
    fn read(&self, input: Input, value: f64) -> f64 {
        self.has_read(input.bit());
        match self.nudge {
            Some((moved, by)) if moved == input => value + by,
            _ => value,
        }
    }

    /// Notes what was read on the way.
    fn has_read(&self, reads: Reads) {
        self.reads.set(self.reads.get() | reads);
    }

    /// Computes something and notes what was read for it.
    fn noting<T>(&self, reads: &Cell<Reads>, compute: impl FnOnce() -> T) -> T {
        let outside = self.reads.replace(0);
        let made = compute();
        let inside = self.reads.replace(outside);
        reads.set(inside);
        self.has_read(inside);
        made
    }

    /// Something that is computed when it is first asked for.
    fn once<'s, T>(&'s self, once: &'s Once<T>, compute: impl FnOnce() -> T) -> &'s T {
        if let Some(known) = once.value.get() {
            self.has_read(once.reads.get());
            return known;
        }
        let made = self.noting(&once.reads, compute);
        once.value.get_or_init(|| made)
    }

    /// A number of the brewhouse (the recipe's overrides first), or the default; listed as assumed unless
    /// it is written in the recipe.
    fn house(&self, key: Keyword, default: Option<Default>, show: Show, why: &mut Why) -> Option<f64> {
        let house = self.recipe.brewhouse.as_ref();
        if let Some(given) = house.and_then(|house| house.number(key)) {
            why.uses(&given.origin);
            // The name is put together only where somebody reads it: this is asked many times a recipe.
            if why.is_on() && matches!(given.origin, Origin::Library(..)) {
                why.assume(
                    key.word(),
                    || show.with_unit(given.value.value),
                    format!("brewhouse {}", house.map_or("", |house| &house.name)),
                );
            }
            return Some(given.value.value);
        }
        let default = default?;
        why.assume(key.word(), || show.with_unit(default.value), default.from);
        Some(default.value)
    }
}

/// A value taken where none is written, and on whose word.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Default {
    pub(crate) value: f64,
    pub(crate) from: &'static str,
}

/// A default by common practice.
pub(crate) const fn usual(value: f64) -> Option<Default> {
    Some(Default { value, from: "common practice, no source" })
}

/// Nothing, where the brewhouse does not state it.
pub(crate) const fn none_stated(value: f64) -> Option<Default> {
    Some(Default { value, from: "not stated by the brewhouse" })
}

pub(crate) fn finite(value: f64) -> Outcome {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(Missing::because("the numbers written lead outside anything that can be computed"))
    }
}

/// A gravity as written, on the specific-gravity scale.
pub(crate) fn gravity_of(quant: Quant) -> Gravity {
    match quant.unit {
        Some(UnitId::P | UnitId::BX) => brewing::gravity::gravity(Plato::from_plato(quant.value)),
        _ => Gravity::from_sg(quant.value),
    }
}
