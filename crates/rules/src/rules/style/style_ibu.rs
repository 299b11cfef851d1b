//! A bitterness outside the range of the style named.

use crate::prelude::*;
use crate::style_range;

pub(crate) static RULE: Rule =
    Rule::new("style-ibu", Group::Style, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe]).limits(&[&style_range::NEAR]);

const DOC: Doc = Doc {
    catches: "A bitterness outside the range of the style named.",
    matters: "Bitterness is what a drinker notices first.",
    example: r#"style "HB"
  name                House Bitter
  ibu                 20..30

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  70 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]"#,
    instead: r#"style "HB"
  name                House Bitter
  ibu                 20..30

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
    style_range::check(cx, hits, FigureId::Ibu, Keyword::Ibu, ["more or earlier hops bring it up", "fewer or later hops bring it down"]);
}
