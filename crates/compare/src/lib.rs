//! What differs between two recipes: lines, definitions of the cellar, figures.
//!
//! Invariants:
//! - Pure: two recipes in, plain data out. No files, no revisions, no layout of the output.
//! - Layout, comments, notes, the spelling of numbers and units, and the order of clauses make no difference.
//! - A figure differs when it is shown differently; every difference says both values.
//! - Comparing a recipe with itself finds nothing.
//! - The parts of a difference add up to it, and turn their signs with the sides.

mod cellar;
mod item;
mod lines;
pub mod why;

use std::sync::Arc;

use figures::{Calc, FigureId, Scope, Settings, Show};
use recipe::{Definition, Place, Recipe, Thing};
use syntax::vocabulary::BlockKind;

pub use lines::likeness;

/// A recipe with the settings its figures are computed by.
#[derive(Clone, Copy)]
pub struct Side<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// Models and factors.
    pub settings: &'a Settings,
}

/// What differs between two recipes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// Figures that are shown differently, by part; parts without any are left out.
    pub figures: Vec<PartFigures>,
    /// Lines that differ, block by block.
    pub sections: Vec<Section>,
    /// Definitions that differ though they go by one name.
    pub cellar: Vec<CellarChange>,
}

impl Comparison {
    /// Whether nothing differs.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.figures.is_empty() && self.sections.is_empty() && self.cellar.is_empty()
    }
}

/// The figures of a part that differ.
#[derive(Clone, Debug, PartialEq)]
pub struct PartFigures {
    /// Label of the part; none where the recipe is not split.
    pub label: Option<Box<str>>,
    /// In the order of [`FigureId::ALL`].
    pub figures: Vec<FigureChange>,
}

/// A figure that differs; `None` where it cannot be computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FigureChange {
    /// Which.
    pub id: FigureId,
    /// Before.
    pub from: Option<f64>,
    /// After.
    pub to: Option<f64>,
    /// How both are shown; that of the figure itself, but where they are for a litre of beer.
    pub show: Show,
    /// Both for a litre of beer.
    pub per_litre: bool,
}

impl FigureChange {
    /// A change of the figure itself.
    #[must_use]
    pub const fn whole(id: FigureId, from: Option<f64>, to: Option<f64>) -> Self {
        Self { id, from, to, show: id.show(), per_litre: false }
    }
}

/// The lines of one kind of block that differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The kind.
    pub kind: BlockKind,
    /// The part it belongs to, where the recipe is split.
    pub part: Option<Box<str>>,
    /// The lines, in the order of the second recipe, what was taken out last.
    pub lines: Vec<LineChange>,
}

/// A line that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct LineChange {
    /// What it is about: the thing named, or the entry's word.
    pub subject: String,
    /// How.
    pub change: Change,
    /// The line in the first recipe.
    pub before: Option<Place>,
    /// The line in the second recipe.
    pub after: Option<Place>,
}

/// How a line differs.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Only the second recipe has it: as written there.
    Added(String),
    /// Only the first recipe has it: as written there.
    Removed(String),
    /// Both have it.
    Changed(Vec<Turn>),
    /// Both have it, in different blocks.
    Moved {
        /// The block it stood in.
        from: BlockKind,
        /// What else differs.
        turns: Vec<Turn>,
    },
    /// The lines of this block are the same, in another order.
    Reordered,
}

/// One value that became another, as written; `None` where one side has none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Turn {
    /// Which of the line's values; empty for its amount.
    pub what: String,
    /// Before.
    pub from: Option<String>,
    /// After.
    pub to: Option<String>,
}

/// A definition that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct CellarChange {
    /// Its kind.
    pub kind: BlockKind,
    /// The name the recipe calls it by.
    pub name: Box<str>,
    /// Its fields that differ.
    pub turns: Vec<Turn>,
}

/// What differs between two recipes.
#[must_use]
pub fn compare(before: Side<'_>, after: Side<'_>) -> Comparison {
    Comparison {
        figures: figures(before, after, None),
        sections: lines::sections(before.recipe, after.recipe, None),
        cellar: cellar::changes(before.recipe, after.recipe),
    }
}

/// What differs between two recipes brewed on one brewhouse, whose amounts are those for a litre of beer.
#[must_use]
pub fn compare_on(brewhouse: &Arc<Definition>, before: Side<'_>, after: Side<'_>) -> Comparison {
    let (old, new) = (moved(before.recipe, brewhouse), moved(after.recipe, brewhouse));
    let before = Side { recipe: &old, ..before };
    let after = Side { recipe: &new, ..after };
    let litres = |side: Side<'_>| {
        let calc = Calc::of_part(side.recipe, side.settings, 0);
        let whole = side.recipe.batch.as_ref().map(|batch| batch.value);
        whole.or_else(|| calc.value(FigureId::BatchVolume).ok()).filter(|litres| *litres > 0.0)
    };
    let litres = litres(before).zip(litres(after));
    Comparison {
        figures: figures(before, after, litres),
        sections: lines::sections(&old, &new, litres),
        cellar: cellar::changes(&old, &new),
    }
}

/// A recipe on another brewhouse, and with it the recipe whose mash it takes.
fn moved(recipe: &Recipe, brewhouse: &Arc<Definition>) -> Recipe {
    let mut moved = recipe.clone();
    let place = moved.brewhouse.as_ref().map_or(moved.name_place, |old| old.place);
    moved.brewhouse = Some(Thing {
        name: brewhouse.name.clone(),
        place,
        definition: Some(Arc::clone(brewhouse)),
        loose: false,
        own: Vec::new(),
        flags: Vec::new(),
        substitutes: Vec::new(),
    });
    moved.from_recipe = moved.from_recipe.map(|from| Arc::new(self::moved(&from, brewhouse)));
    moved
}

/// How a figure that grows with the batch is shown for a litre of it, and its factor; nothing of others.
const fn for_a_litre(id: FigureId) -> Option<(Show, f64)> {
    match (id, id.show()) {
        // Of a glass, whatever the batch.
        (FigureId::AlcoholMass, _) => None,
        (FigureId::Cost, show) => Some((show, 1.0)),
        (_, Show::Mass) => Some((Show::Grams, 1000.0)),
        (_, Show::Volume) => Some((Show::Millilitres, 1000.0)),
        (_, show @ (Show::Grams | Show::Millilitres | Show::Cells)) => Some((show, 1.0)),
        _ => None,
    }
}

/// Pairs the parts of two recipes by their labels, then by their order; one without its like is left out, since
/// its `split` line says that it came or went.
fn parts(before: &Recipe, after: &Recipe) -> Vec<(usize, usize)> {
    let label = |recipe: &Recipe, at: usize| -> Option<String> {
        recipe.parts.get(at)?.label.as_ref().map(|(label, _)| catalogue::fold(label))
    };
    let mut left: Vec<usize> = (0..before.parts.len().max(1)).collect();
    let mut pairs: Vec<Option<usize>> = vec![None; after.parts.len().max(1)];
    for by_label in [true, false] {
        for (at, pair) in pairs.iter_mut().enumerate() {
            if pair.is_some() {
                continue;
            }
            let wanted = label(after, at);
            let found = left.iter().position(|other| {
                if by_label {
                    label(before, *other) == wanted
                } else {
                    wanted.is_none() || label(before, *other).is_none()
                }
            });
            if let Some(found) = found {
                *pair = Some(left.remove(found));
            }
        }
    }
    pairs.into_iter().enumerate().filter_map(|(after, before)| Some((before?, after))).collect()
}

/// Figures that differ; where the litres of both are given, those that grow with the batch for one litre.
fn figures(before: Side<'_>, after: Side<'_>, litres: Option<(f64, f64)>) -> Vec<PartFigures> {
    let mut out = Vec::new();
    for (old, new) in parts(before.recipe, after.recipe) {
        let first = Calc::of_part(before.recipe, before.settings, old);
        let second = Calc::of_part(after.recipe, after.settings, new);
        let plan = FigureId::ALL.iter().copied().filter(|id| id.scope() == Scope::Plan);
        let figures: Vec<FigureChange> = plan
            .filter_map(|id| {
                let mut change = FigureChange::whole(id, first.value(id).ok(), second.value(id).ok());
                if let (Some((old, new)), Some((show, factor))) = (litres, for_a_litre(id)) {
                    change.from = change.from.map(|value| value * factor / old);
                    change.to = change.to.map(|value| value * factor / new);
                    (change.show, change.per_litre) = (show, true);
                }
                let shown = |value: Option<f64>| value.map(|value| change.show.number(value));
                (shown(change.from) != shown(change.to)).then_some(change)
            })
            .collect();
        if !figures.is_empty() {
            let label = second.part().label.as_ref().map(|(label, _)| label.clone());
            out.push(PartFigures { label, figures });
        }
    }
    out
}
