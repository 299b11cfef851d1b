//! One module a format, all over the same findings and figures.

pub(crate) mod annotations;
pub(crate) mod compare;
pub(crate) mod human;
pub(crate) mod json;
pub(crate) mod junit;
pub(crate) mod line;
pub(crate) mod sarif;
pub(crate) mod why;

use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

use recipe::FileId;
use rules::{Finding, Related};
use syntax::{Encoding, LineIndex, Span};
use workspace::Workspace;

/// A file that findings refer to.
pub(crate) struct Placed {
    /// Which.
    pub(crate) id: FileId,
    /// As shown: relative to where the command runs where it lies below, with `/`.
    pub(crate) path: String,
    /// Its text.
    pub(crate) text: Arc<str>,
    /// Its lines.
    pub(crate) index: LineIndex,
}

/// A range of a text as people count: lines and columns from 1, columns in characters, the end excluded.
#[derive(Clone, Copy)]
pub(crate) struct Range {
    pub(crate) line: u32,
    pub(crate) column: u32,
    pub(crate) end_line: u32,
    pub(crate) end_column: u32,
}

impl Placed {
    /// The range of a span.
    pub(crate) fn range(&self, span: Span) -> Range {
        let (line, column, _) = position(&self.index, &self.text, span.start);
        let (end_line, end_column, _) = position(&self.index, &self.text, span.end);
        Range { line, column, end_line, end_column }
    }

    /// The words of the line an offset stands in, parted by single blanks.
    pub(crate) fn words(&self, offset: u32) -> String {
        let line = self.index.line(offset);
        let span = Span::new(self.index.line_start(line), self.index.line_end(&self.text, line));
        span.of(&self.text).split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// A finding with the files it refers to.
pub(crate) struct Shown {
    /// The finding.
    pub(crate) finding: Finding,
    /// The file it stands in.
    pub(crate) file: Arc<Placed>,
    /// The files of its related places, one for each.
    pub(crate) related: Vec<Arc<Placed>>,
    /// What it is known by though lines move.
    pub(crate) fingerprint: String,
}

impl Shown {
    /// The related places with their files.
    pub(crate) fn places(&self) -> impl Iterator<Item = (&Related, &Arc<Placed>)> {
        self.finding.related.iter().zip(&self.related)
    }

    /// Where it stands.
    pub(crate) fn range(&self) -> Range {
        self.file.range(self.finding.span)
    }
}

/// Findings with their files, each file looked at once. The findings come file by file, in the order of the
/// text.
pub(crate) fn shown(workspace: &Workspace, findings: Vec<Finding>, here: &Path) -> Vec<Shown> {
    let mut files: HashMap<FileId, Arc<Placed>> = HashMap::new();
    let mut placed = |id: FileId| {
        let file = files.entry(id).or_insert_with(|| {
            let (path, text) = text_of(workspace, id, here);
            let index = LineIndex::new(&text);
            Arc::new(Placed { id, path, text, index })
        });
        Arc::clone(file)
    };
    let mut fingerprints = Fingerprints::new();
    let mut last = None;
    findings
        .into_iter()
        .map(|finding| {
            if last != Some(finding.file) {
                fingerprints = Fingerprints::new();
                last = Some(finding.file);
            }
            let file = placed(finding.file);
            let related = finding.related.iter().map(|one| placed(one.file)).collect();
            let fingerprint = fingerprints.next(&finding, &file);
            Shown { finding, file, related, fingerprint }
        })
        .collect()
}

/// A text on one line.
pub(crate) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text of a file and its path as shown.
pub(crate) fn text_of(workspace: &Workspace, file: FileId, here: &Path) -> (String, Arc<str>) {
    match file {
        FileId::Workspace(_) => workspace.file(file).map_or_else(
            || (String::new(), "".into()),
            |state| (Workspace::shown_path(&state.path, here), Arc::clone(&state.text)),
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
struct Fingerprints {
    seen: HashMap<u64, u32>,
}

impl Fingerprints {
    fn new() -> Self {
        Self { seen: HashMap::new() }
    }

    /// The fingerprint of the next finding, in the order of the text.
    fn next(&mut self, finding: &Finding, file: &Placed) -> String {
        let mut hash = Fnv::new();
        for part in [finding.rule, finding.recipe.as_deref().unwrap_or("")] {
            hash.write(part);
        }
        for word in file.words(finding.span.start).split(' ').filter(|word| !word.is_empty()) {
            hash.write(word);
        }
        let of = self.seen.entry(hash.0).or_insert(0);
        hash.write(&of.to_string());
        *of += 1;
        format!("{:016x}", hash.0)
    }
}

/// FNV-1a, 64 bits: public, stable, and quite enough to tell lines apart.
pub(crate) struct Fnv(pub(crate) u64);

impl Fnv {
    pub(crate) const fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    pub(crate) fn write(&mut self, text: &str) {
        for byte in text.bytes().chain([0xff]) {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
}
