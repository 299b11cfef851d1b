//! A file's text cut into the texts of its blocks.

use crate::alike::Alike;
use crate::ast::Placed;
use crate::line_index::line_starts_after;

/// The byte order mark some editors write at the very start of a file.
pub(crate) const BOM: char = '\u{feff}';

/// Starts of the blocks in `text`, ascending; the first is 0 unless the text is empty. `before` are the blocks of
/// an earlier text of `len` bytes, which is as this one at both ends: there they are not looked for again.
///
/// A block starts at a line whose first character is a letter, or at the comment lines directly above
/// that line. What stands above the first such line (a byte order mark too) is a block of its own.
pub(crate) fn block_starts_after(before: &[Placed], len: usize, text: &str, alike: Alike) -> Vec<usize> {
    let mut starts = Vec::with_capacity(before.len());
    if text.is_empty() {
        return starts;
    }
    let old = |at: usize| before[at].start as usize;
    // The last block that began before the edit may have become a part of the one above it. The first of all
    // begins where the text does, whatever stands there.
    let kept = before.partition_point(|placed| (placed.start as usize) < alike.head).saturating_sub(1);
    starts.extend((0..kept).map(old));
    let from = match kept {
        0 if text.starts_with(BOM) => BOM.len_utf8(),
        0 => 0,
        _ => old(kept),
    };
    let tail = text.len() - alike.tail;
    let in_old = |at: usize| (at + len).checked_sub(text.len());
    let mut rest = None;
    // Start of the run of comment lines that ends directly above the current line.
    let mut comments = None;
    for at in core::iter::once(from).chain(line_starts_after(text, from)) {
        // From where a block began that the edit has left alone all begin where they did.
        if at >= tail
            && comments.is_none()
            && let Some(at) = in_old(at)
            && let Ok(found) = before.binary_search_by_key(&at, |placed| placed.start as usize)
            && found > 0
        {
            rest = Some(found);
            break;
        }
        match opening(text, at) {
            Opening::Letter => starts.push(comments.take().unwrap_or(at)),
            Opening::Comment => comments = comments.or(Some(at)),
            Opening::Other => comments = None,
        }
    }
    if let Some(rest) = rest {
        starts.extend((rest..before.len()).map(|at| old(at) + text.len() - len));
    }
    if starts.first() != Some(&0) {
        starts.insert(0, 0);
    }
    starts
}

enum Opening {
    Letter,
    Comment,
    Other,
}

fn opening(text: &str, at: usize) -> Opening {
    match text.as_bytes().get(at) {
        Some(b'#') => Opening::Comment,
        Some(byte) if byte.is_ascii() => {
            if byte.is_ascii_alphabetic() {
                Opening::Letter
            } else {
                Opening::Other
            }
        }
        Some(_) if text.get(at..).and_then(|rest| rest.chars().next()).is_some_and(char::is_alphabetic) => {
            Opening::Letter
        }
        _ => Opening::Other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Vec<&str> {
        let starts = block_starts_after(&[], 0, text, Alike::of("", text));
        let ends = starts.iter().skip(1).copied().chain([text.len()]);
        starts.iter().zip(ends).map(|(&start, end)| &text[start..end]).collect()
    }

    #[test]
    fn cuts_at_letters_in_the_first_column() {
        let cases: &[(&str, &[&str])] = &[
            ("", &[]),
            ("recipe", &["recipe"]),
            ("\n", &["\n"]),
            ("a\n b\nc\n", &["a\n b\n", "c\n"]),
            ("a\r\n b\r\nc", &["a\r\n b\r\n", "c"]),
            ("a\r b\rc", &["a\r b\r", "c"]),
            // Comment lines directly above go with a header, others stay where they are.
            ("# x\n# y\na\n", &["# x\n# y\na\n"]),
            ("# x\n\na\n# y\nb\n", &["# x\n\n", "a\n", "# y\nb\n"]),
            ("a\n  # y\nb\n", &["a\n  # y\n", "b\n"]),
            ("a\n# y\n  z\nb\n", &["a\n# y\n  z\n", "b\n"]),
            // Anything else in the first column belongs to the block above.
            ("a\n- b\n3 c\n|d\nöl\n", &["a\n- b\n3 c\n|d\n", "öl\n"]),
            ("\u{a0}x\na\n", &["\u{a0}x\n", "a\n"]),
            ("\u{feff}a\n b\n", &["\u{feff}", "a\n b\n"]),
            ("\u{feff}# x\na\n", &["\u{feff}", "# x\na\n"]),
            ("\u{feff}\na\n", &["\u{feff}\n", "a\n"]),
            ("\u{feff}", &["\u{feff}"]),
        ];
        for (text, blocks) in cases {
            assert_eq!(cut(text), *blocks, "{text:?}");
        }
    }
}
