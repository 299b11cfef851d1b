//! Names and what they stand for: where each is given, and everywhere it is used.

use std::path::Path;
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
    let mut reader =
        Reader { workspace, state, scope: workspace.scope(state), plan: None, at: 0, list: Vec::new() };
    for (at, placed) in state.tree.blocks.iter().enumerate() {
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
    let state = workspace.file(file)?;
    let mut touching: Vec<Mention> =
        mentions(workspace, state).into_iter().filter(|mention| mention.span.touches(offset)).collect();
    // Of two that meet here the one that begins is meant.
    touching.sort_by_key(|mention| mention.span.end == offset);
    touching.into_iter().next()
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

/// Where the name at a byte is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Origin {
    /// The name as it stands at the place asked for.
    pub name: Span,
    /// Where it is given.
    pub home: Location,
}

/// Where the name at a byte of a file is given; of the built-in library too.
#[must_use]
pub fn definition(workspace: &Workspace, file: FileId, offset: u32) -> Option<Origin> {
    let mention = mention_at(workspace, file, offset)?;
    Some(Origin { name: mention.span, home: mention.home })
}

/// A place where a name stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    /// Where.
    pub place: Location,
    /// Whether it is given there.
    pub declares: bool,
}

/// Every place of all files where what is named at a byte is named, in the order of the files. Where it is
/// given is among them.
#[must_use]
pub fn references(workspace: &Workspace, file: FileId, offset: u32) -> Vec<Use> {
    let Some(wanted) = mention_at(workspace, file, offset) else { return Vec::new() };
    let mut uses: Vec<Use> =
        all_of(workspace, wanted.target).map(|(file, mention)| use_of(file, &mention)).collect();
    if let (Target::Definition(..), FileId::Catalogue(_)) = (wanted.target, wanted.home.file) {
        uses.push(Use { place: wanted.home, declares: true });
    }
    uses
}

fn use_of(file: FileId, mention: &Mention) -> Use {
    Use { place: Location { file, span: mention.span }, declares: mention.declares }
}

/// Every mention of something in all files.
fn all_of(workspace: &Workspace, target: Target) -> impl Iterator<Item = (FileId, Mention)> {
    workspace.files().flat_map(move |state| {
        let found = mentions(workspace, state).into_iter().filter(move |mention| mention.target == target);
        found.map(|mention| (state.id, mention))
    })
}

/// Every place of the file itself where what is named at a byte is named.
#[must_use]
pub fn highlights(workspace: &Workspace, file: FileId, offset: u32) -> Vec<Use> {
    let (Some(state), Some(wanted)) = (workspace.file(file), mention_at(workspace, file, offset)) else {
        return Vec::new();
    };
    let same = mentions(workspace, state).into_iter().filter(|mention| mention.target == wanted.target);
    same.map(|mention| use_of(file, &mention)).collect()
}

/// The words that a renaming at a byte would replace.
///
/// # Errors
/// Why nothing there can be renamed, in a brewer's words.
pub fn prepare_rename(workspace: &Workspace, file: FileId, offset: u32) -> Result<Span, String> {
    renamed(workspace, file, offset).map(|mention| mention.span)
}

fn renamed(workspace: &Workspace, file: FileId, offset: u32) -> Result<Mention, String> {
    let Some(mention) = mention_at(workspace, file, offset) else {
        return Err("nothing here has a name that could be changed; stand on the name of an ingredient, a \
                    water, a brewhouse, a recipe, a gyle or a named value"
            .to_owned());
    };
    if matches!(mention.home.file, FileId::Catalogue(_)) {
        return Err(
            "this name comes from the built-in library, which cannot be changed; define it in a file \
                    of your own with `like`, and rename that"
                .to_owned(),
        );
    }
    if matches!(mention.target, Target::File(_)) {
        return Err(
            "this is the path of a file; move the file itself, then write its new path here".to_owned()
        );
    }
    Ok(mention)
}

/// One text to write in place of another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renaming {
    /// The file.
    pub file: FileId,
    /// What to write where, in the order of the text.
    pub edits: Vec<syntax::Edit>,
}

/// Gives what is named at a byte another name, everywhere it goes by the name it has there: one of several
/// names of a definition leaves the others as they are.
///
/// # Errors
/// Why it cannot be called so, in a brewer's words.
pub fn rename(workspace: &Workspace, file: FileId, offset: u32, name: &str) -> Result<Vec<Renaming>, String> {
    let wanted = renamed(workspace, file, offset)?;
    let name = name.trim().trim_matches(QUOTES).trim();
    let text_of = |file: FileId| workspace.file(file).map(|state| Arc::clone(&state.text));
    let before = text_of(file).map(|text| catalogue::fold(wanted.span.of(&text))).unwrap_or_default();
    check_name(workspace, &wanted, &before, name)?;
    let mut renamings: Vec<Renaming> = Vec::new();
    for (file, mention) in all_of(workspace, wanted.target) {
        let Some(text) = text_of(file) else { continue };
        if catalogue::fold(mention.span.of(&text)) != before {
            continue;
        }
        let plain = mention.quoted || matches!(wanted.target, Target::Let(..) | Target::Log(..));
        let text = if !plain && needs_quotes(name) { format!("\"{name}\"") } else { name.to_owned() };
        let edit = syntax::Edit { span: mention.span, text };
        match renamings.last_mut().filter(|last| last.file == file) {
            Some(last) => last.edits.push(edit),
            None => renamings.push(Renaming { file, edits: vec![edit] }),
        }
    }
    for renaming in &mut renamings {
        renaming.edits.sort_by_key(|edit| edit.span);
        renaming.edits.dedup();
    }
    Ok(renamings)
}

/// Whether something may be called so.
fn check_name(workspace: &Workspace, wanted: &Mention, before: &str, name: &str) -> Result<(), String> {
    if name.is_empty() {
        return Err("a name needs at least one letter".to_owned());
    }
    if name.contains(['\n', '\r', '"', '[', ']']) {
        return Err(format!(
            "`{name}` holds a quote, a bracket or a line end, which would end the name early; leave them out"
        ));
    }
    let folded = catalogue::fold(name);
    let taken = |by: &str| {
        Err(format!(
            "there is already {by} called `{name}`, and one would hide the other; choose another name"
        ))
    };
    match wanted.target {
        Target::Definition(kind, place) => {
            let Some(state) = workspace.file(place.file) else { return Ok(()) };
            let known = state.shelf.definitions.iter().any(|other| {
                other.kind == kind
                    && (catalogue::fold(&other.name) == folded
                        || other.aliases.iter().any(|alias| catalogue::fold(&alias.name) == folded))
            });
            if known && folded != before {
                return taken(&format!("{} {} in the same file", article(kind), kind.word()));
            }
            for state in workspace.files() {
                let uses = |mention: &Mention| mention.target == wanted.target && !mention.declares;
                let other = workspace.scope(state).find_folded(kind, &folded);
                let clashes = other.is_some_and(|other| {
                    other.definition.place != place
                        && matches!(other.definition.place.file, FileId::Workspace(_))
                });
                if clashes && mentions(workspace, state).iter().any(uses) {
                    return taken(&format!(
                        "{} {} within reach of a file that uses it",
                        article(kind),
                        kind.word()
                    ));
                }
            }
            Ok(())
        }
        Target::Recipe(file, number) => {
            let state = workspace.file(file);
            let same = state.map(|state| workspace.recipes_named(state, name, None)).unwrap_or_default();
            if same.iter().any(|one| *one != (file, number)) { taken("a recipe") } else { Ok(()) }
        }
        Target::Log(file, number) => {
            if name.contains(char::is_whitespace) {
                return Err(format!("the number of a gyle is one word; `{name}` has blanks in it"));
            }
            let state = workspace.file(file);
            let same = state.and_then(|state| state.units.logs.iter().position(|log| &*log.id == name));
            if same.is_some_and(|one| one != number) { taken("a gyle") } else { Ok(()) }
        }
        Target::Let(..) => {
            let sound = name.starts_with(char::is_alphabetic)
                && !name.ends_with(['-', '.'])
                && name.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-' | '.'));
            if sound {
                Ok(())
            } else {
                Err(format!("a named value is one word that begins with a letter; `{name}` is not"))
            }
        }
        Target::File(_) => Ok(()),
    }
}

fn article(kind: BlockKind) -> &'static str {
    if kind == BlockKind::Addition { "an" } else { "a" }
}

/// Whether a name has to stand in quotes to be read as one.
pub(crate) fn needs_quotes(name: &str) -> bool {
    let mut words = name.split_whitespace();
    let clause = |word: &str| ClauseWord::ALL.iter().any(|clause| clause.word().eq_ignore_ascii_case(word));
    name.starts_with(|c: char| c.is_ascii_digit())
        || name.contains(['[', ']', '(', ')', '#', ','])
        || words.any(clause)
}

/// A place that leads somewhere else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The words, in bytes of the file.
    pub span: Span,
    /// Where they lead.
    pub to: LinkTo,
}

/// Where a link leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinkTo {
    /// To a file of the workspace.
    File(FileId),
    /// To an address written on a `link` line.
    Address(String),
}

/// Links of a file: paths, and addresses on `link` lines.
#[must_use]
pub fn links(workspace: &Workspace, file: FileId) -> Vec<Link> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let paths = mentions(workspace, state).into_iter().filter_map(|mention| match mention.target {
        Target::File(to) => Some(Link { span: mention.span, to: LinkTo::File(to) }),
        _ => None,
    });
    let addresses = state.tree.blocks.iter().flat_map(|placed| {
        let entries = placed
            .block
            .entries()
            .filter(|(_, entry)| entry.keyword.is_some_and(|word| word.node == Keyword::Link));
        entries.filter_map(|(_, entry)| {
            let span = entry.text()?;
            let text = placed.block.slice(span);
            let is_address = ["https://", "http://"].iter().any(|scheme| text.starts_with(scheme));
            let to = LinkTo::Address(text.to_owned());
            (is_address && !text.contains(char::is_whitespace))
                .then(|| Link { span: span.shift(placed.start), to })
        })
    });
    let mut links: Vec<Link> = paths.chain(addresses).collect();
    links.sort_by_key(|link| link.span);
    links
}

/// What paths of a file become when files move: the edits for every file that names one of them. `moved` are
/// old and new path.
#[must_use]
pub fn moved_files(workspace: &Workspace, moved: &[(&Path, &Path)]) -> Vec<Renaming> {
    let new_path = |path: &Path| {
        moved.iter().find_map(|(old, new)| {
            // A folder takes its files along.
            path.strip_prefix(old)
                .ok()
                .map(|rest| if rest.as_os_str().is_empty() { new.to_path_buf() } else { new.join(rest) })
        })
    };
    let mut renamings = Vec::new();
    for state in workspace.files() {
        let own = new_path(&state.path);
        let mut edits = Vec::new();
        for mention in mentions(workspace, state) {
            let Target::File(to) = mention.target else { continue };
            let Some(target) = workspace.file(to) else { continue };
            let there = new_path(&target.path);
            if own.is_none() && there.is_none() {
                continue;
            }
            let from = own.as_deref().unwrap_or(&state.path);
            let text = Workspace::path_between(from, there.as_deref().unwrap_or(&target.path));
            if text != mention.span.of(&state.text) {
                edits.push(syntax::Edit { span: mention.span, text });
            }
        }
        if !edits.is_empty() {
            renamings.push(Renaming { file: state.id, edits });
        }
    }
    renamings
}

#[cfg(test)]
mod tests {
    use crate::fixture::Fixture;

    use super::*;

    const CELLAR: (&str, &str) = (
        "/r/cellar/m.gyle",
        "# é\nmalt \"Saltmarsh floor malt\"\n  alias floor malt\n  colour 5 EBC\n\nbrewhouse shed-30\n  evaporation 3 L/h\n",
    );
    const OTHER: (&str, &str) = (
        "/r/b.gyle",
        "# é\nuse \"a.gyle\"\nrecipe \"Other\"\n  brewhouse shed-30\ngrist\n  4 kg saltmarsh floor malt [or floor malt]\n\
         gyle 27 \"Größe\" on 2026-03-14\n  10:05 add 3 kg Saltmarsh floor malt to mash\n",
    );

    /// The file and words that a place leads to.
    fn led(fixture: &Fixture) -> Option<String> {
        let origin = definition(&fixture.workspace, fixture.file, fixture.offset)?;
        let text = match origin.home.file {
            FileId::Workspace(_) => fixture.workspace.file(origin.home.file)?.text.to_string(),
            FileId::Catalogue(at) => catalogue::files().get(usize::from(at))?.1.to_owned(),
        };
        let line = text.get(..origin.home.span.start as usize)?.matches('\n').count();
        let place = match origin.home.file {
            FileId::Workspace(_) => {
                fixture.workspace.file(origin.home.file)?.path.to_string_lossy().into_owned()
            }
            FileId::Catalogue(_) => "built in".to_owned(),
        };
        let line = if place == "built in" { String::new() } else { format!(":{line}") };
        Some(format!("{} {place}{line}", origin.home.span.of(&text)))
    }

    #[test]
    fn a_name_leads_to_where_it_is_given() {
        for (text, wanted) in [
            (
                "# é\nrecipe \"Ä\"\ngrist\n  4 kg saltmarsh fl$0oor malt",
                Some("Saltmarsh floor malt /r/cellar/m.gyle:1"),
            ),
            (
                "# é\nrecipe \"Ä\"\ngrist\n  4 kg floor malt$0",
                Some("Saltmarsh floor malt /r/cellar/m.gyle:1"),
            ),
            ("# é\nrecipe \"Ä\"\n  brewhouse she$0d-30", Some("shed-30 /r/cellar/m.gyle:5")),
            ("# é\nrecipe \"Ä\"\nboil 60 min\n  20 g fugg$0le at 5 min", Some("Fuggle built in")),
            ("# é\nrecipe \"Ä\"\n  style 13$0C", Some("13C built in")),
            (
                "# é\nrecipe \"Ä\"\npackage\n  keg 2 vol at 8 C with 4 g/L dex$0trose",
                Some("dextrose monohydrate built in"),
            ),
            ("# é\nrecipe \"Ä\"\n  from \"Oth$0er\"", Some("Other /r/b.gyle:2")),
            ("# é\nlet ä = 20 L\nrecipe \"Ä\"\n  batch ($0ä)", Some("ä /r/a.gyle:1")),
            ("# é\nlet ä = 20 L\nrecipe \"Ä\"\n  let ä = 30 L\n  batch (2 * $0ä)", Some("ä /r/a.gyle:3")),
            ("# é\nuse \"b.g$0yle\"", Some(" /r/b.gyle:0")),
            ("# é\ntasting of 2$07 on 2026-04-11", Some("27 /r/b.gyle:6")),
            ("# é\nrecipe \"Ä\"\ngrist\n  4 $0kg floor malt", None),
            ("# é\nrecipe \"Ä\"\ngrist\n  4 kg floor mal$0 x", None),
        ] {
            let fixture = Fixture::with(text, &[CELLAR, OTHER]);
            assert_eq!(led(&fixture).as_deref(), wanted, "{text}");
        }
    }

    /// Every line where something is named, with a star where it is given.
    fn named(fixture: &Fixture, uses: &[Use]) -> Vec<String> {
        let file = |file| fixture.workspace.file(file);
        let mut lines: Vec<String> = uses
            .iter()
            .filter_map(|one| {
                let state = file(one.place.file)?;
                let line = state.text.get(..one.place.span.start as usize)?.matches('\n').count();
                let star = if one.declares { "*" } else { "" };
                Some(format!(
                    "{}:{line}{star} {}",
                    state.path.to_string_lossy(),
                    one.place.span.of(&state.text)
                ))
            })
            .collect();
        lines.sort();
        lines
    }

    const RECIPE: &str = "# é\nrecipe \"Größe\"\ngrist\n  4 kg flo$0or malt\n  1 kg Saltmarsh floor malt\n";

    #[test]
    fn references_are_found_in_all_files() {
        let fixture = Fixture::with(RECIPE, &[CELLAR, OTHER]);
        let uses = references(&fixture.workspace, fixture.file, fixture.offset);
        assert_eq!(
            named(&fixture, &uses),
            [
                "/r/a.gyle:3 floor malt",
                "/r/a.gyle:4 Saltmarsh floor malt",
                "/r/b.gyle:5 floor malt",
                "/r/b.gyle:5 saltmarsh floor malt",
                "/r/b.gyle:7 Saltmarsh floor malt",
                "/r/cellar/m.gyle:1* Saltmarsh floor malt",
                "/r/cellar/m.gyle:2* floor malt",
            ]
        );
        let here = highlights(&fixture.workspace, fixture.file, fixture.offset);
        assert_eq!(named(&fixture, &here), ["/r/a.gyle:3 floor malt", "/r/a.gyle:4 Saltmarsh floor malt"]);
    }

    /// The lines that a renaming changes.
    fn changed(fixture: &Fixture, name: &str) -> Result<Vec<String>, String> {
        let mut lines = Vec::new();
        for renaming in rename(&fixture.workspace, fixture.file, fixture.offset, name)? {
            let Some(state) = fixture.workspace.file(renaming.file) else { continue };
            let after = syntax::apply(&state.text, &renaming.edits);
            let both = state.text.lines().zip(after.lines());
            lines.extend(
                both.filter(|(before, after)| before != after).map(|(_, after)| after.trim().to_owned()),
            );
        }
        lines.sort();
        Ok(lines)
    }

    #[test]
    fn renaming_changes_one_name_everywhere() {
        let cases: &[(&str, &str, &[&str])] = &[
            (
                RECIPE,
                "old floor malt",
                &[
                    "4 kg old floor malt",
                    "4 kg saltmarsh floor malt [or old floor malt]",
                    "alias old floor malt",
                ],
            ),
            (
                &RECIPE.replace("$0", "").replace("1 kg Salt", "1 kg Sa$0lt"),
                "malt of the house",
                &[
                    "1 kg \"malt of the house\"",
                    "10:05 add 3 kg \"malt of the house\" to mash",
                    "4 kg \"malt of the house\" [or floor malt]",
                    "malt \"malt of the house\"",
                ],
            ),
            (
                &RECIPE.replace("$0", "").replace("Grö", "Gr$0ö"),
                "Weite",
                &["gyle 27 \"Weite\" on 2026-03-14", "recipe \"Weite\""],
            ),
            (
                "# é\nlet ä = 20 L\nrecipe \"Ä\"\n  batch (2 * $0ä)",
                "größe",
                &["batch (2 * größe)", "let größe = 20 L"],
            ),
            (
                "# é\ntasting of 2$07 on 2026-04-11",
                "28",
                &["gyle 28 \"Größe\" on 2026-03-14", "tasting of 28 on 2026-04-11"],
            ),
        ];
        for (text, name, lines) in cases {
            let fixture = Fixture::with(text, &[CELLAR, OTHER]);
            assert_eq!(changed(&fixture, name).unwrap_or_default(), *lines, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_renamed_says_why() {
        for (text, name, why) in [
            ("# é\nrecipe \"Ä\"\nboil 60 min\n  20 g Fugg$0le at 5 min", "x", "built-in library"),
            ("# é\nrecipe \"Ä\"\nbo$0il 60 min", "x", "nothing here"),
            ("# é\nuse \"b.gy$0le\"", "x", "path of a file"),
            (RECIPE, " ", "at least one letter"),
            (RECIPE, "a [b]", "end the name early"),
            (RECIPE, "Saltmarsh floor malt", "already a malt"),
            ("# é\nrecipe \"$0Ä\"\n", "Other", "already a recipe"),
            ("# é\nlet $0ä = 20 L\n", "2 ä", "one word"),
        ] {
            let fixture = Fixture::with(text, &[CELLAR, OTHER]);
            let said = changed(&fixture, name).expect_err(text);
            assert!(said.contains(why), "{text}: {said}");
        }
    }

    #[test]
    fn links_lead_to_files_and_addresses() {
        let fixture = Fixture::with(
            "# é\nuse \"b.gyle\"\nuse \"none.gyle\"\nrecipe \"É\"\n  link https://example.org/é\n",
            &[OTHER],
        );
        let text = fixture.text();
        let found: Vec<(&str, bool)> = links(&fixture.workspace, fixture.file)
            .iter()
            .map(|link| (link.span.of(&text), matches!(link.to, LinkTo::File(_))))
            .collect();
        assert_eq!(found, [("b.gyle", true), ("https://example.org/é", false)]);
    }

    #[test]
    fn paths_follow_files_that_move() {
        let fixture = Fixture::with("# é\nuse \"b.gyle\"\n", &[OTHER]);
        let moved = |old, new| {
            let renamings = moved_files(&fixture.workspace, &[(Path::new(old), Path::new(new))]);
            let mut texts: Vec<String> =
                renamings.iter().flat_map(|renaming| &renaming.edits).map(|edit| edit.text.clone()).collect();
            texts.sort();
            texts
        };
        assert_eq!(moved("/r/b.gyle", "/r/recipes/b.gyle"), ["../a.gyle", "recipes/b.gyle"]);
        assert_eq!(moved("/r/a.gyle", "/r/c.gyle"), ["c.gyle"]);
        assert_eq!(moved("/r/x.gyle", "/r/c.gyle"), [""; 0]);
    }
}
