//! Amounts that reach a goal nobody has written on the line: acid to a pH, salts to a profile, hops to a
//! bitterness. The recipe stays as it is; each is solved on a copy.

use brewing::salts::{self, Dilution, Request, Weighting};
use brewing::water::{Ion, Salt};
use quantity::typed::Volume;
use recipe::{Amount, Given, Origin, Recipe, Vessel, WaterAddition};
use syntax::vocabulary::Keyword;

use crate::calc::{Calc, water_of};
use crate::figure::{LineFigure, Missing};
use crate::id::FigureId;
use crate::settings::Settings;

/// Millilitres of an acid that bring its liquor to a pH: of the addition at an index, or of one more.
///
/// # Errors
/// Where the mash or its water cannot be computed, or no amount of the acid reaches the pH.
pub fn acid_to_ph(
    recipe: &Recipe,
    settings: &Settings,
    addition: &WaterAddition,
    at: Option<usize>,
    ph: f64,
) -> Result<f64, Missing> {
    let mut trial = recipe.clone();
    let goal = Given { value: ph, spread: 0.0, origin: Origin::Here(addition.place) };
    let solved = WaterAddition { amount: Amount::Solved, to_reach: Some(goal), ..addition.clone() };
    match at.and_then(|at| trial.liquor.additions.get_mut(at)) {
        Some(slot) => *slot = solved,
        None => trial.liquor.additions.push(solved),
    }
    let calc = Calc::new(&trial, settings);
    calc.water_parts()?;
    let is_it =
        |line: &&crate::LineValue| line.place == addition.place && line.figure == LineFigure::SolvedAmount;
    calc.lines()
        .iter()
        .find(is_it)
        .map(|line| line.value)
        .filter(|millilitres| millilitres.is_finite() && *millilitres > 0.0)
        .ok_or(Missing::because("no amount of this acid reaches that pH"))
}

/// Mass in kg of the hop at an index of the recipe's `additions` that brings the whole beer to a bitterness.
///
/// # Errors
/// Where the bitterness cannot be computed, or the other hops bring that much already.
pub fn hop_to_ibu(recipe: &Recipe, settings: &Settings, at: usize, ibu: f64) -> Result<f64, Missing> {
    let mut trial = recipe.clone();
    if trial.additions.iter().enumerate().any(|(other, one)| other != at && one.to_reach.is_some()) {
        return Err(Missing::because("another hop is solved for already"));
    }
    let addition = trial.additions.get_mut(at).ok_or(Missing::because("there is no such hop"))?;
    addition.to_reach = Some(Given { value: ibu, spread: 0.0, origin: Origin::Here(addition.place) });
    addition.amount = Amount::Solved;
    let calc = Calc::new(&trial, settings);
    let line = calc.hop_lines()?.iter().find(|line| line.addition == at);
    line.map(|line| line.mass)
        .filter(|kg| kg.is_finite() && *kg > 0.0)
        .ok_or(Missing::because("this hop gives no bitterness where it is added"))
}

/// Salts that bring the liquor near to the profile the recipe names.
#[derive(Clone, Debug, PartialEq)]
pub struct SaltDoses {
    /// Each salt with its mass in the whole liquor, g.
    pub salts: Vec<(Salt, f64)>,
    /// Whether all of the liquor goes through the mash.
    pub only_mash: bool,
    /// Whether nothing is mashed.
    pub only_kettle: bool,
}

/// Grams of each salt that bring the whole liquor nearest to the profile of `match`, without the additions
/// at some indices, which they replace. Ions the profile does not state are left alone, and so is
/// alkalinity that is above it: salts add, they take nothing away.
///
/// # Errors
/// Where no profile is named, or source or volumes are not known.
pub fn salts_to_profile(
    recipe: &Recipe,
    settings: &Settings,
    replaced: &[usize],
    salts: &[Salt],
) -> Result<SaltDoses, Missing> {
    let target_thing = recipe
        .liquor
        .target
        .as_ref()
        .ok_or(Missing::because("no profile is named: `match NAME` under `liquor`"))?;
    let target = water_of(target_thing)?;
    let mut plain = recipe.clone();
    for at in replaced {
        if let Some(addition) = plain.liquor.additions.get_mut(*at)
            && let Amount::Of(quant) = &mut addition.amount
        {
            quant.value = 0.0;
        }
    }
    let calc = Calc::new(&plain, settings);
    let mut source = calc.source_water()?;
    for ion in [Ion::Calcium, Ion::Magnesium, Ion::Sodium, Ion::Chloride, Ion::Sulfate] {
        let there = calc.ion_in(Vessel::All, ion)?;
        source = source.with_ion(ion, quantity::typed::Concentration::from_mg_per_litre(there));
    }
    let litres = |vessel| calc.vessel_water(vessel).map(|water| water.litres).unwrap_or(0.0);
    let (mash, sparge, kettle) = (litres(Vessel::Mash), litres(Vessel::Sparge), litres(Vessel::Kettle));
    let whole = if mash > 0.0 { mash + sparge } else { kettle };
    let stated = |key| target_thing.number(key).is_some();
    let mut fit: Vec<(Ion, f64)> = [
        (Keyword::Calcium, Ion::Calcium),
        (Keyword::Magnesium, Ion::Magnesium),
        (Keyword::Sodium, Ion::Sodium),
        (Keyword::Chloride, Ion::Chloride),
        (Keyword::Sulfate, Ion::Sulfate),
    ]
    .into_iter()
    .filter(|(key, _)| stated(*key))
    .map(|(_, ion)| (ion, 1.0))
    .collect();
    let alkaline = (stated(Keyword::Alkalinity) || stated(Keyword::Bicarbonate))
        && target.alkalinity.meq_per_litre() > source.alkalinity.meq_per_litre();
    if alkaline {
        fit.push((Ion::Bicarbonate, 1.0));
    }
    let fitted = |salt: &Salt| {
        Ion::ALL.iter().all(|ion| {
            salt.contribution(*ion).mg_per_litre() == 0.0 || fit.iter().any(|(known, _)| known == ion)
        })
    };
    // A salt that brings what is not asked for is no help.
    let salts: Vec<Salt> = salts.iter().copied().filter(fitted).collect();
    let request = Request {
        source,
        target,
        fit: &fit,
        volume: Volume::from_litres(whole),
        salts: &salts,
        weighting: Weighting::Charge,
        dilution: Dilution::None,
    };
    let treatment = salts::solve(&request)
        .ok_or(Missing::because("the profile states no ion that salts could bring, or there is no liquor"))?;
    Ok(SaltDoses {
        salts: treatment.salts.into_iter().map(|(salt, mass)| (salt, mass.grams())).collect(),
        only_mash: sparge <= 0.0 && mash > 0.0,
        only_kettle: mash <= 0.0,
    })
}

/// The bounds that `expect` sets a figure on both sides, as written.
pub(crate) fn expected_bounds(recipe: &Recipe, figure: FigureId) -> Option<(f64, f64)> {
    recipe.parts.iter().flat_map(|part| &part.expect).find_map(|one| match &one.test {
        recipe::Test::Within { figure: words, low, high, .. }
            if FigureId::from_words(words) == Some(figure) =>
        {
            Some((low.as_ref()?.value, high.as_ref()?.value))
        }
        _ => None,
    })
}

/// What `expect` asks of a figure: the value aimed at, else the middle of its bounds, as written.
#[must_use]
pub fn expected(recipe: &Recipe, figure: FigureId) -> Option<f64> {
    recipe.parts.iter().flat_map(|part| &part.expect).find_map(|one| match &one.test {
        recipe::Test::Within { figure: words, low, high, middle, .. }
            if FigureId::from_words(words) == Some(figure) =>
        {
            let middle = middle.as_ref().map(|quant| quant.value);
            middle.or_else(|| Some(f64::midpoint(low.as_ref()?.value, high.as_ref()?.value)))
        }
        _ => None,
    })
}
