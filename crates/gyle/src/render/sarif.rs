//! SARIF 2.1.0 (OASIS), with the help of each rule that spoke, its fixes and fingerprints.

use recipe::FileId;
use rules::{Level, Rule, Severity};
use serde_json::{Value, json};
use syntax::Span;

use crate::check::Checked;
use crate::output::Output;
use crate::render::{Placed, Shown};

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";
/// What relative paths are relative to: the folder the command ran in.
const BASE: &str = "%SRCROOT%";

const fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "note",
    }
}

/// A path as a URI reference (RFC 3986): what is not unreserved is written as percent and hexadecimal.
fn uri(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

fn artifact(file: &Placed) -> Value {
    if file.path.starts_with('/') {
        json!({"uri": format!("file://{}", uri(&file.path))})
    } else {
        json!({"uri": uri(&file.path), "uriBaseId": BASE})
    }
}

fn region(file: &Placed, span: Span) -> Value {
    let at = file.range(span);
    json!({
        "startLine": at.line,
        "startColumn": at.column,
        "endLine": at.end_line,
        "endColumn": at.end_column,
    })
}

fn location(file: &Placed, span: Span) -> Value {
    json!({"artifactLocation": artifact(file), "region": region(file, span)})
}

fn rule(rule: &Rule) -> Value {
    let doc = &rule.doc;
    let mut tags = vec![rule.group.word()];
    if rule.safety && rule.group != rules::Group::Safety {
        tags.push(rules::Group::Safety.word());
    }
    json!({
        "id": rule.id,
        "shortDescription": {"text": crate::explain::summary(rule)},
        "fullDescription": {"text": doc.catches.trim()},
        "help": {
            "text": format!("{}\n\n{}", doc.catches.trim(), doc.matters.trim()),
            "markdown": rule.markdown(1),
        },
        "defaultConfiguration": {
            "enabled": rule.level != Level::Off,
            "level": rule.level.severity().map_or("none", level),
        },
        "properties": {"tags": tags},
    })
}

fn result(one: &Shown, rules: &[&'static Rule]) -> Value {
    let finding = &one.finding;
    let text = match &*finding.help {
        "" => finding.message.clone(),
        help => format!("{}\n{help}", finding.message),
    };
    let mut result = json!({
        "ruleId": finding.rule,
        "level": level(finding.severity),
        "message": {"text": text},
        "locations": [{"physicalLocation": location(&one.file, finding.span)}],
        "partialFingerprints": {"gyleFinding/v1": one.fingerprint},
    });
    let Some(out) = result.as_object_mut() else { return result };
    if let Some(at) = rules.iter().position(|rule| rule.id == finding.rule) {
        out.insert("ruleIndex".into(), json!(at));
    }
    // The built-in library lies in no file.
    let related: Vec<Value> = one
        .places()
        .filter(|(_, file)| matches!(file.id, FileId::Workspace(_)))
        .enumerate()
        .map(|(at, (place, file))| {
            json!({
                "id": at,
                "physicalLocation": location(file, place.span),
                "message": {"text": place.message},
            })
        })
        .collect();
    if !related.is_empty() {
        out.insert("relatedLocations".into(), Value::Array(related));
    }
    let fixes: Vec<Value> = finding
        .fixes
        .iter()
        .filter(|fix| !fix.edits.is_empty())
        .map(|fix| {
            let replacements: Vec<Value> = fix
                .edits
                .iter()
                .map(|edit| {
                    json!({
                        "deletedRegion": region(&one.file, edit.span),
                        "insertedContent": {"text": edit.text},
                    })
                })
                .collect();
            json!({
                "description": {"text": fix.title},
                "artifactChanges": [{"artifactLocation": artifact(&one.file), "replacements": replacements}],
            })
        })
        .collect();
    if !fixes.is_empty() {
        out.insert("fixes".into(), Value::Array(fixes));
    }
    result
}

/// `gyle check --output sarif`.
pub(crate) fn findings(checked: &Checked, output: &mut Output) {
    let mut spoke: Vec<&'static Rule> =
        checked.findings.iter().filter_map(|one| rules::find(one.finding.rule)).collect();
    spoke.sort_by_key(|rule| rule.id);
    spoke.dedup_by_key(|rule| rule.id);
    let described: Vec<Value> = spoke.iter().map(|one| rule(one)).collect();
    let results: Vec<Value> = checked.findings.iter().map(|one| result(one, &spoke)).collect();
    let report = json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": {"driver": {
                "name": "gyle",
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "rules": described,
            }},
            "invocations": [{"executionSuccessful": checked.whole}],
            "columnKind": "unicodeCodePoints",
            "originalUriBaseIds": {
                BASE: {"description": {"text": "the folder in which gyle ran"}},
            },
            "results": results,
        }],
    });
    output.line(&format!("{report:#}"));
}
