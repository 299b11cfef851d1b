//! `gyle bundle`: a recipe that stands alone.

use std::path::Path;
use std::sync::Arc;

use ::figures::{Calc, FigureId, Settings};
use recipe::{Definition, FileId, Recipe};
use workspace::{FileState, Memory, Workspace};

use crate::args::BundleArgs;
use crate::check::{absolute, one_file};
use crate::output::{Output, complain};

pub(crate) fn run(args: &BundleArgs, output: &mut Output) -> u8 {
    match bundle(args) {
        Ok(text) => {
            output.text(&text);
            0
        }
        Err(text) => {
            complain(&text);
            2
        }
    }
}

fn bundle(args: &BundleArgs) -> Result<String, String> {
    let here = absolute(Path::new("."));
    let (workspace, state, analysis) = one_file(&args.path, &here)?;
    let id = state.id;
    let recipes: Vec<Arc<Recipe>> = analysis.recipes.iter().map(|one| Arc::clone(&one.recipe)).collect();
    if recipes.is_empty() {
        return Err(format!("{} has no recipe", args.path.display()));
    }
    let mut taken = Taken { workspace: &workspace, own: id, texts: Vec::new(), definitions: Vec::new() };
    for recipe in &recipes {
        taken.recipe(recipe);
    }
    if let Some((one, other)) = taken.clash() {
        return Err(format!(
            "two definitions called `{}` are needed, one from {} and one from {}; give one of them another name",
            one.name,
            taken.path(one.place.file, &here),
            taken.path(other.place.file, &here),
        ));
    }
    let text = taken.text(&state, args);
    same(&text, &recipes, &state.config.figures)?;
    Ok(text)
}

/// What is taken from other files.
struct Taken<'w> {
    workspace: &'w Workspace,
    own: FileId,
    /// Blocks with the file they come from: values named for a file, and recipes whose mash is shared.
    texts: Vec<(FileId, String)>,
    definitions: Vec<Arc<Definition>>,
}

impl Taken<'_> {
    fn recipe(&mut self, recipe: &Recipe) {
        for definition in recipe.things().into_iter().filter_map(|thing| thing.definition.clone()) {
            self.definition(&definition);
        }
        if let Some(parent) = recipe.from_recipe.clone() {
            let home = self.home(&parent);
            if let Some(home) = home.filter(|home| *home != self.own) {
                let text: String = parent.blocks.iter().map(|block| &*block.text).collect();
                self.text_once(home, text);
            }
            self.recipe(&parent);
        }
    }

    /// The file a recipe stands in.
    fn home(&self, recipe: &Recipe) -> Option<FileId> {
        let first = recipe.blocks.first()?;
        let stands_in = |state: &&Arc<FileState>| {
            state.tree.blocks.iter().any(|placed| Arc::ptr_eq(&placed.block, first))
        };
        self.workspace.files().find(stands_in).map(|state| state.id)
    }

    fn text_once(&mut self, from: FileId, text: String) {
        if !self.texts.iter().any(|(_, known)| *known == text) {
            self.texts.push((from, text));
        }
    }

    fn definition(&mut self, definition: &Arc<Definition>) {
        let file = definition.place.file;
        let known = self.definitions.iter().any(|one| one.place == definition.place);
        if known || matches!(file, FileId::Catalogue(_)) {
            return;
        }
        if file != self.own {
            self.definitions.push(Arc::clone(definition));
        }
        if let Some(state) = self.workspace.file(file)
            && let Some((name, _)) = &definition.like
            && let Some(found) = self.workspace.scope(state).find(definition.kind, name)
            && found.definition.place != definition.place
        {
            self.definition(&found.definition);
        }
    }

    /// Two definitions of one kind and one name.
    fn clash(&self) -> Option<(&Definition, &Definition)> {
        let own =
            self.workspace.file(self.own).map(|state| state.shelf.definitions.as_slice()).unwrap_or_default();
        let all: Vec<&Definition> = self.definitions.iter().chain(own).map(|one| &**one).collect();
        all.iter().enumerate().find_map(|(at, one)| {
            let same = |other: &&&Definition| {
                other.kind == one.kind && catalogue::fold(&other.name) == catalogue::fold(&one.name)
            };
            all[at + 1..].iter().find(same).map(|other| (*one, *other))
        })
    }

    fn path(&self, file: FileId, below: &Path) -> String {
        self.workspace.file(file).map_or_else(String::new, |state| Workspace::shown_path(&state.path, below))
    }

    fn text(&self, state: &FileState, args: &BundleArgs) -> String {
        let root = state.config.root.clone();
        let mut text = String::new();
        // What a file uses comes with it.
        let used: Vec<u32> = state.units.uses.iter().map(|used| used.block).collect();
        for (at, placed) in state.tree.blocks.iter().enumerate() {
            if !used.iter().any(|block| *block as usize == at) {
                text.push_str(&placed.block.text);
            }
        }
        let mut part = |from: FileId, block: &str| {
            if !text.is_empty() && !text.ends_with("\n\n") {
                text.push_str(if text.ends_with('\n') { "\n" } else { "\n\n" });
            }
            text.push_str(&format!("# from {}\n{}\n", self.path(from, &root), block.trim_end()));
        };
        for (from, block) in &self.texts {
            part(*from, block);
        }
        for definition in &self.definitions {
            part(definition.place.file, &definition.block.text);
        }
        let defaults = workspace::Config::defaults(root, workspace::Root::Folder);
        let set: Vec<String> = (state.config.figure_settings().into_iter())
            .zip(defaults.figure_settings())
            .filter(|(set, default)| set != default)
            .map(|((key, value), _)| format!("{key} = {value}"))
            .collect();
        if !set.is_empty() {
            let file = args.path.file_name().map(|name| name.to_string_lossy()).unwrap_or_default();
            text.push_str(&format!(
                "\n# {file} was written under these settings of gyle.toml, which no recipe can hold: {}\n",
                set.join(", ")
            ));
        }
        text
    }
}

/// Reads the bundle alone and compares what it computes.
fn same(text: &str, recipes: &[Arc<Recipe>], settings: &Settings) -> Result<(), String> {
    let path = Path::new("/bundle.gyle");
    let mut workspace = Workspace::new(Arc::new(Memory::new(Vec::<(String, String)>::new())));
    let id = workspace.load_text(path, text);
    let analysis = workspace.analyse(id);
    let alone = analysis.iter().flat_map(|analysis| &analysis.recipes);
    for recipe in recipes {
        let twin = alone.clone().find(|one| one.recipe.name == recipe.name);
        let Some(twin) = twin else {
            return Err(format!(
                "the bundle does not hold {} as it stands; mend its errors first",
                recipe.name
            ));
        };
        for part in 0..recipe.parts.len().max(1) {
            let (before, after) =
                (Calc::of_part(recipe, settings, part), Calc::of_part(&twin.recipe, settings, part));
            let differs = |id: &FigureId| before.value(*id).ok() != after.value(*id).ok();
            if let Some(id) = FigureId::ALL.iter().find(|id| differs(id)) {
                return Err(format!(
                    "{} of {} would be another alone: it depends on something that a bundle cannot hold",
                    id.words(),
                    recipe.name
                ));
            }
        }
    }
    Ok(())
}
