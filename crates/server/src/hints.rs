//! Values beside lines.

use ide::HintKind;
use serde::{Deserialize, Serialize};
use tower_lsp::lsp_types::{
    InlayHint, InlayHintLabel, InlayHintLabelPart, InlayHintTooltip, MarkupContent, MarkupKind, Range, Url,
};
use workspace::FileState;

use crate::navigation::Places;
use crate::snapshot::{Snapshot, Text};

/// What a hint carries to be explained when somebody looks at it.
#[derive(Serialize, Deserialize)]
struct Data {
    uri: Url,
    /// Of the text it was made for.
    version: i32,
    offset: u32,
    kind: String,
}

/// The hints of a range, as far as they are switched on.
pub(crate) fn within(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    range: Range,
) -> Option<Vec<InlayHint>> {
    if !snapshot.settings.hints {
        return None;
    }
    let open = snapshot.open.get(&state.id)?;
    let analysis = snapshot.analysis(state.id)?;
    let is_on = |kind: HintKind| !snapshot.settings.hints_off.iter().any(|off| off == kind.id());
    let hints = ide::hints(&snapshot.workspace, &analysis, text.span(range));
    let mut places = Places::beside(snapshot, state.id, text);
    let mut last = None;
    let made = hints.into_iter().filter(|hint| is_on(hint.kind)).map(|hint| {
        // Editors set one gap before all that stands at a place: within it the values are told apart by a comma.
        let follows = last.replace(hint.offset) == Some(hint.offset);
        let location = hint.target.and_then(|place| places.location(place));
        let data = Data {
            uri: open.uri.clone(),
            version: open.version,
            offset: hint.offset,
            kind: hint.kind.id().to_owned(),
        };
        let value = if follows { format!(", {}", hint.label) } else { hint.label };
        let part = InlayHintLabelPart { value, location, ..InlayHintLabelPart::default() };
        InlayHint {
            position: text.position(hint.offset),
            label: InlayHintLabel::LabelParts(vec![part]),
            kind: None,
            text_edits: None,
            tooltip: None,
            padding_left: Some(!follows),
            padding_right: None,
            data: serde_json::to_value(data).ok(),
        }
    });
    Some(made.collect())
}

/// A hint with the explanation of its value; nothing where the text has changed since it was made.
pub(crate) fn resolved(snapshot: &Snapshot, mut hint: InlayHint) -> Option<InlayHint> {
    let data: Data = serde_json::from_value(hint.data.clone()?).ok()?;
    let state = snapshot.file(&data.uri)?;
    if snapshot.open.get(&state.id)?.version != data.version {
        return None;
    }
    let analysis = snapshot.analysis(state.id)?;
    let kind = HintKind::from_id(&data.kind)?;
    let value = ide::hint_tooltip(&snapshot.workspace, &analysis, data.offset, kind)?;
    hint.tooltip = Some(InlayHintTooltip::MarkupContent(MarkupContent { kind: MarkupKind::Markdown, value }));
    Some(hint)
}
