//! Carbonation, priming and pressure.

use brewing::{atmosphere, carbonation};
use quantity::typed::{
    AbsolutePressure, Carbonation, Fraction, GaugePressure, Length, Mass, Temperature, Volume,
};
use recipe::{Amount, Container, Packaging, Place, Thing};
use syntax::vocabulary::Keyword;

use crate::calc::amounts::Measured;
use crate::calc::spread::Input;
use crate::calc::{Calc, finite};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::show::{Show, litres as l};
use crate::why::Why;

/// One line of the package block with what it comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PackageLine {
    /// The line.
    pub place: Place,
    /// Index into the package's lines.
    pub line: usize,
    /// Into what.
    pub container: Container,
    /// L
    pub litres: f64,
    /// Carbonation of the beer, vol, all sources together.
    pub carbonation: Option<f64>,
    /// Priming sugar, g, solved or written.
    pub sugar: Option<f64>,
    /// Regulator setting, bar, of a keg.
    pub pressure: Option<f64>,
}

impl Calc<'_> {
    /// The pressure of the air at the brewhouse.
    pub(crate) fn ambient(&self, why: &mut Why) -> AbsolutePressure {
        let metres = self.elevation(why);
        why.within(&atmosphere::ELEVATION_RANGE, metres, "an elevation of", " m");
        atmosphere::ambient_pressure(Length::from_metres(metres)).unwrap_or(atmosphere::SEA_LEVEL)
    }

    fn main_line(&self) -> Result<&Packaging, Missing> {
        self.part().package.lines.first().ok_or(Missing::because("no package is written"))
    }

    /// The warmest the beer is planned to be from pitching to packaging, °C.
    fn warmest(&self, why: &mut Why) -> Outcome {
        if let Some(stated) = self.part().package.lines.iter().find_map(|line| line.residual_at.as_ref()) {
            why.uses(&stated.origin);
            return Ok(stated.value);
        }
        let ferment = &self.part().ferment;
        let pitching = self.part().pitch.temperature.as_ref();
        let steps = ferment.steps.iter().filter_map(|step| step.temperature.as_ref());
        let warmest = steps
            .chain(pitching)
            .max_by(|a, b| a.value.total_cmp(&b.value))
            .ok_or(Missing::because("no temperature of the fermentation is written"))?;
        why.uses(&warmest.origin);
        why.formula(|| {
            format!("warmest from pitching to packaging: {}", Show::Temperature.with_unit(warmest.value))
        });
        Ok(self.read(Input::WarmestBeer, warmest.value))
    }

    pub(crate) fn residual_co2(&self, why: &mut Why) -> Outcome {
        let warmest = self.warmest(why)?;
        if let Some((_, pressure, _)) = &self.part().ferment.spund {
            // Under a spunding valve the beer holds what the pressure and the temperature allow.
            let ambient = self.ambient(why);
            let held = carbonation::equilibrium(
                GaugePressure::from_bar(pressure.value),
                Temperature::from_celsius(warmest),
                ambient,
            );
            why.uses(&pressure.origin);
            why.source(&carbonation::DELANGE);
            why.within(&carbonation::EQUILIBRIUM_RANGE, warmest, "beer at", " C");
            why.formula(|| {
                format!(
                    "spunded: ({:.3} + {:.3} bar of air) × 14.5038 × (0.01821 + 0.090115 × e^(-({:.1} F - 32) / 43.11)) - 0.003342 = {:.3} vol",
                    pressure.value,
                    ambient.bar(),
                    warmest * 1.8 + 32.0,
                    held.volumes()
                )
            });
            return finite(held.volumes());
        }
        let residual = carbonation::residual(Temperature::from_celsius(warmest));
        why.source(&carbonation::HIBBERD);
        why.within(&carbonation::RESIDUAL_RANGE, warmest, "beer at", " C");
        why.formula(|| {
            let left = residual.volumes();
            if warmest > carbonation::RESIDUAL_RANGE.high {
                format!(
                    "without pressure 14.696 × (0.01821 + 0.090115 × e^(-({:.1} F - 32) / 43.11)) - 0.003342 = {left:.3} vol",
                    warmest * 1.8 + 32.0
                )
            } else {
                let at = warmest.max(0.0);
                format!(
                    "without pressure 1.711 - 0.05875 × {at:.1} + 0.000849 × {at:.1}^2 = {left:.3} vol"
                )
            }
        });
        if warmest > carbonation::RESIDUAL_RANGE.high {
            why.source(&carbonation::DELANGE);
        }
        finite(residual.volumes())
    }

    /// What a sugar gives when it ferments.
    pub(crate) fn priming_kind(thing: &Thing) -> Result<carbonation::PrimingSugar, Missing> {
        use carbonation::PrimingSugar as Sugar;
        if thing.definition.is_none() {
            return Err(Missing::since(format!("{} is not known", thing.name)).at(thing.place));
        }
        let name = thing.kin().to_ascii_lowercase();
        if name.contains("anhydrous") && (name.contains("dextrose") || name.contains("glucose")) {
            return Ok(Sugar::GlucoseAnhydrous);
        }
        if name.contains("monohydrate") && (name.contains("dextrose") || name.contains("glucose")) {
            return Ok(Sugar::GlucoseMonohydrate);
        }
        if name == "sucrose" {
            return Ok(Sugar::Sucrose);
        }
        let number = |key| thing.number(key).map(|given| given.value.value);
        let extract = number(Keyword::Extract)
            .ok_or_else(|| Missing::since(format!("{} has no extract", thing.name)))?;
        let real = number(Keyword::Fermentability)
            .ok_or_else(|| Missing::since(format!("{} has no fermentability", thing.name)))?;
        Ok(Sugar::Extract {
            extract: Fraction::from_parts(extract),
            fermentability: Fraction::from_parts(real),
        })
    }

    /// Priming sugar of a line, kg/L, written or solved for.
    fn line_priming_rate(&self, line: &Packaging, why: &mut Why) -> Outcome {
        let Some((amount, thing)) = &line.priming else {
            return Err(Missing::because("no priming sugar is named: `with NAME` on the package line"));
        };
        let sugar = Self::priming_kind(thing)?;
        match amount {
            Amount::Missing | Amount::Solved => {
                let target = line
                    .carbonation
                    .as_ref()
                    .ok_or(Missing::because("the package line says no carbonation to aim at"))?;
                why.uses(&target.origin);
                let residual = self.value(FigureId::ResidualCo2)?;
                let rate = carbonation::priming_rate(
                    Carbonation::from_volumes(target.value),
                    Carbonation::from_volumes(residual),
                    sugar,
                )
                .ok_or_else(|| Missing::since(format!("{} does not ferment", thing.name)))?;
                why.source(&carbonation::PRIMING);
                why.formula(|| {
                    format!(
                        "({:.2} - {residual:.3}) vol × 1.977 g/L / {:.4} = {:.2} g/L of {}",
                        target.value,
                        sugar.co2_yield(),
                        rate.mg_per_litre() / 1000.0,
                        thing.name
                    )
                });
                if thing.loose {
                    why.caution(|| {
                        format!(
                            "{} is sold with and without crystal water, which differ by 10 %: say which",
                            thing.name
                        )
                    });
                }
                Ok(rate.mg_per_litre() / 1e6)
            }
            _ => match self.measured(amount, line.place.block)? {
                Measured::Dose(mg_per_litre) => Ok(mg_per_litre / 1e6),
                Measured::Mass(kg) => Ok(kg / self.line_litres(line)?),
                _ => Err(Missing::since(format!("{} needs a mass, or g/L", thing.name))),
            },
        }
    }

    fn line_litres(&self, line: &Packaging) -> Outcome {
        let litres = match &line.volume {
            Some(volume) => volume.value,
            None => {
                let others: f64 = self
                    .part()
                    .package
                    .lines
                    .iter()
                    .filter_map(|other| other.volume.as_ref())
                    .map(|volume| volume.value)
                    .sum();
                self.value(FigureId::PackagedVolume)? - others
            }
        };
        if litres > 0.0 { Ok(litres) } else { Err(Missing::because("nothing is left for that package")) }
    }

    fn priming_line(&self) -> Result<&Packaging, Missing> {
        let lines = &self.part().package.lines;
        if let Some(line) = lines.iter().find(|line| line.priming.is_some()) {
            return Ok(line);
        }
        let first = self.main_line()?;
        Err(Missing::because(match first.container {
            Container::Keg => "the beer is carbonated in the keg",
            Container::Cask => "the cask is not primed",
            Container::Bottle | Container::Can => {
                "no priming sugar is named: `with NAME` on the package line"
            }
        }))
    }

    pub(crate) fn priming_rate(&self, why: &mut Why) -> Outcome {
        let line = self.priming_line()?;
        Ok(self.line_priming_rate(line, why)? * 1000.0)
    }

    pub(crate) fn priming_sugar(&self, why: &mut Why) -> Outcome {
        let line = self.priming_line()?;
        let rate = self.line_priming_rate(line, why)?;
        let litres = self.line_litres(line)?;
        why.formula(|| {
            format!(
                "{:.2} g/L × {} = {} g",
                rate * 1000.0,
                l(litres),
                Show::Grams.number(rate * litres * 1000.0)
            )
        });
        why.caution(|| {
            "too much sugar bursts bottles: weigh it, dissolve it evenly, and keep to the container's rating"
                .into()
        });
        Ok(rate * litres * 1000.0)
    }

    /// Carbonation a line comes to, vol.
    fn line_carbonation(&self, line: &Packaging, why: &mut Why) -> Outcome {
        if line.priming.is_some() {
            let rate = self.line_priming_rate(line, why)?;
            let residual = self.value(FigureId::ResidualCo2)?;
            let (_, thing) = line.priming.as_ref().ok_or(Missing::because("no priming sugar is named"))?;
            let sugar = Self::priming_kind(thing)?;
            let more =
                carbonation::carbonation_from_priming(sugar, Mass::from_kg(rate), Volume::from_litres(1.0))
                    .ok_or(Missing::because("the priming sugar cannot be computed"))?;
            why.formula(|| {
                format!(
                    "{residual:.3} vol left from fermentation + {:.2} g/L × {:.4} / 1.977 = {:.2} vol",
                    rate * 1000.0,
                    sugar.co2_yield(),
                    residual + more.volumes()
                )
            });
            return Ok(residual + more.volumes());
        }
        if let Some(target) = &line.carbonation {
            why.uses(&target.origin);
            why.formula(|| format!("as aimed at: {}", Show::Carbonation.with_unit(target.value)));
            return Ok(target.value);
        }
        if line.container == Container::Cask || self.part().ferment.spund.is_some() {
            return self.value(FigureId::ResidualCo2);
        }
        Err(Missing::because("the package line says no carbonation"))
    }

    pub(crate) fn carbonation(&self, why: &mut Why) -> Outcome {
        if self.part().package.lines.is_empty() && self.part().ferment.spund.is_some() {
            return self.residual_co2(why);
        }
        let line = self.main_line()?;
        let volumes = self.line_carbonation(line, why)?;
        why.source(&carbonation::PRIMING);
        finite(volumes)
    }

    fn line_pressure(&self, line: &Packaging, why: &mut Why) -> Outcome {
        if line.container != Container::Keg {
            return Err(Missing::because(match line.container {
                Container::Cask => "the beer goes into casks",
                Container::Bottle => "the beer goes into bottles",
                _ => "the beer goes into cans",
            }));
        }
        let target = line.carbonation.as_ref().ok_or(Missing::because("the keg line says no carbonation"))?;
        let at = line
            .temperature
            .as_ref()
            .ok_or(Missing::because("the keg line says no temperature: `keg 2.4 vol at 4 C`"))?;
        why.uses(&target.origin);
        why.uses(&at.origin);
        let ambient = self.ambient(why);
        let pressure = carbonation::gauge_pressure(
            Carbonation::from_volumes(target.value),
            Temperature::from_celsius(at.value),
            ambient,
        );
        why.source(&carbonation::DELANGE);
        why.formula(|| {
            format!(
                "({:.2} + 0.003342) / (0.01821 + 0.090115 × e^(-({:.1} F - 32) / 43.11)) / 14.5038 - {:.4} bar of air = {:.3} bar",
                target.value,
                at.value * 1.8 + 32.0,
                ambient.bar(),
                pressure.bar()
            )
        });
        why.within(&carbonation::EQUILIBRIUM_RANGE, at.value, "beer at", " C");
        why.caution(|| "fit a relief valve and keep to the rating stamped on the keg".into());
        finite(pressure.bar())
    }

    pub(crate) fn keg_pressure(&self, why: &mut Why) -> Outcome {
        let lines = &self.part().package.lines;
        let line = match lines.iter().find(|line| line.container == Container::Keg) {
            Some(line) => line,
            None => self.main_line()?,
        };
        self.line_pressure(line, why)
    }

    /// Each line of the package with its volume, carbonation, sugar and pressure.
    pub fn package_lines(&self) -> Vec<PackageLine> {
        let mut off = Why::off();
        self.part()
            .package
            .lines
            .iter()
            .enumerate()
            .filter_map(|(at, line)| {
                let litres = self.line_litres(line).ok()?;
                Some(PackageLine {
                    place: line.place,
                    line: at,
                    container: line.container,
                    litres,
                    carbonation: self.line_carbonation(line, &mut off).ok(),
                    sugar: self.line_priming_rate(line, &mut off).ok().map(|rate| rate * litres * 1000.0),
                    pressure: self.line_pressure(line, &mut off).ok(),
                })
            })
            .collect()
    }

    /// Gauge pressure in a closed container at a temperature, bar.
    #[must_use]
    pub fn pressure_at(&self, volumes: f64, celsius: f64) -> f64 {
        let ambient = self.ambient(&mut Why::off());
        carbonation::gauge_pressure(
            Carbonation::from_volumes(volumes),
            Temperature::from_celsius(celsius),
            ambient,
        )
        .bar()
    }

    /// Carbonation that gravity still to ferment adds in a closed container, vol.
    #[must_use]
    pub fn carbonation_of_points(&self, from: f64, to: f64) -> f64 {
        let gravity = quantity::typed::Gravity::from_sg;
        carbonation::carbonation_from_gravity(gravity(from), gravity(to)).volumes()
    }
}
