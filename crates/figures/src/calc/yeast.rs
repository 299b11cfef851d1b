//! Cells needed and pitched.

use brewing::yeast;
use quantity::typed::{Cells, Gravity, PitchRate, Time, Volume};
use quantity::{Dimension, UnitId};
use recipe::{FactValue, PitchLine};
use syntax::vocabulary::Keyword;

use crate::calc::amounts::Measured;
use crate::calc::spread::Input;
use crate::calc::{Calc, finite, gravity_of, usual};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::show::{Show, litres as l, percent};
use crate::why::Why;

/// Cells in a gram of dry yeast that states none, billion.
const USUAL_DRY: f64 = 10.0;
/// Cells in a pack that states none, billion.
const USUAL_PACK: f64 = 100.0;

/// Pitch rate of so many billion cells in so many litres of this gravity, million/(mL °P).
pub(crate) fn rate_of(cells: f64, litres: f64, sg: f64, why: &mut Why) -> Outcome {
    let plato = brewing::gravity::plato(Gravity::from_sg(sg));
    let rate = yeast::pitch_rate(Cells::from_billions(cells), Volume::from_litres(litres), plato)
        .ok_or(Missing::because("there is no wort to pitch into"))?
        .million_per_ml_plato();
    why.source(&brewing::source::DEFINITION);
    why.formula(|| {
        format!(
            "{} billion / ({} × {:.2} P) = {}",
            Show::Cells.number(cells),
            l(litres),
            plato.plato(),
            Show::PitchRate.with_unit(rate)
        )
    });
    Ok(rate)
}

impl Calc<'_> {
    /// Wort in the fermenter of this part, L.
    fn pitched_litres(&self) -> Outcome {
        match &self.part().volume {
            Some(volume) => Ok(volume.value),
            None => self.value(FigureId::BatchVolume),
        }
    }

    /// Gravity of the wort the yeast meets.
    fn pitched_gravity(&self) -> Outcome {
        self.value(FigureId::PitchingGravity)
    }

    /// The rate aimed at: written, else usual for the kind of yeast.
    fn rate_goal(&self, why: &mut Why) -> Outcome {
        if let Some(rate) = &self.part().pitch.rate {
            why.uses(&rate.origin);
            return Ok(rate.value);
        }
        Ok(self.usual_rate(why))
    }

    /// The usual rate for the kind of yeast pitched, million/mL/°P.
    pub fn usual_pitch_rate(&self) -> f64 {
        self.usual_rate(&mut Why::off())
    }

    fn usual_rate(&self, why: &mut Why) -> f64 {
        let word = self.part().pitch.lines.iter().find_map(|line| line.thing.words(Keyword::Kind));
        let kind = match word {
            Some("lager") => yeast::Kind::Lager,
            Some("hybrid") => yeast::Kind::Hybrid,
            Some("wild") => yeast::Kind::Wild,
            _ => yeast::Kind::Ale,
        };
        let rate = kind.default_rate().million_per_ml_plato();
        why.assume(
            "pitching rate",
            || format!("{} for a yeast of kind {}", Show::PitchRate.with_unit(rate), word.unwrap_or("ale")),
            "G. Fix, An Analysis of Brewing Techniques (ale, lager); common practice (hybrid, wild)",
        );
        rate
    }

    pub(crate) fn cells_needed(&self, why: &mut Why) -> Outcome {
        let rate = self.rate_goal(why)?;
        let litres = self.pitched_litres()?;
        let plato = brewing::gravity::plato(Gravity::from_sg(self.pitched_gravity()?));
        let cells = yeast::cells_needed(
            PitchRate::from_million_per_ml_plato(rate),
            Volume::from_litres(litres),
            plato,
        );
        why.formula(|| {
            format!(
                "{} × {} × {:.2} P = {} billion",
                Show::PitchRate.with_unit(rate),
                l(litres),
                plato.plato(),
                Show::Cells.number(cells.billions())
            )
        });
        why.source(&yeast::PITCH_RATES);
        finite(cells.billions())
    }

    fn stated_cells(line: &PitchLine, wanted: Dimension) -> Option<f64> {
        // A definition may state cells of a pack and cells of a gram; the line's own come first.
        let own = line.thing.own.iter();
        let library = line.thing.definition.iter().flat_map(|definition| definition.facts.iter());
        own.chain(library).filter(|fact| fact.key == Keyword::Cells).find_map(|fact| match fact.value {
            FactValue::Number(quant) | FactValue::Range(quant, _, _)
                if quant.unit.is_some_and(|unit| unit.dimension() == wanted) =>
            {
                Some(quant.value)
            }
            _ => None,
        })
    }

    /// Living cells of a yeast line, billion, before any starter.
    ///
    /// # Errors
    /// Where nothing is known of the cells in what the line names.
    pub fn cells_of_line(&self, at: usize) -> Outcome {
        let mut off = Why::off();
        self.cells_of(at, &mut off)
    }

    fn cells_of(&self, at: usize, why: &mut Why) -> Outcome {
        let line =
            self.part().pitch.lines.get(at).ok_or(Missing::because("no yeast is named under `pitch`"))?;
        let name = &line.thing.name;
        let mut by_count = false;
        let counted = match self.measured(&line.amount, line.place.block)? {
            // A number of cells was counted: it is what lives, unless a viability is written beside it.
            Measured::Cells(billions) => {
                by_count = true;
                billions
            }
            Measured::Mass(kg) => {
                let a_gram = Self::stated_cells(line, Dimension::CellsPerMass).unwrap_or_else(|| {
                    why.assume(
                        format!("cells in a gram of {name}"),
                        || "10 billion".into(),
                        "common practice; counts of 8 to 18 are published",
                    );
                    USUAL_DRY
                });
                why.within(&yeast::DRY_YEAST_RANGE, a_gram, "a count of", " billion/g");
                kg * 1000.0 * a_gram
            }
            Measured::Volume(litres) => {
                let a_millilitre = Self::stated_cells(line, Dimension::CellsPerVolume).ok_or_else(|| {
                    Missing::since(format!(
                        "{name} is given by volume: write its count, `[1.2 billion cells/mL]`"
                    ))
                    .at(line.place)
                })?;
                // million/mL × L = billion
                litres * a_millilitre
            }
            Measured::Count(packs, unit) if unit == UnitId::PACK => {
                // `[11 g]` on a pack is its mass.
                let grams = line.thing.own.iter().find_map(|fact| match fact.value {
                    FactValue::Number(quant)
                        if quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Mass) =>
                    {
                        Some(quant.value * 1000.0)
                    }
                    _ => None,
                });
                match grams {
                    Some(grams) => {
                        let a_gram = Self::stated_cells(line, Dimension::CellsPerMass).unwrap_or(USUAL_DRY);
                        packs * grams * a_gram
                    }
                    None => {
                        let a_pack = Self::stated_cells(line, Dimension::Cells).unwrap_or_else(|| {
                            why.assume(
                                format!("cells in a pack of {name}"),
                                || "100 billion".into(),
                                "common practice, no source",
                            );
                            USUAL_PACK
                        });
                        packs * a_pack
                    }
                }
            }
            _ => return Err(Missing::since(format!("the amount of {name} is of no use for counting cells"))),
        };
        let viability = self.viability(line, by_count, why);
        let living = counted * viability;
        why.formula(|| {
            format!("{name}: {} billion × {} living", Show::Cells.number(counted), percent(viability))
        });
        why.source(&brewing::source::DEFINITION);
        Ok(self.read(Input::Cells(at), living))
    }

    /// Share of living cells: as written, else by the age of what was not counted, where both days are known.
    fn viability(&self, line: &PitchLine, by_count: bool, why: &mut Why) -> f64 {
        if let Some(given) = line.thing.number(Keyword::Viability) {
            why.uses(&given.origin);
            return given.value.value;
        }
        let aged = if by_count { None } else { self.viability_by_age(line) };
        let Some((days, viability)) = aged else { return 1.0 };
        why.source(&yeast::AGEING);
        if let Some(keeping) = Self::keeping(line) {
            why.within(keeping.ages(), days, "yeast at an age of", " days");
        }
        why.assume(
            format!("viability of {}", line.thing.name),
            || {
                format!(
                    "{}, between {} and {}",
                    percent(viability.typical.parts()),
                    percent(viability.low.parts()),
                    percent(viability.high.parts())
                )
            },
            format!("by its age of {days:.0} days"),
        );
        viability.typical.parts()
    }

    /// How the yeast of a line was kept, where it says when it was put away.
    fn keeping(line: &PitchLine) -> Option<yeast::Keeping> {
        let (_, is_slurry) = line.put_away()?;
        Some(match (line.is_dry(), is_slurry) {
            (true, _) => yeast::Keeping::Dry,
            (false, true) => yeast::Keeping::Slurry,
            (false, false) => yeast::Keeping::Liquid,
        })
    }

    /// Age of a yeast on the day it is pitched, d, and the share of it that lives by that age; nothing where one
    /// of the days is not known, or it was put away later.
    #[must_use]
    pub fn viability_by_age(&self, line: &PitchLine) -> Option<(f64, yeast::Viability)> {
        let (date, _) = line.put_away()?;
        let days = f64::from(recipe::days_between(date, self.brewed?)?);
        if days < 0.0 {
            return None;
        }
        let keeping = Self::keeping(line)?;
        Some((days, yeast::viability(keeping, Time::from_days(days))))
    }

    /// Standard deviation of the living cells of a line by what its age leaves open, as a share of them.
    pub(crate) fn viability_spread(&self, at: usize) -> f64 {
        let Some(line) = self.part().pitch.lines.get(at) else { return 0.0 };
        let by_count = matches!(line.amount, recipe::Amount::Of(quant)
            if quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Cells));
        if by_count || line.thing.fact(Keyword::Viability).is_some() {
            return 0.0;
        }
        // The range is taken as two standard deviations either way.
        let share = |it: yeast::Viability| (it.high - it.low).parts() / 4.0 / it.typical.parts();
        self.viability_by_age(line).map_or(0.0, |(_, it)| share(it)).clamp(0.0, 1.0)
    }

    pub(crate) fn cells_pitched(&self, why: &mut Why) -> Outcome {
        let pitch = &self.part().pitch;
        if pitch.lines.is_empty() {
            return Err(Missing::because("no yeast is named under `pitch`"));
        }
        let mut cells = 0.0;
        for at in 0..pitch.lines.len() {
            cells += self.cells_of(at, why)?;
        }
        let steps = self.starter_steps();
        if !steps.is_empty() {
            let grown = yeast::starter_steps(Cells::from_billions(cells), &steps)
                .and_then(|after| after.last().copied())
                .ok_or(Missing::because("the starter cannot be computed"))?;
            let mut before = cells;
            for step in &steps {
                let after = step
                    .kind
                    .grow(Cells::from_billions(before), step.wort, step.extract)
                    .map_or(before, |after| after.billions());
                explain_step(before, step, after, why);
                before = after;
            }
            why.caution(|| {
                "growth in starters scatters widely between brewers: count, or take it as ± 25 %".into()
            });
            cells = grown.billions();
        }
        finite(cells)
    }

    fn starter_steps(&self) -> Vec<yeast::StarterStep> {
        self.part()
            .pitch
            .starter
            .iter()
            .map(|step| {
                let gravity = step
                    .gravity
                    .as_ref()
                    .map_or(Gravity::from_sg(USUAL_STARTER), |given| gravity_of(given.value));
                let wort = Volume::from_litres(step.volume.value);
                yeast::StarterStep {
                    kind: if step.stirred == Some(true) {
                        yeast::Starter::Stirred
                    } else {
                        yeast::Starter::Still
                    },
                    wort,
                    extract: brewing::gravity::extract_mass(wort, gravity),
                }
            })
            .collect()
    }

    pub(crate) fn pitch_rate(&self, why: &mut Why) -> Outcome {
        let cells = self.value(FigureId::CellsPitched)?;
        let litres = self.pitched_litres()?;
        finite(rate_of(cells, litres, self.pitched_gravity()?, why)?)
    }

    pub(crate) fn starter_volume(&self, why: &mut Why) -> Outcome {
        let steps = &self.part().pitch.starter;
        if steps.is_empty() {
            return Err(Missing::because("no starter is written"));
        }
        let litres: f64 = steps.iter().map(|step| step.volume.value).sum();
        why.formula(|| {
            let each: Vec<String> = steps.iter().map(|step| l(step.volume.value)).collect();
            format!("{} = {}", each.join(" + "), l(litres))
        });
        why.source(&brewing::source::DEFINITION);
        Ok(litres)
    }

    /// Temperature the yeast may rise to by itself, °C above pitching.
    ///
    /// # Errors
    /// Where the gravities are not known.
    pub fn free_rise(&self) -> Outcome {
        let oe = brewing::gravity::plato(Gravity::from_sg(self.value(FigureId::Og)?));
        let degree = self.value(FigureId::RealAttenuation)? / 100.0;
        finite(yeast::adiabatic_rise(oe, quantity::typed::Fraction::from_parts(degree)).kelvin())
    }

    /// The elevation of the brewhouse, m; sea level where none is written.
    pub(crate) fn elevation(&self, why: &mut Why) -> f64 {
        self.house(Keyword::Elevation, usual(0.0), Show::Metres, why).unwrap_or(0.0)
    }
}

/// Gravity of a starter that states none.
const USUAL_STARTER: f64 = 1.036;

/// A step of a starter with its numbers.
fn explain_step(before: f64, step: &yeast::StarterStep, after: f64, why: &mut Why) {
    let millilitres = step.wort.millilitres();
    let grams = step.extract.grams();
    match step.kind {
        yeast::Starter::Still => {
            let density = before * 1000.0 / millilitres;
            why.source(&yeast::STILL_GROWTH);
            why.within(&yeast::STILL_RANGE, density, "a still starter begun with", " million/mL");
            why.formula(|| {
                format!(
                    "still starter {}: {before:.1} billion is {density:.1} million/mL; {before:.1} × 11.16 × {density:.1}^-0.4335 = {after:.1} billion",
                    l(step.wort.litres())
                )
            });
        }
        yeast::Starter::Stirred => {
            why.source(&yeast::STIRRED_GROWTH);
            why.formula(|| {
                let by_gram = before / grams;
                let new = if by_gram < 1.4 {
                    "1.4".to_owned()
                } else {
                    format!("(2.33 - 0.67 × {by_gram:.2}, not below 0)")
                };
                format!(
                    "stirred starter {} with {grams:.1} g of extract, {by_gram:.2} billion to the gram: {before:.1} + {new} × {grams:.1} = {after:.1} billion",
                    l(step.wort.litres())
                )
            });
        }
    }
}
