//! A colour outside the range of the style named.

use crate::prelude::*;
use crate::style_range;

pub(crate) static RULE: Rule =
    Rule::new("style-colour", Group::Style, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe]).limits(&[&style_range::NEAR]);

const DOC: Doc = Doc {
    catches: "A colour outside the range of the style named.",
    matters: "Judges and drinkers see a beer before they taste it.",
    example: r#"style "HB"
  name                House Bitter
  colour              8..16 SRM

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
  300 g     chocolate malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]"#,
    instead: r#"style "HB"
  name                House Bitter
  colour              8..16 SRM

recipe "Harbour Bitter"
  style     HB
  batch     20 L
grist
  4 kg      pale ale malt
  120 g     chocolate malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]"#,
    limits: "A hint just outside, a warning further out. Silent where the style gives no number. Doubt in the figure lowers it by one level.",
    sources: "The style's own numbers; the built-in ones are those of the BJCP Style Guidelines, 2021 edition.",
};

fn check(cx: &RecipeCx, hits: &mut Hits) {
    style_range::check(cx, hits, FigureId::Colour, Keyword::Colour, ["a little dark malt brings it up: 1 % of black malt is worth several EBC", "less dark or crystal malt brings it down"]);
}
