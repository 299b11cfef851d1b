//! Definitions, the shelf of one file, and the order in which names are looked up.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

use quantity::Customary;
use smallvec::SmallVec;
use syntax::Span;
use syntax::ast::{Block, Entry, File, Part, ValueKind};
use syntax::vocabulary::{BlockKind, Flag, Keyword};

use crate::facts::{Unusable, fact_value, unit_span};
use crate::model::{Fact, FactValue, Origin, Problem};
use crate::pairs::LetterPairs;
use crate::{dates, words};

/// A file, without its path.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FileId {
    /// A file of the workspace.
    Workspace(u32),
    /// A file of the built-in library, as an index into [`catalogue::files`].
    Catalogue(u8),
}

/// Where a definition stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct DefPlace {
    /// The file.
    pub file: FileId,
    /// Index of the block in a file of the workspace; byte offset of the block in one of the built-in library.
    pub anchor: u32,
}

/// Another name of a definition.
#[derive(Clone, Debug, PartialEq)]
pub struct Alias {
    /// As written.
    pub name: Box<str>,
    /// Whether it may mean several things (`calcium chloride` for one of its hydrates).
    pub loose: bool,
    /// Where it stands.
    pub span: Span,
}

/// A malt, sugar, hop, yeast, water, addition, style or brewhouse.
#[derive(Clone, Debug)]
pub struct Definition {
    /// Which kind.
    pub kind: BlockKind,
    /// Its name as written in the header.
    pub name: Box<str>,
    /// Where the name stands, without quotes.
    pub name_span: Span,
    /// Its other names.
    pub aliases: Vec<Alias>,
    /// Where it stands.
    pub place: DefPlace,
    /// The block; spans are relative to it.
    pub block: Arc<Block>,
    /// Its fields in order; after [`Scope::find`] followed by those taken over from the definitions it is like.
    pub facts: Vec<Fact>,
    /// After [`Scope::find`], the name of what it goes back to through `like`: a merchant's `quay dextrose` that is
    /// like dextrose monohydrate is the same substance. Nothing where it is like none.
    pub kin: Option<Box<str>>,
    /// The definition it starts from, and where that is named.
    pub like: Option<(Box<str>, Span)>,
    /// What is wrong with its values; the block index of each is that of [`DefPlace::anchor`].
    pub problems: Vec<Problem>,
    /// Computed when it is first asked for.
    pairs: OnceLock<LetterPairs>,
}

/// Fields that belong to one sack and are not taken over by `like`.
const NOT_TAKEN_OVER: &[Keyword] = &[Keyword::Lot, Keyword::Stock];

impl Definition {
    /// The first field with this key.
    #[must_use]
    pub fn fact(&self, key: Keyword) -> Option<&Fact> {
        self.facts.iter().find(|fact| fact.key == key)
    }

    /// Every field with this key: a yeast may state its cells by pack and by gram.
    pub fn facts_of(&self, key: Keyword) -> impl Iterator<Item = &Fact> {
        self.facts.iter().filter(move |fact| fact.key == key)
    }

    /// The pairs of letters in what it is called and what tells its kind: its name, that of what it goes back to,
    /// its `form`, `grain` and `role`.
    #[must_use]
    pub fn letter_pairs(&self) -> LetterPairs {
        *self.pairs.get_or_init(|| {
            let told =
                [Keyword::Form, Keyword::Grain, Keyword::Role].map(|key| match &self.fact(key)?.value {
                    FactValue::Words(words) => Some(&**words),
                    _ => None,
                });
            let texts = told.into_iter().chain([Some(&*self.name), self.kin.as_deref()]).flatten();
            texts.map(LetterPairs::of).fold(LetterPairs::default(), LetterPairs::and)
        })
    }

    /// What this block defines; nothing where it is no definition or its name cannot be read.
    #[must_use]
    pub fn of_block(block: &Arc<Block>, place: DefPlace, customary: Option<Customary>) -> Option<Self> {
        if !block.kind.is_definition() || block.entries_as != block.kind {
            return None;
        }
        let name_span = name_span(block.header()?)?;
        let name = block.slice(name_span);
        if name.is_empty() {
            return None;
        }
        let mut made = Self {
            kind: block.kind,
            name: name.into(),
            name_span,
            aliases: Vec::new(),
            place,
            block: Arc::clone(block),
            facts: Vec::with_capacity(block.lines.len()),
            kin: None,
            like: None,
            problems: Vec::new(),
            pairs: OnceLock::new(),
        };
        made.take_block(block, place, customary);
        Some(made)
    }

    /// Takes the fields of a block: the definition's own, or one that a field without its indent has opened.
    fn take_block(&mut self, block: &Block, place: DefPlace, customary: Option<Customary>) {
        for (_, entry) in block.entries() {
            self.take(block, place, entry, customary);
        }
    }

    fn problem(&mut self, place: DefPlace, fault: syntax::Fault) {
        // Places count blocks in two bytes; a file with more than 65,535 of them has no problems behind those.
        if let Ok(block) = u16::try_from(place.anchor) {
            self.problems.push(Problem { block, fault, related: Vec::new() });
        }
    }

    fn take(&mut self, block: &Block, place: DefPlace, entry: &Entry, customary: Option<Customary>) {
        let Some(keyword) = entry.keyword else { return };
        let text = &*block.text;
        let key = field(self.kind, keyword.node);
        let origin = |span: Span| Origin::Library(place, span);
        // Names stand in the definition's own block, where their places are counted.
        if matches!(key, Keyword::Alias | Keyword::Like) && place != self.place {
            return;
        }
        match key {
            Keyword::Alias => {
                let loose = entry.flag(Flag::Loose);
                if let Some(span) = name_span(entry) {
                    self.aliases.push(Alias { name: span.of(text).into(), loose, span });
                }
                return;
            }
            Keyword::Like => {
                if let Some(span) = name_span(entry) {
                    self.like = Some((span.of(text).into(), span));
                }
                return;
            }
            _ => {}
        }
        if let Some(span) = entry.text() {
            let value = FactValue::Words(span.of(text).into());
            self.facts.push(Fact { key, value, origin: origin(span) });
            return;
        }
        let mut any = false;
        for part in &entry.parts {
            match part {
                Part::Value(value) => match fact_value(text, value, customary) {
                    Ok(found) => {
                        any = true;
                        if let FactValue::Date(date) = found
                            && let Some(fault) = dates::impossible(date, value.span)
                        {
                            self.problem(place, fault);
                            continue;
                        }
                        self.facts.push(Fact { key, value: found, origin: origin(value.span) });
                    }
                    Err(Unusable::NeedsCustomary(unit)) => {
                        any = true;
                        let span = unit_span(&value.kind).unwrap_or(value.span);
                        self.problem(place, words::ambiguous_unit(value.span.of(text), unit, span));
                    }
                    Err(Unusable::NoNumber) => any = true,
                },
                Part::Name(name) => {
                    any = true;
                    let value = FactValue::Words(name.span.of(text).into());
                    self.facts.push(Fact { key, value, origin: origin(name.span) });
                }
                _ => {}
            }
        }
        if !any {
            self.facts.push(Fact {
                key,
                value: FactValue::Set,
                origin: Origin::Library(self.place, entry.span),
            });
        }
    }

    /// The same definition with the fields of another that it does not state itself.
    fn take_over(&mut self, base: &Self) {
        let own = self.facts.len();
        for fact in &base.facts {
            let stated = self.facts[..own].iter().any(|known| known.key == fact.key);
            if !stated && !NOT_TAKEN_OVER.contains(&fact.key) {
                self.facts.push(fact.clone());
            }
        }
    }
}

/// The field a word stands for: `diastatic` of a malt is its diastatic power.
pub(crate) fn field(kind: BlockKind, key: Keyword) -> Keyword {
    if kind == BlockKind::Malt && key == Keyword::Diastatic { Keyword::DiastaticPower } else { key }
}

/// Where the name of a header or the words of an entry stand.
pub(crate) fn name_span(entry: &Entry) -> Option<Span> {
    entry.parts.iter().find_map(|part| match part {
        Part::Name(name) => Some(name.span),
        Part::Value(value) => match value.kind {
            ValueKind::Str(span) => Some(span),
            _ => Some(value.span),
        },
        Part::Text(span) => Some(*span),
        _ => None,
    })
}

struct Row {
    kind: BlockKind,
    folded: Box<str>,
    definition: u32,
    loose: bool,
    alias: bool,
    written: Box<str>,
}

/// The definitions of one file.
pub struct Shelf {
    /// The file.
    pub file: FileId,
    /// In the order written.
    pub definitions: Vec<Arc<Definition>>,
    /// By kind and folded name.
    rows: Vec<Row>,
    /// What is wrong: two definitions of one name, values that cannot be used. Blocks count in the file.
    pub problems: Vec<Problem>,
}

impl core::fmt::Debug for Shelf {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Shelf").field("file", &self.file).field("names", &self.rows.len()).finish()
    }
}

impl Shelf {
    /// The definitions of a file of the workspace. `customary` says which gallon the house means.
    #[must_use]
    pub fn new(file: FileId, tree: &File, customary: Option<Customary>) -> Self {
        let mut shelf = Self { file, definitions: Vec::new(), rows: Vec::new(), problems: Vec::new() };
        let mut open: Option<Definition> = None;
        for (at, placed) in tree.blocks.iter().enumerate() {
            let block = &placed.block;
            let place = DefPlace { file, anchor: u32::try_from(at).unwrap_or(u32::MAX) };
            if !block.kind.is_definition() && open.is_none() {
                continue;
            }
            if block.entries_as != block.kind {
                if let Some(definition) = open.as_mut().filter(|open| open.kind == block.entries_as) {
                    definition.take_block(block, place, customary);
                }
                continue;
            }
            if let Some(done) = core::mem::replace(&mut open, Definition::of_block(block, place, customary)) {
                shelf.put(Arc::new(done));
            }
        }
        if let Some(last) = open {
            shelf.put(Arc::new(last));
        }
        shelf.index();
        shelf
    }

    /// These definitions, each under its name and other names.
    #[must_use]
    pub fn of_definitions(file: FileId, definitions: impl IntoIterator<Item = Arc<Definition>>) -> Self {
        let mut shelf = Self { file, definitions: Vec::new(), rows: Vec::new(), problems: Vec::new() };
        for definition in definitions {
            shelf.put(definition);
        }
        shelf.index();
        shelf
    }

    /// Sorts the names, and says which stand for two things.
    fn index(&mut self) {
        let shelf = self;
        shelf.rows.sort_by(|a, b| (a.kind, &*a.folded).cmp(&(b.kind, &*b.folded)));
        let mut problems = core::mem::take(&mut shelf.problems);
        // Of two that share a name the first holds; the sort is stable.
        shelf.rows.dedup_by(|later, first| {
            let same = later.kind == first.kind && later.folded == first.folded;
            if same && later.definition != first.definition {
                let (known, again) = (
                    &shelf.definitions[first.definition as usize],
                    &shelf.definitions[later.definition as usize],
                );
                let span = again
                    .aliases
                    .iter()
                    .find(|alias| later.alias && alias.name == later.written)
                    .map_or(again.name_span, |alias| alias.span);
                if let Ok(block) = u16::try_from(again.place.anchor) {
                    let fault = words::defined_twice(again.kind, &later.written, span);
                    let related = vec![(
                        Origin::Library(known.place, known.name_span),
                        "it is first defined here".to_owned(),
                    )];
                    problems.push(Problem { block, fault, related });
                }
            }
            same
        });
        problems.sort_by_key(|problem| (problem.block, problem.fault.span));
        shelf.problems = problems;
    }

    fn put(&mut self, definition: Arc<Definition>) {
        let number = u32::try_from(self.definitions.len()).unwrap_or(u32::MAX);
        let row = |name: &str, loose: bool, alias: bool| Row {
            kind: definition.kind,
            folded: catalogue::fold(name).into(),
            definition: number,
            loose,
            alias,
            written: name.into(),
        };
        self.rows.push(row(&definition.name, false, false));
        self.rows.extend(definition.aliases.iter().map(|alias| row(&alias.name, alias.loose, true)));
        self.problems.extend(definition.problems.iter().cloned());
        self.definitions.push(definition);
    }

    fn find(&self, kind: BlockKind, folded: &str) -> Option<(&Arc<Definition>, bool)> {
        let at = self.rows.binary_search_by(|row| (row.kind, &*row.folded).cmp(&(kind, folded))).ok()?;
        let row = self.rows.get(at)?;
        self.definitions.get(row.definition as usize).map(|definition| (definition, row.loose))
    }
}

/// What a name resolves to.
#[derive(Clone, Debug)]
pub struct Found {
    /// The definition, with what it takes over from the ones it is `like`.
    pub definition: Arc<Definition>,
    /// Whether the name is one that may mean several things.
    pub loose: bool,
}

/// A name that may be written, for completion.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownName {
    /// As its definition writes it.
    pub name: Box<str>,
    /// Whether it is another name of its definition.
    pub alias: bool,
    /// Whether it may mean several things.
    pub loose: bool,
    /// The definition it stands for.
    pub place: DefPlace,
}

/// Definitions that may start from one another; nothing is taken over from further on.
const LONGEST_LIKE: usize = 32;

/// Where a definition was found, for what it is `like`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Level {
    Shelf(usize),
    BuiltIn,
}

/// Why `like` leads nowhere.
enum LikeTrouble {
    Unknown(Arc<Definition>),
    Cycle(Vec<Arc<Definition>>),
}

/// The shelves a name is looked up in: this file, the files it uses, the library of the house; the built-in
/// library comes last by itself.
#[derive(Clone, Debug, Default)]
pub struct Scope {
    shelves: SmallVec<[Arc<Shelf>; 4]>,
}

impl Scope {
    /// From shelves in the order of look-up; the first is that of the file itself.
    #[must_use]
    pub fn new(shelves: impl IntoIterator<Item = Arc<Shelf>>) -> Self {
        Self { shelves: shelves.into_iter().collect() }
    }

    /// The shelves in the order of look-up, without the built-in library.
    #[must_use]
    pub fn shelves(&self) -> &[Arc<Shelf>] {
        &self.shelves
    }

    /// The definition a name stands for.
    #[must_use]
    pub fn find(&self, kind: BlockKind, name: &str) -> Option<Found> {
        self.find_folded(kind, &catalogue::fold(name))
    }

    /// As [`Self::find`], with the name in its folded form ([`catalogue::fold`]).
    #[must_use]
    pub fn find_folded(&self, kind: BlockKind, folded: &str) -> Option<Found> {
        for (level, shelf) in self.shelves.iter().enumerate() {
            if let Some((definition, loose)) = shelf.find(kind, folded) {
                let definition = self.merged(definition, Level::Shelf(level));
                return Some(Found { definition, loose });
            }
        }
        let entry = catalogue::lookup(catalogue_kind(kind)?, folded)?;
        let definition = built_in(&entry)?;
        Some(Found { definition: self.merged(definition, Level::BuiltIn), loose: entry.loose })
    }

    /// The definition of a name as it is written, and after it those it takes over from, nearest first; of a
    /// circle each once. Empty where nobody knows the name.
    #[must_use]
    pub fn lineage(&self, kind: BlockKind, name: &str) -> Vec<Arc<Definition>> {
        let folded = catalogue::fold(name);
        let on_shelf = self.shelves.iter().enumerate().find_map(|(level, shelf)| {
            shelf.find(kind, &folded).map(|(found, _)| (Arc::clone(found), Level::Shelf(level)))
        });
        let first = on_shelf.or_else(|| {
            let entry = catalogue::lookup(catalogue_kind(kind)?, &folded)?;
            Some((Arc::clone(built_in(&entry)?), Level::BuiltIn))
        });
        let Some((first, level)) = first else { return Vec::new() };
        match self.chain(&first, level) {
            Ok(chain) => chain,
            Err(LikeTrouble::Cycle(mut chain)) => {
                chain.pop();
                chain
            }
            Err(LikeTrouble::Unknown(_)) => vec![first],
        }
    }

    /// Which of these kinds know the name, in the order given.
    pub(crate) fn kinds_that_know(&self, kinds: &[BlockKind], folded: &str) -> Option<BlockKind> {
        kinds.iter().copied().find(|kind| self.find_folded(*kind, folded).is_some())
    }

    /// The known name of a kind that is nearest to a name nobody knows, for 'did you mean'.
    #[must_use]
    pub fn nearest(&self, kind: BlockKind, name: &str) -> Option<String> {
        self.nearest_of(&[kind], name)
    }

    /// The nearest among several kinds.
    pub(crate) fn nearest_of(&self, kinds: &[BlockKind], name: &str) -> Option<String> {
        // `crystal` among the malts is most likely crystal malt.
        for kind in kinds {
            let fuller = format!("{name} {}", kind.word());
            if self.find(*kind, &fuller).is_some() {
                return Some(fuller);
            }
        }
        if kinds == [BlockKind::Style] {
            return self.nearest_style(name);
        }
        nearest(kinds.iter().flat_map(|kind| self.written(*kind)), name).map(str::to_owned)
    }

    /// The code of the style that is meant: the one the text begins with, or the one of that name. Codes
    /// differ by one sign, so that none is nearer than another.
    fn nearest_style(&self, text: &str) -> Option<String> {
        let first = text.split_whitespace().next()?;
        if let Some(found) = self.find(BlockKind::Style, first) {
            return Some(found.definition.name.to_string());
        }
        let names: Vec<(String, &str)> = self
            .written(BlockKind::Style)
            .filter_map(|code| {
                let found = self.find(BlockKind::Style, code)?;
                match &found.definition.fact(Keyword::Name)?.value {
                    FactValue::Words(name) => Some((name.to_string(), code)),
                    _ => None,
                }
            })
            .collect();
        let wanted = catalogue::fold(text);
        let code =
            |name: &str| names.iter().find(|(known, _)| known == name).map(|(_, code)| (*code).to_owned());
        match names.iter().find(|(name, _)| catalogue::fold(name) == wanted) {
            Some((_, code)) => Some((*code).to_owned()),
            None => nearest(names.iter().map(|(name, _)| &**name), text).and_then(code),
        }
    }

    /// Names as written, in the order of look-up.
    fn written(&self, kind: BlockKind) -> impl Iterator<Item = &str> {
        let own = self.shelves.iter().flat_map(move |shelf| {
            shelf.rows.iter().filter(move |row| row.kind == kind).map(|row| &*row.written)
        });
        let built_in = catalogue_kind(kind).into_iter().flat_map(catalogue::names).map(|name| name.written);
        own.chain(built_in)
    }

    /// Every name of a kind that may be written here, in the order of look-up; a name that a nearer
    /// definition shadows is left out.
    #[must_use]
    pub fn names(&self, kind: BlockKind) -> Vec<KnownName> {
        let mut seen = std::collections::HashSet::new();
        let mut all = Vec::new();
        for shelf in &self.shelves {
            for row in shelf.rows.iter().filter(|row| row.kind == kind) {
                let Some(definition) = shelf.definitions.get(row.definition as usize) else { continue };
                if seen.insert(row.folded.to_string()) {
                    all.push(KnownName {
                        name: row.written.clone(),
                        alias: row.alias,
                        loose: row.loose,
                        place: definition.place,
                    });
                }
            }
        }
        for name in catalogue_kind(kind).into_iter().flat_map(catalogue::names) {
            if seen.insert(catalogue::fold(name.written)) {
                all.push(KnownName {
                    name: name.written.into(),
                    alias: name.alias,
                    loose: name.entry.loose,
                    place: place_of(&name.entry),
                });
            }
        }
        all
    }

    /// What is wrong with the definitions of the file itself: its shelf's problems, and what they are `like`
    /// that nobody knows or that leads round in a circle. Blocks count in the file.
    #[must_use]
    pub fn own_problems(&self) -> Vec<Problem> {
        let Some(own) = self.shelves.first() else { return Vec::new() };
        let mut problems = own.problems.clone();
        for definition in &own.definitions {
            let Some((name, span)) = &definition.like else { continue };
            let Ok(block) = u16::try_from(definition.place.anchor) else { continue };
            match self.chain(definition, Level::Shelf(0)) {
                Ok(_) => {}
                // A definition further up the chain has its own problem.
                Err(LikeTrouble::Unknown(last)) if Arc::ptr_eq(&last, definition) => {
                    let nearest = self.nearest(definition.kind, name);
                    let fault = words::unknown_like(definition.kind, name, nearest.as_deref(), *span);
                    problems.push(Problem { block, fault, related: Vec::new() });
                }
                Err(LikeTrouble::Cycle(chain))
                    if chain.iter().skip(1).any(|one| Arc::ptr_eq(one, definition)) =>
                {
                    let names: Vec<&str> = chain.iter().map(|one| &*one.name).collect();
                    problems.push(Problem {
                        block,
                        fault: words::like_in_a_circle(&names, *span),
                        related: Vec::new(),
                    });
                }
                Err(_) => {}
            }
        }
        problems.sort_by_key(|problem| (problem.block, problem.fault.span));
        problems
    }

    /// The definition with all it takes over; as far as the chain leads, where it leads nowhere.
    fn merged(&self, definition: &Arc<Definition>, level: Level) -> Arc<Definition> {
        if definition.like.is_none() {
            return Arc::clone(definition);
        }
        let chain = match self.chain(definition, level) {
            Ok(chain) | Err(LikeTrouble::Cycle(chain)) => chain,
            Err(LikeTrouble::Unknown(_)) => return Arc::clone(definition),
        };
        let mut whole = Definition::clone(definition);
        for (at, base) in chain.iter().enumerate().skip(1) {
            if chain[..at].iter().any(|seen| Arc::ptr_eq(seen, base)) {
                break;
            }
            whole.take_over(base);
            whole.kin = Some(base.name.clone());
        }
        whole.pairs = OnceLock::new();
        Arc::new(whole)
    }

    /// The definition and all it is like, nearest first. A circle ends with its first member again.
    fn chain(&self, first: &Arc<Definition>, level: Level) -> Result<Vec<Arc<Definition>>, LikeTrouble> {
        let mut chain = vec![Arc::clone(first)];
        let mut level = level;
        let mut folded = String::new();
        loop {
            let last = &chain[chain.len() - 1];
            let Some((name, _)) = &last.like else { return Ok(chain) };
            if chain.len() > LONGEST_LIKE {
                return Ok(chain);
            }
            folded.clear();
            catalogue::fold_into(name, &mut folded);
            let Some((next, found)) = self.base(last, level, &folded) else {
                return Err(LikeTrouble::Unknown(Arc::clone(last)));
            };
            level = found;
            let seen = chain.iter().any(|one| Arc::ptr_eq(one, &next));
            chain.push(next);
            if seen {
                return Err(LikeTrouble::Cycle(chain));
            }
        }
    }

    /// What a definition is like. Its own file comes first, then the shelves behind it, then the others but
    /// that of the file asked from, which it cannot see; then the built-in library. A definition that is
    /// like its own name means the next of that name.
    fn base(&self, of: &Arc<Definition>, level: Level, folded: &str) -> Option<(Arc<Definition>, Level)> {
        if let Level::Shelf(own) = level {
            let behind = own..self.shelves.len();
            let before = 1..own.max(1);
            for at in behind.chain(before) {
                if let Some((found, _)) = self.shelves[at].find(of.kind, folded)
                    && !Arc::ptr_eq(found, of)
                {
                    return Some((Arc::clone(found), Level::Shelf(at)));
                }
            }
        }
        let entry = catalogue::lookup(catalogue_kind(of.kind)?, folded)?;
        let found = built_in(&entry)?;
        (!Arc::ptr_eq(found, of)).then(|| (Arc::clone(found), Level::BuiltIn))
    }
}

/// The nearest of some names: by slips of the pen, else by the words they share.
fn nearest<'a>(names: impl Iterator<Item = &'a str>, wanted: &str) -> Option<&'a str> {
    let wanted = catalogue::fold(wanted);
    let length = wanted.chars().count();
    let slips = match length {
        0 => return None,
        1..=3 => 1,
        4..=11 => 2,
        _ => 3,
    };
    let own = letters(&wanted);
    let mut best: Option<(&str, usize)> = None;
    let mut by_words: Option<(&str, usize)> = None;
    let mut folded = String::new();
    for name in names {
        folded.clear();
        catalogue::fold_into(name, &mut folded);
        // Only a name that is nearer than the nearest so far matters.
        let slips = best.map_or(slips, |(_, least)| least - 1);
        let apart = folded.len().abs_diff(wanted.len());
        let most = if folded.is_ascii() && wanted.is_ascii() { slips } else { slips * 3 };
        // One slip in a name of three letters is a third of it: such names are near only when they begin alike.
        let alike = length > 3 || folded.as_bytes().first() == wanted.as_bytes().first();
        // Each letter that only one of them has is a slip.
        let others = letters(&folded);
        let differ = (own & !others).count_ones().max((others & !own).count_ones()) as usize;
        if apart <= most && alike && differ <= slips {
            let distance = strsim::osa_distance(&folded, &wanted);
            if distance > 0 && distance <= slips {
                best = Some((name, distance));
            }
        }
        if length > 3 && best.is_none() {
            let (short, long) =
                if folded.len() < wanted.len() { (&*folded, &*wanted) } else { (&*wanted, &*folded) };
            let within =
                short.len() > 3 && short.split(' ').all(|word| long.split(' ').any(|other| other == word));
            if within && by_words.is_none_or(|(_, least)| apart < least) {
                by_words = Some((name, apart));
            }
        }
    }
    best.or(by_words).map(|(name, _)| name)
}

/// The letters from a to z that a folded name has.
fn letters(folded: &str) -> u32 {
    folded.bytes().filter(u8::is_ascii_lowercase).fold(0, |all, letter| all | 1 << (letter - b'a'))
}

/// The kind of the built-in library, for kinds of definition.
fn catalogue_kind(kind: BlockKind) -> Option<catalogue::Kind> {
    Some(match kind {
        BlockKind::Malt => catalogue::Kind::Malt,
        BlockKind::Sugar => catalogue::Kind::Sugar,
        BlockKind::Hop => catalogue::Kind::Hop,
        BlockKind::Yeast => catalogue::Kind::Yeast,
        BlockKind::Water => catalogue::Kind::Water,
        BlockKind::Addition => catalogue::Kind::Addition,
        BlockKind::Style => catalogue::Kind::Style,
        BlockKind::BrewhouseBlock => catalogue::Kind::Brewhouse,
        _ => return None,
    })
}

fn file_of(entry: &catalogue::Entry) -> FileId {
    FileId::Catalogue(u8::try_from(entry.file).unwrap_or(u8::MAX))
}

fn place_of(entry: &catalogue::Entry) -> DefPlace {
    DefPlace { file: file_of(entry), anchor: u32::try_from(entry.start).unwrap_or(u32::MAX) }
}

static BUILT_IN: [OnceLock<Option<Arc<Definition>>>; catalogue::DEFINITIONS] =
    [const { OnceLock::new() }; catalogue::DEFINITIONS];
static PARSED: AtomicUsize = AtomicUsize::new(0);

/// A definition of the built-in library, parsed when it is first asked for. What it is `like` is not
/// followed here.
fn built_in(entry: &catalogue::Entry) -> Option<&'static Arc<Definition>> {
    BUILT_IN
        .get(entry.number)?
        .get_or_init(|| {
            PARSED.fetch_add(1, Ordering::Relaxed);
            let block = Arc::new(syntax::parse_block(entry.text(), BlockKind::Preamble));
            Definition::of_block(&block, place_of(entry), None).map(Arc::new)
        })
        .as_ref()
}

/// How many definitions of the built-in library this process has parsed.
#[must_use]
pub fn parsed_built_ins() -> usize {
    PARSED.load(Ordering::Relaxed)
}
