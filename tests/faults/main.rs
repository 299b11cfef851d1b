//! Planted faults: each row of the tables is a slip of the pen in the demo repository, and the rules that a
//! careful reader would name for it. A fault counts as found when one of these rules speaks on that line, at
//! warning or error, and the fault makes no more than two findings at those levels in all files together.
//!
//! `GYLE_WRITE=1 cargo test -p gyle-tests --test faults` prints the rate by kind and writes it anew.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use gyle_tests::{Row, Table, current, gyle_files, read};
use rules::Severity;
use syntax::LineIndex;
use workspace::{Memory, Workspace};

const TABLES: [&str; 3] = [include_str!("recipes.tsv"), include_str!("logs.tsv"), include_str!("cellar.tsv")];

/// More findings than this are a cascade.
const MOST: usize = 2;

/// A finding, as far as faults are counted by it.
#[derive(Clone, Debug, PartialEq)]
struct Found {
    rule: &'static str,
    severity: Severity,
    file: PathBuf,
    /// From 1.
    line: u32,
    text: String,
    message: String,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("saltmarsh")
}

fn demo() -> Workspace {
    let mut files: Vec<(PathBuf, String)> =
        gyle_files("saltmarsh").into_iter().map(|path| (path.clone(), read(&path))).collect();
    let paths: Vec<PathBuf> = files.iter().map(|(path, _)| path.clone()).collect();
    files.push((root().join("gyle.toml"), read(&root().join("gyle.toml"))));
    let mut workspace = Workspace::new(Arc::new(Memory::new(files)));
    workspace.load(&paths);
    workspace
}

/// Everything found, in all files.
fn all(workspace: &Workspace) -> Vec<Found> {
    let own = workspace.files().filter_map(|state| workspace.analyse(state.id));
    let own = own.flat_map(|analysis| analysis.findings);
    own.chain(workspace.check_repositories(&[root()]))
        .filter_map(|finding| {
            let state = workspace.file(finding.file)?;
            let line = LineIndex::new(&state.text).line(finding.span.start);
            Some(Found {
                rule: finding.rule,
                severity: finding.severity,
                file: state.path.clone(),
                line: line + 1,
                text: state.text.lines().nth(line as usize).unwrap_or_default().to_owned(),
                message: finding.message,
            })
        })
        .collect()
}

/// The first number of a line, and a fraction behind it, multiplied.
fn scaled(line: &str, factor: f64) -> String {
    let Some(start) = line.find(|c: char| c.is_ascii_digit()) else { return line.to_owned() };
    let fraction = |word: &str| -> Option<f64> {
        let (over, under) = word.split_once('/')?;
        Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?)
    };
    let rest = &line[start..];
    let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '/')).unwrap_or(rest.len());
    let first = &rest[..end];
    let mut value = fraction(first).or_else(|| first.parse().ok()).unwrap();
    let mut after = &rest[end..];
    let next = after.trim_start().split(' ').next().unwrap_or_default();
    if let Some(part) = fraction(next) {
        value += part;
        after = &after[after.find(next).unwrap() + next.len()..];
    }
    format!("{}{}{after}", &line[..start], value * factor)
}

/// The text with an edit made to it.
fn edited(text: &str, row: &Row<'_>) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (first, last) = row.get("line").split_once("..").unwrap_or((row.get("line"), row.get("line")));
    let (first, last): (usize, usize) = (first.parse().unwrap(), last.parse().unwrap());
    let at = first - 1;
    let edit = row.get("edit");
    if let Some((old, new)) = edit.split_once(" ->") {
        let new = new.strip_prefix(' ').unwrap_or(new);
        assert!(lines[at].contains(old), "{} has no {old:?}: {row:?}", lines[at]);
        lines[at] = lines[at].replacen(old, new, 1);
    } else if edit == "-" {
        lines.remove(at);
    } else if edit == "x2" {
        let line = lines[at].clone();
        lines.insert(at, line);
    } else if edit == "<" {
        lines[at] = lines[at].trim_start().to_owned();
    } else if let Some(other) = edit.strip_prefix("<> ") {
        lines.swap(at, other.parse::<usize>().unwrap() - 1);
    } else if let Some(factor) = edit.strip_prefix('*') {
        let factor: f64 = factor.parse().unwrap();
        for line in &mut lines[at..last] {
            *line = scaled(line, factor);
        }
    } else {
        panic!("no such edit: {row:?}");
    }
    lines.join("\n") + "\n"
}

/// What became of a fault.
#[derive(Debug)]
enum Outcome {
    Found,
    /// By an expected rule, but on another line or at another level, or not at all.
    Missed,
    /// Found, but with so many others.
    Cascade(usize),
}

/// The findings that the fault has brought: those of rules that said nothing of that line before.
fn new<'f>(before: &[Found], after: &'f [Found]) -> Vec<&'f Found> {
    let old = |found: &Found| {
        before.iter().any(|other| {
            other.rule == found.rule
                && other.file == found.file
                && other.severity >= found.severity
                && (other.text == found.text || other.message == found.message)
        })
    };
    after.iter().filter(|found| !old(found)).collect()
}

fn judge(row: &Row<'_>, file: &Path, fresh: &[&Found]) -> Outcome {
    let wanted = row.get("expected").split(' ').any(|expected| {
        let (rule, line) = expected.split_once('@').unwrap();
        let line: u32 = line.parse().unwrap();
        fresh.iter().any(|found| {
            found.rule == rule
                && found.line == line
                && found.file == file
                && found.severity >= Severity::Warning
        })
    });
    let loud = fresh.iter().filter(|found| found.severity >= Severity::Warning).count();
    match (wanted, loud > MOST) {
        (true, false) => Outcome::Found,
        (true, true) => Outcome::Cascade(loud),
        (false, _) => Outcome::Missed,
    }
}

/// Faults found and all.
#[derive(Clone, Copy, Default)]
struct Rate(usize, usize);

impl Rate {
    fn count(&mut self, found: bool) {
        self.0 += usize::from(found);
        self.1 += 1;
    }
    fn percent(self) -> f64 {
        self.0 as f64 * 100.0 / self.1 as f64
    }
    fn line(self, what: &str) -> String {
        format!("{:5.1} % {:4} of {:3}  {what}\n", self.percent(), self.0, self.1)
    }
}

#[test]
fn planted_faults_are_found() {
    let base = demo();
    let before = all(&base);
    let mut whole = Rate::default();
    let mut kinds: BTreeMap<&str, Rate> = BTreeMap::new();
    let mut files: BTreeMap<&str, Rate> = BTreeMap::new();
    let mut not_found = String::new();
    let tables = TABLES.map(Table::read);
    for table in &tables {
        for row in table.rows() {
            let path = root().join(row.get("file"));
            let id = base.file_at(&path).unwrap();
            let text = edited(&base.file(id).unwrap().text, &row);
            let after = all(&base.with_text(&path, &text).0);
            let fresh = new(&before, &after);
            assert!(!fresh.iter().any(|found| found.rule == "check-failed"), "{row:?}: {fresh:#?}");
            let outcome = judge(&row, &path, &fresh);
            let found = matches!(outcome, Outcome::Found);
            whole.count(found);
            kinds.entry(row.get("kind")).or_default().count(found);
            files.entry(row.get("file")).or_default().count(found);
            let how = match outcome {
                Outcome::Found => continue,
                Outcome::Missed => "missed".to_owned(),
                Outcome::Cascade(many) => format!("with {many} findings"),
            };
            let (kind, file, line, edit) =
                (row.get("kind"), row.get("file"), row.get("line"), row.get("edit"));
            writeln!(not_found, "{how}: {kind}: {file}:{line}: {edit}").unwrap();
            if std::env::var_os("GYLE_SHOW").is_some() {
                println!("{how}: {kind}: {file}:{line}: {edit}\n    wanted {}", row.get("expected"));
                for found in &fresh {
                    println!(
                        "    {} {}:{} {} | {}",
                        found.severity.word(),
                        found.file.file_name().unwrap().display(),
                        found.line,
                        found.rule,
                        found.message
                    );
                }
            }
        }
    }
    let mut report = String::from(
        "# Planted faults found: at least one expected rule on the line, two findings at the most.\n\n",
    );
    report.push_str(&whole.line("all"));
    let worst = files.iter().min_by(|a, b| a.1.percent().total_cmp(&b.1.percent())).unwrap();
    report.push_str(&worst.1.line(&format!("worst file: {}", worst.0)));
    report.push_str("\n# By kind\n\n");
    for (kind, rate) in &kinds {
        report.push_str(&rate.line(kind));
    }
    report.push_str("\n# By file\n\n");
    for (file, rate) in &files {
        report.push_str(&rate.line(file));
    }
    report.push_str("\n# Not found\n\n");
    report.push_str(&not_found);
    println!("{report}");
    assert!(kinds.len() >= 40, "{} kinds", kinds.len());
    // Every recipe and log of the demo is put to the test.
    for path in gyle_files("saltmarsh") {
        let name = path.strip_prefix(root()).unwrap().to_str().unwrap().replace('\\', "/");
        let planned_only = read(&path).contains(" planned ");
        assert!(files.contains_key(name.as_str()) || name.starts_with("cellar") || planned_only, "{name}");
    }
    assert!(whole.percent() >= 95.0, "{:.1} % found", whole.percent());
    current("tests/faults/rates.txt", &report, "faults");
}

/// What the demo tells of on purpose: each file has one warning at the most, but for the log of a brew day
/// on which two things went wrong.
const TOLD: [(&str, &str); 3] = [
    ("31-whin-bank-bitter.gyle", "addition-off-plan"),
    ("31-whin-bank-bitter.gyle", "correction-not-remeasured"),
    ("whin-bank-bitter.gyle", "water-profile-missed"),
];

#[test]
fn the_demo_says_what_is_wrong_in_it_and_no_more() {
    let mut warnings: Vec<(String, &str)> = Vec::new();
    for found in all(&demo()) {
        assert!(found.severity < Severity::Error, "{found:?}");
        if found.severity == Severity::Warning {
            warnings.push((found.file.file_name().unwrap().to_str().unwrap().to_owned(), found.rule));
        }
    }
    warnings.sort();
    assert_eq!(warnings, TOLD.map(|(file, rule)| (file.to_owned(), rule)));
}
