//! Malt is mashed and no rest lets its starch turn to sugar, or the rests that do are very short.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("saccharification-rest-missing", Group::Mash, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist]).taints(Severity::Error, &[]).limits(&[&WINDOW, &WARM, &COOL]);

static WINDOW: Limit = Limit::within("conversion-window", 60.0, 72.0, "C", "temperatures at which starch turns to sugar", "R. Muller, second-hand; MEBAK R-100.07.283");
static WARM: Limit = Limit::at_least("conversion-time-warm", 20.0, "min", "time at 66 C and above", "common practice, no source");
static COOL: Limit = Limit::at_least("conversion-time-cool", 30.0, "min", "time below 66 C", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Malt is mashed and no rest lets its starch turn to sugar, or the rests that do are very short.",
    matters: "Without a rest between 60 and 72 C the wort stays starch: it neither ferments nor clears.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      52 C for 20 min
  rest      76 C for 10 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      66 C for 60 min"#,
    limits: "Exempt with an enzyme on the list. A rest without a time counts as long enough.",
    sources: "Common practice; Muller, Brewing Research Foundation, 1990-91, second-hand, for the speed of \
              conversion.",
};

struct Missing {
    /// Minutes between 60 and 72 C.
    minutes: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    // A hot, short mash leaves little to ferment on purpose.
    if look::is_low_alcohol(cx) {
        return;
    }
    if !look::mashes(recipe) || look::has_enzyme(recipe) || !recipe.cooks.is_empty() {
        return;
    }
    let (low, high) = cx.band(&WINDOW);
    let (mut cool, mut warm, mut first) = (0.0, 0.0, None);
    for (place, celsius, minutes) in look::rests(recipe) {
        first.get_or_insert(place);
        // A rest without a time is as long as it takes.
        let minutes = minutes.unwrap_or(f64::INFINITY);
        if (low..66.0).contains(&celsius) {
            cool += minutes;
        } else if (66.0..=high).contains(&celsius) {
            warm += minutes;
        }
    }
    let total = cool + warm;
    let enough = warm / cx.limit(&WARM) + cool / cx.limit(&COOL);
    let place = recipe.mash.place.or(first);
    // A recipe that says nothing of its mash leaves it to the brewer.
    let Some(place) = place else { return };
    if total <= 0.0 {
        hits.recipe(Grade::ERROR, place, Missing { minutes: 0.0 });
    } else if enough < 1.0 {
        hits.recipe(Grade::WARNING, place, Missing { minutes: total });
    }
}

impl Detail for Missing {
    fn message(&self, say: Say) -> Message {
        let found = if self.minutes > 0.0 {
            format!("the rests between {} and {} are {} together", say.temperature(60.0), say.temperature(72.0), say.time(self.minutes))
        } else {
            format!("no rest lies between {} and {}", say.temperature(60.0), say.temperature(72.0))
        };
        Message::new(
            found,
            "starch that is not turned to sugar neither ferments nor clears",
            format!("rest at {} for an hour, or until iodine stays yellow", say.temperature(66.0)),
        )
    }
}
