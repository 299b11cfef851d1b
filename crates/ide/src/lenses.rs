//! Remarks above lines: how often a definition is used, what the last tasting of a beer asked for.

use std::collections::{BTreeSet, HashMap};

use recipe::{DefPlace, FileId};
use syntax::ast::{Block, Placed};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};
use syntax::{Span, ast::Date};
use workspace::{FileState, Workspace};

use crate::names::{Target, mentions};
use crate::places::Location;

/// What a remark is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LensKind {
    /// How often a definition is used.
    Uses,
    /// What the last tasting of a beer asked for.
    Tasting,
}

/// A remark that can be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lens {
    /// The name it is about, in bytes of the file.
    pub span: Span,
    /// What about it.
    pub kind: LensKind,
}

/// A remark with the places it speaks of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// What is said.
    pub title: String,
    /// Where, in the order of the files.
    pub places: Vec<Location>,
}

/// The remarks a file can have: on each definition, and on each recipe whose tastings ask for something.
#[must_use]
pub fn lenses(workspace: &Workspace, file: FileId) -> Vec<Lens> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let mut found = Vec::new();
    for definition in &state.shelf.definitions {
        if let Some(placed) = state.tree.blocks.get(definition.place.anchor as usize) {
            found.push(Lens { span: definition.name_span.shift(placed.start), kind: LensKind::Uses });
        }
    }
    for (number, unit) in state.units.recipes.iter().enumerate() {
        let header = unit.blocks.first().and_then(|at| state.tree.blocks.get(*at as usize));
        if let Some(header) = header
            && last_wish(workspace, state, number).is_some()
        {
            let end = header.block.kind.word().len();
            let end = u32::try_from(end).unwrap_or(0);
            let indent = header.block.header().map_or(0, |entry| entry.span.start);
            let span = Span::new(indent, indent + end).shift(header.start);
            found.push(Lens { span, kind: LensKind::Tasting });
        }
    }
    found.sort_by_key(|lens| lens.span.start);
    found
}

/// What a lens says.
#[must_use]
pub fn remark(workspace: &Workspace, uses: &Uses, file: FileId, lens: Lens) -> Option<Remark> {
    let state = workspace.file(file)?;
    let at = state.tree.blocks.partition_point(|placed| placed.start <= lens.span.start).checked_sub(1)?;
    let at = u32::try_from(at).ok()?;
    match lens.kind {
        LensKind::Uses => {
            let definition =
                state.shelf.definitions.iter().find(|definition| definition.place.anchor == at)?;
            Some(used(uses, definition.place))
        }
        LensKind::Tasting => {
            let number = state.units.recipes.iter().position(|unit| unit.blocks.first() == Some(&at))?;
            let wish = last_wish(workspace, state, number)?;
            let of = if wish.log.is_empty() { String::new() } else { format!(" of {}", wish.log) };
            let on = wish.date.map_or_else(String::new, |date| format!(" on {date}"));
            Some(Remark {
                title: format!("the tasting{of}{on} asks: {}", wish.text),
                places: vec![wish.place],
            })
        }
    }
}

/// Where every definition of the files is named.
#[derive(Debug, Default)]
pub struct Uses(HashMap<DefPlace, Vec<(Location, Owner)>>);

/// What a line belongs to, by its number in its file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Owner {
    Recipe(usize),
    Gyle(usize),
    Definition(u32),
}

impl Owner {
    fn of(state: &FileState, offset: u32) -> Self {
        let at = state.tree.blocks.partition_point(|placed| placed.start <= offset);
        let at = u32::try_from(at.saturating_sub(1)).unwrap_or(u32::MAX);
        let units = &state.units;
        let recipe = units.recipes.iter().position(|unit| unit.blocks.contains(&at)).map(Self::Recipe);
        recipe
            .or_else(|| units.logs.iter().position(|unit| unit.blocks.contains(&at)).map(Self::Gyle))
            .unwrap_or(Self::Definition(at))
    }
}

impl Uses {
    /// Looks through all files.
    #[must_use]
    pub fn of(workspace: &Workspace) -> Self {
        let mut found: HashMap<DefPlace, Vec<(Location, Owner)>> = HashMap::new();
        for state in workspace.files() {
            let state = workspace.in_passing(state);
            for mention in mentions(workspace, &state) {
                if let Target::Definition(_, place) = mention.target
                    && !mention.declares
                    && matches!(place.file, FileId::Workspace(_))
                {
                    let here = Location { file: state.id, span: mention.span };
                    let owner = Owner::of(&state, mention.span.start);
                    found.entry(place).or_default().push((here, owner));
                }
            }
        }
        Self(found)
    }
}

fn used(uses: &Uses, place: DefPlace) -> Remark {
    let found = uses.0.get(&place).map_or(&[][..], Vec::as_slice);
    let owners: BTreeSet<(FileId, Owner)> = found.iter().map(|(place, owner)| (place.file, *owner)).collect();
    let count = |is: fn(&Owner) -> bool| owners.iter().filter(|(_, owner)| is(owner)).count();
    let counted = [
        (count(|owner| matches!(owner, Owner::Recipe(_))), "recipe"),
        (count(|owner| matches!(owner, Owner::Gyle(_))), "gyle"),
        (count(|owner| matches!(owner, Owner::Definition(_))), "definition"),
    ];
    let said: Vec<String> = counted
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, what)| format!("{count} {what}{}", if count == 1 { "" } else { "s" }))
        .collect();
    let title = if said.is_empty() { "not used".to_owned() } else { format!("used in {}", said.join(", ")) };
    Remark { title, places: found.iter().map(|(place, _)| *place).collect() }
}

/// What a tasting asks for.
struct Wish {
    log: String,
    date: Option<Date>,
    text: String,
    place: Location,
}

/// What the last tasting of a recipe's gyles that asks for anything does ask for: the last by its date, then
/// by its place.
fn last_wish(workspace: &Workspace, of: &FileState, number: usize) -> Option<Wish> {
    let is_of = |state: &FileState, log: &recipe::LogUnit| {
        matches!(
            workspace.recipes_named(state, &log.recipe_name, log.of.as_deref())[..],
            [(file, at)] if file == of.id && at == number
        )
    };
    let name = catalogue::fold(&of.units.recipes.get(number)?.name);
    let near = || workspace.files().filter(|state| state.config.root == of.config.root);
    let mut wishes = Vec::new();
    let mut ids = BTreeSet::new();
    for state in near() {
        for log in &state.units.logs {
            if catalogue::fold(&log.recipe_name) != name || !is_of(state, log) {
                continue;
            }
            ids.insert(log.id.clone());
            let blocks = log.blocks.iter().filter_map(|at| state.tree.blocks.get(*at as usize));
            wishes.extend(blocks.filter_map(|placed| wish(state.id, placed, &log.id)));
        }
    }
    for state in near() {
        for (id, at) in state.units.tastings.iter().filter(|(id, _)| ids.contains(id)) {
            let placed = state.tree.blocks.get(*at as usize);
            wishes.extend(placed.and_then(|placed| wish(state.id, placed, id)));
        }
    }
    // The last of those of one day.
    wishes.into_iter().max_by_key(|wish| wish.date)
}

fn wish(file: FileId, placed: &Placed, log: &str) -> Option<Wish> {
    let block: &Block = &placed.block;
    if block.kind != BlockKind::Tasting {
        return None;
    }
    let (_, entry) = block
        .entries()
        .find(|(_, entry)| entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Next))?;
    let text = block.slice(entry.text()?).trim().to_owned();
    let date =
        block.header().and_then(|header| header.clause(ClauseWord::On)).and_then(|clause| {
            match clause.value()?.kind {
                syntax::ast::ValueKind::Date(date) => Some(date),
                _ => None,
            }
        });
    let place = Location { file, span: entry.span.shift(placed.start) };
    (!text.is_empty()).then(|| Wish { log: log.to_owned(), date, text, place })
}

#[cfg(test)]
mod tests {
    use crate::fixture::{CELLAR, Fixture, OTHER};

    use super::*;

    fn said(fixture: &Fixture, file: FileId) -> Vec<(String, usize)> {
        let uses = Uses::of(&fixture.workspace);
        lenses(&fixture.workspace, file)
            .into_iter()
            .filter_map(|lens| remark(&fixture.workspace, &uses, file, lens))
            .map(|remark| (remark.title, remark.places.len()))
            .collect()
    }

    #[test]
    fn a_definition_says_how_often_it_is_used() {
        let fixture = Fixture::with(
            "# é\nrecipe \"Größe\"\ngrist\n  4 kg floor malt\n  1 kg saltmarsh floor malt\n",
            &[CELLAR, OTHER],
        );
        let cellar = fixture.workspace.file_at(std::path::Path::new(CELLAR.0));
        let seen = said(&fixture, cellar.unwrap_or(fixture.file));
        assert_eq!(seen, [("used in 2 recipes, 1 gyle".to_owned(), 5), ("used in 1 recipe".to_owned(), 1)]);
    }

    #[test]
    fn a_recipe_says_what_its_last_tasting_asked_for() {
        let text = "# é\nrecipe \"Größe\"\ngrist\n  4 kg floor malt\nmalt ü\n  colour 3 EBC\n\
            gyle 7 \"Größe\" on 2026-03-14\n  10:00 flameout\ntasting on 2026-04-11\n  next less crystal 🌾\n\
            tasting on 2026-04-02\n  next nothing\n";
        let apart = ("/r/c.gyle", "tasting of 7 on 2026-05-01\n  next weniger Größe\n");
        let own = Fixture::new(text);
        assert_eq!(
            said(&own, own.file),
            [
                ("the tasting of 7 on 2026-04-11 asks: less crystal 🌾".to_owned(), 1),
                ("not used".to_owned(), 0)
            ]
        );
        let both = Fixture::with(text, &[apart]);
        assert_eq!(said(&both, both.file)[0].0, "the tasting of 7 on 2026-05-01 asks: weniger Größe");
    }
}
