//! Writes in what is computed: a hop to a bitterness, an acid to a pH, an expression, a question.

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "write-in", kind: ActionKind::Rewrite, offer, change };

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    if edit::is_solved(placed, place) {
        add(String::new(), "Write the computed amount in".into());
    } else if placed.recipe.queries.iter().any(|query| query.place == place) {
        add(String::new(), "Write the answer down as a note".into());
    }
}

fn change(cx: &Cx<'_>, _: &str) -> Option<Change> {
    let (placed, place) = cx.entry()?;
    let calc = cx.calc(placed);
    if let Some(query) = placed.recipe.queries.iter().find(|query| query.place == place) {
        let block = placed.recipe.blocks.get(usize::from(place.block))?;
        let units = calc.settings.units_for(Some(placed.recipe));
        let answer = calc.answer(&query.expr, block, units).ok()?;
        return cx.change(edit::write_answer(placed, place, &answer));
    }
    cx.change(edit::write_solved(placed, &calc, place))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{after, check, offered};
    use crate::fixture::Fixture;

    const BEER: &str = "\
brewhouse kettle-20
  mash efficiency     75 %
  evaporation         3 L/h

water \"Brunnen, weich\"
  calcium             40 ppm
  alkalinity          90 ppm as CaCO3

recipe \"Größe\"
  batch     20 L
  brewhouse kettle-20

grist
  4 kg      pale ale malt
";

    #[test]
    fn writes_what_is_computed() {
        for (below, want) in [
            (
                "\nboil 60 min\n  $0Golding [5 %] at 60 min to reach 30 IBU\n",
                "  48.7 g    Golding [5 %] at 60 min",
            ),
            (
                "\nboil 60 min\n  $0(2 g/L * batch) Golding [5 %] at 60 min  # é\n",
                "  40 g      Golding [5 %] at 60 min  # é",
            ),
            (
                "\nliquor\n  source    Brunnen, weich\n  mash      12 L\n  $0add       lactic acid [88 %] to mash to reach ph 5.4\n",
                "  add       5.7 mL lactic acid [88 %] to mash",
            ),
            (
                "\nliquor\n  source    Brunnen, weich\n  $0mash      (2.5 L/kg * grist.weight)\n",
                "  mash      10 L",
            ),
            ("\nnotes\n  $0? ibu / og.points \"Bittere, süß\"\n", "  | Bittere, süß: 0"),
            ("\nnotes\n  $0? og\n", "  | og: 1.045"),
        ] {
            check(&format!("{BEER}{below}"), "write-in", "", &[want]);
        }
    }

    #[test]
    fn offers_nothing_where_nothing_is_computed() {
        let fixture = Fixture::new(&BEER.replace("4 kg", "$04 kg"));
        assert!(!offered(&fixture).iter().any(|one| one.starts_with("write-in")));
    }

    #[test]
    fn what_cannot_be_computed_is_not_written() {
        // No alpha, so no mass is known.
        let text = format!(
            "{BEER}\nhop blank\n  origin              here\n\nrecipe \"x\"\n  batch     20 L\n\nboil 60 min\n  $0blank at 60 min to reach 30 IBU\n"
        );
        assert_eq!(after(&Fixture::new(&text), "write-in", ""), None);
    }
}
