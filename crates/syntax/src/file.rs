//! A whole file, parsed at once or anew after an edit.

use std::sync::Arc;

use crate::ast::{File, Placed};
use crate::block;
use crate::entry::Parsers;
use crate::split::block_starts;
use crate::vocabulary::BlockKind;

/// Parses a file. Every text is a file: what cannot be read is kept and says so.
///
/// Texts of 4 GiB and more are cut there.
#[must_use]
pub fn parse(text: &str) -> File {
    reparse(&File::default(), text)
}

/// Parses a file, taking over from an older version of it every block whose text is the same and whose block
/// above is of the same kind. The result equals that of [`parse`].
#[must_use]
pub fn reparse(old: &File, text: &str) -> File {
    let starts = block_starts(text);
    let parsers = std::cell::OnceCell::new();
    let mut blocks: Vec<Placed> = Vec::with_capacity(starts.len());
    let mut above = BlockKind::Preamble;
    let mut line = 0;
    // Blocks before an edit keep their index, blocks behind it their distance from the end.
    let moved = old.blocks.len() as isize - starts.len() as isize;
    for (at, &start) in starts.iter().enumerate() {
        let end = starts.get(at + 1).copied().unwrap_or(text.len());
        let own = &text[start..end];
        let kept = [at as isize, at as isize + moved]
            .into_iter()
            .filter_map(|index| old.blocks.get(usize::try_from(index).ok()?).map(|placed| (index, placed)))
            .find(|(index, placed)| {
                *placed.block.text == *own && above_of(old, usize::try_from(*index).unwrap_or(0)) == above
            })
            .map(|(_, placed)| Arc::clone(&placed.block));
        let block =
            kept.unwrap_or_else(|| Arc::new(block::parse(own, above, parsers.get_or_init(Parsers::new))));
        above = block.entries_as;
        let lines = u32::try_from(block.lines.len()).unwrap_or(u32::MAX);
        blocks.push(Placed { start: u32::try_from(start).unwrap_or(u32::MAX), line, block });
        line += lines;
    }
    File { blocks, len: u32::try_from(text.len()).unwrap_or(u32::MAX) }
}

/// What the block above one was read as.
fn above_of(file: &File, at: usize) -> BlockKind {
    at.checked_sub(1)
        .and_then(|above| file.blocks.get(above))
        .map_or(BlockKind::Preamble, |placed| placed.block.entries_as)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unchanged_blocks_are_shared() {
        let old = parse("recipe \"A\"\n  batch 20 L\ngrist\n  5 kg pale ale malt\nboil 60 min\n");
        let new = reparse(&old, "recipe \"A\"\n  batch 20 L\ngrist\n  6 kg pale ale malt\nboil 60 min\n");
        assert!(Arc::ptr_eq(&old.blocks[0].block, &new.blocks[0].block));
        assert!(!Arc::ptr_eq(&old.blocks[1].block, &new.blocks[1].block));
        assert!(Arc::ptr_eq(&old.blocks[2].block, &new.blocks[2].block));
    }

    #[test]
    fn a_block_that_came_or_went_moves_the_others_only() {
        let old = parse("grist\n  5 kg x\nboil 60 min\nnotes\n  | a\n");
        let new = reparse(&old, "grist\n  5 kg x\nliquor\nboil 60 min\nnotes\n  | a\n");
        assert!(Arc::ptr_eq(&old.blocks[0].block, &new.blocks[0].block));
        assert!(Arc::ptr_eq(&old.blocks[2].block, &new.blocks[3].block));
        assert_eq!(new.blocks[3].line, 4);
    }
}
