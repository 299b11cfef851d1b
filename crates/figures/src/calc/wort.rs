//! Extract, volumes, gravity and colour: from the grist to the wort in the fermenter.

use std::rc::Rc;

use brewing::volumes::{Evaporation, Route, Stage, Volumes};
use brewing::{colour, gravity, grist, volumes};
use quantity::Dimension;
use quantity::typed::{Fraction, Gravity, Length, Lovibond, Mass, Time, Volume, VolumePerMass, VolumeRate};
use recipe::{GristLine, Joins, KettleTime};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::amounts::is_mashed;
use crate::calc::spread::Input;
use crate::calc::{Calc, finite, none_stated, usual};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::settings::ColourModel;
use crate::show::{Show, litres, percent, sg};
use crate::why::Why;

/// A line of the grist with what it brings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GristPart {
    /// kg
    pub mass: f64,
    /// Extract by the laboratory figures, kg.
    pub laboratory: f64,
    /// Extract that reaches the wort, kg.
    pub extract: f64,
}

/// Masses, extracts and volumes of the wort.
#[derive(Clone, Debug)]
pub(crate) struct Wort {
    /// One a line of the grist.
    pub(crate) parts: Vec<GristPart>,
    /// Grain through the mash, kg.
    pub(crate) mashed: f64,
    /// Everything on the list, kg.
    pub(crate) weight: f64,
    /// Extract in the kettle at the end of the boil, kg.
    pub(crate) kettle: f64,
    /// Of it, what was in before the boil, kg.
    pub(crate) pre_boil: f64,
    /// Extract added in the fermenter up to pitching, kg.
    pub(crate) before_pitching: f64,
    /// Extract added in the fermenter after pitching, kg.
    pub(crate) after_pitching: f64,
    /// Of what is added in the fermenter, what only this part of a split gets, kg.
    pub(crate) own: f64,
    /// Hops in the kettle, kg.
    pub(crate) kettle_hops: f64,
    /// Volume of syrups that takes the place of water, L.
    pub(crate) syrup: f64,
    /// The chain of volumes.
    pub(crate) volumes: Volumes,
    /// Length of the boil, min.
    pub(crate) boil: f64,
}

/// Mash efficiency of a brewhouse that is not named, and of one that states none.
const USUAL_MASH_EFFICIENCY: f64 = 0.75;
/// Boil-off of a kettle that states none, of the pre-boil volume an hour.
const USUAL_EVAPORATION_AN_HOUR: f64 = 0.10;
/// Liquor that a kilogram of grain keeps.
const USUAL_GRAIN_ABSORPTION: f64 = 1.0;
/// Wort that a kilogram of kettle hops keeps.
const USUAL_HOP_ABSORPTION: f64 = 5.0;
/// Share of the laboratory extract that steeping gives.
const USUAL_STEEP_YIELD: f64 = 0.6;
/// Syrups take the place of water above this share of the post-boil volume.
const SYRUP_NEGLIGIBLE: f64 = 0.01;

impl<'r> Calc<'r> {
    /// The lines of the grist with what they bring, in the order of the recipe.
    ///
    /// # Errors
    /// Where an amount or a definition is missing.
    pub fn grist_parts(&self) -> Result<&[GristPart], Missing> {
        Ok(&self.wort()?.parts)
    }

    pub(crate) fn wort(&self) -> Result<&Wort, Missing> {
        // A loop is only a loop while it is being walked; everything else is final.
        if self.wort.value.get().is_none() && self.wort_busy.replace(true) {
            return Err(Missing {
                reason: "the grist depends on a figure that depends on the grist".into(),
                cycle: true,
                place: None,
            });
        }
        let made = self.once(&self.wort, || self.make_wort().map(Rc::new));
        self.wort_busy.set(false);
        made.as_deref().map_err(Clone::clone)
    }

    /// The recipe whose mash this one takes the rest of.
    pub(crate) fn parent(&self) -> Option<&Calc<'r>> {
        self.parent
            .get_or_init(|| {
                self.recipe.from_recipe.as_deref().map(|parent| Box::new(Calc::new(parent, self.settings)))
            })
            .as_deref()
    }

    pub(crate) fn mash_efficiency(&self, why: &mut Why) -> f64 {
        let parts = self
            .house(Keyword::MashEfficiency, usual(USUAL_MASH_EFFICIENCY), Show::Share, why)
            .unwrap_or(USUAL_MASH_EFFICIENCY);
        self.read(Input::MashEfficiency, parts)
    }

    /// What a line of the grist counts for in this part: nothing if it goes into another part of a split,
    /// and if into this one as much as would bring the whole batch to the same gravity.
    pub(crate) fn part_scale(&self, line: &GristLine) -> f64 {
        match line.part {
            None => 1.0,
            Some(other) if other != self.part => 0.0,
            Some(_) => match (&self.part().volume, self.batch_litres()) {
                (Some(volume), Ok(batch)) if volume.value > 0.0 => batch / volume.value,
                _ => 1.0,
            },
        }
    }

    /// Whether a line of the grist goes into another part of a split.
    pub(crate) fn is_of_another_part(&self, line: &GristLine) -> bool {
        line.part.is_some_and(|part| part != self.part)
    }

    fn make_wort(&self) -> Result<Wort, Missing> {
        let mut off = Why::off();
        let why = &mut off;
        let efficiency = self.mash_efficiency(why);
        let steep_yield = self.steep_yield(why);
        let boil = self.boil_time();
        let mut wort = Wort {
            parts: Vec::with_capacity(self.recipe.grist.len()),
            mashed: 0.0,
            weight: 0.0,
            kettle: 0.0,
            pre_boil: 0.0,
            before_pitching: 0.0,
            after_pitching: 0.0,
            own: 0.0,
            kettle_hops: 0.0,
            syrup: 0.0,
            volumes: Route::default()
                .volumes(Stage::Batch, Volume::default())
                .ok_or(Missing::because("no volumes"))?,
            boil,
        };
        let mut mash_extract = 0.0;
        let mut kettle_before = 0.0;
        let mut kettle_after = 0.0;
        for (at, line) in self.recipe.grist.iter().enumerate() {
            if self.is_of_another_part(line) {
                wort.parts.push(GristPart { mass: 0.0, laboratory: 0.0, extract: 0.0 });
                continue;
            }
            let mass = self.grist_mass(at, line)?;
            let laboratory = self.laboratory_extract(at, line, why)?.kg();
            let is_sugar = line.thing.kind() == Some(BlockKind::Sugar);
            let factor = match line.joins {
                Joins::Mash | Joins::Cook if is_sugar => 1.0,
                Joins::Mash | Joins::Cook => efficiency,
                Joins::Steep if is_sugar => 1.0,
                Joins::Steep => steep_yield,
                // Grain that is only put into the kettle or the fermenter gives colour and no extract.
                _ if !is_sugar => 0.0,
                _ => 1.0,
            };
            let extract = laboratory * factor;
            wort.parts.push(GristPart { mass, laboratory, extract });
            wort.weight += mass;
            match line.joins {
                Joins::Mash | Joins::Cook => {
                    mash_extract += extract;
                    if !is_sugar {
                        wort.mashed += mass;
                    }
                }
                Joins::Steep | Joins::FirstWort | Joins::Kettle(None) => kettle_before += extract,
                Joins::Kettle(Some(left)) if left >= boil => kettle_before += extract,
                Joins::Kettle(Some(_)) | Joins::Flameout => kettle_after += extract,
                Joins::Fermenter(during) => {
                    let counted = extract * self.part_scale(line);
                    if is_before_pitching(during) {
                        wort.before_pitching += counted;
                    } else {
                        wort.after_pitching += counted;
                    }
                    if line.part.is_some() {
                        wort.own += counted;
                    }
                }
            }
            if is_sugar && !matches!(line.joins, Joins::Fermenter(_)) {
                wort.syrup += self.syrup_volume(mass, line);
            }
        }
        if let Some((place, volume, gravity)) = &self.recipe.mash.runnings {
            let at = gravity.as_ref().ok_or(Missing::because("the runnings have no gravity").at(*place))?;
            mash_extract =
                gravity::extract_mass(Volume::from_litres(volume.value), crate::calc::gravity_of(at.value))
                    .kg();
        }
        if let Some((name, place)) = &self.recipe.from {
            mash_extract += self.extract_left_by_parent(name).map_err(|missing| missing.at(*place))?;
        }
        wort.pre_boil = mash_extract + kettle_before;
        wort.kettle = wort.pre_boil + kettle_after;
        wort.kettle_hops = self.kettle_hop_mass()?;
        wort.volumes = self.chain(&mut wort, why)?;
        Ok(wort)
    }

    /// Extract (kg) of the other recipe's mash that its own runnings leave.
    fn extract_left_by_parent(&self, name: &str) -> Outcome {
        let parent =
            self.parent().ok_or_else(|| Missing::since(format!("the recipe {name} is not found")))?;
        let efficiency = parent.mash_efficiency(&mut Why::off());
        let mut mash = 0.0;
        for (at, line) in parent.recipe.grist.iter().enumerate() {
            if is_mashed(line) && line.thing.kind() != Some(BlockKind::Sugar) {
                mash += parent.laboratory_extract(at, line, &mut Why::off())?.kg() * efficiency;
            }
        }
        let Some((_, volume, gravity)) = &parent.recipe.mash.runnings else {
            return Err(Missing::since(format!(
                "{name} does not say what it takes of its mash: `runnings VOLUME at GRAVITY` under its mash"
            )));
        };
        let gravity = gravity
            .as_ref()
            .ok_or_else(|| Missing::since(format!("the runnings of {name} have no gravity")))?;
        let taken =
            gravity::extract_mass(Volume::from_litres(volume.value), crate::calc::gravity_of(gravity.value));
        if taken.kg() > mash {
            return Err(Missing::since(format!(
                "the runnings of {name} hold {} of extract, its mash gives {}",
                Show::Mass.with_unit(taken.kg()),
                Show::Mass.with_unit(mash)
            )));
        }
        Ok(mash - taken.kg())
    }

    /// The share of the extract of its own grist's mash that a recipe keeps: one, unless it states its
    /// `runnings` and leaves the rest to another.
    fn kept_of_mash(&self) -> Result<f64, Missing> {
        let Some((_, volume, gravity)) = &self.recipe.mash.runnings else { return Ok(1.0) };
        let gravity = gravity.as_ref().ok_or(Missing::because("the runnings have no gravity"))?;
        let taken =
            gravity::extract_mass(Volume::from_litres(volume.value), crate::calc::gravity_of(gravity.value))
                .kg();
        let wort = self.wort()?;
        let mash: f64 = self
            .recipe
            .grist
            .iter()
            .zip(&wort.parts)
            .filter(|(line, _)| is_mashed(line))
            .map(|(_, part)| part.extract)
            .sum();
        Ok(if mash > 0.0 { (taken / mash).min(1.0) } else { 1.0 })
    }

    /// Malt colour units × litres of what is mashed, before any of it is shared.
    fn mash_colour_weight(&self) -> Outcome {
        let mut sum = 0.0;
        for (at, line) in self.recipe.grist.iter().enumerate() {
            if is_mashed(line) {
                sum += self.colour_weight(at)?;
            }
        }
        Ok(sum)
    }

    fn syrup_volume(&self, mass: f64, line: &GristLine) -> f64 {
        let is_liquid = line.thing.words(Keyword::Form).is_some_and(|form| {
            form.eq_ignore_ascii_case("syrup")
                || form.eq_ignore_ascii_case("liquid")
                || form.contains("juice")
        });
        if !is_liquid && line.thing.number(Keyword::Density).is_none() {
            return 0.0;
        }
        let density = line
            .thing
            .number(Keyword::Density)
            .map_or(USUAL_SYRUP_DENSITY, |given| crate::calc::amounts::density_kg_per_litre(given.value));
        if density > 0.0 { mass / density } else { 0.0 }
    }

    /// Minutes of boil; 0 where no boil is written.
    pub(crate) fn boil_time(&self) -> f64 {
        self.recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()).map_or(0.0, |time| time.value)
    }

    fn evaporation(&self, why: &mut Why) -> Evaporation {
        let house = self.recipe.brewhouse.as_ref().and_then(|house| house.number(Keyword::Evaporation));
        let by_time = |rate: f64| {
            Evaporation::Rate(VolumeRate::from_litres_per_hour(self.read(Input::Evaporation, rate)))
        };
        match house {
            // Canonical units are L/min and parts of one a minute.
            Some(given) if given.value.unit.is_some_and(|unit| unit.dimension() == Dimension::VolumeRate) => {
                let an_hour = given.value.value * 60.0;
                self.house(Keyword::Evaporation, None, Show::Flow, why);
                by_time(an_hour)
            }
            Some(given) => {
                self.house(Keyword::Evaporation, None, Show::SharePerMinute, why);
                let an_hour = given.value.value * 60.0;
                Evaporation::ShareOfPreBoil(Fraction::from_parts(self.read(Input::Evaporation, an_hour)))
            }
            None => {
                if self.boil_time() > 0.0 {
                    why.assume(
                        "evaporation",
                        || "10 %/h of the pre-boil volume".into(),
                        "common practice, no source",
                    );
                }
                Evaporation::ShareOfPreBoil(Fraction::from_parts(
                    self.read(Input::Evaporation, USUAL_EVAPORATION_AN_HOUR),
                ))
            }
        }
    }

    /// What is lost and added on the way.
    fn route(&self, mashed: f64, kettle_hops: f64, why: &mut Why) -> Result<Route, Missing> {
        let litres = |amount: f64| Volume::from_litres(amount);
        let per_kg = |amount: f64| VolumePerMass::from_litres_per_kg(amount);
        let top_up = |liquor: &Option<recipe::LiquorVolume>| -> Result<f64, Missing> {
            liquor.as_ref().map_or(Ok(0.0), |liquor| self.cold_litres(liquor))
        };
        let has_mash = mashed > 0.0;
        let mut house = |key, default, show| self.house(key, default, show, why).unwrap_or(0.0);
        let grain_absorption = if has_mash {
            house(Keyword::GrainAbsorption, usual(USUAL_GRAIN_ABSORPTION), Show::Thickness)
        } else {
            0.0
        };
        let dead_space =
            if has_mash { house(Keyword::MashDeadSpace, none_stated(0.0), Show::Volume) } else { 0.0 };
        let hop_absorption = if kettle_hops > 0.0 {
            house(Keyword::HopAbsorption, usual(USUAL_HOP_ABSORPTION), Show::Thickness)
        } else {
            0.0
        };
        let trub = house(Keyword::TrubLoss, none_stated(0.0), Show::Volume);
        let fermenter_loss = house(Keyword::FermenterLoss, none_stated(0.0), Show::Volume);
        let dry_hops = self.dry_hop_mass()?;
        let dry_hop_absorption = if dry_hops > 0.0 {
            house(Keyword::DryHopAbsorption, none_stated(0.0), Show::Thickness)
        } else {
            0.0
        };
        Ok(Route {
            mashed_grain: Mass::from_kg(mashed),
            grain_absorption: per_kg(grain_absorption),
            dead_space: litres(dead_space),
            evaporation: self.evaporation(why),
            boil: Time::from_minutes(self.boil_time()),
            kettle_top_up: litres(top_up(&self.recipe.liquor.top_up_kettle)?),
            trub: litres(trub),
            kettle_hops: Mass::from_kg(kettle_hops),
            hop_absorption: per_kg(hop_absorption),
            fermenter_top_up: litres(top_up(&self.recipe.liquor.top_up_fermenter)?),
            fermenter_loss: litres(fermenter_loss),
            dry_hops: Mass::from_kg(dry_hops),
            dry_hop_absorption: per_kg(dry_hop_absorption),
        })
    }

    /// A volume as written, cold, L.
    pub(crate) fn litres(&self, amount: &recipe::Amount, block: u16) -> Outcome {
        match self.measured(amount, block)? {
            crate::calc::amounts::Measured::Volume(litres) => Ok(litres),
            _ => Err(Missing::because("a volume is wanted and something else is written")),
        }
    }

    /// A volume of liquor, brought to 20 °C where it is measured hot, L.
    pub(crate) fn cold_litres(&self, liquor: &recipe::LiquorVolume) -> Outcome {
        let litres = self.litres(&liquor.amount, liquor.place.block)?;
        Ok(liquor.measured_at.map_or(litres, |celsius| {
            brewing::measure::cold_volume(
                Volume::from_litres(litres),
                quantity::typed::Temperature::from_celsius(celsius),
            )
            .litres()
        }))
    }

    /// The batch as written, L.
    pub(crate) fn batch_litres(&self) -> Outcome {
        let batch = self
            .recipe
            .batch
            .as_ref()
            .ok_or(Missing::because("no batch volume is written: `batch 20 L` under the recipe"))?;
        let litres = self.read(Input::Batch, batch.value);
        if litres > 0.0 { Ok(litres) } else { Err(Missing::because("the batch volume is not above zero")) }
    }

    fn chain(&self, wort: &mut Wort, why: &mut Why) -> Result<Volumes, Missing> {
        let mut route = self.route(wort.mashed, wort.kettle_hops, why)?;
        let batch = Volume::from_litres(self.batch_litres()?);
        let impossible = Missing::because("the boil-off written leaves nothing in the kettle");
        let first = route.volumes(Stage::Batch, batch).ok_or(impossible.clone())?;
        if wort.syrup > SYRUP_NEGLIGIBLE * first.post_boil.litres() {
            route.kettle_top_up += Volume::from_litres(wort.syrup);
            return route.volumes(Stage::Batch, batch).ok_or(impossible);
        }
        wort.syrup = 0.0;
        Ok(first)
    }

    /// Hops of the fermenter, kg. A line whose amount cannot be used counts as nothing.
    pub(crate) fn dry_hop_mass(&self) -> Outcome {
        let mut kg = 0.0;
        for addition in &self.part().ferment.additions {
            if addition.thing.kind() == Some(BlockKind::Hop) {
                kg += self.mass_of(&addition.amount, &addition.thing)?;
            }
        }
        Ok(kg)
    }

    /// Hops of the kettle, stands and flameout included, kg.
    fn kettle_hop_mass(&self) -> Outcome {
        let mut kg = 0.0;
        for (at, addition) in self.recipe.additions.iter().enumerate() {
            if addition.thing.kind() == Some(BlockKind::Hop) && addition.time != KettleTime::Mash {
                kg += self.hop_mass(at, addition)?;
            }
        }
        Ok(kg)
    }

    pub(crate) fn grist_weight(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        if let (Some((name, _)), true) = (&self.recipe.from, self.recipe.grist.is_empty()) {
            return Err(Missing::since(format!("the grist of this mash is counted with {name}")));
        }
        why.formula(|| {
            let masses: Vec<String> = (self.recipe.grist.iter().zip(&wort.parts))
                .filter(|(line, _)| !self.is_of_another_part(line))
                .map(|(_, part)| Show::Mass.number(part.mass))
                .collect();
            format!("{} = {} kg", masses.join(" + "), Show::Mass.number(wort.weight))
        });
        why.source(&brewing::source::DEFINITION);
        Ok(wort.weight)
    }

    pub(crate) fn extract_mass(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        if !why.is_on() {
            return Ok(wort.kettle);
        }
        let kg = |mass: f64| Show::Mass.with_unit(mass);
        for (at, (line, part)) in self.recipe.grist.iter().zip(&wort.parts).enumerate() {
            if self.is_of_another_part(line) {
                continue;
            }
            let (share, moisture) = self.laboratory_share(at, line, why)?;
            let is_sugar = line.thing.kind() == Some(BlockKind::Sugar);
            let dry =
                moisture.map_or(String::new(), |moisture| format!(" × (1 - {})", percent(moisture.parts())));
            let by = match line.joins {
                _ if is_sugar => String::new(),
                Joins::Mash | Joins::Cook => {
                    format!(" × {} mash efficiency", percent(self.mash_efficiency(why)))
                }
                Joins::Steep => format!(" × {} steep yield", percent(self.steep_yield(why))),
                _ => " × 0, since it is neither mashed nor steeped".into(),
            };
            let later = if matches!(line.joins, Joins::Fermenter(_)) { ", in the fermenter" } else { "" };
            why.formula(|| {
                format!(
                    "{}: {} × {} extract{dry}{by} = {}{later}",
                    line.thing.name,
                    kg(part.mass),
                    percent(share.parts()),
                    kg(part.extract),
                )
            });
        }
        if let Some((_, volume, gravity)) = &self.recipe.mash.runnings {
            why.formula(|| {
                let at = gravity.as_ref().map_or(1.0, |at| crate::calc::gravity_of(at.value).sg());
                format!(
                    "of the mash {} at {} are taken; the rest is left to another beer",
                    litres(volume.value),
                    sg(at)
                )
            });
        }
        if let Some((name, _)) = &self.recipe.from
            && let Ok(left) = self.extract_left_by_parent(name)
        {
            why.formula(|| format!("left by {name} in its mash: {}", kg(left)));
        }
        why.formula(|| {
            if wort.kettle > wort.pre_boil {
                format!(
                    "together in the kettle {}, of it {} before the boil",
                    kg(wort.kettle),
                    kg(wort.pre_boil)
                )
            } else {
                format!("together in the kettle {}", kg(wort.kettle))
            }
        });
        why.source(&grist::MALT_ANALYSIS);
        Ok(wort.kettle)
    }

    fn steep_yield(&self, why: &mut Why) -> f64 {
        self.house(Keyword::SteepYield, usual(USUAL_STEEP_YIELD), Show::Share, why)
            .unwrap_or(USUAL_STEEP_YIELD)
    }

    /// The chain of volumes as it is computed, from the batch up to a place in it.
    fn explain_chain(&self, until: Stage, why: &mut Why) {
        let Ok(wort) = self.wort() else { return };
        if !why.is_on() {
            return;
        }
        let route = self.route(wort.mashed, wort.kettle_hops, why);
        why.source(&volumes::VOLUME_CHAIN);
        let Ok(route) = route else { return };
        let v = |volume: Volume| litres(volume.litres());
        let all = wort.volumes;
        why.formula(|| {
            format!(
                "knock-out {} = batch {} - top-up {}",
                v(all.knock_out),
                v(all.batch),
                v(route.fermenter_top_up)
            )
        });
        if until == Stage::KnockOut {
            return;
        }
        why.formula(|| {
            format!(
                "post-boil {} = {} + trub {} + hops {} kg × {} L/kg",
                v(all.post_boil),
                v(all.knock_out),
                v(route.trub),
                Show::Mass.number(wort.kettle_hops),
                Show::Thickness.number(route.hop_absorption.litres_per_kg()),
            )
        });
        if until == Stage::PostBoil {
            return;
        }
        why.formula(|| {
            let boiled_off = match route.evaporation {
                Evaporation::Rate(rate) => {
                    format!("{} L/h", Show::Evaporation.number(rate.litres_per_hour()))
                }
                Evaporation::ShareOfPreBoil(share) => {
                    format!("{}/h of the pre-boil volume", percent(share.parts()))
                }
            };
            let syrup =
                if wort.syrup > 0.0 { format!(" - syrup {}", litres(wort.syrup)) } else { String::new() };
            format!(
                "pre-boil {} = {} + evaporation {} ({boiled_off} for {} min) - top-up {}{syrup}",
                v(all.pre_boil),
                v(all.post_boil),
                v(all.evaporated),
                Show::Minutes.number(wort.boil),
                v(route.kettle_top_up),
            )
        });
        if let Evaporation::ShareOfPreBoil(share) = route.evaporation {
            why.within(
                &volumes::EVAPORATION_RANGE,
                share.parts(),
                "evaporation by the hour, in parts of the volume,",
                "",
            );
        }
        if wort.syrup == 0.0
            && self.recipe.grist.iter().any(|line| line.thing.kind() == Some(BlockKind::Sugar))
        {
            why.assume("volume of dissolved sugar", || "neglected".into(), "definition of the figure");
        }
        if until == Stage::PreBoil {
            return;
        }
        why.formula(|| {
            format!(
                "total liquor {} = pre-boil {} + grain {} kg × {} L/kg + dead space {}",
                v(all.total_liquor),
                v(all.pre_boil),
                Show::Mass.number(wort.mashed),
                Show::Thickness.number(route.grain_absorption.litres_per_kg()),
                v(route.dead_space),
            )
        });
        if wort.mashed > 0.0 {
            let kept = route.grain_absorption.litres_per_kg();
            why.within(&volumes::GRAIN_ABSORPTION_RANGE, kept, "grain absorption", " L/kg");
        }
    }

    pub(crate) fn total_liquor(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        if let Some((name, _)) = &self.recipe.from {
            return Err(Missing::since(format!("the liquor of this mash is counted with {name}")));
        }
        self.explain_chain(Stage::TotalLiquor, why);
        Ok(wort.volumes.total_liquor.litres())
    }

    pub(crate) fn pre_boil_volume(&self, why: &mut Why) -> Outcome {
        self.explain_chain(Stage::PreBoil, why);
        Ok(self.wort()?.volumes.pre_boil.litres())
    }

    pub(crate) fn post_boil_volume(&self, why: &mut Why) -> Outcome {
        self.explain_chain(Stage::PostBoil, why);
        Ok(self.wort()?.volumes.post_boil.litres())
    }

    pub(crate) fn knock_out_volume(&self, why: &mut Why) -> Outcome {
        self.explain_chain(Stage::KnockOut, why);
        Ok(self.wort()?.volumes.knock_out.litres())
    }

    pub(crate) fn batch_volume(&self, why: &mut Why) -> Outcome {
        if let Some(batch) = &self.recipe.batch {
            why.uses(&batch.origin);
        }
        let batch = self.batch_litres()?;
        why.formula(|| format!("as written: {}", litres(batch)));
        why.source(&brewing::source::DEFINITION);
        Ok(batch)
    }

    pub(crate) fn packaged_volume(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        // A part of a split recipe has its own volume and carries the fermenter's losses of its own.
        let in_fermenter =
            self.part().volume.as_ref().map_or(wort.volumes.batch.litres(), |volume| volume.value);
        let lost = (wort.volumes.batch - wort.volumes.packaged).litres();
        let packaging_loss =
            self.house(Keyword::PackagingLoss, none_stated(0.0), Show::Volume, why).unwrap_or(0.0);
        let left = in_fermenter - lost - packaging_loss;
        if why.is_on() {
            let route = self.route(wort.mashed, wort.kettle_hops, why)?;
            why.source(&volumes::VOLUME_CHAIN);
            why.formula(|| {
                format!(
                    "packaged {} = {} in the fermenter - {} left in it - dry hops {} kg × {} L/kg - {} lost in packaging",
                    litres(left),
                    litres(in_fermenter),
                    litres(route.fermenter_loss.litres()),
                    Show::Mass.number(route.dry_hops.kg()),
                    Show::Thickness.number(route.dry_hop_absorption.litres_per_kg()),
                    litres(packaging_loss),
                )
            });
        }
        if left > 0.0 {
            Ok(left)
        } else {
            Err(Missing::because("the losses after fermentation are as large as the batch"))
        }
    }

    fn gravity_from(&self, extract: f64, volume: Volume, where_: &str, why: &mut Why) -> Outcome {
        if volume.litres() <= 0.0 {
            return Err(Missing::since(format!("the volume {where_} is not above zero")));
        }
        let at = gravity::gravity_of(Mass::from_kg(extract), volume)
            .ok_or_else(|| Missing::since(format!("no gravity fits {extract:.2} kg of extract {where_}")))?;
        why.source(&gravity::WORT_DENSITY);
        why.source(&gravity::ASBC_CUBIC);
        why.formula(|| {
            let plato = gravity::plato(at);
            format!(
                "{} kg = {} × {:.4} kg/L × {:.2} P / 100, so {} ({:.2} P)",
                Show::Mass.number(extract),
                litres(volume.litres()),
                gravity::density(at).kg_per_litre(),
                plato.plato(),
                sg(at.sg()),
                plato.plato(),
            )
        });
        if let Some(outside) = gravity::ASBC_RANGE.check(at.sg())
            && outside.limit() > 1.0
        {
            why.caution(|| {
                format!("the ASBC table ends at {:.3}; above it the cubic is carried on", outside.limit())
            });
        }
        finite(at.sg())
    }

    pub(crate) fn pre_boil_gravity(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        if wort.kettle > wort.pre_boil {
            why.caution(|| {
                format!(
                    "without the {} kg of extract added after the start of the boil",
                    Show::Mass.number(wort.kettle - wort.pre_boil)
                )
            });
        }
        self.gravity_from(wort.pre_boil, wort.volumes.pre_boil, "before the boil", why)
    }

    pub(crate) fn post_boil_gravity(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        self.gravity_from(wort.kettle, wort.volumes.post_boil, "after the boil", why)
    }

    /// Extract that reaches the fermenter before anything is added there, kg.
    pub(crate) fn extract_into_fermenter(&self) -> Outcome {
        let wort = self.wort()?;
        if wort.volumes.post_boil.litres() <= 0.0 {
            return Err(Missing::because("the volume after the boil is not above zero"));
        }
        Ok(wort.kettle * (wort.volumes.knock_out / wort.volumes.post_boil))
    }

    fn explain_knock_out(wort: &Wort, into: f64, why: &mut Why) {
        why.formula(|| {
            format!(
                "into the fermenter {} kg × {} / {} = {} kg",
                Show::Mass.number(wort.kettle),
                litres(wort.volumes.knock_out.litres()),
                litres(wort.volumes.post_boil.litres()),
                Show::Mass.number(into),
            )
        });
    }

    pub(crate) fn og(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let into = self.extract_into_fermenter()?;
        let added = wort.before_pitching + wort.after_pitching;
        if why.is_on() {
            let _ = self.extract_mass(why);
            self.explain_chain(Stage::PreBoil, why);
            Self::explain_knock_out(wort, into, why);
            if added > 0.0 {
                why.formula(|| format!("added in the fermenter {} kg", Show::Mass.number(added)));
            }
            if wort.own > 0.0 {
                why.formula(|| {
                    format!(
                        "of it {} kg is what this part alone gets, as if for the whole batch",
                        Show::Mass.number(wort.own)
                    )
                });
            }
            if wort.after_pitching > 0.0 {
                why.caution(|| {
                    format!(
                        "{} kg of extract join after pitching and count as if they had been there",
                        Show::Mass.number(wort.after_pitching)
                    )
                });
            }
        }
        self.gravity_from(into + added, wort.volumes.batch, "in the fermenter", why)
    }

    pub(crate) fn pitching_gravity(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let into = self.extract_into_fermenter()?;
        Self::explain_knock_out(wort, into, why);
        if wort.before_pitching > 0.0 {
            why.formula(|| {
                format!(
                    "added in the fermenter up to pitching {} kg",
                    Show::Mass.number(wort.before_pitching)
                )
            });
        }
        self.gravity_from(into + wort.before_pitching, wort.volumes.batch, "at pitching", why)
    }

    pub(crate) fn brewhouse_efficiency(&self, why: &mut Why) -> Outcome {
        if self.recipe.from.is_some() || self.recipe.mash.runnings.is_some() {
            return Err(Missing::because("the mash is shared between two beers"));
        }
        let wort = self.wort()?;
        let laboratory: f64 = (self.recipe.grist.iter().zip(&wort.parts))
            .map(|(line, part)| part.laboratory * self.part_scale(line))
            .sum();
        let into = self.extract_into_fermenter()? + wort.before_pitching;
        if laboratory <= 0.0 {
            return Err(Missing::because("the grist has no extract"));
        }
        why.formula(|| {
            format!(
                "{} kg in the fermenter / {} kg by the laboratory (mass × extract of all lines) = {}",
                Show::Mass.number(into),
                Show::Mass.number(laboratory),
                percent(into / laboratory),
            )
        });
        why.source(&brewing::source::DEFINITION);
        Ok(into / laboratory * 100.0)
    }

    pub(crate) fn diastatic_power(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let mut sum = 0.0;
        let mut mass = 0.0;
        let mut terms = Vec::new();
        for (line, part) in self.recipe.grist.iter().zip(&wort.parts) {
            if !is_mashed(line) || line.thing.kind() == Some(BlockKind::Sugar) {
                continue;
            }
            let written =
                line.thing.number(Keyword::DiastaticPower).or_else(|| line.thing.number(Keyword::Diastatic));
            let Some(given) = written else {
                return Err(Missing::since(format!("{} has no diastatic power", line.thing.name)));
            };
            why.uses(&given.origin);
            sum += part.mass * given.value.value;
            mass += part.mass;
            if why.is_on() {
                terms.push(format!("{} × {:.0}", Show::Mass.number(part.mass), given.value.value));
            }
        }
        if mass <= 0.0 {
            return Err(Missing::because("nothing is mashed"));
        }
        why.formula(|| {
            format!("({}) / {} kg = {:.1} WK", terms.join(" + "), Show::Mass.number(mass), sum / mass)
        });
        why.source(&brewing::source::DEFINITION);
        Ok(sum / mass)
    }

    /// Malt colour units × litres of a line: kg × °Lovibond.
    pub(crate) fn colour_weight(&self, at: usize) -> Result<f64, Missing> {
        let line = &self.recipe.grist[at];
        let mass = self.wort()?.parts[at].mass;
        let Some(given) = line.thing.number(Keyword::Colour) else {
            return Err(Missing::since(format!("{} has no colour", line.thing.name)));
        };
        let ebc = self.read(Input::GristColour(at), given.value.value);
        // The scale meets zero above zero: water-white sugar has no colour at all.
        let lovibond = if ebc == 0.0 {
            0.0
        } else {
            colour::malt_lovibond(quantity::typed::Ebc::from_ebc(ebc)).lovibond()
        };
        Ok(mass * lovibond)
    }

    pub(crate) fn colour(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let model = match self.settings.colour {
            ColourModel::Morey => colour::Model::Morey,
            ColourModel::Daniels => colour::Model::Daniels,
            ColourModel::Mosher => colour::Model::Mosher,
        };
        let dilution = wort.volumes.knock_out / wort.volumes.batch;
        let mut in_kettle = 0.0;
        let mut in_fermenter = 0.0;
        let kept = self.kept_of_mash()?;
        if kept < 1.0 {
            why.formula(|| format!("{} of the mash goes into this beer", Show::Share.with_unit(kept)));
            why.assume(
                "colour of shared runnings",
                || "as their extract".into(),
                "common practice, no source",
            );
        }
        if let (Some((name, _)), Some(parent)) = (&self.recipe.from, self.parent()) {
            let left = 1.0 - parent.kept_of_mash()?;
            let whole = parent.mash_colour_weight()?;
            in_kettle += whole * left;
            why.formula(|| {
                format!(
                    "from the mash of {name}: {whole:.2} kg·°L × {} = {:.2} kg·°L",
                    percent(left),
                    whole * left
                )
            });
            why.assume(
                "colour of shared runnings",
                || "as their extract".into(),
                "common practice, no source",
            );
        }
        for (at, line) in self.recipe.grist.iter().enumerate() {
            if self.is_of_another_part(line) {
                continue;
            }
            let weight = self.colour_weight(at)? * if is_mashed(line) { kept } else { self.part_scale(line) };
            if let Some(given) = line.thing.number(Keyword::Colour) {
                why.uses(&given.origin);
                why.formula(|| {
                    let mass = wort.parts[at].mass;
                    let name = &line.thing.name;
                    let ebc = self.read(Input::GristColour(at), given.value.value);
                    if ebc == 0.0 {
                        format!("{name}: no colour")
                    } else {
                        let counted = if mass > 0.0 { weight / (mass * (0.375 * ebc + 0.56)) } else { 1.0 };
                        let counted = if (counted - 1.0).abs() < 1e-9 {
                            String::new()
                        } else {
                            format!(" × {}", percent(counted))
                        };
                        format!(
                            "{name}: {} kg × (0.375 × {ebc:.1} EBC + 0.56){counted} = {weight:.2} kg·°L",
                            Show::Mass.number(mass),
                        )
                    }
                });
            }
            if matches!(line.joins, Joins::Fermenter(_)) {
                in_fermenter += weight;
            } else {
                in_kettle += weight;
            }
        }
        let units = |weight: f64, volume: Volume| {
            colour::malt_colour_units([(Mass::from_kg(weight), Lovibond::from_lovibond(1.0))], volume)
                .ok_or(Missing::because("the volume after the boil is not above zero"))
        };
        let mcu = units(in_kettle, wort.volumes.post_boil)?.mcu() * dilution
            + units(in_fermenter, wort.volumes.batch)?.mcu();
        let srm = model.colour(quantity::typed::MaltColourUnits::from_mcu(mcu));
        let ebc = colour::ebc(srm);
        why.formula(|| {
            let thinner = if dilution == 1.0 {
                String::new()
            } else {
                format!(
                    " × {} / {}",
                    litres(wort.volumes.knock_out.litres()),
                    litres(wort.volumes.batch.litres())
                )
            };
            let later = if in_fermenter > 0.0 {
                format!(" + 8.3454 × {in_fermenter:.2} kg·°L / {}", litres(wort.volumes.batch.litres()))
            } else {
                String::new()
            };
            format!(
                "malt colour units 8.3454 × {in_kettle:.2} kg·°L / {}{thinner}{later} = {mcu:.2}",
                litres(wort.volumes.post_boil.litres()),
            )
        });
        why.formula(|| {
            let srm = srm.srm();
            match self.settings.colour {
                ColourModel::Morey if srm >= mcu => {
                    format!("{srm:.2} SRM: never more than the malt colour units")
                }
                ColourModel::Morey => format!("1.4922 × {mcu:.2}^0.6859 = {srm:.2} SRM"),
                ColourModel::Daniels => format!("0.2 × {mcu:.2} + 8.4 = {srm:.2} SRM"),
                ColourModel::Mosher => format!("0.3 × {mcu:.2} + 4.7 = {srm:.2} SRM"),
            }
        });
        why.formula(|| format!("{:.2} SRM × 1.97 = {:.1} EBC", srm.srm(), ebc.ebc()));
        why.formula(|| {
            let seen = colour::spectrum::srgb(srm, Length::from_metres(GLASS));
            let [red, green, blue] = seen.channels;
            let cut = if seen.cut { ", as near as a screen comes to it" } else { "" };
            format!("through 5 cm of beer on a screen: #{red:02x}{green:02x}{blue:02x}{cut}")
        });
        why.source(&colour::spectrum::AVERAGE_SPECTRUM);
        match self.settings.colour {
            ColourModel::Morey => {
                why.source(&colour::MOREY);
                why.within(&colour::MOREY_RANGE, srm.srm(), "a colour of", " SRM");
            }
            ColourModel::Daniels => {
                why.source(&colour::DANIELS);
                why.within(&colour::DANIELS_RANGE, mcu, "malt colour units of", "");
            }
            ColourModel::Mosher => {
                why.source(&colour::MOSHER);
                why.within(&colour::MOSHER_RANGE, mcu, "malt colour units of", "");
            }
        }
        why.source(&colour::MCU);
        why.source(&colour::EBC_SRM);
        why.source(&colour::MALT_SCALES);
        finite(ebc.ebc())
    }

    pub(crate) fn first_wort_gravity(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let thickness = self.value(FigureId::MashThickness)?;
        if wort.mashed <= 0.0 {
            return Err(Missing::because("nothing is mashed"));
        }
        // Dry-basis extract and moisture of the whole mashed grist, weighted by mass.
        let (mut extract, mut moisture) = (0.0, 0.0);
        for (line, part) in self.recipe.grist.iter().zip(&wort.parts) {
            if is_mashed(line) && line.thing.kind() != Some(BlockKind::Sugar) {
                extract += part.laboratory;
                moisture +=
                    part.mass * line.thing.number(Keyword::Moisture).map_or(0.04, |given| given.value.value);
            }
        }
        let moisture = moisture / wort.mashed;
        let dry_basis = extract / wort.mashed / (1.0 - moisture);
        let plato = grist::first_wort(
            Fraction::from_parts(dry_basis),
            Fraction::from_parts(moisture),
            VolumePerMass::from_litres_per_kg(thickness),
        )
        .ok_or(Missing::because("the mash has no liquor"))?;
        why.source(&grist::FIRST_WORT);
        why.formula(|| {
            let of_extract = dry_basis * (1.0 - moisture);
            format!(
                "a kilogram of grist has {dry_basis:.4} × (1 - {moisture:.4}) = {of_extract:.4} kg of extract; \
                 100 × {of_extract:.4} / ({of_extract:.4} + {} × 0.9982 + {moisture:.4}) = {:.2} P at full conversion",
                Show::Thickness.number(thickness),
                plato.plato()
            )
        });
        why.within(&grist::THICKNESS_RANGE, thickness, "a mash thickness of", " L/kg");
        finite(gravity::gravity(plato).sg())
    }

    pub(crate) fn lauter_efficiency(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        if wort.mashed <= 0.0 {
            return Err(Missing::because("nothing is mashed"));
        }
        let absorbed = wort.volumes.total_liquor - wort.volumes.pre_boil;
        let runnings = self.runnings();
        let share = grist::lauter_efficiency(runnings, absorbed, wort.volumes.pre_boil)
            .ok_or(Missing::because("the volumes of the mash do not allow an estimate"))?;
        why.source(&grist::LAUTER);
        why.formula(|| {
            let kept = litres(absorbed.litres());
            format!(
                "1 - ({kept} / ({kept} + {} / {runnings}))^{runnings} = {} with {runnings} equal runnings",
                litres(wort.volumes.pre_boil.litres()),
                percent(share.parts())
            )
        });
        Ok(share.parts() * 100.0)
    }

    pub(crate) fn mash_efficiency_estimate(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let now = self.value(FigureId::LauterEfficiency)? / 100.0;
        let known = self
            .house(Keyword::MashEfficiency, None, Show::Share, why)
            .ok_or(Missing::because("the brewhouse states no mash efficiency"))?;
        let laboratory: f64 = (self.recipe.grist.iter().zip(&wort.parts))
            .filter(|(line, _)| is_mashed(line) && line.thing.kind() != Some(BlockKind::Sugar))
            .map(|(_, part)| part.laboratory)
            .sum();
        // The grist that the efficiency is taken to be known of.
        let usual = gravity::extract_mass(wort.volumes.post_boil, Gravity::from_sg(USUAL_STRENGTH)).kg();
        let grain = usual / (known * laboratory / wort.mashed);
        let dead = self.house(Keyword::MashDeadSpace, none_stated(0.0), Show::Volume, why).unwrap_or(0.0);
        let absorbed = wort.volumes.total_liquor - wort.volumes.pre_boil;
        let kept = (absorbed.litres() - dead) / wort.mashed;
        let then = Volume::from_litres(kept * grain + dead);
        let runnings = self.runnings();
        let share = grist::efficiency_for_grist(
            Fraction::from_parts(known),
            runnings,
            then,
            absorbed,
            wort.volumes.pre_boil,
        )
        .ok_or(Missing::because("the volumes of the mash do not allow an estimate"))?;
        why.source(&grist::LAUTER);
        why.assume(
            "mash efficiency found",
            || {
                format!(
                    "on a beer of {} from {} kg of this grain",
                    Show::Gravity.number(USUAL_STRENGTH),
                    Show::Mass.number(grain)
                )
            },
            "common practice, no source",
        );
        why.formula(|| {
            let from =
                grist::lauter_efficiency(runnings, then, wort.volumes.pre_boil).map_or(0.0, |it| it.parts());
            format!(
                "{} × {} for {} kg of grain / {} for {} kg = {}",
                percent(known),
                percent(now),
                Show::Mass.number(wort.mashed),
                percent(from),
                Show::Mass.number(grain),
                percent(share.parts())
            )
        });
        Ok(share.parts() * 100.0)
    }

    /// Runnings the mash is lautered in: two with a sparge.
    fn runnings(&self) -> u16 {
        if self.value(FigureId::SpargeLiquor).is_ok_and(|litres| litres > 0.0) { 2 } else { 1 }
    }
}

/// Gravity of the beers that a brewhouse's efficiency is usually found on (common practice, no source).
const USUAL_STRENGTH: f64 = 1.050;

/// Depth of beer in the glass that its colour on a screen is for, m.
const GLASS: f64 = 0.05;

/// Density of a syrup that states none, kg/L.
const USUAL_SYRUP_DENSITY: f64 = 1.4;

/// Whether something added in the fermenter is there at pitching.
fn is_before_pitching(during: recipe::During) -> bool {
    matches!(during, recipe::During::Day(day, _) if day <= 0)
}
