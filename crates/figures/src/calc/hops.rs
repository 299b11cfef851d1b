//! Bitterness, hop by hop.

use brewing::bitterness::{self, Charge, Kettle, Model};
use quantity::typed::{Fraction, Gravity, Ibu, Length, Mass, Temperature, Time};
use recipe::{Addition, Amount, KettleTime, Place};
use syntax::vocabulary::{BlockKind, Flag, Keyword};

use crate::calc::spread::Input;
use crate::calc::{Calc, finite, usual};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::settings::{BitternessGravity, BitternessModel};
use crate::show::{Show, litres, percent, sg};
use crate::why::Why;

/// A hop in the kettle with what it brings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HopLine {
    /// Index into the recipe's additions.
    pub addition: usize,
    /// The line.
    pub place: Place,
    /// kg
    pub mass: f64,
    /// Alpha acids, parts of one.
    pub alpha: f64,
    /// Minutes of boil.
    pub boil: f64,
    /// Equivalent boil minutes of the stands.
    pub stand: f64,
    /// What its bitterness is multiplied by for its form and the way it is used.
    pub factor: f64,
    /// Bitterness in the beer, IBU.
    pub ibu: f64,
}

/// How much colder than the wort at its end the coolant is, K.
const COOLANT_BELOW: f64 = 5.0;

impl Calc<'_> {
    /// The mass of a kettle hop, kg, solved for where the line says so.
    pub(crate) fn hop_mass(&self, at: usize, addition: &Addition) -> Outcome {
        let kg = match addition.amount {
            Amount::Solved => self
                .solution()?
                .hop_mass
                .ok_or(Missing::because("a hop without an amount needs `to reach … IBU`"))?,
            _ => self.mass_of(&addition.amount, &addition.thing)?,
        };
        Ok(self.read(Input::HopAmount(at), kg))
    }

    fn alpha(&self, at: usize, addition: &Addition) -> Outcome {
        let Some(given) = addition.thing.number(Keyword::Alpha) else {
            return Err(Missing::since(format!(
                "{} has no alpha: write it on the line, `[alpha 5 %]`",
                addition.thing.name
            ))
            .at(addition.place));
        };
        let alpha = match (addition.thing.number(Keyword::Loss), &self.storage(addition)) {
            (Some(loss), Some((days, celsius))) => bitterness::aged_alpha(
                Fraction::from_parts(given.value.value),
                Fraction::from_parts(loss.value.value),
                Time::from_minutes(days * 1440.0),
                Temperature::from_celsius(*celsius),
                bitterness::Packing::default(),
            )
            .map_or(given.value.value, quantity::typed::Fraction::parts),
            _ => given.value.value,
        };
        Ok(self.read(Input::Alpha(at), alpha))
    }

    /// Days since the crop and storage temperature, where crop, storage and the day of brewing are known.
    fn storage(&self, addition: &Addition) -> Option<(f64, f64)> {
        let crop = addition.thing.number(Keyword::Crop)?.value.value;
        let stored = addition.thing.number(Keyword::Stored)?.value.value;
        let day = self.brewed?;
        // Hops are picked in September; months of 30.4 days are near enough for an ageing model.
        let days = (f64::from(day.year) - crop) * 365.25 + (f64::from(day.month) - 9.0) * 30.4;
        (days > 0.0).then_some((days, stored))
    }

    /// Equivalent boil minutes of all stands from the `first` on; a hop of the stand may leave it early.
    fn stand_minutes(&self, first: usize, contact: Option<f64>, why: &mut Why) -> f64 {
        let factor = if self.recipe.stands.is_empty() {
            1.0
        } else {
            self.house(Keyword::StandFactor, usual(1.0), Show::Factor, why).unwrap_or(1.0)
        };
        let mut sum = 0.0;
        for (at, stand) in self.recipe.stands.iter().enumerate().skip(first) {
            let (Some(time), Some(temperature)) = (&stand.time, &stand.temperature) else { continue };
            let minutes = if at == first {
                contact.map_or(time.value, |contact| contact.min(time.value))
            } else {
                time.value
            };
            sum += bitterness::equivalent_minutes(
                Time::from_minutes(minutes),
                Temperature::from_celsius(temperature.value),
            )
            .minutes()
                * factor;
        }
        if contact.is_none() {
            sum += self.chill_minutes(why);
        }
        sum
    }

    /// Equivalent boil minutes of the chill, where the house counts them and the recipe says how long it takes: the
    /// wort comes down to its end as Newton cooling towards a coolant a little below it.
    fn chill_minutes(&self, why: &mut Why) -> f64 {
        let chill = self.recipe.chill.as_ref().filter(|_| self.settings.chill_bitterness);
        let Some((to, over)) = chill.and_then(|chill| chill.to.as_ref().zip(chill.over.as_ref())) else {
            return 0.0;
        };
        let last = self.recipe.stands.iter().rev().find_map(|stand| stand.temperature.as_ref());
        let from = last.map_or_else(|| self.boiling_point(), |temperature| temperature.value);
        let coolant = to.value - COOLANT_BELOW;
        let tau = over.value / ((from - coolant) / COOLANT_BELOW).ln();
        let celsius = Temperature::from_celsius;
        let minutes = bitterness::equivalent_minutes_cooling(
            Time::from_minutes(over.value),
            celsius(from),
            celsius(coolant),
            Time::from_minutes(tau),
        )
        .filter(|_| from > to.value)
        .map_or(0.0, Time::minutes);
        why.uses(&to.origin);
        why.assume(
            "coolant of the chill",
            || Show::Temperature.with_unit(coolant),
            "5 C below what it chills to; common practice, no source",
        );
        why.formula(|| {
            format!(
                "chill from {} to {} over {} min: sum of how fast alpha turns at each moment, against the boil = {minutes:.2} min",
                Show::Temperature.with_unit(from),
                Show::Temperature.with_unit(to.value),
                Show::Minutes.number(over.value)
            )
        });
        why.source(&bitterness::STAND);
        why.within(&bitterness::MALOWICKI_RANGE, to.value, "a chill to", " C");
        minutes
    }

    /// Every kettle hop with its bitterness in the beer.
    ///
    /// # Errors
    /// The reason it cannot be computed: a hop without alpha, no volume, and so on.
    pub fn hop_lines(&self) -> Result<&[HopLine], Missing> {
        self.once(&self.hops, || self.make_hops(&mut Why::off())).as_deref().map_err(Clone::clone)
    }

    fn make_hops(&self, why: &mut Why) -> Result<Vec<HopLine>, Missing> {
        let boil = self.boil_time();
        let mut lines = Vec::new();
        let mut charges = Vec::new();
        for (at, addition) in self.recipe.additions.iter().enumerate() {
            if addition.thing.kind() != Some(BlockKind::Hop) {
                continue;
            }
            let mass = self.hop_mass(at, addition)?;
            let alpha = self.alpha(at, addition)?;
            let own_contact = addition.contact;
            let (minutes, stand, mut factor) = match addition.time {
                KettleTime::Minutes(left) => (left, self.stand_minutes(0, None, why), 1.0),
                KettleTime::FirstWort => {
                    (boil, self.stand_minutes(0, None, why), self.settings.first_wort_factor)
                }
                KettleTime::Flameout => (0.0, self.stand_minutes(0, own_contact, why), 1.0),
                KettleTime::Stand(first) => (0.0, self.stand_minutes(first, own_contact, why), 1.0),
                KettleTime::Mash => (boil, 0.0, self.settings.mash_hop_factor),
                KettleTime::Unsaid => {
                    return Err(Missing::since(format!(
                        "{} does not say when it goes in: `at 60 min`, `at flameout`",
                        addition.thing.name
                    ))
                    .at(addition.place));
                }
            };
            if addition.thing.flags.contains(&Flag::Pellet)
                || addition.thing.words(Keyword::Form).is_some_and(|form| form.eq_ignore_ascii_case("pellet"))
            {
                factor *= self.settings.pellet_factor;
            }
            charges.push(Charge {
                alpha: bitterness::alpha_mass(Mass::from_kg(mass), Fraction::from_parts(alpha)),
                boil: Time::from_minutes(minutes),
                stand: Time::from_minutes(stand),
                factor,
            });
            lines.push(HopLine {
                addition: at,
                place: addition.place,
                mass,
                alpha,
                boil: minutes,
                stand,
                factor,
                ibu: 0.0,
            });
        }
        if lines.is_empty() {
            return Ok(lines);
        }
        let wort = self.wort()?;
        let kettle = Kettle {
            gravity: Gravity::from_sg(self.bitterness_gravity()?),
            post_boil: wort.volumes.post_boil,
            elevation: Length::from_metres(
                self.house(Keyword::Elevation, usual(0.0), Show::Metres, why).unwrap_or(0.0),
            ),
        };
        let in_kettle = self
            .bitterness_model()
            .bitterness(&charges, &kettle)
            .ok_or(Missing::because("the bitterness model has no answer for this gravity and volume"))?;
        for (line, ibu) in lines.iter_mut().zip(in_kettle) {
            line.ibu = bitterness::diluted(ibu, wort.volumes.knock_out, wort.volumes.batch)
                .unwrap_or(Ibu::from_ibu(0.0))
                .ibu();
        }
        Ok(lines)
    }

    pub(crate) const fn bitterness_model(&self) -> Model {
        match self.settings.bitterness {
            BitternessModel::Tinseth => Model::Tinseth,
            BitternessModel::Rager => Model::Rager,
            BitternessModel::Garetz => Model::Garetz,
        }
    }

    /// The gravity utilisation is taken at.
    pub(crate) fn bitterness_gravity(&self) -> Outcome {
        let pre = || self.value(FigureId::PreBoilGravity);
        let post = || self.value(FigureId::PostBoilGravity);
        match self.settings.bitterness_gravity {
            BitternessGravity::Mean => Ok(f64::midpoint(pre()?, post()?)),
            BitternessGravity::PreBoil => pre(),
            BitternessGravity::PostBoil => post(),
        }
    }

    pub(crate) fn ibu(&self, why: &mut Why) -> Outcome {
        let lines = self.hop_lines()?;
        let sum: f64 = lines.iter().map(|line| line.ibu).sum();
        if why.is_on() {
            match self.bitterness_model() {
                Model::Tinseth => why.source(&bitterness::TINSETH),
                Model::Rager => why.source(&bitterness::RAGER),
                Model::Garetz => why.source(&bitterness::GARETZ),
            }
            let _ = self.chill_minutes(why);
            if !self.recipe.stands.is_empty() {
                why.source(&bitterness::STAND);
                let _ = self.stand_minutes(0, None, why);
            }
            let gravity = self.bitterness_gravity()?;
            why.formula(|| match self.settings.bitterness_gravity {
                BitternessGravity::Mean => {
                    let of = |id| self.value(id).unwrap_or(gravity);
                    format!(
                        "gravity in the boil ({} + {}) / 2 = {}",
                        sg(of(FigureId::PreBoilGravity)),
                        sg(of(FigureId::PostBoilGravity)),
                        sg(gravity)
                    )
                }
                BitternessGravity::PreBoil => format!("gravity before the boil {}", sg(gravity)),
                BitternessGravity::PostBoil => format!("gravity after the boil {}", sg(gravity)),
            });
            for stand in &self.recipe.stands {
                let (Some(time), Some(at)) = (&stand.time, &stand.temperature) else { continue };
                why.formula(|| {
                    format!(
                        "stand of {} min at {:.1} C: × {:.4}, as fast as that against the boil, and the stand factor = {:.2} min",
                        Show::Minutes.number(time.value),
                        at.value,
                        bitterness::relative_rate(Temperature::from_celsius(at.value)),
                        bitterness::equivalent_minutes(
                            Time::from_minutes(time.value),
                            Temperature::from_celsius(at.value)
                        )
                        .minutes()
                            * self
                                .house(Keyword::StandFactor, usual(1.0), Show::Factor, &mut Why::off())
                                .unwrap_or(1.0)
                    )
                });
                why.source(&bitterness::MALOWICKI);
                why.within(&bitterness::MALOWICKI_RANGE, at.value, "a stand at", " C");
            }
            let wort = self.wort()?;
            let dilution = wort.volumes.knock_out / wort.volumes.batch;
            for line in lines {
                let addition = &self.recipe.additions[line.addition];
                if let Some(given) = addition.thing.number(Keyword::Alpha) {
                    why.uses(&given.origin);
                }
                self.explain_alpha(addition, line, why);
                why.formula(|| self.hop_formula(line, gravity, dilution));
                let range = match self.bitterness_model() {
                    Model::Tinseth => &bitterness::TINSETH_MINUTES_RANGE,
                    Model::Rager => &bitterness::RAGER_MINUTES_RANGE,
                    Model::Garetz => &bitterness::GARETZ_MINUTES_RANGE,
                };
                why.within(range, line.boil, "a boil of", " min");
            }
            if !lines.is_empty() && self.bitterness_model() == Model::Tinseth {
                why.within(&bitterness::TINSETH_GRAVITY_RANGE, gravity, "a gravity in the boil of", "");
            }
            why.formula(|| format!("together {sum:.1} IBU"));
        }
        finite(sum)
    }

    /// The bitterness of a hop with its numbers.
    fn hop_formula(&self, line: &HopLine, gravity: f64, dilution: f64) -> String {
        let addition = &self.recipe.additions[line.addition];
        let post_boil = self.wort().map_or(0.0, |wort| wort.volumes.post_boil.litres());
        let milligrams = line.mass * line.alpha * 1e6 / post_boil;
        let minutes = if line.stand > 0.0 {
            format!("({} + {:.2})", Show::Minutes.number(line.boil), line.stand)
        } else {
            Show::Minutes.number(line.boil)
        };
        let mut by = match self.bitterness_model() {
            Model::Tinseth => {
                format!("1.65 × 0.000125^{:.4} × (1 - e^(-0.04 × {minutes})) / 4.15", gravity - 1.0)
            }
            model => {
                let utilisation = if milligrams > 0.0 && line.factor > 0.0 && dilution > 0.0 {
                    line.ibu / milligrams / line.factor / dilution
                } else {
                    0.0
                };
                format!("{utilisation:.4} ({minutes} min by {})", model.source().short)
            }
        };
        if line.factor != 1.0 {
            by.push_str(&format!(" × {} for its form or use", Show::Factor.number(line.factor)));
        }
        if dilution != 1.0 {
            by.push_str(&format!(" × {dilution:.4} knock-out over batch"));
        }
        format!(
            "{}: 1000 × {} g × {} / {} = {milligrams:.2} mg/L of alpha × {by} = {:.1} IBU",
            addition.thing.name,
            round_off(line.mass * 1000.0),
            percent(line.alpha),
            litres(post_boil),
            line.ibu,
        )
    }

    /// How the alpha of a hop has aged, where that is counted.
    fn explain_alpha(&self, addition: &Addition, line: &HopLine, why: &mut Why) {
        let (Some(given), Some(loss), Some((days, celsius))) = (
            addition.thing.number(Keyword::Alpha),
            addition.thing.number(Keyword::Loss),
            self.storage(addition),
        ) else {
            return;
        };
        why.source(&bitterness::GARETZ_AGEING);
        why.formula(|| {
            format!(
                "{}: alpha {} × (1 - {})^({days:.0} d / 180 × 2^(({celsius:.1} - 20) / 15)) = {}",
                addition.thing.name,
                percent(given.value.value),
                percent(loss.value.value),
                percent(line.alpha)
            )
        });
    }

    pub(crate) fn bitterness_ratio(&self, why: &mut Why) -> Outcome {
        let ibu = self.value(FigureId::Ibu)?;
        let points = (self.value(FigureId::Og)? - 1.0) * 1000.0;
        if points <= 0.0 {
            return Err(Missing::because("the original gravity is not above 1.000"));
        }
        why.formula(|| format!("{ibu:.1} IBU / {points:.1} points = {}", Show::Ratio.number(ibu / points)));
        why.source(&brewing::source::DEFINITION);
        Ok(ibu / points)
    }
}

/// Grams in a formula: ounces need two digits behind the point.
fn round_off(grams: f64) -> String {
    let text = format!("{grams:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
