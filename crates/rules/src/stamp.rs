//! Stamps: computed values at the ends of lines, `#= og 1.044, ibu 31`. What their values mean, and whether
//! they still agree. A stamp is never read as input.

use figures::{Calc, FigureId, LineFigure, LineValue, Show, ShownUnits};
use quantity::display::agrees;
use quantity::{Customary, Places, format_places, scan_unit};
use recipe::Recipe;
use syntax::Span;
use syntax::ast::Line;

/// What begins a stamp.
pub const MARK: &str = "#=";

/// The word before the fingerprint that a log pins.
pub const PIN: &str = "recipe";

/// One value of a stamp: the words before it, its number and its unit, as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stamped<'a> {
    /// The whole value, blanks around it left out.
    pub text: &'a str,
    /// The figure's words; empty where the unit alone says what it is.
    pub words: &'a str,
    /// The number; empty where there is none.
    pub number: &'a str,
    /// The unit; empty where there is none.
    pub unit: &'a str,
    /// Number and unit, from the start of the stamp.
    pub span: Span,
}

/// The values of a stamp, in order; what is no value is among them without a number.
#[must_use]
pub fn read(stamp: &str) -> Vec<Stamped<'_>> {
    let Some(list) = stamp.strip_prefix(MARK) else { return Vec::new() };
    let mut values = Vec::new();
    let mut at = stamp.len() - list.len();
    for part in list.split(',') {
        let start = at + (part.len() - part.trim_start().len());
        at += part.len() + 1;
        let text = part.trim();
        if text.is_empty() {
            continue;
        }
        // The first digit that begins a word begins the number.
        let mut before = ' ';
        let first = text
            .char_indices()
            .find(|(_, c)| {
                let blank = before.is_whitespace();
                before = *c;
                blank && (c.is_ascii_digit() || *c == '-')
            })
            .map_or(text.len(), |(at, _)| at);
        let (words, rest) = text.split_at(first);
        let end = rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-'))).unwrap_or(rest.len());
        let (number, unit) = rest.split_at(end);
        let is_number = number.parse::<f64>().is_ok_and(f64::is_finite);
        let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        values.push(Stamped {
            text,
            words: if is_number { words.trim() } else { text },
            number: if is_number { number } else { "" },
            unit: if is_number { unit.trim() } else { "" },
            span: Span::new(place(start + first), place(start + text.len())),
        });
    }
    values
}

/// What a value of a stamp is compared with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meaning {
    /// The figure.
    pub figure: Meant,
    /// Its value, in the unit of `show`.
    pub value: f64,
    /// How it is shown.
    pub show: Show,
}

/// A figure that a stamp may show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meant {
    /// Of the recipe, or of its part.
    Recipe(FigureId),
    /// Of the stamped line.
    Line(LineFigure),
}

impl Stamped<'_> {
    /// The figures it may mean on a line of a recipe: one that it names, or those of the line in its unit.
    #[must_use]
    pub fn meanings(&self, calc: &Calc<'_>, of_line: &[&LineValue]) -> Vec<Meaning> {
        let lines = of_line.iter().map(|line| Meaning {
            figure: Meant::Line(line.figure),
            value: line.value,
            show: line.show,
        });
        if self.number.is_empty() {
            return Vec::new();
        }
        if self.words.is_empty() {
            let fits = |one: &Meaning| {
                number_in(one.show, one.value, self.unit, ShownUnits::Metric, None).is_some()
                    && !self.unit.is_empty()
            };
            return lines.filter(fits).collect();
        }
        if let Some(figure) = LineFigure::from_words(self.words) {
            let found: Vec<Meaning> = lines.filter(|one| one.figure == Meant::Line(figure)).collect();
            if !found.is_empty() {
                return found;
            }
        }
        let Some(id) = FigureId::from_words(self.words) else { return Vec::new() };
        let value = calc.value(id).ok();
        value.map(|value| Meaning { figure: Meant::Recipe(id), value, show: id.show() }).into_iter().collect()
    }

    /// Number and unit as they should stand now, in the unit written; `None` where they agree, or where the
    /// unit is none of the figure's.
    #[must_use]
    pub fn now(&self, meaning: &Meaning, units: ShownUnits, customary: Option<Customary>) -> Option<String> {
        let Meaning { value, show, .. } = *meaning;
        let written: f64 = self.number.parse().ok()?;
        let value_there = number_in(show, value, self.unit, units, customary)?;
        let digits = self.number.split_once('.').map_or(0, |(_, behind)| behind.len());
        let digits = u8::try_from(digits).ok()?;
        let displayed = show.number_in(value, units);
        let as_displayed = self.unit.is_empty() || self.unit == shown_unit(show, value, units);
        let same = |text: &str| text.parse::<f64>() == Ok(written);
        let is_current = agrees(written, digits, value_there)
            || same(&format!("{value_there:.*}", usize::from(digits)))
            || (as_displayed && same(&displayed));
        if is_current {
            return None;
        }
        let number =
            if as_displayed { displayed } else { format_places(value_there, Places::Decimals(digits)) };
        Some(if self.unit.is_empty() { number } else { format!("{number} {}", self.unit) })
    }
}

/// The unit behind a value as it is shown.
fn shown_unit(show: Show, value: f64, units: ShownUnits) -> String {
    let shown = show.shown(value, units);
    shown.split_once(' ').map_or_else(String::new, |(_, unit)| unit.to_owned())
}

/// A value in a unit as written; in the reader's own where none is.
fn number_in(
    show: Show,
    value: f64,
    unit: &str,
    units: ShownUnits,
    customary: Option<Customary>,
) -> Option<f64> {
    let own;
    let unit = if unit.is_empty() {
        own = shown_unit(show, value, units);
        &*own
    } else {
        unit
    };
    if unit.is_empty() || unit == show.unit() {
        return Some(show.scaled(value));
    }
    let found = scan_unit(unit).filter(|found| found.len == unit.len())?;
    let customary = match units {
        ShownUnits::Metric => customary.unwrap_or(Customary::Us),
        ShownUnits::Us => Customary::Us,
        ShownUnits::Imperial => Customary::Imperial,
    };
    show.in_unit(value, found.unit.ok()?.resolve(customary))
}

/// The figures of a stamped line.
#[must_use]
pub fn figures_of<'l>(lines: &'l [LineValue], block: u16, line: &Line) -> Vec<&'l LineValue> {
    lines
        .iter()
        .filter(|figure| {
            figure.place.block == block
                && line.span.start <= figure.place.span.start
                && figure.place.span.start < line.end
        })
        .collect()
}

/// The part of a split recipe that a block belongs to: that of the last `split` above it.
#[must_use]
pub fn part_of(recipe: &Recipe, block: usize) -> usize {
    let labelled = |part: &recipe::Part| part.label.as_ref().map(|(_, place)| usize::from(place.block));
    let above = |at: &usize| recipe.parts.get(*at).and_then(labelled).is_some_and(|header| header <= block);
    (0..recipe.parts.len()).take_while(above).count().saturating_sub(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_read() {
        for (stamp, want) in [
            ("#= 24 IBU", &[("", "24", "IBU")][..]),
            ("#= og 1.050, 20 L", &[("og", "1.050", ""), ("", "20", "L")]),
            (
                "#=pre-boil gravity 1.044,  mash alkalinity -20 ppm as CaCO3",
                &[("pre-boil gravity", "1.044", ""), ("mash alkalinity", "-20", "ppm as CaCO3")],
            ),
            ("#= residual co2 0.9 vol", &[("residual co2", "0.9", "vol")]),
            ("#= recipe 7c1e09f2", &[("recipe", "7", "c1e09f2")]),
            ("#= two lines, -", &[("two lines", "", ""), ("-", "", "")]),
            ("#= ", &[]),
            ("# 24 IBU", &[]),
        ] {
            let found = read(stamp);
            let found: Vec<_> = found.iter().map(|one| (one.words, one.number, one.unit)).collect();
            assert_eq!(found, want, "{stamp}");
        }
    }

    #[test]
    fn the_place_of_a_value_is_its_number_and_unit() {
        let stamp = "#= og 1.050,  ibu 31 , x";
        let found: Vec<&str> = read(stamp).iter().map(|one| one.span.of(stamp)).collect();
        assert_eq!(found, ["1.050", "31", ""]);
    }

    #[test]
    fn agreement_goes_by_the_digits_shown() {
        for (text, show, value, want) in [
            ("#= og 1.050", Show::Gravity, 1.0504, None),
            ("#= og 1.05", Show::Gravity, 1.0504, None),
            ("#= og 1.050", Show::Gravity, 1.0508, Some("1.051")),
            ("#= og 12.5 P", Show::Gravity, 1.0505, None),
            ("#= og 12.5 P", Show::Gravity, 1.0600, Some("14.7 P")),
            ("#= 24 IBU", Show::Ibu, 24.4, None),
            ("#= 24 IBU", Show::Ibu, 9.44, Some("9.4 IBU")),
            ("#= ibu 24", Show::Ibu, 31.2, Some("31")),
            ("#= colour 20 EBC", Show::Colour, 30.0, Some("30 EBC")),
            ("#= colour 10 SRM", Show::Colour, 19.7, None),
            ("#= colour 10 SRM", Show::Colour, 39.4, Some("20 SRM")),
            ("#= strike temperature 160 F", Show::Temperature, 71.2, None),
            ("#= strike temperature 160 F", Show::Temperature, 70.0, Some("158 F")),
            ("#= 117 g", Show::Grams, 4.0, Some("4 g")),
            ("#= 20 kg", Show::Ibu, 24.0, None),
        ] {
            let values = read(text);
            let meaning = Meaning { figure: Meant::Recipe(FigureId::Og), value, show };
            assert_eq!(values[0].now(&meaning, ShownUnits::Metric, None).as_deref(), want, "{text}");
        }
    }

    #[test]
    fn customary_stamps_agree_with_their_own_gallon() {
        for (units, customary, text, want) in [
            (ShownUnits::Us, None, "#= batch volume 5.3 gal", None),
            (ShownUnits::Imperial, None, "#= batch volume 5.3 gal", Some("4.4 gal")),
            (ShownUnits::Imperial, None, "#= batch volume 4.4 gal", None),
            (ShownUnits::Metric, Some(Customary::Imperial), "#= batch volume 4.4 gal", None),
            (ShownUnits::Us, None, "#= batch volume 20 L", None),
            (ShownUnits::Us, None, "#= batch volume 5.3", None),
        ] {
            let values = read(text);
            let meaning =
                Meaning { figure: Meant::Recipe(FigureId::BatchVolume), value: 20.0, show: Show::Volume };
            assert_eq!(values[0].now(&meaning, units, customary).as_deref(), want, "{text} {units:?}");
        }
    }
}
