//! Where things are named and used, and the shape of a file, as the protocol has them.

use std::collections::HashMap;

use ide::{FoldKind, LinkTo, Renaming, SymbolKind, Use};
use recipe::FileId;
use tower_lsp::lsp_types::{
    DocumentHighlight, DocumentHighlightKind, DocumentLink, DocumentSymbol, DocumentSymbolResponse,
    FileRename, FoldingRange, FoldingRangeKind, GotoDefinitionResponse, Location, LocationLink, Position,
    PrepareRenameResponse, Range, SelectionRange, SymbolInformation, SymbolKind as Kind, Url, WorkspaceEdit,
};
use workspace::FileState;

use crate::actions::workspace_edit;
use crate::built_in;
use crate::snapshot::{Snapshot, Text, path_of};

/// The file whose names stand in a document: in a copy of the built-in library those of the library.
fn meant(state: &FileState) -> FileId {
    built_in::file_at(&state.path).map_or(state.id, FileId::Catalogue)
}

/// Places as the client knows them; the lines of each file are counted once.
pub(crate) struct Places<'a> {
    snapshot: &'a Snapshot,
    files: HashMap<FileId, Option<(Url, Text)>>,
}

impl<'a> Places<'a> {
    pub(crate) fn new(snapshot: &'a Snapshot) -> Self {
        Self { snapshot, files: HashMap::new() }
    }

    /// The same where the text of a file is at hand.
    pub(crate) fn beside(snapshot: &'a Snapshot, file: FileId, text: &Text) -> Self {
        let known = snapshot.uri(file).map(|uri| (uri, text.clone()));
        Self { snapshot, files: HashMap::from([(file, known)]) }
    }

    pub(crate) fn location(&mut self, place: ide::Location) -> Option<Location> {
        let known = self
            .files
            .entry(place.file)
            .or_insert_with(|| Some((self.snapshot.uri(place.file)?, self.snapshot.text(place.file)?)));
        let (uri, text) = known.as_ref()?;
        Some(Location::new(uri.clone(), text.range(place.span)))
    }
}

/// Where the name at a position is given.
pub(crate) fn definition(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
) -> Option<GotoDefinitionResponse> {
    let origin = ide::definition(&snapshot.workspace, meant(state), text.offset(position))
        .or_else(|| ide::definition(&snapshot.workspace, state.id, text.offset(position)))?;
    let home = Places::beside(snapshot, state.id, text).location(origin.home)?;
    if !snapshot.client.links_of_definitions {
        return Some(GotoDefinitionResponse::Scalar(home));
    }
    Some(GotoDefinitionResponse::Link(vec![LocationLink {
        origin_selection_range: Some(text.range(origin.name)),
        target_uri: home.uri,
        target_range: home.range,
        target_selection_range: home.range,
    }]))
}

/// Every place where what is named at a position is named.
pub(crate) fn references(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
    declaration: bool,
) -> Vec<Location> {
    let uses = ide::references(&snapshot.workspace, meant(state), text.offset(position));
    let mut places = Places::new(snapshot);
    uses.iter()
        .filter(|one| declaration || !one.declares)
        .filter_map(|one| places.location(one.place))
        .collect()
}

/// Every place of the file where what is named at a position is named.
pub(crate) fn highlights(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
) -> Vec<DocumentHighlight> {
    let kind = |one: &Use| {
        if one.declares { DocumentHighlightKind::WRITE } else { DocumentHighlightKind::READ }
    };
    ide::highlights(&snapshot.workspace, state.id, text.offset(position))
        .iter()
        .map(|one| DocumentHighlight { range: text.range(one.place.span), kind: Some(kind(one)) })
        .collect()
}

/// The words a renaming would replace, or why there is none.
pub(crate) fn prepare_rename(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
) -> Result<PrepareRenameResponse, String> {
    let span = ide::prepare_rename(&snapshot.workspace, meant(state), text.offset(position))?;
    Ok(PrepareRenameResponse::RangeWithPlaceholder {
        range: text.range(span),
        placeholder: span.of(&text.text).to_owned(),
    })
}

/// Gives what is named at a position another name.
pub(crate) fn rename(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    position: Position,
    name: &str,
) -> Result<WorkspaceEdit, String> {
    let renamings = ide::rename(&snapshot.workspace, meant(state), text.offset(position), name)?;
    Ok(edit(snapshot, &renamings))
}

/// Writes new paths where files are about to move.
pub(crate) fn moved(snapshot: &Snapshot, files: &[FileRename]) -> Option<WorkspaceEdit> {
    let path = |uri: &str| Url::parse(uri).ok().map(|uri| path_of(&uri));
    let moved: Vec<_> =
        files.iter().filter_map(|file| Some((path(&file.old_uri)?, path(&file.new_uri)?))).collect();
    let moved: Vec<_> = moved.iter().map(|(old, new)| (old.as_path(), new.as_path())).collect();
    let renamings = ide::moved_files(&snapshot.workspace, &moved);
    (!renamings.is_empty()).then(|| edit(snapshot, &renamings))
}

fn edit(snapshot: &Snapshot, renamings: &[Renaming]) -> WorkspaceEdit {
    let changes = renamings.iter().filter_map(|renaming| {
        let version = snapshot.version(renaming.file);
        let edits = snapshot.text(renaming.file)?.edits(&renaming.edits);
        Some((snapshot.uri(renaming.file)?, version, edits))
    });
    workspace_edit(snapshot, changes.collect())
}

const fn kind(kind: SymbolKind) -> Kind {
    match kind {
        SymbolKind::Recipe => Kind::CLASS,
        SymbolKind::Log => Kind::EVENT,
        SymbolKind::Definition => Kind::CONSTANT,
        SymbolKind::Let => Kind::VARIABLE,
        SymbolKind::Use => Kind::FILE,
        SymbolKind::Block => Kind::METHOD,
    }
}

/// The outline of a file, as a tree where the client takes one.
pub(crate) fn symbols(snapshot: &Snapshot, state: &FileState, text: &Text) -> Option<DocumentSymbolResponse> {
    let symbols = ide::document_symbols(&snapshot.workspace, state.id);
    if snapshot.client.outline_is_tree {
        let tree = symbols.iter().map(|symbol| nested(text, symbol)).collect();
        return Some(DocumentSymbolResponse::Nested(tree));
    }
    let uri = snapshot.uri(state.id)?;
    let mut flat = Vec::new();
    for symbol in &symbols {
        flat.push(information(&uri, text, symbol, None));
        flat.extend(symbol.children.iter().map(|child| information(&uri, text, child, Some(&symbol.name))));
    }
    Some(DocumentSymbolResponse::Flat(flat))
}

#[allow(deprecated, reason = "the type has a field that is no longer used")]
fn nested(text: &Text, symbol: &ide::Symbol) -> DocumentSymbol {
    DocumentSymbol {
        name: symbol.name.clone(),
        detail: (!symbol.detail.is_empty()).then(|| symbol.detail.clone()),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        range: text.range(symbol.span),
        selection_range: text.range(symbol.name_span),
        children: (!symbol.children.is_empty())
            .then(|| symbol.children.iter().map(|child| nested(text, child)).collect()),
    }
}

#[allow(deprecated, reason = "the type has a field that is no longer used")]
fn information(uri: &Url, text: &Text, symbol: &ide::Symbol, within: Option<&str>) -> SymbolInformation {
    SymbolInformation {
        name: symbol.name.clone(),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        location: Location::new(uri.clone(), text.range(symbol.span)),
        container_name: within.map(str::to_owned),
    }
}

/// Most symbols of all files in one answer; who looks for more writes more of the name.
const MOST: usize = 1000;

/// What of all files can be gone to by name.
#[allow(deprecated, reason = "the type has a field that is no longer used")]
pub(crate) fn workspace_symbols(snapshot: &Snapshot, query: &str) -> Vec<SymbolInformation> {
    let found = ide::workspace_symbols(&snapshot.workspace, query).into_iter().take(MOST);
    let mut places = Places::new(snapshot);
    found
        .filter_map(|one| {
            Some(SymbolInformation {
                name: one.name,
                kind: kind(one.kind),
                tags: None,
                deprecated: None,
                location: places.location(one.place)?,
                container_name: Some(one.detail),
            })
        })
        .collect()
}

/// What can be folded.
pub(crate) fn folding(snapshot: &Snapshot, state: &FileState, text: &Text) -> Vec<FoldingRange> {
    ide::folding(&snapshot.workspace, state.id)
        .into_iter()
        .map(|fold| {
            let Range { start, end } = text.range(fold.span);
            FoldingRange {
                start_line: start.line,
                end_line: end.line,
                kind: match fold.kind {
                    FoldKind::Block => None,
                    FoldKind::Comment => Some(FoldingRangeKind::Comment),
                    FoldKind::Uses => Some(FoldingRangeKind::Imports),
                },
                ..FoldingRange::default()
            }
        })
        .collect()
}

/// What a selection grows to, for each position.
pub(crate) fn selections(
    snapshot: &Snapshot,
    state: &FileState,
    text: &Text,
    positions: &[Position],
) -> Vec<SelectionRange> {
    let at = |position: &Position| {
        let spans = ide::selection(&snapshot.workspace, state.id, text.offset(*position));
        let outer = spans.iter().rev().fold(None, |parent, span| {
            Some(SelectionRange { range: text.range(*span), parent: parent.map(Box::new) })
        });
        outer.unwrap_or(SelectionRange { range: Range::new(*position, *position), parent: None })
    };
    positions.iter().map(at).collect()
}

/// Links of a file.
pub(crate) fn links(snapshot: &Snapshot, state: &FileState, text: &Text) -> Vec<DocumentLink> {
    ide::links(&snapshot.workspace, state.id)
        .into_iter()
        .filter_map(|link| {
            let target = match link.to {
                LinkTo::File(file) => snapshot.uri(file)?,
                LinkTo::Address(address) => Url::parse(&address).ok()?,
            };
            Some(DocumentLink {
                range: text.range(link.span),
                target: Some(target),
                tooltip: None,
                data: None,
            })
        })
        .collect()
}
