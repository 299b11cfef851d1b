//! Something added to the boil at another time, or in another amount, than planned.

use figures::{Calc, same_thing};

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("addition-off-plan", Group::Log, Level::Warning, Check::Log(check), DOC)
    .whole(&[BlockKind::Boil, BlockKind::Grist, BlockKind::Recipe])
    .limits(&[&MINUTES, &SHARE_OF_TIME, &SHARE_OF_AMOUNT, &SHARE_OF_PITCH]);

static MINUTES: Limit = Limit::at_most(
    "addition-time-off",
    5.0,
    "min",
    "how far from its planned time; half of it is a hint",
    "common practice, no source",
);
static SHARE_OF_TIME: Limit = Limit::at_most(
    "addition-time-off-share",
    10.0,
    "%",
    "how far from its planned time, of that time; both have to be exceeded",
    "common practice, no source",
);
static SHARE_OF_AMOUNT: Limit = Limit::at_most(
    "addition-amount-off",
    15.0,
    "%",
    "how far from the planned amount; half of it is a hint",
    "common practice, no source",
);

static SHARE_OF_PITCH: Limit = Limit::at_most(
    "pitch-amount-off",
    40.0,
    "%",
    "how far the yeast pitched may be from the yeast planned",
    "cells are counted to about 20 %, and twice that is beyond doubt",
);

const DOC: Doc = Doc {
    catches: "A hop, or anything else for the kettle, logged at another time before the end of the boil or in another amount than the recipe \
              plans; salts and acids before the mash, dry hops and yeast in another amount; anything that goes into another vessel.",
    matters: "Minutes of boil make the bitterness. What was missed can often be put right the same day, and otherwise belongs into the judgement \
              of the beer.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:55   boil start
  12:30   add       38 g Fuggle to kettle
  12:55   flameout"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:55   boil start
  11:56   add       38 g Fuggle to kettle
  12:55   flameout"#,
    limits: "Each addition is compared with the nearest planned line of its name. Its minutes count back from `flameout` or `boil end`, else \
             from the boil start and the planned boil. Salts, acids and dry hops count together by their name; acid after the mash-in is a \
             correction and compared with nothing.",
    sources: "The limits are common practice, no source; bitterness by the model in force.",
};

struct OffPlan {
    name: Box<str>,
    line: Place,
    planned: When,
    minutes: f64,
    amounts: Option<(f64, f64, bool)>,
    time_off: bool,
    ibu: Option<(f64, f64)>,
    /// Minutes of more boil and the bitterness they would bring.
    more: Option<(f64, f64)>,
    hop: bool,
}

#[derive(Clone, Copy, PartialEq)]
enum When {
    Minutes(f64),
    FirstWort,
    Flameout,
    Stand,
}

impl When {
    const fn minutes(self, boil: f64) -> f64 {
        match self {
            Self::Minutes(minutes) => minutes,
            Self::FirstWort => boil,
            Self::Flameout | Self::Stand => 0.0,
        }
    }
}

fn when_of(time: KettleTime) -> Option<When> {
    Some(match time {
        KettleTime::Minutes(minutes) => When::Minutes(minutes),
        KettleTime::FirstWort => When::FirstWort,
        KettleTime::Flameout => When::Flameout,
        KettleTime::Stand(_) => When::Stand,
        KettleTime::Mash | KettleTime::Unsaid => return None,
    })
}

/// Minutes from midnight of the brewing date at which the boil ended, or would end as planned.
pub(crate) fn boil_end(cx: &LogCx) -> Option<f64> {
    let minutes = |at: usize| figures::Actual::minutes(cx.log.entries.get(at)?.moment);
    if let Some(end) = cx.first(|event| matches!(event, Event::Flameout | Event::BoilEnd)) {
        return minutes(end);
    }
    let start = minutes(cx.first(|event| matches!(event, Event::BoilStart))?)?;
    Some(start + cx.plan?.recipe.boil.as_ref()?.time.as_ref()?.value)
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    amounts_by_name(cx, plan, hits);
    other_vessels(cx, plan, hits);
    pitch(cx, plan, hits);
    if let Some(end) = boil_end(cx) {
        boil(cx, plan, end, hits);
        instead(cx, plan, end, hits);
    }
}

/// What is made before the mash and in the fermenter: the sum of what was logged of a name, against the sum
/// of what was planned.
fn amounts_by_name(cx: &LogCx, plan: &RecipeCx, hits: &mut Hits) {
    let mash_in = cx.first(|event| matches!(event, Event::MashIn(_)));
    let pitched = cx.actual.pitched_at();
    let water: Vec<(&Thing, &Amount, Place)> =
        plan.recipe.liquor.additions.iter().map(|line| (&line.thing, &line.amount, line.place)).collect();
    let cold: Vec<(&Thing, &Amount, Place)> =
        plan.part().ferment.additions.iter().map(|line| (&line.thing, &line.amount, line.place)).collect();
    let entries = &cx.log.entries;
    for (planned, within) in [
        (water, mash_in.map(|at| 0..at)),
        (cold, pitched.map(|at| at..entries.len())),
    ] {
        let Some(within) = within else { continue };
        let mut done: Vec<&Thing> = Vec::new();
        for (thing, _, line) in &planned {
            if done.iter().any(|other| same_thing(other, thing)) {
                continue;
            }
            done.push(thing);
            let wanted = planned.iter().filter(|(other, ..)| same_thing(other, thing)).map(|(_, amount, _)| *amount);
            let made = entries[within.clone()].iter().filter_map(|entry| match &entry.event {
                Event::Add { amount, thing: added, .. } if same_thing(added, thing) => Some((amount, entry.place)),
                _ => None,
            });
            let made: Vec<(&Amount, Place)> = made.collect();
            let (Some(wanted), Some(sum)) = (total(wanted), total(made.iter().map(|(amount, _)| *amount))) else { continue };
            if wanted.1 != sum.1 || wanted.0 <= 0.0 {
                continue;
            }
            let most = cx.limit(&SHARE_OF_AMOUNT);
            let off = (sum.0 / wanted.0 - 1.0).abs() * 100.0;
            let grade = Grade::above(off, || 0.0, &[(most, Severity::Warning), (most / 2.0, Severity::Hint)]);
            if let (Some(grade), Some((_, place))) = (grade, made.last()) {
                let mass = sum.1 == quantity::Dimension::Mass;
                hits.log(grade, *place, Dose { name: look::spoken(thing), line: *line, planned: wanted.0, made: sum.0, mass });
            }
        }
    }
}

/// The sum of amounts of one dimension.
fn total<'a>(amounts: impl Iterator<Item = &'a Amount>) -> Option<(f64, quantity::Dimension)> {
    let mut sum: Option<(f64, quantity::Dimension)> = None;
    for amount in amounts {
        let Amount::Of(quant) = amount else { return None };
        let dimension = quant.unit?.dimension();
        sum = Some(match sum {
            None => (quant.value, dimension),
            Some((value, before)) if before == dimension => (value + quant.value, dimension),
            Some(_) => return None,
        });
    }
    sum
}

/// What was planned for the kettle and went into a fermenter that had no beer yet, and what was planned for
/// the mash and went into the kettle.
fn other_vessels(cx: &LogCx, plan: &RecipeCx, hits: &mut Hits) {
    let boiled = cx.first(|event| matches!(event, Event::Flameout | Event::BoilEnd | Event::Chilled(_) | Event::Pitch { .. }));
    let mash_in = cx.first(|event| matches!(event, Event::MashIn(_)));
    for (at, entry) in cx.log.entries.iter().enumerate() {
        let Event::Add { thing, vessel, .. } = &entry.event else { continue };
        let kettle = plan.recipe.additions.iter().find(|line| same_thing(&line.thing, thing));
        let water = || plan.recipe.liquor.additions.iter().filter(|line| same_thing(&line.thing, thing));
        let (line, planned) = match vessel {
            Vessel::Fermenter if boiled.is_some_and(|end| at < end) => match kettle {
                Some(line) => (line.place, "the kettle"),
                None => continue,
            },
            Vessel::Kettle if mash_in.is_some_and(|end| at < end) && kettle.is_none() => {
                match water().next() {
                    Some(line) if water().all(|line| line.vessel != Vessel::Kettle) => (line.place, "the mash or the sparge"),
                    _ => continue,
                }
            }
            _ => continue,
        };
        hits.log(Grade::WARNING, entry.place, OtherVessel { name: look::spoken(thing), line, planned });
    }
}

/// The yeast pitched against the yeast planned.
fn pitch(cx: &LogCx, plan: &RecipeCx, hits: &mut Hits) {
    let [line] = plan.part().pitch.lines.as_slice() else { return };
    let mut pitches = cx.log.entries.iter().filter_map(|entry| match &entry.event {
        Event::Pitch { amount, .. } => Some((amount, entry.place)),
        _ => None,
    });
    let (Some((amount, place)), None) = (pitches.next(), pitches.next()) else { return };
    let Amount::Of(made) = amount else { return };
    let Some(dimension) = made.unit.map(quantity::UnitId::dimension) else { return };
    let planned = match same_measure(&line.amount, amount) {
        Some((planned, ..)) if plan.part().pitch.starter.is_empty() => planned,
        _ if dimension == quantity::Dimension::Cells => match plan.figure(FigureId::CellsPitched) {
            Some(planned) if planned > 0.0 => planned,
            _ => return,
        },
        _ => return,
    };
    if (made.value / planned - 1.0).abs() * 100.0 > cx.limit(&SHARE_OF_PITCH) {
        let mass = dimension == quantity::Dimension::Mass;
        let cells = dimension == quantity::Dimension::Cells;
        hits.log(Grade::WARNING, place, Pitched { line: line.place, planned, made: made.value, mass, cells });
    }
}

/// A hop used in place of another, at another time than the other was planned.
fn instead(cx: &LogCx, plan: &RecipeCx, end: f64, hits: &mut Hits) {
    let boil = plan.recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()).map_or(60.0, |time| time.value);
    for entry in &cx.log.entries {
        let Event::Instead { thing, planned, .. } = &entry.event else { continue };
        let Some(made) = figures::Actual::minutes(entry.moment).map(|at| (end - at).max(0.0)) else { continue };
        let lines = plan.recipe.additions.iter().filter(|line| super::addition_missed::same_name(planned, &line.thing.name));
        let nearest = lines
            .filter_map(|line| Some((line.place, when_of(line.time)?)))
            .min_by(|a, b| (a.1.minutes(boil) - made).abs().total_cmp(&(b.1.minutes(boil) - made).abs()));
        let Some((line, when)) = nearest else { continue };
        let off = (when.minutes(boil) - made).abs();
        if off > cx.limit(&MINUTES) && off > cx.limit(&SHARE_OF_TIME) / 100.0 * when.minutes(boil) {
            let detail = OffPlan {
                name: look::spoken(thing),
                line,
                planned: when,
                minutes: made,
                amounts: None,
                time_off: true,
                ibu: None,
                more: None,
                hop: thing.kind() == Some(BlockKind::Hop),
            };
            hits.log(Grade::WARNING, entry.place, detail);
        }
    }
}

/// Which planned line each entry is the making of, by their numbers: of one name the nearest in time first, so that
/// an entry too many, or a line that was left out, does not shift the others.
fn paired(cx: &LogCx, plan: &RecipeCx, end: f64, boil: f64) -> Vec<(usize, usize)> {
    let mut near: Vec<(f64, usize, usize)> = Vec::new();
    for (number, entry) in cx.log.entries.iter().enumerate() {
        let Event::Add { thing, vessel: Vessel::Kettle | Vessel::Unsaid, .. } = &entry.event else { continue };
        let Some(made) = figures::Actual::minutes(entry.moment).map(|at| end - at) else { continue };
        for (at, line) in plan.recipe.additions.iter().enumerate() {
            if let Some(when) = when_of(line.time).filter(|_| same_thing(&line.thing, thing)) {
                near.push(((when.minutes(boil) - made).abs(), number, at));
            }
        }
    }
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for (_, number, at) in near {
        if pairs.iter().all(|(entry, line)| *entry != number && *line != at) {
            pairs.push((number, at));
        }
    }
    pairs
}

fn boil(cx: &LogCx, plan: &RecipeCx, end: f64, hits: &mut Hits) {
    let boil = plan.recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()).map_or(60.0, |time| time.value);
    let pairs = paired(cx, plan, end, boil);
    for (number, entry) in cx.log.entries.iter().enumerate() {
        let Event::Add { amount, thing, vessel: Vessel::Kettle | Vessel::Unsaid } = &entry.event else { continue };
        if !matches!(thing.kind(), Some(BlockKind::Hop | BlockKind::Addition)) {
            continue;
        }
        let Some(at) = figures::Actual::minutes(entry.moment) else { continue };
        let made = end - at;
        let pair = pairs.iter().find(|(entry, _)| *entry == number).map(|(_, line)| *line);
        let Some((at, line)) = pair.and_then(|at| Some((at, plan.recipe.additions.get(at)?))) else { continue };
        let Some(planned) = when_of(line.time) else { continue };
        let off = match planned {
            // What goes in after flameout, or with the first wort, has no minute of its own.
            When::Flameout | When::Stand => made.max(0.0),
            When::FirstWort => (boil - made).max(0.0),
            When::Minutes(minutes) => (minutes - made.max(0.0)).abs(),
        };
        let share = cx.limit(&SHARE_OF_TIME) / 100.0 * planned.minutes(boil);
        let limit = cx.limit(&MINUTES);
        let time = if off > limit && off > share {
            Some(Grade::WARNING)
        } else if off > limit / 2.0 && off > share / 2.0 {
            Some(Grade::HINT)
        } else {
            None
        };
        let amounts = same_measure(&line.amount, amount);
        let most = cx.limit(&SHARE_OF_AMOUNT);
        let amount = amounts.and_then(|(planned, made, _)| {
            let off = (made / planned - 1.0).abs() * 100.0;
            Grade::above(off, || 0.0, &[(most, Severity::Warning), (most / 2.0, Severity::Hint)])
        });
        let Some(grade) = time.into_iter().chain(amount).reduce(Grade::worse) else { continue };
        let hop = thing.kind() == Some(BlockKind::Hop);
        let [ibu, more] = if hop { bitterness(plan, at, made.max(0.0), amounts, boil) } else { [None, None] };
        hits.log(
            grade,
            entry.place,
            OffPlan {
                name: look::spoken(thing),
                line: line.place,
                planned,
                minutes: made,
                amounts: amounts.filter(|_| amount.is_some()),
                time_off: time.is_some(),
                ibu,
                more: more.filter(|_| time.is_some() && made < planned.minutes(boil)),
                hop,
            },
        );
    }
}

/// Both amounts where they can be compared, and whether they are masses.
fn same_measure(planned: &Amount, made: &Amount) -> Option<(f64, f64, bool)> {
    let (Amount::Of(planned), Amount::Of(made)) = (planned, made) else { return None };
    let (a, b) = (planned.unit?.dimension(), made.unit?.dimension());
    (a == b && planned.value > 0.0).then_some((planned.value, made.value, a == quantity::Dimension::Mass))
}

/// Bitterness of the line as planned and as made, and what half an hour more boil would give it.
fn bitterness(
    plan: &RecipeCx,
    at: usize,
    minutes: f64,
    amounts: Option<(f64, f64, bool)>,
    boil: f64,
) -> [Option<(f64, f64)>; 2] {
    let ibu_of = |calc: &Calc<'_>| {
        calc.hop_lines().ok()?.iter().find(|line| line.addition == at).map(|line| line.ibu)
    };
    let made = |minutes: f64, boil: f64| {
        let mut recipe = plan.recipe.clone();
        let line = recipe.additions.get_mut(at)?;
        line.time = if minutes > 0.0 { KettleTime::Minutes(minutes) } else { KettleTime::Flameout };
        if let (Some((_, made, _)), Amount::Of(quant)) = (amounts, &mut line.amount) {
            quant.value = made;
        }
        if let Some(time) = recipe.boil.as_mut().and_then(|boil| boil.time.as_mut()) {
            time.value = boil;
        }
        ibu_of(&Calc::new(&recipe, plan.calc.settings))
    };
    let planned = ibu_of(plan.calc);
    const MORE: f64 = 30.0;
    let more = made(minutes + MORE, boil + MORE).map(|ibu| (MORE, ibu));
    [planned.zip(made(minutes, boil)), more]
}

/// What counts by its name: salts, acids, dry hops.
struct Dose {
    name: Box<str>,
    line: Place,
    planned: f64,
    made: f64,
    mass: bool,
}

impl Detail for Dose {
    fn message(&self, say: Say) -> Message {
        let amount = |value| if self.mass { say.small_mass(value) } else { say.millilitres(value) };
        Message::new(
            format!("{} of {} went in, {} planned", amount(self.made), self.name, amount(self.planned)),
            "the water, or the beer, changes by as much more or less than meant",
            "mend the entry if it is a slip of the pen; otherwise read the pH again, or note it for the tasting",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.line), "the line planned".into())]
    }
}

struct OtherVessel {
    name: Box<str>,
    line: Place,
    planned: &'static str,
}

impl Detail for OtherVessel {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} was planned for {}", self.name, self.planned),
            "where it went it does other work, or none",
            "mend the vessel of the entry if it is a slip of the pen; otherwise note it for the tasting",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.line), "the line planned".into())]
    }
}

struct Pitched {
    line: Place,
    planned: f64,
    made: f64,
    mass: bool,
    cells: bool,
}

impl Detail for Pitched {
    fn message(&self, say: Say) -> Message {
        let amount = |value: f64| match (self.mass, self.cells) {
            (true, _) => say.small_mass(value),
            (_, true) => say.cells(value),
            _ => crate::say::trimmed(value, 1),
        };
        let low = self.made < self.planned;
        Message::new(
            format!("{} were pitched, {} planned", amount(self.made), amount(self.planned)),
            if low { "too little yeast starts slowly, and may stop early" } else { "much more yeast makes less of the flavour it is chosen for" },
            if low { "pitch the rest within the first hours, or mend the entry if it is a slip of the pen" } else { "mend the entry if it is a slip of the pen" },
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.line), "the line planned".into())]
    }
}

impl Detail for OffPlan {
    fn message(&self, say: Say) -> Message {
        let planned = match self.planned {
            When::Minutes(minutes) => format!("at {}", say.time(minutes)),
            When::FirstWort => "with the first wort".into(),
            When::Flameout => "at flameout".into(),
            When::Stand => "for the stand".into(),
        };
        let made = if self.minutes < 0.5 { "at flameout".into() } else { format!("at {}", say.time(self.minutes)) };
        let mut facts = format!("{} was planned {planned}", self.name);
        if self.time_off {
            facts = format!("{facts} and made {made}");
        }
        if let Some((planned, made, mass)) = self.amounts {
            let amount = |value| if mass { say.small_mass(value) } else { crate::say::trimmed(value, 2) };
            facts = format!("{facts}, {} of the {} planned", amount(made), amount(planned));
        }
        let change = self
            .ibu
            .filter(|(planned, made)| (planned - made).abs() >= 0.5)
            .map(|(planned, made)| format!("{} become {:.0}", say.ibu(planned), made));
        let why: std::borrow::Cow<'static, str> = match change {
            Some(change) => change.into(),
            None if self.hop => "its bitterness hardly changes, its aroma does".into(),
            None => "it had another time, or another dose, to work in".into(),
        };
        let remedy = match (self.more, self.ibu) {
            (Some((minutes, ibu)), Some((_, made))) if ibu - made >= 1.0 => format!(
                "while the kettle is hot, {} more boil bring it to about {}; otherwise judge the bitterness with this in mind",
                say.time(minutes),
                say.ibu(ibu)
            ),
            _ => "note it for the tasting; if it is how the beer is meant, change the recipe".into(),
        };
        Message::new(facts, why, remedy)
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.line), "the line planned".into())]
    }
}
