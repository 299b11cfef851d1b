//! The log of a brew day to fill in: what the recipe plans, line by line, each behind a `#` until it is done.

use std::fmt::Write as _;

use figures::{Calc, FigureId, Show};
use recipe::{Amount, During, KettleTime, MashStep, Place, Recipe, Thing, Vessel};
use syntax::ast::Part;
use syntax::vocabulary::BlockKind;

use crate::format::field;
use crate::line::{Placed, Written};
use crate::solved::solved;
use crate::weigh::number;

/// A day and a time of day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start<'t> {
    /// `2026-03-14`
    pub date: &'t str,
    /// Minutes since midnight.
    pub minute: u32,
}

/// Minutes that pass between the steps of a brew day where the recipe gives none: heating liquor, running off,
/// coming to the boil, chilling (common practice, no source). The brewer puts them right.
const TO_STRIKE: u32 = 30;
const TO_MASH_IN: u32 = 10;
const TO_PH: u32 = 10;
const TO_PRE_BOIL: u32 = 60;
const TO_BOIL: u32 = 20;
const TO_CHILLED: u32 = 30;
const A_STEP: u32 = 5;

const WHEN: usize = 8;
const KEYWORD: usize = 10;

/// The text of a log for a recipe. `of` is the path of its file, where its name alone is not enough.
#[must_use]
pub fn log_skeleton<'r>(
    placed: Placed<'r>,
    calc: &Calc<'r>,
    id: &str,
    of: Option<&str>,
    start: Start<'_>,
) -> String {
    let recipe = placed.recipe;
    let mut text = format!("gyle {id} \"{}\"", recipe.name);
    if let Some(path) = of {
        let _ = write!(text, " of \"{path}\"");
    }
    let _ = writeln!(text, " on {}", start.date);
    text.push_str("  # Take the # off a line when it is done, and write what came out. Times are a guess.\n");
    let mut day = Day { placed, calc, events: Vec::new(), now: start.minute };
    day.hot_side();
    day.cold_side();
    for event in day.events {
        let _ = writeln!(text, "  # {event}");
    }
    text
}

struct Day<'r, 'c> {
    placed: Placed<'r>,
    calc: &'c Calc<'r>,
    events: Vec<String>,
    now: u32,
}

impl<'r> Day<'r, '_> {
    fn at(&mut self, when: &str, keyword: &str, rest: &str) {
        let line = field(when, WHEN) + &field(keyword, KEYWORD) + rest;
        self.events.push(line.trim_end().to_owned());
    }

    /// An event of the brew day. One after midnight is left at its end: the brewer writes the date.
    fn push(&mut self, keyword: &str, rest: &str) {
        let minute = self.now.min(24 * 60 - 1);
        self.at(&format!("{:02}:{:02}", minute / 60, minute % 60), keyword, rest);
    }

    fn shown(&self, id: FigureId) -> Option<String> {
        self.calc.value(id).ok().map(|value| id.show().with_unit(value))
    }

    fn recipe(&self) -> &'r Recipe {
        self.placed.recipe
    }

    /// `48 g Fuggle`: amount and name of a line as written, computed amounts put in.
    fn what(&self, place: Place, amount: &Amount, thing: &Thing) -> Option<String> {
        let line = self.placed.entry(place)?;
        let amount = match amount {
            Amount::Of(_) => line.amount()?.span.of(&line.block.text).to_owned(),
            _ => solved(self.calc, place, self.calc.settings.units_for(Some(self.placed.recipe)))?,
        };
        Some(format!("{amount} {}", named(line, thing)))
    }

    fn hot_side(&mut self) {
        let recipe = self.recipe();
        for addition in &recipe.liquor.additions {
            let vessel = match addition.vessel {
                Vessel::Mash => " to mash",
                Vessel::Sparge => " to sparge",
                Vessel::All | Vessel::Unsaid => "",
                Vessel::Kettle | Vessel::Fermenter => continue,
            };
            if let Some(what) = self.what(addition.place, &addition.amount, &addition.thing) {
                self.push("add", &format!("{what}{vessel}"));
            }
        }
        self.mash();
        self.kettle();
    }

    fn mash(&mut self) {
        let rests: Vec<(f64, f64)> = self
            .recipe()
            .mash
            .steps
            .iter()
            .filter_map(|step| match step {
                MashStep::Rest { temperature, time, .. } => {
                    Some((temperature.value, time.as_ref().map_or(0.0, |time| time.value)))
                }
                _ => None,
            })
            .collect();
        let Some(first) = rests.first() else { return };
        if let Some(strike) = self.shown(FigureId::StrikeTemperature) {
            self.now += TO_STRIKE;
            self.push("strike", &strike);
        }
        self.now += TO_MASH_IN;
        self.push("mash in", &Show::Temperature.with_unit(first.0));
        let begun = self.now;
        if let Some(ph) = self.shown(FigureId::MashPh) {
            self.now += TO_PH;
            self.push("ph", &format!("{ph} at 20 C"));
        }
        self.now = begun + whole(first.1);
        for (celsius, minutes) in rests.iter().skip(1) {
            self.now += A_STEP;
            self.push("rest", &Show::Temperature.with_unit(*celsius));
            self.now += whole(*minutes);
        }
        self.now += TO_PRE_BOIL;
    }

    fn kettle(&mut self) {
        let recipe = self.recipe();
        let first_wort = |time: KettleTime| time == KettleTime::FirstWort;
        for addition in recipe.additions.iter().filter(|one| first_wort(one.time)) {
            self.add_to_kettle(addition.place, &addition.amount, &addition.thing);
        }
        self.reading("pre-boil", FigureId::PreBoilVolume, FigureId::PreBoilGravity);
        let boil = recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()).map_or(0.0, |time| time.value);
        let mut planned: Vec<(f64, Place, &Amount, &Thing)> = Vec::new();
        for one in &recipe.additions {
            let left = match one.time {
                KettleTime::Minutes(left) => left.min(boil),
                KettleTime::Flameout => 0.0,
                KettleTime::Stand(_) => -1.0,
                KettleTime::FirstWort | KettleTime::Mash | KettleTime::Unsaid => continue,
            };
            planned.push((left, one.place, &one.amount, &one.thing));
        }
        for one in &recipe.grist {
            let left = match one.joins {
                recipe::Joins::Kettle(left) => left.unwrap_or(boil).min(boil),
                recipe::Joins::Flameout => 0.0,
                _ => continue,
            };
            planned.push((left, one.place, &one.amount, &one.thing));
        }
        // As they come: the longest boil first.
        planned.sort_by(|a, b| b.0.total_cmp(&a.0));
        self.now += TO_BOIL;
        let begun = self.now;
        if recipe.boil.is_some() {
            self.push("boil start", "");
        }
        let mut out = false;
        for (left, place, amount, thing) in planned {
            self.now = begun + whole(boil - left.max(0.0));
            if left <= 0.0 && !out && recipe.boil.is_some() {
                self.push("flameout", "");
                out = true;
            }
            self.add_to_kettle(place, amount, thing);
        }
        self.now = begun + whole(boil);
        if !out && recipe.boil.is_some() {
            self.push("flameout", "");
        }
        for stand in &recipe.stands {
            self.now += whole(stand.time.as_ref().map_or(0.0, |time| time.value));
        }
        self.now += TO_CHILLED;
        self.reading("post-boil", FigureId::PostBoilVolume, FigureId::PostBoilGravity);
    }

    fn add_to_kettle(&mut self, place: Place, amount: &Amount, thing: &Thing) {
        if let Some(what) = self.what(place, amount, thing) {
            self.push("add", &format!("{what} to kettle"));
        }
    }

    fn reading(&mut self, keyword: &str, volume: FigureId, gravity: FigureId) {
        if let (Some(volume), Some(gravity)) = (self.shown(volume), self.shown(gravity)) {
            self.push(keyword, &format!("{volume} at {gravity}"));
        }
    }

    fn cold_side(&mut self) {
        let recipe = self.recipe();
        let first = recipe.parts.first();
        let cold = first.and_then(|part| part.pitch.temperature.as_ref()).map(|given| given.value);
        if let Some(celsius) = cold {
            self.push("chilled", &Show::Temperature.with_unit(celsius));
        }
        if let (Some(og), Some(batch)) = (self.shown(FigureId::Og), self.shown(FigureId::BatchVolume)) {
            self.push("og", &format!("{og} with {batch}"));
        }
        self.now += A_STEP;
        for part in &recipe.parts {
            if let Some(oxygen) = &part.pitch.oxygen {
                self.push("oxygen", &format!("{} ppm", number(oxygen.value)));
            }
            let at = part.pitch.temperature.as_ref().map(|given| given.value);
            let at =
                at.map_or(String::new(), |celsius| format!(" at {}", Show::Temperature.with_unit(celsius)));
            for line in &part.pitch.lines {
                if let Some(what) = self.what(line.place, &line.amount, &line.thing) {
                    self.push("pitch", &format!("{what}{at}"));
                }
            }
            let mut later: Vec<(i32, Place, &Amount, &Thing)> = Vec::new();
            for one in &part.ferment.additions {
                if let During::Day(day, _) = one.during {
                    later.push((day, one.place, &one.amount, &one.thing));
                }
            }
            later.sort_by_key(|one| one.0);
            for (day, place, amount, thing) in later {
                if let Some(what) = self.what(place, amount, thing) {
                    self.at(&format!("day {day}"), "add", &format!("{what} to fermenter"));
                }
            }
        }
    }
}

/// Whole minutes of a plan; what lasts days is no part of a brew day.
fn whole(minutes: f64) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // bounded
    let whole = minutes.clamp(0.0, 24.0 * 60.0).round() as u32;
    whole
}

/// A name as the line writes it, quotes and the properties of an acid included.
fn named(line: Written<'_>, thing: &Thing) -> String {
    let mut text = match line.entry.name() {
        Some(name) if name.quoted => format!("\"{}\"", thing.name),
        _ => thing.name.to_string(),
    };
    if thing.kind() == Some(BlockKind::Addition) {
        for part in &line.entry.parts {
            if let Part::Props(props) = part {
                let _ = write!(text, " {}", props.span.of(&line.block.text));
            }
        }
    }
    text
}
