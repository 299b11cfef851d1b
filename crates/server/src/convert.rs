//! Between bytes and what the protocol counts, findings and diagnostics, edits and text edits.

use rules::{Finding, Severity};
use serde_json::json;
use syntax::{Edit, LineCol, Span};
use tower_lsp::lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag,
    NumberOrString, Position, Range, TextEdit,
};
use workspace::ConfigError;

use crate::navigation::Places;
use crate::snapshot::{Snapshot, Text, rule_uri};

impl Text {
    /// A byte as a position.
    pub(crate) fn position(&self, offset: u32) -> Position {
        let at = self.lines.line_col(&self.text, offset, self.encoding);
        Position::new(at.line, at.col)
    }

    /// Bytes as a range.
    pub(crate) fn range(&self, span: Span) -> Range {
        Range::new(self.position(span.start), self.position(span.end))
    }

    /// A position as a byte; one past the text is held at its end.
    pub(crate) fn offset(&self, position: Position) -> u32 {
        let at = LineCol { line: position.line, col: position.character };
        self.lines.offset(&self.text, at, self.encoding)
    }

    /// A range as bytes.
    pub(crate) fn span(&self, range: Range) -> Span {
        let (start, end) = (self.offset(range.start), self.offset(range.end));
        Span::new(start.min(end), start.max(end))
    }

    /// Edits as the protocol has them.
    pub(crate) fn edits(&self, edits: &[Edit]) -> Vec<TextEdit> {
        edits.iter().map(|edit| TextEdit::new(self.range(edit.span), edit.text.clone())).collect()
    }
}

/// Findings of one file as diagnostics.
pub(crate) fn diagnostics(snapshot: &Snapshot, text: &Text, findings: &[Finding]) -> Vec<Diagnostic> {
    let Some(first) = findings.first() else { return Vec::new() };
    let mut places = Places::beside(snapshot, first.file, text);
    findings.iter().map(|finding| diagnostic(snapshot, text, &mut places, finding)).collect()
}

/// Rules whose findings are of what may go.
const UNNECESSARY: [&str; 2] = ["stale-allowance", "unused-definition"];

fn diagnostic(snapshot: &Snapshot, text: &Text, places: &mut Places<'_>, finding: &Finding) -> Diagnostic {
    let related = snapshot.client.related.then(|| {
        finding
            .related
            .iter()
            .filter_map(|related| {
                let place = ide::Location { file: related.file, span: related.span };
                let location = places.location(place)?;
                Some(DiagnosticRelatedInformation { location, message: related.message.clone() })
            })
            .collect::<Vec<_>>()
    });
    let unnecessary = UNNECESSARY.contains(&finding.rule);
    Diagnostic {
        range: text.range(finding.span),
        severity: Some(match finding.severity {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
            Severity::Hint => DiagnosticSeverity::HINT,
        }),
        code: Some(NumberOrString::String(finding.rule.to_owned())),
        code_description: snapshot
            .client
            .describes
            .then(|| rule_uri(finding.rule).map(|href| CodeDescription { href }))
            .flatten(),
        source: Some("gyle".to_owned()),
        message: if finding.help.is_empty() {
            finding.message.clone()
        } else {
            format!("{}\n{}", finding.message, finding.help)
        },
        related_information: related.filter(|related| !related.is_empty()),
        tags: unnecessary.then(|| vec![DiagnosticTag::UNNECESSARY]),
        data: (!finding.fixes.is_empty())
            .then(|| json!({"fixes": finding.fixes.iter().map(|fix| &fix.title).collect::<Vec<_>>()})),
    }
}

/// What is wrong with a `gyle.toml`, as diagnostics of that file.
pub(crate) fn config_diagnostics(errors: &[ConfigError], text: &Text) -> Vec<Diagnostic> {
    let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let made = errors.iter().map(|error| Diagnostic {
        range: text.range(Span::new(offset(error.span.start), offset(error.span.end))),
        severity: Some(DiagnosticSeverity::ERROR),
        source: Some("gyle".to_owned()),
        message: format!("{}\n{}", error.message, error.help),
        ..Diagnostic::default()
    });
    made.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_of_what_may_go_exist() {
        for id in UNNECESSARY {
            assert!(rules::find(id).is_some(), "{id}");
        }
    }
}
