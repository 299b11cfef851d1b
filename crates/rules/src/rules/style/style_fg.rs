//! A final gravity outside the range of the style named.

use crate::prelude::*;
use crate::style_range;

pub(crate) static RULE: Rule =
    Rule::new("style-fg", Group::Style, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe, BlockKind::Pitch]).limits(&[&style_range::NEAR]);

const DOC: Doc = Doc {
    catches: "A final gravity outside the range of the style named.",
    matters: "The final gravity decides between dry and sweet.",
    example: r#"style "HB"
  name                House Bitter
  fg                  1.008..1.014

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [55 %]"#,
    instead: r#"style "HB"
  name                House Bitter
  fg                  1.008..1.014

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]"#,
    limits: "A hint just outside, a warning further out. Silent where the style gives no number. Doubt in the figure lowers it by one level.",
    sources: "The style's own numbers; the built-in ones are those of the BJCP Style Guidelines, 2021 edition.",
};

fn check(cx: &RecipeCx, hits: &mut Hits) {
    style_range::check(cx, hits, FigureId::Fg, Keyword::Fg, ["a yeast that attenuates less, or a share of crystal malt, brings it up", "a yeast that attenuates more, or a share of sugar, brings it down"]);
}
