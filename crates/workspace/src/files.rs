//! The files of a workspace, and a change to one of them.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

use rayon::prelude::*;
use recipe::{FileId, Recipe, Scope, Shelf, Units};
use rules::Edition;
use syntax::ast::{Body, File, Line};

use crate::config::{Config, Library, Root};
use crate::kept::Kept;
use crate::source::{Skipped, Source, Walk, in_order, is_gyle, normal, reason};
use crate::tree::Tree;

/// A file with what can be said of it alone.
pub struct FileState {
    /// Its id.
    pub id: FileId,
    /// Absolute path.
    pub path: PathBuf,
    /// Its text.
    pub text: Arc<str>,
    /// Its tree.
    pub tree: Tree,
    /// What its blocks make.
    pub units: Arc<Units>,
    /// Its definitions.
    pub shelf: Arc<Shelf>,
    /// Paths of the files it uses, in the order written.
    pub(crate) uses: Arc<[PathBuf]>,
    /// Configuration in force.
    pub config: Arc<Config>,
    /// What it is known by: another one whenever its text, its configuration or a definition it may use is
    /// another.
    pub stamp: u64,
    /// Whether one of its recipes takes the mash of another.
    pub(crate) takes_mash: bool,
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
        let takes = tree.blocks.iter().any(|placed| takes_mash(&placed.block));
        Self { takes_mash: takes, ..Self::of_parts(id, path, text, Arc::new(tree), config, units, shelf) }
    }

    /// The same file with another text. What only headers and definitions make is shared while they stay.
    fn with_text(&self, text: Arc<str>, tree: File, config: Arc<Config>) -> Self {
        if !Arc::ptr_eq(&self.config, &config) || !same_headers(&self.tree, &tree) {
            return Self::new(self.id, self.path.clone(), text, tree, config);
        }
        let units = Arc::clone(&self.units);
        let same_shelf = same_definitions(&self.tree, &tree);
        let shelf = if same_shelf {
            Arc::clone(&self.shelf)
        } else {
            Arc::new(Shelf::new(self.id, &tree, config.figures.customary))
        };
        // Where no block took a mash, only one that is new can.
        let takes = tree.blocks.iter().zip(&self.tree.blocks).any(|(new, old)| {
            (self.takes_mash || !Arc::ptr_eq(&new.block, &old.block)) && takes_mash(&new.block)
        });
        let mut made = Self::of_parts(self.id, self.path.clone(), text, Arc::new(tree), config, units, shelf);
        made.takes_mash = takes;
        if same_shelf {
            made.checked_definitions = self.checked_definitions.clone();
        }
        made
    }

    fn of_parts(
        id: FileId,
        path: PathBuf,
        text: Arc<str>,
        tree: Arc<File>,
        config: Arc<Config>,
        units: Arc<Units>,
        shelf: Arc<Shelf>,
    ) -> Self {
        let uses = units.uses.iter().map(|used| resolve(&path, &used.path)).collect();
        let recipes = units.recipes.iter().map(|_| OnceLock::new()).collect();
        let checked = units.recipes.iter().map(|_| OnceLock::new()).collect();
        Self {
            id,
            path,
            tree: Tree::made(Arc::clone(&text), tree),
            text,
            units,
            shelf,
            uses,
            config,
            stamp: next_stamp(),
            takes_mash: false,
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
            tree: self.tree.clone(),
            units: Arc::clone(&self.units),
            shelf: Arc::clone(&self.shelf),
            uses: Arc::clone(&self.uses),
            config: Arc::clone(&self.config),
            stamp: next_stamp(),
            takes_mash: self.takes_mash,
            recipes: self.units.recipes.iter().map(|_| OnceLock::new()).collect(),
            checked: self.units.recipes.iter().map(|_| OnceLock::new()).collect(),
            checked_definitions: OnceLock::new(),
            scope: OnceLock::new(),
        }
    }

    /// Whether what is found in it hangs on nothing but itself and the definitions it may use, so that its
    /// stamp tells whether that still holds.
    #[must_use]
    pub fn stands_alone(&self) -> bool {
        self.units.logs.is_empty() && self.units.tastings.is_empty() && !self.takes_mash
    }

    /// The same file, holding nothing that its text can make again.
    fn at_rest(&self) -> Self {
        Self { tree: self.tree.at_rest(), stamp: self.stamp, ..self.fresh() }
    }

    /// Whether it holds something that its text can make again.
    fn is_awake(&self) -> bool {
        self.tree.is_made() || self.recipes.iter().any(|slot| slot.get().is_some())
    }
}

/// Adds the configuration of a house that is not among some.
fn add_house(houses: &mut Vec<Arc<Config>>, config: &Arc<Config>) {
    // Nearly all files have the very same; comparing paths is slow.
    if !houses.iter().any(|known| Arc::ptr_eq(known, config) || known.root == config.root) {
        houses.push(Arc::clone(config));
    }
}

/// A number that no other state of a file has in this process.
fn next_stamp() -> u64 {
    static NEXT: AtomicU64 = AtomicU64::new(0);
    NEXT.fetch_add(1, Ordering::Relaxed)
}

/// What loading some paths gave.
#[derive(Clone, Debug, Default)]
pub struct Loaded {
    /// The files asked for, in order of their path.
    pub files: Vec<FileId>,
    /// Files and folders that could not be read.
    pub unreadable: Vec<Skipped>,
    /// What was left out on purpose, or looked for in vain.
    pub left_out: Vec<Skipped>,
}

impl Loaded {
    /// What was left out, one line each, with paths as shown below a folder.
    pub fn notes(&self, below: &Path) -> impl Iterator<Item = String> {
        self.left_out.iter().map(|one| format!("{}: {}", Workspace::shown_path(&one.path, below), one.reason))
    }
}

/// A file read and parsed, or why it is not, and whether that is for its size.
type Read = Result<(Arc<str>, File), (Skipped, bool)>;

/// The root of a house, and which of its levels for some files hold.
type Partial = (PathBuf, Vec<usize>);

/// A snapshot of all files known.
#[derive(Clone)]
pub struct Workspace {
    source: Arc<dyn Source>,
    files: Arc<Vec<Arc<FileState>>>,
    /// A file that is looked at before it is put among the others.
    passing: Option<Arc<FileState>>,
    /// By the bytes of a normal path: taking paths apart to compare them costs more than the look-up.
    by_path: Arc<HashMap<OsString, u32>>,
    /// Files that are gone, with the place kept for them.
    gone: Arc<HashMap<PathBuf, u32>>,
    configs: Arc<Mutex<HashMap<PathBuf, Arc<Config>>>>,
    /// Configurations of files for which some levels are set alone, by the root and which these are.
    partial: Arc<Mutex<HashMap<Partial, Arc<Config>>>>,
    /// The edition looked at in place of the one each house lives by.
    edition: Option<Edition>,
    /// Files that are there and cannot be read, with the reason.
    unread: Arc<HashMap<PathBuf, String>>,
    /// Library files by the root of their repository, found out when somebody asks.
    libraries: Arc<Mutex<HashMap<PathBuf, Arc<[FileId]>>>>,
    /// Roots whose files have all been taken.
    whole: Vec<PathBuf>,
    /// Recipes and logs by name, made when a log, a tasting or a `from` asks.
    names: OnceLock<Arc<Names>>,
    /// Files read from the disk are only indexed: they hold nothing that their text can make again.
    indexes: bool,
}

/// What can be meant from another file of the repository.
#[derive(Default)]
pub(crate) struct Names {
    /// Recipes by their folded name.
    recipes: HashMap<String, Vec<(FileId, usize)>>,
    /// Files that have a log of this id.
    logs: HashMap<Box<str>, Vec<FileId>>,
}

impl Workspace {
    /// An empty workspace over a source.
    #[must_use]
    pub fn new(source: Arc<dyn Source>) -> Self {
        Self {
            source,
            files: Arc::default(),
            passing: None,
            by_path: Arc::default(),
            gone: Arc::default(),
            configs: Arc::default(),
            partial: Arc::default(),
            edition: None,
            unread: Arc::default(),
            libraries: Arc::default(),
            whole: Vec::new(),
            names: OnceLock::new(),
            indexes: false,
        }
    }

    /// The same, where files read from the disk are only indexed, which takes a fraction of the room; each
    /// is parsed anew whenever it is looked at. Texts given with [`Self::load_text`] stay at hand.
    #[must_use]
    pub const fn indexing(mut self) -> Self {
        self.indexes = true;
        self
    }

    /// How many files hold more than their index.
    #[must_use]
    pub fn awake(&self) -> usize {
        self.files.iter().filter(|state| state.is_awake()).count()
    }

    /// Gives back the room of files that are no longer looked at, and indexes them only. It does nothing
    /// where few are concerned.
    pub fn rest(&mut self, is_open: impl Fn(FileId) -> bool) {
        const FEW: usize = 16;
        let awake: Vec<usize> = (0..self.files.len())
            .filter(|at| self.files.get(*at).is_some_and(|state| state.is_awake() && !is_open(state.id)))
            .collect();
        if self.indexes && awake.len() > FEW {
            let files = self.files_mut();
            for at in awake {
                files[at] = Arc::new(files[at].at_rest());
            }
        }
    }

    /// A file by its id.
    #[must_use]
    pub fn file(&self, id: FileId) -> Option<&Arc<FileState>> {
        match id {
            FileId::Workspace(at) => self
                .files
                .get(at as usize)
                .or_else(|| self.passing.as_ref().filter(|passing| passing.id == id)),
            FileId::Catalogue(_) => None,
        }
    }

    /// The files, to change which there are or what they are.
    fn files_mut(&mut self) -> &mut Vec<Arc<FileState>> {
        Arc::make_mut(&mut self.files)
    }

    /// A file to look at once: what has to be made of its text for that is not kept, unless it is there already.
    #[must_use]
    pub fn in_passing(&self, state: &Arc<FileState>) -> Arc<FileState> {
        if state.is_awake() || !self.indexes { Arc::clone(state) } else { Arc::new(state.at_rest()) }
    }

    /// A file by its path.
    #[must_use]
    pub fn file_at(&self, path: &Path) -> Option<FileId> {
        self.at_normal(&normal(path))
    }

    /// A file by a path that is normal.
    fn at_normal(&self, path: &Path) -> Option<FileId> {
        self.by_path.get(path.as_os_str()).map(|at| FileId::Workspace(*at))
    }

    /// The text of a file as it stands on the disk.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn read(&self, path: &Path) -> std::io::Result<String> {
        self.source.read(path)
    }

    /// All files taken so far.
    pub fn files(&self) -> impl Iterator<Item = &Arc<FileState>> {
        self.files.iter()
    }

    /// The configuration in force for a path: that of the nearest `gyle.toml` above it, with what that sets
    /// for this file alone.
    #[must_use]
    pub fn config_for(&self, path: &Path) -> Arc<Config> {
        self.config_in(self.config_of_house(path), path)
    }

    /// The configuration of a house with what it sets for a file alone.
    fn config_in(&self, whole: Arc<Config>, path: &Path) -> Arc<Config> {
        let places = whole.overrides_of(path);
        if places.is_empty() {
            return whole;
        }
        let key = (whole.root.clone(), places);
        let Ok(mut known) = self.partial.lock() else { return Arc::new(whole.with_overrides(&key.1)) };
        if let Some(config) = known.get(&key) {
            return Arc::clone(config);
        }
        let config = Arc::new(whole.with_overrides(&key.1));
        known.insert(key, Arc::clone(&config));
        config
    }

    fn config_of_house(&self, path: &Path) -> Arc<Config> {
        let folder = path.parent().unwrap_or(path).to_path_buf();
        if let Some(known) = self.configs.lock().ok().and_then(|known| known.get(&folder).cloned()) {
            return known;
        }
        let mut config = self.find_config(&folder);
        if let Some(edition) = self.edition.filter(|edition| *edition != config.edition()) {
            Arc::make_mut(&mut config).rules.levels.set_edition(edition);
        }
        if let Ok(mut known) = self.configs.lock() {
            known.insert(folder, Arc::clone(&config));
        }
        config
    }

    /// The configurations in force for some paths, of which those of one folder follow each other.
    fn configs_for<'p>(&self, paths: impl Iterator<Item = &'p Path>) -> Vec<Arc<Config>> {
        let mut last: Option<(Option<&Path>, Arc<Config>)> = None;
        paths
            .map(|path| {
                let house = match &last {
                    Some((folder, house)) if *folder == path.parent() => Arc::clone(house),
                    _ => {
                        let house = self.config_of_house(path);
                        last = Some((path.parent(), Arc::clone(&house)));
                        house
                    }
                };
                self.config_in(house, path)
            })
            .collect()
    }

    fn find_config(&self, folder: &Path) -> Arc<Config> {
        for above in folder.ancestors() {
            let path = above.join("gyle.toml");
            let git = above.join(".git");
            let kind = if self.source.exists(&path) {
                Root::Configured
            } else if self.source.is_folder(&git) || self.source.exists(&git) {
                // A working tree beside its repository has a file of that name.
                Root::Git
            } else {
                continue;
            };
            // One configuration for all folders below it.
            if let Some(known) = self.known_config(above, kind) {
                return known;
            }
            let root = above.to_path_buf();
            return Arc::new(match kind {
                Root::Configured => match self.source.read(&path) {
                    Ok(text) => Config::read(root, path, &text),
                    Err(error) => Config::unreadable(root, path, reason(&error)),
                },
                kind => Config::defaults(root, kind),
            });
        }
        Arc::new(Config::defaults(folder.to_path_buf(), Root::Folder))
    }

    fn known_config(&self, root: &Path, kind: Root) -> Option<Arc<Config>> {
        let known = self.configs.lock().ok()?;
        known.values().find(|config| config.kind == kind && config.root == root).cloned()
    }

    /// Takes files and folders, and every file they use or whose definitions count for them.
    pub fn load(&mut self, paths: &[PathBuf]) -> Loaded {
        self.load_by(paths, |workspace, wanted| {
            let first = workspace.files.len();
            (workspace.take(wanted), first)
        })
    }

    /// The same with a look at each file asked for. Where there are many, a file is looked at as soon as all
    /// that counts for it is at hand and is only indexed from then on, so that there are never many trees.
    /// The looks are in no order.
    pub fn load_and_look<T: Send>(
        &mut self,
        paths: &[PathBuf],
        look: impl Fn(&Self, FileId) -> Option<T> + Sync,
    ) -> (Loaded, Vec<T>) {
        let mut seen = HashSet::new();
        let mut looks = Vec::new();
        let loaded = self.load_by(paths, |workspace, wanted| {
            workspace.take_and_look(wanted, &look, &mut seen, &mut looks)
        });
        let rest: Vec<FileId> = loaded.files.iter().copied().filter(|id| !seen.contains(id)).collect();
        looks.par_extend(rest.into_par_iter().filter_map(|id| look(self, id)));
        (loaded, looks)
    }

    /// Takes files and folders; `take` reads those found, in order of their path, and says from which file on
    /// what they name has still to be taken.
    fn load_by(
        &mut self,
        paths: &[PathBuf],
        take: impl FnOnce(&mut Self, &[PathBuf]) -> (Vec<(Skipped, bool)>, usize),
    ) -> Loaded {
        let mut loaded = Loaded::default();
        let mut wanted: Vec<PathBuf> = Vec::new();
        let mut asked: HashSet<PathBuf> = HashSet::new();
        for path in paths {
            let path = normal(path);
            if self.source.exists(&path) {
                asked.insert(path.clone());
                wanted.push(path);
            } else if self.source.is_folder(&path) {
                let walk = self.source.walk(&path);
                loaded.unreadable.extend(walk.unreadable);
                if walk.cut {
                    let taken = walk.files.len();
                    let reason = format!("it has more than {taken} files; the rest is left out");
                    loaded.left_out.push(Skipped { path: path.clone(), reason });
                }
                let configs = self.configs_for(walk.files.iter().map(PathBuf::as_path));
                let found = walk.files.into_iter().zip(configs);
                wanted.extend(found.filter(|(file, config)| !config.excludes(file)).map(|(file, _)| file));
                let config = self.config_for(&path.join("any.gyle"));
                if !walk.cut && config.root == path && !self.whole.contains(&path) {
                    self.whole.push(path);
                }
            } else {
                loaded.unreadable.push(Skipped { path, reason: "there is no such file or folder".into() });
            }
        }
        wanted.sort_by(|a, b| in_order(a, b));
        wanted.dedup_by(|a, b| a.as_os_str() == b.as_os_str());
        let first = self.files.len();
        let (skipped, unnamed) = take(self, &wanted);
        loaded.files = wanted.iter().filter_map(|path| self.at_normal(path)).collect();
        let mut configs: Vec<Arc<Config>> = Vec::new();
        for id in &loaded.files {
            if let Some(state) = self.file(*id) {
                add_house(&mut configs, &state.config);
            }
        }
        for (one, large) in skipped {
            let on_purpose = large && !asked.contains(&one.path);
            let list = if on_purpose { &mut loaded.left_out } else { &mut loaded.unreadable };
            list.push(one);
        }
        if first < self.files.len() {
            self.take_companions(first, unnamed);
        }
        for config in configs {
            self.library_trouble(&config, &mut loaded);
        }
        for list in [&mut loaded.unreadable, &mut loaded.left_out] {
            list.sort_by(|a, b| a.path.cmp(&b.path));
            list.dedup();
        }
        loaded
    }

    /// Library files that are not there or cannot be read.
    fn library_trouble(&self, config: &Config, loaded: &mut Loaded) {
        for library in &config.library {
            let paths = self.paths_of(library, config);
            if paths.is_empty()
                && let Some(path) = &config.path
            {
                let reason = format!("no file is meant by the library `{}`", library.written);
                loaded.left_out.push(Skipped { path: path.clone(), reason });
            }
            loaded.unreadable.extend(paths.into_iter().filter_map(|path| {
                let reason = self.unread.get(&path)?.clone();
                Some(Skipped { path, reason })
            }));
        }
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
            self.take_companions_of(id);
        }
        id
    }

    /// Reads and parses files side by side. Gives back what could not be read, and whether that is for its
    /// size.
    fn take(&mut self, paths: &[PathBuf]) -> Vec<(Skipped, bool)> {
        let first = self.files.len();
        let skipped = self.read_in(paths);
        self.taken_since(first);
        skipped
    }

    /// Sees to what was known before there were the files from a place on.
    fn taken_since(&mut self, first: usize) {
        if first < self.files.len() {
            self.forget_lists();
            self.drop_dependents(first..self.files.len());
        }
    }

    /// Takes files, the libraries first, and looks at those that hang on nothing else as soon as they are read:
    /// what was made of one is still at hand then, and can be let go before the next. Says, besides what was
    /// skipped, from which file on what they name has still to be taken.
    fn take_and_look<T: Send>(
        &mut self,
        paths: &[PathBuf],
        look: &(impl Fn(&Self, FileId) -> Option<T> + Sync),
        seen: &mut HashSet<FileId>,
        looks: &mut Vec<T>,
    ) -> (Vec<(Skipped, bool)>, usize) {
        /// So few are held as well as let go.
        const FEW: usize = 64;
        /// Files at a time. Those that wait for others are held until these have been read.
        const AT_ONCE: usize = 4096;
        let first = self.files.len();
        if paths.len() <= FEW {
            return (self.take(paths), first);
        }
        let mut configs: Vec<Arc<Config>> = Vec::new();
        for config in self.configs_for(paths.iter().map(PathBuf::as_path)) {
            if !configs.iter().any(|known| Arc::ptr_eq(known, &config)) {
                configs.push(config);
            }
        }
        let libraries = |config: &Arc<Config>| -> Vec<PathBuf> {
            config.library.iter().flat_map(|library| self.paths_of(library, config)).collect()
        };
        let libraries: Vec<PathBuf> = configs.iter().flat_map(libraries).collect();
        // What cannot be read of them is seen when its turn comes.
        self.read_in(&libraries);
        self.take_named(first..self.files.len());
        // The first few tell what most of them use.
        let (some, others) = paths.split_at(FEW);
        let mut skipped = Vec::new();
        for some in core::iter::once(some).chain(others.chunks(AT_ONCE)) {
            let mut waited = Vec::new();
            skipped.extend(self.read_and_look(some, look, seen, looks, &mut waited));
            self.take_named(waited.iter().copied());
            waited.retain(|at| self.is_settled(&self.files[*at]));
            let this = &*self;
            looks.par_extend(waited.par_iter().filter_map(|at| look(this, this.files[*at].id)));
            let files = self.files_mut();
            for at in waited {
                seen.insert(files[at].id);
                files[at] = Arc::new(files[at].at_rest());
            }
        }
        self.taken_since(first);
        (skipped, self.files.len())
    }

    /// Reads files side by side, and looks at each that waits for no other before the next is read; `waiting`
    /// gets the places of those that do.
    fn read_and_look<T: Send>(
        &mut self,
        paths: &[PathBuf],
        look: &(impl Fn(&Self, FileId) -> Option<T> + Sync),
        seen: &mut HashSet<FileId>,
        looks: &mut Vec<T>,
        waiting: &mut Vec<usize>,
    ) -> Vec<(Skipped, bool)> {
        /// Few enough that no thread is left alone with many at the end.
        const A_THREAD: usize = 16;
        let new: Vec<&PathBuf> = paths.iter().filter(|path| self.at_normal(path).is_none()).collect();
        let configs = self.configs_for(new.iter().map(|path| &***path));
        // Each has its place before it is there, so that files which use each other in a circle find it.
        let Ok(first) = u32::try_from(self.files.len()) else { return Vec::new() };
        let places = first..;
        let by_path = Arc::make_mut(&mut self.by_path);
        by_path.extend(new.iter().map(|path| path.as_os_str().to_owned()).zip(places.clone()));
        let this = &*self;
        let read: Vec<_> = (new.par_iter().zip(&configs).zip(first..u32::MAX))
            .with_max_len(A_THREAD)
            .map_init(
                || this.clone(),
                |view, ((path, config), at)| {
                    let id = FileId::Workspace(at);
                    let (text, tree) = this.read_one(path)?;
                    let state =
                        Arc::new(FileState::new(id, PathBuf::clone(path), text, tree, Arc::clone(config)));
                    if !this.is_settled(&state) {
                        return Ok((state, None));
                    }
                    view.passing = Some(Arc::clone(&state));
                    let found = look(view, id);
                    view.passing = None;
                    Ok((Arc::new(state.at_rest()), Some(found)))
                },
            )
            .collect();
        let mut skipped: Vec<(Skipped, bool)> = Vec::new();
        let (mut states, mut gone) = (Vec::with_capacity(read.len()), Vec::new());
        for (((path, config), at), one) in new.into_iter().zip(configs).zip(places).zip(read) {
            let id = FileId::Workspace(at);
            match one {
                Ok((state, found)) => {
                    match found {
                        Some(found) => {
                            seen.insert(id);
                            looks.extend(found);
                        }
                        None => waiting.push(at as usize),
                    }
                    states.push(state);
                }
                Err(one) => {
                    let empty = FileState::new(id, path.clone(), "".into(), File::default(), config);
                    states.push(Arc::new(empty));
                    gone.push((path.clone(), at));
                    skipped.push(one);
                }
            }
        }
        self.files_mut().append(&mut states);
        if !gone.is_empty() {
            let by_path = Arc::make_mut(&mut self.by_path);
            for (path, _) in &gone {
                by_path.remove(path.as_os_str());
            }
            Arc::make_mut(&mut self.gone).extend(gone);
        }
        self.note_unread(&skipped);
        skipped
    }

    /// Whether what is found in a file hangs on nothing but itself and on files that are at hand.
    fn is_settled(&self, state: &FileState) -> bool {
        let is_here = |path: &PathBuf| self.at_normal(path).is_some_and(|id| self.file(id).is_some());
        state.stands_alone() && state.uses.iter().all(is_here)
    }

    /// Reads and parses a file.
    fn read_one(&self, path: &Path) -> Read {
        match self.source.read(path) {
            Ok(text) => {
                let tree = syntax::parse(&text);
                Ok((text.into(), tree))
            }
            Err(error) => {
                let large = error.kind() == std::io::ErrorKind::FileTooLarge;
                Err((Skipped { path: path.to_path_buf(), reason: reason(&error) }, large))
            }
        }
    }

    /// Keeps in mind why files that are there cannot be read.
    fn note_unread(&mut self, skipped: &[(Skipped, bool)]) {
        if !skipped.is_empty() {
            let unread = Arc::make_mut(&mut self.unread);
            unread.extend(skipped.iter().map(|(one, _)| (one.path.clone(), one.reason.clone())));
        }
    }

    /// Reads and parses files side by side, without a thought for what was known before.
    fn read_in(&mut self, paths: &[PathBuf]) -> Vec<(Skipped, bool)> {
        let new: Vec<&PathBuf> = paths.iter().filter(|path| self.at_normal(path).is_none()).collect();
        let first = self.files.len();
        // Configurations are looked up before the threads start, so that each is read once.
        let configs = self.configs_for(new.iter().map(|path| &***path));
        let read: Vec<Read> = new.par_iter().map(|path| self.read_one(path)).collect();
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
        let indexes = self.indexes;
        let mut states: Vec<Arc<FileState>> = made
            .into_par_iter()
            .map(|(at, path, text, tree, config)| {
                let made = FileState::new(FileId::Workspace(at), path, text, tree, config);
                Arc::new(if indexes { made.at_rest() } else { made })
            })
            .collect();
        if !states.is_empty() {
            let by_path = Arc::make_mut(&mut self.by_path);
            for (at, state) in states.iter().enumerate() {
                by_path.insert(state.path.clone().into(), u32::try_from(first + at).unwrap_or(u32::MAX));
            }
            self.files_mut().append(&mut states);
        }
        self.note_unread(&skipped);
        skipped
    }

    /// Takes what goes with a file and with those behind it.
    fn take_companions_of(&mut self, id: FileId) {
        if let FileId::Workspace(at) = id {
            self.take_companions(at as usize, at as usize);
        }
    }

    /// Takes what the files at hand use, the libraries of their houses, and, where a log or a `from` names a
    /// recipe that is not at hand, the whole repository. Looked at are the file given and those behind it; what
    /// those before `unnamed` name by its path is at hand already.
    fn take_companions(&mut self, from: usize, unnamed: usize) {
        let mut seen = from;
        while seen < self.files.len() {
            let mut wanted = self.named_by(unnamed.max(seen)..self.files.len());
            let mut configs: Vec<Arc<Config>> = Vec::new();
            for state in &self.files[seen..] {
                add_house(&mut configs, &state.config);
            }
            for config in &configs {
                wanted.extend(config.library.iter().flat_map(|library| self.paths_of(library, config)));
            }
            seen = self.files.len();
            wanted.retain(|path| self.at_normal(path).is_none() && self.source.exists(path));
            wanted.sort();
            wanted.dedup();
            self.take(&wanted);
            if seen == self.files.len() && !self.take_repositories() {
                break;
            }
        }
    }

    /// The files that those at some places name by their path and may open, and that are not at hand.
    fn named_by(&mut self, places: impl IntoIterator<Item = usize>) -> Vec<PathBuf> {
        // Nearly all name the same few files, but each log may name a recipe of its own.
        let mut wanted: HashSet<PathBuf> = HashSet::new();
        let mut outside: HashMap<PathBuf, String> = HashMap::new();
        for state in places.into_iter().filter_map(|at| self.files.get(at)) {
            let plans = state.units.logs.iter().filter_map(|log| log.of.as_ref());
            let plans = plans.map(|written| Cow::Owned(resolve(&state.path, written)));
            let named = state.uses.iter().map(Cow::Borrowed).chain(plans);
            for path in named {
                if self.at_normal(&path).is_some()
                    || !state.config.allows(&path)
                    || wanted.contains(&*path)
                    || outside.contains_key(&*path)
                {
                    continue;
                }
                // A link below the root may lead anywhere.
                if self.source.leads_out(&path, &state.config.root) {
                    let root = state.config.root.display();
                    outside.insert(path.into_owned(), format!("it is a link that leads out of {root}"));
                } else {
                    wanted.insert(path.into_owned());
                }
            }
        }
        if !outside.is_empty() {
            Arc::make_mut(&mut self.unread).extend(outside);
        }
        wanted.into_iter().collect()
    }

    /// Reads in what the files at some places name by its path, and what that names.
    fn take_named(&mut self, places: impl IntoIterator<Item = usize>) {
        let mut wanted = self.named_by(places);
        while !wanted.is_empty() {
            wanted.retain(|path| self.source.exists(path));
            wanted.sort();
            let from = self.files.len();
            self.read_in(&wanted);
            wanted = self.named_by(from..self.files.len());
        }
    }

    /// Takes the whole repository of files that name a recipe or a log nobody at hand has. Says whether it
    /// did.
    fn take_repositories(&mut self) -> bool {
        let mut roots: Vec<Arc<Config>> = Vec::new();
        for state in self.files.iter() {
            let config = &state.config;
            let names_elsewhere = state.units.logs.iter().any(|log| log.of.is_none())
                || !state.units.tastings.is_empty()
                || state.takes_mash;
            if names_elsewhere && !self.whole.contains(&config.root) {
                add_house(&mut roots, config);
            }
        }
        let before = self.files.len();
        for config in roots {
            let found = self.repository_files(&config);
            self.take(&found);
            self.whole.push(config.root.clone());
        }
        self.files.len() > before
    }

    /// The files of a repository. Where nothing says how far it reaches, it is one folder.
    fn repository_files(&self, config: &Config) -> Vec<PathBuf> {
        match config.kind {
            Root::Folder => self.source.list(&config.root),
            Root::Configured | Root::Git => self.source.walk(&config.root).files,
        }
    }

    /// The files meant by an entry of `library`, in order of their path.
    fn paths_of(&self, library: &Library, config: &Config) -> Vec<PathBuf> {
        if !library.is_pattern() {
            let base = &library.base;
            return self.exists(base).then(|| base.clone()).into_iter().collect();
        }
        let Walk { mut files, .. } = self.source.walk(&library.base);
        files.retain(|path| library.means(path, &config.root));
        files
    }

    fn put(&mut self, path: &Path, text: Arc<str>) -> FileId {
        let config = self.config_for(path);
        if self.unread.contains_key(path) {
            Arc::make_mut(&mut self.unread).remove(path);
        }
        if let Some(&at) = self.by_path.get(path.as_os_str()) {
            let old = Arc::clone(&self.files[at as usize]);
            let tree = syntax::reparse(&old.tree, &old.text, &text);
            let made = old.with_text(text, tree, config);
            let library_moved = !Arc::ptr_eq(&old.shelf, &made.shelf)
                && (!same_definitions(&old.tree, &made.tree) || old.units.uses != made.units.uses);
            keep_recipes(&old, &made, library_moved);
            if !Arc::ptr_eq(&old.units, &made.units) {
                self.names = OnceLock::new();
            }
            self.files_mut()[at as usize] = Arc::new(made);
            if library_moved {
                self.drop_dependents(at as usize..at as usize + 1);
            }
            return FileId::Workspace(at);
        }
        self.forget_lists();
        if let Some(at) = Arc::make_mut(&mut self.gone).remove(path) {
            Arc::make_mut(&mut self.by_path).insert(path.into(), at);
            let id = self.put(path, text);
            self.drop_dependents(at as usize..at as usize + 1);
            return id;
        }
        let at = u32::try_from(self.files.len()).unwrap_or(u32::MAX);
        let tree = syntax::parse(&text);
        let made = FileState::new(FileId::Workspace(at), path.to_path_buf(), text, tree, config);
        self.files_mut().push(Arc::new(made));
        Arc::make_mut(&mut self.by_path).insert(path.into(), at);
        // Somebody may have named it before it came.
        self.drop_dependents(at as usize..at as usize + 1);
        self.drop_shared_mashes();
        FileId::Workspace(at)
    }

    /// A snapshot to look at a file in that is only indexed, and at those whose recipes it names: what is
    /// parsed of them goes with the snapshot. Nothing where files are held anyway.
    pub(crate) fn to_pass_through(&self, id: FileId) -> Option<Self> {
        let FileId::Workspace(at) = id else { return None };
        if !self.indexes {
            return None;
        }
        let state = self.file(id)?;
        let logs = state.units.logs.iter();
        let planned = logs.flat_map(|log| self.recipes_named(state, &log.recipe_name, log.of.as_deref()));
        let mut passed: Vec<u32> = planned
            .filter_map(|(file, _)| match file {
                FileId::Workspace(at) => Some(at),
                FileId::Catalogue(_) => None,
            })
            .chain([at])
            .collect();
        passed.sort_unstable();
        passed.dedup();
        let mut next = self.clone();
        for at in passed {
            let slot = next.files_mut().get_mut(at as usize)?;
            if !slot.is_awake() {
                *slot = Arc::new(slot.at_rest());
            }
        }
        Some(next)
    }

    /// Takes a file out that is gone; whatever names it finds nothing. Its place stays for when it comes back.
    pub fn forget(&mut self, path: &Path) {
        let path = normal(path);
        if self.at_normal(&path).is_some() {
            self.put(&path, "".into());
            if let Some(at) = Arc::make_mut(&mut self.by_path).remove(path.as_os_str()) {
                Arc::make_mut(&mut self.gone).insert(path, at);
            }
            self.forget_lists();
        }
    }

    /// Looks at all files by the levels of this edition, whichever their house lives by.
    pub fn look_by(&mut self, edition: Edition) {
        self.edition = Some(edition);
        self.reload_configs();
    }

    /// Reads every configuration anew; files whose configuration is another now are built anew.
    pub fn reload_configs(&mut self) {
        self.configs = Arc::default();
        self.partial = Arc::default();
        self.whole.clear();
        for at in 0..self.files.len() {
            let old = Arc::clone(&self.files[at]);
            let config = self.config_for(&old.path);
            let rests = self.indexes && !old.tree.is_made();
            let tree = File::clone(&old.tree);
            let made = FileState::new(old.id, old.path.clone(), Arc::clone(&old.text), tree, config);
            self.files_mut()[at] = Arc::new(if rests { made.at_rest() } else { made });
        }
        self.forget_lists();
        self.take_companions(0, 0);
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

    /// The files of which something else may be found when these change: those that use them, logs and recipes
    /// that name a recipe in them, and so on; these included.
    #[must_use]
    pub fn touched_by(&self, changed: &HashSet<FileId>) -> HashSet<FileId> {
        let mut touched: HashSet<FileId> = changed.clone();
        touched.extend(
            self.files
                .iter()
                .filter(|state| self.scope_files(state.id).iter().any(|file| changed.contains(file)))
                .map(|state| state.id),
        );
        loop {
            let names: HashSet<String> = touched
                .iter()
                .filter_map(|id| self.file(*id))
                .flat_map(|state| state.units.recipes.iter().map(|unit| catalogue::fold(&unit.name)))
                .collect();
            let logs: HashSet<&str> = touched
                .iter()
                .filter_map(|id| self.file(*id))
                .flat_map(|state| state.units.logs.iter().map(|log| &*log.id))
                .collect();
            let named = |state: &FileState| {
                state.units.logs.iter().any(|log| names.contains(&catalogue::fold(&log.recipe_name)))
                    || state.units.tastings.iter().any(|(id, _)| logs.contains(&**id))
                    || state.tree.blocks.iter().any(|placed| {
                        mashes_taken(&placed.block).any(|name| names.contains(&catalogue::fold(name)))
                    })
            };
            let more: Vec<FileId> = self
                .files
                .iter()
                .filter(|state| !touched.contains(&state.id) && named(state))
                .map(|state| state.id)
                .collect();
            if more.is_empty() {
                return touched;
            }
            touched.extend(more);
        }
    }

    /// Builds anew what was built with the definitions of these files, or without them.
    fn drop_dependents(&mut self, of: core::ops::Range<usize>) {
        let among = |id: &FileId| matches!(id, FileId::Workspace(at) if of.contains(&(*at as usize)));
        let outdated: Vec<usize> = (0..self.files.len())
            .filter(|at| !of.contains(at))
            .filter(|at| {
                // Also where nothing is built: whoever keeps findings of a file knows by its state that they hold.
                self.scope_files(self.files[*at].id).iter().any(among)
            })
            .collect();
        if outdated.is_empty() {
            return;
        }
        let files = self.files_mut();
        for at in outdated {
            files[at] = Arc::new(files[at].fresh());
        }
    }

    /// Forgets recipes that take the mash of another: it may have changed, or another now has its name.
    fn drop_shared_mashes(&mut self) {
        let shares = |slot: &OnceLock<Arc<Recipe>>| slot.get().is_some_and(|recipe| recipe.from.is_some());
        if self.files.iter().all(|state| !state.recipes.iter().any(shares)) {
            return;
        }
        for state in self.files_mut() {
            if state.recipes.iter().any(shares) {
                *state = Arc::new(state.fresh());
            }
        }
    }

    /// The files whose definitions count for a file, in the order of look-up: itself, what it uses and what
    /// that uses, the library of the house.
    #[must_use]
    pub fn scope_files(&self, id: FileId) -> Vec<FileId> {
        let mut order = self.used_files(id);
        if let Some(state) = self.file(id) {
            for file in self.library_of(&state.config).iter() {
                if !order.contains(file) {
                    order.push(*file);
                }
            }
        }
        order
    }

    /// The library files of the house a file belongs to, in order of their path.
    #[must_use]
    pub fn library_files(&self, state: &FileState) -> Vec<FileId> {
        self.library_of(&state.config).to_vec()
    }

    /// Whether a file is of the library of its house.
    #[must_use]
    pub fn is_library(&self, state: &FileState) -> bool {
        self.library_of(&state.config).contains(&state.id)
    }

    /// The library files of a house that are at hand, in order of their path.
    fn library_of(&self, config: &Config) -> Arc<[FileId]> {
        if config.library.is_empty() {
            return Arc::default();
        }
        if let Some(known) = self.libraries.lock().ok().and_then(|known| known.get(&config.root).cloned()) {
            return known;
        }
        let mut found: Vec<(&Path, FileId)> = self
            .by_path
            .iter()
            .map(|(path, at)| (Path::new(path), at))
            .filter(|(path, _)| config.library.iter().any(|library| library.means(path, &config.root)))
            .map(|(path, at)| (path, FileId::Workspace(*at)))
            .collect();
        found.sort();
        let found: Arc<[FileId]> = found.into_iter().map(|(_, id)| id).collect();
        if let Ok(mut known) = self.libraries.lock() {
            known.insert(config.root.clone(), Arc::clone(&found));
        }
        found
    }

    /// Forgets what is kept about all files together: there are others now, or they say something else.
    fn forget_lists(&mut self) {
        self.names = OnceLock::new();
        self.libraries = Arc::default();
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

    /// Recipes of this name: in the file, in those it uses, else anywhere in its repository. More than one
    /// where it is open which is meant.
    #[must_use]
    pub fn recipes_named(&self, from: &FileState, name: &str, of: Option<&str>) -> Vec<(FileId, usize)> {
        let folded = catalogue::fold(name);
        let within = |id: FileId| -> Vec<(FileId, usize)> {
            let recipes = self.file(id).into_iter().flat_map(|state| state.units.recipes.iter().enumerate());
            recipes
                .filter(|(_, unit)| catalogue::fold(&unit.name) == folded)
                .map(|(at, _)| (id, at))
                .collect()
        };
        if let Some(of) = of {
            let path = resolve(&from.path, of);
            let file = self.file_at(&path).filter(|_| from.config.allows(&path));
            return file.map(within).unwrap_or_default();
        }
        let near = self.used_files(from.id).into_iter().map(within).find(|found| !found.is_empty());
        if let Some(found) = near {
            return found;
        }
        let found = self.names().recipes.get(&folded).into_iter().flatten();
        found.filter(|(id, _)| self.same_repository(from, *id)).copied().collect()
    }

    /// Whether the repository has a log of this id.
    pub(crate) fn has_log(&self, from: &FileState, id: &str) -> bool {
        self.names()
            .logs
            .get(id)
            .is_some_and(|files| files.iter().any(|file| self.same_repository(from, *file)))
    }

    fn same_repository(&self, from: &FileState, other: FileId) -> bool {
        self.file(other).is_some_and(|state| state.config.root == from.config.root)
    }

    fn names(&self) -> &Names {
        self.names.get_or_init(|| {
            let mut names = Names::default();
            for state in self.files.iter() {
                for (at, unit) in state.units.recipes.iter().enumerate() {
                    names.recipes.entry(catalogue::fold(&unit.name)).or_default().push((state.id, at));
                }
                for log in &state.units.logs {
                    names.logs.entry(log.id.clone()).or_default().push(state.id);
                }
            }
            Arc::new(names)
        })
    }

    /// All recipe names a file could mean, for 'did you mean'.
    pub(crate) fn recipe_names(&self, from: &FileState) -> Vec<Box<str>> {
        self.files
            .iter()
            .filter(|state| state.config.root == from.config.root)
            .flat_map(|state| state.units.recipes.iter().map(|unit| unit.name.clone()))
            .collect()
    }

    fn used_files(&self, id: FileId) -> Vec<FileId> {
        let mut order = vec![id];
        let mut at = 0;
        while at < order.len() {
            if let Some(state) = self.file(order[at]) {
                for path in state.uses.iter() {
                    if let Some(file) = self.at_normal(path).filter(|_| state.config.allows(path))
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
        self.at_normal(path).is_some() || self.source.exists(path)
    }

    /// Why a file that is there cannot be read.
    pub(crate) fn unread(&self, path: &Path) -> Option<&str> {
        self.unread.get(path).map(String::as_str)
    }

    /// Files of the repository that a path which leads nowhere may mean: those beside it, and those at hand.
    pub(crate) fn candidates(&self, from: &FileState, path: &Path) -> Vec<PathBuf> {
        let beside = path.parent().filter(|folder| from.config.allows(folder));
        let mut found = beside.map(|folder| self.source.list(folder)).unwrap_or_default();
        let known = self.by_path.keys().map(PathBuf::from);
        found.extend(known.filter(|known| from.config.allows(known)));
        found.retain(|known| *known != from.path);
        found.sort();
        found.dedup();
        found
    }

    /// The path that a path written in a file leads to.
    #[must_use]
    pub fn path_written(from: &FileState, written: &str) -> PathBuf {
        resolve(&from.path, written)
    }

    /// A path as it would be written in a file: relative to it, with `/`.
    #[must_use]
    pub fn path_between(from: &Path, to: &Path) -> String {
        crate::analyse::relative(from, to)
    }

    /// A path as it is shown: relative to a folder, with `/`, also where it lies beside that folder; as it is
    /// where the two have no folder in common but the root.
    #[must_use]
    pub fn shown_path(path: &Path, below: &Path) -> String {
        // Nearly every path lies below; taking two apart costs as much as reading a line.
        let (whole, folder) = (path.as_os_str().as_encoded_bytes(), below.as_os_str().as_encoded_bytes());
        if cfg!(unix)
            && let Some(inside) = whole.strip_prefix(folder).and_then(|rest| rest.strip_prefix(b"/"))
            && !inside.starts_with(b"/")
        {
            return String::from_utf8_lossy(inside).into_owned();
        }
        let common = path.components().zip(below.components()).take_while(|(a, b)| a == b).count();
        if common > 1 && !path.starts_with(below) {
            return crate::analyse::relative_to(below, path);
        }
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
    let tastings = |state: &FileState| !state.units.tastings.is_empty();
    old.units.uses == new.units.uses
        && of_logs(old) == of_logs(new)
        && (tastings(old) || !tastings(new))
        && (old.takes_mash || !new.takes_mash)
}

/// Whether a block takes the mash of another recipe.
fn takes_mash(block: &syntax::ast::Block) -> bool {
    block.entries().any(|(_, entry)| {
        entry.keyword.is_some_and(|keyword| keyword.node == syntax::vocabulary::Keyword::From)
    })
}

/// The recipes whose mash a block takes, as written.
fn mashes_taken(block: &syntax::ast::Block) -> impl Iterator<Item = &str> {
    block
        .entries()
        .filter(|(_, entry)| {
            entry.keyword.is_some_and(|keyword| keyword.node == syntax::vocabulary::Keyword::From)
        })
        .flat_map(|(_, entry)| entry.values())
        .filter_map(|value| match value.kind {
            syntax::ast::ValueKind::Str(span) => Some(block.slice(span)),
            _ => None,
        })
}

/// A path written in a file, relative to that file.
pub(crate) fn resolve(from: &Path, written: &str) -> PathBuf {
    normal(&from.parent().unwrap_or(from).join(written))
}

/// Whether the blocks of two versions have the same headers one by one.
fn same_headers(old: &File, new: &File) -> bool {
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
                || (old.kind == new.kind && old.entries_as == new.entries_as && same_header())
        })
}

fn same_definitions(old: &File, new: &File) -> bool {
    fn blocks(file: &File) -> impl Iterator<Item = *const syntax::ast::Block> {
        let blocks = file.blocks.iter().map(|placed| &placed.block);
        blocks.filter(|block| block.entries_as.is_definition()).map(Arc::as_ptr)
    }
    blocks(old).eq(blocks(new))
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
