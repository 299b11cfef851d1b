//! Every unit of the language is read in every spelling, and written so that it is read again.

use quantity::unit::{RATIOS, UNITS, currencies};
use quantity::{Dimension as D, UnitError, UnitId, scan_unit, suggest_unit, units};

fn unit(text: &str) -> Result<UnitId, String> {
    let found = scan_unit(text).ok_or_else(|| format!("no unit: {text:?}"))?;
    if found.len != text.len() {
        return Err(format!("{text:?}: {} bytes of {}", found.len, text.len()));
    }
    found.unit.map_err(|error| format!("{text:?}: {error:?}"))
}

/// The unit table of the language, and the ratios brewers write: what is written, what it is formatted to,
/// what it measures.
const LANGUAGE: &[(&str, &str, D)] = &[
    ("g", "g", D::Mass),
    ("kg", "kg", D::Mass),
    ("mg", "mg", D::Mass),
    ("oz", "oz", D::Mass),
    ("lb", "lb", D::Mass),
    ("pounds", "lb", D::Mass),
    ("L", "L", D::Volume),
    ("litres", "L", D::Volume),
    ("mL", "mL", D::Volume),
    ("ml", "mL", D::Volume),
    ("hL", "hL", D::Volume),
    ("HL", "hL", D::Volume),
    ("m3", "m3", D::Volume),
    ("m³", "m3", D::Volume),
    ("tsp", "tsp", D::Volume),
    ("tbsp", "tbsp", D::Volume),
    ("floz", "floz", D::Volume),
    ("fl oz", "floz", D::Volume),
    ("pt", "pt", D::Volume),
    ("qt", "qt", D::Volume),
    ("gal", "gal", D::Volume),
    ("gallons", "gal", D::Volume),
    ("bbl", "bbl", D::Volume),
    ("usgal", "usgal", D::Volume),
    ("US gallons", "usgal", D::Volume),
    ("impgal", "impgal", D::Volume),
    ("imp pt", "imppt", D::Volume),
    ("C", "C", D::Temperature),
    ("°C", "C", D::Temperature),
    ("degrees C", "C", D::Temperature),
    ("f", "F", D::Temperature),
    ("°F", "F", D::Temperature),
    ("K", "K", D::TemperatureStep),
    ("min", "min", D::Time),
    ("minutes", "min", D::Time),
    ("s", "s", D::Time),
    ("h", "h", D::Time),
    ("d", "d", D::Time),
    ("days", "d", D::Time),
    ("week", "week", D::Time),
    ("%", "%", D::Proportion),
    ("% w/v", "% w/v", D::Concentration),
    ("sg", "sg", D::Gravity),
    ("P", "P", D::Gravity),
    ("°P", "P", D::Gravity),
    ("Bx", "Bx", D::Gravity),
    ("°Bx", "Bx", D::Gravity),
    ("ppg", "ppg", D::ExtractPotential),
    ("L°/kg", "L°/kg", D::ExtractPotential),
    ("EBC", "EBC", D::Colour),
    ("SRM", "SRM", D::Colour),
    ("lov", "lov", D::Colour),
    ("°L", "lov", D::Colour),
    ("IBU", "IBU", D::Bitterness),
    ("ppm", "ppm", D::Concentration),
    ("mg/L", "mg/L", D::Concentration),
    ("g/L", "g/L", D::Concentration),
    ("g/hL", "g/hL", D::Concentration),
    ("g/mL", "g/mL", D::Concentration),
    ("kg/L", "kg/L", D::Concentration),
    ("oz/gal", "oz/gal", D::Concentration),
    ("mmol/L", "mmol/L", D::AmountConcentration),
    ("mEq/L", "mEq/L", D::Equivalents),
    ("meq/l", "mEq/L", D::Equivalents),
    ("ppm as CaCO3", "ppm as CaCO3", D::Equivalents),
    ("mg/L as CaCO3", "ppm as CaCO3", D::Equivalents),
    ("dH", "dH", D::Equivalents),
    ("°dH", "dH", D::Equivalents),
    ("fH", "fH", D::Equivalents),
    ("°fH", "fH", D::Equivalents),
    ("clark", "clark", D::Equivalents),
    ("mg/g", "mg/g", D::Proportion),
    ("mEq/kg", "mEq/kg", D::EquivalentsPerMass),
    ("vol", "vol", D::Carbonation),
    ("volumes", "vol", D::Carbonation),
    ("g/L CO2", "g/L CO2", D::Carbonation),
    ("bar", "bar", D::Pressure),
    ("kPa", "kPa", D::Pressure),
    ("psi", "psi", D::Pressure),
    ("billion cells", "billion cells", D::Cells),
    ("bn cells", "billion cells", D::Cells),
    ("million cells", "million cells", D::Cells),
    ("cells", "cells", D::Cells),
    ("billion cells/mL", "billion cells/mL", D::CellsPerVolume),
    ("million cells/mL", "million cells/mL", D::CellsPerVolume),
    ("million/mL", "million cells/mL", D::CellsPerVolume),
    ("cells/mL", "cells/mL", D::CellsPerVolume),
    ("billion cells/g", "billion cells/g", D::CellsPerMass),
    ("cells/g", "cells/g", D::CellsPerMass),
    ("million/mL/P", "million/mL/P", D::PitchRate),
    ("million/mL/°P", "million/mL/P", D::PitchRate),
    ("WK", "WK", D::DiastaticPower),
    ("lintner", "lintner", D::DiastaticPower),
    ("W", "W", D::Power),
    ("kW", "kW", D::Power),
    ("kJ", "kJ", D::Energy),
    ("kcal", "kcal", D::Energy),
    ("kJ/C", "kJ/C", D::HeatCapacity),
    ("kJ/K", "kJ/K", D::HeatCapacity),
    ("kcal/100 mL", "kcal/100 mL", D::EnergyPerVolume),
    ("m", "m", D::Length),
    ("ft", "ft", D::Length),
    ("feet", "ft", D::Length),
    ("pack", "pack", D::Count),
    ("packs", "pack", D::Count),
    ("tablet", "tablet", D::Count),
    ("each", "each", D::Count),
    ("EUR", "EUR", D::Money),
    ("EUR/kg", "EUR/kg", D::MoneyPerMass),
    ("EUR/100 g", "EUR/100 g", D::MoneyPerMass),
    ("USD/lb", "USD/lb", D::MoneyPerMass),
    ("GBP/gal", "GBP/gal", D::MoneyPerVolume),
    ("SEK/pack", "SEK/pack", D::MoneyPerCount),
    ("L/kg", "L/kg", D::VolumePerMass),
    ("qt/lb", "qt/lb", D::VolumePerMass),
    ("mL/100 g", "mL/100 g", D::VolumePerMass),
    ("mL/100g", "mL/100 g", D::VolumePerMass),
    ("C/min", "C/min", D::TemperatureRate),
    ("°C/min", "C/min", D::TemperatureRate),
    ("K/min", "K/min", D::TemperatureRate),
    ("L/h", "L/h", D::VolumeRate),
    ("L/min", "L/min", D::VolumeRate),
    ("%/h", "%/h", D::ProportionRate),
    ("mL/L", "mL/L", D::Proportion),
];

#[test]
fn units_of_the_language_are_read_and_formatted() {
    for &(written, formatted, dimension) in LANGUAGE {
        let found = unit(written).unwrap();
        assert_eq!(found.to_string(), formatted, "{written}");
        assert_eq!(found.dimension(), dimension, "{written}");
        assert_eq!(unit(formatted), Ok(found), "{written}");
    }
}

#[test]
fn each_dimension_that_text_can_have_is_covered() {
    for dimension in D::ALL {
        let shown = LANGUAGE.iter().any(|row| row.2 == dimension);
        // What no unit is written for, or only the parts of a ratio.
        let apart = matches!(dimension, D::Number | D::Acidity | D::Amount | D::Charge | D::CountPerVolume);
        assert!(shown != apart, "{dimension:?}");
    }
}

#[test]
fn each_spelling_of_the_table_is_read() {
    for spec in UNITS.iter().filter(|spec| spec.is_written()) {
        assert_eq!(unit(spec.symbol), Ok(spec.id));
        for alias in spec.aliases {
            if let Some(above) = alias.strip_suffix('/') {
                let cells = spec.id.per(UnitId::ML).unwrap();
                assert_eq!(unit(&format!("{above}/mL")), Ok(cells), "{alias}");
                assert_eq!(scan_unit(above), None, "{alias}");
            } else {
                assert_eq!(unit(alias), Ok(spec.id));
                // Spelled out, the case does not matter, but for two pairs.
                if !["kgs", "m³", "m^3"].contains(alias) {
                    assert_eq!(unit(&alias.to_ascii_uppercase()), Ok(spec.id));
                }
            }
        }
        if spec.degree {
            assert_eq!(unit(&format!("°{}", spec.symbol)), Ok(spec.id));
        }
        assert!(!spec.description.is_empty(), "{}", spec.symbol);
    }
}

#[test]
fn what_is_formatted_is_read_again() {
    for (id, _) in units() {
        assert_eq!(unit(&id.to_string()), Ok(id));
    }
    let mut ratios = 0;
    for above in UNITS {
        for below in UNITS {
            if let Some(ratio) = above.id.per(below.id) {
                assert_eq!(unit(&ratio.to_string()), Ok(ratio));
                ratios += 1;
            }
        }
    }
    assert!(ratios > RATIOS.len(), "{ratios}");
    for currency in currencies() {
        assert_eq!(unit(&currency.to_string()), Ok(currency));
        let code = currency.currency_code().unwrap();
        assert_eq!(UnitId::currency(code), Some(currency));
        for below in UNITS {
            if let Some(price) = currency.per(below.id) {
                assert_eq!(unit(&price.to_string()), Ok(price));
                assert_eq!(price.currency_code(), Some(code));
            }
        }
    }
}

#[test]
fn the_wrong_case_names_the_right_spelling() {
    for (written, right) in [
        ("ML", "mL"),
        ("Ml", "mL"),
        ("Mg", "mg"),
        ("KW", "kW"),
        ("Kw", "kW"),
        ("M", "m"),
        ("M3", "m3"),
        ("M³", "m3"),
        ("MG/L", "mg/L"),
        ("g/ML", "g/mL"),
        ("MEq/L", "mEq/L"),
        ("Mmol/L", "mmol/L"),
        ("eur/kg", "EUR/kg"),
        ("Eur/pack", "EUR/pack"),
        ("%/wk", "%/week"),
    ] {
        let found = scan_unit(written).unwrap();
        assert_eq!(found.len, written.len(), "{written}");
        let Err(UnitError::WrongCase { right: meant }) = found.unit else {
            panic!("{written}: {:?}", found.unit)
        };
        assert_eq!(meant.to_string(), right);
    }
    for written in ["wk", "Wk", "wK"] {
        let Err(UnitError::Ambiguous { readings }) = scan_unit(written).unwrap().unit else {
            panic!("{written}")
        };
        assert_eq!(readings, [UnitId::WEEK, UnitId::WK]);
    }
}

#[test]
fn the_longest_whole_word_wins() {
    for (text, formatted, len) in [
        ("g crystal malt", "g", 1),
        ("L/kg * grist.weight", "L/kg", 4),
        ("ppm as CaCO3  # note", "ppm as CaCO3", 12),
        ("ppm as measured", "ppm", 3),
        ("g/L CO2]", "g/L CO2", 7),
        ("g/L dextrose", "g/L", 3),
        ("billion cells  english ale yeast", "billion cells", 13),
        ("billion cells/mL, harvested", "billion cells/mL", 16),
        ("million cells/mL/P", "million/mL/P", 18),
        ("% w/v]", "% w/v", 5),
        ("% wheat malt", "%", 1),
        ("L/2", "L", 1),
        ("g/batch", "g", 1),
        ("C..20 C", "C", 1),
        ("C±1", "C", 1),
        ("min, 5", "min", 3),
        ("g)", "g", 1),
        ("g*2", "g", 1),
        ("fl\u{a0}oz x", "floz", 6),
        ("us gal x", "usgal", 6),
        ("W", "W", 1),
        ("kgs", "kg", 3),
        ("KGS", "KGS", 3),
        ("KGS/kg", "KGS/kg", 6),
        ("d", "d", 1),
        ("l malt", "L", 1),
    ] {
        let found = scan_unit(text).unwrap_or_else(|| panic!("{text}"));
        assert_eq!((found.unit.unwrap().to_string(), found.len), (formatted.to_owned(), len), "{text}");
    }
    for text in [
        "",
        "  g",
        "malt",
        "gypsum",
        "Fuggle",
        "C-hops",
        "g.points",
        "lb's",
        "L.5",
        "g-x",
        "g2",
        "L_",
        "lbx",
        "%abv",
        "billion",
        "all spice",
        "top crop",
        "cup",
        "us 05",
        "each-way",
        "°",
        "°g",
        "° ",
        "degrees",
        "5",
        "/mL",
        "Ł",
        "gé",
        "m³x",
        "ppm2",
        "100 g",
    ] {
        assert_eq!(scan_unit(text), None, "{text:?}");
    }
}

#[test]
fn a_near_miss_has_a_suggestion() {
    for (written, right) in [
        ("gm", Some("g")),
        ("gr", Some("g")),
        ("ltr", Some("L")),
        ("kgg", Some("kg")),
        ("litrs", Some("L")),
        ("galon", Some("gal")),
        ("gramms", Some("g")),
        ("onces", Some("oz")),
        ("minuts]", Some("min")),
        ("celcius", Some("C")),
        ("F°", Some("F")),
        ("EBU", Some("EBC")),
        ("eur", Some("EUR")),
        ("ML", Some("mL")),
        ("wk", Some("week")),
        ("gm/L", Some("g/L")),
        ("grams/litr", Some("g/L")),
        ("L/sack", None),
        ("handful", None),
        ("malt", None),
        ("", None),
        ("é", None),
    ] {
        assert_eq!(suggest_unit(written).map(|unit| unit.to_string()).as_deref(), right, "{written}");
    }
}
