//! A recipe from its blocks: what was written, with its place.

mod boil;
mod context;
mod cook;
mod expect;
mod ferment;
mod grist;
mod header;
mod liquor;
mod mash;
pub(crate) mod package;
mod pitch;
mod sour;
mod steep;

use std::sync::Arc;

use quantity::Customary;
use syntax::ast::{Block, Body, Form};
use syntax::vocabulary::BlockKind;

pub(crate) use context::{Cx, clause_text, own_props};
pub use header::TECHNIQUES;

use crate::library::Scope;
use crate::model::{Liquor, Mash, Part, Place, Query, Recipe};
use crate::units::header_span;

/// What the house says about reading recipes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Which gallon is meant where a recipe does not say.
    pub customary: Option<Customary>,
}

/// The recipe that these blocks make, the header first, as [`crate::Units`] sorts them. `file_lets` are the
/// `let` blocks of the file.
#[must_use]
pub fn build_recipe(
    blocks: &[Arc<Block>],
    file_lets: &[Arc<Block>],
    scope: &Scope,
    settings: &Settings,
) -> Recipe {
    let mut recipe = empty(blocks);
    let mut cx = Cx::new(scope, settings.customary);
    // The header comes first: which gallon is meant and what names stand for may be asked from any line.
    for (at, block) in blocks.iter().enumerate() {
        if block.entries_as == BlockKind::Recipe && cx.enter(at, block) {
            header::settings(&mut cx, &mut recipe);
        }
    }
    if let Some(header) = blocks.first() {
        cx.enter(0, header);
    }
    header::file_lets(&mut cx, file_lets);
    // What stands above the first split, then each part.
    let mut common = Part::default();
    let mut parts: Vec<Part> = Vec::new();
    for (at, block) in blocks.iter().enumerate() {
        if !cx.enter(at, block) {
            break;
        }
        if block.kind == BlockKind::Split && block.entries_as == BlockKind::Split {
            parts.push(header::split(&mut cx));
            continue;
        }
        let number = parts.len().checked_sub(1);
        let part = parts.last_mut().unwrap_or(&mut common);
        let listed = recipe.grist.len();
        match block.entries_as {
            BlockKind::Recipe => header::read(&mut cx, &mut recipe),
            BlockKind::Grist => grist::read(&mut cx, &mut recipe),
            BlockKind::Liquor => liquor::read(&mut cx, &mut recipe),
            BlockKind::Mash => mash::read(&mut cx, &mut recipe),
            BlockKind::Cook => cook::read(&mut cx, &mut recipe),
            BlockKind::Steep => steep::read(&mut cx, &mut recipe),
            BlockKind::Sour => sour::read(&mut cx, &mut recipe),
            BlockKind::Boil => boil::read_boil(&mut cx, &mut recipe),
            BlockKind::Stand => boil::read_stand(&mut cx, &mut recipe),
            BlockKind::Chill => boil::read_chill(&mut cx, &mut recipe),
            BlockKind::Pitch => pitch::read(&mut cx, part),
            BlockKind::Ferment => {
                ferment::read(&mut cx, part, &mut recipe.grist);
                recipe.grist[listed..].iter_mut().for_each(|line| line.part = number);
            }
            BlockKind::Package => package::read(&mut cx, part),
            BlockKind::Expect => expect::read(&mut cx, part),
            _ => {}
        }
        queries(&cx, &mut recipe.queries);
    }
    recipe.parts = in_parts(common, parts);
    recipe.customary = cx.customary.or(recipe.customary);
    recipe.lets = cx.lets;
    recipe.broken = cx.broken;
    recipe.problems = cx.problems;
    recipe
}

/// What stands above the first split holds for every part that has none of its own; what is expected there
/// is asked once.
fn in_parts(common: Part, mut parts: Vec<Part>) -> Vec<Part> {
    if parts.is_empty() {
        return vec![common];
    }
    for part in &mut parts {
        // A nutrient of `pitch` goes into the fermenter, a yeast of `ferment` counts as pitched: lines that
        // came from the part's other block stay.
        if part.pitch.place.is_none() {
            let own = core::mem::replace(&mut part.pitch, common.pitch.clone());
            part.pitch.lines.extend(own.lines);
        }
        if part.ferment.place.is_none() {
            let own = core::mem::replace(&mut part.ferment, common.ferment.clone());
            part.ferment.additions.extend(own.additions);
        }
        if part.package.place.is_none() {
            part.package = common.package.clone();
        }
    }
    if let Some(first) = parts.first_mut() {
        first.expect.splice(0..0, common.expect);
    }
    parts
}

/// The questions of a block.
pub(crate) fn queries(cx: &Cx<'_>, queries: &mut Vec<Query>) {
    for (_, entry) in cx.block.entries() {
        if entry.form != Form::Query {
            continue;
        }
        let Some(expr) = entry.value().and_then(|value| cx.expr(value)) else { continue };
        let label = entry.label().map(|span| cx.text(span).into());
        queries.push(Query { place: cx.place(entry.span), expr, label });
    }
}

fn empty(blocks: &[Arc<Block>]) -> Recipe {
    let header = blocks.first();
    let name_span = header
        .and_then(|block| block.header())
        .and_then(crate::library::name_span)
        .or_else(|| header.map(|block| header_span(block)))
        .unwrap_or_default();
    let name = header.and_then(|block| block.header().map(|_| block.slice(name_span))).unwrap_or("");
    Recipe {
        name: name.into(),
        name_place: Place { block: 0, span: name_span },
        blocks: blocks.to_vec(),
        style: None,
        batch: None,
        brewhouse: None,
        fermenter: None,
        customary: None,
        currency: None,
        tags: Vec::new(),
        from: None,
        from_recipe: None,
        texts: Vec::new(),
        lets: Vec::new(),
        grist_goal: None,
        grist_place: None,
        grist: Vec::new(),
        liquor: Liquor::default(),
        liquor_place: None,
        mash: Mash::default(),
        cooks: Vec::new(),
        steeps: Vec::new(),
        sour: None,
        boil: None,
        additions: Vec::new(),
        stands: Vec::new(),
        chill: None,
        parts: Vec::new(),
        queries: Vec::new(),
        broken: Vec::new(),
        problems: Vec::new(),
    }
}

/// Whether a line of a block could not be read.
pub(crate) fn has_broken_line(block: &Block) -> bool {
    block.lines.iter().any(|line| matches!(line.body, Body::Broken(_)))
}
