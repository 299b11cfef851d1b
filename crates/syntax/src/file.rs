//! A whole file, at once or from the version before an edit.

use std::sync::Arc;

use crate::alike::Alike;
use crate::ast::{Block, File, Placed};
use crate::block::read_block;
use crate::entry::Reader;
use crate::split::block_starts_after;
use crate::vocabulary::BlockKind;

/// Reads a file. Never fails: what cannot be read is a fault of its block.
#[must_use]
pub fn parse(text: &str) -> File {
    reparse(&File::default(), "", text)
}

/// Reads a file of which an earlier version was read, with the text it was read from, and shares with it every
/// block whose text and whose surroundings are the same. Gives what [`parse`] gives.
///
/// What both texts begin and end with is found without a look at the blocks, which lie scattered.
#[must_use]
pub fn reparse(before: &File, old: &str, text: &str) -> File {
    debug_assert_eq!(before.len as usize, old.len(), "the text is that of the tree");
    let alike = Alike::of(old, text);
    let starts = block_starts_after(&before.blocks, old.len(), text, alike);
    let (count, blocks) = (starts.len(), &before.blocks);
    let most = count.min(blocks.len());
    let old_range = |at: usize| {
        let end = blocks.get(at + 1).map_or(before.len, |next| next.start);
        (blocks[at].start as usize, end as usize)
    };
    let range = |at: usize| (starts[at], end_of(&starts, at, text));
    let head = (0..most).take_while(|&at| old_range(at) == range(at) && range(at).1 <= alike.head).count();
    let tail = (0..most - head)
        .take_while(|&at| {
            let (old_range, range) = (old_range(blocks.len() - 1 - at), range(count - 1 - at));
            let from_end = |whole: usize, (start, end): (usize, usize)| (whole - start, whole - end);
            let reach = from_end(text.len(), range);
            from_end(old.len(), old_range) == reach && reach.0 <= alike.tail
        })
        .count();
    rebuild(before, text, &starts, (head, tail))
}

fn end_of(starts: &[usize], at: usize, text: &str) -> usize {
    starts.get(at + 1).copied().unwrap_or(text.len())
}

/// Reads a text whose blocks begin at some places. So many at both ends have the text they had.
fn rebuild(before: &File, text: &str, starts: &[usize], (head, tail): (usize, usize)) -> File {
    let count = starts.len();
    let mut file = File { blocks: Vec::with_capacity(count), len: offset(text.len()) };
    // With the first of them all stand below what they stood below.
    file.blocks.extend_from_slice(&before.blocks[..head]);
    let mut reader = None;
    let mut line = file.blocks.last().map_or(0, |last| last.line + line_ends(&last.block));
    for (at, &start) in starts.iter().enumerate().skip(head) {
        let above = file.blocks.last().map_or(BlockKind::Preamble, |above| above.block.entries_as);
        let old = (at >= count - tail).then(|| at + before.blocks.len() - count);
        if let Some(old) = old
            && above_in(before, old) == above
        {
            // What follows stands below what it stood below as well.
            let shift = |placed: &Placed| Placed {
                start: offset(placed.start as usize + text.len() - before.len as usize),
                line: line + (placed.line - before.blocks[old].line),
                block: Arc::clone(&placed.block),
            };
            file.blocks.extend(before.blocks[old..].iter().map(shift));
            break;
        }
        let reader = reader.get_or_insert_with(Reader::new);
        let piece = text.get(start..end_of(starts, at, text)).unwrap_or("");
        let block = Arc::new(read_block(piece, above, reader));
        let placed = Placed { start: offset(start), line, block };
        line += line_ends(&placed.block);
        file.blocks.push(placed);
    }
    file
}

/// The kind a block of an earlier version was read below.
fn above_in(file: &File, at: usize) -> BlockKind {
    at.checked_sub(1)
        .and_then(|at| file.blocks.get(at))
        .map_or(BlockKind::Preamble, |above| above.block.entries_as)
}

fn line_ends(block: &Block) -> u32 {
    let open = block.lines.last().is_some_and(|line| line.end == line.span.end);
    offset(block.lines.len() - usize::from(open))
}

fn offset(value: usize) -> u32 {
    u32::try_from(value).unwrap_or(u32::MAX)
}

/// Reads the text of one block by itself, below a block of another kind.
#[must_use]
pub fn parse_block(text: &str, above: BlockKind) -> Block {
    read_block(text, above, &Reader::new())
}
