//! Shapley values: a difference shared out among those who made it, so that the shares add up.

use std::collections::{HashMap, HashSet};

use rayon::prelude::*;

/// Players of one game, each a set of bits; in groups, since a game of many players takes too long. The value
/// of a group is shared among its members as a game within the game of the groups (Owen 1977).
pub(crate) struct Game {
    /// Every group, as its members.
    pub(crate) groups: Vec<Vec<u64>>,
}

/// Values of a coalition; none where something cannot be computed.
pub(crate) type Values = Vec<Option<f64>>;

/// A player with all it may come after: its bits, the coalitions, and the weight of each.
struct Turn {
    player: u64,
    before: Vec<(u64, f64)>,
}

impl Game {
    /// The share of each player in each value, in the order of the groups and their members. A value that some
    /// coalition does not have is shared among nobody.
    pub(crate) fn shares(&self, value: &(dyn Fn(u64) -> Values + Sync)) -> Vec<Values> {
        let turns = self.turns();
        let wanted: HashSet<u64> = turns
            .iter()
            .flat_map(|turn| turn.before.iter().flat_map(|(on, _)| [*on, on | turn.player]))
            .collect();
        // Each coalition is a recipe of its own to compute, so they are computed side by side.
        let known: HashMap<u64, Values> = wanted.into_par_iter().map(|on| (on, value(on))).collect();
        turns.iter().map(|turn| share(turn, &known)).collect()
    }

    fn turns(&self) -> Vec<Turn> {
        let wholes: Vec<u64> = self.groups.iter().map(|group| union(group, u64::MAX)).collect();
        let beside = |list: &[u64], at: usize| -> Vec<u64> {
            list.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, one)| *one).collect()
        };
        let mut all = Vec::new();
        for (at, group) in self.groups.iter().enumerate() {
            let others = beside(&wholes, at);
            for (member, player) in group.iter().enumerate() {
                let own = beside(group, member);
                let mut before = Vec::new();
                for outer in 0..1u64 << others.len() {
                    for inner in 0..1u64 << own.len() {
                        let weight =
                            weight(outer.count_ones(), others.len()) * weight(inner.count_ones(), own.len());
                        before.push((union(&others, outer) | union(&own, inner), weight));
                    }
                }
                all.push(Turn { player: *player, before });
            }
        }
        all
    }
}

/// The share of a player in each value.
fn share(turn: &Turn, known: &HashMap<u64, Values>) -> Values {
    let mut sum: Values = Vec::new();
    for (on, weight) in &turn.before {
        let (Some(before), Some(after)) = (known.get(on), known.get(&(on | turn.player))) else { continue };
        if sum.is_empty() {
            sum = vec![Some(0.0); before.len()];
        }
        for ((sum, before), after) in sum.iter_mut().zip(before).zip(after) {
            *sum = match (*sum, before, after) {
                (Some(sum), Some(before), Some(after)) => Some(sum + weight * (after - before)),
                _ => None,
            };
        }
    }
    sum
}

/// All bits of those players whose number is set in a mask.
fn union(players: &[u64], mask: u64) -> u64 {
    players.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 1).fold(0, |all, (_, one)| all | one)
}

/// How much of all orders in which players may come has just these before one: k! (n - k)! / (n + 1)!, with `n`
/// others of whom `k` came before.
fn weight(before: u32, others: usize) -> f64 {
    let mut weight = 1.0 / (others as f64 + 1.0);
    // Divided by the number of sets of that size among the others.
    for at in 0..before {
        weight *= f64::from(at + 1) / (others as f64 - f64::from(at));
    }
    weight
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shares(groups: &[&[u64]], value: impl Fn(u64) -> f64 + Sync) -> Vec<f64> {
        let game = Game { groups: groups.iter().map(|group| group.to_vec()).collect() };
        let found = game.shares(&|on| vec![Some(value(on))]);
        found.into_iter().map(|one| one[0].unwrap_or(f64::NAN)).collect()
    }

    fn near(have: &[f64], want: &[f64]) {
        assert!(
            have.len() == want.len() && have.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12),
            "{have:?}"
        );
    }

    /// Shapley 1953, the game of a right glove and two left ones: the right glove gets two thirds.
    #[test]
    fn gloves() {
        let pair = |on: u64| if on & 1 == 1 && on & 6 != 0 { 1.0 } else { 0.0 };
        near(&shares(&[&[1], &[2], &[4]], pair), &[4.0 / 6.0, 1.0 / 6.0, 1.0 / 6.0]);
    }

    /// Owen 1977: both left gloves in one group have half together, a quarter each.
    #[test]
    fn gloves_in_groups() {
        let pair = |on: u64| if on & 1 == 1 && on & 6 != 0 { 1.0 } else { 0.0 };
        near(&shares(&[&[1], &[2, 4]], pair), &[0.5, 0.25, 0.25]);
    }

    #[test]
    fn a_product_is_shared_in_halves_and_what_adds_stays_apart() {
        let game = |on: u64| {
            let (a, b, c) = (on & 1, on >> 1 & 1, on >> 2 & 1);
            (2.0 + a as f64) * (3.0 + b as f64) + 10.0 * c as f64
        };
        near(&shares(&[&[1], &[2], &[4]], game), &[3.5, 2.5, 10.0]);
    }

    #[test]
    fn weights_of_all_orders_are_one() {
        for others in 0..12usize {
            let sum: f64 = (0..1u64 << others).map(|mask| weight(mask.count_ones(), others)).sum();
            assert!((sum - 1.0).abs() < 1e-12, "{others}: {sum}");
        }
    }

    #[test]
    fn what_one_coalition_lacks_is_shared_among_nobody() {
        let game = Game { groups: vec![vec![1], vec![2]] };
        let found = game.shares(&|on| vec![Some(on as f64), (on != 1).then_some(1.0)]);
        assert_eq!(found, [[Some(1.0), None], [Some(2.0), None]]);
    }
}
