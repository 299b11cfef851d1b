//! The built-in library against the tables it was written from (`catalogue/*.tsv`; each row names its
//! source and how far it was verified): every row has its definition, every figure agrees, and no
//! definition holds a figure that no row has.

// A table or a definition that cannot be read fails the test.
#![allow(clippy::panic)]

use brewing::water::{Ion, Salt};
use catalogue::{Entry, Kind, fold, lookup};
use gyle_tests::{Row, Table, number};
use std::collections::HashSet;

/// `min..max` of two columns, as numbers.
fn range(row: Row, stem: &str) -> Vec<f64> {
    vec![row.number(&format!("{stem}_min")), row.number(&format!("{stem}_max"))]
}

/// Checks every row; returns how many there were.
fn each_row(table: &str, check: impl FnMut(Row)) -> usize {
    Table::read(table).rows().map(check).count()
}

/// A definition taken apart: its fields in order, each taken away once it has been compared.
struct Definition {
    name: &'static str,
    fields: Vec<Field>,
    /// The comments that stand alone, joined by blanks.
    comments: String,
}

#[derive(Debug)]
struct Field {
    keyword: &'static str,
    value: &'static str,
    comment: &'static str,
}

impl Field {
    fn numbers(&self) -> Vec<f64> {
        let figures = self.value.split(' ').next().unwrap_or_default();
        figures.split("..").map(|n| n.parse().unwrap_or_else(|_| panic!("{self:?}"))).collect()
    }

    fn unit(&self) -> &'static str {
        self.value.split_once(' ').map_or("", |(_, unit)| unit)
    }

    fn text(&self) -> &'static str {
        self.value.trim_end_matches(" [loose]").trim_matches('"')
    }
}

impl Definition {
    fn of(entry: Entry) -> Definition {
        let (mut fields, mut comments) = (Vec::new(), Vec::new());
        for line in entry.text().lines().skip(1) {
            if let Some(comment) = line.strip_prefix("  # ") {
                comments.push(comment);
                continue;
            }
            let (keyword, rest) = line.trim_start().split_at(20);
            let (value, comment) = rest.split_once("  # ").unwrap_or((rest, ""));
            fields.push(Field { keyword: keyword.trim_end(), value, comment });
        }
        Definition { name: entry.name, fields, comments: comments.join(" ") }
    }

    fn take_all(&mut self, keyword: &str) -> Vec<Field> {
        let (taken, left) = self.fields.drain(..).partition(|field| field.keyword == keyword);
        self.fields = left;
        taken
    }

    fn take(&mut self, keyword: &str) -> Field {
        let mut all = self.take_all(keyword);
        assert_eq!(all.len(), 1, "{}: {keyword}", self.name);
        all.remove(0)
    }

    /// The field holds these numbers in this unit; returns the comment beside it.
    fn is(&mut self, keyword: &str, numbers: &[f64], unit: &str) -> &'static str {
        let field = self.take(keyword);
        assert_eq!(field.numbers(), numbers, "{}: {keyword}", self.name);
        assert_eq!(field.unit(), unit, "{}: {keyword}", self.name);
        field.comment
    }

    /// As [`Definition::is`] where the cell holds a figure; where it is empty the field is not written.
    fn is_if_known(&mut self, keyword: &str, cell: &str, unit: &str) {
        match cell.parse() {
            Ok(number) => {
                self.is(keyword, &[number], unit);
            }
            Err(_) => assert!(cell.is_empty(), "{}: {cell}", self.name),
        }
    }

    fn says(&self, what: &str) {
        assert!(self.comments.contains(what), "{}: '{what}' is not in '{}'", self.name, self.comments);
    }

    fn source_and_confidence(&self, row: Row) {
        self.says(row.get("source"));
        self.says(&format!("confidence {}", row.get("confidence")));
    }

    /// The allergen cell: `gluten cereal: wheat, barley`, `milk (lactose)`, `(sulphites possible)`.
    fn allergens(&mut self, cell: &str) {
        let fields = self.take_all("allergen");
        if let Some(remark) = cell.strip_prefix('(') {
            self.says(remark.trim_end_matches(')'));
            assert!(fields.is_empty(), "{}", self.name);
            return;
        }
        let list = cell.strip_prefix("gluten cereal: ").unwrap_or(cell);
        let written = fields.first().map(|field| match field.comment {
            "" => field.value.to_owned(),
            remark => format!("{} ({remark})", field.value),
        });
        assert_eq!(written.unwrap_or_default(), list, "{}", self.name);
        assert!(fields.len() <= 1, "{}", self.name);
    }

    fn done(self) {
        assert!(self.fields.is_empty(), "{}: in no row: {:?}", self.name, self.fields);
    }
}

/// The definitions that rows have been compared with.
#[derive(Default)]
struct Seen(HashSet<(Kind, &'static str)>);

impl Seen {
    /// The definition a row names; its aliases all lead to it.
    fn open(&mut self, kind: Kind, name: &str, aliases: &str) -> Definition {
        let entry = lookup(kind, &fold(name)).unwrap_or_else(|| panic!("{name} has no definition"));
        let mut definition = Definition::of(entry);
        let mut written: HashSet<String> =
            definition.take_all("alias").iter().map(|field| fold(field.text())).collect();
        for alias in aliases.split(';').filter(|alias| !alias.is_empty()) {
            let by_alias = lookup(kind, &fold(alias)).unwrap_or_else(|| panic!("{alias} has no definition"));
            assert_eq!((by_alias.file, by_alias.start), (entry.file, entry.start), "{alias}");
            written.remove(&fold(alias));
        }
        // A definition may carry the row's own name as an alias, where the trade has a shorter one; one acid
        // has two spellings; and one yeast is mostly had dry, and called so.
        let ours = ["sulphuric acid", "dry american ale yeast"];
        written.retain(|alias| *alias != fold(name) && !ours.contains(&alias.as_str()));
        assert!(written.is_empty(), "{name}: aliases in no row: {written:?}");
        self.0.insert((kind, entry.name));
        definition
    }

    /// Nothing of this kind is there without a row.
    fn all(&self, kind: Kind, own: &[&str]) {
        for entry in catalogue::definitions(kind) {
            assert!(
                self.0.contains(&(kind, entry.name)) || own.contains(&entry.name),
                "{} is in no row",
                entry.name
            );
        }
    }
}

fn confidences(table: &str) -> [usize; 3] {
    let mut counts = [0; 3];
    each_row(table, |row| match row.get("confidence") {
        "A" => counts[0] += 1,
        "B" => counts[1] += 1,
        "C" => counts[2] += 1,
        other => panic!("confidence {other}"),
    });
    counts
}

const GRAINS: &str = include_str!("catalogue/grains.tsv");
const SUGARS: &str = include_str!("catalogue/sugars.tsv");
const HOPS: &str = include_str!("catalogue/hops.tsv");
const YEASTS: &str = include_str!("catalogue/yeasts.tsv");
const WATERS: &str = include_str!("catalogue/waters.tsv");
const ADJUNCTS: &str = include_str!("catalogue/adjuncts.tsv");
const STYLES: &str = include_str!("catalogue/styles.tsv");

/// The tables are whole: rows, and how many were verified how far.
#[test]
fn the_tables_are_whole() {
    for (name, table, rows, verified) in [
        ("grains", GRAINS, 99, [7, 38, 54]),
        ("sugars", SUGARS, 73, [1, 25, 47]),
        ("hops", HOPS, 129, [19, 26, 84]),
        ("yeasts", YEASTS, 35, [0, 9, 26]),
        ("waters", WATERS, 34, [23, 0, 11]),
        ("adjuncts", ADJUNCTS, 60, [3, 16, 41]),
    ] {
        assert_eq!(confidences(table), verified, "{name}");
        assert_eq!(verified.iter().sum::<usize>(), rows, "{name}");
        println!("{name}: {rows} rows; confidence A {}, B {}, C {}", verified[0], verified[1], verified[2]);
    }
    assert_eq!(each_row(STYLES, |_| ()), 138);
}

#[test]
fn malts() {
    let mut seen = Seen::default();
    each_row(GRAINS, |row| {
        let name = row.get("name");
        let mut malt = seen.open(Kind::Malt, name, row.get("aliases"));
        malt.source_and_confidence(row);
        let form = malt.take("form");
        assert_eq!(form.value, row.get("kind"), "{name}");
        let steeped = if row.get("needs_mash") == "no" { "may be steeped" } else { "" };
        assert_eq!(form.comment, steeped, "{name}");
        assert_eq!(malt.take("grain").value, row.get("grain"), "{name}");
        malt.is("extract", &[row.number("extract_fine_dry_pct")], "%");
        malt.is("moisture", &[row.number("moisture_pct")], "%");
        let ebc = row.number("colour_ebc");
        malt.is("colour", &[ebc], "EBC");
        // The other scales of the table are computed, so they check the figure that is kept:
        // degrees Lovibond = 0.375 EBC + 0.56, Lintner = (WK + 16) / 3.5, none for none.
        let lovibond = row.number("colour_lovibond");
        assert!((0.375 * ebc + 0.56 - lovibond).abs() <= 0.05 + 0.002 * lovibond, "{name}: {lovibond}");
        let wk = row.number("diastatic_wk");
        malt.is("diastatic power", &[wk], "WK");
        let lintner = if wk == 0.0 { 0.0 } else { (wk + 16.0) / 3.5 };
        assert!((lintner - row.number("diastatic_lintner")).abs() <= 0.5, "{name}: {lintner}");

        let gelatinises: Vec<f64> =
            row.get("gelat_c").split('-').filter_map(|bound| bound.parse().ok()).collect();
        if gelatinises.is_empty() {
            assert_eq!(row.get("needs_gelatinisation"), "no", "{name}");
        } else {
            malt.is("gelatinises", &gelatinises, "C");
            // What must be cooked is told from the temperature: it lies above a saccharification rest.
            let middle = gelatinises.iter().sum::<f64>() / 2.0;
            assert_eq!(row.get("needs_gelatinisation") == "yes", middle > 70.0, "{name}: {middle}");
        }
        malt.is_if_known("mash ph", row.get("di_ph"), "");
        malt.is_if_known("buffer", row.get("buffering_meq_kg_ph"), "mEq/kg");
        let share = row.get("max_share_pct");
        malt.is_if_known("max share", if share == "100" { "" } else { share }, "%");
        malt.allergens(row.get("allergens"));
        malt.done();
    });
    seen.all(Kind::Malt, &[]);
}

#[test]
fn sugars_and_fruit() {
    let mut seen = Seen::default();
    each_row(SUGARS, |row| {
        let name = row.get("name");
        let mut sugar = seen.open(Kind::Sugar, name, row.get("aliases"));
        sugar.source_and_confidence(row);
        let form = match row.get("form") {
            "extract" => "malt-extract",
            "puree" => "fruit",
            form => form,
        };
        assert_eq!(sugar.take("form").value, form, "{name}");
        sugar.is("extract", &[row.number("extract_pct")], "%");
        sugar.is("moisture", &[row.number("moisture_pct")], "%");
        sugar.is("fermentability", &[row.number("fermentability_pct")], "%");
        sugar.is("colour", &[row.number("colour_ebc")], "EBC");
        sugar.allergens(row.get("allergens"));
        sugar.done();
    });
    seen.all(Kind::Sugar, &[]);
}

#[test]
fn hops() {
    let mut seen = Seen::default();
    each_row(HOPS, |row| {
        let name = row.get("cultivar");
        let mut hop = seen.open(Kind::Hop, name, row.get("aliases"));
        hop.source_and_confidence(row);
        assert_eq!(hop.take("origin").value, row.get("origin"), "{name}");
        assert_eq!(hop.take("purpose").value, row.get("purpose"), "{name}");
        let usual = hop.is("alpha", &[row.number("alpha_typ")], "%");
        let usual: Vec<f64> =
            usual.trim_end_matches(" %").split(" to ").filter_map(|bound| bound.parse().ok()).collect();
        assert_eq!(usual, range(row, "alpha"), "{name}");
        hop.is_if_known("beta", row.get("beta_typ"), "%");
        if !row.get("cohumulone_min").is_empty() {
            hop.is("cohumulone", &range(row, "cohumulone"), "%");
        }
        hop.is_if_known("oil", row.get("total_oil_ml_100g"), "mL/100 g");
        hop.is_if_known("loss", row.get("alpha_loss_6mo_20c_pct"), "%");
        hop.done();
    });
    seen.all(Kind::Hop, &[]);
}

#[test]
fn yeasts() {
    let mut seen = Seen::default();
    each_row(YEASTS, |row| {
        let name = row.get("name");
        let mut yeast = seen.open(Kind::Yeast, name, row.get("aliases"));
        yeast.source_and_confidence(row);
        let species = row.get("species");
        assert_eq!(yeast.take("species").text(), species, "{name}");
        let expected = match name {
            "Kölsch-type" | "altbier-type" | "California common" => "hybrid",
            _ if species.contains("pastorianus") => "lager",
            _ if species.contains("Brettanomyces") || species.contains("bacteria") => "wild",
            _ => "ale",
        };
        assert_eq!(yeast.take("kind").value, expected, "{name}");
        yeast.is("attenuation", &range(row, "attenuation"), "%");
        yeast.is("temperature", &[row.number("temp_min_c"), row.number("temp_max_c")], "C");
        yeast.is("tolerance", &[row.number("alcohol_tolerance_pct")], "%");
        let flocculation = yeast.take("flocculation").value;
        assert_eq!(
            if flocculation == "medium" { "med" } else { flocculation },
            row.get("flocculation"),
            "{name}"
        );
        assert_eq!(yeast.take("diastatic").value, row.get("sta1"), "{name}");
        assert_eq!(yeast.take("phenolic").value, row.get("pof"), "{name}");
        let cells: Vec<(f64, &str)> =
            yeast.take_all("cells").iter().map(|field| (field.numbers()[0], field.unit())).collect();
        let mut expected = Vec::new();
        for (column, unit) in
            [("cells_liquid_e9_per_pack", "billion cells"), ("cells_dry_e9_per_g", "billion cells/g")]
        {
            expected.extend(row.get(column).parse::<f64>().ok().map(|count| (count, unit)));
        }
        assert_eq!(cells, expected, "{name}");
        yeast.done();
    });
    seen.all(Kind::Yeast, &[]);
}

/// Charge in mEq for a mg, from IUPAC 2021 masses; anions below zero.
const IONS: [(&str, &str, f64); 7] = [
    ("Ca", "calcium", 2.0 / 40.078),
    ("Mg", "magnesium", 2.0 / 24.305),
    ("Na", "sodium", 1.0 / 22.98977),
    ("Cl", "chloride", -1.0 / 35.45),
    ("SO4", "sulfate", -2.0 / 96.056),
    ("HCO3", "bicarbonate", -1.0 / 61.016),
    ("NO3", "nitrate", -1.0 / 62.004),
];

/// Charge imbalance in per cent of all charge.
fn imbalance(charges: &[f64]) -> f64 {
    let all: f64 = charges.iter().map(|charge| charge.abs()).sum();
    if all == 0.0 { 0.0 } else { 100.0 * charges.iter().sum::<f64>() / all }
}

#[test]
fn waters() {
    let mut seen = Seen::default();
    each_row(WATERS, |row| {
        let name = row.get("name");
        if row.get("export") != "yes" {
            // Its ions do not balance: it is left out, and the row stays as the reason.
            assert_ne!(row.get("verdict"), "ok", "{name}");
            assert_eq!(lookup(Kind::Water, &fold(name)), None, "{name}");
            return;
        }
        let mut water = seen.open(Kind::Water, name, row.get("aliases"));
        water.source_and_confidence(row);
        water.says(row.get("note"));
        assert_eq!(water.take("kind").value, row.get("kind"), "{name}");
        let printed = row.number("imbalance_pct");
        water.says(&format!("charge imbalance {:.1} %", printed + 0.0));
        let as_carbonate = row.get("alk_basis") == "CO3";
        assert_eq!(water.comments.contains("from a figure printed as CO3"), as_carbonate, "{name}");
        let mut charges = Vec::new();
        for (column, ion, charge) in IONS {
            let none_reported = column == "NO3" && row.number(column) == 0.0;
            if !none_reported {
                water.is_if_known(ion, row.get(column), "ppm");
            }
            charges.push(row.get(column).parse::<f64>().unwrap_or(0.0) * charge);
        }
        assert!((imbalance(&charges) - printed).abs() < 0.1, "{name}: {}", imbalance(&charges));
        water.is_if_known("ph", row.get("pH"), "");
        water.done();
    });
    seen.all(Kind::Water, &["rain water"]);
}

/// Rain water is the library's own row: its ions balance.
#[test]
fn rain_water_balances() {
    let mut rain =
        lookup(Kind::Water, "rain water").map(Definition::of).unwrap_or_else(|| panic!("no rain water"));
    rain.says("from memory");
    rain.says("confidence C");
    let mut charges: Vec<f64> =
        IONS.iter().map(|(_, ion, charge)| rain.take(ion).numbers()[0] * charge).collect();
    charges.push(rain.take("potassium").numbers()[0] / 39.0983);
    assert!(imbalance(&charges).abs() < 1.0, "{}", imbalance(&charges));
    assert_eq!(rain.take("ph").numbers(), [5.6]);
    assert_eq!(rain.take("kind").value, "natural");
    rain.done();
}

/// An acid has one definition: the row of its usual strength gives the fields, the row of the other
/// strength a line of comment.
const STRENGTHS: [(&str, &str, f64, f64, bool); 4] = [
    ("lactic acid 88 %", "lactic acid", 88.0, 1.21, true),
    ("lactic acid 80 %", "lactic acid", 80.0, 1.19, false),
    ("phosphoric acid 85 %", "phosphoric acid", 85.0, 1.685, true),
    ("phosphoric acid 10 %", "phosphoric acid", 10.0, 1.05, false),
];

#[test]
fn additions() {
    let mut seen = Seen::default();
    each_row(ADJUNCTS, |row| {
        let name = row.get("name");
        let strength = STRENGTHS.into_iter().find(|(row_name, ..)| *row_name == name);
        let mut addition =
            seen.open(Kind::Addition, strength.map_or(name, |(_, acid, ..)| acid), row.get("aliases"));
        addition.source_and_confidence(row);
        addition.says(row.get("caution"));
        let dose = [row.number("dose_min"), row.number("dose_max")];
        if let Some((_, _, percent, density, usual)) = strength {
            // The caution of the row computes with this density.
            assert!(row.get("caution").contains(&format!("computed {density}")), "{name}");
            if !usual {
                addition.says(&format!("at {percent} %: density {density} g/mL"));
                addition.says(&format!("dose {} to {} {}", dose[0], dose[1], row.get("dose_unit")));
                addition.says(row.get("timing"));
                return;
            }
            addition.is("strength", &[percent], "%");
            addition.is("density", &[density], "g/mL");
        }
        assert_eq!(addition.take("role").value, row.get("role"), "{name}");
        let ions: Vec<(&str, f64)> = addition
            .take_all("ions")
            .iter()
            .flat_map(|field| field.value.split(", "))
            .filter_map(|ion| ion.split_once(' '))
            .map(|(ion, figure)| (ion, figure.parse().unwrap_or(f64::NAN)))
            .collect();
        let expected: Vec<(&str, f64)> = row
            .get("ions_mg_per_g")
            .split(' ')
            .filter_map(|ion| ion.split_once(':'))
            .map(|(ion, figure)| {
                let long = match ion {
                    "CO3" => "carbonate",
                    "OH" => "hydroxide",
                    "NH4" => "ammonium",
                    "Zn" => "zinc",
                    _ => IONS.iter().find(|(short, ..)| *short == ion).map_or(ion, |(_, long, _)| long),
                };
                (long, number(figure))
            })
            .collect();
        assert_eq!(ions, expected, "{name}");
        let (unit, remark) = row.get("dose_unit").split_once(' ').unwrap_or((row.get("dose_unit"), ""));
        let unit = if unit == "mg/L" { "ppm" } else { unit };
        assert_eq!(addition.is("dose", &dose, unit), remark.trim_matches(['(', ')']), "{name}");
        assert_eq!(addition.take("timing").text(), row.get("timing"), "{name}");
        addition.allergens(row.get("allergen"));
        addition.done();
    });
    seen.all(Kind::Addition, &SALTS_WITHOUT_ROW);
}

/// Salts that the tables do not have.
const SALTS_WITHOUT_ROW: [&str; 8] = [
    "calcium chloride hexahydrate",
    "calcium sulfate, anhydrous",
    "magnesium sulfate, anhydrous",
    "sodium carbonate",
    "sodium sulfate, anhydrous",
    "sodium sulfate decahydrate",
    "potassium chloride",
    "potassium bicarbonate",
];

/// The ions of every salt are those of its formula, to the four digits that a mineral is worth.
#[test]
fn salts_bring_the_ions_of_their_formulas() {
    for salt in Salt::ALL {
        let name = match salt {
            Salt::Gypsum => "gypsum",
            Salt::CalciumSulfateAnhydrous => "calcium sulfate, anhydrous",
            Salt::CalciumChlorideAnhydrous => "calcium chloride, anhydrous",
            Salt::CalciumChlorideDihydrate => "calcium chloride dihydrate",
            Salt::CalciumChlorideHexahydrate => "calcium chloride hexahydrate",
            Salt::EpsomSalt => "Epsom salt",
            Salt::MagnesiumSulfateAnhydrous => "magnesium sulfate, anhydrous",
            Salt::MagnesiumChlorideHexahydrate => "magnesium chloride hexahydrate",
            Salt::TableSalt => "sodium chloride",
            Salt::BakingSoda => "sodium bicarbonate",
            Salt::WashingSoda => "sodium carbonate",
            Salt::Chalk => "calcium carbonate",
            Salt::SlakedLime => "calcium hydroxide",
            Salt::SodiumSulfateAnhydrous => "sodium sulfate, anhydrous",
            Salt::SodiumSulfateDecahydrate => "sodium sulfate decahydrate",
            Salt::PotassiumChloride => "potassium chloride",
            Salt::PotassiumBicarbonate => "potassium bicarbonate",
            // Their sulfite turns to sulfate only in use, so the library writes no ions for them.
            Salt::PotassiumMetabisulfite | Salt::SodiumMetabisulfite => continue,
        };
        let entry = lookup(Kind::Addition, &fold(name)).unwrap_or_else(|| panic!("{name} has no definition"));
        let ions = Definition::of(entry).take("ions").value;
        for (ion, word) in [
            (Ion::Calcium, "calcium"),
            (Ion::Magnesium, "magnesium"),
            (Ion::Sodium, "sodium"),
            (Ion::Potassium, "potassium"),
            (Ion::Chloride, "chloride"),
            (Ion::Sulfate, "sulfate"),
        ] {
            let written = ions
                .split(", ")
                .filter_map(|part| part.split_once(' '))
                .find(|(written, _)| *written == word)
                .map_or(0.0, |(_, figure)| number(figure));
            let computed = salt.contribution(ion).mg_per_litre();
            assert!(
                (written - computed).abs() <= 0.05 + 0.0002 * computed,
                "{name}: {word} {written}, {computed}"
            );
        }
    }
}

#[test]
fn styles() {
    let mut seen = Seen::default();
    let mut without_numbers = 0;
    each_row(STYLES, |row| {
        let code = row.get("code");
        let mut style = seen.open(Kind::Style, code, "");
        style.says("BJCP 2021, text v1.25");
        style.says(row.get("note"));
        style.says("confidence A");
        // A variant that inherits says so in the language.
        let base = row.get("note").split_once("inherits the rest from ").map(|(_, base)| base);
        let base = base.map(|base| base.split(';').next().unwrap_or(base));
        let like: Vec<&str> = style.take_all("like").iter().map(Field::text).collect();
        assert_eq!(like.first().copied(), base, "{code}");
        assert_eq!(style.take("name").text(), row.get("name"), "{code}");
        assert_eq!(style.take("group").text(), row.get("category_name"), "{code}");
        assert!(code.starts_with(row.get("category_code")), "{code}");
        let mut numbers = 0;
        for (stem, field, unit) in [
            ("og", "og", ""),
            ("fg", "fg", ""),
            ("abv", "abv", "%"),
            ("ibu", "ibu", ""),
            ("srm", "colour", "SRM"),
        ] {
            if !row.get(&format!("{stem}_min")).is_empty() {
                style.is(field, &range(row, stem), unit);
                numbers += 1;
            }
        }
        without_numbers += usize::from(numbers == 0);
        // Carbonation is a hint of its own, from a table by families of beer.
        for field in style.take_all("carbonation") {
            assert!(field.numbers()[0] < field.numbers()[1] && field.unit() == "vol", "{code}");
            assert!(!field.comment.is_empty(), "{code}");
        }
        style.done();
    });
    seen.all(Kind::Style, &[]);
    assert_eq!(without_numbers, 21);
}
