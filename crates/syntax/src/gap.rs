//! What may stand behind the beginning of a line: the question completion asks.
//!
//! Whole words are read from left to right with the scanners of the parser, so that a line that cannot be
//! parsed yet, or never, still says what is missing. No names are looked up: where a name may stand, the
//! answer says which kind of name.

use smallvec::SmallVec;

use crate::ast::{Value, ValueKind};
use crate::lexicon::{self, PropertyWord, Stops};
use crate::line;
use crate::measure::bare_number_stands;
use crate::scan::{self, Scene};
use crate::span::Span;
use crate::vocabulary::{
    BlockKind, BlockSpec, ClauseSpec, ClauseWord, EntrySpec, Keyword, Kind, Slot, item_amounts,
};

/// What may stand at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// The first word of a header.
    Block,
    /// The keyword of an entry.
    Keyword(&'static EntrySpec),
    /// The word of a clause.
    Clause(&'static ClauseSpec),
    /// What a slot of the entry or clause takes.
    Slot(Slot),
    /// The name of the thing on an item line.
    Item,
    /// A unit of one of these kinds, behind a number.
    Unit(&'static [Kind]),
    /// The time of a log entry.
    When,
    /// A figure's words, at the start of an expectation.
    Figure,
    /// A unit of the figure named, behind a number.
    FigureUnit,
    /// A name or function of an expression.
    Operand,
    /// A property of the thing named.
    Property,
    /// A unit of a property without a field, behind a number.
    PropertyUnit,
    /// The name of a substitute for the thing named.
    Substitute,
    /// A comment.
    Comment,
}

/// A thing that may stand, and where what is written of it begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// What.
    pub wanted: Wanted,
    /// First byte of what is written of it; the end of the text where nothing is.
    pub start: u32,
}

/// Everything that may stand behind the beginning of a line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gaps {
    /// In the order of the line, the likeliest first.
    pub list: SmallVec<[Gap; 8]>,
    /// The keyword of the line.
    pub keyword: Option<Keyword>,
    /// The clause in hand.
    pub clause: Option<ClauseWord>,
    /// The field of the property in hand.
    pub field: Option<Keyword>,
    /// The words of the thing named on the line.
    pub name: Option<Span>,
}

/// What may stand at the end of `text`, the beginning of a line of a block without its indent. `header` says
/// whether the line stands in the first column.
#[must_use]
pub fn gaps(kind: BlockKind, text: &str, header: bool) -> Gaps {
    let mut walk = Walk { text, whole: whole(text), block: kind, gaps: Gaps::default(), number: None };
    if let Some(hash) = line::comment_start(text, 0) {
        walk.want_at(Wanted::Comment, hash);
    } else if header {
        walk.header();
    } else {
        walk.entry();
    }
    walk.gaps
}

/// How much of a text is whole words; the rest is one that is being written. A unit may be glued to its
/// number.
fn whole(text: &str) -> usize {
    let parts =
        |c: char| c.is_whitespace() || matches!(c, '[' | ']' | '(' | ')' | '"' | ',') || scan::is_curly(c);
    let start = text.char_indices().rev().find(|&(_, c)| parts(c)).map_or(0, |(at, c)| at + c.len_utf8());
    let word = scan::rest(text, start);
    if !word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '\u{2212}')) {
        return start;
    }
    let unit = word.find(|c: char| c.is_alphabetic() || matches!(c, '%' | '°'));
    start + unit.unwrap_or(word.len())
}

/// A number that was read last: what it may measure, and where its unit begins.
#[derive(Clone, Copy)]
struct Number {
    units: Wanted,
    bare: bool,
    unit_at: usize,
}

/// The parts of a line: what its keyword takes, and how far that has been written.
#[derive(Clone, Copy)]
struct Shape {
    takes: &'static [Slot],
    optional: usize,
    clauses: &'static [ClauseSpec],
    /// The amounts of an item line.
    item: Option<&'static [Kind]>,
}

struct Walk<'t> {
    text: &'t str,
    /// End of the whole words.
    whole: usize,
    block: BlockKind,
    gaps: Gaps,
    number: Option<Number>,
}

impl Walk<'_> {
    fn want_at(&mut self, wanted: Wanted, at: usize) {
        let gap = Gap { wanted, start: u32::try_from(at).unwrap_or(u32::MAX) };
        if !self.gaps.list.contains(&gap) {
            self.gaps.list.push(gap);
        }
    }

    /// Something that begins with the word being written.
    fn want(&mut self, wanted: Wanted) {
        self.want_at(wanted, self.whole);
    }

    /// The whole words.
    fn read(&self) -> &str {
        self.text.get(..self.whole).unwrap_or("")
    }

    fn blanks(&self, at: usize) -> usize {
        scan::blanks(self.read(), at)
    }

    fn header(&mut self) {
        if !self.text.contains(char::is_whitespace) {
            return self.want_at(Wanted::Block, 0);
        }
        let Some((kind, end)) = lexicon::block(self.read()) else { return };
        let Some(spec) = kind.spec() else { return };
        self.block = kind;
        self.gaps.keyword = lexicon::header_keyword(kind);
        if kind == BlockKind::Let {
            return self.letting(end);
        }
        let shape = Shape {
            takes: spec.takes,
            optional: usize::from(spec.optional),
            clauses: spec.clauses,
            item: None,
        };
        self.parts(shape, end);
    }

    fn entry(&mut self) {
        let Some(spec) = self.block.spec() else { return };
        match self.text.as_bytes().first() {
            Some(b'?') if spec.queries => return self.expression(1),
            Some(b'?' | b'|') => return,
            _ => {}
        }
        match self.block {
            BlockKind::Expect => self.expectation(),
            BlockKind::Gyle => self.log_entry(spec),
            _ => self.plain_entry(spec, 0),
        }
    }

    fn log_entry(&mut self, spec: &'static BlockSpec) {
        let Some((when, end)) = scan::when(self.read(), 0) else {
            let begun = self.read().trim_end();
            if begun.is_empty() || begun.eq_ignore_ascii_case("day") {
                self.want_at(Wanted::When, 0);
            }
            return;
        };
        let at = self.blanks(end);
        // The time and the event are words of their own.
        if at > end {
            if at >= self.whole && matches!(when.node, crate::ast::When::Date(_, None)) {
                self.want(Wanted::Slot(Slot::Clock));
            }
            self.plain_entry(spec, at);
        }
    }

    fn plain_entry(&mut self, spec: &'static BlockSpec, start: usize) {
        // Words alone may go on to another keyword: `boil` to `boil start`.
        let words = scan::rest(self.text, start);
        if words.chars().all(|c| c.is_alphabetic() || c.is_whitespace() || c == '-') {
            for entry in spec.entries {
                self.want_at(Wanted::Keyword(entry), start);
            }
        }
        let item = spec.items.map(|clauses| Shape {
            takes: &[],
            optional: 0,
            clauses,
            item: Some(item_amounts(spec.kind)),
        });
        if let Some((entry, end)) = lexicon::entry(spec.kind, self.read(), start) {
            return self.fact(entry, end);
        }
        let Some(item) = item.filter(|_| self.block != BlockKind::Gyle) else { return };
        if let Some((value, end)) = self.value(start) {
            let at = self.blanks(end);
            if let Some((entry, end)) = lexicon::entry(spec.kind, self.read(), at)
                && entry.amount_leads
            {
                return self.fact(entry, end);
            }
            self.number(&value, Wanted::Unit(item_amounts(spec.kind)), item_amounts(spec.kind));
            if at >= self.whole && self.number.is_none_or(|number| number.unit_at < at) {
                for entry in spec.entries.iter().filter(|entry| entry.amount_leads) {
                    self.want(Wanted::Keyword(entry));
                }
            }
        }
        self.parts(item, start);
    }

    fn fact(&mut self, entry: &'static EntrySpec, end: usize) {
        // The keyword is whole once a blank stands behind it.
        if end >= self.whole {
            return;
        }
        self.gaps.keyword = Some(entry.keyword);
        if entry.keyword == Keyword::Let {
            return self.letting(end);
        }
        let shape = Shape {
            takes: entry.takes,
            optional: usize::from(entry.optional),
            clauses: entry.clauses,
            item: None,
        };
        self.parts(shape, end);
    }

    /// `let NAME = EXPR`, behind the word.
    fn letting(&mut self, at: usize) {
        if let Some(sign) = self.text.get(at..).and_then(|rest| rest.find('=')) {
            self.expression(at + sign + 1);
        }
    }

    /// An expectation or a condition.
    fn expectation(&mut self) {
        let words = |c: char| c.is_alphabetic() || c.is_whitespace() || c == '-';
        if self.text.chars().all(words) {
            self.want_at(Wanted::Figure, 0);
            return;
        }
        let end = self.text.find(|c| !words(c)).unwrap_or(0);
        let name = self.text.get(..end).unwrap_or("").trim_end().len();
        if name > 0
            && let Some((value, value_end)) = self.value(end)
        {
            self.gaps.name = Some(Span::new(0, u32::try_from(name).unwrap_or(0)));
            self.number(&value, Wanted::FigureUnit, &[]);
            if self.blanks(value_end) >= self.whole {
                self.unit();
            }
            return;
        }
        self.expression(0);
    }

    /// An operand of an expression that begins at a place.
    fn expression(&mut self, start: usize) {
        let Some(written) = self.text.get(start..) else { return };
        let part = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '-');
        let mut at = written
            .char_indices()
            .rev()
            .take_while(|&(_, c)| part(c))
            .last()
            .map_or(written.len(), |(at, _)| at);
        // A sign that is glued to the name is no part of it.
        while written.get(at..).is_some_and(|word| word.starts_with(['-', '.'])) {
            at += 1;
        }
        let before = written.get(..at).unwrap_or("").trim_end();
        let last = before.split_whitespace().next_back().unwrap_or("");
        let open = before.is_empty()
            || before.ends_with(['+', '-', '*', '/', '^', '(', '<', '>', '=', ','])
            || last.eq_ignore_ascii_case("and");
        let word = written.get(at..).unwrap_or("");
        if open && !word.starts_with(|c: char| c.is_ascii_digit()) {
            self.want_at(Wanted::Operand, start + at);
        }
    }

    fn value(&self, at: usize) -> Option<(Value, usize)> {
        let mut scene = Scene::new(0, crate::ast::Form::Fact, Span::default());
        scan::value(self.read(), at, &mut scene)
    }

    /// Keeps in mind what the unit behind a value may be.
    fn number(&mut self, value: &Value, units: Wanted, kinds: &[Kind]) {
        let last = match &value.kind {
            ValueKind::Plain(one) => one,
            ValueKind::Range(_, last) | ValueKind::Tolerance(_, last) => last,
            _ => {
                self.number = None;
                return;
            }
        };
        let end = last.span.end as usize;
        let unit_at = if last.unit.is_some() { last.unit_span.start as usize } else { self.blanks(end) };
        let bare = last.unit.is_some() || kinds.iter().any(|&kind| bare_number_stands(kind));
        self.number = Some(Number { units, bare, unit_at });
    }

    /// The unit of the last number. Says whether something else may stand as well.
    fn unit(&mut self) -> bool {
        let Some(number) = self.number else { return true };
        self.want_at(number.units, number.unit_at);
        number.bare
    }

    /// Parts in order, from a place on.
    fn parts(&mut self, shape: Shape, start: usize) {
        let stops = Stops::ITEM.with(shape.clauses);
        let mut at = start;
        let mut slot = 0;
        let mut named = shape.item.is_none();
        let mut amount = shape.item;
        let mut used: SmallVec<[ClauseWord; 4]> = SmallVec::new();
        loop {
            at = self.blanks(at);
            if at >= self.whole {
                return self.next(shape, slot, named, &used);
            }
            let text = self.text;
            let read = text.get(..self.whole).unwrap_or("");
            match text.as_bytes().get(at) {
                Some(b'[') => match read.get(at..).and_then(|rest| rest.find(']')) {
                    Some(length) => {
                        at += length + 1;
                        self.number = None;
                    }
                    None => return self.properties(at + 1),
                },
                Some(b'(') => match scan::closing_parenthesis(read, at) {
                    Some(end) => {
                        (at, self.number) = (end, None);
                        slot += usize::from(matches!(shape.takes.get(slot), Some(Slot::Of(_) | Slot::Expr)));
                        amount = None;
                    }
                    None => return self.expression(at + 1),
                },
                _ => {
                    if let Some(quoted) = scan::quoted(text, at) {
                        let string = shape.takes.get(slot) == Some(&Slot::Str);
                        if !quoted.closed || quoted.end > self.whole {
                            if string {
                                self.want_at(Wanted::Slot(Slot::Str), quoted.inner);
                            }
                            return;
                        }
                        if string {
                            slot += 1;
                        } else if !named {
                            named = true;
                            self.name(quoted.inner, quoted.inner_end);
                        } else if let Some(name) = (slot..shape.takes.len())
                            .find(|&at| matches!(shape.takes[at], Slot::Ref(_) | Slot::Words))
                        {
                            slot = name + 1;
                            self.name(quoted.inner, quoted.inner_end);
                        }
                        (at, self.number) = (quoted.end, None);
                        continue;
                    }
                    if let Some((word, end)) = scan::clause_word(read, at, stops)
                        && (named || shape.item.is_some())
                    {
                        match self.clause(shape.clauses, word, at, end) {
                            Some(end) => at = end,
                            None => return,
                        }
                        used.push(word);
                        continue;
                    }
                    let takes_value = |slot: &Slot| {
                        matches!(
                            slot,
                            Slot::Of(_) | Slot::Date | Slot::Clock | Slot::Day | Slot::Score | Slot::Id
                        )
                    };
                    if let Some((value, end)) = self.value(at) {
                        if let Some(kinds) = amount.take() {
                            self.number(&value, Wanted::Unit(kinds), kinds);
                            at = end;
                            continue;
                        }
                        let next = (slot..shape.takes.len()).find(|&at| takes_value(&shape.takes[at]));
                        if let Some(next) = next {
                            match shape.takes[next] {
                                Slot::Of(kinds) => self.number(&value, Wanted::Unit(kinds), kinds),
                                _ => self.number = None,
                            }
                            (slot, at) = (next + 1, end);
                            continue;
                        }
                    }
                    match self.words(shape, &mut slot, &mut named, at, stops) {
                        Some(end) => at = end,
                        None => return,
                    }
                    amount = None;
                }
            }
        }
    }

    /// Words at a place: one of those known there, or a name. `None` where they go on to the end.
    fn words(
        &mut self,
        shape: Shape,
        slot: &mut usize,
        named: &mut bool,
        at: usize,
        stops: Stops,
    ) -> Option<usize> {
        if !*named {
            return self
                .name_at(Wanted::Item, at, stops, |walk| walk.next(shape, usize::MAX, true, &[]))
                .inspect(|_| *named = true);
        }
        for next in *slot..shape.takes.len() {
            let done = next + 1;
            match shape.takes[next] {
                Slot::Word(known) => {
                    if let Some(end) = longest(self.read(), at, known) {
                        (*slot, self.number) = (done, None);
                        return Some(end);
                    }
                    // `direct` of `direct heat` is on its way.
                    self.want_at(Wanted::Slot(Slot::Word(known)), at);
                }
                wanted @ (Slot::Ref(_) | Slot::Words) => {
                    *slot = done;
                    return self
                        .name_at(Wanted::Slot(wanted), at, stops, |walk| walk.next(shape, done, true, &[]));
                }
                Slot::Id => {
                    *slot = done;
                    return Some(scan::word_end(self.read(), at));
                }
                Slot::Text => {
                    self.want_at(Wanted::Slot(Slot::Text), at);
                    return None;
                }
                _ => {}
            }
        }
        // `ppm as` of `ppm as CaCO3`.
        self.unit();
        None
    }

    /// A name at a place. One that reaches the end may go on, or be whole.
    fn name_at(
        &mut self,
        wanted: Wanted,
        at: usize,
        stops: Stops,
        rest: impl FnOnce(&mut Self),
    ) -> Option<usize> {
        let Some(end) = scan::name(self.read(), at, stops) else {
            self.unit();
            return None;
        };
        self.name(at, end);
        if self.blanks(end) < self.whole {
            self.number = None;
            return Some(end);
        }
        // `billion` of `billion cells`.
        let sure = self.unit();
        self.number = None;
        if sure {
            self.want_at(wanted, at);
            rest(self);
        }
        None
    }

    fn name(&mut self, start: usize, end: usize) {
        let place = |at| u32::try_from(at).unwrap_or(u32::MAX);
        self.gaps.name = Some(Span::new(place(start), place(end)));
    }

    /// What may stand next.
    fn next(&mut self, shape: Shape, slot: usize, named: bool, used: &[ClauseWord]) {
        if !self.unit() {
            return;
        }
        if !named {
            return self.want(Wanted::Item);
        }
        let required = shape.takes.len().saturating_sub(shape.optional);
        for next in slot..shape.takes.len() {
            self.want(Wanted::Slot(shape.takes[next]));
            // What is added may be solved for, what is pitched be known.
            let solved = matches!(self.gaps.keyword, Some(Keyword::Add | Keyword::Pitch)) && next == 0;
            if next < required && !solved {
                return;
            }
        }
        for clause in shape.clauses.iter().filter(|clause| !used.contains(&clause.word)) {
            self.want(Wanted::Clause(clause));
        }
    }

    /// A clause from behind its word; its end.
    fn clause(
        &mut self,
        clauses: &'static [ClauseSpec],
        word: ClauseWord,
        start: usize,
        end: usize,
    ) -> Option<usize> {
        self.number = None;
        let mut at = self.blanks(end);
        let longer = (word == ClauseWord::To && at >= self.whole)
            .then(|| clauses.iter().find(|clause| clause.word == ClauseWord::ToReach))
            .flatten();
        if let Some(longer) = longer {
            self.want_at(Wanted::Clause(longer), start);
        }
        let spec = clauses.iter().find(|clause| clause.word == word)?;
        self.gaps.clause = Some(word);
        let of_ph = spec.takes.iter().any(|slot| matches!(slot, Slot::Of([Kind::Ph])));
        if at >= self.whole {
            if of_ph {
                self.want(Wanted::Slot(Slot::Word(&["ph"])));
            }
            for slot in spec.takes {
                self.want(Wanted::Slot(*slot));
            }
            return None;
        }
        if of_ph && let Some(end) = lexicon::match_word(self.read(), at, "ph") {
            at = self.blanks(end);
        }
        let text = self.text;
        let read = text.get(..self.whole).unwrap_or("");
        let reference = spec.takes.iter().find(|slot| matches!(slot, Slot::Ref(_) | Slot::Words)).copied();
        if let Some(quoted) = scan::quoted(text, at) {
            if !quoted.closed || quoted.end > self.whole {
                if spec.takes.contains(&Slot::Str) {
                    self.want_at(Wanted::Slot(Slot::Str), quoted.inner);
                }
                return None;
            }
            return self.after_clause(quoted.end);
        }
        if text.as_bytes().get(at) == Some(&b'(') {
            let Some(end) = scan::closing_parenthesis(read, at) else {
                self.expression(at + 1);
                return None;
            };
            return self.after_clause(end);
        }
        if let Some((value, end)) = self.value(at) {
            let measured = spec.takes.iter().find_map(|slot| match slot {
                Slot::Of(kinds) => Some(*kinds),
                _ => None,
            });
            if let Some(kinds) = measured {
                self.number(&value, Wanted::Unit(kinds), kinds);
            }
            let Some(reference) = reference.filter(|_| measured.is_some()) else {
                return self.after_clause(end);
            };
            // An amount and a name: `with 4.8 g/L dextrose`.
            let next = self.blanks(end);
            if next >= self.whole {
                if self.unit() {
                    self.want(Wanted::Slot(reference));
                }
                return None;
            }
            return self.name_at(Wanted::Slot(reference), next, Stops::ITEM.with(clauses), |_| {});
        }
        for slot in spec.takes {
            if let Slot::Word(known) = slot {
                if let Some(end) = longest(read, at, known) {
                    return self.after_clause(end);
                }
                self.want_at(Wanted::Slot(*slot), at);
            }
            if *slot == Slot::Id {
                return self.after_clause(scan::word_end(read, at));
            }
        }
        match reference {
            Some(reference) => self.name_at(Wanted::Slot(reference), at, Stops::ITEM.with(clauses), |_| {}),
            None => None,
        }
    }

    fn after_clause(&mut self, end: usize) -> Option<usize> {
        self.gaps.clause = None;
        Some(end)
    }

    /// The properties in a bracket that is not closed.
    fn properties(&mut self, start: usize) {
        self.number = None;
        let mut at = start;
        loop {
            at = self.blanks(at);
            let end = scan::property_words(self.read(), at);
            if scan::char_at(self.read(), end) != Some(',')
                && scan::char_at(self.read(), self.blanks(end)) != Some(',')
            {
                break;
            }
            at = self.blanks(end) + 1;
        }
        if at >= self.whole {
            return self.want(Wanted::Property);
        }
        match lexicon::property(self.read(), at) {
            Some((PropertyWord::Or, end)) => {
                let start = self.blanks(end);
                self.want_at(Wanted::Substitute, start);
            }
            Some((PropertyWord::Field(field) | PropertyWord::Either(field, _), end)) => {
                self.want_at(Wanted::Property, at);
                self.gaps.field = Some(field);
                self.field(field, self.blanks(end));
            }
            Some((PropertyWord::Flag(_), _)) => self.want_at(Wanted::Property, at),
            None => match self.value(at) {
                Some((value, end)) if self.blanks(end) >= self.whole => {
                    self.number(&value, Wanted::PropertyUnit, &[]);
                    self.unit();
                }
                Some((value, _)) => {
                    self.number(&value, Wanted::PropertyUnit, &[]);
                    self.unit();
                }
                None => self.want_at(Wanted::Property, at),
            },
        }
    }

    /// The value of a field among properties.
    fn field(&mut self, field: Keyword, at: usize) {
        for slot in lexicon::field_slots(field).flatten() {
            match slot {
                Slot::Of(kinds) => {
                    if let Some((value, _)) = self.value(at) {
                        self.number(&value, Wanted::Unit(kinds), kinds);
                        self.unit();
                    }
                }
                slot => self.want_at(Wanted::Slot(*slot), at),
            }
        }
    }
}

/// The end of the longest of some words at a place.
fn longest(text: &str, at: usize, words: &[&str]) -> Option<usize> {
    words.iter().filter_map(|word| lexicon::match_word(text, at, word)).max()
}
