//! The words that editors colour, made from the language's own tables.

use gyle_tests::current;
use quantity::UnitId;
use quantity::unit::{UNITS, currencies};
use syntax::vocabulary::{BLOCKS, Keyword, PROPERTY_ONLY};

/// Words once each, the longest first, so that the longest is found where one begins with another.
fn sorted<'w>(words: impl IntoIterator<Item = &'w str>) -> Vec<&'w str> {
    let mut words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    words.sort_by_key(|word| (core::cmp::Reverse(word.chars().count()), *word));
    words.dedup();
    words
}

fn blocks() -> Vec<&'static str> {
    sorted(BLOCKS.iter().map(|spec| spec.word))
}

fn entries() -> Vec<&'static str> {
    sorted(BLOCKS.iter().flat_map(|spec| spec.entries).map(|entry| entry.keyword.word()))
}

/// Fields of definitions, which stand in brackets as properties too.
fn properties() -> Vec<&'static str> {
    let fields = BLOCKS.iter().filter(|spec| spec.kind.is_definition()).flat_map(|spec| spec.entries);
    let fields = fields.map(|entry| entry.keyword).chain(PROPERTY_ONLY.iter().copied());
    sorted(fields.filter(|keyword| *keyword != Keyword::Let).map(Keyword::word))
}

/// Spellings of units that stand alone.
fn units() -> Vec<&'static str> {
    let spellings = UNITS
        .iter()
        .filter(|spec| spec.is_written())
        .flat_map(|spec| core::iter::once(spec.symbol).chain(spec.aliases.iter().copied()))
        .filter(|text| !text.ends_with('/'));
    sorted(spellings.chain(currencies().filter_map(UnitId::currency_code)))
}

#[test]
fn the_words_of_emacs_are_those_of_the_language() {
    let mut text = String::from(
        ";;; gyle-words.el --- The words of the language -*- lexical-binding: t -*-\n\n\
         ;; Made from the tables of the language by a test; not edited by hand.\n\n;;; Code:\n",
    );
    for (name, doc, words) in [
        ("blocks", "Words that open a block.", blocks()),
        ("entries", "Words that an entry begins with.", entries()),
        ("properties", "Fields that may stand in brackets.", properties()),
        ("units", "Spellings of units.", units()),
    ] {
        text.push_str(&format!("\n(defconst gyle-words-{name}\n  '("));
        let mut column = 4;
        for (at, word) in words.iter().enumerate() {
            let quoted = format!("{:?}", word);
            if at > 0 && column + quoted.chars().count() >= 110 {
                text.push_str("\n    ");
                column = 4;
            } else if at > 0 {
                text.push(' ');
                column += 1;
            }
            column += quoted.chars().count();
            text.push_str(&quoted);
        }
        text.push_str(&format!(")\n  \"{doc}\")\n"));
    }
    text.push_str("\n(provide 'gyle-words)\n;;; gyle-words.el ends here\n");
    current("editors/emacs/gyle-words.el", &text, "docs");
}

/// One of the words as a regular expression, hyphens and blanks alike, in the quotes of an XML attribute.
fn pattern(words: &[&str]) -> String {
    let escaped = |word: &&str| {
        word.chars().fold(String::new(), |mut out, c| {
            match c {
                ' ' | '-' => out.push_str("[- ]"),
                '.' | '^' | '/' | '%' | '+' => out.extend(['\\', c]),
                c => out.push(c),
            }
            out
        })
    };
    words.iter().map(escaped).collect::<Vec<_>>().join("|").replace('&', "&amp;").replace('"', "&quot;")
}

#[test]
fn the_words_of_kate_are_those_of_the_language() {
    let template = gyle_tests::read(&gyle_tests::root().join("editors/kate/gyle.template.xml"));
    let mut text = template;
    for (place, words) in [
        ("{blocks}", blocks()),
        ("{entries}", entries()),
        ("{properties}", properties()),
        ("{units}", units()),
    ] {
        assert!(text.contains(place), "{place}");
        text = text.replace(place, &pattern(&words));
    }
    let notice =
        "<!-- Made from gyle.template.xml and the tables of the language by a test; not edited by hand. -->";
    let text = text.replacen("<language ", &format!("{notice}\n<language "), 1);
    current("editors/kate/gyle.xml", &text, "docs");
}
