//! More wort before the boil than the kettle can keep from boiling over.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("kettle-headroom-low", Group::Boil, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Boil, BlockKind::Recipe, BlockKind::Grist]).safety().outcome().limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("kettle-full-hint", 85.0, "%", "cold volume before the boil, of the kettle", "common practice, no source");
static WARNING: Limit = Limit::at_most("kettle-full", 90.0, "%", "cold volume before the boil, of the kettle", "common practice, no source");

const DOC: Doc = Doc {
    catches: "More wort before the boil than the kettle can keep from boiling over.",
    matters: "Wort that boils over scalds, burns onto the burner, and is lost.",
    example: r#"brewhouse shed
  mash efficiency     75 %
  kettle capacity     23 L

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"brewhouse shed
  mash efficiency     75 %
  kettle capacity     36 L

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "The cold volume grows by 4 % to the boil. Foam comes on top of it, most of it with the first hops.",
    sources: "Density of water, Kell 1975, for the 4 %; the limits are common practice, no source.",
};

/// From so many times the kettle on, the volume or the brewhouse is a slip: common practice, no source.
const SLIP: f64 = 1.15;

struct Headroom {
    volume: f64,
    kettle: f64,
    over: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(kettle) = look::house(cx.recipe, Keyword::KettleCapacity).filter(|kettle| *kettle > 0.0) else { return };
    let Some(cold) = cx.figure(FigureId::PreBoilVolume) else { return };
    let Some(boil) = &cx.recipe.boil else { return };
    let hot = |cold: f64| {
        brewing::measure::hot_volume(
            quantity::typed::Volume::from_litres(cold),
            quantity::typed::Temperature::from_celsius(100.0),
        )
        .litres()
    };
    let share = cold / kettle * 100.0;
    let spread = || cx.spread(FigureId::PreBoilVolume) / kettle * 100.0;
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    let grade = if hot(cold) > kettle { Some(Grade::ERROR) } else { Grade::above(share, spread, &bounds) };
    if let Some(grade) = grade {
        hits.recipe(grade, boil.place, Headroom { volume: hot(cold), kettle, over: hot(cold) > kettle });
    }
}

impl Detail for Headroom {
    fn is_cause(&self) -> bool {
        self.volume > SLIP * self.kettle
    }
    fn taints(&self) -> &'static [BlockKind] {
        &[BlockKind::Liquor]
    }
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} of boiling wort in a kettle of {}", say.volume(self.volume), say.volume(self.kettle)),
            if self.over { "it does not fit" } else { "foam comes on top, and wort that boils over scalds" },
            if self.over {
                "boil in two kettles, start with less and top up, or brew less"
            } else {
                "stay beside it with the heat low until the foam has fallen, or start with less and top up"
            },
        )
    }
}
