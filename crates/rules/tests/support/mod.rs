//! A small workspace in memory: texts in, findings out.

use std::sync::Arc;

use figures::{Actual, Calc};
use recipe::{FileId, Log, Place, Recipe, Scope, Shelf, Units, build_log, build_recipe};
use rules::{At, Config, FileCx, Finding, Locate, Texts};
use syntax::Span;
use syntax::ast::{Block, File};

/// A file of the workspace.
pub(crate) struct Source {
    /// Its path.
    path: String,
    tree: File,
    units: Units,
    shelf: Arc<Shelf>,
}

/// Texts parted by lines `//- path`; a text without such a line is one file.
pub(crate) fn sources(text: &str) -> Vec<Source> {
    let mut parts: Vec<(String, String)> = Vec::new();
    for line in text.split_inclusive('\n') {
        if let Some(path) = line.strip_prefix("//- ") {
            parts.push((path.trim().to_owned(), String::new()));
        } else {
            if parts.is_empty() {
                parts.push(("file.gyle".to_owned(), String::new()));
            }
            if let Some((_, text)) = parts.last_mut() {
                text.push_str(line);
            }
        }
    }
    parts
        .into_iter()
        .enumerate()
        .map(|(at, (path, text))| {
            let tree = syntax::parse(&text);
            let file = file_id(at);
            let shelf = Arc::new(Shelf::new(file, &tree, None));
            Source { path, units: Units::of(&tree), tree, shelf }
        })
        .collect()
}

fn file_id(at: usize) -> FileId {
    FileId::Workspace(u32::try_from(at).unwrap_or(u32::MAX))
}

/// The blocks of a recipe or log: of which file, which of it, and themselves.
type Owner<'a> = Option<(usize, &'a [u32], &'a [Arc<Block>])>;

struct Places<'a> {
    files: &'a [Source],
    recipe: Owner<'a>,
    log: Owner<'a>,
}

impl Places<'_> {
    fn of(&self, owner: Owner<'_>, place: Place) -> Option<(FileId, Span)> {
        let (file, blocks, _) = owner?;
        let at = blocks.get(usize::from(place.block))?;
        let start = self.files[file].tree.blocks.get(*at as usize)?.start;
        Some((file_id(file), place.span.shift(start)))
    }
}

impl Locate for Places<'_> {
    fn locate(&self, at: At) -> Option<(FileId, Span)> {
        match at {
            At::Recipe(place) => self.of(self.recipe, place),
            At::Log(place) => self.of(self.log, place),
            At::File(file, span) => Some((file, span)),
            At::Library(place, span) => {
                let FileId::Workspace(file) = place.file else { return None };
                let start = self.files[file as usize].tree.blocks.get(place.anchor as usize)?.start;
                Some((place.file, span.shift(start)))
            }
        }
    }
    fn texts(&self) -> Texts<'_> {
        Texts {
            recipe: self.recipe.map_or(&[], |(_, _, blocks)| blocks),
            log: self.log.map_or(&[], |(_, _, blocks)| blocks),
        }
    }
}

fn blocks_of(tree: &File, at: &[u32]) -> Vec<Arc<Block>> {
    at.iter().filter_map(|at| tree.blocks.get(*at as usize)).map(|placed| Arc::clone(&placed.block)).collect()
}

/// Everything found in these texts, in the order of files and places.
pub(crate) fn check(text: &str, config: &Config) -> Vec<Finding> {
    let files = sources(text);
    check_sources(&files, config)
}

/// Everything found in these files.
pub(crate) fn check_sources(files: &[Source], config: &Config) -> Vec<Finding> {
    let reading = recipe::Settings::default();
    let computing = figures::Settings::default();
    let mut all: Vec<Finding> = Vec::new();
    let scopes: Vec<Scope> = (0..files.len())
        .map(|own| {
            let others = (0..files.len()).filter(|other| *other != own);
            Scope::new(std::iter::once(own).chain(others).map(|at| Arc::clone(&files[at].shelf)))
        })
        .collect();
    let mut recipes: Vec<(usize, usize, Arc<Recipe>)> = Vec::new();
    for (file, source) in files.iter().enumerate() {
        let lets = blocks_of(&source.tree, &source.units.lets);
        for (unit, made) in source.units.recipes.iter().enumerate() {
            let mut recipe =
                build_recipe(&blocks_of(&source.tree, &made.blocks), &lets, &scopes[file], &reading);
            if let Some((name, _)) = &recipe.from {
                recipe.from_recipe = recipes
                    .iter()
                    .find(|(_, _, other)| other.name == *name)
                    .map(|(_, _, other)| Arc::clone(other));
            }
            recipes.push((file, unit, Arc::new(recipe)));
        }
    }
    for (file, source) in files.iter().enumerate() {
        let id = file_id(file);
        let in_file = |at: usize| at == file;
        let mut found: Vec<Finding> = Vec::new();
        for (of, unit, recipe) in recipes.iter().filter(|(of, _, _)| in_file(*of)) {
            let calcs: Vec<Calc<'_>> =
                (0..recipe.parts.len().max(1)).map(|part| Calc::of_part(recipe, &computing, part)).collect();
            let blocks = &source.units.recipes[*unit].blocks;
            let places = Places { files, recipe: Some((*of, blocks, &recipe.blocks)), log: None };
            found.extend(rules::findings(
                &rules::check_recipe(&calcs, config),
                Some(&recipe.name),
                config,
                &places,
            ));
        }
        for made in &source.units.logs {
            let plan = recipes
                .iter()
                .filter(|(_, _, recipe)| recipe.name == made.recipe_name)
                .min_by_key(|(of, _, _)| !in_file(*of));
            let log: Log = build_log(
                &blocks_of(&source.tree, &made.blocks),
                &scopes[file],
                &reading,
                plan.map(|(_, _, recipe)| Arc::clone(recipe)),
            );
            let calc = plan.map(|(_, _, recipe)| Calc::new(recipe, &computing));
            let actual = Actual::new(&log, calc.as_ref(), &computing);
            let places = Places {
                files,
                recipe: plan.map(|(of, unit, recipe)| {
                    (*of, &files[*of].units.recipes[*unit].blocks[..], &recipe.blocks[..])
                }),
                log: Some((file, &made.blocks, &log.blocks)),
            };
            found.extend(rules::findings(&rules::check_log(&actual, config), Some(&log.id), config, &places));
        }
        let nowhere = Places { files, recipe: None, log: None };
        for definition in &source.shelf.definitions {
            found.extend(rules::findings(
                &rules::check_definition(definition, config),
                None,
                config,
                &nowhere,
            ));
        }
        let own: Vec<&Recipe> =
            recipes.iter().filter(|(of, _, _)| in_file(*of)).map(|(_, _, recipe)| &**recipe).collect();
        let cx = FileCx {
            id,
            file: &source.tree,
            stem: source.path.rsplit('/').next().and_then(|name| name.strip_suffix(".gyle")),
            recipes: &own,
            limits: &config.limits,
        };
        found.extend(rules::findings(&rules::check_file(&cx, config), None, config, &nowhere));
        // What is wrong with the order of blocks and with definitions: blocks count in the file.
        for problem in source.units.problems.iter().chain(&scopes[file].own_problems()) {
            let start = source.tree.blocks[usize::from(problem.block)].start;
            let hit =
                rules::Hit::of_fault(&problem.fault, Vec::new(), |span| At::File(id, span.shift(start)));
            found.extend(rules::findings(&[hit], None, config, &nowhere));
        }
        rules::sort(&mut found);
        let whole = !source.tree.blocks.iter().any(|placed| placed.block.is_broken());
        all.extend(rules::allow(id, &source.tree, found, config, whole));
    }
    all
}
