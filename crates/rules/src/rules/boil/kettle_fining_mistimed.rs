//! Kettle finings or yeast nutrient at a time when they do not work, or wear out.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("kettle-fining-mistimed", Group::Boil, Level::Hint, Check::Recipe(check), DOC).whole(&[BlockKind::Boil]).limits(&[&FININGS, &NUTRIENT]);

static FININGS: Limit = Limit::within("kettle-finings-time", 5.0, 20.0, "min", "kettle finings before the end of the boil", "common practice, no source");
static NUTRIENT: Limit = Limit::within("nutrient-time", 3.0, 20.0, "min", "yeast nutrient before the end of the boil", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Kettle finings or yeast nutrient at a time when they do not work, or wear out.",
    matters: "Carrageenan needs minutes of boil to dissolve and falls apart when it boils long.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
  1 tablet  kettle finings at 45 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
  1 tablet  kettle finings at 10 min"#,
    limits: "Finings of the kettle 5 to 20 min before the end; nutrient 3 to 20 min.",
    sources: "Common practice, no source.",
};

struct Mistimed {
    name: Box<str>,
    minutes: Option<f64>,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for line in &cx.recipe.additions {
        let role = look::role(&line.thing);
        let names = look::names(&line.thing);
        let kettle_fining = role.contains("fining")
            && names.contains_any(const { &look::any_of(["kettle", "carrageen", "irish moss", "copper"]) });
        let band = if kettle_fining {
            cx.band(&FININGS)
        } else if role.contains("nutrient") {
            cx.band(&NUTRIENT)
        } else {
            continue;
        };
        let minutes = match line.time {
            KettleTime::Minutes(minutes) if (band.0..=band.1).contains(&minutes) => continue,
            KettleTime::Minutes(minutes) => Some(minutes),
            KettleTime::FirstWort | KettleTime::Flameout | KettleTime::Stand(_) => None,
            KettleTime::Mash | KettleTime::Unsaid => continue,
        };
        hits.recipe(Grade::HINT, line.place, Mistimed { name: look::spoken(&line.thing), minutes, place: line.place });
    }
}

impl Detail for Mistimed {
    fn message(&self, say: Say) -> Message {
        let when = self.minutes.map_or_else(|| "after or before the boil".to_owned(), |minutes| format!("{} before the end", say.time(minutes)));
        Message::new(
            format!("the plan puts {} in {when}", self.name),
            match self.minutes {
                Some(minutes) if minutes > 15.0 => "it wears out in a long boil",
                _ => "it needs a few minutes of boil to dissolve and work",
            },
            "add it 10 min before the end",
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let value = texts.clause_value(At::Recipe(self.place), ClauseWord::At);
        value.map(|value| Mend::proposed("add it at 10 min", value, "10 min")).into_iter().collect()
    }
}
