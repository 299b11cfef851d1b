//! Remarks above lines as the protocol has them.

use ide::{Lens, LensKind};
use serde::{Deserialize, Serialize};
use serde_json::json;
use syntax::Span;
use tower_lsp::lsp_types::{CodeLens, Command, Url};
use workspace::FileState;

use crate::navigation::Places;
use crate::snapshot::{Snapshot, Text};

/// What a client runs to show places; it takes a uri, a position and locations.
pub(crate) const SHOW: &str = "gyle.showReferences";

/// What a lens carries to be made out when it comes into view.
#[derive(Serialize, Deserialize)]
struct Data {
    uri: Url,
    /// Of the text it was made for.
    version: Option<i32>,
    start: u32,
    end: u32,
    tasting: bool,
}

/// The lenses of a file, without what they say.
pub(crate) fn all(snapshot: &Snapshot, state: &FileState, text: &Text) -> Option<Vec<CodeLens>> {
    let uri = snapshot.uri(state.id)?;
    let version = snapshot.version(state.id);
    let made = ide::lenses(&snapshot.workspace, state.id).into_iter().filter_map(|lens| {
        let data = Data {
            uri: uri.clone(),
            version,
            start: lens.span.start,
            end: lens.span.end,
            tasting: lens.kind == LensKind::Tasting,
        };
        Some(CodeLens {
            range: text.range(lens.span),
            command: None,
            data: Some(serde_json::to_value(data).ok()?),
        })
    });
    Some(made.collect())
}

/// A lens with what it says; nothing where the text has changed since it was made.
pub(crate) fn resolved(snapshot: &Snapshot, mut lens: CodeLens) -> Option<CodeLens> {
    let data: Data = serde_json::from_value(lens.data.clone()?).ok()?;
    let state = snapshot.file(&data.uri)?;
    if snapshot.version(state.id) != data.version {
        return None;
    }
    let kind = if data.tasting { LensKind::Tasting } else { LensKind::Uses };
    let about = Lens { span: Span::new(data.start, data.end), kind };
    let remark = ide::remark(&snapshot.workspace, snapshot.uses(), state.id, about)?;
    let mut places = Places::new(snapshot);
    let shown: Vec<_> = remark.places.into_iter().filter_map(|place| places.location(place)).collect();
    // A client that cannot show places is told all the same.
    let can = snapshot.client.commands.iter().any(|command| command == SHOW) && !shown.is_empty();
    lens.command = Some(Command {
        title: remark.title,
        command: if can { SHOW.to_owned() } else { String::new() },
        arguments: can.then(|| vec![json!(data.uri), json!(lens.range.start), json!(shown)]),
    });
    Some(lens)
}
