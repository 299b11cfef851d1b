//! From wort to beer: final gravity, alcohol, attenuation, energy.

use brewing::{alcohol, attenuation, carbonation, gravity};
use quantity::typed::{Fraction, Gravity, Mass, Plato, Temperature, Volume};
use recipe::{Joins, MashStep, PitchLine};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::spread::Input;
use crate::calc::{Calc, finite};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::settings::AlcoholModel;
use crate::show::{Show, litres, percent, sg};
use crate::why::Why;

impl Calc<'_> {
    /// The yeast that sets the final gravity: the one that attenuates most of those pitched.
    fn leading_yeast(&self) -> Option<(&PitchLine, f64)> {
        self.part()
            .pitch
            .lines
            .iter()
            .filter_map(|line| Some((line, line.thing.number(Keyword::Attenuation)?.value.value)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Apparent attenuation of the yeast, parts of one, from extract.
    pub(crate) fn yeast_attenuation(&self, why: &mut Why) -> Outcome {
        let Some((line, attenuation)) = self.leading_yeast() else {
            return Err(match self.part().pitch.lines.first() {
                None => Missing::because("no yeast is named under `pitch`"),
                Some(line) => {
                    Missing::since(format!("{} has no attenuation", line.thing.name)).at(line.place)
                }
            });
        };
        if let Some(given) = line.thing.number(Keyword::Attenuation) {
            why.uses(&given.origin);
        }
        let mut value = self.read(Input::Attenuation, attenuation);
        why.formula(|| format!("apparent attenuation of {}: {}", line.thing.name, percent(value)));
        if self.settings.mash_effect
            && let Some(shift) = self.mash_shift()
        {
            value += shift;
            if let Some(rest) = self.warmest_rest() {
                why.within(&brewing::yeast::MASH_EFFECT_RANGE, rest, "a rest at", " C");
            }
            why.source(&brewing::yeast::MASH_EFFECT);
            why.formula(|| format!("with the effect of the mash {}", percent(value)));
            why.caution(|| {
                format!("the mash temperature moves the attenuation by {:+.1} points", shift * 100.0)
            });
        }
        finite(value)
    }

    /// What the warmest long rest of the mash does to the attenuation, parts of one.
    fn mash_shift(&self) -> Option<f64> {
        let rest = self.warmest_rest()?;
        let at = brewing::yeast::mash_temperature_effect(Temperature::from_celsius(rest))?;
        let reference =
            brewing::yeast::mash_temperature_effect(Temperature::from_celsius(MASH_EFFECT_REFERENCE))?;
        Some(at.parts() - reference.parts())
    }

    /// Temperature of the longest rest in which starch turns to sugar, °C.
    fn warmest_rest(&self) -> Option<f64> {
        self.recipe
            .mash
            .steps
            .iter()
            .filter_map(|step| match step {
                MashStep::Rest { temperature, time, .. } if (60.0..=80.0).contains(&temperature.value) => {
                    Some((temperature.value, time.as_ref().map_or(0.0, |time| time.value)))
                }
                _ => None,
            })
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(celsius, _)| celsius)
    }

    /// Share of the extract that ferments.
    fn fermented_share(&self, why: &mut Why) -> Outcome {
        let wort = self.wort()?;
        let yeast = Fraction::from_parts(self.yeast_attenuation(why)?);
        let into = wort.volumes.knock_out / wort.volumes.post_boil;
        let mut listed = 0.0;
        let mut parts: Vec<(Mass, attenuation::Fermentability)> = Vec::with_capacity(wort.parts.len() + 1);
        for (line, part) in self.recipe.grist.iter().zip(&wort.parts) {
            let scale = if matches!(line.joins, Joins::Fermenter(_)) { self.part_scale(line) } else { into };
            let mass = Mass::from_kg(part.extract * scale);
            listed += part.extract * if matches!(line.joins, Joins::Fermenter(_)) { 0.0 } else { 1.0 };
            let kind = if line.thing.kind() == Some(BlockKind::Sugar) {
                let real = match line.thing.number(Keyword::Fermentability) {
                    Some(given) => given.value.value,
                    None => {
                        why.assume(
                            format!("fermentability of {}", line.thing.name),
                            || "100 %".into(),
                            "common practice, no source",
                        );
                        1.0
                    }
                };
                let is_malt_extract = line
                    .thing
                    .words(Keyword::Form)
                    .is_some_and(|form| form.to_ascii_lowercase().contains("malt-extract"));
                if is_malt_extract {
                    attenuation::Fermentability::MaltExtract(Fraction::from_parts(real))
                } else {
                    attenuation::Fermentability::Sugar(Fraction::from_parts(real))
                }
            } else {
                attenuation::Fermentability::Wort
            };
            if mass.kg() > 0.0 {
                if why.is_on() && kind != attenuation::Fermentability::Wort {
                    let gone = kind.share(yeast).parts();
                    why.formula(|| {
                        format!(
                            "{}: {} kg of extract in the fermenter, {} of it ferments",
                            line.thing.name,
                            Show::Mass.number(mass.kg()),
                            percent(gone)
                        )
                    });
                }
                parts.push((mass, kind));
            }
        }
        // Runnings measured, or taken over from another recipe, are wort whose grist is not on this list.
        let unlisted = wort.kettle - listed;
        if unlisted > 1e-9 {
            parts.push((Mass::from_kg(unlisted * into), attenuation::Fermentability::Wort));
        }
        let sum = |wanted: fn(attenuation::Fermentability) -> bool| -> (f64, f64) {
            let those = parts.iter().filter(|(_, kind)| wanted(*kind));
            those.fold((0.0, 0.0), |(all, gone), (mass, kind)| {
                (all + mass.kg(), gone + mass.kg() * kind.share(yeast).parts())
            })
        };
        let (wort_kg, _) = sum(|kind| kind == attenuation::Fermentability::Wort);
        let (others_kg, others_gone) = sum(|kind| kind != attenuation::Fermentability::Wort);
        let share = attenuation::fermented_share(parts, yeast)
            .ok_or(Missing::because("there is no extract to ferment"))?;
        why.source(&attenuation::FERMENTED_SHARE);
        why.formula(|| {
            let of_wort = attenuation::Fermentability::Wort.share(yeast).parts();
            let by = format!("0.8192 × {} = {of_wort:.4}", percent(yeast.parts()));
            if others_kg > 0.0 {
                format!(
                    "of wort ferments {by}; of all ({} kg × {of_wort:.4} + {} kg) / {} kg = {:.4}",
                    Show::Mass.number(wort_kg),
                    Show::Mass.number(others_gone),
                    Show::Mass.number(wort_kg + others_kg),
                    share.parts()
                )
            } else {
                format!("share of the extract that ferments {by}")
            }
        });
        finite(share.parts())
    }

    pub(crate) fn fg(&self, why: &mut Why) -> Outcome {
        let og = self.value(FigureId::Og)?;
        let share = self.fermented_share(why)?;
        let oe = gravity::plato(Gravity::from_sg(og));
        let ae = attenuation::final_extract(oe, Fraction::from_parts(share));
        let fg = gravity::gravity(ae);
        why.formula(|| {
            format!(
                "apparent extract ((1 - {:.4}) - 0.1808) × {:.2} P / 0.8192 = {:.2} P, so {}",
                share,
                oe.plato(),
                ae.plato(),
                sg(fg.sg())
            )
        });
        why.source(&alcohol::BALLING);
        why.source(&gravity::ASBC_CUBIC);
        why.within(&gravity::ASBC_RANGE, fg.sg(), "a final gravity of", "");
        if self.part().pitch.lines.len() > 1 {
            why.caution(|| "of several yeasts the one that attenuates most is taken".into());
        }
        if !self.settings.mash_effect {
            why.caution(|| "the mash temperature is not counted (`mash-effect` is off)".into());
        }
        finite(fg.sg())
    }

    fn extracts(&self) -> Result<(Gravity, Gravity, Plato, Plato), Missing> {
        let og = Gravity::from_sg(self.value(FigureId::Og)?);
        let fg = Gravity::from_sg(self.value(FigureId::Fg)?);
        Ok((og, fg, gravity::plato(og), gravity::plato(fg)))
    }

    pub(crate) fn abv(&self, why: &mut Why) -> Outcome {
        let (og, fg, _, _) = self.extracts()?;
        alcohol_by_volume(self.settings.alcohol, og, fg, why)
    }

    /// Alcohol by volume that the priming sugar adds, %.
    fn priming_abv(&self, why: &mut Why) -> f64 {
        let (Ok(sugar), Ok(packaged)) =
            (self.value(FigureId::PrimingSugar), self.value(FigureId::PackagedVolume))
        else {
            return 0.0;
        };
        let Some((_, thing)) = self.part().package.lines.iter().find_map(|line| line.priming.as_ref()) else {
            return 0.0;
        };
        let extract = thing.number(Keyword::Extract).map_or(1.0, |given| given.value.value);
        let real = thing.number(Keyword::Fermentability).map_or(1.0, |given| given.value.value);
        // Balling: 2.0665 g of extract give 1 g of alcohol; 0.7907 is ethanol's gravity, 0.9982 kg/L water's.
        let alcohol_kg = sugar / 1000.0 * extract * real / 2.0665;
        let by_volume = alcohol_kg / (0.7907 * 0.9982) / packaged * 100.0;
        if !by_volume.is_finite() {
            return 0.0;
        }
        if sugar > 0.0 {
            why.formula(|| {
                format!(
                    "priming sugar {} g × {} extract × {} fermentable / 2.0665 / (789.3 g/L × {}) = {by_volume:.2} %",
                    Show::Grams.number(sugar),
                    percent(extract),
                    percent(real),
                    litres(packaged)
                )
            });
        }
        by_volume.max(0.0)
    }

    pub(crate) fn abv_packaged(&self, why: &mut Why) -> Outcome {
        let before = self.value(FigureId::Abv)?;
        let added = self.priming_abv(why);
        why.formula(|| format!("{before:.2} % + {added:.2} % from priming sugar = {:.2} %", before + added));
        why.source(&alcohol::BALLING);
        Ok(before + added)
    }

    pub(crate) fn alcohol_by_weight(&self, why: &mut Why) -> Outcome {
        let (_, fg, _, _) = self.extracts()?;
        let abv = self.value(FigureId::Abv)?;
        let share = alcohol::weight_from_volume(Fraction::from_parts(abv / 100.0), fg);
        why.source(&alcohol::ETHANOL_GRAVITY);
        why.formula(|| format!("{abv:.2} % × 0.7907 / {} = {}", sg(fg.sg()), percent(share.parts())));
        Ok(share.parts() * 100.0)
    }

    pub(crate) fn alcohol_mass(&self, why: &mut Why) -> Outcome {
        let abv = self.value(FigureId::Abv)?;
        let mass = alcohol::alcohol_mass(Volume::from_millilitres(100.0), Fraction::from_parts(abv / 100.0));
        why.source(&alcohol::ETHANOL_GRAVITY);
        why.formula(|| {
            format!("100 mL × {abv:.2} % × 0.78924 g/mL = {} g of ethanol", Show::Grams.number(mass.grams()))
        });
        why.caution(|| {
            "alcohol harms health; what a measure of drink is, and who may drink, is a matter of local law"
                .into()
        });
        Ok(mass.grams())
    }

    pub(crate) fn apparent_attenuation(&self, why: &mut Why) -> Outcome {
        let (_, _, oe, ae) = self.extracts()?;
        apparent_percent(oe, ae, why)
    }

    pub(crate) fn real_attenuation(&self, why: &mut Why) -> Outcome {
        let (_, _, oe, ae) = self.extracts()?;
        let re = alcohol::real_extract(oe, ae);
        let share = attenuation::real(oe, re).ok_or(Missing::because("there is no extract"))?;
        why.source(&attenuation::ASBC_RDF);
        why.source(&alcohol::BALLING);
        why.formula(|| {
            format!(
                "real extract 0.1808 × {:.2} + 0.8192 × {:.2} = {:.2} P; ({:.2} - {:.2}) / {:.2} / (1 - 0.005161 × {:.2}) = {}",
                oe.plato(), ae.plato(), re.plato(), oe.plato(), re.plato(), oe.plato(), re.plato(),
                percent(share.parts())
            )
        });
        Ok(share.parts() * 100.0)
    }

    /// Extract in the fermenter, kg.
    fn fermenter_extract(&self) -> Outcome {
        let (og, _, _, _) = self.extracts()?;
        let litres = match &self.part().volume {
            Some(volume) => volume.value,
            None => self.value(FigureId::BatchVolume)?,
        };
        Ok(gravity::extract_mass(Volume::from_litres(litres), og).kg())
    }

    pub(crate) fn co2_released(&self, why: &mut Why) -> Outcome {
        let extract = self.fermenter_extract()?;
        let degree = self.value(FigureId::RealAttenuation)? / 100.0;
        let mass = carbonation::co2_released(Mass::from_kg(extract), Fraction::from_parts(degree));
        why.source(&carbonation::BALLING_CO2);
        why.formula(|| {
            format!(
                "{} kg of extract in the fermenter × {} × 0.9565 / 2.0665 = {} kg",
                Show::Mass.number(extract),
                percent(degree),
                Show::Mass.number(mass.kg())
            )
        });
        if why.is_on()
            && let Some(gas) =
                carbonation::gas_volume(mass, Temperature::from_celsius(20.0), brewing::atmosphere::SEA_LEVEL)
        {
            why.formula(|| format!("as a gas at 20 C and sea level {:.2} m3", gas.litres() / 1000.0));
            if let Some(room) = self.house(Keyword::Room, None, Show::Volume, why)
                && let Some(share) = carbonation::share_of_room(gas, Volume::from_litres(room))
            {
                why.source(&carbonation::CO2_LIMITS);
                why.formula(|| {
                    format!(
                        "of a closed room of {:.1} m3: {} of its air (limits 0.5 % over a day's work, 1.5 % for minutes)",
                        room / 1000.0,
                        percent(share.parts())
                    )
                });
            }
            why.caution(|| {
                "CO2 is heavier than air, cannot be smelt and kills: air the room at the floor, and follow local codes"
                    .into()
            });
        }
        Ok(mass.kg())
    }

    pub(crate) fn free_rise_ceiling(&self, why: &mut Why) -> Outcome {
        let pitching = self
            .part()
            .pitch
            .temperature
            .as_ref()
            .ok_or(Missing::because("no pitching temperature is written: `at 18 C` under `pitch`"))?;
        why.uses(&pitching.origin);
        let rise = self.free_rise()?;
        let degree = self.value(FigureId::RealAttenuation)?;
        why.source(&brewing::yeast::HEAT);
        why.formula(|| {
            let oe = self.extracts().map_or(0.0, |(_, _, oe, _)| oe.plato());
            format!(
                "{} + {:.4} × {oe:.2} P / 100 × 586 kJ/kg / 4.0 kJ/(kg K) = {}",
                Show::Temperature.with_unit(pitching.value),
                degree / 100.0,
                Show::Temperature.with_unit(pitching.value + rise)
            )
        });
        why.caution(|| "without any loss of heat: real vessels stay below it".into());
        Ok(pitching.value + rise)
    }

    pub(crate) fn energy(&self, why: &mut Why) -> Outcome {
        let (og, fg, _, _) = self.extracts()?;
        let kcal = alcohol::energy_in_100_ml(og, fg).kj() / 4.184;
        why.source(&alcohol::ASBC_ENERGY);
        why.assume("ash", || "0.1 g/100 g".into(), "ASBC Beer-33 form");
        why.formula(|| {
            let oe = gravity::plato(og);
            let re = alcohol::real_extract(oe, gravity::plato(fg));
            format!(
                "(6.9 × {:.2} + 4 × ({:.2} - 0.1)) kcal/100 g × {:.4} kg/L = {kcal:.1} kcal/100 mL",
                alcohol::by_weight(oe, re).parts() * 100.0,
                re.plato(),
                gravity::density(fg).kg_per_litre()
            )
        });
        finite(kcal)
    }
}

/// Rest temperature at which a yeast's stated attenuation is taken to hold when the mash effect is on.
const MASH_EFFECT_REFERENCE: f64 = 66.0;

/// Alcohol by volume, %, by the model of the settings.
pub(crate) fn alcohol_by_volume(model: AlcoholModel, og: Gravity, fg: Gravity, why: &mut Why) -> Outcome {
    let method = match model {
        AlcoholModel::Balling => alcohol::AlcoholMethod::Balling,
        AlcoholModel::Cutaia => alcohol::AlcoholMethod::Cutaia,
        AlcoholModel::UkExcise => alcohol::AlcoholMethod::UkExcise,
    };
    let share = method
        .by_volume(og, fg)
        .ok_or(Missing::because("the gravities lie outside what the alcohol model covers"))?;
    let by_volume = share.parts() * 100.0;
    match model {
        AlcoholModel::Balling => why.source(&alcohol::BALLING),
        AlcoholModel::Cutaia => why.source(&alcohol::CUTAIA),
        AlcoholModel::UkExcise => why.source(&alcohol::UK_EXCISE),
    }
    if model != AlcoholModel::UkExcise {
        why.source(&alcohol::ETHANOL_GRAVITY);
    }
    why.formula(|| {
        if model == AlcoholModel::Balling {
            let (oe, ae) = (gravity::plato(og), gravity::plato(fg));
            let re = alcohol::real_extract(oe, ae);
            let abw = alcohol::by_weight(oe, re).parts() * 100.0;
            format!(
                "real extract 0.1808 × {:.2} + 0.8192 × {:.2} = {:.2} P; ({:.2} - {:.2}) / (2.0665 - 0.010665 × {:.2}) = {abw:.2} % by mass; × {} / 0.7907 = {by_volume:.2} % by volume",
                oe.plato(), ae.plato(), re.plato(), oe.plato(), re.plato(), oe.plato(), sg(fg.sg())
            )
        } else {
            let (oe, ae) = (gravity::plato(og).plato(), gravity::plato(fg).plato());
            match alcohol::uk_excise(og, fg).filter(|_| model == AlcoholModel::UkExcise) {
                Some(strength) => {
                    let points = (og.sg() - fg.sg()) * 1000.0;
                    format!(
                        "{points:.1} points × {:.3} = {:.2} %, cut to {by_volume:.1} %",
                        strength.exact.parts() * 100.0 / points,
                        strength.exact.parts() * 100.0
                    )
                }
                None => format!(
                    "(0.372 + 0.00357 × {oe:.2}) × ({oe:.2} - {ae:.2}) = {:.2} % by mass; × {} / 0.7907 = {by_volume:.2} % by volume",
                    alcohol::by_weight_cutaia(gravity::plato(og), gravity::plato(fg)).parts() * 100.0,
                    sg(fg.sg())
                ),
            }
        }
    });
    if model == AlcoholModel::Cutaia {
        why.within(&alcohol::CUTAIA_RANGE, gravity::plato(og).plato(), "an original extract of", " P");
    }
    if model == AlcoholModel::Balling {
        why.within(&alcohol::BALLING_RANGE, gravity::plato(og).plato(), "an original extract of", " P");
    }
    finite(by_volume)
}

/// Apparent attenuation from extract, %.
pub(crate) fn apparent_percent(oe: Plato, ae: Plato, why: &mut Why) -> Outcome {
    let share = attenuation::apparent(oe, ae).ok_or(Missing::because("there is no extract"))?;
    why.source(&brewing::source::DEFINITION);
    why.formula(|| {
        format!("({:.2} - {:.2}) / {:.2} P = {}", oe.plato(), ae.plato(), oe.plato(), percent(share.parts()))
    });
    Ok(share.parts() * 100.0)
}
