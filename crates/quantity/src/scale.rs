//! Scales that are no simple factor: colour, extract potential, diastatic power, hardness, pressure.
//!
//! Every function is total: finite values give finite values.

use crate::typed::{
    AbsolutePressure, Concentration, DiastaticPower, Ebc, Equivalents, Fraction, GaugePressure, Lovibond, Srm,
};
use crate::{Dimension, Quantity, UnitId};

/// EBC units in one SRM, for beer, as the trade rounds it.
///
/// By definition EBC = 25·A430 and SRM = 12.7·A430 (1 cm), which is 1.9685.
pub const EBC_PER_SRM: f64 = 1.97;

/// Slope and offset of °L = 0.375·EBC + 0.56, for malt (Siebel Institute, as printed by a maltster).
const LOVIBOND_SLOPE: f64 = 0.375;
const LOVIBOND_OFFSET: f64 = 0.56;

/// Grams of carbon dioxide in a litre at one volume: 44.01 g/mol over 22.26 L/mol (0 °C, 1 atm).
pub const CO2_G_PER_L_AT_ONE_VOLUME: f64 = 1.977;

/// Gravity points by pound and US gallon of pure sucrose, near 100 g/L (from the ASBC extract tables).
pub const SUCROSE_PPG: f64 = 46.21;

/// Litre-degrees by kilogram in one point by pound and US gallon: US gal in L over lb in kg, exact.
pub const L_DEGREES_PER_KG_PER_PPG: f64 = 3.785_411_784 / 0.453_592_37;

/// Below this many °WK the formula for °Lintner is not used: it gives 4.6 °L to a grain without enzymes.
pub const LINTNER_FORMULA_FROM_WK: f64 = 20.0;
const LINTNER_AT_THAT: f64 = (LINTNER_FORMULA_FROM_WK + 16.0) / 3.5;

/// Standard atmosphere in bar, for pressures whose surroundings are not stated.
pub const STANDARD_ATMOSPHERE_BAR: f64 = 1.013_25;

/// Colour of beer: EBC = 1.97 · SRM.
#[must_use]
pub const fn ebc_from_srm(colour: Srm) -> Ebc {
    Ebc::from_ebc(colour.srm() * EBC_PER_SRM)
}

/// Colour of beer: SRM = EBC / 1.97.
#[must_use]
pub const fn srm_from_ebc(colour: Ebc) -> Srm {
    Srm::from_srm(colour.ebc() / EBC_PER_SRM)
}

/// Colour of malt: °L = 0.375·EBC + 0.56; a colour of 0 (or less) is 0.
///
/// Source: Siebel Institute, as printed by a maltster; EBC = 2.65·°L − 1.2 (Noonan) agrees within 0.7 %.
#[must_use]
pub fn lovibond_from_ebc(colour: Ebc) -> Lovibond {
    let ebc = colour.ebc();
    Lovibond::from_lovibond(if ebc > 0.0 { LOVIBOND_SLOPE * ebc + LOVIBOND_OFFSET } else { 0.0 })
}

/// Colour of malt: EBC = (°L − 0.56) / 0.375, and 0 for anything up to 0.56 °L.
///
/// Source: as [`lovibond_from_ebc`].
#[must_use]
pub fn ebc_from_lovibond(colour: Lovibond) -> Ebc {
    Ebc::from_ebc(((colour.lovibond() - LOVIBOND_OFFSET) / LOVIBOND_SLOPE).max(0.0))
}

/// Diastatic power in °Lintner: (°WK + 16) / 3.5 from 20 °WK up, a straight line to 0 below.
///
/// Source: encyclopaedia article on diastatic power for the formula. The line below 20 °WK is our choice:
/// it meets the formula at 20 and gives no enzymes to unmalted grain.
#[must_use]
pub fn lintner_from_wk(power: DiastaticPower) -> f64 {
    let wk = power.wk();
    if wk >= LINTNER_FORMULA_FROM_WK {
        (wk + 16.0) / 3.5
    } else {
        wk * (LINTNER_AT_THAT / LINTNER_FORMULA_FROM_WK)
    }
}

/// Diastatic power from °Lintner; the inverse of [`lintner_from_wk`].
#[must_use]
pub fn wk_from_lintner(lintner: f64) -> DiastaticPower {
    DiastaticPower::from_wk(if lintner >= LINTNER_AT_THAT {
        3.5 * lintner - 16.0
    } else {
        lintner * (LINTNER_FORMULA_FROM_WK / LINTNER_AT_THAT)
    })
}

/// The extract share of an extract potential: `80 %` as it stands, `37 ppg` over 46.21, `305 L°/kg` over
/// 385.6. `None` for any other unit.
///
/// A potential in points counts the grain as it lies; a percentage counts it as its definition says.
#[must_use]
pub fn extract_share(potential: Quantity) -> Option<Fraction> {
    let share = match potential.dimension() {
        Dimension::Proportion => potential.canonical().ok()?,
        Dimension::ExtractPotential => {
            potential.convert(UnitId::PPG).ok().map(|potential| potential.value / SUCROSE_PPG)?
        }
        _ => return None,
    };
    Some(Fraction::from_parts(share))
}

/// An extract share as a potential in points by pound and US gallon: share × 46.21.
#[must_use]
pub fn ppg_from_share(share: Fraction) -> f64 {
    share.parts() * SUCROSE_PPG
}

/// An extract share as a potential in litre-degrees by kilogram: share × 385.6.
#[must_use]
pub fn l_degrees_per_kg_from_share(share: Fraction) -> f64 {
    share.parts() * SUCROSE_PPG * L_DEGREES_PER_KG_PER_PPG
}

/// Milligrams of calcium carbonate in a milliequivalent (IUPAC 2021 masses).
pub const MG_CACO3_PER_MEQ: f64 = 50.043;

/// Alkalinity in any unit that states one: mEq/L, `ppm as CaCO3`, dH, fH, clark, and mmol/L of acid
/// bound (1 mmol/L is 1 mEq/L). `None` otherwise: plain ppm does not say ppm of what.
#[must_use]
pub fn alkalinity(quantity: Quantity) -> Option<Equivalents> {
    match quantity.dimension() {
        Dimension::Equivalents | Dimension::AmountConcentration => {
            quantity.canonical().ok().map(Equivalents::from_meq_per_litre)
        }
        _ => None,
    }
}

/// Total hardness in any unit that states one: as [`alkalinity`], but mmol/L counts calcium and
/// magnesium, which carry two charges (1 mmol/L is 2 mEq/L).
#[must_use]
pub fn hardness(quantity: Quantity) -> Option<Equivalents> {
    let charges = match quantity.dimension() {
        Dimension::Equivalents => 1.0,
        Dimension::AmountConcentration => 2.0,
        _ => return None,
    };
    quantity.canonical().ok().map(|value| Equivalents::from_meq_per_litre(value * charges))
}

/// The concentration of one ion by mass. Mass and amount by volume count the ion itself; mEq/L, `ppm as
/// CaCO3` and degrees of hardness count its charges, as a laboratory does that reports 'calcium as CaCO3'.
///
/// `molar_mass` in g/mol, `charges` without its sign. `None` for any other unit and for no charges.
#[must_use]
pub fn ion(quantity: Quantity, molar_mass: f64, charges: u8) -> Option<Concentration> {
    let value = quantity.canonical().ok()?;
    let mg_per_litre = match quantity.dimension() {
        Dimension::Concentration => value,
        Dimension::AmountConcentration => value * molar_mass,
        Dimension::Equivalents if charges > 0 => value * molar_mass / f64::from(charges),
        _ => return None,
    };
    mg_per_litre.is_finite().then(|| Concentration::from_mg_per_litre(mg_per_litre))
}

/// Gauge pressure above vacuum, given the pressure of the surrounding air.
#[must_use]
pub fn absolute(pressure: GaugePressure, surroundings: AbsolutePressure) -> AbsolutePressure {
    AbsolutePressure::from_bar(pressure.bar() + surroundings.bar())
}

/// Absolute pressure above the surrounding air.
#[must_use]
pub fn gauge(pressure: AbsolutePressure, surroundings: AbsolutePressure) -> GaugePressure {
    GaugePressure::from_bar(pressure.bar() - surroundings.bar())
}
