//! Salts for a profile of ions: least squares without negative amounts, with dilution if wanted.
//!
//! The ions a profile does not name are left out of the fit, and so must be those that salts cannot take
//! away and that are above it: most often bicarbonate, which acid or dilution lowers.

use nalgebra::{DMatrix, DVector};
use quantity::typed::{Equivalents, Fraction, Mass, Volume};

use crate::source::{Basis, Source};
use crate::water::{Ion, Salt, Water};

/// The solver.
pub const SALT_SOLVER: Source = Source::new(
    "non-negative least squares",
    "Least squares in mEq/L with no negative amount of salt: Lawson and Hanson, Solving Least Squares Problems, \
     1974, ch. 23.",
    Basis::Published,
);

/// Salts tried when none are listed. Their columns are independent; magnesium chloride with the rest would
/// make the grams ambiguous, so it counts only where it is listed.
pub const DEFAULT_SALTS: [Salt; 5] =
    [Salt::Gypsum, Salt::CalciumChlorideDihydrate, Salt::EpsomSalt, Salt::TableSalt, Salt::BakingSoda];

/// What a miss of an ion weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weighting {
    /// By mEq/L: charge that cannot be met spreads evenly over the ions.
    Charge,
    /// By mg/L: charge that cannot be met goes to the lightest ion, magnesium.
    Mass,
}

/// Whether and with what the source may be diluted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dilution {
    /// Not.
    None,
    /// With this water: [`Water::ION_FREE`], or what reverse osmosis leaves.
    With(Water),
}

/// A search for salts.
#[derive(Clone, Debug, PartialEq)]
pub struct Request<'a> {
    /// The water at hand.
    pub source: Water,
    /// The profile.
    pub target: Water,
    /// Ions of the profile to fit, with a weight of their own (1 if in doubt). Weights must be positive.
    pub fit: &'a [(Ion, f64)],
    /// The volume to treat.
    pub volume: Volume,
    /// Salts at hand, the preferred first.
    pub salts: &'a [Salt],
    /// Unit of the fit.
    pub weighting: Weighting,
    /// Dilution.
    pub dilution: Dilution,
}

/// What to add.
#[derive(Clone, Debug, PartialEq)]
pub struct Treatment {
    /// Mass of each salt of the request, in its order, 0 among them.
    pub salts: Vec<(Salt, Mass)>,
    /// Share of the volume that is source water.
    pub source_share: Fraction,
    /// The treated water.
    pub water: Water,
    /// What is left over of each ion of the fit: treated less target.
    pub residual: Vec<(Ion, Equivalents)>,
    /// Root of the sum of the weighted squares of the residual, in the unit of the fit.
    pub residual_norm: f64,
    /// The least that norm can be with any neutral salts: profile and source differ in charge by it. 0 where
    /// the fit leaves an ion of the salts out.
    pub floor: f64,
    /// The salts are independent of each other; otherwise other amounts do as well as these.
    pub unique: bool,
}

/// Salts that bring a source nearest to a profile.
///
/// Source: [`SALT_SOLVER`]. Minimises `‖W·(treated − target)‖` over salts that are not negative and a source
/// share between 0 and 1. Doses are by stoichiometry of dry salts. `None` without volume or ions to fit, for
/// weights that are not positive, or values that are no numbers. Whether the doses dissolve, and acid, are the
/// caller's.
#[must_use]
pub fn solve(request: &Request<'_>) -> Option<Treatment> {
    let litres = request.volume.litres();
    let sound = litres.is_finite()
        && litres > 0.0
        && !request.fit.is_empty()
        && request.fit.iter().all(|&(_, weight)| weight.is_finite() && weight > 0.0)
        && request.source.is_finite()
        && request.target.is_finite();
    if !sound {
        return None;
    }
    let unit = |ion: Ion, water: &Water| match request.weighting {
        Weighting::Charge => ion.equivalents(water.ion(ion)).meq_per_litre(),
        Weighting::Mass => water.ion(ion).mg_per_litre(),
    };
    let row = |water: &Water| {
        DVector::from_iterator(request.fit.len(), request.fit.iter().map(|&(ion, w)| w * unit(ion, water)))
    };
    let one_gram = |salt: Salt| {
        Ion::ALL.iter().fold(Water::ION_FREE, |water, &ion| water.with_ion(ion, salt.contribution(ion)))
    };
    let target = row(&request.target);
    let source = row(&request.source);
    if !(target.norm().is_finite() && source.norm().is_finite()) {
        return None;
    }
    let mut columns: Vec<DVector<f64>> = request.salts.iter().map(|&salt| row(&one_gram(salt))).collect();
    let unique = rank(&columns) == columns.len();

    let (amounts, share) = match request.dilution {
        Dilution::None => (nnls(&columns, &(&target - &source))?, 1.0),
        Dilution::With(other) => {
            let base = row(&other);
            columns.push(&source - &base);
            let mut free = nnls(&columns, &(&target - &base))?;
            let share = free.pop()?;
            if share <= 1.0 {
                (free, share)
            } else {
                // Convex: where more source than all would be best, all of it is.
                columns.pop();
                (nnls(&columns, &(&target - &source))?, 1.0)
            }
        }
    };

    let doses: Vec<(Salt, Mass)> = request
        .salts
        .iter()
        .zip(&amounts)
        .map(|(&salt, by_litre)| (salt, Mass::from_grams(by_litre * litres)))
        .collect();
    let mixed = match request.dilution {
        Dilution::None => request.source,
        Dilution::With(other) => Water::blend(&[
            (Fraction::from_parts(share), request.source),
            (Fraction::from_parts(1.0 - share), other),
        ])?,
    };
    let water = mixed.with_salts(&doses, request.volume)?;
    let residual = request
        .fit
        .iter()
        .map(|&(ion, _)| (ion, ion.equivalents(water.ion(ion)) - ion.equivalents(request.target.ion(ion))))
        .collect();
    Some(Treatment {
        salts: doses,
        source_share: Fraction::from_parts(share),
        residual,
        residual_norm: (row(&water) - &target).norm(),
        floor: floor(request),
        water,
        unique,
    })
}

/// Distance to the nearest water that neutral salts can make, in the unit of the fit.
fn floor(request: &Request<'_>) -> f64 {
    let whole = request.salts.iter().all(|salt| {
        let brings = |ion: Ion| salt.contribution(ion).mg_per_litre() != 0.0;
        Ion::ALL.iter().all(|&ion| !brings(ion) || request.fit.iter().any(|&(fitted, _)| fitted == ion))
    });
    let charge = |water: &Water| -> f64 {
        request
            .fit
            .iter()
            .map(|&(ion, _)| ion.charge().signum() * ion.equivalents(water.ion(ion)).meq_per_litre())
            .sum()
    };
    if !(whole && request.dilution == Dilution::None) {
        return 0.0;
    }
    let by_unit: f64 = request
        .fit
        .iter()
        .map(|&(ion, weight)| {
            let charge = match request.weighting {
                Weighting::Charge => 1.0,
                Weighting::Mass => ion.charge().abs() / ion.molar_mass(),
            };
            (charge / weight).powi(2)
        })
        .sum();
    (charge(&request.target) - charge(&request.source)).abs() / by_unit.sqrt()
}

/// Singular value decompositions of a handful of numbers end in a few dozen rounds; this only guards against
/// what is no number.
const ROUNDS: usize = 10_000;

fn rank(columns: &[DVector<f64>]) -> usize {
    if columns.is_empty() {
        return 0;
    }
    let scaled: Vec<DVector<f64>> = columns.iter().map(|c| c / c.norm().max(f64::MIN_POSITIVE)).collect();
    let svd = DMatrix::from_columns(&scaled).try_svd(false, false, f64::EPSILON, ROUNDS);
    svd.map_or(0, |svd| svd.rank(1e-9))
}

/// Least squares with no negative unknown (Lawson and Hanson).
///
/// Columns are scaled to length one first; the unknowns are scaled back.
fn nnls(columns: &[DVector<f64>], b: &DVector<f64>) -> Option<Vec<f64>> {
    let count = columns.len();
    let lengths: Vec<f64> = columns.iter().map(|column| column.norm()).collect();
    if !(b.norm().is_finite() && lengths.iter().all(|length| length.is_finite())) {
        return None;
    }
    let scaled: Vec<DVector<f64>> =
        columns.iter().zip(&lengths).map(|(c, length)| c / length.max(f64::MIN_POSITIVE)).collect();
    let tolerance = 1e-11 * b.norm().max(f64::MIN_POSITIVE);
    let mut x = vec![0.0; count];
    let mut passive = vec![false; count];
    let misfit = |x: &[f64]| scaled.iter().zip(x).fold(b.clone(), |r, (column, value)| r - column * *value);

    // Each round frees one unknown and ends with a smaller misfit; the bound only guards against rounding.
    for _ in 0..10 * (count + 1) {
        let rest = misfit(&x);
        let best = (0..count)
            .filter(|&j| !passive[j] && lengths[j] > 0.0)
            .map(|j| (j, scaled[j].dot(&rest)))
            .filter(|&(_, gain)| gain > tolerance)
            .reduce(|best, next| if next.1 > best.1 { next } else { best });
        let Some((entering, _)) = best else { break };
        passive[entering] = true;
        loop {
            let set: Vec<usize> = (0..count).filter(|&j| passive[j]).collect();
            let part: Vec<DVector<f64>> = set.iter().map(|&j| scaled[j].clone()).collect();
            if part.is_empty() {
                break;
            }
            let trial = DMatrix::from_columns(&part)
                .try_svd(true, true, f64::EPSILON, ROUNDS)?
                .solve(b, 1e-12)
                .ok()?;
            // As far towards the trial as no unknown becomes negative.
            let step = set
                .iter()
                .zip(trial.iter())
                .filter(|&(_, &value)| value <= 0.0)
                .map(|(&j, &value)| if x[j] > value { x[j] / (x[j] - value) } else { 0.0 })
                .reduce(f64::min);
            let Some(step) = step else {
                for (&j, &value) in set.iter().zip(trial.iter()) {
                    x[j] = value;
                }
                break;
            };
            for (&j, &value) in set.iter().zip(trial.iter()) {
                x[j] += step * (value - x[j]);
                if x[j] <= 1e-14 * b.norm() || (value <= 0.0 && step == 0.0) {
                    x[j] = 0.0;
                    passive[j] = false;
                }
            }
        }
    }
    let unscaled: Vec<f64> =
        x.iter().zip(&lengths).map(|(value, length)| value / length.max(f64::MIN_POSITIVE)).collect();
    unscaled.iter().all(|value| value.is_finite()).then_some(unscaled)
}
