//! An addition planned for longer than the boil lasts.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("hop-time-exceeds-boil", Group::Boil, Level::Error, Check::Recipe(check), DOC)
        .whole(&[BlockKind::Boil]).root().absorbs(&["no-boil-unmarked", "short-boil-for-pale-malt"]);

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
    /// Other lines that are too long.
    others: Vec<Place>,
    longest: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(block) = &cx.recipe.boil else { return };
    let Some(time) = &block.time else { return };
    let (boil, header) = (time.value, block.place);
    let hops = cx.recipe.additions.iter().filter_map(|line| match line.time {
        KettleTime::Minutes(minutes) => Some((line.place, &line.thing, minutes)),
        _ => None,
    });
    let sugars = cx.recipe.grist.iter().filter_map(|line| match line.joins {
        Joins::Kettle(Some(minutes)) => Some((line.place, &line.thing, minutes)),
        _ => None,
    });
    let late: Vec<_> = hops.chain(sugars).collect();
    let mut too_long = late.iter().filter(|(_, _, minutes)| *minutes > boil);
    let Some((place, thing, minutes)) = too_long.next() else { return };
    let others: Vec<Place> = too_long.map(|(place, _, _)| *place).collect();
    let hop = thing.kind() == Some(BlockKind::Hop);
    // Where several are too long it is the boil that is too short.
    let at = if others.is_empty() { *place } else { header };
    let longest = late.iter().map(|(_, _, minutes)| *minutes).fold(*minutes, f64::max);
    let detail = TooLong { name: look::spoken(thing), place: *place, minutes: *minutes, boil, hop, others, longest };
    hits.recipe(Grade::ERROR, at, detail);
}

impl Detail for TooLong {
    fn message(&self, say: Say) -> Message {
        if !self.others.is_empty() {
            return Message::new(
                format!(
                    "the boil is {}, and {} additions are planned for longer, the first at {}",
                    say.time(self.boil),
                    self.others.len() + 1,
                    say.time(self.minutes)
                ),
                "they would go in before the boil begins",
                format!("boil for {}, or move the additions", say.time(self.longest)),
            );
        }
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
    fn related(&self, say: Say) -> Vec<(At, String)> {
        if self.others.is_empty() {
            return Vec::new();
        }
        let lines = core::iter::once(&self.place).chain(&self.others);
        lines.map(|place| (At::Recipe(*place), format!("longer than {}", say.time(self.boil)))).collect()
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        if !self.others.is_empty() {
            return Vec::new();
        }
        let Some(value) = texts.clause_value(At::Recipe(self.place), ClauseWord::At) else { return Vec::new() };
        let boil = say.time(self.boil);
        let mut fixes = vec![Mend::proposed(format!("add it at {boil}"), value, boil)];
        if self.hop {
            fixes.push(Mend::proposed("add it with the first wort", value, "first wort"));
        }
        fixes
    }
}
