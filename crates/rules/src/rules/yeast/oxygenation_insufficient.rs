//! A strong wort without a word on oxygen, or with little of it, or with far too much.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("oxygenation-insufficient", Group::Yeast, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe]).limits(&[&STRONG, &OXYGEN]);

static STRONG: Limit = Limit::at_most("oxygen-from-gravity", 1.065, "", "gravity above which oxygen is asked for", "common practice, no source");
static OXYGEN: Limit = Limit::within("oxygen-dose", 6.0, 20.0, "ppm", "oxygen at pitching", "trade practice");

const DOC: Doc = Doc {
    catches: "A strong wort without a word on oxygen, or with little of it, or with far too much.",
    matters: "Yeast needs oxygen once, to grow. Without it a strong beer stops early; with too much it tastes of \
              nothing but yeast.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  7.5 kg    pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  400 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    5 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  7.5 kg    pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  400 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    10 ppm"#,
    limits: "A hint where nothing is written for a wort above 1.065. Dry yeast brings its own reserves and is \
              exempt; a flow without a measured value counts as enough.",
    sources: "Trade practice: 8 to 10 mg/L, more for strong worts; air alone gives about 8.",
};

struct Oxygen {
    og: f64,
    written: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let pitch = &cx.part().pitch;
    let Some(line) = pitch.lines.first() else { return };
    if pitch.lines.iter().any(recipe::PitchLine::is_dry) || pitch.oxygen_flow.is_some() {
        return;
    }
    let Some(og) = cx.figure(FigureId::PitchingGravity) else { return };
    let strong = og > cx.limit(&STRONG);
    match &pitch.oxygen {
        Some(oxygen) => {
            let place = match oxygen.origin {
                Origin::Here(place) => place,
                Origin::Library(..) => line.place,
            };
            let (low, high) = cx.band(&OXYGEN);
            let little = oxygen.value < low && strong;
            if little || oxygen.value > high {
                hits.recipe(Grade::WARNING, place, Oxygen { og, written: Some(oxygen.value) });
            }
        }
        None if strong => {
            hits.recipe(Grade::HINT, pitch.place.unwrap_or(line.place), Oxygen { og, written: None });
        }
        None => {}
    }
}

impl Detail for Oxygen {
    fn message(&self, say: Say) -> Message {
        let og = say.gravity(self.og);
        match self.written {
            None => Message::new(
                format!("a wort of {og} and nothing is said of oxygen"),
                "without it a strong beer starts slowly and stops early",
                "give 8 to 10 ppm at pitching: `oxygen 9 ppm`, or `oxygen 1 L/min for 60 s`",
            ),
            Some(ppm) if ppm > 15.0 => Message::new(
                format!("{} of oxygen", say.ppm(ppm)),
                "so much makes the yeast grow instead of flavour, and pure oxygen feeds fire",
                "8 to 12 ppm are plenty; ventilate, and keep flames away",
            ),
            Some(ppm) => Message::new(
                format!("{} of oxygen for a wort of {og}", say.ppm(ppm)),
                "too little for a strong beer to finish",
                "give 8 to 10 ppm; air alone reaches about 8",
            ),
        }
    }
}
