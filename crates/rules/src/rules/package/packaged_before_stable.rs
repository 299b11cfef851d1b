//! Beer closed in before its gravity stood still.

use recipe::Container;

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("packaged-before-stable", Group::Package, Level::Error, Check::Log(check), DOC)
        .safety()
        .absorbs(&["hop-creep-risk", "fermentation-too-short", "extract-left-at-packaging"])
        .limits(&[&APART, &APART_SLOW, &SAME, &RECENT, &BELOW]);

static APART: Limit = Limit::at_least(
    "stable-readings-apart",
    48.0,
    "h",
    "how far apart two equal gravities have to be",
    "common practice, no source",
);
static APART_SLOW: Limit = Limit::at_least(
    "stable-readings-apart-slow",
    72.0,
    "h",
    "the same after dry hops, and for bottles below 15 C, where the last points go slowly",
    "Kirkpatrick and Shellhammer 2018 for dry hops; common practice for the cold",
);
static SAME: Limit = Limit::at_most(
    "stable-readings-differ",
    0.001,
    "sg",
    "how far two equal gravities may differ",
    "a hydrometer is read to 0.001",
);
static RECENT: Limit = Limit::at_most(
    "stable-reading-age",
    3.0,
    "d",
    "how old the last gravity may be when the beer is closed in",
    "common practice, no source",
);

static BELOW: Limit = Limit::at_most(
    "stable-estimate-below",
    0.004,
    "sg",
    "how far below the equal gravities a later refractometer reading may come out",
    "common practice, no source: what the correction for alcohol is good for, twice over",
);

const DOC: Doc = Doc {
    catches: "A package logged without two equal gravities far enough apart before it.",
    matters: "Sugar left in the beer goes on fermenting in a closed container: every 0.001 of gravity adds about half a volume of CO2. Bottles \
              burst from it.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     170 billion cells at 18 C
  day 5   gravity   1.014
  day 6   package   18 L bottle 2.2 vol"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     170 billion cells at 18 C
  day 6   gravity   1.012
  day 8   gravity   1.012
  day 9   package   18 L bottle 2.2 vol"#,
    limits: "An error for bottles and cans, a warning for kegs and casks. The last gravity may be older where the beer was cooled by 4 C or \
             more after it, or goes into a keg kept cold. A refractometer's reading after pitching is an estimate: it never shows that the beer stands still, but one \
             well below the last gravity shows that it does not.",
    sources: "0.001 of gravity adds 0.49 vol: stoichiometry of fermentation. Waiting times are common practice, no source.",
};

struct Unstable {
    container: Option<Container>,
    problem: Problem,
}

enum Problem {
    /// No gravity since pitching.
    None,
    /// One only.
    One(f64),
    /// The two last that can be compared.
    Differ { first: f64, last: f64, hours: f64 },
    /// Equal, but too near one another.
    TooNear { hours: f64, wanted: f64, value: f64 },
    /// Equal, but long ago.
    Old { days: f64, value: f64 },
    /// Equal, but a later refractometer reading lies below.
    Fell { from: f64, to: f64 },
    /// Readings that prove nothing.
    Estimated,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(pitched) = cx.actual.pitched_at() else { return };
    let packaged = cx.log.entries.iter().enumerate().find_map(|(at, entry)| match &entry.event {
        Event::Package { container, temperature, .. } => Some((at, *container, *temperature, entry.place)),
        _ => None,
    });
    let Some((at, container, temperature, place)) = packaged else { return };
    let all: Vec<_> = cx
        .actual
        .gravities()
        .into_iter()
        .filter(|gravity| gravity.entry > pitched && gravity.entry < at)
        .collect();
    let sound: Vec<_> = all.iter().filter(|gravity| !gravity.estimated).collect();
    let below = |gravity: &&&figures::ActualGravity| sound.last().is_some_and(|last| last.sg - gravity.sg > cx.limit(&BELOW));
    let fell = all.last().filter(|gravity| gravity.estimated).as_ref().filter(below).map(|gravity| Problem::Fell {
        from: sound.last().map_or(gravity.sg, |last| last.sg),
        to: gravity.sg,
    });
    let Some(problem) = fell.or_else(|| problem(cx, at, container, temperature, &sound, all.len())) else { return };
    let closed = matches!(container, Some(Container::Bottle | Container::Can));
    let grade = if closed { Grade::ERROR } else { Grade::WARNING };
    hits.log(grade, place, Unstable { container, problem });
}

fn problem(
    cx: &LogCx,
    at: usize,
    container: Option<Container>,
    temperature: Option<f64>,
    sound: &[&figures::ActualGravity],
    all: usize,
) -> Option<Problem> {
    let Some(last) = sound.last() else {
        return Some(if all > 0 { Problem::Estimated } else { Problem::None });
    };
    if sound.len() < 2 {
        return Some(Problem::One(last.sg));
    }
    let dry_hopped = cx.log.entries.get(..at).unwrap_or(&[]).iter().any(|entry| {
        matches!(&entry.event, Event::Add { thing, vessel: Vessel::Fermenter, .. } if thing.kind() == Some(BlockKind::Hop))
    });
    let coldest_before = cx.log.entries.get(..last.entry).unwrap_or(&[]).iter().rev().find_map(|entry| match entry.event {
        Event::Temp(celsius) => Some(celsius),
        _ => None,
    });
    let closed = matches!(container, Some(Container::Bottle | Container::Can));
    let slow = dry_hopped || closed && coldest_before.is_some_and(|celsius| celsius < 15.0);
    let wanted = cx.limit(if slow { &APART_SLOW } else { &APART });
    // The earliest reading from which on all were equal.
    let mut first = *last;
    for reading in sound.iter().rev().skip(1) {
        if (reading.sg - last.sg).abs() > cx.limit(&SAME) + 5e-5 {
            break;
        }
        first = reading;
    }
    let hours = |from: &figures::ActualGravity| cx.days(from.entry, last.entry).map(|days| days * 24.0);
    if first.entry == last.entry {
        let before = sound.get(sound.len() - 2)?;
        return Some(Problem::Differ {
            first: before.sg,
            last: last.sg,
            hours: hours(before)?,
        });
    }
    let apart = hours(first)?;
    // Dates without a time of day are known to the day only.
    if apart + 6.0 < wanted {
        return Some(Problem::TooNear { hours: apart, wanted, value: last.sg });
    }
    let age = cx.days(last.entry, at)?;
    if age > cx.limit(&RECENT) && !cooled_after(cx, last.entry, at, temperature) && !kept_cold(container, temperature) {
        return Some(Problem::Old { days: age, value: last.sg });
    }
    None
}

/// Whether the beer was cooled by 4 C or more between two entries, by the log or by the plan.
fn cooled_after(cx: &LogCx, from: usize, to: usize, packaged_at: Option<f64>) -> bool {
    let temperature = |entry: &recipe::LogEntry| match entry.event {
        Event::Temp(celsius) => Some(celsius),
        _ => None,
    };
    let before = cx.log.entries.get(..=from).unwrap_or(&[]).iter().rev().find_map(temperature);
    let after =
        cx.log.entries.get(from..to).unwrap_or(&[]).iter().filter_map(temperature).chain(packaged_at).reduce(f64::min);
    if let (Some(before), Some(after)) = (before, after) {
        return before - after >= 4.0;
    }
    cx.plan.is_some_and(|plan| plan.part().ferment.steps.iter().any(|step| step.kind == FermentKind::Cool))
}

fn kept_cold(container: Option<Container>, temperature: Option<f64>) -> bool {
    container == Some(Container::Keg) && temperature.is_some_and(|celsius| celsius <= 8.0)
}

impl Detail for Unstable {
    fn message(&self, say: Say) -> Message {
        let found = match &self.problem {
            Problem::None => "no gravity was read between pitching and packaging".to_owned(),
            Problem::One(value) => format!("only one gravity, {}, was read before packaging", say.gravity(*value)),
            Problem::Differ { first, last, hours } => format!(
                "the gravity went from {} to {} within {:.0} h and was not read again before packaging",
                say.gravity(*first),
                say.gravity(*last),
                hours
            ),
            Problem::TooNear { hours, wanted, value } => {
                format!("{} was read twice within {hours:.0} h, {wanted:.0} h are wanted", say.gravity(*value))
            }
            Problem::Old { days, value } => {
                format!("the last gravity, {}, is {days:.0} d older than the package", say.gravity(*value))
            }
            Problem::Fell { from, to } => format!(
                "after {} the refractometer read about {}, alcohol reckoned in: the gravity had not stood still",
                say.gravity(*from),
                say.gravity(*to)
            ),
            Problem::Estimated => {
                "only a refractometer was read after pitching, and alcohol bends its readings".to_owned()
            }
        };
        let (why, remedy) = match self.container {
            Some(Container::Bottle | Container::Can) => (
                "sugar left behind goes on fermenting in the closed container; 0.001 adds about half a volume, and bottles burst",
                "read two equal gravities far enough apart before closing; if it is bottled already, keep it cold and \
                 covered, away from people, and vent or move it to a keg with care",
            ),
            _ => (
                "sugar left behind goes on fermenting and over-carbonates the beer",
                "read two equal gravities far enough apart first; a keg needs a working relief valve, a cask is vented before it is tapped",
            ),
        };
        Message::new(found, why, remedy)
    }
}
