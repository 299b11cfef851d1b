//! A recipe between two others: each thing that differs as the one or as the other has it.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use figures::{Settings, Show};
use quantity::UnitId;
use recipe::{
    Alias, Amount, Definition, Fact, FactValue, FileId, Given, Origin, Quant, Recipe, Scope, Shelf, Thing,
};
use syntax::ast::{Block, Line};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::why::{Brewed, Cause, CauseGroup, Side, What};
use crate::{Change, LineChange, Turn, cellar, lines};

/// Entries that no figure reads.
const BESIDE_THE_FIGURES: &[&str] =
    &["style", "version", "date", "link", "licence", "brewer", "label", "allergens", "fermenter"];

/// More causes than this are held together, so that a coalition is a number.
const MOST: usize = 60;

/// A block of the first recipe and the one of the second that it belongs to.
struct Slot {
    before: Option<Arc<Block>>,
    after: Option<Arc<Block>>,
    how: How,
}

enum How {
    /// As the first has it.
    Same,
    /// Wholly the one or the other, by a cause.
    Whole(usize),
    /// Line by line: the cause, the line of the first block, the line of the second.
    Lines(Vec<(usize, Option<usize>, Option<usize>)>),
}

/// A value named at the top of the file: in the first recipe, in the second, and its cause.
type Let = (Option<Arc<Block>>, Option<Arc<Block>>, Option<usize>);

/// A name both look up, and what it stands for.
struct Named {
    name: Box<str>,
    before: Option<Arc<Definition>>,
    after: Option<Arc<Definition>>,
    /// Fields that differ, by their causes.
    fields: Vec<(Keyword, usize)>,
}

/// A setting: its key, and how it is taken from another.
type Setting = (&'static str, fn(&mut Settings, &Settings));

const SETTINGS: &[Setting] = &[
    ("bitterness", |to, from| to.bitterness = from.bitterness),
    ("bitterness-gravity", |to, from| to.bitterness_gravity = from.bitterness_gravity),
    ("pellet-factor", |to, from| to.pellet_factor = from.pellet_factor),
    ("first-wort-factor", |to, from| to.first_wort_factor = from.first_wort_factor),
    ("mash-hop-factor", |to, from| to.mash_hop_factor = from.mash_hop_factor),
    ("colour", |to, from| to.colour = from.colour),
    ("alcohol", |to, from| to.alcohol = from.alcohol),
    ("mash-effect", |to, from| to.mash_effect = from.mash_effect),
    ("chill-bitterness", |to, from| to.chill_bitterness = from.chill_bitterness),
    ("slaking-heat", |to, from| to.slaking_heat = from.slaking_heat),
    ("decoction-loss", |to, from| to.decoction_loss = from.decoction_loss),
    ("customary", |to, from| to.customary = from.customary),
];

/// A reading that stands in the place of what was planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Reading {
    Efficiency,
    Evaporation,
    Volume,
    Attenuation,
    Weighed,
}

/// Everything between two sides.
pub(crate) struct Hybrid<'a> {
    before: Side<'a>,
    after: Side<'a>,
    /// What differs; bit by bit of a coalition.
    pub(crate) causes: Vec<Cause>,
    slots: Vec<Slot>,
    lets: Vec<Let>,
    names: Vec<Named>,
    parent: Option<usize>,
    settings: Vec<(usize, Setting)>,
    readings: Vec<(usize, Reading)>,
    /// Blocks of lines of both that were made already: the slot, which of its causes are on, the block above.
    mixed: Mutex<HashMap<(usize, u64, BlockKind), Arc<Block>>>,
}

impl<'a> Hybrid<'a> {
    pub(crate) fn new(before: Side<'a>, after: Side<'a>) -> Self {
        let mut made = Self {
            before,
            after,
            causes: Vec::new(),
            slots: Vec::new(),
            lets: Vec::new(),
            names: Vec::new(),
            parent: None,
            settings: Vec::new(),
            readings: Vec::new(),
            mixed: Mutex::default(),
        };
        made.lines();
        made.parents();
        made.definitions();
        made.models();
        made.process();
        made
    }

    fn cause(&mut self, group: CauseGroup, what: What) -> usize {
        // What is too much to tell apart counts as one with the last of its group.
        if self.causes.len() >= MOST
            && let Some(at) = self.causes.iter().rposition(|cause| cause.group == group)
        {
            match (&mut self.causes[at].what, what) {
                (What::Lines(list), What::Lines(more)) => list.extend(more),
                (kept, _) => kept.and_more(),
            }
            return at;
        }
        self.causes.push(Cause { group, what });
        self.causes.len() - 1
    }

    /// Lines of the recipes that differ.
    fn lines(&mut self) {
        let (old, new) = (self.before.recipe, self.after.recipe);
        self.slots = slots(old, new);
        let mut changes: Vec<(BlockKind, LineChange)> = Vec::new();
        for section in lines::sections(old, new, None) {
            for line in section.lines {
                let beside = match section.kind {
                    BlockKind::Expect => catalogue::fold(&line.subject) != "og",
                    BlockKind::Recipe => BESIDE_THE_FIGURES.contains(&&*line.subject),
                    _ => false,
                };
                if !beside {
                    changes.push((section.kind, line));
                }
            }
        }
        let one_let = |recipe: &Recipe, name: &str| {
            recipe
                .lets
                .iter()
                .find(|one| one.place.is_none() && &*one.name == name)
                .map(|one| Arc::clone(&one.block))
        };
        let mut let_names: Vec<&str> = Vec::new();
        for one in old.lets.iter().chain(&new.lets).filter(|one| one.place.is_none()) {
            if !let_names.contains(&&*one.name) {
                let_names.push(&one.name);
            }
        }
        self.lets = let_names.iter().map(|name| (one_let(old, name), one_let(new, name), None)).collect();
        // Which slots each change touches.
        let slot_of = |slots: &[Slot], block: Option<&Arc<Block>>, first: bool| {
            let block = block?;
            slots.iter().position(|slot| {
                let own = if first { &slot.before } else { &slot.after };
                own.as_ref().is_some_and(|own| Arc::ptr_eq(own, block))
            })
        };
        let touched: Vec<(Option<usize>, Option<usize>)> = changes
            .iter()
            .map(|(_, change)| {
                let block = |recipe: &Recipe, place: Option<recipe::Place>| {
                    recipe.blocks.get(usize::from(place?.block)).cloned()
                };
                (
                    slot_of(&self.slots, block(old, change.before).as_ref(), true),
                    slot_of(&self.slots, block(new, change.after).as_ref(), false),
                )
            })
            .collect();
        // Steps that came, went or changed places go with their block, and so does a block that only one has;
        // where the parts of a split are others, the recipe goes as one.
        let other_parts = labels(old) != labels(new);
        let whole: Vec<bool> = self
            .slots
            .iter()
            .enumerate()
            .map(|(at, slot)| {
                let ordered = slot.before.as_ref().or(slot.after.as_ref()).is_some_and(|block| {
                    lines::IN_ORDER.contains(&block.entries_as) || block.entries_as == BlockKind::Sour
                });
                let stirred = || {
                    changes.iter().zip(&touched).any(|((_, change), (a, b))| {
                        (*a == Some(at) || *b == Some(at)) && !matches!(change.change, Change::Changed(_))
                    })
                };
                other_parts || slot.before.is_none() || slot.after.is_none() || ordered && stirred()
            })
            .collect();
        // Changes that touch one whole block are one cause.
        let mut group: Vec<usize> = (0..changes.len()).collect();
        for (at, (a, b)) in touched.iter().enumerate() {
            for slot in [a, b].into_iter().flatten().filter(|slot| whole[**slot]) {
                let first =
                    touched.iter().position(|(c, d)| other_parts || *c == Some(*slot) || *d == Some(*slot));
                if let Some(first) = first {
                    let (one, other) = (group[first], group[at]);
                    group.iter_mut().filter(|one_of| **one_of == other).for_each(|one_of| *one_of = one);
                }
            }
        }
        // Without a yeast there is no beer: one that goes and one that comes are one change.
        let yeast = |at: usize| {
            let (kind, change) = &changes[at];
            *kind == BlockKind::Pitch && !matches!(change.change, Change::Changed(_))
        };
        for at in (0..changes.len()).filter(|at| yeast(*at)) {
            let place = |at: usize| touched[at].0.or(touched[at].1);
            if let Some(first) = (0..at).find(|first| yeast(*first) && place(*first) == place(at)) {
                let (one, other) = (group[first], group[at]);
                group.iter_mut().filter(|of| **of == other).for_each(|of| *of = one);
            }
        }
        let mut cause_of: Vec<Option<usize>> = vec![None; changes.len()];
        let mut firsts: Vec<usize> = group.clone();
        firsts.sort_unstable();
        firsts.dedup();
        for first in firsts {
            let members: Vec<usize> = (0..changes.len()).filter(|at| group[*at] == first).collect();
            let list: Vec<_> = members.iter().map(|at| changes[*at].clone()).collect();
            let house =
                list.iter().all(|(kind, line)| *kind == BlockKind::Recipe && line.subject == "brewhouse");
            let group = if house { CauseGroup::Brewhouse } else { CauseGroup::Recipe };
            let cause = self.cause(group, What::Lines(list));
            for at in members {
                cause_of[at] = Some(cause);
            }
        }
        for (at, (kind, change)) in changes.iter().enumerate() {
            let Some(cause) = cause_of[at] else { continue };
            if *kind == BlockKind::Let
                && change
                    .before
                    .or(change.after)
                    .is_some_and(|place| place == old.name_place || place == new.name_place)
            {
                let named = let_names.iter().position(|name| **name == *change.subject);
                if let Some(slot) = named.and_then(|at| self.lets.get_mut(at)) {
                    slot.2 = Some(cause);
                }
                continue;
            }
            let line_of = |recipe: &Recipe, place: Option<recipe::Place>| {
                let place = place?;
                let block = recipe.blocks.get(usize::from(place.block))?;
                block
                    .lines
                    .iter()
                    .position(|line| line.span.start <= place.span.start && place.span.start < line.end)
            };
            let (a, b) = touched[at];
            let (old_line, new_line) = (line_of(old, change.before), line_of(new, change.after));
            let mut add = |slot: usize, old_line, new_line| match &mut self.slots[slot].how {
                How::Whole(_) => {}
                how if whole[slot] => *how = How::Whole(cause),
                How::Lines(list) => list.push((cause, old_line, new_line)),
                how @ How::Same => *how = How::Lines(vec![(cause, old_line, new_line)]),
            };
            match (a, b) {
                (Some(a), Some(b)) if a == b => add(a, old_line, new_line),
                (a, b) => {
                    if let Some(a) = a {
                        add(a, old_line, None);
                    }
                    if let Some(b) = b {
                        add(b, None, new_line);
                    }
                }
            }
        }
        // The parts change as one, wherever a block says nothing by itself.
        if other_parts && let Some(cause) = cause_of.iter().flatten().next() {
            for slot in &mut self.slots {
                slot.how = How::Whole(*cause);
            }
        }
    }

    /// The recipe whose mash is taken.
    fn parents(&mut self) {
        if let (Some(old), Some(new)) = (&self.before.recipe.from_recipe, &self.after.recipe.from_recipe) {
            let comparison = crate::compare(
                crate::Side { recipe: old, settings: self.before.settings },
                crate::Side { recipe: new, settings: self.before.settings },
            );
            if !comparison.is_empty() {
                self.parent = Some(self.cause(CauseGroup::Recipe, What::Parent(new.name.clone())));
            }
        }
    }

    /// Definitions both name and that differ.
    fn definitions(&mut self) {
        let (old, new) = (self.before.recipe.things(), self.after.recipe.things());
        let mut causes: Vec<(Box<str>, BlockKind, Keyword, usize)> = Vec::new();
        for thing in old.iter().chain(&new) {
            let folded = catalogue::fold(&thing.name);
            if self
                .names
                .iter()
                .any(|known| catalogue::fold(&known.name) == folded && known.kind() == thing.kind())
            {
                continue;
            }
            let of = |list: &[&Thing]| {
                let known = list.iter().filter(|one| catalogue::fold(&one.name) == folded);
                known.filter_map(|one| one.definition.clone()).find(|one| Some(one.kind) == thing.kind())
            };
            let (before, after) = (of(&old), of(&new));
            let mut fields = Vec::new();
            if let (Some(before), Some(after)) = (&before, &after)
                && before.kind != BlockKind::Style
            {
                for (key, turn) in cellar::turns(before, after) {
                    let known = causes
                        .iter()
                        .find(|(name, kind, of, _)| *name == after.name && *kind == after.kind && *of == key);
                    let cause = known.map(|(.., cause)| *cause).unwrap_or_else(|| {
                        let group = if after.kind == BlockKind::BrewhouseBlock {
                            CauseGroup::Brewhouse
                        } else {
                            CauseGroup::Cellar
                        };
                        let what = What::Field { kind: after.kind, name: thing.name.clone(), turn };
                        let cause = self.cause(group, what);
                        causes.push((after.name.clone(), after.kind, key, cause));
                        cause
                    });
                    fields.push((key, cause));
                }
            }
            self.names.push(Named { name: thing.name.clone(), before, after, fields });
        }
    }

    fn models(&mut self) {
        for setting in SETTINGS {
            let mut taken = self.before.settings.clone();
            setting.1(&mut taken, self.after.settings);
            if taken != *self.before.settings {
                let cause = self.cause(CauseGroup::Models, What::Setting(setting.0));
                self.settings.push((cause, *setting));
            }
        }
    }

    /// What was measured in place of what was planned.
    fn process(&mut self) {
        let none = Brewed::default();
        let (before, after) = (self.before.brewed.unwrap_or(&none), self.after.brewed.unwrap_or(&none));
        let percent = |parts: f64| Show::Share.with_unit(parts);
        let weighed = |brewed: &Brewed| {
            let list: Vec<String> = brewed
                .weighed
                .iter()
                .map(|(name, kg)| format!("{} {name}", Show::Mass.with_unit(*kg)))
                .collect();
            (!list.is_empty()).then(|| list.join(", "))
        };
        type Said<'s> = &'s dyn Fn(&Brewed) -> Option<String>;
        let all: [(Reading, &str, Said<'_>); 5] = [
            (Reading::Efficiency, "mash efficiency", &|of| of.mash_efficiency.map(percent)),
            (Reading::Evaporation, "evaporation", &|of| {
                of.evaporation.map(|one| Show::Evaporation.with_unit(one))
            }),
            (Reading::Volume, "volume in the fermenter", &|of| {
                of.volume.map(|one| Show::Volume.with_unit(one))
            }),
            (Reading::Attenuation, "apparent attenuation", &|of| of.attenuation.map(percent)),
            (Reading::Weighed, "grist", &weighed),
        ];
        for (reading, what, said) in all {
            let differs = match reading {
                Reading::Efficiency => before.mash_efficiency != after.mash_efficiency,
                Reading::Evaporation => before.evaporation != after.evaporation,
                Reading::Volume => before.volume != after.volume,
                Reading::Attenuation => before.attenuation != after.attenuation,
                Reading::Weighed => before.weighed != after.weighed,
            };
            if differs {
                let turn = Turn { what: what.to_owned(), from: said(before), to: said(after) };
                let cause = self.cause(CauseGroup::Readings, What::Reading(turn));
                self.readings.push((cause, reading));
            }
        }
    }

    /// Every reading, as a coalition.
    pub(crate) fn readings(&self) -> u64 {
        self.readings.iter().fold(0, |all, (cause, _)| all | 1 << cause)
    }

    /// The recipe and the settings in which these causes are as the second side has them.
    pub(crate) fn between(&self, on: u64) -> (Recipe, Settings) {
        let is_on = |cause: usize| on >> cause & 1 == 1;
        let mut settings = self.before.settings.clone();
        for (cause, setting) in &self.settings {
            if is_on(*cause) {
                setting.1(&mut settings, self.after.settings);
            }
        }
        let mut blocks: Vec<Arc<Block>> = Vec::new();
        for (at, slot) in self.slots.iter().enumerate() {
            let above = blocks.last().map_or(BlockKind::Preamble, |block| block.entries_as);
            match &slot.how {
                How::Same => blocks.extend(slot.before.clone().or(slot.after.clone())),
                How::Whole(cause) => {
                    blocks.extend(if is_on(*cause) { slot.after.clone() } else { slot.before.clone() });
                }
                How::Lines(changes) => {
                    let (Some(before), Some(after)) = (&slot.before, &slot.after) else { continue };
                    // Few blocks come in many coalitions.
                    let own = changes.iter().fold(0, |all, (cause, ..)| all | 1 << cause);
                    let key = (at, on & own, above);
                    let known = self.mixed.lock().ok().and_then(|known| known.get(&key).cloned());
                    let block = known.unwrap_or_else(|| mixed(before, after, changes, &is_on, above));
                    if let Ok(mut known) = self.mixed.lock() {
                        known.insert(key, Arc::clone(&block));
                    }
                    blocks.push(block);
                }
            }
        }
        let lets: Vec<Arc<Block>> = self
            .lets
            .iter()
            .filter_map(|(before, after, cause)| {
                if cause.is_some_and(&is_on) {
                    after.clone()
                } else {
                    before.clone().or(after.clone().filter(|_| cause.is_none()))
                }
            })
            .collect();
        let definitions = self.names.iter().filter_map(|named| named.between(&is_on));
        let shelf = Shelf::of_definitions(FileId::Workspace(u32::MAX), definitions);
        let reading = recipe::Settings { customary: settings.customary };
        let mut made = recipe::build_recipe(&blocks, &lets, &Scope::new([Arc::new(shelf)]), &reading);
        let parents = (&self.before.recipe.from_recipe, &self.after.recipe.from_recipe);
        made.from_recipe = match (self.parent.map(is_on), made.from.is_some()) {
            (_, false) => None,
            (Some(false), true) => parents.0.clone(),
            (Some(true), true) => parents.1.clone(),
            (None, true) => parents.0.clone().or(parents.1.clone()),
        };
        self.measure(&mut made, &is_on);
        (made, settings)
    }

    /// Puts readings in the place of what was planned.
    fn measure(&self, recipe: &mut Recipe, is_on: &dyn Fn(usize) -> bool) {
        let none = Brewed::default();
        let (before, after) = (self.before.brewed.unwrap_or(&none), self.after.brewed.unwrap_or(&none));
        let of = |reading: Reading| {
            let turned = self.readings.iter().any(|(cause, one)| *one == reading && is_on(*cause));
            if turned { after } else { before }
        };
        let origin = Origin::Here(recipe.name_place);
        let fact = |key, value, unit| Fact {
            key,
            value: FactValue::Number(Quant { value, unit: Some(unit), spread: 0.0 }),
            origin: origin.clone(),
        };
        let mut house = Vec::new();
        house.extend(
            of(Reading::Efficiency)
                .mash_efficiency
                .map(|parts| fact(Keyword::MashEfficiency, parts, UnitId::PERCENT)),
        );
        house.extend(
            of(Reading::Evaporation)
                .evaporation
                .map(|litres| fact(Keyword::Evaporation, litres / 60.0, UnitId::L_PER_H)),
        );
        if !house.is_empty() {
            let thing = recipe.brewhouse.get_or_insert_with(|| Thing {
                name: "".into(),
                place: recipe.name_place,
                definition: None,
                loose: false,
                own: Vec::new(),
                flags: Vec::new(),
                substitutes: Vec::new(),
            });
            thing.own.splice(0..0, house);
        }
        if let Some(litres) = of(Reading::Volume).volume {
            recipe.batch = Some(Given { value: litres, spread: 0.0, origin: origin.clone() });
        }
        if let Some(parts) = of(Reading::Attenuation).attenuation {
            for line in recipe.parts.iter_mut().flat_map(|part| &mut part.pitch.lines) {
                if line.thing.kind() == Some(BlockKind::Yeast) {
                    line.thing.own.insert(0, fact(Keyword::Attenuation, parts, UnitId::PERCENT));
                }
            }
        }
        for (name, kg) in &of(Reading::Weighed).weighed {
            let line = recipe.grist.iter_mut().find(|line| catalogue::fold(&line.thing.name) == *name);
            if let Some(line) = line {
                line.amount = Amount::Of(Quant { value: *kg, unit: Some(UnitId::KG), spread: 0.0 });
            }
        }
    }
}

impl Named {
    fn kind(&self) -> Option<BlockKind> {
        self.before.as_ref().or(self.after.as_ref()).map(|one| one.kind)
    }

    fn between(&self, is_on: &dyn Fn(usize) -> bool) -> Option<Arc<Definition>> {
        let base = self.before.as_ref().or(self.after.as_ref())?;
        let mut made = Definition::clone(base);
        made.aliases = vec![Alias { name: self.name.clone(), loose: false, span: made.name_span }];
        made.like = None;
        made.problems.clear();
        if let Some(after) = &self.after {
            for (key, cause) in &self.fields {
                if is_on(*cause) {
                    made.facts.retain(|fact| fact.key != *key);
                    made.facts.extend(after.facts_of(*key).cloned());
                }
            }
        }
        Some(Arc::new(made))
    }
}

fn labels(recipe: &Recipe) -> Vec<Option<String>> {
    recipe.parts.iter().map(|part| part.label.as_ref().map(|(label, _)| catalogue::fold(label))).collect()
}

/// The blocks of both recipes side by side, in the order of the first.
fn slots(old: &Recipe, new: &Recipe) -> Vec<Slot> {
    let keys = |recipe: &Recipe| -> Vec<(BlockKind, Option<String>, usize)> {
        let (mut part, mut labels) = (None, labels(recipe).into_iter());
        let mut out: Vec<(BlockKind, Option<String>, usize)> = Vec::new();
        for block in &recipe.blocks {
            let kind = block.entries_as;
            if block.kind == BlockKind::Split {
                part = labels.next().flatten();
            }
            let count = out.iter().filter(|(other, of, _)| *other == kind && *of == part).count();
            out.push((kind, part.clone(), count));
        }
        out
    };
    let (old_keys, new_keys) = (keys(old), keys(new));
    let mut slots: Vec<Slot> = old
        .blocks
        .iter()
        .zip(&old_keys)
        .filter(|(block, _)| block.entries_as != BlockKind::Notes)
        .map(|(block, key)| {
            let at = new_keys.iter().position(|other| other == key);
            let after = at.and_then(|at| new.blocks.get(at)).cloned();
            Slot { before: Some(Arc::clone(block)), after, how: How::Same }
        })
        .collect();
    let mut behind = 0;
    for (block, key) in new.blocks.iter().zip(&new_keys) {
        let found =
            slots.iter().position(|slot| slot.after.as_ref().is_some_and(|after| Arc::ptr_eq(after, block)));
        if let Some(found) = found {
            behind = found + 1;
        } else if block.entries_as != BlockKind::Notes && !old_keys.contains(key) {
            slots.insert(behind, Slot { before: None, after: Some(Arc::clone(block)), how: How::Same });
            behind += 1;
        }
    }
    slots
}

fn text<'b>(block: &'b Block, line: &Line) -> &'b str {
    block.slice(line.span)
}

/// The first block with those lines of the second whose causes are on.
fn mixed(
    before: &Block,
    after: &Block,
    changes: &[(usize, Option<usize>, Option<usize>)],
    is_on: &dyn Fn(usize) -> bool,
    above: BlockKind,
) -> Arc<Block> {
    let mut out = String::with_capacity(before.text.len() + 64);
    let mut push = |line: &str| {
        out.push_str(line);
        out.push('\n');
    };
    for (at, line) in before.lines.iter().enumerate() {
        match changes.iter().find(|(_, old, _)| *old == Some(at)) {
            Some((cause, _, new)) if is_on(*cause) => {
                if let Some(line) = new.and_then(|new| after.lines.get(new)) {
                    push(text(after, line));
                }
            }
            _ => push(text(before, line)),
        }
    }
    for (cause, old, new) in changes {
        if old.is_none()
            && is_on(*cause)
            && let Some(line) = new.and_then(|new| after.lines.get(new))
        {
            push(text(after, line));
        }
    }
    Arc::new(syntax::parse_block(&out, above))
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use figures::{Calc, FigureId, Scope as Of};
    use recipe::Units;

    use super::*;

    /// The recipes of the demo with its cellar.
    fn demo() -> Vec<Recipe> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/saltmarsh");
        let texts = |name: &str| -> Vec<String> {
            let mut paths: Vec<_> =
                fs::read_dir(folder.join(name)).expect("the demo").flatten().map(|one| one.path()).collect();
            paths.sort();
            paths.iter().map(|path| fs::read_to_string(path).expect("a text")).collect()
        };
        let mut cellar = Vec::new();
        for (at, text) in (0..).zip(texts("cellar")) {
            cellar.push(Arc::new(Shelf::new(FileId::Workspace(at), &syntax::parse(&text), None)));
        }
        let mut recipes = Vec::new();
        for (at, text) in (100..).zip(texts("recipes")) {
            let file = syntax::parse(&text);
            let units = Units::of(&file);
            let blocks = |list: &[u32]| -> Vec<Arc<Block>> {
                list.iter().map(|at| Arc::clone(&file.blocks[*at as usize].block)).collect()
            };
            let own = Arc::new(Shelf::new(FileId::Workspace(at), &file, None));
            let scope = Scope::new([own].into_iter().chain(cellar.iter().cloned()));
            for unit in &units.recipes {
                let settings = recipe::Settings::default();
                recipes.push(recipe::build_recipe(
                    &blocks(&unit.blocks),
                    &blocks(&units.lets),
                    &scope,
                    &settings,
                ));
            }
        }
        recipes
    }

    /// With nothing turned it is the first recipe, with everything turned the second.
    #[test]
    fn both_ends_are_the_recipes_themselves() {
        let (recipes, settings) = (demo(), Settings::default());
        let mut compared = 0;
        for first in &recipes {
            for second in &recipes {
                let side = |recipe| Side { recipe, settings: &settings, brewed: None };
                let hybrid = Hybrid::new(side(first), side(second));
                for (on, want) in [(0, first), ((1 << hybrid.causes.len()) - 1, second)] {
                    let (made, taken) = hybrid.between(on);
                    assert_eq!(taken, settings);
                    assert_eq!(made.parts.len(), want.parts.len());
                    for part in 0..want.parts.len() {
                        let (made, want) =
                            (Calc::of_part(&made, &settings, part), Calc::of_part(want, &settings, part));
                        for id in FigureId::ALL.iter().filter(|id| id.scope() == Of::Plan) {
                            let names = || format!("{} to {}, {:?}", first.name, second.name, id);
                            match (made.value(*id), want.value(*id)) {
                                (Ok(made), Ok(want)) => {
                                    compared += 1;
                                    assert!(
                                        (made - want).abs() <= 1e-9 * want.abs().max(1.0),
                                        "{}: {made} {want}",
                                        names()
                                    );
                                }
                                (made, want) => assert_eq!(made.is_ok(), want.is_ok(), "{}", names()),
                            }
                        }
                    }
                }
            }
        }
        assert!(compared > 5000, "{compared} figures compared");
    }
}
