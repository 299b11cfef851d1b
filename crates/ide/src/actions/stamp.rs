//! Computed values at the ends of lines, for whoever reads the file without an editor.

use edit::{Stamping, Stamps};
use figures::{FigureId, LineFigure};

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "stamp", kind: ActionKind::Source, offer, change };

/// What the header of a recipe is stamped with: the beer in a line.
const BEER: [FigureId; 5] = [FigureId::Og, FigureId::Fg, FigureId::Abv, FigureId::Ibu, FigureId::Colour];
/// What lines are stamped with.
const LINES: [LineFigure; 2] = [LineFigure::Share, LineFigure::Ibu];

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let stamped =
        cx.state.tree.blocks.iter().any(|placed| placed.block.lines.iter().any(|line| line.stamp.is_some()));
    if !cx.analysis.recipes.is_empty() {
        add("write".into(), "Stamp the recipes of this file with their figures".into());
    }
    if cx.analysis.logs.iter().any(|one| one.log.pinned.is_none() && one.log.recipe.is_some()) {
        add("pin".into(), "Pin the logs of this file to the recipes brewed".into());
    }
    if stamped {
        add("refresh".into(), "Bring the stamps of this file up to date".into());
        add("remove".into(), "Take the stamps of this file away".into());
    }
}

fn change(cx: &Cx<'_>, choice: &str) -> Option<Change> {
    let stamping = match choice {
        "write" => Stamping::Write(Stamps { figures: BEER.to_vec(), lines: LINES.to_vec(), pin: false }),
        "pin" => Stamping::Write(Stamps { pin: true, ..Stamps::default() }),
        "refresh" => Stamping::Refresh,
        "remove" => Stamping::RemoveAll,
        _ => return None,
    };
    let mut edits = Vec::new();
    for one in &cx.analysis.recipes {
        let settings = &cx.state.config.figures;
        edits.extend(edit::stamp_recipe(&one.recipe, &one.starts, settings, &stamping));
    }
    for one in &cx.analysis.logs {
        edits.extend(edit::stamp_log(&one.log, &one.starts, &stamping));
    }
    cx.change(edits)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{after, check, offered};
    use crate::fixture::Fixture;

    const BEER: &str = "$0recipe \"Größe\"\n  batch     20 L\n\ngrist\n  4 kg      pale ale malt  # é\n";

    #[test]
    fn stamps_are_written_kept_current_and_taken_away() {
        check(
            BEER,
            "stamp",
            "write",
            &[
                "recipe \"Größe\"  #= og 1.045, ibu 0.0, colour 8.9 EBC",
                "  4 kg      pale ale malt  # é  #= share 100.0 %",
            ],
        );
        let old = BEER.replace("# é", "# é  #= share 50.0 %");
        check(&old, "stamp", "refresh", &["  4 kg      pale ale malt  # é  #= share 100.0 %"]);
        check(&old, "stamp", "remove", &["  4 kg      pale ale malt  # é"]);
        assert!(!offered(&Fixture::new(BEER)).iter().any(|one| one.starts_with("stamp refresh")));
    }

    #[test]
    fn a_log_is_pinned_once() {
        let text = format!("{BEER}\ngyle 1 \"Größe\" on 2026-05-02\n  10:00   strike    71 C\n");
        let pinned = after(&Fixture::new(&text), "stamp", "pin").unwrap_or_default();
        assert!(pinned.contains("gyle 1 \"Größe\" on 2026-05-02  #= recipe "), "{pinned}");
        assert!(!offered(&Fixture::new(&pinned)).iter().any(|one| one.starts_with("stamp pin")));
    }
}
