//! The forms in which services that run checks want findings, to show them beside the changed lines.

use rules::Severity;
use serde_json::{Value, json};
use syntax::{Encoding, Span};

use crate::check::Checked;
use crate::output::Output;
use crate::render::{Fnv, Placed, Shown};

/// What a finding says, and what to do.
fn text(one: &Shown) -> String {
    match &*one.finding.help {
        "" => one.finding.message.clone(),
        help => format!("{}\n{help}", one.finding.message),
    }
}

/// Characters that would end the field, as the service wants them written.
fn escaped(text: &str, table: &[(char, &str)]) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match table.iter().find(|(special, _)| *special == c) {
            Some((_, written)) => out.push_str(written),
            None => out.push(c),
        }
    }
    out
}

/// Workflow commands of GitHub Actions: `::error file=…,line=…::MESSAGE`.
pub(crate) fn github(checked: &Checked, output: &mut Output) {
    const TEXT: &[(char, &str)] = &[('%', "%25"), ('\r', "%0D"), ('\n', "%0A")];
    const FIELD: &[(char, &str)] = &[('%', "%25"), ('\r', "%0D"), ('\n', "%0A"), (':', "%3A"), (',', "%2C")];
    for one in &checked.findings {
        let command = match one.finding.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Hint => "notice",
        };
        let at = one.range();
        // Columns are allowed within one line only.
        let columns = if at.line == at.end_line {
            format!(",col={},endColumn={}", at.column, at.end_column)
        } else {
            String::new()
        };
        output.line(&format!(
            "::{command} file={},line={},endLine={}{columns},title={}::{}",
            escaped(&one.file.path, FIELD),
            at.line,
            at.end_line,
            one.finding.rule,
            escaped(&text(one), TEXT)
        ));
    }
}

/// Logging commands of Azure Pipelines: `##vso[task.logissue …]MESSAGE`. It knows no third level.
pub(crate) fn azure(checked: &Checked, output: &mut Output) {
    const TEXT: &[(char, &str)] = &[('%', "%AZP25"), ('\r', "%0D"), ('\n', "%0A")];
    const FIELD: &[(char, &str)] =
        &[('%', "%AZP25"), ('\r', "%0D"), ('\n', "%0A"), (';', "%3B"), (']', "%5D")];
    for one in &checked.findings {
        let kind = if one.finding.severity == Severity::Error { "error" } else { "warning" };
        let at = one.range();
        output.line(&format!(
            "##vso[task.logissue type={kind};sourcepath={};linenumber={};columnnumber={};code={}]{}",
            escaped(&one.file.path, FIELD),
            at.line,
            at.column,
            one.finding.rule,
            escaped(&text(one), TEXT)
        ));
    }
}

/// The code quality report of GitLab. It wants fingerprints that differ between files.
pub(crate) fn gitlab(checked: &Checked, output: &mut Output) {
    let list: Vec<Value> = checked
        .findings
        .iter()
        .map(|one| {
            let severity = match one.finding.severity {
                Severity::Error => "major",
                Severity::Warning => "minor",
                Severity::Hint => "info",
            };
            let mut hash = Fnv::new();
            hash.write(&one.file.path);
            hash.write(&one.fingerprint);
            let at = one.range();
            json!({
                "description": text(one),
                "check_name": one.finding.rule,
                "fingerprint": format!("{:016x}", hash.0),
                "severity": severity,
                "location": {"path": one.file.path, "lines": {"begin": at.line, "end": at.end_line}},
            })
        })
        .collect();
    output.line(&Value::Array(list).to_string());
}

/// The diagnostic format that programs read which comment on reviews (rdjson): lines and columns from 1,
/// columns in bytes. A fix that changes one place is a suggestion that can be taken there.
pub(crate) fn review(checked: &Checked, output: &mut Output) {
    let range = |file: &Placed, span: Span| {
        let at = |offset: u32| {
            let at = file.index.line_col(&file.text, offset, Encoding::Utf8);
            json!({"line": at.line + 1, "column": at.col + 1})
        };
        json!({"start": at(span.start), "end": at(span.end)})
    };
    let diagnostics: Vec<Value> = checked
        .findings
        .iter()
        .map(|one| {
            let severity = match one.finding.severity {
                Severity::Error => "ERROR",
                Severity::Warning => "WARNING",
                Severity::Hint => "INFO",
            };
            let single = one.finding.fixes.iter().filter_map(|fix| match &*fix.edits {
                [edit] => Some(json!({"range": range(&one.file, edit.span), "text": edit.text})),
                _ => None,
            });
            let related = one.places().map(|(related, file)| {
                json!({
                    "message": related.message,
                    "location": {"path": file.path, "range": range(file, related.span)},
                })
            });
            json!({
                "message": text(one),
                "location": {"path": one.file.path, "range": range(&one.file, one.finding.span)},
                "severity": severity,
                "code": {"value": one.finding.rule},
                "suggestions": single.collect::<Vec<_>>(),
                "related_locations": related.collect::<Vec<_>>(),
            })
        })
        .collect();
    output.line(&json!({"source": {"name": "gyle"}, "diagnostics": diagnostics}).to_string());
}
