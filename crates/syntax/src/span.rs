//! Byte ranges.

use core::ops::Range;

/// A range of bytes, relative to the start of the block it belongs to unless said otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// From two offsets; a reversed pair becomes empty at `start`.
    #[must_use]
    pub const fn new(start: u32, end: u32) -> Self {
        Self { start, end: if end < start { start } else { end } }
    }
    /// An empty range.
    #[must_use]
    pub const fn at(offset: u32) -> Self {
        Self { start: offset, end: offset }
    }
    /// Length in bytes.
    #[must_use]
    pub const fn len(self) -> u32 {
        self.end - self.start
    }
    /// No bytes at all.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.start == self.end
    }
    /// The smallest range that holds both.
    #[must_use]
    pub fn cover(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }
    /// Whether the offset lies inside or at the end.
    #[must_use]
    pub const fn touches(self, offset: u32) -> bool {
        self.start <= offset && offset <= self.end
    }
    /// Moved by a number of bytes.
    #[must_use]
    pub const fn shift(self, by: u32) -> Self {
        Self { start: self.start + by, end: self.end + by }
    }
    /// As a range for slicing.
    #[must_use]
    pub const fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
    /// The bytes of `text` in this range; empty when the range is not one of `text`.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.range()).unwrap_or("")
    }
}

/// Something with the place it was written at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spanned<T> {
    /// What was written.
    pub node: T,
    /// Where.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Joins a node and its place.
    pub const fn new(node: T, span: Span) -> Self {
        Self { node, span }
    }
}
