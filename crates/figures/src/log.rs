//! Forwards from a log: what was measured, brought to the reference state, and what follows from it.

use brewing::{alcohol, gravity, measure, volumes};
use quantity::typed::{Gravity, Plato, Temperature, Time, Volume};
use quantity::{Dimension, UnitId};
use recipe::{Amount, Event, GravityReading, Log, Moment, PhOf, Place, Recipe, Vessel, VolumeReading};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::{Calc, alcohol_by_volume, apparent_percent, finite, gravity_of, rate_of};
use crate::figure::{Figure, Missing, Outcome};
use crate::id::FigureId;
use crate::settings::Settings;
use crate::show::{Show, litres as l, percent, sg as g};
use crate::why::Why;

/// A gravity brought to 20 °C and freed of what the instrument adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ActualGravity {
    /// Index of the log's entry.
    pub entry: usize,
    /// When.
    pub moment: Option<Moment>,
    /// As written, on the specific-gravity scale.
    pub read: f64,
    /// Corrected.
    pub sg: f64,
    /// Whether alcohol bends the reading and the correction is an estimate.
    pub estimated: bool,
    /// Where it stands.
    pub place: Place,
}

/// A log with its recipe's figures.
pub struct Actual<'l> {
    /// The log.
    pub log: &'l Log,
    /// The plan's figures, when the recipe was found.
    pub plan: Option<&'l Calc<'l>>,
    settings: &'l Settings,
}

/// Wort correction factor of a refractometer that states none.
const USUAL_WCF: f64 = measure::USUAL_WORT_CORRECTION;
/// Calibration of a hydrometer that states none, °C.
const USUAL_HYDROMETER: f64 = 20.0;

impl<'l> Actual<'l> {
    /// The log, with the figures of its recipe where that was found.
    #[must_use]
    pub const fn new(log: &'l Log, plan: Option<&'l Calc<'l>>, settings: &'l Settings) -> Self {
        Self { log, plan, settings }
    }

    fn recipe(&self) -> Option<&Recipe> {
        self.log.recipe.as_deref()
    }

    fn house(&self, key: Keyword) -> Option<f64> {
        Some(self.recipe()?.brewhouse.as_ref()?.number(key)?.value.value)
    }

    /// Minutes from midnight of the brewing date; `None` without a time of day.
    #[must_use]
    pub fn minutes(moment: Option<Moment>) -> Option<f64> {
        let moment = moment?;
        Some(f64::from(moment.day) * 1440.0 + f64::from(moment.minute?))
    }

    /// Days between two moments, by date where a time of day is missing.
    #[must_use]
    pub fn days_between(from: Option<Moment>, to: Option<Moment>) -> Option<f64> {
        let (from, to) = (from?, to?);
        Some(match (from.minute, to.minute) {
            (Some(a), Some(b)) => f64::from(to.day - from.day) + (f64::from(b) - f64::from(a)) / 1440.0,
            _ => f64::from(to.day - from.day),
        })
    }

    /// A volume brought to 20 °C, L.
    #[must_use]
    pub fn cold(reading: &VolumeReading) -> f64 {
        reading.temperature.map_or(reading.litres, |celsius| {
            measure::cold_volume(Volume::from_litres(reading.litres), Temperature::from_celsius(celsius))
                .litres()
        })
    }

    /// A gravity brought to 20 °C; a refractometer's is divided by its factor, and after pitching freed of
    /// the alcohol as far as a formula can.
    fn corrected(&self, reading: &GravityReading, fermenting: bool) -> (f64, bool) {
        let read = gravity_of(reading.value);
        let is_brix = matches!(reading.value.unit, Some(UnitId::BX));
        if reading.refractometer || (is_brix && fermenting) {
            let factor = self.house(Keyword::RefractometerFactor).unwrap_or(USUAL_WCF);
            let brix = match reading.value.unit {
                Some(UnitId::BX | UnitId::P) => Plato::from_plato(reading.value.value),
                _ => gravity::plato(read),
            };
            let wort = measure::refractometer_wort(brix, factor);
            if !fermenting {
                return (gravity::gravity(wort).sg(), false);
            }
            let Ok(og) = self.og() else { return (gravity::gravity(wort).sg(), true) };
            let first = gravity::plato(Gravity::from_sg(og));
            let linear = measure::RefractometerFormula::Linear.final_gravity(first, wort);
            // The better formula holds only once most of the extract has gone.
            let holds = linear.attenuation.is_some_and(|attenuation| {
                measure::TERRILL_ATTENUATION_RANGE.check(attenuation.parts()).is_none()
            });
            let fitting =
                if holds { linear } else { measure::RefractometerFormula::Bonham.final_gravity(first, wort) };
            return (fitting.gravity.sg(), true);
        }
        match reading.sample {
            Some(sample) => {
                let calibration = self.house(Keyword::Hydrometer).unwrap_or(USUAL_HYDROMETER);
                let sg = measure::hydrometer(
                    read,
                    Temperature::from_celsius(sample),
                    Temperature::from_celsius(calibration),
                    0.0,
                );
                (sg.sg(), false)
            }
            None => (read.sg(), false),
        }
    }

    /// Index of the entry that pitches the yeast.
    #[must_use]
    pub fn pitched_at(&self) -> Option<usize> {
        self.log.entries.iter().position(|entry| matches!(entry.event, Event::Pitch { .. }))
    }

    fn is_fermenting(&self, entry: usize) -> bool {
        self.pitched_at().is_some_and(|pitched| entry > pitched)
    }

    /// Every gravity of the fermenting beer, `og` first, in the order logged.
    #[must_use]
    pub fn gravities(&self) -> Vec<ActualGravity> {
        let mut all = Vec::new();
        for (at, entry) in self.log.entries.iter().enumerate() {
            let reading = match &entry.event {
                Event::Og(reading, _) | Event::Gravity(reading) | Event::Fg(reading) => reading,
                _ => continue,
            };
            let (sg, estimated) = self.corrected(reading, self.is_fermenting(at));
            all.push(ActualGravity {
                entry: at,
                moment: entry.moment,
                read: gravity_of(reading.value).sg(),
                sg,
                estimated,
                place: reading.place,
            });
        }
        all
    }

    /// The gravity of a reading of wort, corrected.
    #[must_use]
    pub fn wort_gravity(&self, reading: &GravityReading) -> f64 {
        self.corrected(reading, false).0
    }

    fn og(&self) -> Outcome {
        let reading = self.log.entries.iter().find_map(|entry| match &entry.event {
            Event::Og(reading, _) => Some(reading),
            _ => None,
        });
        let reading = reading.ok_or(Missing::because("no og is logged"))?;
        finite(self.corrected(reading, false).0)
    }

    fn fg(&self) -> Outcome {
        let all = self.gravities();
        let explicit = self.log.entries.iter().rposition(|entry| matches!(entry.event, Event::Fg(_)));
        let chosen = explicit
            .and_then(|at| all.iter().find(|gravity| gravity.entry == at))
            .or_else(|| all.iter().rev().find(|gravity| self.is_fermenting(gravity.entry)));
        chosen
            .map(|gravity| gravity.sg)
            .ok_or(Missing::because("no gravity after pitching is logged"))
            .and_then(finite)
    }

    /// Volume and gravity before the boil, corrected.
    ///
    /// # Errors
    /// Where they are not logged.
    pub fn pre_boil(&self) -> Result<(f64, Option<f64>, Place), Missing> {
        self.log
            .entries
            .iter()
            .find_map(|entry| match &entry.event {
                Event::PreBoil(volume, reading) => Some((
                    Self::cold(volume),
                    reading.as_ref().map(|reading| self.corrected(reading, false).0),
                    entry.place,
                )),
                _ => None,
            })
            .ok_or(Missing::because("no pre-boil volume is logged"))
    }

    /// Volume and gravity after the boil, corrected.
    ///
    /// # Errors
    /// Where they are not logged.
    pub fn post_boil(&self) -> Result<(f64, Option<f64>, Place), Missing> {
        self.log
            .entries
            .iter()
            .find_map(|entry| match &entry.event {
                Event::PostBoil(volume, reading) => Some((
                    Self::cold(volume),
                    reading.as_ref().map(|reading| self.corrected(reading, false).0),
                    entry.place,
                )),
                _ => None,
            })
            .ok_or(Missing::because("no post-boil volume is logged"))
    }

    /// Volume in the fermenter, cold, L.
    ///
    /// # Errors
    /// Where it is not logged.
    pub fn fermenter_volume(&self) -> Outcome {
        self.log
            .entries
            .iter()
            .find_map(|entry| match &entry.event {
                Event::Og(_, Some(volume)) => Some(Self::cold(volume)),
                Event::Volume(volume, Vessel::Fermenter) => Some(Self::cold(volume)),
                _ => None,
            })
            .ok_or(Missing::because("no volume in the fermenter is logged: `og 1.050 with 20 L`"))
    }

    /// Minutes of boil that the log shows.
    ///
    /// # Errors
    /// Where start or end is not logged.
    pub fn boil_minutes(&self) -> Outcome {
        let time_of = |wanted: fn(&Event) -> bool| {
            self.log
                .entries
                .iter()
                .find(|entry| wanted(&entry.event))
                .and_then(|entry| Self::minutes(entry.moment))
        };
        let start = time_of(|event| matches!(event, Event::BoilStart));
        let end = time_of(|event| matches!(event, Event::Flameout | Event::BoilEnd));
        match (start, end) {
            (Some(start), Some(end)) if end > start => Ok(end - start),
            (None, _) => Err(Missing::because("no `boil start` is logged with a time")),
            _ => Err(Missing::because("no `flameout` is logged with a time")),
        }
    }

    /// Laboratory extract of what was mashed, kg, with what was weighed in place of what was planned.
    fn mashed_laboratory(&self) -> Result<(f64, f64), Missing> {
        let plan = self.plan.ok_or(Missing::because("the recipe is not found"))?;
        let wort = plan.wort()?;
        let (mut mashed, mut all) = (0.0, 0.0);
        for (line, part) in plan.recipe.grist.iter().zip(&wort.parts) {
            let weighed = self.log.entries.iter().find_map(|entry| match &entry.event {
                Event::Weigh { amount: Amount::Of(quant), thing } if same_thing(thing, &line.thing) => {
                    Some(quant.value)
                }
                _ => None,
            });
            let factor = match weighed {
                Some(kg) if part.mass > 0.0 => kg / part.mass,
                _ => 1.0,
            };
            let laboratory = part.laboratory * factor;
            if !matches!(line.joins, recipe::Joins::Fermenter(_)) {
                all += laboratory;
            }
            if matches!(line.joins, recipe::Joins::Mash | recipe::Joins::Cook)
                && line.thing.kind() != Some(BlockKind::Sugar)
            {
                mashed += laboratory;
            }
        }
        Ok((mashed, all))
    }

    /// Extract in the kettle before the boil that did not come through the mash, kg.
    fn other_before_boil(&self) -> f64 {
        let Some(wort) = self.plan.and_then(|plan| plan.wort().ok()) else { return 0.0 };
        let Some(recipe) = self.recipe() else { return 0.0 };
        recipe
            .grist
            .iter()
            .zip(&wort.parts)
            .filter(|(line, _)| {
                matches!(line.joins, recipe::Joins::Steep | recipe::Joins::FirstWort)
                    || (matches!(line.joins, recipe::Joins::Mash)
                        && line.thing.kind() == Some(BlockKind::Sugar))
            })
            .map(|(_, part)| part.extract)
            .sum()
    }

    /// The value of a figure, the log's own or the plan's.
    ///
    /// # Errors
    /// The reason it cannot be computed.
    pub fn value(&self, id: FigureId) -> Outcome {
        self.compute(id, &mut Why::off()).and_then(finite)
    }

    /// A figure with its formula, sources and assumptions.
    ///
    /// # Errors
    /// The reason it cannot be computed.
    pub fn explain(&self, id: FigureId) -> Result<Figure, Missing> {
        let mut why = Why::on();
        let value = self.compute(id, &mut why).and_then(finite)?;
        let record = why.into_record();
        Ok(Figure {
            id,
            value,
            currency: None,
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
        match id {
            F::ActualOg => {
                let og = self.og()?;
                why.formula(|| {
                    format!(
                        "at 20 C: {} ({} P)",
                        g(og),
                        Show::Plato.number(gravity::plato(Gravity::from_sg(og)).plato())
                    )
                });
                let at = self.log.entries.iter().position(|entry| matches!(entry.event, Event::Og(..)));
                self.explain_reading(at, why);
                Ok(og)
            }
            F::ActualFg => {
                let fg = self.fg()?;
                why.formula(|| {
                    format!("the last gravity logged, at 20 C and without what alcohol does: {}", g(fg))
                });
                let at = self
                    .gravities()
                    .iter()
                    .rfind(|gravity| (gravity.sg - fg).abs() < 1e-9)
                    .map(|gravity| gravity.entry);
                self.explain_reading(at, why);
                Ok(fg)
            }
            F::ActualAbv => {
                let (og, fg) = (Gravity::from_sg(self.og()?), Gravity::from_sg(self.fg()?));
                alcohol_by_volume(self.settings.alcohol, og, fg, why)
            }
            F::ActualApparentAttenuation => {
                let plato = |sg: f64| gravity::plato(Gravity::from_sg(sg));
                apparent_percent(plato(self.og()?), plato(self.fg()?), why)
            }
            F::ActualMashEfficiency => self.mash_efficiency(why),
            F::ActualBrewhouseEfficiency => self.brewhouse_efficiency(why),
            F::ActualEvaporation => self.evaporation(why),
            F::ActualPackagedVolume => self.packaged(why),
            F::ActualMashPh => {
                let (value, sample) = self
                    .log
                    .entries
                    .iter()
                    .rev()
                    .find_map(|entry| match entry.event {
                        Event::Ph { value, sample, of: PhOf::Mash } => Some((value, sample)),
                        _ => None,
                    })
                    .ok_or(Missing::because("no mash pH is logged"))?;
                why.formula(|| format!("the last reading of the mash: {}", Show::Ph.number(value)));
                why.source(&brewing::ph::HOT_WORT);
                if sample.is_some_and(|celsius| celsius > 35.0) {
                    why.caution(|| {
                        "a hot sample reads lower than a cooled one, about 0.35 at 65 C; cool it".into()
                    });
                }
                Ok(value)
            }
            F::ActualMashBuffering => self.mash_buffering(why),
            F::MashAcidCorrection => self.mash_acid_correction(why),
            F::ActualPitchRate => self.pitch_rate(why),
            _ => match self.plan {
                Some(plan) => plan.value(id),
                None => Err(Missing::because("the recipe is not found")),
            },
        }
    }

    /// How a reading was brought to 20 °C and freed of what its instrument adds.
    fn explain_reading(&self, entry: Option<usize>, why: &mut Why) {
        let reading = entry.and_then(|at| match &self.log.entries.get(at)?.event {
            Event::Og(reading, _) | Event::Gravity(reading) | Event::Fg(reading) => Some((at, reading)),
            _ => None,
        });
        let Some((at, reading)) = reading else { return };
        let read = gravity_of(reading.value).sg();
        let fermenting = self.is_fermenting(at);
        let is_brix = matches!(reading.value.unit, Some(UnitId::BX));
        if reading.refractometer || (is_brix && fermenting) {
            let factor = self.house(Keyword::RefractometerFactor).unwrap_or(USUAL_WCF);
            why.source(&measure::WORT_CORRECTION);
            if self.house(Keyword::RefractometerFactor).is_none() {
                why.assume("refractometer factor", || format!("{USUAL_WCF}"), "common practice, no source");
            }
            why.within(&measure::WORT_CORRECTION_RANGE, factor, "a refractometer factor of", "");
            let brix = match reading.value.unit {
                Some(UnitId::BX | UnitId::P) => reading.value.value,
                _ => gravity::plato(Gravity::from_sg(read)).plato(),
            };
            why.formula(|| {
                format!("refractometer {brix:.2} Bx / {factor:.3} = {:.2} P of wort", brix / factor)
            });
            if !fermenting {
                return;
            }
            why.source(&measure::TERRILL);
            let (Ok(og), Ok(wort)) = (self.og(), Ok::<f64, Missing>(brix / factor)) else { return };
            let first = gravity::plato(Gravity::from_sg(og));
            let linear = measure::RefractometerFormula::Linear.final_gravity(first, Plato::from_plato(wort));
            let implied = linear.attenuation.map_or(0.0, |attenuation| attenuation.parts());
            if measure::TERRILL_ATTENUATION_RANGE.check(implied).is_some() {
                why.source(&measure::BONHAM);
                why.caution(|| {
                    format!(
                        "at {} of attenuation the formula for finished beer does not hold yet; an older one is used, which reads low",
                        percent(implied)
                    )
                });
            } else {
                why.formula(|| {
                    let from = first.plato();
                    format!(
                        "freed of alcohol 1 - 0.00085683 × {from:.2} + 0.0034941 × {wort:.2} = {}",
                        g(linear.gravity.sg())
                    )
                });
            }
            return;
        }
        let Some(sample) = reading.sample else {
            why.source(&brewing::source::DEFINITION);
            why.formula(|| format!("as read, at the temperature of the hydrometer: {}", g(read)));
            return;
        };
        if self.house(Keyword::Hydrometer).is_none() {
            why.assume("hydrometer", || "calibrated at 20 C".into(), "not stated by the brewhouse");
        }
        let calibration = self.house(Keyword::Hydrometer).unwrap_or(USUAL_HYDROMETER);
        why.source(&measure::HYDROMETER);
        why.source(&measure::KELL);
        why.within(
            &measure::HYDROMETER_STEP_RANGE,
            sample - calibration,
            "a sample that differs from the calibration by",
            " C",
        );
        if (sample - calibration).abs() < 1e-9 {
            why.formula(|| format!("as read, at the temperature of the hydrometer: {}", g(read)));
            return;
        }
        why.formula(|| {
            let water = |celsius: f64| {
                measure::water_density(Temperature::from_celsius(celsius)).kg_per_litre() * 1000.0
            };
            format!(
                "hydrometer {} × water {:.2} at {calibration:.1} C / {:.2} at {sample:.1} C = {}",
                g(read),
                water(calibration),
                water(sample),
                g(read * water(calibration) / water(sample))
            )
        });
    }

    fn mash_efficiency(&self, why: &mut Why) -> Outcome {
        let (litres, sg, _) = self.pre_boil()?;
        let sg = sg.ok_or(Missing::because("no pre-boil gravity is logged"))?;
        let (mashed, _) = self.mashed_laboratory()?;
        if mashed <= 0.0 {
            return Err(Missing::because("nothing was mashed"));
        }
        let extract = gravity::extract_mass(Volume::from_litres(litres), Gravity::from_sg(sg)).kg();
        let through_mash = extract - self.other_before_boil();
        why.source(&brewing::source::DEFINITION);
        why.source(&measure::KELL);
        why.formula(|| {
            let beside = match extract - through_mash {
                0.0 => String::new(),
                some => format!(" - {} kg that did not come through the mash", Show::Mass.number(some)),
            };
            format!(
                "{} × {:.4} kg/L × {:.2} P / 100{beside} = {} kg; {} / {} kg by the laboratory = {}",
                l(litres),
                gravity::density(Gravity::from_sg(sg)).kg_per_litre(),
                gravity::plato(Gravity::from_sg(sg)).plato(),
                Show::Mass.number(through_mash),
                Show::Mass.number(through_mash),
                Show::Mass.number(mashed),
                percent(through_mash / mashed)
            )
        });
        Ok(through_mash / mashed * 100.0)
    }

    fn brewhouse_efficiency(&self, why: &mut Why) -> Outcome {
        let litres = self.fermenter_volume()?;
        let sg = self.og()?;
        let (_, laboratory) = self.mashed_laboratory()?;
        if laboratory <= 0.0 {
            return Err(Missing::because("the grist has no extract"));
        }
        let extract = gravity::extract_mass(Volume::from_litres(litres), Gravity::from_sg(sg)).kg();
        why.source(&brewing::source::DEFINITION);
        why.formula(|| {
            format!(
                "{} × {:.4} kg/L × {:.2} P / 100 = {} kg; {} / {} kg by the laboratory = {}",
                l(litres),
                gravity::density(Gravity::from_sg(sg)).kg_per_litre(),
                gravity::plato(Gravity::from_sg(sg)).plato(),
                Show::Mass.number(extract),
                Show::Mass.number(extract),
                Show::Mass.number(laboratory),
                percent(extract / laboratory)
            )
        });
        Ok(extract / laboratory * 100.0)
    }

    /// Living cells that were pitched, billion, with the share above and below that their age leaves open.
    fn cells(&self, why: &mut Why) -> Result<(f64, f64), Missing> {
        let pitched = self.log.entries.iter().find_map(|entry| match &entry.event {
            Event::Pitch { amount: Amount::Of(quant), .. }
                if quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Cells) =>
            {
                Some(quant.value)
            }
            _ => None,
        });
        if let Some(cells) = pitched {
            why.formula(|| format!("pitched as logged: {} billion", Show::Cells.number(cells)));
            return Ok((cells, 0.0));
        }
        let plan = self.plan.ok_or(Missing::because("the recipe is not found"))?;
        let day = self.log.date.and_then(|date| recipe::later(date, self.log.pitch_day.unwrap_or(0)));
        let dated = day.map(|day| plan.on(day));
        let calc = dated.as_ref().unwrap_or(plan);
        let cells = calc.cells_pitched(why)?;
        let spread =
            (0..calc.part().pitch.lines.len()).map(|at| calc.viability_spread(at)).fold(0.0, f64::max);
        Ok((cells, spread))
    }

    fn pitch_rate(&self, why: &mut Why) -> Outcome {
        let (cells, spread) = self.cells(why)?;
        let rate = rate_of(cells, self.fermenter_volume()?, self.og()?, why)?;
        if spread > 0.0 {
            why.caution(|| {
                format!(
                    "by the age of the yeast between {} and {}: count it to know better",
                    Show::PitchRate.number(rate * (1.0 - 2.0 * spread)),
                    Show::PitchRate.with_unit(rate * (1.0 + 2.0 * spread))
                )
            });
        }
        Ok(rate)
    }

    fn evaporation(&self, why: &mut Why) -> Outcome {
        let (before, _, _) = self.pre_boil()?;
        let (after, _, _) = self.post_boil()?;
        let minutes = self.boil_minutes()?;
        let top_up = self
            .plan
            .and_then(|plan| {
                plan.recipe.liquor.top_up_kettle.as_ref().and_then(|liquor| plan.cold_litres(liquor).ok())
            })
            .unwrap_or(0.0);
        let rate = volumes::evaporation_rate(
            Volume::from_litres(before),
            Volume::from_litres(after),
            Volume::from_litres(top_up),
            Time::from_minutes(minutes),
        )
        .ok_or(Missing::because("the boil has no length"))?;
        why.source(&volumes::VOLUME_CHAIN);
        why.formula(|| {
            format!(
                "({} - {} + {}) × 60 / {} min = {:.2} L/h, cold volumes",
                l(before),
                l(after),
                l(top_up),
                Show::Minutes.number(minutes),
                rate.litres_per_hour()
            )
        });
        Ok(rate.litres_per_hour())
    }

    fn packaged(&self, why: &mut Why) -> Outcome {
        let mut sum = 0.0;
        let mut any = false;
        for entry in &self.log.entries {
            if let Event::Package { volume, .. } = &entry.event {
                sum += Self::cold(volume);
                any = true;
            }
        }
        if !any {
            return Err(Missing::because("no package is logged"));
        }
        why.formula(|| format!("as logged, cold: {}", l(sum)));
        why.source(&volumes::VOLUME_CHAIN);
        Ok(sum)
    }

    /// Alcohol by volume from two gravities, by the model of the settings, %.
    ///
    /// # Errors
    /// Outside what the model covers.
    pub fn abv_between(&self, og: f64, fg: f64) -> Outcome {
        alcohol_by_volume(self.settings.alcohol, Gravity::from_sg(og), Gravity::from_sg(fg), &mut Why::off())
    }
}

/// Whether two lines name the same thing.
#[must_use]
pub fn same_thing(one: &recipe::Thing, other: &recipe::Thing) -> bool {
    match (&one.definition, &other.definition) {
        (Some(a), Some(b)) => a.kind == b.kind && a.place == b.place,
        _ => one.name.eq_ignore_ascii_case(&other.name),
    }
}

/// Real extract of a beer, for those who show it.
#[must_use]
pub fn real_extract(og: f64, fg: f64) -> f64 {
    let plato = |sg: f64| gravity::plato(Gravity::from_sg(sg));
    alcohol::real_extract(plato(og), plato(fg)).plato()
}
