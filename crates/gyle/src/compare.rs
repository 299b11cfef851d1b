//! `gyle compare`.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use ::compare::why::Moved;
use ::compare::{Comparison, FigureChange, Side};
use figures::FigureId;
use recipe::{Definition, FileId, Log, Place, Recipe};
use rules::{Finding, Wanted};
use syntax::vocabulary::BlockKind;
use syntax::{Encoding, LineIndex};
use workspace::{Disk, Workspace};

use crate::args::{CompareArgs, CompareFormat};
use crate::check::absolute;
use crate::output::{Output, complain};
use crate::render;
use crate::revision::Repository;

/// What stands on one side.
enum Target {
    /// A file or folder.
    Disk(PathBuf),
    /// A revision, or one of its files.
    Revision { revision: String, path: Option<PathBuf> },
}

/// One side, read.
pub(crate) struct Read {
    pub(crate) workspace: Workspace,
    pub(crate) recipes: Vec<One>,
    pub(crate) logs: Vec<OneLog>,
}

/// A log of a side.
pub(crate) struct OneLog {
    pub(crate) log: Arc<Log>,
    pub(crate) file: FileId,
    /// Path as shown.
    pub(crate) path: String,
}

/// Both sides, read.
pub(crate) struct Both {
    pub(crate) before: Read,
    pub(crate) after: Read,
    /// Whether each is one file.
    pub(crate) files: bool,
    /// What stands on them, as asked for.
    pub(crate) sides: (String, String),
}

/// A recipe of a side.
pub(crate) struct One {
    pub(crate) recipe: Arc<Recipe>,
    starts: Vec<u32>,
    pub(crate) file: FileId,
    /// Path as shown.
    pub(crate) path: String,
    findings: Vec<Finding>,
}

/// A recipe of both sides.
pub(crate) struct Pair {
    pub(crate) before: One,
    pub(crate) after: One,
    pub(crate) comparison: Comparison,
    /// Figures that definitions of the cellar moved.
    pub(crate) through: Vec<Moved>,
    /// Settings of the figures that differ: which, before, after.
    pub(crate) settings: Vec<(&'static str, String, String)>,
    /// Findings only the second has, and only the first had.
    pub(crate) found: Vec<Finding>,
    pub(crate) gone: Vec<Finding>,
    /// Units its figures are shown in.
    pub(crate) units: figures::ShownUnits,
    lines: (LineIndex, LineIndex),
    texts: (Arc<str>, Arc<str>),
}

impl Pair {
    fn is_empty(&self) -> bool {
        self.comparison.is_empty()
            && self.settings.is_empty()
            && self.found.is_empty()
            && self.gone.is_empty()
            && self.before.recipe.name == self.after.recipe.name
    }

    /// What the second recipe wants of a figure.
    pub(crate) fn wanted(&self, label: Option<&str>, id: FigureId) -> Wanted {
        let recipe = &self.after.recipe;
        let labelled = |part: &&recipe::Part| part.label.as_ref().map(|(label, _)| &**label) == label;
        let part = recipe.parts.iter().find(labelled).or(recipe.parts.first());
        part.map_or_else(Wanted::default, |part| Wanted::of(recipe, part, id))
    }

    /// The definitions of the cellar that a change came through, by kind and name, and whether each is all of it
    /// or a part. One that moved nothing of what is shown is left out.
    pub(crate) fn movers(&self, label: Option<&str>, change: &FigureChange) -> Vec<(String, bool)> {
        let fold = |label: Option<&str>| label.map(catalogue::fold);
        let shown = |value: Option<f64>| value.map(|value| change.show.number(value));
        self.through
            .iter()
            .filter(|one| one.id == change.id && fold(one.part.as_deref()) == fold(label))
            .filter(|one| shown(one.alone) != shown(change.from))
            .map(|one| {
                let whole = match (one.alone, change.to) {
                    (Some(alone), Some(to)) => (alone - to).abs() <= 1e-9 * to.abs().max(1e-3),
                    (alone, to) => alone == to,
                };
                (format!("{} {}", one.kind.word(), one.name), whole)
            })
            .collect()
    }

    /// Line number of a place in the first recipe.
    pub(crate) fn line_before(&self, place: Place) -> u32 {
        line(&self.before, place, &self.lines.0, &self.texts.0)
    }

    /// Line number of a place in the second recipe.
    pub(crate) fn line_after(&self, place: Place) -> u32 {
        line(&self.after, place, &self.lines.1, &self.texts.1)
    }
}

fn line(one: &One, place: Place, index: &LineIndex, text: &str) -> u32 {
    let start = one.starts.get(usize::from(place.block)).copied().unwrap_or(0);
    index.line_col(text, start + place.span.start, Encoding::Utf32).line + 1
}

/// Everything that differs.
pub(crate) struct Differences {
    /// What stands on both sides, as asked for.
    pub(crate) sides: (String, String),
    /// The one both are brewed on, with amounts for a litre; none where each has its own.
    pub(crate) brewhouse: Option<Arc<Definition>>,
    pub(crate) pairs: Vec<Pair>,
    /// Recipes that are the same on both sides.
    pub(crate) same: usize,
    pub(crate) added: Vec<One>,
    pub(crate) removed: Vec<One>,
}

pub(crate) fn run(args: &CompareArgs, output: &mut Output) -> u8 {
    let both = both(args.before.as_deref(), args.after.as_deref());
    match both.and_then(|both| differences(both, args.brewhouse.as_deref())) {
        Ok(found) => {
            match args.format {
                CompareFormat::Human => render::compare::human(&found, output),
                CompareFormat::Json => render::compare::json(&found, output),
                CompareFormat::Markdown => render::compare::markdown(&found, output),
            }
            0
        }
        Err(text) => {
            complain(&text);
            2
        }
    }
}

/// Reads what two arguments stand for.
///
/// # Errors
/// When they stand for nothing, or it cannot be read: what to say.
pub(crate) fn both(before: Option<&str>, after: Option<&str>) -> Result<Both, String> {
    let here = absolute(Path::new("."));
    let repository = Repository::around(&here);
    let target = |written: &str| target(written, &here, repository.as_ref());
    let (before, after) = match (before, after) {
        (Some(before), Some(after)) => (target(before)?, target(after)?),
        (Some(one), None) => match (target(one)?, &repository) {
            // A revision is compared with what stands in the working tree now.
            (Target::Revision { revision, path }, Ok(repository)) => {
                let now = path.as_ref().unwrap_or(&repository.root).clone();
                (Target::Revision { revision, path }, Target::Disk(now))
            }
            (Target::Disk(path), Ok(_)) => {
                (Target::Revision { revision: "HEAD".into(), path: Some(path.clone()) }, Target::Disk(path))
            }
            (_, Err(text)) => return Err(format!("{text}; name two files to compare")),
        },
        (None, _) => match &repository {
            Ok(repository) => (
                Target::Revision { revision: "HEAD".into(), path: None },
                Target::Disk(repository.root.clone()),
            ),
            Err(text) => return Err(format!("{text}; name two files to compare")),
        },
    };
    let of_revision = |target: &Target| matches!(target, Target::Revision { .. });
    // Paths of a revision are those of the repository, and so are those of what it is compared with.
    let root = match &repository {
        Ok(repository) if of_revision(&before) || of_revision(&after) => repository.root.as_path(),
        _ => here.as_path(),
    };
    let named = |target: &Target| match target {
        Target::Disk(path) => match Workspace::shown_path(path, root) {
            empty if empty.is_empty() => "the working tree".to_owned(),
            shown => shown,
        },
        Target::Revision { revision, path: None } => revision.clone(),
        Target::Revision { revision, path: Some(path) } => {
            format!("{revision}:{}", Workspace::shown_path(path, root))
        }
    };
    let sides = (named(&before), named(&after));
    let single = |target: &Target| match target {
        Target::Disk(path) => path.is_file(),
        Target::Revision { path, .. } => path.as_ref().is_some_and(|path| Workspace::is_gyle(path)),
    };
    let files = single(&before) && single(&after);
    let before = read(&before, root, repository.as_ref())?;
    let after = read(&after, root, repository.as_ref())?;
    Ok(Both { before, after, files, sides })
}

/// What an argument stands for: a file or folder where there is one, else a revision or one of its files.
fn target(written: &str, here: &Path, repository: Result<&Repository, &String>) -> Result<Target, String> {
    let path = absolute(Path::new(written));
    if path.exists() {
        return Ok(Target::Disk(path));
    }
    let neither = |why: &str| format!("`{written}` is no file and no folder, and {why}");
    let repository = repository.map_err(|text| neither(&format!("{text} whose revision it might be")))?;
    if let Some((revision, path)) = written.split_once(':') {
        if !repository.knows(revision) {
            return Err(neither(&format!("there is no revision `{revision}` here")));
        }
        // As git reads it: from the root, unless it begins with a point.
        let from = if path.starts_with('.') { here } else { repository.root.as_path() };
        let path = if path.is_empty() { None } else { Some(workspace::normal(&from.join(path))) };
        return Ok(Target::Revision { revision: revision.to_owned(), path });
    }
    if repository.knows(written) {
        return Ok(Target::Revision { revision: written.to_owned(), path: None });
    }
    Err(neither("there is no revision of that name here"))
}

fn read(target: &Target, root: &Path, repository: Result<&Repository, &String>) -> Result<Read, String> {
    let (mut workspace, paths) = match target {
        Target::Disk(path) => (Workspace::new(Arc::new(Disk)), vec![path.clone()]),
        Target::Revision { revision, path } => {
            let repository = repository.map_err(String::clone)?;
            let tree = repository.tree(revision)?;
            for note in &tree.notes {
                complain(note);
            }
            let within = |file: &&PathBuf| path.as_ref().is_none_or(|path| file.starts_with(path));
            let files: Vec<PathBuf> = tree.files.iter().filter(within).cloned().collect();
            if let Some(path) = path
                && files.is_empty()
            {
                let shown = Workspace::shown_path(path, root);
                return Err(format!("there is no recipe file {shown} in `{revision}`"));
            }
            (Workspace::new(Arc::new(tree.texts)), files)
        }
    };
    let loaded = workspace.load(&paths);
    if let Some(skipped) = loaded.unreadable.first() {
        return Err(format!("{}: {}", Workspace::shown_path(&skipped.path, root), skipped.reason));
    }
    for note in loaded.notes(root) {
        complain(&note);
    }
    let (mut recipes, mut logs) = (Vec::new(), Vec::new());
    for id in loaded.files {
        let (Some(state), Some(analysis)) = (workspace.file(id), workspace.analyse(id)) else { continue };
        let path = Workspace::shown_path(&state.path, root);
        for one in analysis.recipes {
            let own = |finding: &&Finding| finding.recipe.as_deref() == Some(&*one.recipe.name);
            let findings = analysis.findings.iter().filter(own).cloned().collect();
            recipes.push(One {
                recipe: one.recipe,
                starts: one.starts,
                file: id,
                path: path.clone(),
                findings,
            });
        }
        logs.extend(analysis.logs.into_iter().map(|one| OneLog {
            log: one.log,
            file: id,
            path: path.clone(),
        }));
    }
    Ok(Read { workspace, recipes, logs })
}

/// From so many like lines on, two recipes of different names are taken for one that was renamed.
const ALIKE: f64 = 0.6;

/// Recipes of both sides that belong together, and those only the first or only the second has.
pub(crate) fn pairs(before: Vec<One>, after: Vec<One>, files: bool) -> (Vec<(One, One)>, Vec<One>, Vec<One>) {
    let name = |one: &One| catalogue::fold(&one.recipe.name);
    let mut old: Vec<Option<One>> = before.into_iter().map(Some).collect();
    let mut new: Vec<Option<One>> = after.into_iter().map(Some).collect();
    let mut pairs: Vec<(One, One)> = Vec::new();
    let mut take =
        |old: &mut Vec<Option<One>>, new: &mut Vec<Option<One>>, belong: &dyn Fn(&One, &One) -> bool| {
            for right in new.iter_mut() {
                let Some(one) = right.as_ref() else { continue };
                let left = old.iter_mut().find(|left| left.as_ref().is_some_and(|left| belong(left, one)));
                if let Some(left) = left
                    && let (Some(left), Some(right)) = (left.take(), right.take())
                {
                    pairs.push((left, right));
                }
            }
        };
    // By name, first in the same file; what is left by what it holds, first the most alike.
    take(&mut old, &mut new, &|a, b| name(a) == name(b) && a.path == b.path);
    take(&mut old, &mut new, &|a, b| name(a) == name(b));
    let mut alike: Vec<(f64, usize, usize)> = Vec::new();
    for (i, a) in old.iter().enumerate() {
        for (j, b) in new.iter().enumerate() {
            if let (Some(a), Some(b)) = (a, b) {
                let likeness = ::compare::likeness(&a.recipe, &b.recipe);
                if likeness >= ALIKE {
                    alike.push((likeness, i, j));
                }
            }
        }
    }
    alike.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, i, j) in alike {
        if let (Some(left), Some(right)) = (old.get_mut(i), new.get_mut(j))
            && left.is_some()
            && right.is_some()
            && let (Some(left), Some(right)) = (left.take(), right.take())
        {
            pairs.push((left, right));
        }
    }
    // Two files with one recipe each are meant for each other.
    let mut left: Vec<One> = old.into_iter().flatten().collect();
    let mut right: Vec<One> = new.into_iter().flatten().collect();
    if files && pairs.is_empty() && left.len() == 1 && right.len() == 1 {
        pairs.extend(left.pop().zip(right.pop()));
    }
    pairs.sort_by(|a, b| (&a.1.path, a.1.starts.first()).cmp(&(&b.1.path, b.1.starts.first())));
    (pairs, left, right)
}

fn differences(both: Both, brewhouse: Option<&str>) -> Result<Differences, String> {
    let Both { before, after, files, sides } = both;
    let brewhouse = brewhouse.map(|name| one_house(&after, &before, name)).transpose()?;
    let (pairs, left, right) = pairs(before.recipes, after.recipes, files);
    let count = pairs.len();
    let pairs: Vec<Pair> = pairs
        .into_iter()
        .filter_map(|(one, other)| {
            compared(one, other, &before.workspace, &after.workspace, brewhouse.as_ref())
        })
        .filter(|pair| !pair.is_empty())
        .collect();
    let same = count - pairs.len();
    Ok(Differences { sides, brewhouse, pairs, same, added: right, removed: left })
}

/// The brewhouse of this name, as the second side has it where both do.
fn one_house(after: &Read, before: &Read, name: &str) -> Result<Arc<Definition>, String> {
    let mut names = Vec::new();
    for side in [after, before] {
        for state in side.workspace.files() {
            if let Some(found) = side.workspace.scope(state).find(BlockKind::BrewhouseBlock, name) {
                return Ok(found.definition);
            }
            let own = state.shelf.definitions.iter().filter(|one| one.kind == BlockKind::BrewhouseBlock);
            names.extend(own.map(|one| one.name.to_string()));
        }
    }
    names.sort();
    names.dedup();
    let known =
        if names.is_empty() { "none is defined".into() } else { format!("there are {}", names.join(", ")) };
    Err(format!("there is no brewhouse `{name}`; {known}"))
}

fn compared(
    before: One,
    after: One,
    old: &Workspace,
    new: &Workspace,
    brewhouse: Option<&Arc<Definition>>,
) -> Option<Pair> {
    let (first, second) = (old.file(before.file)?, new.file(after.file)?);
    let (from, to) = (&first.config, &second.config);
    let sides = (
        Side { recipe: &before.recipe, settings: &from.figures },
        Side { recipe: &after.recipe, settings: &to.figures },
    );
    let comparison = match brewhouse {
        Some(brewhouse) => ::compare::compare_on(brewhouse, sides.0, sides.1),
        None => ::compare::compare(sides.0, sides.1),
    };
    let through = match brewhouse {
        None if !comparison.cellar.is_empty() && !comparison.figures.is_empty() => {
            ::compare::why::through_cellar(sides.0, sides.1)
        }
        _ => Vec::new(),
    };
    let settings = from
        .figure_settings()
        .into_iter()
        .zip(to.figure_settings())
        .filter(|(a, b)| a.1 != b.1)
        .map(|((what, from), (_, to))| (what, from, to))
        .collect();
    let (gone, found) = unmatched(&before.findings, &after.findings);
    let units = to.figures.units_for(Some(&after.recipe));
    Some(Pair {
        comparison,
        through,
        settings,
        found,
        gone,
        units,
        lines: (LineIndex::new(&first.text), LineIndex::new(&second.text)),
        texts: (Arc::clone(&first.text), Arc::clone(&second.text)),
        before,
        after,
    })
}

/// Findings without their like on the other side: the same message, else another of the same rule.
fn unmatched(before: &[Finding], after: &[Finding]) -> (Vec<Finding>, Vec<Finding>) {
    let (mut gone, mut found): (Vec<Finding>, Vec<Finding>) = (before.to_vec(), after.to_vec());
    for whole in [true, false] {
        found.retain(|one| {
            let like = gone
                .iter()
                .position(|other| other.rule == one.rule && (!whole || other.message == one.message));
            like.map(|at| gone.remove(at)).is_none()
        });
    }
    (gone, found)
}
