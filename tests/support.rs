//! What the tests that cross crates share: tables of reference values and the account of their rows, and
//! the files of the demo repository.

use std::collections::BTreeMap;
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};

mod demo_repository;
#[path = "generate/repository.rs"]
pub mod generate;

pub use demo_repository::{Repository, Source};

/// A table of reference values: a header, then one row a line, columns parted by tabs.
///
/// Empty lines and lines that start with `#` are left out.
#[derive(Debug)]
pub struct Table<'a> {
    columns: Vec<&'a str>,
    rows: Vec<Vec<&'a str>>,
}

/// A row of a [`Table`].
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    columns: &'a [&'a str],
    cells: &'a [&'a str],
}

impl<'a> Table<'a> {
    /// Reads a table.
    ///
    /// # Panics
    /// Where a row has more or fewer cells than the header.
    #[must_use]
    pub fn read(text: &'a str) -> Self {
        let mut lines = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
        let columns: Vec<&str> = lines.next().unwrap_or_default().split('\t').collect();
        let rows: Vec<Vec<&str>> = lines.map(|line| line.split('\t').collect()).collect();
        for row in &rows {
            assert_eq!(row.len(), columns.len(), "a row does not fit its header: {row:?}");
        }
        Self { columns, rows }
    }

    /// The rows in order.
    pub fn rows(&'a self) -> impl Iterator<Item = Row<'a>> {
        self.rows.iter().map(|cells| Row { columns: &self.columns, cells })
    }
}

impl<'a> Row<'a> {
    /// A cell by the name of its column.
    ///
    /// # Panics
    /// Where the table has no such column.
    #[must_use]
    pub fn get(&self, column: &str) -> &'a str {
        let at = self.columns.iter().position(|name| *name == column);
        assert!(at.is_some(), "no column {column}");
        at.and_then(|at| self.cells.get(at)).copied().unwrap_or_default()
    }

    /// A cell as a number.
    ///
    /// # Panics
    /// Where it is none.
    #[must_use]
    pub fn number(&self, column: &str) -> f64 {
        number(self.get(column))
    }
}

/// Text as a number.
///
/// # Panics
/// Where it is none.
#[must_use]
pub fn number(text: &str) -> f64 {
    let read = text.trim().parse::<f64>();
    assert!(read.is_ok(), "not a number: {text:?}");
    read.unwrap_or(f64::NAN)
}

/// What an expected value rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// A number printed in a source that was seen.
    Printed,
    /// The result of an independent, public library.
    Library,
    /// Computed anew for this project, or quoted from memory.
    Recomputed,
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Printed => "printed source",
            Self::Library => "independent library",
            Self::Recomputed => "own recomputation",
        })
    }
}

/// How far a value may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// In the value's unit.
    Absolute(f64),
    /// As a share of the expected value.
    Relative(f64),
}

impl Tolerance {
    /// The largest difference allowed.
    #[must_use]
    pub fn allowed(self, expected: f64) -> f64 {
        match self {
            Self::Absolute(off) => off,
            Self::Relative(share) => share * expected.abs(),
        }
    }
}

/// The account of a table: what was checked, what was set aside and why, what was off.
#[derive(Debug, Default)]
pub struct Account {
    checked: BTreeMap<Basis, usize>,
    set_aside: Vec<(String, String)>,
    off: Vec<String>,
}

impl Account {
    /// Compares a computed value with a row's. No value counts as off.
    pub fn check(&mut self, id: &str, got: Option<f64>, expected: f64, within: Tolerance, basis: Basis) {
        *self.checked.entry(basis).or_default() += 1;
        let allowed = within.allowed(expected);
        match got {
            // A shade of rounding, for tolerances that stop at the last digit printed.
            Some(got) if (got - expected).abs() <= allowed * (1.0 + 1e-9) => {}
            Some(got) => self.off.push(format!("{id}: {got} is not {expected} within {allowed}")),
            None => self.off.push(format!("{id}: no value, {expected} expected")),
        }
    }

    /// Notes a condition on a row that does not count as a check of its value.
    pub fn require(&mut self, id: &str, holds: bool, what: &str) {
        if !holds {
            self.off.push(format!("{id}: {what}"));
        }
    }

    /// Leaves a row out of the comparison, with the reason.
    pub fn set_aside(&mut self, id: &str, reason: &str) {
        self.set_aside.push((id.to_owned(), reason.to_owned()));
    }

    /// Prints the account and fails where something was off, or not every row was dealt with exactly once.
    ///
    /// # Panics
    /// When a value is off or rows are missing.
    #[allow(clippy::must_use_candidate)] // a test that only wants the failure
    pub fn close(self, title: &str, rows: usize) -> Tally {
        println!("{title}: {rows} rows");
        for (basis, count) in &self.checked {
            println!("  {count:4} against {basis}");
        }
        for (id, reason) in &self.set_aside {
            println!("  set aside {id}: {reason}");
        }
        assert!(self.off.is_empty(), "{title}: {} off\n{}", self.off.len(), self.off.join("\n"));
        let dealt: usize = self.checked.values().sum::<usize>() + self.set_aside.len();
        assert_eq!(dealt, rows, "{title}: rows dealt with");
        Tally { title: title.to_owned(), rows, checked: self.checked, set_aside: self.set_aside }
    }
}

/// What came of a table whose rows all held.
#[derive(Debug)]
pub struct Tally {
    /// The table's file.
    pub title: String,
    /// All of its rows.
    pub rows: usize,
    /// How many were compared, by what they rest on.
    pub checked: BTreeMap<Basis, usize>,
    /// Rows that were not compared, with the reason.
    pub set_aside: Vec<(String, String)>,
}

/// The `.gyle` files below a folder of the test package, sorted.
///
/// # Panics
/// Where the folder cannot be read.
#[must_use]
pub fn gyle_files(folder: &str) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    while let Some(folder) = folders.pop() {
        let entries = fs::read_dir(&folder);
        assert!(entries.is_ok(), "{}: {entries:?}", folder.display());
        for path in entries.into_iter().flatten().flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "gyle") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// The text of a file.
///
/// # Panics
/// Where it cannot be read.
#[must_use]
pub fn read(path: &Path) -> String {
    let text = fs::read_to_string(path);
    assert!(text.is_ok(), "{}: {text:?}", path.display());
    text.unwrap_or_default()
}

/// The root of the project.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Compares a committed file with what it should be; writes it where `GYLE_WRITE` is set.
///
/// # Panics
/// Where it is not current; the message names the test target that writes it.
pub fn current(path: &str, wanted: &str, target: &str) {
    let file = root().join(path);
    if std::env::var_os("GYLE_WRITE").is_some() {
        let written =
            file.parent().map_or(Ok(()), fs::create_dir_all).and_then(|()| fs::write(&file, wanted));
        assert!(written.is_ok(), "{path}: {written:?}");
    }
    let have = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        have == wanted,
        "{path} is not current: run `GYLE_WRITE=1 cargo test -p gyle-tests --test {target}` and look at the difference"
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_off_a_missing_row_and_no_value_fail() {
        let within = Tolerance::Absolute(0.1);
        let closes = |fill: fn(&mut Account), rows: usize| {
            let mut account = Account::default();
            fill(&mut account);
            std::panic::catch_unwind(move || account.close("test", rows)).is_ok()
        };
        assert!(closes(|a| a.check("x", Some(1.05), 1.0, Tolerance::Absolute(0.1), Basis::Printed), 1));
        assert!(!closes(|a| a.check("x", Some(1.05), 1.0, Tolerance::Relative(0.04), Basis::Printed), 1));
        assert!(!closes(|a| a.check("x", None, 1.0, Tolerance::Absolute(9.0), Basis::Printed), 1));
        assert!(!closes(|a| a.check("x", Some(f64::NAN), 1.0, Tolerance::Absolute(9.0), Basis::Printed), 1));
        assert!(!closes(|a| a.require("x", false, "why"), 0));
        assert!(closes(|a| a.set_aside("x", "why"), 1));
        assert!(!closes(|_| (), 1));
        assert!((within.allowed(-5.0) - 0.1).abs() < 1e-15);
    }

    #[test]
    fn cells_are_found_by_their_column() {
        let table = Table::read("id\tvalue\n# note\na\t1.5\n\nb\t-2\n");
        let cells: Vec<_> = table.rows().map(|row| (row.get("id"), row.number("value"))).collect();
        assert_eq!(cells, [("a", 1.5), ("b", -2.0)]);
    }
}
