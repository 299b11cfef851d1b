//! What only shows across all files of a repository.

use std::collections::HashSet;
use std::path::PathBuf;
use std::sync::Arc;

use recipe::{DefPlace, Event, FileId, Log, Thing};
use rules::{At, Finding, Level, RepositoryCx};

use crate::analyse::{Places, header_of};
use crate::config::Config;
use crate::files::Workspace;

impl Workspace {
    /// What is wrong across the files of the repositories that lie in one of these folders as a whole.
    #[must_use]
    pub fn check_repositories(&self, folders: &[PathBuf]) -> Vec<Finding> {
        let mut seen: Vec<Arc<Config>> = Vec::new();
        for state in self.files() {
            let config = &state.config;
            if folders.iter().any(|folder| config.root.starts_with(folder))
                && !seen.iter().any(|other| Arc::ptr_eq(other, config))
            {
                seen.push(Arc::clone(config));
            }
        }
        seen.iter().flat_map(|config| self.check_repository(config)).collect()
    }

    fn check_repository(&self, config: &Arc<Config>) -> Vec<Finding> {
        let files = || {
            self.files().filter(|state| Arc::ptr_eq(&state.config, config) && !config.excludes(&state.path))
        };
        let mut recipes: Vec<(&str, At)> = Vec::new();
        let mut logs: Vec<(&str, At)> = Vec::new();
        for state in files() {
            let header = |blocks: &[u32]| At::File(state.id, header_of(state, blocks));
            recipes.extend(state.units.recipes.iter().map(|unit| (&*unit.name, header(&unit.blocks))));
            logs.extend(state.units.logs.iter().map(|unit| (&*unit.id, header(&unit.blocks))));
        }
        // Finding out what is named means building everything: only for those who ask.
        let wants_used =
            rules::find("unused-definition").is_some_and(|rule| config.rules.levels.of(rule) != Level::Off);
        let used = if wants_used { self.used() } else { HashSet::new() };
        let definitions: Vec<(&recipe::Definition, bool)> = files()
            .flat_map(|state| &state.shelf.definitions)
            .map(|definition| (&**definition, !wants_used || used.contains(&definition.place)))
            .collect();
        let cx = RepositoryCx { recipes: &recipes, logs: &logs, definitions: &definitions };
        let hits = rules::check_repository(&cx, &config.rules);
        let place = Places { workspace: self, recipe: None, log: None };
        let found = rules::findings(&hits, None, &config.rules, &place);
        // Allowances silence these too; whether they are stale is no question for a look across files.
        files()
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

    /// The definitions that a recipe, a log or another definition names.
    fn used(&self) -> HashSet<DefPlace> {
        let mut used = HashSet::new();
        let ids: Vec<FileId> = self.files().map(|state| state.id).collect();
        for analysis in ids.into_iter().filter_map(|id| self.analyse(id)) {
            for one in &analysis.recipes {
                used.extend(one.recipe.things().into_iter().filter_map(place_of));
            }
            for one in &analysis.logs {
                used.extend(named_in_log(&one.log).into_iter().filter_map(place_of));
            }
        }
        for state in self.files() {
            for definition in &state.shelf.definitions {
                if let Some((name, _)) = &definition.like
                    && let Some(found) = self.scope(state).find(definition.kind, name)
                {
                    used.insert(found.definition.place);
                }
            }
        }
        used
    }
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
