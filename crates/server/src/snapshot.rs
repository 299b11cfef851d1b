//! What a request reads: all files as they were when it came.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

use ide::Uses;
use recipe::FileId;
use syntax::{Encoding, LineIndex};
use tower_lsp::lsp_types::Url;
use workspace::{Analysis, Config, FileState, Workspace};

use crate::built_in;
use crate::settings::Settings;

/// An open document.
#[derive(Clone, Debug)]
pub(crate) struct Open {
    /// As the client writes it.
    pub(crate) uri: Url,
    /// Its version.
    pub(crate) version: i32,
    /// Its text.
    pub(crate) text: Text,
    /// The line being typed, until it rests.
    pub(crate) typing: Option<u32>,
    /// What is shown of it.
    pub(crate) shown: Shown,
}

/// Line and rule of each diagnostic that is shown.
pub(crate) type Shown = Arc<Vec<(u32, Option<String>)>>;

/// What the client can do, as far as answers depend on it.
#[derive(Clone, Debug)]
pub(crate) struct Client {
    /// How it counts columns.
    pub(crate) encoding: Encoding,
    /// It asks for diagnostics itself.
    pub(crate) pulls: bool,
    /// It shows where a rule is described.
    pub(crate) describes: bool,
    /// It shows related places.
    pub(crate) related: bool,
    /// It shows progress.
    pub(crate) progress: bool,
    /// It takes edits with versions.
    pub(crate) versioned_edits: bool,
    /// It makes files where an edit says so.
    pub(crate) creates_files: bool,
    /// It asks for the edit of an action when that is chosen.
    pub(crate) resolves_edits: bool,
    /// It lets watched files be registered.
    pub(crate) watches: bool,
    /// It redraws hints when told to.
    pub(crate) refreshes_hints: bool,
    /// It colours words anew when told to.
    pub(crate) refreshes_tokens: bool,
    /// It asks anew for diagnostics when told to.
    pub(crate) refreshes_diagnostics: bool,
    /// It answers for its configuration.
    pub(crate) configuration: bool,
    /// It takes completions with places to fill in.
    pub(crate) snippets: bool,
    /// Commands that it runs itself.
    pub(crate) commands: Vec<String>,
    /// It takes parts of a form as places in it.
    pub(crate) label_offsets: bool,
    /// It applies edits that it is sent.
    pub(crate) applies_edits: bool,
    /// It asks anew for lenses when told to.
    pub(crate) refreshes_lenses: bool,
    /// It shows markdown where it hovers.
    pub(crate) markdown: bool,
    /// It takes the place a definition was asked from.
    pub(crate) links_of_definitions: bool,
    /// It takes an outline as a tree.
    pub(crate) outline_is_tree: bool,
}

impl Default for Client {
    fn default() -> Self {
        Self {
            encoding: Encoding::Utf16,
            pulls: false,
            describes: false,
            related: false,
            progress: false,
            versioned_edits: false,
            creates_files: false,
            resolves_edits: false,
            watches: false,
            refreshes_hints: false,
            refreshes_tokens: false,
            refreshes_diagnostics: false,
            configuration: false,
            snippets: false,
            commands: Vec::new(),
            label_offsets: false,
            applies_edits: false,
            refreshes_lenses: false,
            markdown: false,
            links_of_definitions: false,
            outline_is_tree: false,
        }
    }
}

/// An analysis that is computed once, by whoever comes first.
type Computed = OnceLock<Option<Arc<Analysis>>>;

/// All files at one moment.
pub(crate) struct Snapshot {
    /// The files.
    pub(crate) workspace: Workspace,
    /// Those that are open.
    pub(crate) open: HashMap<FileId, Open>,
    /// What the client can do.
    pub(crate) client: Arc<Client>,
    /// What its user has set.
    pub(crate) settings: Arc<Settings>,
    /// A later change has made it outdated.
    outdated: AtomicBool,
    analyses: Mutex<HashMap<FileId, Arc<Computed>>>,
    uses: OnceLock<Uses>,
}

impl Snapshot {
    pub(crate) fn new(
        workspace: Workspace,
        open: HashMap<FileId, Open>,
        client: Arc<Client>,
        settings: Arc<Settings>,
    ) -> Self {
        Self {
            workspace,
            open,
            client,
            settings,
            outdated: AtomicBool::new(false),
            analyses: Mutex::default(),
            uses: OnceLock::new(),
        }
    }

    /// Says that a later change has come.
    pub(crate) fn outdate(&self) {
        self.outdated.store(true, Ordering::Relaxed);
    }

    /// Whether a later change has come.
    pub(crate) fn is_outdated(&self) -> bool {
        self.outdated.load(Ordering::Relaxed)
    }

    /// The file of a document.
    pub(crate) fn file(&self, uri: &Url) -> Option<&Arc<FileState>> {
        self.workspace.file(self.workspace.file_at(&path_of(uri))?)
    }

    /// What can be said of a file; computed once.
    pub(crate) fn analysis(&self, id: FileId) -> Option<Arc<Analysis>> {
        // Of a file that is only passed through nothing is kept.
        if !self.open.contains_key(&id) {
            return self.workspace.analyse_in_passing(id).map(Arc::new);
        }
        let slot = Arc::clone(self.analyses.lock().ok()?.entry(id).or_default());
        slot.get_or_init(|| self.workspace.analyse(id).map(Arc::new)).clone()
    }

    /// Where every definition is named; looked for once.
    pub(crate) fn uses(&self) -> &Uses {
        self.uses.get_or_init(|| Uses::of(&self.workspace))
    }

    /// The version of a file's text; none of one that is not open.
    pub(crate) fn version(&self, id: FileId) -> Option<i32> {
        self.open.get(&id).map(|open| open.version)
    }

    /// How a file is called by the client.
    pub(crate) fn uri(&self, id: FileId) -> Option<Url> {
        if let Some(open) = self.open.get(&id) {
            return Some(open.uri.clone());
        }
        match id {
            FileId::Workspace(_) => Url::from_file_path(&self.workspace.file(id)?.path).ok(),
            FileId::Catalogue(at) => Url::from_file_path(built_in::path(at)?).ok(),
        }
    }

    /// The configurations in force, each once.
    pub(crate) fn configs(&self) -> Vec<&Arc<Config>> {
        let mut all: Vec<&Arc<Config>> = Vec::new();
        for state in self.workspace.files() {
            if !all.iter().rev().any(|known| Arc::ptr_eq(known, &state.config)) {
                all.push(&state.config);
            }
        }
        all
    }

    /// Text and lines of a file.
    pub(crate) fn text(&self, id: FileId) -> Option<Text> {
        if let Some(open) = self.open.get(&id) {
            return Some(open.text.clone());
        }
        let encoding = self.client.encoding;
        match id {
            FileId::Workspace(_) => Some(Text::new(Arc::clone(&self.workspace.file(id)?.text), encoding)),
            FileId::Catalogue(at) => {
                let (text, lines) = built_in::text(at)?;
                Some(Text { text, lines, encoding })
            }
        }
    }
}

/// A text with its lines and the way the client counts columns.
#[derive(Clone, Debug)]
pub(crate) struct Text {
    pub(crate) text: Arc<str>,
    pub(crate) lines: Arc<LineIndex>,
    pub(crate) encoding: Encoding,
}

impl Text {
    pub(crate) fn new(text: Arc<str>, encoding: Encoding) -> Self {
        let lines = Arc::new(LineIndex::new(&text));
        Self { text, lines, encoding }
    }

    /// The text that an edit has made of this one.
    pub(crate) fn after_edit(&self, text: Arc<str>) -> Self {
        let lines = Arc::new(self.lines.after_edit(&self.text, &text));
        Self { text, lines, encoding: self.encoding }
    }
}

/// The path a document stands under. One that lies in no file gets a path that no file has.
pub(crate) fn path_of(uri: &Url) -> PathBuf {
    if uri.scheme() == "file"
        && let Ok(path) = uri.to_file_path()
    {
        return path;
    }
    let name: String = uri.as_str().chars().map(|c| if c == '/' || c == '\\' { '_' } else { c }).collect();
    Path::new("/").join(NOWHERE).join(name)
}

/// The folder of documents that lie in no file; the name cannot be written in a real path.
const NOWHERE: &str = "\u{0}unsaved";

/// The page of a rule, written out for the editor to open. Each is written once.
pub(crate) fn rule_uri(id: &str) -> Option<Url> {
    static WRITTEN: Mutex<BTreeMap<&'static str, Option<Url>>> = Mutex::new(BTreeMap::new());
    let rule = rules::find(id)?;
    let mut written = WRITTEN.lock().ok()?;
    written
        .entry(rule.id)
        .or_insert_with(|| {
            Url::from_file_path(built_in::copy(&format!("{}.md", rule.id), &rule.markdown(1))?).ok()
        })
        .clone()
}
