//! Metric measures in customary ones, and back.

use figures::ShownUnits;
use quantity::Customary;
use syntax::Span;

use super::{ActionKind, Change, Cx, Offered};

pub(super) const LINE: Offered =
    Offered { id: "convert-line", kind: ActionKind::Rewrite, offer: offer_line, change: change_line };
pub(super) const FILE: Offered =
    Offered { id: "convert-file", kind: ActionKind::Source, offer: offer_file, change: change_file };

const CHOICES: [(&str, ShownUnits, &str); 3] = [
    ("metric", ShownUnits::Metric, "metric units"),
    ("us", ShownUnits::Us, "US customary units"),
    ("imperial", ShownUnits::Imperial, "imperial units"),
];

/// What is offered: metric, and the customary measures in use here, else both.
fn offer(cx: &Cx<'_>, within: Span, what: &str, add: &mut dyn FnMut(String, String)) {
    let house = cx.state.config.figures.customary;
    let said = cx.recipe().and_then(|one| one.recipe.customary).or(house);
    let (metric, customary) = edit::systems(&cx.state.tree, within, house);
    for (id, units, name) in CHOICES {
        let fits = match (units, said) {
            (ShownUnits::Metric, _) => customary,
            (ShownUnits::Us, Some(Customary::Imperial)) | (ShownUnits::Imperial, Some(Customary::Us)) => {
                false
            }
            _ => metric,
        };
        if fits {
            add(id.into(), format!("Write {what} in {name}"));
        }
    }
}

fn units(choice: &str) -> Option<quantity::ShownUnits> {
    CHOICES.iter().find(|(id, ..)| *id == choice).map(|(_, units, _)| units.table())
}

const WHOLE: Span = Span::new(0, u32::MAX);

fn offer_line(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    offer(cx, cx.span, if cx.span.is_empty() { "this line" } else { "these lines" }, add);
}

fn change_line(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let house = cx.state.config.figures.customary;
    cx.change(edit::convert(&cx.state.tree, cx.span, units(choice)?, house))
}

fn offer_file(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    offer(cx, WHOLE, "this file", add);
}

fn change_file(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let house = cx.state.config.figures.customary;
    cx.change(edit::convert_file(&cx.state.tree, units(choice)?, house))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{check, offered};
    use crate::fixture::Fixture;

    #[test]
    fn lines() {
        for (text, choice, want) in [
            ("recipe \"é\"\n  $0batch     20 L\n", "us", "  batch     5.283 usgal"),
            ("recipe \"é\"\n  $0batch     20 L\n", "imperial", "  batch     4.399 impgal"),
            ("recipe \"é\"\n  customary us\n  $0batch     20 L\n", "us", "  batch     5.283 gal"),
            ("recipe \"é\"\n  customary us\n  $0batch     5 1/2 gal\n", "metric", "  batch     20.82 L"),
            (
                "recipe \"é\"\n\ngrist\n  $02 lb 4 oz pale ale malt [60 lov]\n",
                "metric",
                "  1.021 kg  pale ale malt [60 lov]",
            ),
            (
                "recipe \"é\"\n\ngrist\n  $03.6 kg    pale ale malt  # é\n",
                "us",
                "  7.937 lb  pale ale malt  # é",
            ),
            (
                "recipe \"é\"\n\nferment\n  $0hold      66 ± 2 F for 14 d\n",
                "metric",
                "  hold      18.9 ± 1.1 C for 14 d",
            ),
            (
                "recipe \"é\"\n\nferment\n  $0hold      18..20 C until 1.012\n",
                "us",
                "  hold      64.4..68 F until 1.012",
            ),
            (
                "recipe \"é\"\n\nliquor\n  $0sparge    17.5 L at 76 C\n",
                "us",
                "  sparge    4.623 usgal at 168.8 F",
            ),
            (
                "recipe \"é\"\n\nliquor\n  $0sparge    17.5 L at 168 F\n",
                "metric",
                "  sparge    17.5 L at 75.6 C",
            ),
            (
                "brewhouse é\n  $0grain absorption    0.95 L/kg\n",
                "us",
                "  grain absorption    0.4553 usqt/lb",
            ),
            (
                "recipe \"é\"\n\npackage\n  $0keg       2.3 vol at 6 C\n",
                "imperial",
                "  keg       2.3 vol at 42.8 F",
            ),
        ] {
            check(text, "convert-line", choice, &[want]);
        }
    }

    #[test]
    fn what_belongs_to_both_systems_stays() {
        for line in ["  style     13C", "  version   2 L"] {
            let fixture = Fixture::new(&format!("recipe \"é\"\n$0{line}\n"));
            assert!(!offered(&fixture).iter().any(|one| one.starts_with("convert-line")), "{line}");
        }
        // Small doses are weighed in grams everywhere; an unsaid gallon is nobody's.
        for line in ["  add       4 g gypsum to mash", "  mash      3 gal"] {
            let fixture = Fixture::new(&format!("recipe \"é\"\n\nliquor\n$0{line}\n"));
            assert!(!offered(&fixture).iter().any(|one| one.starts_with("convert-line")), "{line}");
        }
    }

    #[test]
    fn the_whole_file() {
        let text = "recipe \"é\"\n  $0batch     20 L\n\ngrist\n  4 kg      pale ale malt\n\nboil 60 min\n  20 g      Golding at 10 min\n";
        check(
            text,
            "convert-file",
            "us",
            &[
                "  customary us",
                "  batch     5.283 gal",
                "  8.818 lb  pale ale malt",
                "  0.7055 oz Golding at 10 min",
            ],
        );
        // A gallon that is nobody's stays so.
        let unsaid = text.replace("boil 60 min", "liquor\n  mash      3 gal\n\nboil 60 min");
        check(
            &unsaid,
            "convert-file",
            "us",
            &["  batch     5.283 usgal", "  8.818 lb  pale ale malt", "  0.7055 oz Golding at 10 min"],
        );
    }
}
