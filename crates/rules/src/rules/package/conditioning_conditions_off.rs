//! Bottle conditioning too cold or too warm, or strong or long-cold beer without fresh yeast.

use recipe::Container;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("conditioning-conditions-off", Group::Package, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Package, BlockKind::Grist, BlockKind::Recipe, BlockKind::Pitch]).limits(&[&TEMPERATURE, &STRONG, &WEEKS]);

static TEMPERATURE: Limit = Limit::within("conditioning-temperature", 15.0, 30.0, "C", "temperature of bottle conditioning", "common practice, no source");
static STRONG: Limit = Limit::at_most("conditioning-strength", 10.0, "%", "alcohol without fresh yeast", "common practice, no source");
static WEEKS: Limit = Limit::at_most("conditioning-cold-weeks", 6.0, "week", "cold storage without fresh yeast", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Bottle conditioning too cold or too warm, or strong or long-cold beer without fresh yeast.",
    matters: "Bottles stay flat when the yeast is asleep or worn out.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
package
  bottle    2.2 vol at 10 C with table sugar"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
    limits: "A hint outside 15 to 30 C; a warning for beer above 10 % or cold for more than six weeks without \
              yeast added at packaging.",
    sources: "Common practice, no source.",
};

enum Conditions {
    Temperature(f64),
    Tired { abv: Option<f64>, weeks: Option<f64> },
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    let primed = |line: &&recipe::Packaging| {
        matches!(line.container, Container::Bottle | Container::Can) && line.priming.is_some()
    };
    let Some(line) = part.package.lines.iter().find(primed) else { return };
    if let Some(at) = &line.temperature {
        let (low, high) = cx.band(&TEMPERATURE);
        if !(low..=high).contains(&at.value) {
            hits.recipe(Grade::HINT, line.place, Conditions::Temperature(at.value));
        }
    }
    if !part.package.yeast.is_empty() {
        return;
    }
    let abv = cx.figure(FigureId::Abv).filter(|abv| *abv > cx.limit(&STRONG));
    let cold: f64 = part
        .ferment
        .steps
        .iter()
        .filter(|step| step.temperature.as_ref().is_some_and(|at| at.value < 6.0))
        .filter_map(|step| step.time.as_ref())
        .map(|time| time.value)
        .sum();
    let weeks = Some(cold / 1440.0 / 7.0).filter(|weeks| *weeks > cx.limit(&WEEKS));
    if abv.is_some() || weeks.is_some() {
        hits.recipe(Grade::WARNING, line.place, Conditions::Tired { abv, weeks });
    }
}

impl Detail for Conditions {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Temperature(celsius) => Message::new(
                format!("the bottles condition at {}", say.temperature(*celsius)),
                if *celsius < 15.0 { "yeast is nearly asleep there and takes months" } else { "warm bottles stale, and their pressure is high" },
                format!("keep them at {} for two weeks, then cool", say.temperature(20.0)),
            ),
            Self::Tired { abv, weeks } => Message::new(
                match (abv, weeks) {
                    (Some(abv), _) => format!("the yeast has to prime a beer of {}", say.percent(*abv)),
                    (_, Some(weeks)) => format!("the yeast has been cold for {weeks:.0} weeks"),
                    (None, None) => "the yeast is tired".to_owned(),
                },
                "tired yeast leaves the bottles flat",
                "add 0.5 to 1 million cells/mL of fresh yeast with the priming sugar",
            ),
        }
    }
}
