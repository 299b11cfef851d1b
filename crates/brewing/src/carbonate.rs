//! Carbonate in liquor: total carbonate, bicarbonate and pH from alkalinity, closed or open to the air.
//!
//! Equilibria at 25 °C with Davies activities. Ion pairs of the metals with carbonate, sulfate, hydroxide and
//! phosphate are counted, as PHREEQC does with its database. Amounts are in mmol/L, the ionic strength in
//! mol/L. Against PHREEQC over 300 liquors: within 0.015 pH closed, 0.042 open, citric acid the farthest off
//! (`tests/independent`).

use std::sync::LazyLock;

use quantity::typed::{Concentration, Equivalents, Ph, Temperature};

use crate::acid::{Acid, protons_with};
use crate::source::{Basis, Source};
use crate::validity::Range;
use crate::water::{Ion, Water};

/// Carbonate equilibria.
pub const CARBONATE: Source = Source::new(
    "carbonate equilibria",
    "Charge balance of carbonate, water and acids at 25 °C with Davies activities; constants of Plummer and \
     Busenberg 1982 and ion pairs as in phreeqc.dat. Within 0.02 pH of PHREEQC closed, 0.05 open to the air.",
    Basis::Computed,
);
/// pH for which total carbonate and bicarbonate follow from alkalinity and pH.
pub const CARBONATE_RANGE: Range = Range::new(4.5, 9.5, CARBONATE);

/// First and second pKa of carbonic acid at 25 °C (Plummer & Busenberg 1982, as in `phreeqc.dat`).
const PK1: f64 = 6.352;
const PK2: f64 = 10.329;
/// Ion product of water at 25 °C.
const PKW: f64 = 13.995;
/// pKa of hydrogen sulfate at 25 °C (as in `phreeqc.dat`).
const PK_HYDROGEN_SULFATE: f64 = 1.988;
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

/// Ionic strength of a water, mol/L: half the sum of amount × charge², alkalinity counted as bicarbonate and
/// nothing as paired. Definition; any water.
#[must_use]
pub fn ionic_strength(water: &Water) -> f64 {
    let millis: f64 = Ion::ALL
        .iter()
        .map(|&ion| ion.equivalents(water.ion(ion)).meq_per_litre().abs() * ion.charge().abs())
        .sum();
    millis / 2000.0
}

/// Number of metals that pair with anions.
const METALS: usize = 4;

/// A metal as the pairs see it: its ion, its charge, and log10 of its association constants at 25 °C and no
/// ionic strength, as in `phreeqc.dat`. A pair that the database lacks is minus infinity.
struct Metal {
    ion: Ion,
    charge: f64,
    bicarbonate: f64,
    carbonate: f64,
    hydroxide: f64,
    sulfate: f64,
    /// One, two and three protons given up.
    phosphate: [f64; 3],
}

const UNPAIRED: f64 = f64::NEG_INFINITY;

const METAL: [Metal; METALS] = [
    Metal {
        ion: Ion::Calcium,
        charge: 2.0,
        bicarbonate: 1.106,
        carbonate: 3.224,
        hydroxide: 1.22,
        sulfate: 2.25,
        phosphate: [1.408, 2.739, 6.459],
    },
    Metal {
        ion: Ion::Magnesium,
        charge: 2.0,
        bicarbonate: 1.070,
        carbonate: 2.98,
        hydroxide: 2.56,
        sulfate: 2.37,
        phosphate: [1.513, 2.87, 6.589],
    },
    Metal {
        ion: Ion::Sodium,
        charge: 1.0,
        bicarbonate: -0.25,
        carbonate: 1.27,
        hydroxide: UNPAIRED,
        sulfate: 0.7,
        phosphate: [UNPAIRED, 0.29, UNPAIRED],
    },
    Metal {
        ion: Ion::Potassium,
        charge: 1.0,
        bicarbonate: UNPAIRED,
        carbonate: UNPAIRED,
        hydroxide: UNPAIRED,
        sulfate: 0.85,
        phosphate: [UNPAIRED, 0.29, UNPAIRED],
    },
];

/// Association constants of every metal with one anion.
type Pairs = [f64; METALS];

/// Charges of the anions in the order of `Medium::pairs`.
const CHARGES: [usize; 7] = [1, 2, 1, 2, 1, 2, 3];

/// Association constants at no ionic strength, in the order of `Medium::pairs`.
static ASSOCIATION: LazyLock<[Pairs; 7]> = LazyLock::new(|| {
    std::array::from_fn(|slot| {
        METAL.each_ref().map(|metal| {
            let log = match slot {
                WITH_BICARBONATE => metal.bicarbonate,
                WITH_CARBONATE => metal.carbonate,
                WITH_HYDROXIDE => metal.hydroxide,
                WITH_SULFATE => metal.sulfate,
                step => metal.phosphate[step - WITH_PHOSPHATE],
            };
            10_f64.powf(log)
        })
    })
});

/// What of a water does not change with its pH: ionic strength, constants in concentrations, totals in mol/L.
struct Medium {
    strength: f64,
    /// Concentration of hydrogen ions over their activity.
    per_activity: f64,
    /// Acid to bicarbonate, and bicarbonate to carbonate, as products with hydrogen ions.
    first: f64,
    second: f64,
    hydroxide: f64,
    hydrogen_sulfate: f64,
    phosphoric: [f64; 3],
    pairs: [Pairs; 7],
    metals: Pairs,
    sulfate: f64,
}

// Places of the anions in `Medium::pairs`; those of phosphate follow the last.
const WITH_BICARBONATE: usize = 0;
const WITH_CARBONATE: usize = 1;
const WITH_HYDROXIDE: usize = 2;
const WITH_SULFATE: usize = 3;
const WITH_PHOSPHATE: usize = 4;

/// What is known of the carbonate of a water.
#[derive(Clone, Copy)]
enum Known {
    /// All of it, mol/L.
    Total(f64),
    /// Dissolved CO2, mol/L.
    Acid(f64),
    /// The alkalinity, Eq/L.
    Alkalinity(f64),
    /// Bicarbonate, paired or not, mol/L.
    Bicarbonate(f64),
}

/// A water at rest at a pH. Amounts in mmol/L and mEq/L.
struct Settled {
    /// CO2 with carbonic acid.
    acid: f64,
    /// Bicarbonate, free and paired.
    bicarbonate: f64,
    /// Carbonate of all kinds.
    carbon: f64,
    /// Alkalinity without the share of acids that were added.
    alkalinity: f64,
    /// Protons that a mole of phosphoric acid gives up, its pairs counted.
    phosphoric: f64,
}

impl Medium {
    fn of(water: &Water) -> Self {
        let mol = |ion: Ion| {
            (ion.equivalents(water.ion(ion)).meq_per_litre() / ion.charge().abs() / 1000.0).max(0.0)
        };
        let metals = METAL.map(|metal| mol(metal.ion));
        let sulfate = mol(Ion::Sulfate);
        let mut medium = Self {
            strength: ionic_strength(water),
            per_activity: 1.0,
            first: 0.0,
            second: 0.0,
            hydroxide: 0.0,
            hydrogen_sulfate: 0.0,
            phosphoric: [0.0; 3],
            pairs: [[0.0; METALS]; 7],
            metals,
            sulfate,
        };
        // Pairs lower the ionic strength, and it the pairs. Alkalinity stands for bicarbonate here, so that
        // the strength does not depend on the pH.
        let bicarbonate = mol(Ion::Bicarbonate);
        let others = mol(Ion::Chloride) + mol(Ion::Nitrate);
        for _ in 0..6 {
            medium.set_constants();
            let (mut free, mut anions) = (metals, [bicarbonate, sulfate]);
            for _ in 0..6 {
                for (i, free) in free.iter_mut().enumerate() {
                    let bound = medium.pairs[WITH_BICARBONATE][i] * anions[0]
                        + medium.pairs[WITH_SULFATE][i] * anions[1];
                    *free = metals[i] / (1.0 + bound);
                }
                anions = [
                    bicarbonate / (1.0 + held(&medium.pairs[WITH_BICARBONATE], &free)),
                    sulfate / (1.0 + held(&medium.pairs[WITH_SULFATE], &free)),
                ];
            }
            let mut twice = others + anions[0] + 4.0 * anions[1];
            for (i, metal) in METAL.iter().enumerate() {
                let with_bicarbonate = medium.pairs[WITH_BICARBONATE][i] * free[i] * anions[0];
                let with_sulfate = medium.pairs[WITH_SULFATE][i] * free[i] * anions[1];
                twice += free[i] * metal.charge.powi(2)
                    + with_bicarbonate * (metal.charge - 1.0).powi(2)
                    + with_sulfate * (metal.charge - 2.0).powi(2);
            }
            medium.strength = twice / 2.0;
        }
        medium.set_constants();
        medium
    }

    /// Constants in concentrations at the ionic strength.
    fn set_constants(&mut self) {
        let one = activity(self.strength, 1.0);
        let [two, three] = [one.powi(4), one.powi(9)];
        let k = |log: f64| 10_f64.powf(log);
        self.per_activity = 1.0 / one;
        // Each step leaves an anion of one charge more; hydrogen counts by its activity.
        self.first = k(-PK1) / one;
        self.second = k(-PK2) * one / two;
        self.hydroxide = k(-PKW) / one;
        self.hydrogen_sulfate = k(PK_HYDROGEN_SULFATE) * two / one;
        if let [a, b, c] = Acid::Phosphoric.pka() {
            self.phosphoric = [k(-a) / one, k(-b) * one / two, k(-c) * two / three];
        }
        // log y goes with the square of the charge: z² + y² − (z − y)² is 2zy.
        let powers: [f64; 13] = std::array::from_fn(|power| one.powi(i32::try_from(power).unwrap_or(0)));
        for (constants, (pairs, charge)) in ASSOCIATION.iter().zip(self.pairs.iter_mut().zip(CHARGES)) {
            for (i, metal) in METAL.iter().enumerate() {
                let lowered = if metal.charge == 2.0 { 4 * charge } else { 2 * charge };
                pairs[i] = constants[i] * powers[lowered];
            }
        }
    }

    /// Where the species come to rest at a pH, with phosphate (mol/L) from an acid.
    fn settle(&self, ph: Ph, known: Known, phosphate: f64) -> Settled {
        let hydrogen = 10_f64.powf(-ph.ph().clamp(-30.0, 45.0));
        let to_acid = hydrogen / self.first;
        let to_carbonate = self.second / hydrogen;
        let hydroxide = self.hydroxide / hydrogen;
        let to_hydrogen_sulfate = self.hydrogen_sulfate * hydrogen;
        // Steps of phosphoric acid over the whole acid.
        let mut step = 1.0;
        let steps = self.phosphoric.map(|k| {
            step *= k / hydrogen;
            step
        });
        let mut free = self.metals;
        let mut bicarbonate;
        let mut settled =
            Settled { acid: 0.0, bicarbonate: 0.0, carbon: 0.0, alkalinity: 0.0, phosphoric: 0.0 };
        // A pair takes little of either side: each round brings a digit or two.
        for _ in 0..60 {
            let one_and = |slot: usize| 1.0 + held(&self.pairs[slot], &free);
            let [hydrogencarbonate, carbonate] = [one_and(WITH_BICARBONATE), one_and(WITH_CARBONATE)];
            let free_sulfate = self.sulfate / (one_and(WITH_SULFATE) + to_hydrogen_sulfate);
            let base = hydroxide * one_and(WITH_HYDROXIDE)
                - hydrogen * self.per_activity
                - free_sulfate * to_hydrogen_sulfate;
            let charge = hydrogencarbonate + 2.0 * to_carbonate * carbonate;
            let whole = to_acid + hydrogencarbonate + to_carbonate * carbonate;
            bicarbonate = match known {
                Known::Total(carbon) => carbon / whole,
                Known::Acid(acid) => acid / to_acid,
                Known::Alkalinity(alkalinity) => (alkalinity - base).max(0.0) / charge,
                Known::Bicarbonate(kinds) => kinds / hydrogencarbonate,
            };
            let weights: [f64; 3] = std::array::from_fn(|i| steps[i] * one_and(WITH_PHOSPHATE + i));
            let all: f64 = 1.0 + weights.iter().sum::<f64>();
            let [mut given, mut moved] = [0.0, 0.0];
            for (count, weight) in [1.0, 2.0, 3.0].into_iter().zip(weights) {
                given += count * weight / all;
            }
            let anions = [
                bicarbonate,
                bicarbonate * to_carbonate,
                hydroxide,
                free_sulfate,
                phosphate * steps[0] / all,
                phosphate * steps[1] / all,
                phosphate * steps[2] / all,
            ];
            for (i, (free, all)) in free.iter_mut().zip(self.metals).enumerate() {
                let bound: f64 = self.pairs.iter().zip(anions).map(|(pairs, anion)| pairs[i] * anion).sum();
                let now = all / (1.0 + bound);
                moved = f64::max(moved, (*free - now).abs() / now.max(f64::MIN_POSITIVE));
                *free = now;
            }
            settled = Settled {
                acid: bicarbonate * to_acid * 1000.0,
                bicarbonate: bicarbonate * hydrogencarbonate * 1000.0,
                carbon: bicarbonate * whole * 1000.0,
                alkalinity: (bicarbonate * charge + base) * 1000.0,
                phosphoric: given,
            };
            if moved <= 1e-13 {
                break;
            }
        }
        settled
    }

    /// Protons an acid gives up at a pH, its steps shifted by the ionic strength.
    fn protons(&self, acid: Acid, settled: &Settled, ph: Ph) -> f64 {
        if acid == Acid::Phosphoric {
            return settled.phosphoric;
        }
        // Step i goes from charge i to i + 1: the shift is the difference of the squares.
        let shifted = acid
            .pka()
            .iter()
            .zip(0_u8..)
            .map(|(pka, step)| pka - DEBYE * davies(self.strength) * (2.0 * f64::from(step) + 1.0));
        protons_with(shifted, ph)
    }
}

/// Sum over the metals of constant × free concentration: what is paired for one that is not.
fn held(pairs: &Pairs, free: &Pairs) -> f64 {
    pairs.iter().zip(free).map(|(k, free)| k * free).sum()
}

/// Alkalinity, mEq/L, that a water has once its total carbonate (mmol/L) is at a pH.
pub(crate) fn alkalinity_at(water: &Water, carbon: f64, ph: Ph) -> f64 {
    Medium::of(water).settle(ph, Known::Total(carbon / 1000.0), 0.0).alkalinity
}

/// The carbonate of a water as its alkalinity and pH tell it.
fn analysed(water: &Water, medium: &Medium) -> Settled {
    medium.settle(water.ph, Known::Alkalinity(water.alkalinity.meq_per_litre() / 1000.0), 0.0)
}

/// Total carbonate of a water from its alkalinity and pH, mmol/L.
///
/// Source: [`CARBONATE`]. 0 when alkalinity and pH leave room for none. Valid in [`CARBONATE_RANGE`].
#[must_use]
pub fn total_carbonate(water: &Water) -> f64 {
    let carbon = analysed(water, &Medium::of(water)).carbon;
    if carbon.is_finite() { carbon } else { 0.0 }
}

/// The bicarbonate ion, whether a metal accompanies it or not.
///
/// Source: [`CARBONATE`]. Valid in [`CARBONATE_RANGE`]. Alkalinity × 1.2193 is good to 2.5 % up to pH 8.3 and
/// 12 % too high at 9. 0 where alkalinity and pH leave none.
#[must_use]
pub fn bicarbonate(water: &Water) -> Concentration {
    let mmol = analysed(water, &Medium::of(water)).bicarbonate;
    let mmol = if mmol.is_finite() { mmol } else { 0.0 };
    Ion::Bicarbonate.concentration(Equivalents::from_meq_per_litre(mmol))
}

/// Free CO2 with carbonic acid, mmol/L. Source: [`CARBONATE`]; valid in [`CARBONATE_RANGE`].
#[must_use]
pub fn carbonic_acid(water: &Water) -> f64 {
    let acid = analysed(water, &Medium::of(water)).acid;
    if acid.is_finite() { acid } else { 0.0 }
}

/// Alkalinity of a water that was given its bicarbonate and pH: the inverse of [`bicarbonate`].
///
/// Source: [`CARBONATE`]. Valid in [`CARBONATE_RANGE`].
#[must_use]
pub fn alkalinity_from_bicarbonate(bicarbonate: Concentration, water: &Water) -> Equivalents {
    let kinds = Known::Bicarbonate(Ion::Bicarbonate.equivalents(bicarbonate).meq_per_litre() / 1000.0);
    let mut with = *water;
    for _ in 0..8 {
        // The ionic strength counts the alkalinity that is sought.
        let found = Medium::of(&with).settle(water.ph, kinds, 0.0).alkalinity;
        with.alkalinity = Equivalents::from_meq_per_litre(found);
    }
    with.alkalinity
}

/// Root of a rising function between pH 0 and 14: halves the interval, then draws secants (Illinois rule).
fn ph_where_zero(rising: impl Fn(f64) -> f64) -> Option<Ph> {
    const HALVINGS: usize = 5;
    const ARRIVED: f64 = 1e-12;
    let (mut low, mut high) = (0.0_f64, 14.0_f64);
    let (mut below, mut above) = (rising(low), rising(high));
    if !(below <= 0.0 && above >= 0.0) {
        return None;
    }
    let (mut last, mut moved_low) = (f64::NAN, None);
    for round in 0..120 {
        let secant = low - below * (high - low) / (above - below);
        let here = if round < HALVINGS || !(secant > low && secant < high) {
            f64::midpoint(low, high)
        } else {
            secant
        };
        let there = rising(here);
        let is_low = there < 0.0;
        // The end that stays is halved, so that a curve that is flat on one side cannot hold it up.
        let stayed = if round > HALVINGS && moved_low == Some(is_low) { 0.5 } else { 1.0 };
        if is_low {
            (low, below, above) = (here, there, above * stayed);
        } else {
            (high, above, below) = (here, there, below * stayed);
        }
        if there == 0.0 || high - low < ARRIVED || (here - last).abs() < ARRIVED {
            return Some(Ph::from_ph(here));
        }
        (last, moved_low) = (here, Some(is_low));
    }
    Some(Ph::from_ph(f64::midpoint(low, high)))
}

/// pH of a water from its alkalinity and total carbonate (mmol/L).
///
/// `None` when it would lie outside 0 to 14 or a value is no number.
#[must_use]
pub(crate) fn ph_closed(water: &Water, carbon: f64) -> Option<Ph> {
    let medium = Medium::of(water);
    let alkalinity = water.alkalinity.meq_per_litre();
    let known = Known::Total(carbon / 1000.0);
    ph_where_zero(|ph| medium.settle(Ph::from_ph(ph), known, 0.0).alkalinity - alkalinity)
}

/// What holds the carbonate of a water: its own, or the CO2 of the air.
fn carbonate_under(water: &Water, medium: &Medium, air: Air) -> Known {
    match air {
        Air::Closed => Known::Total(analysed(water, medium).carbon / 1000.0),
        Air::Open { log_pressure } => Known::Acid(10_f64.powf(LOG_HENRY + log_pressure)),
    }
}

/// pH of a water after acids, each in mmol/L.
///
/// Source: [`CARBONATE`]. Acids already in the
/// water count only by the alkalinity they took: give all acids of a vessel in one call. `None` when the pH
/// would lie outside 0 to 14 or a value is no number.
#[must_use]
pub fn ph_with_acids(water: &Water, acids: &[(Acid, f64)], air: Air) -> Option<Ph> {
    let medium = Medium::of(water);
    let known = carbonate_under(water, &medium, air);
    let alkalinity = water.alkalinity.meq_per_litre();
    let phosphate: f64 =
        acids.iter().filter(|(acid, _)| *acid == Acid::Phosphoric).map(|(_, mmol)| mmol).sum();
    ph_where_zero(|ph| {
        let ph = Ph::from_ph(ph);
        let settled = medium.settle(ph, known, phosphate / 1000.0);
        let given: f64 = acids.iter().map(|&(acid, mmol)| mmol * medium.protons(acid, &settled, ph)).sum();
        settled.alkalinity + given - alkalinity
    })
}

/// Acid, in mmol/L, that brings a water to a pH.
///
/// The inverse of [`ph_with_acids`]. Source: [`CARBONATE`]. Negative when the water is already below the target:
/// that much base of the same charge is wanting. `None` where the acid gives no proton or a value is no
/// number.
#[must_use]
pub fn acid_for(water: &Water, acid: Acid, target: Ph, air: Air) -> Option<f64> {
    let medium = Medium::of(water);
    let known = carbonate_under(water, &medium, air);
    let mut mmol = 0.0_f64;
    // Phosphate pairs with the metals of the water, so that its share depends on the dose.
    let rounds = if acid == Acid::Phosphoric { 40 } else { 1 };
    for _ in 0..rounds {
        let settled = medium.settle(target, known, (mmol / 1000.0).max(0.0));
        let demand = water.alkalinity.meq_per_litre() - settled.alkalinity;
        mmol = demand / medium.protons(acid, &settled, target);
    }
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
        let ph = ph_where_zero(|ph| -state(strength, Ph::from_ph(ph)).0)?;
        let (_, now, next) = state(strength, ph);
        dissolved = now;
        strength = next;
    }
    let mmol = dissolved * 1000.0;
    mmol.is_finite().then_some(mmol)
}
