//! One block: its header, its entries, and what is wrong with their writing.

use crate::ast::{Block, Body, Entry, Line};
use crate::check;
use crate::entry::{Parsers, What};
use crate::fault::{Fault, FaultFix};
use crate::line::{self, RawLine};
use crate::scan;
use crate::span::{Span, Spanned};
use crate::vocabulary::{BLOCKS, BlockKind, Keyword};
use crate::words;

/// Parses a block by itself. `above` is what the entries of the block above are read as; it decides only
/// what a header that has lost its indent meant.
pub(crate) fn parse<'a>(text: &'a str, above: BlockKind, parsers: &Parsers<'a>) -> Block {
    let raw: Vec<RawLine> = line::lines(text).collect();
    let head = raw.iter().position(|line| starts_with_letter(text, line));
    let mut faults = Vec::new();
    let (kind, entries_as, header) = match head {
        None => (BlockKind::Preamble, above, None),
        Some(at) => header(text, &raw, at, above, parsers, &mut faults),
    };
    // Lines above the first header stand below no block, so that nothing can be an entry there.
    let no_entries = kind == BlockKind::Preamble && above == BlockKind::Preamble;
    let mut lines = Vec::with_capacity(raw.len());
    let mut header = header;
    for (at, raw_line) in raw.iter().enumerate() {
        let body = if raw_line.prose {
            Body::Prose(raw_line.body)
        } else if raw_line.body.is_empty() {
            if raw_line.comment.is_some() || raw_line.stamp.is_some() { Body::Comment } else { Body::Blank }
        } else if Some(at) == head {
            match header.take() {
                Some(Head::Read(entry)) => Body::Header(entry),
                Some(Head::Entry(entry)) => Body::Entry(entry),
                Some(Head::Broken) | None => Body::Broken(raw_line.body),
            }
        } else {
            let indented = raw_line.body.start > raw_line.span.start;
            if !indented {
                faults.push(lost_indent(raw_line));
            }
            entry(text, raw_line, entries_as, no_entries, parsers, &mut faults)
        };
        lines.push(Line {
            span: raw_line.span,
            end: raw_line.end,
            body,
            comment: raw_line.comment,
            stamp: raw_line.stamp,
        });
    }
    faults.sort_by_key(|fault| (fault.span.start, fault.span.end));
    Block { text: text.into(), kind, entries_as, lines, faults }
}

fn starts_with_letter(text: &str, line: &RawLine) -> bool {
    line.body.start == line.span.start && line.body.of(text).starts_with(char::is_alphabetic)
}

fn entry<'a>(
    text: &'a str,
    raw: &RawLine,
    kind: BlockKind,
    no_entries: bool,
    parsers: &Parsers<'a>,
    faults: &mut Vec<Fault>,
) -> Body {
    if no_entries {
        faults.push(words::entry_without_block(raw.body));
        return Body::Broken(raw.body);
    }
    if matches!(kind, BlockKind::Unknown | BlockKind::Preamble) {
        // Entries of a block nobody knows are kept without findings.
        return Body::Broken(raw.body);
    }
    let body = raw.body.of(text);
    match parsers.read(body, raw.body.start, What::Entry(kind), kind) {
        Ok(entry) => {
            check::entry(text, kind, &entry, faults);
            Body::Entry(Box::new(entry))
        }
        Err(found) => {
            faults.push(words::unreadable(text, raw.body, kind, &found));
            Body::Broken(raw.body)
        }
    }
}

enum Head {
    Read(Box<Entry>),
    /// It was an entry of the block above that has lost its indent.
    Entry(Box<Entry>),
    Broken,
}

/// What a header's first word says, and how the entries below are read.
fn header<'a>(
    text: &'a str,
    raw: &[RawLine],
    at: usize,
    above: BlockKind,
    parsers: &Parsers<'a>,
    faults: &mut Vec<Fault>,
) -> (BlockKind, BlockKind, Option<Head>) {
    let line = &raw[at];
    let body = line.body.of(text);
    let len = scan::word(body);
    let word = &body[..len];
    let known = BLOCKS.iter().find(|spec| spec.word.eq_ignore_ascii_case(word)).map(|spec| spec.kind);
    // The first word may be an entry of the block above, which has lost its indent.
    let as_entry = || -> Option<Box<Entry>> {
        if matches!(above, BlockKind::Preamble | BlockKind::Unknown) {
            return None;
        }
        let spec = above.spec()?;
        let opens =
            spec.entries.iter().any(|entry| scan::matches_words(body, entry.keyword.word()).is_some());
        if !opens {
            return None;
        }
        let entry = parsers.read(body, line.body.start, What::Entry(above), above).ok()?;
        let mut trouble = Vec::new();
        check::entry(text, above, &entry, &mut trouble);
        trouble.is_empty().then(|| Box::new(entry))
    };
    let Some(kind) = known else {
        if let Some(entry) = as_entry() {
            faults.push(lost_indent(line));
            return (BlockKind::Unknown, above, Some(Head::Entry(entry)));
        }
        faults.push(words::unknown_block(Span::new(line.body.start, line.body.start + offset(len)), word));
        return (BlockKind::Unknown, BlockKind::Unknown, Some(Head::Broken));
    };
    let gap = scan::blanks(&body[len..]);
    let rest = &body[len + gap..];
    let base = line.body.start + offset(len + gap);
    let read = parsers.read(rest, base, What::Header, kind).map(|mut entry| {
        entry.span = line.body;
        entry.keyword = header_keyword(kind)
            .map(|keyword| Spanned::new(keyword, Span::new(line.body.start, line.body.start + offset(len))));
        entry
    });
    let mut trouble = Vec::new();
    if let Ok(entry) = &read {
        check::header(text, kind, entry, &mut trouble);
    }
    let fits = read.is_ok() && trouble.is_empty();
    // `brewhouse NAME` below a recipe fits both; what stands below it decides.
    let both = matches!(
        (above, kind),
        (BlockKind::Recipe, BlockKind::BrewhouseBlock) | (BlockKind::Sour | BlockKind::Cook, BlockKind::Boil)
    );
    if (!fits || (both && next_fits_above(text, raw, at, above, kind, parsers)))
        && let Some(entry) = as_entry()
    {
        faults.push(lost_indent(line));
        return (BlockKind::Unknown, above, Some(Head::Entry(entry)));
    }
    match read {
        Ok(entry) => {
            faults.extend(trouble);
            (kind, kind, Some(Head::Read(Box::new(entry))))
        }
        Err(found) => {
            faults.push(words::unreadable_header(text, line.body, kind, &found, offset(len + gap)));
            (kind, kind, Some(Head::Broken))
        }
    }
}

/// Whether the next entry is one of the block above and not of this kind; true when there is none.
fn next_fits_above<'a>(
    text: &'a str,
    raw: &[RawLine],
    at: usize,
    above: BlockKind,
    kind: BlockKind,
    parsers: &Parsers<'a>,
) -> bool {
    let Some(next) = raw[at + 1..].iter().find(|line| !line.body.is_empty() && !line.prose) else {
        return true;
    };
    let reads = |kind: BlockKind| {
        let body = next.body.of(text);
        parsers.read(body, next.body.start, What::Entry(kind), kind).is_ok_and(|entry| {
            let mut trouble = Vec::new();
            check::entry(text, kind, &entry, &mut trouble);
            trouble.is_empty()
        })
    };
    reads(above) && !reads(kind)
}

/// The keyword a header is kept under, where a word serves both.
fn header_keyword(kind: BlockKind) -> Option<Keyword> {
    let word = kind.word();
    Keyword::ALL.iter().copied().find(|keyword| keyword.word() == word)
}

fn lost_indent(line: &RawLine) -> Fault {
    Fault {
        rule: "missing-indent",
        span: line.body,
        message: "this line stands in the first column, where blocks begin; it reads as an entry of the block above".into(),
        help: "indent this line by two blanks".into(),
        fixes: vec![FaultFix {
            title: "indent the line".into(),
            safe: true,
            edits: vec![(Span::at(line.span.start), "  ".into())],
        }],
    }
}

fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
