//! `gyle lsp`.

use crate::args::LspArgs;

/// Serves and ends the process: a client that has stopped reading may hold standard output, which the other
/// commands flush at their end.
pub(crate) fn run(_: &LspArgs) -> u8 {
    std::process::exit(i32::from(server::run()))
}
