//! A large share of the extract from plain sugar.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("simple-sugar-share-high", Group::Grist, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil]).limits(&[&HINT, &NO_NUTRIENT, &WARNING]);

static HINT: Limit = Limit::at_most("sugar-share-hint", 10.0, "%", "plain sugar in the extract", "common practice, no source");
static NO_NUTRIENT: Limit = Limit::at_most("sugar-share-no-nutrient", 20.0, "%", "plain sugar in the extract without yeast nutrient", "common practice, no source: strong golden ales and honey ales go to a fifth");
static WARNING: Limit = Limit::at_most("sugar-share", 25.0, "%", "plain sugar in the extract", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A large share of the extract from plain sugar.",
    matters: "Sugar brings no nitrogen for the yeast and leaves nothing behind: slow fermentations and very dry, \
              thin beer.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3 kg      pale ale malt
  1.4 kg    table sugar
mash
  rest      66 C for 60 min
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
  100 g     table sugar
mash
  rest      66 C for 60 min
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Sugars that ferment to nine tenths or more. The hint is for styles that know no sugar: silent in \
              Belgian, British and strong styles.",
    sources: "Common practice, no source.",
};

struct Sugar {
    share: f64,
    nutrient: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    // A beer from the rest of another's mash has its malt there.
    if cx.recipe.from.is_some() {
        return;
    }
    let (mut all, mut plain, mut heaviest) = (0.0, 0.0, None::<(f64, Place)>);
    for (line, part) in cx.recipe.grist.iter().zip(cx.grist()) {
        let Some(extract) = part.extract else { return };
        all += extract;
        let simple = line.thing.kind() == Some(BlockKind::Sugar)
            && !look::form(&line.thing).contains_any(const { &look::any_of(["malt-extract", "fruit"]) })
            && line.thing.number(Keyword::Fermentability).is_some_and(|share| share.value.value >= 0.9);
        if simple {
            plain += extract;
            if heaviest.is_none_or(|(most, _)| extract > most) {
                heaviest = Some((extract, line.place));
            }
        }
    }
    let Some((_, place)) = heaviest else { return };
    // What another recipe's mash gives stands on no line here.
    if cx.recipe.from.is_some() {
        let Some(kettle) = cx.figure(FigureId::ExtractMass) else { return };
        all = kettle;
    }
    if all <= 0.0 {
        return;
    }
    let share = plain / all;
    let nutrient = cx.recipe.additions.iter().any(|line| look::role(&line.thing).contains("nutrient"));
    let warning = if nutrient { cx.limit(&WARNING) } else { cx.limit(&NO_NUTRIENT) };
    let mut bounds = vec![(warning, Severity::Warning)];
    if !expects_sugar(cx) {
        bounds.push((cx.limit(&HINT), Severity::Hint));
    }
    if let Some(grade) = Grade::above(share * 100.0, || 0.0, &bounds) {
        hits.recipe(grade, place, Sugar { share, nutrient });
    }
}

/// Whether the style is of a family that brews with sugar.
fn expects_sugar(cx: &RecipeCx) -> bool {
    let Some(style) = &cx.recipe.style else { return false };
    let words = [Keyword::Name, Keyword::Group].map(|key| style.words(key).unwrap_or("").to_lowercase()).join(" ");
    ["belgian", "trappist", "saison", "british", "strong", "bitter", "mild", "tripel", "dubbel", "double", "barley"]
        .iter()
        .any(|word| words.contains(word))
}

impl Detail for Sugar {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} of the extract is plain sugar", say.share(self.share)),
            "it thins the beer and gives the yeast nothing to build on",
            if self.nutrient { "replace part of it with malt" } else { "replace part of it with malt, or add yeast nutrient at 10 min" },
        )
    }
}
