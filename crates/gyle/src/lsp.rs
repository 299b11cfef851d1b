//! `gyle lsp`.

use crate::args::LspArgs;

pub(crate) fn run(_: &LspArgs) -> u8 {
    server::run()
}
