//! What holds for any text and any number.

use proptest::prelude::*;
use quantity::unit::{RATIOS, UNITS};
use quantity::{
    Customary, Quantity, ShownUnits, UnitId, Value, format_plain, format_value, scan_decimal, scan_number,
    scan_unit, show, suggest_unit,
};

/// Texts made of what units are made of, so that near-units are common.
fn unit_like() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        prop::sample::select(UNITS).prop_map(|spec| spec.symbol.to_owned()),
        prop::sample::select(UNITS).prop_map(|spec| spec.aliases.first().copied().unwrap_or("x").to_owned()),
        prop::sample::select(&[
            "/", " ", "  ", "°", "100 ", "-", ".", "EUR", "as", "CaCO3", "CO2", "\u{a0}", "é"
        ])
        .prop_map(str::to_owned),
        "[a-zA-Z]{1,3}",
    ];
    prop::collection::vec(piece, 0..6).prop_map(|pieces| pieces.concat())
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![any::<String>(), unit_like(), "[-0-9 ,./\u{2212}]{0,24}", "[0-9]{1,500}[,.]?[0-9]{0,500}"]
}

/// Units that convert by themselves.
fn exact_unit() -> impl Strategy<Value = UnitId> {
    let all: Vec<UnitId> = UNITS
        .iter()
        .map(|spec| spec.id)
        .chain(RATIOS.iter().map(|(id, _)| *id))
        .filter(|id| !id.needs_customary())
        .collect();
    prop::sample::select(all)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn scanning_is_total(text in any_text()) {
        for found in [scan_number(&text), scan_decimal(&text)].into_iter().flatten() {
            prop_assert!(found.1 > 0 && text.is_char_boundary(found.1));
            prop_assert!(found.0.value.is_finite());
        }
        if let Some(found) = scan_unit(&text) {
            prop_assert!(found.len > 0 && text.is_char_boundary(found.len));
        }
        let _ = suggest_unit(&text);
    }

    #[test]
    fn a_unit_is_the_longest_that_stands_there(text in unit_like()) {
        let whole = scan_unit(&text).map_or(0, |found| found.len);
        for end in (whole + 1..=text.len()).filter(|end| text.is_char_boundary(*end)) {
            let longer = scan_unit(&text[..end]).is_some_and(|found| found.len == end);
            // A longer unit may only be cut out of a longer word.
            let cut = text[end..].chars().next().is_some_and(|next| {
                next.is_alphanumeric() || matches!(next, '_' | '°' | '-' | '.' | '\'')
            });
            prop_assert!(!longer || cut, "{} of {:?}, {} would do", whole, text, end);
        }
    }

    #[test]
    fn what_follows_a_whole_word_changes_nothing(unit in exact_unit(), rest in "[ \\])#,*][ -~]{0,9}") {
        let spelled = unit.to_string();
        prop_assume!(!spelled.is_empty() && scan_unit(&spelled).is_some());
        let text = format!("{spelled}{rest}");
        let found = scan_unit(&text).expect("the unit before it");
        // Unless the two together spell a longer one: 'g/L' and ' CO2'.
        if found.len == spelled.len() {
            prop_assert_eq!(found.unit, Ok(unit));
        } else {
            prop_assert!(found.len > spelled.len());
        }
    }

    #[test]
    fn conversion_there_and_back(from in exact_unit(), to in exact_unit(), value in 1e-3..1e6f64) {
        // The scales of malt are flat below a trace of colour: 0.56 °L is 0 EBC.
        let value = if from == UnitId::LOV { value + 0.56 } else { value };
        let quantity = Quantity::new(value, from);
        if let Ok(there) = quantity.convert(to) {
            prop_assert_eq!(from.dimension(), to.dimension());
            let back = there.convert(from).expect("the way back");
            // Relative to the size of the scale's offset, where it has one.
            let size = value.abs().max(there.value.abs()).max(1e-3);
            prop_assert!((back.value - value).abs() <= 1e-12 * size.max(value.abs()), "{} {}", quantity, there);
        } else {
            let same_line = from.dimension() == to.dimension() && from.dim() == to.dim();
            let gravity = from.dimension() == quantity::Dimension::Gravity;
            prop_assert!(!same_line || gravity, "{} to {}", from, to);
        }
        let canonical = quantity.canonical().expect("a canonical value");
        let again = Quantity::from_canonical(canonical, from).expect("the value again");
        prop_assert!((again.value - value).abs() <= 1e-12 * value.abs().max(100.0));
    }

    #[test]
    fn any_number_converts_and_is_shown_without_fault(bits in any::<u64>(), unit in exact_unit(), to in exact_unit()) {
        let quantity = Quantity::new(f64::from_bits(bits), unit);
        for found in [quantity.convert(to), Quantity::from_canonical(quantity.value, to)].into_iter().flatten() {
            prop_assert!(found.value.is_finite());
        }
        for shown in [ShownUnits::Metric, ShownUnits::Customary(Customary::Us)] {
            if let Ok(text) = show(quantity, shown) {
                let number = text.split(' ').next().unwrap_or_default();
                prop_assert!(number.parse::<f64>().is_ok_and(f64::is_finite), "{}", text);
                prop_assert!(!number.contains(['e', 'E']), "{}", text);
            }
        }
        for text in [format_plain(quantity.value), format_value(quantity.value, unit)] {
            prop_assert!(text == "?" || text.parse::<f64>().is_ok(), "{}", text);
            prop_assert!(!text.contains(['e', 'E', ',', '\'']), "{}", text);
            let zero = text.parse::<f64>() == Ok(0.0);
            prop_assert!(!(zero && text.starts_with('-')), "{}", text);
        }
    }

    #[test]
    fn a_plain_number_is_read_again(value in -1e12..1e12f64) {
        let text = format_plain(value);
        let (found, len) = scan_number(&text).expect("a number");
        prop_assert_eq!((found.value, len), (value, text.len()));
    }

    #[test]
    fn arithmetic_is_total(a in any::<f64>(), b in any::<f64>(), unit in exact_unit(), other in exact_unit(), power in any::<i32>()) {
        let value = |number, unit| Value::of_quantity(Quantity::new(number, unit));
        if let (Ok(a), Ok(b)) = (value(a, unit), value(b, other)) {
            let results = [
                a.plus(b), a.minus(b), a.times(b), a.over(b), a.power(power), a.root(), a.negated(),
                a.absolute(), a.rounded(b), a.step(false), a.step(true),
            ];
            for found in results.into_iter().flatten() {
                prop_assert!(found.number.is_finite());
            }
            let _ = a.compare(b);
            if let Some(quantity) = a.quantity() {
                prop_assert!(quantity.value.is_finite());
            }
        }
    }

    #[test]
    fn a_value_is_given_back_as_the_quantity_it_was(number in 0.01..1e4f64, unit in exact_unit()) {
        if let Ok(value) = Value::of_quantity(Quantity::new(number, unit)) {
            let back = value.quantity().expect("a unit of the same dimension");
            let again = Value::of_quantity(back).expect("the value again");
            prop_assert_eq!(again.kind, value.kind);
            prop_assert!((again.number - value.number).abs() <= 1e-12 * value.number.abs().max(100.0));
        }
    }
}
