//! Carbonation, yeast, mash heat and what hangs on them against `process_checks.tsv` and `mash_checks.tsv`:
//! each row names its source.

// A row that cannot be read fails the test.
#![allow(clippy::panic)]

use brewing::atmosphere::{SEA_LEVEL, ambient_pressure, boiling_point};
use brewing::carbonation::{self, PrimingSugar};
use brewing::mash::{self, Decoction, Mash as MashTun, Vessel};
use brewing::water::{self, Chlorine, Salt};
use brewing::yeast::{self, Keeping, Starter};
use brewing::{bitterness, correct, dms, gravity, measure};
use gyle_tests::{Account, Basis, Row, Table, Tally, Tolerance, number};
use quantity::scale;
use quantity::typed::{
    Carbonation, CellDensity, Cells, CellsPerMass, Concentration, DiastaticPower, Fraction, GaugePressure,
    Gravity, HeatCapacity, HeatLoss, Length, Mass, PitchRate, Plato, Power, SpecificEnergy, Temperature,
    TemperatureStep, Time, Volume, VolumePerMass, VolumeRate,
};

const PSI: f64 = 14.503_773_773;
const POUND: f64 = 0.453_592_37;
const QUART: f64 = 0.946_352_946;

#[test]
fn every_row_of_the_process_checks() {
    account();
}

#[test]
fn every_row_of_the_mash_checks() {
    mash_account();
}

/// Every row of the process checks compared.
pub(crate) fn account() -> Tally {
    let table = Table::read(include_str!("process_checks.tsv"));
    let mut account = Account::default();
    let mut rows = 0;
    for row in table.rows() {
        rows += 1;
        process(&row, &mut account);
    }
    account.close("process_checks.tsv", rows)
}

/// Every row of the mash checks compared.
pub(crate) fn mash_account() -> Tally {
    let table = Table::read(include_str!("mash_checks.tsv"));
    let mut account = Account::default();
    let mut rows = 0;
    for row in table.rows() {
        rows += 1;
        let basis = match row.get("basis") {
            "printed" => Basis::Printed,
            "library" => Basis::Library,
            "recomputed" => Basis::Recomputed,
            other => panic!("no basis {other}"),
        };
        let within = Tolerance::Absolute(row.number("tolerance"));
        let inputs = Inputs { text: row.get("inputs"), parted: ' ' };
        account.check(
            row.get("id"),
            heat(row.get("quantity"), &inputs),
            row.number("expected"),
            within,
            basis,
        );
    }
    account.close("mash_checks.tsv", rows)
}

/// `key=value` cells of a row; the value may have a remark after a blank.
struct Inputs<'a> {
    text: &'a str,
    parted: char,
}

impl<'a> Inputs<'a> {
    fn text(&self, key: &str) -> Option<&'a str> {
        self.text.split(self.parted).find_map(|pair| pair.strip_prefix(key)?.strip_prefix('='))
    }

    fn find(&self, key: &str) -> Option<f64> {
        self.text(key).map(|value| number(value.split(' ').next().unwrap_or_default()))
    }

    fn get(&self, key: &str) -> f64 {
        self.find(key).unwrap_or_else(|| panic!("no {key} in {}", self.text))
    }

    /// A cell without a key by its place: `20 L`, `1.060 -> 1.050`.
    fn nth(&self, place: usize) -> &'a str {
        self.text.split(self.parted).nth(place).unwrap_or_default()
    }

    /// The numbers of such a cell.
    fn numbers(&self, place: usize) -> Vec<f64> {
        self.nth(place).split([' ', '/', '=']).filter_map(|word| word.parse().ok()).collect()
    }

    fn first_number(&self, place: usize) -> f64 {
        *self.numbers(place).first().unwrap_or_else(|| panic!("no number at {place} in {}", self.text))
    }

    /// A temperature by its key with `_C` or `_F`.
    fn temperature(&self, key: &str) -> Temperature {
        match (self.find(&format!("{key}_C")), self.find(&format!("{key}_F"))) {
            (Some(celsius), _) => Temperature::from_celsius(celsius),
            (None, Some(fahrenheit)) => Temperature::from_fahrenheit(fahrenheit),
            (None, None) => panic!("no {key} in {}", self.text),
        }
    }

    fn billions(&self, key: &str) -> Cells {
        Cells::from_billions(self.get(key) / 1e9)
    }
}

fn litres(value: f64) -> Volume {
    Volume::from_litres(value)
}

fn sg(value: f64) -> Gravity {
    Gravity::from_sg(value)
}

fn volumes(value: f64) -> Carbonation {
    Carbonation::from_volumes(value)
}

/// `0.05`, `2 %`.
fn tolerance(cell: &str) -> Tolerance {
    match cell.strip_suffix('%') {
        Some(percent) => Tolerance::Relative(number(percent) / 100.0),
        None => Tolerance::Absolute(number(cell)),
    }
}

/// Seen in a source, or computed, or remembered.
fn basis(status: &str) -> Basis {
    let remembered = status.starts_with("computed") || status.contains("from memory");
    if status.contains("seen") && !remembered { Basis::Printed } else { Basis::Recomputed }
}

fn process(row: &Row<'_>, account: &mut Account) {
    let id = row.get("id");
    let inputs = Inputs { text: row.get("inputs"), parted: ';' };
    match id {
        "priming-09" => {
            account.set_aside(id, "a published figure to reject: it takes a volume of CO2 at 25 °C");
            let ours = grams_by_volume(PrimingSugar::GlucoseAnhydrous);
            account.require(
                id,
                (ours - row.number("expected")).abs() > 0.3,
                "not told from the right figure",
            );
            return;
        }
        "viability-07" => {
            account.set_aside(id, "a range: compared with the ends of ours");
            let day = yeast::viability(Keeping::Slurry, Time::from_minutes(1440.0));
            let typical = 1.0 + row.number("expected") / 100.0;
            account.require(id, (day.typical.parts() - typical).abs() < 1e-9, "the typical loss by day");
            // Printed -0.77 to +0.09 % a day; rounded outwards, but nothing lives anew.
            account.require(id, (0.990..=0.9923).contains(&day.low.parts()), "the greater loss by day");
            account.require(id, (day.high.parts() - 1.0).abs() < 1e-9, "the lesser loss by day");
            return;
        }
        "viability-08" => {
            account.set_aside(id, "two numbers by storage: compared with the ends of our range");
            let year = yeast::viability(Keeping::Dry, Time::from_minutes(365.25 * 1440.0));
            account.require(id, (year.high.parts() - 0.96).abs() < 1e-9, "4 % a year at 4 °C");
            account.require(id, (year.low.parts() - 0.80).abs() < 1e-9, "20 % a year at 20 °C");
            return;
        }
        "starter-14" => {
            account.set_aside(id, "a range of 19 aired propagations: no model of ours claims it");
            return;
        }
        "starter-08" => {
            let points = [(0.5, 112.0), (1.0, 152.0), (2.0, 205.0), (4.0, 276.0)];
            let squares: f64 = points
                .iter()
                .map(|&(l, cells)| {
                    let grown = still(100.0, l).map_or(f64::NAN, Cells::billions);
                    (grown / cells - 1.0).powi(2)
                })
                .sum();
            let rms = (squares / points.len() as f64).sqrt();
            account.check(id, Some(rms), 0.0, Tolerance::Absolute(0.005), Basis::Recomputed);
            return;
        }
        _ => {}
    }
    let got = value(row, &inputs);
    account.check(id, got, row.number("expected"), tolerance(row.get("tolerance")), basis(row.get("status")));
    if row.get("quantity").starts_with("equilibrium CO2") {
        let (gauge, at) = (psi(inputs.get("P_gauge_psi")), inputs.temperature("T"));
        let ceiling = carbonation::pure_water_ceiling(gauge, at, SEA_LEVEL).volumes();
        account.require(id, got.is_some_and(|v| v < ceiling), "more CO2 than pure water holds");
    }
}

fn psi(value: f64) -> GaugePressure {
    GaugePressure::from_bar(value / PSI)
}

fn still(billions: f64, l: f64) -> Option<Cells> {
    // The curve of a still starter does not ask for the extract, only that there is some.
    Starter::Still.grow(Cells::from_billions(billions), litres(l), Mass::from_grams(90.0 * l))
}

fn grams_by_volume(sugar: PrimingSugar) -> f64 {
    carbonation::priming_rate(volumes(1.0), volumes(0.0), sugar)
        .map_or(f64::NAN, |rate| rate.mg_per_litre() / 1000.0)
}

fn sugar(name: &str) -> PrimingSugar {
    match name {
        "glucose anhydrous" => PrimingSugar::GlucoseAnhydrous,
        "glucose monohydrate" => PrimingSugar::GlucoseMonohydrate,
        "sucrose" => PrimingSugar::Sucrose,
        other => panic!("no sugar {other}"),
    }
}

fn value(row: &Row<'_>, i: &Inputs<'_>) -> Option<f64> {
    let id = row.get("id");
    match row.get("group") {
        "carb" if i.find("V").is_some() => {
            let held = carbonation::gauge_pressure(volumes(i.get("V")), i.temperature("T"), SEA_LEVEL);
            Some(held.bar() * PSI)
        }
        "carb" => {
            let ambient = match i.text("P_atm_psi") {
                Some(_) => ambient_pressure(Length::from_metres(1500.0))?,
                None => SEA_LEVEL,
            };
            Some(carbonation::equilibrium(psi(i.get("P_gauge_psi")), i.temperature("T"), ambient).volumes())
        }
        "residual" => Some(carbonation::residual(i.temperature("T")).volumes()),
        "priming" => priming(row, i),
        "bottle" => {
            Some(carbonation::gauge_pressure(volumes(i.get("V")), i.temperature("T"), SEA_LEVEL).bar())
        }
        "pitch" => pitch(id, i),
        "starter" => starter(id, i),
        "viability" => {
            let days = i.find("days").unwrap_or_else(|| if id == "viability-09" { 45.0 } else { f64::NAN });
            let share = yeast::viability(Keeping::Liquid, Time::from_minutes(days * 1440.0)).typical;
            Some(share.parts() * if id == "viability-09" { i.first_number(0) / 1e9 } else { 1.0 })
        }
        "dms" if row.get("quantity").ends_with("half-life") => {
            Some(dms::half_life(i.temperature("T")).minutes())
        }
        "dms" => {
            let time = Time::from_minutes(i.get("t_min"));
            Some(dms::precursor_left(time, i.temperature("T")).parts())
        }
        "iso" => {
            let at = i.temperature("T");
            Some(match i.find("t_min") {
                Some(minutes) => bitterness::iso_alpha_fraction(Time::from_minutes(minutes), at).parts(),
                None => bitterness::relative_rate(at),
            })
        }
        "dp" => Some(scale::lintner_from_wk(DiastaticPower::from_wk(i.get("WK")))),
        "fix" => fix(id, i),
        "ferm" => {
            let original = gravity::plato(sg(i.first_number(0)));
            Some(yeast::adiabatic_rise(original, Fraction::from_parts(i.first_number(1))).kelvin())
        }
        "safety" => {
            let extract = gravity::extract_mass(litres(i.first_number(0)), sg(i.first_number(1)));
            let mass = carbonation::co2_released(extract, Fraction::from_parts(i.first_number(2)));
            let gas = carbonation::gas_volume(mass, Temperature::from_celsius(20.0), SEA_LEVEL)?;
            let share = carbonation::share_of_room(gas, litres(20_000.0))?.parts();
            // The row's note: 0.39 m3 at 20 °C, 1.9 % of a room of 20 m3.
            ((gas.litres() - 390.0).abs() < 10.0 && (share - 0.019).abs() < 0.001).then(|| mass.kg())
        }
        "water" if id == "water-01" => {
            let chlorine = Concentration::from_mg_per_litre(3.0);
            let volume = litres(i.first_number(0));
            let dose = water::dechlorinate(chlorine, Chlorine::Free, volume, Salt::PotassiumMetabisulfite)?;
            Some(dose.stoichiometric.grams() * 1000.0)
        }
        "water" => Some(10.0 / water::sulfur_dioxide_share(Salt::PotassiumMetabisulfite)?.parts()),
        other => panic!("{id}: no group {other}"),
    }
}

fn priming(row: &Row<'_>, i: &Inputs<'_>) -> Option<f64> {
    let id = row.get("id");
    match row.get("quantity") {
        "CO2 density, 1 volume" => Some(carbonation::GRAMS_BY_VOLUME),
        "stoichiometric CO2 yield" => Some(sugar(i.text).co2_yield()),
        "sugar per volume of CO2" | "published sucrose rule" => Some(grams_by_volume(sugar(i.text))),
        "worked example, Hibberd" => {
            // 4 g/L of sucrose to a volume is a yield of its own.
            let rule = PrimingSugar::Yield(carbonation::GRAMS_BY_VOLUME / 4.0);
            let (target, left) = (volumes(i.get("V_target")), volumes(i.get("residual")));
            Some(carbonation::priming_sugar(target, left, rule, litres(i.get("L")))?.grams())
        }
        "priming mass" => {
            let left = carbonation::residual(i.temperature("T"));
            let target = volumes(i.get("V_target"));
            let used = sugar(i.text("sugar").unwrap_or_default());
            Some(carbonation::priming_sugar(target, left, used, litres(i.get("L")))?.grams())
        }
        "dry malt extract per volume" => Some(grams_by_volume(PrimingSugar::Extract {
            extract: Fraction::from_parts(i.get("solids")),
            fermentability: Fraction::from_parts(i.get("RDF")),
        })),
        "CO2 per g fermented extract" => Some(carbonation::BALLING_YIELD),
        "CO2 from 0.001 SG still to ferment" => {
            Some(carbonation::carbonation_from_gravity(sg(1.012), sg(1.011)).volumes())
        }
        "hop creep CO2" => {
            let drop = Plato::from_plato(i.first_number(0));
            Some(carbonation::carbonation_from_real_extract(drop, gravity::density(sg(1.010))).volumes())
        }
        other => panic!("{id}: no quantity {other}"),
    }
}

fn pitch(id: &str, i: &Inputs<'_>) -> Option<f64> {
    let rate = PitchRate::from_million_per_ml_plato;
    Some(match id {
        "pitch-09" => {
            let wort = litres(i.first_number(1));
            yeast::cells_needed(rate(i.first_number(0)), wort, Plato::from_plato(i.first_number(2)))
                .billions()
        }
        "pitch-10" => {
            let cells = yeast::cells_needed(rate(1.0), litres(1.0), Plato::from_plato(i.first_number(1)));
            yeast::cell_density(cells, litres(1.0))?.million_per_ml()
        }
        "pitch-11" | "pitch-12" | "pitch-13" => {
            let extract = gravity::plato(sg(i.first_number(2)));
            let cells = yeast::cells_needed(rate(i.get("rate")), litres(i.first_number(1)), extract);
            let by_gram = CellsPerMass::from_billions_per_gram(i.get("cells_per_g") / 1e9);
            yeast::dry_mass(cells, by_gram)?.grams()
        }
        "pitch-14" => gravity::plato(sg(i.get("SG"))).plato(),
        _ => {
            let extract = gravity::plato(sg(i.get("SG")));
            yeast::cells_needed(rate(i.get("rate_M_per_mL_P")), litres(i.get("L")), extract).billions()
        }
    })
}

fn starter(id: &str, i: &Inputs<'_>) -> Option<f64> {
    if id == "starter-09" {
        let density = CellDensity::from_million_per_ml;
        return yeast::yield_factor(density(100.0), density(152.0), Plato::from_plato(9.0 - 2.0));
    }
    let wort = litres(i.get("L"));
    if let Some(solids) = i.find("solids") {
        let solids = Fraction::from_parts(solids);
        return Some(yeast::starter_malt_extract(wort, sg(i.get("SG")), solids)?.grams());
    }
    let start = i.billions("start");
    Some(
        match i.find("SG") {
            Some(stirred) => Starter::Stirred.grow(start, wort, gravity::extract_mass(wort, sg(stirred)))?,
            None => still(start.billions(), wort.litres())?,
        }
        .billions(),
    )
}

fn fix(id: &str, i: &Inputs<'_>) -> Option<f64> {
    let change = || {
        let both = i.numbers(1);
        (litres(i.first_number(0)), sg(both[0]), sg(*both.last().unwrap_or(&f64::NAN)))
    };
    Some(match id {
        "fix-01" => {
            let (wort, from, to) = change();
            correct::dilution(wort, from, to)?.litres()
        }
        "fix-02" => {
            let (wort, from, to) = change();
            correct::extract_to_add(wort, from, to, Fraction::from_parts(i.first_number(2)))?.mass.kg()
        }
        "fix-03" => {
            let (wort, from, to) = change();
            let rate = VolumeRate::from_litres_per_hour(i.first_number(2));
            correct::longer_boil(wort, from, to, rate)?.time.minutes()
        }
        "fix-04" => {
            let extract = gravity::extract_mass(litres(i.first_number(0)), sg(i.first_number(1)));
            gravity::gravity_of(extract, litres(i.first_number(2)))?.sg()
        }
        "fix-05" => measure::cold_volume(litres(1.0), Temperature::from_celsius(i.first_number(0))).litres(),
        _ => {
            let reading = sg(1.0);
            let read = measure::hydrometer(reading, i.temperature("T"), measure::REFERENCE, 0.0);
            read.points() - reading.points()
        }
    })
}

/// A mash tun in pounds and quarts or in kilograms and litres.
fn tun(i: &Inputs<'_>) -> MashTun {
    let grist = i.find("kg").unwrap_or_else(|| i.find("lb").unwrap_or(0.0) * POUND);
    let by_pound = i.find("qt/lb").map(|ratio| ratio * i.get("lb"));
    let quarts = i.find("qt").or(by_pound).map(|quarts| quarts * QUART);
    let liquor = i.find("L").or(quarts).unwrap_or_else(|| panic!("no liquor in {}", i.text));
    MashTun {
        grist: Mass::from_kg(grist),
        liquor: litres(liquor),
        vessel: HeatCapacity::from_kj_per_kelvin(i.find("vessel_kJ/K").unwrap_or(0.0)),
    }
}

/// A volume in the unit the row's mash is in.
fn shown(volume: Volume, i: &Inputs<'_>) -> f64 {
    if i.find("qt").is_some() { volume.litres() / QUART } else { volume.litres() }
}

fn degrees(at: Temperature, i: &Inputs<'_>) -> f64 {
    if i.text.contains("_F=") { at.fahrenheit() } else { at.celsius() }
}

fn heat(quantity: &str, i: &Inputs<'_>) -> Option<f64> {
    let none = SpecificEnergy::from_kj_per_kg(0.0);
    let moisture = || Fraction::from_parts(i.get("moisture"));
    let kw = || Power::from_kw(i.get("kW"));
    let efficiency = || Fraction::from_parts(i.get("efficiency"));
    let strike = |vessel| {
        let at =
            mash::strike_temperature(&tun(i), i.temperature("grain"), vessel, i.temperature("to"), none)?;
        Some(degrees(at, i))
    };
    let initial = |slaking| {
        let vessel = Vessel::AsHotAsLiquor;
        let at =
            mash::initial_temperature(&tun(i), i.temperature("grain"), vessel, i.temperature("at"), slaking)?;
        Some(degrees(at, i))
    };
    Some(match quantity {
        "strike" | "strike-hot-vessel" => strike(Vessel::AsHotAsLiquor)?,
        "strike-cold-vessel" => strike(Vessel::Cold { at: i.temperature("vessel") })?,
        "initial" => initial(none)?,
        "initial-slaked" => initial(mash::slaking_heat(moisture())?)?,
        "infusion" => {
            let volume = mash::infusion_volume(
                &tun(i),
                i.temperature("from"),
                i.temperature("to"),
                i.temperature("at"),
            )?;
            shown(volume, i)
        }
        "infusion-total" => {
            let mut mash = tun(i);
            let (mut from, at) = (i.temperature("from"), i.temperature("at"));
            for to in [i.temperature("to"), i.temperature("then")] {
                mash.liquor += mash::infusion_volume(&mash, from, to, at)?;
                from = to;
            }
            shown(mash.liquor, i)
        }
        "decoction" => {
            let ratio = VolumePerMass::from_litres_per_kg(i.get("thick_qt/lb") * QUART / POUND);
            let volume = mash::decoction_volume(
                &tun(i),
                i.temperature("from"),
                i.temperature("to"),
                i.temperature("at"),
                Decoction::Thick(ratio),
                TemperatureStep::from_kelvin(0.0),
            )?;
            shown(volume, i)
        }
        "decoction-mixing" => {
            let volume = mash::decoction_volume_by_mixing(
                tun(i).liquor,
                i.temperature("from"),
                i.temperature("to"),
                i.temperature("at"),
                TemperatureStep::from_kelvin(i.get("loss_K")),
            )?;
            shown(volume, i)
        }
        "ramp" => {
            let (from, to) = (i.temperature("from"), i.temperature("to"));
            let loss = Power::from_kw(i.find("loss_kW").unwrap_or(0.0));
            mash::heating_time(&tun(i), from, to, kw(), efficiency(), loss)?.minutes()
        }
        "liquor-time" => {
            let (from, to) = (i.temperature("from"), i.temperature("to"));
            mash::liquor_heating_time(tun(i).liquor, from, to, kw(), efficiency())?.minutes()
        }
        "cooling" => mash::temperature_after(
            &tun(i),
            i.temperature("from"),
            i.temperature("ambient"),
            HeatLoss::from_watts_per_kelvin(i.get("W/K")),
            Time::from_minutes(i.get("min")),
        )?
        .celsius(),
        "mash-volume" => {
            let MashTun { grist, liquor, .. } = tun(i);
            shown(mash::mash_volume(grist, liquor), i)
        }
        "hot-liquor" => {
            let cold = measure::cold_volume(litres(i.get("L")), i.temperature("at"));
            cold.litres() * mash::LIQUOR_DENSITY
        }
        "water-heat" => mash::water_specific_heat(i.temperature("at")),
        "grain-heat" => mash::grain_specific_heat(moisture()),
        "slaking" => mash::slaking_heat(moisture())?.kj_per_kg(),
        "boiling" => boiling_point(Length::from_metres(i.get("m")))?.celsius(),
        other => panic!("no quantity {other}"),
    })
}
