//! An addition planned for longer than the boil lasts.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("hop-time-exceeds-boil", Group::Boil, Level::Error, Check::Recipe(check), DOC)
        .whole(&[BlockKind::Boil]);

const DOC: Doc = Doc {
    catches: "A hop, or anything else for the kettle, whose minutes before the end of the boil are more than the boil has.",
    matters: "It would go in before the boil begins. Either the boil or the time is wrong, and the bitterness is computed from both.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  30 g      Fuggle [alpha 5 %] at 90 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 90 min
  30 g      Fuggle [alpha 5 %] at 90 min"#,
    limits: "Hops that go in with the first wort say `at first wort`.",
    sources: "Logic; no outside source.",
};

struct TooLong {
    name: Box<str>,
    place: Place,
    minutes: f64,
    boil: f64,
    hop: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(boil) = cx.recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()) else { return };
    let boil = boil.value;
    let hops = cx.recipe.additions.iter().filter_map(|line| match line.time {
        KettleTime::Minutes(minutes) => Some((line.place, &line.thing, minutes)),
        _ => None,
    });
    let sugars = cx.recipe.grist.iter().filter_map(|line| match line.joins {
        Joins::Kettle(Some(minutes)) => Some((line.place, &line.thing, minutes)),
        _ => None,
    });
    for (place, thing, minutes) in hops.chain(sugars).filter(|(_, _, minutes)| *minutes > boil) {
        let hop = thing.kind() == Some(BlockKind::Hop);
        hits.recipe(Grade::ERROR, place, TooLong { name: thing.name.clone(), place, minutes, boil, hop });
    }
}

impl Detail for TooLong {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} is planned {} before the end of a boil of {}",
                self.name,
                say.time(self.minutes),
                say.time(self.boil)
            ),
            "it would go in before the boil begins",
            if self.hop {
                format!("boil for {}, add it at {} or less, or write `at first wort`", say.time(self.minutes), say.time(self.boil))
            } else {
                format!("boil for {}, or add it at {} or less", say.time(self.minutes), say.time(self.boil))
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let Some(value) = texts.clause_value(At::Recipe(self.place), ClauseWord::At) else { return Vec::new() };
        let boil = say.time(self.boil);
        let mut fixes = vec![Mend::proposed(format!("add it at {boil}"), value, boil)];
        if self.hop {
            fixes.push(Mend::proposed("add it with the first wort", value, "first wort"));
        }
        fixes
    }
}
