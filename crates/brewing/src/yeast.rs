//! Yeast: cells to pitch, viability, starters, the effect of the mash, the heat of fermentation.
//!
//! Cells are in billions, rates in million/mL/°P. Everything about growth and age is uncertain by tens of
//! per cent: show ranges.

use quantity::typed::{
    CellDensity, Cells, CellsPerMass, Fraction, Gravity, Mass, PitchRate, Plato, Temperature,
    TemperatureStep, Time, Volume,
};

use crate::gravity;
use crate::source::{Basis, Source};
use crate::table::interpolate;
use crate::validity::Range;

/// Pitching rates.
pub const PITCH_RATES: Source = Source::new(
    "Fix, pitching rates",
    "G. Fix, An Analysis of Brewing Techniques, as quoted: 0.75 million/mL/°P for ale, 1.5 for lager; 1.0 for \
     hybrids and 0.75 for wild yeasts are common practice.",
    Basis::Published,
);
/// Cells in dry yeast.
pub const DRY_COUNTS: Source = Source::new(
    "Van den Berg and Van Landschoot 2003",
    "Van den Berg and Van Landschoot 2003, Cerevisia 28(3), Table 1, as quoted: 8 to 18 billion cells a gram \
     over six strains; makers state at least 5 to 6.",
    Basis::Published,
);
/// Ageing of yeast.
pub const AGEING: Source = Source::new(
    "viability by age",
    "Liquid: producers' statements of 75 to 85 % after 30 days, second-hand, as an exponential. Slurry: counts \
     of seven slurries by a practitioner, 2012. Dry: a producer's statement, second-hand. All weak.",
    Basis::CommonPractice,
);
/// Growth in a still starter.
pub const STILL_GROWTH: Source = Source::new(
    "White and Zainasheff 2010",
    "White and Zainasheff, Yeast, 2010, fig. 5.5; the fit F = 11.16 r^-0.4335 to four of its points is ours.",
    Basis::Published,
);
/// Growth in a stirred starter.
pub const STIRRED_GROWTH: Source = Source::new(
    "Troester 2012-13",
    "K. Troester's growth experiments 2012-13: 1.4 billion new cells a gram of extract below 1.4 billion a gram \
     at the start, then 2.33 - 0.67 x start, none from 3.5; within 25 %.",
    Basis::FromMemory,
);
/// Effect of the mash temperature on attenuation.
pub const MASH_EFFECT: Source = Source::new(
    "Chandrasekhar",
    "J. Chandrasekhar, second-hand: apparent attenuation 82, 70, 50 and 30 % after a rest at 65, 70, 75 and \
     80 °C, 90 % lager malt and 10 % dextrin malt at 3:1.",
    Basis::Published,
);
/// Heat of fermentation.
pub const HEAT: Source = Source::new(
    "heat of fermentation",
    "252 Btu a pound of fermented extract (586 kJ/kg), from a brewers' forum, second-hand; 4.0 kJ/(kg K) for wort.",
    Basis::CommonPractice,
);

/// Kind of yeast as far as its pitching rate goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Ale yeast.
    Ale,
    /// Cool ale and warm lager yeasts.
    Hybrid,
    /// Lager yeast.
    Lager,
    /// Brettanomyces and mixed cultures.
    Wild,
}

impl Kind {
    /// Pitching rate when none is written: 0.75 ale and wild, 1.0 hybrid, 1.5 lager, million/mL/°P.
    ///
    /// Source: [`PITCH_RATES`].
    #[must_use]
    pub const fn default_rate(self) -> PitchRate {
        PitchRate::from_million_per_ml_plato(match self {
            Self::Ale | Self::Wild => 0.75,
            Self::Hybrid => 1.0,
            Self::Lager => 1.5,
        })
    }
}

/// Viable cells that a rate asks for: rate × volume × extract.
///
/// Definition. Values that are not negative.
#[must_use]
pub fn cells_needed(rate: PitchRate, wort: Volume, extract: Plato) -> Cells {
    // million/mL/°P × mL × °P: a thousand mL to the litre, a thousand million to the billion.
    Cells::from_billions(rate.million_per_ml_plato() * wort.litres() * extract.plato())
}

/// Rate at which cells are pitched: the inverse of [`cells_needed`]. `None` without wort or extract.
#[must_use]
pub fn pitch_rate(cells: Cells, wort: Volume, extract: Plato) -> Option<PitchRate> {
    let rate = cells.billions() / (wort.litres() * extract.plato());
    (rate.is_finite() && wort.litres() > 0.0 && extract.plato() > 0.0)
        .then(|| PitchRate::from_million_per_ml_plato(rate))
}

/// Cells in wort or slurry, million/mL. Definition.
///
/// `None` without volume.
#[must_use]
pub fn cell_density(cells: Cells, volume: Volume) -> Option<CellDensity> {
    let density = cells.billions() / volume.litres();
    (density.is_finite() && volume.litres() > 0.0).then(|| CellDensity::from_million_per_ml(density))
}

/// Viable cells in a volume of slurry, billions. Definition; a share from 0 to 1.
#[must_use]
pub fn slurry_cells(volume: Volume, density: CellDensity, viability: Fraction) -> Cells {
    Cells::from_billions(volume.litres() * density.million_per_ml() * viability.parts())
}

/// Cells by mass of dry yeast when nothing is written: 10 billion/g, to be shown with
/// [`DRY_YEAST_RANGE`].
///
/// Source: [`DRY_COUNTS`].
pub const DRY_YEAST: CellsPerMass = CellsPerMass::from_billions_per_gram(10.0);
/// Billion cells in a gram of dry yeast that were counted or are stated.
pub const DRY_YEAST_RANGE: Range = Range::new(5.0, 18.0, DRY_COUNTS);

/// Cells in a mass of dry yeast, billions. Definition.
#[must_use]
pub fn dry_cells(mass: Mass, by_mass: CellsPerMass) -> Cells {
    Cells::from_billions(mass.grams() * by_mass.billions_per_gram())
}

/// Dry yeast that holds these cells: the inverse of [`dry_cells`]. `None` without cells in a gram.
#[must_use]
pub fn dry_mass(cells: Cells, by_mass: CellsPerMass) -> Option<Mass> {
    let grams = cells.billions() / by_mass.billions_per_gram();
    (grams.is_finite() && by_mass.billions_per_gram() > 0.0).then(|| Mass::from_grams(grams))
}

/// How yeast was kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Keeping {
    /// A liquid pack in the cold.
    Liquid,
    /// Harvested slurry in the cold.
    Slurry,
    /// A dry pack; unopened.
    Dry,
}

/// Age (d) of a liquid pack for which losses are told of.
pub const LIQUID_AGE_RANGE: Range = Range::new(0.0, 120.0, AGEING);
/// Age (d) of a slurry for which losses are told of.
pub const SLURRY_AGE_RANGE: Range = Range::new(0.0, 60.0, AGEING);
/// Age (d) of a dry pack for which losses are told of.
pub const DRY_AGE_RANGE: Range = Range::new(0.0, 1095.0, AGEING);

impl Keeping {
    /// Ages in days that [`viability`] is known to hold for.
    #[must_use]
    pub const fn ages(self) -> &'static Range {
        match self {
            Self::Liquid => &LIQUID_AGE_RANGE,
            Self::Slurry => &SLURRY_AGE_RANGE,
            Self::Dry => &DRY_AGE_RANGE,
        }
    }
}

/// A share of living cells with the range it may lie in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Viability {
    /// The pessimistic end.
    pub low: Fraction,
    /// What is computed with.
    pub typical: Fraction,
    /// The optimistic end.
    pub high: Fraction,
}

/// Share of cells still living after `age`, of those that lived at first.
///
/// Source: [`AGEING`]. Liquid: 0.80 a 30 days, 0.75 to 0.85. Slurry: −0.2 % a day, −0.8 to +0.1. Dry: −4 % a
/// year at 4 °C to −20 % at 20 °C, 10 % taken as typical. Valid for [`Keeping::ages`]; beyond it the same curves,
/// never outside 0 to 1. A negative age counts as fresh; no number gives no number.
#[must_use]
pub fn viability(keeping: Keeping, age: Time) -> Viability {
    let days = (age.minutes() / 1440.0).max(0.0);
    let days = if age.minutes().is_nan() { f64::NAN } else { days };
    let monthly = |left: f64| left.powf(days / 30.0);
    let daily = |change: f64| 1.0 + change * days;
    let yearly = |left: f64| left.powf(days / 365.25);
    let share = |value: f64| Fraction::from_parts(value.clamp(0.0, 1.0));
    let (low, typical, high) = match keeping {
        Keeping::Liquid => (monthly(0.75), monthly(0.80), monthly(0.85)),
        Keeping::Slurry => (daily(-0.008), daily(-0.002), daily(0.001)),
        Keeping::Dry => (yearly(0.80), yearly(0.90), yearly(0.96)),
    };
    Viability { low: share(low), typical: share(typical), high: share(high) }
}

/// How a starter is kept moving.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Starter {
    /// Standing, not aired.
    Still,
    /// On a stir plate.
    Stirred,
}

/// Cells at the start that the curve of a still starter was drawn for, million/mL.
pub const STILL_RANGE: Range = Range::new(25.0, 200.0, STILL_GROWTH);

/// Uncertainty of a starter's growth, of the value (common practice; the runs of F. L. Johnson, Homebrew
/// Digest 5845, 2011, scatter by 46 % when aired).
pub const STARTER_TOLERANCE: Fraction = Fraction::from_parts(0.25);

impl Starter {
    /// Cells after a starter of this volume and extract has fermented.
    ///
    /// Still: start × `11.16·r^−0.4335`, r million/mL at the start, in wort of about 9 °P; valid in
    /// [`STILL_RANGE`]. Stirred: by the cells to a gram of extract, ±25 %. Sources: [`STILL_GROWTH`],
    /// [`STIRRED_GROWTH`]. Outside the range the same curve, never fewer cells than at the start. `None` without
    /// cells or wort.
    #[must_use]
    pub fn grow(self, start: Cells, wort: Volume, extract: Mass) -> Option<Cells> {
        let cells = start.billions();
        let grown = match self {
            Self::Still => {
                let rate = cell_density(start, wort)?.million_per_ml();
                cells * 11.16 * rate.powf(-0.4335)
            }
            Self::Stirred => {
                let grams = extract.grams();
                let by_gram = cells / grams;
                let new = if by_gram < 1.4 { 1.4 } else { (2.33 - 0.67 * by_gram).max(0.0) };
                cells + new * grams
            }
        };
        (cells > 0.0 && grown.is_finite() && extract.grams() > 0.0)
            .then(|| Cells::from_billions(grown.max(cells)))
    }

    /// Volume of a starter that grows `start` into `target`, in wort of this much extract by litre.
    ///
    /// The inverse of [`Starter::grow`], with the same curves and ranges. 0 when there are cells enough;
    /// `None` without cells or extract.
    #[must_use]
    pub fn volume_for(self, start: Cells, target: Cells, extract_by_litre: Mass) -> Option<Volume> {
        let (cells, wanted) = (start.billions(), target.billions());
        let by_litre = extract_by_litre.grams();
        if !(cells > 0.0 && wanted.is_finite() && by_litre > 0.0) {
            return None;
        }
        if wanted <= cells {
            return Some(Volume::from_litres(0.0));
        }
        let litres = match self {
            Self::Still => cells / (wanted / cells / 11.16).powf(-1.0 / 0.4335),
            Self::Stirred => {
                let few = (wanted - cells) / 1.4;
                // Where the start is crowded, growth falls off.
                let grams = if cells / few < 1.4 { few } else { (wanted - cells + 0.67 * cells) / 2.33 };
                grams / by_litre
            }
        };
        litres.is_finite().then(|| Volume::from_litres(litres))
    }
}

/// One step of a starter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StarterStep {
    /// How it is kept moving.
    pub kind: Starter,
    /// Its wort.
    pub wort: Volume,
    /// Extract in that wort.
    pub extract: Mass,
}

/// Cells after each step of a starter, each step begun with all cells of the one before.
///
/// [`Starter::grow`] repeated. `None` as soon as a step cannot be computed.
#[must_use]
pub fn starter_steps(start: Cells, steps: &[StarterStep]) -> Option<Vec<Cells>> {
    let mut cells = start;
    steps
        .iter()
        .map(|step| {
            cells = step.kind.grow(cells, step.wort, step.extract)?;
            Some(cells)
        })
        .collect()
}

/// Dry malt extract for the wort of a starter; `solids` is its share of extract, about 0.97.
///
/// Extract of the wort ([`gravity::extract_mass`]) over its share. `None` for a share that is not positive.
#[must_use]
pub fn starter_malt_extract(wort: Volume, gravity: Gravity, solids: Fraction) -> Option<Mass> {
    let mass = gravity::extract_mass(wort, gravity) / solids.parts();
    (solids.parts() > 0.0 && mass.is_finite()).then_some(mass)
}

/// New cells to a millilitre and a degree Plato fermented; above 20 there was air (O. Nielsen 2005, quoted by
/// White & Zainasheff 2010). `None` when nothing fermented.
#[must_use]
pub fn yield_factor(before: CellDensity, after: CellDensity, fermented: Plato) -> Option<f64> {
    let factor = (after.million_per_ml() - before.million_per_ml()) / fermented.plato();
    (fermented.plato() > 0.0 && factor.is_finite()).then_some(factor)
}

/// Temperatures of a single rest for which the effect on attenuation was reported, °C.
pub const MASH_EFFECT_RANGE: Range = Range::new(65.0, 80.0, MASH_EFFECT);

/// The rest that stated attenuations are taken to be for (common practice, no source).
pub const USUAL_REST: Temperature = Temperature::from_celsius(66.0);

/// Change of apparent attenuation when the saccharification rest is not the usual one, to be added.
///
/// Source: [`MASH_EFFECT`], linear between its points, as the difference from [`USUAL_REST`]. Off by default in the figures. Valid in [`MASH_EFFECT_RANGE`]; outside it the end value.
/// `None` for no number.
#[must_use]
pub fn mash_temperature_effect(rest: Temperature) -> Option<Fraction> {
    const ROWS: [(f64, f64); 4] = [(65.0, 0.82), (70.0, 0.70), (75.0, 0.50), (80.0, 0.30)];
    let at = |t: Temperature| interpolate(&ROWS, t.celsius());
    rest.is_finite().then(|| Fraction::from_parts(at(rest) - at(USUAL_REST)))
}

/// Heat of fermentation of a kg of extract, kJ. Source: [`HEAT`].
pub const FERMENTATION_HEAT: f64 = 586.0;

/// Rise of temperature of wort that ferments without losing heat: `RDF·OE/100·586 / 4.0`.
///
/// Source: [`HEAT`]; 1.048 gives 10.8 K. The ceiling of a free
/// rise is the pitching temperature and this; real vessels lose much of it.
#[must_use]
pub fn adiabatic_rise(original: Plato, real_degree: Fraction) -> TemperatureStep {
    TemperatureStep::from_kelvin(real_degree.parts() * original.plato() / 100.0 * FERMENTATION_HEAT / 4.0)
}
