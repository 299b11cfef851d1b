//! Acids: strength to amount, and the protons an acid gives at a pH.

use quantity::typed::{Amount, Charge, ChargePerMass, Concentration, Density, Fraction, Mass, Ph, Volume};

use crate::source::{Basis, Source};
use crate::table::interpolate;
use crate::validity::Range;
use crate::water::{Ion, atom};

/// Strength and density of acids.
pub const ACID_DENSITY: Source = Source::new(
    "CRC densities of acids",
    "Densities at 20 °C from the CRC Handbook's table of aqueous solutions, as quoted in a public engineering \
     table; concentrated acids from a pharmacopoeia, a registration dossier and memory.",
    Basis::Published,
);
/// What an acid gives up at a pH.
pub const DISSOCIATION: Source = Source::new(
    "dissociation of acids",
    "Ideal dissociation at 25 °C with the pKa of the CRC Handbook, as quoted: lactic 3.86, phosphoric 2.148, \
     7.198, 12.35, citric 3.128, 4.761, 6.396, hydrogen sulfate 1.99.",
    Basis::Published,
);
/// The acid in acidulated malt.
pub const ACID_MALT: Source = Source::new(
    "Troester 2009, acidulated malt",
    "K. Troester, The effect of brewing water and grist composition on the pH of the mash, 2009: two lots of \
     acidulated malt gave 315 and 358 mEq/kg down to pH 5.7.",
    Basis::Published,
);
/// pH for which the dissociation was compared with independent computations.
pub const DISSOCIATION_RANGE: Range = Range::new(3.0, 9.0, DISSOCIATION);

/// An acid that is put into liquor or mash.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Acid {
    /// Lactic acid, sold at 80 or 88 %.
    Lactic,
    /// Phosphoric acid, sold at 10, 75 or 85 %.
    Phosphoric,
    /// Hydrochloric acid.
    Hydrochloric,
    /// Sulfuric acid.
    Sulfuric,
    /// Citric acid. Its solid form is the monohydrate unless said otherwise.
    Citric,
}

impl Acid {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::Lactic, Self::Phosphoric, Self::Hydrochloric, Self::Sulfuric, Self::Citric];

    /// Molar mass without water of crystallisation, g/mol (IUPAC 2021 atomic masses, computed).
    #[must_use]
    pub fn molar_mass(self) -> f64 {
        use atom::{C, CL, H, O, P, S};
        match self {
            Self::Lactic => 3.0 * C + 6.0 * H + 3.0 * O,
            Self::Phosphoric => 3.0 * H + P + 4.0 * O,
            Self::Hydrochloric => H + CL,
            Self::Sulfuric => 2.0 * H + S + 4.0 * O,
            Self::Citric => 6.0 * C + 8.0 * H + 7.0 * O,
        }
    }

    /// Dissociation constants as pKa at 25 °C and no ionic strength; a strong step is far below 0.
    ///
    /// Source: [`DISSOCIATION`].
    #[must_use]
    pub const fn pka(self) -> &'static [f64] {
        match self {
            Self::Lactic => &[3.86],
            Self::Phosphoric => &[2.148, 7.198, 12.35],
            Self::Hydrochloric => &[STRONG],
            Self::Sulfuric => &[STRONG, 1.99],
            Self::Citric => &[3.128, 4.761, 6.396],
        }
    }

    /// Density of the acid in water at 20 °C by its strength by mass.
    ///
    /// Source: [`ACID_DENSITY`], linear between rows. CRC Handbook up to lactic 80 %,
    /// phosphoric 40 %, hydrochloric 40 %, sulfuric 70 % and citric 30 %; lactic 88 % from the pharmacopoeia's
    /// 1.20 to 1.21; phosphoric 75 % from a registration dossier's 1.57 to 1.58; phosphoric 50 and 60 %,
    /// phosphoric 85 % and sulfuric 80 % and above from memory. Valid from 0 to 90 % lactic, 85 % phosphoric,
    /// 40 % hydrochloric, 98 % sulfuric, 30 % citric; outside it `None`.
    #[must_use]
    pub fn density(self, strength: Fraction) -> Option<Density> {
        let rows: &[(f64, f64)] = match self {
            Self::Lactic => &[
                (0.0, 0.9982),
                (0.05, 1.0086),
                (0.10, 1.0199),
                (0.20, 1.0439),
                (0.40, 1.0915),
                (0.60, 1.1392),
                (0.80, 1.1848),
                (0.88, 1.206),
                (0.90, 1.211),
            ],
            Self::Phosphoric => &[
                (0.0, 0.9982),
                (0.05, 1.0254),
                (0.10, 1.0531),
                (0.20, 1.1135),
                (0.30, 1.1804),
                (0.40, 1.2536),
                (0.50, 1.335),
                (0.60, 1.426),
                (0.75, 1.579),
                (0.85, 1.689),
            ],
            Self::Hydrochloric => &[
                (0.0, 0.9982),
                (0.05, 1.0230),
                (0.10, 1.0476),
                (0.20, 1.0980),
                (0.30, 1.1492),
                (0.37, 1.1837),
                (0.40, 1.1977),
            ],
            Self::Sulfuric => &[
                (0.0, 0.9982),
                (0.05, 1.0318),
                (0.10, 1.0661),
                (0.20, 1.1398),
                (0.30, 1.2191),
                (0.40, 1.3028),
                (0.50, 1.3952),
                (0.60, 1.4983),
                (0.70, 1.6105),
                (0.80, 1.7272),
                (0.90, 1.8144),
                (0.96, 1.8355),
                (0.98, 1.8365),
            ],
            Self::Citric => &[(0.0, 0.9982), (0.05, 1.0189), (0.10, 1.0402), (0.20, 1.0858), (0.30, 1.1346)],
        };
        let end = rows.last()?.0;
        let w = strength.parts();
        // A written strength such as 40 % must not fall off the table by its last bit.
        (0.0..=end + 1e-9).contains(&w).then(|| Density::from_kg_per_litre(interpolate(rows, w)))
    }

    /// Amount in a litre of the acid at this strength, mol/L: `1000·ρ·w / M`.
    ///
    /// Definition; `density` overrides the table of [`Acid::density`] ([`ACID_DENSITY`]). `None` outside the table's range, or when strength
    /// or density are no sound numbers. Label strengths of concentrated lactic acid count esters that free
    /// their acid slowly: no dose is better than ±3 %.
    #[must_use]
    pub fn molarity(self, strength: Fraction, density: Option<Density>) -> Option<f64> {
        let density = match density {
            Some(given) => given,
            None => self.density(strength)?,
        };
        let molar = 1000.0 * density.kg_per_litre() * strength.parts() / self.molar_mass();
        (molar.is_finite() && molar > 0.0 && strength.parts() <= 1.0).then_some(molar)
    }

    /// Amount in this volume of the acid. `None` as [`Acid::molarity`].
    #[must_use]
    pub fn amount_in(self, volume: Volume, strength: Fraction, density: Option<Density>) -> Option<Amount> {
        let amount = self.molarity(strength, density)? * volume.millilitres();
        amount.is_finite().then(|| Amount::from_mmol(amount))
    }

    /// Volume of the acid that holds this amount: the inverse of [`Acid::amount_in`].
    #[must_use]
    pub fn volume_of(self, amount: Amount, strength: Fraction, density: Option<Density>) -> Option<Volume> {
        let millilitres = amount.mmol() / self.molarity(strength, density)?;
        millilitres.is_finite().then(|| Volume::from_millilitres(millilitres))
    }

    /// Amount in this mass of a solid or a solution weighed, `strength` being the share of pure acid by mass.
    ///
    /// A crystal's strength is [`CITRIC_MONOHYDRATE`], or 1 for an anhydrous one.
    #[must_use]
    pub fn amount_in_mass(self, mass: Mass, strength: Fraction) -> Option<Amount> {
        let mmol = mass.grams() * strength.parts() / self.molar_mass() * 1000.0;
        mmol.is_finite().then(|| Amount::from_mmol(mmol))
    }

    /// Mass that holds this amount: the inverse of [`Acid::amount_in_mass`]. `None` without strength.
    #[must_use]
    pub fn mass_of(self, amount: Amount, strength: Fraction) -> Option<Mass> {
        let grams = amount.mmol() / 1000.0 * self.molar_mass() / strength.parts();
        grams.is_finite().then(|| Mass::from_grams(grams))
    }

    /// Protons that one mole of the acid gives up at a pH: `Σ i·αᵢ` of the ideal dissociation.
    ///
    /// Source: [`DISSOCIATION`], without ionic strength. Any pH; checked in [`DISSOCIATION_RANGE`], far outside 0 to 14 the limits 0 and
    /// the number of steps.
    #[must_use]
    pub fn protons(self, ph: Ph) -> f64 {
        protons_with(self.pka().iter().copied(), ph)
    }

    /// Charge that an amount of the acid gives up at a pH: amount × [`Acid::protons`], with its range.
    #[must_use]
    pub fn charge(self, amount: Amount, ph: Ph) -> Charge {
        Charge::from_meq(amount.mmol() * self.protons(ph))
    }

    /// The ion of the water that the acid leaves behind and how many of it: chloride or sulfate.
    #[must_use]
    pub const fn ion(self) -> Option<Ion> {
        match self {
            Self::Hydrochloric => Some(Ion::Chloride),
            Self::Sulfuric => Some(Ion::Sulfate),
            Self::Lactic | Self::Phosphoric | Self::Citric => None,
        }
    }

    /// Mass of the acid's residue in the liquor, as the whole acid: lactate, phosphate or citrate for taste, mg/L.
    /// Definition. `None` without volume.
    #[must_use]
    pub fn residue(self, amount: Amount, volume: Volume) -> Option<Concentration> {
        let mg = amount.mmol() * self.molar_mass() / volume.litres();
        mg.is_finite().then(|| Concentration::from_mg_per_litre(mg))
    }
}

/// pKa of a step that is complete in anything a brewer makes.
const STRONG: f64 = -9.0;

/// Share of citric acid in its monohydrate, by mass (computed).
pub const CITRIC_MONOHYDRATE: Fraction = Fraction::from_parts(192.123 / 210.138);

/// Acid of acidulated malt down to pH 5.7, the lower and the higher of two lots: about 2.8 to 3.2 % lactic
/// acid. Source: [`ACID_MALT`]. In the mash balance it is a malt with its own pH and buffering.
pub const ACIDULATED_MALT: (ChargePerMass, ChargePerMass) =
    (ChargePerMass::from_meq_per_kg(315.0), ChargePerMass::from_meq_per_kg(358.0));

/// Protons given up at a pH by an acid of these pKa, in rising order.
pub(crate) fn protons_with(pka: impl Iterator<Item = f64>, ph: Ph) -> f64 {
    // Terms relative to the undissociated acid, on a log scale so that no power overflows.
    let mut logs = [0.0_f64; 4];
    let mut steps = 0;
    for (slot, k) in logs[1..].iter_mut().zip(pka) {
        *slot = ph.ph() - k;
        steps += 1;
    }
    let mut running = 0.0;
    for slot in &mut logs[1..=steps] {
        running += *slot;
        *slot = running;
    }
    let used = &logs[..=steps];
    let top = used.iter().copied().fold(f64::MIN, f64::max);
    let (mut weighted, mut whole) = (0.0, 0.0);
    for (number, log) in (0_u8..).zip(used) {
        let term = 10_f64.powf(log - top);
        weighted += f64::from(number) * term;
        whole += term;
    }
    weighted / whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_acid_leaves_its_own_mass_behind() {
        // 91.6 mg of lactate and 93.6 mg of phosphate to the mEq given up at pH 5.4, protons aside.
        let at = Ph::from_ph(5.4);
        for (acid, mg) in [(Acid::Lactic, 91.6), (Acid::Phosphoric, 93.6)] {
            let one = Amount::from_mmol(1.0 / acid.protons(at));
            let left = acid.residue(one, Volume::from_litres(1.0)).unwrap().mg_per_litre();
            // The residue counts the acid whole: a lactate weighs one proton less, a phosphate three.
            let protons = if acid == Acid::Lactic { 1.0 } else { 3.0 };
            let anion = left - protons * atom::H * one.mmol();
            assert!((anion - mg).abs() < 0.2, "{acid:?}: {anion}");
        }
    }

    #[test]
    fn densities_rise_with_strength_to_their_end() {
        for acid in Acid::ALL {
            let density = |percent: u8| acid.density(Fraction::from_parts(f64::from(percent) / 100.0));
            let rising: Vec<f64> =
                (0..=100).map_while(density).map(|density| density.kg_per_litre()).collect();
            assert!(rising.len() > 25 && rising.windows(2).all(|pair| pair[0] < pair[1]), "{acid:?}");
            assert!(density(100).is_none() && acid.density(Fraction::from_parts(-0.01)).is_none());
        }
    }
}
