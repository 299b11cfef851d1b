//! A block's text cut into lines, and each line into indent, content, comment and stamp.

use memchr::{memchr, memchr_iter, memchr2};

use crate::scan;
use crate::span::Span;
use crate::split::BOM;

/// A line before its content is read. Places are bytes of the block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct RawLine {
    /// From the first byte of the line to its end without the line end.
    pub(crate) span: Span,
    /// One past the line end.
    pub(crate) end: u32,
    /// From the first to the last non-blank, comment and stamp left out.
    pub(crate) content: Span,
    pub(crate) comment: Option<Span>,
    pub(crate) stamp: Option<Span>,
    /// Whether the first mark is `|`; the content then goes to the end of the line.
    pub(crate) prose: bool,
}

impl RawLine {
    /// Whether something stands in the first column.
    pub(crate) const fn at_margin(&self) -> bool {
        self.content.start == self.span.start && !self.content.is_empty()
    }
}

/// The lines of a block.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = RawLine> {
    let mut at = 0usize;
    core::iter::from_fn(move || {
        let bytes = text.as_bytes();
        if at >= bytes.len() {
            return None;
        }
        let start = at;
        let found = memchr2(b'\n', b'\r', bytes.get(start..)?);
        let stop = found.map_or(bytes.len(), |length| start + length);
        at = match bytes.get(stop) {
            None => stop,
            Some(b'\r') if bytes.get(stop + 1) == Some(&b'\n') => stop + 2,
            Some(_) => stop + 1,
        };
        Some(cut(text, start, stop, at))
    })
}

fn cut(text: &str, start: usize, stop: usize, end: usize) -> RawLine {
    let line = text.get(start..stop).unwrap_or("");
    let mut indent = scan::blanks(line, 0);
    if line.starts_with(BOM) {
        indent = scan::blanks(line, BOM.len_utf8());
    }
    let mut raw = RawLine {
        span: span(start, stop),
        end: place(end),
        content: span(start + indent, stop),
        comment: None,
        stamp: None,
        prose: line.as_bytes().get(indent) == Some(&b'|'),
    };
    if raw.prose {
        return raw;
    }
    let content = match comment_start(line, indent) {
        Some(hash) => {
            (raw.comment, raw.stamp) = remarks(line, hash, start);
            line.get(indent..hash).unwrap_or("")
        }
        None => line.get(indent..).unwrap_or(""),
    };
    raw.content = span(start + indent, start + indent + content.trim_end().len());
    raw
}

/// The `#` that begins a comment or a stamp: at the start of the line or after a blank, not in quotes.
pub(crate) fn comment_start(line: &str, indent: usize) -> Option<usize> {
    memchr(b'#', line.as_bytes())?;
    let mut at = indent;
    let mut after_blank = true;
    loop {
        let character = scan::char_at(line, at)?;
        if character == '#' && after_blank {
            return Some(at);
        }
        if let Some(quoted) = scan::quoted(line, at) {
            at = quoted.end;
            after_blank = false;
            continue;
        }
        after_blank = character.is_whitespace();
        at += character.len_utf8();
    }
}

/// Comment and stamp from the first `#` on: a stamp is the last thing on the line.
fn remarks(line: &str, hash: usize, start: usize) -> (Option<Span>, Option<Span>) {
    let tail = line.get(hash..).unwrap_or("").trim_end();
    let end = hash + tail.len();
    if tail.starts_with("#=") {
        return (None, Some(span(start + hash, start + end)));
    }
    let stamp = memchr_iter(b'#', tail.as_bytes()).find(|&at| {
        tail.as_bytes().get(at + 1) == Some(&b'=')
            && tail.get(..at).is_some_and(|before| before.ends_with(char::is_whitespace))
    });
    match stamp {
        Some(at) => {
            let comment = tail.get(..at).unwrap_or("").trim_end().len();
            (Some(span(start + hash, start + hash + comment)), Some(span(start + hash + at, start + end)))
        }
        None => (Some(span(start + hash, start + end)), None),
    }
}

fn place(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

fn span(start: usize, end: usize) -> Span {
    Span::new(place(start), place(end))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Content, comment and stamp of one line.
    fn parts(line: &str) -> (&str, &str, &str) {
        let raw = lines(line).next().unwrap();
        let text = |span: Option<Span>| span.map_or("", |span| span.of(line));
        (raw.content.of(line), text(raw.comment), text(raw.stamp))
    }

    #[test]
    fn comments_and_stamps_are_cut_off() {
        let cases = [
            ("  48 g Fuggle", ("48 g Fuggle", "", "")),
            ("  48 g Fuggle  # late", ("48 g Fuggle", "# late", "")),
            ("  48 g Fuggle  #= 24 IBU  ", ("48 g Fuggle", "", "#= 24 IBU")),
            ("  48 g Fuggle  # late #= 24 IBU", ("48 g Fuggle", "# late", "#= 24 IBU")),
            ("  48 g \"no # 3\" # late", ("48 g \"no # 3\"", "# late", "")),
            ("  lot A#3", ("lot A#3", "", "")),
            ("# alone", ("", "# alone", "")),
            ("\u{a0}#x", ("", "#x", "")),
            ("  note 5\" pipe # thick", ("note 5\" pipe # thick", "", "")),
            ("  \"open [x] # late", ("\"open [x]", "# late", "")),
            ("  | see # 3 \"", ("| see # 3 \"", "", "")),
            ("\t \u{202f}x \u{a0}", ("x", "", "")),
            ("", ("", "", "")),
        ];
        for (line, expected) in cases {
            if line.is_empty() {
                assert!(lines(line).next().is_none());
            } else {
                assert_eq!(parts(line), expected, "{line:?}");
            }
        }
    }

    #[test]
    fn every_line_end_counts() {
        let text = "a\r\n b\rc\n\n d";
        let cut: Vec<_> = lines(text).map(|line| (line.content.of(text), line.end)).collect();
        assert_eq!(cut, [("a", 3), ("b", 6), ("c", 8), ("", 9), ("d", 11)]);
    }
}
