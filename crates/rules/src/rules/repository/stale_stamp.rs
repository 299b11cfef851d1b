//! A stamp (`#= …`) that no longer agrees with the figure it shows.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("stale-stamp", Group::Repository, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe]);


const DOC: Doc = Doc {
    catches: "A stamp (`#= …`) that no longer agrees with the figure it shows.",
    matters: "A printout or a web page shows the stamp, not the figure.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min  #= 31 IBU"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min  #= 23 IBU"#,
    limits: "A stamp agrees when the figure, rounded to the digits the stamp shows, is the same number. A stamp \
              that names no figure is compared with the figures of its line.",
    sources: "The recipe itself.",
};

struct Stale {
    written: String,
    now: String,
    unit: String,
    place: Place,
}

/// One value of a stamp: the words before it, its number with the digits shown, its unit.
struct Stamped<'a> {
    words: &'a str,
    number: f64,
    digits: usize,
    unit: &'a str,
    /// The number, from the start of the stamp.
    span: syntax::Span,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let mut lines: Option<Vec<figures::LineValue>> = None;
    for (at, block) in cx.recipe.blocks.iter().enumerate() {
        for line in &block.lines {
            let Some(stamp) = line.stamp else { continue };
            let Ok(index) = u16::try_from(at) else { return };
            let of_lines = lines.get_or_insert_with(|| cx.calc.lines());
            for value in read(stamp.of(&block.text)) {
                let candidates: Vec<f64> = if value.words.is_empty() {
                    of_lines
                        .iter()
                        .filter(|figure| {
                            figure.place.block == index
                                && line.span.touches(figure.place.span.start)
                                && figure.show.unit() == value.unit
                        })
                        .map(|figure| figure.value)
                        .collect()
                } else {
                    FigureId::from_words(value.words).and_then(|id| cx.figure(id)).into_iter().collect()
                };
                let shown = |figure: f64| format!("{figure:.*}", value.digits);
                let written = format!("{:.*}", value.digits, value.number);
                let Some(now) = candidates.first().map(|figure| shown(*figure)) else { continue };
                if candidates.iter().all(|figure| shown(*figure) != written) {
                    let place = Place { block: index, span: value.span.shift(stamp.start) };
                    hits.recipe(Grade::WARNING, place, Stale { written, now, unit: value.unit.to_owned(), place });
                }
            }
        }
    }
}

/// The values of a stamp.
fn read(stamp: &str) -> Vec<Stamped<'_>> {
    let Some(list) = stamp.strip_prefix("#=") else { return Vec::new() };
    let mut values = Vec::new();
    let mut at = stamp.len() - list.len();
    for part in list.split(',') {
        let start = at;
        at += part.len() + 1;
        let trimmed = part.trim();
        // The first digit that begins a word begins the number.
        let digit = trimmed.char_indices().find(|(at, c)| {
            let before = trimmed.get(..*at).and_then(|text| text.chars().next_back());
            (c.is_ascii_digit() || *c == '-') && before.is_none_or(char::is_whitespace)
        });
        let Some((first, _)) = digit else { continue };
        let Some(rest) = trimmed.get(first..) else { continue };
        let end = rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-'))).unwrap_or(rest.len());
        let (number, unit) = rest.split_at(end);
        let Ok(parsed) = number.parse::<f64>() else { continue };
        let offset = start + (part.len() - part.trim_start().len()) + first;
        let (Ok(from), Ok(to)) = (u32::try_from(offset), u32::try_from(offset + number.len())) else { continue };
        values.push(Stamped {
            words: trimmed.get(..first).unwrap_or("").trim(),
            number: parsed,
            digits: number.split_once('.').map_or(0, |(_, behind)| behind.len()),
            unit: unit.trim(),
            span: syntax::Span::new(from, to),
        });
    }
    values
}

impl Stale {
    fn with_unit(&self, number: &str) -> String {
        format!("{number} {}", self.unit).trim_end().to_owned()
    }
}

impl Detail for Stale {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("the stamp says {}, it is {} now", self.with_unit(&self.written), self.with_unit(&self.now)),
            "whoever reads the file without gyle sees the stamp",
            "stamp the file again",
        )
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        vec![Mend {
            title: format!("write {}", self.now),
            safe: true,
            edits: vec![(At::Recipe(self.place), self.now.clone())],
        }]
    }
}
