//! Everything that can be said of one file: its recipes and logs with their figures, and what is wrong.

use std::path::Path;
use std::sync::Arc;

use figures::{Actual, Blame, Calc, FigureId};
use rayon::prelude::*;
use recipe::{FileId, Log, Recipe, RecipeUnit};
use rules::{At, Finding, Hit, Locate, Texts};
use syntax::ast::{Block, ValueKind};
use syntax::vocabulary::ClauseWord;
use syntax::{Fault, FaultFix, Span};

use crate::config::{Config, Root};
use crate::files::{FileState, Workspace, resolve};
use crate::kept::Kept;

/// A recipe of a file.
#[derive(Clone)]
pub struct AnalysedRecipe {
    /// The recipe.
    pub recipe: Arc<Recipe>,
    /// Start of each of its blocks in the file, bytes.
    pub starts: Vec<u32>,
}

/// A log of a file.
#[derive(Clone)]
pub struct AnalysedLog {
    /// The log; its recipe is in it.
    pub log: Arc<Log>,
    /// Start of each of its blocks in the file, bytes.
    pub starts: Vec<u32>,
    /// File and block starts of its recipe.
    pub recipe_place: Option<(FileId, Vec<u32>)>,
}

/// What can be said of a file.
#[derive(Clone)]
pub struct Analysis {
    /// The file.
    pub file: FileId,
    /// Its recipes.
    pub recipes: Vec<AnalysedRecipe>,
    /// Its logs.
    pub logs: Vec<AnalysedLog>,
    /// What is wrong with it, in the order of the text.
    pub findings: Vec<Finding>,
}

/// What stays of a look at a file.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Keep {
    /// Its recipes and findings, for the next look.
    All,
    /// Nothing: the file is only passed through.
    Nothing,
}

impl Workspace {
    /// A recipe of a file, built when it is first asked for.
    #[must_use]
    pub fn recipe(&self, id: FileId, at: usize) -> Option<Arc<Recipe>> {
        self.recipe_below(id, at, 0, Keep::All)
    }

    /// `depth` counts the recipes that took another's mash on the way, so that a circle of them ends.
    fn recipe_below(&self, id: FileId, at: usize, depth: usize, keep: Keep) -> Option<Arc<Recipe>> {
        let state = self.file(id)?;
        let slot = state.recipes.get(at)?;
        if let Some(built) = slot.get() {
            return Some(Arc::clone(built));
        }
        let unit = state.units.recipes.get(at)?;
        let blocks = blocks_of(state, &unit.blocks);
        let lets = blocks_of(state, &state.units.lets);
        let settings = recipe::Settings { customary: state.config.figures.customary };
        let mut made = recipe::build_recipe(&blocks, &lets, self.scope(state), &settings);
        if let Some((name, _)) = &made.from
            && depth < DEEPEST_FROM
            && let [(parent, index)] = self.recipes_named(state, name, None)[..]
            && (parent, index) != (id, at)
        {
            made.from_recipe = self.recipe_below(parent, index, depth + 1, keep);
        }
        let made = Arc::new(made);
        // A recipe cut off from a circle is not kept: another way in may see it whole.
        if depth == 0 && keep == Keep::All {
            let _ = slot.set(Arc::clone(&made));
        }
        Some(made)
    }

    /// The same as [`Self::analyse`] for a file that is only passed through: nothing that was computed for it
    /// stays.
    #[must_use]
    pub fn analyse_in_passing(&self, id: FileId) -> Option<Analysis> {
        match self.to_pass_through(id) {
            Some(snapshot) => snapshot.analyse_keeping(id, Keep::Nothing),
            None => self.analyse_keeping(id, Keep::Nothing),
        }
    }

    /// Everything that can be said of a file.
    #[must_use]
    pub fn analyse(&self, id: FileId) -> Option<Analysis> {
        self.analyse_keeping(id, Keep::All)
    }

    fn analyse_keeping(&self, id: FileId, keep: Keep) -> Option<Analysis> {
        let state = self.file(id)?;
        let config = &state.config;
        let mut findings = Vec::new();
        let (recipes, found): (Vec<_>, Vec<_>) = self.look_at_recipes(state, keep).into_iter().unzip();
        self.check_file(state, &recipes, &mut findings);
        findings.extend(found.into_iter().flatten());
        let mut logs = Vec::with_capacity(state.units.logs.len());
        for at in 0..state.units.logs.len() {
            let (log, trouble) = self.log(state, at, keep);
            let place = Places {
                workspace: self,
                recipe: log
                    .recipe_place
                    .as_ref()
                    .zip(log.log.recipe.as_ref())
                    .map(|((file, starts), recipe)| (*file, &recipe.blocks[..], &starts[..])),
                log: Some((id, &log.log.blocks, &log.starts)),
            };
            let calc = log.log.recipe.as_deref().map(|recipe| Calc::new(recipe, &config.figures));
            let actual = Actual::new(&log.log, calc.as_ref(), &config.figures);
            let mut hits = rules::check_log(&actual, &config.rules);
            hits.extend(trouble);
            let owner = format!("gyle {}", log.log.id);
            findings.extend(rules::findings(
                &hits,
                Some(&owner),
                &config.rules,
                say(config, log.log.recipe.as_deref()),
                &place,
            ));
            logs.push(log);
        }
        match state.checked_definitions.get() {
            Some(kept) => findings.extend(kept.placed(id, &state.tree)),
            None => {
                let found = self.check_definitions(state);
                findings.extend(found.iter().cloned());
                if keep == Keep::All
                    && let Some(kept) = Kept::new(id, &state.tree, found)
                {
                    let _ = state.checked_definitions.set(Arc::new(kept));
                }
            }
        }
        // What a definition elsewhere has wrong is said there.
        findings.retain(|finding| finding.file == id);
        let whole = !state.tree.blocks.iter().any(|placed| placed.block.is_broken());
        let mut findings = rules::allow(id, &state.tree, findings, &config.rules, whole);
        rules::sort(&mut findings);
        findings.dedup();
        Some(Analysis { file: id, recipes, logs, findings })
    }

    /// The recipes of a file with what is wrong with each, side by side where many have not been looked at: one
    /// is checked while what it is built of is still at hand.
    fn look_at_recipes(&self, state: &FileState, keep: Keep) -> Vec<(AnalysedRecipe, Vec<Finding>)> {
        let look = |(at, unit): (usize, &RecipeUnit)| {
            let recipe = self.recipe_below(state.id, at, 0, keep)?;
            let one = AnalysedRecipe { recipe, starts: starts_of(state, &unit.blocks) };
            let found = self.found_in_recipe(state, at, &one, keep);
            Some((one, found))
        };
        let units = &state.units.recipes;
        let missing = state.checked.iter().filter(|slot| slot.get().is_none()).count();
        if missing >= MANY {
            units.par_iter().enumerate().filter_map(look).collect()
        } else {
            units.iter().enumerate().filter_map(look).collect()
        }
    }

    /// What is wrong with a recipe of a file. What is known of it is kept as long as it is.
    fn found_in_recipe(
        &self,
        state: &FileState,
        at: usize,
        one: &AnalysedRecipe,
        keep: Keep,
    ) -> Vec<Finding> {
        // A recipe that takes another's mash depends on more than its own blocks.
        let slot = state.checked.get(at).filter(|_| one.recipe.from.is_none());
        if let Some(kept) = slot.and_then(|slot| slot.get()) {
            return kept.placed(state.id, &state.tree).collect();
        }
        let found = self.check_recipe(state, one);
        if keep == Keep::All
            && let Some(slot) = slot
            && let Some(kept) = Kept::new(state.id, &state.tree, found.clone())
        {
            let _ = slot.set(Arc::new(kept));
        }
        found
    }

    /// What is wrong with the definitions of a file.
    fn check_definitions(&self, state: &FileState) -> Vec<Finding> {
        let config = &state.config.rules;
        let say = say(&state.config, None);
        let place = Places { workspace: self, recipe: None, log: None };
        let mut findings = Vec::new();
        for definition in &state.shelf.definitions {
            let hits = rules::check_definition(definition, config);
            findings.extend(rules::findings(&hits, None, config, say, &place));
        }
        findings
    }

    /// What is wrong with a recipe.
    fn check_recipe(&self, state: &FileState, one: &AnalysedRecipe) -> Vec<Finding> {
        let config = &state.config;
        let place =
            Places { workspace: self, recipe: Some((state.id, &one.recipe.blocks, &one.starts)), log: None };
        let calcs: Vec<Calc<'_>> = (0..one.recipe.parts.len().max(1))
            .map(|part| Calc::of_part(&one.recipe, &config.figures, part))
            .collect();
        let mut hits = rules::check_recipe(&calcs, &config.rules);
        hits.extend(self.taken_mash_trouble(state, &one.recipe));
        hits.extend(expression_trouble(&calcs));
        let mut findings = rules::findings(
            &hits,
            Some(&one.recipe.name),
            &config.rules,
            say(config, Some(&one.recipe)),
            &place,
        );
        // What a definition elsewhere has wrong is said there.
        findings.retain(|finding| finding.file == state.id);
        findings
    }

    /// What is wrong with the writing of a file, its order of blocks, its definitions and what it uses.
    fn check_file(&self, state: &FileState, recipes: &[AnalysedRecipe], findings: &mut Vec<Finding>) {
        let config = &state.config.rules;
        // A buffer that lies in no file has no name to compare with.
        let named = Workspace::is_gyle(&state.path);
        let stem = state.path.file_stem().and_then(|stem| stem.to_str()).filter(|_| named);
        let all: Vec<&Recipe> = recipes.iter().map(|one| &*one.recipe).collect();
        let cx =
            rules::FileCx { id: state.id, file: &state.tree, stem, recipes: &all, limits: &config.limits };
        let mut hits = rules::check_file(&cx, config);
        let block_start =
            |block: u16| state.tree.blocks.get(usize::from(block)).map_or(0, |placed| placed.start);
        let problems = state.units.problems.iter().cloned().chain(self.scope(state).own_problems());
        for problem in problems {
            let start = block_start(problem.block);
            // A block that is not read has nothing wrong in its lines.
            if problem.fault.rule == "duplicate-block"
                && let Some(placed) = state.tree.blocks.get(usize::from(problem.block))
            {
                let end = start + u32::try_from(placed.block.text.len()).unwrap_or(u32::MAX);
                hits.retain(|hit| {
                    let at = hit.at.span().start;
                    hit.rule.group != rules::Group::Syntax || !(start..end).contains(&at)
                });
            }
            let related = problem
                .related
                .iter()
                .map(|(origin, message)| {
                    let at = match origin {
                        recipe::Origin::Here(place) => {
                            At::File(state.id, place.span.shift(block_start(place.block)))
                        }
                        recipe::Origin::Library(place, span) => At::Library(*place, *span),
                    };
                    (at, message.clone())
                })
                .collect();
            hits.push(Hit::of_fault(&problem.fault, related, |span| At::File(state.id, span.shift(start))));
        }
        hits.extend(self.use_trouble(state));
        hits.extend(self.tasting_trouble(state));
        let place = Places { workspace: self, recipe: None, log: None };
        findings.extend(rules::findings(&hits, None, config, say(&state.config, None), &place));
    }

    /// Files that are named and missing, or that use each other in a circle.
    fn use_trouble(&self, state: &FileState) -> Vec<Hit> {
        let mut hits = Vec::new();
        for (used, path) in state.units.uses.iter().zip(state.uses.iter()) {
            let start = state.tree.blocks.get(used.block as usize).map_or(0, |placed| placed.start);
            let at = |span: Span| At::File(state.id, span.shift(start));
            if let Some(fault) = self.import_trouble(state, &used.path, path, used.span) {
                hits.push(Hit::of_fault(&fault, Vec::new(), at));
            } else if let Some(circle) = self.circle(state, path) {
                let fault = Fault {
                    rule: "import-cycle",
                    span: used.span,
                    message: format!("this file and `{}` use each other: {circle}", used.path),
                    help: "move what both need into a third file that uses neither".into(),
                    fixes: Vec::new(),
                };
                hits.push(Hit::of_fault(&fault, Vec::new(), at));
            }
        }
        for log in &state.units.logs {
            let placed = log.blocks.first().and_then(|at| state.tree.blocks.get(*at as usize));
            if let (Some(of), Some(placed)) = (&log.of, placed)
                && let Some(span) = span_of_path(&placed.block)
                && let Some(fault) = self.import_trouble(state, of, &resolve(&state.path, of), span)
            {
                hits.push(Hit::of_fault(&fault, Vec::new(), |span| {
                    At::File(state.id, span.shift(placed.start))
                }));
            }
        }
        hits
    }

    /// Why a file that another names cannot be had.
    fn import_trouble(&self, state: &FileState, written: &str, target: &Path, span: Span) -> Option<Fault> {
        let fault = |message: String, help: String, near: Option<String>| {
            let fixes = near.map(|near| FaultFix {
                title: format!("write {near}"),
                safe: false,
                edits: vec![(span, near)],
            });
            Some(Fault { rule: "import-missing", span, message, help, fixes: fixes.into_iter().collect() })
        };
        if !state.config.allows(target) {
            let (reach, help) = match state.config.kind {
                Root::Configured => ("the folder of gyle.toml", "move what is needed below that folder"),
                Root::Git => ("the git repository", "move what is needed into the repository"),
                Root::Folder => (
                    "the folder of this file",
                    "put a gyle.toml, which may be empty, into the folder that holds both files",
                ),
            };
            let message = format!("`{written}` lies outside {reach}, beyond which no file is opened");
            return fault(message, help.into(), None);
        }
        if let Some(reason) = self.unread(target) {
            let message = format!("`{written}` cannot be used: {reason}");
            return fault(message, "mend that file, or use another".into(), None);
        }
        if self.exists(target) {
            return None;
        }
        let near = self.nearest_file(state, target);
        let help = near.as_ref().map_or_else(
            || "paths are relative to this file; check the spelling and the folder".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        fault(format!("there is no file `{written}`, so nothing in it can be found"), help, near)
    }

    /// The path of the file that one which is not there may mean: of the same name elsewhere, or nearly so
    /// called.
    fn nearest_file(&self, state: &FileState, target: &Path) -> Option<String> {
        let wanted = target.file_name()?.to_string_lossy().to_lowercase();
        let ranked = self.candidates(state, target).into_iter().filter_map(|path| {
            let name = path.file_name()?.to_string_lossy().to_lowercase();
            let distance = strsim::damerau_levenshtein(&name, &wanted);
            let elsewhere = path.parent() != target.parent();
            // The ending is always alike; more than a third of the name is another word.
            (distance <= wanted.len().saturating_sub(".gyle".len()).div_ceil(3))
                .then(|| (distance, elsewhere, relative(&state.path, &path)))
        });
        ranked.min().map(|(.., path)| path)
    }

    /// Tastings of a gyle that nobody has logged.
    fn tasting_trouble(&self, state: &FileState) -> Vec<Hit> {
        let unknown = state.units.tastings.iter().filter(|(id, _)| !self.has_log(state, id));
        unknown
            .map(|(id, block)| {
                let fault = Fault {
                    rule: "unknown-reference",
                    span: header_of(state, &[*block]),
                    message: format!(
                        "no log of gyle {id} is in this repository, so the tasting is of no beer"
                    ),
                    help: "write the id as the header of the log has it, or move the tasting below that log"
                        .into(),
                    fixes: Vec::new(),
                };
                Hit::of_fault(&fault, Vec::new(), |span| At::File(state.id, span))
            })
            .collect()
    }

    /// The way from a file back to where it is used, when there is one.
    fn circle(&self, state: &FileState, target: &Path) -> Option<String> {
        let start = self.file_at(target)?;
        let mut way = vec![(start, vec![start])];
        let mut seen = vec![start];
        while let Some((at, path)) = way.pop() {
            if at == state.id {
                let names: Vec<String> = core::iter::once(state.id)
                    .chain(path)
                    .filter_map(|id| Some(self.file(id)?.path.file_name()?.to_string_lossy().into_owned()))
                    .collect();
                return Some(names.join(" uses "));
            }
            let Some(file) = self.file(at) else { continue };
            for path_used in file.uses.iter() {
                if let Some(next) = self.file_at(path_used)
                    && !seen.contains(&next)
                {
                    seen.push(next);
                    let mut longer = path.clone();
                    longer.push(next);
                    way.push((next, longer));
                }
            }
        }
        None
    }

    /// A recipe whose mash is taken and that is not found, or found twice.
    fn taken_mash_trouble(&self, state: &FileState, recipe: &Recipe) -> Vec<Hit> {
        let Some((name, place)) = &recipe.from else { return Vec::new() };
        let found = self.recipes_named(state, name, None);
        let Some(fault) = self.recipe_trouble(state, name, place.span, &found, false) else {
            return Vec::new();
        };
        vec![Hit::of_fault(&fault, Vec::new(), |span| At::Recipe(recipe::Place { block: place.block, span }))]
    }

    fn recipe_trouble(
        &self,
        state: &FileState,
        name: &str,
        span: Span,
        found: &[(FileId, usize)],
        may_say_of: bool,
    ) -> Option<Fault> {
        match found {
            [_] => None,
            [] => {
                let near = self
                    .recipe_names(state)
                    .into_iter()
                    .map(|known| {
                        (strsim::damerau_levenshtein(&known.to_lowercase(), &name.to_lowercase()), known)
                    })
                    .filter(|(distance, _)| *distance <= 3)
                    .min_by_key(|(distance, _)| *distance)
                    .map(|(_, known)| known);
                Some(Fault {
                    rule: "unknown-reference",
                    span,
                    message: format!("no recipe is called `{name}`, so there is no plan to compare with"),
                    help: near.as_ref().map_or_else(
                        || {
                            "write the recipe's name as its header has it, or where it stands: `of \"path\"`"
                                .to_owned()
                        },
                        |near| format!("did you mean `{near}`?"),
                    ),
                    fixes: near
                        .map(|near| FaultFix {
                            title: format!("write {near}"),
                            safe: false,
                            edits: vec![(span, near.into())],
                        })
                        .into_iter()
                        .collect(),
                })
            }
            [(first, _), rest @ ..] if rest.iter().all(|(id, _)| id == first) => {
                let place = if *first == state.id {
                    "in this file".to_owned()
                } else {
                    let path = self.file(*first).map(|other| relative(&state.path, &other.path));
                    format!("in `{}`", path.unwrap_or_default())
                };
                Some(Fault {
                    rule: "recipe-ambiguous",
                    span,
                    message: format!(
                        "{} recipes {place} are called `{name}`, so it is open which one is meant",
                        found.len()
                    ),
                    help: "give each a name of its own".into(),
                    fixes: Vec::new(),
                })
            }
            several => {
                // Nobody reads a longer list.
                const MOST: usize = 4;
                let mut paths: Vec<String> = several
                    .iter()
                    .filter_map(|(id, _)| Some(relative(&state.path, &self.file(*id)?.path)))
                    .collect();
                paths.sort();
                paths.dedup();
                let more = paths.len().saturating_sub(MOST);
                let listed = paths.iter().take(MOST).cloned().collect::<Vec<_>>().join(", ");
                let listed = if more > 0 { format!("{listed} and {more} more") } else { listed };
                let fixes = if may_say_of {
                    paths
                        .iter()
                        .take(MOST)
                        .map(|path| FaultFix {
                            title: format!("write of \"{path}\""),
                            safe: false,
                            edits: vec![(Span::at(span.end + 1), format!(" of \"{path}\""))],
                        })
                        .collect()
                } else {
                    Vec::new()
                };
                Some(Fault {
                    rule: "recipe-ambiguous",
                    span,
                    message: format!(
                        "{} recipes are called `{name}`, so it is open which one is meant: {}",
                        several.len(),
                        listed
                    ),
                    help: if may_say_of {
                        format!("say which: `of \"{}\"`", paths.first().map_or("", String::as_str))
                    } else {
                        "rename one of them".into()
                    },
                    fixes,
                })
            }
        }
    }

    /// A log of a file, with its recipe where exactly one is meant.
    fn log(&self, state: &FileState, at: usize, keep: Keep) -> (AnalysedLog, Vec<Hit>) {
        let unit = &state.units.logs[at];
        let blocks = blocks_of(state, &unit.blocks);
        let found = self.recipes_named(state, &unit.recipe_name, unit.of.as_deref());
        let planned = match found[..] {
            [(file, index)] => self.recipe_below(file, index, 0, keep).map(|recipe| (file, index, recipe)),
            _ => None,
        };
        let settings = recipe::Settings { customary: state.config.figures.customary };
        let log = recipe::build_log(
            &blocks,
            self.scope(state),
            &settings,
            planned.as_ref().map(|(_, _, recipe)| Arc::clone(recipe)),
        );
        let name = log.name_place;
        // A file that cannot be had says so itself.
        let no_file = unit.of.as_ref().is_some_and(|of| {
            let path = resolve(&state.path, of);
            !state.config.allows(&path) || self.file_at(&path).is_none()
        });
        let trouble = if log.recipe_name.is_empty() || no_file {
            None
        } else {
            self.recipe_trouble(state, &log.recipe_name, name.span, &found, unit.of.is_none())
        };
        let hits = trouble
            .map(|fault| {
                Hit::of_fault(&fault, Vec::new(), |span| At::Log(recipe::Place { block: name.block, span }))
            })
            .into_iter()
            .collect();
        let recipe_place = planned.and_then(|(file, index, _)| {
            let state = self.file(file)?;
            Some((file, starts_of(state, &state.units.recipes.get(index)?.blocks)))
        });
        (AnalysedLog { log: Arc::new(log), starts: starts_of(state, &unit.blocks), recipe_place }, hits)
    }
}

/// From so many recipes on it pays to compute them side by side.
const MANY: usize = 16;

/// Recipes that may take each other's mash before it is a circle.
const DEEPEST_FROM: usize = 8;

fn blocks_of(state: &FileState, indices: &[u32]) -> Vec<Arc<Block>> {
    let mut blocks = Vec::with_capacity(indices.len());
    let placed = indices.iter().filter_map(|at| state.tree.blocks.get(*at as usize));
    blocks.extend(placed.map(|placed| Arc::clone(&placed.block)));
    blocks
}

/// The header of the first of these blocks, in bytes of the file.
pub(crate) fn header_of(state: &FileState, indices: &[u32]) -> Span {
    let placed = indices.first().and_then(|at| state.tree.blocks.get(*at as usize));
    placed.map_or(Span::at(0), |placed| {
        placed.block.header().map_or(Span::at(0), |entry| entry.span).shift(placed.start)
    })
}

fn starts_of(state: &FileState, indices: &[u32]) -> Vec<u32> {
    let mut starts = Vec::with_capacity(indices.len());
    let placed = indices.iter().filter_map(|at| state.tree.blocks.get(*at as usize));
    starts.extend(placed.map(|placed| placed.start));
    starts
}

/// Where the path of `of "path"` stands in the header of a log, without quotes.
fn span_of_path(block: &Block) -> Option<Span> {
    match block.header()?.clause(ClauseWord::Of)?.value()?.kind {
        ValueKind::Str(span) => Some(span),
        _ => None,
    }
}

/// A path as it would be written in a file: relative to it, with `/`.
pub(crate) fn relative(from: &Path, to: &Path) -> String {
    relative_to(from.parent().unwrap_or(from), to)
}

/// A path as it leads from a folder, with `/`.
pub(crate) fn relative_to(from: &Path, to: &Path) -> String {
    let common = from.components().zip(to.components()).take_while(|(a, b)| a == b).count();
    let up = from.components().count() - common;
    let mut parts: Vec<String> = vec!["..".into(); up];
    parts.extend(to.components().skip(common).map(|part| part.as_os_str().to_string_lossy().into_owned()));
    parts.join("/")
}

/// The blocks of one recipe or log, the file they stand in, and where each begins there.
type InFile<'a> = (FileId, &'a [Arc<Block>], &'a [u32]);

/// Turns places into bytes of files.
pub(crate) struct Places<'a> {
    pub(crate) workspace: &'a Workspace,
    pub(crate) recipe: Option<InFile<'a>>,
    pub(crate) log: Option<InFile<'a>>,
}

impl Locate for Places<'_> {
    fn locate(&self, at: At) -> Option<(FileId, Span)> {
        let in_blocks = |of: Option<InFile<'_>>, place: recipe::Place| {
            let (file, _, starts) = of?;
            Some((file, place.span.shift(*starts.get(usize::from(place.block))?)))
        };
        match at {
            At::Recipe(place) => in_blocks(self.recipe, place),
            At::Log(place) => in_blocks(self.log, place),
            At::File(file, span) => Some((file, span)),
            At::Library(place, span) => match place.file {
                FileId::Catalogue(_) => Some((place.file, span.shift(place.anchor))),
                FileId::Workspace(_) => {
                    let state = self.workspace.file(place.file)?;
                    let placed = state.tree.blocks.get(place.anchor as usize)?;
                    Some((place.file, span.shift(placed.start)))
                }
            },
        }
    }

    fn texts(&self) -> Texts<'_> {
        Texts {
            recipe: self.recipe.map_or(&[], |(_, blocks, _)| blocks),
            log: self.log.map_or(&[], |(_, blocks, _)| blocks),
        }
    }
}

/// Expressions that are wrong in themselves: a name nobody knows, values that do not go together.
fn expression_trouble(parts: &[Calc<'_>]) -> Vec<Hit> {
    let Some(recipe) = parts.first().map(|calc| calc.recipe) else { return Vec::new() };
    let mut hits = Vec::new();
    let mut seen: Vec<(u16, Span)> = Vec::new();
    for (block, error) in parts.iter().flat_map(Calc::expression_errors) {
        // What the parts have in common is wrong in each of them.
        if seen.contains(&(block, error.span)) {
            continue;
        }
        seen.push((block, error.span));
        let fault = match error.blame {
            Blame::Name => {
                let name = recipe.blocks.get(usize::from(block)).map_or("", |block| block.slice(error.span));
                let figures = FigureId::ALL.iter().map(|id| id.id());
                let near = rules::nearest(&catalogue::fold(name).replace(' ', "-"), figures);
                let fixes = near.map(|near| FaultFix {
                    title: format!("write {near}"),
                    safe: false,
                    edits: vec![(error.span, near.to_owned())],
                });
                Fault {
                    rule: "unknown-reference",
                    span: error.span,
                    message: format!("{}; so nothing is computed from this", error.missing.reason),
                    help: near.map_or_else(
                        || "write a figure, `grist.weight` or `og.points` among them, or name the value: `let x = 3 L/kg`".to_owned(),
                        |near| format!("did you mean `{near}`?"),
                    ),
                    fixes: fixes.into_iter().collect(),
                }
            }
            _ => recipe::values_at_odds(&error.missing.reason, error.span),
        };
        hits.push(Hit::of_fault(&fault, Vec::new(), |span| At::Recipe(recipe::Place { block, span })));
    }
    hits
}

/// How numbers are said: in the units that the figures of the recipe are shown in.
pub(crate) fn say(config: &Config, recipe: Option<&Recipe>) -> rules::Say {
    rules::Say { units: config.figures.units_for(recipe) }
}
