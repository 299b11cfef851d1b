//! The tree-sitter grammar of `.gyle` files, as Rust programs load it.
//!
//! The only code of the project that is not safe: it names a function of the generated C.

use tree_sitter_language::LanguageFn;

unsafe extern "C" {
    fn tree_sitter_gyle() -> *const ();
}

/// The grammar.
// The generated function takes nothing and gives a table that lives as long as the program.
pub const LANGUAGE: LanguageFn = unsafe { LanguageFn::from_raw(tree_sitter_gyle) };

/// The query that colours.
pub const HIGHLIGHTS: &str = include_str!("../../queries/highlights.scm");
