//! A beer outside three or more of the ranges of its style: it is another style, or another recipe than was meant.

use crate::style_range;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("style-mismatch", Group::Style, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe, BlockKind::Pitch]).absorbs(&["style-og", "style-fg", "style-abv", "style-ibu", "style-colour"]);


const DOC: Doc = Doc {
    catches: "A beer outside three or more of the ranges of its style: it is another style, or another recipe than \
              was meant.",
    matters: "One code mistyped makes every number look wrong.",
    example: r#"style "HB"
  name                House Bitter
  og                  1.060..1.070
  ibu                 60..80
  colour              30..40 SRM

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"style "HB"
  name                House Bitter
  og                  1.040..1.048
  ibu                 20..30
  colour              3..6 SRM

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Takes the place of the single findings. Only ranges missed by more than what is near, and beyond \
              doubt, count.",
    sources: "The style's own numbers.",
};

struct Mismatch {
    style: Box<str>,
    missed: Vec<&'static str>,
    of: usize,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(style) = &cx.recipe.style else { return };
    let ranges = [
        (FigureId::Og, Keyword::Og, "gravity"),
        (FigureId::Fg, Keyword::Fg, "final gravity"),
        (FigureId::Abv, Keyword::Abv, "alcohol"),
        (FigureId::Ibu, Keyword::Ibu, "bitterness"),
        (FigureId::Colour, Keyword::Colour, "colour"),
    ];
    let mut missed = Vec::new();
    let mut of = 0;
    for (figure, key, word) in ranges {
        let Some(grade) = style_range::grade(cx, figure, key) else { continue };
        of += 1;
        if grade.and_then(Grade::severity) == Some(Severity::Warning) {
            missed.push(word);
        }
    }
    if missed.len() >= 3 {
        hits.recipe(Grade::WARNING, style.place, Mismatch { style: style.name.clone(), missed, of });
    }
}

impl Detail for Mismatch {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} lie outside style {}, {} of {} ranges", listed(&self.missed), self.style, self.missed.len(), self.of),
            "that much at once mostly means that the code is mistyped",
            "check the code; `gyle figures` lists what the beer is",
        )
    }
}
