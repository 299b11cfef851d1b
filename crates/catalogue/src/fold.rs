//! How names are compared: case, accents and every run of punctuation or blanks fold to one space, and
//! apostrophes drop out. `Brewer’s Gold`, `brewers gold` and `BREWERS-GOLD` are one name.
//!
//! The build script that makes the index includes this file by its path, so an index and its look-ups
//! can never fold differently.

use unicode_normalization::UnicodeNormalization;

/// The folded form of a name. Folding twice changes nothing; a name without a letter or digit folds to
/// nothing.
pub fn fold(name: &str) -> String {
    let mut folded = String::with_capacity(name.len());
    fold_into(name, &mut folded);
    folded
}

/// As [`fold`], appended to a buffer that the caller may keep between names.
pub fn fold_into(name: &str, folded: &mut String) {
    let start = folded.len();
    let mut gap = false;
    if name.is_ascii() {
        // The same rules as for any letter, on the names that are most of them.
        for byte in name.bytes() {
            match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => {
                    if std::mem::take(&mut gap) && folded.len() > start {
                        folded.push(' ');
                    }
                    folded.push(char::from(byte.to_ascii_lowercase()));
                }
                b'\'' | b'`' => {}
                _ => gap = true,
            }
        }
        return;
    }
    for c in name.chars().flat_map(char::to_lowercase).nfd() {
        match class(c) {
            Class::Dropped => {}
            Class::Gap => gap = true,
            Class::Kept => {
                if std::mem::take(&mut gap) && folded.len() > start {
                    folded.push(' ');
                }
                match letter(c) {
                    Some(letters) => folded.push_str(letters),
                    None => folded.push(c),
                }
            }
        }
    }
}

/// Whether two names are the same name.
pub fn same(a: &str, b: &str) -> bool {
    a == b || fold(a) == fold(b)
}

enum Class {
    Kept,
    Gap,
    Dropped,
}

fn class(c: char) -> Class {
    match c {
        '\'' | '`' | '´' | '‘' | '’' | 'ʼ' | '′' => Class::Dropped,
        // What an accented letter leaves behind when it is taken apart.
        '\u{300}'..='\u{36f}' => Class::Dropped,
        _ if c.is_alphanumeric() => Class::Kept,
        _ => Class::Gap,
    }
}

/// Latin letters whose mark is part of the letter, so that taking apart leaves them whole.
fn letter(c: char) -> Option<&'static str> {
    Some(match c {
        'ß' => "ss",
        'æ' => "ae",
        'œ' => "oe",
        'ø' => "o",
        'ł' => "l",
        'đ' | 'ð' => "d",
        'þ' => "th",
        'ħ' => "h",
        'ı' => "i",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_are_one_name() {
        for (written, folded) in [
            ("Fuggle", "fuggle"),
            ("  Brewer’s   Gold ", "brewers gold"),
            ("Brewer's-Gold", "brewers gold"),
            ("Žatecký poloraný červeňák", "zatecky polorany cervenak"),
            ("Sla\u{301}dek", "sladek"),
            ("Hallertauer Mittelfrüh", "hallertauer mittelfruh"),
            ("Mt. Hood", "mt hood"),
            ("corn flakes (brewing)", "corn flakes brewing"),
            ("2-row\u{a0}malt", "2 row malt"),
            ("lactic acid, 88 %", "lactic acid 88"),
            ("Żubr Łąka ẞ", "zubr laka ss"),
            ("kveik\tøl", "kveik ol"),
            ("ячмень й", "ячмень и"),
            ("…", ""),
            ("", ""),
        ] {
            assert_eq!(fold(written), folded, "{written}");
            assert_eq!(fold(&fold(written)), folded, "{written}, twice");
            assert!(same(written, folded), "{written}");
        }
        assert!(!same("Saaz", "Saaz Late"));
        assert!(!same("caramel 60", "caramel 6 0"));
    }

    /// Every ASCII character folds alike whether or not a letter beyond ASCII stands beside it.
    #[test]
    fn the_short_way_folds_as_the_long_one() {
        for c in (0..128u8).map(char::from) {
            let short = fold(&format!("a{c}b{c}"));
            let long = fold(&format!("a{c}b{c}é"));
            let gap = long.strip_prefix(&short).unwrap_or_else(|| panic!("{c:?}: {short} {long}"));
            assert!(matches!(gap, "e" | " e"), "{c:?}: {short} {long}");
        }
    }

    #[test]
    fn a_kept_buffer_is_appended_to() {
        let mut buffer = String::from("hop|");
        fold_into(" East Kent Golding", &mut buffer);
        assert_eq!(buffer, "hop|east kent golding");
    }
}
