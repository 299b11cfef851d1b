//! Other names for what is named.

use std::sync::Arc;

use figures::FigureId;
use recipe::FileId;
use syntax::Span;
use syntax::vocabulary::BlockKind;
use workspace::Workspace;

use crate::names::{Mention, QUOTES, Renaming, Target, all_of, mention_at, mentions, needs_quotes};

/// The words that a renaming at a byte would replace.
///
/// # Errors
/// Why nothing there can be renamed, in a brewer's words.
pub fn prepare_rename(workspace: &Workspace, file: FileId, offset: u32) -> Result<Span, String> {
    renamed(workspace, file, offset).map(|mention| mention.span)
}

fn renamed(workspace: &Workspace, file: FileId, offset: u32) -> Result<Mention, String> {
    let Some(mention) = mention_at(workspace, file, offset) else {
        return Err("nothing here has a name that could be changed; stand on the name of an ingredient, a \
                    water, a brewhouse, a recipe, a gyle or a named value"
            .to_owned());
    };
    if matches!(mention.home.file, FileId::Catalogue(_)) {
        return Err(
            "this name comes from the built-in library, which cannot be changed; define it in a file \
                    of your own with `like`, and rename that"
                .to_owned(),
        );
    }
    if matches!(mention.target, Target::File(_)) {
        return Err(
            "this is the path of a file; move the file itself, then write its new path here".to_owned()
        );
    }
    Ok(mention)
}

/// Gives what is named at a byte another name, everywhere it goes by the name it has there: one of several
/// names of a definition leaves the others as they are.
///
/// # Errors
/// Why it cannot be called so, in a brewer's words.
pub fn rename(workspace: &Workspace, file: FileId, offset: u32, name: &str) -> Result<Vec<Renaming>, String> {
    let wanted = renamed(workspace, file, offset)?;
    let name = name.trim().trim_matches(QUOTES).trim();
    let text_of = |file: FileId| workspace.file(file).map(|state| Arc::clone(&state.text));
    let before = text_of(file).map(|text| catalogue::fold(wanted.span.of(&text))).unwrap_or_default();
    check_name(workspace, &wanted, &before, name)?;
    let mut renamings: Vec<Renaming> = Vec::new();
    for (file, mention) in all_of(workspace, wanted.target) {
        let Some(text) = text_of(file) else { continue };
        if catalogue::fold(mention.span.of(&text)) != before {
            continue;
        }
        // A style is called by its code, as text.
        let plain = mention.quoted
            || matches!(
                wanted.target,
                Target::Let(..) | Target::Log(..) | Target::Definition(BlockKind::Style, _)
            );
        let text = if !plain && needs_quotes(name) { format!("\"{name}\"") } else { name.to_owned() };
        let edit = syntax::Edit { span: mention.span, text };
        match renamings.last_mut().filter(|last| last.file == file) {
            Some(last) => last.edits.push(edit),
            None => renamings.push(Renaming { file, edits: vec![edit] }),
        }
    }
    for renaming in &mut renamings {
        renaming.edits.sort_by_key(|edit| edit.span);
        renaming.edits.dedup();
    }
    Ok(renamings)
}

/// Whether something may be called so.
fn check_name(workspace: &Workspace, wanted: &Mention, before: &str, name: &str) -> Result<(), String> {
    if name.is_empty() {
        return Err("a name needs at least one letter".to_owned());
    }
    if name.contains(['\n', '\r', '"', '[', ']']) {
        return Err(format!(
            "`{name}` holds a quote, a bracket or a line end, which would end the name early; leave them out"
        ));
    }
    let folded = catalogue::fold(name);
    let taken = |by: &str| {
        Err(format!(
            "there is already {by} called `{name}`, and one would hide the other; choose another name"
        ))
    };
    match wanted.target {
        Target::Definition(kind, place) => {
            let Some(state) = workspace.file(place.file) else { return Ok(()) };
            let known = state.shelf.definitions.iter().any(|other| {
                other.kind == kind
                    && (catalogue::fold(&other.name) == folded
                        || other.aliases.iter().any(|alias| catalogue::fold(&alias.name) == folded))
            });
            if known && folded != before {
                return taken(&format!("{} {} in the same file", article(kind), kind.word()));
            }
            for state in workspace.files() {
                let uses = |mention: &Mention| mention.target == wanted.target && !mention.declares;
                let other = workspace.scope(state).find_folded(kind, &folded);
                let clashes = other.is_some_and(|other| {
                    other.definition.place != place
                        && matches!(other.definition.place.file, FileId::Workspace(_))
                });
                if clashes && mentions(workspace, state).iter().any(uses) {
                    return taken(&format!(
                        "{} {} within reach of a file that uses it",
                        article(kind),
                        kind.word()
                    ));
                }
            }
            Ok(())
        }
        Target::Recipe(file, number) => {
            let state = workspace.file(file);
            let same = state.map(|state| workspace.recipes_named(state, name, None)).unwrap_or_default();
            if same.iter().any(|one| *one != (file, number)) { taken("a recipe") } else { Ok(()) }
        }
        Target::Log(file, number) => {
            if name.contains(char::is_whitespace) {
                return Err(format!("the number of a gyle is one word; `{name}` has blanks in it"));
            }
            let state = workspace.file(file);
            let same = state.and_then(|state| state.units.logs.iter().position(|log| &*log.id == name));
            if same.is_some_and(|one| one != number) { taken("a gyle") } else { Ok(()) }
        }
        Target::Let(file, at) => {
            let sound = name.starts_with(char::is_alphabetic)
                && !name.ends_with(['-', '.'])
                && name.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-' | '.'));
            if !sound {
                return Err(format!("a named value is one word that begins with a letter; `{name}` is not"));
            }
            let stem = name.strip_suffix(".points").or_else(|| name.strip_suffix("-points")).unwrap_or(name);
            let function = syntax::FUNCTIONS.iter().any(|(word, _)| word.eq_ignore_ascii_case(name));
            if function || FigureId::from_words(stem).is_some() {
                return Err(format!(
                    "`{name}` is what expressions call a {}; every line that means that would mean this value; \
                     choose another name",
                    if function { "function" } else { "figure" }
                ));
            }
            let Some(state) = workspace.file(file) else { return Ok(()) };
            // A value of one recipe and one of another never meet.
            let recipe_of = |at: u32| {
                let block = state.tree.blocks.partition_point(|placed| placed.start <= at);
                let block = u32::try_from(block.saturating_sub(1)).unwrap_or(u32::MAX);
                state.units.recipes.iter().position(|unit| unit.blocks.contains(&block))
            };
            let own = recipe_of(at);
            let clashes = mentions(workspace, state).iter().any(|mention| {
                let Target::Let(_, other) = mention.target else { return false };
                let theirs = recipe_of(other);
                mention.declares
                    && other != at
                    && catalogue::fold(mention.span.of(&state.text)) == folded
                    && (own.is_none() || theirs.is_none() || own == theirs)
            });
            if clashes { taken("a named value") } else { Ok(()) }
        }
        Target::File(_) => Ok(()),
    }
}

fn article(kind: BlockKind) -> &'static str {
    if kind == BlockKind::Addition { "an" } else { "a" }
}

#[cfg(test)]
mod tests {
    use crate::fixture::{CELLAR, Fixture, OTHER, RECIPE};

    use super::*;

    /// The lines that a renaming changes.
    fn changed(fixture: &Fixture, name: &str) -> Result<Vec<String>, String> {
        let mut lines = Vec::new();
        for renaming in rename(&fixture.workspace, fixture.file, fixture.offset, name)? {
            let Some(state) = fixture.workspace.file(renaming.file) else { continue };
            let after = syntax::apply(&state.text, &renaming.edits);
            let both = state.text.lines().zip(after.lines());
            lines.extend(
                both.filter(|(before, after)| before != after).map(|(_, after)| after.trim().to_owned()),
            );
        }
        lines.sort();
        Ok(lines)
    }

    #[test]
    fn renaming_changes_one_name_everywhere() {
        let cases: &[(&str, &str, &[&str])] = &[
            (
                RECIPE,
                "old floor malt",
                &[
                    "4 kg old floor malt",
                    "4 kg saltmarsh floor malt [or old floor malt]",
                    "alias old floor malt",
                ],
            ),
            (
                &RECIPE.replace("$0", "").replace("1 kg Salt", "1 kg Sa$0lt"),
                "malt of the house",
                &[
                    "1 kg \"malt of the house\"",
                    "10:05 add 3 kg \"malt of the house\" to mash",
                    "4 kg \"malt of the house\" [or floor malt]",
                    "malt \"malt of the house\"",
                ],
            ),
            (
                &RECIPE.replace("$0", "").replace("Grö", "Gr$0ö"),
                "Weite",
                &["gyle 27 \"Weite\" on 2026-03-14", "recipe \"Weite\""],
            ),
            (
                "# é\nlet ä = 20 L\nrecipe \"Ä\"\n  batch (2 * $0ä)",
                "größe",
                &["batch (2 * größe)", "let größe = 20 L"],
            ),
            (
                "# é\ntasting of 2$07 on 2026-04-11",
                "28",
                &["gyle 28 \"Größe\" on 2026-03-14", "tasting of 28 on 2026-04-11"],
            ),
        ];
        for (text, name, lines) in cases {
            let fixture = Fixture::with(text, &[CELLAR, OTHER]);
            assert_eq!(changed(&fixture, name).unwrap_or_default(), *lines, "{text}");
        }
    }

    #[test]
    fn values_of_two_recipes_may_have_one_name() {
        let text = "# é\nrecipe \"Ä\"\n  let $0ä = 20 L\nrecipe \"Ö\"\n  let ö = 3 L\n";
        let lines = changed(&Fixture::new(text), "ö").unwrap_or_default();
        assert_eq!(lines, ["let ö = 20 L"]);
    }

    #[test]
    fn what_cannot_be_renamed_says_why() {
        for (text, name, why) in [
            ("# é\nrecipe \"Ä\"\nboil 60 min\n  20 g Fugg$0le at 5 min", "x", "built-in library"),
            ("# é\nrecipe \"Ä\"\nbo$0il 60 min", "x", "nothing here"),
            ("# é\nuse \"b.gy$0le\"", "x", "path of a file"),
            (RECIPE, " ", "at least one letter"),
            (RECIPE, "a [b]", "end the name early"),
            (RECIPE, "Saltmarsh floor malt", "already a malt"),
            ("# é\nrecipe \"$0Ä\"\n", "Other", "already a recipe"),
            ("# é\nlet $0ä = 20 L\n", "2 ä", "one word"),
            ("# é\nlet $0ä = 20 L\nlet ö = 3 L\n", "Ö", "already a named value"),
            ("# é\nlet $0ä = 20 L\nrecipe \"Ä\"\n  let ö = 3 L\n", "ö", "already a named value"),
            ("# é\nlet ö = 3 L\nrecipe \"Ä\"\n  let $0ä = 20 L\n", "ö", "already a named value"),
            ("# é\nlet $0ä = 20 L\n", "og", "a figure"),
            ("# é\nlet $0ä = 20 L\n", "og.points", "a figure"),
            ("# é\nlet $0ä = 20 L\n", "Round", "a function"),
        ] {
            let fixture = Fixture::with(text, &[CELLAR, OTHER]);
            let said = changed(&fixture, name).expect_err(text);
            assert!(said.contains(why), "{text}: {said}");
        }
    }
}
