//! `gyle why`.

use std::path::Path;

use ::compare::why::{Brewed, Side, Why};
use ::figures::{Actual, Calc, FigureId, Scope, ShownUnits};
use recipe::Recipe;
use workspace::{Config, Workspace};

use crate::args::{CompareFormat, WhyArgs};
use crate::check::{absolute, load, sound_configs};
use crate::compare::{Both, OneLog, Read, both, pairs};
use crate::output::{Output, complain};
use crate::render;

/// Why the figures of two recipes, two gyles, or a plan and its gyle differ.
pub(crate) struct Told {
    /// What is compared.
    pub(crate) name: String,
    pub(crate) path: String,
    /// Settings that differ: which, before, after.
    pub(crate) settings: Vec<(&'static str, String, String)>,
    /// Whether figures are those of a log.
    pub(crate) measured: bool,
    pub(crate) units: ShownUnits,
    pub(crate) why: Why,
}

/// Which figures people are shown.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Shown {
    /// The main ones, of those that are shown differently.
    Main,
    /// All that are shown differently.
    Different,
    /// All that differ at all: they are named.
    Named,
}

/// Everything told.
pub(crate) struct Answer {
    /// What stands on both sides, as asked for.
    pub(crate) sides: (String, String),
    pub(crate) told: Vec<Told>,
    /// Which figures people are shown.
    pub(crate) shown: Shown,
}

pub(crate) fn run(args: &WhyArgs, output: &mut Output) -> u8 {
    match answer(args) {
        Ok(answer) => {
            match args.format {
                CompareFormat::Human => render::why::human(&answer, output),
                CompareFormat::Json => render::why::json(&answer, output),
                CompareFormat::Markdown => render::why::markdown(&answer, output),
            }
            0
        }
        Err(text) => {
            complain(&text);
            2
        }
    }
}

fn answer(args: &WhyArgs) -> Result<Answer, String> {
    let only = figures(&args.figure)?;
    let shown = match &args.figure[..] {
        [] => Shown::Main,
        _ if only.is_empty() => Shown::Different,
        _ => Shown::Named,
    };
    // A log alone is compared with its plan.
    if let (Some(one), None) = (&args.before, &args.after) {
        let path = absolute(Path::new(one));
        if path.is_file() {
            let (workspace, loaded, whole) = load(&[path], None);
            let here = absolute(Path::new("."));
            if !whole || !sound_configs(&workspace, &loaded.files, &here) {
                return Err(format!("{one} cannot be compared with its plan"));
            }
            let mut told = Vec::new();
            for id in &loaded.files {
                let (Some(state), Some(analysis)) = (workspace.file(*id), workspace.analyse(*id)) else {
                    continue;
                };
                for one in analysis.logs {
                    let path = Workspace::shown_path(&state.path, &here);
                    let log = OneLog { log: one.log, file: *id, path };
                    let plan = log.log.recipe.clone();
                    let plan = plan.ok_or_else(|| no_recipe(&log))?;
                    told.push(of_log(&plan, &state.config, &log, &state.config, &only)?);
                }
            }
            if !told.is_empty() {
                return Ok(Answer { sides: ("the plan".into(), one.clone()), told, shown });
            }
        }
    }
    let Both { before, after, files, sides } = both(args.before.as_deref(), args.after.as_deref())?;
    let only_logs = |read: &Read| read.recipes.is_empty() && !read.logs.is_empty();
    let told = match (only_logs(&before), only_logs(&after)) {
        (true, true) => gyles(&before, &after, &only)?,
        (false, true) => plans(&before, &after, false, &only)?,
        (true, false) => plans(&after, &before, true, &only)?,
        (false, false) => recipes(before, after, files, &only),
    };
    Ok(Answer { sides, told, shown })
}

/// The figures asked for; none where all are.
fn figures(names: &[String]) -> Result<Vec<FigureId>, String> {
    let mut ids = Vec::new();
    for name in names.iter().filter(|name| *name != "all") {
        let id = FigureId::from_words(name).map(|id| id.planned().unwrap_or(id));
        match id.filter(|id| id.scope() == Scope::Plan) {
            Some(id) => ids.push(id),
            None => {
                let known = FigureId::ALL.iter().map(|id| id.id());
                return Err(match rules::nearest(name, known) {
                    Some(near) => format!("there is no figure `{name}`; did you mean `{near}`?"),
                    None => format!("there is no figure `{name}`; `gyle figures FILE` shows all"),
                });
            }
        }
    }
    Ok(ids)
}

fn no_recipe(log: &OneLog) -> String {
    format!("{}: the recipe of gyle {} is not found", log.path, log.log.id)
}

fn recipes(before: Read, after: Read, files: bool, only: &[FigureId]) -> Vec<Told> {
    let (old, new) = (before.workspace, after.workspace);
    let (pairs, ..) = pairs(before.recipes, after.recipes, files);
    let told = pairs.into_iter().filter_map(|(one, other)| {
        let (from, to) = (&old.file(one.file)?.config, &new.file(other.file)?.config);
        let side = |recipe, config| side(recipe, config, None);
        let made = told(side(&one.recipe, from), side(&other.recipe, to), (from, to), only);
        Some(Told { name: other.recipe.name.to_string(), path: other.path.clone(), measured: false, ..made })
    });
    told.filter(|one| !one.why.parts.is_empty()).collect()
}

/// Plans of the first side with the gyles of the second.
fn plans(plans: &Read, gyles: &Read, turned: bool, only: &[FigureId]) -> Result<Vec<Told>, String> {
    let mut all = Vec::new();
    for log in &gyles.logs {
        let named = catalogue::fold(&log.log.recipe_name);
        let plan = plans.recipes.iter().find(|one| catalogue::fold(&one.recipe.name) == named);
        let (Some(plan), Some(state)) = (plan, gyles.workspace.file(log.file)) else { continue };
        let Some(of_plan) = plans.workspace.file(plan.file) else { continue };
        let done = log.log.recipe.as_deref().ok_or_else(|| no_recipe(log))?;
        let brewed = brewed(log, &state.config);
        let planned = (side(&plan.recipe, &of_plan.config, None), &*of_plan.config);
        let done = (side(done, &state.config, Some(&brewed)), &*state.config);
        let (one, other) = if turned { (done, planned) } else { (planned, done) };
        let made = told(one.0, other.0, (one.1, other.1), only);
        all.push(Told { name: gyle(log), path: log.path.clone(), measured: true, ..made });
    }
    if all.is_empty() {
        return Err("no gyle of one side was brewed from a recipe of the other".into());
    }
    Ok(all)
}

/// Gyles with gyles: those of one id, or the only one of each side.
fn gyles(before: &Read, after: &Read, only: &[FigureId]) -> Result<Vec<Told>, String> {
    let single = before.logs.len() == 1 && after.logs.len() == 1;
    let mut all = Vec::new();
    for new in &after.logs {
        let old = before.logs.iter().find(|old| single || old.log.id == new.log.id);
        let (Some(old), Some(state)) = (old, after.workspace.file(new.file)) else { continue };
        let Some(of_old) = before.workspace.file(old.file) else { continue };
        let first = old.log.recipe.as_deref().ok_or_else(|| no_recipe(old))?;
        let second = new.log.recipe.as_deref().ok_or_else(|| no_recipe(new))?;
        let (then, now) = (brewed(old, &of_old.config), brewed(new, &state.config));
        let made = told(
            side(first, &of_old.config, Some(&then)),
            side(second, &state.config, Some(&now)),
            (&of_old.config, &state.config),
            only,
        );
        let name =
            if old.log.id == new.log.id { gyle(new) } else { format!("{} and {}", gyle(old), gyle(new)) };
        all.push(Told { name, path: new.path.clone(), measured: true, ..made });
    }
    if all.is_empty() {
        return Err("no gyle stands on both sides; name one log on each".into());
    }
    Ok(all)
}

fn of_log(
    plan: &Recipe,
    of_plan: &Config,
    log: &OneLog,
    config: &Config,
    only: &[FigureId],
) -> Result<Told, String> {
    let done = log.log.recipe.as_deref().ok_or_else(|| no_recipe(log))?;
    let brewed = brewed(log, config);
    let made = told(side(plan, of_plan, None), side(done, config, Some(&brewed)), (of_plan, config), only);
    Ok(Told { name: gyle(log), path: log.path.clone(), measured: true, ..made })
}

fn gyle(log: &OneLog) -> String {
    format!("gyle {}, {}", log.log.id, log.log.recipe_name)
}

fn brewed(log: &OneLog, config: &Config) -> Brewed {
    let calc = log.log.recipe.as_deref().map(|recipe| Calc::new(recipe, &config.figures));
    Brewed::of(&Actual::new(&log.log, calc.as_ref(), &config.figures))
}

fn side<'a>(recipe: &'a Recipe, config: &'a Config, brewed: Option<&'a Brewed>) -> Side<'a> {
    Side { recipe, settings: &config.figures, brewed }
}

fn told(before: Side<'_>, after: Side<'_>, configs: (&Config, &Config), only: &[FigureId]) -> Told {
    let (from, to) = configs;
    // What a log calls its original gravity is compared with the gravity at pitching.
    let measured = before.brewed.is_some() || after.brewed.is_some();
    let mut only = only.to_vec();
    if measured && only.contains(&FigureId::Og) {
        only.push(FigureId::PitchingGravity);
    }
    let settings = from.figure_settings().into_iter().zip(to.figure_settings());
    Told {
        name: String::new(),
        path: String::new(),
        settings: settings
            .filter(|(a, b)| a.1 != b.1)
            .map(|((what, from), (_, to))| (what, from, to))
            .collect(),
        measured: false,
        units: to.figures.units_for(Some(after.recipe)),
        why: ::compare::why::why(before, after, &only),
    }
}
