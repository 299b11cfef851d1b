//! Texts in, findings out.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use rules::{Doc, Finding};
use workspace::{Memory, Workspace};

/// A small repository in memory.
pub(crate) struct Bench {
    workspace: Workspace,
}

impl Bench {
    /// The files of a text parted by lines `//- path`, under this `gyle.toml`.
    pub(crate) fn new(text: &str, config: &str) -> Self {
        let mut files: Vec<(PathBuf, String)> = Doc::files(text)
            .into_iter()
            .map(|(path, text)| (Path::new("/brewery").join(path), text))
            .collect();
        let paths: Vec<PathBuf> = files.iter().map(|(path, _)| path.clone()).collect();
        files.push(("/brewery/gyle.toml".into(), config.to_owned()));
        let mut workspace = Workspace::new(Arc::new(Memory::new(files)));
        workspace.load(&paths);
        Self { workspace }
    }

    /// Everything found, file after file.
    pub(crate) fn findings(&self) -> Vec<Finding> {
        let files = self.workspace.files().filter_map(|state| self.workspace.analyse(state.id));
        let mut all: Vec<Finding> = files.flat_map(|analysis| analysis.findings).collect();
        all.extend(self.workspace.check_repositories(&["/brewery".into()]));
        all
    }

    /// The only recipe.
    pub(crate) fn recipe(&self) -> Arc<recipe::Recipe> {
        let mut all = self.workspace.files().filter_map(|state| self.workspace.recipe(state.id, 0));
        all.next().unwrap()
    }

    /// The text of a finding's file.
    pub(crate) fn text_of(&self, finding: &Finding) -> String {
        self.workspace.file(finding.file).map(|state| state.text.to_string()).unwrap_or_default()
    }

    /// Every text with its path.
    pub(crate) fn texts(&self) -> Vec<(recipe::FileId, String, String)> {
        self.workspace
            .files()
            .map(|state| {
                let path = state.path.strip_prefix("/brewery").unwrap_or(&state.path).display().to_string();
                (state.id, path, state.text.to_string())
            })
            .collect()
    }
}

/// What is found in a text under the default configuration: rule and severity.
pub(crate) fn found(text: &str, config: &str) -> Vec<(&'static str, &'static str)> {
    Bench::new(text, config)
        .findings()
        .iter()
        .map(|finding| (finding.rule, finding.severity.word()))
        .collect()
}

/// A configuration that switches one rule on where it is off.
pub(crate) fn switched_on(rule: &rules::Rule) -> String {
    match rule.level_in(rules::Edition::default()) {
        rules::Level::Off => format!("[check.rules]\n{} = \"hint\"\n", rule.id),
        _ => String::new(),
    }
}
