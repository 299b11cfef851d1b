//! Findings of a recipe, kept while its blocks stay the same and move about in the file.

use recipe::FileId;
use rules::Finding;
use syntax::Span;
use syntax::ast::File;

/// Findings whose places in their own file are relative to the blocks they lie in.
pub(crate) struct Kept {
    findings: Vec<Finding>,
    /// Block of each place, in the order [`places`] goes.
    blocks: Vec<u32>,
}

impl Kept {
    /// Keeps findings of a file as it is now. Those that show a place in another file are not kept: its
    /// text may move without this file's noticing.
    pub(crate) fn new(id: FileId, tree: &File, mut findings: Vec<Finding>) -> Option<Self> {
        let elsewhere = |file: FileId| file != id && matches!(file, FileId::Workspace(_));
        if findings.iter().any(|finding| finding.related.iter().any(|related| elsewhere(related.file))) {
            return None;
        }
        let mut blocks = Vec::new();
        for finding in &mut findings {
            places(id, finding, &mut |span| {
                let at = tree.blocks.partition_point(|placed| placed.start <= span.start).saturating_sub(1);
                let start = tree.blocks.get(at).map_or(0, |placed| placed.start);
                *span = Span::new(span.start - start, span.end - start);
                blocks.push(u32::try_from(at).unwrap_or(u32::MAX));
            });
        }
        Some(Self { findings, blocks })
    }

    /// The findings at their places in the file as it is now. It has as many blocks as it had.
    pub(crate) fn placed<'k>(&'k self, id: FileId, tree: &'k File) -> impl Iterator<Item = Finding> + 'k {
        let mut blocks = self.blocks.iter();
        self.findings.iter().map(move |finding| {
            let mut finding = finding.clone();
            places(id, &mut finding, &mut |span| {
                let block = blocks.next().and_then(|at| tree.blocks.get(*at as usize));
                *span = span.shift(block.map_or(0, |placed| placed.start));
            });
            finding
        })
    }
}

/// Every place of a finding that lies in this file, always in the same order.
fn places(id: FileId, finding: &mut Finding, visit: &mut impl FnMut(&mut Span)) {
    if finding.file == id {
        visit(&mut finding.span);
        for edit in finding.fixes.iter_mut().flat_map(|fix| &mut fix.edits) {
            visit(&mut edit.span);
        }
    }
    for related in finding.related.iter_mut().filter(|related| related.file == id) {
        visit(&mut related.span);
    }
}
