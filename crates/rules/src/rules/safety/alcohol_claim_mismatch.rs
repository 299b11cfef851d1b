//! A label that says free of alcohol, or low in it, for a beer that is not.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("alcohol-claim-mismatch", Group::Safety, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Grist, BlockKind::Pitch]).limits(&[&FREE, &NON, &LOW]);

static FREE: Limit = Limit::at_most("claim-alcohol-free", 0.05, "%", "alcohol of a beer called free of it", "common usage, from memory");
static NON: Limit = Limit::at_most("claim-non-alcoholic", 0.5, "%", "alcohol of a beer called non-alcoholic", "27 CFR 7");
static LOW: Limit = Limit::at_most("claim-low-alcohol", 1.2, "%", "alcohol of a beer called low in alcohol", "usual EU bound, from memory");

const DOC: Doc = Doc {
    catches: "A label that says free of alcohol, or low in it, for a beer that is not.",
    matters: "People rely on it who must not drink: drivers, the pregnant, the recovering.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  label     alcohol-free pale ale
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
  label     pale ale
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    limits: "`alcohol-free` and `0.0` above 0.05 %, `non-alcoholic` from 0.5 %, `low alcohol` from 1.2 %. What \
              the words mean differs from country to country.",
    sources: "27 CFR 7 for 0.5 %; 1.2 % is the usual EU bound, from memory.",
};

struct Claim {
    words: &'static str,
    abv: f64,
    limit: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some((_, text, place)) = cx.recipe.texts.iter().find(|(key, _, _)| *key == Keyword::Label) else { return };
    let text = text.to_lowercase();
    let Some(abv) = cx.figure(FigureId::AbvPackaged).or_else(|| cx.figure(FigureId::Abv)) else { return };
    let says = |words: &[&str]| words.iter().any(|word| text.contains(word));
    let claims = [
        ("alcohol-free", says(&["alcohol-free", "alcohol free", "0.0", "zero alcohol"]), &FREE, Grade::ERROR),
        ("non-alcoholic", says(&["non-alcoholic", "non alcoholic", "nonalcoholic"]), &NON, Grade::WARNING),
        ("low alcohol", says(&["low alcohol", "low-alcohol"]), &LOW, Grade::WARNING),
    ];
    for (words, said, limit, grade) in claims {
        let limit = cx.limit(limit);
        if said && abv > limit {
            hits.recipe(grade, *place, Claim { words, abv, limit });
            return;
        }
    }
}

impl Detail for Claim {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the label says {}, {} of alcohol is computed; {} % is the bound", self.words, say.percent(self.abv), crate::say::trimmed(self.limit, 2)),
            "people rely on it who must not drink",
            "take the claim out, or have the beer analysed; check local codes, labels and licensed practice: this does not judge what is legal",
        )
    }
}
