//! Brewing liquor: ions, alkalinity and pH; salts by stoichiometry; blending; whether a report adds up.
//!
//! A water is its ions, its alkalinity and its pH; bicarbonate follows from the last two (module
//! `carbonate`) and is never kept alone. Concentrations are in mg/L, alkalinity and charge in mEq/L.

use quantity::typed::{
    Amount, Concentration, Conductivity, Density, Equivalents, Fraction, Mass, Ph, Temperature, Volume,
};

use crate::acid::Acid;
use crate::carbonate;
use crate::source::{Basis, Source};
use crate::table::interpolate;
use crate::validity::Range;

/// Ions of salts.
pub const STOICHIOMETRY: Source = Source::new(
    "stoichiometry",
    "Stoichiometry with the IUPAC standard atomic weights of 2021.",
    Basis::Computed,
);
/// Residual alkalinity.
pub const KOLBACH: Source = Source::new(
    "Kolbach 1953",
    "Kolbach 1953, as quoted by Troester 2009: residual alkalinity = alkalinity - Ca/3.5 - Mg/7, in equivalents.",
    Basis::Published,
);
/// Whether a water report adds up.
pub const STANDARD_METHODS_1030E: Source = Source::new(
    "Standard Methods 1030E",
    "Standard Methods for the Examination of Water and Wastewater, 1030E: charge balance within 0.2 mEq/L up to \
     3 mEq/L of anions, 2 % up to 10, 5 % above; measured over computed solids 1.0 to 1.2.",
    Basis::FromMemory,
);
/// Conductivity from the ions.
pub const STANDARD_METHODS_2510: Source = Source::new(
    "Standard Methods 2510",
    "Standard Methods 2510: limiting ionic conductivities times the square of the activity coefficient.",
    Basis::FromMemory,
);
/// Boiling off hardness.
pub const BOILING: Source = Source::new(
    "boiling off hardness",
    "Calcium and bicarbonate leave as chalk 2:1 by amount down to about 1 mEq/L, as PHREEQC gives it for \
     realistic supersaturation; the end point is also a forum's.",
    Basis::Computed,
);
/// Softening with lime.
pub const LIME: Source = Source::new(
    "lime softening",
    "Stoichiometry of lime softening, free CO2 and half the alkalinity to the minimum; PHREEQC agrees. Giving \
     90 to 95 % of it is common practice.",
    Basis::Computed,
);
/// Chlorine by metabisulfite.
pub const DECHLORINATION: Source = Source::new(
    "chlorine by metabisulfite",
    "Stoichiometry after A. J. deLange, mailing-list digest 5793: one hydrogen sulfite to a Cl2; a 1.3-fold dose \
     is common practice.",
    Basis::Published,
);
/// What dissolves.
pub const SOLUBILITY: Source = Source::new(
    "solubility of gypsum and chalk",
    "Solubility products and ion pairs as in phreeqc.dat, from memory; within 3 % of PHREEQC.",
    Basis::FromMemory,
);
/// Density of calcium chloride solutions.
pub const CALCIUM_CHLORIDE_DENSITY: Source = Source::new(
    "CRC densities, calcium chloride",
    "CRC Handbook, concentrative properties of aqueous solutions: calcium chloride at 20 °C.",
    Basis::FromMemory,
);

/// Measured over computed dissolved solids of a sound report.
pub const TDS_RATIO_RANGE: Range = Range::new(1.0, 1.2, STANDARD_METHODS_1030E);
/// Temperatures, °C, of the solubility of gypsum.
pub const GYPSUM_RANGE: Range = Range::new(0.0, 40.0, SOLUBILITY);
/// Strengths, parts of one, of the densities of calcium chloride solutions.
pub const CALCIUM_CHLORIDE_RANGE: Range = Range::new(0.0, 0.40, CALCIUM_CHLORIDE_DENSITY);

/// Atomic masses, g/mol: IUPAC standard atomic weights 2021, conventional values (published).
pub mod atom {
    /// Hydrogen.
    pub const H: f64 = 1.008;
    /// Carbon.
    pub const C: f64 = 12.011;
    /// Nitrogen.
    pub const N: f64 = 14.007;
    /// Oxygen.
    pub const O: f64 = 15.999;
    /// Sodium.
    pub const NA: f64 = 22.989_769_28;
    /// Magnesium.
    pub const MG: f64 = 24.305;
    /// Phosphorus.
    pub const P: f64 = 30.973_761_998;
    /// Sulfur.
    pub const S: f64 = 32.06;
    /// Chlorine.
    pub const CL: f64 = 35.45;
    /// Potassium.
    pub const K: f64 = 39.0983;
    /// Calcium.
    pub const CA: f64 = 40.078;
}

use atom::{C, CA, CL, H, K, MG, N, NA, O, S};

/// Molar mass of calcium carbonate, g/mol.
pub const CALCIUM_CARBONATE: f64 = CA + C + 3.0 * O;

/// Calcium that a mash balance counts for one of alkalinity, by equivalents. Source: [`KOLBACH`].
pub const KOLBACH_CALCIUM: f64 = 3.5;
/// Magnesium that a mash balance counts for one of alkalinity, by equivalents. Source: [`KOLBACH`].
pub const KOLBACH_MAGNESIUM: f64 = 7.0;

/// A dissolved ion that brewers count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ion {
    /// Ca²⁺.
    Calcium,
    /// Mg²⁺.
    Magnesium,
    /// Na⁺.
    Sodium,
    /// K⁺.
    Potassium,
    /// Cl⁻.
    Chloride,
    /// SO₄²⁻.
    Sulfate,
    /// NO₃⁻.
    Nitrate,
    /// HCO₃⁻: the alkalinity as bicarbonate.
    Bicarbonate,
}

impl Ion {
    /// Its name, as brewers and water reports write it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Calcium => "calcium",
            Self::Magnesium => "magnesium",
            Self::Sodium => "sodium",
            Self::Potassium => "potassium",
            Self::Chloride => "chloride",
            Self::Sulfate => "sulfate",
            Self::Nitrate => "nitrate",
            Self::Bicarbonate => "bicarbonate",
        }
    }

    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Calcium,
        Self::Magnesium,
        Self::Sodium,
        Self::Potassium,
        Self::Chloride,
        Self::Sulfate,
        Self::Nitrate,
        Self::Bicarbonate,
    ];

    /// Molar mass, g/mol (IUPAC 2021 atomic masses, computed).
    #[must_use]
    pub const fn molar_mass(self) -> f64 {
        match self {
            Self::Calcium => CA,
            Self::Magnesium => MG,
            Self::Sodium => NA,
            Self::Potassium => K,
            Self::Chloride => CL,
            Self::Sulfate => S + 4.0 * O,
            Self::Nitrate => N + 3.0 * O,
            Self::Bicarbonate => H + C + 3.0 * O,
        }
    }

    /// Charge: positive for metals.
    #[must_use]
    pub const fn charge(self) -> f64 {
        match self {
            Self::Calcium | Self::Magnesium => 2.0,
            Self::Sodium | Self::Potassium => 1.0,
            Self::Chloride | Self::Nitrate | Self::Bicarbonate => -1.0,
            Self::Sulfate => -2.0,
        }
    }

    /// Charge of a concentration, without sign.
    #[must_use]
    pub fn equivalents(self, concentration: Concentration) -> Equivalents {
        Equivalents::from_meq_per_litre(
            concentration.mg_per_litre() / self.molar_mass() * self.charge().abs(),
        )
    }

    /// Concentration of a charge: the inverse of [`Ion::equivalents`].
    #[must_use]
    pub fn concentration(self, equivalents: Equivalents) -> Concentration {
        Concentration::from_mg_per_litre(
            equivalents.meq_per_litre() * self.molar_mass() / self.charge().abs(),
        )
    }

    /// Concentration from an element that a laboratory reported instead of the ion: sulfate as S, nitrate as N.
    /// Other ions are their element.
    #[must_use]
    pub fn from_element(self, element: Concentration) -> Concentration {
        match self {
            Self::Sulfate => element * (self.molar_mass() / S),
            Self::Nitrate => element * (self.molar_mass() / N),
            _ => element,
        }
    }
}

/// Alkalinity or hardness of a concentration given as calcium carbonate: 50.043 mg to the mEq (computed).
#[must_use]
pub fn from_calcium_carbonate(caco3: Concentration) -> Equivalents {
    Equivalents::from_meq_per_litre(caco3.mg_per_litre() * 2.0 / CALCIUM_CARBONATE)
}

/// Alkalinity or hardness as calcium carbonate: the inverse of [`from_calcium_carbonate`].
#[must_use]
pub fn as_calcium_carbonate(equivalents: Equivalents) -> Concentration {
    Concentration::from_mg_per_litre(equivalents.meq_per_litre() * CALCIUM_CARBONATE / 2.0)
}

/// A water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    /// Ca²⁺.
    pub calcium: Concentration,
    /// Mg²⁺.
    pub magnesium: Concentration,
    /// Na⁺.
    pub sodium: Concentration,
    /// K⁺.
    pub potassium: Concentration,
    /// Cl⁻.
    pub chloride: Concentration,
    /// SO₄²⁻.
    pub sulfate: Concentration,
    /// NO₃⁻.
    pub nitrate: Concentration,
    /// Alkalinity; negative once more acid was added than the water can take up.
    pub alkalinity: Equivalents,
    /// pH at room temperature.
    pub ph: Ph,
}

impl Water {
    /// Water without anything dissolved.
    pub const ION_FREE: Self = Self {
        calcium: Concentration::from_mg_per_litre(0.0),
        magnesium: Concentration::from_mg_per_litre(0.0),
        sodium: Concentration::from_mg_per_litre(0.0),
        potassium: Concentration::from_mg_per_litre(0.0),
        chloride: Concentration::from_mg_per_litre(0.0),
        sulfate: Concentration::from_mg_per_litre(0.0),
        nitrate: Concentration::from_mg_per_litre(0.0),
        alkalinity: Equivalents::from_meq_per_litre(0.0),
        ph: Ph::from_ph(7.0),
    };

    /// The concentration of an ion. Bicarbonate is the whole alkalinity written as bicarbonate, which is what
    /// brewers and water reports call so; the free ion is [`carbonate::bicarbonate`].
    #[must_use]
    pub fn ion(&self, ion: Ion) -> Concentration {
        match ion {
            Ion::Calcium => self.calcium,
            Ion::Magnesium => self.magnesium,
            Ion::Sodium => self.sodium,
            Ion::Potassium => self.potassium,
            Ion::Chloride => self.chloride,
            Ion::Sulfate => self.sulfate,
            Ion::Nitrate => self.nitrate,
            Ion::Bicarbonate => ion.concentration(self.alkalinity),
        }
    }

    /// The same water with another concentration of an ion; pH is left as it is.
    #[must_use]
    pub fn with_ion(mut self, ion: Ion, concentration: Concentration) -> Self {
        match ion {
            Ion::Calcium => self.calcium = concentration,
            Ion::Magnesium => self.magnesium = concentration,
            Ion::Sodium => self.sodium = concentration,
            Ion::Potassium => self.potassium = concentration,
            Ion::Chloride => self.chloride = concentration,
            Ion::Sulfate => self.sulfate = concentration,
            Ion::Nitrate => self.nitrate = concentration,
            Ion::Bicarbonate => self.alkalinity = ion.equivalents(concentration),
        }
        self
    }

    /// Every number is one.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        Ion::ALL.iter().all(|&ion| self.ion(ion).is_finite()) && self.ph.is_finite()
    }

    /// The water after salts are dissolved in it, with its pH computed anew and no CO2 lost or taken up.
    ///
    /// Ions and alkalinity by stoichiometry ([`Salt`]); every salt dissolves whole, chalk too: ask
    /// [`chalk_solubility`] and [`gypsum_solubility`]. `None` without volume or with values that are no
    /// numbers; a pH that cannot be found (beyond 0 to 14) likewise.
    #[must_use]
    pub fn with_salts(&self, salts: &[(Salt, Mass)], volume: Volume) -> Option<Self> {
        let litres = volume.litres();
        if !(litres.is_finite() && litres > 0.0) {
            return None;
        }
        let mut water = *self;
        let mut carbon = carbonate::total_carbonate(self);
        for &(salt, mass) in salts {
            let grams_per_litre = mass.grams() / litres;
            for &ion in salt.ions() {
                let more = water.ion(ion) + salt.contribution(ion) * grams_per_litre;
                water = water.with_ion(ion, more);
            }
            water.alkalinity += salt.alkalinity() * grams_per_litre;
            carbon += salt.carbonate() * grams_per_litre;
        }
        water.ph = carbonate::ph_closed(&water, carbon)?;
        water.is_finite().then_some(water)
    }

    /// The water after acids are added: their chloride and sulfate, the charge they give up, the new pH.
    ///
    /// Source: [`carbonate::CARBONATE`]. No CO2 is lost. Alkalinity falls by the acid's charge at the new pH and may become negative. `None` as
    /// for [`Water::with_salts`].
    #[must_use]
    pub fn with_acids(&self, acids: &[(Acid, Amount)], volume: Volume) -> Option<Self> {
        let litres = volume.litres();
        if !(litres.is_finite() && litres > 0.0) {
            return None;
        }
        let dose: Vec<(Acid, f64)> = acids.iter().map(|&(acid, n)| (acid, n.mmol() / litres)).collect();
        let ph = carbonate::ph_with_acids(self, &dose, carbonate::Air::Closed)?;
        let mut water = *self;
        for &(acid, mmol) in &dose {
            if let Some(ion) = acid.ion() {
                let more = water.ion(ion) + Concentration::from_mg_per_litre(mmol * ion.molar_mass());
                water = water.with_ion(ion, more);
            }
            water.alkalinity = water.alkalinity - Equivalents::from_meq_per_litre(mmol * acid.protons(ph));
        }
        water.ph = ph;
        water.is_finite().then_some(water)
    }

    /// Alkalinity after acids at a pH, mEq/L: less the charge they give up there. Negative where they give more
    /// than the water takes up, as in a mash, whose pH to give here is the mash's.
    ///
    /// Source: [`crate::acid::DISSOCIATION`]. `None` without volume.
    #[must_use]
    pub fn alkalinity_after(&self, acids: &[(Acid, Amount)], volume: Volume, ph: Ph) -> Option<Equivalents> {
        let given: f64 = acids.iter().map(|&(acid, amount)| acid.charge(amount, ph).meq()).sum();
        let left = self.alkalinity - Equivalents::from_meq_per_litre(given / volume.litres());
        (volume.litres() > 0.0 && left.is_finite()).then_some(left)
    }

    /// Waters mixed by share of the whole volume.
    ///
    /// Ions, alkalinity and total carbonate mix linearly, pH is computed from them (computed). Shares are
    /// taken relative to their sum. `None` when no share is positive or one is negative.
    #[must_use]
    pub fn blend(parts: &[(Fraction, Self)]) -> Option<Self> {
        let whole: f64 = parts.iter().map(|(share, _)| share.parts()).sum();
        let sound = parts.iter().all(|(share, _)| share.parts() >= 0.0);
        if !(sound && whole.is_finite() && whole > 0.0) {
            return None;
        }
        let mut water = Self::ION_FREE;
        let mut carbon = 0.0;
        for (share, part) in parts {
            let share = share.parts() / whole;
            for ion in Ion::ALL {
                water = water.with_ion(ion, water.ion(ion) + part.ion(ion) * share);
            }
            carbon += carbonate::total_carbonate(part) * share;
        }
        water.ph = carbonate::ph_closed(&water, carbon)?;
        water.is_finite().then_some(water)
    }

    /// Residual alkalinity: `Alk − Ca/3.5 − Mg/7` in equivalents.
    ///
    /// Source: [`KOLBACH`]. Any water.
    #[must_use]
    pub fn residual_alkalinity(&self) -> Equivalents {
        self.alkalinity
            - Ion::Calcium.equivalents(self.calcium) / KOLBACH_CALCIUM
            - Ion::Magnesium.equivalents(self.magnesium) / KOLBACH_MAGNESIUM
    }

    /// Hardness: calcium and magnesium, mEq/L. Definition; any water.
    #[must_use]
    pub fn hardness(&self) -> Equivalents {
        Ion::Calcium.equivalents(self.calcium) + Ion::Magnesium.equivalents(self.magnesium)
    }

    /// Sulfate to chloride by mass. `None` without chloride.
    ///
    /// Says little below about [`RATIO_FLOOR`] of each (common practice, no source).
    #[must_use]
    pub fn sulfate_to_chloride(&self) -> Option<f64> {
        let ratio = self.sulfate / self.chloride;
        (self.chloride.mg_per_litre() > 0.0 && ratio.is_finite()).then_some(ratio)
    }

    /// Sums of charge, mEq/L. Definition; any water.
    #[must_use]
    pub fn charge_balance(&self) -> ChargeBalance {
        let sum = |cation: bool| {
            Ion::ALL
                .iter()
                .filter(|ion| (ion.charge() > 0.0) == cation)
                .map(|&ion| ion.equivalents(self.ion(ion)))
                .sum()
        };
        ChargeBalance { cations: sum(true), anions: sum(false) }
    }

    /// Total dissolved solids as computed: `0.6·Alk(CaCO3) + Na + K + Ca + Mg + Cl + SO4 + NO3`.
    ///
    /// Source: [`STANDARD_METHODS_1030E`]. Silica and fluoride are not kept. Measured over computed should lie in
    /// [`TDS_RATIO_RANGE`].
    #[must_use]
    pub fn dissolved_solids(&self) -> Concentration {
        Ion::ALL
            .iter()
            .map(|&ion| match ion {
                Ion::Bicarbonate => as_calcium_carbonate(self.alkalinity) * 0.6,
                _ => self.ion(ion),
            })
            .sum()
    }

    /// Estimate of the conductivity at 25 °C: `y²·Σ λ°·mEq/L`, log y the Davies activity coefficient.
    ///
    /// Source: [`STANDARD_METHODS_2510`] (λ° of Ca 59.5, Mg 53.1, Na 50.1, K 73.5, Cl 76.4, SO4 80.0, HCO3 44.5,
    /// NO3 71.4 S·cm²/eq). Within 3 % of PHREEQC for three waters of
    /// 54 to 691 µS/cm, from 11 % below to 6 % above for a hundred of 500 to 1500 µS/cm; 13 % low for pure
    /// potassium chloride of 1413 µS/cm. Not for brines.
    #[must_use]
    pub fn conductivity(&self) -> Conductivity {
        let log_y = carbonate::log_activity_coefficient(carbonate::ionic_strength(self));
        let limit: f64 = Ion::ALL
            .iter()
            .map(|&ion| {
                let lambda = match ion {
                    Ion::Calcium => 59.5,
                    Ion::Magnesium => 53.1,
                    Ion::Sodium => 50.1,
                    Ion::Potassium => 73.5,
                    Ion::Chloride => 76.4,
                    Ion::Sulfate => 80.0,
                    Ion::Bicarbonate => 44.5,
                    Ion::Nitrate => 71.4,
                };
                lambda * ion.equivalents(self.ion(ion)).meq_per_litre()
            })
            .sum();
        Conductivity::from_microsiemens_per_cm(10_f64.powf(2.0 * log_y) * limit)
    }
}

/// Sulfate and chloride below which their ratio says little, mg/L (common practice, no source).
pub const RATIO_FLOOR: Concentration = Concentration::from_mg_per_litre(25.0);

/// Charge of cations and anions in a water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeBalance {
    /// Sum of the cations.
    pub cations: Equivalents,
    /// Sum of the anions, alkalinity among them.
    pub anions: Equivalents,
}

impl ChargeBalance {
    /// Cations less anions.
    #[must_use]
    pub fn difference(&self) -> Equivalents {
        self.cations - self.anions
    }

    /// `(cations − anions) / (cations + anions)`. `None` when nothing is dissolved.
    #[must_use]
    pub fn imbalance(&self) -> Option<Fraction> {
        let whole = (self.cations + self.anions).meq_per_litre();
        let part = self.difference().meq_per_litre() / whole;
        (whole > 0.0 && part.is_finite()).then(|| Fraction::from_parts(part))
    }

    /// Does the report meet Standard Methods 1030E?
    ///
    /// Anions up to 3 mEq/L: ±0.2 mEq/L; up to 10: ±2 %; above: ±5 %. Source: [`STANDARD_METHODS_1030E`].
    #[must_use]
    pub fn meets_1030e(&self) -> bool {
        let off = self.difference().meq_per_litre().abs();
        match self.anions.meq_per_litre() {
            anions if anions <= 3.0 => off <= 0.2,
            anions => {
                let limit = if anions <= 10.0 { 0.02 } else { 0.05 };
                self.imbalance().is_some_and(|part| part.parts().abs() <= limit)
            }
        }
    }
}

/// A salt or base that is dissolved in liquor, with its water of crystallisation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Salt {
    /// CaSO₄·2H₂O.
    Gypsum,
    /// CaSO₄.
    CalciumSulfateAnhydrous,
    /// CaCl₂.
    CalciumChlorideAnhydrous,
    /// CaCl₂·2H₂O.
    CalciumChlorideDihydrate,
    /// CaCl₂·6H₂O.
    CalciumChlorideHexahydrate,
    /// MgSO₄·7H₂O.
    EpsomSalt,
    /// MgSO₄.
    MagnesiumSulfateAnhydrous,
    /// MgCl₂·6H₂O.
    MagnesiumChlorideHexahydrate,
    /// NaCl without iodide.
    TableSalt,
    /// NaHCO₃.
    BakingSoda,
    /// Na₂CO₃.
    WashingSoda,
    /// CaCO₃: counts in full only where CO2 dissolves it.
    Chalk,
    /// Ca(OH)₂.
    SlakedLime,
    /// Na₂SO₄.
    SodiumSulfateAnhydrous,
    /// Na₂SO₄·10H₂O.
    SodiumSulfateDecahydrate,
    /// KCl.
    PotassiumChloride,
    /// KHCO₃.
    PotassiumBicarbonate,
    /// K₂S₂O₅, its sulfite oxidised to sulfate.
    PotassiumMetabisulfite,
    /// Na₂S₂O₅, its sulfite oxidised to sulfate.
    SodiumMetabisulfite,
}

/// What a mole of a salt brings.
struct Formula {
    molar_mass: f64,
    /// Ions but bicarbonate, and moles of each.
    ions: &'static [Ion],
    moles: &'static [f64],
    /// Carbonate of any kind.
    carbonate: f64,
}

const WATER: f64 = 2.0 * H + O;
const SULFATE: f64 = S + 4.0 * O;
const CARBONATE: f64 = C + 3.0 * O;

impl Salt {
    /// All of them.
    pub const ALL: [Self; 19] = [
        Self::Gypsum,
        Self::CalciumSulfateAnhydrous,
        Self::CalciumChlorideAnhydrous,
        Self::CalciumChlorideDihydrate,
        Self::CalciumChlorideHexahydrate,
        Self::EpsomSalt,
        Self::MagnesiumSulfateAnhydrous,
        Self::MagnesiumChlorideHexahydrate,
        Self::TableSalt,
        Self::BakingSoda,
        Self::WashingSoda,
        Self::Chalk,
        Self::SlakedLime,
        Self::SodiumSulfateAnhydrous,
        Self::SodiumSulfateDecahydrate,
        Self::PotassiumChloride,
        Self::PotassiumBicarbonate,
        Self::PotassiumMetabisulfite,
        Self::SodiumMetabisulfite,
    ];

    const fn formula(self) -> Formula {
        use Ion::{Calcium, Chloride, Magnesium, Potassium, Sodium, Sulfate};
        const fn of(molar_mass: f64, ions: &'static [Ion], moles: &'static [f64], carbonate: f64) -> Formula {
            Formula { molar_mass, ions, moles, carbonate }
        }
        const CALCIUM_SULFATE: f64 = CA + SULFATE;
        const CALCIUM_CHLORIDE: f64 = CA + 2.0 * CL;
        const MAGNESIUM_SULFATE: f64 = MG + SULFATE;
        const SODIUM_SULFATE: f64 = 2.0 * NA + SULFATE;
        const METABISULFITE: f64 = 2.0 * S + 5.0 * O;
        match self {
            Self::Gypsum => of(CALCIUM_SULFATE + 2.0 * WATER, &[Calcium, Sulfate], &[1.0, 1.0], 0.0),
            Self::CalciumSulfateAnhydrous => of(CALCIUM_SULFATE, &[Calcium, Sulfate], &[1.0, 1.0], 0.0),
            Self::CalciumChlorideAnhydrous => of(CALCIUM_CHLORIDE, &[Calcium, Chloride], &[1.0, 2.0], 0.0),
            Self::CalciumChlorideDihydrate => {
                of(CALCIUM_CHLORIDE + 2.0 * WATER, &[Calcium, Chloride], &[1.0, 2.0], 0.0)
            }
            Self::CalciumChlorideHexahydrate => {
                of(CALCIUM_CHLORIDE + 6.0 * WATER, &[Calcium, Chloride], &[1.0, 2.0], 0.0)
            }
            Self::EpsomSalt => of(MAGNESIUM_SULFATE + 7.0 * WATER, &[Magnesium, Sulfate], &[1.0, 1.0], 0.0),
            Self::MagnesiumSulfateAnhydrous => of(MAGNESIUM_SULFATE, &[Magnesium, Sulfate], &[1.0, 1.0], 0.0),
            Self::MagnesiumChlorideHexahydrate => {
                of(MG + 2.0 * CL + 6.0 * WATER, &[Magnesium, Chloride], &[1.0, 2.0], 0.0)
            }
            Self::TableSalt => of(NA + CL, &[Sodium, Chloride], &[1.0, 1.0], 0.0),
            Self::BakingSoda => of(NA + H + CARBONATE, &[Sodium], &[1.0], 1.0),
            Self::WashingSoda => of(2.0 * NA + CARBONATE, &[Sodium], &[2.0], 1.0),
            Self::Chalk => of(CALCIUM_CARBONATE, &[Calcium], &[1.0], 1.0),
            Self::SlakedLime => of(CA + 2.0 * (O + H), &[Calcium], &[1.0], 0.0),
            Self::SodiumSulfateAnhydrous => of(SODIUM_SULFATE, &[Sodium, Sulfate], &[2.0, 1.0], 0.0),
            Self::SodiumSulfateDecahydrate => {
                of(SODIUM_SULFATE + 10.0 * WATER, &[Sodium, Sulfate], &[2.0, 1.0], 0.0)
            }
            Self::PotassiumChloride => of(K + CL, &[Potassium, Chloride], &[1.0, 1.0], 0.0),
            Self::PotassiumBicarbonate => of(K + H + CARBONATE, &[Potassium], &[1.0], 1.0),
            Self::PotassiumMetabisulfite => {
                of(2.0 * K + METABISULFITE, &[Potassium, Sulfate], &[2.0, 2.0], 0.0)
            }
            Self::SodiumMetabisulfite => of(2.0 * NA + METABISULFITE, &[Sodium, Sulfate], &[2.0, 2.0], 0.0),
        }
    }

    /// Molar mass with water of crystallisation, g/mol (IUPAC 2021 atomic masses, computed).
    #[must_use]
    pub const fn molar_mass(self) -> f64 {
        self.formula().molar_mass
    }

    /// The ions it brings, bicarbonate aside: that is [`Salt::alkalinity`].
    #[must_use]
    pub const fn ions(self) -> &'static [Ion] {
        self.formula().ions
    }

    /// What one gram in a litre adds to an ion (stoichiometry, computed). Bicarbonate is the whole alkalinity
    /// written so.
    #[must_use]
    pub fn contribution(self, ion: Ion) -> Concentration {
        let formula = self.formula();
        if ion == Ion::Bicarbonate {
            return ion.concentration(self.alkalinity());
        }
        let moles =
            formula.ions.iter().zip(formula.moles).find(|(held, _)| **held == ion).map_or(0.0, |(_, n)| *n);
        Concentration::from_mg_per_litre(moles * ion.molar_mass() / formula.molar_mass * 1000.0)
    }

    /// What one gram in a litre adds to the alkalinity: the charge of its metals less that of chloride and
    /// sulfate (computed). Negative for metabisulfite, whose oxidation sets acid free.
    #[must_use]
    pub fn alkalinity(self) -> Equivalents {
        let formula = self.formula();
        let charge: f64 = formula.ions.iter().zip(formula.moles).map(|(ion, n)| ion.charge() * n).sum();
        Equivalents::from_meq_per_litre(charge / formula.molar_mass * 1000.0)
    }

    /// What one gram in a litre adds to total carbonate, mmol/L.
    #[must_use]
    pub fn carbonate(self) -> f64 {
        let formula = self.formula();
        formula.carbonate / formula.molar_mass * 1000.0
    }
}

/// Density of a calcium chloride solution at 20 °C by its strength, as anhydrous salt by mass.
///
/// Source: [`CALCIUM_CHLORIDE_DENSITY`], linear between rows. Valid in [`CALCIUM_CHLORIDE_RANGE`]; outside it
/// `None`.
#[must_use]
pub fn calcium_chloride_density(strength: Fraction) -> Option<Density> {
    const ROWS: [(f64, f64); 5] =
        [(0.0, 0.9982), (0.10, 1.0835), (0.20, 1.1775), (0.30, 1.2816), (0.40, 1.3957)];
    let w = strength.parts();
    (0.0..=0.40 + 1e-9).contains(&w).then(|| Density::from_kg_per_litre(interpolate(&ROWS, w)))
}

/// Mass of salt in a volume of its solution, strength by mass. Definition.
#[must_use]
pub fn salt_in_solution(volume: Volume, strength: Fraction, density: Density) -> Mass {
    Mass::from_kg(volume.litres() * density.kg_per_litre() * strength.parts())
}

/// Alkalinity a laboratory finds when it titrates to `end_point`, from the true one.
///
/// The titration also counts the protons of the end point and leaves a little bicarbonate untitrated
/// (computed; against PHREEQC: 2.000 mEq/L reads 2.037 at 4.3). End points of 4.3 to 4.5; other pH are
/// computed alike.
#[must_use]
pub fn titrated_alkalinity(water: &Water, end_point: Ph) -> Equivalents {
    let carbon = carbonate::total_carbonate(water);
    let left = carbonate::alkalinity_at(water, carbon, end_point);
    water.alkalinity - Equivalents::from_meq_per_litre(left)
}

/// The true alkalinity of a water whose alkalinity is given as titrated to `end_point`: the inverse of
/// [`titrated_alkalinity`], found by fixed-point iteration.
///
/// `None` for values that are no numbers.
#[must_use]
pub fn true_alkalinity(as_reported: &Water, end_point: Ph) -> Option<Equivalents> {
    let mut water = *as_reported;
    for _ in 0..60 {
        let off = as_reported.alkalinity - titrated_alkalinity(&water, end_point);
        water.alkalinity += off;
        if off.meq_per_litre().abs() < 1e-13 {
            break;
        }
    }
    water.alkalinity.is_finite().then_some(water.alkalinity)
}

/// What boiling leaves of a water's temporary hardness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Softened {
    /// The water afterwards, as measured cold.
    pub water: Water,
    /// Standard deviation of its alkalinity.
    pub alkalinity_sd: Equivalents,
}

/// The lowest alkalinity that boiling or lime reach in practice, mEq/L (common practice, from a forum).
pub const SOFTENING_END: Equivalents = Equivalents::from_meq_per_litre(1.0);

/// The water after boiling off its CO2 and pouring it off the chalk.
///
/// Calcium and bicarbonate leave 2:1 by amount; what stays is the larger of 1.0 mEq/L and
/// `Alk − 2·(Ca − 0.3 mmol/L)`, ±0.3 mEq/L. Source: [`BOILING`];
/// `evaporated` is the share of the volume boiled away, which concentrates the rest. pH is that of the water
/// in contact with air. Valid for waters with positive alkalinity; below 1 mEq/L nothing falls out. `None`
/// when all of it is boiled away, or for a share that is none.
#[must_use]
pub fn boiled(water: &Water, evaporated: Fraction) -> Option<Softened> {
    if !(0.0..1.0).contains(&evaporated.parts()) {
        return None;
    }
    let concentrated = 1.0 / (1.0 - evaporated.parts());
    let calcium = Ion::Calcium.equivalents(water.calcium).meq_per_litre() / 2.0;
    let before = water.alkalinity.meq_per_litre();
    let end = (before - 2.0 * (calcium - 0.3)).max(SOFTENING_END.meq_per_litre());
    let lost = (before - end).max(0.0);
    soften(water, lost, concentrated)
}

fn soften(water: &Water, lost: f64, concentrated: f64) -> Option<Softened> {
    let mut after = *water;
    after.alkalinity = after.alkalinity - Equivalents::from_meq_per_litre(lost);
    after.calcium = after.calcium - Ion::Calcium.concentration(Equivalents::from_meq_per_litre(lost));
    for ion in Ion::ALL {
        after = after.with_ion(ion, after.ion(ion) * concentrated);
    }
    after.ph = carbonate::ph_with_acids(&after, &[], carbonate::Air::ATMOSPHERE)?;
    let alkalinity_sd = Equivalents::from_meq_per_litre(if lost > 0.0 { 0.3 } else { 0.0 });
    after.is_finite().then_some(Softened { water: after, alkalinity_sd })
}

/// A treatment with slaked lime.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Liming {
    /// Ca(OH)₂ that takes the alkalinity to its minimum by stoichiometry.
    pub stoichiometric: Mass,
    /// The share of it to give: overshooting puts the alkalinity up again.
    pub recommended: Mass,
    /// The water afterwards, poured off the chalk.
    pub softened: Softened,
    /// Enough calcium for all of the alkalinity to fall as chalk.
    pub calcium_suffices: bool,
}

/// Share of the stoichiometric lime that is recommended: 0.90 to 0.95 (common practice, no source).
pub const LIME_SHARE: Fraction = Fraction::from_parts(0.92);

/// Slaked lime that softens a volume of water.
///
/// To the minimum: free CO2 + half the alkalinity, mmol/L, provided calcium is at least half the alkalinity.
/// Source: [`LIME`]. The water afterwards holds at least 1 mEq/L. Let it settle, check
/// the pH and pour it off. Lime burns skin and eyes. `None` without alkalinity or volume.
#[must_use]
pub fn lime(water: &Water, volume: Volume) -> Option<Liming> {
    let alkalinity = water.alkalinity.meq_per_litre();
    let litres = volume.litres();
    if !(alkalinity > 0.0 && litres > 0.0 && litres.is_finite()) {
        return None;
    }
    let free = carbonate::carbonic_acid(water);
    let calcium = Ion::Calcium.equivalents(water.calcium).meq_per_litre() / 2.0;
    let mmol = free + alkalinity / 2.0;
    let mass = Mass::from_grams(mmol * litres * Salt::SlakedLime.molar_mass() / 1000.0);
    if !mass.is_finite() {
        return None;
    }
    let given = mmol * LIME_SHARE.parts();
    let falls = 2.0 * (given - free).max(0.0);
    // Chalk takes the calcium of the water and of the lime.
    let lost = falls.min(alkalinity - SOFTENING_END.meq_per_litre()).min(2.0 * calcium).max(0.0);
    Some(Liming {
        stoichiometric: mass,
        recommended: mass * LIME_SHARE.parts(),
        softened: soften(water, lost, 1.0)?,
        calcium_suffices: calcium >= alkalinity / 2.0,
    })
}

/// What holds the chlorine of a water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Chlorine {
    /// Free chlorine (hypochlorous acid).
    Free,
    /// Chloramine: neither boiling nor standing drives it off soon.
    Chloramine,
}

/// A dose of metabisulfite and what it leaves in the water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dechlorination {
    /// Metabisulfite by stoichiometry.
    pub stoichiometric: Mass,
    /// With the usual excess of [`METABISULFITE_EXCESS`].
    pub recommended: Mass,
    /// Sulfate formed by the stoichiometric dose.
    pub sulfate: Concentration,
    /// Chloride formed.
    pub chloride: Concentration,
    /// Change of alkalinity: negative.
    pub alkalinity: Equivalents,
}

/// Metabisulfite given over metabisulfite needed (common practice, no source).
pub const METABISULFITE_EXCESS: f64 = 1.3;

/// Metabisulfite that removes chlorine (mg/L as Cl2) from a volume of water.
///
/// `S2O5 + H2O → 2 HSO3`, one HSO3 to a Cl2 (70.90 g): 1.568 mg of the potassium salt or 1.341 mg of the
/// sodium salt to a mg. Source: [`DECHLORINATION`]. `salt` must be one of the two metabisulfites, else `None`; likewise for a concentration or volume that is negative
/// or no number. Sulfites are an allergen to declare above 10 mg/L as SO2; never bring metabisulfite and acid
/// together undiluted.
#[must_use]
pub fn dechlorinate(
    chlorine: Concentration,
    kind: Chlorine,
    volume: Volume,
    salt: Salt,
) -> Option<Dechlorination> {
    if !matches!(salt, Salt::PotassiumMetabisulfite | Salt::SodiumMetabisulfite) {
        return None;
    }
    let mmol = chlorine.mg_per_litre() / (2.0 * CL);
    let litres = volume.litres();
    if !(mmol.is_finite() && mmol >= 0.0 && litres.is_finite() && litres >= 0.0) {
        return None;
    }
    let mass = Mass::from_grams(mmol / 2.0 * salt.molar_mass() * litres / 1000.0);
    let protons = match kind {
        Chlorine::Free => 2.0,
        // The ammonium set free takes one.
        Chlorine::Chloramine => 1.0,
    };
    let recommended = mass * METABISULFITE_EXCESS;
    let sulfate = Concentration::from_mg_per_litre(mmol * SULFATE);
    (recommended.is_finite() && sulfate.is_finite()).then(|| Dechlorination {
        stoichiometric: mass,
        recommended,
        sulfate,
        chloride: Concentration::from_mg_per_litre(mmol * CL),
        alkalinity: Equivalents::from_meq_per_litre(-mmol * protons),
    })
}

/// Sulfur dioxide in a metabisulfite, by mass, before any loss: 0.576 of the potassium salt, 0.674 of the
/// sodium salt (computed). `None` for other salts.
#[must_use]
pub fn sulfur_dioxide_share(salt: Salt) -> Option<Fraction> {
    matches!(salt, Salt::PotassiumMetabisulfite | Salt::SodiumMetabisulfite)
        .then(|| Fraction::from_parts(2.0 * (S + 2.0 * O) / salt.molar_mass()))
}

/// Gypsum that dissolves in a litre of pure water.
///
/// Source: [`SOLUBILITY`]; about 2.4 g/L at 10 °C, 2.6 at 25. Valid in [`GYPSUM_RANGE`]; outside it `None`. Gypsum dissolves slowly: expect trouble above about 2 g/L.
#[must_use]
pub fn gypsum_solubility(at: Temperature) -> Option<Concentration> {
    if GYPSUM_RANGE.check(at.celsius()).is_some() {
        return None;
    }
    carbonate::gypsum_saturation(at)
        .map(|mmol| Concentration::from_mg_per_litre(mmol * Salt::Gypsum.molar_mass()))
}

/// Chalk that dissolves in a litre of pure water at 25 °C, by the CO2 above it.
///
/// Source: [`SOLUBILITY`]; about 12 mg/L closed, 54 open to the air, 930 under 1 atm of CO2. Without CO2 it
/// stays a suspension.
#[must_use]
pub fn chalk_solubility(air: carbonate::Air) -> Option<Concentration> {
    carbonate::calcite_saturation(air).map(|mmol| Concentration::from_mg_per_litre(mmol * CALCIUM_CARBONATE))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mg(value: f64) -> Concentration {
        Concentration::from_mg_per_litre(value)
    }

    /// A water by mmol/L of Ca, Mg, Na, SO4, Cl, its alkalinity in mEq/L and its pH.
    fn of(x: [f64; 5], alkalinity: f64, ph: f64) -> Water {
        let ions = [Ion::Calcium, Ion::Magnesium, Ion::Sodium, Ion::Sulfate, Ion::Chloride];
        let water = Water {
            alkalinity: Equivalents::from_meq_per_litre(alkalinity),
            ph: Ph::from_ph(ph),
            ..Water::ION_FREE
        };
        ions.into_iter()
            .zip(x)
            .fold(water, |water, (ion, mmol)| water.with_ion(ion, mg(mmol * ion.molar_mass())))
    }

    fn medium() -> Water {
        of([2.0, 0.3, 1.0, 1.0, 1.6], 2.0, 7.6)
    }

    fn hard() -> Water {
        of([2.5, 0.8, 0.8, 0.7, 1.0], 5.0, 7.3)
    }

    #[test]
    fn a_milligram_of_chlorine_takes_and_leaves_what_stoichiometry_says() {
        let dose = |kind, salt| dechlorinate(mg(1.0), kind, Volume::from_litres(1.0), salt).unwrap();
        let grams = |salt| dose(Chlorine::Free, salt).stoichiometric.grams() * 1000.0;
        assert!((grams(Salt::PotassiumMetabisulfite) - 1.568).abs() < 0.001);
        assert!((grams(Salt::SodiumMetabisulfite) - 1.341).abs() < 0.001);
        for (kind, alkalinity) in [(Chlorine::Free, -1.41), (Chlorine::Chloramine, -0.71)] {
            let left = dose(kind, Salt::PotassiumMetabisulfite);
            assert!((left.sulfate.mg_per_litre() - 1.355).abs() < 0.001);
            assert!((left.chloride.mg_per_litre() - 0.5).abs() < 0.001);
            let taken = as_calcium_carbonate(left.alkalinity).mg_per_litre();
            assert!((taken - alkalinity).abs() < 0.01, "{kind:?}: {taken}");
            assert!((left.recommended / left.stoichiometric - 1.3).abs() < 1e-12);
        }
        assert!(dechlorinate(mg(1.0), Chlorine::Free, Volume::from_litres(1.0), Salt::Gypsum).is_none());
    }

    #[test]
    fn boiling_leaves_what_an_equilibrium_with_scale_leaves() {
        // PHREEQC, degassed to the air's CO2, calcite at a saturation index of 1.0 at 100 °C: mg/L CaCO3.
        for (water, left) in [(medium(), 40.57), (hard(), 62.31)] {
            let boiled = boiled(&water, Fraction::from_parts(0.0)).unwrap();
            let ours = as_calcium_carbonate(boiled.water.alkalinity).mg_per_litre();
            assert!(
                (ours - left).abs() < as_calcium_carbonate(boiled.alkalinity_sd).mg_per_litre(),
                "{ours}"
            );
            // A mole of calcium goes with two of bicarbonate: 3.0449 mg to the mg.
            let lost = |ion: Ion| (water.ion(ion) - boiled.water.ion(ion)).mg_per_litre();
            assert!((lost(Ion::Bicarbonate) / lost(Ion::Calcium) - 3.0449).abs() < 1e-3);
        }
        // Calcium runs out first: 1.1 mmol/L of it, 0.3 left in the water.
        let poor = boiled(&of([1.1, 0.0, 4.0, 0.6, 0.0], 5.0, 7.8), Fraction::from_parts(0.2)).unwrap();
        let expected = (5.0 - 2.0 * 0.8) / 0.8;
        assert!((poor.water.alkalinity.meq_per_litre() - expected).abs() < 1e-9);
        // A soft water loses nothing.
        let soft = of([0.1, 0.05, 0.2, 0.05, 0.1], 0.3, 7.0);
        let same = boiled(&soft, Fraction::from_parts(0.0)).unwrap();
        assert_eq!(same.water.alkalinity, soft.alkalinity);
        assert!(same.alkalinity_sd.meq_per_litre().abs() < 1e-12);
    }

    #[test]
    fn lime_finds_the_minimum_of_an_equilibrium() {
        // PHREEQC: the alkalinity is lowest at 3.0 mmol/L for the hard water, near 1.0 for the medium one.
        for (water, minimum) in [(hard(), 3.0), (medium(), 1.0)] {
            let liming = lime(&water, Volume::from_litres(20.0)).unwrap();
            let mmol = liming.stoichiometric.grams() / Salt::SlakedLime.molar_mass() * 1000.0 / 20.0;
            assert!((mmol - minimum).abs() < 0.12, "{mmol}");
            assert!((0.90..=0.95).contains(&(liming.recommended / liming.stoichiometric)));
            assert!(liming.calcium_suffices);
            assert!((liming.softened.water.alkalinity.meq_per_litre() - 1.0).abs() < 1e-9);
        }
        let poor = lime(&of([0.5, 0.0, 4.0, 0.0, 0.0], 5.0, 7.5), Volume::from_litres(20.0)).unwrap();
        assert!(!poor.calcium_suffices);
    }

    #[test]
    fn acid_beyond_the_alkalinity_makes_it_negative() {
        let water = hard();
        let acid = [(Acid::Lactic, Amount::from_mmol(60.0)), (Acid::Hydrochloric, Amount::from_mmol(60.0))];
        let left = water.alkalinity_after(&acid, Volume::from_litres(20.0), Ph::from_ph(5.4)).unwrap();
        // 5 mEq/L less 3 of the strong acid and 0.972 of 3 of the weak one.
        assert!((left.meq_per_litre() - (5.0 - 3.0 - 3.0 * 0.972)).abs() < 0.001, "{left:?}");
        assert!(water.alkalinity_after(&acid, Volume::from_litres(0.0), Ph::from_ph(5.4)).is_none());
    }

    #[test]
    fn sulfate_to_chloride_is_by_mass_and_wants_chloride() {
        let water = Water { sulfate: mg(150.0), chloride: mg(60.0), ..Water::ION_FREE };
        assert!((water.sulfate_to_chloride().unwrap() - 2.5).abs() < 1e-12);
        assert!(Water { chloride: mg(0.0), ..water }.sulfate_to_chloride().is_none());
    }

    #[test]
    fn the_conductivity_standard_is_missed_by_as_much_as_is_said() {
        // 0.01 mol/L of potassium chloride: 1413 µS/cm at 25 °C, the usual calibration standard.
        let grams = Mass::from_grams(0.01 * Salt::PotassiumChloride.molar_mass());
        let water = Water::ION_FREE.with_salts(&[(Salt::PotassiumChloride, grams)], Volume::from_litres(1.0));
        let share = water.unwrap().conductivity().microsiemens_per_cm() / 1413.0;
        assert!((share - 0.87).abs() < 0.005, "{share}");
    }

    #[test]
    fn a_report_is_judged_by_the_size_of_its_sums() {
        // Sum of the anions, difference, verdict by the three steps of 1030E.
        for (anions, off, meets) in [
            (2.0, 0.19, true),
            (2.0, 0.21, false),
            (5.0, 0.19, true),
            (5.0, 0.21, false),
            (8.0, 0.31, true),
            (20.0, 1.9, true),
            (20.0, 2.2, false),
        ] {
            let sum = Equivalents::from_meq_per_litre;
            let balance = ChargeBalance { cations: sum(anions + off), anions: sum(anions) };
            assert_eq!(balance.meets_1030e(), meets, "{anions} and {off}");
        }
    }
}
