//! `gyle library`: the definitions that recipes may name.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use recipe::{DefPlace, Definition, FileId, Scope};
use syntax::vocabulary::BlockKind;
use workspace::{Loaded, Use, User, Workspace};

use crate::args::LibraryCommand;
use crate::check::{absolute, load, sound_configs};
use crate::output::{Output, complain};

pub(crate) fn run(command: &LibraryCommand, output: &mut Output) -> u8 {
    let done = match command {
        LibraryCommand::List { paths, kind, built_in } => list(paths, kind.as_deref(), *built_in, output),
        LibraryCommand::Show { name, within } => show(name, within, output),
        LibraryCommand::Unused { paths } => unused(paths, output),
        LibraryCommand::WhereUsed { name, within } => where_used(name, within, output),
    };
    match done {
        Ok(code) => code,
        Err(text) => {
            complain(&text);
            2
        }
    }
}

/// Files at hand, and whether everything asked for could be read.
fn at_hand(paths: &[PathBuf]) -> (Workspace, Loaded, bool) {
    let (workspace, loaded, whole) = load(paths, None);
    let sound = sound_configs(&workspace, &loaded.files, &absolute(Path::new(".")));
    (workspace, loaded, whole && sound)
}

/// The kinds of definition, in the order of the shelves.
fn kinds() -> impl Iterator<Item = BlockKind> {
    use BlockKind as K;
    [K::Malt, K::Sugar, K::Hop, K::Yeast, K::Water, K::Addition, K::BrewhouseBlock, K::Style].into_iter()
}

/// Where a definition stands, as a path and a line.
fn place(workspace: &Workspace, definition: &Definition) -> String {
    match definition.place.file {
        FileId::Workspace(_) => workspace.file(definition.place.file).map_or_else(String::new, |state| {
            let line = state.tree.blocks.get(definition.place.anchor as usize).map_or(0, |block| {
                let index =
                    definition.block.lines.iter().position(|line| line.span.end > definition.name_span.start);
                block.line + u32::try_from(index.unwrap_or(0)).unwrap_or(0)
            });
            format!("{}:{}", Workspace::shown_path(&state.path, &absolute(Path::new("."))), line + 1)
        }),
        FileId::Catalogue(_) => "built in".to_owned(),
    }
}

fn list(paths: &[PathBuf], kind: Option<&str>, built_in: bool, output: &mut Output) -> Result<u8, String> {
    let kind = match kind {
        None => None,
        Some(word) => Some(kinds().find(|kind| kind.word() == word).ok_or_else(|| {
            let known: Vec<&str> = kinds().map(BlockKind::word).collect();
            format!("there is no kind of definition `{word}`; there are {}", known.join(", "))
        })?),
    };
    let (workspace, loaded, whole) = at_hand(paths);
    let wanted = |of: BlockKind| kind.is_none_or(|kind| kind == of);
    let mut rows: Vec<[String; 3]> = Vec::new();
    for of in kinds().filter(|of| wanted(*of)) {
        for state in loaded.files.iter().filter_map(|id| workspace.file(*id)) {
            for definition in state.shelf.definitions.iter().filter(|one| one.kind == of) {
                rows.push([of.word().into(), definition.name.to_string(), place(&workspace, definition)]);
            }
        }
        if built_in && let Some(of) = catalogue::Kind::from_word(of.word()) {
            let names = catalogue::definitions(of).map(|one| one.name);
            rows.extend(names.map(|name| [of.word().into(), name.to_owned(), "built in".to_owned()]));
        }
    }
    table(&rows, output);
    Ok(if whole { 0 } else { 2 })
}

/// Every definition of this name that a file below the folder could mean, one for each kind.
fn named(workspace: &Workspace, files: &[FileId], name: &str) -> Result<Vec<Arc<Definition>>, String> {
    let scopes: Vec<&Scope> =
        files.iter().filter_map(|id| workspace.file(*id)).map(|state| workspace.scope(state)).collect();
    let nowhere = Scope::default();
    let scopes = if scopes.is_empty() { vec![&nowhere] } else { scopes };
    let mut found: Vec<Arc<Definition>> = Vec::new();
    for scope in &scopes {
        for one in kinds().filter_map(|kind| scope.find(kind, name)) {
            if !found.iter().any(|known| known.place == one.definition.place) {
                found.push(one.definition);
            }
        }
    }
    // The built-in one counts only where no file means another one by its name.
    let house: Vec<BlockKind> = found.iter().filter(|one| is_house(one)).map(|one| one.kind).collect();
    found.retain(|one| is_house(one) || !house.contains(&one.kind));
    if found.is_empty() {
        let near = scopes.iter().find_map(|scope| kinds().find_map(|kind| scope.nearest(kind, name)));
        return Err(match near {
            Some(near) => format!("nothing is called `{name}`; did you mean `{near}`?"),
            None => format!("nothing is called `{name}`; `gyle library list --built-in` lists what there is"),
        });
    }
    Ok(found)
}

fn is_house(definition: &Definition) -> bool {
    matches!(definition.place.file, FileId::Workspace(_))
}

fn show(name: &str, within: &Path, output: &mut Output) -> Result<u8, String> {
    let (workspace, loaded, whole) = at_hand(&[within.to_path_buf()]);
    for (at, definition) in named(&workspace, &loaded.files, name)?.iter().enumerate() {
        if at > 0 {
            output.line("");
        }
        output.line(&format!("# {}", place(&workspace, definition)));
        output.line(definition.block.text.trim_end());
        // What it takes over has its own text; the reader should not have to look each up.
        let scopes =
            loaded.files.iter().filter_map(|id| workspace.file(*id)).map(|state| workspace.scope(state));
        let lineage = scopes
            .map(|scope| scope.lineage(definition.kind, &definition.name))
            .find(|lineage| lineage.first().is_some_and(|first| first.place == definition.place));
        for next in lineage.iter().flatten().skip(1) {
            output.line("");
            output.line(&format!("# from {}, {}", next.name, place(&workspace, next)));
            output.line(next.block.text.trim_end());
        }
    }
    Ok(if whole { 0 } else { 2 })
}

fn unused(paths: &[PathBuf], output: &mut Output) -> Result<u8, String> {
    let (workspace, loaded, whole) = at_hand(paths);
    let used: Vec<DefPlace> = workspace.uses().into_iter().map(|one| one.of).collect();
    let mut rows: Vec<[String; 3]> = Vec::new();
    for state in loaded.files.iter().filter_map(|id| workspace.file(*id)) {
        for definition in state.shelf.definitions.iter().filter(|one| !used.contains(&one.place)) {
            rows.push([
                definition.kind.word().into(),
                definition.name.to_string(),
                place(&workspace, definition),
            ]);
        }
    }
    table(&rows, output);
    Ok(if whole { 0 } else { 2 })
}

fn where_used(name: &str, within: &Path, output: &mut Output) -> Result<u8, String> {
    let (workspace, loaded, whole) = at_hand(&[within.to_path_buf()]);
    let places: Vec<DefPlace> = named(&workspace, &loaded.files, name)?.iter().map(|one| one.place).collect();
    let mut rows: Vec<[String; 3]> = Vec::new();
    let here = absolute(Path::new("."));
    for Use { of, by, file } in workspace.uses() {
        let Some(state) = workspace.file(file).filter(|_| places.contains(&of)) else { continue };
        let (what, called) = match by {
            User::Recipe(name) => ("recipe", name),
            User::Log(id) => ("log", id),
            User::Definition(kind, name) => (kind.word(), name),
        };
        let row = [what.to_owned(), called.to_string(), Workspace::shown_path(&state.path, &here)];
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    table(&rows, output);
    Ok(if whole { 0 } else { 2 })
}

fn table(rows: &[[String; 3]], output: &mut Output) {
    let width = |at: usize| rows.iter().map(|row| row[at].chars().count()).max().unwrap_or(0);
    let (first, second) = (width(0), width(1));
    for [kind, name, place] in rows {
        output.line(&format!("{kind:<first$}  {name:<second$}  {place}"));
    }
}
