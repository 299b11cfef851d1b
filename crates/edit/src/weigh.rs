//! Amounts as they can be weighed and measured.

use quantity::{Dimension, Places, UnitId, format_places};

/// Part of an amount that rounding may move it by, twice over.
const PART: f64 = 0.005;

/// The step an amount is rounded to: 1 or 5 of a decimal place, at most half a per cent of the amount but
/// no finer than a scale or a measuring cup shows.
fn step(value: f64, unit: UnitId) -> f64 {
    let finest = match unit.dimension() {
        // Halves of a tablet or a piece; packs are opened whole.
        Dimension::Count => return if unit == UnitId::PACK { 1.0 } else { 0.5 },
        Dimension::Cells => 1.0,
        _ => match unit {
            UnitId::G | UnitId::ML => 0.1,
            UnitId::MG => 10.0,
            UnitId::KG | UnitId::HL | UnitId::M3 => 0.001,
            _ => 0.01,
        },
    };
    let wanted = value.abs() * PART;
    let decade = 10f64.powf(wanted.log10().floor());
    if !(wanted.is_finite() && decade > 0.0) {
        return finest;
    }
    let step = if wanted >= 5.0 * decade { 5.0 * decade } else { decade };
    step.max(finest)
}

/// A number of this unit rounded to what can be weighed; what is above zero stays above zero, and whole
/// packs are rounded up.
#[must_use]
pub fn weighable(value: f64, unit: UnitId) -> f64 {
    if !value.is_finite() || value <= 0.0 {
        return 0.0;
    }
    let step = step(value, unit);
    let count = value / step;
    // A tenth of a pack more is no other pack.
    let count = if unit == UnitId::PACK { (count - 0.1).ceil() } else { count.round() };
    plain(count.max(1.0) * step)
}

/// Without the last bits that multiplying a decimal step leaves.
fn plain(value: f64) -> f64 {
    format_places(value, Places::Decimals(6)).parse().unwrap_or(value)
}

/// A number as one writes it, zeros behind the point left out.
#[must_use]
pub fn number(value: f64) -> String {
    let text = format_places(value, Places::Decimals(6));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A mass in kg as brewers write it: grams below a kilogram.
#[must_use]
pub fn mass(kg: f64) -> String {
    let grams = weighable(kg * 1000.0, UnitId::G);
    if grams < 1000.0 {
        format!("{} g", number(grams))
    } else {
        format!("{} kg", number(weighable(kg, UnitId::KG)))
    }
}

/// A mass in kg in the units of the reader: ounces and pounds, but grams where scales show grams anyway.
#[must_use]
pub fn mass_in(kg: f64, units: figures::ShownUnits) -> String {
    if units == figures::ShownUnits::Metric || kg < 0.01 {
        return mass(kg);
    }
    let unit = if kg < 0.453 { UnitId::OZ } else { UnitId::LB };
    match quantity::Quantity::from_canonical(kg, unit) {
        Ok(amount) => format!("{} {unit}", number(weighable(amount.value, unit))),
        Err(_) => mass(kg),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_that_can_be_weighed() {
        for (value, unit, want) in [
            (4.2137, UnitId::KG, "4.21"),
            (12.337, UnitId::KG, "12.35"),
            (0.3512, UnitId::KG, "0.351"),
            (351.26, UnitId::G, "351"),
            (48.26, UnitId::G, "48.3"),
            (3.13, UnitId::G, "3.1"),
            (0.02, UnitId::G, "0.1"),
            (13.337, UnitId::L, "13.35"),
            (2.44, UnitId::ML, "2.4"),
            (1.5, UnitId::TABLET, "1.5"),
            (1.4, UnitId::EACH, "1.5"),
            (1.05, UnitId::PACK, "1"),
            (1.2, UnitId::PACK, "2"),
            (0.2, UnitId::PACK, "1"),
            (233.4, UnitId::BILLION_CELLS, "233"),
            (1.477, UnitId::OZ, "1.48"),
            (0.0, UnitId::G, "0"),
            (f64::NAN, UnitId::G, "0"),
            (f64::INFINITY, UnitId::KG, "0"),
        ] {
            assert_eq!(number(weighable(value, unit)), want, "{value} {unit}");
        }
    }

    #[test]
    fn rounding_moves_an_amount_by_a_quarter_of_a_per_cent_or_half_a_finest_step() {
        let mut value = 0.2;
        while value < 50_000.0 {
            for (unit, finest) in [(UnitId::G, 0.1), (UnitId::KG, 0.001), (UnitId::ML, 0.1)] {
                let moved = (weighable(value, unit) - value).abs();
                assert!(moved <= (value * PART / 2.0).max(finest / 2.0) + 1e-9, "{value} {unit}: {moved}");
            }
            value *= 1.037;
        }
    }

    #[test]
    fn masses_as_brewers_write_them() {
        for (kg, metric, us) in [
            (3.6, "3.6 kg", "7.94 lb"),
            (0.9996, "1 kg", "2.2 lb"),
            (0.45, "450 g", "15.85 oz"),
            (0.0235, "23.5 g", "0.83 oz"),
            (0.003, "3 g", "3 g"),
        ] {
            assert_eq!(mass(kg), metric);
            assert_eq!(mass_in(kg, figures::ShownUnits::Us), us);
        }
    }
}
