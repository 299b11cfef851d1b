//! Reads a block by itself: its header, then each line as an entry of the block's kind.

use smallvec::SmallVec;

use crate::ast::{Block, Body, Entry, Form, Line, Name, Part, When};
use crate::check::{Checker, Shape, arrange};
use crate::entry::{Reader, Reading};
use crate::fault::Fault;
use crate::lexicon::{self, Stops};
use crate::line::{RawLine, lines};
use crate::scan::{self, Scene, Slip};
use crate::span::{Span, Spanned};
use crate::vocabulary::{BlockKind, BlockSpec, ClauseWord, Keyword, Slot};
use crate::words;

/// A line read as an entry: the tree, or why there is none. `faults` of a sound entry are mends.
struct Attempt {
    entry: Result<Box<Entry>, Option<Fault>>,
    faults: Vec<Fault>,
}

impl Attempt {
    fn broken(fault: Fault) -> Self {
        Self { entry: Err(Some(fault)), faults: Vec::new() }
    }
    /// No tree and nothing to say about it.
    fn silent() -> Self {
        Self { entry: Err(None), faults: Vec::new() }
    }
    fn is_sound(&self) -> bool {
        self.entry.is_ok()
    }
    fn is_clean(&self) -> bool {
        self.entry.is_ok() && self.faults.is_empty()
    }

    fn into_body(self, content: Span, header: bool, faults: &mut Vec<Fault>) -> Body {
        faults.extend(self.faults);
        match self.entry {
            Ok(entry) if header => Body::Header(entry),
            Ok(entry) => Body::Entry(entry),
            Err(fault) => {
                faults.extend(fault);
                Body::Broken(content)
            }
        }
    }
}

/// Reads a block below one of another kind.
pub(crate) fn read_block<'s>(text: &'s str, above: BlockKind, reader: &Reader<'s>) -> Block {
    let raw: SmallVec<[RawLine; 12]> = lines(text).collect();
    let cx = Context { text, reader };
    let opens = raw.iter().position(|line| line.at_margin() && begins_with_letter(text, line.content));
    let mut block = Block {
        text: text.into(),
        kind: BlockKind::Preamble,
        entries_as: BlockKind::Preamble,
        lines: Vec::with_capacity(raw.len()),
        faults: Vec::new(),
    };
    let header = opens.map(|at| {
        let entries = raw.get(at + 1..).unwrap_or(&[]);
        let content = raw.get(at).map_or(Span::at(0), |line| line.content);
        cx.header(content, above, entries)
    });
    if let Some(header) = &header {
        block.kind = header.kind;
        block.entries_as = header.entries_as;
    }
    let mut header = header.map(|header| (header.attempt, header.lost));
    let mut conflict = false;
    for (at, line) in raw.iter().enumerate() {
        let body = if line.content.is_empty() {
            if line.comment.is_some() || line.stamp.is_some() { Body::Comment } else { Body::Blank }
        } else if let Some((attempt, lost)) = header.take_if(|_| opens == Some(at)) {
            if lost {
                block.faults.push(words::missing_indent(line.content, line.span.start));
            }
            attempt.into_body(line.content, !lost, &mut block.faults)
        } else if line.at_margin() && is_conflict_mark(line.content.of(text)) {
            // One finding for the pair of marks.
            if !conflict {
                block.faults.push(words::merge_conflict(line.content));
            }
            conflict = true;
            Body::Broken(line.content)
        } else {
            let known = !matches!(block.entries_as, BlockKind::Preamble | BlockKind::Unknown);
            if line.at_margin() && known {
                block.faults.push(words::missing_indent(line.content, line.span.start));
            }
            if line.prose {
                Body::Prose(line.content)
            } else if block.entries_as == BlockKind::Preamble && block.faults.is_empty() {
                block.faults.push(words::no_block(line.content));
                Body::Broken(line.content)
            } else {
                cx.entry(block.entries_as, line.content).into_body(line.content, false, &mut block.faults)
            }
        };
        block.lines.push(Line {
            span: line.span,
            end: line.end,
            body,
            comment: line.comment,
            stamp: line.stamp,
        });
    }
    block.faults.sort_by_key(|fault| fault.span.start);
    block
}

fn begins_with_letter(text: &str, content: Span) -> bool {
    content.of(text).starts_with(char::is_alphabetic)
}

fn is_conflict_mark(line: &str) -> bool {
    ["<<<<<<<", "=======", ">>>>>>>", "|||||||"].iter().any(|mark| line.starts_with(mark))
}

struct Header {
    kind: BlockKind,
    entries_as: BlockKind,
    attempt: Attempt,
    /// Whether it is an entry of the block above that has lost its indent.
    lost: bool,
}

/// The text of a block and the parsers.
#[derive(Clone, Copy)]
struct Context<'r, 's> {
    text: &'s str,
    reader: &'r Reader<'s>,
}

impl<'s> Context<'_, 's> {
    /// Reads a header, or the entry of the block above that it is when its indent was lost.
    fn header(&self, content: Span, above: BlockKind, entries: &[RawLine]) -> Header {
        let written = content.of(self.text);
        // No header at all: the block goes on with the entries of the one above.
        let lost = |attempt| Header { kind: BlockKind::Unknown, entries_as: above, attempt, lost: true };
        let Some((kind, word_end)) = lexicon::block(written) else {
            // No kind of block: an entry of the block above if it reads as one.
            let attempt = self.entry(above, content);
            let keyword = lexicon::entry(above, written, 0).is_some();
            if above.spec().is_some() && (keyword || attempt.is_clean()) {
                return lost(attempt);
            }
            let attempt = Attempt::broken(words::unknown_block(self.text, content));
            return Header { kind: BlockKind::Unknown, entries_as: BlockKind::Unknown, attempt, lost: false };
        };
        let attempt = self.own_header(kind, content, word_end);
        if above.spec().is_some() {
            if !attempt.is_sound() {
                let entry = self.entry(above, content);
                if entry.is_sound() && lexicon::entry(above, written, 0).is_some() {
                    return lost(entry);
                }
            } else if self.may_be_lost(kind, above) {
                let next = entries.iter().find(|line| !line.content.is_empty() && !line.prose);
                let fits = |kind| next.is_some_and(|line| self.entry(kind, line.content).is_sound());
                // A boil without hops has no lines; a brewhouse without numbers is none.
                let bare = next.is_none() && kind != BlockKind::Boil;
                if bare || (fits(above) && !fits(kind)) {
                    let entry = self.entry(above, content);
                    if entry.is_sound() {
                        return lost(entry);
                    }
                }
            }
        }
        Header { kind, entries_as: kind, attempt, lost: false }
    }

    /// Headers that are sound themselves and entries of the block above as well.
    fn may_be_lost(&self, kind: BlockKind, above: BlockKind) -> bool {
        matches!(
            (kind, above),
            (BlockKind::BrewhouseBlock, BlockKind::Recipe)
                | (BlockKind::Boil, BlockKind::Sour | BlockKind::Cook)
        )
    }

    fn own_header(&self, kind: BlockKind, content: Span, word_end: usize) -> Attempt {
        let Some(spec) = kind.spec() else { return Attempt::silent() };
        let written = content.of(self.text);
        let keyword = Span::new(content.start, content.start + u32_of(word_end));
        if kind == BlockKind::Let {
            let keyword = Spanned::new(Keyword::Let, keyword);
            return self.letting(content, Form::Header, keyword, word_end);
        }
        let shape = Shape::of_header(spec);
        let mut scene = Scene::new(0, Form::Header, content);
        scene.stops = Stops::ITEM.with(spec.clauses);
        scene.words_first = spec.takes.first() == Some(&Slot::Words);
        scene.entry.keyword = lexicon::header_keyword(kind).map(|word| Spanned::new(word, keyword));
        let mut rest_at = word_end;
        if spec.takes.first() == Some(&Slot::Id) {
            let start = scan::blanks(written, word_end);
            let end = written
                .get(start..)
                .and_then(|rest| rest.find(char::is_whitespace))
                .map_or(written.len(), |n| start + n);
            let id = written.get(start..end).unwrap_or("");
            if !id.is_empty() && !id.starts_with(['"', '[', '(']) {
                let span = Span::new(content.start + u32_of(start), content.start + u32_of(end));
                scene.entry.parts.push(Part::Name(Name { span, quoted: false }));
                rest_at = end;
            }
        }
        rest_at = scan::blanks(written, rest_at);
        scene.base = content.start + u32_of(rest_at);
        let rest = written.get(rest_at..).unwrap_or("");
        let mut attempt =
            self.parts(&shape, rest, scene, |checker, entry| checker.fact(&entry.parts, keyword));
        if let Ok(entry) = &attempt.entry
            && kind == BlockKind::Gyle
            && entry.clauses().all(|clause| !matches!(clause.word, ClauseWord::On | ClauseWord::Planned))
        {
            attempt.faults.push(words::date_missing(self.text, keyword));
        }
        attempt
    }

    /// Reads a list of parts and checks it.
    fn parts(
        &self,
        shape: &Shape,
        rest: &'s str,
        mut scene: Scene,
        check: impl FnOnce(&mut Checker<'_>, &Entry),
    ) -> Attempt {
        if let Err(problem) = self.reader.read(Reading::Parts, rest, &mut scene) {
            let whole = scene.entry.span;
            return Attempt::broken(words::problem(self.text, problem, scene.base, whole, shape.block));
        }
        arrange(&mut scene.entry.parts, shape, self.text);
        let mut checker = Checker::new(self.text, *shape);
        check(&mut checker, &scene.entry);
        self.finish(checker, scene)
    }

    /// Joins what was read with what was found about it.
    fn finish(&self, checker: Checker<'_>, scene: Scene) -> Attempt {
        let found = checker.into_findings();
        let slips = || scene.notes.iter().map(|note| words::slip(self.text, note));
        if let Some(fatal) = found.fatal {
            // A quote or bracket left open explains whatever follows it.
            let open = scene.notes.iter().any(|note| {
                matches!(note.slip, Slip::UnclosedString | Slip::UnclosedBracket | Slip::UnclosedParenthesis)
            });
            if open {
                return Attempt { entry: Err(None), faults: slips().collect() };
            }
            return Attempt::broken(fatal);
        }
        let mut faults: Vec<Fault> = Vec::new();
        if !scene.notes.is_empty() || !found.faults.is_empty() {
            faults.extend(slips());
            // A unit that could be two things is not the wrong one as well.
            let unsure = |fault: &Fault| {
                fault.rule == "unit-wrong-dimension"
                    && scene.notes.iter().any(|note| {
                        matches!(note.slip, Slip::AmbiguousUnit(_)) && fault.span.touches(note.span.start)
                    })
            };
            faults.extend(found.faults.into_iter().filter(|fault| !unsure(fault)));
        }
        Attempt { entry: Ok(scene.entry), faults }
    }

    /// Reads an entry as one of a kind of block: a pure function of kind and text.
    fn entry(&self, kind: BlockKind, content: Span) -> Attempt {
        let Some(spec) = kind.spec() else { return Attempt::silent() };
        let written = content.of(self.text);
        match written.as_bytes().first() {
            Some(b'?') => return self.query(spec, content),
            Some(b'|') => return Attempt::silent(),
            _ => {}
        }
        match kind {
            BlockKind::Expect => self.expectation(content),
            BlockKind::Gyle => self.log_entry(spec, content),
            _ => self.plain_entry(spec, content, 0, None),
        }
    }

    fn query(&self, spec: &'static BlockSpec, content: Span) -> Attempt {
        let written = content.of(self.text);
        if !spec.queries {
            return Attempt::broken(words::query_elsewhere(spec.kind, content));
        }
        let start = scan::blanks(written, 1);
        self.read_form((Reading::Query, Form::Query), content, start, spec.kind, |_, _| {})
    }

    /// Reads a form that is no list of parts.
    fn read_form(
        &self,
        (reading, form): (Reading, Form),
        content: Span,
        start: usize,
        kind: BlockKind,
        check: impl FnOnce(&mut Checker<'_>, &Entry),
    ) -> Attempt {
        let Some(spec) = kind.spec() else { return Attempt::silent() };
        let mut scene = Scene::new(content.start + u32_of(start), form, content);
        let rest = content.of(self.text).get(start..).unwrap_or("");
        if let Err(problem) = self.reader.read(reading, rest, &mut scene) {
            return Attempt::broken(words::problem(self.text, problem, scene.base, content, kind));
        }
        let mut checker = Checker::new(self.text, Shape::of_header(spec));
        check(&mut checker, &scene.entry);
        self.finish(checker, scene)
    }

    fn letting(&self, content: Span, form: Form, keyword: Spanned<Keyword>, start: usize) -> Attempt {
        let start = scan::blanks(content.of(self.text), start);
        let mut attempt =
            self.read_form((Reading::Letting, form), content, start, BlockKind::Let, |checker, entry| {
                if let Some(Part::Name(name)) = entry.parts.first() {
                    checker.let_name(*name);
                }
            });
        if let Ok(entry) = &mut attempt.entry {
            entry.keyword = Some(keyword);
        }
        attempt
    }

    fn expectation(&self, content: Span) -> Attempt {
        let read = |reading, form| {
            self.read_form((reading, form), content, 0, BlockKind::Expect, |checker, entry| {
                checker.expectation(&entry.parts);
            })
        };
        let expectation = read(Reading::Expectation, Form::Expectation);
        if expectation.is_sound() {
            return expectation;
        }
        let condition = read(Reading::Condition, Form::Condition);
        let written = content.of(self.text);
        if condition.is_sound() || looks_like_condition(written) { condition } else { expectation }
    }

    fn log_entry(&self, spec: &'static BlockSpec, content: Span) -> Attempt {
        let written = content.of(self.text);
        let Some((when, end)) = scan::when(written, content.start) else {
            // An event that is misspelled as well gets the finding about its time first.
            return Attempt::broken(words::no_time(self.text, content));
        };
        let start = scan::blanks(written, end);
        if start >= written.len() {
            return Attempt::broken(words::nothing_happened(self.text, content));
        }
        self.plain_entry(spec, content, start, Some(when))
    }

    /// An entry that begins with a keyword or an amount; `start` is behind the time of a log.
    fn plain_entry(
        &self,
        spec: &'static BlockSpec,
        content: Span,
        start: usize,
        when: Option<Spanned<When>>,
    ) -> Attempt {
        let written = content.of(self.text);
        let from = Span::new(content.start + u32_of(start), content.end);
        if let Some((entry, end)) = lexicon::entry(spec.kind, written, start) {
            let keyword = Spanned::new(
                entry.keyword,
                Span::new(content.start + u32_of(start), content.start + u32_of(end)),
            );
            if entry.keyword == Keyword::Let {
                return self.letting(content, Form::Let, keyword, end);
            }
            if entry.is_text() {
                return self.text_fact(content, end, keyword, when, entry.optional > 0);
            }
            let shape = Shape::of_entry(spec.kind, entry);
            let mut scene = Scene::new(0, Form::Fact, content);
            scene.entry.when = when;
            return self.fact(&shape, scene, keyword, end);
        }
        let leads = written.get(start..).is_some_and(|rest| {
            rest.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '(' | '-' | '\u{2212}'))
        });
        if leads && spec.entries.iter().any(|entry| entry.amount_leads) {
            let mut scene = Scene::new(content.start, Form::Fact, content);
            if let Some(end) = self.leading_amount(written, start, &mut scene)
                && let keyword_start = scan::blanks(written, end)
                && let Some((entry, end)) = lexicon::entry(spec.kind, written, keyword_start)
                && entry.amount_leads
            {
                let span = Span::new(content.start + u32_of(keyword_start), content.start + u32_of(end));
                let keyword = Spanned::new(entry.keyword, span);
                return self.fact(&Shape::of_entry(spec.kind, entry), scene, keyword, end);
            }
        }
        let Some(shape) = Shape::of_item(spec).filter(|_| when.is_none()) else {
            return Attempt::broken(if leads {
                words::amount_leads(self.text, spec.kind, from)
            } else {
                words::unknown_keyword(self.text, spec.kind, from)
            });
        };
        self.item(&shape, content)
    }

    /// Puts the amount at a place into the entry; gives its end.
    fn leading_amount(&self, written: &'s str, start: usize, scene: &mut Scene) -> Option<usize> {
        if written.as_bytes().get(start) != Some(&b'(') {
            let (amount, end) = scan::value(written, start, scene)?;
            scene.entry.parts.push(Part::Value(amount));
            return Some(end);
        }
        let end = scan::closing_parenthesis(written, start)?;
        scene.base += u32_of(start);
        self.reader.read(Reading::Parts, written.get(start..end)?, scene).ok()?;
        Some(end)
    }

    fn text_fact(
        &self,
        content: Span,
        end: usize,
        keyword: Spanned<Keyword>,
        when: Option<Spanned<When>>,
        optional: bool,
    ) -> Attempt {
        let start = scan::blanks(content.of(self.text), end);
        let span = Span::new(content.start + u32_of(start), content.end);
        if span.is_empty() && !optional {
            return Attempt::broken(words::text_missing(self.text, keyword.span));
        }
        let mut entry = Scene::new(0, Form::Text, content).entry;
        (entry.when, entry.keyword) = (when, Some(keyword));
        if !span.is_empty() {
            entry.parts.push(Part::Text(span));
        }
        Attempt { entry: Ok(entry), faults: Vec::new() }
    }

    /// A fact; `end` is where its keyword ends in the line.
    fn fact(&self, shape: &Shape, mut scene: Scene, keyword: Spanned<Keyword>, end: usize) -> Attempt {
        let content = scene.entry.span;
        let written = content.of(self.text);
        let start = scan::blanks(written, end);
        scene.base = content.start + u32_of(start);
        // Where no clause may follow, its words belong to the name.
        let free = shape.clauses.is_empty() && shape.takes.contains(&Slot::Words);
        scene.stops = if free { Stops::NONE } else { Stops::ITEM.with(shape.clauses) };
        scene.words_first = shape.takes.first() == Some(&Slot::Words);
        scene.scores = shape.takes.first() == Some(&Slot::Score);
        scene.entry.keyword = Some(keyword);
        let rest = written.get(start..).unwrap_or("");
        self.parts(shape, rest, scene, |checker, entry| checker.fact(&entry.parts, keyword.span))
    }

    fn item(&self, shape: &Shape, content: Span) -> Attempt {
        let scene = Scene::new(content.start, Form::Item, content);
        self.parts(shape, content.of(self.text), scene, |checker, entry| checker.item(&entry.parts, content))
    }
}

fn looks_like_condition(line: &str) -> bool {
    line.contains(['<', '>', '=', '*', '/', '+', '(']) || line.contains(" in ") || line.contains(" and ")
}

fn u32_of(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
