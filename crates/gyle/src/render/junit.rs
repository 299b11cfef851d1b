//! JUnit XML: a suite a file, a test a finding; a file without findings is one test that passed.

use std::collections::HashMap;
use std::time::Duration;

use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};
use recipe::FileId;

use crate::args::FailOn;
use crate::check::Checked;
use crate::output::{Output, complain};
use crate::render::Shown;

/// A finding fails its test where it makes the command fail; otherwise the test passes and says it.
fn case(one: &Shown, fail_on: FailOn) -> TestCase {
    let finding = &one.finding;
    let at = one.range();
    let mut text = format!("{}:{}:{}: {}", one.file.path, at.line, at.column, finding.message);
    for more in core::iter::once(&*finding.help).chain(finding.fixes.iter().map(|fix| &*fix.title)) {
        if !more.is_empty() {
            text.push('\n');
            text.push_str(more);
        }
    }
    let mut case = if fail_on.fails(finding.severity) {
        let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
        status.set_type(finding.severity.word()).set_message(&*finding.message).set_description(text);
        TestCase::new(format!("{}:{} {}", at.line, at.column, finding.rule), status)
    } else {
        let name = format!("{}:{} {}", at.line, at.column, finding.rule);
        let mut case = TestCase::new(name, TestCaseStatus::success());
        case.set_system_out(format!("{}: {text}", finding.severity.word()));
        case
    };
    case.set_classname(&*one.file.path).set_time(Duration::ZERO);
    case
}

/// `gyle check --output junit`. Times are zero: a report of the same files is the same.
pub(crate) fn findings(checked: &Checked, fail_on: FailOn, output: &mut Output) {
    let mut report = Report::new("gyle");
    report.set_time(Duration::ZERO);
    let mut found: HashMap<FileId, Vec<&Shown>> = HashMap::new();
    for one in &checked.findings {
        found.entry(one.file.id).or_default().push(one);
    }
    // A look across all files finds fault in files that were not asked for, too.
    let mut files: Vec<(FileId, &str)> = checked.files.iter().map(|(id, path)| (*id, &**path)).collect();
    for one in &checked.findings {
        if files.iter().all(|(id, _)| *id != one.file.id) {
            files.push((one.file.id, &one.file.path));
        }
    }
    for (id, path) in files {
        let mut suite = TestSuite::new(path);
        suite.set_time(Duration::ZERO);
        match found.get(&id) {
            Some(found) => {
                suite.add_test_cases(found.iter().map(|one| case(one, fail_on)));
            }
            None => {
                let mut passed = TestCase::new("no findings", TestCaseStatus::success());
                passed.set_classname(path).set_time(Duration::ZERO);
                suite.add_test_case(passed);
            }
        }
        report.add_test_suite(suite);
    }
    match report.to_string() {
        // Of all suites together strict readers know no such count, and gyle skips nothing.
        Ok(text) => output.text(&text.replacen(" skipped=\"0\"", "", 1)),
        Err(error) => complain(&format!("the JUnit report cannot be written: {error}")),
    }
}
