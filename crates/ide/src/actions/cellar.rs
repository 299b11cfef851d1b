//! A definition moved to the cellar, where every recipe finds it.

use recipe::FileId;
use syntax::ast::Placed;
use syntax::vocabulary::BlockKind;
use syntax::{Edit, Span};
use workspace::FileState;

use super::{ActionKind, Change, Cx, Offered};

pub(super) const ACTION: Offered = Offered { id: "cellar", kind: ActionKind::Extract, offer, change };

/// The definition at the place: its block, in a file that is not of the cellar itself.
fn definition<'a>(cx: &Cx<'a>) -> Option<(&'a Placed, Span)> {
    let blocks = &cx.state.tree.blocks;
    let at = blocks.partition_point(|placed| placed.start <= cx.span.start).checked_sub(1)?;
    let placed = blocks.get(at)?;
    let block = &placed.block;
    let is_one = block.kind.is_definition() && block.entries_as == block.kind && block.header().is_some();
    // What has lost its indent below it belongs to it, and cannot be moved along.
    let alone = blocks.get(at + 1).is_none_or(|next| next.block.entries_as == next.block.kind);
    (is_one && alone && !cx.workspace.is_library(cx.state)).then_some(())?;
    let end = placed.start + u32::try_from(block.text.len()).ok()?;
    Some((placed, Span::new(placed.start, end)))
}

/// The file of the cellar it goes to: the one that holds the most of its kind.
fn cellar<'a>(cx: &Cx<'a>, kind: BlockKind) -> Option<&'a FileState> {
    let files = cx.workspace.library_files(cx.state);
    let files = files.into_iter().filter_map(|id| cx.workspace.file(id)).map(|file| &**file);
    let count = |file: &FileState| file.tree.blocks.iter().filter(|placed| placed.block.kind == kind).count();
    // Of several the first by its path.
    let mut best: Option<(usize, &FileState)> = None;
    for file in files {
        let holds = count(file);
        if best.is_none_or(|(most, _)| holds > most) {
            best = Some((holds, file));
        }
    }
    best.map(|(_, file)| file)
}

fn name(placed: &Placed) -> Option<&str> {
    let header = placed.block.header()?;
    Some(header.name()?.span.of(&placed.block.text))
}

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, _)) = definition(cx) else { return };
    let Some(file) = cellar(cx, placed.block.kind) else { return };
    let Some(to) = file.path.file_name().and_then(|name| name.to_str()) else { return };
    if let Some(name) = name(placed).or_else(|| defined(cx, placed)) {
        add(String::new(), format!("Move {name} to the cellar ({to})"));
    }
}

/// The name of a definition whose header has it in quotes.
fn defined<'a>(cx: &Cx<'a>, placed: &Placed) -> Option<&'a str> {
    let anchor = cx.state.tree.blocks.iter().position(|one| one.start == placed.start)?;
    let at = |definition: &&std::sync::Arc<recipe::Definition>| {
        usize::try_from(definition.place.anchor) == Ok(anchor)
    };
    cx.state.shelf.definitions.iter().find(at).map(|definition| &*definition.name)
}

fn change(cx: &Cx<'_>, _: &str) -> Option<Change> {
    let (placed, whole) = definition(cx)?;
    let file = cellar(cx, placed.block.kind)?;
    // Another of the name there would be shadowed or clash.
    let own = defined(cx, placed)?;
    if file
        .shelf
        .definitions
        .iter()
        .any(|one| one.kind == placed.block.kind && catalogue::fold(&one.name) == catalogue::fold(own))
    {
        return None;
    }
    let end = if file.text.contains("\r\n") { "\r\n" } else { "\n" };
    let body: Vec<&str> = placed.block.text.trim_end().lines().collect();
    let mut text = String::new();
    if !file.text.is_empty() {
        let there = file.text.trim_end_matches([' ', '\t']);
        let ends = if there.ends_with('\n') { 1 } else { 0 };
        let blank = there.trim_end_matches(['\r', '\n']).len() + end.len() < there.len();
        text.push_str(&end.repeat(if blank { 0 } else { 2 - ends }));
    }
    for line in body {
        text.push_str(line);
        text.push_str(end);
    }
    let at = Span::at(u32::try_from(file.text.len()).ok()?);
    let there = vec![Edit { span: at, text }];
    let here = vec![Edit { span: whole, text: String::new() }];
    let edits: Vec<(FileId, Vec<Edit>)> = vec![(cx.state.id, here), (file.id, there)];
    Some(Change { edits, ..Change::default() })
}

#[cfg(test)]
mod tests {
    use syntax::Span;

    use super::super::{action_change, tests::offered};
    use crate::fixture::Fixture;

    const BEER: &str = "\
recipe \"é\"
  batch     20 L

# from the mill next door
$0malt \"Größe 🌾\"
  extract             81 %

grist
  4 kg      Größe 🌾
";
    const CELLAR: &[(&str, &str)] = &[
        ("/r/cellar/hops.gyle", "hop Saaz\n  alpha               4 %\n"),
        ("/r/cellar/malts.gyle", "malt own\n  extract             80 %\n"),
    ];

    #[test]
    fn moves_the_block_to_its_like() {
        let fixture = Fixture::with(BEER, CELLAR);
        let offers = offered(&fixture);
        assert!(
            offers.contains(&"cellar : Move Größe 🌾 to the cellar (malts.gyle)".to_owned()),
            "{offers:?}"
        );
        let analysis = fixture.analysis();
        let change =
            action_change(&fixture.workspace, &analysis, Span::at(fixture.offset), "cellar", "", None);
        let mut workspace = fixture.workspace.clone();
        for (file, edits) in change.map(|change| change.edits).unwrap_or_default() {
            let Some(state) = workspace.file(file) else { continue };
            let (path, text) = (state.path.clone(), syntax::apply(&state.text, &edits));
            workspace = workspace.with_text(&path, &text).0;
        }
        let text = |path: &str| {
            let id = workspace.file_at(std::path::Path::new(path));
            id.and_then(|id| workspace.file(id)).map(|state| state.text.to_string()).unwrap_or_default()
        };
        assert_eq!(
            text("/r/cellar/malts.gyle"),
            "malt own\n  extract             80 %\n\n# from the mill next door\nmalt \"Größe 🌾\"\n  extract             81 %\n"
        );
        assert_eq!(text("/r/a.gyle"), "recipe \"é\"\n  batch     20 L\n\ngrist\n  4 kg      Größe 🌾\n");
        let id = workspace.file_at(std::path::Path::new("/r/a.gyle"));
        let analysis = id.and_then(|id| workspace.analyse(id));
        let found = analysis.is_some_and(|one| one.recipes[0].recipe.grist[0].thing.definition.is_some());
        assert!(found, "the recipe still finds its malt");
    }

    #[test]
    fn nothing_where_there_is_no_cellar_or_it_has_the_name() {
        let none = Fixture::new(BEER);
        assert!(!offered(&none).iter().any(|one| one.starts_with("cellar")));
        let there = Fixture::with(
            BEER,
            &[("/r/cellar/malts.gyle", "malt \"grosse 🌾\"\n  extract             80 %\n")],
        );
        let analysis = there.analysis();
        let at = Span::at(there.offset);
        assert_eq!(action_change(&there.workspace, &analysis, at, "cellar", "", None), None);
    }
}
