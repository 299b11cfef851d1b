//! A fermenter too full for the foam.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("fermenter-headspace-low", Group::Ferment, Level::Error, Check::Part(check), DOC).whole(&[BlockKind::Recipe]).exempt(&["open-ferment"]).safety().limits(&[&HINT, &WARNING, &FOAMY]).taints(Severity::Error, &[BlockKind::Grist, BlockKind::Boil, BlockKind::Liquor, BlockKind::Mash]);

static HINT: Limit = Limit::at_least("headspace-hint", 15.0, "%", "headspace of the fermenter", "common practice, no source");
static WARNING: Limit = Limit::at_least("headspace", 10.0, "%", "headspace of the fermenter", "common practice, no source");
static FOAMY: Limit = Limit::at_least("headspace-foamy", 20.0, "%", "headspace of the fermenter for wheat and phenolic yeasts", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A fermenter too full for the foam.",
    matters: "Foam that has nowhere to go blocks the airlock, and a blocked vessel bursts or sprays.",
    example: r#"brewhouse shed
  mash efficiency     75 %
  fermenter capacity  21 L

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"brewhouse shed
  mash efficiency     75 %
  fermenter capacity  27 L

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    limits: "Wheat beers and phenolic yeasts foam more: a fifth is asked for. Exempt with the tag open-ferment.",
    sources: "Common practice, no source.",
};

struct Headspace {
    litres: f64,
    capacity: f64,
    foamy: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(capacity) = look::house(cx.recipe, Keyword::FermenterCapacity).filter(|litres| *litres > 0.0) else { return };
    let litres = match &cx.part().volume {
        Some(volume) => volume.value,
        None => match cx.figure(FigureId::BatchVolume) {
            Some(litres) => litres,
            None => return,
        },
    };
    let wheat = look::mashed_share(cx, |line| look::grain(&line.thing).contains("wheat")).is_some_and(|(share, _)| share > 0.3);
    let phenolic = cx.part().pitch.lines.iter().any(|line| line.thing.words(Keyword::Phenolic) == Some("yes"));
    let foamy = wheat || phenolic;
    let headspace = (capacity - litres) / capacity * 100.0;
    let grade = if litres > capacity {
        Some(Grade::ERROR)
    } else if foamy {
        Grade::below(headspace, || 0.0, &[(cx.limit(&FOAMY), Severity::Warning)])
    } else {
        let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
        Grade::below(headspace, || 0.0, &bounds)
    };
    if let Some(grade) = grade {
        let place = cx.recipe.batch.as_ref().and_then(|batch| match batch.origin {
            Origin::Here(place) => Some(place),
            Origin::Library(..) => None,
        });
        let place = cx.part().label.as_ref().map(|(_, place)| *place).or(place).unwrap_or(cx.recipe.name_place);
        hits.recipe(grade, place, Headspace { litres, capacity, foamy });
    }
}

impl Detail for Headspace {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} in a fermenter of {}", say.volume(self.litres), say.volume(self.capacity)),
            if self.litres > self.capacity {
                "it does not fit"
            } else if self.foamy {
                "wheat and phenolic yeasts foam high; foam blocks the airlock, and a blocked vessel bursts or sprays"
            } else {
                "foam blocks the airlock, and a blocked vessel bursts or sprays"
            },
            "use two vessels, brew less, or fit a wide blow-off hose into a bucket",
        )
    }
}
