//! The outline of a file, and what of all files can be gone to by name.

use recipe::FileId;
use syntax::Span;
use syntax::ast::{Body, Entry, Placed};
use syntax::vocabulary::{BlockKind, ClauseWord};
use workspace::{FileState, Workspace};

use crate::places::Location;

/// What a symbol is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SymbolKind {
    /// A recipe.
    Recipe,
    /// A log.
    Log,
    /// A malt, hop and so on.
    Definition,
    /// A named value.
    Let,
    /// A file that is used.
    Use,
    /// Another block.
    Block,
}

/// Something of a file that can be gone to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// What it is called.
    pub name: String,
    /// A short remark.
    pub detail: String,
    /// What it is.
    pub kind: SymbolKind,
    /// All of it, its own symbols included.
    pub span: Span,
    /// Its name or header, inside `span`.
    pub name_span: Span,
    /// What belongs to it, in the order of the text.
    pub children: Vec<Symbol>,
}

/// The outline of a file: recipes with their blocks, logs with their tastings, definitions.
#[must_use]
pub fn document_symbols(workspace: &Workspace, file: FileId) -> Vec<Symbol> {
    let Some(state) = workspace.file(file) else { return Vec::new() };
    let blocks = &state.tree.blocks;
    let units = &state.units;
    let owners = units
        .recipes
        .iter()
        .map(|unit| &unit.blocks)
        .chain(units.logs.iter().map(|unit| &unit.blocks))
        .collect::<Vec<_>>();
    let mut symbols = Vec::new();
    for (at, placed) in blocks.iter().enumerate() {
        let number = u32::try_from(at).unwrap_or(u32::MAX);
        if owners.iter().any(|owned| owned.first() != Some(&number) && owned.contains(&number)) {
            continue;
        }
        let Some(mut symbol) = symbol(placed) else { continue };
        if let Some(owned) = owners.iter().find(|owned| owned.first() == Some(&number)) {
            let own = owned.iter().skip(1).filter_map(|at| symbol_of(state, *at));
            symbol.children.extend(own);
            for child in &symbol.children {
                symbol.span = symbol.span.cover(child.span);
            }
        }
        symbols.push(symbol);
    }
    symbols
}

fn symbol_of(state: &FileState, at: u32) -> Option<Symbol> {
    symbol(state.tree.blocks.get(at as usize)?)
}

/// A block as a symbol, without what belongs to it.
fn symbol(placed: &Placed) -> Option<Symbol> {
    let block = &placed.block;
    // A line that has lost its indent belongs to the block above.
    if block.kind != block.entries_as || matches!(block.kind, BlockKind::Preamble | BlockKind::Unknown) {
        return None;
    }
    let header = block.lines.iter().find_map(|line| match &line.body {
        Body::Header(entry) => Some((entry.span, Some(&**entry))),
        Body::Broken(span) => Some((*span, None)),
        _ => None,
    });
    let (span, entry) = header?;
    let word = block.kind.word();
    let tail = block.slice(span).get(word.len()..).unwrap_or("").trim();
    let named = matches!(block.kind, BlockKind::Recipe | BlockKind::Use | BlockKind::Let | BlockKind::Gyle)
        || block.kind.is_definition();
    let name_span = entry.filter(|_| named).and_then(own_name).unwrap_or(span);
    let (name, detail) = if named && name_span != span {
        (block.slice(name_span).to_owned(), detail(block.kind, entry, &block.text))
    } else if named {
        (block.slice(span).to_owned(), String::new())
    } else {
        (word.to_owned(), tail.to_owned())
    };
    let last = block.lines.iter().rev().find(|line| !matches!(line.body, Body::Blank | Body::Comment))?;
    Some(Symbol {
        name,
        detail,
        kind: match block.kind {
            BlockKind::Recipe => SymbolKind::Recipe,
            BlockKind::Gyle => SymbolKind::Log,
            BlockKind::Let => SymbolKind::Let,
            BlockKind::Use => SymbolKind::Use,
            kind if kind.is_definition() => SymbolKind::Definition,
            _ => SymbolKind::Block,
        },
        span: span.cover(last.span).shift(placed.start),
        name_span: name_span.shift(placed.start),
        children: Vec::new(),
    })
}

/// Where the name of a header stands, without quotes.
fn own_name(entry: &Entry) -> Option<Span> {
    entry
        .parts
        .iter()
        .find_map(|part| match part {
            syntax::ast::Part::Name(name) => Some(name.span),
            syntax::ast::Part::Value(value) => match value.kind {
                syntax::ast::ValueKind::Str(span) => Some(span),
                _ => Some(value.span),
            },
            _ => None,
        })
        .filter(|span| !span.is_empty())
}

fn detail(kind: BlockKind, entry: Option<&Entry>, text: &str) -> String {
    match (kind, entry) {
        (BlockKind::Gyle, Some(entry)) => {
            let recipe = entry.value().map_or("", |value| value.span.of(text)).trim_matches('"');
            let date =
                entry.clauses().find(|clause| matches!(clause.word, ClauseWord::On | ClauseWord::Planned));
            let date = date.map_or("", |clause| clause.span.of(text));
            format!("{recipe} {date}").trim().to_owned()
        }
        (BlockKind::Let, Some(entry)) => entry.value().map_or("", |value| value.span.of(text)).to_owned(),
        (kind, _) => kind.word().to_owned(),
    }
}

/// Something of any file that can be gone to by name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// What it is called.
    pub name: String,
    /// What it is, in a word: `recipe`, `malt`.
    pub detail: String,
    /// What it is.
    pub kind: SymbolKind,
    /// Where it gets its name.
    pub place: Location,
}

/// Recipes, logs and definitions of all files whose name holds the letters asked for in their order; the
/// closest first.
#[must_use]
pub fn workspace_symbols(workspace: &Workspace, query: &str) -> Vec<Found> {
    let query = catalogue::fold(query);
    let mut ranked: Vec<(u8, Found)> = Vec::new();
    for state in workspace.files() {
        for placed in &state.tree.blocks {
            let kind = placed.block.kind;
            if !(matches!(kind, BlockKind::Recipe | BlockKind::Gyle) || kind.is_definition()) {
                continue;
            }
            let Some(symbol) = symbol(placed) else { continue };
            let name = if kind == BlockKind::Gyle {
                format!("{} {}", symbol.name, symbol.detail)
            } else {
                symbol.name
            };
            let Some(rank) = rank(&catalogue::fold(&name), &query) else { continue };
            let place = Location { file: state.id, span: symbol.name_span };
            ranked.push((rank, Found { name, detail: kind.word().to_owned(), kind: symbol.kind, place }));
        }
    }
    ranked.sort_by_key(|(rank, _)| *rank);
    ranked.into_iter().map(|(_, found)| found).collect()
}

/// How well a name answers a query; nothing where it does not.
fn rank(name: &str, query: &str) -> Option<u8> {
    if name.starts_with(query) {
        return Some(0);
    }
    if name.contains(query) {
        return Some(1);
    }
    let mut letters = name.chars();
    query.chars().filter(|c| *c != ' ').all(|wanted| letters.any(|letter| letter == wanted)).then_some(2)
}

#[cfg(test)]
mod tests {
    use crate::fixture::Fixture;

    use super::*;

    fn shown(symbols: &[Symbol], text: &str, depth: usize, out: &mut String) {
        for one in symbols {
            let (first, name) = (one.span.of(text).lines().next().unwrap_or(""), one.name_span.of(text));
            out.push_str(&format!(
                "{}{} ({}) = {name} in {first}\n",
                "  ".repeat(depth),
                one.name,
                one.detail
            ));
            assert!(one.span.start <= one.name_span.start && one.name_span.end <= one.span.end);
            shown(&one.children, text, depth + 1, out);
        }
    }

    #[test]
    fn the_outline_follows_recipes_and_logs() {
        let text = "# é\nlet größe = 20 L\nrecipe \"É\"\n  batch 20 L\nmalt ü\n  colour 3 EBC\ngrist\n  4 kg ü\n\
            boil 60 min\nrecipe\ngrist\ngyle 7 \"É\" on 2026-03-14\n  10:00 flameout\ntasting on 2026-04-11\n  score 38/50\n";
        let fixture = Fixture::new(text);
        let mut out = String::new();
        shown(&document_symbols(&fixture.workspace, fixture.file), text, 0, &mut out);
        assert_eq!(
            out,
            "größe (20 L) = größe in let größe = 20 L\n\
             É (recipe) = É in recipe \"É\"\n\
             \x20 grist () = grist in grist\n\
             \x20 boil (60 min) = boil 60 min in boil 60 min\n\
             ü (malt) = ü in malt ü\n\
             recipe () = recipe in recipe\n\
             \x20 grist () = grist in grist\n\
             7 (É on 2026-03-14) = 7 in gyle 7 \"É\" on 2026-03-14\n\
             \x20 tasting (on 2026-04-11) = tasting on 2026-04-11 in tasting on 2026-04-11\n"
        );
    }

    #[test]
    fn names_of_all_files_are_found() {
        let fixture = Fixture::with(
            "# é\nrecipe \"Été porter\"\n",
            &[
                ("/r/cellar/m.gyle", "malt \"portal malt\"\n  colour 3 EBC\n"),
                ("/r/b.gyle", "recipe \"Pale\"\n"),
            ],
        );
        for (query, names) in [
            ("port", &["portal malt", "Été porter"][..]),
            ("ETE", &["Été porter"]),
            ("été", &["Été porter"]),
            ("ptm", &["portal malt"]),
            ("zz", &[]),
        ] {
            let found = workspace_symbols(&fixture.workspace, query);
            let found: Vec<&str> = found.iter().map(|one| one.name.as_str()).collect();
            assert_eq!(found, names, "{query}");
        }
        assert_eq!(workspace_symbols(&fixture.workspace, "").len(), 3);
    }
}
