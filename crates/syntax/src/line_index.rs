//! Byte offsets to lines and columns and back, in the three encodings editors count in.

use memchr::memchr2_iter;

use crate::alike::Alike;

/// What a column counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// Units of 16 bits: characters outside the basic plane count twice.
    Utf16,
    /// Characters.
    Utf32,
}

/// A line and a column, both from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineCol {
    /// Line, from 0.
    pub line: u32,
    /// Column, from 0, counted as the [`Encoding`] says.
    pub col: u32,
}

/// Where the lines of a text start. A line ends at `\n`, `\r\n` or a lone `\r`.
///
/// The index does not hold the text: pass the one it was built from. With another text, or a position
/// past the end of it, the nearest sensible answer is given, never a panic.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineIndex {
    starts: Vec<u32>,
    len: u32,
    ascii: bool,
}

impl LineIndex {
    /// Finds the lines of a text.
    #[must_use]
    pub fn new(text: &str) -> Self {
        let starts = core::iter::once(0).chain(line_starts_after(text, 0)).map(offset).collect();
        Self { starts, len: offset(text.len()), ascii: text.is_ascii() }
    }

    /// Finds the lines of a text that came of another by an edit: of that one, `old`, this is the index. Gives
    /// what [`Self::new`] gives; only what has changed is looked through.
    #[must_use]
    pub fn after_edit(&self, old: &str, text: &str) -> Self {
        debug_assert_eq!(self.len as usize, old.len(), "the index is that of the text");
        let alike = Alike::of(old, text);
        // A line that starts where the edit does may no longer: a line feed may have come behind a return.
        let kept = self.starts.partition_point(|&start| (start as usize) < alike.head).max(1);
        let mut starts = Vec::with_capacity(self.starts.len());
        starts.extend_from_slice(&self.starts[..kept]);
        let tail = text.len() - alike.tail;
        let between = line_starts_after(text, self.starts[kept - 1] as usize).take_while(|&at| at <= tail);
        starts.extend(between.map(offset));
        // Behind a byte of what is left alone each line starts where one did.
        let rest = self.starts.partition_point(|&start| start as usize <= old.len() - alike.tail).max(1);
        let moved = |&start: &u32| offset(start as usize + text.len() - old.len());
        starts.extend(self.starts[rest..].iter().map(moved));
        Self { starts, len: offset(text.len()), ascii: text.is_ascii() }
    }

    /// How many lines there are; a text that ends with a line end has an empty last line.
    #[must_use]
    pub fn lines(&self) -> u32 {
        offset(self.starts.len())
    }

    /// First byte of a line; of a line past the last the length of the text.
    #[must_use]
    pub fn line_start(&self, line: u32) -> u32 {
        self.starts.get(line as usize).copied().unwrap_or(self.len)
    }

    /// One past the last byte of a line, line end left out.
    #[must_use]
    pub fn line_end(&self, text: &str, line: u32) -> u32 {
        let start = self.line_start(line);
        let end = self.line_start(line.saturating_add(1));
        let body = text.get(start as usize..end as usize).unwrap_or("");
        start + offset(body.trim_end_matches(['\n', '\r']).len())
    }

    /// The line an offset stands on.
    #[must_use]
    pub fn line(&self, offset: u32) -> u32 {
        let at = self.starts.partition_point(|&start| start <= offset);
        self::offset(at.saturating_sub(1))
    }

    /// Line and column of a byte offset; an offset inside a character counts as its start.
    #[must_use]
    pub fn line_col(&self, text: &str, offset: u32, encoding: Encoding) -> LineCol {
        let mut offset = offset.min(self.len) as usize;
        while !text.is_char_boundary(offset) && offset > 0 {
            offset -= 1;
        }
        let line = self.line(self::offset(offset));
        let start = self.line_start(line) as usize;
        let before = text.get(start..offset).unwrap_or("");
        let col = if self.ascii { before.len() } else { width(before, encoding) };
        LineCol { line, col: self::offset(col) }
    }

    /// Byte offset of a line and column. A column past the end of its line, or inside a character,
    /// becomes the end of the line, or the start of the character.
    #[must_use]
    pub fn offset(&self, text: &str, at: LineCol, encoding: Encoding) -> u32 {
        if at.line >= self.lines() {
            return self.len;
        }
        let start = self.line_start(at.line);
        let end = self.line_end(text, at.line);
        if self.ascii {
            return start.saturating_add(at.col).min(end);
        }
        let body = text.get(start as usize..end as usize).unwrap_or("");
        let mut left = at.col as usize;
        for (index, character) in body.char_indices() {
            let step = char_width(character, encoding);
            if left < step {
                return start + offset(index);
            }
            left -= step;
        }
        end
    }
}

fn char_width(character: char, encoding: Encoding) -> usize {
    match encoding {
        Encoding::Utf8 => character.len_utf8(),
        Encoding::Utf16 => character.len_utf16(),
        Encoding::Utf32 => 1,
    }
}

fn width(text: &str, encoding: Encoding) -> usize {
    match encoding {
        Encoding::Utf8 => text.len(),
        _ => text.chars().map(|character| char_width(character, encoding)).sum(),
    }
}

/// Every line start behind a place at which a line starts; behind a last line end too.
pub(crate) fn line_starts_after(text: &str, from: usize) -> impl Iterator<Item = usize> {
    let bytes = &text.as_bytes()[from..];
    memchr2_iter(b'\n', b'\r', bytes).filter_map(move |at| {
        let is_end = bytes[at] == b'\n' || bytes.get(at + 1) != Some(&b'\n');
        is_end.then_some(from + at + 1)
    })
}

/// Texts past four gibibytes are not read; an offset beyond is held at the largest.
fn offset(value: usize) -> u32 {
    u32::try_from(value).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [Encoding; 3] = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];

    #[test]
    fn counts_columns_in_each_encoding() {
        let text = "é𝄞x\r\nb\rc\n";
        let index = LineIndex::new(text);
        assert_eq!(index.lines(), 4);
        // Before the x: 2 + 4 bytes, 1 + 2 units, 2 characters.
        for (encoding, col) in ALL.into_iter().zip([6, 3, 2]) {
            let at = LineCol { line: 0, col };
            assert_eq!(index.line_col(text, 6, encoding), at);
            assert_eq!(index.offset(text, at, encoding), 6);
        }
        let cases = [(9, 1, 0), (10, 1, 1), (11, 2, 0), (12, 2, 1), (13, 3, 0)];
        for (offset, line, col) in cases {
            assert_eq!(index.line_col(text, offset, Encoding::Utf16), LineCol { line, col }, "{offset}");
            assert_eq!(index.offset(text, LineCol { line, col }, Encoding::Utf16), offset);
        }
    }

    #[test]
    fn clamps_what_lies_outside() {
        let text = "ab\ncé";
        let index = LineIndex::new(text);
        let at = |line, col| index.offset(text, LineCol { line, col }, Encoding::Utf16);
        assert_eq!(at(0, 99), 2);
        assert_eq!(at(9, 0), 6);
        assert_eq!(at(1, u32::MAX), 6);
        // Inside a character: its start.
        assert_eq!(index.line_col(text, 5, Encoding::Utf8), LineCol { line: 1, col: 1 });
        assert_eq!(index.line_col(text, 99, Encoding::Utf8), LineCol { line: 1, col: 3 });
        assert_eq!(index.line_col("", 99, Encoding::Utf8).line, 0);
    }

    proptest! {
        #[test]
        fn an_edit_gives_what_a_whole_text_gives(
            head in "[ab é\r\n]{0,6}", old in "[ab é\r\n]{0,4}", new in "[ab é\r\n]{0,4}", tail in "[ab é\r\n]{0,6}",
        ) {
            let (old, new) = (format!("{head}{old}{tail}"), format!("{head}{new}{tail}"));
            prop_assert_eq!(LineIndex::new(&old).after_edit(&old, &new), LineIndex::new(&new));
        }

        #[test]
        fn every_boundary_comes_back(text in "[a-c é𝄞\r\n]{0,40}") {
            let index = LineIndex::new(&text);
            for (offset, _) in text.char_indices() {
                // Between the two halves of a line end there is no position of its own.
                if text[..offset].ends_with('\r') && text[offset..].starts_with('\n') {
                    continue;
                }
                for encoding in ALL {
                    let at = index.line_col(&text, offset as u32, encoding);
                    prop_assert_eq!(index.offset(&text, at, encoding), offset as u32);
                }
            }
        }
    }
}
