//! The grist in percentages or in masses.

use recipe::Place;
use syntax::vocabulary::BlockKind;

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "grist-amounts", kind: ActionKind::Rewrite, offer, change };

fn in_grist(placed: edit::Placed<'_>, place: Place) -> bool {
    let block = placed.recipe.blocks.get(usize::from(place.block));
    block.is_some_and(|block| block.kind == BlockKind::Grist)
}

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, _)) = cx.entry().filter(|(placed, place)| in_grist(*placed, *place)) else { return };
    if edit::in_percent(placed.recipe) {
        add("masses".into(), "Write the percentages of the grist as masses".into());
    } else if edit::in_masses(placed) {
        add("percentages".into(), "Write the grist in percentages".into());
    }
}

fn change(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let (placed, _) = cx.entry()?;
    let calc = cx.calc(placed);
    cx.change(match choice {
        "masses" if edit::in_percent(placed.recipe) => edit::to_masses(placed, &calc),
        "percentages" if edit::in_masses(placed) => edit::to_percentages(placed, &calc),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::super::tests::check;

    #[test]
    fn percentages_and_masses() {
        let text = "recipe \"Größe\"\n  batch     20 L\n\ngrist to reach 1.040\n  $084 %      pale ale malt  # é\n  16 %      flaked oats\n  100 g     honey at 5 min\n";
        check(
            text,
            "grist-amounts",
            "masses",
            &["grist", "  2.95 kg   pale ale malt  # é", "  562 g     flaked oats"],
        );
        let text = "recipe \"Größe\"\n  batch     20 L\n\ngrist  # é\n  $03 kg      pale ale malt\n  90 g      black malt\n  500 g     honey at 5 min\n";
        check(
            text,
            "grist-amounts",
            "percentages",
            &["grist to reach 1.0423  # é", "  97.09 %   pale ale malt", "  2.91 %    black malt"],
        );
    }
}
