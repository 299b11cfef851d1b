//! Editions of the set of rules.

/// An edition of the set of rules and their levels, named by its year.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Edition {
    /// The first; frozen.
    #[default]
    Y2026,
    /// The next: what enters it is still gathered.
    Y2027,
}

impl Edition {
    /// All of them, the oldest first.
    pub const ALL: [Self; 2] = [Self::Y2026, Self::Y2027];
    /// Those a repository may live by: their rules and levels do not change any more.
    pub const FROZEN: [Self; 1] = [Self::Y2026];
    /// The one that is not frozen yet; it may only be looked at.
    pub const NEXT: Self = Self::Y2027;

    /// As written in the configuration.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Y2026 => "2026",
            Self::Y2027 => "2027",
        }
    }

    /// The edition this word names.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|edition| edition.word() == word)
    }
}
