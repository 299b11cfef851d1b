//! A few files in memory, and a cursor in the first.

use std::path::Path;
use std::sync::Arc;

use recipe::FileId;
use workspace::{Analysis, Memory, Workspace};

/// A text with `$0` where the cursor stands.
pub(crate) struct Fixture {
    pub(crate) workspace: Workspace,
    pub(crate) file: FileId,
    pub(crate) offset: u32,
}

impl Fixture {
    /// One file.
    pub(crate) fn new(text: &str) -> Self {
        Self::with(text, &[])
    }

    /// A file of a repository with others.
    pub(crate) fn with(text: &str, others: &[(&str, &str)]) -> Self {
        let cursor = text.find("$0").unwrap_or(0);
        let text = text.replacen("$0", "", 1);
        let mut files =
            vec![("/r/a.gyle", text.as_str()), ("/r/gyle.toml", "library = [\"cellar/*.gyle\"]\n")];
        files.extend(others);
        let mut workspace = Workspace::new(Arc::new(Memory::new(files)));
        workspace.load(&[Path::new("/r").to_path_buf()]);
        let file = workspace.load_text(Path::new("/r/a.gyle"), &text);
        Self { workspace, file, offset: u32::try_from(cursor).unwrap_or(0) }
    }

    #[allow(clippy::unwrap_used, reason = "a test may fail")]
    pub(crate) fn analysis(&self) -> Analysis {
        self.workspace.analyse(self.file).unwrap()
    }

    /// The text without the cursor.
    pub(crate) fn text(&self) -> String {
        self.workspace.file(self.file).map(|state| state.text.to_string()).unwrap_or_default()
    }
}

/// A malt and a brewhouse of a cellar.
pub(crate) const CELLAR: (&str, &str) = (
    "/r/cellar/m.gyle",
    "# é\nmalt \"Saltmarsh floor malt\"\n  alias floor malt\n  colour 5 EBC\n\nbrewhouse shed-30\n  evaporation 3 L/h\n",
);
/// A recipe and a log that use them.
pub(crate) const OTHER: (&str, &str) = (
    "/r/b.gyle",
    "# é\nuse \"a.gyle\"\nrecipe \"Other\"\n  brewhouse shed-30\ngrist\n  4 kg saltmarsh floor malt [or floor malt]\n\
     gyle 27 \"Größe\" on 2026-03-14\n  10:05 add 3 kg Saltmarsh floor malt to mash\n",
);

/// A recipe with a cursor on one of the malt's names.
pub(crate) const RECIPE: &str =
    "# é\nrecipe \"Größe\"\ngrist\n  4 kg flo$0or malt\n  1 kg Saltmarsh floor malt\n";
