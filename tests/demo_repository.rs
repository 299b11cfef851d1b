//! A repository of the test package read from disk, with nothing of the command line or the editor in it.

use std::path::PathBuf;
use std::sync::Arc;

use recipe::{FileId, Recipe, Scope, Settings, Shelf, Units, build_recipe};
use syntax::ast::{Block, File};

/// A file with its tree and what its blocks make.
#[derive(Debug)]
pub struct Source {
    /// Where it stands.
    pub path: PathBuf,
    /// Its tree.
    pub tree: File,
    /// What its blocks make.
    pub units: Units,
    /// Its definitions.
    pub shelf: Arc<Shelf>,
}

impl Source {
    /// Blocks by their numbers.
    ///
    /// # Panics
    /// Where a number is none of the file's.
    #[must_use]
    pub fn blocks(&self, numbers: &[u32]) -> Vec<Arc<Block>> {
        numbers.iter().map(|number| Arc::clone(&self.tree.blocks[*number as usize].block)).collect()
    }

    /// The recipes of the file.
    #[must_use]
    pub fn recipes(&self, scope: &Scope) -> Vec<(Box<str>, Recipe)> {
        let lets = self.blocks(&self.units.lets);
        let build = |numbers| build_recipe(&self.blocks(numbers), &lets, scope, &Settings::default());
        self.units.recipes.iter().map(|unit| (unit.name.clone(), build(&unit.blocks))).collect()
    }
}

/// All files of a folder. Every definition in them is seen from every other: names are unlike there.
#[derive(Debug)]
pub struct Repository {
    /// The files, sorted by path.
    pub sources: Vec<Source>,
}

impl Repository {
    /// Reads a folder of the test package.
    ///
    /// # Panics
    /// Where it cannot be read or has no file.
    #[must_use]
    pub fn open(folder: &str) -> Self {
        let read = |(path, number): (PathBuf, u32)| {
            let tree = syntax::parse(&crate::read(&path));
            let shelf = Arc::new(Shelf::new(FileId::Workspace(number), &tree, None));
            Source { path, units: Units::of(&tree), tree, shelf }
        };
        let sources: Vec<Source> = crate::gyle_files(folder).into_iter().zip(0..).map(read).collect();
        assert!(!sources.is_empty(), "{folder}");
        Self { sources }
    }

    /// The order of look-up from one of the files.
    #[must_use]
    pub fn scope(&self, from: &Source) -> Scope {
        let own = &from.shelf;
        let others = self.sources.iter().map(|source| &source.shelf).filter(|shelf| !Arc::ptr_eq(shelf, own));
        Scope::new(std::iter::once(own).chain(others).cloned())
    }
}
