//! Mash pH by a proton balance of malts, liquor, acids and bases; doses to reach a pH.
//!
//! `D(pH)` is the acid, in mEq, that must be added to bring the mash to a pH; the mash settles where it is 0.
//! All pH are those of a sample cooled to room temperature. Show no more than two decimals.

use quantity::typed::{Amount, Buffering, Charge, Ebc, Equivalents, Fraction, Mass, Ph, Temperature, Volume};

use crate::acid::Acid;
use crate::carbonate;
use crate::source::{Basis, COMMON_PRACTICE, Source};
use crate::table::interpolate;
use crate::validity::Range;
use crate::water::{Ion, KOLBACH_CALCIUM, KOLBACH_MAGNESIUM, Salt, Water};

/// The model of mash pH.
pub const PROTON_BALANCE: Source = Source::new(
    "proton balance",
    "Proton balance of malts with their own pH and buffering, closed carbonate and Kolbach's Ca/3.5 + Mg/7; \
     the form after A. J. deLange, MBAA 2013 and Technical Quarterly 52(1) 2015 (abstracts). Two malts of \
     fitted parameters reproduce 24 mashes measured by Troester 2009 within 0.025 pH.",
    Basis::Computed,
);
/// pH and buffering of malts.
pub const MALTS: Source = Source::new(
    "Troester 2009, malts",
    "K. Troester, The effect of brewing water and grist composition on the pH of the mash, 2009: tables of \
     malts; class averages and the caramel line are fitted here.",
    Basis::Published,
);
/// Adjuncts, for which nothing was found.
pub const ADJUNCTS: Source = Source::new(
    "adjuncts in the mash",
    "No published pH or buffering of raw and flaked grain was found; pH 6.0 and 10 mEq/(kg pH), each very \
     uncertain, are common practice.",
    Basis::CommonPractice,
);
/// The linear estimate of mash pH.
pub const TROESTER: Source = Source::new(
    "Troester 2009",
    "K. Troester, The effect of brewing water and grist composition on the pH of the mash, 2009: grist pH less \
     0.14 pH L/mEq of specialty acidity over the ratio, plus (0.013 R + 0.013) of the residual alkalinity.",
    Basis::Published,
);
/// pH of hot wort.
pub const HOT_WORT: Source = Source::new(
    "Briggs et al. 2004",
    "Briggs, Boulton, Brookes and Stevens, Brewing: Science and Practice, 2004, ch. 4, as quoted: wort reads \
     0.35 lower at 65 °C and 0.45 lower at 78 °C than at room temperature.",
    Basis::Published,
);

/// pH in which a mash is looked for; beyond it there is no answer.
pub const MASH_RANGE: Range = Range::new(3.0, 9.0, PROTON_BALANCE);
/// Litres of liquor to a kg for which the model was compared with measurements.
pub const RATIO_RANGE: Range = Range::new(2.0, 5.0, PROTON_BALANCE);
/// Colour, EBC, of the caramel malts that were measured.
pub const CARAMEL_RANGE: Range = Range::new(25.0, 400.0, MALTS);
/// Buffering, mEq/(kg·pH), that a corrected mash can show; a log outside it holds an error.
pub const BUFFERING_RANGE: Range = Range::new(20.0, 70.0, COMMON_PRACTICE);
/// Temperatures, °C, of the quoted pH of hot wort.
pub const HOT_WORT_RANGE: Range = Range::new(20.0, 78.0, HOT_WORT);

/// pH to which laboratories titrate alkalinity in German-type reports (common practice, no source).
pub const TITRATED_TO: Ph = Ph::from_ph(4.3);
/// pH to which laboratories titrate alkalinity in US-type reports (common practice, no source).
pub const TITRATED_TO_US: Ph = Ph::from_ph(4.5);

/// Kinds of malt and grain as malt definitions state them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MaltForm {
    /// Base and smoked malts.
    Base,
    /// Vienna and Munich malts and darker malts of their kind.
    MunichVienna,
    /// Caramel, crystal and dextrin malts.
    Caramel,
    /// Roasted malts and grain, amber, brown and biscuit malt among them.
    Roasted,
    /// Malt with lactic acid in it.
    Acidulated,
    /// Raw, flaked, torrefied grain and starch.
    Unmalted,
}

/// A row of the table of malt parameters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MaltClass {
    /// Pilsner and lager malt.
    Pilsner,
    /// Pale and pale ale malt.
    Pale,
    /// American two-row malt.
    TwoRow,
    /// Six-row malt.
    SixRow,
    /// Wheat malt.
    Wheat,
    /// Vienna malt.
    Vienna,
    /// Munich malt.
    Munich,
    /// Caramel malts.
    Caramel,
    /// Amber, brown and biscuit malt.
    Biscuit,
    /// Chocolate and black malt, roasted barley.
    Roasted,
    /// Acidulated malt.
    Acidulated,
    /// Raw, flaked, torrefied grain.
    Unmalted,
    /// Sugar, hulls and whatever takes no part.
    Inert,
}

/// pH of a malt in distilled water and its buffering, with their standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MaltParameters {
    /// pH of a mash of it in distilled water at 4 L/kg.
    pub ph: Ph,
    /// Standard deviation of that pH.
    pub ph_sd: f64,
    /// Buffering.
    pub buffering: Buffering,
    /// Standard deviation of the buffering.
    pub buffering_sd: Buffering,
}

impl MaltClass {
    /// The class of a malt from its form, grain and colour.
    ///
    /// Roasted below 300 EBC is biscuit, Vienna up to 10 EBC, pilsner up to 4.5 EBC (common practice; base
    /// malts of one colour differ by more than these rows do).
    #[must_use]
    pub fn of(form: MaltForm, wheat: bool, colour: Ebc) -> Self {
        let ebc = colour.ebc();
        match form {
            MaltForm::Base if wheat => Self::Wheat,
            MaltForm::Base if ebc <= 4.5 => Self::Pilsner,
            MaltForm::Base => Self::Pale,
            MaltForm::MunichVienna if ebc <= 10.0 => Self::Vienna,
            MaltForm::MunichVienna => Self::Munich,
            MaltForm::Caramel => Self::Caramel,
            MaltForm::Roasted if ebc < 300.0 => Self::Biscuit,
            MaltForm::Roasted => Self::Roasted,
            MaltForm::Acidulated => Self::Acidulated,
            MaltForm::Unmalted => Self::Unmalted,
        }
    }

    /// The row of the table; `colour` matters for caramel malts alone, and for how sure Munich malts are.
    ///
    /// Source: [`MALTS`], for unmalted grain [`ADJUNCTS`]. Caramel: pH `6.425 − 0.728·log10 EBC`, not below
    /// 4.4, in [`CARAMEL_RANGE`] and outside it as at its end (dextrin malt as the palest caramel malt);
    /// buffering 30 up to 50 EBC rising to 48 at 150. No malt of the Munich kind above 25 EBC was measured.
    #[must_use]
    pub fn parameters(self, colour: Ebc) -> MaltParameters {
        let ebc = colour.ebc();
        let (ph, ph_sd, buffering, buffering_sd) = match self {
            Self::Pilsner => (5.75, 0.10, 36.0, 5.4),
            Self::Pale => (5.77, 0.10, 36.0, 5.4),
            Self::TwoRow => (5.60, 0.10, 36.0, 5.4),
            Self::SixRow => (5.79, 0.10, 36.0, 5.4),
            Self::Wheat => (6.05, 0.10, 45.0, 6.75),
            Self::Vienna => (5.56, 0.10, 47.0, 7.05),
            Self::Munich => (5.38, if ebc > 30.0 { 0.25 } else { 0.10 }, 47.0, 7.05),
            Self::Caramel => {
                let within = ebc.clamp(CARAMEL_RANGE.low, CARAMEL_RANGE.high);
                let line = (6.425 - 0.728 * within.log10()).max(4.4);
                (line, 0.12, interpolate(&[(50.0, 30.0), (150.0, 48.0)], ebc), 10.0)
            }
            Self::Biscuit => (5.08, 0.12, 32.6, 6.0),
            Self::Roasted => (4.71, 0.07, 42.0, 4.0),
            Self::Acidulated => (3.43, 0.05, 148.0, 9.0),
            Self::Unmalted => (6.0, 0.3, 10.0, 10.0),
            Self::Inert => (5.75, 0.0, 0.0, 0.0),
        };
        MaltParameters {
            ph: Ph::from_ph(ph),
            ph_sd,
            buffering: Buffering::from_meq_per_kg_ph(buffering),
            buffering_sd: Buffering::from_meq_per_kg_ph(buffering_sd),
        }
    }

    /// Where [`Self::parameters`] come from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Unmalted | Self::Inert => ADJUNCTS,
            _ => MALTS,
        }
    }
}

/// A malt in the mash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Malt {
    /// Its mass.
    pub mass: Mass,
    /// Its pH and buffering.
    pub parameters: MaltParameters,
    /// Quadratic term of its titration, mEq/(kg·pH²); 0 unless titrated.
    pub quadratic: f64,
    /// Cubic term of its titration, mEq/(kg·pH³); 0 unless titrated.
    pub cubic: f64,
    /// Rise of its pH by L/kg of thinness above 4 L/kg: 0.034 pilsner, 0.047 Munich malt measured (fit to
    /// Troester's tables, computed); 0 unless the pH was measured at 4 L/kg.
    pub thinning: f64,
}

impl Malt {
    /// A malt with linear buffering.
    #[must_use]
    pub const fn new(mass: Mass, parameters: MaltParameters) -> Self {
        Self { mass, parameters, quadratic: 0.0, cubic: 0.0, thinning: 0.0 }
    }

    fn demand(&self, ratio: f64, ph: Ph) -> f64 {
        let x = ph.ph() - self.parameters.ph.ph() - self.thinning * (ratio - 4.0);
        let linear = -self.parameters.buffering.meq_per_kg_ph() * x;
        self.mass.kg() * (linear + self.quadratic * x * x + self.cubic * x * x * x)
    }
}

/// A base in the mash.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Base {
    /// Baking soda or potassium bicarbonate: gives less the more of its CO2 stays dissolved.
    Bicarbonate,
    /// Washing soda.
    Carbonate,
    /// Slaked lime: its calcium takes back part of what it gives.
    Lime,
    /// Chalk stirred in: half of it acts (Troester 2009, 3.8).
    Chalk,
}

impl Base {
    /// The base in a salt and its moles by kg; nothing for a neutral salt.
    #[must_use]
    pub const fn in_salt(salt: Salt) -> Option<Self> {
        match salt {
            Salt::BakingSoda | Salt::PotassiumBicarbonate => Some(Self::Bicarbonate),
            Salt::WashingSoda => Some(Self::Carbonate),
            Salt::SlakedLime => Some(Self::Lime),
            Salt::Chalk => Some(Self::Chalk),
            _ => None,
        }
    }

    /// Acid that one mmol takes up at a pH, mEq, its calcium's effect taken off.
    fn taken(self, ph: Ph, co2_lost: f64) -> f64 {
        let kept = (1.0 - co2_lost) * carbonate_charge(ph);
        match self {
            Self::Bicarbonate => 1.0 - kept,
            Self::Carbonate => 2.0 - kept,
            Self::Lime => 2.0 - 2.0 / KOLBACH_CALCIUM,
            Self::Chalk => 1.0 - 1.0 / KOLBACH_CALCIUM,
        }
    }
}

/// Effective pKa of carbonic acid at the ionic strength of mash liquor, about 0.01 mol/L.
const PK1: f64 = 6.30;
const PK2: f64 = 10.25;

/// Charge by mole of carbonate at a pH, with effective pKa of 6.30 and 10.25: those of liquor of about
/// 0.01 mol/L. Source: [`PROTON_BALANCE`]; any pH.
#[must_use]
pub fn carbonate_charge(ph: Ph) -> f64 {
    crate::acid::protons_with([PK1, PK2].into_iter(), ph)
}

/// Hydrogen less hydroxide ions, mmol/L.
fn free_acid(ph: Ph) -> f64 {
    10_f64.powf(3.0 - ph.ph()) - 10_f64.powf(ph.ph() - 11.0)
}

/// The liquor of a mash as the balance sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MashLiquor {
    /// Ions with those of neutral salts; alkalinity and pH as the untreated water was analysed.
    pub water: Water,
    /// Its volume.
    pub volume: Volume,
    /// pH to which its alkalinity was titrated.
    pub titrated_to: Ph,
    /// Share of its CO2 that is driven off: 0 unless the liquor was boiled or stood hot.
    pub co2_lost: Fraction,
}

impl MashLiquor {
    /// Liquor with nothing driven off, titrated to [`TITRATED_TO`].
    #[must_use]
    pub const fn new(water: Water, volume: Volume) -> Self {
        Self { water, volume, titrated_to: TITRATED_TO, co2_lost: Fraction::from_parts(0.0) }
    }

    /// Total carbonate by the effective constants of [`carbonate_charge`], mmol/L. 0 where alkalinity and pH
    /// leave none. Source: [`PROTON_BALANCE`].
    #[must_use]
    pub fn carbonate(&self) -> f64 {
        let (sample, end) = (self.water.ph, self.titrated_to);
        let span = carbonate_charge(sample) - carbonate_charge(end);
        let carbon = (self.water.alkalinity.meq_per_litre() - free_acid(end) + free_acid(sample)) / span;
        if span > 1e-6 && carbon.is_finite() { carbon.max(0.0) } else { 0.0 }
    }

    /// Acid that a litre of the liquor takes up on its way to a pH.
    ///
    /// Source: [`PROTON_BALANCE`], its water bracket: closed carbonate with effective constants, within
    /// 0.015 mEq/L of PHREEQC from pH 5.2 to 5.8 (computed).
    #[must_use]
    pub fn demand(&self, ph: Ph) -> Equivalents {
        self.analysed().demand(self.co2_lost, ph)
    }

    /// What does not hang on the pH asked about, for who asks about many.
    fn analysed(&self) -> Analysed {
        let carbon = self.carbonate();
        Analysed { carbon, charge: carbonate_charge(self.water.ph), free_acid: free_acid(self.water.ph) }
    }

    /// Acid that a litre's calcium and magnesium free in the mash: `Ca/3.5 + Mg/7`.
    ///
    /// Source: [`crate::water::KOLBACH`]. Overstated above about 150 mg/L of calcium, where the effect
    /// flattens.
    #[must_use]
    pub fn hardness_acid(&self) -> Equivalents {
        Ion::Calcium.equivalents(self.water.calcium) / KOLBACH_CALCIUM
            + Ion::Magnesium.equivalents(self.water.magnesium) / KOLBACH_MAGNESIUM
    }
}

/// The liquor as it was analysed: its carbonate, mmol/L, the charge of that by mole, and its free acid, mmol/L.
#[derive(Clone, Copy)]
struct Analysed {
    carbon: f64,
    charge: f64,
    free_acid: f64,
}

impl Analysed {
    /// See [`MashLiquor::demand`].
    fn demand(self, co2_lost: Fraction, ph: Ph) -> Equivalents {
        let lost = co2_lost.parts();
        let closed = self.carbon * (self.charge - carbonate_charge(ph)) + free_acid(ph) - self.free_acid;
        let open = self.carbon * self.charge;
        Equivalents::from_meq_per_litre((1.0 - lost) * closed + lost * open)
    }
}

/// A mash with all that bears on its pH.
#[derive(Clone, Debug, PartialEq)]
pub struct MashBalance {
    /// Malts and grain.
    pub malts: Vec<Malt>,
    /// Liquor.
    pub liquor: MashLiquor,
    /// Acids.
    pub acids: Vec<(Acid, Amount)>,
    /// Bases, the calcium of lime and chalk with them.
    pub bases: Vec<(Base, Amount)>,
}

/// A computed mash pH.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MashPh {
    /// The pH.
    pub ph: Ph,
    /// Its standard deviation; the band to show is twice this on both sides.
    pub sd: f64,
}

/// What to add so that a pH is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dose<T> {
    /// This much.
    Add(T),
    /// Nothing: the pH is already past the target by this much charge, and the opposite would be needed.
    Past(Charge),
}

impl<T> Dose<T> {
    /// The dose for a charge, of which one unit of the dose makes `by_unit` mEq.
    fn of(charge: f64, by_unit: f64, make: impl FnOnce(f64) -> T) -> Option<Self> {
        let dose = charge / by_unit;
        if !(dose.is_finite() && by_unit > 1e-6) {
            None
        } else if charge < 0.0 {
            Some(Self::Past(Charge::from_meq(-charge)))
        } else {
            Some(Self::Add(make(dose)))
        }
    }
}

/// Relative uncertainty of the hardness term, and of the alkalinity; spread of the CO2 lost about none.
const HARDNESS_SD: f64 = 0.15;
const ALKALINITY_SD: f64 = 0.05;
/// Root mean square of a share that lies anywhere from 0 to one half.
const CO2_SD: f64 = 0.288_675;

impl MashBalance {
    /// A mash of source water, salts, malts and acids.
    ///
    /// Neutral salts go into the ions, bases apart. Salts add to each other; see [`MashLiquor`] for what is
    /// assumed of the liquor. `None` without volume.
    #[must_use]
    pub fn new(
        malts: Vec<Malt>,
        source: &Water,
        volume: Volume,
        salts: &[(Salt, Mass)],
        acids: Vec<(Acid, Amount)>,
    ) -> Option<Self> {
        let litres = volume.litres();
        if !(litres.is_finite() && litres > 0.0) {
            return None;
        }
        let mut water = *source;
        let mut bases = Vec::new();
        for &(salt, mass) in salts {
            if let Some(base) = Base::in_salt(salt) {
                bases.push((base, Amount::from_mmol(mass.grams() / salt.molar_mass() * 1000.0)));
                continue;
            }
            for &ion in salt.ions() {
                let more = water.ion(ion) + salt.contribution(ion) * (mass.grams() / litres);
                water = water.with_ion(ion, more);
            }
        }
        Some(Self { malts, liquor: MashLiquor::new(water, volume), acids, bases })
    }

    /// Liquor to malt, L/kg; 4 without malt, where no malt depends on it.
    fn ratio(&self) -> f64 {
        let grist: f64 = self.malts.iter().map(|malt| malt.mass.kg()).sum();
        let ratio = self.liquor.volume.litres() / grist;
        if ratio.is_finite() { ratio } else { 4.0 }
    }

    /// Acid that must be added to bring the mash to a pH: negative where base must.
    ///
    /// Source: [`PROTON_BALANCE`]. Any pH; meaningful in [`MASH_RANGE`].
    #[must_use]
    pub fn demand(&self, ph: Ph) -> Charge {
        self.demand_of(self.liquor.analysed(), ph)
    }

    fn demand_of(&self, liquor: Analysed, ph: Ph) -> Charge {
        let ratio = self.ratio();
        let litres = self.liquor.volume.litres();
        let malts: f64 = self.malts.iter().map(|malt| malt.demand(ratio, ph)).sum();
        let water = liquor.demand(self.liquor.co2_lost, ph) - self.liquor.hardness_acid();
        let acids: f64 = self.acids.iter().map(|&(acid, amount)| acid.charge(amount, ph).meq()).sum();
        let lost = self.liquor.co2_lost.parts();
        let bases: f64 = self.bases.iter().map(|(base, amount)| amount.mmol() * base.taken(ph, lost)).sum();
        Charge::from_meq(malts + water.meq_per_litre() * litres - acids + bases)
    }

    /// The pH at which the mash settles, by false position (the Illinois form, which cannot leave the bracket).
    ///
    /// Source: [`PROTON_BALANCE`]. `None` when it would lie outside [`MASH_RANGE`] or a value is no number.
    #[must_use]
    pub fn ph(&self) -> Option<Ph> {
        let liquor = self.liquor.analysed();
        let demand = |ph: f64| self.demand_of(liquor, Ph::from_ph(ph)).meq();
        let (mut far, mut near) = (MASH_RANGE.low, MASH_RANGE.high);
        let (mut at_far, mut at_near) = (demand(far), demand(near));
        if !(at_far >= 0.0 && at_near <= 0.0) {
            return None;
        }
        for _ in 0..100 {
            let step = at_near * (near - far) / (at_near - at_far);
            // No step is left between two ends where nothing is demanded.
            if !step.is_finite() || step.abs() < 1e-14 {
                break;
            }
            let next = near - step;
            let at_next = demand(next);
            if (at_next > 0.0) == (at_near > 0.0) {
                at_far /= 2.0;
            } else {
                (far, at_far) = (near, at_near);
            }
            (near, at_near) = (next, at_next);
        }
        Some(Ph::from_ph(near))
    }

    /// The pH with its standard deviation.
    ///
    /// First order: each malt's pH and buffering, the hardness term ±15 %, the alkalinity ±5 %, up to half of
    /// the CO2 lost; independent of each other. A Monte Carlo of the same inputs gives 0.08 to 0.10 with class
    /// averages, 0.034 to 0.046 with measured malts (computed). `None` as for [`Self::ph`], or where the mash
    /// has no buffering.
    #[must_use]
    pub fn estimate(&self) -> Option<MashPh> {
        let ph = self.ph()?;
        let step = 1e-4;
        let slope = (self.demand(Ph::from_ph(ph.ph() + step)).meq()
            - self.demand(Ph::from_ph(ph.ph() - step)).meq())
            / (2.0 * step);
        let litres = self.liquor.volume.litres();
        let ratio = self.ratio();
        let mut variance = 0.0;
        for malt in &self.malts {
            let own = malt.parameters.ph.ph() + malt.thinning * (ratio - 4.0);
            let kg = malt.mass.kg();
            variance += (kg * malt.parameters.buffering.meq_per_kg_ph() * malt.parameters.ph_sd).powi(2);
            variance += (kg * malt.parameters.buffering_sd.meq_per_kg_ph() * (own - ph.ph())).powi(2);
        }
        variance += (HARDNESS_SD * self.liquor.hardness_acid().meq_per_litre() * litres).powi(2);
        variance += (ALKALINITY_SD * self.liquor.demand(ph).meq_per_litre() * litres).powi(2);
        let all_lost = |lost: f64| {
            let mut other = self.clone();
            other.liquor.co2_lost = Fraction::from_parts(lost);
            other.demand(ph).meq()
        };
        variance += (CO2_SD * (all_lost(1.0) - all_lost(0.0))).powi(2);
        let sd = (variance.sqrt() / slope).abs();
        sd.is_finite().then_some(MashPh { ph, sd })
    }

    /// Acid that brings the mash to a pH, beyond the acids already in it.
    ///
    /// Closed form: everything at the target (source: [`PROTON_BALANCE`]). `None` where the acid gives no
    /// proton or a value is no number. Add two thirds, stir, wait ten minutes, cool a sample and measure again.
    #[must_use]
    pub fn acid_to(&self, target: Ph, acid: Acid) -> Option<Dose<Amount>> {
        acid_for(self.demand(target), target, acid)
    }

    /// Base that brings the mash to a pH.
    ///
    /// As [`Self::acid_to`]. Chalk and lime by their share that acts, their calcium counted.
    #[must_use]
    pub fn base_to(&self, target: Ph, base: Base) -> Option<Dose<Amount>> {
        base_for(self.demand(target), target, base, self.liquor.co2_lost)
    }

    /// Acidulated malt that brings the mash to a pH, added or in place of as much of `displaced`.
    ///
    /// `D / [B_a·(pH − pHDI_a) + B_d·(pHDI_d − pH)]` (source: [`PROTON_BALANCE`]). Added malt is taken not to
    /// change the ratio of liquor. `None` where the malt is not more acid than the target.
    #[must_use]
    pub fn acidulated_malt_to(
        &self,
        target: Ph,
        acidulated: MaltParameters,
        displaced: Option<&MaltParameters>,
    ) -> Option<Dose<Mass>> {
        let gives = acidulated.buffering.meq_per_kg_ph() * (target.ph() - acidulated.ph.ph());
        let spared =
            displaced.map_or(0.0, |malt| malt.buffering.meq_per_kg_ph() * (malt.ph.ph() - target.ph()));
        let by_kg = gives + spared;
        if gives <= 0.0 {
            return None;
        }
        Dose::of(self.demand(target).meq(), by_kg, Mass::from_kg)
    }

    /// Acid that moves a measured mash from its pH to another.
    ///
    /// `[D(target) − D(measured)] / n_H(target)` (source: [`PROTON_BALANCE`]): the malts' own pH and the
    /// hardness drop out, so the error is that of the buffering, 15 to 20 %. A difference below 0.05 says
    /// nothing: meters are no better. `None` as for [`Self::acid_to`].
    #[must_use]
    pub fn acid_from_measured(&self, measured: Ph, target: Ph, acid: Acid) -> Option<Dose<Amount>> {
        acid_for(self.demand(target) - self.demand(measured), target, acid)
    }

    /// Base that moves a measured mash from its pH to another: as [`Self::acid_from_measured`].
    #[must_use]
    pub fn base_from_measured(&self, measured: Ph, target: Ph, base: Base) -> Option<Dose<Amount>> {
        base_for(self.demand(target) - self.demand(measured), target, base, self.liquor.co2_lost)
    }

    /// Buffering of the grist as a correction showed it: acid given less what the liquor took, over mass and
    /// change of pH.
    ///
    /// Source: [`PROTON_BALANCE`]. `given` is the acid's charge at the second pH ([`Acid::charge`]), negative
    /// for a base. `None` without grist or change. A value outside [`BUFFERING_RANGE`] points at the readings.
    #[must_use]
    pub fn buffering_from_log(&self, before: Ph, after: Ph, given: Charge) -> Option<Buffering> {
        let liquor = (self.liquor.demand(after) - self.liquor.demand(before)).meq_per_litre()
            * self.liquor.volume.litres();
        let grist: f64 = self.malts.iter().map(|malt| malt.mass.kg()).sum();
        let value = (given.meq() - liquor) / (grist * (before.ph() - after.ph()));
        value.is_finite().then(|| Buffering::from_meq_per_kg_ph(value))
    }
}

fn acid_for(charge: Charge, at: Ph, acid: Acid) -> Option<Dose<Amount>> {
    Dose::of(charge.meq(), acid.protons(at), Amount::from_mmol)
}

fn base_for(charge: Charge, at: Ph, base: Base, co2_lost: Fraction) -> Option<Dose<Amount>> {
    Dose::of(-charge.meq(), base.taken(at, co2_lost.parts()), Amount::from_mmol)
}

/// Acid that brings sparge liquor to a pH.
///
/// Source: [`crate::carbonate::CARBONATE`]. Closed is what a meter shows right after dosing; open is after
/// standing hot, and takes more. `None` without volume or where the acid gives no proton.
#[must_use]
pub fn sparge_acid(
    water: &Water,
    volume: Volume,
    target: Ph,
    acid: Acid,
    air: carbonate::Air,
) -> Option<Dose<Amount>> {
    let mmol = carbonate::acid_for(water, acid, target, air)? * volume.litres();
    let protons = acid.protons(target);
    Dose::of(mmol * protons, protons, Amount::from_mmol)
}

/// pH that the same wort shows at another temperature, from its pH at room temperature (20 °C).
///
/// Source: [`HOT_WORT`], −0.0078 a kelvin. For display alone, ±0.1: a meter's temperature compensation does not
/// do this. Valid in [`HOT_WORT_RANGE`]; outside it the same slope.
#[must_use]
pub fn at_temperature(room: Ph, temperature: Temperature) -> Ph {
    Ph::from_ph(room.ph() - 0.0078 * (temperature.celsius() - 20.0))
}

/// pH at room temperature (20 °C) of wort measured hot: the inverse of [`at_temperature`].
#[must_use]
pub fn at_room_temperature(hot: Ph, temperature: Temperature) -> Ph {
    Ph::from_ph(hot.ph() + 0.0078 * (temperature.celsius() - 20.0))
}

/// pH of a grist in distilled water by Troester's linear equation.
///
/// Source: [`TROESTER`]: `Σ pHDI·g + 5.7·Σ g_s − 0.14·Σ a_s·g_s / R`, shares g by mass, `a` the acidity of a
/// specialty malt to pH 5.7 in mEq/kg, R L/kg. A second opinion; on his own 24 mashes off by 0.05. Valid in
/// [`RATIO_RANGE`]. `None` for a ratio that is not positive.
#[must_use]
pub fn linear_grist_ph(base: &[(Fraction, Ph)], specialty: &[(Fraction, f64)], ratio: f64) -> Option<Ph> {
    let from_base: f64 = base.iter().map(|(share, ph)| share.parts() * ph.ph()).sum();
    let from_specialty: f64 =
        specialty.iter().map(|(share, acidity)| share.parts() * (5.7 - 0.14 * acidity / ratio)).sum();
    let ph = from_base + from_specialty;
    (ratio > 0.0 && ph.is_finite()).then(|| Ph::from_ph(ph))
}

/// Rise of mash pH by residual alkalinity, pH·L/mEq: `0.013·R + 0.013`. Source: [`TROESTER`]; valid in
/// [`RATIO_RANGE`].
#[must_use]
pub fn linear_slope(ratio: f64) -> f64 {
    0.013 * ratio + 0.013
}

/// Mash pH by Troester's linear equation: grist pH + slope × residual alkalinity. Source: [`TROESTER`]; valid
/// in [`RATIO_RANGE`].
#[must_use]
pub fn linear_mash_ph(grist: Ph, residual_alkalinity: Equivalents, ratio: f64) -> Ph {
    Ph::from_ph(grist.ph() + linear_slope(ratio) * residual_alkalinity.meq_per_litre())
}

/// Acidity of a caramel malt down to pH 5.7 by its colour, mEq/kg: `14.3 + 0.132·EBC`.
///
/// Source: [`MALTS`], regression of its 11 caramel malts (r² 0.77, standard deviation 10; computed). Valid in
/// [`CARAMEL_RANGE`].
#[must_use]
pub fn caramel_acidity(colour: Ebc) -> f64 {
    14.3 + 0.132 * colour.ebc()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(value: f64) -> Ph {
        Ph::from_ph(value)
    }

    fn grams(value: f64) -> Mass {
        Mass::from_grams(value)
    }

    fn malt(kg: f64, ph: f64, buffering: f64) -> Malt {
        let buffering = Buffering::from_meq_per_kg_ph(buffering);
        let parameters = MaltParameters { ph: p(ph), ph_sd: 0.1, buffering, buffering_sd: buffering * 0.15 };
        Malt::new(Mass::from_kg(kg), parameters)
    }

    #[test]
    fn a_base_takes_up_its_charge_less_what_stays_dissolved() {
        // At pH 5.4 and pK 6.30 a share of 0.1118 of the carbonate stays as bicarbonate.
        let kept = 0.1118;
        for (base, taken) in [
            (Base::Bicarbonate, 1.0 - kept),
            (Base::Carbonate, 2.0 - kept),
            // Alkalinity of 2 mEq less 2/3.5 for the calcium; of chalk half of both.
            (Base::Lime, 2.0 - 2.0 / 3.5),
            (Base::Chalk, 1.0 - 1.0 / 3.5),
        ] {
            let liquor = MashLiquor::new(Water::ION_FREE, Volume::from_litres(15.0));
            let plain =
                MashBalance { malts: vec![malt(4.0, 5.7, 36.0)], liquor, acids: vec![], bases: vec![] };
            let mut with = plain.clone();
            with.bases.push((base, Amount::from_mmol(7.0)));
            let more = with.demand(p(5.4)) - plain.demand(p(5.4));
            assert!((more.meq() - 7.0 * taken).abs() < 0.01, "{base:?}: {more:?}");
        }
    }

    #[test]
    fn salts_by_weight_give_the_mashes_of_the_reference() {
        let mash = |malts, water: Water, litres, salts: &[(Salt, Mass)]| {
            let balance = MashBalance::new(malts, &water, Volume::from_litres(litres), salts, vec![]);
            balance.unwrap().ph().unwrap().ph()
        };
        // 15 L without ions, 4 g of gypsum and of calcium chloride dihydrate; independent solver: 5.51083.
        let pale = vec![malt(4.0, 5.76, 36.0), malt(0.5, 5.46, 47.0), malt(0.25, 4.92, 40.0)];
        let salts = [(Salt::Gypsum, grams(4.0)), (Salt::CalciumChlorideDihydrate, grams(4.0))];
        assert!((mash(pale, Water::ION_FREE, 15.0, &salts) - 5.510_83).abs() < 0.001);
        // A stout with 2 g of baking soda; independent solver: 5.82386.
        let stout = vec![malt(4.5, 5.77, 36.0), malt(0.4, 4.68, 38.8), malt(0.3, 4.66, 48.5)];
        let water = Water {
            calcium: quantity::typed::Concentration::from_mg_per_litre(60.0),
            magnesium: quantity::typed::Concentration::from_mg_per_litre(8.0),
            alkalinity: Equivalents::from_meq_per_litre(3.5),
            ph: p(7.4),
            ..Water::ION_FREE
        };
        assert!((mash(stout, water, 16.0, &[(Salt::BakingSoda, grams(2.0))]) - 5.823_86).abs() < 0.001);
    }

    #[test]
    fn losing_all_the_co2_raises_the_ph_by_six_hundredths() {
        let water = Water {
            calcium: quantity::typed::Concentration::from_mg_per_litre(80.156),
            magnesium: quantity::typed::Concentration::from_mg_per_litre(7.2915),
            alkalinity: Equivalents::from_meq_per_litre(2.037),
            ph: p(7.6),
            ..Water::ION_FREE
        };
        let ph = |lost: f64| {
            let liquor = MashLiquor {
                co2_lost: Fraction::from_parts(lost),
                ..MashLiquor::new(water, Volume::from_litres(20.0))
            };
            let balance =
                MashBalance { malts: vec![malt(5.0, 5.76, 36.0)], liquor, acids: vec![], bases: vec![] };
            balance.ph().unwrap().ph()
        };
        assert!((ph(1.0) - ph(0.0) - 0.06).abs() < 0.01, "{}", ph(1.0) - ph(0.0));
    }

    #[test]
    fn malts_fall_into_their_rows() {
        use MaltForm::{Acidulated, Base, Caramel, MunichVienna, Roasted, Unmalted};
        for (form, wheat, ebc, class, ph, buffering) in [
            (Base, false, 3.5, MaltClass::Pilsner, 5.75, 36.0),
            (Base, false, 6.0, MaltClass::Pale, 5.77, 36.0),
            (Base, true, 4.0, MaltClass::Wheat, 6.05, 45.0),
            (MunichVienna, false, 7.0, MaltClass::Vienna, 5.56, 47.0),
            (MunichVienna, false, 17.0, MaltClass::Munich, 5.38, 47.0),
            (Caramel, false, 150.0, MaltClass::Caramel, 4.84, 48.0),
            (Roasted, false, 65.0, MaltClass::Biscuit, 5.08, 32.6),
            (Roasted, false, 299.0, MaltClass::Biscuit, 5.08, 32.6),
            (Roasted, false, 300.0, MaltClass::Roasted, 4.71, 42.0),
            (Roasted, false, 1300.0, MaltClass::Roasted, 4.71, 42.0),
            (Acidulated, false, 4.5, MaltClass::Acidulated, 3.43, 148.0),
            (Unmalted, true, 4.0, MaltClass::Unmalted, 6.0, 10.0),
        ] {
            let colour = Ebc::from_ebc(ebc);
            assert_eq!(MaltClass::of(form, wheat, colour), class, "{form:?} of {ebc} EBC");
            let row = class.parameters(colour);
            assert!((row.ph.ph() - ph).abs() < 0.005, "{class:?}: {:?}", row.ph);
            assert!((row.buffering.meq_per_kg_ph() - buffering).abs() < 0.005, "{class:?}");
        }
    }

    #[test]
    fn rows_that_no_form_names_are_those_of_the_table() {
        for (class, ph, buffering) in
            [(MaltClass::TwoRow, 5.60, 36.0), (MaltClass::SixRow, 5.79, 36.0), (MaltClass::Inert, 5.75, 0.0)]
        {
            let row = class.parameters(Ebc::from_ebc(3.0));
            assert!(
                (row.ph.ph() - ph).abs() < 1e-9 && (row.buffering.meq_per_kg_ph() - buffering).abs() < 1e-9
            );
        }
        // What was never measured is the least sure.
        let sd = |class: MaltClass, ebc| class.parameters(Ebc::from_ebc(ebc)).ph_sd;
        assert!(sd(MaltClass::Munich, 70.0) > sd(MaltClass::Munich, 17.0));
        assert!(sd(MaltClass::Unmalted, 4.0) > sd(MaltClass::Wheat, 4.0));
    }

    #[test]
    fn the_caramel_line_runs_through_the_malts_that_were_measured() {
        // Troester 2009: colour in EBC, pH in distilled water.
        let malts = [
            (25.0, 5.38),
            (52.0, 5.22),
            (90.0, 5.10),
            (105.0, 5.02),
            (120.0, 4.71),
            (150.0, 4.92),
            (158.0, 4.66),
            (237.0, 4.77),
            (317.0, 4.75),
            (396.0, 4.48),
            (400.0, 4.48),
        ];
        let off = |(ebc, ph): (f64, f64)| MaltClass::Caramel.parameters(Ebc::from_ebc(ebc)).ph.ph() - ph;
        let count = malts.len() as f64;
        let mean = malts.map(off).iter().sum::<f64>() / count;
        let squares = malts.map(|malt| off(malt).powi(2)).iter().sum::<f64>();
        assert!(mean.abs() < 0.01, "{mean}");
        // Two parameters were fitted.
        let sd = (squares / (count - 2.0)).sqrt();
        assert!((sd - 0.12).abs() < 0.01, "{sd}");
        // The acidity by colour likewise: the printed regression of the same malts.
        assert!((caramel_acidity(Ebc::from_ebc(100.0)) - 27.5).abs() < 1e-9);
    }

    #[test]
    fn hot_wort_reads_lower_and_back() {
        let hot = at_temperature(p(5.4), Temperature::from_celsius(65.0));
        assert!(hot < p(5.1));
        assert!((at_room_temperature(hot, Temperature::from_celsius(65.0)).ph() - 5.4).abs() < 1e-12);
    }
}
