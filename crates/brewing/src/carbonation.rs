//! Carbon dioxide in beer: equilibrium, residual, priming, pressure, and what escapes into a room.
//!
//! A volume of CO2 is the gas at 0 °C and 1 atm by volume of beer, 1.977 g/L.

use quantity::typed::{
    AbsolutePressure, Carbonation, Concentration, Density, Fraction, GaugePressure, Gravity, Mass, Plato,
    Temperature, Volume,
};

use crate::alcohol::REAL_FROM_APPARENT;
use crate::atmosphere::SEA_LEVEL;
use crate::gravity;
use crate::source::{Basis, Source};
use crate::validity::Range;

/// CO2 in beer under pressure.
pub const DELANGE: Source = Source::new(
    "deLange 2011",
    "A. J. deLange, CO2 Volumes in Beer, 2011, a Henry form fitted to the ASBC Beer-13 table: \
     V = (P + ambient) (0.01821 + 0.090115 e^(-(T - 32) / 43.11)) - 0.003342, psi and °F; coefficients quoted \
     from memory, within 0.05 vol of 25 published cells.",
    Basis::FromMemory,
);
/// CO2 in pure water.
pub const WEISS: Source = Source::new(
    "Weiss 1974",
    "R. F. Weiss 1974, Marine Chemistry 2, 203-215: solubility of CO2 in pure water.",
    Basis::FromMemory,
);
/// CO2 left after fermentation.
pub const HIBBERD: Source = Source::new(
    "Hibberd 1995",
    "M. Hibberd, A Primer on Priming, 1995, table of CO2 left after fermentation; the fit \
     1.711 - 0.05875 T + 0.000849 T^2 is ours, within 0.011 vol from 0 to 22 °C.",
    Basis::Published,
);
/// CO2 from sugar.
pub const PRIMING: Source = Source::new(
    "stoichiometry of priming",
    "Stoichiometry of fermentation: g of CO2 from a g 0.4886 anhydrous glucose, 0.4442 glucose monohydrate, \
     0.5143 sucrose; one volume is 1.977 g/L. Yeast keeps a few per cent.",
    Basis::Computed,
);
/// CO2 from fermented extract.
pub const BALLING_CO2: Source = Source::new(
    "Balling, CO2",
    "Balling 1865: 2.0665 g of extract give 1 g of alcohol, 0.9565 g of CO2 and 0.11 g of yeast.",
    Basis::FromMemory,
);
/// Limits of CO2 in the air of a room.
pub const CO2_LIMITS: Source = Source::new(
    "CO2 exposure limits",
    "UK workplace limits 0.5 % over 8 h and 1.5 % for 15 min, US dangerous level 4 %, as quoted in the trade \
     press; the rules of the place decide.",
    Basis::Published,
);

/// Temperatures, °C, at which the equilibrium was checked against a published table and independent fits.
pub const EQUILIBRIUM_RANGE: Range = Range::new(0.0, 27.0, DELANGE);
/// Temperatures, °C, of the table of residual CO2.
pub const RESIDUAL_RANGE: Range = Range::new(0.0, 22.0, HIBBERD);
/// Temperatures, °C, of the solubility in pure water.
pub const CEILING_RANGE: Range = Range::new(0.0, 40.0, WEISS);

/// Mass of one volume of CO2, g/L: density of the real gas at 0 °C and 1 atm (the ideal gas gives 1.963).
pub const GRAMS_BY_VOLUME: f64 = 1.977;

/// CO2 from a gram of fermented extract, g. Source: [`BALLING_CO2`].
pub const BALLING_YIELD: f64 = 0.9565 / 2.0665;

/// Molar mass of CO2, g/mol.
const CO2: f64 = 44.0095;

/// bar to psi.
const PSI: f64 = 14.503_773_773;

/// Volumes that a pressure of one psi holds, and the constant that is taken off.
fn henry(at: Temperature) -> (f64, f64) {
    (0.018_21 + 0.090_115 * (-(at.fahrenheit() - 32.0) / 43.11).exp(), 0.003_342)
}

/// CO2 in beer that stands under a gauge pressure at a temperature.
///
/// Source: [`DELANGE`], also within 0.05 vol of three other fits up to 27 °C. `ambient` is the local pressure of the air: gauge charts assume sea level. Valid in [`EQUILIBRIUM_RANGE`] and up to about
/// 5 vol; outside it computed alike and not checked; above about 40 °C it exceeds pure water. Not below 0.
#[must_use]
pub fn equilibrium(gauge: GaugePressure, at: Temperature, ambient: AbsolutePressure) -> Carbonation {
    let (slope, offset) = henry(at);
    Carbonation::from_volumes(((gauge.bar() + ambient.bar()) * PSI * slope - offset).max(0.0))
}

/// Gauge pressure that holds a carbonation at a temperature: the inverse of [`equilibrium`].
///
/// Also the pressure in a closed container whose beer holds that much CO2, headspace and sugar left out.
/// Negative when the air alone would hold more. Ranges as there.
#[must_use]
pub fn gauge_pressure(target: Carbonation, at: Temperature, ambient: AbsolutePressure) -> GaugePressure {
    let (slope, offset) = henry(at);
    GaugePressure::from_bar((target.volumes() + offset) / slope / PSI - ambient.bar())
}

/// CO2 that pure water would hold under the same gas: no beer holds more.
///
/// Source: [`WEISS`], with 22.26 L/mol at 0 °C and 1 atm. Valid in [`CEILING_RANGE`]; outside it computed alike.
#[must_use]
pub fn pure_water_ceiling(gauge: GaugePressure, at: Temperature, ambient: AbsolutePressure) -> Carbonation {
    let hundreds = (at.celsius() + 273.15) / 100.0;
    let solubility = (-58.0931 + 90.5069 / hundreds + 22.2940 * hundreds.ln()).exp();
    let atmospheres = (gauge.bar() + ambient.bar()) / SEA_LEVEL.bar();
    Carbonation::from_volumes(solubility * 22.26 * atmospheres)
}

/// CO2 left in beer that fermented without pressure, by the warmest temperature it has seen since.
///
/// Source: [`HIBBERD`] in [`RESIDUAL_RANGE`]; above it [`equilibrium`] at no gauge pressure and sea level, which
/// is 0.04 vol less where they meet. Below 0 °C as at 0 °C. The table follows pure water and is 0.04 to
/// 0.12 vol above the fits for beer, so it under-primes slightly. No number gives no number.
#[must_use]
pub fn residual(warmest: Temperature) -> Carbonation {
    let t = warmest.celsius();
    if t > 22.0 {
        return equilibrium(GaugePressure::from_bar(0.0), warmest, SEA_LEVEL);
    }
    let t = if t < 0.0 { 0.0 } else { t };
    Carbonation::from_volumes(1.711 - 0.058_75 * t + 0.000_849 * t * t)
}

/// What beer is primed with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PrimingSugar {
    /// C₆H₁₂O₆.
    GlucoseAnhydrous,
    /// C₆H₁₂O₆·H₂O: what is sold as dextrose or corn sugar.
    GlucoseMonohydrate,
    /// C₁₂H₂₂O₁₁: cane and beet sugar.
    Sucrose,
    /// Anything else by its extract (share of its mass) and how much of that ferments: malt extract, honey,
    /// syrup. Ferments as maltose does.
    Extract {
        /// Extract by mass.
        extract: Fraction,
        /// Share of the extract that yeast ferments, real.
        fermentability: Fraction,
    },
    /// A stated yield, g of CO2 from a g.
    Yield(f64),
}

impl PrimingSugar {
    /// CO2 from a gram, g.
    ///
    /// Source: [`PRIMING`]. An upper bound. Any shares from 0 to 1.
    #[must_use]
    pub fn co2_yield(self) -> f64 {
        const SUCROSE: f64 = 4.0 * CO2 / 342.297;
        match self {
            Self::GlucoseAnhydrous => 2.0 * CO2 / 180.156,
            Self::GlucoseMonohydrate => 2.0 * CO2 / 198.171,
            Self::Sucrose => SUCROSE,
            Self::Extract { extract, fermentability } => extract.parts() * fermentability.parts() * SUCROSE,
            Self::Yield(given) => given,
        }
    }
}

/// Priming sugar for a litre of beer, g/L as a concentration: `(target − residual)·1.977 / y`.
///
/// Source: [`PRIMING`]. 0 when the beer already holds the target; `None` for a sugar that gives no CO2
/// or values that are no numbers. Over-priming bursts bottles: compare the target with the container.
#[must_use]
pub fn priming_rate(
    target: Carbonation,
    residual: Carbonation,
    sugar: PrimingSugar,
) -> Option<Concentration> {
    let wanted = (target - residual).volumes();
    let grams = wanted.max(0.0) * GRAMS_BY_VOLUME / sugar.co2_yield();
    (wanted.is_finite() && grams.is_finite() && grams >= 0.0)
        .then(|| Concentration::from_mg_per_litre(grams * 1000.0))
}

/// Priming sugar for a volume of beer: [`priming_rate`] × volume.
#[must_use]
pub fn priming_sugar(
    target: Carbonation,
    residual: Carbonation,
    sugar: PrimingSugar,
    beer: Volume,
) -> Option<Mass> {
    let mass =
        Mass::from_grams(priming_rate(target, residual, sugar)?.mg_per_litre() / 1000.0 * beer.litres());
    mass.is_finite().then_some(mass)
}

/// Carbonation that a mass of sugar adds to a volume of beer: the inverse of [`priming_sugar`].
///
/// `None` without beer.
#[must_use]
pub fn carbonation_from_priming(sugar: PrimingSugar, mass: Mass, beer: Volume) -> Option<Carbonation> {
    let volumes = mass.grams() * sugar.co2_yield() / GRAMS_BY_VOLUME / beer.litres();
    volumes.is_finite().then(|| Carbonation::from_volumes(volumes))
}

/// Carbonation from extract that ferments in a closed container: drop of real extract × density × Balling's
/// yield.
///
/// Source: [`BALLING_CO2`]. For beer that loses 0.001 SG it comes to 0.49 vol. A drop that is
/// negative gives a negative value.
#[must_use]
pub fn carbonation_from_real_extract(drop: Plato, density: Density) -> Carbonation {
    let grams = drop.plato() * 10.0 * density.kg_per_litre() * BALLING_YIELD;
    Carbonation::from_volumes(grams / GRAMS_BY_VOLUME)
}

/// Carbonation from gravity still to ferment in a closed container, as a hydrometer shows it: the real drop
/// is 0.8192 of the apparent one.
///
/// Source: [`BALLING_CO2`], extract by [`gravity::plato`]. 0.49 vol for 0.001 SG. Negative when `to` lies above
/// `from`.
#[must_use]
pub fn carbonation_from_gravity(from: Gravity, to: Gravity) -> Carbonation {
    let drop = (gravity::plato(from) - gravity::plato(to)) * REAL_FROM_APPARENT;
    carbonation_from_real_extract(drop, gravity::density(to))
}

/// Mass of CO2 that a fermentation sets free: extract × real degree of fermentation × Balling's yield.
///
/// Source: [`BALLING_CO2`]. 20 L at 1.048 give 0.72 kg. CO2 suffocates: ventilate, and follow local rules.
#[must_use]
pub fn co2_released(extract: Mass, real_degree: Fraction) -> Mass {
    extract * (real_degree.parts() * BALLING_YIELD)
}

/// Volume of a mass of CO2 as a gas, L: ideal gas law from the density of the real gas at 0 °C and 1 atm
/// (computed).
///
/// `None` at or below absolute zero or without pressure.
#[must_use]
pub fn gas_volume(mass: Mass, at: Temperature, ambient: AbsolutePressure) -> Option<Volume> {
    let kelvin = at.celsius() + 273.15;
    let litres = mass.grams() / GRAMS_BY_VOLUME * kelvin / 273.15 * SEA_LEVEL.bar() / ambient.bar();
    (kelvin > 0.0 && litres.is_finite() && litres >= 0.0).then(|| Volume::from_litres(litres))
}

/// Share of a room's air that a volume of gas makes when nothing is aired. `None` without a room.
///
/// Definition. Compare with [`CO2_LIMITS`].
#[must_use]
pub fn share_of_room(gas: Volume, room: Volume) -> Option<Fraction> {
    let share = gas / room;
    (room.litres() > 0.0 && share.is_finite()).then(|| Fraction::from_parts(share))
}
