//! Names and what they stand for: where each is given, and everywhere it is used.

use core::ops::Range;
use std::sync::Arc;

use recipe::{DefPlace, Definition, FileId, Found, Scope, each_name, named_kinds};
use syntax::Span;
use syntax::ast::{Block, Body, ClausePart, Entry, Form, Name, PropKind, Value, ValueKind};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword, Slot};
use workspace::{FileState, Workspace};

use crate::places::{Location, definition_place};

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    /// A malt, hop and so on.
    Definition(BlockKind, DefPlace),
    /// A recipe, by its number in its file.
    Recipe(FileId, usize),
    /// A log, by its number in its file.
    Log(FileId, usize),
    /// A value, by the place where it is named.
    Let(FileId, u32),
    /// A file.
    File(FileId),
}

/// A name as it stands in a file.
#[derive(Clone, Debug)]
pub(crate) struct Mention {
    /// The words, without quotes, in bytes of the file.
    pub(crate) span: Span,
    /// What they stand for.
    pub(crate) target: Target,
    /// Where that gets its name.
    pub(crate) home: Location,
    /// Whether the name is given here.
    pub(crate) declares: bool,
    /// Whether it stands in quotes.
    pub(crate) quoted: bool,
}

/// Every name of a file that stands for something.
pub(crate) fn mentions(workspace: &Workspace, state: &FileState) -> Vec<Mention> {
    mentions_in(workspace, state, 0..state.tree.blocks.len())
}

/// Those of some blocks, by their numbers.
pub(crate) fn mentions_in(workspace: &Workspace, state: &FileState, blocks: Range<usize>) -> Vec<Mention> {
    let mut reader =
        Reader { workspace, state, scope: workspace.scope(state), plan: None, at: 0, list: Vec::new() };
    let first = blocks.start;
    for (at, placed) in state.tree.blocks.get(blocks).unwrap_or_default().iter().enumerate() {
        let at = first + at;
        reader.at = at;
        reader.plan = reader.plan_of(at);
        for line in &placed.block.lines {
            match &line.body {
                Body::Header(entry) => reader.header(&placed.block, entry),
                Body::Entry(entry) => reader.entry(&placed.block, entry),
                _ => {}
            }
        }
    }
    reader.list
}

/// The name at a byte of a file.
pub(crate) fn mention_at(workspace: &Workspace, file: FileId, offset: u32) -> Option<Mention> {
    if let FileId::Catalogue(at) = file {
        return built_in_at(workspace, at, offset);
    }
    let state = workspace.file(file)?;
    let mut touching: Vec<Mention> =
        mentions(workspace, state).into_iter().filter(|mention| mention.span.touches(offset)).collect();
    // Of two that meet here the one that begins is meant.
    touching.sort_by_key(|mention| mention.span.end == offset);
    touching.into_iter().next()
}

/// The name of a built-in definition at a byte of a file of the built-in library.
fn built_in_at(workspace: &Workspace, at: u8, offset: u32) -> Option<Mention> {
    let here = |entry: &catalogue::Entry| {
        entry.file == usize::from(at) && (entry.start..=entry.end).contains(&(offset as usize))
    };
    let entry = catalogue::Kind::ALL.into_iter().flat_map(catalogue::definitions).find(here)?;
    let kind = BlockKind::ALL
        .iter()
        .copied()
        .find(|kind| kind.is_definition() && kind.word() == entry.kind.word())?;
    let found = Scope::new([]).find_folded(kind, &catalogue::fold(entry.name))?;
    let home = definition_place(workspace, &found.definition)?;
    let target = Target::Definition(kind, found.definition.place);
    home.span.touches(offset).then_some(Mention {
        span: home.span,
        target,
        home,
        declares: true,
        quoted: false,
    })
}

struct Reader<'a> {
    workspace: &'a Workspace,
    state: &'a FileState,
    scope: &'a Scope,
    /// The names the recipe of a log knows.
    plan: Option<&'a Scope>,
    /// The block in hand.
    at: usize,
    list: Vec<Mention>,
}

impl<'a> Reader<'a> {
    /// The scope of the recipe that the log of a block follows.
    fn plan_of(&self, at: usize) -> Option<&'a Scope> {
        let at = u32::try_from(at).ok()?;
        let log = self.state.units.logs.iter().find(|log| log.blocks.contains(&at))?;
        let [(file, _)] = self.workspace.recipes_named(self.state, &log.recipe_name, log.of.as_deref())[..]
        else {
            return None;
        };
        Some(self.workspace.scope(self.workspace.file(file)?))
    }

    fn start(&self) -> u32 {
        self.state.tree.blocks.get(self.at).map_or(0, |placed| placed.start)
    }

    fn push(&mut self, block: &Block, span: Span, target: Target, home: Location, declares: bool) {
        let quoted = block.text.get(..span.start as usize).is_some_and(|before| before.ends_with(QUOTES));
        let span = span.shift(self.start());
        self.list.push(Mention { span, target, home, declares, quoted });
    }

    /// A name that is given here.
    fn declare(&mut self, block: &Block, span: Span, target: Target) {
        let home = Location { file: self.state.id, span: span.shift(self.start()) };
        self.push(block, span, target, home, true);
    }

    fn header(&mut self, block: &Block, entry: &Entry) {
        let at = u32::try_from(self.at).unwrap_or(u32::MAX);
        let id = self.state.id;
        match block.kind {
            BlockKind::Recipe => {
                let own = self.state.units.recipes.iter().position(|unit| unit.blocks.first() == Some(&at));
                if let (Some(number), Some(span)) = (own, string(entry.values())) {
                    self.declare(block, span, Target::Recipe(id, number));
                }
            }
            BlockKind::Gyle => {
                let own = self.state.units.logs.iter().position(|unit| unit.blocks.first() == Some(&at));
                if let (Some(number), Some(name)) = (own, entry.name()) {
                    self.declare(block, name.span, Target::Log(id, number));
                }
                let of = entry.clause(ClauseWord::Of).and_then(|clause| clause_string(&clause.parts));
                if let Some(span) = string(entry.values()) {
                    self.recipe(block, span, of.map(|of| block.slice(of)));
                }
                if let Some(span) = of {
                    self.path(block, span);
                }
            }
            BlockKind::Tasting => {
                if let Some(name) = entry.clause(ClauseWord::Of).and_then(|clause| clause.name()) {
                    self.log(block, name.span);
                }
            }
            BlockKind::Use => {
                if let Some(span) = string(entry.values()) {
                    self.path(block, span);
                }
            }
            BlockKind::Let => {
                if let Some(name) = entry.name() {
                    self.declare(block, name.span, Target::Let(id, self.start() + name.span.start));
                }
            }
            kind if kind.is_definition() => {
                if let Some(definition) = self.own_definition() {
                    self.declare(block, definition.name_span, Target::Definition(kind, definition.place));
                }
            }
            _ => {}
        }
        self.values(block, entry);
    }

    /// The definition of the block in hand.
    fn own_definition(&self) -> Option<Arc<Definition>> {
        let at = u32::try_from(self.at).ok()?;
        self.state.shelf.definitions.iter().find(|definition| definition.place.anchor == at).cloned()
    }

    fn entry(&mut self, block: &Block, entry: &Entry) {
        let kind = block.entries_as;
        self.values(block, entry);
        let keyword = entry.keyword.map(|keyword| keyword.node);
        match (entry.form, keyword) {
            (Form::Let, _) => {
                if let Some(name) = entry.name() {
                    self.declare(
                        block,
                        name.span,
                        Target::Let(self.state.id, self.start() + name.span.start),
                    );
                }
            }
            (Form::Item, _) => self.thing(block, entry, named_kinds(kind, None)),
            (_, Some(Keyword::Style)) if kind == BlockKind::Recipe => {
                if let Some(span) = entry.text() {
                    self.resolve(block, span, named_kinds(kind, keyword));
                }
            }
            (_, Some(Keyword::From)) if kind == BlockKind::Recipe => {
                if let Some(span) = string(entry.values()) {
                    self.recipe(block, span, None);
                }
            }
            (_, Some(Keyword::Alias)) if kind.is_definition() => {
                if let (Some(definition), Some(name)) = (self.own_definition(), entry.name())
                    && block.kind == kind
                {
                    self.declare(block, name.span, Target::Definition(kind, definition.place));
                }
            }
            (_, Some(Keyword::Like)) if kind.is_definition() => {
                if let (Some(own), Some(name)) = (self.own_definition(), entry.name()) {
                    // One that is like its own name means the next of that name.
                    let itself = catalogue::same(block.slice(name.span), &own.name)
                        || own
                            .aliases
                            .iter()
                            .any(|alias| catalogue::same(block.slice(name.span), &alias.name));
                    if !itself {
                        self.resolve(block, name.span, &[kind]);
                    }
                }
            }
            (_, Some(keyword)) => {
                let spec =
                    kind.spec().and_then(|spec| spec.entries.iter().find(|one| one.keyword == keyword));
                let Some(spec) = spec else { return };
                if spec.takes.iter().any(is_name) {
                    self.thing(block, entry, named_kinds(kind, Some(keyword)));
                }
                for clause in entry.clauses() {
                    let takes = spec.clause(clause.word).map_or(&[][..], |clause| clause.takes);
                    let kinds: &[BlockKind] = match clause.word {
                        ClauseWord::With if takes.iter().any(is_name) => &[BlockKind::Sugar],
                        ClauseWord::For if keyword == Keyword::Instead => named_kinds(kind, Some(keyword)),
                        _ => continue,
                    };
                    if let Some(name) = clause.name() {
                        self.resolve(block, name.span, kinds);
                    }
                }
            }
            _ => {}
        }
    }

    /// The thing named on a line, and its substitutes.
    fn thing(&mut self, block: &Block, entry: &Entry, kinds: &[BlockKind]) {
        if let Some(name) = entry.name() {
            self.resolve(block, name.span, kinds);
        }
        let substitutes: Vec<Name> = entry
            .props()
            .filter_map(|prop| match prop.kind {
                PropKind::Or(name) => Some(name),
                _ => None,
            })
            .collect();
        for name in substitutes {
            self.resolve(block, name.span, kinds);
        }
    }

    /// A name looked up as one kind after the other.
    fn resolve(&mut self, block: &Block, span: Span, kinds: &[BlockKind]) {
        let folded = catalogue::fold(block.slice(span));
        let find = |scope: &Scope| -> Option<Found> {
            kinds.iter().find_map(|kind| scope.find_folded(*kind, &folded))
        };
        let Some(found) = self.plan.and_then(find).or_else(|| find(self.scope)) else { return };
        let definition = &found.definition;
        let Some(home) = definition_place(self.workspace, definition) else { return };
        self.push(block, span, Target::Definition(definition.kind, definition.place), home, false);
    }

    /// A recipe called by its name; by none where several have it.
    fn recipe(&mut self, block: &Block, span: Span, of: Option<&str>) {
        let found = self.workspace.recipes_named(self.state, block.slice(span), of);
        let [(file, number)] = found[..] else { return };
        let Some(home) = recipe_home(self.workspace, file, number) else { return };
        self.push(block, span, Target::Recipe(file, number), home, false);
    }

    /// A log called by its id, in this file first.
    fn log(&mut self, block: &Block, span: Span) {
        let id = block.slice(span);
        let in_file = |state: &FileState| {
            let number = state.units.logs.iter().rposition(|log| *log.id == *id)?;
            Some((state.id, number))
        };
        let own_root = |state: &&Arc<FileState>| state.config.root == self.state.config.root;
        let found = in_file(self.state)
            .or_else(|| self.workspace.files().filter(own_root).find_map(|state| in_file(state)));
        let Some((file, number)) = found else { return };
        let Some(home) = log_home(self.workspace, file, number) else { return };
        self.push(block, span, Target::Log(file, number), home, false);
    }

    fn path(&mut self, block: &Block, span: Span) {
        let path = Workspace::path_written(self.state, block.slice(span));
        let Some(file) = self.workspace.file_at(&path) else { return };
        self.push(block, span, Target::File(file), Location { file, span: Span::at(0) }, false);
    }

    /// Named values in the expressions of a line.
    fn values(&mut self, block: &Block, entry: &Entry) {
        let mut names: Vec<Span> = Vec::new();
        let mut visit = |value: &Value| {
            if let ValueKind::Expr(expr) = &value.kind {
                each_name(expr, &mut |span| names.push(span));
            }
        };
        entry.values().for_each(&mut visit);
        for prop in entry.props() {
            match &prop.kind {
                PropKind::Value(value) | PropKind::Keyed { value: Some(value), .. } => visit(value),
                _ => {}
            }
        }
        for part in entry.clauses().flat_map(|clause| &clause.parts) {
            if let ClausePart::Value(value) = part {
                visit(value);
            }
        }
        for span in names {
            if let Some(home) = self.value_named(block.slice(span)) {
                self.push(block, span, Target::Let(home.file, home.span.start), home, false);
            }
        }
    }

    /// Where a value of this name is given: in the recipe of the block in hand, else for the whole file.
    fn value_named(&self, name: &str) -> Option<Location> {
        let at = u32::try_from(self.at).ok()?;
        let recipe = self.state.units.recipes.iter().find(|unit| unit.blocks.contains(&at));
        let blocks = recipe.into_iter().flat_map(|unit| &unit.blocks).chain(&self.state.units.lets);
        blocks.into_iter().find_map(|at| {
            let placed = self.state.tree.blocks.get(*at as usize)?;
            let block = &placed.block;
            let header = block.header().filter(|_| block.kind == BlockKind::Let);
            let inside = block.entries().map(|(_, entry)| entry).filter(|entry| entry.form == Form::Let);
            let span = header
                .into_iter()
                .chain(inside)
                .filter_map(Entry::name)
                .map(|given| given.span)
                .find(|span| catalogue::same(block.slice(*span), name))?;
            Some(Location { file: self.state.id, span: span.shift(placed.start) })
        })
    }
}

/// What opens or closes a text in quotes.
pub(crate) const QUOTES: [char; 5] = ['"', '\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}'];

fn is_name(slot: &Slot) -> bool {
    matches!(slot, Slot::Ref(_))
}

fn string<'e>(mut values: impl Iterator<Item = &'e Value>) -> Option<Span> {
    values.find_map(|value| match value.kind {
        ValueKind::Str(span) => Some(span),
        _ => None,
    })
}

fn clause_string(parts: &[ClausePart]) -> Option<Span> {
    string(parts.iter().filter_map(|part| match part {
        ClausePart::Value(value) => Some(value),
        _ => None,
    }))
}

fn recipe_home(workspace: &Workspace, file: FileId, number: usize) -> Option<Location> {
    let state = workspace.file(file)?;
    let at = *state.units.recipes.get(number)?.blocks.first()?;
    let placed = state.tree.blocks.get(at as usize)?;
    let span = string(placed.block.header()?.values())?;
    Some(Location { file, span: span.shift(placed.start) })
}

fn log_home(workspace: &Workspace, file: FileId, number: usize) -> Option<Location> {
    let state = workspace.file(file)?;
    let at = *state.units.logs.get(number)?.blocks.first()?;
    let placed = state.tree.blocks.get(at as usize)?;
    let span = placed.block.header()?.name()?.span;
    Some(Location { file, span: span.shift(placed.start) })
}

/// Every mention of something in all files.
pub(crate) fn all_of(workspace: &Workspace, target: Target) -> impl Iterator<Item = (FileId, Mention)> {
    workspace.files().flat_map(move |state| {
        let found = mentions(workspace, &workspace.in_passing(state))
            .into_iter()
            .filter(move |mention| mention.target == target);
        found.map(|mention| (state.id, mention))
    })
}

/// Whether a name has to stand in quotes to be read as one.
pub(crate) fn needs_quotes(name: &str) -> bool {
    let mut words = name.split_whitespace();
    let clause = |word: &str| ClauseWord::ALL.iter().any(|clause| clause.word().eq_ignore_ascii_case(word));
    name.starts_with(|c: char| c.is_ascii_digit())
        || name.contains(['[', ']', '(', ')', '#', ','])
        || words.any(clause)
}

/// Texts to write in place of others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renaming {
    /// The file.
    pub file: FileId,
    /// What to write where, in the order of the text.
    pub edits: Vec<syntax::Edit>,
}
