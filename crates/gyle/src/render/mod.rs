//! One module a format, all over the same findings and figures.

pub(crate) mod human;
pub(crate) mod json;

use recipe::FileId;
use syntax::{Encoding, LineIndex, Span};
use workspace::Workspace;

use std::path::Path;

/// The text of a file and its path as shown.
pub(crate) fn text_of(workspace: &Workspace, file: FileId, here: &Path) -> (String, std::sync::Arc<str>) {
    match file {
        FileId::Workspace(_) => workspace.file(file).map_or_else(
            || (String::new(), "".into()),
            |state| (Workspace::shown_path(&state.path, here), std::sync::Arc::clone(&state.text)),
        ),
        FileId::Catalogue(at) => catalogue::files().get(usize::from(at)).map_or_else(
            || (String::new(), "".into()),
            |(name, text)| (format!("built-in {name}"), (*text).into()),
        ),
    }
}

/// Line, column (in characters) and byte of an offset; lines and columns from 1.
pub(crate) fn position(index: &LineIndex, text: &str, offset: u32) -> (u32, u32, u32) {
    let at = index.line_col(text, offset, Encoding::Utf32);
    (at.line + 1, at.col + 1, offset)
}

/// What a finding is known by though lines move: rule, recipe, the line's words, and which of several.
pub(crate) struct Fingerprints {
    seen: std::collections::HashMap<u64, u32>,
}

impl Fingerprints {
    pub(crate) fn new() -> Self {
        Self { seen: std::collections::HashMap::new() }
    }

    /// The fingerprint of the next finding, in the order of the text.
    pub(crate) fn next(&mut self, finding: &rules::Finding, text: &str, index: &LineIndex) -> String {
        let line = index.line(finding.span.start);
        let written =
            Span::new(index.line_start(line), index.line_end(text, line)).of(text).split_whitespace();
        let mut hash = Fnv::new();
        for part in [finding.rule, finding.recipe.as_deref().unwrap_or("")] {
            hash.write(part);
        }
        for word in written {
            hash.write(word);
        }
        let of = self.seen.entry(hash.0).or_insert(0);
        hash.write(&of.to_string());
        *of += 1;
        format!("{:016x}", hash.0)
    }
}

/// FNV-1a, 64 bits: public, stable, and quite enough to tell lines apart.
struct Fnv(u64);

impl Fnv {
    const fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    fn write(&mut self, text: &str) {
        for byte in text.bytes().chain([0xff]) {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
}
