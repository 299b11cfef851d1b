//! A hop to the bitterness of the beer.

use figures::{FigureId, expected};
use recipe::{FactValue, Recipe};
use syntax::vocabulary::Keyword;

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "bitterness", kind: ActionKind::Rewrite, offer, change };

/// The bitterness a recipe aims at: what it expects, else the middle of its style; and whose it is.
fn aim(recipe: &Recipe) -> Option<(f64, String)> {
    if let Some(ibu) = expected(recipe, FigureId::Ibu) {
        return Some((ibu, "as expected".into()));
    }
    let style = recipe.style.as_ref()?;
    match style.fact(Keyword::Ibu)?.value {
        FactValue::Range(_, low, high) => {
            Some((f64::midpoint(low, high), format!("the middle of style {}", style.name)))
        }
        _ => None,
    }
}

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    let Some(at) = edit::bittering_hop(placed.recipe, place) else { return };
    if let Some((ibu, whose)) = aim(placed.recipe) {
        let name = &placed.recipe.additions[at].thing.name;
        add(edit::number(ibu), format!("Take {name} for {} IBU in all, {whose}", edit::number(ibu)));
    }
}

fn change(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let (placed, place) = cx.entry()?;
    cx.change(edit::hop_to_ibu(placed, &cx.state.config.figures, place, choice.parse().ok()?).ok()?)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{after, check, offered};
    use crate::fixture::Fixture;

    const BEER: &str = "recipe \"Größe\"\n  batch     20 L\n\ngrist\n  4 kg      pale ale malt\n\nboil 60 min\n  $020 g      Golding [5 %] at 60 min  # é\n  20 g      Saaz [4 %] at 10 min\n";

    #[test]
    fn takes_what_the_others_leave() {
        let text = format!("{BEER}\nexpect\n  ibu       25..35\n");
        check(&text, "bitterness", "30", &["  43.3 g    Golding [5 %] at 60 min  # é"]);
        let styled = BEER.replace("  batch", "  style     own\n  batch");
        let styled = format!("{styled}\nstyle \"own\"\n  ibu                 20..40\n");
        check(&styled, "bitterness", "30", &["  43.3 g    Golding [5 %] at 60 min  # é"]);
    }

    #[test]
    fn where_no_amount_reaches_it_nothing_changes() {
        let text = format!("{BEER}\nexpect\n  ibu       1..3\n");
        let fixture = Fixture::new(&text);
        assert!(offered(&fixture).iter().any(|one| one.starts_with("bitterness 2:")));
        assert_eq!(after(&fixture, "bitterness", "2"), None);
        // Nothing is aimed at: nothing is offered.
        assert!(!offered(&Fixture::new(BEER)).iter().any(|one| one.starts_with("bitterness")));
    }
}
