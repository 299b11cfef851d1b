//! Which letters stand side by side in a text: enough to say that most words are not in it.

/// The pairs of letters that stand side by side in some texts, whatever their case, each as one of 64 bits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LetterPairs(u64);

impl LetterPairs {
    /// The pairs of a text.
    #[must_use]
    pub const fn of(text: &str) -> Self {
        let bytes = text.as_bytes();
        let (mut pairs, mut at) = (0, 1);
        while at < bytes.len() {
            // Capitals differ from small letters by one bit.
            let pair = (bytes[at - 1] | 0x20).wrapping_mul(37) ^ (bytes[at] | 0x20);
            pairs |= 1 << (pair & 63);
            at += 1;
        }
        Self(pairs)
    }

    /// These and those.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether a text with those may be a part of one with these. `false` is certain.
    #[must_use]
    pub const fn may_hold(self, part: Self) -> bool {
        part.0 & !self.0 == 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_a_part_may_be_held(before in ".{0,9}", part in "[a-zA-Z -]{0,9}", behind in ".{0,9}") {
            let whole = LetterPairs::of(&format!("{before}{part}{behind}"));
            prop_assert!(whole.may_hold(LetterPairs::of(&part)));
            prop_assert!(whole.may_hold(LetterPairs::of(&part.to_ascii_uppercase())));
        }
    }

    #[test]
    fn most_other_words_are_told_apart() {
        let held = LetterPairs::of("heritage pale malt, Maris Otter type").and(LetterPairs::of("base"));
        let words =
            ["hull", "husk", "wheat", "flaked", "torrefied", "caramel", "roast", "enzyme", "acid", "peat"];
        let taken = words.iter().filter(|word| held.may_hold(LetterPairs::of(word))).count();
        assert!(taken <= 1, "{taken}");
        assert!(held.may_hold(LetterPairs::of("otter")));
    }
}
