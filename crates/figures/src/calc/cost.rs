//! What the ingredients cost.

use quantity::{Dimension, UnitId};
use recipe::{Amount, Place, Thing};
use syntax::vocabulary::Keyword;

use crate::calc::Calc;
use crate::calc::amounts::Measured;
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::show::Show;
use crate::why::Why;

impl Calc<'_> {
    /// Every ingredient with its amount, in the order of the recipe.
    pub fn ingredients(&self) -> Vec<(Place, &Thing, Result<Ingredient, Missing>)> {
        let mut all: Vec<(Place, &Thing, Result<Ingredient, Missing>)> = Vec::new();
        for (at, line) in self.recipe.grist.iter().enumerate() {
            all.push((line.place, &line.thing, self.grist_mass(at, line).map(Ingredient::Mass)));
        }
        for (at, line) in self.recipe.additions.iter().enumerate() {
            let amount = match line.amount {
                Amount::Solved => self.hop_mass(at, line).map(Ingredient::Mass),
                _ => self.measured(&line.amount, line.place.block).map(Ingredient::from),
            };
            all.push((line.place, &line.thing, amount));
        }
        for line in &self.recipe.liquor.additions {
            all.push((
                line.place,
                &line.thing,
                self.measured(&line.amount, line.place.block).map(Ingredient::from),
            ));
        }
        for line in &self.part().pitch.lines {
            all.push((
                line.place,
                &line.thing,
                self.measured(&line.amount, line.place.block).map(Ingredient::from),
            ));
        }
        for line in &self.part().ferment.additions {
            all.push((
                line.place,
                &line.thing,
                self.measured(&line.amount, line.place.block).map(Ingredient::from),
            ));
        }
        all
    }

    fn price_of(&self, thing: &Thing, amount: Ingredient) -> Option<(f64, UnitId)> {
        let price = thing.number(Keyword::Price)?.value;
        let unit = price.unit?;
        let sum = match (unit.dimension(), amount) {
            (Dimension::MoneyPerMass, Ingredient::Mass(kg)) => price.value * kg,
            (Dimension::MoneyPerVolume, Ingredient::Volume(litres)) => price.value * litres,
            (Dimension::MoneyPerCount, Ingredient::Count(count)) => price.value * count,
            _ => return None,
        };
        Some((sum, unit))
    }

    pub(crate) fn cost(&self, why: &mut Why) -> Outcome {
        let mut sum = 0.0;
        let mut unpriced: Vec<&str> = Vec::new();
        let mut currency: Option<UnitId> = None;
        let mut priced = 0;
        for (_, thing, amount) in self.ingredients() {
            let Some((price, unit)) = amount.ok().and_then(|amount| self.price_of(thing, amount)) else {
                if !unpriced.contains(&&*thing.name) {
                    unpriced.push(&thing.name);
                }
                continue;
            };
            let code = unit.currency_code();
            if currency.is_some_and(|first| first.currency_code() != code) {
                return Err(Missing::because("the prices are in different currencies"));
            }
            currency = Some(unit);
            priced += 1;
            sum += price;
            why.formula(|| format!("{}: {} {}", thing.name, Show::Money.number(price), code.unwrap_or("")));
        }
        if priced == 0 {
            return Err(Missing::because("no ingredient has a price"));
        }
        if !unpriced.is_empty() {
            return Err(Missing::since(format!("no price is known of {}", unpriced.join(", "))));
        }
        Ok(sum)
    }

    pub(crate) fn cost_per_litre(&self, why: &mut Why) -> Outcome {
        let cost = self.value(FigureId::Cost)?;
        let litres = self.value(FigureId::PackagedVolume)?;
        why.formula(|| {
            format!(
                "{} / {} = {}",
                Show::Money.number(cost),
                Show::Volume.with_unit(litres),
                Show::Money.number(cost / litres)
            )
        });
        Ok(cost / litres)
    }
}

/// An amount of an ingredient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ingredient {
    /// kg
    Mass(f64),
    /// L
    Volume(f64),
    /// Pieces, tablets, packs.
    Count(f64),
    /// Billion cells.
    Cells(f64),
}

impl From<Measured> for Ingredient {
    fn from(measured: Measured) -> Self {
        match measured {
            Measured::Mass(kg) => Self::Mass(kg),
            Measured::Volume(litres) => Self::Volume(litres),
            Measured::Count(count, _) => Self::Count(count),
            Measured::Cells(billions) => Self::Cells(billions),
            Measured::Dose(mg) => Self::Mass(mg / 1e6),
        }
    }
}
