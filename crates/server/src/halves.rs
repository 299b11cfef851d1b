//! Halves of characters.
//!
//! Beyond the basic plane a character is two units of UTF-16. An editor whose texts are of such units may change
//! one of them: of two wheat ears that become two beers it sends the second halves only. Text here has no
//! halves: in a message each stands as a character of the last private plane, until it has met its other half.

use std::borrow::Cow;

/// The private characters that stand for halves begin here, in the order of the halves.
const STANDS_FOR: u32 = 0x10_0000;

/// A message with each escaped half by itself in it replaced by what stands for it; nothing where it has none.
pub(crate) fn kept(body: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(body.len() + 16);
    let (mut at, mut found) = (0, false);
    while let Some(&byte) = body.get(at) {
        if byte != b'\\' {
            out.push(byte);
            at += 1;
        } else if let Some(unit) = escaped(body, at) {
            let pair = (0xD800..0xDC00).contains(&unit)
                && escaped(body, at + 6).is_some_and(|next| (0xDC00..0xE000).contains(&next));
            let length = if pair { 12 } else { 6 };
            if !pair && (0xD800..0xE000).contains(&unit) {
                found = true;
                let mut buffer = [0; 4];
                let stands = char::from_u32(STANDS_FOR + u32::from(unit))?;
                out.extend_from_slice(stands.encode_utf8(&mut buffer).as_bytes());
            } else {
                out.extend_from_slice(body.get(at..at + length)?);
            }
            at += length;
        } else {
            // Another escape: its letter is no beginning of one.
            out.extend_from_slice(body.get(at..at + 2)?);
            at += 2;
        }
    }
    found.then_some(out)
}

/// The unit of `\uXXXX`.
fn escaped(body: &[u8], at: usize) -> Option<u16> {
    let digits = body.get(at..at + 6)?.strip_prefix(b"\\u")?;
    let digits =
        core::str::from_utf8(digits).ok().filter(|digits| digits.chars().all(|c| c.is_ascii_hexdigit()))?;
    u16::from_str_radix(digits, 16).ok()
}

/// A text between two halves, whole characters again. A half that stays alone becomes U+FFFD, which has the same
/// width.
pub(crate) fn joined(before: Option<u16>, text: &str, after: Option<u16>) -> Cow<'_, str> {
    let half = |c: char| {
        let unit = u32::from(c).checked_sub(STANDS_FOR).and_then(|unit| u16::try_from(unit).ok())?;
        (0xD800..0xE000).contains(&unit).then_some(unit)
    };
    if before.is_none() && after.is_none() && !text.chars().any(|c| half(c).is_some()) {
        return Cow::Borrowed(text);
    }
    let mut units: Vec<u16> = before.into_iter().collect();
    for c in text.chars() {
        match half(c) {
            Some(unit) => units.push(unit),
            None => units.extend_from_slice(c.encode_utf16(&mut [0; 2])),
        }
    }
    units.extend(after);
    Cow::Owned(String::from_utf16_lossy(&units))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_alone_is_kept_and_nothing_else_is_touched() {
        for whole in [
            r#"{"a":"\ud83c\udf3e"}"#,
            r#"{"a":"\\ud83c"}"#,
            r#"{"a":"\u00e9\n"}"#,
            "{\"a\":\"🌾\"}",
            r#"{"a":"\ud8"#,
        ] {
            assert_eq!(kept(whole.as_bytes()), None, "{whole}");
        }
        for (body, units) in [
            (r#"["\udf7a"]"#, &[0xDF7A_u16][..]),
            (r#"["\ud83c\ud83c\udf7a"]"#, &[0xD83C, 0xD83C, 0xDF7A]),
            (r#"["\\\ud83cx"]"#, &[0x5C, 0xD83C, 0x78]),
        ] {
            let made = kept(body.as_bytes()).unwrap_or_default();
            let [text]: [String; 1] = serde_json::from_slice(&made).unwrap_or_default();
            let seen: String = String::from_utf16_lossy(units);
            assert_eq!(joined(None, &text, None), seen, "{body}");
        }
        let made = kept(br#"["\udf7a"]"#).unwrap_or_default();
        let [text]: [String; 1] = serde_json::from_slice(&made).unwrap_or_default();
        assert_eq!(joined(Some(0xD83C), &text, None), "🍺");
    }
}
