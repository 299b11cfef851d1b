//! Amounts that are solved for: percentages of the grist and hops to a bitterness, together.
//!
//! Hop mass moves the volume after the boil, that moves the gravity, and both move the utilisation, so the
//! two are found together by fixed-point iteration.

use recipe::{Amount, Test};

use crate::calc::amounts::{NO_GRIST_GOAL, is_mashed};
use crate::calc::{Calc, gravity_of};
use crate::figure::{Missing, Outcome};
use crate::id::FigureId;

/// What was solved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Solution {
    /// Mass that 100 % of the mashed grist stands for, kg.
    pub(crate) percent_mass: Option<f64>,
    /// Mass of the hop line that says `to reach … IBU`, kg.
    pub(crate) hop_mass: Option<f64>,
}

/// Change below which the iteration has arrived.
const ARRIVED: f64 = 1e-9;
/// Rounds after which it never will.
const ROUNDS: usize = 50;

impl Calc<'_> {
    /// Whether anything is to be solved for.
    fn unknowns(&self) -> (bool, Option<usize>) {
        let percent = self.recipe.grist.iter().any(|line| matches!(line.amount, Amount::Share(_)));
        let hop =
            self.recipe.additions.iter().position(|addition| {
                matches!(addition.amount, Amount::Solved) && addition.to_reach.is_some()
            });
        (percent, hop)
    }

    /// The gravity that percentages aim at.
    pub(crate) fn grist_goal(&self) -> Outcome {
        if let Some(goal) = &self.recipe.grist_goal {
            return Ok(gravity_of(goal.value).sg());
        }
        let expected =
            self.recipe.parts.iter().flat_map(|part| &part.expect).find_map(|expectation| match &expectation
                .test
            {
                Test::Within { figure, low, high, middle, .. }
                    if FigureId::from_words(figure) == Some(FigureId::Og) =>
                {
                    let sg = |quant: &recipe::Quant| gravity_of(*quant).sg();
                    middle
                        .as_ref()
                        .map(sg)
                        .or_else(|| Some(f64::midpoint(sg(low.as_ref()?), sg(high.as_ref()?))))
                }
                _ => None,
            });
        expected.ok_or(NO_GRIST_GOAL)
    }

    pub(crate) fn solution(&self) -> Result<Solution, Missing> {
        if let Some(trial) = self.trial {
            return Ok(trial);
        }
        if self.solution.value.get().is_none() && self.solving.replace(true) {
            return Err(Missing {
                reason: "what is solved for depends on itself".into(),
                cycle: true,
                place: None,
            });
        }
        let solved = self.once(&self.solution, || self.solve());
        self.solving.set(false);
        solved.clone()
    }

    fn solve(&self) -> Result<Solution, Missing> {
        let (percent, hop) = self.unknowns();
        let gravity_goal = if percent { Some(self.grist_goal()?) } else { None };
        let bitterness_goal =
            hop.and_then(|at| self.recipe.additions[at].to_reach.as_ref()).map(|goal| goal.value);
        let mut now = Solution {
            // A fifth of a kilogram a litre is an ordinary grist; the iteration only needs a start above zero.
            percent_mass: gravity_goal
                .map(|_| self.recipe.batch.as_ref().map_or(4.0, |batch| batch.value * 0.2)),
            hop_mass: bitterness_goal.map(|_| 0.03),
        };
        for _ in 0..ROUNDS {
            let trial = self.variant(self.nudge, Some(now));
            let better = || -> Result<Solution, Missing> {
                let mut next = now;
                if let (Some(goal), Some(mass)) = (gravity_goal, now.percent_mass) {
                    next.percent_mass = Some(trial.better_percent_mass(goal, mass)?);
                }
                if let (Some(goal), Some(at), Some(mass)) = (bitterness_goal, hop, now.hop_mass) {
                    next.hop_mass = Some(trial.better_hop_mass(goal, at, mass)?);
                }
                Ok(next)
            };
            let next = better();
            self.has_read(trial.reads.get());
            let next = next?;
            let moved = change(now.percent_mass, next.percent_mass).max(change(now.hop_mass, next.hop_mass));
            now = next;
            if moved < ARRIVED {
                return Ok(now);
            }
        }
        Err(Missing::because("the amounts to solve for do not settle"))
    }

    /// One step nearer to the gravity: the extract missing comes from the lines in percent alone.
    fn better_percent_mass(&self, goal: f64, mass: f64) -> Outcome {
        let wort = self.wort()?;
        let mut by_percent = 0.0;
        for (line, part) in self.recipe.grist.iter().zip(&wort.parts) {
            if matches!(line.amount, Amount::Share(_)) && is_mashed(line) {
                by_percent += part.extract;
            }
        }
        if by_percent <= 0.0 {
            return Err(Missing::because("the lines given in percent have no extract"));
        }
        let into = wort.volumes.knock_out / wort.volumes.post_boil;
        let wanted =
            brewing::gravity::extract_mass(wort.volumes.batch, quantity::typed::Gravity::from_sg(goal)).kg();
        // What one part of a split gets is no part of the gravity that all share.
        let fixed = (wort.kettle - by_percent) * into + wort.before_pitching + wort.after_pitching - wort.own;
        let factor = (wanted - fixed) / (by_percent * into);
        if !(factor.is_finite() && factor > 0.0) {
            return Err(Missing::because(
                "what is given by mass alone brings more extract than the gravity aimed at",
            ));
        }
        Ok(mass * factor)
    }

    /// One step nearer to the bitterness.
    fn better_hop_mass(&self, goal: f64, at: usize, mass: f64) -> Outcome {
        let lines = self.hop_lines()?;
        let total: f64 = lines.iter().map(|line| line.ibu).sum();
        let own = lines.iter().find(|line| line.addition == at).map_or(0.0, |line| line.ibu);
        if own <= 0.0 {
            return Err(Missing::because("the hop to solve for gives no bitterness where it is added"));
        }
        let wanted = goal - (total - own);
        if wanted <= 0.0 {
            return Err(Missing::since(format!(
                "the other hops already bring {:.0} IBU of the {goal:.0} aimed at",
                total - own
            )));
        }
        Ok(mass * wanted / own)
    }

    /// Sum of the percentages of the mashed grist, parts of one, when there are any.
    #[must_use]
    pub fn percent_total(&self) -> Option<f64> {
        let mut shares = self.recipe.grist.iter().filter_map(|line| match line.amount {
            Amount::Share(share) => Some(share),
            _ => None,
        });
        let first = shares.next()?;
        Some(first + shares.sum::<f64>())
    }
}

fn change(from: Option<f64>, to: Option<f64>) -> f64 {
    match (from, to) {
        (Some(from), Some(to)) if to != 0.0 => ((to - from) / to).abs(),
        _ => 0.0,
    }
}
