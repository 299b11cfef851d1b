//! What only shows across all files of a repository.

use std::collections::HashSet;
use std::path::PathBuf;
use std::sync::Arc;

use rayon::prelude::*;
use recipe::{DefPlace, Event, FileId, Log, Thing};
use rules::{At, Finding, RepositoryCx};
use syntax::Span;
use syntax::vocabulary::BlockKind;

use crate::analyse::{Analysis, Places, header_of, say};
use crate::config::Config;
use crate::files::{FileState, Workspace};

impl Workspace {
    /// What is wrong across the files of the repositories that lie in one of these folders as a whole.
    #[must_use]
    pub fn check_repositories(&self, folders: &[PathBuf]) -> Vec<Finding> {
        let used = self.uses().into_iter().map(|one| one.of).collect();
        self.check_repositories_naming(folders, &used)
    }

    /// The same for who knows already which definitions the files name.
    #[must_use]
    pub fn check_repositories_naming(&self, folders: &[PathBuf], used: &HashSet<DefPlace>) -> Vec<Finding> {
        let mut seen: Vec<Arc<Config>> = Vec::new();
        for state in self.files() {
            let config = &state.config;
            if !seen.iter().any(|other| Arc::ptr_eq(other, config))
                && folders.iter().any(|folder| config.root.starts_with(folder))
            {
                seen.push(Arc::clone(config));
            }
        }
        seen.iter().flat_map(|config| self.check_repository(config, used)).collect()
    }

    /// What the files of a house show together, of those files for which this configuration holds.
    fn check_repository(&self, config: &Arc<Config>, used: &HashSet<DefPlace>) -> Vec<Finding> {
        let mut all: Vec<&Arc<FileState>> = self
            .files()
            .filter(|state| Arc::ptr_eq(&state.config, config) || state.config.root == config.root)
            .filter(|state| !config.excludes(&state.path))
            .collect();
        // Which of two is the second does not hang on which was read first.
        all.sort_by(|a, b| a.path.as_os_str().cmp(b.path.as_os_str()));
        let Some(first) = all.first() else { return Vec::new() };
        let files = || all.iter().copied();
        let mut logs: Vec<(&str, At, &str)> = Vec::new();
        for state in files() {
            let header = |blocks: &[u32]| At::File(state.id, header_of(state, blocks));
            let stem = state.path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
            logs.extend(state.units.logs.iter().map(|unit| (&*unit.id, header(&unit.blocks), stem)));
        }
        let definitions: Vec<(&recipe::Definition, bool)> = files()
            .flat_map(|state| &state.shelf.definitions)
            .map(|definition| (&**definition, used.contains(&definition.place)))
            .collect();
        let home = At::File(first.id, Span::at(0));
        let cx = RepositoryCx { home, logs: &logs, definitions: &definitions };
        let hits = rules::check_repository(&cx, &config.rules);
        let place = Places { workspace: self, recipe: None, log: None };
        let found = rules::findings(&hits, None, &config.rules, say(config, None), &place);
        // Allowances silence these too; whether they are stale is no question for a look across files.
        files()
            .filter(|state| Arc::ptr_eq(&state.config, config))
            .flat_map(|state| {
                let own: Vec<Finding> = found.iter().filter(|one| one.file == state.id).cloned().collect();
                if own.is_empty() {
                    return own;
                }
                let rules: HashSet<&str> = own.iter().map(|one| one.rule).collect();
                let mut left = rules::allow(state.id, &state.tree, own, &config.rules, false);
                left.retain(|one| rules.contains(one.rule));
                left
            })
            .collect()
    }

    /// What names which definition, over all files at hand, file by file; built-in definitions too.
    #[must_use]
    pub fn uses(&self) -> Vec<Use> {
        let ids: Vec<FileId> = self.files().map(|state| state.id).collect();
        let look = |id: FileId| self.analyse_in_passing(id).map(|analysis| self.uses_in(&analysis));
        ids.into_par_iter().filter_map(look).flatten_iter().collect()
    }

    /// What names which definition in one file.
    #[must_use]
    pub fn uses_in(&self, analysis: &Analysis) -> Vec<Use> {
        let mut uses = Vec::new();
        self.each_use(analysis, |of, by| uses.push(Use { of, by: by(), file: analysis.file }));
        uses
    }

    /// The definitions of the house that one file names.
    #[must_use]
    pub fn named_in(&self, analysis: &Analysis) -> Vec<DefPlace> {
        let mut named = Vec::new();
        self.each_use(analysis, |of, _| {
            if matches!(of.file, FileId::Workspace(_)) {
                named.push(of);
            }
        });
        named
    }

    /// Hands out each place that names a definition: which, and who names it.
    fn each_use(&self, analysis: &Analysis, mut found: impl FnMut(DefPlace, &dyn Fn() -> User)) {
        for one in &analysis.recipes {
            for place in one.recipe.things().into_iter().filter_map(place_of) {
                found(place, &|| User::Recipe(one.recipe.name.clone()));
            }
        }
        for one in &analysis.logs {
            for place in named_in_log(&one.log).into_iter().filter_map(place_of) {
                found(place, &|| User::Log(one.log.id.clone()));
            }
        }
        let Some(state) = self.file(analysis.file) else { return };
        for definition in &state.shelf.definitions {
            if let Some((name, _)) = &definition.like
                && let Some(other) = self.scope(state).find(definition.kind, name)
            {
                let by = || User::Definition(definition.kind, definition.name.clone());
                found(other.definition.place, &by);
            }
        }
    }
}

/// One place that names a definition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Use {
    /// The definition.
    pub of: DefPlace,
    /// What names it.
    pub by: User,
    /// The file that stands in.
    pub file: FileId,
}

/// What can name a definition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum User {
    /// A recipe, by its name.
    Recipe(Box<str>),
    /// A log, by its id.
    Log(Box<str>),
    /// Another definition that is `like` it.
    Definition(BlockKind, Box<str>),
}

fn place_of(thing: &Thing) -> Option<DefPlace> {
    Some(thing.definition.as_ref()?.place)
}

fn named_in_log(log: &Log) -> Vec<&Thing> {
    let events = log.entries.iter().filter_map(|entry| match &entry.event {
        Event::Add { thing, .. }
        | Event::Instead { thing, .. }
        | Event::Weigh { thing, .. }
        | Event::Pitch { thing: Some(thing), .. }
        | Event::Package { priming: Some((_, thing)), .. } => Some(thing),
        _ => None,
    });
    events.collect()
}
