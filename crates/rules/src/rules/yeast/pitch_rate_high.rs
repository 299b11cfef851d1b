//! Several times the yeast the beer wants.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("pitch-rate-high", Group::Yeast, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe]).exempt(&["mixed-culture", "kettle-sour"]).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("pitch-times-hint", 2.0, "", "cells pitched over cells wanted", "common practice, no source");
static WARNING: Limit = Limit::at_most("pitch-times", 4.0, "", "cells pitched over cells wanted", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Several times the yeast the beer wants.",
    matters: "Too much yeast grows too little: the beer loses its esters and tastes of yeast, and the money is \
              lost.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  900 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    limits: "Exempt in sours and for mixed cultures. Dry yeast and repitched slurry are judged alike.",
    sources: "Common practice, no source.",
};

struct TooMany {
    pitched: f64,
    needed: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let lines = &cx.part().pitch.lines;
    let Some(line) = lines.iter().find(|line| line.thing.kind() == Some(BlockKind::Yeast)) else { return };
    if look::yeast_is(cx, "wild") {
        return;
    }
    let (Some(pitched), Some(needed)) = (cx.figure(FigureId::CellsPitched), cx.figure(FigureId::CellsNeeded)) else { return };
    if needed <= 0.0 {
        return;
    }
    let times = pitched / needed;
    let spread = || cx.spread(FigureId::CellsPitched) / needed;
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    if let Some(grade) = Grade::above(times, spread, &bounds) {
        hits.recipe(grade, line.place, TooMany { pitched, needed });
    }
}

impl Detail for TooMany {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} are {:.1} times what the beer wants", say.cells(self.pitched), self.pitched / self.needed),
            "yeast that hardly grows makes few esters, and the beer may taste of it",
            format!("about {} are enough", say.cells(self.needed)),
        )
    }
}
