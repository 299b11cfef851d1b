//! Readings of a log beside the plan.

use figures::{Actual, Calc, FigureId, MashCorrection, Remedy, Settings, Show, ShownUnits};
use quantity::UnitId;
use quantity::typed::Gravity;
use recipe::{Event, GravityReading, MashStep, PhOf, Recipe, VolumeReading};

use crate::hints::{HintKind, Line, Why, gravity, prefers_plato};

/// A sample warmer than this reads another pH than the plan is made for, °C.
const COOL_SAMPLE: f64 = 35.0;

/// Every value of a log.
pub(crate) fn lines<'r>(actual: &Actual<'r>, settings: &Settings) -> Vec<Line<'r>> {
    let log = actual.log;
    let units = settings.units_for(log.recipe.as_deref());
    let mut made = Vec::new();
    header(actual, units, &mut made);
    let plan = actual.plan.filter(|plan| HintKind::Log.is_whole(plan.recipe));
    for (at, entry) in log.entries.iter().enumerate() {
        let said = match plan {
            Some(plan) => against_plan(actual, plan, at, units),
            None => None,
        };
        let (mut label, mut ids) = said.unwrap_or_default();
        if let Some(more) = so_far(actual, at, units) {
            ids.extend(label.is_empty().then_some(FigureId::Fg));
            label = if label.is_empty() { more } else { format!("{label}, {more}") };
        }
        if !label.is_empty() {
            let why = Why::Reading("Readings are brought to 20 C before they are compared.".into(), ids);
            made.push(Line { place: entry.place, kind: HintKind::Log, label, thing: None, why });
        }
    }
    if let Some(plan) = actual.plan.filter(|plan| HintKind::Queries.is_whole(plan.recipe)) {
        for query in &log.queries {
            if let Some(block) = log.blocks.get(usize::from(query.place.block))
                && let Ok(label) = plan.answer(&query.expr, block, units)
            {
                let asked = block.slice(query.expr.span).trim();
                let why = Why::Query(format!("{asked} = {label}"));
                made.push(Line { place: query.place, kind: HintKind::Queries, label, thing: None, why });
            }
        }
    }
    made
}

/// The beer as measured, in one sentence.
fn header(actual: &Actual<'_>, units: ShownUnits, made: &mut Vec<Line<'_>>) {
    let value = |id: FigureId| actual.value(id).ok();
    let (Some(og), Some(fg)) = (value(FigureId::ActualOg), value(FigureId::ActualFg)) else { return };
    let in_plato = in_plato(actual, units);
    let mut label = format!("measured {} to {}", gravity(og, in_plato), gravity(fg, in_plato));
    for (id, of) in
        [(FigureId::ActualAbv, ""), (FigureId::ActualBrewhouseEfficiency, " brewhouse efficiency")]
    {
        if let Some(value) = value(id) {
            label.push_str(&format!(", {}{of}", id.show().shown(value, units)));
        }
    }
    let why = Why::Reading(
        "From the last gravity logged; readings are brought to 20 C, and those of a refractometer freed of the alcohol as far as a formula can.".into(),
        vec![FigureId::Og, FigureId::Fg, FigureId::Abv],
    );
    made.push(Line { place: actual.log.name_place, kind: HintKind::Log, label, thing: None, why });
}

/// Whether gravities are said in degrees Plato: as the log reads them.
fn in_plato(actual: &Actual<'_>, units: ShownUnits) -> bool {
    let read = actual.log.entries.iter().find_map(|entry| match &entry.event {
        Event::Og(reading, _) | Event::Gravity(reading) | Event::Fg(reading) => reading.value.unit,
        _ => None,
    });
    match (read, actual.log.recipe.as_deref()) {
        (Some(unit), _) => matches!(unit, UnitId::P | UnitId::BX),
        (None, Some(recipe)) => prefers_plato(recipe, units),
        (None, None) => units == ShownUnits::Metric,
    }
}

/// What was read and what was planned, in the unit of `show`.
struct Pair {
    what: &'static str,
    show: Show,
    /// Corrected.
    read: f64,
    planned: f64,
    /// As written, before it was corrected.
    written: f64,
}

impl Pair {
    fn new(what: &'static str, show: Show, read: f64, planned: f64) -> Self {
        Self { what, show, read, planned, written: read }
    }

    /// The same of a value that was corrected.
    const fn written(mut self, written: f64) -> Self {
        self.written = written;
        self
    }

    /// A gravity on the scale it was read on.
    fn of_gravity(reading: &GravityReading, sg: f64, planned: f64) -> Self {
        let plato = |sg: f64| brewing::gravity::plato(Gravity::from_sg(sg)).plato();
        if matches!(reading.value.unit, Some(UnitId::P | UnitId::BX)) {
            return Self::new("gravity", Show::Plato, plato(sg), plato(planned)).written(reading.value.value);
        }
        Self::new("gravity", Show::Gravity, sg, planned).written(reading.value.value)
    }

    /// The difference of the two as they are shown, so that a reader who subtracts finds the same.
    fn difference(&self, units: ShownUnits) -> Option<String> {
        let planned = self.show.number_in(self.planned, units);
        let digits = planned.split_once('.').map_or(0, |(_, digits)| digits.len());
        let number = |text: &str| text.parse::<f64>().ok();
        let off = number(&self.show.number_in(self.read, units))? - number(&planned)?;
        let text = format!("{off:+.digits$}");
        let none = !text.bytes().any(|digit| (b'1'..=b'9').contains(&digit));
        // The unit of a value is that of a difference too; of a temperature it is a step.
        let shown = self.show.shown(self.planned, units);
        let unit = shown.strip_prefix(&*planned).unwrap_or("");
        Some(if none { "as planned".into() } else { format!("{text}{unit}") })
    }
}

/// A reading beside the plan, and the figures it was compared with.
fn against_plan(
    actual: &Actual<'_>,
    plan: &Calc<'_>,
    at: usize,
    units: ShownUnits,
) -> Option<(String, Vec<FigureId>)> {
    use FigureId as F;
    let log = actual.log;
    let entry = log.entries.get(at)?;
    let value = |id: FigureId| plan.value(id).ok();
    // Of a split recipe the log does not say which part it is of.
    let one_beer = plan.recipe.parts.len() < 2;
    let mut pairs: Vec<Pair> = Vec::new();
    let mut ids: Vec<FigureId> = Vec::new();
    let mut remedy: Option<String> = None;
    let mut stage = |volume: Option<(&VolumeReading, F)>, reading: Option<(&GravityReading, F)>| {
        if let Some((litres, id)) = volume
            && let Some(planned) = value(id)
        {
            pairs.push(
                Pair::new("volume", Show::Volume, Actual::cold(litres), planned).written(litres.litres),
            );
            ids.push(id);
        }
        if let Some((reading, id)) = reading
            && let Some(planned) = value(id)
        {
            pairs.push(Pair::of_gravity(reading, actual.wort_gravity(reading), planned));
            ids.push(id);
        }
    };
    match &entry.event {
        Event::PreBoil(volume, reading) => stage(
            Some((volume, F::PreBoilVolume)),
            reading.as_ref().map(|reading| (reading, F::PreBoilGravity)),
        ),
        Event::PostBoil(volume, reading) => stage(
            Some((volume, F::PostBoilVolume)),
            reading.as_ref().map(|reading| (reading, F::PostBoilGravity)),
        ),
        Event::Og(reading, volume) => stage(
            volume.as_ref().filter(|_| one_beer).map(|volume| (volume, F::BatchVolume)),
            Some((reading, F::PitchingGravity)),
        ),
        // No plan: what the first wort cannot exceed.
        Event::FirstRunnings(reading) => {
            let pair = Pair::of_gravity(reading, actual.wort_gravity(reading), value(F::FirstWortGravity)?);
            let planned = pair.show.shown(pair.planned, units);
            return Some((format!("{planned} at full conversion"), vec![F::FirstWortGravity]));
        }
        Event::Fg(reading) if one_beer => {
            let sg = actual.gravities().into_iter().find(|gravity| gravity.entry == at)?.sg;
            pairs.push(Pair::of_gravity(reading, sg, value(F::Fg)?));
            ids.push(F::Fg);
        }
        Event::Strike(celsius) => {
            pairs.push(Pair::new("strike", Show::Temperature, *celsius, value(F::StrikeTemperature)?));
            ids.push(F::StrikeTemperature);
        }
        Event::MashIn(celsius) => {
            pairs.push(Pair::new("mash", Show::Temperature, *celsius, *rests(plan.recipe).first()?));
        }
        Event::Rest(celsius, _) => {
            let nearest = rests(plan.recipe)
                .into_iter()
                .min_by(|a, b| (a - celsius).abs().total_cmp(&(b - celsius).abs()))?;
            pairs.push(Pair::new("rest", Show::Temperature, *celsius, nearest));
        }
        Event::Ph { value: read, sample, of: PhOf::Mash }
            if sample.is_some_and(|celsius| celsius <= COOL_SAMPLE) =>
        {
            pairs.push(Pair::new("pH", Show::Ph, *read, value(F::MashPh)?));
            ids.push(F::MashPh);
            if actual.last_mash_reading() == Some(at) {
                remedy = actual.mash_correction(at).ok().and_then(|found| correction(&found, units));
                ids.extend(remedy.is_some().then_some(F::MashAcidCorrection));
            }
        }
        Event::Package { volume, .. } if one_beer && packagings(actual) == 1 => {
            pairs.push(
                Pair::new("volume", Show::Volume, Actual::cold(volume), value(F::PackagedVolume)?)
                    .written(volume.litres),
            );
            ids.push(F::PackagedVolume);
        }
        _ => return None,
    }
    let said = compared(&pairs, units)?;
    Some((remedy.map_or_else(|| said.clone(), |remedy| format!("{said}; {remedy}")), ids))
}

/// What brings the mash to where it should be, in words; nothing where it is there.
fn correction(found: &MashCorrection, units: ShownUnits) -> Option<String> {
    let dose = match &found.remedy {
        Remedy::Acid { name, strength, millilitres } => {
            format!("{} of {name} of {:.0} %", Show::Millilitres.shown(*millilitres, units), strength * 100.0)
        }
        Remedy::BakingSoda(grams) => format!("{} of baking soda", Show::Grams.shown(*grams, units)),
        Remedy::Nothing => return None,
    };
    Some(format!("{dose} for {}", Show::Ph.number(found.aim)))
}

fn packagings(actual: &Actual<'_>) -> usize {
    actual.log.entries.iter().filter(|entry| matches!(entry.event, Event::Package { .. })).count()
}

/// Planned rests, °C.
fn rests(recipe: &Recipe) -> Vec<f64> {
    recipe
        .mash
        .steps
        .iter()
        .filter_map(|step| match step {
            MashStep::Rest { temperature, .. } => Some(temperature.value),
            _ => None,
        })
        .collect()
}

/// Readings beside the plan in words: `volume +0.3 L, gravity as planned (25.0 L, 1.038 planned)`.
fn compared(pairs: &[Pair], units: ShownUnits) -> Option<String> {
    let differences: Vec<String> = pairs.iter().filter_map(|pair| pair.difference(units)).collect();
    if differences.is_empty() || differences.len() != pairs.len() {
        return None;
    }
    let shown = |of: fn(&Pair) -> f64| {
        let all: Vec<String> = pairs.iter().map(|pair| pair.show.shown(of(pair), units)).collect();
        all.join(", ")
    };
    let as_planned = differences.iter().all(|difference| difference == "as planned");
    let said: Vec<String> = if pairs.len() == 1 || as_planned {
        differences.into_iter().take(1).collect()
    } else {
        pairs
            .iter()
            .zip(differences)
            .map(|(pair, difference)| format!("{} {difference}", pair.what))
            .collect()
    };
    let mut aside = Vec::new();
    let (read, written) = (shown(|pair| pair.read), shown(|pair| pair.written));
    if read != written {
        aside.push(format!("{read} corrected"));
    }
    if !as_planned {
        aside.push(format!("{} planned", shown(|pair| pair.planned)));
    }
    let aside = if aside.is_empty() { String::new() } else { format!(" ({})", aside.join("; ")) };
    Some(format!("{}{aside}", said.join(", ")))
}

/// What a gravity of the fermenting beer says: what it is once corrected, and the alcohol so far.
fn so_far(actual: &Actual<'_>, at: usize, units: ShownUnits) -> Option<String> {
    let (Event::Gravity(reading) | Event::Fg(reading)) = &actual.log.entries.get(at)?.event else {
        return None;
    };
    if actual.pitched_at().is_none_or(|pitched| at <= pitched) {
        return None;
    }
    let one = actual.gravities().into_iter().find(|gravity| gravity.entry == at)?;
    let mut said = Vec::new();
    let in_plato = matches!(reading.value.unit, Some(UnitId::P | UnitId::BX));
    let corrected = gravity(one.sg, in_plato);
    let is_compared = matches!(actual.log.entries.get(at)?.event, Event::Fg(_)) && actual.plan.is_some();
    if !is_compared && corrected != gravity(one.read, in_plato) {
        let about = if one.estimated { "about " } else { "" };
        said.push(format!("{about}{corrected} corrected"));
    }
    let og = actual.value(FigureId::ActualOg).ok()?;
    if let Ok(abv) = actual.abv_between(og, one.sg)
        && abv > 0.0
    {
        said.push(format!("{} alcohol by volume", Show::Percent.shown(abv, units)));
    }
    (!said.is_empty()).then(|| said.join(", "))
}
