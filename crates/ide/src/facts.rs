//! Facts of ingredients and styles, and quantities in other units.

use figures::{Calc, Settings};
use quantity::display::{Places, format_places, format_value};
use quantity::typed::{Gravity, Plato};
use quantity::{Customary, Dimension, Quantity, UnitId};
use recipe::{Definition, Fact, FactValue, FileId, Origin, Quant, Recipe, Thing};
use rules::{STYLE_FIGURES, StyleRange};
use syntax::ast::{Body, Measure};
use syntax::vocabulary::Keyword;
use workspace::{FileState, Workspace};

use crate::explain::{Explanation, shown};
use crate::places::origin;

// ---- what a definition states -------------------------------------------------------------------------------

/// What a definition states, where it stands and where its numbers come from. What a line states in its
/// place is said beside it; fields that are told otherwise are left out.
pub(crate) fn definition(
    workspace: &Workspace,
    state: &FileState,
    definition: &Definition,
    on_line: Option<&Thing>,
    left_out: &[Keyword],
    out: &mut Explanation,
) {
    let (_, place) = origin(workspace, state, definition.place);
    out.title(&format!("{} {}", definition.kind.word(), definition.name));
    let mut said = place;
    if let Some((like, _)) = &definition.like {
        said.push_str(&format!(", like {like}"));
    }
    out.say(&said);
    let own: Vec<&Fact> = on_line.map(|thing| thing.own.iter().collect()).unwrap_or_default();
    let mut lines: Vec<String> = Vec::new();
    for fact in definition.facts.iter().filter(|fact| !left_out.contains(&fact.key)) {
        let mut line = format!("{}{}", fact.key.word(), value(fact));
        if let Some(other) = own.iter().find(|own| own.key == fact.key) {
            line.push_str(&format!("; on this line{}", value(other)));
        } else if matches!(fact.origin, Origin::Library(at, _) if at.anchor != definition.place.anchor || at.file != definition.place.file)
            && let Some((like, _)) = &definition.like
        {
            line.push_str(&format!(" (as {like})"));
        }
        lines.push(line);
    }
    for fact in &own {
        if definition.fact(fact.key).is_none() {
            lines.push(format!("{}{}, on this line", fact.key.word(), value(fact)));
        }
    }
    out.list(lines);
    let said = remarks(definition);
    if !said.is_empty() {
        out.say(&said);
    }
}

/// The comments of a definition: where its numbers come from.
fn remarks(definition: &Definition) -> String {
    let block = &definition.block;
    let text = block.lines.iter().filter(|line| matches!(line.body, Body::Comment)).filter_map(|line| {
        let comment = line.comment?.of(&block.text);
        if !rules::allowed_names(comment).is_empty() {
            return None;
        }
        Some(comment.trim_start_matches('#').trim())
    });
    let text: Vec<&str> = text.filter(|text| !text.is_empty()).collect();
    // The built-in library breaks its long lines; what a house writes are remarks of their own.
    let between = if matches!(definition.place.file, FileId::Catalogue(_)) { " " } else { "; " };
    text.join(between)
}

/// The value of a fact behind its word, in the unit it was written in.
fn value(fact: &Fact) -> String {
    let number = |quant: Quant, value: f64| match fact.key {
        // A gravity without a unit has its three digits all the same.
        Keyword::Og | Keyword::Fg if quant.unit.is_none() => format_value(value, UnitId::SG),
        _ => number(quant, value),
    };
    match &fact.value {
        FactValue::Number(quant) => {
            format!(" {}{}{}", number(*quant, quant.value), spread_of(*quant), unit_behind(*quant))
        }
        FactValue::Range(quant, low, high) => {
            format!(" {} to {}{}", number(*quant, *low), number(*quant, *high), unit_behind(*quant))
        }
        FactValue::Words(words) => format!(" {words}"),
        FactValue::Date(date) => format!(" {:04}-{:02}-{:02}", date.year, date.month, date.day),
        FactValue::Set => String::new(),
    }
}

/// A canonical number in the unit that was written.
fn number(quant: Quant, value: f64) -> String {
    let Some(unit) = quant.unit else { return format_places(value, Places::Significant(4)) };
    match Quantity::from_canonical(value, unit) {
        Ok(shown) if unit == UnitId::SG => format_value(shown.value, unit),
        Ok(shown) => format_places(shown.value, Places::Significant(4)),
        Err(_) => "?".to_owned(),
    }
}

fn spread_of(quant: Quant) -> String {
    // The width of a range of temperatures is a step, which its own unit does not convert.
    let steps = quant.unit.is_none_or(|unit| unit.dimension() != Dimension::Temperature);
    if quant.spread > 0.0 && steps { format!(" ± {}", number(quant, quant.spread)) } else { String::new() }
}

fn unit_behind(quant: Quant) -> String {
    match quant.unit {
        None | Some(UnitId::SG | UnitId::BARE | UnitId::PH) => String::new(),
        Some(unit) => format!(" {unit}"),
    }
}

// ---- a style ------------------------------------------------------------------------------------------------

/// Where a beer stands in the ranges of its style, in words and numbers.
pub(crate) fn standing(recipe: &Recipe, settings: &Settings, out: &mut Explanation) {
    let Some(style) = &recipe.style else { return };
    let units = settings.units_for(Some(recipe));
    for part in 0..recipe.parts.len().max(1) {
        let calc = Calc::of_part(recipe, settings, part);
        let mut lines = Vec::new();
        for (figure, key) in STYLE_FIGURES {
            let Some(range) = StyleRange::of(style, figure, key) else { continue };
            let show = figure.show();
            let ends = format!(
                "{} {} to {}",
                figure.words(),
                show.number_in(range.low, units),
                show.shown(range.high, units)
            );
            lines.push(match calc.value(figure) {
                Ok(value) => format!(
                    "{ends}: {}, {}",
                    shown(figure, value, units),
                    place_in(value, range, |by| show.number_in(by, units))
                ),
                Err(missing) => format!("{ends}: it cannot be computed, {}", missing.reason),
            });
        }
        if lines.is_empty() {
            continue;
        }
        let label = calc.part().label.as_ref().map(|(label, _)| format!(", {label}")).unwrap_or_default();
        out.title(&format!("this beer{label}")).list(lines);
    }
    out.say("Most beers judged as a style lie inside its ranges; a style is a description, not a rule.");
}

/// Where a value stands in a range.
fn place_in(value: f64, range: StyleRange, number: impl Fn(f64) -> String) -> String {
    let StyleRange { low, high, open } = range;
    if value < low {
        return format!("{} below", number(low - value));
    }
    if value > high && !open {
        return format!("{} above", number(value - high));
    }
    let along = if high > low { (value - low) / (high - low) } else { 0.5 };
    match along {
        _ if along < 1.0 / 3.0 => "inside, in the lower third",
        _ if along <= 2.0 / 3.0 => "inside, near the middle",
        _ => "inside, in the upper third",
    }
    .to_owned()
}

// ---- quantities ---------------------------------------------------------------------------------------------

/// Units that a brewer may want a quantity in, by what it measures.
const fn wanted(dimension: Dimension) -> &'static [UnitId] {
    use UnitId as U;
    match dimension {
        Dimension::Mass => &[U::KG, U::G, U::LB, U::OZ],
        Dimension::Volume => &[
            U::HL,
            U::L,
            U::ML,
            U::US_BBL,
            U::US_GAL,
            U::US_QT,
            U::US_FLOZ,
            U::IMP_BBL,
            U::IMP_GAL,
            U::IMP_PT,
        ],
        Dimension::Temperature => &[U::C, U::F],
        Dimension::Time => &[U::MIN, U::H, U::D, U::WEEK],
        Dimension::Gravity => &[U::SG, U::P],
        Dimension::ExtractPotential => &[U::L_DEGREES_PER_KG, U::PPG],
        Dimension::Colour => &[U::EBC, U::SRM, U::LOV],
        Dimension::Equivalents => &[U::PPM_CACO3, U::DH, U::FH, U::CLARK],
        Dimension::Carbonation => &[U::VOL, U::G_CO2_PER_L],
        Dimension::Pressure => &[U::BAR, U::KPA, U::PSI],
        Dimension::DiastaticPower => &[U::WK, U::LINTNER],
        Dimension::VolumePerMass => &[U::L_PER_KG, U::US_QT_PER_LB],
        Dimension::VolumeRate => &[U::L_PER_H, U::US_GAL_PER_H],
        Dimension::Length => &[U::M, U::FT],
        _ => &[],
    }
}

/// A quantity, or both ends of a range, in the other units there are for it; nothing where there is none.
pub(crate) fn in_other_units(
    written: &str,
    measures: &[Measure],
    customary: Option<Customary>,
) -> Option<String> {
    let unit = measures.first()?.unit?;
    let unit = customary.map_or(unit, |customary| unit.resolve(customary));
    let mut lines = Vec::new();
    for other in wanted(unit.dimension()).iter().filter(|other| **other != unit) {
        let values: Option<Vec<f64>> =
            measures.iter().map(|measure| converted(measure.number, unit, *other)).collect();
        let Some(values) = values.filter(|values| values.iter().all(|value| handy(*value, *other))) else {
            continue;
        };
        let numbers: Vec<String> = values.into_iter().map(|value| format_value(value, *other)).collect();
        lines.push(format!("{} {other}", numbers.join(" to ")));
    }
    if lines.is_empty() {
        return None;
    }
    let mut out = Explanation::default();
    out.title(written).list(lines);
    if unit.dimension() == Dimension::Gravity {
        out.source(&brewing::gravity::ASBC_CUBIC);
    }
    Some(out.markdown())
}

fn converted(number: f64, unit: UnitId, other: UnitId) -> Option<f64> {
    let value = match (unit, other) {
        (UnitId::SG, UnitId::P) => brewing::gravity::plato(Gravity::from_sg(number)).plato(),
        (UnitId::P | UnitId::BX, UnitId::SG) => brewing::gravity::gravity(Plato::from_plato(number)).sg(),
        (UnitId::BX, UnitId::P) => number,
        _ => Quantity::new(number, unit).convert(other).ok()?.value,
    };
    value.is_finite().then_some(value)
}

/// Whether a brewer would say it so: 20 L are no 20000 mL. Scales without a zero of their own always serve.
fn handy(value: f64, unit: UnitId) -> bool {
    match unit.dimension() {
        Dimension::Mass | Dimension::Volume | Dimension::Time => {
            value == 0.0 || (0.1..2000.0).contains(&value.abs())
        }
        _ => true,
    }
}
