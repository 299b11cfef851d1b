//! Another ingredient in the place of one: those the line names with `or`, and malts of the house that are
//! nearly the same.

use recipe::{Definition, Thing};
use syntax::vocabulary::{BlockKind, Keyword};

use super::{ActionKind, Change, Cx, Offered};
use crate::names::needs_quotes;

pub(super) const ACTION: Offered = Offered { id: "substitute", kind: ActionKind::Rewrite, offer, change };

/// How much lighter or darker a malt may be that is offered for another, as a ratio.
const COLOUR_RATIO: f64 = 1.3;
/// Malts of the house that are offered.
const MOST: usize = 3;

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    let Some(thing) = edit::replaceable(placed.recipe, place) else { return };
    let Some(old) = &thing.definition else { return };
    let scope = cx.workspace.scope(cx.state);
    let kept = match old.kind {
        BlockKind::Malt | BlockKind::Sugar => "gravity and, as far as the grist allows, colour",
        BlockKind::Hop => "bitterness",
        _ => "the amount",
    };
    for name in &thing.substitutes {
        if scope.find(old.kind, name).is_some() {
            add(name.to_string(), format!("Take {name} in its place, keeping {kept}"));
        }
    }
    for name in alike(cx, thing, old) {
        add(name.clone(), format!("Take {name} in its place, keeping {kept}"));
    }
}

/// Malts of the house of the same grain and make, nearest in colour first.
fn alike(cx: &Cx<'_>, thing: &Thing, old: &Definition) -> Vec<String> {
    if old.kind != BlockKind::Malt {
        return Vec::new();
    }
    let colour = |number: Option<f64>| number.filter(|ebc| *ebc > 0.0);
    let Some(own) = colour(thing.number(Keyword::Colour).map(|given| given.value.value)) else {
        return Vec::new();
    };
    let scope = cx.workspace.scope(cx.state);
    let mut found: Vec<(f64, String)> = Vec::new();
    for one in scope.shelves().iter().flat_map(|shelf| &shelf.definitions) {
        let Some(new) = scope.find(one.kind, &one.name).map(|found| found.definition) else { continue };
        if new.kind != BlockKind::Malt || new.place == old.place {
            continue;
        }
        let other = Thing { definition: Some(new.clone()), own: Vec::new(), ..thing.clone() };
        let same = |key| other.words(key) == thing.words(key);
        let Some(ebc) = colour(other.number(Keyword::Colour).map(|given| given.value.value)) else {
            continue;
        };
        let ratio = (ebc / own).max(own / ebc);
        if same(Keyword::Form)
            && same(Keyword::Grain)
            && ratio <= COLOUR_RATIO
            && !thing.substitutes.iter().any(|name| catalogue::fold(name) == catalogue::fold(&new.name))
        {
            found.push((ratio, new.name.to_string()));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    found.into_iter().take(MOST).map(|(_, name)| name).collect()
}

fn change(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let (placed, place) = cx.entry()?;
    let old = edit::replaceable(placed.recipe, place)?.definition.as_ref()?;
    let new = cx.workspace.scope(cx.state).find(old.kind, choice)?.definition;
    let written = if needs_quotes(choice) { format!("\"{choice}\"") } else { choice.to_owned() };
    let settings = &cx.state.config.figures;
    cx.change(edit::substitute(placed, settings, place, &new, &written).ok()?)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{check, offered};
    use crate::fixture::Fixture;

    const BEER: &str = "recipe \"Größe\"\n  batch     20 L\n\ngrist\n  4 kg      pale ale malt  # é\n  300 g     dark [or süß, dunkel]\n\nboil 60 min\n  40 g      Golding [5 %, leaf, or Starker] at 60 min  # é\n  30 g      Golding [or Starker] at flameout\n\nferment\n  30 g      Golding [or Starker] on day 3 for 2 d\n\nmalt dark\n  extract             75 %\n  moisture            4 %\n  colour              150 EBC\n\nmalt \"süß, dunkel\"\n  extract             75 %\n  moisture            4 %\n  colour              120 EBC\n\nhop Starker\n  alpha               10 %\n";

    #[test]
    fn gravity_and_colour_or_bitterness_stay() {
        let at = |line: &str| BEER.replacen(line, &format!("$0{line}"), 1);
        // Twice the alpha, half the hop; a fifth less colour, a quarter more of it, and so much less pale malt.
        check(&at("40 g      Golding"), "substitute", "Starker", &["  19.9 g    Starker at 60 min  # é"]);
        check(
            &at("300 g     dark"),
            "substitute",
            "süß, dunkel",
            &["  3.93 kg   pale ale malt  # é", "  379 g     \"süß, dunkel\""],
        );
        check(
            &at("30 g      Golding [or Starker] on"),
            "substitute",
            "Starker",
            &["  30 g      Starker on day 3 for 2 d"],
        );
    }

    #[test]
    fn malts_alike_of_the_house_are_offered() {
        let at = |line: &str| {
            Fixture::new(
                &BEER.replacen(line, &format!("$0{line}"), 1).replace("dark [or süß, dunkel]", "dark"),
            )
        };
        let offers = offered(&at("300 g     dark"));
        assert!(offers.iter().any(|one| one.starts_with("substitute süß, dunkel:")), "{offers:?}");
        assert!(!offered(&at("4 kg")).iter().any(|one| one.starts_with("substitute")));
    }
}
