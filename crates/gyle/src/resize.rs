//! `gyle resize`: a recipe for another batch.

use std::path::Path;
use std::sync::Arc;

use ::figures::{Calc, FigureId};
use recipe::Recipe;
use similar::TextDiff;
use workspace::{AnalysedRecipe, Analysis, Workspace};

use crate::args::ResizeArgs;
use crate::check::{absolute, one_file};
use crate::output::{Output, complain};

pub(crate) fn run(args: &ResizeArgs, output: &mut Output) -> u8 {
    match resize(args, output) {
        Ok(()) => 0,
        Err(text) => {
            complain(&text);
            2
        }
    }
}

fn resize(args: &ResizeArgs, output: &mut Output) -> Result<(), String> {
    let here = absolute(Path::new("."));
    let (mut workspace, state, analysis) = one_file(&args.path, &here)?;
    let settings = state.config.figures.clone();
    let one = chosen(&analysis, args)?;
    let customary = one.recipe.customary.or(settings.customary);
    let litres = edit::volume(&args.batch, customary)?;
    let placed = edit::Placed { recipe: &one.recipe, starts: &one.starts };
    let edits = edit::resize(placed, &settings, litres).map_err(|missing| {
        format!("{} cannot be brought to another batch: {}", one.recipe.name, missing.reason)
    })?;
    let text = Arc::clone(&state.text);
    let resized = syntax::apply(&text, &edits);
    let shown = Workspace::shown_path(&state.path, &here);
    if args.write {
        std::fs::write(&state.path, resized.as_bytes())
            .map_err(|error| format!("{shown} cannot be written: {error}"))?;
        output.line(&format!("{shown} resized to {}", args.batch));
    } else if args.diff {
        output
            .text(&TextDiff::from_lines(&*text, &*resized).unified_diff().header(&shown, &shown).to_string());
    } else {
        output.text(&resized);
    }
    let before = Arc::clone(&one.recipe);
    let at = analysis.recipes.iter().position(|other| Arc::ptr_eq(&other.recipe, &before));
    workspace.load_text(&state.path, &resized);
    if let Some(after) = workspace.analyse(state.id).and_then(|new| new.recipes.get(at?).cloned()) {
        for moved in moved(&before, &after.recipe, &settings) {
            complain(&moved);
        }
    }
    Ok(())
}

fn chosen<'a>(analysis: &'a Analysis, args: &ResizeArgs) -> Result<&'a AnalysedRecipe, String> {
    let file = args.path.display();
    let names = || {
        let names: Vec<String> =
            analysis.recipes.iter().map(|one| format!("`{}`", one.recipe.name)).collect();
        names.join(", ")
    };
    match (&args.recipe, &*analysis.recipes) {
        (_, []) => Err(format!("{file} has no recipe")),
        (None, [one]) => Ok(one),
        (None, _) => Err(format!("{file} has several recipes; say which with --recipe: {}", names())),
        (Some(name), all) => all
            .iter()
            .find(|one| catalogue::same(&one.recipe.name, name))
            .ok_or_else(|| format!("{file} has no recipe `{name}`; it has {}", names())),
    }
}

/// What rounding to amounts that can be weighed has moved by more than a hundredth.
fn moved(before: &Recipe, after: &Recipe, settings: &::figures::Settings) -> Vec<String> {
    let (old, new) = (Calc::new(before, settings), Calc::new(after, settings));
    let units = settings.units_for(Some(before));
    let mut said = Vec::new();
    for id in [FigureId::Og, FigureId::Ibu, FigureId::Colour] {
        let (Ok(was), Ok(is)) = (old.value(id), new.value(id)) else { continue };
        // Of a gravity what counts is above that of water.
        let water = if id == FigureId::Og { 1.0 } else { 0.0 };
        if (is - was).abs() > 0.01 * (was - water).abs() {
            let show = |value| id.show().shown(value, units);
            said.push(format!(
                "{}: {} was {} and is {}, by the rounding to amounts that can be weighed",
                before.name,
                id.words(),
                show(was),
                show(is)
            ));
        }
    }
    said
}
