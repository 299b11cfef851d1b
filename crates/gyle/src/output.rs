//! Standard output that ends quietly when nobody reads it any more.

use std::io::{BufWriter, IsTerminal, Stdout, Write};

/// Buffered standard output.
pub(crate) struct Output {
    out: BufWriter<Stdout>,
    closed: bool,
}

impl Output {
    pub(crate) fn new() -> Self {
        Self { out: BufWriter::new(std::io::stdout()), closed: false }
    }

    /// Writes text. A reader that has gone away (`gyle check | head`) is no error.
    pub(crate) fn text(&mut self, text: &str) {
        if !self.closed && self.out.write_all(text.as_bytes()).is_err() {
            self.closed = true;
        }
    }

    /// Writes a line.
    pub(crate) fn line(&mut self, text: &str) {
        self.text(text);
        self.text("\n");
    }

    /// Whether somebody looks at it.
    pub(crate) fn is_terminal() -> bool {
        std::io::stdout().is_terminal()
    }

    pub(crate) fn finish(mut self) {
        let _ = self.out.flush();
    }
}

/// Says on standard error what the command could not do.
pub(crate) fn complain(text: &str) {
    let _ = writeln!(std::io::stderr(), "gyle: {text}");
}
