//! What the ingredients cost.

use quantity::{Dimension, UnitId};
use recipe::{Amount, FactValue, Place, Thing};
use syntax::vocabulary::Keyword;

use crate::calc::Calc;
use crate::calc::amounts::{Measured, density_kg_per_litre};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;
use crate::show::{Show, litres as l};
use crate::why::Why;

impl Calc<'_> {
    /// Every ingredient of the recipe and of this part with its amount, in the order of the process.
    pub fn ingredients(&self) -> Vec<(Place, &Thing, Result<Ingredient, Missing>)> {
        let mut all: Vec<(Place, &Thing, Result<Ingredient, Missing>)> = Vec::new();
        for (at, line) in self.recipe.grist.iter().enumerate() {
            if self.is_of_another_part(line) {
                continue;
            }
            all.push((line.place, &line.thing, self.grist_mass(at, line).map(Ingredient::Mass)));
        }
        for (at, line) in self.recipe.additions.iter().enumerate() {
            let amount = match line.amount {
                Amount::Solved => self.hop_mass(at, line).map(Ingredient::Mass),
                _ => self.amount_of(&line.amount, line.place),
            };
            all.push((line.place, &line.thing, amount));
        }
        for (at, line) in self.recipe.liquor.additions.iter().enumerate() {
            let amount = match line.amount {
                Amount::Solved => self
                    .solved_acid_millilitres(at)
                    .map(|millilitres| Ingredient::Volume(millilitres / 1000.0))
                    .ok_or(Missing::because("an acid to reach a pH could not be solved for")),
                _ => self.amount_of(&line.amount, line.place),
            };
            all.push((line.place, &line.thing, amount));
        }
        let part = self.part();
        let sour = self.recipe.sour.iter();
        let pitches = sour.clone().flat_map(|sour| &sour.pitches).chain(&part.pitch.lines);
        let written =
            (sour.flat_map(|sour| &sour.additions).map(|line| (line.place, &line.thing, &line.amount)))
                .chain(pitches.chain(&part.package.yeast).map(|line| (line.place, &line.thing, &line.amount)))
                .chain(
                    (part.ferment.additions.iter().chain(&part.package.additions))
                        .map(|line| (line.place, &line.thing, &line.amount)),
                );
        for (place, thing, amount) in written {
            let amount = match amount {
                Amount::Solved => {
                    Err(Missing::because("how much acid brings the wort to a pH is not computed"))
                }
                written => self.amount_of(written, place),
            };
            all.push((place, thing, amount));
        }
        for line in self.package_lines() {
            let Some((_, thing)) = &part.package.lines[line.line].priming else { continue };
            let sugar = line.sugar.map(|grams| Ingredient::Mass(grams / 1000.0));
            all.push((line.place, thing, sugar.ok_or(Missing::because("the priming sugar is not known"))));
        }
        all
    }

    /// An amount as written; one by the litre counts for the batch.
    fn amount_of(&self, amount: &Amount, place: Place) -> Result<Ingredient, Missing> {
        Ok(match self.measured(amount, place.block)? {
            Measured::Mass(kg) => Ingredient::Mass(kg),
            Measured::Volume(litres) => Ingredient::Volume(litres),
            Measured::Count(count, unit) => Ingredient::Count(count, unit),
            Measured::Cells(billions) => Ingredient::Cells(billions),
            Measured::Dose(mg) => Ingredient::Mass(mg * self.value(FigureId::BatchVolume)? / 1e6),
        })
    }

    pub(crate) fn cost(&self, why: &mut Why) -> Outcome {
        let mut sum = 0.0;
        let mut unpriced: Vec<&str> = Vec::new();
        let mut currency: Option<UnitId> = None;
        let mut priced = 0;
        for (_, thing, amount) in self.ingredients() {
            let Some(Bought { amount, price, unit }) = amount.ok().and_then(|amount| bought(thing, amount))
            else {
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
            sum += amount * price;
            why.formula(|| {
                let code = code.unwrap_or("");
                let (measure, by) = match unit.dimension() {
                    Dimension::MoneyPerMass => (" kg", "/kg"),
                    Dimension::MoneyPerVolume => (" L", "/L"),
                    _ => ("", ""),
                };
                let digits = if amount.fract() == 0.0 { 0 } else { 4 };
                format!(
                    "{}: {amount:.digits$}{measure} × {} {code}{by} = {} {code}",
                    thing.name,
                    Show::Money.number(price),
                    Show::Money.number(amount * price)
                )
            });
        }
        why.source(&brewing::source::DEFINITION);
        if let (Some(wanted), Some(code)) = (&self.recipe.currency, currency.and_then(UnitId::currency_code))
            && !wanted.trim().eq_ignore_ascii_case(code)
        {
            why.caution(|| {
                format!("the prices are in {code}, and no rate is known here to make {wanted} of them")
            });
        }
        if priced == 0 {
            return Err(Missing::because("no ingredient has a price"));
        }
        if !unpriced.is_empty() {
            return Err(Missing::since(format!("no price is known of {}", unpriced.join(", "))));
        }
        Ok(sum)
    }

    /// The currency of the prices; nothing where nothing is priced.
    #[must_use]
    pub fn currency(&self) -> Option<&'static str> {
        let price = |thing: &Thing| thing.number(Keyword::Price)?.value.unit?.currency_code();
        self.ingredients().into_iter().find_map(|(_, thing, _)| price(thing))
    }

    pub(crate) fn cost_per_litre(&self, why: &mut Why) -> Outcome {
        let cost = self.value(FigureId::Cost)?;
        let litres = self.value(FigureId::PackagedVolume)?;
        why.formula(|| {
            let code = self.currency().unwrap_or("");
            format!(
                "{} {code} / {} = {} {code}",
                Show::Money.number(cost),
                l(litres),
                Show::Money.number(cost / litres)
            )
        });
        why.source(&brewing::source::DEFINITION);
        Ok(cost / litres)
    }
}

/// What so much of a thing costs by its `price`, with the unit of the price, which names the currency.
///
/// An amount by another measure than the price is brought to it by the density, the `unit mass` or the `cells`
/// of the thing. What is free is free by any measure. Packs are bought whole: a number of cells costs as many as it takes. None where there is no
/// price, or nothing that leads to its measure.
#[must_use]
pub fn price_of(thing: &Thing, amount: Ingredient) -> Option<(f64, UnitId)> {
    bought(thing, amount).map(|bought| (bought.amount * bought.price, bought.unit))
}

/// So much of a thing in the measure of its price: kg, L or pieces.
struct Bought {
    amount: f64,
    price: f64,
    unit: UnitId,
}

fn bought(thing: &Thing, amount: Ingredient) -> Option<Bought> {
    let price = thing.number(Keyword::Price)?.value;
    let unit = price.unit?;
    let number = |key, dimension| {
        thing.facts_of(key).find_map(|fact| match fact.value {
            FactValue::Number(quant) | FactValue::Range(quant, _, _) => {
                quant.unit.filter(|unit| unit.dimension() == dimension).map(|_| quant)
            }
            _ => None,
        })
    };
    let density = || thing.number(Keyword::Density).map(|given| density_kg_per_litre(given.value));
    let piece = || number(Keyword::UnitMass, Dimension::Mass).map(|quant| quant.value);
    let cells = |dimension| number(Keyword::Cells, dimension).map(|quant| quant.value);
    if price.value == 0.0 {
        return Some(Bought { amount: 1.0, price: 0.0, unit });
    }
    let bought = match (unit.dimension(), amount) {
        (Dimension::MoneyPerMass, Ingredient::Mass(kg)) => kg,
        (Dimension::MoneyPerMass, Ingredient::Volume(litres)) => litres * density()?,
        (Dimension::MoneyPerMass, Ingredient::Count(count, _)) => count * piece()?,
        // Billions over billions a gram.
        (Dimension::MoneyPerMass, Ingredient::Cells(billions)) => {
            billions / cells(Dimension::CellsPerMass)? / 1000.0
        }
        (Dimension::MoneyPerVolume, Ingredient::Volume(litres)) => litres,
        (Dimension::MoneyPerVolume, Ingredient::Mass(kg)) => kg / density()?,
        (Dimension::MoneyPerCount, Ingredient::Count(count, _)) => count,
        (Dimension::MoneyPerCount, Ingredient::Mass(kg)) => kg / piece()?,
        (Dimension::MoneyPerCount, Ingredient::Cells(billions)) => {
            (billions / cells(Dimension::Cells)?).ceil()
        }
        _ => return None,
    };
    bought.is_finite().then_some(Bought { amount: bought, price: price.value, unit })
}

/// An amount of an ingredient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ingredient {
    /// kg
    Mass(f64),
    /// L
    Volume(f64),
    /// Pieces, tablets, packs, by what they are counted in.
    Count(f64, UnitId),
    /// Billion cells.
    Cells(f64),
}
