//! Where the time of a check goes: `profile FOLDER` does one phase after the other over all files of a folder,
//! each by itself, on one thread where `RAYON_NUM_THREADS=1` is set.

use std::hint::black_box;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, Instant};

use figures::{Calc, FigureId};
use workspace::{Disk, Source, Workspace};

/// Rounds, of which the quickest counts.
const ROUNDS: usize = 5;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [folder] = arguments.as_slice() else {
        eprintln!("the folder to look through: profile FOLDER");
        return ExitCode::from(2);
    };
    let Ok(folder) = std::path::absolute(folder) else { return ExitCode::from(2) };
    let mut best: Vec<(&str, Duration)> = Vec::new();
    let mut counts = (0, 0);
    for _ in 0..ROUNDS {
        let (phases, seen) = round(&folder);
        counts = seen;
        if best.is_empty() {
            best = phases;
        } else {
            for (least, now) in best.iter_mut().zip(phases) {
                least.1 = least.1.min(now.1);
            }
        }
    }
    let (files, recipes) = counts;
    println!("{files} files, {recipes} recipes; the quickest of {ROUNDS} rounds");
    println!("{:<40} {:>8} {:>12} {:>12}", "phase", "ms", "us a file", "us a recipe");
    for (name, time) in best {
        let us = time.as_secs_f64() * 1e6;
        let (file, recipe) = (us / f64::from(files.max(1)), us / f64::from(recipes.max(1)));
        println!("{name:<40} {:>8.1} {file:>12.1} {recipe:>12.1}", us / 1e3);
    }
    ExitCode::SUCCESS
}

/// The phases with their times, and how many files and recipes there were.
fn round(folder: &Path) -> (Vec<(&'static str, Duration)>, (u32, u32)) {
    let mut phases = Vec::new();
    let mut note = |name: &'static str, since: Instant| phases.push((name, since.elapsed()));

    let start = Instant::now();
    let found = Disk.walk(folder).files;
    note("find", start);

    let start = Instant::now();
    let texts: Vec<String> = found.iter().filter_map(|path| Disk.read(path).ok()).collect();
    note("read", start);

    let start = Instant::now();
    for text in &texts {
        black_box(syntax::parse(text));
    }
    note("parse", start);

    let mut workspace = Workspace::new(Arc::new(Disk));
    let start = Instant::now();
    let loaded = workspace.load(&[folder.to_path_buf()]);
    note("(find, read, parse and index)", start);

    let start = Instant::now();
    let mut recipes = Vec::new();
    for id in &loaded.files {
        let Some(state) = workspace.file(*id) else { continue };
        for at in 0..state.units.recipes.len() {
            recipes.extend(workspace.recipe(*id, at).map(|recipe| (recipe, Arc::clone(&state.config))));
        }
    }
    note("resolve: names looked up, recipes built", start);

    let start = Instant::now();
    let mut calcs = Vec::with_capacity(recipes.len());
    for (recipe, config) in &recipes {
        let parts: Vec<Calc<'_>> =
            (0..recipe.parts.len().max(1)).map(|part| Calc::of_part(recipe, &config.figures, part)).collect();
        for calc in &parts {
            for id in FigureId::ALL {
                let _ = black_box(calc.value(*id));
            }
        }
        calcs.push(parts);
    }
    note("figures: every one of every recipe", start);

    let start = Instant::now();
    for (parts, (_, config)) in calcs.iter().zip(&recipes) {
        black_box(rules::check_recipe(parts, &config.rules));
    }
    note("rules, the figures known", start);
    drop(calcs);

    let start = Instant::now();
    for (recipe, config) in &recipes {
        let parts: Vec<Calc<'_>> =
            (0..recipe.parts.len().max(1)).map(|part| Calc::of_part(recipe, &config.figures, part)).collect();
        black_box(rules::check_recipe(&parts, &config.rules));
    }
    note("(rules and the figures they ask for)", start);

    let start = Instant::now();
    for id in &loaded.files {
        black_box(workspace.analyse_in_passing(*id));
    }
    note("(a file's whole analysis, recipes built)", start);
    let counts = (loaded.files.len(), recipes.len());
    (phases, (u32::try_from(counts.0).unwrap_or(u32::MAX), u32::try_from(counts.1).unwrap_or(u32::MAX)))
}
