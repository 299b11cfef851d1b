//! A reading that no beer, wort or cellar gives.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("reading-out-of-bounds", Group::Log, Level::Error, Check::Log(check), DOC).root();


const DOC: Doc = Doc {
    catches: "A reading that no beer, wort or cellar gives.",
    matters: "It is a slip of the pen or of the instrument, and everything computed from it is wrong.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        15 at 20 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.42 at 20 C"#,
    limits: "An error beyond what is possible, a warning beyond what is usual.",
    sources: "Common practice, no source: wide spans.",
};

struct OutOfBounds {
    what: &'static str,
    value: f64,
    usual: (f64, f64),
    /// How such a number is said.
    number: fn(Say, f64) -> String,
    impossible: bool,
    place: Place,
    meant: Option<(String, String)>,
}

/// What a reading is of: the possible and the usual span.
struct Span {
    what: &'static str,
    hard: (f64, f64),
    soft: (f64, f64),
}

const GRAVITY: Span = Span { what: "a gravity", hard: (0.985, 1.200), soft: (0.996, 1.140) };
const MASH_PH: Span = Span { what: "a mash pH", hard: (3.0, 9.0), soft: (4.8, 6.2) };
const BEER_PH: Span = Span { what: "a beer pH", hard: (2.8, 5.5), soft: (3.8, 4.8) };
const MASH: Span = Span { what: "a mash temperature", hard: (0.0, 105.0), soft: (35.0, 79.0) };
const STRIKE: Span = Span { what: "strike water", hard: (0.0, 105.0), soft: (35.0, 99.0) };
const PITCH: Span = Span { what: "wort at pitching", hard: (0.0, 45.0), soft: (5.0, 35.0) };
const FERMENT: Span = Span { what: "a fermentation temperature", hard: (-2.0, 45.0), soft: (-1.0, 35.0) };
const PRESSURE: Span = Span { what: "a gauge pressure", hard: (0.0, 10.0), soft: (0.0, 3.0) };
const CARBONATION: Span = Span { what: "a carbonation", hard: (0.0, 7.0), soft: (0.6, 4.6) };
const CASK_CARBONATION: Span = Span { what: "the carbonation of a cask", hard: (0.0, 7.0), soft: (0.6, 2.6) };
const OXYGEN: Span = Span { what: "dissolved oxygen", hard: (0.0, 45.0), soft: (0.0, 20.0) };

fn check(cx: &LogCx, hits: &mut Hits) {
    let sour = cx.plan.is_some_and(|plan| plan.tagged("kettle-sour") || plan.tagged("mixed-culture") || plan.recipe.sour.is_some());
    for entry in &cx.log.entries {
        let mut judge = |span: &Span, value: f64, number: fn(Say, f64) -> String, place: Place, meant: Option<(String, String)>| {
            let outside = |(low, high): (f64, f64)| value < low || value > high;
            if !outside(span.soft) {
                return;
            }
            let impossible = outside(span.hard);
            hits.log(
                if impossible { Grade::ERROR } else { Grade::WARNING },
                place,
                OutOfBounds {
                    what: span.what,
                    value,
                    usual: span.soft,
                    number,
                    impossible,
                    place,
                    meant,
                },
            );
        };
        // Fahrenheit written as Celsius.
        let fahrenheit = |celsius: f64, span: &Span| {
            let meant = (celsius - 32.0) / 1.8;
            (span.soft.0..=span.soft.1)
                .contains(&meant)
                .then(|| (format!("{celsius:.0} F"), format!("{celsius:.0} F are {meant:.1} C")))
        };
        match &entry.event {
            Event::Strike(celsius) => judge(&STRIKE, *celsius, Say::temperature, entry.place, fahrenheit(*celsius, &STRIKE)),
            Event::MashIn(celsius) | Event::Rest(celsius, _) | Event::MashOut(Some(celsius)) => {
                judge(&MASH, *celsius, Say::temperature, entry.place, fahrenheit(*celsius, &MASH));
            }
            Event::Ph { value, of, .. } => {
                let span = if *of == recipe::PhOf::Beer { &BEER_PH } else { &MASH_PH };
                // Sours are what they are.
                if !(sour && *value >= 2.8 && *of != recipe::PhOf::Mash) {
                    judge(span, *value, |_, ph| crate::say::trimmed(ph, 2), entry.place, None);
                }
            }
            Event::Temp(celsius) => judge(&FERMENT, *celsius, Say::temperature, entry.place, fahrenheit(*celsius, &FERMENT)),
            Event::Pitch { temperature: Some(celsius), .. } => {
                judge(&PITCH, *celsius, Say::temperature, entry.place, fahrenheit(*celsius, &PITCH));
            }
            Event::Pressure(bar) => judge(&PRESSURE, *bar, Say::pressure, entry.place, None),
            Event::Package { carbonation: Some(volumes), container, .. } => {
                let span = if *container == Some(recipe::Container::Cask) { &CASK_CARBONATION } else { &CARBONATION };
                judge(span, *volumes, Say::volumes, entry.place, None);
            }
            Event::Oxygen(Some(quant), None)
                if quant.unit.is_some_and(|unit| unit.dimension() == quantity::Dimension::Concentration) =>
            {
                judge(&OXYGEN, quant.value, Say::ppm, entry.place, None);
            }
            Event::FirstRunnings(reading) | Event::LastRunnings(reading) | Event::Og(reading, _) | Event::Gravity(reading) | Event::Fg(reading)
            | Event::PreBoil(_, Some(reading)) | Event::PostBoil(_, Some(reading)) => {
                if let Some(sg) = crate::expected::bound(FigureId::Og, reading.value) {
                    let bare = reading.value.unit.is_none_or(|unit| unit == quantity::UnitId::SG);
                    // A digit slipped, or Plato without its unit.
                    let meant = if bare && sg > 1.2 && (1.0..=33.0).contains(&sg) && sg > 2.0 {
                        let text = format!("{} P", crate::say::trimmed(sg, 1));
                        Some((text.clone(), text))
                    } else {
                        None
                    };
                    judge(&GRAVITY, sg, Say::gravity, reading.place, meant);
                }
            }
            _ => {}
        }
    }
}

impl Detail for OutOfBounds {
    fn message(&self, say: Say) -> Message {
        let number = |value| (self.number)(say, value);
        let verdict = if self.impossible { "is not possible" } else { "is unusual" };
        Message::new(
            format!("{} of {} {verdict}; {} to {} are usual", self.what, number(self.value), number(self.usual.0), number(self.usual.1)),
            "everything computed from it is off",
            match &self.meant {
                Some((_, words)) => format!("was it {words}? correct it, or read again"),
                None => "look it up in the notes, or read again".to_owned(),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let (Some((text, _)), Some(value)) = (&self.meant, texts.value(At::Log(self.place))) else { return Vec::new() };
        vec![Mend::proposed(format!("write {text}"), value, text.clone())]
    }
}
