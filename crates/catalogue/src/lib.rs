//! The built-in library of ingredients, waters and styles, written in the language it is read with.
//!
//! Invariants:
//! - Text and places only: nothing is parsed here beyond headers and alias lines, and those at build time.
//!   Whoever wants a definition's figures slices its block and parses it, one block at a time.
//! - The library is `data/*.gyle`; a malt is added there and nowhere else.
//! - One namespace for each kind; within a kind no two definitions share a folded name or alias.
//! - Names are compared by [`fold`] alone, here and in every other crate.
//! - Figures stand as their source gives them; what is not known is not written.

mod fold;

pub use fold::{fold, fold_into, same};

include!(concat!(env!("OUT_DIR"), "/index.rs"));

/// The kinds of definition, each a namespace of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Malt, raw grain, flakes, hulls: what is mashed or steeped.
    Malt,
    /// Sugars, syrups, malt extracts and fruit.
    Sugar,
    /// Hop cultivars.
    Hop,
    /// Yeasts and souring cultures.
    Yeast,
    /// Source waters and profiles to match.
    Water,
    /// Salts, acids, finings, nutrients, enzymes, spices, wood.
    Addition,
    /// Brewhouses. The built-in library has none: a brewhouse is a house's own.
    Brewhouse,
    /// Styles, by their code.
    Style,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Kind; 8] = [
        Kind::Malt,
        Kind::Sugar,
        Kind::Hop,
        Kind::Yeast,
        Kind::Water,
        Kind::Addition,
        Kind::Brewhouse,
        Kind::Style,
    ];

    /// The header word.
    pub const fn word(self) -> &'static str {
        match self {
            Kind::Malt => "malt",
            Kind::Sugar => "sugar",
            Kind::Hop => "hop",
            Kind::Yeast => "yeast",
            Kind::Water => "water",
            Kind::Addition => "addition",
            Kind::Brewhouse => "brewhouse",
            Kind::Style => "style",
        }
    }

    /// The kind that a header word names.
    pub fn from_word(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// One line of the index: a name or an alias, and the block it stands for.
struct Row {
    folded: &'static str,
    name: &'static str,
    written: &'static str,
    file: u16,
    start: u32,
    end: u32,
    number: u16,
    loose: bool,
    alias: bool,
}

/// A definition that a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its kind.
    pub kind: Kind,
    /// The file it stands in, as an index into [`files`].
    pub file: usize,
    /// Byte offset of its header in that file.
    pub start: usize,
    /// Byte offset of the end of its last entry, line end not included.
    pub end: usize,
    /// Its number among all definitions, below [`DEFINITIONS`].
    pub number: usize,
    /// Its name as the header writes it, whatever alias it was found by.
    pub name: &'static str,
    /// Whether it was found by an alias that names one of several forms (`calcium chloride` for one of
    /// its hydrates).
    pub loose: bool,
}

impl Entry {
    /// The block: header and entries, comments included.
    pub fn text(&self) -> &'static str {
        FILES.get(self.file).and_then(|(_, text)| text.get(self.start..self.end)).unwrap_or_default()
    }
}

/// A name as completion offers it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Name {
    /// As the library writes it.
    pub written: &'static str,
    /// Whether it is an alias of another name.
    pub alias: bool,
    /// The definition it stands for.
    pub entry: Entry,
}

/// The files of the library: name and text.
pub fn files() -> &'static [(&'static str, &'static str)] {
    FILES
}

/// The definition that a name stands for, given in its folded form ([`fold`]). Styles are looked up by
/// their code. Nothing is allocated.
pub fn lookup(kind: Kind, folded: &str) -> Option<Entry> {
    let rows = INDEX[kind as usize];
    let at = rows.binary_search_by(|row| row.folded.cmp(folded)).ok()?;
    rows.get(at).map(|row| entry(kind, row))
}

/// Every name and alias of a kind, in the order of their folded forms.
pub fn names(kind: Kind) -> impl ExactSizeIterator<Item = Name> {
    INDEX[kind as usize].iter().map(move |row| Name {
        written: row.written,
        alias: row.alias,
        entry: entry(kind, row),
    })
}

/// Every definition of a kind once, in the order of their folded names.
pub fn definitions(kind: Kind) -> impl Iterator<Item = Entry> {
    names(kind).filter(|name| !name.alias).map(|name| name.entry)
}

fn entry(kind: Kind, row: &Row) -> Entry {
    Entry {
        kind,
        file: row.file.into(),
        start: row.start as usize,
        end: row.end as usize,
        number: row.number.into(),
        name: row.name,
        loose: row.loose,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_found_by_name_and_by_alias() {
        for (kind, name, header, loose) in [
            (Kind::Malt, "Maris Otter malt", "malt \"heritage pale malt, Maris Otter type\"", false),
            (Kind::Malt, "crystal malt", "malt \"medium crystal malt\"", false),
            (Kind::Sugar, "raspberry puree", "sugar \"raspberry puree\"", false),
            (Kind::Hop, "fuggles", "hop Fuggle", false),
            (Kind::Hop, "Tettnanger (US)", "hop \"Tettnanger (US)\"", false),
            (Kind::Yeast, "Kölsch yeast", "yeast Kölsch-type", false),
            (Kind::Water, "rain water", "water \"rain water\"", false),
            (Kind::Addition, "Calcium-Chloride", "addition \"calcium chloride dihydrate\"", true),
            (Kind::Addition, "calcium chloride dihydrate", "addition \"calcium chloride dihydrate\"", false),
            (Kind::Style, "13c", "style \"13C\"", false),
            (Kind::Style, "27-pre-prohibition-lager", "style \"27-pre-prohibition-lager\"", false),
        ] {
            let entry = lookup(kind, &fold(name)).unwrap_or_else(|| panic!("{name} is not there"));
            assert_eq!(entry.text().lines().next(), Some(header), "{name}");
            assert_eq!(entry.loose, loose, "{name}");
        }
        // The hop Crystal and crystal malt never meet.
        assert_eq!(lookup(Kind::Hop, "crystal").map(|entry| entry.name), Some("Crystal"));
        assert_eq!(lookup(Kind::Hop, "crystal malt"), None);
        assert_eq!(lookup(Kind::Malt, ""), None);
    }

    /// What the trade sells in more than one form under this name, or what several things are called.
    #[test]
    fn loose_aliases() {
        let loose = |kind| -> Vec<&str> {
            names(kind).filter(|name| name.entry.loose).map(|name| name.written).collect()
        };
        assert_eq!(
            Kind::ALL.map(loose).concat(),
            [
                "corn sugar",
                "corn syrup",
                "dextrose",
                "glucose syrup",
                "molasses",
                "Hallertau",
                "Hallertauer",
                "calcium chloride",
                "calcium sulfate",
                "Campden tablet",
                "magnesium chloride",
                "magnesium sulfate",
                "sodium sulfate",
                "zinc sulfate",
            ]
        );
    }

    #[test]
    fn the_index_and_the_files_agree() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
            let mut last: Option<String> = None;
            for name in names(kind) {
                let folded = fold(name.written);
                assert!(last.as_ref() < Some(&folded), "{} is out of order", name.written);
                assert_eq!(lookup(kind, &folded), Some(name.entry));
                assert_eq!(!name.alias, name.written == name.entry.name, "{}", name.written);
                let text = name.entry.text();
                assert!(text.starts_with(kind.word()), "{}", name.written);
                assert!(text.contains(name.written), "{}", name.written);
                assert_eq!(text.lines().filter(|line| !line.starts_with("  ")).count(), 1, "{text}");
                last = Some(folded);
            }
        }
        let headers: usize = files()
            .iter()
            .flat_map(|(_, text)| text.lines())
            .filter(|line| line.starts_with(|c: char| c.is_alphabetic()))
            .count();
        assert_eq!(Kind::ALL.into_iter().flat_map(definitions).count(), headers);
    }

    /// The layout that the formatter keeps: two-space indent, the first field padded to 20 columns, two
    /// blanks before a comment, no blank at a line's end.
    #[test]
    fn the_files_are_formatted() {
        for (file, text) in files() {
            assert!(
                text.ends_with('\n') && !text.contains("\n\n\n") && !text.contains(['\t', '\r']),
                "{file}"
            );
            for line in text.lines() {
                assert_eq!(line, line.trim_end(), "{file}: {line}");
                let Some(entry) = line.strip_prefix("  ") else { continue };
                if entry.starts_with("# ") {
                    continue;
                }
                let (field, value) = entry.split_at(20);
                assert!(!field.starts_with(' ') && field.ends_with(' '), "{file}: {line}");
                assert!(!value.starts_with(' '), "{file}: {line}");
                let bare = value.split_once("  # ").map_or(value, |(bare, _)| bare);
                assert!(!bare.contains("  ") && !bare.contains('#'), "{file}: {line}");
            }
        }
    }
}
