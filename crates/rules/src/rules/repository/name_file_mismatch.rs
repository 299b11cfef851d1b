//! A file with one recipe whose name is not that of the recipe.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("name-file-mismatch", Group::Repository, Level::Hint, Check::File(check), DOC);


const DOC: Doc = Doc {
    catches: "A file with one recipe whose name is not that of the recipe.",
    matters: "Recipes are found by name; a file called otherwise is opened last.",
    example: r#"//- old-porter.gyle
recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt"#,
    instead: r#"//- harbour-bitter.gyle
recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt"#,
    limits: "Only files with exactly one recipe, and only where no word of the name stands in the file name.",
    sources: "Common practice, no source.",
};

struct Mismatch {
    stem: String,
    wanted: String,
}

fn check(cx: &FileCx, hits: &mut Hits) {
    let (Some(stem), [recipe]) = (cx.stem, cx.recipes) else { return };
    let mut name = words(&recipe.name).peekable();
    if name.peek().is_none() || stem == "recipe" || name.any(|word| words(stem).any(|other| alike(word, other))) {
        return;
    }
    let at = cx.file.blocks.iter().find(|placed| {
        placed.block.kind == BlockKind::Recipe
    });
    let Some(placed) = at else { return };
    let span = placed.block.header().map_or(syntax::Span::at(0), |entry| entry.span).shift(placed.start);
    hits.push(Grade::HINT, At::File(cx.id, span), Mismatch { stem: stem.to_owned(), wanted: wanted(&recipe.name) });
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty())
}

fn alike(a: &str, b: &str) -> bool {
    let folded = |text: &str| text.to_lowercase();
    a.eq_ignore_ascii_case(b) || (!(a.is_ascii() && b.is_ascii()) && folded(a) == folded(b))
}

/// The name of a file for a recipe of this name.
fn wanted(name: &str) -> String {
    words(name).map(str::to_lowercase).collect::<Vec<_>>().join("-")
}

impl Detail for Mismatch {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("this file is called {}", self.stem),
            "a recipe is easier to find in a file of its own name",
            format!("rename it {}.gyle", self.wanted),
        )
    }
}
