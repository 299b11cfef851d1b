//! The tree of a file, made when somebody looks at it.

use std::ops::Deref;
use std::sync::{Arc, OnceLock};

use syntax::ast::File;

/// A tree that is made of its text when it is first looked at. Of a file that is only indexed none is held:
/// it takes many times the room of its text.
#[derive(Clone, Debug)]
pub struct Tree {
    text: Arc<str>,
    made: OnceLock<Arc<File>>,
}

impl Tree {
    /// A tree that is there already.
    pub(crate) fn made(text: Arc<str>, tree: Arc<File>) -> Self {
        Self { text, made: tree.into() }
    }

    /// The same tree, to be made again when it is looked at.
    pub(crate) fn at_rest(&self) -> Self {
        Self { text: Arc::clone(&self.text), made: OnceLock::new() }
    }

    /// Whether it is held.
    pub(crate) fn is_made(&self) -> bool {
        self.made.get().is_some()
    }

    /// The tree itself.
    pub(crate) fn file(&self) -> &Arc<File> {
        self.made.get_or_init(|| Arc::new(syntax::parse(&self.text)))
    }
}

impl Deref for Tree {
    type Target = File;

    fn deref(&self) -> &File {
        self.file()
    }
}
