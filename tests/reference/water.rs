//! The liquor, mash pH and salts against `water_checks.tsv`: each row names its method and its source.

// A row that cannot be read fails the test.
#![allow(clippy::panic, clippy::unwrap_used)]

use brewing::acid::{Acid, CITRIC_MONOHYDRATE};
use brewing::carbonate::{self, Air};
use brewing::ph::{
    self, Base, Dose, Malt, MaltClass, MaltForm, MaltParameters, MashBalance, MashLiquor, at_temperature,
};
use brewing::salts::{self, Dilution, Request, Treatment, Weighting};
use brewing::water::{
    self, Chlorine, Ion, Salt, Water, as_calcium_carbonate, dechlorinate, from_calcium_carbonate,
};
use gyle_tests::{Account, Basis, Row, Table, Tally, Tolerance, number};
use quantity::typed::{
    Amount, Buffering, Concentration, Density, Ebc, Equivalents, Fraction, Mass, Ph, Temperature, Volume,
};
use quantity::{Quantity, UnitId, scale};
use serde_json::Value;

const ROWS: &str = include_str!("water_checks.tsv");

#[test]
fn every_row_of_the_water_checks() {
    account();
}

/// Every row compared.
pub(crate) fn account() -> Tally {
    let table = Table::read(ROWS);
    let mut account = Account::default();
    let mut rows = 0;
    for row in table.rows() {
        rows += 1;
        check(&row, &mut account);
    }
    account.close("water_checks.tsv", rows)
}

fn check(row: &Row<'_>, account: &mut Account) {
    let id = row.get("id");
    if row.get("tolerance") == "reference only" {
        account
            .set_aside(id, "reference only: full equilibrium with calcite, which the practical end is not");
        return;
    }
    if id == "U08" {
        account.set_aside(id, "grains to the US gallon are no unit of the language");
        return;
    }
    let input = Input(serde_json::from_str(row.get("inputs_json")).unwrap());
    let expected = row.number("expected");
    if id.starts_with("MV") {
        let (fitted, generic) = measured_mash(id, &input);
        account.check(id, Some(fitted), expected, Tolerance::Absolute(0.04), Basis::Printed);
        let off = (generic - expected).abs();
        account.require(id, off <= 0.15, &format!("class averages are off by {off}"));
        return;
    }
    let got = value(row, &input, account);
    account.check(id, got, expected, tolerance(row), basis(row));
}

/// `abs 0.02`, `rel 1e-3`, with a remark after it or not.
fn tolerance(row: &Row<'_>) -> Tolerance {
    let mut words = row.get("tolerance").split(' ');
    match (words.next(), words.next()) {
        (Some("abs"), Some(off)) => Tolerance::Absolute(number(off)),
        (Some("rel"), Some(share)) => Tolerance::Relative(number(share)),
        other => panic!("no tolerance: {other:?}"),
    }
}

fn basis(row: &Row<'_>) -> Basis {
    let (method, source) = (row.get("method"), row.get("source"));
    if method == "published" || method == "published measurement" {
        Basis::Printed
    } else if source.contains("PHREEQC") || source == "scipy" || method.contains("chempy masses agree") {
        Basis::Library
    } else {
        Basis::Recomputed
    }
}

struct Input(Value);

impl Input {
    fn has(&self, key: &str) -> bool {
        self.0.get(key).is_some()
    }

    fn number(&self, key: &str) -> f64 {
        self.0[key].as_f64().unwrap_or_else(|| panic!("no {key} in {}", self.0))
    }

    fn number_or(&self, key: &str, absent: f64) -> f64 {
        self.0.get(key).and_then(Value::as_f64).unwrap_or(absent)
    }

    fn text(&self, key: &str) -> &str {
        self.0[key].as_str().unwrap_or_else(|| panic!("no {key} in {}", self.0))
    }

    fn list(&self, key: &str) -> &[Value] {
        self.0[key].as_array().unwrap_or_else(|| panic!("no {key} in {}", self.0))
    }
}

fn mg(value: f64) -> Concentration {
    Concentration::from_mg_per_litre(value)
}

fn meq(value: f64) -> Equivalents {
    Equivalents::from_meq_per_litre(value)
}

fn litres(value: f64) -> Volume {
    Volume::from_litres(value)
}

fn p(value: f64) -> Ph {
    Ph::from_ph(value)
}

const SYMBOLS: [(&str, Ion); 8] = [
    ("Ca", Ion::Calcium),
    ("Mg", Ion::Magnesium),
    ("Na", Ion::Sodium),
    ("K", Ion::Potassium),
    ("SO4", Ion::Sulfate),
    ("Cl", Ion::Chloride),
    ("NO3", Ion::Nitrate),
    ("HCO3", Ion::Bicarbonate),
];

fn ion(symbol: &str) -> Ion {
    SYMBOLS.iter().find(|(name, _)| *name == symbol).unwrap_or_else(|| panic!("no ion {symbol}")).1
}

fn salt(name: &str) -> Salt {
    match name {
        "gypsum" => Salt::Gypsum,
        "calcium_chloride_anhydrous" => Salt::CalciumChlorideAnhydrous,
        "calcium_chloride_dihydrate" => Salt::CalciumChlorideDihydrate,
        "epsom" => Salt::EpsomSalt,
        "magnesium_chloride_hexahydrate" => Salt::MagnesiumChlorideHexahydrate,
        "sodium_chloride" => Salt::TableSalt,
        "sodium_bicarbonate" => Salt::BakingSoda,
        "calcium_carbonate" => Salt::Chalk,
        "calcium_hydroxide" => Salt::SlakedLime,
        "sodium_sulfate_anhydrous" => Salt::SodiumSulfateAnhydrous,
        "potassium_chloride" => Salt::PotassiumChloride,
        "potassium_metabisulfite" => Salt::PotassiumMetabisulfite,
        "sodium_metabisulfite" => Salt::SodiumMetabisulfite,
        other => panic!("no salt {other}"),
    }
}

fn acid(name: &str) -> Acid {
    match name.split([' ', '_']).find_map(|word| match word {
        "lactic" => Some(Acid::Lactic),
        "phosphoric" => Some(Acid::Phosphoric),
        "hydrochloric" => Some(Acid::Hydrochloric),
        "sulfuric" => Some(Acid::Sulfuric),
        "citric" => Some(Acid::Citric),
        _ => None,
    }) {
        Some(acid) => acid,
        None => panic!("no acid in {name}"),
    }
}

/// What a salt or a water holds, by the word that starts a row's quantity.
fn held(what: &str, water: &Water) -> f64 {
    match what {
        "alk_mEq" => water.alkalinity.meq_per_litre(),
        "alk_CaCO3" => as_calcium_carbonate(water.alkalinity).mg_per_litre(),
        "HCO3_equiv" => water.ion(Ion::Bicarbonate).mg_per_litre(),
        symbol => water.ion(ion(symbol)).mg_per_litre(),
    }
}

/// A water from ions in mg/L.
fn from_mg(ions: &Value) -> Water {
    let mut water = Water::ION_FREE;
    for (symbol, ion) in SYMBOLS {
        if let Some(amount) = ions.get(symbol).and_then(Value::as_f64) {
            water = water.with_ion(ion, mg(amount));
        }
    }
    water
}

/// A water from ions in mmol/L, alkalinity in mEq/L and pH.
fn from_mmol(input: &Input) -> Water {
    let mut water = Water::ION_FREE;
    for (symbol, ion) in SYMBOLS {
        water = water.with_ion(ion, mg(input.number_or(symbol, 0.0) * ion.molar_mass()));
    }
    water.alkalinity = meq(input.number("Alk"));
    water.ph = p(input.number("pH"));
    water
}

fn value(row: &Row<'_>, input: &Input, account: &mut Account) -> Option<f64> {
    let id = row.get("id");
    let quantity = row.get("quantity");
    let first = quantity.split(' ').next().unwrap_or_default();
    match row.get("section") {
        "a.salts" if input.has("salt") => {
            let one = [(salt(input.text("salt")), Mass::from_grams(input.number("g_per_L")))];
            Some(held(first, &Water::ION_FREE.with_salts(&one, litres(1.0))?))
        }
        "a.salts" if input.has("g") => {
            let doses: Vec<(Salt, Mass)> = input.0["g"]
                .as_object()?
                .iter()
                .map(|(name, g)| (salt(name), Mass::from_grams(g.as_f64().unwrap())))
                .collect();
            let water = Water::ION_FREE.with_salts(&doses, litres(input.number("volume_L")))?;
            Some(held(id.trim_start_matches("SX-"), &water))
        }
        "a.salts" if input.has("w") => {
            let strength = Fraction::from_parts(input.number("w"));
            let density = water::calcium_chloride_density(strength)?;
            let mass =
                water::salt_in_solution(Volume::from_millilitres(input.number("mL")), strength, density);
            let dose = [(Salt::CalciumChlorideAnhydrous, mass)];
            Some(held(first, &Water::ION_FREE.with_salts(&dose, litres(input.number("V_L")))?))
        }
        "a.salts" if input.has("mg_L_Cl2") => {
            let used =
                if first == "Na2S2O5" { Salt::SodiumMetabisulfite } else { Salt::PotassiumMetabisulfite };
            let volume = litres(input.number_or("V_L", 1.0));
            let dose = dechlorinate(mg(input.number("mg_L_Cl2")), Chlorine::Free, volume, used)?;
            Some(if first == "SO4" { dose.sulfate.mg_per_litre() } else { dose.stoichiometric.grams() })
        }
        "a.salts" => {
            let dissolved = water::gypsum_solubility(Temperature::from_celsius(input.number("T")))?;
            Some(dissolved.mg_per_litre() / 1000.0)
        }
        "a.acids" => acids(id, quantity, input, account),
        "b.units" => units(id),
        "c.charge" | "e.RA" => report(id, input),
        "d.chalk" => {
            let air = match id {
                "C38" => Air::Closed,
                "C39" => Air::ATMOSPHERE,
                _ => Air::Open { log_pressure: 0.0 },
            };
            Some(water::chalk_solubility(air)?.mg_per_litre())
        }
        "f.carbonate" => carbonate_row(quantity, input),
        "f.mash.T" => linear(quantity, input),
        "f.mash.P" => mash(id, input),
        "f.mash.inv" => inverse(id, input),
        "g.correct" => correction(input),
        "f.temp" => {
            let room = p(5.5);
            Some(at_temperature(room, Temperature::from_celsius(input.number("T"))).ph() - room.ph())
        }
        "h.nnls" => solved(id, input),
        other => panic!("{id}: no section {other}"),
    }
}

fn acids(id: &str, quantity: &str, input: &Input, account: &mut Account) -> Option<f64> {
    let acid = acid(quantity);
    if input.has("density_g_mL") {
        let strength = Fraction::from_parts(input.number("w"));
        let density = Density::from_kg_per_litre(input.number("density_g_mL"));
        let own = acid.density(strength)?;
        account.require(id, (own / density - 1.0).abs() < 0.003, "the acid's own density");
        return acid.molarity(strength, Some(density));
    }
    let ph = p(input.number("pH"));
    let amount = if input.has("c_mol_L") {
        Amount::from_mmol(input.number("c_mol_L"))
    } else {
        acid.amount_in_mass(Mass::from_grams(1.0), CITRIC_MONOHYDRATE)?
    };
    Some(acid.charge(amount, ph).meq())
}

fn units(id: &str) -> Option<f64> {
    let hardness = |value, unit| scale::hardness(Quantity::new(value, unit));
    let as_caco3 = |value: Equivalents| as_calcium_carbonate(value).mg_per_litre();
    Some(match id {
        "U01" => as_caco3(meq(1.0)),
        "U02" => Ion::Bicarbonate.concentration(from_calcium_carbonate(mg(1.0))).mg_per_litre(),
        "U03" => as_caco3(hardness(1.0, UnitId::DH)?),
        "U04" => hardness(1.0, UnitId::DH)?.meq_per_litre(),
        "U05" => as_caco3(hardness(1.0, UnitId::FH)?),
        "U06" => hardness(1.0, UnitId::FH)?.meq_per_litre(),
        "U07" => as_caco3(hardness(1.0, UnitId::CLARK)?),
        "U09" => hardness(1.0, UnitId::MMOL_PER_L)? / hardness(1.0, UnitId::DH)?,
        "U10" => as_caco3(Ion::Calcium.equivalents(mg(1.0))),
        "U11" => as_caco3(Ion::Magnesium.equivalents(mg(1.0))),
        "U12" => Ion::Sulfate.from_element(mg(1.0)).mg_per_litre(),
        "U13" => Ion::Nitrate.from_element(mg(1.0)).mg_per_litre(),
        other => panic!("no unit row {other}"),
    })
}

fn report(id: &str, input: &Input) -> Option<f64> {
    if id.starts_with("C-EC") {
        return Some(from_mmol(input).conductivity().microsiemens_per_cm());
    }
    let mut water = from_mg(&input.0);
    if input.has("alk_CaCO3") {
        water.alkalinity = from_calcium_carbonate(mg(input.number("alk_CaCO3")));
    }
    let balance = water.charge_balance();
    Some(match id {
        "R05" => water.dissolved_solids().mg_per_litre(),
        "R10" => water.residual_alkalinity().meq_per_litre(),
        "R11" => water.residual_alkalinity() / scale::hardness(Quantity::new(1.0, UnitId::DH))?,
        "R06" | "R07" | "R08" | "R09" => as_calcium_carbonate(water.residual_alkalinity()).mg_per_litre(),
        _ if id.ends_with('c') => balance.cations.meq_per_litre(),
        _ if id.ends_with('a') => balance.anions.meq_per_litre(),
        _ => balance.imbalance()?.parts() * 100.0,
    })
}

fn carbonate_row(quantity: &str, input: &Input) -> Option<f64> {
    let air = match input.0.get("log_pCO2").and_then(Value::as_f64) {
        Some(log_pressure) => Air::Open { log_pressure },
        None if quantity.ends_with("open") => Air::ATMOSPHERE,
        None => Air::Closed,
    };
    if input.has("alk_titr_mEq") {
        let mut water = Water::ION_FREE;
        water.alkalinity = meq(input.number("alk_titr_mEq"));
        water.ph = p(input.number("pHs"));
        let liquor =
            MashLiquor { titrated_to: p(input.number("pH_end")), ..MashLiquor::new(water, litres(1.0)) };
        return Some(liquor.demand(p(input.number("target"))).meq_per_litre());
    }
    if input.has("alk_mEq") {
        let alkalinity = meq(input.number("alk_mEq"));
        let water = Water {
            sodium: Ion::Sodium.concentration(alkalinity),
            alkalinity,
            ph: p(input.number("pH")),
            ..Water::ION_FREE
        };
        return Some(Ion::Bicarbonate.equivalents(carbonate::bicarbonate(&water)).meq_per_litre());
    }
    if !input.has("Alk") {
        let soda =
            Mass::from_grams(input.number_or("NaHCO3_mM", 0.0) * Salt::BakingSoda.molar_mass() / 1000.0);
        let water = Water::ION_FREE.with_salts(&[(Salt::BakingSoda, soda)], litres(1.0))?;
        return Some(carbonate::ph_with_acids(&water, &[], air)?.ph());
    }
    let water = from_mmol(input);
    if quantity.starts_with("total carbonate") {
        return Some(carbonate::total_carbonate(&water));
    }
    if input.has("target") {
        let dose = ph::sparge_acid(
            &water,
            litres(input.number("V_L")),
            p(input.number("target")),
            Acid::Lactic,
            air,
        )?;
        return added(dose).map(|amount: Amount| amount.mmol() / input.number("acid_mol_L"));
    }
    let dose = if input.has("HCl_mM") {
        (Acid::Hydrochloric, input.number("HCl_mM"))
    } else {
        let named = input.0.get("acid").and_then(Value::as_str).unwrap_or("citric");
        (acid(named), input.number("mmol_L"))
    };
    Some(carbonate::ph_with_acids(&water, &[dose], air)?.ph())
}

fn added<T>(dose: Dose<T>) -> Option<T> {
    match dose {
        Dose::Add(amount) => Some(amount),
        Dose::Past(_) => None,
    }
}

fn linear(quantity: &str, input: &Input) -> Option<f64> {
    let ratio = input.number("R");
    if quantity.contains("slope") {
        return Some(ph::linear_slope(ratio));
    }
    if input.has("RA_mEq") {
        return Some(
            ph::linear_mash_ph(p(input.number("grist_pH")), meq(input.number("RA_mEq")), ratio).ph(),
        );
    }
    let pairs = |key: &str| -> Vec<(Fraction, f64)> {
        input.0.get(key).and_then(Value::as_array).map_or_else(Vec::new, |all| {
            all.iter()
                .map(|pair| (Fraction::from_parts(pair[0].as_f64().unwrap()), pair[1].as_f64().unwrap()))
                .collect()
        })
    };
    let base: Vec<(Fraction, Ph)> = pairs("base").iter().map(|&(share, own)| (share, p(own))).collect();
    Some(ph::linear_grist_ph(&base, &pairs("spec"), ratio)?.ph())
}

fn malt(kg: f64, own: f64, buffering: f64) -> Malt {
    Malt::new(
        Mass::from_kg(kg),
        MaltParameters {
            ph: p(own),
            ph_sd: 0.1,
            buffering: Buffering::from_meq_per_kg_ph(buffering),
            buffering_sd: Buffering::from_meq_per_kg_ph(0.15 * buffering),
        },
    )
}

/// The mash of a row of the proton balance.
fn balance(input: &Input) -> MashBalance {
    let malts = input
        .list("malts_kg_pHDI_B")
        .iter()
        .map(|row| {
            let at = |i: usize| row.get(i).and_then(Value::as_f64);
            let mut malt = malt(at(0).unwrap(), at(1).unwrap(), at(2).unwrap());
            malt.quadratic = at(3).unwrap_or(0.0);
            malt.cubic = at(4).unwrap_or(0.0);
            malt
        })
        .collect();
    let water = Water {
        calcium: mg(input.number("Ca")),
        magnesium: mg(input.number("Mg")),
        alkalinity: meq(input.number("alk_mEq")),
        ph: p(input.number("pH_sample")),
        ..Water::ION_FREE
    };
    let acids = input
        .list("acids_mmol")
        .iter()
        .map(|pair| (acid(pair[0].as_str().unwrap()), Amount::from_mmol(pair[1].as_f64().unwrap())))
        .collect();
    let bases = vec![
        (Base::Bicarbonate, Amount::from_mmol(input.number("NaHCO3_mmol"))),
        (Base::Lime, Amount::from_mmol(input.number("CaOH2_mmol"))),
    ];
    MashBalance { malts, liquor: MashLiquor::new(water, litres(input.number("V_L"))), acids, bases }
}

/// The mash of the row of this id.
fn case(id: &str) -> MashBalance {
    let table = Table::read(ROWS);
    let row = table.rows().find(|row| row.get("id") == id).unwrap_or_else(|| panic!("no row {id}"));
    balance(&Input(serde_json::from_str(row.get("inputs_json")).unwrap()))
}

fn mash(id: &str, input: &Input) -> Option<f64> {
    if id == "M21" {
        let mut malt = malt(1.0, input.number("pHDI"), -input.number("a1"));
        malt.quadratic = input.number("a2");
        let dry = MashBalance {
            malts: vec![malt],
            liquor: MashLiquor::new(Water::ION_FREE, litres(0.0)),
            acids: vec![],
            bases: vec![],
        };
        return Some(dry.demand(p(5.40)).meq());
    }
    let mash = if input.has("case") { case(input.text("case")) } else { balance(input) };
    Some(mash.ph()?.ph())
}

fn inverse(id: &str, input: &Input) -> Option<f64> {
    let target = p(input.number("target"));
    let of =
        |mash: &MashBalance, acid| -> Option<f64> { added(mash.acid_to(target, acid)?).map(Amount::mmol) };
    Some(match id {
        "M22" => of(&case("M11"), Acid::Lactic)? / input.number("acid_mol_L"),
        "M23" => of(&case("M11"), Acid::Phosphoric)? / input.number("acid_mol_L"),
        "M24" => {
            let soda = added(case("M15b").base_to(target, Base::Bicarbonate)?)?;
            soda.mmol() * Salt::BakingSoda.molar_mass() / 1000.0
        }
        // All of its CO2 lost, a mole of soda takes up a mole of acid.
        "M24o" => match case("M15b").acid_to(target, Acid::Lactic)? {
            Dose::Past(charge) => charge.meq() * Salt::BakingSoda.molar_mass() / 1000.0,
            Dose::Add(_) => return None,
        },
        "M25" => of(&case("M17"), Acid::Hydrochloric)? / input.number("acid_mol_L"),
        "M26" => {
            let amount = Amount::from_mmol(of(&case("M10"), Acid::Lactic)?);
            Acid::Lactic.volume_of(amount, Fraction::from_parts(0.88), None)?.millilitres()
        }
        other => panic!("no inverse row {other}"),
    })
}

/// A measured mash by the fitted parameters of its malt, and by the averages of its class.
fn measured_mash(id: &str, input: &Input) -> (f64, f64) {
    let ratio = input.number("R");
    let soda = Amount::from_mmol(input.number("alk_mEq") * ratio);
    let mash = |malt: Malt| {
        let liquor = MashLiquor::new(Water::ION_FREE, litres(ratio));
        let bases = vec![(Base::Bicarbonate, soda)];
        MashBalance { malts: vec![malt], liquor, acids: vec![], bases }.ph().unwrap().ph()
    };
    let mut fitted = malt(1.0, input.number("fit_pHDI4"), input.number("fit_B"));
    fitted.thinning = input.number("fit_slope");
    let pilsner = id[2..].parse::<u8>().unwrap() <= 12;
    let (form, colour) = if pilsner { (MaltForm::Base, 3.5) } else { (MaltForm::MunichVienna, 17.0) };
    let colour = Ebc::from_ebc(colour);
    let class = MaltClass::of(form, false, colour);
    (mash(fitted), mash(Malt::new(Mass::from_kg(1.0), class.parameters(colour))))
}

fn correction(input: &Input) -> Option<f64> {
    let grist = input.number("grist_kg");
    let water = Water {
        alkalinity: meq(input.number("water_alk_titr")),
        ph: p(input.number("pH_sample")),
        ..Water::ION_FREE
    };
    let mash = MashBalance {
        malts: vec![malt(grist, 5.75, input.number("B"))],
        liquor: MashLiquor::new(water, litres(input.number("L_per_kg") * grist)),
        acids: vec![],
        bases: vec![],
    };
    let amount = added(mash.acid_from_measured(p(5.62), p(5.40), Acid::Lactic)?)?;
    Some(Acid::Lactic.volume_of(amount, Fraction::from_parts(0.88), None)?.millilitres())
}

fn treatment(input: &Input) -> Option<Treatment> {
    let salts: Vec<Salt> = input.list("salts").iter().map(|name| salt(name.as_str().unwrap())).collect();
    let fit: Vec<(Ion, f64)> = input.0["target"].as_object()?.keys().map(|name| (ion(name), 1.0)).collect();
    let diluted = input.has("extra");
    salts::solve(&Request {
        source: from_mg(&input.0["source"]),
        target: from_mg(&input.0["target"]),
        fit: &fit,
        volume: litres(input.number("V_L")),
        salts: &salts,
        weighting: Weighting::Mass,
        dilution: if diluted { Dilution::With(Water::ION_FREE) } else { Dilution::None },
    })
}

fn solved(id: &str, input: &Input) -> Option<f64> {
    let treatment = treatment(input)?;
    let (_, what) = id.split_once('-')?;
    if let Some(symbol) = what.strip_prefix("final-") {
        return Some(treatment.water.ion(ion(symbol)).mg_per_litre());
    }
    match what {
        "residual" => Some(treatment.residual_norm),
        "fraction" => Some(treatment.source_share.parts()),
        name => treatment.salts.iter().find(|(one, _)| *one == salt(name)).map(|(_, mass)| mass.grams()),
    }
}
