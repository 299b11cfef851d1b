//! A hop stand without a temperature or a time, or with one that no stand has.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("hop-stand-underspecified", Group::Boil, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Stand]).limits(&[&TEMPERATURE, &MINUTES]);

static TEMPERATURE: Limit = Limit::within("stand-temperature", 50.0, 100.0, "C", "temperature of a hop stand", "common practice, no source");
static MINUTES: Limit = Limit::at_most("stand-time", 90.0, "min", "length of a hop stand", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A hop stand without a temperature or a time, or with one that no stand has.",
    matters: "What a stand adds in bitterness doubles every few degrees; without a temperature it counts as \
              nothing.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
stand 30 min
  30 g      Fuggle [alpha 5 %]"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
stand 30 min at 80 C
  30 g      Fuggle [alpha 5 %]"#,
    limits: "A hint where temperature or time is missing, a warning outside 50 to 100 C or beyond 90 min.",
    sources: "Malowicki and Shellhammer 2005 for the rates; the limits are common practice, no source.",
};

struct Stand {
    celsius: Option<f64>,
    minutes: Option<f64>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for stand in &cx.recipe.stands {
        let celsius = stand.temperature.as_ref().map(|at| at.value);
        let minutes = stand.time.as_ref().map(|time| time.value);
        let (low, high) = cx.band(&TEMPERATURE);
        let odd = celsius.is_some_and(|celsius| !(low..=high).contains(&celsius))
            || minutes.is_some_and(|minutes| minutes > cx.limit(&MINUTES));
        let missing = celsius.is_none() || minutes.is_none();
        if odd || missing {
            let grade = if odd { Grade::WARNING } else { Grade::HINT };
            hits.recipe(grade, stand.place, Stand { celsius, minutes });
        }
    }
}

impl Detail for Stand {
    fn message(&self, say: Say) -> Message {
        match (self.celsius, self.minutes) {
            (Some(celsius), Some(minutes)) => Message::new(
                format!("a stand of {} at {}", say.time(minutes), say.temperature(celsius)),
                if celsius > 100.0 {
                    "that is hotter than the boil"
                } else if celsius < 50.0 {
                    "hops give up little in wort that cool, and bacteria like it"
                } else {
                    "so long a stand adds harshness and dimethyl sulfide"
                },
                format!("20 to 40 min at {} are usual", say.temperature(80.0)),
            ),
            (None, _) => Message::new(
                "the stand has no temperature",
                "without one its hops count for no bitterness",
                format!("write it: `stand 30 min at {}`", say.temperature(80.0)),
            ),
            (_, None) => Message::new(
                "the stand has no time",
                "without one its hops count for no bitterness",
                "write it behind `stand`",
            ),
        }
    }
}
