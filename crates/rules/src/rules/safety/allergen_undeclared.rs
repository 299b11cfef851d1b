//! An ingredient with an allergen that the label drafted in the recipe does not name.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("allergen-undeclared", Group::Safety, Level::Hint, Check::Recipe(check), DOC);


const DOC: Doc = Doc {
    catches: "An ingredient with an allergen that the label drafted in the recipe does not name.",
    matters: "For some people a trace is enough to kill.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  label     Oyster milk stout
grist
  4 kg      pale ale malt
  400 g     lactose
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
  label     Oyster milk stout
  allergens milk, barley
grist
  4 kg      pale ale malt
  400 g     lactose
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Only where the recipe drafts a label (`label` or `allergens`). Barley, wheat, rye and oats go \
              without saying in beer and are not reported; the sheet lists them always.",
    sources: "Regulation (EU) 1169/2011, Annex II, for the list; what has to stand on a label is a matter of local \
              codes.",
};

struct Undeclared {
    name: Box<str>,
    allergens: Vec<String>,
    declared: Option<Place>,
}

/// Cereals that every drinker expects in beer.
const CEREALS: [&str; 8] = ["barley", "wheat", "rye", "oats", "oat", "spelt", "gluten", "malt"];

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let text = |key: Keyword| cx.recipe.texts.iter().find(|(have, _, _)| *have == key);
    let (label, allergens) = (text(Keyword::Label), text(Keyword::Allergens));
    if label.is_none() && allergens.is_none() {
        return;
    }
    let declared = allergens.map_or_else(String::new, |(_, text, _)| text.to_lowercase());
    let recipe = cx.recipe;
    let part = cx.part();
    let lines = recipe
        .grist
        .iter()
        .map(|line| (line.place, &line.thing))
        .chain(recipe.additions.iter().map(|line| (line.place, &line.thing)))
        .chain(part.ferment.additions.iter().map(|line| (line.place, &line.thing)))
        .chain(part.package.additions.iter().map(|line| (line.place, &line.thing)));
    for (place, thing) in lines {
        let Some(words) = thing.words(Keyword::Allergen) else { continue };
        let missing: Vec<String> = words
            .split([',', ';'])
            .map(|word| word.trim().to_lowercase())
            .filter(|word| !word.is_empty() && !word.starts_with("none") && !CEREALS.contains(&word.as_str()) && !declared.contains(word.as_str()))
            .collect();
        if !missing.is_empty() {
            let declared = allergens.map(|(_, _, place)| *place);
            hits.recipe(Grade::HINT, place, Undeclared { name: look::spoken(thing), allergens: missing, declared });
        }
    }
}

impl Detail for Undeclared {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} brings {}, which `allergens` does not name", self.name, listed(&self.allergens)),
            "for some people a trace is enough to kill",
            format!(
                "add it to the line: `allergens {}`; what a label has to say is a matter of local codes",
                self.allergens.join(", ")
            ),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let Some(at) = self.declared.map(At::Recipe) else { return Vec::new() };
        let written = texts.at(at);
        if written.is_empty() {
            return Vec::new();
        }
        vec![Mend::proposed("add it to the allergens", at, format!("{written}, {}", self.allergens.join(", ")))]
    }
}
