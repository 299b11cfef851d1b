//! The form of a line as the protocol has it.

use ide::Signature;
use tower_lsp::lsp_types::{
    Documentation, ParameterInformation, ParameterLabel, Position, SignatureHelp, SignatureInformation,
};
use workspace::FileState;

use crate::snapshot::{Snapshot, Text};

/// The form of the line at a position.
pub(crate) fn at(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
) -> Option<SignatureHelp> {
    let found = ide::signature(&snapshot.workspace, state.id, text.offset(position))?;
    let active = found.active.and_then(|at| u32::try_from(at).ok());
    let parameters =
        (0..found.parts.len()).map(|at| parameter(&found, at, snapshot.client.label_offsets)).collect();
    let signature = SignatureInformation {
        documentation: Some(Documentation::String(found.documentation.to_owned())),
        label: found.label,
        parameters: Some(parameters),
        active_parameter: active,
    };
    Some(SignatureHelp { signatures: vec![signature], active_signature: Some(0), active_parameter: active })
}

fn parameter(found: &Signature, at: usize, offsets: bool) -> ParameterInformation {
    let range = found.parts.get(at).cloned().unwrap_or_default();
    let label = if offsets {
        // Counted in UTF-16 whatever was agreed for positions.
        let count = |end: usize| {
            let text = found.label.get(..end).unwrap_or("");
            u32::try_from(text.encode_utf16().count()).unwrap_or(u32::MAX)
        };
        ParameterLabel::LabelOffsets([count(range.start), count(range.end)])
    } else {
        ParameterLabel::Simple(found.label.get(range).unwrap_or("").to_owned())
    };
    ParameterInformation { label, documentation: None }
}
