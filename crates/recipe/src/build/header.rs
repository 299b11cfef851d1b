//! The `recipe` block, `split`, and the values a file names for all its recipes.

use std::sync::Arc;

use quantity::{Customary, Dimension};
use syntax::ast::{Block, Entry, Form, ValueKind};
use syntax::vocabulary::{BlockKind, Keyword};
use syntax::{Span, same_words};

use super::context::Cx;
use crate::expr::each_name;
use crate::library::name_span;
use crate::model::{LetValue, Origin, Part, Place, Recipe};
use crate::units::text_of;
use crate::words;

/// Tags that name a technique the checks know.
pub const TECHNIQUES: [&str; 10] = [
    "no-sparge",
    "bag",
    "parti-gyle",
    "no-boil",
    "kettle-sour",
    "mixed-culture",
    "open-ferment",
    "low-alcohol",
    "reverse-step",
    "biotransformation",
];

/// What has to be known before any other line: which gallon is meant, and what names stand for.
pub(crate) fn settings(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    for entry in cx.entries() {
        if entry.form == Form::Let {
            let place = Some(cx.place(entry.span));
            let block = Arc::clone(cx.block);
            name_value(cx, &block, entry, place);
        } else if entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Customary) {
            let said = entry.name().map_or("", |name| cx.text(name.span));
            let customary = if same_words(said, "us") {
                Some(Customary::Us)
            } else if same_words(said, "imperial") {
                Some(Customary::Imperial)
            } else {
                cx.mark_broken();
                None
            };
            recipe.customary = customary;
            cx.customary = customary.or(cx.customary);
        }
    }
}

/// The `let` blocks of the file; a recipe's own value of the same name comes before them.
pub(crate) fn file_lets(cx: &mut Cx<'_>, blocks: &[Arc<Block>]) {
    for block in blocks.iter().take(MOST) {
        if let Some(entry) = block.header() {
            name_value(cx, block, entry, None);
        }
    }
    drop_heavy(cx);
}

/// Values a file may name; each is compared with those before it.
const MOST: usize = 1000;

/// Values that one may stand for through one another.
const DEEPEST: usize = 64;

/// How many other values one may stand for, directly and through others. Twenty values that each name the
/// one before twice stand for a million, and nobody would wait for them.
const HEAVIEST: u32 = 1000;

/// Leaves out values that stand for too many others. One that stands for itself is left to whoever computes
/// it, who can show the whole loop.
fn drop_heavy(cx: &mut Cx<'_>) {
    if cx.lets.len() < 2 {
        return;
    }
    let mut weights: Vec<Option<u32>> = vec![None; cx.lets.len()];
    for at in 0..cx.lets.len() {
        weigh(&cx.lets, at, &mut weights, DEEPEST);
    }
    let mut heavy = Vec::new();
    let mut at = 0;
    cx.lets.retain(|named| {
        let fits = weights.get(at).copied().flatten().is_none_or(|weight| weight <= HEAVIEST);
        at += 1;
        if !fits {
            heavy.push((named.name.clone(), named.place));
        }
        fits
    });
    for (name, place) in heavy {
        let span = place.map_or_else(|| cx.header_place().span, |place| place.span);
        cx.problem(words::stands_for_too_many(&name, span));
    }
}

/// The number of values that one stands for; 0 while it is being counted, which ends a loop.
fn weigh(lets: &[LetValue], at: usize, weights: &mut [Option<u32>], left: usize) -> u32 {
    if let Some(known) = weights[at] {
        return known;
    }
    let Some(left) = left.checked_sub(1) else { return HEAVIEST + 1 };
    weights[at] = Some(0);
    let mut weight = 1u32;
    each_name(&lets[at].expr, &mut |span| {
        let wanted = catalogue::fold(span.of(&lets[at].block.text));
        if let Some(other) = lets.iter().position(|named| *named.name == *wanted) {
            weight = weight.saturating_add(weigh(lets, other, weights, left));
        }
    });
    weights[at] = Some(weight);
    weight
}

/// Puts a value of a `let` among those known. The first of a name in a scope holds.
fn name_value(cx: &mut Cx<'_>, block: &Arc<Block>, entry: &Entry, place: Option<Place>) {
    let (Some(name), Some(value)) = (entry.name(), entry.value()) else { return };
    let Some(expr) = cx.expr(value) else {
        cx.mark_broken();
        return;
    };
    let folded = catalogue::fold(block.slice(name.span));
    if let Some(known) = cx.lets.iter().find(|known| *known.name == *folded) {
        // Of two at the top of the file the file itself is blamed, once, not each of its recipes.
        if let (Some(first), Some(_)) = (known.place, place) {
            let fault = words::let_twice(block.slice(name.span), name.span);
            cx.problem_with(fault, vec![(Origin::Here(first), "it is first given here".into())]);
        }
        return;
    }
    cx.lets.push(LetValue { name: folded.into(), place, block: Arc::clone(block), expr });
}

/// The entries of the `recipe` block.
pub(crate) fn read(cx: &mut Cx<'_>, recipe: &mut Recipe) {
    for entry in cx.entries() {
        let Some(keyword) = entry.keyword else { continue };
        let place = cx.place(entry.span);
        match keyword.node {
            Keyword::Style => recipe.style = style(cx, entry),
            Keyword::Batch => {
                if let Some(value) = entry.value() {
                    recipe.batch = cx.given(value, Dimension::Volume);
                }
            }
            Keyword::Brewhouse => recipe.brewhouse = Some(cx.thing_of(entry, &[BlockKind::BrewhouseBlock])),
            Keyword::Fermenter => {
                recipe.fermenter = text_of(cx.block, entry).map(|text| (text.into(), place));
            }
            Keyword::Currency => recipe.currency = text_of(cx.block, entry).map(Into::into),
            Keyword::Tag => tags(cx, recipe, entry),
            Keyword::From => {
                recipe.from = name_span(entry).map(|span| (cx.text(span).into(), cx.place(span)));
            }
            Keyword::Date => {
                if let Some(value) = entry.value()
                    && let ValueKind::Date(date) = value.kind
                    && cx.date(date, value.span).is_some()
                {
                    recipe.texts.push((Keyword::Date, cx.text(value.span).into(), place));
                }
            }
            key @ (Keyword::Version
            | Keyword::Link
            | Keyword::Licence
            | Keyword::Brewer
            | Keyword::BasedOn
            | Keyword::Label
            | Keyword::Allergens) => {
                if let Some(text) = text_of(cx.block, entry) {
                    recipe.texts.push((key, text.into(), place));
                }
            }
            _ => {}
        }
    }
}

/// `style 13C`: the code is text, and looked up as such.
fn style(cx: &mut Cx<'_>, entry: &Entry) -> Option<crate::model::Thing> {
    let span = name_span(entry)?;
    let name = syntax::ast::Name { span, quoted: false };
    Some(cx.thing(Some(name), span, core::iter::empty(), &[BlockKind::Style]))
}

fn tags(cx: &mut Cx<'_>, recipe: &mut Recipe, entry: &Entry) {
    let Some(span) = name_span(entry) else { return };
    let text = cx.text(span);
    let mut at = 0;
    for word in text.split([' ', '\t', '\u{a0}', ',']) {
        let start = span.start + u32::try_from(at).unwrap_or(u32::MAX);
        at += word.len();
        at += text[at..].chars().next().map_or(0, char::len_utf8);
        if word.is_empty() {
            continue;
        }
        let place = Span::new(start, start + u32::try_from(word.len()).unwrap_or(0));
        recipe.tags.push((word.into(), cx.place(place)));
        let known = TECHNIQUES.iter().any(|technique| technique.eq_ignore_ascii_case(word));
        if !known && let Some(meant) = near_technique(word) {
            cx.problem(words::near_tag(word, meant, place));
        }
    }
}

/// The technique a tag nearly names: the same letters with another sign between them, or, in a word long
/// enough to tell, up to two slips behind the first letter.
fn near_technique(word: &str) -> Option<&'static str> {
    let letters = |text: &'_ str| text.bytes().filter(|byte| !matches!(byte, b'-' | b'_')).count();
    let wanted = letters(word);
    TECHNIQUES.iter().copied().find(|technique| {
        let initial = |text: &str| text.bytes().next().map(|byte| byte.to_ascii_lowercase());
        if initial(technique) != initial(word) || letters(technique).abs_diff(wanted) > 2 {
            return false;
        }
        let slips = if technique.len() > 4 { 2 } else { 0 };
        let bare = |text: &str| text.replace(['-', '_'], "").to_lowercase();
        strsim::osa_distance(&bare(technique), &bare(word)) <= slips
    })
}

/// `split "label" VOLUME`.
pub(crate) fn split(cx: &mut Cx<'_>) -> Part {
    let place = cx.header_place();
    let mut part = Part { label: Some(("".into(), place)), ..Part::default() };
    if let Some(entry) = cx.header() {
        for value in entry.values() {
            match value.kind {
                ValueKind::Str(span) => part.label = Some((cx.text(span).into(), cx.place(span))),
                _ => part.volume = cx.given(value, Dimension::Volume),
            }
        }
    }
    part
}
