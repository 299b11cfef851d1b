//! Carbonate in liquor: total carbonate, bicarbonate and pH from alkalinity, closed or open to the air.
//!
//! Equilibria at 25 °C with Davies activities and no ion pairs but where said. Amounts are in mmol/L, the
//! ionic strength in mol/L. Against PHREEQC: within 0.01 pH for lactic, hydrochloric and citric acid in a
//! closed water, 0.04 for phosphoric, 0.05 open (computed).

use quantity::typed::{Concentration, Equivalents, Ph, Temperature};

use crate::acid::{Acid, protons_with};
use crate::source::{Basis, Source};
use crate::validity::Range;
use crate::water::{Ion, Water};

/// Carbonate equilibria.
pub const CARBONATE: Source = Source::new(
    "carbonate equilibria",
    "Charge balance of carbonate, water and acids at 25 °C with Davies activities; constants of Plummer and \
     Busenberg 1982 as in phreeqc.dat. Within 0.01 pH of PHREEQC closed, 0.05 open to the air.",
    Basis::Computed,
);
/// pH for which total carbonate and bicarbonate follow from alkalinity and pH.
pub const CARBONATE_RANGE: Range = Range::new(4.5, 9.5, CARBONATE);

/// First and second pKa of carbonic acid at 25 °C (Plummer & Busenberg 1982, as in `phreeqc.dat`).
const PK1: f64 = 6.352;
const PK2: f64 = 10.329;
/// Ion product of water at 25 °C.
const PKW: f64 = 13.995;
/// log of the solubility of CO2, mol/(L·atm), 25 °C.
const LOG_HENRY: f64 = -1.468;
/// Debye-Hückel slope at 25 °C.
const DEBYE: f64 = 0.509;

/// Whether CO2 can come and go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Air {
    /// All CO2 stays: what a meter shows just after dosing.
    Closed,
    /// In balance with a gas that holds CO2 at this pressure: after standing hot, or after boiling.
    Open {
        /// log10 of the pressure of CO2 in atm.
        log_pressure: f64,
    },
}

impl Air {
    /// Open to the outside air: 415 ppm of CO2.
    pub const ATMOSPHERE: Self = Self::Open { log_pressure: -3.382 };
}

/// log10 of the activity coefficient of a single charge, in the Davies form with a slope of 0.5.
#[must_use]
pub(crate) fn log_activity_coefficient(ionic_strength: f64) -> f64 {
    -0.5 * davies(ionic_strength)
}

fn davies(ionic_strength: f64) -> f64 {
    // The form turns back above about 0.5 mol/L, where no liquor is.
    let strength = ionic_strength.clamp(0.0, 0.5);
    let root = strength.sqrt();
    root / (1.0 + root) - 0.3 * strength
}

/// Activity coefficient of an ion of this charge.
fn activity(ionic_strength: f64, charge: f64) -> f64 {
    10_f64.powf(-DEBYE * charge * charge * davies(ionic_strength))
}

/// Ionic strength of a water, mol/L: half the sum of amount × charge², alkalinity counted as bicarbonate.
/// Definition; any water.
#[must_use]
pub fn ionic_strength(water: &Water) -> f64 {
    let millis: f64 = Ion::ALL
        .iter()
        .map(|&ion| ion.equivalents(water.ion(ion)).meq_per_litre().abs() * ion.charge().abs())
        .sum();
    millis / 2000.0
}

/// Shares of carbonate at a pH.
struct Shares {
    /// Carbonic acid with dissolved CO2.
    acid: f64,
    bicarbonate: f64,
    carbonate: f64,
}

impl Shares {
    fn at(strength: f64, ph: Ph) -> Self {
        let (one, two) = (activity(strength, 1.0), activity(strength, 2.0));
        let first = 10_f64.powf((ph.ph() - PK1).clamp(-30.0, 30.0)) / one;
        let second = first * 10_f64.powf((ph.ph() - PK2).clamp(-30.0, 30.0)) * one / two;
        let whole = 1.0 + first + second;
        Self { acid: 1.0 / whole, bicarbonate: first / whole, carbonate: second / whole }
    }

    /// Charge by mole.
    fn charge(&self) -> f64 {
        self.bicarbonate + 2.0 * self.carbonate
    }
}

/// Hydroxide less hydrogen ions, mmol/L.
fn free_base(strength: f64, ph: Ph) -> f64 {
    let one = activity(strength, 1.0);
    let p = ph.ph().clamp(-30.0, 45.0);
    (10_f64.powf(p - PKW) - 10_f64.powf(-p)) * 1000.0 / one
}

/// Alkalinity, mEq/L, that total carbonate of this amount has at a pH.
pub(crate) fn alkalinity_at(strength: f64, carbon: f64, ph: Ph) -> f64 {
    carbon * Shares::at(strength, ph).charge() + free_base(strength, ph)
}

/// Total carbonate of a water from its alkalinity and pH, mmol/L.
///
/// Source: [`CARBONATE`]. 0 when alkalinity and pH leave room for none. Valid in [`CARBONATE_RANGE`].
#[must_use]
pub fn total_carbonate(water: &Water) -> f64 {
    let strength = ionic_strength(water);
    let carbon = (water.alkalinity.meq_per_litre() - free_base(strength, water.ph))
        / Shares::at(strength, water.ph).charge();
    if carbon.is_finite() { carbon.max(0.0) } else { 0.0 }
}

/// The free bicarbonate ion: `(Alk − [OH] + [H]) / (1 + 2·K2'/a_H)`.
///
/// Source: [`CARBONATE`]. Valid in [`CARBONATE_RANGE`]. Alkalinity × 1.2193 is good to 2.5 % up to pH 8.3 and
/// 12 % too high at 9. 0 where alkalinity and pH leave none.
#[must_use]
pub fn bicarbonate(water: &Water) -> Concentration {
    let shares = Shares::at(ionic_strength(water), water.ph);
    let mmol = total_carbonate(water) * shares.bicarbonate;
    Ion::Bicarbonate.concentration(Equivalents::from_meq_per_litre(mmol))
}

/// Free CO2 with carbonic acid, mmol/L. Source: [`CARBONATE`]; valid in [`CARBONATE_RANGE`].
#[must_use]
pub fn carbonic_acid(water: &Water) -> f64 {
    total_carbonate(water) * Shares::at(ionic_strength(water), water.ph).acid
}

/// Alkalinity of a water that was given its free bicarbonate and pH: the inverse of [`bicarbonate`].
///
/// Source: [`CARBONATE`]. Valid in [`CARBONATE_RANGE`].
#[must_use]
pub fn alkalinity_from_bicarbonate(bicarbonate: Concentration, water: &Water) -> Equivalents {
    let mmol = Ion::Bicarbonate.equivalents(bicarbonate).meq_per_litre();
    let mut with = *water;
    for _ in 0..8 {
        // The ionic strength counts the alkalinity that is sought.
        let strength = ionic_strength(&with);
        let shares = Shares::at(strength, water.ph);
        let carbon = mmol / shares.bicarbonate;
        with.alkalinity =
            Equivalents::from_meq_per_litre(carbon * shares.charge() + free_base(strength, water.ph));
    }
    with.alkalinity
}

/// Root of a rising function between pH 0 and 14 by bisection.
fn ph_where_zero(rising: impl Fn(Ph) -> f64) -> Option<Ph> {
    let (mut low, mut high) = (0.0_f64, 14.0_f64);
    if !(rising(Ph::from_ph(low)) <= 0.0 && rising(Ph::from_ph(high)) >= 0.0) {
        return None;
    }
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if rising(Ph::from_ph(middle)) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(Ph::from_ph((low + high) / 2.0))
}

/// pH of a water from its alkalinity and total carbonate (mmol/L).
///
/// `None` when it would lie outside 0 to 14 or a value is no number.
#[must_use]
pub(crate) fn ph_closed(water: &Water, carbon: f64) -> Option<Ph> {
    let strength = ionic_strength(water);
    let alkalinity = water.alkalinity.meq_per_litre();
    ph_where_zero(|ph| alkalinity_at(strength, carbon, ph) - alkalinity)
}

/// Carbonate alkalinity at a pH, with the CO2 of the air where it is open.
fn species_alkalinity(strength: f64, carbon: f64, air: Air, ph: Ph) -> f64 {
    let carbon = match air {
        Air::Closed => carbon,
        Air::Open { log_pressure } => {
            10_f64.powf(LOG_HENRY + log_pressure) * 1000.0 / Shares::at(strength, ph).acid
        }
    };
    alkalinity_at(strength, carbon, ph)
}

/// Protons an acid gives up at a pH, its steps shifted by the ionic strength.
fn protons(acid: Acid, strength: f64, ph: Ph) -> f64 {
    // Step i goes from charge i to i + 1: the shift is the difference of the squares.
    let shifted = acid
        .pka()
        .iter()
        .zip(0_u8..)
        .map(|(pka, step)| pka - DEBYE * davies(strength) * (2.0 * f64::from(step) + 1.0));
    protons_with(shifted, ph)
}

/// pH of a water after acids, each in mmol/L.
///
/// Source: [`CARBONATE`]. Acids already in the
/// water count only by the alkalinity they took: give all acids of a vessel in one call. `None` when the pH
/// would lie outside 0 to 14 or a value is no number.
#[must_use]
pub fn ph_with_acids(water: &Water, acids: &[(Acid, f64)], air: Air) -> Option<Ph> {
    let strength = ionic_strength(water);
    let carbon = total_carbonate(water);
    let alkalinity = water.alkalinity.meq_per_litre();
    ph_where_zero(|ph| {
        let given: f64 = acids.iter().map(|&(acid, mmol)| mmol * protons(acid, strength, ph)).sum();
        species_alkalinity(strength, carbon, air, ph) + given - alkalinity
    })
}

/// Acid, in mmol/L, that brings a water to a pH.
///
/// The inverse of [`ph_with_acids`] in closed form. Source: [`CARBONATE`]. Negative when the water is already below the target:
/// that much base of the same charge is wanting. `None` where the acid gives no proton or a value is no
/// number.
#[must_use]
pub fn acid_for(water: &Water, acid: Acid, target: Ph, air: Air) -> Option<f64> {
    let strength = ionic_strength(water);
    let demand =
        water.alkalinity.meq_per_litre() - species_alkalinity(strength, total_carbonate(water), air, target);
    let mmol = demand / protons(acid, strength, target);
    mmol.is_finite().then_some(mmol)
}

/// Gypsum dissolved at saturation in pure water, mmol/L.
pub(crate) fn gypsum_saturation(at: Temperature) -> Option<f64> {
    let kelvin = at.celsius() + 273.15;
    let product = 10_f64.powf(68.2401 - 3221.51 / kelvin - 25.0627 * kelvin.log10());
    // van 't Hoff from 25 °C with 1.325 kcal/mol.
    let pair = 10_f64.powf(2.25 - 1325.0 * 4.184 / (8.314_46 * 10_f64.ln()) * (1.0 / kelvin - 1.0 / 298.15));
    let mut free = product.sqrt();
    for _ in 0..60 {
        // Truesdell-Jones: gypsum is where Davies would be 6 % too high.
        let strength = 4.0 * free;
        let root = strength.sqrt();
        let log = -4.0 * DEBYE * root / (1.0 + 0.3286 * 5.0 * root) + (0.165 - 0.04) / 2.0 * strength;
        free = product.sqrt() / 10_f64.powf(log);
    }
    let mmol = (free + pair * product) * 1000.0;
    mmol.is_finite().then_some(mmol)
}

/// Calcite dissolved at saturation in pure water at 25 °C, mmol/L.
pub(crate) fn calcite_saturation(air: Air) -> Option<f64> {
    const PRODUCT: f64 = -8.48;
    const PAIR: f64 = 3.224;
    const BICARBONATE_PAIR: f64 = 11.435 - PK2;
    // Activities: the free ions at a pH, then the charge they leave over.
    let state = |strength: f64, ph: Ph| {
        let (one, two) = (activity(strength, 1.0), activity(strength, 2.0));
        let hydrogen = 10_f64.powf(-ph.ph());
        let to_bicarbonate = hydrogen / 10_f64.powf(-PK2);
        let to_acid = to_bicarbonate * hydrogen / 10_f64.powf(-PK1);
        let carbonate = match air {
            Air::Open { log_pressure } => 10_f64.powf(LOG_HENRY + log_pressure) / to_acid,
            // What is not paired balances: as much free calcium as free carbonate of all kinds.
            Air::Closed => {
                let kinds = 1.0 / two + to_bicarbonate / one + to_acid;
                (10_f64.powf(PRODUCT) / two / kinds).sqrt()
            }
        };
        let calcium = 10_f64.powf(PRODUCT) / carbonate;
        let bicarbonate = carbonate * to_bicarbonate;
        let paired = 10_f64.powf(BICARBONATE_PAIR) * calcium * bicarbonate / one;
        let neutral = 10_f64.powf(PAIR) * calcium * carbonate;
        let hydroxide = 10_f64.powf(-PKW) / hydrogen;
        let surplus = 2.0 * calcium / two + paired + hydrogen / one
            - bicarbonate / one
            - 2.0 * carbonate / two
            - hydroxide / one;
        let dissolved = calcium / two + paired + neutral;
        (surplus, dissolved, 3.0 * calcium / two)
    };
    let mut strength = 0.0;
    let mut dissolved = 0.0;
    for _ in 0..30 {
        let ph = ph_where_zero(|ph| -state(strength, ph).0)?;
        let (_, now, next) = state(strength, ph);
        dissolved = now;
        strength = next;
    }
    let mmol = dissolved * 1000.0;
    mmol.is_finite().then_some(mmol)
}
