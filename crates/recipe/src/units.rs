//! Which blocks of a file belong together: to a recipe, to a log; and which belong nowhere.
//!
//! From the tree alone, without looking anything up, so that an edit can be sorted into its recipe at once.

use std::collections::HashSet;

use smallvec::SmallVec;
use syntax::Span;
use syntax::ast::{Block, ClausePart, Entry, File, Part, ValueKind};
use syntax::vocabulary::{BLOCKS, BlockKind, ClauseWord};

use crate::model::Problem;
use crate::words;

/// Indices of blocks in their file.
pub type BlockList = SmallVec<[u32; 14]>;

/// The blocks of one recipe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecipeUnit {
    /// Its name; empty where it cannot be read.
    pub name: Box<str>,
    /// Its blocks in order, the header first.
    pub blocks: BlockList,
}

/// The blocks of one log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogUnit {
    /// Its id; empty where it cannot be read.
    pub id: Box<str>,
    /// The name of the recipe brewed.
    pub recipe_name: Box<str>,
    /// `of "path"`: the file the recipe stands in.
    pub of: Option<Box<str>>,
    /// Its blocks in order, the header first; notes and tastings follow.
    pub blocks: BlockList,
}

/// A file that is used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UseUnit {
    /// The path as written, relative to the file it stands in.
    pub path: Box<str>,
    /// The block.
    pub block: u32,
    /// Where the path stands in it, without quotes.
    pub span: Span,
}

/// What the blocks of a file make.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Units {
    /// Recipes in the order written.
    pub recipes: Vec<RecipeUnit>,
    /// Logs in the order written.
    pub logs: Vec<LogUnit>,
    /// Blocks that define a malt, a hop and so on.
    pub definitions: Vec<u32>,
    /// Files used.
    pub uses: Vec<UseUnit>,
    /// Values named for the whole file.
    pub lets: Vec<u32>,
    /// Tastings of a gyle of another file, `tasting of 27 on …`, with the id.
    pub tastings: Vec<(Box<str>, u32)>,
    /// Blocks that belong nowhere, or that stand a second time; each but those below an unreadable header
    /// has a problem.
    pub strays: Vec<u32>,
    /// What is wrong with the order of blocks; blocks count in the file.
    pub problems: Vec<Problem>,
}

/// Who the next block belongs to.
#[derive(Clone, Copy, PartialEq)]
enum Owner {
    None,
    Recipe(usize),
    Log(usize),
}

const fn bit(kind: BlockKind) -> u32 {
    1 << (kind as u32)
}

/// Kinds that may stand more than once.
const REPEATING: u32 = {
    let mut mask = 0;
    let mut at = 0;
    while at < BLOCKS.len() {
        if BLOCKS[at].repeats {
            mask |= bit(BLOCKS[at].kind);
        }
        at += 1;
    }
    mask
};

/// Kinds that every part of a split may have.
const OF_A_PART: u32 =
    bit(BlockKind::Pitch) | bit(BlockKind::Ferment) | bit(BlockKind::Package) | bit(BlockKind::Expect);

impl Units {
    /// Sorts the blocks of a file.
    #[must_use]
    pub fn of(file: &File) -> Self {
        let mut units = Self::default();
        let mut owner = Owner::None;
        // Kinds the recipe in hand already has.
        let mut seen = 0u32;
        // A header nobody can read may have begun another recipe: what follows is not blamed.
        let mut unsure = false;
        // What the last block went to, for a line below it that lost its indent.
        let mut last: Option<Owner> = None;
        let mut names = HashSet::new();
        for (at, placed) in file.blocks.iter().enumerate() {
            let Ok(number) = u32::try_from(at) else { break };
            let block = &*placed.block;
            let kind = block.kind;
            if block.entries_as != kind {
                if let Some(owner) = last {
                    units.give(owner, number);
                }
                continue;
            }
            last = None;
            match kind {
                BlockKind::Preamble => {}
                BlockKind::Unknown => unsure = true,
                BlockKind::Recipe => {
                    let name = block.header().and_then(|entry| text_value(block, entry)).unwrap_or("");
                    units
                        .recipes
                        .push(RecipeUnit { name: name.into(), blocks: SmallVec::from_slice(&[number]) });
                    owner = Owner::Recipe(units.recipes.len() - 1);
                    (seen, unsure, last) = (0, false, Some(owner));
                }
                BlockKind::Gyle => {
                    units.logs.push(log_unit(block, number));
                    owner = Owner::Log(units.logs.len() - 1);
                    (unsure, last) = (false, Some(owner));
                }
                BlockKind::Use => {
                    if let Some(span) = block.header().and_then(string_span) {
                        units.uses.push(UseUnit { path: block.slice(span).into(), block: number, span });
                    }
                }
                BlockKind::Let => units.name_value(&mut names, block, number),
                BlockKind::Tasting => last = units.tasting(block, number, owner, unsure),
                _ if kind.is_definition() => units.definitions.push(number),
                _ => {
                    let Owner::Recipe(_) = owner else {
                        if kind == BlockKind::Notes && owner != Owner::None {
                            units.give(owner, number);
                            last = Some(owner);
                            continue;
                        }
                        units.strays.push(number);
                        if !unsure {
                            units.complain(
                                number,
                                |span| words::block_without_recipe(kind, owner != Owner::None, span),
                                block,
                            );
                        }
                        continue;
                    };
                    if kind == BlockKind::Split {
                        seen &= !OF_A_PART;
                    }
                    if seen & bit(kind) & !REPEATING != 0 {
                        units.strays.push(number);
                        if !unsure {
                            units.complain(number, |span| words::block_twice(kind, span), block);
                        }
                        continue;
                    }
                    seen |= bit(kind);
                    units.give(owner, number);
                    last = Some(owner);
                }
            }
        }
        units
    }

    fn give(&mut self, owner: Owner, number: u32) {
        match owner {
            Owner::Recipe(at) => self.recipes[at].blocks.push(number),
            Owner::Log(at) => self.logs[at].blocks.push(number),
            Owner::None => {}
        }
    }

    /// A value named for the whole file; the first of a name holds.
    fn name_value(&mut self, names: &mut HashSet<String>, block: &Block, number: u32) {
        let name = block.header().and_then(Entry::name);
        if let Some(name) = name
            && !names.insert(catalogue::fold(block.slice(name.span)))
        {
            self.complain(number, |_| words::let_twice(block.slice(name.span), name.span), block);
            self.strays.push(number);
            return;
        }
        self.lets.push(number);
    }

    /// A tasting goes to the gyle it names, else to the one above.
    fn tasting(&mut self, block: &Block, number: u32, owner: Owner, unsure: bool) -> Option<Owner> {
        if let Some(id) = tasting_of(block) {
            if let Some(at) = self.logs.iter().rposition(|log| *log.id == *id) {
                self.give(Owner::Log(at), number);
                return Some(Owner::Log(at));
            }
            self.tastings.push((id.into(), number));
            return None;
        }
        if let Owner::Log(_) = owner {
            self.give(owner, number);
            return Some(owner);
        }
        self.strays.push(number);
        if !unsure {
            self.complain(number, |span| words::block_without_recipe(BlockKind::Tasting, false, span), block);
        }
        None
    }

    fn complain(&mut self, number: u32, fault: impl FnOnce(Span) -> syntax::Fault, block: &Block) {
        let Ok(number) = u16::try_from(number) else { return };
        self.problems.push(Problem { block: number, fault: fault(header_span(block)), related: Vec::new() });
    }
}

/// Where the header of a block stands: read, or as far as it can be made out.
pub(crate) fn header_span(block: &Block) -> Span {
    if let Some(entry) = block.header() {
        return entry.span;
    }
    let broken = block.lines.iter().find_map(|line| match line.body {
        syntax::ast::Body::Broken(span) => Some(span),
        _ => None,
    });
    broken.unwrap_or_default()
}

fn string_span(entry: &Entry) -> Option<Span> {
    entry.values().find_map(|value| match value.kind {
        ValueKind::Str(span) => Some(span),
        _ => None,
    })
}

/// The text in quotes of a header.
pub(crate) fn text_value<'a>(block: &'a Block, entry: &Entry) -> Option<&'a str> {
    string_span(entry).map(|span| block.slice(span))
}

fn log_unit(block: &Block, number: u32) -> LogUnit {
    let header = block.header();
    let id = header.and_then(Entry::name).map_or("", |name| block.slice(name.span));
    let recipe_name = header.and_then(|entry| text_value(block, entry)).unwrap_or("");
    let of =
        header.and_then(|entry| entry.clause(ClauseWord::Of)).and_then(|clause| match clause.value()?.kind {
            ValueKind::Str(span) => Some(block.slice(span).into()),
            _ => None,
        });
    LogUnit { id: id.into(), recipe_name: recipe_name.into(), of, blocks: SmallVec::from_slice(&[number]) }
}

/// The id of the gyle a tasting names.
pub(crate) fn tasting_of(block: &Block) -> Option<&str> {
    let clause = block.header()?.clause(ClauseWord::Of)?;
    clause.parts.iter().find_map(|part| match part {
        ClausePart::Name(name) => Some(block.slice(name.span)),
        ClausePart::Value(value) => Some(match value.kind {
            ValueKind::Str(span) => block.slice(span),
            _ => block.slice(value.span),
        }),
        ClausePart::Props(_) => None,
    })
}

/// The words of a text fact or of its names, as written.
pub(crate) fn text_of<'a>(block: &'a Block, entry: &Entry) -> Option<&'a str> {
    let span = entry.parts.iter().find_map(|part| match part {
        Part::Text(span) => Some(*span),
        Part::Name(name) => Some(name.span),
        Part::Value(value) => match value.kind {
            ValueKind::Str(span) => Some(span),
            _ => Some(value.span),
        },
        _ => None,
    })?;
    Some(block.slice(span))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each recipe and log with the kinds of its blocks, then strays and problems.
    fn sorted(text: &str) -> String {
        let file = syntax::parse(text);
        let units = Units::of(&file);
        let kinds = |blocks: &BlockList| -> String {
            let words: Vec<&str> =
                blocks.iter().map(|at| file.blocks[*at as usize].block.kind.word()).collect();
            words.join(" ")
        };
        let mut lines: Vec<String> = Vec::new();
        lines
            .extend(units.recipes.iter().map(|recipe| format!("{}: {}", recipe.name, kinds(&recipe.blocks))));
        lines.extend(
            units.logs.iter().map(|log| format!("{} of {}: {}", log.id, log.recipe_name, kinds(&log.blocks))),
        );
        if !units.strays.is_empty() {
            lines.push(format!("strays: {}", kinds(&units.strays.iter().copied().collect())));
        }
        lines.extend(units.tastings.iter().map(|(id, _)| format!("tasting of {id}")));
        lines.extend(
            units.problems.iter().map(|problem| format!("{} at {}", problem.fault.rule, problem.block)),
        );
        lines.join("\n")
    }

    #[test]
    fn blocks_find_their_recipe() {
        for (text, wanted) in [
            (
                "recipe \"A\"\ngrist\nmalt x\n  colour 5 EBC\nboil 60 min\nrecipe \"B\"\ngrist\n",
                "A: recipe grist boil\nB: recipe grist",
            ),
            ("recipe \"A\"\nlet x = 1\nuse \"b.gyle\"\npitch\n", "A: recipe pitch"),
            ("grist\n  5 kg x\nrecipe \"A\"\n", "A: recipe\nstrays: grist\nblock-without-recipe at 0"),
            (
                "recipe \"A\"\nboil 60 min\nboil 90 min\nstand 10 min at 80 C\nstand 10 min at 70 C\n",
                "A: recipe boil stand stand\nstrays: boil\nduplicate-block at 2",
            ),
            (
                "recipe \"A\"\nsplit \"x\" 10 L\npitch\nferment\nsplit \"y\" 10 L\npitch\nferment\npitch\n",
                "A: recipe split pitch ferment split pitch ferment\nstrays: pitch\nduplicate-block at 7",
            ),
            (
                "recipe \"A\"\ngyle 1 \"A\" on 2026-03-14\nnotes\ntasting on 2026-04-11\nmalt x\nnotes\ngrist\n",
                "A: recipe\n1 of A: gyle notes tasting notes\nstrays: grist\nblock-without-recipe at 6",
            ),
            (
                "gyle 1 \"A\" on 2026-03-14\ngyle 2 \"A\" on 2026-03-15\ntasting of 1 on 2026-04-11\ntasting of 9 on 2026-04-11\n",
                "1 of A: gyle tasting\n2 of A: gyle\ntasting of 9",
            ),
            ("tasting on 2026-04-11\n", "strays: tasting\nblock-without-recipe at 0"),
            // An unreadable header may have begun another recipe.
            (
                "recipe \"A\"\ngrist\nrecpie \"B\"\ngrist\nboil 60 min\n",
                "A: recipe grist boil\nstrays: grist",
            ),
        ] {
            assert_eq!(sorted(text), wanted, "{text}");
        }
    }

    #[test]
    fn a_lost_indent_stays_with_its_block() {
        assert_eq!(
            sorted("recipe \"A\"\nliquor\nmash 13 L\n  sparge 17 L\nmash\n  rest 67 C for 60 min\n"),
            "A: recipe liquor ? mash"
        );
        assert_eq!(
            sorted("grist\nrecipe \"A\"\nstyle 13C\n"),
            "A: recipe ?\nstrays: grist\nblock-without-recipe at 0"
        );
    }
}
