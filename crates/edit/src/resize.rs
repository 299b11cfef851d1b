//! A recipe for another batch, its amounts rounded to what can be weighed.

use std::collections::HashMap;

use figures::{Calc, Missing, Resized, Settings, grows};
use quantity::{Customary, Dimension, Places, Quantity, UnitId, format_places};
use recipe::{Place, Recipe};
use syntax::Edit;
use syntax::ast::{ClausePart, Expr, ExprKind, Form, Operator, Value, ValueKind};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};

use crate::line::{Number, Placed, Written};
use crate::weigh::{number, weighable};

/// The edits that bring a recipe to another batch, in litres: gravity, colour, bitterness and ions stay.
/// Percentages, doses by the litre and what is solved for follow by themselves, an expression as far as it
/// goes by the batch; where it does not, it is multiplied.
///
/// # Errors
/// Where gravity or volumes cannot be computed, or the mash is shared with another recipe.
pub fn resize(placed: Placed<'_>, settings: &Settings, litres: f64) -> Result<Vec<Edit>, Missing> {
    let resized = figures::resize(placed.recipe, settings, litres)?;
    let by_place = factors(placed.recipe, &resized);
    let mut edits = Vec::new();
    let customary = placed.recipe.customary.or(settings.customary);
    let next = resized.of(placed.recipe);
    let calcs = (Calc::new(placed.recipe, settings), Calc::new(&next, settings));
    let mut part = 0;
    let mut splits = 0;
    for line in placed.entries() {
        if line.block.kind == BlockKind::Split && line.entry.form == Form::Header {
            part = splits;
            splits += 1;
        }
        let packaged = resized.packaged.get(part).copied().unwrap_or(resized.batch);
        one_line(line, &resized, &calcs, customary, by_place.get(&line.place).copied(), packaged, &mut edits);
    }
    Ok(edits)
}

/// A volume as one writes it, in litres: `50 L`, `1.2 hL`, `13 gal` where it is known which gallon is meant.
///
/// # Errors
/// Why it is none, in a brewer's words.
pub fn volume(text: &str, customary: Option<Customary>) -> Result<f64, String> {
    let text = text.trim();
    let form = || format!("`{text}` is no batch; write a number and a unit of volume, such as `20 L`");
    let (number, length) = quantity::scan_number(text).ok_or_else(form)?;
    if number.fault.is_some() {
        return Err(form());
    }
    let rest = text.get(length..).unwrap_or("").trim_start();
    let unit = quantity::scan_unit(rest).filter(|unit| unit.len == rest.len()).ok_or_else(form)?;
    let unit = unit.unit.map_err(|_| form())?;
    let unit = customary.map_or(unit, |customary| unit.resolve(customary));
    if unit.dimension() != Dimension::Volume {
        return Err(format!("a batch is a volume; `{text}` is none"));
    }
    let litres = Quantity::new(number.value, unit).convert(UnitId::L).map_err(|_| {
        format!("`{text}` may mean two sizes; say which with `customary` in the recipe or in gyle.toml, or write litres")
    })?;
    if litres.value > 0.0 { Ok(litres.value) } else { Err("a batch is more than nothing".to_owned()) }
}

/// The factors of lines that the recipe lists.
fn factors(recipe: &Recipe, resized: &Resized) -> HashMap<Place, f64> {
    let mut by_place = HashMap::new();
    for line in &recipe.grist {
        by_place.insert(line.place, resized.of_grist(line.joins));
    }
    for (addition, factor) in recipe.additions.iter().zip(&resized.additions) {
        by_place.insert(addition.place, *factor);
    }
    for (addition, factor) in recipe.liquor.additions.iter().zip(&resized.water) {
        by_place.insert(addition.place, *factor);
    }
    by_place
}

fn one_line(
    line: Written<'_>,
    resized: &Resized,
    calcs: &(Calc<'_>, Calc<'_>),
    customary: Option<Customary>,
    known: Option<f64>,
    packaged: f64,
    edits: &mut Vec<Edit>,
) {
    use {BlockKind as B, Keyword as K};
    let mut values: Vec<(&Value, f64)> = Vec::new();
    let first = line.entry.values().find(|value| value.kind.is_measured());
    let keyword = line.entry.keyword.map(|keyword| keyword.node);
    let factor = known.or(match (line.block.entries_as, keyword) {
        (B::Recipe, Some(K::Batch)) => {
            if let Some(value) = first {
                let exact = |unit: UnitId| customary.map_or(unit, |customary| unit.resolve(customary));
                line.change_value(value, &|number| batch(number, exact, resized.litres), edits);
            }
            return;
        }
        (B::Recipe, _) => None,
        (_, Some(K::Mash)) if line.block.kind == B::Liquor => Some(resized.mash),
        (_, Some(K::Sparge)) => Some(resized.sparge),
        (_, Some(K::TopUp)) => Some(resized.batch),
        (_, Some(K::Infuse)) => Some(resized.mash),
        (_, Some(K::Decoct)) => Some(resized.grist),
        (B::Cook, _) => Some(resized.grist),
        (B::Steep, Some(K::Liquor)) => Some(resized.grist),
        (B::Package, _) => Some(packaged),
        (B::Split | B::Sour | B::Pitch | B::Ferment, _) => Some(resized.batch),
        _ => None,
    });
    let Some(factor) = factor else { return };
    values.extend(first.map(|value| (value, factor)));
    // The sugar a beer is primed with.
    for clause in line.entry.clauses().filter(|clause| clause.word == ClauseWord::With) {
        for part in &clause.parts {
            if let ClausePart::Value(value) = part {
                values.push((value, factor));
            }
        }
    }
    if let Some(amount) = line.amount().or_else(|| line.entry.value())
        && let ValueKind::Expr(expr) = &amount.kind
        && let Some(times) = short_of(line, expr, factor, calcs)
    {
        let text = expr.span.of(&line.block.text);
        let times = format_places(times, Places::Significant(4));
        let sum = matches!(&expr.kind, ExprKind::Binary(_, sign, _) if matches!(sign.node, Operator::Add | Operator::Subtract));
        let text = if sum { format!("(({text}) * {times})") } else { format!("({text} * {times})") };
        line.replace(amount.span, &text, edits);
    }
    for (value, factor) in values {
        line.change_value(value, &|number| scaled(number, factor), edits);
    }
}

/// What an expression has to be multiplied with to grow by a factor; nothing where it does so by itself, or
/// gives no amount.
fn short_of(line: Written<'_>, expr: &Expr, factor: f64, calcs: &(Calc<'_>, Calc<'_>)) -> Option<f64> {
    let value = |calc: &Calc<'_>| calc.evaluate(expr, line.block).ok()?.quantity();
    let (before, after) = (value(&calcs.0)?, value(&calcs.1)?);
    if !grows(before.unit.dimension()) {
        return None;
    }
    let times = before.value * factor / after.value;
    (times.is_finite() && times > 0.0 && (times - 1.0).abs() > NOTHING).then_some(times)
}

/// An expression that is short of its factor by less than this follows the batch by itself.
const NOTHING: f64 = 0.005;

/// The new batch in the unit of the old one; as asked, not rounded to a step.
fn batch(number: Number<'_>, exact: impl Fn(UnitId) -> UnitId, litres: f64) -> Option<String> {
    if number.is_width {
        return None;
    }
    let value = Quantity::from_canonical(litres, exact(number.unit?)).ok()?.value;
    Some(written((value * 1e4).round() / 1e4, number))
}

/// An amount so many times as large.
fn scaled(number: Number<'_>, factor: f64) -> Option<String> {
    let unit = number.unit.filter(|unit| grows(unit.dimension()))?;
    Some(written(weighable(number.number * factor, unit), number))
}

fn written(value: f64, by: Number<'_>) -> String {
    let text = number(value);
    if by.written.is_empty() { text } else { format!("{text} {}", by.written) }
}
