//! One finding a line, as editors and other programs read the messages of a compiler.

use crate::check::Checked;
use crate::output::Output;
use crate::render::one_line;

/// `PATH:LINE:COLUMN: SEVERITY: MESSAGE [RULE]`.
pub(crate) fn findings(checked: &Checked, output: &mut Output) {
    for one in &checked.findings {
        let (at, finding) = (one.range(), &one.finding);
        output.line(&format!(
            "{}:{}:{}: {}: {} [{}]",
            one.file.path,
            at.line,
            at.column,
            finding.severity.word(),
            one_line(&finding.message),
            finding.rule
        ));
    }
}
