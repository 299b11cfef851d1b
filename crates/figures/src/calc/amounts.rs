//! Amounts on lines, in kg, whatever they were written as.

use quantity::typed::{Fraction, Mass};
use quantity::{Dimension, Quantity, UnitId};
use recipe::{Amount, GristLine, Joins, Quant, Thing};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::calc::spread::Input;
use crate::calc::{Calc, gravity_of};
use crate::figure::{Missing, Outcome};
use crate::why::Why;

/// What an amount is, once everything in it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Measured {
    /// kg
    Mass(f64),
    /// L
    Volume(f64),
    /// Pieces, tablets, packs.
    Count(f64, UnitId),
    /// Billion cells.
    Cells(f64),
    /// mg/L
    Dose(f64),
}

impl Calc<'_> {
    /// An amount as written, or as its expression gives it.
    ///
    /// `block` is the block of the recipe that it stands in.
    pub(crate) fn measured(&self, amount: &Amount, block: u16) -> Result<Measured, Missing> {
        let quant = match amount {
            Amount::Of(quant) => *quant,
            Amount::Expr(expr) => {
                let block = self
                    .recipe
                    .blocks
                    .get(usize::from(block))
                    .ok_or(Missing::because("an expression stands in no block"))?;
                return self.eval(expr, block)?.ok_or(Missing::because(
                    "an expression stands where an amount is wanted, and gives something else",
                ));
            }
            Amount::Share(_) => {
                return Err(Missing::because("a percentage stands where an amount is wanted"));
            }
            Amount::Solved => {
                return Err(Missing::because("an amount is to be solved for, and nothing solves it"));
            }
            Amount::Missing => return Err(Missing::because("a line has no amount that can be used")),
        };
        measured_quant(quant)
            .ok_or(Missing::because("a line has an amount of a kind that cannot be used there"))
    }

    /// The mass of a thing, kg: as written, or by its density, strength or piece mass.
    pub(crate) fn mass_of(&self, amount: &Amount, thing: &Thing) -> Outcome {
        match self.measured(amount, thing.place.block)? {
            Measured::Mass(kg) => Ok(kg),
            Measured::Volume(litres) => {
                let density = thing.number(Keyword::Density).ok_or_else(|| {
                    Missing::since(format!("{} is given by volume and has no density", thing.name))
                })?;
                Ok(litres * density_kg_per_litre(density.value))
            }
            Measured::Count(count, _) => {
                let piece = thing.number(Keyword::UnitMass).ok_or_else(|| {
                    Missing::since(format!("{} is given by the piece and has no `unit mass`", thing.name))
                })?;
                Ok(count * piece.value.value)
            }
            Measured::Cells(_) | Measured::Dose(_) => {
                Err(Missing::since(format!("{} needs a mass", thing.name)))
            }
        }
    }

    /// The mass of a line of the grist, kg.
    pub(crate) fn grist_mass(&self, at: usize, line: &GristLine) -> Outcome {
        let kg = match line.amount {
            Amount::Share(share) => share * self.solution()?.percent_mass.ok_or(NO_GRIST_GOAL)?,
            _ => self.mass_of(&line.amount, &line.thing)?,
        };
        Ok(self.read(Input::GristAmount(at), kg))
    }

    /// Extract (kg) that a line holds by its laboratory figures, before any efficiency.
    pub(crate) fn laboratory_extract(
        &self,
        at: usize,
        line: &GristLine,
        why: &mut Why,
    ) -> Result<Mass, Missing> {
        let kg = self.grist_mass(at, line)?;
        let (share, moisture) = self.laboratory_share(at, line, why)?;
        let as_is = moisture.map_or(share, |moisture| brewing::grist::as_is(share, moisture));
        Ok(Mass::from_kg(kg * as_is.parts()))
    }

    /// Share of extract of a line as its laboratory figures give it, and the moisture to take off where it is
    /// one of the dry matter.
    pub(crate) fn laboratory_share(
        &self,
        at: usize,
        line: &GristLine,
        why: &mut Why,
    ) -> Result<(Fraction, Option<Fraction>), Missing> {
        let Some(given) = line.thing.number(Keyword::Extract) else {
            if line.thing.definition.is_none() {
                return Err(Missing::since(format!("{} is not known", line.thing.name)));
            }
            return Err(Missing::since(format!("{} has no extract", line.thing.name)));
        };
        why.uses(&given.origin);
        let written = Quantity::new(given.value.value, given.value.unit.unwrap_or(UnitId::BARE));
        let by_potential = written.unit.dimension() == Dimension::ExtractPotential;
        let share = if by_potential {
            // The recipe keeps canonical values: L°/kg for a potential.
            quantity::scale::extract_share(Quantity::new(written.value, UnitId::L_DEGREES_PER_KG))
                .unwrap_or(Fraction::from_parts(0.0))
        } else {
            Fraction::from_parts(written.value)
        };
        let share = Fraction::from_parts(self.read(Input::GristExtract(at), share.parts()));
        if by_potential || line.thing.kind() == Some(BlockKind::Sugar) {
            return Ok((share, None));
        }
        let moisture = line.thing.number(Keyword::Moisture).map_or_else(
            || {
                why.assume(
                    format!("moisture of {}", line.thing.name),
                    || "4 %".into(),
                    "common practice, no source",
                );
                USUAL_MOISTURE
            },
            |given| given.value.value,
        );
        Ok((share, Some(Fraction::from_parts(moisture))))
    }
}

/// Moisture of a malt that states none.
const USUAL_MOISTURE: f64 = 0.04;

/// What percentages need to become masses.
pub(crate) const NO_GRIST_GOAL: Missing = Missing::because(
    "percentages need a gravity to aim at: `grist to reach GRAVITY`, or an og under `expect`",
);

/// kg/L from a density (canonical mg/L) or a gravity.
pub(crate) fn density_kg_per_litre(quant: Quant) -> f64 {
    match quant.unit {
        Some(unit) if unit.dimension() == Dimension::Concentration => quant.value / 1e6,
        _ => brewing::gravity::density(gravity_of(quant)).kg_per_litre(),
    }
}

/// What a written quantity measures, where it is an amount of something.
pub(crate) fn measured_quant(quant: Quant) -> Option<Measured> {
    let unit = quant.unit?;
    Some(match unit.dimension() {
        Dimension::Mass => Measured::Mass(quant.value),
        Dimension::Volume => Measured::Volume(quant.value),
        Dimension::Count => Measured::Count(quant.value, unit),
        Dimension::Cells => Measured::Cells(quant.value),
        Dimension::Concentration => Measured::Dose(quant.value),
        _ => return None,
    })
}

/// Whether a line goes through the mash.
pub(crate) fn is_mashed(line: &GristLine) -> bool {
    matches!(line.joins, Joins::Mash | Joins::Cook)
}
