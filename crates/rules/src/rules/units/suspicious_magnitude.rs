//! A number of a size that no beer has.

use figures::Ingredient;
use quantity::UnitId;

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("suspicious-magnitude", Group::Units, Level::Error, Check::Recipe(check), DOC).root().limits(&[
        &FERMENTABLE, &HOP, &FINING, &TABLETS, &NUTRIENT, &SPICE, &FRUIT, &DRY_YEAST, &PACKS, &SALT, &ACID, &REST, &COLD, &SPARGE, &REST_TIME, &SOUR_TIME, &BOIL,
    &CO2, &CASK_CO2,
]);

const DOC: Doc = Doc {
    catches: "An amount, time, temperature or figure of a size that no ordinary beer has: a slipped decimal, a unit too large or too small, \
              Fahrenheit where Celsius is written.",
    matters: "Everything computed from it is wrong, and on the brew day it costs the batch. What depends on the value keeps quiet until it is \
              mended, so that one slip gives one finding.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  3.8 kg    Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "A warning outside the usual span, an error beyond three times its upper end. Amounts are taken by the litre of the batch. \
             Salts and acids have rules of their own and show here only beyond three times their limit.",
    sources: "Common practice, no source: the spans are wider than any beer in the built-in styles needs.",
};

const PRACTICE: &str = "common practice, no source: wider than any beer needs";

static FERMENTABLE: Limit =
    Limit::within("fermentable-dose", 0.25, 600.0, "g/L", "one fermentable, by the litre of the batch", PRACTICE);
static HOP: Limit = Limit::within("hop-dose", 0.05, 30.0, "g/L", "one hop addition, by the litre of the batch", PRACTICE);
static FINING: Limit = Limit::at_most("fining-dose", 0.7, "g/L", "finings, by the litre of the batch", PRACTICE);
static TABLETS: Limit = Limit::at_most("fining-tablets", 0.25, "", "fining tablets for a litre of the batch", PRACTICE);
static NUTRIENT: Limit = Limit::at_most("nutrient-dose", 1.0, "g/L", "nutrient, by the litre of the batch", PRACTICE);
static SPICE: Limit = Limit::at_most("spice-dose", 5.0, "g/L", "one spice, by the litre of the batch", PRACTICE);
static FRUIT: Limit = Limit::at_most("fruit-dose", 600.0, "g/L", "one fruit, by the litre of the batch", PRACTICE);
static DRY_YEAST: Limit = Limit::within("dry-yeast-dose", 0.3, 3.0, "g/L", "dry yeast, by the litre of the batch", PRACTICE);
static PACKS: Limit = Limit::at_most("pack-dose", 0.3, "", "packs of liquid yeast for a litre of the batch", PRACTICE);
static SALT: Limit = Limit::within(
    "salt-dose-possible",
    0.005,
    6.0,
    "g/L",
    "one salt, by the litre of the batch; above it is an error",
    "three times what `salt-form-or-dose-suspect` allows",
);
static ACID: Limit = Limit::at_most(
    "acid-dose-possible",
    4.5,
    "mL/L",
    "one acid, by the litre of the batch; above it is an error",
    "three times what a strong lactic acid bears",
);
/// Strength of the lactic acid that the limit is for, by mass.
const STRONG: f64 = 0.88;
static REST: Limit = Limit::within("rest-temperature-possible", 20.0, 100.0, "C", "a rest of the mash", PRACTICE);
static COLD: Limit =
    Limit::within("ferment-temperature-possible", -4.0, 45.0, "C", "fermentation, pitching and package", PRACTICE);
static SPARGE: Limit = Limit::within("sparge-temperature-possible", 1.0, 100.0, "C", "sparge liquor", PRACTICE);
static REST_TIME: Limit = Limit::at_most("rest-longest", 1440.0, "min", "length of a rest", PRACTICE);
static SOUR_TIME: Limit = Limit::at_most("souring-longest", 10080.0, "min", "length of a warm hold for souring", PRACTICE);
static BOIL: Limit = Limit::at_most("boil-longest", 180.0, "min", "length of the boil", PRACTICE);

static CO2: Limit = Limit::within("carbonation-possible", 0.8, 4.6, "vol", "carbonation of keg, bottle and can", PRACTICE);
static CASK_CO2: Limit = Limit::within("carbonation-cask-possible", 0.6, 2.6, "vol", "carbonation of a cask", PRACTICE);

/// The least of a base malt, g for a litre of the batch: common practice, no source.
const BASE_LEAST: f64 = 2.0;

/// What an amount is compared with.
#[derive(Clone, Copy)]
struct Span {
    what: &'static str,
    limit: &'static Limit,
    unit: &'static str,
    /// Whether anything above the upper end is already an error.
    hard: bool,
}

const fn usual(what: &'static str, limit: &'static Limit, unit: &'static str) -> Span {
    Span { what, limit, unit, hard: false }
}

struct Amounts {
    name: Box<str>,
    span: Span,
    low: f64,
    high: f64,
    by_litre: f64,
    place: Place,
    /// Amounts in the usual span that differ by a slip: factor and words.
    readings: Vec<(f64, &'static str)>,
}

struct Number {
    what: &'static str,
    value: f64,
    unit: Unit,
    low: f64,
    high: f64,
    place: Place,
    fahrenheit: Option<f64>,
}

#[derive(Clone, Copy, PartialEq)]
enum Unit {
    Celsius,
    Minutes,
    Volumes,
}

/// Slips between what is written and what was meant.
const SLIPS: [(f64, &str); 8] = [
    (0.001, "with the next smaller unit"),
    (1000.0, "with the next larger unit"),
    (0.1, "with the point one place to the left"),
    (10.0, "with the point one place to the right"),
    (0.01, "with the point two places to the left"),
    (100.0, "with the point two places to the right"),
    (1.0 / 28.35, "in grams instead of ounces"),
    (1.0 / 453.6, "in grams instead of pounds"),
];

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let batch = cx.recipe.batch.as_ref().map(|batch| batch.value).filter(|litres| *litres > 0.0);
    if let Some(litres) = batch {
        amounts(cx, litres, hits);
    }
    temperatures_and_times(cx, hits);
    colours(cx, hits);
}

/// A colour whose number is that of the library on another scale.
fn colours(cx: &RecipeCx, hits: &mut Hits) {
    const SCALES: [(UnitId, &str); 3] = [(UnitId::EBC, "EBC"), (UnitId::SRM, "SRM"), (UnitId::LOV, "lov")];
    for line in &cx.recipe.grist {
        let Some(definition) = &line.thing.definition else { continue };
        let own = line.thing.own.iter().find(|fact| fact.key == Keyword::Colour);
        let (Some(recipe::FactValue::Number(own)), Some(recipe::FactValue::Number(known))) =
            (own.map(|fact| &fact.value), definition.fact(Keyword::Colour).map(|fact| &fact.value))
        else {
            continue;
        };
        let (Some(unit), true) = (own.unit, known.value > 0.0) else { continue };
        let in_unit = |ebc: f64, unit| quantity::Quantity::new(ebc, UnitId::EBC).convert(unit).map_or(f64::NAN, |it| it.value);
        let written = in_unit(own.value, unit);
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < SAME_COLOUR;
        // The library's own number may be known by either scale.
        let meant = SCALES.into_iter().find(|(scale, _)| {
            *scale != unit && near(written, in_unit(known.value, *scale)) && !near(own.value, known.value)
        });
        let far = own.value / known.value;
        // Crystal malt is made in any colour, unless its name tells which.
        let told = line.thing.name.contains(|c: char| c.is_ascii_digit());
        if own.value < known.value && !told && crate::look::form(&line.thing).contains("caramel") {
            continue;
        }
        if let (Some((_, scale)), true) = (meant, !(0.6..=1.7).contains(&far)) {
            let detail = Colour { name: look::spoken(&line.thing), written, unit: unit_word(&SCALES, unit), ebc: own.value, known: known.value, scale };
            hits.recipe(Grade::WARNING, line.place, detail);
        }
    }
}

fn unit_word(scales: &[(UnitId, &'static str)], unit: UnitId) -> &'static str {
    scales.iter().find(|(scale, _)| *scale == unit).map_or("", |(_, word)| word)
}

/// How near two colours are the same malt's: sacks differ by about as much.
const SAME_COLOUR: f64 = 0.1;

struct Colour {
    name: Box<str>,
    written: f64,
    unit: &'static str,
    ebc: f64,
    known: f64,
    scale: &'static str,
}

impl Detail for Colour {
    fn message(&self, _say: Say) -> Message {
        let number = |value: f64| crate::say::significant(value, 3);
        let same =
            if self.unit == "EBC" { String::new() } else { format!(" is {} EBC", number(self.ebc)) };
        Message::new(
            format!(
                "{} of {} {}{same}, the library has {} EBC for it",
                self.name,
                number(self.written),
                self.unit,
                number(self.known)
            ),
            format!("the same number in {} would fit, so the scale may be the wrong one, and the colour of the beer with it", self.scale),
            format!("write {} {} if that is what the sack says", number(self.written), self.scale),
        )
    }
}

fn span_of(thing: &Thing, amount: Ingredient) -> Option<Span> {
    let (role, form) = (crate::look::role(thing), crate::look::form(thing));
    let is = |word: &str| role.contains(word);
    Some(match (thing.kind()?, amount) {
        (BlockKind::Sugar, Ingredient::Mass(_)) if form.contains("fruit") => usual("fruit", &FRUIT, "g/L"),
        (BlockKind::Malt | BlockKind::Sugar, Ingredient::Mass(_)) => usual("fermentables", &FERMENTABLE, "g/L"),
        (BlockKind::Hop, Ingredient::Mass(_)) => usual("hops", &HOP, "g/L"),
        (BlockKind::Yeast, Ingredient::Mass(_)) => usual("dry yeast", &DRY_YEAST, "g/L"),
        (BlockKind::Yeast, Ingredient::Count(..)) => usual("yeast", &PACKS, "packs/L"),
        (BlockKind::Addition, Ingredient::Count(..)) if is("fining") || is("clarif") => usual("finings", &TABLETS, "tablets/L"),
        (BlockKind::Addition, Ingredient::Volume(_)) if is("acid") => Span { what: "acid", limit: &ACID, unit: "mL/L", hard: true },
        (BlockKind::Addition, Ingredient::Mass(_)) => {
            if is("salt") {
                Span { what: "salts", limit: &SALT, unit: "g/L", hard: true }
            } else if is("fining") || is("clarif") {
                usual("finings", &FINING, "g/L")
            } else if is("nutrient") {
                usual("nutrient", &NUTRIENT, "g/L")
            } else if is("spice") || is("herb") {
                usual("spices", &SPICE, "g/L")
            } else {
                return None;
            }
        }
        _ => return None,
    })
}

fn amounts(cx: &RecipeCx, litres: f64, hits: &mut Hits) {
    let weight = cx.figure(FigureId::GristWeight);
    let mut found: Vec<(Grade, Place, Amounts)> = Vec::new();
    for (place, thing, amount) in cx.calc.ingredients() {
        let Ok(amount) = amount else { continue };
        // What primes the beer is judged by the pressure it makes.
        if cx.recipe.blocks.get(usize::from(place.block)).is_some_and(|block| block.kind == BlockKind::Package) {
            continue;
        }
        let Some(span) = span_of(thing, amount) else { continue };
        let by_litre = match amount {
            Ingredient::Mass(kg) => kg * 1000.0 / litres,
            Ingredient::Volume(volume) => volume * 1000.0 / litres,
            Ingredient::Count(count, _) => count / litres,
            Ingredient::Cells(_) => continue,
        };
        let (low, mut high) = cx.band(span.limit);
        let mut low = low.max(0.0);
        if core::ptr::eq(span.limit, &FERMENTABLE) {
            // Less than five grams, or than a five-hundredth of the grist, does nothing.
            low = low.min(5.0 / litres).max(weight.map_or(0.0, |weight| weight * 2.0 / litres));
        }
        // A dilute acid is measured out by so much more.
        if core::ptr::eq(span.limit, &ACID)
            && let Some(strength) = thing.number(Keyword::Strength).filter(|strength| strength.value.value > 0.0)
        {
            high *= (STRONG / strength.value.value).max(1.0);
        }
        // A base malt by the gram is a slipped unit.
        if thing.kind() == Some(BlockKind::Malt) && crate::look::form(thing).contains("base") {
            low = low.max(BASE_LEAST);
        }
        let grade = if by_litre > high {
            if span.hard || by_litre > 3.0 * high { Grade::ERROR } else { Grade::WARNING }
        } else if by_litre < low && by_litre > 0.0 {
            Grade::WARNING
        } else {
            continue;
        };
        let readings = SLIPS
            .into_iter()
            .filter(|(factor, _)| {
                let meant = by_litre * factor;
                // Well inside the span, or the slip explains nothing.
                meant <= 0.5 * high && meant >= low.max(0.004 * high)
            })
            .take(2)
            .collect();
        found.push((grade, place, Amounts { name: look::spoken(thing), span, low, high, by_litre, place, readings }));
    }
    // Beside an amount that is written wrong, those solved for only follow it.
    let solved = |place: &Place| {
        let lines = cx.recipe.grist.iter().find(|line| line.place == *place);
        lines.is_some_and(|line| !matches!(line.amount, Amount::Of(_)))
    };
    if found.iter().any(|(_, place, _)| !solved(place)) {
        found.retain(|(_, place, _)| !solved(place));
    }
    // Too much of everything is too small a batch.
    let mut blocks: Vec<u16> = found.iter().filter(|(_, _, one)| one.by_litre > one.high).map(|(_, place, _)| place.block).collect();
    blocks.sort_unstable();
    blocks.dedup();
    if let (true, Some(batch)) = (blocks.len() >= 2, &cx.recipe.batch)
        && let Some(place) = here(Some(batch))
    {
        hits.recipe(Grade::ERROR, place, Batch { litres });
        return;
    }
    // Beside one line that outweighs the grist the others only seem too light.
    let heavy = found.iter().any(|(_, _, one)| core::ptr::eq(one.span.limit, &FERMENTABLE) && one.by_litre > one.high);
    for (grade, place, one) in found {
        if !(heavy && core::ptr::eq(one.span.limit, &FERMENTABLE) && one.by_litre < one.low) {
            hits.recipe(grade, place, one);
        }
    }
}

/// A batch so small that everything in it is too much.
struct Batch {
    litres: f64,
}

impl Detail for Batch {
    fn taints(&self) -> &'static [BlockKind] {
        &[BlockKind::Grist, BlockKind::Liquor, BlockKind::Boil, BlockKind::Pitch, BlockKind::Mash, BlockKind::Ferment]
    }
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("more than one list of the recipe is many times too much for a batch of {}", say.volume(self.litres)),
            "every figure is computed for the batch",
            "check the volume of the batch and its unit first",
        )
    }
}

fn temperatures_and_times(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let temperature = |hits: &mut Hits, what, place: Place, celsius: f64, limit: &Limit| {
        let (low, high) = cx.band(limit);
        if celsius < low || celsius > high {
            let grade = if !(-5.0..=105.0).contains(&celsius) { Grade::ERROR } else { Grade::WARNING };
            // What a slip of scale would mean.
            let as_celsius = (celsius - 32.0) / 1.8;
            let fahrenheit = (low..=high).contains(&as_celsius).then_some(as_celsius);
            let number = Number { what, value: celsius, unit: Unit::Celsius, low, high, place, fahrenheit };
            hits.recipe(grade, place, number);
        }
    };
    let too_long = |hits: &mut Hits, what, place: Place, minutes: f64, limit: &Limit| {
        let high = cx.limit(limit);
        if minutes > high {
            let grade = if minutes > 3.0 * high { Grade::ERROR } else { Grade::WARNING };
            let number = Number { what, value: minutes, unit: Unit::Minutes, low: 0.0, high, place, fahrenheit: None };
            hits.recipe(grade, place, number);
        }
    };
    for step in &recipe.mash.steps {
        if let MashStep::Rest { place, temperature: at, time, .. } = step {
            temperature(hits, "a rest", *place, at.value, &REST);
            if let Some(time) = time {
                too_long(hits, "a rest", *place, time.value, &REST_TIME);
            }
        }
    }
    for steep in &recipe.steeps {
        if let Some(at) = &steep.temperature {
            temperature(hits, "the steep", steep.place, at.value, &REST);
        }
    }
    if let Some((place, _, Some(time), _)) = recipe.sour.as_ref().and_then(|sour| sour.hold.as_ref()) {
        too_long(hits, "a hold", *place, time.value, &SOUR_TIME);
    }
    for part in &recipe.parts {
        for step in &part.ferment.steps {
            if let Some(at) = &step.temperature {
                temperature(hits, "a fermentation step", step.place, at.value, &COLD);
            }
        }
        if let (Some(at), Some(place)) = (&part.pitch.temperature, here(part.pitch.temperature.as_ref()).or(part.pitch.place)) {
            temperature(hits, "pitching", place, at.value, &COLD);
        }
        for line in &part.package.lines {
            let limit = if line.container == recipe::Container::Cask { &CASK_CO2 } else { &CO2 };
            let (low, high) = cx.band(limit);
            if let Some(aimed) = line.carbonation.as_ref().filter(|aimed| !(low..=high).contains(&aimed.value)) {
                let grade = if (0.0..=7.0).contains(&aimed.value) { Grade::WARNING } else { Grade::ERROR };
                let number = Number {
                    what: "the carbonation",
                    value: aimed.value,
                    unit: Unit::Volumes,
                    low,
                    high,
                    place: line.place,
                    fahrenheit: None,
                };
                hits.recipe(grade, line.place, number);
            }
            if let Some(at) = &line.temperature {
                temperature(hits, "the package", line.place, at.value, &COLD);
            }
        }
    }
    if let Some(sparge) = &recipe.liquor.sparge
        && let Some(at) = &sparge.temperature
    {
        temperature(hits, "sparge liquor", sparge.place, at.value, &SPARGE);
    }
    if let Some(boil) = &recipe.boil
        && let Some(time) = &boil.time
    {
        too_long(hits, "the boil", boil.place, time.value, &BOIL);
    }
}

fn here<T>(given: Option<&Given<T>>) -> Option<Place> {
    match given?.origin {
        Origin::Here(place) => Some(place),
        Origin::Library(..) => None,
    }
}

impl Detail for Amounts {
    fn taints(&self) -> &'static [BlockKind] {
        // Fruit and sugar in the fermenter are part of the gravity.
        if core::ptr::eq(self.span.limit, &FRUIT) || core::ptr::eq(self.span.limit, &FERMENTABLE) {
            &[BlockKind::Grist]
        } else {
            &[]
        }
    }
    fn message(&self, _say: Say) -> Message {
        let unit = self.span.unit;
        let number = |value: f64| crate::say::significant(value, 2);
        let relation = if self.by_litre > self.high {
            format!("no beer takes more than {} {unit} of {}", number(self.high), self.span.what)
        } else {
            format!("less than {} {unit} of {} does nothing", number(self.low), self.span.what)
        };
        Message::new(
            format!("{} comes to {} {unit} of the batch; {relation}", self.name, number(self.by_litre)),
            "every figure it enters is off by as much",
            match self.readings.first() {
                Some((factor, words)) => {
                    let meant = number(self.by_litre * factor);
                    format!("{words} it would be {meant} {unit}: correct the amount, or the volume of the batch")
                }
                None => "check the amount and its unit, and the volume of the batch".into(),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let at = At::Recipe(self.place);
        let Some(value) = texts.value(at) else { return Vec::new() };
        let Some((number, unit)) = texts.measure(value) else { return Vec::new() };
        self.readings
            .iter()
            .filter(|(factor, _)| factor.log10().fract() == 0.0)
            .map(|(factor, _)| {
                let text = crate::say::with_unit_slip(number * factor, unit, *factor, number);
                Mend::proposed(format!("write {text}"), value, text)
            })
            .collect()
    }
}

impl Detail for Number {
    fn message(&self, say: Say) -> Message {
        let number = |value: f64| match self.unit {
            Unit::Celsius => say.temperature(value),
            Unit::Minutes => say.time(value),
            Unit::Volumes => say.volumes(value),
        };
        let bound = if self.value > self.high {
            format!("above {}", number(self.high))
        } else {
            format!("below {}", number(self.low))
        };
        Message::new(
            format!("{} of {} is {bound}, further than any ordinary beer goes", self.what, number(self.value)),
            "everything computed from it is off by as much",
            match self.fahrenheit {
                Some(celsius) => format!(
                    "was {:.0} F meant? that is {celsius:.1} C",
                    self.value
                ),
                None => "check the number and its unit".to_owned(),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let at = At::Recipe(self.place);
        let value = texts
            .value(at)
            .or_else(|| texts.clause_value(at, ClauseWord::To))
            .or_else(|| texts.clause_value(at, ClauseWord::Cap))
            .filter(|value| texts.measure(*value).is_some_and(|(_, unit)| unit.contains('C') || unit.contains('c')));
        let (Some(_), Some(value)) = (self.fahrenheit, value) else { return Vec::new() };
        let text = format!("{:.0} F", self.value);
        vec![Mend::proposed(format!("write {text}"), value, text)]
    }
}
