//! A style that gives no numbers.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("style-has-no-numbers", Group::Style, Level::Hint, Check::Recipe(check), DOC);

const DOC: Doc = Doc {
    catches: "A style that states no range for gravity, strength, bitterness or colour.",
    matters: "Such a style depends on the beer it is made from, so nothing can be compared; said once, so that silence is not taken for agreement.",
    example: r#"recipe "Bramble Sour"
  style     29A
  batch     20 L"#,
    instead: r#"recipe "Bramble Sour"
  batch     20 L"#,
    limits: "One hint a recipe. A style with at least one range is compared in that range and says nothing here.",
    sources: "The style's own numbers; the built-in ones are those of the BJCP Style Guidelines, 2021 edition.",
};

struct NoNumbers(Box<str>);

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(style) = &cx.recipe.style else { return };
    let fields = [Keyword::Og, Keyword::Fg, Keyword::Abv, Keyword::Ibu, Keyword::Colour];
    if style.definition.is_some() && fields.iter().all(|key| style.fact(*key).is_none()) {
        hits.recipe(Grade::HINT, style.place, NoNumbers(style.name.clone()));
    }
}

impl Detail for NoNumbers {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("style {} gives no numbers", self.0),
            "it depends on the beer it is made from, so nothing can be compared with it",
            "name the style of the base beer as well in a note, or put what you aim for into `expect`",
        )
    }
}
