//! Writes computed values at the ends of lines, brings them up to date, and takes them away.
//!
//! What all parts of a split recipe share stands in its header, the rest in the header of each part. A pin is
//! never changed: it says from which recipe a gyle was brewed, not which one there is now.

use figures::{Calc, FigureId, LineFigure, LineValue, Settings, Show, ShownUnits};
use recipe::{Log, Recipe};
use rules::stamp::{MARK, Meant, PIN, Stamped, figures_of, part_of, read};
use syntax::ast::{Block, Body, Line};
use syntax::{Edit, Span};

/// What is stamped.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stamps {
    /// In the header of a recipe.
    pub figures: Vec<FigureId>,
    /// On the lines that have them.
    pub lines: Vec<LineFigure>,
    /// In the header of a log: the fingerprint of its recipe.
    pub pin: bool,
}

impl Stamps {
    fn have(&self, figure: Meant) -> bool {
        match figure {
            Meant::Recipe(id) => self.figures.contains(&id),
            Meant::Line(figure) => self.lines.contains(&figure),
        }
    }
}

/// What is done with stamps.
#[derive(Clone, Debug, PartialEq)]
pub enum Stamping {
    /// Brings those there are up to date.
    Refresh,
    /// Writes these where they are not yet, and brings them up to date where they are.
    Write(Stamps),
    /// Takes these away.
    Remove(Stamps),
    /// Takes all away.
    RemoveAll,
}

/// The edits that stamp a recipe, in the order of the text, one a line. `starts` are the starts of its blocks
/// in the file.
#[must_use]
pub fn stamp_recipe(recipe: &Recipe, starts: &[u32], settings: &Settings, stamping: &Stamping) -> Vec<Edit> {
    let units = settings.units_for(Some(recipe));
    let parts: Vec<(Calc<'_>, Vec<LineValue>)> = (0..recipe.parts.len().max(1))
        .map(|part| {
            let calc = Calc::of_part(recipe, settings, part);
            let lines = calc.lines();
            (calc, lines)
        })
        .collect();
    let mut edits = Vec::new();
    for (at, (block, start)) in recipe.blocks.iter().zip(starts).enumerate() {
        let part = part_of(recipe, at);
        let (Some((calc, lines)), Ok(index)) = (parts.get(part), u16::try_from(at)) else { continue };
        for line in block.lines.iter().filter(|line| can_be_stamped(block, line)) {
            let of_line = figures_of(lines, index, line);
            let known = |value: &Stamped<'_>| {
                let meanings = value.meanings(calc, &of_line);
                let now = |one: &_| value.now(one, units, recipe.customary);
                let meaning = meanings.iter().find(|one| now(one).is_none()).or(meanings.first())?;
                Some((meaning.figure, now(meaning)))
            };
            let mut wanted = Vec::new();
            if let Stamping::Write(stamps) = stamping {
                let of_line = of_line.iter().filter(|one| stamps.lines.contains(&one.figure));
                wanted.extend(of_line.map(|one| {
                    let text = on_line(one.figure, one.value, one.show, units);
                    (Meant::Line(one.figure), text)
                }));
                if matches!(line.body, Body::Header(_)) {
                    let here = stamps.figures.iter().filter(|id| header_of(recipe, &parts, **id, part) == at);
                    wanted.extend(here.filter_map(|id| {
                        let text = in_header(*id, calc.value(*id).ok()?, units);
                        Some((Meant::Recipe(*id), text))
                    }));
                }
            }
            edits.extend(stamped(block, line, *start, &known, wanted, stamping));
        }
    }
    edits
}

/// The edits that stamp a log: its header carries the fingerprint of the recipe brewed.
#[must_use]
pub fn stamp_log(log: &Log, starts: &[u32], stamping: &Stamping) -> Vec<Edit> {
    let mut edits = Vec::new();
    for (at, (block, start)) in log.blocks.iter().zip(starts).enumerate() {
        for line in block.lines.iter().filter(|line| can_be_stamped(block, line)) {
            let is_header = at == 0 && matches!(line.body, Body::Header(_));
            let Some(old) = line.stamp.map(|span| block.slice(span)).or(is_header.then_some("")) else {
                continue;
            };
            let is_pin = |text: &str| {
                let first = text.split_whitespace().next();
                is_header && first.is_some_and(|word| word.eq_ignore_ascii_case(PIN))
            };
            let mut list: Vec<String> = read(old).iter().map(|value| value.text.to_owned()).collect();
            match stamping {
                Stamping::Refresh => continue,
                Stamping::RemoveAll => list.clear(),
                Stamping::Remove(stamps) if stamps.pin => list.retain(|text| !is_pin(text)),
                Stamping::Write(stamps) if stamps.pin && is_header && log.pinned.is_none() => {
                    let Some(recipe) = &log.recipe else { continue };
                    // What looks like a pin and is none.
                    list.retain(|text| !is_pin(text));
                    list.insert(0, format!("{PIN} {}", recipe::fingerprint(recipe)));
                }
                Stamping::Remove(_) | Stamping::Write(_) => continue,
            }
            edits.extend(edit(block, line, *start, &list));
        }
    }
    edits
}

/// The block in whose header a figure of a part stands.
fn header_of(recipe: &Recipe, parts: &[(Calc<'_>, Vec<LineValue>)], id: FigureId, part: usize) -> usize {
    let shown = |(calc, _): &(Calc<'_>, _)| calc.value(id).ok().map(|value| id.show().number(value));
    let shared = parts.iter().all(|other| parts.first().map(shown) == Some(shown(other)));
    let label = recipe.parts.get(part).and_then(|part| part.label.as_ref());
    label.filter(|_| !shared).map_or(0, |(_, place)| usize::from(place.block))
}

/// A figure of a recipe in a stamp: its words before its value.
fn in_header(id: FigureId, value: f64, units: ShownUnits) -> String {
    let shown = id.show().shown(value, units);
    let words = id.words();
    match shown.split_once(' ') {
        Some((number, unit)) if unit.eq_ignore_ascii_case(&words) => format!("{words} {number}"),
        _ => format!("{words} {shown}"),
    }
}

/// A figure of a line in a stamp: `24 IBU`, since the unit says what it is; others have their words.
fn on_line(figure: LineFigure, value: f64, show: Show, units: ShownUnits) -> String {
    let shown = show.shown(value, units);
    if figure == LineFigure::Ibu { shown } else { format!("{} {shown}", figure.words()) }
}

/// Lines that are wrong stay as they are.
fn can_be_stamped(block: &Block, line: &Line) -> bool {
    let faulty = || {
        block.faults.iter().any(|fault| {
            fault.rule != "missing-indent"
                && line.span.start <= fault.span.start
                && fault.span.start < line.end.max(line.span.start + 1)
        })
    };
    matches!(line.body, Body::Header(_) | Body::Entry(_)) && !faulty()
}

/// What a value of a stamp means, and how it should stand now; `None` inside where it agrees.
type Known<'k> = dyn Fn(&Stamped<'_>) -> Option<(Meant, Option<String>)> + 'k;

fn stamped(
    block: &Block,
    line: &Line,
    start: u32,
    known: &Known<'_>,
    wanted: Vec<(Meant, String)>,
    stamping: &Stamping,
) -> Option<Edit> {
    let old = line.stamp.map_or("", |span| block.slice(span));
    let mut list: Vec<String> = Vec::new();
    let mut there: Vec<Meant> = Vec::new();
    for value in read(old) {
        let Some((figure, now)) = known(&value) else {
            if *stamping != Stamping::RemoveAll {
                list.push(value.text.to_owned());
            }
            continue;
        };
        let fresh = match stamping {
            Stamping::RemoveAll => continue,
            Stamping::Remove(stamps) if stamps.have(figure) => continue,
            Stamping::Remove(_) => None,
            Stamping::Write(stamps) => now.filter(|_| stamps.have(figure)),
            Stamping::Refresh => now,
        };
        there.push(figure);
        list.push(match fresh {
            Some(now) if value.words.is_empty() => now,
            Some(now) => format!("{} {now}", value.words),
            None => value.text.to_owned(),
        });
    }
    list.extend(wanted.into_iter().filter(|(figure, _)| !there.contains(figure)).map(|(_, text)| text));
    edit(block, line, start, &list)
}

/// The edit that leaves a line with these values in its stamp; `None` where they stand there already.
fn edit(block: &Block, line: &Line, start: u32, list: &[String]) -> Option<Edit> {
    let old: Vec<&str> = line
        .stamp
        .map(|span| read(block.slice(span)))
        .unwrap_or_default()
        .iter()
        .map(|one| one.text)
        .collect();
    let same = old.len() == list.len() && old.iter().zip(list).all(|(old, new)| *old == new);
    if same && (line.stamp.is_none() || !list.is_empty()) {
        return None;
    }
    let written = block.slice(line.span);
    let before = line.stamp.map_or(written, |stamp| {
        let length = (stamp.start - line.span.start) as usize;
        written.get(..length).unwrap_or(written)
    });
    let kept = u32::try_from(before.trim_end().len()).ok()?;
    let text = if list.is_empty() { String::new() } else { format!("  {MARK} {}", list.join(", ")) };
    let span = Span::new(line.span.start + kept, line.span.end).shift(start);
    Some(Edit { span, text })
}
