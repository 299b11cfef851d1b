//! What may stand at a place, and nothing else.

use figures::{FigureId, Show};
use recipe::{FactValue, FileId, Scope, named_kinds};
use syntax::ast::{Date, When};
use syntax::vocabulary::{
    BLOCKS, BlockKind, BlockSpec, ClauseWord, EntrySpec, Flag, Keyword, Kind, PROPERTY_ONLY, Slot,
};
use syntax::{Gap, Gaps, Span, Wanted, accepts, usual_units};
use workspace::{Analysis, FileState, Workspace};

use crate::names::needs_quotes;
use crate::places::origin;

/// What a completion is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompletionKind {
    /// A block.
    Block,
    /// A keyword of an entry, or the word of a clause.
    Keyword,
    /// A field or flag among properties.
    Property,
    /// A name of the library.
    Name,
    /// A unit.
    Unit,
    /// One of a few words, a date, a time.
    Value,
    /// A figure, a function, a named value.
    Figure,
    /// A rule.
    Rule,
    /// A file.
    File,
}

/// Something that may stand at the place asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// What is shown, and what a client without snippets writes.
    pub label: String,
    /// A short remark beside it.
    pub detail: Option<String>,
    /// What it is.
    pub documentation: Option<String>,
    /// The bytes it replaces: from the first word of what is written of it to the place asked for.
    pub replace: Span,
    /// What is written.
    pub insert: String,
    /// Whether `insert` has places to fill in: `$1`, `${2:20 L}`, `$0`.
    pub snippet: bool,
    /// What it is.
    pub kind: CompletionKind,
}

/// What may stand at a byte of a file, the likeliest first. `now` is the present local time,
/// `2026-03-14 10:05`, where it is known.
#[must_use]
pub fn completions(
    workspace: &Workspace,
    analysis: &Analysis,
    file: FileId,
    offset: u32,
    now: Option<&str>,
) -> Vec<Completion> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let Some(line) = Line::at(state, offset) else { return Vec::new() };
    let gaps = syntax::gaps(line.block, line.text, line.header);
    let maker = Maker {
        workspace,
        analysis,
        state,
        scope: workspace.scope(state),
        gaps: &gaps,
        line: &line,
        offset,
        now: now.and_then(Now::read),
    };
    let mut found = Found { list: Vec::new(), maker: &maker };
    for gap in &gaps.list {
        maker.fill(gap, &mut found);
    }
    found.list
}

/// The line of a place, as far as the place.
pub(crate) struct Line<'t> {
    /// What its entry is read as.
    pub(crate) block: BlockKind,
    /// Index of the block, where there is one.
    at: Option<usize>,
    /// Whether it stands in the first column.
    pub(crate) header: bool,
    /// From its first mark to the place.
    pub(crate) text: &'t str,
    /// Start of `text` in the file.
    start: u32,
    /// Start of the line in the file.
    line_start: u32,
}

impl<'t> Line<'t> {
    pub(crate) fn at(state: &'t FileState, offset: u32) -> Option<Self> {
        let before = state.text.get(..offset as usize)?;
        let line_start = before.rfind(['\n', '\r']).map_or(0, |at| at + 1);
        let line = before.get(line_start..)?;
        let written = line.trim_start_matches('\u{feff}');
        let text = written.trim_start();
        let start = offset as usize - text.len();
        let at =
            state.tree.blocks.partition_point(|placed| placed.start as usize <= line_start).checked_sub(1);
        let block = at.map_or(BlockKind::Preamble, |at| state.tree.blocks[at].block.entries_as);
        Some(Self {
            block,
            at,
            header: text.len() == written.len(),
            text,
            start: u32::try_from(start).ok()?,
            line_start: u32::try_from(line_start).ok()?,
        })
    }
}

/// The present time.
#[derive(Clone, Copy)]
struct Now<'t> {
    date: &'t str,
    clock: &'t str,
}

impl<'t> Now<'t> {
    fn read(text: &'t str) -> Option<Self> {
        let (date, clock) = text.split_once(' ')?;
        Some(Self { date, clock })
    }

    fn day(&self) -> Option<Date> {
        let mut parts = self.date.split('-');
        let date = Date {
            year: parts.next()?.parse().ok()?,
            month: parts.next()?.parse().ok()?,
            day: parts.next()?.parse().ok()?,
        };
        Some(date)
    }
}

/// What was found so far.
struct Found<'m> {
    list: Vec<Completion>,
    maker: &'m Maker<'m>,
}

impl Found<'_> {
    /// Takes a completion when what is written is the beginning of it, or of one of its words.
    fn put(
        &mut self,
        gap: &Gap,
        kind: CompletionKind,
        label: &str,
        detail: Option<String>,
        doc: Option<&str>,
    ) {
        let insert = label.to_owned();
        self.put_as(gap, kind, label, insert, false, detail, doc);
    }

    #[allow(clippy::too_many_arguments, reason = "one for each part of a completion")]
    fn put_as(
        &mut self,
        gap: &Gap,
        kind: CompletionKind,
        label: &str,
        insert: String,
        snippet: bool,
        detail: Option<String>,
        doc: Option<&str>,
    ) {
        let line = self.maker.line;
        let written = line.text.get(gap.start as usize..).unwrap_or("");
        if !begins(label, written)
            && !detail
                .as_deref()
                .is_some_and(|detail| kind == CompletionKind::Name && begins(detail, written))
        {
            return;
        }
        let replace = Span::new(line.start + gap.start, self.maker.offset);
        if self.list.iter().any(|known| known.label == label && known.replace == replace) {
            return;
        }
        self.list.push(Completion {
            label: label.to_owned(),
            detail,
            documentation: doc.map(str::to_owned),
            replace,
            insert,
            snippet,
            kind,
        });
    }
}

/// Whether what is written is the beginning of a label, or of one of its words.
fn begins(label: &str, written: &str) -> bool {
    // A blank behind a word says that the word is whole.
    let whole = written.ends_with(char::is_whitespace);
    let written = catalogue::fold(written);
    if written.is_empty() {
        return true;
    }
    let label = catalogue::fold(label);
    let starts = core::iter::once(0).chain(label.match_indices(' ').map(|(at, _)| at + 1));
    starts
        .filter_map(|at| label.get(at..)?.strip_prefix(written.as_str()))
        .any(|rest| !whole || rest.starts_with(' '))
}

struct Maker<'a> {
    workspace: &'a Workspace,
    analysis: &'a Analysis,
    state: &'a FileState,
    scope: &'a Scope,
    gaps: &'a Gaps,
    line: &'a Line<'a>,
    offset: u32,
    now: Option<Now<'a>>,
}

impl Maker<'_> {
    fn fill(&self, gap: &Gap, found: &mut Found<'_>) {
        match gap.wanted {
            Wanted::Block => self.blocks(gap, found),
            Wanted::Keyword(entry) => {
                found.put(gap, CompletionKind::Keyword, entry.keyword.word(), None, Some(entry.doc));
            }
            Wanted::Clause(clause) => found.put(gap, CompletionKind::Keyword, clause.word.word(), None, None),
            Wanted::Slot(slot) => self.slot(gap, slot, found),
            Wanted::Item => self.names(gap, named_kinds(self.line.block, None), found),
            Wanted::Unit(kinds) => units(gap, kinds, found),
            Wanted::When => self.when(gap, found),
            Wanted::Figure => {
                for figure in figures_of_a_plan() {
                    found.put(gap, CompletionKind::Figure, &figure.words(), None, Some(figure.doc()));
                }
            }
            Wanted::FigureUnit => {
                let words = self.gaps.name.map_or("", |name| name.of(self.line.text));
                if let Some(figure) = FigureId::from_words(words) {
                    units(gap, kinds_of(figure.show()), found);
                }
            }
            Wanted::Operand => self.operands(gap, found),
            Wanted::Property => self.properties(gap, found),
            Wanted::PropertyUnit => {
                for kind in self.thing_kinds() {
                    units(gap, unnamed(kind), found);
                }
                if self.gaps.name.is_none() && self.takes(Kind::Volume) {
                    units(gap, &[Kind::Temperature], found);
                }
            }
            Wanted::Substitute => self.names(gap, self.name_kinds(), found),
            Wanted::Comment => self.allowance(gap, found),
        }
    }

    /// Blocks that may begin here.
    fn blocks(&self, gap: &Gap, found: &mut Found<'_>) {
        let blocks = &self.state.tree.blocks;
        let own = |placed: &&syntax::ast::Placed| {
            let header = placed
                .block
                .lines
                .iter()
                .find(|line| !matches!(line.body, syntax::ast::Body::Blank | syntax::ast::Body::Comment));
            header.is_some_and(|line| placed.start + line.span.start == self.line.line_start)
        };
        let opens = |kind| matches!(kind, BlockKind::Recipe | BlockKind::Gyle);
        let mut owner = BlockKind::Preamble;
        let mut seen: Vec<BlockKind> = Vec::new();
        let of_a_part = [BlockKind::Pitch, BlockKind::Ferment, BlockKind::Package, BlockKind::Expect];
        for placed in blocks.iter().filter(|placed| !own(placed)) {
            let kind = placed.block.kind;
            if placed.start < self.line.line_start {
                if opens(kind) {
                    owner = kind;
                    seen.clear();
                } else if kind == BlockKind::Split {
                    seen.retain(|kind| !of_a_part.contains(kind));
                }
            } else if opens(kind) || kind == BlockKind::Split {
                break;
            }
            seen.push(kind);
        }
        let fits = |spec: &&BlockSpec| match spec.kind {
            BlockKind::Notes => owner != BlockKind::Preamble,
            BlockKind::Tasting => {
                self.state.tree.blocks.iter().any(|placed| placed.block.kind == BlockKind::Gyle)
            }
            kind if kind.is_process() => {
                owner == BlockKind::Recipe && (spec.repeats || !seen.contains(&kind))
            }
            _ => true,
        };
        let fitting: Vec<&BlockSpec> = BLOCKS.iter().filter(fits).collect();
        // What goes on with the recipe in hand comes before what begins something else.
        let (process, others): (Vec<&BlockSpec>, Vec<&BlockSpec>) =
            fitting.into_iter().partition(|spec| spec.kind.is_process());
        for spec in process.into_iter().chain(others) {
            let insert = self.snippet(spec.kind);
            let at = CompletionKind::Block;
            found.put_as(gap, at, spec.word, insert, true, None, Some(spec.doc));
        }
    }

    /// A block to fill in.
    fn snippet(&self, kind: BlockKind) -> String {
        let today = self.now.map_or("2026-01-01", |now| now.date);
        let text = match kind {
            BlockKind::Use => "use \"$0\"",
            BlockKind::Let => "let ${1:name} = $0",
            BlockKind::Recipe => {
                "recipe \"${1:Name}\"\n  style     $2\n  batch     ${3:20 L}\n  brewhouse $0"
            }
            BlockKind::Grist => "grist\n  ${1:4 kg} $0",
            BlockKind::Liquor => {
                "liquor\n  source    $1\n  mash      ${2:13 L}\n  sparge    ${3:17 L} at ${4:76 C}$0"
            }
            BlockKind::Mash => "mash\n  rest      ${1:66 C} for ${2:60 min}$0",
            BlockKind::Cook => {
                "cook ${1:5 L}\n  rest      ${2:72 C} for ${3:20 min}\n  boil      ${4:15 min}\n  return    to mash$0"
            }
            BlockKind::Steep => "steep ${1:30 min} at ${2:68 C}\n  liquor    ${3:5 L}$0",
            BlockKind::Sour => "sour\n  hold      ${1:38 C} for ${2:2 d} until ph ${3:3.4}$0",
            BlockKind::Boil => "boil ${1:60 min}\n  ${2:20 g} $0",
            BlockKind::Stand => "stand ${1:20 min} at ${2:80 C}\n  ${3:30 g} $0",
            BlockKind::Chill => "chill to ${1:18 C}$0",
            BlockKind::Split => "split \"${1:label}\" ${2:10 L}\n\npitch\n  $0",
            BlockKind::Pitch => "pitch\n  ${1:200 billion cells} $2\n  at        ${3:18 C}$0",
            BlockKind::Ferment => "ferment\n  hold      ${1:19 C} for ${2:7 d}$0",
            BlockKind::Package => "package\n  ${1|keg,cask,bottle,can|} ${2:2.4 vol} at ${3:12 C}$0",
            BlockKind::Expect => "expect\n  ${1:og} $0",
            BlockKind::Notes => "notes\n  | $0",
            BlockKind::Gyle => {
                return format!("gyle ${{1:1}} \"${{2:Name}}\" on ${{3:{today}}}\n  $0");
            }
            BlockKind::Tasting => {
                return format!("tasting on ${{1:{today}}}\n  score     ${{2:38/50}}\n  | $0");
            }
            BlockKind::Style => "style \"${1:code}\"\n  name      $0",
            kind => return format!("{} ${{1:name}}\n  $0", kind.word()),
        };
        text.to_owned()
    }

    /// What a slot of the entry or clause takes.
    fn slot(&self, gap: &Gap, slot: Slot, found: &mut Found<'_>) {
        let value =
            |found: &mut Found<'_>, word: &str| found.put(gap, CompletionKind::Value, word, None, None);
        match slot {
            Slot::Ref(kind) => {
                let kinds = self.name_kinds();
                if kinds.contains(&kind) {
                    self.names(gap, kinds, found);
                } else {
                    self.names(gap, &[kind], found);
                }
            }
            Slot::Word([]) => {
                for code in quantity::currencies().filter_map(quantity::UnitId::currency_code) {
                    value(found, code);
                }
            }
            Slot::Word(words) => words.iter().for_each(|word| value(found, word)),
            Slot::Chance => ["yes", "no", "possible"].iter().for_each(|word| value(found, word)),
            Slot::Date => {
                if let Some(now) = self.now {
                    value(found, now.date);
                }
            }
            Slot::Clock => {
                if let Some(now) = self.now {
                    value(found, now.clock);
                }
            }
            Slot::Day => value(found, "day"),
            Slot::Text if self.gaps.keyword == Some(Keyword::Style) => self.styles(gap, found),
            Slot::Words => self.words(gap, found),
            Slot::Str => self.strings(gap, found),
            Slot::Id if self.gaps.clause == Some(ClauseWord::Of) => {
                for log in &self.state.units.logs {
                    found.put(gap, CompletionKind::Value, &log.id, Some(log.recipe_name.to_string()), None);
                }
            }
            _ => {}
        }
    }

    /// Words of their own, where some are known.
    fn words(&self, gap: &Gap, found: &mut Found<'_>) {
        match (self.gaps.keyword, self.gaps.clause) {
            (Some(Keyword::Like), None) => self.names(gap, &[self.line.block], found),
            (Some(Keyword::Tag), None) => {
                // Each tag is a word of its own.
                let start = self.line.text.rfind(char::is_whitespace).map_or(0, |at| at + 1);
                let gap = Gap { wanted: gap.wanted, start: u32::try_from(start).unwrap_or(gap.start) };
                for tag in recipe::TECHNIQUES {
                    let remark = Some("the checks know it".to_owned());
                    found.put(&gap, CompletionKind::Value, tag, remark, None);
                }
            }
            (Some(Keyword::Instead), Some(ClauseWord::For)) => {
                self.names(gap, named_kinds(BlockKind::Gyle, None), found);
            }
            (Some(Keyword::Confidence), None) => {
                for grade in ["A", "B", "C"] {
                    found.put(gap, CompletionKind::Value, grade, None, None);
                }
            }
            _ => {}
        }
    }

    /// Texts in quotes: paths and names of recipes.
    fn strings(&self, gap: &Gap, found: &mut Found<'_>) {
        let keyword = self.line.text.split_whitespace().next().unwrap_or("");
        let path = keyword.eq_ignore_ascii_case("use") || self.gaps.clause == Some(ClauseWord::Of);
        if path {
            let mut paths: Vec<String> = self
                .workspace
                .files()
                .filter(|file| {
                    file.id != self.state.id
                        && Workspace::is_gyle(&file.path)
                        && file.config.root == self.state.config.root
                })
                .map(|file| Workspace::path_between(&self.state.path, &file.path))
                .collect();
            paths.sort_by_key(|path| (path.matches("../").count(), path.clone()));
            for path in &paths {
                found.put(gap, CompletionKind::File, path, None, None);
            }
        } else if keyword.eq_ignore_ascii_case("from") || keyword.eq_ignore_ascii_case("gyle") {
            let near = self.workspace.files().filter(|file| file.id == self.state.id);
            let far = self
                .workspace
                .files()
                .filter(|file| file.id != self.state.id && file.config.root == self.state.config.root);
            for file in near.chain(far) {
                for unit in file.units.recipes.iter().filter(|unit| !unit.name.is_empty()) {
                    found.put(gap, CompletionKind::Value, &unit.name, None, None);
                }
            }
        }
    }

    /// Names of some kinds: of this file, then of those it uses and of the cellar, then of the catalogue.
    fn names(&self, gap: &Gap, kinds: &[BlockKind], found: &mut Found<'_>) {
        let written = self.line.text.get(gap.start as usize..).unwrap_or("");
        let mut ranked = Vec::new();
        for (at, kind) in kinds.iter().enumerate() {
            for name in self.scope.names(*kind) {
                if !begins(&name.name, written) {
                    continue;
                }
                let (rank, place) = origin(self.workspace, self.state, name.place);
                let inside = !catalogue::fold(&name.name).starts_with(&*catalogue::fold(written));
                let detail = format!("{}, {place}", kind.word());
                let rank = (rank, inside, name.alias, u8::try_from(at).unwrap_or(u8::MAX));
                ranked.push((rank, name.name, detail));
            }
        }
        ranked.sort_by_key(|(rank, ..)| *rank);
        for (_, name, detail) in ranked {
            let insert = if needs_quotes(&name) && !self.in_quotes(gap) {
                format!("\"{name}\"")
            } else {
                name.to_string()
            };
            found.put_as(gap, CompletionKind::Name, &name, insert, false, Some(detail), None);
        }
    }

    fn in_quotes(&self, gap: &Gap) -> bool {
        self.line.text.get(..gap.start as usize).is_some_and(|before| before.ends_with('"'))
    }

    /// Codes of styles, with their names.
    fn styles(&self, gap: &Gap, found: &mut Found<'_>) {
        for style in self.scope.names(BlockKind::Style).into_iter().filter(|style| !style.alias) {
            let name = self.scope.find(BlockKind::Style, &style.name).and_then(|found| {
                match &found.definition.fact(Keyword::Name)?.value {
                    FactValue::Words(name) => Some(name.to_string()),
                    _ => None,
                }
            });
            found.put(gap, CompletionKind::Name, &style.name, name, None);
        }
    }

    /// The kinds that the name on this line may be of.
    fn name_kinds(&self) -> &'static [BlockKind] {
        if self.gaps.clause == Some(ClauseWord::With) {
            return &[BlockKind::Sugar];
        }
        named_kinds(self.line.block, self.gaps.keyword)
    }

    /// The kind of the thing named, where it is known, else all it may be of.
    fn thing_kinds(&self) -> Vec<BlockKind> {
        let kinds = self.name_kinds();
        let Some(name) = self.gaps.name else { return Vec::new() };
        let folded = catalogue::fold(name.of(self.line.text));
        match kinds.iter().find(|kind| self.scope.find_folded(**kind, &folded).is_some()) {
            Some(kind) => vec![*kind],
            None => kinds.to_vec(),
        }
    }

    fn entry(&self) -> Option<&'static EntrySpec> {
        let keyword = self.gaps.keyword?;
        self.line.block.spec()?.entries.iter().find(|entry| entry.keyword == keyword)
    }

    /// Whether the entry takes a value of this kind.
    fn takes(&self, kind: Kind) -> bool {
        let of = |slot: &Slot| matches!(slot, Slot::Of(kinds) if kinds.first() == Some(&kind));
        self.entry().is_some_and(|entry| {
            entry.takes.iter().any(of) || entry.clauses.iter().any(|clause| clause.takes.iter().any(of))
        })
    }

    /// Fields, flags and `or`.
    fn properties(&self, gap: &Gap, found: &mut Found<'_>) {
        let open = self.line.text.rfind('[').map_or(0, |at| at + 1);
        let before = self.line.text.get(open..gap.start as usize).unwrap_or("");
        let used: Vec<String> = before.split(',').map(catalogue::fold).collect();
        let is_used = |word: &str| {
            let word = catalogue::fold(word);
            used.iter().any(|one| {
                one.strip_prefix(word.as_str()).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
            })
        };
        let at = CompletionKind::Property;
        if self.line.block.is_definition() {
            if self.gaps.keyword == Some(Keyword::Alias) {
                found.put(gap, at, Flag::Loose.word(), None, Some("It may mean several things."));
            }
            return;
        }
        let kinds = self.thing_kinds();
        for kind in &kinds {
            for entry in kind.spec().into_iter().flat_map(|spec| spec.entries) {
                let of_the_library = matches!(
                    entry.keyword,
                    Keyword::Like | Keyword::Alias | Keyword::Stock | Keyword::Confidence
                );
                if !of_the_library && !is_used(entry.keyword.word()) {
                    found.put(gap, at, entry.keyword.word(), None, Some(entry.doc));
                }
            }
        }
        if self.line.block == BlockKind::Package && self.gaps.keyword.is_some() {
            for keyword in PROPERTY_ONLY.iter().filter(|keyword| !is_used(keyword.word())) {
                found.put(gap, at, keyword.word(), None, None);
            }
        }
        for flag in self.flags(&kinds).iter().filter(|flag| !is_used(flag.word())) {
            found.put(gap, at, flag.word(), None, None);
        }
        if self.gaps.name.is_some() && self.gaps.keyword.is_none() {
            found.put(gap, at, "or", None, Some("A substitute."));
        }
    }

    /// Flags that mean something on this line.
    fn flags(&self, kinds: &[BlockKind]) -> Vec<Flag> {
        let mut flags = Vec::new();
        if kinds.contains(&BlockKind::Hop) {
            flags.extend([Flag::Pellet, Flag::Leaf, Flag::Powder, Flag::Extract, Flag::Iso]);
        }
        match self.gaps.keyword {
            Some(Keyword::Source) => flags.extend([Flag::Boiled, Flag::Limed, Flag::CarbonFiltered]),
            Some(Keyword::Starter) => flags.extend([Flag::Stirred, Flag::Still]),
            Some(Keyword::Ph) if self.line.block == BlockKind::Gyle => {
                flags.extend([Flag::Mash, Flag::Kettle, Flag::Beer]);
            }
            _ => {}
        }
        if self.takes(Kind::Volume) && kinds.is_empty() {
            flags.push(Flag::Hot);
        }
        if self.line.block == BlockKind::Gyle && self.takes(Kind::Gravity) {
            flags.push(Flag::Refractometer);
        }
        flags
    }

    /// Names and functions of an expression.
    fn operands(&self, gap: &Gap, found: &mut Found<'_>) {
        let at = CompletionKind::Figure;
        let lets = self.state.tree.blocks.iter().flat_map(|placed| {
            let block = &placed.block;
            let own = block.header().filter(|_| block.kind == BlockKind::Let);
            let inside =
                block.entries().map(|(_, entry)| entry).filter(|entry| entry.form == syntax::ast::Form::Let);
            own.into_iter().chain(inside).filter_map(|entry| entry.name()).map(|name| block.slice(name.span))
        });
        for name in lets {
            found.put(gap, at, name, Some("named value".to_owned()), None);
        }
        for figure in FigureId::ALL {
            found.put(gap, at, figure.id(), None, Some(figure.doc()));
        }
        for (word, _) in syntax::FUNCTIONS {
            found.put_as(gap, at, word, format!("{word}($0)"), true, Some("function".to_owned()), None);
        }
    }

    /// The present time, and the day counted from pitching.
    fn when(&self, gap: &Gap, found: &mut Found<'_>) {
        let Some(at) = self.line.at else { return };
        let block = &self.state.tree.blocks[at];
        let before: Vec<When> = block
            .block
            .entries()
            .filter(|(_, entry)| block.start + entry.span.start < self.line.line_start)
            .filter_map(|(_, entry)| entry.when.map(|when| when.node))
            .collect();
        let begun = block.block.header().and_then(|header| {
            header.clauses().filter_map(|clause| clause.value()).find_map(|value| match value.kind {
                syntax::ast::ValueKind::Date(date) => Some(date),
                _ => None,
            })
        });
        let dated = before.iter().rev().find_map(|when| match when {
            When::Date(date, _) => Some(*date),
            _ => None,
        });
        let counted = before.iter().rev().find_map(|when| match when {
            When::Day(day, _) => Some(*day),
            _ => None,
        });
        let kind = CompletionKind::Value;
        let today = self.now.and_then(|now| now.day());
        if let (Some(now), Some(today)) = (self.now, today) {
            if dated.or(begun) == Some(today) && counted.is_none() {
                found.put(gap, kind, now.clock, Some("now".to_owned()), None);
            } else {
                found.put(gap, kind, &format!("{} {}", now.date, now.clock), Some("now".to_owned()), None);
            }
        }
        let pitched = self
            .analysis
            .logs
            .iter()
            .find(|log| log.starts.first() == Some(&block.start))
            .and_then(|log| log.log.pitch_day);
        let since =
            pitched.and_then(|day| Some(recipe::days_between(begun?, today?)? - day)).filter(|day| *day >= 0);
        let remark = since.map(|_| "today, counted from pitching".to_owned());
        let day = since.or(counted.map(|day| day + 1)).or(pitched.map(|_| 1));
        match day {
            Some(day) => found.put(gap, kind, &format!("day {day}"), remark, None),
            None => found.put(gap, kind, "day", Some("counted from pitching".to_owned()), None),
        }
    }

    /// Ids of rules in an allowance.
    fn allowance(&self, gap: &Gap, found: &mut Found<'_>) {
        let comment = self.line.text.get(gap.start as usize..).unwrap_or("");
        let Some(names) = comment.trim_start_matches('#').trim_start().strip_prefix("allow ") else { return };
        if names.contains(':') {
            return;
        }
        let list = names.trim_start().strip_prefix("in file ").unwrap_or(names);
        let last = list.rsplit(',').next().unwrap_or("").trim_start();
        let start = self.line.text.len() - last.len();
        let named: Vec<&str> = list.split(',').map(str::trim).collect();
        let gap = Gap { wanted: gap.wanted, start: u32::try_from(start).unwrap_or(gap.start) };
        // What is found on this line or the next comes first.
        let near = |finding: &&rules::Finding| {
            let text = &self.state.text;
            let between = text.get(self.line.line_start as usize..finding.span.start as usize);
            between.is_some_and(|between| between.lines().count() <= 2)
        };
        let mut ids: Vec<&str> =
            self.analysis.findings.iter().filter(near).map(|finding| finding.rule).collect();
        ids.extend(rules::RULES.iter().map(|rule| rule.id));
        for id in ids.into_iter().filter(|id| !named.contains(id) || *id == last) {
            let Some(rule) = rules::find(id) else { continue };
            found.put(
                &gap,
                CompletionKind::Rule,
                id,
                Some(rule.group.word().to_owned()),
                Some(rule.doc.catches),
            );
        }
    }
}

/// Units behind a number, the likeliest first, then every other one that fits what is written.
fn units(gap: &Gap, kinds: &[Kind], found: &mut Found<'_>) {
    let line = found.maker.line;
    let before = line.text.get(..gap.start as usize).unwrap_or("");
    let glued = before.ends_with(|c: char| c.is_ascii_digit());
    let written = line.text.get(gap.start as usize..).unwrap_or("");
    let blank = if glued && written.is_empty() { " " } else { "" };
    let usual = kinds.iter().flat_map(|kind| usual_units(*kind)).copied();
    let others = quantity::units()
        .filter(|(unit, _)| kinds.iter().any(|kind| accepts(*kind, *unit)))
        .map(|(_, word)| word);
    let mut count = found.list.len();
    for word in usual {
        put_unit(gap, word, blank, found);
    }
    // Rare units only where somebody began to write one.
    count = found.list.len() - count;
    if !written.trim().is_empty() || count == 0 {
        for word in others {
            put_unit(gap, word, blank, found);
        }
    }
}

fn put_unit(gap: &Gap, word: &str, blank: &str, found: &mut Found<'_>) {
    let written = found.maker.line.text.get(gap.start as usize..).unwrap_or("");
    if !word.to_lowercase().starts_with(&written.to_lowercase()) {
        return;
    }
    found.put_as(gap, CompletionKind::Unit, word, format!("{blank}{word}"), false, None, None);
}

fn figures_of_a_plan() -> impl Iterator<Item = FigureId> {
    FigureId::ALL.iter().copied().filter(|figure| figure.scope() == figures::Scope::Plan)
}

/// What the number of a property without a field may measure.
const fn unnamed(kind: BlockKind) -> &'static [Kind] {
    match kind {
        BlockKind::Malt | BlockKind::Sugar => &[Kind::Colour],
        BlockKind::Hop | BlockKind::Addition => &[Kind::Proportion],
        BlockKind::Yeast => &[Kind::Proportion, Kind::CellsPerVolume, Kind::CellsPerMass, Kind::Cells],
        _ => &[],
    }
}

/// What a figure measures.
const fn kinds_of(show: Show) -> &'static [Kind] {
    match show {
        Show::Gravity | Show::Plato => &[Kind::Gravity],
        Show::Percent | Show::Share => &[Kind::Proportion],
        Show::Ibu => &[Kind::Bitterness],
        Show::Colour => &[Kind::Colour],
        Show::Mass | Show::Grams => &[Kind::Mass],
        Show::Volume | Show::Millilitres => &[Kind::Volume],
        Show::Diastatic => &[Kind::Diastatic],
        Show::Thickness => &[Kind::VolumePerMass],
        Show::Temperature => &[Kind::Temperature],
        Show::Alkalinity => &[Kind::Alkalinity],
        Show::Buffering => &[Kind::Buffer],
        Show::Ion => &[Kind::Concentration],
        Show::Cells => &[Kind::Cells],
        Show::PitchRate => &[Kind::PitchRate],
        Show::Carbonation => &[Kind::Carbonation],
        Show::Pressure => &[Kind::Pressure],
        Show::Dose => &[Kind::Dose],
        Show::Energy => &[Kind::Energy],
        Show::Flow | Show::Evaporation => &[Kind::Flow],
        Show::SharePerMinute => &[Kind::Rate],
        Show::Minutes => &[Kind::Time],
        Show::Metres => &[Kind::Length],
        Show::Power => &[Kind::Power],
        Show::HeatCapacity => &[Kind::HeatCapacity],
        Show::Ratio | Show::Factor | Show::Ph | Show::Money => &[],
    }
}

#[cfg(test)]
mod tests {
    use crate::fixture::Fixture;

    use super::*;

    const NOW: Option<&str> = Some("2026-03-20 10:42");

    fn at_cursor(text: &str) -> Vec<(String, String)> {
        let fixture = Fixture::new(text);
        let found = completions(&fixture.workspace, &fixture.analysis(), fixture.file, fixture.offset, NOW);
        let text = fixture.text();
        found.into_iter().map(|one| (one.label, one.replace.of(&text).to_owned())).collect()
    }

    fn labels(text: &str) -> Vec<String> {
        at_cursor(text).into_iter().map(|(label, _)| label).collect()
    }

    const RECIPE: &str = "# ä\nrecipe \"É\"\n  batch 20 L\n";

    /// The whole list where it is short.
    #[test]
    fn what_may_stand_and_nothing_else() {
        let cases: &[(&str, &[&str])] = &[
            // Clauses behind a name, and the words that open one.
            ("boil 60 min\n  48 g Fuggle $0", &["at", "to reach", "for"]),
            ("boil 60 min\n  48 g Fuggle at 60 min $0", &["to reach", "for"]),
            ("boil 60 min\n  48 g Fuggle at $0", &["flameout", "first wort"]),
            ("boil 60 min\n  48 g Fuggle at fi$0", &["first wort"]),
            ("boil 60 min\n  48 g Fuggle at first $0", &["first wort"]),
            // Units behind a number, and nothing but units.
            (
                "boil 60 min\n  48 $0",
                &[
                    "g",
                    "kg",
                    "oz",
                    "lb",
                    "L",
                    "mL",
                    "gal",
                    "each",
                    "pack",
                    "tablet",
                    "billion cells",
                    "million cells",
                ],
            ),
            ("boil 60 min\n  48 g Fuggle at 60 $0", &["min", "h", "d"]),
            ("boil 60 min\n  48 g Fuggle at 60$0", &["min", "h", "d"]),
            ("boil 60 min\n  48 g Fuggle to reach 24 $0", &["IBU", "at", "for"]),
            ("mash\n  rest 66 $0", &["C", "F"]),
            ("mash\n  rest 66 C $0", &["for", "by"]),
            ("mash\n  rest 66 C by d$0", &["direct heat", "decoction"]),
            ("mash\n  rest 66 C by direct $0", &["direct heat"]),
            ("mash\n  rest 52..66 $0", &["C", "F"]),
            ("pitch\n  200 billion $0", &["billion cells"]),
            ("chill $0", &["to", "over"]),
            ("ferment\n  raise $0", &["to", "over", "for", "until"]),
            ("ferment\n  spund 1 bar from $0", &["day"]),
            ("package\n  cask 2 $0", &["vol", "g/L CO2"]),
            ("package\n  cask 2 vol $0", &["at", "with"]),
            ("expect\n  mash p$0", &["mash ph"]),
            ("expect\n  colour 20..30 $0", &["EBC", "SRM", "lov"]),
            ("liquor\n  top $0", &["top up"]),
            ("liquor\n  sparge 17 L $0", &["at"]),
            ("liquor\n  add to $0", &["to reach", "mash", "sparge", "kettle", "all"]),
            ("liquor\n  add to reach $0", &["ph"]),
            // Inside brackets.
            ("boil 60 min\n  48 g Fuggle [alpha 4 $0", &["%"]),
            ("boil 60 min\n  48 g Fuggle [4 $0", &["%"]),
            ("boil 60 min\n  48 g Fuggle [alpha 4 %, pe$0", &["pellet"]),
            ("boil 60 min\n  48 g Fuggle [al$0", &["alpha", "allergen"]),
            ("liquor\n  source x [b$0", &["bicarbonate", "boiled"]),
            // What stands before the cursor may be wrong.
            ("boil 60 min\n  48 g Fuglge [alpha 4,6 %] at $0", &["flameout", "first wort"]),
            ("boil 60 mni\n  48 g Fuggle at $0", &["flameout", "first wort"]),
            // Prose, names that are given, numbers.
            ("notes\n  | $0", &[]),
            ("recipe \"$0", &[]),
            ("mash\n  rest $0", &[]),
            ("mash\n  rest 6$0", &["C", "F"]),
            ("boil 60 min # $0", &[]),
        ];
        for (text, wanted) in cases {
            assert_eq!(labels(&format!("{RECIPE}{text}")), *wanted, "{text}");
        }
    }

    /// Things that are among many, and what they replace.
    #[test]
    fn names_begin_with_their_first_word() {
        let cases: &[(&str, &str, &str)] = &[
            ("grist\n  4 kg maris o$0", "Maris Otter malt", "maris o"),
            ("grist\n  4 kg maris otter $0", "Maris Otter malt", "maris otter "),
            ("grist\n  4 kg otter$0", "Maris Otter malt", "otter"),
            ("boil 60 min\n  48 g fug$0", "Fuggle", "fug"),
            ("boil 60 min\n  1 tablet kettle f$0", "kettle finings", "kettle f"),
            ("grist\n  4 kg maris otter malt [150 $0", "EBC", ""),
            ("liquor\n  add 3 g calcium ch$0", "calcium chloride dihydrate", "calcium ch"),
            ("package\n  bottle 2.4 vol at 20 C with 5 g/L dex$0", "dextrose", "dex"),
            ("pitch\n  200 billion cells english $0", "English ale yeast", "english "),
            ("expect\n  og / i$0", "ibu", "i"),
            ("expect\n  pre-boil g$0", "pre-boil gravity", "pre-boil g"),
        ];
        for (text, label, replaced) in cases {
            let found = at_cursor(&format!("{RECIPE}{text}"));
            let one = found.iter().find(|(known, _)| known == label);
            assert_eq!(one.map(|(_, text)| text.as_str()), Some(*replaced), "{text}: {found:?}");
        }
    }

    #[test]
    fn blocks_stand_in_the_first_column() {
        let found = labels(&format!("{RECIPE}grist\n  4 kg x\n\n$0\n\nboil 60 min\n"));
        assert_eq!(found.first().map(String::as_str), Some("liquor"));
        for wrong in ["grist", "boil", "tasting"] {
            assert!(!found.iter().any(|label| label == wrong), "{wrong}");
        }
        assert!(found.iter().any(|label| label == "stand"));
        assert!(found.iter().any(|label| label == "malt"));
        assert_eq!(labels("# ä\n$0").first().map(String::as_str), Some("use"));
        assert!(!labels("# ä\n$0").iter().any(|label| label == "boil"));
        assert_eq!(labels(&format!("{RECIPE}gri$0")), ["grist"]);
        assert_eq!(
            labels(&format!("{RECIPE}grist\n  $0")).iter().filter(|label| *label == "boil").count(),
            0
        );
    }

    #[test]
    fn names_of_the_file_come_first() {
        let own = "malt \"Zährter malt\"\n  extract 80 %\n\n";
        let found = labels(&format!("{own}{RECIPE}grist\n  4 kg $0"));
        assert_eq!(found.first().map(String::as_str), Some("Zährter malt"));
        assert!(found.len() > 50);
    }

    #[test]
    fn styles_rules_and_times() {
        let found = at_cursor("# ä\nrecipe \"É\"\n  style 13$0");
        assert!(found.iter().any(|(label, text)| label == "13C" && text == "13"), "{found:?}");
        assert!(labels("# ä\nrecipe \"É\"\n  style porter$0").contains(&"13C".to_owned()));
        assert!(labels("# ä\nrecipe \"É\" # allow kettle$0").contains(&"kettle-headroom-low".to_owned()));
        assert_eq!(labels("# ä\nrecipe \"É\" # allow kettle-headroom-low: $0"), [""; 0]);
        let log = "# ä\ngyle 1 \"É\" on 2026-03-14\n  10:05 mash in 66 C\n  14:00 pitch 200 billion cells at 18 C\n";
        assert_eq!(labels(&format!("{log}  $0")), ["2026-03-20 10:42", "day 6"]);
        assert_eq!(labels(&format!("{log}  day $0")), ["day 6"]);
        assert_eq!(labels(&format!("{log}  day 2 gr$0")), ["gravity"]);
        assert_eq!(labels(&format!("{log}  day 2 first $0")), ["first runnings"]);
        assert_eq!(labels("# ä\ngyle 1 \"É\" on 2026-03-20\n  $0"), ["10:42", "day"]);
        assert_eq!(labels("# ä\nmalt é\n  confidence $0"), ["A", "B", "C"]);
    }
}
