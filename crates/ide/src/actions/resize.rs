//! A recipe for another batch: gravity, bitterness, colour and ions stay.

use std::collections::BTreeMap;

use quantity::{Quantity, UnitId};
use syntax::vocabulary::{BlockKind, Keyword};

use syntax::Span;
use workspace::{Analysis, Workspace};

use super::{ActionKind, Change, Cx, Offered, placed};

pub(super) const ACTION: Offered = Offered { id: "resize", kind: ActionKind::Rewrite, offer, change };

/// Sizes of other recipes that are offered.
const OTHERS: usize = 4;

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    let recipe = placed.recipe;
    let header = recipe.blocks.get(usize::from(place.block));
    let Some(batch) = &recipe.batch else { return };
    if header.is_none_or(|block| block.kind != BlockKind::Recipe)
        || recipe.from.is_some()
        || recipe.mash.runnings.is_some()
    {
        return;
    }
    let unit = cx.calc(placed).settings.units_for(Some(recipe));
    let unit = quantity::display::shown_unit(UnitId::L, unit.table());
    let mut sizes: Vec<f64> = vec![batch.value / 2.0, batch.value * 2.0];
    sizes.extend(others(cx, batch.value));
    for litres in sizes {
        let Ok(shown) = Quantity::from_canonical(litres, unit) else { continue };
        let shown = format!("{} {}", quantity::format_value(shown.value, unit), unit.everyday());
        add(
            edit::number(litres),
            format!("Resize to {shown}, keeping gravity, bitterness, colour and water"),
        );
    }
}

/// The batches that other recipes of the house are brewed in, the commonest first.
fn others(cx: &Cx<'_>, own: f64) -> Vec<f64> {
    let mut counted: BTreeMap<u64, (usize, f64)> = BTreeMap::new();
    for file in cx.workspace.files().filter(|file| file.config.root == cx.state.config.root) {
        for unit in &file.units.recipes {
            let Some(placed) = unit.blocks.first().and_then(|at| file.tree.blocks.get(*at as usize)) else {
                continue;
            };
            let entry = placed
                .block
                .entries()
                .find(|(_, entry)| entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Batch));
            let Some(syntax::ast::ValueKind::Plain(measure)) =
                entry.and_then(|(_, entry)| entry.value()).map(|value| &value.kind)
            else {
                continue;
            };
            let Some(litres) =
                measure.unit.and_then(|unit| Quantity::new(measure.number, unit).convert(UnitId::L).ok())
            else {
                continue;
            };
            let millilitres = litres.value * 1000.0;
            if !(1.0..1e12).contains(&millilitres) {
                continue;
            }
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // bounded above
            let key = millilitres.round() as u64;
            let slot = counted.entry(key).or_insert((0, litres.value));
            slot.0 += 1;
        }
    }
    let near = |a: f64, b: f64| (a / b - 1.0).abs() < 0.005;
    let mut found: Vec<(usize, f64)> = counted.into_values().collect();
    found.retain(|(_, litres)| ![own, own / 2.0, own * 2.0].iter().any(|known| near(*litres, *known)));
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.total_cmp(&b.1)));
    found.into_iter().take(OTHERS).map(|(_, litres)| litres).collect()
}

/// Brings the recipe at a byte to a batch as one writes it: `50 L`.
///
/// # Errors
/// Why that cannot be, in a brewer's words.
pub fn resized(
    workspace: &Workspace,
    analysis: &Analysis,
    offset: u32,
    batch: &str,
) -> Result<Change, String> {
    let cx = Cx::new(workspace, analysis, Span::at(offset), None);
    let Some((cx, one)) = cx.and_then(|cx| cx.recipe().map(|one| (cx, one))) else {
        return Err("there is no recipe here; stand on a line of the one to resize".to_owned());
    };
    let placed = placed(one);
    let calc = cx.calc(placed);
    let customary = placed.recipe.customary.or(calc.settings.customary);
    let litres = edit::volume(batch, customary)?;
    let edits = edit::resize(placed, calc.settings, litres)
        .map_err(|missing| format!("this recipe cannot be resized: {}", missing.reason))?;
    cx.change(edits).ok_or_else(|| format!("this recipe is of {} already", batch.trim()))
}

fn change(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let (placed, _) = cx.entry()?;
    let litres = choice.parse().ok()?;
    let calc = cx.calc(placed);
    cx.change(edit::resize(placed, calc.settings, litres).ok()?)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{check, offered};
    use crate::fixture::Fixture;

    const BEER: &str = "\
recipe \"Größe\"
  $0batch     20 L
  brewhouse kettle-20

grist
  4 kg      pale ale malt
  250 g     honey at 5 min

boil 60 min
  40 g      Golding [5 %] at 60 min  # é
  1 tablet  kettle finings at 10 min

pitch
  180 billion cells  English ale yeast

brewhouse kettle-20
  mash efficiency     75 %
  evaporation         3 L/h
";

    #[test]
    fn half_a_batch_is_not_half_of_everything() {
        check(
            BEER,
            "resize",
            "10",
            &[
                "  batch     10 L",
                "  2 kg      pale ale malt",
                "  125 g     honey at 5 min",
                "  19.6 g    Golding [5 %] at 60 min  # é",
                "  0.5 tablet  kettle finings at 10 min",
                "  90 billion cells  English ale yeast",
            ],
        );
    }

    #[test]
    fn any_batch_may_be_asked_for() {
        let fixture = Fixture::new(BEER);
        let (workspace, analysis) = (&fixture.workspace, fixture.analysis());
        let ask = |batch: &str| super::resized(workspace, &analysis, fixture.offset, batch);
        let text = |batch: &str| {
            let change = ask(batch).ok()?;
            Some(syntax::apply(&fixture.text(), &change.edits.first()?.1))
        };
        let made = text("1.37 hL").unwrap_or_default();
        assert!(
            made.contains("  batch     137 L\n") && made.contains("  27.4 kg   pale ale malt\n"),
            "{made}"
        );
        for (batch, why) in [
            ("20 L", "already"),
            ("20", "20 L"),
            ("20 kg", "volume"),
            ("-5 L", "more than nothing"),
            ("0 L", "more than nothing"),
            ("5 gal", "customary"),
            ("much", "20 L"),
            ("20 L é", "20 L"),
        ] {
            let said = ask(batch).map(|_| ()).expect_err(batch);
            assert!(said.contains(why), "{batch}: {said}");
        }
    }

    #[test]
    fn expressions_follow_the_batch_or_are_multiplied() {
        let text = "\
let hops = 40 g

recipe \"Größe\"
  $0batch     20 L
  brewhouse lossless

grist
  (0.2 kg/L * batch) pale ale malt
  (1 kg + 200 g) wheat malt

boil 60 min
  (hops / 2) Golding [5 %] at 60 min  # é

ferment
  (hops) Golding on day 3 for 2 d

brewhouse lossless
  evaporation         10 %/h
  hop absorption      0 L/kg
";
        check(
            text,
            "resize",
            "10",
            &[
                "  batch     10 L",
                "  ((1 kg + 200 g) * 0.5) wheat malt",
                "  (hops / 2 * 0.5) Golding [5 %] at 60 min  # é",
                "  (hops * 0.5) Golding on day 3 for 2 d",
            ],
        );
    }

    #[test]
    fn sizes_that_are_offered() {
        let other = "recipe \"b\"\n  batch     46 L\n\nrecipe \"c\"\n  batch     46 L\n\nrecipe \"d\"\n  batch     10 L\n\nrecipe \"e\"\n  batch     30 L\n";
        let fixture = Fixture::with(BEER, &[("/r/b.gyle", other)]);
        let offers = offered(&fixture);
        let sizes: Vec<&str> =
            offers.iter().filter_map(|one| one.strip_prefix("resize ")?.split(':').next()).collect();
        assert_eq!(sizes, ["10", "40", "46", "30"]);
    }
}
