//! Lines: where they end, how far they are indented, what trails them.

use memchr::memchr;

use crate::Span;
use crate::split::BOM;

/// A line before its entry is read. Ranges are relative to the block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RawLine {
    /// Without the line end.
    pub(crate) span: Span,
    /// One past the line end.
    pub(crate) end: u32,
    /// From the first non-blank to the last before comment and stamp.
    pub(crate) body: Span,
    /// The comment.
    pub(crate) comment: Option<Span>,
    /// The stamp.
    pub(crate) stamp: Option<Span>,
    /// Whether the body begins with the bar of prose.
    pub(crate) prose: bool,
}

/// Blanks inside a line. No-break spaces count, since they are what copying from a web page gives.
pub(crate) const fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\u{a0}' | '\u{202f}' | '\u{2007}' | '\u{3000}' | '\u{c}' | '\u{b}' | BOM)
}

fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

/// Cuts a block's text into lines; nothing is left out.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = RawLine> + '_ {
    let mut at = 0;
    core::iter::from_fn(move || {
        let rest = text.get(at..).filter(|rest| !rest.is_empty())?;
        let bytes = rest.as_bytes();
        let line_len = memchr::memchr2(b'\n', b'\r', bytes).unwrap_or(bytes.len());
        let end_len = match (bytes.get(line_len), bytes.get(line_len + 1)) {
            (Some(b'\r'), Some(b'\n')) => 2,
            (Some(_), _) => 1,
            (None, _) => 0,
        };
        let line = raw_line(&rest[..line_len], at, at + line_len + end_len);
        at += line_len + end_len;
        Some(line)
    })
}

fn raw_line(text: &str, start: usize, end: usize) -> RawLine {
    let span = Span::new(offset(start), offset(start + text.len()));
    let first = text.len() - text.trim_start_matches(is_blank).len();
    let prose = text[first..].starts_with('|');
    let (comment, stamp) = if prose { (None, None) } else { trailing(text) };
    let body_end = comment.or(stamp).map_or(text.len(), |(from, _)| from);
    let trimmed = text[..body_end].trim_end_matches(is_blank).len().max(first);
    let place = |(from, to): (usize, usize)| Span::new(offset(start + from), offset(start + to));
    RawLine {
        span,
        end: offset(end),
        body: Span::new(offset(start + first), offset(start + trimmed)),
        comment: comment.map(place),
        stamp: stamp.map(place),
        prose,
    }
}

type Piece = Option<(usize, usize)>;

/// Comment and stamp at the end of a line: from the first `#` that follows a blank or begins the line and
/// stands in no quotes. A `#=` begins a stamp, which is the last thing on the line.
fn trailing(text: &str) -> (Piece, Piece) {
    let bytes = text.as_bytes();
    let Some(first) = memchr(b'#', bytes) else { return (None, None) };
    let mut quoted = bytes[..first].iter().filter(|&&b| b == b'"').count() % 2 == 1;
    // A quote that is never closed hides nothing: the string ends with its line.
    if quoted && memchr(b'"', &bytes[first..]).is_none() {
        quoted = false;
    }
    let mut comment: Option<usize> = None;
    let mut stamp: Option<usize> = None;
    for (at, byte) in bytes.iter().enumerate().skip(first) {
        match byte {
            b'"' if comment.is_none() => quoted = !quoted,
            b'#' if !quoted || comment.is_some() => {
                let opens = text[..at].chars().next_back().is_none_or(is_blank);
                if !opens {
                    continue;
                }
                if bytes.get(at + 1) == Some(&b'=') {
                    stamp = Some(at);
                    break;
                }
                comment = comment.or(Some(at));
            }
            _ => {}
        }
    }
    let whole = text.trim_end_matches(is_blank).len();
    let comment_end = stamp.map_or(whole, |at| text[..at].trim_end_matches(is_blank).len());
    (comment.map(|at| (at, comment_end)), stamp.map(|at| (at, whole)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(&str, Option<&str>, Option<&str>)> {
        lines(text)
            .map(|line| {
                (
                    line.body.of(text),
                    line.comment.map(|span| span.of(text)),
                    line.stamp.map(|span| span.of(text)),
                )
            })
            .collect()
    }

    #[test]
    fn bodies_comments_and_stamps() {
        assert_eq!(read("  5 kg malt  # fresh\n"), [("5 kg malt", Some("# fresh"), None)]);
        assert_eq!(read("  48 g x  #= 24 IBU"), [("48 g x", None, Some("#= 24 IBU"))]);
        assert_eq!(read("a # b #= 3 "), [("a", Some("# b"), Some("#= 3"))]);
        assert_eq!(read("# all\r\n"), [("", Some("# all"), None)]);
        assert_eq!(read("a \"b # c\" d#e # f"), [("a \"b # c\" d#e", Some("# f"), None)]);
        assert_eq!(read("a \"b # c"), [("a \"b", Some("# c"), None)]);
        assert_eq!(read("  | prose # no comment"), [("| prose # no comment", None, None)]);
        assert_eq!(read("\u{a0}\tx\n\n y"), [("x", None, None), ("", None, None), ("y", None, None)]);
    }

    #[test]
    fn nothing_is_left_out() {
        for text in ["", "\n", "a\rb\r\nc\n\nd", "  x  # y\r\r\n"] {
            let mut at = 0;
            for line in lines(text) {
                assert_eq!(line.span.start, at);
                at = line.end;
            }
            assert_eq!(at as usize, text.len());
        }
    }
}
