//! Changes of text as plain data.

use crate::span::Span;

/// Replaces one range of a text. The range is in bytes of the whole file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes to replace, of the whole file.
    pub span: Span,
    /// What stands there afterwards.
    pub text: String,
}

/// A change that mends a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fix {
    /// What it does, in the imperative: "write 4.6 with a point".
    pub title: String,
    /// Safe to apply without a look (`gyle check --fix`); otherwise only offered.
    pub safe: bool,
    /// The edits, in ascending order, not overlapping.
    pub edits: Vec<Edit>,
}

/// Applies edits to a text. Edits that overlap an earlier one, or lie outside the text or inside a
/// character, are left out, so that the result is always a text.
#[must_use]
pub fn apply(text: &str, edits: &[Edit]) -> String {
    let mut order: Vec<&Edit> = edits.iter().collect();
    order.sort_by_key(|edit| (edit.span.start, edit.span.end));
    let mut out = String::with_capacity(text.len());
    let mut done = 0usize;
    for edit in order {
        let range = edit.span.range();
        if range.start < done {
            continue;
        }
        let (Some(before), Some(_)) = (text.get(done..range.start), text.get(range.clone())) else {
            continue;
        };
        out.push_str(before);
        out.push_str(&edit.text);
        done = range.end;
    }
    out.push_str(text.get(done..).unwrap_or(""));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edit(start: u32, end: u32, text: &str) -> Edit {
        Edit { span: Span::new(start, end), text: text.into() }
    }

    #[test]
    fn applies_in_order_and_skips_what_does_not_fit() {
        assert_eq!(apply("abcdef", &[edit(4, 5, "E"), edit(0, 1, "A")]), "AbcdEf");
        assert_eq!(apply("abc", &[edit(0, 2, "x"), edit(1, 3, "y")]), "xc");
        assert_eq!(apply("é", &[edit(1, 2, "x")]), "é");
        assert_eq!(apply("a", &[edit(5, 9, "x")]), "a");
        assert_eq!(apply("ab", &[edit(1, 1, "-")]), "a-b");
    }
}
