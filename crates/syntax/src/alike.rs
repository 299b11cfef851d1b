//! What an edit has left alone.

/// How many bytes two texts have in common at their beginning and, of the rest, at their end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Alike {
    /// Bytes at the beginning.
    pub(crate) head: usize,
    /// Bytes at the end; none of them is one of the beginning, in either text.
    pub(crate) tail: usize,
}

impl Alike {
    /// What two texts have in common.
    pub(crate) fn of(old: &str, new: &str) -> Self {
        let (old, new) = (old.as_bytes(), new.as_bytes());
        let head = common_prefix(old, new);
        Self { head, tail: common_suffix(&old[head..], &new[head..]) }
    }
}

fn common_prefix(a: &[u8], b: &[u8]) -> usize {
    let many = a.chunks_exact(MANY).zip(b.chunks_exact(MANY)).take_while(|(a, b)| a == b).count() * MANY;
    many + a[many..].iter().zip(&b[many..]).take_while(|(a, b)| a == b).count()
}

fn common_suffix(a: &[u8], b: &[u8]) -> usize {
    let many = a.rchunks_exact(MANY).zip(b.rchunks_exact(MANY)).take_while(|(a, b)| a == b).count() * MANY;
    let rest = |text: &'_ [u8]| text.len() - many;
    let (a, b) = (&a[..rest(a)], &b[..rest(b)]);
    many + a.iter().rev().zip(b.iter().rev()).take_while(|(a, b)| a == b).count()
}

/// Bytes compared at once.
const MANY: usize = 256;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn ends_are_alike_and_do_not_overlap(
            text in "[ab]{0,9}(a{300})?", more in "[ab]{0,9}", with in "[ab]{0,3}", long in 0usize..3,
        ) {
            let (text, more) = (text + &"ab".repeat(long * 200), more + &"ab".repeat(long * 200));
            let (old, new) = (format!("{text}a{more}"), format!("{text}{with}{more}"));
            let Alike { head, tail } = Alike::of(&old, &new);
            prop_assert_eq!(&old[..head], &new[..head]);
            prop_assert_eq!(&old[old.len() - tail..], &new[new.len() - tail..]);
            prop_assert!(head >= text.len() && head + tail <= old.len().min(new.len()));
            // Nothing more is alike between them.
            let rest = |text: &str| text[head..text.len() - tail].to_owned();
            let (old, new) = (rest(&old), rest(&new));
            prop_assert!(old.is_empty() || new.is_empty() || old.as_bytes()[0] != new.as_bytes()[0]);
            prop_assert!(old.is_empty() || new.is_empty() || old.as_bytes().last() != new.as_bytes().last());
        }
    }
}
