//! Where a command writes: standard output, which ends quietly when nobody reads it any more, or a file.

use std::io::{BufWriter, ErrorKind, IsTerminal, Write};
use std::path::Path;

/// Buffered output.
pub(crate) struct Output {
    out: BufWriter<Box<dyn Write>>,
    /// The first failure; nothing is written after it.
    failure: Option<std::io::Error>,
}

impl Output {
    /// Standard output.
    pub(crate) fn new() -> Self {
        Self { out: BufWriter::new(Box::new(std::io::stdout())), failure: None }
    }

    /// A file, made anew.
    ///
    /// # Errors
    /// When it cannot be made.
    pub(crate) fn file(path: &Path) -> std::io::Result<Self> {
        Ok(Self { out: BufWriter::new(Box::new(std::fs::File::create(path)?)), failure: None })
    }

    /// Writes text.
    pub(crate) fn text(&mut self, text: &str) {
        if self.failure.is_none() {
            self.failure = self.out.write_all(text.as_bytes()).err();
        }
    }

    /// Writes a line.
    pub(crate) fn line(&mut self, text: &str) {
        self.text(text);
        self.text("\n");
    }

    /// Writes out what is buffered. False when it cannot be written: nobody reads it any more.
    pub(crate) fn flush(&mut self) -> bool {
        if self.failure.is_none() {
            self.failure = self.out.flush().err();
        }
        self.failure.is_none()
    }

    /// Whether somebody looks at standard output.
    pub(crate) fn is_terminal() -> bool {
        std::io::stdout().is_terminal()
    }

    /// Writes out what is left. A reader that has gone away (`gyle check | head`) is no error.
    ///
    /// # Errors
    /// When something could not be written.
    pub(crate) fn finish(mut self) -> std::io::Result<()> {
        let flushed = self.out.flush();
        match self.failure.map_or(flushed, Err) {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
            other => other,
        }
    }
}

/// Says on standard error what the command could not do.
pub(crate) fn complain(text: &str) {
    let _ = writeln!(std::io::stderr(), "gyle: {text}");
}
