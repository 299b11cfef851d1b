//! `gyle needs`: what a brew day takes off the shelf, and what has to be bought.

use std::fmt::Write as _;
use std::path::Path;

use ::figures::{Calc, Ingredient, Settings, Show, ShownUnits, price_of};
use quantity::Quantity;
use recipe::{DefPlace, FactValue, Recipe, Thing};
use serde_json::{Value, json};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::args::{ListFormat, NeedsArgs};
use crate::check::{absolute, load, sound_configs};
use crate::output::Output;
use crate::render::json::number;

/// One ingredient over all recipes.
struct Need {
    kind: BlockKind,
    name: String,
    definition: Option<DefPlace>,
    strength: Option<Quantity>,
    amount: Ingredient,
    stock: Option<Ingredient>,
    /// Price of all of it, with its currency; none where a line of it has no price.
    cost: Option<(f64, &'static str)>,
}

impl Need {
    /// What has to be bought.
    fn short(&self) -> Ingredient {
        let less = |need: f64, stock: f64| (need - stock).max(0.0);
        match (self.amount, self.stock) {
            (Ingredient::Mass(need), Some(Ingredient::Mass(stock))) => Ingredient::Mass(less(need, stock)),
            (Ingredient::Volume(need), Some(Ingredient::Volume(stock))) => {
                Ingredient::Volume(less(need, stock))
            }
            (Ingredient::Count(need, unit), Some(Ingredient::Count(stock, _))) => {
                Ingredient::Count(less(need, stock), unit)
            }
            (need, _) => need,
        }
    }

    fn enough(&self) -> bool {
        size(self.short()) <= 0.0
    }
}

/// An ingredient whose amount is not known.
struct Unknown {
    recipe: String,
    name: String,
    reason: String,
}

/// The kinds in the order a brewer shops, each with its heading.
const SHELVES: &[(BlockKind, &str)] = &[
    (BlockKind::Malt, "malt and grain"),
    (BlockKind::Sugar, "sugar, extract and fruit"),
    (BlockKind::Hop, "hops"),
    (BlockKind::Yeast, "yeast and bacteria"),
    (BlockKind::Addition, "salts, acids and everything else"),
];

pub(crate) fn run(args: &NeedsArgs, output: &mut Output) -> u8 {
    let (workspace, loaded, mut whole) = load(&args.paths, None);
    let here = absolute(Path::new("."));
    whole &= sound_configs(&workspace, &loaded.files, &here);
    let mut needs: Vec<Need> = Vec::new();
    let mut unknown: Vec<Unknown> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut units: Vec<ShownUnits> = Vec::new();
    for id in &loaded.files {
        let (Some(state), Some(analysis)) = (workspace.file(*id), workspace.analyse(*id)) else { continue };
        for one in &analysis.recipes {
            names.push(one.recipe.name.to_string());
            units.push(state.config.figures.units_for(Some(&one.recipe)));
            gather(&one.recipe, &state.config.figures, &mut needs, &mut unknown);
        }
    }
    units.dedup();
    // Recipes in several systems are added up in the one that all of them can be weighed in.
    let units = if let [one] = *units { one } else { ShownUnits::Metric };
    needs.sort_by_key(|need| {
        let shelf = SHELVES.iter().position(|(kind, _)| *kind == need.kind).unwrap_or(SHELVES.len());
        (shelf, core::cmp::Reverse(ordered(need.amount)), need.name.clone())
    });
    match args.format {
        ListFormat::Human => human(&names, &needs, &unknown, units, args.after_stock, output),
        ListFormat::Markdown => markdown(&names, &needs, &unknown, units, args.after_stock, output),
        ListFormat::Json => output.line(&to_json(&names, &needs, &unknown).to_string()),
    }
    if whole { 0 } else { 2 }
}

/// Size of an amount for sorting: masses in micrograms and so on, as whole numbers.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // amounts are finite and not negative
fn ordered(amount: Ingredient) -> u64 {
    (size(amount) * 1e9) as u64
}

fn size(amount: Ingredient) -> f64 {
    match amount {
        Ingredient::Mass(size)
        | Ingredient::Volume(size)
        | Ingredient::Count(size, _)
        | Ingredient::Cells(size) => size,
    }
}

fn gather(recipe: &Recipe, settings: &Settings, needs: &mut Vec<Need>, unknown: &mut Vec<Unknown>) {
    let mut seen = Vec::new();
    for part in 0..recipe.parts.len().max(1) {
        let calc = Calc::of_part(recipe, settings, part);
        for (place, thing, amount) in calc.ingredients() {
            // Every part of a split beer names the wort they share.
            if seen.contains(&place) {
                continue;
            }
            seen.push(place);
            match amount {
                Ok(amount) => add(thing, amount, needs),
                Err(missing) => unknown.push(Unknown {
                    recipe: recipe.name.to_string(),
                    name: thing.name.to_string(),
                    reason: missing.reason.to_string(),
                }),
            }
        }
    }
}

fn add(thing: &Thing, amount: Ingredient, needs: &mut Vec<Need>) {
    let definition = thing.definition.as_deref().map(|one| one.place);
    // Acids of another strength are other bottles.
    let strength = thing.facts_of(Keyword::Strength).next().filter(|fact| thing.own.contains(fact));
    let strength = strength.and_then(|fact| match fact.value {
        FactValue::Number(given) => Quantity::from_canonical(given.value, given.unit?).ok(),
        _ => None,
    });
    let mut name = thing.name.to_string();
    if let Some(strength) = strength {
        let _ = write!(name, " [{strength}]");
    }
    let cost = price_of(thing, amount).and_then(|(sum, unit)| Some((sum, unit.currency_code()?)));
    let same = |need: &&mut Need| {
        let named = match definition {
            Some(_) => need.strength == strength,
            None => need.name == name,
        };
        need.definition == definition
            && named
            && core::mem::discriminant(&need.amount) == core::mem::discriminant(&amount)
    };
    if let Some(need) = needs.iter_mut().find(same) {
        match (&mut need.amount, amount) {
            (Ingredient::Mass(sum), Ingredient::Mass(more))
            | (Ingredient::Volume(sum), Ingredient::Volume(more))
            | (Ingredient::Count(sum, _), Ingredient::Count(more, _))
            | (Ingredient::Cells(sum), Ingredient::Cells(more)) => *sum += more,
            _ => {}
        }
        need.cost = match (need.cost, cost) {
            (Some((sum, code)), Some((more, other))) if code == other => Some((sum + more, code)),
            _ => None,
        };
        return;
    }
    let kind = thing.kind().unwrap_or(BlockKind::Addition);
    needs.push(Need { kind, name, definition, strength, amount, stock: stock_of(thing, amount), cost });
}

/// What the cellar says is there, where it is counted as the recipe counts it.
fn stock_of(thing: &Thing, amount: Ingredient) -> Option<Ingredient> {
    let fact = thing.definition.as_deref()?.fact(Keyword::Stock)?;
    let FactValue::Number(given) = &fact.value else { return None };
    let dimension = given.unit?.dimension();
    Some(match (dimension, amount) {
        (quantity::Dimension::Mass, Ingredient::Mass(_)) => Ingredient::Mass(given.value),
        (quantity::Dimension::Volume, Ingredient::Volume(_)) => Ingredient::Volume(given.value),
        (quantity::Dimension::Count, Ingredient::Count(_, unit)) => Ingredient::Count(given.value, unit),
        _ => return None,
    })
}

/// An amount in the words of a scale, a jug or a shelf.
fn shown(amount: Ingredient, units: ShownUnits) -> String {
    match amount {
        Ingredient::Mass(kg) if kg < 1.0 => Show::Grams.shown(kg * 1000.0, units),
        Ingredient::Mass(kg) => Show::Mass.shown(kg, units),
        Ingredient::Volume(litres) if litres < 1.0 => Show::Millilitres.shown(litres * 1000.0, units),
        Ingredient::Volume(litres) => Show::Volume.shown(litres, units),
        Ingredient::Count(count, unit) => {
            let counted = Quantity::new(count, unit).to_string();
            match counted.strip_suffix(" each") {
                Some(number) => number.to_owned(),
                None if count == 1.0 => counted,
                None => format!("{counted}s"),
            }
        }
        Ingredient::Cells(billions) => format!("{} cells", Show::Cells.with_unit(billions)),
    }
}

/// One line of the list: name, what is needed, what is there, what to buy, what it costs.
fn cells(need: &Need, units: ShownUnits, after_stock: bool) -> [String; 5] {
    let stock = need.stock.map_or_else(String::new, |stock| shown(stock, units));
    let buy = if !after_stock {
        String::new()
    } else if need.enough() {
        "-".to_owned()
    } else {
        shown(need.short(), units)
    };
    let cost =
        need.cost.map_or_else(String::new, |(sum, code)| format!("{} {code}", Show::Money.number(sum)));
    [need.name.clone(), shown(need.amount, units), if after_stock { stock } else { String::new() }, buy, cost]
}

const HEADINGS: [&str; 5] = ["", "needed", "in stock", "to buy", "cost"];

/// Costs by currency, and whether every line has one.
fn total(needs: &[Need]) -> (Vec<(f64, &'static str)>, bool) {
    let mut sums: Vec<(f64, &'static str)> = Vec::new();
    for (sum, code) in needs.iter().filter_map(|need| need.cost) {
        match sums.iter_mut().find(|(_, known)| *known == code) {
            Some((whole, _)) => *whole += sum,
            None => sums.push((sum, code)),
        }
    }
    (sums, needs.iter().all(|need| need.cost.is_some()))
}

/// The closing sentences: what it costs, and what is not known.
fn remarks(needs: &[Need], unknown: &[Unknown]) -> Vec<String> {
    let mut lines = Vec::new();
    let (sums, all) = total(needs);
    if !sums.is_empty() {
        let sums: Vec<String> =
            sums.iter().map(|(sum, code)| format!("{} {code}", Show::Money.number(*sum))).collect();
        let rest = if all { "" } else { ", without what has no price" };
        lines.push(format!("cost of what is needed: {}{rest}", sums.join(" and ")));
    }
    for one in unknown {
        lines.push(format!("not counted: {} of {}: {}", one.name, one.recipe, one.reason));
    }
    lines
}

fn human(
    names: &[String],
    needs: &[Need],
    unknown: &[Unknown],
    units: ShownUnits,
    after_stock: bool,
    output: &mut Output,
) {
    output.line(&format!("Needed for {}", names.join(", ")));
    let rows: Vec<(BlockKind, [String; 5])> =
        needs.iter().map(|need| (need.kind, cells(need, units, after_stock))).collect();
    let width = |at: usize| {
        let cells = rows.iter().map(|(_, row)| row[at].chars().count()).max().unwrap_or(0);
        if cells == 0 { 0 } else { cells.max(HEADINGS[at].chars().count()) }
    };
    let widths: Vec<usize> = (0..5).map(width).collect();
    let line = |row: [&str; 5]| {
        let mut text = format!("  {:<1$}", row[0], widths[0]);
        for at in 1..5 {
            if widths[at] > 0 {
                let _ = write!(text, "  {:>1$}", row[at], widths[at]);
            }
        }
        text.trim_end().to_owned()
    };
    for (kind, heading) in SHELVES {
        let mut shelf = rows.iter().filter(|(of, _)| of == kind).peekable();
        if shelf.peek().is_some() {
            output.line("");
            output.line(&line([heading, HEADINGS[1], HEADINGS[2], HEADINGS[3], HEADINGS[4]]));
            for (_, row) in shelf {
                output.line(&line([&row[0], &row[1], &row[2], &row[3], &row[4]]));
            }
        }
    }
    let remarks = remarks(needs, unknown);
    if !remarks.is_empty() {
        output.line("");
    }
    for remark in remarks {
        output.line(&remark);
    }
}

fn markdown(
    names: &[String],
    needs: &[Need],
    unknown: &[Unknown],
    units: ShownUnits,
    after_stock: bool,
    output: &mut Output,
) {
    output.line(&format!("Needed for {}\n", names.join(", ")));
    let columns: &[usize] = if after_stock { &[0, 1, 2, 3, 4] } else { &[0, 1, 4] };
    let row = |cells: &[String; 5]| {
        let cells: Vec<String> = columns.iter().map(|at| cells[*at].replace('|', "\\|")).collect();
        format!("| {} |", cells.join(" | "))
    };
    for (kind, heading) in SHELVES {
        let mut shelf = needs.iter().filter(|need| need.kind == *kind).peekable();
        if shelf.peek().is_some() {
            let mut headings = HEADINGS.map(str::to_owned);
            (*heading).clone_into(&mut headings[0]);
            output.line(&row(&headings));
            let rule: Vec<&str> = columns.iter().map(|at| if *at == 0 { "---" } else { "---:" }).collect();
            output.line(&format!("| {} |", rule.join(" | ")));
            for need in shelf {
                output.line(&row(&cells(need, units, after_stock)));
            }
            output.line("");
        }
    }
    for remark in remarks(needs, unknown) {
        output.line(&format!("- {remark}"));
    }
}

fn to_json(names: &[String], needs: &[Need], unknown: &[Unknown]) -> Value {
    let amount = |amount: Ingredient| match amount {
        Ingredient::Mass(kg) => json!({"value": number(kg * 1000.0, Show::Grams), "unit": "g"}),
        Ingredient::Volume(litres) => {
            json!({"value": number(litres * 1000.0, Show::Millilitres), "unit": "mL"})
        }
        Ingredient::Count(count, unit) => json!({"value": count, "unit": unit.everyday().to_string()}),
        Ingredient::Cells(billions) => {
            json!({"value": number(billions, Show::Cells), "unit": "billion cells"})
        }
    };
    let list: Vec<Value> = needs
        .iter()
        .map(|need| {
            json!({
                "kind": need.kind.word(),
                "name": need.name,
                "needed": amount(need.amount),
                "stock": need.stock.map(amount),
                "to-buy": amount(need.short()),
                "cost": need.cost.map(|(sum, code)| json!({"value": number(sum, Show::Money), "unit": code})),
            })
        })
        .collect();
    let unknown: Vec<Value> = unknown
        .iter()
        .map(|one| json!({"recipe": one.recipe, "name": one.name, "reason": one.reason}))
        .collect();
    json!({"version": 1, "recipes": names, "needs": list, "not-counted": unknown})
}
