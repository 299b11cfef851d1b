//! Grain full of starch steeped like a crystal malt, without the enzymes, the heat or the time to turn it to sugar.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("starch-steeped-not-mashed", Group::Grist, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Grist, BlockKind::Steep]);


const DOC: Doc = Doc {
    catches: "Grain full of starch steeped like a crystal malt, without the enzymes, the heat or the time to turn \
              it to sugar.",
    matters: "It adds starch, not sugar: haze in the glass and nothing for the yeast.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  2.5 kg    "dry malt extract, light"
  500 g     flaked oats in steep
steep 30 min at 67 C
  liquor    4 L
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  2.5 kg    "dry malt extract, light"
  300 g     medium crystal malt in steep
steep 30 min at 67 C
  liquor    4 L
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Silent where enough malt with enzymes is steeped beside it at 60 to 72 C for half an hour: that is a \
              small mash.",
    sources: "Common practice, no source.",
};

struct Steeped {
    name: Box<str>,
    enzymes: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let steeped = || recipe.grist.iter().filter(|line| line.joins == Joins::Steep);
    let enzymes = steeped().any(|line| {
        line.thing.number(Keyword::DiastaticPower).is_some_and(|power| power.value.value >= 100.0)
    });
    let converts = enzymes
        && recipe.steeps.iter().any(|steep| {
            let warm = steep.temperature.as_ref().is_some_and(|at| (60.0..=72.0).contains(&at.value));
            warm && steep.time.as_ref().is_some_and(|time| time.value >= 30.0)
        });
    if converts {
        return;
    }
    for line in steeped() {
        let form = look::form(&line.thing);
        let starchy = look::is_unmalted(&line.thing) || form.contains_any(const { &look::any_of(["base", "munich", "vienna"]) });
        if starchy && !look::is_hulls(&line.thing) {
            hits.recipe(Grade::WARNING, line.place, Steeped { name: look::spoken(&line.thing), enzymes });
        }
    }
}

impl Detail for Steeped {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} is steeped, and its starch comes out and stays starch", self.name),
            "it clouds the beer and gives the yeast nothing",
            if self.enzymes {
                format!("steep it with the malt at {} for 45 min: a small mash", say.temperatures(65.0, 68.0))
            } else {
                format!("steep it with as much pale malt at {} for 45 min, or leave it out", say.temperatures(65.0, 68.0))
            },
        )
    }
}
