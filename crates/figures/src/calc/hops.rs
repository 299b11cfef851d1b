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
use crate::show::Show;
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
    /// Bitterness in the beer, IBU.
    pub ibu: f64,
}

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

    /// Days since the crop and storage temperature, where crop, storage and the recipe's date are written.
    fn storage(&self, addition: &Addition) -> Option<(f64, f64)> {
        let crop = addition.thing.number(Keyword::Crop)?.value.value;
        let stored = addition.thing.number(Keyword::Stored)?.value.value;
        let date = self.recipe.texts.iter().find(|(key, _, _)| *key == Keyword::Date)?;
        let mut parts = date.1.split('-').map(str::parse::<f64>);
        let (year, month) = (parts.next()?.ok()?, parts.next()?.ok()?);
        // Hops are picked in September; months of 30.4 days are near enough for an ageing model.
        let days = (year - crop) * 365.25 + (month - 9.0) * 30.4;
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
        sum
    }

    /// Every kettle hop with its bitterness in the beer.
    ///
    /// # Errors
    /// The reason it cannot be computed: a hop without alpha, no volume, and so on.
    pub fn hop_lines(&self) -> Result<&[HopLine], Missing> {
        self.hops.get_or_init(|| self.make_hops(&mut Why::off())).as_deref().map_err(Clone::clone)
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
            if !self.recipe.stands.is_empty() {
                why.source(&bitterness::STAND);
                let _ = self.stand_minutes(0, None, why);
            }
            if let Ok(gravity) = self.bitterness_gravity() {
                why.formula(|| format!("utilisation at the gravity {}", Show::Gravity.number(gravity)));
            }
            if let Ok(wort) = self.wort() {
                for line in lines {
                    let addition = &self.recipe.additions[line.addition];
                    if let Some(given) = addition.thing.number(Keyword::Alpha) {
                        why.uses(&given.origin);
                    }
                    let milligrams = line.mass * line.alpha * 1e6 / wort.volumes.post_boil.litres();
                    why.formula(|| {
                        let minutes = if line.stand > 0.0 {
                            format!("{} + {:.1} min", Show::Minutes.number(line.boil), line.stand)
                        } else {
                            format!("{} min", Show::Minutes.number(line.boil))
                        };
                        let utilisation = if milligrams > 0.0 { line.ibu / milligrams } else { 0.0 };
                        format!(
                            "{}: {} g × {} / {} = {milligrams:.1} mg/L of alpha × {utilisation:.4} ({minutes}) = {} IBU",
                            addition.thing.name,
                            Show::Grams.number(line.mass * 1000.0),
                            Show::Percent.with_unit(line.alpha * 100.0),
                            Show::Volume.with_unit(wort.volumes.post_boil.litres()),
                            Show::Ibu.number(line.ibu),
                        )
                    });
                }
            }
            for outside in lines.iter().filter_map(|line| bitterness::TINSETH_MINUTES_RANGE.check(line.boil))
            {
                why.caution(|| format!("the table of utilisations ends at {:.0} min", outside.limit()));
            }
            why.formula(|| format!("together {} IBU", Show::Ibu.number(sum)));
        }
        finite(sum)
    }

    pub(crate) fn bitterness_ratio(&self, why: &mut Why) -> Outcome {
        let ibu = self.value(FigureId::Ibu)?;
        let points = (self.value(FigureId::Og)? - 1.0) * 1000.0;
        if points <= 0.0 {
            return Err(Missing::because("the original gravity is not above 1.000"));
        }
        why.formula(|| {
            format!(
                "{} IBU / {points:.1} points = {}",
                Show::Ibu.number(ibu),
                Show::Ratio.number(ibu / points)
            )
        });
        why.source(&brewing::source::DEFINITION);
        Ok(ibu / points)
    }
}
