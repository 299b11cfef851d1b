//! What of a file can be folded away, and what a selection grows to.

use recipe::FileId;
use syntax::Span;
use syntax::ast::{Body, ClausePart, Entry, Line, Part, Placed, ValueKind};
use syntax::vocabulary::BlockKind;
use workspace::{FileState, Workspace};

/// What is folded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FoldKind {
    /// A recipe, a log or another block.
    Block,
    /// Comments.
    Comment,
    /// Files that are used.
    Uses,
}

/// Something to fold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    /// From the line that stays to the last that goes.
    pub span: Span,
    /// What it is.
    pub kind: FoldKind,
}

/// What can be folded: a recipe with its blocks, a log, each block, runs of comments and of files used. Only
/// what goes over several lines.
#[must_use]
pub fn folding(workspace: &Workspace, file: FileId) -> Vec<Fold> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let mut folds = Vec::new();
    for (at, placed) in state.tree.blocks.iter().enumerate() {
        let whole = unit_end(state, at).or_else(|| end(placed));
        let start = placed
            .block
            .lines
            .iter()
            .find(|line| is_written(line))
            .map(|line| line.span.start + placed.start);
        if let (Some(start), Some(end)) = (start, whole) {
            put(state, &mut folds, Span::new(start, end), FoldKind::Block);
        }
        comments(state, placed, &mut folds);
    }
    uses(state, &mut folds);
    folds.sort_by_key(|fold| (fold.span.start, core::cmp::Reverse(fold.span.end)));
    folds
}

fn is_written(line: &Line) -> bool {
    !matches!(line.body, Body::Blank | Body::Comment)
}

/// The end of the last line of a block that says something.
fn end(placed: &Placed) -> Option<u32> {
    let last = placed.block.lines.iter().rev().find(|line| is_written(line))?;
    Some(placed.start + last.span.end)
}

/// Where the recipe or log ends that a block begins.
fn unit_end(state: &FileState, at: usize) -> Option<u32> {
    let at = u32::try_from(at).ok()?;
    let units = &state.units;
    let blocks =
        units.recipes.iter().map(|unit| &unit.blocks).chain(units.logs.iter().map(|unit| &unit.blocks));
    let owned = blocks.into_iter().find(|blocks| blocks.first() == Some(&at))?;
    owned.iter().filter_map(|at| end(state.tree.blocks.get(*at as usize)?)).max()
}

/// Takes what goes over several lines.
fn put(state: &FileState, folds: &mut Vec<Fold>, span: Span, kind: FoldKind) {
    if span.of(&state.text).contains(['\n', '\r']) {
        folds.push(Fold { span, kind });
    }
}

fn comments(state: &FileState, placed: &Placed, folds: &mut Vec<Fold>) {
    for run in
        placed.block.lines.chunk_by(|a, b| matches!((&a.body, &b.body), (Body::Comment, Body::Comment)))
    {
        let [first, .., last] = run else { continue };
        put(state, folds, Span::new(first.span.start, last.span.end).shift(placed.start), FoldKind::Comment);
    }
}

fn uses(state: &FileState, folds: &mut Vec<Fold>) {
    let same = |a: &Placed, b: &Placed| a.block.kind == BlockKind::Use && b.block.kind == BlockKind::Use;
    for run in state.tree.blocks.chunk_by(same) {
        let [first, .., last] = run else { continue };
        if let Some(end) = end(last) {
            put(state, folds, Span::new(first.start, end), FoldKind::Uses);
        }
    }
}

/// What a selection at a byte grows to, the smallest first: the part of the line, the line, the block, the
/// recipe or log, the file.
#[must_use]
pub fn selection(workspace: &Workspace, file: FileId, offset: u32) -> Vec<Span> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let mut spans: Vec<Span> = vec![Span::new(0, state.tree.len)];
    let at = state.tree.blocks.partition_point(|placed| placed.start <= offset).saturating_sub(1);
    if let Some(placed) = state.tree.blocks.get(at) {
        let own = u32::try_from(at).unwrap_or(u32::MAX);
        let units = &state.units;
        let blocks =
            units.recipes.iter().map(|unit| &unit.blocks).chain(units.logs.iter().map(|unit| &unit.blocks));
        if let Some(first) =
            blocks.into_iter().find(|blocks| blocks.contains(&own)).and_then(|blocks| blocks.first())
            && let Some(header) = state.tree.blocks.get(*first as usize)
            && let Some(end) = unit_end(state, *first as usize)
        {
            spans.push(Span::new(header.start, end));
        }
        if let Some(end) = end(placed) {
            spans.push(Span::new(placed.start, end));
        }
        let inside = offset.saturating_sub(placed.start);
        if let Some(line) = placed.block.lines.iter().find(|line| line.span.touches(inside)) {
            of_line(line, &mut |span| spans.push(span.shift(placed.start)));
        }
    }
    spans.retain(|span| span.touches(offset));
    // From the outside in: each inside the one before.
    let mut nested: Vec<Span> = Vec::new();
    for span in spans {
        let inside = nested
            .last()
            .is_none_or(|outer| outer.start <= span.start && span.end <= outer.end && *outer != span);
        if inside {
            nested.push(span);
        }
    }
    nested.reverse();
    nested
}

/// The parts of a line, those that hold others first.
fn of_line(line: &Line, put: &mut dyn FnMut(Span)) {
    match &line.body {
        Body::Header(entry) | Body::Entry(entry) => {
            put(line.span);
            put(entry.span);
            parts(entry, put);
        }
        Body::Prose(span) | Body::Broken(span) => {
            put(line.span);
            put(*span);
        }
        Body::Blank | Body::Comment => {}
    }
    line.comment.into_iter().chain(line.stamp).for_each(put);
}

fn parts(entry: &Entry, put: &mut dyn FnMut(Span)) {
    if let Some(keyword) = &entry.keyword {
        put(keyword.span);
    }
    for part in &entry.parts {
        match part {
            Part::Value(value) => self::value(value, put),
            Part::Name(name) => put(name.span),
            Part::Props(props) => properties(props, put),
            Part::Clause(clause) => {
                put(clause.span);
                put(clause.word_span);
                for part in &clause.parts {
                    match part {
                        ClausePart::Value(value) => self::value(value, put),
                        ClausePart::Name(name) => put(name.span),
                        ClausePart::Props(props) => properties(props, put),
                    }
                }
            }
            Part::Label(span) | Part::Text(span) => put(*span),
            Part::Relation(_) => {}
        }
    }
}

fn properties(props: &syntax::ast::Props, put: &mut dyn FnMut(Span)) {
    put(props.span);
    props.list.iter().for_each(|prop| put(prop.span));
}

fn value(value: &syntax::ast::Value, put: &mut dyn FnMut(Span)) {
    put(value.span);
    match &value.kind {
        ValueKind::Range(first, second) | ValueKind::Tolerance(first, second) => {
            put(first.span);
            put(second.span);
        }
        ValueKind::Str(span) => put(*span),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::fixture::Fixture;

    use super::*;

    #[test]
    fn recipes_blocks_comments_and_uses_fold() {
        let text = "# é\n# two\nuse \"b.gyle\"\nuse \"c.gyle\"\n\nrecipe \"É\"\n  batch 20 L\n\ngrist\n  4 kg x\n\n# a\nboil 60 min\nmalt y\n  colour 3 EBC\n";
        let fixture = Fixture::new(text);
        let folds: Vec<(FoldKind, &str)> = folding(&fixture.workspace, fixture.file)
            .into_iter()
            .map(|fold| (fold.kind, fold.span.of(text)))
            .collect();
        let recipe = "recipe \"É\"\n  batch 20 L\n\ngrist\n  4 kg x\n\n# a\nboil 60 min";
        assert_eq!(
            folds,
            [
                (FoldKind::Uses, "# é\n# two\nuse \"b.gyle\"\nuse \"c.gyle\""),
                (FoldKind::Comment, "# é\n# two"),
                (FoldKind::Block, recipe),
                (FoldKind::Block, "grist\n  4 kg x"),
                (FoldKind::Block, "malt y\n  colour 3 EBC"),
            ]
        );
    }

    #[test]
    fn a_selection_grows_from_the_part_to_the_file() {
        let fixture =
            Fixture::new("# ä\nrecipe \"É\"\n\nboil 60 min\n  48 g Fuggle [alpha 4.$06 %] at 60 min  # é\n");
        let text = fixture.text();
        let grown: Vec<String> = selection(&fixture.workspace, fixture.file, fixture.offset)
            .into_iter()
            .map(|span| span.of(&text).to_owned())
            .collect();
        let entry = "48 g Fuggle [alpha 4.6 %] at 60 min";
        let line = format!("  {entry}  # é");
        let block = format!("boil 60 min\n{line}");
        let recipe = format!("# ä\nrecipe \"É\"\n\n{block}");
        assert_eq!(grown, ["alpha 4.6 %", "[alpha 4.6 %]", entry, &line, &block, &recipe, &text]);
    }
}
