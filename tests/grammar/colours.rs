//! The classes of colour, letter by letter, as the tree of tree-sitter and the tokens of the server say.

use std::path::Path;
use std::sync::Arc;

use ide::TokenClass;
use syntax::Span;
use tree_sitter::{Node, TreeCursor};
use workspace::{Memory, Workspace};

/// One letter for each byte: comment `c`, stamp `s`, prose `p`, string `q`, number `n`, unit `u`, block keyword
/// `b`, entry keyword `k`, property `f`; `.` for the rest.
pub(crate) fn of_tree(text: &str, root: Node<'_>) -> Vec<u8> {
    let mut colours = vec![b'.'; text.len()];
    paint_node(&mut root.walk(), &mut colours);
    colours
}

fn paint_node(cursor: &mut TreeCursor<'_>, colours: &mut [u8]) {
    let node = cursor.node();
    let class = match node.kind() {
        "comment" => b'c',
        "stamp" => b's',
        "prose" => b'p',
        "string" | "label" => b'q',
        "number" | "date" | "clock" | "day" | "score" => b'n',
        "unit" => b'u',
        "block_keyword" => b'b',
        "entry_keyword" => b'k',
        "property" => b'f',
        _ => b'.',
    };
    if class != b'.' {
        colours[node.byte_range()].fill(class);
    }
    if cursor.goto_first_child() {
        loop {
            paint_node(cursor, colours);
            if !cursor.goto_next_sibling() {
                break;
            }
        }
        cursor.goto_parent();
    }
}

/// The same of the tokens that the server colours words by.
pub(crate) fn of_tokens(text: &str) -> Vec<u8> {
    let mut workspace = Workspace::new(Arc::new(Memory::default()));
    let file = workspace.load_text(Path::new("/r/a.gyle"), text);
    let mut colours = vec![b'.'; text.len()];
    for token in ide::tokens(&workspace, file, Span::new(0, u32::MAX)) {
        let class = match token.class {
            TokenClass::Comment => b'c',
            TokenClass::Stamp => b's',
            TokenClass::Prose => b'p',
            TokenClass::Quoted => b'q',
            TokenClass::Number => b'n',
            TokenClass::Unit => b'u',
            TokenClass::BlockWord => b'b',
            TokenClass::EntryWord => b'k',
            TokenClass::Property => b'f',
            _ => b'.',
        };
        colours[token.span.range()].fill(class);
    }
    colours
}
