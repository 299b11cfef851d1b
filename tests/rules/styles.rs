//! Styles: each range is judged by its own figure alone, and a beer inside all of them is told nothing.

use std::fmt::Write as _;
use std::sync::Arc;

use figures::{Calc, FigureId, Settings};
use gyle_tests::current;
use recipe::{Place, Scope, Thing};
use rules::{STYLE_FIGURES, Severity, StyleRange};
use syntax::Span;
use syntax::vocabulary::BlockKind;

use crate::bench::Bench;

/// `style-near`.
const NEAR: f64 = 0.15;

/// Every built-in style, as a recipe names it.
fn styles() -> Vec<Thing> {
    let scope = Scope::new(std::iter::empty());
    catalogue::names(catalogue::Kind::Style)
        .filter(|name| !name.alias)
        .filter_map(|name| {
            let definition = scope.find(BlockKind::Style, name.written)?.definition;
            Some(Thing {
                name: name.written.into(),
                place: Place { block: 0, span: Span::at(0) },
                definition: Some(Arc::clone(&definition)),
                loose: false,
                own: Vec::new(),
                flags: Vec::new(),
                substitutes: Vec::new(),
            })
        })
        .collect()
}

/// The last digit that a figure is shown with.
fn step(figure: FigureId) -> f64 {
    match figure {
        FigureId::Og | FigureId::Fg => 0.001,
        FigureId::Abv => 0.1,
        _ => 1.0,
    }
}

/// Figures that are sure, at the middle of their ranges but for one that is a digit beyond an end: that one is
/// found, and no other.
#[test]
fn each_figure_is_judged_by_its_own_range() {
    let mut judged = 0;
    for style in styles() {
        let ranges: Vec<(FigureId, StyleRange)> = STYLE_FIGURES
            .into_iter()
            .filter_map(|(figure, key)| Some((figure, StyleRange::of(&style, figure, key)?)))
            .collect();
        let found = |stub: Option<(FigureId, f64)>| -> Vec<FigureId> {
            ranges
                .iter()
                .filter(|(figure, range)| {
                    let middle = f64::midpoint(range.low, range.high);
                    let value = stub.filter(|(other, _)| other == figure).map_or(middle, |(_, value)| value);
                    range.grade(value, || 0.0, NEAR).is_some()
                })
                .map(|(figure, _)| *figure)
                .collect()
        };
        assert_eq!(found(None), [], "{}", style.name);
        for (figure, range) in &ranges {
            let step = step(*figure);
            for (value, outside) in [
                (range.low, false),
                (range.high, false),
                (range.low - step, true),
                (range.high + step, !range.open),
            ] {
                let wanted: &[FigureId] = if outside { &[*figure] } else { &[] };
                assert_eq!(found(Some((*figure, value))), wanted, "{} {figure:?} {value}", style.name);
                judged += 1;
            }
            // Near is a hint, far a warning.
            let width = range.high - range.low;
            let grade = |value| range.grade(value, || 0.0, NEAR).and_then(rules::Grade::severity);
            assert_eq!(
                grade(range.low - 0.14 * width),
                (width > 0.0).then_some(Severity::Hint),
                "{}",
                style.name
            );
            assert_eq!(grade(range.low - 0.16 * width - 1e-6), Some(Severity::Warning), "{}", style.name);
        }
    }
    assert!(judged > 1500, "{judged}");
}

/// What the solver is asked for.
#[derive(Clone, Copy)]
struct Wanted {
    og: f64,
    fg: f64,
    ibu: f64,
    base: &'static str,
    dark: &'static str,
    share: f64,
    acid: bool,
}

fn text(style: &str, wanted: Wanted) -> String {
    let Wanted { og, fg, ibu, base, dark, share, acid } = wanted;
    let attenuation = ((og - fg) / (og - 1.0) * 100.0).clamp(30.0, 95.0);
    let plato = (og - 1.0) * 250.0;
    let cells = 16.0 * plato * if og > 1.07 { 1.25 } else { 1.0 };
    let oxygen = if og > 1.065 { 12 } else { 8 };
    let grist = if share > 0.05 {
        format!("  {:.2} %    {base}\n  {share:.2} %    {dark}\n", 100.0 - share)
    } else {
        format!("  100 %    {base}\n")
    };
    let acid = if acid { "  add  lactic acid [88 %] to mash to reach ph 5.45\n" } else { "" };
    let hops =
        if ibu >= 1.0 { format!("  Magnum [12 %] at 60 min to reach {ibu:.1} IBU\n") } else { String::new() };
    format!(
        "recipe \"Solved\"\n  style \"{style}\"\n  batch 20 L\n\ngrist to reach {og:.4}\n{grist}\nliquor\n  source reverse \
         osmosis water\n  add 5 g calcium chloride dihydrate to all\n{acid}\nmash\n  rest 66 C for 60 min\n\nboil 90 min\n{hops}\n\
         pitch\n  {cells:.0} billion cells  clean ale yeast [{attenuation:.1} %]\n  at 18 C\n  oxygen {oxygen} ppm\n\n\
         ferment\n  hold 19 C for 14 d\n\npackage\n  keg 2.4 vol at 6 C\n"
    )
}

/// What is found in the beer, and two of its figures.
fn brewed(style: &str, wanted: Wanted) -> (Vec<(&'static str, Severity)>, Option<f64>, Option<f64>) {
    let bench = Bench::new(&text(style, wanted), "");
    let recipe = bench.recipe();
    let settings = Settings::default();
    let calc = Calc::new(&recipe, &settings);
    let found = bench.findings().into_iter().filter(|one| one.rule != "name-file-mismatch");
    (
        found.map(|one| (one.rule, one.severity)).collect(),
        calc.value(FigureId::Colour).ok(),
        calc.value(FigureId::MashPh).ok(),
    )
}

/// A beer made for the style, and what is still said of it.
fn solved(style: &str, range: impl Fn(FigureId) -> Option<StyleRange>) -> Vec<(&'static str, Severity)> {
    let part = |figure: FigureId, share: f64| range(figure).map(|one| one.low + share * (one.high - one.low));
    if range(FigureId::Og).is_none() || range(FigureId::Fg).is_none() {
        return Vec::new();
    }
    let colour = range(FigureId::Colour)
        .map_or(10.0, |one| if one.open { one.low + 15.0 } else { f64::midpoint(one.low, one.high) });
    let base = if colour < 14.0 { "pilsner malt" } else { "pale ale malt" };
    let mut best: Option<Vec<(&'static str, Severity)>> = None;
    for dark in DARK {
        let found = solved_with(style, base, dark, colour, &part);
        if best.as_ref().is_none_or(|best| found.len() < best.len()) {
            best = Some(found);
        }
        if best.as_ref().is_some_and(Vec::is_empty) {
            break;
        }
    }
    best.unwrap_or_default()
}

/// What gives the colour, the palest first.
const DARK: [&str; 4] = ["caramel 60 malt", "extra dark crystal malt", "chocolate malt", "black malt"];

fn solved_with(
    style: &str,
    base: &'static str,
    dark: &'static str,
    colour: f64,
    part: &dyn Fn(FigureId, f64) -> Option<f64>,
) -> Vec<(&'static str, Severity)> {
    let (Some(og), Some(fg)) = (part(FigureId::Og, 0.5), part(FigureId::Fg, 0.5)) else { return Vec::new() };
    let mut wanted =
        Wanted { og, fg, ibu: part(FigureId::Ibu, 0.5).unwrap_or(20.0), base, dark, share: 0.0, acid: false };
    // The share of the darker malt that gives the colour, by halving.
    let (mut low, mut high) = (0.0, 16.0);
    for _ in 0..7 {
        wanted.share = f64::midpoint(low, high);
        match brewed(style, wanted).1 {
            Some(made) if made < colour => low = wanted.share,
            _ => high = wanted.share,
        }
    }
    // A pinch does nothing.
    if wanted.share < 1.0 {
        wanted.share = 0.0;
    }
    wanted.acid = brewed(style, wanted).2.is_some_and(|ph| ph > 5.5);
    // Gravities within their ranges whose alcohol fits best.
    let mut best: Option<Vec<(&'static str, Severity)>> = None;
    for (a, b) in [
        (0.5, 0.5),
        (0.5, 0.15),
        (0.85, 0.5),
        (0.15, 0.5),
        (0.15, 0.85),
        (0.85, 0.15),
        (0.85, 0.85),
        (0.15, 0.15),
    ] {
        (wanted.og, wanted.fg) = (part(FigureId::Og, a).unwrap_or(og), part(FigureId::Fg, b).unwrap_or(fg));
        let (found, ..) = brewed(style, wanted);
        if best.as_ref().is_none_or(|best| found.len() < best.len()) {
            best = Some(found);
        }
        if best.as_ref().is_some_and(Vec::is_empty) {
            break;
        }
    }
    best.unwrap_or_default()
}

#[test]
fn a_beer_solved_for_a_style_is_told_nothing() {
    let mut silent = 0;
    let mut nearest = String::new();
    let mut all = 0;
    for style in styles() {
        let range = |figure: FigureId| {
            let (_, key) = STYLE_FIGURES.into_iter().find(|(known, _)| *known == figure)?;
            StyleRange::of(&style, figure, key)
        };
        if STYLE_FIGURES.into_iter().any(|(figure, _)| range(figure).is_none()) {
            continue;
        }
        all += 1;
        let found = solved(&style.name, range);
        if found.is_empty() {
            silent += 1;
        } else {
            let said: Vec<String> =
                found.iter().map(|(rule, severity)| format!("{} {rule}", severity.word())).collect();
            writeln!(nearest, "{}: {}", style.name, said.join(", ")).unwrap();
        }
    }
    let table = format!(
        "# Beers solved for a style by a grist of one pale malt and one darker: silent, or the nearest that was found and what is said of it.\n\n\
         {silent} of {all} are silent\n\n{nearest}"
    );
    current("tests/rules/styles.txt", &table, "rules");
}
