//! Salts to the profile that `match` names.

use syntax::vocabulary::{BlockKind, Keyword};

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "salts", kind: ActionKind::Rewrite, offer, change };

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    let recipe = placed.recipe;
    let Some(target) = &recipe.liquor.target else { return };
    let block = recipe.blocks.get(usize::from(place.block));
    let is_salt = recipe.liquor.additions.iter().any(|addition| {
        addition.place == place
            && addition.thing.words(Keyword::Role).is_some_and(|role| role.eq_ignore_ascii_case("salt"))
    });
    if target.definition.is_some()
        && recipe.liquor.source.is_some()
        && (is_salt || block.is_some_and(|block| block.kind == BlockKind::Liquor))
    {
        add(String::new(), format!("Dose salts for {}", target.name));
    }
}

fn change(cx: &Cx<'_>, _: &str) -> Option<Change> {
    let (placed, _) = cx.entry()?;
    let scope = cx.workspace.scope(cx.state);
    cx.change(edit::salts_to_profile(placed, &cx.state.config.figures, scope).ok()?)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{after, check};
    use crate::fixture::Fixture;

    const BEER: &str = "\
recipe \"Größe\"
  batch     20 L

grist
  4 kg      pale ale malt

liquor
  source    rein
  $0match     Ziel, süß  # é
";
    // What 2 g of calcium chloride dihydrate and 3 g of gypsum bring to 30 L of pure water.
    const TARGET: &str = "\nwater rein\n  calcium             0 ppm\n\nwater \"Ziel, süß\"\n  calcium             41.4 ppm\n  chloride            32.2 ppm\n  sulfate             55.8 ppm\n";

    #[test]
    fn salts_of_a_known_mixture_are_found_again() {
        let volumes = "  mash      12 L\n  sparge    18 L\n";
        let text = format!("{BEER}{volumes}{TARGET}");
        check(
            &text,
            "salts",
            "",
            &["  add       3 g gypsum to all", "  add       2 g calcium chloride dihydrate to all"],
        );
        let crlf = Fixture::new(&text.replace('\n', "\r\n"));
        let new = after(&crlf, "salts", "").unwrap_or_default();
        assert!(new.contains("  add       3 g gypsum to all\r\n  add       2 g calcium"), "{new:?}");
        assert_eq!(new.matches('\n').count(), new.matches("\r\n").count());
        // What stands there already gets its new amount, in its place; what is not needed goes.
        let more = "  add       9 g gypsum to mash  # ü\n  add       2 g Epsom salt to mash\n  add       1 mL lactic acid to mash\n";
        let text = format!("{BEER}{volumes}{more}{TARGET}");
        check(
            &text,
            "salts",
            "",
            &["  add       3 g gypsum to all  # ü", "  add       2 g calcium chloride dihydrate to all"],
        );
    }
}
