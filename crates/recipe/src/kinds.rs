//! Which kinds of thing a name may stand for.

use syntax::vocabulary::BlockKind::{self, Addition, BrewhouseBlock, Hop, Malt, Style, Sugar, Water, Yeast};
use syntax::vocabulary::Keyword;

/// The kinds of thing that a name may stand for on a line of a block, in the order they are looked up. Without
/// a keyword it is an item line.
#[must_use]
pub const fn named_kinds(block: BlockKind, keyword: Option<Keyword>) -> &'static [BlockKind] {
    match (block, keyword) {
        (BlockKind::Gyle, Some(Keyword::Pitch)) | (BlockKind::Pitch | BlockKind::Sour, None) => {
            &[Yeast, Addition]
        }
        (BlockKind::Gyle, _) => &[Hop, Addition, Sugar, Malt, Yeast],
        (BlockKind::Grist, None) => &[Malt, Sugar],
        (BlockKind::Mash, None) => &[Hop, Addition, Malt, Sugar],
        (BlockKind::Boil | BlockKind::Stand, None) => &[Hop, Addition, Sugar, Malt],
        (BlockKind::Ferment, None) => &[Hop, Sugar, Addition, Yeast],
        (BlockKind::Package, None) => &[Yeast, Addition, Hop],
        (BlockKind::Package, Some(_)) => &[Sugar],
        (BlockKind::Recipe, Some(Keyword::Brewhouse)) => &[BrewhouseBlock],
        (BlockKind::Recipe, Some(Keyword::Style)) => &[Style],
        (_, Some(Keyword::Source | Keyword::Blend | Keyword::Match)) => &[Water],
        (_, Some(Keyword::Add)) => &[Addition],
        _ => &[],
    }
}
