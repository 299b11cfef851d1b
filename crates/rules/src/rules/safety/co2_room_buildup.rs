//! A fermentation whose CO2 would make the air of its closed room dangerous.

use quantity::typed::{Mass, Temperature, Volume};

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("co2-room-buildup", Group::Safety, Level::Error, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Recipe]).limits(&[&WARNING, &ERROR, &LARGE]);

static WARNING: Limit = Limit::at_most("co2-room", 0.5, "%", "CO2 in the closed room, all of it at once", "5000 ppm: eight-hour exposure limit");
static ERROR: Limit = Limit::at_most("co2-room-error", 1.5, "%", "CO2 in the closed room, all of it at once", "15000 ppm: short exposure limit");
static LARGE: Limit = Limit::at_most("co2-batch-large", 100.0, "L", "batch without a room written", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A fermentation whose CO2 would make the air of its closed room dangerous.",
    matters: "CO2 is heavier than air, cannot be smelt and kills. A hundred litres of beer give off cubic metres \
              of it.",
    example: r#"brewhouse cellar
  mash efficiency     75 %
  room                15 m3

recipe "Harbour Bitter"
  batch     20 L
  brewhouse cellar
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"brewhouse cellar
  mash efficiency     75 %
  room                120 m3

recipe "Harbour Bitter"
  batch     20 L
  brewhouse cellar
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    limits: "The whole of the gas in the closed room: an upper bound. Where the room is not written, a hint from \
              100 L of beer on.",
    sources: "UK exposure limits of 5000 and 15000 ppm, via a trade magazine; 40000 ppm is immediately dangerous.",
};

struct Gas {
    litres: f64,
    percent: Option<f64>,
    room: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let (Some(released), Some(batch)) = (cx.figure(FigureId::Co2Released), cx.figure(FigureId::BatchVolume)) else {
        return;
    };
    let Some(gas) = brewing::carbonation::gas_volume(
        Mass::from_kg(released),
        Temperature::from_celsius(20.0),
        quantity::typed::AbsolutePressure::from_bar(1.013),
    ) else {
        return;
    };
    let place = cx.part().ferment.place.or(cx.part().pitch.place).unwrap_or(cx.recipe.name_place);
    let room = look::house(cx.recipe, Keyword::Room).filter(|room| *room > 0.0);
    let Some(room) = room else {
        if batch > cx.limit(&LARGE) {
            hits.recipe(Grade::HINT, place, Gas { litres: gas.litres(), percent: None, room: None });
        }
        return;
    };
    let Some(share) = brewing::carbonation::share_of_room(gas, Volume::from_litres(room)) else { return };
    let percent = share.parts() * 100.0;
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
    if let Some(grade) = Grade::above(percent, || 0.0, &bounds) {
        hits.recipe(grade, place, Gas { litres: gas.litres(), percent: Some(percent), room: Some(room) });
    }
}

impl Detail for Gas {
    fn message(&self, say: Say) -> Message {
        let gas = if self.litres >= 1000.0 {
            format!("{:.1} m3", self.litres / 1000.0)
        } else {
            format!("{:.0} L", self.litres)
        };
        let found = match (self.percent, self.room) {
            (Some(percent), Some(room)) => format!(
                "this beer gives off about {gas} of CO2, {} of a closed room of {:.0} m3",
                say.percent(percent),
                room / 1000.0
            ),
            _ => format!("this beer gives off about {gas} of CO2, and the size of the room is not written"),
        };
        Message::new(
            found,
            "CO2 is heavier than air, cannot be smelt, and kills within minutes at a tenth of the air",
            "ventilate at floor level, fit an alarm near the floor, never enter a closed cellar or tank alone; follow local codes",
        )
    }
}
