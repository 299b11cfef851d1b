//! A number of a size that no beer has.

use figures::Ingredient;
use recipe::FactValue;

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("suspicious-magnitude", Group::Units, Level::Error, Check::Recipe(check), DOC).root();

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

/// What a number is compared with.
#[derive(Clone, Copy, PartialEq)]
struct Span {
    what: &'static str,
    low: f64,
    high: f64,
    /// Whether anything above the upper end is already an error.
    hard: bool,
}

const fn usual(what: &'static str, low: f64, high: f64) -> Span {
    Span { what, low, high, hard: false }
}

// By the litre of the batch, g/L.
const FERMENTABLE: Span = usual("fermentables", 0.0, 600.0);
const HOP: Span = usual("hops", 0.05, 30.0);
const FINING: Span = usual("finings", 0.0, 0.3);
const NUTRIENT: Span = usual("nutrient", 0.0, 1.0);
const SPICE: Span = usual("spice", 0.0, 5.0);
const FRUIT: Span = usual("fruit", 0.0, 600.0);
const DRY_YEAST: Span = usual("dry yeast", 0.3, 3.0);
// Three times the limits of the rules about salts and acids.
const SALT: Span = Span { what: "salts", low: 0.005, high: 6.0, hard: true };
const ACID: Span = Span { what: "acid", low: 0.0, high: 4.5, hard: true };
/// Liquid packs for a litre.
const PACKS: Span = usual("packs of yeast", 0.0, 0.2);

struct Amounts {
    name: Box<str>,
    span: Span,
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
    Gravity,
    Ibu,
    Ebc,
    Percent,
}

/// Slips between what is written and what was meant.
const SLIPS: [(f64, &str); 8] = [
    (0.001, "a thousandth: the unit is too large"),
    (1000.0, "a thousand times: the unit is too small"),
    (0.1, "a tenth: the point is one place off"),
    (10.0, "ten times: the point is one place off"),
    (0.01, "a hundredth: the point is two places off"),
    (100.0, "a hundred times: the point is two places off"),
    (1.0 / 28.35, "grams written as ounces"),
    (1.0 / 453.6, "grams written as pounds"),
];

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let batch = cx.recipe.batch.as_ref().map(|batch| batch.value).filter(|litres| *litres > 0.0);
    if let Some(litres) = batch {
        amounts(cx, litres, hits);
    }
    temperatures_and_times(cx, hits);
    figures(cx, hits);
}

fn span_of(thing: &Thing, amount: Ingredient) -> Option<Span> {
    let role = thing.words(Keyword::Role).unwrap_or("").to_lowercase();
    let form = thing.words(Keyword::Form).unwrap_or("").to_lowercase();
    let is = |word: &str| role.contains(word);
    Some(match (thing.kind()?, amount) {
        (BlockKind::Sugar, Ingredient::Mass(_)) if form.contains("fruit") => FRUIT,
        (BlockKind::Malt | BlockKind::Sugar, Ingredient::Mass(_)) => FERMENTABLE,
        (BlockKind::Hop, Ingredient::Mass(_)) => HOP,
        (BlockKind::Yeast, Ingredient::Mass(_)) => DRY_YEAST,
        (BlockKind::Yeast, Ingredient::Count(_)) => PACKS,
        (BlockKind::Addition, Ingredient::Volume(_)) if is("acid") => ACID,
        (BlockKind::Addition, Ingredient::Mass(_)) => {
            if is("salt") {
                SALT
            } else if is("fining") || is("clarif") {
                FINING
            } else if is("nutrient") {
                NUTRIENT
            } else if is("spice") || is("herb") {
                SPICE
            } else {
                return None;
            }
        }
        _ => return None,
    })
}

fn amounts(cx: &RecipeCx, litres: f64, hits: &mut Hits) {
    let weight = cx.figure(FigureId::GristWeight);
    for (place, thing, amount) in cx.calc.ingredients() {
        let Ok(amount) = amount else { continue };
        let Some(span) = span_of(thing, amount) else { continue };
        let by_litre = match amount {
            Ingredient::Mass(kg) => kg * 1000.0 / litres,
            Ingredient::Volume(volume) => volume * 1000.0 / litres,
            Ingredient::Count(count) => count / litres,
            Ingredient::Cells(_) => continue,
        };
        let mut low = span.low;
        if span == FERMENTABLE {
            // Less than five grams, or than a five-hundredth of the grist, does nothing.
            let least = weight.map_or(0.0, |weight| weight * 1000.0 * 0.002).max(5.0);
            low = least / litres;
        }
        let grade = if by_litre > span.high {
            let error = span.hard || by_litre > 3.0 * span.high;
            if error { Grade::ERROR } else { Grade::WARNING }
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
                meant <= 0.5 * span.high && meant >= low.max(0.004 * span.high)
            })
            .take(2)
            .collect();
        let span = Span { low, ..span };
        hits.recipe(grade, place, Amounts { name: thing.name.clone(), span, by_litre, place, readings });
    }
}

fn temperatures_and_times(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let temperature = |hits: &mut Hits, what, place: Place, celsius: f64, low: f64, high: f64| {
        if celsius < low || celsius > high {
            let grade = if !(-5.0..=105.0).contains(&celsius) { Grade::ERROR } else { Grade::WARNING };
            // What a slip of scale would mean.
            let as_celsius = (celsius - 32.0) / 1.8;
            let fahrenheit = (low..=high).contains(&as_celsius).then_some(as_celsius);
            let number = Number { what, value: celsius, unit: Unit::Celsius, low, high, place, fahrenheit };
            hits.recipe(grade, place, number);
        }
    };
    for step in &recipe.mash.steps {
        if let MashStep::Rest { place, temperature: at, .. } = step {
            temperature(hits, "a rest", *place, at.value, 20.0, 100.0);
        }
    }
    for part in &recipe.parts {
        for step in &part.ferment.steps {
            if let Some(at) = &step.temperature {
                temperature(hits, "a fermentation step", step.place, at.value, -4.0, 45.0);
            }
        }
        if let (Some(at), Some(place)) = (&part.pitch.temperature, here(part.pitch.temperature.as_ref()).or(part.pitch.place)) {
            temperature(hits, "pitching", place, at.value, 0.0, 45.0);
        }
        for line in &part.package.lines {
            if let Some(at) = &line.temperature {
                temperature(hits, "the package", line.place, at.value, -4.0, 45.0);
            }
        }
    }
    if let Some(sparge) = &recipe.liquor.sparge
        && let Some(at) = &sparge.temperature
    {
        temperature(hits, "sparge liquor", sparge.place, at.value, 1.0, 100.0);
    }
    if let Some(boil) = &recipe.boil
        && let Some(time) = &boil.time
        && time.value > 180.0
    {
        let grade = if time.value > 540.0 { Grade::ERROR } else { Grade::WARNING };
        hits.recipe(
            grade,
            boil.place,
            Number {
                what: "the boil",
                value: time.value,
                unit: Unit::Minutes,
                low: 0.0,
                high: 180.0,
                place: boil.place,
                fahrenheit: None,
            },
        );
    }
}

fn here<T>(given: Option<&Given<T>>) -> Option<Place> {
    match given?.origin {
        Origin::Here(place) => Some(place),
        Origin::Library(..) => None,
    }
}

fn figures(cx: &RecipeCx, hits: &mut Hits) {
    // A figure is only worth a word when no single line has been named.
    if !hits.is_empty() || cx.recipe.grist.is_empty() {
        return;
    }
    let place = cx.recipe.grist_place.unwrap_or(cx.recipe.name_place);
    let roasted = cx.recipe.grist.iter().any(|line| {
        line.thing.number(Keyword::Colour).is_some_and(|colour| colour.value.value >= 500.0)
            || matches!(line.thing.fact(Keyword::Form).map(|fact| &fact.value), Some(FactValue::Words(form)) if form.contains("roast"))
    });
    let colour = if roasted { f64::INFINITY } else { 200.0 };
    let spans = [
        (FigureId::Og, "original gravity", Unit::Gravity, 1.020, 1.140),
        (FigureId::Fg, "final gravity", Unit::Gravity, 0.996, 1.060),
        (FigureId::Ibu, "bitterness", Unit::Ibu, 0.0, 120.0),
        (FigureId::Colour, "colour", Unit::Ebc, 0.0, colour),
        (FigureId::BrewhouseEfficiency, "brewhouse efficiency", Unit::Percent, 0.0, 95.0),
    ];
    // A grist for another size of brew is a finding of its own.
    let by_litre = cx.figure(FigureId::GristWeight).zip(cx.recipe.batch.as_ref()).map(|(kg, batch)| kg / batch.value);
    let scaled = by_litre.is_some_and(|by_litre| !(0.10..=0.60).contains(&by_litre));
    let mashed = crate::look::mashes(cx.recipe);
    for (figure, what, unit, low, high) in spans {
        if (figure == FigureId::BrewhouseEfficiency && !mashed) || (unit == Unit::Gravity && scaled) {
            continue;
        }
        if let Some(value) = cx.figure(figure)
            && (value < low || value > high)
        {
            let far = unit == Unit::Gravity && value - 1.0 > 3.0 * (high - 1.0) || unit != Unit::Gravity && value > 3.0 * high;
            let grade = if far { Grade::ERROR } else { Grade::WARNING };
            hits.recipe(grade, place, Number { what, value, unit, low, high, place, fahrenheit: None });
            return;
        }
    }
}

impl Detail for Amounts {
    fn message(&self, say: Say) -> Message {
        let unit = match self.span {
            PACKS => "packs/L",
            ACID => "mL/L",
            _ => "g/L",
        };
        let number = |value: f64| crate::say::significant(value, 2);
        let relation = if self.by_litre > self.span.high {
            format!("more than {} {unit} is unheard of", number(self.span.high))
        } else {
            format!("less than {} {unit} does nothing", number(self.span.low))
        };
        let _ = say;
        Message::new(
            format!("{} comes to {} {unit} of the batch; of {} {relation}", self.name, number(self.by_litre), self.span.what),
            "every figure that it enters is off by as much",
            match self.readings.first() {
                Some((_, words)) => format!("was it {words}? correct the amount, or the batch volume"),
                None => "check the amount and its unit, and the batch volume".into(),
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
            Unit::Gravity => say.gravity(value),
            Unit::Ibu => say.ibu(value),
            Unit::Ebc => format!("{value:.0} EBC"),
            Unit::Percent => say.percent(value),
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
                None if matches!(self.unit, Unit::Celsius | Unit::Minutes) => "check the number and its unit".into(),
                None => "check amounts, units and the batch volume".to_owned(),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let (Some(_), Some(value)) = (self.fahrenheit, texts.value(At::Recipe(self.place))) else { return Vec::new() };
        let text = format!("{:.0} F", self.value);
        vec![Mend::proposed(format!("write {text}"), value, text)]
    }
}
