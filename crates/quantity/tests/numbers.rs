//! Numbers as brewers write them.

use quantity::NumberFault::{DecimalComma, TooLarge, ZeroBelow};
use quantity::NumberKind::{Decimal, Fraction, Mixed, Whole};
use quantity::{scan_decimal, scan_number};

#[test]
fn numbers_have_the_value_and_spelling_they_should() {
    for (text, value, kind, fault, len) in [
        ("12", 12.0, Whole, None, 2),
        ("12 kg", 12.0, Whole, None, 2),
        ("12kg", 12.0, Whole, None, 2),
        ("12.5", 12.5, Decimal { places: 1 }, None, 4),
        ("1.050", 1.05, Decimal { places: 3 }, None, 5),
        ("007", 7.0, Whole, None, 3),
        ("1.048..1.056", 1.048, Decimal { places: 3 }, None, 5),
        ("18..20 C", 18.0, Whole, None, 2),
        ("12.", 12.0, Whole, None, 2),
        ("1.2.3", 1.2, Decimal { places: 1 }, None, 3),
        ("-3", -3.0, Whole, None, 2),
        ("\u{2212}3.5", -3.5, Decimal { places: 1 }, None, 6),
        ("-0", 0.0, Whole, None, 2),
        ("1/2", 0.5, Fraction, None, 3),
        ("-1/2", -0.5, Fraction, None, 4),
        ("999/999", 1.0, Fraction, None, 7),
        ("1 1/2 lb", 1.5, Mixed, None, 5),
        ("-1 1/2", -1.5, Mixed, None, 6),
        ("1\u{a0}1/2", 1.5, Mixed, None, 6),
        ("1234/5", 1234.0, Whole, None, 4),
        ("1/2345", 1.0, Whole, None, 1),
        ("1/2.5", 1.0, Whole, None, 1),
        ("1 / 2", 1.0, Whole, None, 1),
        ("2 1234/5", 2.0, Whole, None, 1),
        ("1.5 1/2", 1.5, Decimal { places: 1 }, None, 3),
        ("1 2", 1.0, Whole, None, 1),
        ("1/0", 0.0, Fraction, Some(ZeroBelow), 3),
        ("2 1/0", 2.0, Mixed, Some(ZeroBelow), 5),
        ("12,5", 12.5, Decimal { places: 1 }, Some(DecimalComma { three_digits: false }), 4),
        ("1,234", 1.234, Decimal { places: 3 }, Some(DecimalComma { three_digits: true }), 5),
        ("1,234.5", 1234.5, Decimal { places: 1 }, Some(DecimalComma { three_digits: true }), 7),
        ("1,234,567", 1_234_567.0, Whole, Some(DecimalComma { three_digits: true }), 9),
        ("1,23,4", 1234.0, Whole, Some(DecimalComma { three_digits: false }), 6),
        ("-1,5", -1.5, Decimal { places: 1 }, Some(DecimalComma { three_digits: false }), 4),
        ("1, 5", 1.0, Whole, None, 1),
        ("1,", 1.0, Whole, None, 1),
        ("1e5", 1.0, Whole, None, 1),
        ("2-row", 2.0, Whole, None, 1),
    ] {
        let (found, found_len) = scan_number(text).unwrap_or_else(|| panic!("{text}"));
        assert_eq!((found.value, found.kind, found.fault, found_len), (value, kind, fault, len), "{text}");
        assert!(found.value != 0.0 || found.value.is_sign_positive(), "{text} is no negative zero");
    }
    for text in ["", "-", "- 3", "--3", "+3", ".5", "x", "/2", ",5", "\u{2212}", "\u{2212} 3", "½", "٣"] {
        assert_eq!(scan_number(text), None, "{text}");
    }
}

#[test]
fn a_number_too_long_to_hold_stays_finite() {
    let long = "9".repeat(400);
    let (found, len) = scan_number(&long).unwrap();
    assert_eq!((found.value, found.fault, len), (f64::MAX, Some(TooLarge), 400));
    let (found, len) = scan_number(&format!("{},5", "9".repeat(400))).unwrap();
    assert!(found.value.is_finite() && found.fault.is_some());
    assert_eq!(len, 402);
}

#[test]
fn decimals_are_read_as_the_nearest_number() {
    // The fast way and the library's own agree to the last bit.
    for text in
        ["0.1", "1.0508", "3.785411784", "0.00000000001", "999999999999999", "123456789.123456", "0.3"]
    {
        let (found, _) = scan_number(text).unwrap();
        assert_eq!(found.value.to_bits(), text.parse::<f64>().unwrap().to_bits(), "{text}");
    }
}

#[test]
fn in_an_expression_a_bar_divides() {
    let (found, len) = scan_decimal("6/2").unwrap();
    assert_eq!((found.value, len), (6.0, 1));
}
