//! A correction whose effect nobody measured.

use recipe::PhOf;

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("correction-not-remeasured", Group::Log, Level::Warning, Check::Log(check), DOC);

const DOC: Doc = Doc {
    catches: "Acid, base or salt logged into the mash or the kettle after the last pH reading of that stage.",
    matters: "What a dose does depends on malt and water that no model knows exactly. Only a second reading tells whether it was enough, and \
              the next brew is planned from it.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66.8 C
  10:17   ph        5.58 at 20 C
  10:21   add       3 mL lactic acid [88 %] to mash
  11:40   first runnings  1.070"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66.8 C
  10:17   ph        5.58 at 20 C
  10:21   add       3 mL lactic acid [88 %] to mash
  10:36   ph        5.45 at 20 C
  11:40   first runnings  1.070"#,
    limits: "Additions before `mash in` belong to the plan. Silent for an addition less than twenty minutes before the end of the log, which \
             may still go on, and where no reading of that kind was ever taken.",
    sources: "Common practice, no source.",
};

#[derive(Clone, Copy, PartialEq)]
enum Reading {
    MashPh,
    KettlePh,
}

struct NotRemeasured {
    name: Box<str>,
    amount: Amount,
    reading: Reading,
    before: Option<f64>,
}

/// What a reading of this kind would be of, and the last one among these entries.
fn value(event: &Event, reading: Reading) -> Option<f64> {
    match (event, reading) {
        (Event::Ph { value, of: PhOf::Mash, .. }, Reading::MashPh)
        | (Event::Ph { value, of: PhOf::Kettle, .. }, Reading::KettlePh) => Some(*value),
        _ => None,
    }
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let entries = &cx.log.entries;
    let Some(mash_in) = cx.first(|event| matches!(event, Event::MashIn(_))) else { return };
    let flameout = cx.first(|event| matches!(event, Event::Flameout | Event::BoilEnd)).unwrap_or(entries.len());
    let last = entries.len().saturating_sub(1);
    for (at, entry) in entries.iter().enumerate().skip(mash_in + 1) {
        let Event::Add { amount, thing, vessel } = &entry.event else { continue };
        let role = thing.words(Keyword::Role).unwrap_or("");
        let reading = match (thing.kind(), vessel) {
            (Some(BlockKind::Addition), Vessel::Mash) if changes_ph(role) => Reading::MashPh,
            (Some(BlockKind::Addition), Vessel::Kettle) if changes_ph(role) => Reading::KettlePh,
            _ => continue,
        };
        let taken = |range: core::ops::Range<usize>| {
            entries.get(range).unwrap_or(&[]).iter().rev().find_map(|entry| value(&entry.event, reading))
        };
        let end = if reading == Reading::MashPh { entries.len() } else { flameout };
        if taken(at + 1..end.max(at + 1)).is_some() {
            continue;
        }
        let Some(before) = taken(0..at) else { continue };
        // The brew may still be going on.
        if cx.minutes(at, last).is_some_and(|minutes| minutes < 20.0) {
            continue;
        }
        let amount = amount.clone();
        hits.log(
            Grade::WARNING,
            entry.place,
            NotRemeasured { name: look::spoken(thing), amount, reading, before: Some(before) },
        );
    }
}

fn changes_ph(role: &str) -> bool {
    let role = role.to_lowercase();
    ["acid", "base", "salt"].iter().any(|word| role.contains(word))
}

/// An amount as a brewer would say it.
pub(crate) fn amount_words(amount: &Amount, say: Say) -> String {
    use quantity::Dimension;
    let Amount::Of(quant) = amount else { return "some".into() };
    match quant.unit.map(quantity::UnitId::dimension) {
        Some(Dimension::Mass) => say.mass(quant.value),
        Some(Dimension::Volume) if quant.value < 0.1 => say.millilitres(quant.value),
        Some(Dimension::Volume) => say.volume(quant.value),
        _ => match quant.unit {
            Some(unit) => format!("{} {unit}", crate::say::trimmed(quant.value, 2)),
            None => crate::say::trimmed(quant.value, 2),
        },
    }
}

impl Detail for NotRemeasured {
    fn message(&self, say: Say) -> Message {
        let stage = match self.reading {
            Reading::MashPh => "mash pH",
            Reading::KettlePh => "kettle pH",
        };
        let before = self.before.map_or_else(String::new, |before| format!(", the last was {}", say.ph(before)));
        Message::new(
            format!("{} {} went in and no {stage} was read after it{before}", amount_words(&self.amount, say), self.name),
            "whether the dose was right is not known, for this brew or the next",
            "read the pH again ten to fifteen minutes after a correction, on a cooled sample, and log it",
        )
    }
}
