//! Why figures differ: every difference in parts that add up, one for each thing that differs.
//!
//! The parts are Shapley values: what a thing changes, averaged over all orders in which the things could have
//! been changed. Of more than eight things, like ones are held together first, and the part of each group is
//! shared out within it (Owen values). So the parts of a figure add up to its difference, exchanging the two
//! sides turns their signs, and what changes nothing has no part.

mod hybrid;
mod shapley;

use figures::{Actual, Calc, FigureId, Scope, Settings};
use recipe::{Amount, Event, Recipe};
use syntax::vocabulary::BlockKind;

use crate::why::hybrid::Hybrid;
use crate::why::shapley::Game;
use crate::{Change, FigureChange, LineChange, Turn};

/// More than this are held together in groups.
const MOST_PLAYERS: usize = 8;
/// So many coalitions are computed for one group at the most; players beyond are held together.
const MOST_COALITIONS: usize = 1024;
/// Parts this small beside a figure are the noise of its computation.
const NOISE: f64 = 1e-9;

/// One side: a recipe, how its figures are computed, and what was brewed from it.
#[derive(Clone, Copy)]
pub struct Side<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// Models and factors.
    pub settings: &'a Settings,
    /// What a log measured; none where the plan itself is looked at.
    pub brewed: Option<&'a Brewed>,
}

/// What a log measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brewed {
    /// Extract in the kettle over the laboratory's, parts of one.
    pub mash_efficiency: Option<f64>,
    /// Water boiled off, L/h.
    pub evaporation: Option<f64>,
    /// Volume in the fermenter, cold, L.
    pub volume: Option<f64>,
    /// Apparent attenuation, parts of one.
    pub attenuation: Option<f64>,
    /// What was weighed of the grist: folded names and kg.
    pub weighed: Vec<(String, f64)>,
    /// Figures measured, under the id of the plan's figure they are compared with.
    pub measured: Vec<(FigureId, f64)>,
}

impl Brewed {
    /// What this log measured.
    #[must_use]
    pub fn of(actual: &Actual<'_>) -> Self {
        let value = |id| actual.value(id).ok();
        let share = |id| value(id).map(|percent| percent / 100.0);
        let weighed = actual.log.entries.iter().filter_map(|entry| match &entry.event {
            Event::Weigh { amount: Amount::Of(quant), thing } => {
                Some((catalogue::fold(&thing.name), quant.value))
            }
            _ => None,
        });
        let measured = FigureId::ALL.iter().filter_map(|id| Some((id.planned()?, value(*id)?)));
        Self {
            mash_efficiency: share(FigureId::ActualMashEfficiency),
            evaporation: value(FigureId::ActualEvaporation),
            volume: actual.fermenter_volume().ok(),
            attenuation: share(FigureId::ActualApparentAttenuation),
            weighed: weighed.collect(),
            measured: measured.collect(),
        }
    }

    fn figure(&self, id: FigureId) -> Option<f64> {
        self.measured.iter().find(|(known, _)| *known == id).map(|(_, value)| *value)
    }
}

/// Where a cause lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CauseGroup {
    /// Lines of the recipe.
    Recipe,
    /// Definitions of the library: malts, hops, waters, yeasts.
    Cellar,
    /// The brewhouse.
    Brewhouse,
    /// What was measured.
    Readings,
    /// Models and factors of the settings.
    Models,
}

impl CauseGroup {
    /// The group in a word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Recipe => "recipe",
            Self::Cellar => "cellar",
            Self::Brewhouse => "brewhouse",
            Self::Readings => "readings",
            Self::Models => "models",
        }
    }
}

/// What differs.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// Lines of the recipe, each with the kind of its block.
    Lines(Vec<(BlockKind, LineChange)>),
    /// The recipe of this name, whose mash is taken, is another.
    Parent(Box<str>),
    /// A field of a definition.
    Field {
        /// Kind of the definition.
        kind: BlockKind,
        /// The name the recipe calls it by.
        name: Box<str>,
        /// How it differs.
        turn: Turn,
    },
    /// A setting, by its key.
    Setting(&'static str),
    /// Something measured; `None` where it was only planned.
    Reading(Turn),
    /// Several, held together.
    Several(Vec<What>),
    /// Everything of its group, held together.
    All,
    /// What nothing above explains: the reading itself against what follows from the other readings.
    Unexplained,
}

impl What {
    fn and_more(&mut self) {
        if !matches!(self, Self::Several(_)) {
            let first = core::mem::replace(self, Self::Unexplained);
            *self = Self::Several(vec![first]);
        }
    }
}

/// One thing that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// Where it lies.
    pub group: CauseGroup,
    /// What it is.
    pub what: What,
}

/// Why a part of two recipes differs.
#[derive(Clone, Debug, PartialEq)]
pub struct PartWhy {
    /// Label of the part; none where the recipe is not split.
    pub label: Option<Box<str>>,
    /// Figures that differ and whose difference is shared out.
    pub figures: Vec<FigureWhy>,
    /// Figures that differ and cannot be shared out: somewhere between the two they cannot be computed.
    pub whole: Vec<FigureChange>,
}

/// Why a figure differs.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureWhy {
    /// Which.
    pub id: FigureId,
    /// Before.
    pub from: f64,
    /// After.
    pub to: f64,
    /// Parts of `to - from`, the largest first: an index into [`Why::causes`], and the part.
    pub parts: Vec<(usize, f64)>,
}

/// Why two recipes, or a recipe and what was brewed, differ.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Why {
    /// What differs.
    pub causes: Vec<Cause>,
    /// By part of the recipe.
    pub parts: Vec<PartWhy>,
}

/// Shares out the differences of two sides. Of `only` these figures; of all that differ where it is empty.
#[must_use]
pub fn why(before: Side<'_>, after: Side<'_>, only: &[FigureId]) -> Why {
    let hybrid = Hybrid::new(before, after);
    let wanted = |id: &FigureId| id.scope() == Scope::Plan && (only.is_empty() || only.contains(id));
    let ids: Vec<FigureId> = FigureId::ALL.iter().copied().filter(wanted).collect();
    let brewed = before.brewed.is_some() || after.brewed.is_some();
    let pairs = if brewed { vec![(0, 0)] } else { crate::parts(before.recipe, after.recipe) };
    // What each side shows, and what of it differs.
    let own = |side: Side<'_>, part: usize| -> Vec<Option<f64>> {
        let calc = Calc::of_part(side.recipe, side.settings, part);
        ids.iter()
            .map(|id| match side.brewed {
                Some(brewed) => brewed.figure(*id),
                None => calc.value(*id).ok(),
            })
            .collect()
    };
    let mut rows: Vec<(usize, FigureId, Option<f64>, Option<f64>)> = Vec::new();
    for (at, (old, new)) in pairs.iter().enumerate() {
        for ((id, from), to) in ids.iter().zip(own(before, *old)).zip(own(after, *new)) {
            let differs = match (from, to) {
                (Some(from), Some(to)) => (from - to).abs() > NOISE * from.abs().max(to.abs()).max(1e-3),
                (None, None) => false,
                // What only a log or only a plan says is no difference.
                _ => !brewed,
            };
            if differs {
                rows.push((at, *id, from, to));
            }
        }
    }
    let labels: Vec<Option<String>> = folded_labels(before.recipe);
    // No later reading made the pH of the mash.
    let in_mash = |id: FigureId| brewed && id == FigureId::MashPh;
    let of = |on: u64, wanted: &dyn Fn(FigureId) -> bool, out: &mut Vec<Option<f64>>| {
        let (recipe, settings) = hybrid.between(on);
        let first = folded_labels(&recipe) == labels;
        let calcs: Vec<Calc<'_>> = pairs
            .iter()
            .map(|(old, new)| Calc::of_part(&recipe, &settings, if first { *old } else { *new }))
            .collect();
        for (slot, (at, id, ..)) in out.iter_mut().zip(&rows) {
            if wanted(*id) {
                *slot = calcs.get(*at).and_then(|calc| calc.value(*id).ok());
            }
        }
    };
    let value = |on: u64| -> Vec<Option<f64>> {
        let mut out = vec![None; rows.len()];
        of(on, &|id| !in_mash(id), &mut out);
        if rows.iter().any(|(_, id, ..)| in_mash(*id)) {
            of(on & !hybrid.readings(), &in_mash, &mut out);
        }
        out
    };
    let mut groups = players(&hybrid.causes);
    let mut shares = share_out(&groups, rows.len(), &value);
    let mut causes: Vec<Cause> = groups.iter().flatten().map(|set| held(&hybrid.causes, *set)).collect();
    // What cannot be computed halfway through a recipe may be where its lines change together.
    let lacking: Vec<usize> =
        (0..rows.len()).filter(|row| shares.iter().any(|share| share[*row].is_none())).collect();
    if !lacking.is_empty() {
        let (wholes, players) = by_group(&hybrid.causes);
        groups = players;
        let mut coarse = share_out(&groups, rows.len(), &value);
        for share in &mut coarse {
            for (_, part) in share.iter_mut().enumerate().filter(|(row, _)| !lacking.contains(row)) {
                *part = Some(0.0);
            }
        }
        for share in &mut shares {
            for row in &lacking {
                share[*row] = Some(0.0);
            }
        }
        shares.extend(coarse);
        causes.extend(wholes.into_iter().map(|group| Cause { group, what: What::All }));
    }
    let mut made = Why { causes, parts: Vec::new() };
    made.causes.push(Cause {
        group: if brewed { CauseGroup::Readings } else { CauseGroup::Recipe },
        what: What::Unexplained,
    });
    let rest = made.causes.len() - 1;
    for (at, (_, new)) in pairs.iter().enumerate() {
        let label = after.recipe.parts.get(*new).and_then(|part| part.label.as_ref());
        let mut part =
            PartWhy { label: label.map(|(label, _)| label.clone()), figures: Vec::new(), whole: Vec::new() };
        for (row, (_, id, from, to)) in rows.iter().enumerate().filter(|(_, (of, ..))| *of == at) {
            let of_row: Option<Vec<f64>> =
                shares.iter().map(|share| share.get(row).copied().flatten()).collect();
            match (of_row, *from, *to) {
                (Some(of_row), Some(from), Some(to)) => {
                    part.figures.push(FigureWhy { id: *id, from, to, parts: parts(of_row, from, to, rest) });
                }
                _ => part.whole.push(FigureChange::whole(*id, *from, *to)),
            }
        }
        if !part.figures.is_empty() || !part.whole.is_empty() {
            made.parts.push(part);
        }
    }
    made
}

/// A figure of a part that another definition of the cellar moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Label of the part in the first recipe; none where it is not split.
    pub part: Option<Box<str>>,
    /// Which figure.
    pub id: FigureId,
    /// Kind of the definition.
    pub kind: BlockKind,
    /// The name the recipe calls it by.
    pub name: Box<str>,
    /// The value with nothing else changed; none where it cannot be computed then.
    pub alone: Option<f64>,
}

/// Which definitions move which figures: the first recipe with this definition as the second has it, and
/// nothing else changed, shows another value.
#[must_use]
pub fn through_cellar(before: crate::Side<'_>, after: crate::Side<'_>) -> Vec<Moved> {
    let hybrid = Hybrid::new(
        Side { recipe: before.recipe, settings: before.settings, brewed: None },
        Side { recipe: after.recipe, settings: after.settings, brewed: None },
    );
    let mut changed: Vec<((BlockKind, &str), u64)> = Vec::new();
    for (at, cause) in hybrid.causes.iter().enumerate() {
        let What::Field { kind, name, .. } = &cause.what else { continue };
        match changed.iter_mut().find(|(known, _)| *known == (*kind, &**name)) {
            Some((_, set)) => *set |= 1 << at,
            None => changed.push(((*kind, &**name), 1 << at)),
        }
    }
    let mut moved = Vec::new();
    for ((kind, name), set) in changed {
        let (recipe, settings) = hybrid.between(set);
        for at in 0..before.recipe.parts.len() {
            let first = Calc::of_part(before.recipe, before.settings, at);
            let other = Calc::of_part(&recipe, &settings, at);
            for id in FigureId::ALL.iter().copied().filter(|id| id.scope() == Scope::Plan) {
                let (from, alone) = (first.value(id).ok(), other.value(id).ok());
                let differs = match (from, alone) {
                    (Some(from), Some(to)) => (from - to).abs() > NOISE * from.abs().max(to.abs()).max(1e-3),
                    (from, to) => from.is_some() != to.is_some(),
                };
                if differs {
                    let part = first.part().label.as_ref().map(|(label, _)| label.clone());
                    moved.push(Moved { part, id, kind, name: name.into(), alone });
                }
            }
        }
    }
    moved
}

/// The share of each player in each of so many values.
fn share_out(
    groups: &[Vec<u64>],
    values: usize,
    value: &(dyn Fn(u64) -> Vec<Option<f64>> + Sync),
) -> Vec<Vec<Option<f64>>> {
    if values == 0 { Vec::new() } else { Game { groups: groups.to_vec() }.shares(value) }
}

/// Everything of one group as one player.
fn by_group(causes: &[Cause]) -> (Vec<CauseGroup>, Vec<Vec<u64>>) {
    let mut known: Vec<(CauseGroup, u64)> = Vec::new();
    for (at, cause) in causes.iter().enumerate() {
        match known.iter_mut().find(|(group, _)| *group == cause.group) {
            Some((_, set)) => *set |= 1 << at,
            None => known.push((cause.group, 1 << at)),
        }
    }
    known.sort_unstable();
    known.into_iter().map(|(group, set)| (group, vec![set])).unzip()
}

/// The parts of a difference without those that are none, the largest first; what is left over is the part of
/// the last cause, or the noise of the largest.
fn parts(shares: Vec<f64>, from: f64, to: f64, rest: usize) -> Vec<(usize, f64)> {
    let size = from.abs().max(to.abs()).max(1e-3);
    let mut parts: Vec<(usize, f64)> =
        shares.into_iter().enumerate().filter(|(_, part)| part.abs() > NOISE * size * 1e-3).collect();
    parts.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let left = (to - from) - parts.iter().map(|(_, part)| part).sum::<f64>();
    match parts.first_mut() {
        Some(first) if left.abs() <= NOISE * size => first.1 += left,
        _ => {
            parts.push((rest, left));
            parts.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        }
    }
    parts
}

fn folded_labels(recipe: &Recipe) -> Vec<Option<String>> {
    recipe.parts.iter().map(|part| part.label.as_ref().map(|(label, _)| catalogue::fold(label))).collect()
}

/// The causes of a player as one.
fn held(causes: &[Cause], set: u64) -> Cause {
    let mut of: Vec<&Cause> =
        causes.iter().enumerate().filter(|(at, _)| set >> at & 1 == 1).map(|(_, cause)| cause).collect();
    match of.pop() {
        Some(one) if of.is_empty() => one.clone(),
        Some(last) => {
            let what = of.iter().chain([&last]).map(|cause| cause.what.clone()).collect();
            Cause { group: last.group, what: What::Several(what) }
        }
        None => Cause { group: CauseGroup::Recipe, what: What::Unexplained },
    }
}

/// What a group is held together by: where it lies, and the kind of its block or definition.
type Shelf = (CauseGroup, Option<BlockKind>);

fn shelf(cause: &Cause) -> Shelf {
    let kind = match &cause.what {
        What::Lines(lines) => lines
            .iter()
            .map(|(kind, line)| match line.change {
                Change::Moved { from, .. } => from.min(*kind),
                _ => *kind,
            })
            .min(),
        What::Field { kind, .. } => Some(*kind),
        _ => None,
    };
    (cause.group, kind)
}

/// What a cause is called; the same from whichever side it is looked at, so that both make the same groups.
fn name(cause: &Cause) -> String {
    let either =
        |from: &str, to: &str| if from < to { format!("{from} {to}") } else { format!("{to} {from}") };
    let turned = |turn: &Turn| {
        format!(
            "{} {}",
            turn.what,
            either(turn.from.as_deref().unwrap_or(""), turn.to.as_deref().unwrap_or(""))
        )
    };
    match &cause.what {
        What::Lines(lines) => {
            let mut names: Vec<String> = lines
                .iter()
                .map(|(_, line)| {
                    let turns = match &line.change {
                        Change::Added(text) | Change::Removed(text) => text.clone(),
                        Change::Changed(turns) | Change::Moved { turns, .. } => {
                            let mut all: Vec<String> = turns.iter().map(turned).collect();
                            all.sort();
                            all.join(" ")
                        }
                        Change::Reordered => String::new(),
                    };
                    format!("{} {turns}", catalogue::fold(&line.subject))
                })
                .collect();
            names.sort();
            names.join(" ")
        }
        What::Field { name, turn, .. } => format!("{} {}", catalogue::fold(name), turned(turn)),
        What::Parent(_) | What::Unexplained | What::Several(_) | What::All => String::new(),
        What::Setting(key) => (*key).to_owned(),
        What::Reading(turn) => turned(turn),
    }
}

/// The players of the game, in groups of at most [`MOST_PLAYERS`].
fn players(causes: &[Cause]) -> Vec<Vec<u64>> {
    let bit = |at: usize| 1u64 << at;
    if causes.len() <= MOST_PLAYERS {
        return (0..causes.len()).map(|at| vec![bit(at)]).collect();
    }
    let mut order: Vec<usize> = (0..causes.len()).collect();
    order.sort_by_cached_key(|at| (shelf(&causes[*at]), name(&causes[*at])));
    let mut groups: Vec<(Shelf, Vec<u64>)> = Vec::new();
    for at in order {
        let key = shelf(&causes[at]);
        match groups.last_mut() {
            Some((last, list)) if *last == key => list.push(bit(at)),
            _ => groups.push((key, vec![bit(at)])),
        }
    }
    // Neighbours that are smallest together go together, those of one place first.
    while groups.len() > MOST_PLAYERS {
        let cost = |at: &usize| {
            let (one, next) = (&groups[*at], &groups[*at + 1]);
            (one.0.0 != next.0.0, one.1.len() + next.1.len(), *at)
        };
        let Some(at) = (0..groups.len() - 1).min_by_key(cost) else { break };
        let (_, more) = groups.remove(at + 1);
        groups[at].1.extend(more);
    }
    let outer = 1usize << (groups.len() - 1);
    let mut most = 1;
    while most < MOST_PLAYERS && outer << (most + 1) <= MOST_COALITIONS {
        most += 1;
    }
    groups
        .into_iter()
        .map(|(_, list)| {
            let size = list.len().div_ceil(most);
            list.chunks(size).map(|some| some.iter().fold(0, |all, one| all | one)).collect()
        })
        .collect()
}
