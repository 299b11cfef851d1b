//! Mash volumes, temperatures and heating times.

use brewing::mash::{self, Decoction, Mash};
use quantity::typed::{
    Fraction, HeatCapacity, HeatLoss, Length, Mass, Power, SpecificEnergy, Temperature, TemperatureStep,
    Time, Volume,
};
use recipe::{MashStep, Method, Place};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::amounts::is_mashed;
use crate::calc::spread::Input;
use crate::calc::{Calc, finite, usual};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::show::{Show, litres as l, percent};
use crate::why::Why;

/// What a step of the mash needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepFigure {
    /// The step's line.
    pub place: Place,
    /// Index of the step in the recipe's mash.
    pub step: usize,
    /// How it is reached.
    pub by: Method,
    /// Temperature before it, °C; of the grain for the first. Where the brewhouse states a heat loss, what the
    /// rest before has cooled to.
    pub from: f64,
    /// Temperature of it, °C.
    pub to: f64,
    /// Temperature at its end, °C, where the brewhouse states a heat loss and nothing heats the mash meanwhile.
    pub cools_to: Option<f64>,
    /// Water to add, or mash to draw, L, where that is how it is reached.
    pub volume: Option<f64>,
    /// Temperature of that water, °C.
    pub temperature: Option<f64>,
    /// Heating time, min, where it is reached by heat and the heater is known.
    pub ramp: Option<f64>,
    /// Volume of the mash after it, L.
    pub mash_volume: f64,
}

/// Mash liquor to grist where the brewhouse states none, L/kg.
const USUAL_THICKNESS: f64 = 3.0;
/// Temperature of grain and room where the brewhouse states none, °C.
const USUAL_ROOM: f64 = 20.0;
/// Moisture of grain that states none, parts of one.
const USUAL_MOISTURE: f64 = 0.04;
/// How full a tun may be before mash liquor is moved to the sparge.
const TUN_FULL: f64 = 0.90;

impl Calc<'_> {
    /// Whether all liquor is in the mash.
    #[must_use]
    pub fn is_no_sparge(&self) -> bool {
        self.recipe.liquor.no_sparge.is_some() || self.recipe.tagged("no-sparge")
    }

    fn mashed(&self) -> Outcome {
        let mashed = self.wort()?.mashed;
        if mashed > 0.0 { Ok(mashed) } else { Err(Missing::because("nothing is mashed")) }
    }

    fn liquor_written(&self, which: &Option<recipe::LiquorVolume>, why: &mut Why) -> Option<Outcome> {
        which.as_ref().map(|liquor| {
            why.uses(&recipe::Origin::Here(liquor.place));
            self.cold_litres(liquor)
        })
    }

    pub(crate) fn mash_liquor(&self, why: &mut Why) -> Outcome {
        let litres = self.mash_liquor_plan(why)?;
        finite(self.read(Input::MashLiquor, litres))
    }

    fn mash_liquor_plan(&self, why: &mut Why) -> Outcome {
        if let Some(written) = self.liquor_written(&self.recipe.liquor.mash, why) {
            let litres = written?;
            why.formula(|| format!("as written: {}", l(litres)));
            why.source(&brewing::source::DEFINITION);
            return Ok(litres);
        }
        why.source(&brewing::volumes::VOLUME_CHAIN);
        let mashed = self.mashed()?;
        let total = self.wort()?.volumes.total_liquor.litres();
        if self.is_no_sparge() {
            why.formula(|| format!("without sparge all liquor is in the mash: {}", l(total)));
            return Ok(total);
        }
        if let Some(written) = self.liquor_written(&self.recipe.liquor.sparge, why) {
            let sparge = written?;
            why.formula(|| format!("total {} - sparge {} = {}", l(total), l(sparge), l(total - sparge)));
            return if total > sparge {
                Ok(total - sparge)
            } else {
                Err(Missing::because("the sparge written takes all the liquor there is"))
            };
        }
        let thickness = self
            .house(Keyword::MashThickness, usual(USUAL_THICKNESS), Show::Thickness, why)
            .unwrap_or(USUAL_THICKNESS);
        let mut litres = thickness * mashed;
        why.formula(|| {
            format!(
                "{} × {} kg = {}",
                Show::Thickness.with_unit(thickness),
                Show::Mass.number(mashed),
                l(litres)
            )
        });
        if let Some(tun) = self.house(Keyword::TunCapacity, None, Show::Volume, why) {
            let fits = TUN_FULL * tun - mash::mash_volume(Mass::from_kg(mashed), Volume::default()).litres();
            if fits < litres && fits > 0.0 {
                why.assume("mash liquor", || format!("cut to {} by the tun", l(fits)), "tun filled to 90 %");
                litres = fits;
            }
        }
        Ok(litres.min(total))
    }

    pub(crate) fn sparge_liquor(&self, why: &mut Why) -> Outcome {
        if let Some(written) = self.liquor_written(&self.recipe.liquor.sparge, why) {
            let litres = written?;
            why.formula(|| format!("as written: {}", l(litres)));
            why.source(&brewing::source::DEFINITION);
            return Ok(litres);
        }
        why.source(&brewing::volumes::VOLUME_CHAIN);
        self.mashed()?;
        if self.is_no_sparge() {
            why.formula(|| "no sparge".into());
            return Ok(0.0);
        }
        let total = self.wort()?.volumes.total_liquor.litres();
        let mash = self.mash_liquor_plan(&mut Why::off())?;
        let infused: f64 = self.written_infusions();
        let litres = (total - mash - infused).max(0.0);
        why.formula(|| format!("total {} - mash {} = {}", l(total), l(mash + infused), l(litres)));
        Ok(litres)
    }

    /// Water added by `infuse` lines, L.
    fn written_infusions(&self) -> f64 {
        self.recipe
            .mash
            .steps
            .iter()
            .filter_map(|step| match step {
                MashStep::Infuse { volume, place, .. } => self.litres(volume, place.block).ok(),
                _ => None,
            })
            .sum()
    }

    pub(crate) fn mash_volume(&self, why: &mut Why) -> Outcome {
        let mashed = self.mashed()?;
        let liquor = self.value(FigureId::MashLiquor)?;
        let litres = mash::mash_volume(Mass::from_kg(mashed), Volume::from_litres(liquor)).litres();
        why.source(&mash::MASH_VOLUME);
        why.formula(|| {
            format!("{} + 0.67 L/kg × {} kg = {}", l(liquor), Show::Mass.number(mashed), l(litres))
        });
        Ok(litres)
    }

    pub(crate) fn mash_thickness(&self, why: &mut Why) -> Outcome {
        let mashed = self.mashed()?;
        let liquor = self.value(FigureId::MashLiquor)?;
        why.formula(|| {
            format!(
                "{} / {} kg = {}",
                l(liquor),
                Show::Mass.number(mashed),
                Show::Thickness.with_unit(liquor / mashed)
            )
        });
        why.source(&brewing::source::DEFINITION);
        Ok(liquor / mashed)
    }

    fn vessel(&self, why: &mut Why) -> HeatCapacity {
        HeatCapacity::from_kj_per_kelvin(
            self.house(
                Keyword::TunHeatCapacity,
                Some(crate::calc::Default { value: 0.0, from: "not stated by the brewhouse" }),
                Show::HeatCapacity,
                why,
            )
            .unwrap_or(0.0),
        )
    }

    /// Boiling point of water at the brewhouse, °C.
    #[must_use]
    pub fn boiling_point(&self) -> f64 {
        let mut off = Why::off();
        if let Some(written) = self.house(Keyword::BoilingPoint, None, Show::Temperature, &mut off) {
            return written;
        }
        self.house(Keyword::Elevation, None, Show::Metres, &mut off)
            .and_then(|metres| brewing::atmosphere::boiling_point(Length::from_metres(metres)))
            .map_or(100.0, |at| at.celsius())
    }

    /// How the first rest is reached: by the header, else by infusion.
    fn first_method(&self, by: Option<Method>) -> Method {
        by.or(self.recipe.mash.by).unwrap_or(Method::Infusion)
    }

    /// How a later rest is reached where the line does not say.
    fn later_method(&self, by: Option<Method>) -> Method {
        let heated = || {
            let has_heater =
                self.recipe.brewhouse.as_ref().is_some_and(|house| house.number(Keyword::Heater).is_some());
            if has_heater { Method::DirectHeat } else { Method::Infusion }
        };
        by.or(match self.recipe.mash.by {
            Some(Method::Infusion) => Some(Method::Infusion),
            Some(Method::DirectHeat) => Some(Method::DirectHeat),
            Some(Method::Decoction) => Some(Method::Decoction),
            _ => None,
        })
        .unwrap_or_else(heated)
    }

    pub(crate) fn strike_temperature(&self, why: &mut Why) -> Outcome {
        let Some((by, rest)) = self.recipe.mash.steps.iter().find_map(|step| match step {
            MashStep::Rest { temperature, by, .. } => Some((*by, temperature)),
            _ => None,
        }) else {
            return Err(Missing::because("the mash has no rest"));
        };
        why.uses(&rest.origin);
        let mashed = self.mashed()?;
        let liquor = self.value(FigureId::MashLiquor)?;
        let grain = self
            .house(Keyword::GrainTemperature, usual(USUAL_ROOM), Show::Temperature, why)
            .unwrap_or(USUAL_ROOM);
        let room =
            self.house(Keyword::Ambient, usual(USUAL_ROOM), Show::Temperature, why).unwrap_or(USUAL_ROOM);
        let vessel = self.vessel(why);
        let as_hot_as_its_water =
            self.first_method(by) == Method::DirectHeat || self.recipe.tagged("no-sparge");
        let kind = if as_hot_as_its_water {
            mash::Vessel::AsHotAsLiquor
        } else {
            mash::Vessel::Cold { at: Temperature::from_celsius(room) }
        };
        let the_mash = Mash { grist: Mass::from_kg(mashed), liquor: Volume::from_litres(liquor), vessel };
        let slaking = self.slaking_heat(why)?;
        let strike = mash::strike_temperature(
            &the_mash,
            Temperature::from_celsius(grain),
            kind,
            Temperature::from_celsius(rest.value),
            slaking,
        )
        .ok_or(Missing::because("the mash has no liquor"))?;
        why.source(&mash::MASH_HEAT);
        why.within(&brewing::grist::THICKNESS_RANGE, liquor / mashed, "a mash thickness of", " L/kg");
        why.formula(|| {
            format!(
                "water {} × 0.9982 kg/L = {:.2} kg; vessel {} kJ/C / 4.187 = {:.3} kg of water",
                l(liquor),
                liquor * mash::LIQUOR_DENSITY,
                Show::HeatCapacity.number(vessel.kj_per_kelvin()),
                vessel.kj_per_kelvin() / mash::WATER_HEAT
            )
        });
        why.formula(|| {
            let c = vessel.kj_per_kelvin() / mash::WATER_HEAT;
            let w = liquor * mash::LIQUOR_DENSITY;
            let kg = Show::Mass.number(mashed);
            let set_free = match slaking.kj_per_kg() / mash::WATER_HEAT {
                0.0 => String::new(),
                some => format!(" - {some:.2} × {kg}"),
            };
            if as_hot_as_its_water {
                format!(
                    "{:.1} + (0.40 × {kg} × ({:.1} - {grain:.1}){set_free}) / ({w:.2} + {c:.3}) = {:.1} C",
                    rest.value, rest.value, strike.celsius()
                )
            } else {
                format!(
                    "{:.1} + (0.40 × {kg} × ({:.1} - {grain:.1}){set_free} + {c:.3} × ({:.1} - {room:.1})) / {w:.2} = {:.1} C",
                    rest.value, rest.value, rest.value, strike.celsius()
                )
            }
        });
        if strike.celsius() > self.boiling_point() {
            why.caution(|| {
                "that is above the boiling point here: less grain, more liquor or a cooler first rest".into()
            });
        }
        if strike.celsius() > 55.0 {
            why.caution(|| "hot liquor scalds within seconds; gloves, closed shoes, nobody else near".into());
        }
        finite(strike.celsius())
    }

    /// Heat that the grist sets free when it is wetted: nothing unless the house counts it, else by the mean
    /// moisture of what is mashed.
    fn slaking_heat(&self, why: &mut Why) -> Result<SpecificEnergy, Missing> {
        let none = SpecificEnergy::from_kj_per_kg(0.0);
        if !self.settings.slaking_heat {
            return Ok(none);
        }
        let wort = self.wort()?;
        let wet: f64 = (self.recipe.grist.iter().zip(&wort.parts))
            .filter(|(line, _)| is_mashed(line) && line.thing.kind() != Some(BlockKind::Sugar))
            .map(|(line, part)| {
                part.mass
                    * line.thing.number(Keyword::Moisture).map_or(USUAL_MOISTURE, |given| given.value.value)
            })
            .sum();
        let moisture = wet / wort.mashed;
        let heat = mash::slaking_heat(Fraction::from_parts(moisture)).unwrap_or(none);
        why.source(&mash::GRAIN_HEATS);
        why.within(&mash::MOISTURE_RANGE, moisture, "a moisture of the grist of", "");
        why.formula(|| {
            format!(
                "a grist of {} moisture sets free {:.1} kJ/kg / 4.187 = {:.2} kcal/kg when it is wetted",
                percent(moisture),
                heat.kj_per_kg(),
                heat.kj_per_kg() / mash::WATER_HEAT
            )
        });
        Ok(heat)
    }

    /// How fast the mash cools where nothing heats it, C/min, and what it cools towards, °C; nothing where the
    /// brewhouse states no heat loss.
    fn heat_loss(&self) -> Option<(f64, f64)> {
        let off = &mut Why::off();
        let by_minute = self.house(Keyword::HeatLoss, None, Show::Temperature, off)?;
        let air = self.house(Keyword::Ambient, usual(USUAL_ROOM), Show::Temperature, off)?;
        (by_minute > 0.0).then_some((by_minute, air))
    }

    /// Temperature at the end of a rest that nothing heats, °C: what cools at the stated speed at its start
    /// cools slower the nearer it comes to the air.
    fn cooled(&self, the_mash: &Mash, from: f64, minutes: f64) -> Option<f64> {
        let (by_minute, air) = self.heat_loss()?;
        let at = Temperature::from_celsius(from);
        if from <= air {
            return None;
        }
        let watts = by_minute / 60.0 * the_mash.heat_capacity(at).kj_per_kelvin() * 1000.0 / (from - air);
        mash::temperature_after(
            the_mash,
            at,
            Temperature::from_celsius(air),
            HeatLoss::from_watts_per_kelvin(watts),
            Time::from_minutes(minutes),
        )
        .map(Temperature::celsius)
    }

    /// Every rest with what it takes to reach it.
    ///
    /// # Errors
    /// Where nothing is mashed or the liquor is not known.
    pub fn mash_steps(&self) -> Result<Vec<StepFigure>, Missing> {
        let mashed = self.mashed()?;
        let mut liquor = self.value(FigureId::MashLiquor)?;
        let off = &mut Why::off();
        let vessel = self.vessel(off);
        let heater = self.house(Keyword::Heater, None, Show::Power, off);
        let boiling = self.boiling_point();
        let mut steps = Vec::new();
        let mut now: Option<f64> = None;
        let mut pending_decoction: Option<(Option<f64>, Option<bool>)> = None;
        for (at, step) in self.recipe.mash.steps.iter().enumerate() {
            let the_mash = Mash { grist: Mass::from_kg(mashed), liquor: Volume::from_litres(liquor), vessel };
            match step {
                MashStep::Infuse { volume, place, .. } => {
                    liquor += self.litres(volume, place.block).unwrap_or(0.0);
                }
                MashStep::Decoct { volume, thick, place, .. } => {
                    let written = volume.as_ref().and_then(|volume| self.litres(volume, place.block).ok());
                    pending_decoction = Some((written, *thick));
                }
                MashStep::Rest { place, temperature, time, by, .. } => {
                    let to = temperature.value;
                    let first = now.is_none();
                    let method = if first { self.first_method(*by) } else { self.later_method(*by) };
                    let from = now.unwrap_or_else(|| {
                        self.house(Keyword::GrainTemperature, usual(USUAL_ROOM), Show::Temperature, off)
                            .unwrap_or(USUAL_ROOM)
                    });
                    let mut figure = StepFigure {
                        place: *place,
                        step: at,
                        by: method,
                        from,
                        to,
                        cools_to: None,
                        volume: None,
                        temperature: None,
                        ramp: None,
                        mash_volume: 0.0,
                    };
                    let celsius = Temperature::from_celsius;
                    if first {
                        figure.volume = Some(liquor);
                        figure.temperature = self.value(FigureId::StrikeTemperature).ok();
                    } else if to > from {
                        match method {
                            Method::Infusion => {
                                // Water a little below the boil is what a kettle gives.
                                let water = boiling - 2.0;
                                figure.temperature = Some(water);
                                figure.volume = mash::infusion_volume(
                                    &the_mash,
                                    celsius(from),
                                    celsius(to),
                                    celsius(water),
                                )
                                .map(|volume| volume.litres());
                                liquor += figure.volume.unwrap_or(0.0);
                            }
                            Method::DirectHeat => {
                                // K/min of so many kJ/K, in kW.
                                let lost = self.heat_loss().map_or(0.0, |(by_minute, _)| {
                                    by_minute / 60.0 * the_mash.heat_capacity(celsius(from)).kj_per_kelvin()
                                });
                                figure.ramp = heater.and_then(|kw| {
                                    mash::heating_time(
                                        &the_mash,
                                        celsius(from),
                                        celsius(to),
                                        Power::from_kw(kw),
                                        mash::HEATER_EFFICIENCY,
                                        Power::from_kw(lost),
                                    )
                                    .map(|time| time.minutes())
                                });
                            }
                            Method::Decoction => {
                                let thick = pending_decoction.and_then(|(_, thick)| thick).unwrap_or(true);
                                let part = if thick {
                                    Decoction::Thick(mash::THICK_DECOCTION)
                                } else {
                                    Decoction::Thin
                                };
                                figure.temperature = Some(boiling);
                                figure.volume =
                                    pending_decoction.and_then(|(volume, _)| volume).or_else(|| {
                                        mash::decoction_volume(
                                            &the_mash,
                                            celsius(from),
                                            celsius(to),
                                            celsius(boiling),
                                            part,
                                            TemperatureStep::from_kelvin(self.settings.decoction_loss),
                                        )
                                        .map(|volume| volume.litres())
                                    });
                            }
                            Method::Cook => {}
                        }
                    }
                    pending_decoction = None;
                    figure.mash_volume =
                        mash::mash_volume(Mass::from_kg(mashed), Volume::from_litres(liquor)).litres();
                    // A heater holds the rest it has reached.
                    if method != Method::DirectHeat
                        && let Some(time) = time
                    {
                        let full = Mash { liquor: Volume::from_litres(liquor), ..the_mash };
                        figure.cools_to = self.cooled(&full, to, time.value);
                    }
                    steps.push(figure);
                    now = Some(figure.cools_to.unwrap_or(to));
                }
            }
        }
        Ok(steps)
    }
}
