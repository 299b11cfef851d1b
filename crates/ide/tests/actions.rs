//! Every action on every recipe of the demo repository: what it must keep, it keeps.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

use std::path::Path;
use std::sync::Arc;

use figures::{Calc, FigureId};
use ide::ActionKind;
use recipe::{FileId, Recipe, Vessel};
use syntax::Span;
use workspace::{Analysis, Disk, Source, Workspace};

struct Demo {
    workspace: Workspace,
    recipes: Vec<FileId>,
}

impl Demo {
    fn new() -> Self {
        let root =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/saltmarsh").canonicalize().unwrap();
        let mut workspace = Workspace::new(Arc::new(Disk));
        let loaded = workspace.load(&Disk.walk(&root).files);
        let has_recipe = |id: &FileId| !workspace.file(*id).unwrap().units.recipes.is_empty();
        let recipes: Vec<FileId> = loaded.files.iter().copied().filter(has_recipe).collect();
        assert!(recipes.len() >= 14);
        Self { workspace, recipes }
    }

    /// Each recipe file: its name, and the file alone.
    fn each(&self, mut test: impl FnMut(&str, &Subject<'_>)) {
        for id in &self.recipes {
            let state = self.workspace.file(*id).unwrap();
            let name = state.path.file_stem().unwrap().to_string_lossy().into_owned();
            let analysis = self.workspace.analyse(*id).unwrap();
            test(&name, &Subject { workspace: &self.workspace, text: state.text.to_string(), analysis });
        }
    }
}

struct Subject<'w> {
    workspace: &'w Workspace,
    text: String,
    analysis: Analysis,
}

impl Subject<'_> {
    fn recipe(&self) -> &Recipe {
        &self.analysis.recipes[0].recipe
    }

    /// The first byte after the blanks of each line.
    fn places(&self) -> Vec<Span> {
        let mut start = 0;
        let mut places = Vec::new();
        for line in self.text.split_inclusive('\n') {
            let at = start + line.len() - line.trim_start().len();
            places.push(Span::at(u32::try_from(at.min(start + line.len() - 1)).unwrap()));
            start += line.len();
        }
        places
    }

    /// Every place where an action is offered, with its choice.
    fn offers(&self, id: &str) -> Vec<(Span, String)> {
        let all = |at: Span| {
            let in_place = |kind| kind != ActionKind::Source;
            let found = ide::actions(self.workspace, &self.analysis, at, in_place);
            found.into_iter().filter(|one| one.id == id).map(move |one| (at, one.choice)).collect::<Vec<_>>()
        };
        self.places().into_iter().flat_map(all).collect()
    }

    /// The file after an action.
    fn after(&self, at: Span, id: &str, choice: &str) -> Option<(Workspace, FileId, Arc<Recipe>)> {
        let change = ide::action_change(self.workspace, &self.analysis, at, id, choice, None)?;
        let mut workspace = self.workspace.clone();
        let mut own = self.analysis.file;
        for (file, edits) in &change.edits {
            assert!(edits.windows(2).all(|two| two[0].span.end <= two[1].span.start), "{id}: {edits:?}");
            let state = workspace.file(*file).unwrap();
            let (path, text) = (state.path.clone(), syntax::apply(&state.text, edits));
            assert_eq!(
                edit::format(&syntax::parse(&text)),
                [],
                "{id} {choice} leaves it unformatted:\n{text}"
            );
            let (next, new) = workspace.with_text(&path, &text);
            if *file == own {
                own = new;
            }
            workspace = next;
        }
        let recipe = workspace.recipe(own, 0).unwrap();
        Some((workspace, own, recipe))
    }

    fn settings(&self) -> &figures::Settings {
        &self.workspace.file(self.analysis.file).unwrap().config.figures
    }

    fn value(&self, of: &Recipe, id: FigureId) -> Option<f64> {
        Calc::new(of, self.settings()).value(id).ok()
    }

    /// Compares figures; `allowance` says how far one may move.
    #[track_caller]
    fn same(&self, what: &str, new: &Recipe, ids: &[FigureId], allowance: &dyn Fn(FigureId, f64) -> f64) {
        for id in ids {
            let (before, after) = (self.value(self.recipe(), *id), self.value(new, *id));
            assert_eq!(before.is_some(), after.is_some(), "{what}: {}", id.id());
            if let (Some(before), Some(after)) = (before, after) {
                let allowed = allowance(*id, before);
                let moved = (before - after).abs();
                assert!(moved <= allowed, "{what}: {} {before} became {after}, {allowed} allowed", id.id());
            }
        }
    }
}

const BEER: &[FigureId] = &[FigureId::Og, FigureId::Fg, FigureId::Abv, FigureId::Ibu, FigureId::Colour];
const IONS: &[FigureId] = &[
    FigureId::Calcium,
    FigureId::Magnesium,
    FigureId::Sodium,
    FigureId::Chloride,
    FigureId::Sulfate,
    FigureId::MashCalcium,
    FigureId::MashChloride,
    FigureId::MashSulfate,
    FigureId::SpargeCalcium,
    FigureId::SpargeChloride,
    FigureId::SpargeSulfate,
];

/// One step of the last digit that is shown.
fn step(id: FigureId, value: f64) -> f64 {
    let shown = id.show().number(value);
    let decimals = shown.split_once('.').map_or(0, |(_, digits)| digits.len());
    10f64.powi(-i32::try_from(decimals).unwrap()) * 1.000_001
}

#[test]
fn a_resized_recipe_is_the_same_beer() {
    let demo = Demo::new();
    let mut done = 0;
    demo.each(|name, subject| {
        if subject.recipe().from.is_some() || subject.recipe().mash.runnings.is_some() {
            assert_eq!(subject.offers("resize"), [], "{name} shares its mash");
            return;
        }
        let offers = subject.offers("resize");
        assert!(offers.len() >= 2, "{name}");
        let at = offers[0].0;
        for litres in ["5", "17.3", "40", "1000"] {
            let Some((_, _, new)) = subject.after(at, "resize", litres) else {
                // Its own size needs no change.
                assert_eq!(subject.recipe().batch.as_ref().unwrap().value, litres.parse::<f64>().unwrap());
                continue;
            };
            let what = format!("{name} to {litres} L");
            assert!(
                (new.batch.as_ref().unwrap().value - litres.parse::<f64>().unwrap()).abs() < 1e-3,
                "{what}"
            );
            subject.same(&what, &new, BEER, &step);
            let dry = |recipe: &Recipe| -> f64 {
                let calc = Calc::new(recipe, subject.settings());
                let found = calc.ingredients();
                let hops = recipe.parts.iter().flat_map(|part| &part.ferment.additions);
                hops.filter_map(|one| found.iter().find(|(place, ..)| *place == one.place))
                    .filter_map(|(.., amount)| match amount {
                        Ok(figures::Ingredient::Mass(kg)) => Some(*kg),
                        _ => None,
                    })
                    .sum()
            };
            let by_litre = |recipe: &Recipe| dry(recipe) / recipe.batch.as_ref().unwrap().value;
            let (before, after) = (by_litre(subject.recipe()), by_litre(&new));
            assert!((before - after).abs() <= before * 0.02, "{what}: dry hops {before} and {after} kg/L");
            // Salts are weighed to a tenth of a gram, liquor to half a per cent.
            let calc = Calc::new(&new, subject.settings());
            let vessels = [Vessel::Mash, Vessel::Sparge].map(|one| calc.vessel_water(one));
            let smallest = vessels.iter().flatten().map(|water| water.litres).fold(f64::INFINITY, f64::min);
            let salts = new.liquor.additions.len() as f64;
            let rounding = 0.05 * 560.0 * salts / smallest;
            subject.same(&what, &new, IONS, &|id, value| step(id, value) + rounding + value * 0.01);
            subject.same(&what, &new, &[FigureId::MashPh], &|_, _| 0.03);
            done += 1;
        }
    });
    assert!(done >= 44, "{done}");
}

#[test]
fn a_grist_in_percent_and_one_in_masses_are_the_same_beer() {
    let demo = Demo::new();
    let mut done = (0, 0);
    demo.each(|name, subject| {
        for (at, choice) in subject.offers("grist-amounts") {
            let (workspace, id, new) = subject.after(at, "grist-amounts", &choice).unwrap();
            subject.same(&format!("{name} in {choice}"), &new, BEER, &step);
            if choice == "percentages" {
                done.0 += 1;
                let calc = Calc::new(&new, subject.settings());
                assert!((calc.percent_total().unwrap() - 1.0).abs() < 1e-9, "{name}");
                // And back again.
                let text = workspace.file(id).unwrap().text.to_string();
                let analysis = workspace.analyse(id).unwrap();
                let back = Subject { workspace: &workspace, text, analysis };
                let at = back.offers("grist-amounts")[0].0;
                let (_, _, again) = back.after(at, "grist-amounts", "masses").unwrap();
                subject.same(&format!("{name} and back"), &again, BEER, &step);
            } else {
                done.1 += 1;
            }
        }
    });
    assert!(done.0 > 20 && done.1 > 1, "{done:?}");
}

#[test]
fn what_is_written_in_is_what_was_computed() {
    let demo = Demo::new();
    let mut done = 0;
    demo.each(|name, subject| {
        for (at, choice) in subject.offers("write-in") {
            let Some((_, _, new)) = subject.after(at, "write-in", &choice) else {
                panic!("{name}: nothing is computed at {at:?}");
            };
            subject.same(name, &new, BEER, &step);
            subject.same(name, &new, &[FigureId::MashPh], &|_, _| 0.015);
            assert_eq!(new.queries.len() + new.problems.len(), {
                let line = &subject.text[at.start as usize..];
                subject.recipe().queries.len() - usize::from(line.starts_with('?'))
            });
            done += 1;
        }
    });
    assert!(done >= 4, "{done}");
}

#[test]
fn a_file_in_other_units_means_the_same() {
    let demo = Demo::new();
    let ids: Vec<FigureId> =
        FigureId::ALL.iter().copied().filter(|id| id.scope() == figures::Scope::Plan).collect();
    let mut done = 0;
    demo.each(|name, subject| {
        for choice in ["metric", "us", "imperial"] {
            let at = Span::at(0);
            let Some((_, _, new)) = subject.after(at, "convert-file", choice) else { continue };
            assert!(new.problems.is_empty(), "{name} in {choice}: {:?}", new.problems);
            subject.same(&format!("{name} in {choice}"), &new, &ids, &|id, value| {
                // Four digits are kept.
                step(id, value).max(value.abs() * 0.002)
            });
            done += 1;
        }
    });
    assert!(done >= 28, "{done}");
}

#[test]
fn every_line_in_other_units_means_the_same() {
    let demo = Demo::new();
    let mut done = 0;
    demo.each(|name, subject| {
        for (at, choice) in subject.offers("convert-line") {
            let (_, _, new) = subject.after(at, "convert-line", &choice).unwrap();
            subject.same(&format!("{name} at {at:?} in {choice}"), &new, BEER, &step);
            done += 1;
        }
    });
    assert!(done >= 200, "{done}");
}

#[test]
fn doses_reach_what_they_are_for() {
    let demo = Demo::new();
    let mut done = (0, 0, 0);
    demo.each(|name, subject| {
        for (at, choice) in subject.offers("acid") {
            // Where the mash is sour enough without acid, none reaches the aim.
            let Some((_, _, new)) = subject.after(at, "acid", &choice) else { continue };
            let ph = subject.value(&new, FigureId::MashPh).unwrap();
            assert!((ph - choice.parse::<f64>().unwrap()).abs() < 0.012, "{name}: {ph} for {choice}");
            done.0 += 1;
        }
        for (at, choice) in subject.offers("bitterness") {
            let Some((_, _, new)) = subject.after(at, "bitterness", &choice) else { continue };
            let ibu = subject.value(&new, FigureId::Ibu).unwrap();
            let wanted = choice.parse::<f64>().unwrap();
            assert!((ibu - wanted).abs() < wanted * 0.005 + 0.1, "{name}: {ibu} for {choice}");
            done.1 += 1;
        }
        for (at, _) in subject.offers("salts") {
            let Some((_, _, new)) = subject.after(at, "salts", "") else { panic!("{name}: no salts") };
            let misfit = |recipe: &Recipe| -> f64 {
                let calc = Calc::new(recipe, subject.settings());
                let target = recipe.liquor.target.as_ref().unwrap();
                let target = figures::water_of(target).unwrap();
                [brewing::water::Ion::Calcium, brewing::water::Ion::Chloride, brewing::water::Ion::Sulfate]
                    .into_iter()
                    .map(|ion| {
                        let there = calc.ion_in(Vessel::All, ion).unwrap();
                        ((there - target.ion(ion).mg_per_litre()) / ion.molar_mass() * ion.charge()).powi(2)
                    })
                    .sum::<f64>()
            };
            let (before, after) = (misfit(subject.recipe()), misfit(&new));
            assert!(after <= before * 1.02 + 1e-3, "{name}: {before} became {after}");
            done.2 += 1;
        }
    });
    assert!(done.0 >= 12 && done.1 >= 10 && done.2 >= 2, "{done:?}");
}

#[test]
fn a_substitute_makes_the_same_beer() {
    let demo = Demo::new();
    let mut done = 0;
    demo.each(|name, subject| {
        for (at, choice) in subject.offers("substitute") {
            let Some((_, _, new)) = subject.after(at, "substitute", &choice) else {
                panic!("{name}: {choice} cannot be taken")
            };
            let what = format!("{name} with {choice}");
            subject.same(&what, &new, &[FigureId::Og, FigureId::Ibu], &step);
            // Where no other malt can make up for it, one nearly as dark is all there is: 1.3 times as dark makes a
            // beer of it alone 1.3^0.6859 = 1.2 times as dark.
            subject.same(&what, &new, &[FigureId::Colour], &|id, value| step(id, value).max(value * 0.2));
            assert_eq!(new.problems.len(), subject.recipe().problems.len(), "{what}");
            done += 1;
        }
    });
    assert!(done >= 3, "{done}");
}

#[test]
fn actions_of_a_menu_that_is_not_asked_for_are_not_looked_for() {
    let demo = Demo::new();
    demo.each(|_, subject| {
        for at in subject.places() {
            let found =
                ide::actions(subject.workspace, &subject.analysis, at, |kind| kind == ActionKind::Source);
            assert!(found.iter().all(|one| one.kind == ActionKind::Source));
        }
    });
}

/// A text with a few pieces taken out, doubled or moved, the same for the same seed.
fn mangled(text: &str, seed: &mut u64) -> String {
    let mut next = |below: usize| {
        *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(*seed >> 33).unwrap() % below.max(1)
    };
    let mut chars: Vec<char> = text.chars().collect();
    for _ in 0..=next(4) {
        let from = next(chars.len());
        let to = (from + next(40)).min(chars.len());
        let piece: Vec<char> = match next(3) {
            0 => chars.drain(from..to).collect(),
            1 => chars[from..to].to_vec(),
            _ => "0 -1e9 É🌾 \"(% kg to reach ".chars().skip(next(20)).collect(),
        };
        let at = next(chars.len());
        if next(2) == 0 {
            chars.splice(at..at, piece);
        }
    }
    chars.into_iter().collect()
}

#[test]
fn no_text_however_broken_makes_an_action_fail() {
    let demo = Demo::new();
    let mut seed = 7;
    let mut changes = 0;
    for round in 0..70 {
        let state = demo.workspace.file(demo.recipes[round % demo.recipes.len()]).unwrap();
        let text = mangled(&state.text, &mut seed);
        let (workspace, id) = demo.workspace.with_text(&state.path, &text);
        let analysis = workspace.analyse(id).unwrap();
        for (line, _) in text.match_indices('\n').skip(round % 9).step_by(9) {
            let at = Span::at(u32::try_from(line).unwrap());
            for one in ide::actions(&workspace, &analysis, at, |_| true) {
                let now = Some("2026-11-25 23:50");
                let Some(change) = ide::action_change(&workspace, &analysis, at, one.id, &one.choice, now)
                else {
                    continue;
                };
                changes += 1;
                for (file, edits) in &change.edits {
                    let old = &workspace.file(*file).unwrap().text;
                    let mut end = 0;
                    for edit in edits {
                        assert!(edit.span.start >= end, "{}: {edits:?}", one.id);
                        assert!(old.get(edit.span.range()).is_some(), "{}: {edit:?}", one.id);
                        assert!(
                            !edit.text.contains("NaN") && !edit.text.contains('?'),
                            "{}: {edit:?}",
                            one.id
                        );
                        end = edit.span.end;
                    }
                }
            }
        }
    }
    assert!(changes > 300, "{changes}");
}
