//! Raw grain whose starch gelatinises hotter than any rest of the mash, and is not cooked first.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("ungelatinised-adjunct", Group::Grist, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Cook]).limits(&[&SHARE]);

static SHARE: Limit = Limit::at_most("ungelatinised-share", 15.0, "%", "of the grist; above it is an error", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Raw grain whose starch gelatinises hotter than any rest of the mash, and is not cooked first.",
    matters: "Starch that has not gelatinised is out of reach of the enzymes: its extract is lost and the beer \
              turns hazy.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3.8 kg    pale ale malt
  400 g     corn grits
mash
  rest      66 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3.8 kg    pale ale malt
  400 g     flaked maize
mash
  rest      66 C for 60 min"#,
    limits: "Flaked and torrefied grain has been gelatinised. An error from 15 % of the grist on. A cook needs \
              ten minutes of boil.",
    sources: "Institute of Brewing, Malting, Wort Production and Fermentation pp. 50-51, second-hand; MEBAK \
              R-100.07.283.",
};

struct Raw {
    name: Box<str>,
    gelatinises: f64,
    hottest: f64,
    cooked: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let hottest = look::rests(recipe).map(|(_, celsius, _)| celsius).fold(f64::NEG_INFINITY, f64::max);
    if hottest == f64::NEG_INFINITY {
        return;
    }
    let cooked_enough = recipe.cooks.iter().any(|cook| cook.boil.as_ref().is_some_and(|boil| boil.value >= 10.0));
    for (line, part) in recipe.grist.iter().zip(cx.grist()) {
        let form = look::form(&line.thing);
        let raw = form.contains("raw") || form.contains("adjunct");
        if !look::is_mashed(line) || !raw || look::is_hulls(&line.thing) {
            continue;
        }
        let gelatinises = match line.thing.fact(Keyword::Gelatinises).map(|fact| &fact.value) {
            Some(recipe::FactValue::Range(_, low, high)) => low.max(*high),
            Some(recipe::FactValue::Number(quant)) => quant.value,
            _ => continue,
        };
        if gelatinises <= hottest {
            continue;
        }
        let cooked = line.joins == Joins::Cook;
        if cooked && cooked_enough {
            continue;
        }
        let share = part.share.unwrap_or(0.0) * 100.0;
        let grade = if cooked {
            Grade::HINT
        } else if share > cx.limit(&SHARE) {
            Grade::ERROR
        } else {
            Grade::WARNING
        };
        hits.recipe(grade, line.place, Raw { name: look::spoken(&line.thing), gelatinises, hottest, cooked });
    }
}

impl Detail for Raw {
    fn message(&self, say: Say) -> Message {
        if self.cooked {
            return Message::new(
                format!("{} is cooked for less than ten minutes of boil", self.name),
                "part of its starch stays out of reach of the enzymes",
                "boil the cook for ten minutes or more, stirring: it scorches easily",
            );
        }
        Message::new(
            format!(
                "the starch of {} gelatinises up to {}, the hottest rest is {}",
                self.name,
                say.temperature(self.gelatinises),
                say.temperature(self.hottest)
            ),
            "until it does, no enzyme reaches it",
            "use a flaked or torrefied form, or cook it apart first (`cook`, and `in cook` on the line)",
        )
    }
}
