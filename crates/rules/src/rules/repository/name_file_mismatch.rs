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
    let words = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
    };
    let name = words(&recipe.name);
    let file = words(stem);
    if name.is_empty() || stem == "recipe" || name.iter().any(|word| file.contains(word)) {
        return;
    }
    let at = cx.file.blocks.iter().find(|placed| {
        placed.block.kind == BlockKind::Recipe
    });
    let Some(placed) = at else { return };
    let span = placed.block.header().map_or(syntax::Span::at(0), |entry| entry.span).shift(placed.start);
    hits.push(Grade::HINT, At::File(cx.id, span), Mismatch { stem: stem.to_owned(), wanted: name.join("-") });
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
