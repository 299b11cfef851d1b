//! The files of a workspace, and a change to one of them.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};

use rayon::prelude::*;
use recipe::{FileId, Recipe, Scope, Shelf, Units};
use syntax::ast::{Body, File, Line};

use crate::config::Config;
use crate::kept::Kept;
use crate::source::{Source, is_gyle, normal};

/// A file with what can be said of it alone.
pub struct FileState {
    /// Its id.
    pub id: FileId,
    /// Absolute path.
    pub path: PathBuf,
    /// Its text.
    pub text: Arc<str>,
    /// Its tree.
    pub tree: Arc<File>,
    /// What its blocks make.
    pub units: Arc<Units>,
    /// Its definitions.
    pub shelf: Arc<Shelf>,
    /// Configuration in force.
    pub config: Arc<Config>,
    /// Its recipes, each built when somebody asks.
    pub(crate) recipes: Vec<OnceLock<Arc<Recipe>>>,
    /// What is wrong with each, kept as long as the recipe itself.
    pub(crate) checked: Vec<OnceLock<Arc<Kept>>>,
    /// What is wrong with its definitions.
    pub(crate) checked_definitions: OnceLock<Arc<Kept>>,
    scope: OnceLock<Scope>,
}

impl FileState {
    fn new(id: FileId, path: PathBuf, text: Arc<str>, tree: File, config: Arc<Config>) -> Self {
        let units = Arc::new(Units::of(&tree));
        let shelf = Arc::new(Shelf::new(id, &tree, config.figures.customary));
        Self::of_parts(id, path, text, tree, config, units, shelf)
    }

    /// The same file with another text. What only headers and definitions make is shared while they stay.
    fn with_text(&self, text: Arc<str>, tree: File, config: Arc<Config>) -> Self {
        if !Arc::ptr_eq(&self.config, &config) || !same_skeleton(&self.tree, &tree) {
            return Self::new(self.id, self.path.clone(), text, tree, config);
        }
        let (units, shelf) = (Arc::clone(&self.units), Arc::clone(&self.shelf));
        let mut made = Self::of_parts(self.id, self.path.clone(), text, tree, config, units, shelf);
        made.checked_definitions = self.checked_definitions.clone();
        made
    }

    fn of_parts(
        id: FileId,
        path: PathBuf,
        text: Arc<str>,
        tree: File,
        config: Arc<Config>,
        units: Arc<Units>,
        shelf: Arc<Shelf>,
    ) -> Self {
        let recipes = units.recipes.iter().map(|_| OnceLock::new()).collect();
        let checked = units.recipes.iter().map(|_| OnceLock::new()).collect();
        Self {
            id,
            path,
            text,
            tree: Arc::new(tree),
            units,
            shelf,
            config,
            recipes,
            checked,
            checked_definitions: OnceLock::new(),
            scope: OnceLock::new(),
        }
    }

    /// The same file with nothing built: its definitions elsewhere have changed.
    fn fresh(&self) -> Self {
        Self {
            id: self.id,
            path: self.path.clone(),
            text: Arc::clone(&self.text),
            tree: Arc::clone(&self.tree),
            units: Arc::clone(&self.units),
            shelf: Arc::clone(&self.shelf),
            config: Arc::clone(&self.config),
            recipes: self.units.recipes.iter().map(|_| OnceLock::new()).collect(),
            checked: self.units.recipes.iter().map(|_| OnceLock::new()).collect(),
            checked_definitions: OnceLock::new(),
            scope: OnceLock::new(),
        }
    }
}

/// A file that could not be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// Its path.
    pub path: PathBuf,
    /// Why.
    pub reason: String,
}

/// What loading some paths gave.
#[derive(Clone, Debug, Default)]
pub struct Loaded {
    /// The files asked for, in order of their path.
    pub files: Vec<FileId>,
    /// Files that could not be read.
    pub unreadable: Vec<Skipped>,
    /// What was left out on purpose, one sentence each.
    pub notes: Vec<String>,
}

/// A snapshot of all files known.
#[derive(Clone)]
pub struct Workspace {
    source: Arc<dyn Source>,
    files: Vec<Arc<FileState>>,
    by_path: Arc<HashMap<PathBuf, u32>>,
    /// Files that are gone, with the place kept for them.
    gone: Arc<HashMap<PathBuf, u32>>,
    configs: Arc<Mutex<HashMap<PathBuf, Arc<Config>>>>,
    /// Roots whose files have all been taken.
    whole: Vec<PathBuf>,
    /// Recipes by folded name, made when a log or a `from` asks.
    names: OnceLock<Arc<Names>>,
    /// The library of each house that has one, by the root of its repository.
    libraries: OnceLock<Arc<HashMap<PathBuf, Vec<FileId>>>>,
}

type Names = HashMap<String, Vec<(FileId, usize)>>;

impl Workspace {
    /// An empty workspace over a source.
    #[must_use]
    pub fn new(source: Arc<dyn Source>) -> Self {
        Self {
            source,
            files: Vec::new(),
            by_path: Arc::default(),
            gone: Arc::default(),
            configs: Arc::default(),
            whole: Vec::new(),
            names: OnceLock::new(),
            libraries: OnceLock::new(),
        }
    }

    /// A file by its id.
    #[must_use]
    pub fn file(&self, id: FileId) -> Option<&Arc<FileState>> {
        match id {
            FileId::Workspace(at) => self.files.get(at as usize),
            FileId::Catalogue(_) => None,
        }
    }

    /// A file by its path.
    #[must_use]
    pub fn file_at(&self, path: &Path) -> Option<FileId> {
        self.by_path.get(&normal(path)).map(|at| FileId::Workspace(*at))
    }

    /// All files taken so far.
    pub fn files(&self) -> impl Iterator<Item = &Arc<FileState>> {
        self.files.iter()
    }

    /// The configuration in force for a path: that of the nearest `gyle.toml` above it.
    #[must_use]
    pub fn config_for(&self, path: &Path) -> Arc<Config> {
        let folder = path.parent().unwrap_or(path).to_path_buf();
        if let Some(known) = self.configs.lock().ok().and_then(|known| known.get(&folder).cloned()) {
            return known;
        }
        let config = self.find_config(&folder);
        if let Ok(mut known) = self.configs.lock() {
            known.insert(folder, Arc::clone(&config));
        }
        config
    }

    fn find_config(&self, folder: &Path) -> Arc<Config> {
        for above in folder.ancestors() {
            let path = above.join("gyle.toml");
            if self.source.exists(&path)
                && let Ok(text) = self.source.read(&path)
            {
                // One configuration for all folders below it.
                if let Some(known) = self.known_config(&path) {
                    return known;
                }
                return Arc::new(Config::read(above.to_path_buf(), path, &text));
            }
            if self.source.exists(&above.join(".git").join("HEAD")) {
                return Arc::new(Config::defaults(above.to_path_buf()));
            }
        }
        Arc::new(Config::defaults(folder.to_path_buf()))
    }

    fn known_config(&self, path: &Path) -> Option<Arc<Config>> {
        let known = self.configs.lock().ok()?;
        known.values().find(|config| config.path.as_deref() == Some(path)).cloned()
    }

    /// Forgets configurations, so that they are read anew.
    pub fn forget_configs(&mut self) {
        self.configs = Arc::default();
    }

    /// Takes files and folders, and every file they use or whose definitions count for them.
    pub fn load(&mut self, paths: &[PathBuf]) -> Loaded {
        let mut loaded = Loaded::default();
        let mut wanted: Vec<PathBuf> = Vec::new();
        for path in paths {
            let path = normal(path);
            if self.source.exists(&path) {
                wanted.push(path);
                continue;
            }
            let (found, too_many) = self.source.walk(&path);
            if too_many {
                loaded.notes.push(format!(
                    "there are more than {} files below {}; the rest is left out",
                    crate::source::MOST,
                    path.display()
                ));
            }
            if found.is_empty() && !too_many && !self.is_folder(&path) {
                loaded.unreadable.push(Skipped { path, reason: "there is no such file or folder".into() });
                continue;
            }
            for file in found {
                let config = self.config_for(&file);
                let relative = file.strip_prefix(&config.root).unwrap_or(&file);
                if !config.exclude.is_match(relative) {
                    wanted.push(file);
                }
            }
        }
        wanted.sort();
        wanted.dedup();
        let first = self.files.len();
        let mut skipped = self.take(&wanted);
        loaded.files = wanted.iter().filter_map(|path| self.file_at(path)).collect();
        skipped.sort_by(|a, b| a.path.cmp(&b.path));
        loaded.unreadable.extend(skipped);
        if let Some(first) = u32::try_from(first).ok().filter(|_| first < self.files.len()) {
            self.take_companions(FileId::Workspace(first));
        }
        loaded
    }

    fn is_folder(&self, path: &Path) -> bool {
        // A folder without recipes is no mistake; a path that leads nowhere is.
        std::fs::metadata(path).is_ok_and(|data| data.is_dir())
    }

    /// Takes a text that stands in no file, or an unsaved one.
    pub fn load_text(&mut self, path: &Path, text: &str) -> FileId {
        let path = normal(path);
        let before = self.file_at(&path).and_then(|id| self.file(id)).map(Arc::clone);
        let id = self.put(&path, text.into());
        // While what it names stays the same, nothing else has to be taken.
        let same = before.zip(self.file(id)).is_some_and(|(before, now)| {
            Arc::ptr_eq(&before.config, &now.config) && names_same(&before, now)
        });
        if !same {
            self.take_companions(id);
        }
        id
    }

    /// Reads and parses files side by side.
    fn take(&mut self, paths: &[PathBuf]) -> Vec<Skipped> {
        let new: Vec<&PathBuf> = paths.iter().filter(|path| !self.by_path.contains_key(*path)).collect();
        let first = self.files.len();
        // Configurations are looked up before the threads start, so that each is read once.
        let configs: Vec<Arc<Config>> = new.iter().map(|path| self.config_for(path)).collect();
        let read: Vec<Result<(Arc<str>, File), Skipped>> = new
            .par_iter()
            .map(|path| match self.source.read(path) {
                Ok(text) => {
                    let tree = syntax::parse(&text);
                    Ok((text.into(), tree))
                }
                Err(error) => Err(Skipped { path: (*path).clone(), reason: reason(&error) }),
            })
            .collect();
        let mut skipped = Vec::new();
        let mut next = first;
        let mut made = Vec::with_capacity(read.len());
        for ((path, config), read) in new.into_iter().zip(configs).zip(read) {
            match read {
                Ok((text, tree)) => {
                    let Ok(at) = u32::try_from(next) else { break };
                    made.push((at, path.clone(), text, tree, config));
                    next += 1;
                }
                Err(one) => skipped.push(one),
            }
        }
        let states: Vec<Arc<FileState>> = made
            .into_par_iter()
            .map(|(at, path, text, tree, config)| {
                Arc::new(FileState::new(FileId::Workspace(at), path, text, tree, config))
            })
            .collect();
        for (at, state) in states.into_iter().enumerate() {
            Arc::make_mut(&mut self.by_path)
                .insert(state.path.clone(), u32::try_from(first + at).unwrap_or(u32::MAX));
            self.files.push(state);
        }
        self.forget_lists();
        skipped
    }

    /// Takes what the files at hand use, the libraries of their houses, and, where a log or a `from` names a
    /// recipe that is not at hand, the whole repository. Looked at are the file given and those behind it.
    fn take_companions(&mut self, from: FileId) {
        let FileId::Workspace(from) = from else { return };
        let mut seen = from as usize;
        while seen < self.files.len() {
            let mut wanted = Vec::new();
            let mut configs: Vec<Arc<Config>> = Vec::new();
            for state in &self.files[seen..] {
                for used in &state.units.uses {
                    wanted.push(resolve(&state.path, &used.path));
                }
                for log in &state.units.logs {
                    if let Some(of) = &log.of {
                        wanted.push(resolve(&state.path, of));
                    }
                }
                if !configs.iter().any(|config| Arc::ptr_eq(config, &state.config)) {
                    configs.push(Arc::clone(&state.config));
                }
            }
            for config in &configs {
                wanted.extend(self.library_paths(config));
            }
            seen = self.files.len();
            wanted.retain(|path| self.source.exists(path));
            wanted.sort();
            wanted.dedup();
            self.take(&wanted);
            if seen == self.files.len() && !self.take_repositories() {
                break;
            }
        }
    }

    /// Takes the whole repository of files that name a recipe nobody at hand has. Says whether it did.
    fn take_repositories(&mut self) -> bool {
        let mut roots: Vec<PathBuf> = Vec::new();
        for state in &self.files {
            let root = &state.config.root;
            if self.whole.contains(root) || roots.contains(root) || state.config.path.is_none() {
                continue;
            }
            let names_elsewhere = state.units.logs.iter().any(|log| log.of.is_none())
                || state.tree.blocks.iter().any(|placed| takes_mash(&placed.block));
            if names_elsewhere {
                roots.push(root.clone());
            }
        }
        let before = self.files.len();
        for root in roots {
            let (found, _) = self.source.walk(&root);
            self.take(&found);
            self.whole.push(root);
        }
        self.files.len() > before
    }

    /// The library files of a house, in order of their path.
    fn library_paths(&self, config: &Config) -> Vec<PathBuf> {
        let mut all = Vec::new();
        for pattern in &config.library {
            let Ok(glob) = globset::GlobBuilder::new(pattern).literal_separator(true).build() else {
                continue;
            };
            let matcher = glob.compile_matcher();
            // Walk no further up than the part of the pattern that is no pattern.
            let fixed: PathBuf = Path::new(&**pattern)
                .components()
                .take_while(|part| !has_pattern(part.as_os_str()))
                .collect();
            let base = normal(&config.root.join(&fixed));
            if self.source.exists(&base) {
                all.push(base);
                continue;
            }
            if !base.starts_with(&config.root) {
                continue;
            }
            let (found, _) = self.source.walk(&base);
            all.extend(found.into_iter().filter(|path| {
                path.strip_prefix(&config.root).is_ok_and(|relative| matcher.is_match(relative))
            }));
        }
        all
    }

    fn put(&mut self, path: &Path, text: Arc<str>) -> FileId {
        let config = self.config_for(path);
        self.forget_lists();
        if let Some(&at) = self.by_path.get(path) {
            let old = Arc::clone(&self.files[at as usize]);
            let tree = syntax::reparse(&old.tree, &text);
            let made = old.with_text(text, tree, config);
            let library_moved = !Arc::ptr_eq(&old.shelf, &made.shelf)
                && (!same_definitions(&old.tree, &made.tree) || old.units.uses != made.units.uses);
            keep_recipes(&old, &made, library_moved);
            self.files[at as usize] = Arc::new(made);
            if library_moved {
                self.drop_dependents(FileId::Workspace(at));
            }
            self.drop_shared_mashes();
            return FileId::Workspace(at);
        }
        self.drop_shared_mashes();
        if let Some(at) = Arc::make_mut(&mut self.gone).remove(path) {
            Arc::make_mut(&mut self.by_path).insert(path.to_path_buf(), at);
            return self.put(path, text);
        }
        let at = u32::try_from(self.files.len()).unwrap_or(u32::MAX);
        let tree = syntax::parse(&text);
        self.files.push(Arc::new(FileState::new(
            FileId::Workspace(at),
            path.to_path_buf(),
            text,
            tree,
            config,
        )));
        Arc::make_mut(&mut self.by_path).insert(path.to_path_buf(), at);
        FileId::Workspace(at)
    }

    /// A snapshot in which nothing is built of a file.
    pub(crate) fn with_fresh(&self, id: FileId) -> Option<Self> {
        let FileId::Workspace(at) = id else { return None };
        let mut next = self.clone();
        let slot = next.files.get_mut(at as usize)?;
        *slot = Arc::new(slot.fresh());
        Some(next)
    }

    /// Takes a file out that is gone; whatever names it finds nothing. Its place stays for when it comes back.
    pub fn forget(&mut self, path: &Path) {
        let path = normal(path);
        if self.by_path.contains_key(&path) {
            self.put(&path, "".into());
            if let Some(at) = Arc::make_mut(&mut self.by_path).remove(&path) {
                Arc::make_mut(&mut self.gone).insert(path, at);
            }
            self.forget_lists();
        }
    }

    /// Reads every configuration anew; files whose configuration is another now are built anew.
    pub fn reload_configs(&mut self) {
        self.configs = Arc::default();
        for at in 0..self.files.len() {
            let old = Arc::clone(&self.files[at]);
            let config = self.config_for(&old.path);
            let made =
                FileState::new(old.id, old.path.clone(), Arc::clone(&old.text), (*old.tree).clone(), config);
            self.files[at] = Arc::new(made);
        }
        self.forget_lists();
        self.take_companions(FileId::Workspace(0));
    }

    /// A snapshot in which a file has another text. Blocks, definitions and recipes that the change does not
    /// touch are shared with this one.
    #[must_use]
    pub fn with_text(&self, path: &Path, text: &str) -> (Self, FileId) {
        let mut next = self.clone();
        let id = next.load_text(path, text);
        (next, id)
    }

    /// Files whose definitions or recipes come from this one, directly or through others.
    #[must_use]
    pub fn dependents(&self, id: FileId) -> Vec<FileId> {
        self.files
            .iter()
            .filter(|state| state.id != id && self.scope_files(state.id).contains(&id))
            .map(|state| state.id)
            .collect()
    }

    fn drop_dependents(&mut self, id: FileId) {
        for dependent in self.dependents(id) {
            if let FileId::Workspace(at) = dependent
                && let Some(state) = self.files.get_mut(at as usize)
            {
                *state = Arc::new(state.fresh());
            }
        }
    }

    /// Forgets recipes that take the mash of another: it may have changed, or another now has its name.
    fn drop_shared_mashes(&mut self) {
        for state in &mut self.files {
            let shares =
                |slot: &OnceLock<Arc<Recipe>>| slot.get().is_some_and(|recipe| recipe.from.is_some());
            if state.recipes.iter().any(shares) {
                *state = Arc::new(state.fresh());
            }
        }
    }

    /// The files whose definitions count for a file, in the order of look-up: itself, what it uses and what
    /// that uses, the library of the house.
    #[must_use]
    pub fn scope_files(&self, id: FileId) -> Vec<FileId> {
        let mut order = vec![id];
        let mut at = 0;
        while at < order.len() {
            if let Some(state) = self.file(order[at]) {
                for used in &state.units.uses {
                    if let Some(file) = self.file_at(&resolve(&state.path, &used.path))
                        && !order.contains(&file)
                    {
                        order.push(file);
                    }
                }
            }
            at += 1;
        }
        if let Some(state) = self.file(id) {
            for file in self.library_of(&state.config) {
                if !order.contains(file) {
                    order.push(*file);
                }
            }
        }
        order
    }

    /// The library files at hand of a house, in order of their path.
    fn library_of(&self, config: &Config) -> &[FileId] {
        if config.library.is_empty() {
            return &[];
        }
        let libraries = self.libraries.get_or_init(|| {
            let mut configs: Vec<&Arc<Config>> = Vec::new();
            for state in &self.files {
                if !configs.iter().any(|config| Arc::ptr_eq(config, &state.config)) {
                    configs.push(&state.config);
                }
            }
            let libraries =
                configs.into_iter().map(|config| (config.root.clone(), self.library_at_hand(config)));
            Arc::new(libraries.collect())
        });
        libraries.get(&config.root).map_or(&[], Vec::as_slice)
    }

    fn library_at_hand(&self, config: &Config) -> Vec<FileId> {
        let matchers: Vec<globset::GlobMatcher> = config
            .library
            .iter()
            .filter_map(|pattern| globset::GlobBuilder::new(pattern).literal_separator(true).build().ok())
            .map(|glob| glob.compile_matcher())
            .collect();
        if matchers.is_empty() {
            return Vec::new();
        }
        let mut found: Vec<(&PathBuf, FileId)> = self
            .files
            .iter()
            .filter(|state| {
                state
                    .path
                    .strip_prefix(&config.root)
                    .is_ok_and(|relative| matchers.iter().any(|matcher| matcher.is_match(relative)))
            })
            .map(|state| (&state.path, state.id))
            .collect();
        found.sort();
        found.into_iter().map(|(_, id)| id).collect()
    }

    /// Forgets what is kept about all files together: there are others now, or they say something else.
    fn forget_lists(&mut self) {
        self.names = OnceLock::new();
        self.libraries = OnceLock::new();
    }

    /// The order in which names are looked up from a file.
    #[must_use]
    pub fn scope<'s>(&'s self, state: &'s FileState) -> &'s Scope {
        state.scope.get_or_init(|| {
            Scope::new(
                self.scope_files(state.id)
                    .into_iter()
                    .filter_map(|id| self.file(id))
                    .map(|file| Arc::clone(&file.shelf)),
            )
        })
    }

    /// Recipes of this name: in the file, in those it uses, else anywhere in its repository.
    #[must_use]
    pub fn recipes_named(&self, from: &FileState, name: &str, of: Option<&str>) -> Vec<(FileId, usize)> {
        let folded = catalogue::fold(name);
        let within = |id: FileId| -> Option<(FileId, usize)> {
            let state = self.file(id)?;
            let at = state.units.recipes.iter().position(|unit| catalogue::fold(&unit.name) == folded)?;
            Some((id, at))
        };
        if let Some(of) = of {
            let file = self.file_at(&resolve(&from.path, of));
            return file.and_then(within).into_iter().collect();
        }
        if let Some(found) = self.used_files(from.id).into_iter().find_map(within) {
            return vec![found];
        }
        let names = self.names.get_or_init(|| {
            let mut names: Names = HashMap::new();
            for state in &self.files {
                for (at, unit) in state.units.recipes.iter().enumerate() {
                    names.entry(catalogue::fold(&unit.name)).or_default().push((state.id, at));
                }
            }
            Arc::new(names)
        });
        let root = &from.config.root;
        names
            .get(&folded)
            .into_iter()
            .flatten()
            .filter(|(id, _)| self.file(*id).is_some_and(|state| state.path.starts_with(root)))
            .copied()
            .collect()
    }

    /// All recipe names a file could mean, for 'did you mean'.
    pub(crate) fn recipe_names(&self, from: &FileState) -> Vec<Box<str>> {
        self.files
            .iter()
            .filter(|state| state.path.starts_with(&from.config.root))
            .flat_map(|state| state.units.recipes.iter().map(|unit| unit.name.clone()))
            .collect()
    }

    fn used_files(&self, id: FileId) -> Vec<FileId> {
        let mut order = vec![id];
        let mut at = 0;
        while at < order.len() {
            if let Some(state) = self.file(order[at]) {
                for used in &state.units.uses {
                    if let Some(file) = self.file_at(&resolve(&state.path, &used.path))
                        && !order.contains(&file)
                    {
                        order.push(file);
                    }
                }
            }
            at += 1;
        }
        order
    }

    /// Whether a path stands for a file there is.
    pub(crate) fn exists(&self, path: &Path) -> bool {
        self.by_path.contains_key(path) || self.source.exists(path)
    }

    /// Files of ours beside a path that is missing, for 'did you mean'.
    pub(crate) fn beside(&self, path: &Path) -> Vec<PathBuf> {
        path.parent().map(|folder| self.source.walk(folder).0).unwrap_or_default()
    }

    /// The path that a path written in a file leads to.
    #[must_use]
    pub fn path_written(from: &FileState, written: &str) -> PathBuf {
        resolve(&from.path, written)
    }

    /// A path as it would be written in a file: relative to it, with `/`.
    #[must_use]
    pub fn path_to_write(from: &FileState, to: &Path) -> String {
        crate::analyse::relative(&from.path, to)
    }

    /// A path as it is shown: relative to a folder where it lies below it, with `/`.
    #[must_use]
    pub fn shown_path(path: &Path, below: &Path) -> String {
        let relative = path.strip_prefix(below).unwrap_or(path);
        let parts: Vec<_> = relative.components().map(|part| part.as_os_str().to_string_lossy()).collect();
        let joined = parts.join("/");
        if joined.starts_with("//") { joined[1..].to_owned() } else { joined }
    }

    /// Whether a path names one of our files.
    #[must_use]
    pub fn is_gyle(path: &Path) -> bool {
        is_gyle(path)
    }
}

/// Whether two versions of a file name the same files and recipes elsewhere.
fn names_same(old: &FileState, new: &FileState) -> bool {
    let of_logs = |state: &FileState| -> Vec<(Box<str>, Option<Box<str>>)> {
        state.units.logs.iter().map(|log| (log.recipe_name.clone(), log.of.clone())).collect()
    };
    let takes_mash = |state: &FileState| state.tree.blocks.iter().any(|placed| takes_mash(&placed.block));
    old.units.uses == new.units.uses && of_logs(old) == of_logs(new) && (takes_mash(old) || !takes_mash(new))
}

/// Whether a block takes the mash of another recipe.
fn takes_mash(block: &syntax::ast::Block) -> bool {
    block.entries().any(|(_, entry)| {
        entry.keyword.is_some_and(|keyword| keyword.node == syntax::vocabulary::Keyword::From)
    })
}

fn has_pattern(part: &std::ffi::OsStr) -> bool {
    part.to_string_lossy().contains(['*', '?', '[', '{'])
}

/// A path written in a file, relative to that file.
pub(crate) fn resolve(from: &Path, written: &str) -> PathBuf {
    normal(&from.parent().unwrap_or(from).join(written))
}

/// Whether the blocks of two versions have the same headers one by one, and definitions are the same.
fn same_skeleton(old: &File, new: &File) -> bool {
    old.blocks.len() == new.blocks.len()
        && old.blocks.iter().zip(&new.blocks).all(|(old, new)| {
            let (old, new) = (&old.block, &new.block);
            // Comments stand above the header in its block.
            let header = |block: &syntax::ast::Block| {
                let is_header = |line: &&Line| matches!(line.body, Body::Header(_));
                block.lines.iter().find(is_header).map(|line| line.span)
            };
            let same_header =
                || header(old).zip(header(new)).is_some_and(|(a, b)| a == b && old.slice(a) == new.slice(b));
            Arc::ptr_eq(old, new)
                || (old.kind == new.kind
                    && old.entries_as == new.entries_as
                    && !old.entries_as.is_definition()
                    && same_header())
        })
}

fn same_definitions(old: &File, new: &File) -> bool {
    let blocks = |file: &File| -> Vec<Arc<syntax::ast::Block>> {
        file.blocks
            .iter()
            .filter(|placed| placed.block.entries_as.is_definition())
            .map(|placed| Arc::clone(&placed.block))
            .collect()
    };
    let (old, new) = (blocks(old), blocks(new));
    old.len() == new.len() && old.iter().zip(&new).all(|(a, b)| Arc::ptr_eq(a, b))
}

/// Hands on recipes that were built and whose blocks are the same. Definitions of the same file stand at
/// another index when blocks came or went; then nothing is handed on.
fn keep_recipes(old: &FileState, new: &FileState, library_moved: bool) {
    let shifted = old.tree.blocks.len() != new.tree.blocks.len();
    if library_moved || shifted || !Arc::ptr_eq(&old.config, &new.config) || old.units.lets != new.units.lets
    {
        return;
    }
    let same_lets = old.units.lets.iter().all(|at| {
        let at = *at as usize;
        Arc::ptr_eq(&old.tree.blocks[at].block, &new.tree.blocks[at].block)
    });
    if !same_lets {
        return;
    }
    for (at, (before, after)) in old.units.recipes.iter().zip(&new.units.recipes).enumerate() {
        let same = before.blocks == after.blocks
            && before.blocks.iter().all(|at| {
                let at = *at as usize;
                Arc::ptr_eq(&old.tree.blocks[at].block, &new.tree.blocks[at].block)
            });
        // A recipe that takes another's mash depends on more than its own blocks.
        if same
            && let Some(recipe) = old.recipes[at].get()
            && recipe.from.is_none()
        {
            let _ = new.recipes[at].set(Arc::clone(recipe));
            if let Some(kept) = old.checked[at].get() {
                let _ = new.checked[at].set(Arc::clone(kept));
            }
        }
    }
}

fn reason(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".into(),
        std::io::ErrorKind::PermissionDenied => "it may not be read".into(),
        _ => error.to_string(),
    }
}
