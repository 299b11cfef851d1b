//! Colours of malt and beer as the protocol has them.

use ide::Swatch;
use tower_lsp::lsp_types::{Color, ColorInformation, ColorPresentation, Range, TextEdit};
use workspace::FileState;

use crate::snapshot::{Snapshot, Text};

/// The colours of a file.
pub(crate) fn all(snapshot: &Snapshot, state: &FileState, text: &Text) -> Vec<ColorInformation> {
    let swatches = snapshot.analysis(state.id).map(|analysis| ide::swatches(&snapshot.workspace, &analysis));
    let made = swatches
        .into_iter()
        .flatten()
        .map(|one| ColorInformation { range: text.range(one.span), color: color(one) });
    made.collect()
}

fn color(one: Swatch) -> Color {
    let [red, green, blue] = one.channels.map(|channel| f32::from(channel) / 255.0);
    Color { red, green, blue, alpha: 1.0 }
}

/// The colour at a place in EBC, whatever colour is picked: it comes from the malt, and no other colour can be
/// written there. The edit leaves the text as it is, since a presentation without one would be written instead.
pub(crate) fn presentations(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    range: Range,
) -> Vec<ColorPresentation> {
    let Some(analysis) = snapshot.analysis(state.id) else { return Vec::new() };
    let swatches = ide::swatches(&snapshot.workspace, &analysis);
    let Some(one) = swatches.into_iter().find(|one| text.range(one.span) == range) else { return Vec::new() };
    vec![ColorPresentation {
        label: one.label(),
        text_edit: Some(TextEdit::new(range, one.span.of(&text.text).to_owned())),
        additional_text_edits: None,
    }]
}
