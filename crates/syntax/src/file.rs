//! A whole file, at once or from the version before an edit.

use std::sync::Arc;

use crate::ast::{Block, File, Placed};
use crate::block::read_block;
use crate::entry::Reader;
use crate::split::block_starts;
use crate::vocabulary::BlockKind;

/// Reads a file. Never fails: what cannot be read is a fault of its block.
#[must_use]
pub fn parse(text: &str) -> File {
    reparse(&File::default(), text)
}

/// Reads a file of which an earlier version was read, and shares with it every block whose text and
/// whose surroundings are the same. Gives what [`parse`] gives.
#[must_use]
pub fn reparse(before: &File, text: &str) -> File {
    let starts = block_starts(text);
    let count = starts.len();
    let end_of = |at: usize| starts.get(at + 1).copied().unwrap_or(text.len());
    let piece = |at: usize| starts.get(at).and_then(|&start| text.get(start..end_of(at))).unwrap_or("");
    // Blocks of the old file that stand at both ends of the new one.
    let most = count.min(before.blocks.len());
    let head = (0..most).take_while(|&at| &*before.blocks[at].block.text == piece(at)).count();
    let tail = (0..most - head)
        .take_while(|&at| &*before.blocks[before.blocks.len() - 1 - at].block.text == piece(count - 1 - at))
        .count();
    let mut file = File { blocks: Vec::with_capacity(count), len: offset(text.len()) };
    let mut reader = None;
    let (mut above, mut line) = (BlockKind::Preamble, 0);
    for (at, &start) in starts.iter().enumerate() {
        let old = if at < head {
            Some(at)
        } else if at >= count - tail {
            Some(at + before.blocks.len() - count)
        } else {
            None
        };
        let block = old
            .filter(|&old| above_in(before, old) == above)
            .map(|old| Arc::clone(&before.blocks[old].block))
            .unwrap_or_else(|| {
                let reader = reader.get_or_insert_with(Reader::new);
                Arc::new(read_block(piece(at), above, reader))
            });
        above = block.entries_as;
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
