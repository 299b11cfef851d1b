//! A mash that fills the tun to the brim, or beyond.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("tun-overfull", Group::Mash, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor, BlockKind::Recipe]).outcome().taints(Severity::Error, &[BlockKind::Liquor]).safety().absorbs(&["mash-thickness-out-of-range"]).limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most("tun-full", 90.0, "%", "how full the tun may be", "common practice, no source");
static ERROR: Limit = Limit::at_most("tun-full-error", 97.0, "%", "how full the tun may be", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash that fills the tun to the brim, or beyond.",
    matters: "Hot mash runs over when it is stirred, and scalds.",
    example: r#"brewhouse shed
  mash efficiency     75 %
  tun capacity        16 L

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  5 kg      pale ale malt
liquor
  mash      15 L
  sparge    10 L"#,
    instead: r#"brewhouse shed
  mash efficiency     75 %
  tun capacity        24 L

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  5 kg      pale ale malt
liquor
  mash      15 L
  sparge    10 L"#,
    limits: "Grain is counted with 0.67 L/kg. A tun with a bag in it holds as much.",
    sources: "Common practice, no source, for 0.67 L/kg.",
};

struct Overfull {
    volume: f64,
    tun: f64,
    over: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(tun) = look::house(cx.recipe, Keyword::TunCapacity).filter(|tun| *tun > 0.0) else { return };
    let Some(volume) = cx.figure(FigureId::MashVolume) else { return };
    let share = volume / tun * 100.0;
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
    let spread = || cx.spread(FigureId::MashVolume) / tun * 100.0;
    if let Some(grade) = Grade::above(share, spread, &bounds) {
        let mash = cx.recipe.liquor.mash.as_ref().map(|mash| mash.place);
        let place = mash.or(cx.recipe.mash.place).or(cx.recipe.grist_place).unwrap_or(cx.recipe.name_place);
        hits.recipe(grade, place, Overfull { volume, tun, over: volume > tun });
    }
}

impl Detail for Overfull {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the mash takes {} in a tun of {}", say.volume(self.volume), say.volume(self.tun)),
            if self.over { "it does not fit, and what runs over is hot enough to scald" } else { "hot mash runs over when it is stirred, and scalds" },
            "mash thicker and sparge more, or brew less",
        )
    }
}
