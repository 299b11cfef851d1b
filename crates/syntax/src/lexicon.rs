//! Finding the words of the vocabulary in a line.

use std::sync::LazyLock;

use crate::scan;
use crate::vocabulary::{
    BLOCKS, BlockKind, BlockSpec, ClauseSpec, ClauseWord, EntrySpec, Flag, Keyword, PROPERTY_ONLY, Slot,
};

/// A set of clause words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Stops(u16);

impl Stops {
    /// None of them.
    pub(crate) const NONE: Self = Self(0);
    /// Those that end a name on an item line.
    pub(crate) const ITEM: Self = Self::of(&[
        ClauseWord::At,
        ClauseWord::On,
        ClauseWord::To,
        ClauseWord::From,
        ClauseWord::For,
        ClauseWord::Over,
        ClauseWord::Until,
        ClauseWord::With,
        ClauseWord::In,
    ]);

    const fn of(words: &[ClauseWord]) -> Self {
        let mut bits = 0;
        let mut at = 0;
        while at < words.len() {
            bits |= 1 << words[at] as u16;
            at += 1;
        }
        Self(bits)
    }
    /// Those of an item line and those an entry has itself.
    pub(crate) fn with(self, clauses: &[ClauseSpec]) -> Self {
        Self(clauses.iter().fold(self.0, |bits, clause| bits | 1 << clause.word as u16))
    }
    pub(crate) const fn has(self, word: ClauseWord) -> bool {
        self.0 & (1 << word as u16) != 0
    }
}

/// Words by their first letter, the longest first, each with what it stands for.
struct Index<T: 'static> {
    words: Vec<(&'static str, T)>,
    by_letter: [(u8, u8); 26],
}

impl<T: Copy> Index<T> {
    fn new(mut words: Vec<(&'static str, T)>) -> Self {
        words.sort_by_key(|(word, _)| (word.as_bytes().first().copied(), core::cmp::Reverse(word.len())));
        let mut by_letter = [(0u8, 0u8); 26];
        for (at, (word, _)) in words.iter().enumerate() {
            let Some(letter) = word.bytes().next().and_then(letter) else { continue };
            let (Some(slot), Ok(at)) = (by_letter.get_mut(letter), u8::try_from(at)) else { continue };
            if slot.0 == slot.1 {
                *slot = (at, at + 1);
            } else {
                slot.1 = at + 1;
            }
        }
        Self { words, by_letter }
    }

    /// The longest word at a place, and its end.
    fn find(&self, text: &str, at: usize) -> Option<(T, usize)> {
        let letter = letter(*text.as_bytes().get(at)?)?;
        let &(start, end) = self.by_letter.get(letter)?;
        let words = self.words.get(usize::from(start)..usize::from(end))?;
        words.iter().find_map(|(word, what)| Some((*what, match_word(text, at, word)?)))
    }
}

fn letter(byte: u8) -> Option<usize> {
    byte.is_ascii_alphabetic().then(|| usize::from(byte.to_ascii_lowercase() - b'a'))
}

/// The end of a word of the vocabulary at a place: whole words, without case, hyphen and blanks alike.
pub(crate) fn match_word(text: &str, at: usize, word: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut end = at;
    for wanted in word.bytes() {
        if wanted == b' ' || wanted == b'-' {
            end = if bytes.get(end) == Some(&b'-') {
                end + 1
            } else {
                let next = scan::blanks(text, end);
                if next == end {
                    return None;
                }
                next
            };
        } else if bytes.get(end).is_some_and(|byte| byte.eq_ignore_ascii_case(&wanted)) {
            end += 1;
        } else {
            return None;
        }
    }
    scan::ends_word(text, end).then_some(end)
}

/// Whether some words are this word of the vocabulary: without case, hyphen and blanks alike.
#[must_use]
pub fn same_words(text: &str, word: &str) -> bool {
    match_word(text, 0, word) == Some(text.len())
}

static ENTRIES: LazyLock<Vec<Index<&'static EntrySpec>>> = LazyLock::new(|| {
    BlockKind::ALL
        .iter()
        .map(|kind| {
            let entries = kind.spec().map_or(&[][..], |spec| spec.entries);
            Index::new(entries.iter().map(|entry| (entry.keyword.word(), entry)).collect())
        })
        .collect()
});

/// The longest keyword of a block at a place, and its end.
pub(crate) fn entry(kind: BlockKind, text: &str, at: usize) -> Option<(&'static EntrySpec, usize)> {
    ENTRIES.get(kind as usize)?.find(text, at)
}

/// What a word among properties is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PropertyWord {
    Field(Keyword),
    Flag(Flag),
    /// A field as well as a word that stands alone: `extract`.
    Either(Keyword, Flag),
    Or,
}

static PROPERTIES: LazyLock<Index<PropertyWord>> = LazyLock::new(|| {
    let mut words: Vec<(&'static str, PropertyWord)> = vec![("or", PropertyWord::Or)];
    words.extend(Flag::ALL.iter().map(|&flag| (flag.word(), PropertyWord::Flag(flag))));
    for keyword in fields() {
        match words.iter_mut().find(|(word, _)| *word == keyword.word()) {
            Some((_, what @ PropertyWord::Flag(_))) => {
                if let PropertyWord::Flag(flag) = *what {
                    *what = PropertyWord::Either(keyword, flag);
                }
            }
            Some(_) => {}
            None => words.push((keyword.word(), PropertyWord::Field(keyword))),
        }
    }
    Index::new(words)
});

/// Every field that may stand in properties, some more than once.
pub(crate) fn fields() -> impl Iterator<Item = Keyword> {
    definitions()
        .flat_map(|spec| spec.entries)
        .map(|entry| entry.keyword)
        .chain(PROPERTY_ONLY.iter().copied())
}

fn definitions() -> impl Iterator<Item = &'static BlockSpec> {
    BLOCKS.iter().filter(|spec| spec.kind.is_definition())
}

/// What a field takes, in every kind of definition that has it.
pub(crate) fn field_slots(keyword: Keyword) -> impl Iterator<Item = &'static [Slot]> {
    definitions()
        .flat_map(|spec| spec.entries)
        .filter(move |entry| entry.keyword == keyword)
        .map(|entry| entry.takes)
        .chain(crate::vocabulary::property_slots(keyword))
}

/// The longest field or flag at a place, and its end.
pub(crate) fn property(text: &str, at: usize) -> Option<(PropertyWord, usize)> {
    PROPERTIES.find(text, at)
}

static BLOCK_WORDS: LazyLock<Index<BlockKind>> =
    LazyLock::new(|| Index::new(BLOCKS.iter().map(|spec| (spec.word, spec.kind)).collect()));

/// The kind of block that a header's first word names, and the end of the word.
pub(crate) fn block(text: &str) -> Option<(BlockKind, usize)> {
    BLOCK_WORDS.find(text, 0)
}

/// The word nearest to what was written, when it is near: one slip, two in six letters and more.
pub(crate) fn nearest<'w>(written: &str, words: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let written = written.to_lowercase().replace('-', " ");
    let letters = written.chars().count();
    if letters > 40 {
        return None;
    }
    let slips = match letters {
        0..=2 => 0,
        3..=5 => 1,
        _ => 2,
    };
    words
        .into_iter()
        .filter(|word| word.len().abs_diff(letters) <= slips)
        .map(|word| (strsim::osa_distance(&written, &word.replace('-', " ")), word))
        .filter(|&(distance, _)| distance <= slips)
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, word)| word)
}

static HEADER_KEYWORDS: LazyLock<Vec<Option<Keyword>>> = LazyLock::new(|| {
    let of = |kind: &BlockKind| Keyword::ALL.iter().copied().find(|keyword| keyword.word() == kind.word());
    BlockKind::ALL.iter().map(of).collect()
});

/// The keyword a header is kept under, where its word begins entries as well.
pub(crate) fn header_keyword(kind: BlockKind) -> Option<Keyword> {
    HEADER_KEYWORDS.get(kind as usize).copied().flatten()
}
