//! Acid to a mash pH.

use figures::{FigureId, expected};
use recipe::Recipe;
use syntax::vocabulary::BlockKind;

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "acid", kind: ActionKind::Rewrite, offer, change };

/// Middle of the range that mashes are brought to (common practice, no source).
const USUAL_PH: f64 = 5.4;

/// The pH a recipe aims at: of its mash, of what it expects, else the usual.
fn aim(recipe: &Recipe) -> f64 {
    let written = recipe.mash.ph.as_ref().map(|given| given.value);
    written.or_else(|| expected(recipe, FigureId::MashPh)).unwrap_or(USUAL_PH)
}

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    let recipe = placed.recipe;
    let in_liquor =
        recipe.blocks.get(usize::from(place.block)).is_some_and(|block| block.kind == BlockKind::Liquor);
    let ph = aim(recipe);
    if let Some(at) = edit::mash_acid(recipe, place) {
        let name = &recipe.liquor.additions[at].thing.name;
        add(edit::number(ph), format!("Dose {name} for a mash pH of {ph:.2}"));
    } else if in_liquor && !edit::has_mash_acid(recipe) && !recipe.grist.is_empty() {
        add(edit::number(ph), format!("Add lactic acid for a mash pH of {ph:.2}"));
    }
}

fn change(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let (placed, place) = cx.entry()?;
    let scope = cx.workspace.scope(cx.state);
    let settings = &cx.state.config.figures;
    cx.change(edit::acid_to_ph(placed, settings, scope, place, choice.parse().ok()?).ok()?)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{check, offered};
    use crate::fixture::Fixture;

    const BEER: &str = "\
recipe \"Größe\"
  batch     20 L

grist
  4 kg      pale ale malt

liquor
  source    Brunnen, weich  # é
  mash      12 L
";
    const WATER: &str =
        "\nwater \"Brunnen, weich\"\n  calcium             40 ppm\n  alkalinity          90 ppm as CaCO3\n";

    #[test]
    fn doses_the_acid_of_the_line_or_adds_one() {
        let line = format!("{BEER}  $0add       1 mL lactic acid [80 %] to mash  # ü\n{WATER}");
        check(&line, "acid", "5.4", &["  add       6.3 mL lactic acid [80 %] to mash  # ü"]);
        let none = format!("{}{WATER}", BEER.replace("mash      12", "$0mash      12"));
        check(&none, "acid", "5.4", &["  add       5.7 mL lactic acid [88 %] to mash"]);
        let solved = format!("{BEER}  $0add       lactic acid to mash to reach ph 5.6\n{WATER}");
        check(&solved, "acid", "5.4", &["  add       5.7 mL lactic acid to mash"]);
    }

    #[test]
    fn the_aim_is_what_is_written() {
        for (more, want) in [
            ("\nmash\n  rest      66 C for 60 min\n  ph        5.3\n", "acid 5.3"),
            ("\nexpect\n  mash ph   5.3..5.6\n", "acid 5.45"),
            ("", "acid 5.4"),
        ] {
            let text = format!("{}{more}{WATER}", BEER.replace("mash      12", "$0mash      12"));
            let fixture = Fixture::new(&text);
            assert!(offered(&fixture).iter().any(|one| one.starts_with(&format!("{want}:"))), "{more}");
        }
        // Where the mash has its acid, no second one is added.
        let text = format!(
            "{}  add       1 mL lactic acid to mash\n",
            BEER.replace("mash      12", "$0mash      12")
        );
        assert!(!offered(&Fixture::new(&text)).iter().any(|one| one.starts_with("acid")));
    }
}
