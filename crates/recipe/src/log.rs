//! The log of one brewing from its blocks: what happened, and when.

use std::sync::Arc;

use quantity::{Dimension, UnitId};
use syntax::ast::{Block, Body, Clause, Clock, Date, Entry, Form, Prop, Value, ValueKind, When};
use syntax::vocabulary::{BlockKind, ClauseWord, Flag, Keyword};
use syntax::{Span, same_words};

use crate::build::{Cx, Settings, own_props, package, queries};
use crate::kinds::named_kinds;
use crate::library::Scope;
use crate::model::{
    Amount, Event, GravityReading, Log, LogEntry, Moment, PhOf, Place, Recipe, Tasting, Thing, VolumeReading,
};
use crate::units::{tasting_of, text_of};
use crate::{dates, words};

/// The log that these blocks make, the header first, as [`crate::Units`] sorts them. Names are looked up
/// among those of `recipe` first.
#[must_use]
pub fn build_log(
    blocks: &[Arc<Block>],
    scope: &Scope,
    settings: &Settings,
    recipe: Option<Arc<Recipe>>,
) -> Log {
    let customary = recipe.as_ref().and_then(|recipe| recipe.customary).or(settings.customary);
    let plan = recipe.clone();
    let mut cx = Cx::new(scope, customary);
    if let Some(plan) = &plan {
        cx.look_in(plan);
    }
    let mut log = Log {
        id: "".into(),
        recipe_name: "".into(),
        name_place: Place { block: 0, span: Span::default() },
        of: None,
        date: None,
        planned: None,
        pinned: None,
        blocks: blocks.to_vec(),
        recipe,
        entries: Vec::new(),
        pitch_day: None,
        tastings: Vec::new(),
        queries: Vec::new(),
        problems: Vec::new(),
    };
    for (at, block) in blocks.iter().enumerate() {
        if !cx.enter(at, block) {
            break;
        }
        match block.entries_as {
            BlockKind::Gyle => {
                if block.kind == BlockKind::Gyle {
                    header(&mut cx, &mut log);
                }
                events(&mut cx, &mut log);
            }
            BlockKind::Tasting => tasting(&mut cx, &mut log),
            _ => {}
        }
        queries(&cx, &mut log.queries);
    }
    log.problems = cx.problems;
    log
}

fn header(cx: &mut Cx<'_>, log: &mut Log) {
    let place = cx.header_place();
    log.name_place = place;
    for line in &cx.block.lines {
        if let (Body::Header(_), Some(stamp)) = (&line.body, line.stamp) {
            log.pinned = pinned(cx.text(stamp), stamp).map(|(text, span)| (text.into(), cx.place(span)));
        }
    }
    let Some(entry) = cx.header() else { return };
    if let Some(name) = entry.name() {
        log.id = cx.text(name.span).into();
    }
    for value in entry.values() {
        if let ValueKind::Str(span) = value.kind {
            log.recipe_name = cx.text(span).into();
            log.name_place = cx.place(span);
        }
    }
    let path = entry.clause(ClauseWord::Of).and_then(Clause::value);
    if let Some(Value { kind: ValueKind::Str(span), .. }) = path {
        log.of = Some((cx.text(*span).into(), cx.place(*span)));
    }
    log.date = entry.clause(ClauseWord::On).and_then(|clause| date_of(cx, clause));
    if let Some(clause) = entry.clause(ClauseWord::Planned)
        && let Some(date) = date_of(cx, clause)
    {
        let clock = clause.parts.iter().find_map(|part| match part {
            syntax::ast::ClausePart::Value(Value { kind: ValueKind::Clock(clock), .. }) => Some(*clock),
            _ => None,
        });
        log.planned = Some((date, clock));
    }
}

/// The fingerprint in a stamp: `#= recipe 7c1e09f2`, alone or among other values.
fn pinned(stamp: &str, at: Span) -> Option<(&str, Span)> {
    let body = stamp.strip_prefix("#=")?;
    let mut offset = stamp.len() - body.len();
    for value in body.split(',') {
        let start = offset + (value.len() - value.trim_start().len());
        offset += value.len() + 1;
        let Some((word, rest)) = value.trim().split_once(char::is_whitespace) else { continue };
        if !word.eq_ignore_ascii_case("recipe") {
            continue;
        }
        let digits = rest.trim();
        let from = start + value.trim().len() - digits.len();
        let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        let span = Span::new(at.start + place(from), at.start + place(from + digits.len()));
        return (digits.len() == 8 && digits.bytes().all(|byte| byte.is_ascii_hexdigit()))
            .then_some((digits, span));
    }
    None
}

fn date_of(cx: &mut Cx<'_>, clause: &Clause) -> Option<Date> {
    let value = clause.value()?;
    match value.kind {
        ValueKind::Date(date) => cx.date(date, value.span),
        _ => None,
    }
}

fn tasting(cx: &mut Cx<'_>, log: &mut Log) {
    if cx.block.kind == BlockKind::Tasting {
        let date =
            cx.header().and_then(|entry| entry.clause(ClauseWord::On)).and_then(|clause| date_of(cx, clause));
        log.tastings.push(Tasting {
            place: cx.header_place(),
            of: tasting_of(cx.block).map(Into::into),
            date,
            score: None,
            next: None,
        });
    }
    for entry in cx.entries() {
        let Some(tasting) = log.tastings.last_mut() else { return };
        match entry.keyword.map(|keyword| keyword.node) {
            Some(Keyword::Score) => {
                if let Some(ValueKind::Score(points, of)) = entry.value().map(|value| &value.kind) {
                    tasting.score = Some((*points, *of));
                }
            }
            Some(Keyword::Next) => {
                tasting.next = entry.text().map(|span| (cx.text(span).into(), cx.place(span)));
            }
            _ => {}
        }
    }
}

// ---- time ---------------------------------------------------------------------------------------------------

/// The clock of a log while its lines are read.
struct Timeline {
    /// Day 0 of moments.
    zero: Option<Date>,
    /// Days from there to the day of pitching.
    pitch_day: i32,
    /// The day of the last date written.
    today: i32,
    /// The last moment that follows the one before, and how it is written.
    last: Option<(Moment, Span)>,
    /// Lines that run backwards are reported once, until one is in order again.
    adrift: bool,
}

impl Timeline {
    fn day_of(&self, date: Date) -> Option<i32> {
        dates::days_between(self.zero?, date)
    }

    /// The moment of a line; sets the day for those that follow.
    fn read(&mut self, when: When) -> Option<Moment> {
        let minute = |clock: Clock| u16::from(clock.hour) * 60 + u16::from(clock.minute);
        let (day, clock) = match when {
            When::Clock(clock) => (self.today, Some(clock)),
            When::Date(date, clock) => (self.day_of(date)?, clock),
            When::Day(day, clock) => (self.pitch_day.checked_add(day)?, clock),
        };
        self.today = day;
        Some(Moment { day, minute: clock.map(minute) })
    }
}

/// Whether a moment is before another, by day where one has no time of day.
fn is_before(moment: Moment, other: Moment) -> bool {
    match (moment.minute, other.minute) {
        (Some(a), Some(b)) => (moment.day, a) < (other.day, b),
        _ => moment.day < other.day,
    }
}

/// The day of pitching: that of the first `pitch`, as its line dates it. Beside it the day that days are
/// counted from where no pitching is logged: the one in hand when the first is counted.
fn pitch_day(cx: &Cx<'_>, timeline: &mut Timeline) -> (Option<i32>, i32) {
    let start = timeline.today;
    let mut pitched = None;
    let mut counted = None;
    for entry in cx.entries() {
        match entry.when.map(|when| when.node) {
            // `day 3` above the pitching cannot move the date it is counted from.
            Some(When::Day(..)) => counted = counted.or(Some(timeline.today)),
            Some(when) => {
                let before = timeline.today;
                timeline.read(when);
                // A date before the brewing is a slip, and days are not counted from a slip.
                timeline.today = timeline.today.max(before);
            }
            None => {}
        }
        if entry.keyword.is_some_and(|keyword| keyword.node == Keyword::Pitch) {
            pitched = Some(timeline.today);
            break;
        }
    }
    timeline.today = start;
    (pitched, pitched.or(counted).unwrap_or(start))
}

fn moment(cx: &mut Cx<'_>, timeline: &mut Timeline, entry: &Entry) -> Option<Moment> {
    let when = entry.when?;
    if let When::Date(date, _) = when.node {
        // The date alone, without the clock behind it.
        let date_span = Span::new(when.span.start, (when.span.start + 10).min(when.span.end));
        cx.date(date, date_span)?;
    }
    let before = timeline.today;
    let found = timeline.read(when.node)?;
    let Some((last, last_span)) = timeline.last else {
        timeline.last = Some((found, when.span));
        return Some(found);
    };
    if !is_before(found, last) {
        timeline.adrift = false;
        // A day without a time says less than the time before it on the same day.
        if found.minute.is_some() || found.day != last.day {
            timeline.last = Some((found, when.span));
        }
        return Some(found);
    }
    let clock_only = matches!(when.node, When::Clock(_));
    if !(timeline.adrift && clock_only) {
        let written = cx.text(when.span);
        let next_day = match (when.node, timeline.zero) {
            (When::Clock(_), Some(zero)) => before
                .checked_add(1)
                .and_then(|day| dates::later(zero, day))
                .map(|date| format!("{date} {written}")),
            _ => None,
        };
        cx.problem(words::out_of_order(written, cx.text(last_span), next_day, when.span));
        timeline.adrift = true;
    }
    timeline.today = before;
    None
}

// ---- events -------------------------------------------------------------------------------------------------

/// Where the wort is, for a pH without a word where from.
#[derive(Clone, Copy)]
struct Stage {
    ph_of: PhOf,
}

fn events(cx: &mut Cx<'_>, log: &mut Log) {
    let zero = log.date.or(log.planned.map(|(date, _)| date));
    let mut timeline = Timeline { zero, pitch_day: 0, today: 0, last: None, adrift: false };
    (log.pitch_day, timeline.pitch_day) = pitch_day(cx, &mut timeline);
    let mut stage = Stage { ph_of: PhOf::Mash };
    for entry in cx.entries() {
        let Some(keyword) = entry.keyword else { continue };
        if !matches!(entry.form, Form::Fact | Form::Text) {
            continue;
        }
        let moment = moment(cx, &mut timeline, entry);
        if let Some(event) = event(cx, entry, keyword.node, stage) {
            stage.follow(&event);
            log.entries.push(LogEntry { place: cx.place(entry.span), moment, event });
        }
    }
}

impl Stage {
    /// Takes the wort along: to the kettle with the runnings, to the fermenter when the boil is over.
    fn follow(&mut self, event: &Event) {
        match event {
            Event::MashOut(_)
            | Event::FirstRunnings(_)
            | Event::LastRunnings(_)
            | Event::PreBoil(..)
            | Event::BoilStart
                if self.ph_of == PhOf::Mash =>
            {
                self.ph_of = PhOf::Kettle;
            }
            Event::Flameout
            | Event::BoilEnd
            | Event::PostBoil(..)
            | Event::Chilled(_)
            | Event::Og(..)
            | Event::Pitch { .. } => self.ph_of = PhOf::Beer,
            _ => {}
        }
    }
}

fn event(cx: &mut Cx<'_>, entry: &Entry, keyword: Keyword, stage: Stage) -> Option<Event> {
    let value = entry.value();
    Some(match keyword {
        Keyword::Strike => Event::Strike(number(cx, value, Dimension::Temperature)?),
        Keyword::MashIn => Event::MashIn(number(cx, value, Dimension::Temperature)?),
        Keyword::Rest => Event::Rest(number(cx, value, Dimension::Temperature)?, cx.contact(entry)),
        Keyword::MashOut => Event::MashOut(number(cx, value, Dimension::Temperature)),
        Keyword::Ph => Event::Ph {
            value: number(cx, value, Dimension::Number)?,
            sample: sample(cx, entry),
            of: if entry.flag(Flag::Mash) {
                PhOf::Mash
            } else if entry.flag(Flag::Kettle) {
                PhOf::Kettle
            } else if entry.flag(Flag::Beer) {
                PhOf::Beer
            } else {
                stage.ph_of
            },
        },
        Keyword::Add => {
            let (amount, thing) = named_amount(cx, entry);
            Event::Add { amount, thing, vessel: cx.vessel(entry, ClauseWord::To) }
        }
        Keyword::Instead => {
            let (amount, thing) = named_amount(cx, entry);
            let planned = entry.clause(ClauseWord::For).and_then(crate::build::clause_text)?;
            Event::Instead { amount, thing, planned: cx.text(planned).into() }
        }
        Keyword::Weigh => {
            let (amount, thing) = named_amount(cx, entry);
            Event::Weigh { amount, thing }
        }
        Keyword::Iodine => Event::Iodine(text_of(cx.block, entry).unwrap_or("").into()),
        Keyword::FirstRunnings => Event::FirstRunnings(gravity_of_entry(cx, entry)?),
        Keyword::LastRunnings => Event::LastRunnings(gravity_of_entry(cx, entry)?),
        Keyword::Volume => {
            Event::Volume(volume(cx, value?, own_props(entry))?, cx.vessel(entry, ClauseWord::In))
        }
        Keyword::PreBoil => Event::PreBoil(
            volume(cx, value?, own_props(entry))?,
            gravity_of_clause(cx, entry, ClauseWord::At),
        ),
        Keyword::PostBoil => Event::PostBoil(
            volume(cx, value?, own_props(entry))?,
            gravity_of_clause(cx, entry, ClauseWord::At),
        ),
        Keyword::BoilStart => Event::BoilStart,
        Keyword::BoilEnd => Event::BoilEnd,
        Keyword::Flameout => Event::Flameout,
        Keyword::Chilled => Event::Chilled(number(cx, value, Dimension::Temperature)?),
        Keyword::Og => {
            let props: Vec<&Prop> = own_props(entry).collect();
            let reading = gravity(cx, value?, &props, None)?;
            let litres = entry.clause(ClauseWord::With).and_then(|clause| {
                let props = clause.props().flat_map(|props| props.list.iter());
                volume(cx, clause.value()?, props)
            });
            Event::Og(reading, litres)
        }
        Keyword::Starter => Event::Starter,
        Keyword::Oxygen => Event::Oxygen(value.and_then(|value| cx.quant(value)), cx.contact(entry)),
        Keyword::Pitch => {
            let amount = value.map_or(Amount::Missing, |value| cx.amount(value, false));
            let thing =
                entry.name().map(|_| cx.thing_of(entry, named_kinds(BlockKind::Gyle, Some(Keyword::Pitch))));
            let temperature =
                cx.clause_given(entry, ClauseWord::At, Dimension::Temperature).map(|given| given.value);
            Event::Pitch { amount, thing, temperature }
        }
        Keyword::Temp => Event::Temp(number(cx, value, Dimension::Temperature)?),
        Keyword::Gravity => Event::Gravity(gravity_of_entry(cx, entry)?),
        Keyword::Fg => Event::Fg(gravity_of_entry(cx, entry)?),
        Keyword::Pressure => Event::Pressure(number(cx, value, Dimension::Pressure)?),
        Keyword::HopsOut => Event::HopsOut,
        Keyword::Rack => Event::Rack(value.and_then(|value| volume(cx, value, own_props(entry)))),
        Keyword::Lost => Event::Lost(number(cx, value, Dimension::Volume)?),
        Keyword::Package => packaged(cx, entry)?,
        _ => return None,
    })
}

fn number(cx: &mut Cx<'_>, value: Option<&Value>, wanted: Dimension) -> Option<f64> {
    cx.given(value?, wanted).map(|given| given.value)
}

/// The temperature of a sample: `at 20 C` or `[20 C]`.
fn sample(cx: &mut Cx<'_>, entry: &Entry) -> Option<f64> {
    match entry.clause(ClauseWord::At).and_then(Clause::value) {
        Some(value) => cx.given(value, Dimension::Temperature).map(|given| given.value),
        None => cx.measured_at(entry.props()),
    }
}

/// What is added, with how much of it.
fn named_amount(cx: &mut Cx<'_>, entry: &Entry) -> (Amount, Thing) {
    let amount = match entry.value() {
        Some(value) => cx.amount(value, false),
        None => Amount::Missing,
    };
    (amount, cx.thing_of(entry, named_kinds(BlockKind::Gyle, None)))
}

fn volume<'e>(
    cx: &mut Cx<'_>,
    value: &Value,
    props: impl Iterator<Item = &'e Prop>,
) -> Option<VolumeReading> {
    let litres = cx.given(value, Dimension::Volume)?;
    let temperature = cx.measured_at(props);
    Some(VolumeReading {
        litres: litres.value,
        spread: litres.spread,
        temperature,
        place: cx.place(value.span),
    })
}

fn gravity(cx: &mut Cx<'_>, value: &Value, props: &[&Prop], sample: Option<f64>) -> Option<GravityReading> {
    let read = cx.gravity(value)?;
    let refractometer =
        props.iter().any(|prop| matches!(prop.kind, syntax::ast::PropKind::Flag(Flag::Refractometer)));
    let sample = sample.or_else(|| cx.measured_at(props.iter().copied()));
    Some(GravityReading { value: read.value, sample, refractometer, place: cx.place(value.span) })
}

fn gravity_of_entry(cx: &mut Cx<'_>, entry: &Entry) -> Option<GravityReading> {
    let sample = sample(cx, entry);
    let props: Vec<&Prop> = entry.props().collect();
    gravity(cx, entry.value()?, &props, sample)
}

fn gravity_of_clause(cx: &mut Cx<'_>, entry: &Entry, word: ClauseWord) -> Option<GravityReading> {
    let clause = entry.clause(word)?;
    let props: Vec<&Prop> = clause.props().flat_map(|props| props.list.iter()).collect();
    gravity(cx, clause.value()?, &props, None)
}

fn packaged(cx: &mut Cx<'_>, entry: &Entry) -> Option<Event> {
    let mut litres = None;
    let mut carbonation = None;
    for value in entry.values() {
        match cx.quant(value).and_then(|quant| quant.unit).map(UnitId::dimension) {
            Some(Dimension::Volume) => litres = volume(cx, value, own_props(entry)),
            Some(_) => carbonation = number(cx, Some(value), Dimension::Carbonation),
            None => {}
        }
    }
    let container = entry.name().and_then(|name| {
        let said = cx.text(name.span);
        [Keyword::Keg, Keyword::Cask, Keyword::Bottle, Keyword::Can]
            .into_iter()
            .find(|word| same_words(said, word.word()))
            .and_then(package::container)
    });
    let temperature = cx.clause_given(entry, ClauseWord::At, Dimension::Temperature).map(|given| given.value);
    let priming = entry.clause(ClauseWord::With).map(|clause| package::priming(cx, clause));
    Some(Event::Package { volume: litres?, container, carbonation, temperature, priming })
}
