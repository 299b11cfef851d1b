//! A planned addition that the log never shows.

use figures::same_thing;

use crate::prelude::*;
use crate::rules::log::correction_not_remeasured::amount_words;

pub(crate) static RULE: Rule = Rule::new("addition-missed", Group::Log, Level::Warning, Check::Log(check), DOC)
    .whole(&[BlockKind::Boil, BlockKind::Stand, BlockKind::Ferment, BlockKind::Package, BlockKind::Liquor]);

const DOC: Doc = Doc {
    catches: "A planned addition of a stage that the log has passed, of which the log has no entry.",
    matters: "Either it was forgotten in the kettle or in the log. Only one of the two changes the beer, and now is the time to remember which.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
  1 tablet  kettle finings at 10 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:55   boil start
  11:56   add       38 g Fuggle to kettle
  12:55   flameout
  13:20   post-boil  20.4 L at 1.044"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
  1 tablet  kettle finings at 10 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:55   boil start
  11:56   add       38 g Fuggle to kettle
  12:45   add       1 tablet kettle finings to kettle
  12:55   flameout
  13:20   post-boil  20.4 L at 1.044"#,
    limits: "Silent where the log has no `add` at all: such a log does not keep additions. Salts and acids for the liquor are compared only \
             where one was logged before `mash in`. What was used instead counts (`instead … for …`).",
    sources: "Common practice, no source.",
};

struct Missed {
    name: Box<str>,
    line: Place,
    stage: &'static str,
    amount: Amount,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let entries = &cx.log.entries;
    if !entries.iter().any(|entry| matches!(entry.event, Event::Add { .. })) {
        return;
    }
    let first = |wanted: fn(&Event) -> bool| cx.first(wanted);
    let boiled = first(|event| matches!(event, Event::Flameout | Event::BoilEnd | Event::PostBoil(..) | Event::Og(..)));
    let chilled = first(|event| matches!(event, Event::Chilled(_) | Event::PostBoil(..) | Event::Og(..) | Event::Pitch { .. }));
    let packaged = first(|event| matches!(event, Event::Package { .. }));
    let mash_in = first(|event| matches!(event, Event::MashIn(_)));
    // Where a missed line is reported: the entry that shows its stage has passed.
    let report = |hits: &mut Hits, at: usize, thing: &Thing, amount: &Amount, line: Place, stage| {
        let Some(entry) = entries.get(at) else { return };
        hits.log(
            Grade::WARNING,
            entry.place,
            Missed {
                name: crate::look::spoken(thing),
                line,
                stage,
                amount: amount.clone(),
            },
        );
    };
    let mut used = vec![false; entries.len()];
    // Each entry answers for one planned line; a name planned twice needs two.
    let mut answered = |thing: &Thing, until: usize| {
        for (at, entry) in entries.iter().enumerate() {
            if used[at] || at > until {
                continue;
            }
            let matches = match &entry.event {
                Event::Add { thing: added, .. } => same_thing(added, thing),
                Event::Instead { planned, .. } => same_name(planned, &thing.name),
                _ => false,
            };
            if matches {
                used[at] = true;
                return true;
            }
        }
        false
    };
    for line in &plan.recipe.additions {
        let (passed, stage) = match line.time {
            KettleTime::Minutes(_) | KettleTime::FirstWort | KettleTime::Flameout => (boiled, "boil"),
            KettleTime::Stand(_) => (chilled, "stand"),
            KettleTime::Mash | KettleTime::Unsaid => continue,
        };
        let Some(at) = passed else { continue };
        // Flameout additions are logged beside or after the entry that ends the boil.
        if !answered(&line.thing, chilled.unwrap_or(entries.len())) {
            report(hits, at, &line.thing, &line.amount, line.place, stage);
        }
    }
    for line in &plan.recipe.grist {
        if let (Joins::Kettle(Some(_)) | Joins::Flameout, Some(at)) = (line.joins, boiled)
            && !answered(&line.thing, entries.len())
        {
            report(hits, at, &line.thing, &line.amount, line.place, "boil");
        }
        if let (Joins::Fermenter(_), Some(at)) = (line.joins, packaged)
            && !answered(&line.thing, entries.len())
        {
            report(hits, at, &line.thing, &line.amount, line.place, "fermentation");
        }
    }
    if let Some(at) = packaged {
        for line in &plan.part().ferment.additions {
            if !answered(&line.thing, at) {
                report(hits, at, &line.thing, &line.amount, line.place, "fermentation");
            }
        }
    }
    if let Some(at) = mash_in {
        let keeps_water = entries.get(..at).unwrap_or(&[]).iter().any(|entry| {
            matches!(&entry.event, Event::Add { thing, .. } if is_water_addition(thing))
        });
        if keeps_water {
            for line in &plan.recipe.liquor.additions {
                // Sparge liquor may be treated later; what is solved for has no amount to look for.
                if line.vessel == Vessel::Mash
                    && matches!(line.amount, Amount::Of(_))
                    && !answered(&line.thing, at)
                {
                    report(hits, at, &line.thing, &line.amount, line.place, "water treatment");
                }
            }
        }
    }
}

fn is_water_addition(thing: &Thing) -> bool {
    thing.words(Keyword::Role).is_some_and(|role| {
        let role = role.to_lowercase();
        role.contains("salt") || role.contains("acid")
    })
}

pub(crate) fn same_name(a: &str, b: &str) -> bool {
    let words = |name: &str| -> Vec<String> {
        name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
    };
    words(a) == words(b)
}

impl Detail for Missed {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} {} planned for the {} is not in the log", amount_words(&self.amount, say), self.name, self.stage),
            "either the beer lacks it, or the log does",
            "if it went in, log it; if something else did, log `instead … for …`; if it was forgotten, note it for the tasting",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.line), "the line planned".into())]
    }
}
