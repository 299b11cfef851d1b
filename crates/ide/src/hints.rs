//! Values beside the lines they belong to.

use std::collections::HashSet;
use std::fmt::Write as _;

use brewing::{carbonation, mash};
use figures::{
    Actual, Calc, Figure, FigureId, HopLine, LineFigure, LineValue, PackageLine, Show, ShownUnits,
    StepFigure, WaterPart,
};
use quantity::{Dimension, UnitId};
use recipe::{Amount, MashStep, Method, Place, Quant, Recipe, Test, Thing, Vessel};
use rules::Say;
use syntax::Span;
use syntax::vocabulary::{BlockKind, Keyword};
use workspace::{AnalysedRecipe, Analysis, Workspace};

use crate::explain::{Explanation, line_of, plato, shown};
use crate::places::{Location, definition_place, extent, line_end};
use crate::readings;

/// What a hint is of. Each kind can be switched off by its [`HintKind::id`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HintKind {
    /// The beer in one sentence, at the header.
    Recipe,
    /// Share and extract of something fermentable.
    Grist,
    /// Its part of the colour.
    Colour,
    /// Bitterness of a hop.
    Hops,
    /// An amount that is computed.
    Amounts,
    /// What a salt or an acid does to its liquor.
    Water,
    /// Water, volume and time a rest takes.
    Mash,
    /// Cells and pitching rate.
    Yeast,
    /// Priming, pressure and carbonation.
    Package,
    /// A reading against the plan.
    Log,
    /// The value of a question.
    Queries,
}

impl HintKind {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Recipe,
        Self::Grist,
        Self::Colour,
        Self::Hops,
        Self::Amounts,
        Self::Water,
        Self::Mash,
        Self::Yeast,
        Self::Package,
        Self::Log,
        Self::Queries,
    ];

    /// Its name in the settings of an editor.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Recipe => "recipe",
            Self::Grist => "grist",
            Self::Colour => "colour",
            Self::Hops => "hops",
            Self::Amounts => "amounts",
            Self::Water => "water",
            Self::Mash => "mash",
            Self::Yeast => "yeast",
            Self::Package => "package",
            Self::Log => "log",
            Self::Queries => "queries",
        }
    }

    /// The kind of this name.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }

    /// Blocks whose every line must have been read, or the value would be that of another brew. A line of
    /// these that cannot be read yet hides the hint; the beer as a whole depends on all.
    const fn needs(self) -> &'static [BlockKind] {
        use BlockKind as B;
        match self {
            Self::Grist | Self::Colour => &[B::Grist, B::Steep, B::Cook, B::Boil, B::Recipe],
            Self::Hops | Self::Amounts | Self::Water => {
                &[B::Grist, B::Steep, B::Cook, B::Liquor, B::Mash, B::Boil, B::Stand, B::Recipe]
            }
            Self::Mash => &[B::Grist, B::Cook, B::Liquor, B::Mash, B::Boil, B::Recipe],
            Self::Recipe | Self::Yeast | Self::Package | Self::Log | Self::Queries => &[
                B::Grist,
                B::Steep,
                B::Cook,
                B::Liquor,
                B::Mash,
                B::Sour,
                B::Boil,
                B::Stand,
                B::Chill,
                B::Pitch,
                B::Ferment,
                B::Package,
                B::Split,
                B::Recipe,
                B::Let,
            ],
        }
    }

    /// Whether what it needs was read.
    pub(crate) fn is_whole(self, recipe: &Recipe) -> bool {
        !self.needs().iter().any(|kind| recipe.broken.contains(kind))
    }
}

/// A value beside a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Hint {
    /// The end of the line, in bytes of the file.
    pub offset: u32,
    /// What is shown.
    pub label: String,
    /// What it is of.
    pub kind: HintKind,
    /// The definition of what the line names.
    pub target: Option<Location>,
}

/// A value before it has its place in the file, with what explains it.
pub(crate) struct Line<'r> {
    pub(crate) place: Place,
    pub(crate) kind: HintKind,
    pub(crate) label: String,
    pub(crate) thing: Option<&'r Thing>,
    pub(crate) why: Why,
}

/// What a line is explained with.
pub(crate) enum Why {
    /// Index into the grist.
    Grist(usize),
    /// Index into the hops of the kettle.
    Hop(usize),
    /// Index into the additions of the liquor.
    Water(usize),
    Step(StepFigure),
    /// Figures of the whole.
    Figures(&'static [FigureId]),
    /// Index into the package's lines.
    Package(PackageLine),
    /// A question as written, with its value.
    Query(String),
    /// Figures of the plan, and a sentence before them.
    Reading(String, Vec<FigureId>),
}

/// Figures the sentence at a header is made of.
const BEER: &[FigureId] = &[FigureId::Og, FigureId::Fg, FigureId::Abv, FigureId::Ibu, FigureId::Colour];

/// The values beside the lines of a range, in the order of the text.
#[must_use]
pub fn hints(workspace: &Workspace, analysis: &Analysis, range: Span) -> Vec<Hint> {
    let mut all = Vec::new();
    visit(workspace, analysis, range, |offset, line, _| {
        let target = line
            .thing
            .and_then(|thing| thing.definition.as_deref())
            .and_then(|definition| definition_place(workspace, definition));
        all.push(Hint { offset, label: line.label.clone(), kind: line.kind, target });
    });
    // Stable: hints of one line keep their order.
    all.sort_by_key(|hint| hint.offset);
    all
}

/// How the value beside a line was computed, as markdown: formula with numbers, sources, assumptions.
#[must_use]
pub fn hint_tooltip(
    workspace: &Workspace,
    analysis: &Analysis,
    offset: u32,
    kind: HintKind,
) -> Option<String> {
    let mut found = None;
    visit(workspace, analysis, Span::at(offset), |at, line, calc| {
        if at == offset && line.kind == kind && found.is_none() {
            found = Some(explain(line, calc));
        }
    });
    found.filter(|text| !text.is_empty())
}

/// The values beside the line that ends at a byte, each with its explanation, as markdown.
pub(crate) fn line_values(workspace: &Workspace, analysis: &Analysis, offset: u32) -> Vec<String> {
    let mut found = Vec::new();
    visit(workspace, analysis, Span::at(offset), |_, line, calc| {
        let mut said = Explanation::default();
        said.title(&line.label);
        let mut text = said.markdown();
        let why = explain(line, calc);
        if !why.is_empty() {
            text.push_str("\n\n");
            text.push_str(&why);
        }
        found.push(text);
    });
    found
}

/// Calls with every line that ends in the range, and the figures it is explained with.
fn visit(
    workspace: &Workspace,
    analysis: &Analysis,
    range: Span,
    mut call: impl FnMut(u32, &Line<'_>, Option<&Calc<'_>>),
) {
    let Some(state) = workspace.file(analysis.file) else { return };
    let settings = &state.config.figures;
    let touches = |span: Span| span.start <= range.end && range.start <= span.end;
    for one in &analysis.recipes {
        if !touches(extent(&one.recipe.blocks, &one.starts)) {
            continue;
        }
        let calcs: Vec<Calc<'_>> = (0..one.recipe.parts.len().max(1))
            .map(|part| Calc::of_part(&one.recipe, settings, part))
            .collect();
        let mut taken: HashSet<(Place, HintKind)> = HashSet::new();
        for (part, calc) in calcs.iter().enumerate() {
            for line in lines(one, part, calc) {
                let Some(offset) = line_end(&one.recipe.blocks, &one.starts, line.place) else { continue };
                // What the parts of a split share is said once.
                if range.start <= offset && offset <= range.end && taken.insert((line.place, line.kind)) {
                    call(offset, &line, Some(calc));
                }
            }
        }
    }
    for one in &analysis.logs {
        if !touches(extent(&one.log.blocks, &one.starts)) {
            continue;
        }
        let calc = one.log.recipe.as_deref().map(|recipe| Calc::new(recipe, settings));
        let actual = Actual::new(&one.log, calc.as_ref(), settings);
        for line in readings::lines(&actual, settings) {
            let Some(offset) = line_end(&one.log.blocks, &one.starts, line.place) else { continue };
            if range.start <= offset && offset <= range.end {
                call(offset, &line, calc.as_ref());
            }
        }
    }
}

/// Every value of one part of a recipe.
fn lines<'r>(one: &'r AnalysedRecipe, part: usize, calc: &Calc<'_>) -> Vec<Line<'r>> {
    let recipe: &'r Recipe = &one.recipe;
    let units = calc.settings.units_for(Some(recipe));
    let mut made = Vec::new();
    let values = calc.lines();
    beer(recipe, calc, part, units, &mut made);
    grist(recipe, &values, part, units, &mut made);
    hops(recipe, calc, &values, units, &mut made);
    water(recipe, calc, &values, units, &mut made);
    rests(recipe, calc, units, &mut made);
    yeast(recipe, calc, &values, part, units, &mut made);
    package(recipe, calc, part, units, &mut made);
    for query in &recipe.queries {
        let block = recipe.blocks.get(usize::from(query.place.block));
        if let Some(block) = block
            && let Ok(label) = calc.answer(&query.expr, block, units)
        {
            let asked = block.slice(query.expr.span).trim();
            let why = Why::Query(format!("{asked} = {label}"));
            made.push(Line { place: query.place, kind: HintKind::Queries, label, thing: None, why });
        }
    }
    made.retain(|line| line.kind.is_whole(recipe));
    made
}

// ---- the beer -----------------------------------------------------------------------------------------------

/// Whether the recipe writes its gravities in degrees Plato; what it says nothing of goes by its units.
pub(crate) fn prefers_plato(recipe: &Recipe, units: ShownUnits) -> bool {
    let bounds = recipe.parts.iter().flat_map(|part| &part.expect).flat_map(|one| match &one.test {
        Test::Within { low, high, middle, .. } => [*middle, *low, *high],
        Test::Condition { .. } => [None; 3],
    });
    let ends = recipe.parts.iter().map(|part| part.ferment.until.as_ref().map(|given| given.value));
    let goal = recipe.grist_goal.as_ref().map(|given| given.value);
    let scale = |quant: Quant| match quant.unit? {
        UnitId::P | UnitId::BX => Some(true),
        UnitId::SG => Some(false),
        _ => None,
    };
    core::iter::once(goal)
        .chain(bounds)
        .chain(ends)
        .flatten()
        .find_map(scale)
        .unwrap_or(units == ShownUnits::Metric)
}

/// A gravity on the scale of the recipe.
pub(crate) fn gravity(sg: f64, in_plato: bool) -> String {
    if in_plato { plato(sg) } else { Show::Gravity.number(sg) }
}

fn beer<'r>(recipe: &'r Recipe, calc: &Calc<'_>, part: usize, units: ShownUnits, made: &mut Vec<Line<'r>>) {
    let parts = recipe.parts.len().max(1);
    let in_plato = prefers_plato(recipe, units);
    let value = |id: FigureId| calc.value(id).ok();
    // Final gravity and alcohol.
    let fermented = || {
        let mut said = format!(" to {}", gravity(value(FigureId::Fg)?, in_plato));
        if let Some(abv) = value(FigureId::Abv) {
            let _ = write!(said, ", {}", Show::Percent.shown(abv, units));
        }
        Some(said)
    };
    if part == 0
        && let Some(og) = value(FigureId::Og)
    {
        let mut label = gravity(og, in_plato);
        // Parts of a split end each at their own gravity.
        if parts == 1 {
            label.push_str(&fermented().unwrap_or_default());
        }
        for id in [FigureId::Ibu, FigureId::Colour] {
            if let Some(value) = value(id) {
                let _ = write!(label, ", {}", id.show().shown(value, units));
            }
        }
        let why = Why::Figures(BEER);
        made.push(Line { place: recipe.name_place, kind: HintKind::Recipe, label, thing: None, why });
    }
    if parts > 1
        && let Some((_, place)) = &calc.part().label
        && let Some(said) = fermented()
    {
        let why = Why::Figures(&[FigureId::Fg, FigureId::Abv]);
        let label = said.trim_start().to_owned();
        made.push(Line { place: *place, kind: HintKind::Recipe, label, thing: None, why });
    }
}

// ---- the grist ----------------------------------------------------------------------------------------------

/// The value of a line, shown.
fn of_line(
    values: &[LineValue],
    place: Place,
    figure: LineFigure,
    units: ShownUnits,
) -> Option<(f64, String)> {
    let found = values.iter().find(|value| value.place == place && value.figure == figure)?;
    Some((found.value, found.show.shown(found.value, units)))
}

fn grist<'r>(
    recipe: &'r Recipe,
    values: &[LineValue],
    part: usize,
    units: ShownUnits,
    made: &mut Vec<Line<'r>>,
) {
    let say = Say { units };
    for (at, line) in recipe.grist.iter().enumerate() {
        if line.part.is_some_and(|own| own != part) {
            continue;
        }
        let of = |figure| of_line(values, line.place, figure, units);
        let mut push = |kind, label| {
            made.push(Line { place: line.place, kind, label, thing: Some(&line.thing), why: Why::Grist(at) });
        };
        if let Some((kg, _)) = of(LineFigure::SolvedAmount) {
            push(HintKind::Amounts, say.mass(kg));
        }
        // Most of the extract of a second wort comes from a mash that is written elsewhere.
        let alone = recipe.from.is_none();
        let mut said = Vec::new();
        if let Some((share, label)) = of(LineFigure::Share).filter(|_| alone)
            // A share that is written needs not be said again.
            && !matches!(line.amount, Amount::Share(written) if (written * 100.0 - share).abs() < 0.05)
        {
            said.push(label);
        }
        if let Some((kg, _)) = of(LineFigure::Extract).filter(|(kg, _)| *kg >= 0.0005) {
            said.push(format!("{} of extract", say.mass(kg)));
        }
        if !said.is_empty() {
            push(HintKind::Grist, said.join(", "));
        }
        if let Some((share, _)) = of(LineFigure::Colour).filter(|(share, _)| alone && *share >= 0.05) {
            push(HintKind::Colour, format!("{} of the colour", say.percent(share)));
        }
    }
}

// ---- the hops -----------------------------------------------------------------------------------------------

fn hops<'r>(
    recipe: &'r Recipe,
    calc: &Calc<'_>,
    values: &[LineValue],
    units: ShownUnits,
    made: &mut Vec<Line<'r>>,
) {
    let Ok(hops) = calc.hop_lines() else { return };
    for (at, hop) in hops.iter().enumerate() {
        let thing = recipe.additions.get(hop.addition).map(|addition| &addition.thing);
        let mut push =
            |kind, label| made.push(Line { place: hop.place, kind, label, thing, why: Why::Hop(at) });
        if let Some((grams, _)) = of_line(values, hop.place, LineFigure::SolvedAmount, units) {
            push(HintKind::Amounts, Say { units }.small_mass(grams / 1000.0));
        }
        if let Some((_, ibu)) = of_line(values, hop.place, LineFigure::Ibu, units) {
            push(HintKind::Hops, ibu);
        }
    }
}

// ---- the liquor ---------------------------------------------------------------------------------------------

/// Milligrams of CaCO3 that a milliequivalent of alkalinity is said as: half its molar mass.
const CACO3: f64 = 50.043;

fn water<'r>(
    recipe: &'r Recipe,
    calc: &Calc<'_>,
    values: &[LineValue],
    units: ShownUnits,
    made: &mut Vec<Line<'r>>,
) {
    let parts = calc.water_parts().unwrap_or_default();
    for (at, addition) in recipe.liquor.additions.iter().enumerate() {
        let mut push = |kind, label| {
            let (place, thing) = (addition.place, Some(&addition.thing));
            made.push(Line { place, kind, label, thing, why: Why::Water(at) });
        };
        if let Some((millilitres, _)) = of_line(values, addition.place, LineFigure::SolvedAmount, units) {
            push(HintKind::Amounts, Say { units }.millilitres(millilitres / 1000.0));
        }
        // A salt to every vessel brings the same to each: said once.
        let mut said: Vec<(Vessel, String)> = Vec::new();
        for part in parts.iter().filter(|part| part.addition == at) {
            let label = brought(part);
            if !label.is_empty() && !said.iter().any(|(_, have)| *have == label) {
                said.push((part.vessel, label));
            }
        }
        let label = match &said[..] {
            [] => continue,
            [(_, one)] => one.clone(),
            several => {
                let each: Vec<String> = several
                    .iter()
                    .map(|(vessel, label)| format!("{} {label}", vessel_word(*vessel)))
                    .collect();
                each.join("; ")
            }
        };
        push(HintKind::Water, label);
    }
}

const fn vessel_word(vessel: Vessel) -> &'static str {
    match vessel {
        Vessel::Mash => "mash",
        Vessel::Sparge => "sparge",
        _ => "kettle",
    }
}

/// What an addition does to a water: the ions of a salt, the alkalinity of an acid.
fn brought(part: &WaterPart) -> String {
    let mut said: Vec<String> = Vec::new();
    let mut push = |value: f64, of: &str| {
        let number = signed(Show::Ion, value, ShownUnits::Metric);
        if value.is_finite() && number.bytes().any(|digit| (b'1'..=b'9').contains(&digit)) {
            said.push(format!("{number} ppm {of}"));
        }
    };
    for (ion, more) in &part.ions {
        push(*more, ion.name());
    }
    if part.alkalinity < 0.0 {
        push(part.alkalinity * CACO3, "alkalinity as CaCO3");
    }
    said.join(", ")
}

/// A difference with its sign, without a unit; of temperatures a step.
pub(crate) fn signed(show: Show, value: f64, units: ShownUnits) -> String {
    let number = show.number_in(value, units);
    if value > 0.0 && number.bytes().any(|digit| (b'1'..=b'9').contains(&digit)) {
        format!("+{number}")
    } else {
        number
    }
}

// ---- the mash -----------------------------------------------------------------------------------------------

fn rests<'r>(recipe: &'r Recipe, calc: &Calc<'_>, units: ShownUnits, made: &mut Vec<Line<'r>>) {
    let Ok(steps) = calc.mash_steps() else { return };
    for (at, step) in steps.into_iter().enumerate() {
        let volume =
            step.volume.filter(|litres| litres.is_finite()).map(|litres| Show::Volume.shown(litres, units));
        let hot = step.temperature.filter(|celsius| celsius.is_finite());
        let hot = hot.map(|celsius| Show::Temperature.shown(celsius, units));
        let before = step.step.checked_sub(1).and_then(|before| recipe.mash.steps.get(before));
        // Water that is added later may or may not be counted in the mash liquor, unless that is written.
        let infused =
            recipe.mash.steps.iter().take(step.step).any(|step| matches!(step, MashStep::Infuse { .. }));
        let will_be = recipe.mash.steps.iter().any(|step| matches!(step, MashStep::Infuse { .. }));
        let label = if infused || (will_be && recipe.liquor.mash.is_none()) {
            None
        } else if at == 0 {
            volume.zip(hot).map(|(volume, hot)| format!("strike {volume} at {hot}"))
        } else {
            match (step.by, before) {
                // The part to draw is written on a line of its own.
                (Method::Decoction, Some(MashStep::Decoct { volume: Some(_), .. })) => None,
                (Method::Infusion, _) => {
                    volume.zip(hot).map(|(volume, hot)| format!("infuse {volume} at {hot}"))
                }
                (Method::Decoction, _) => volume.map(|volume| format!("draw {volume} and boil it")),
                (Method::DirectHeat, _) => {
                    let ramp = step.ramp.filter(|minutes| minutes.is_finite());
                    ramp.map(|minutes| format!("{} to heat", Show::Minutes.shown(minutes, units)))
                }
                (Method::Cook, _) => None,
            }
        };
        let end = step.cools_to.filter(|celsius| celsius.is_finite());
        let end = end.map(|celsius| format!("cools to {}", Show::Temperature.shown(celsius, units)));
        let label = match (label, end) {
            (Some(label), Some(end)) => Some(format!("{label}, {end}")),
            (label, end) => label.or(end),
        };
        if let Some(label) = label {
            made.push(Line {
                place: step.place,
                kind: HintKind::Mash,
                label,
                thing: None,
                why: Why::Step(step),
            });
        }
    }
}

// ---- the yeast ----------------------------------------------------------------------------------------------

fn yeast<'r>(
    recipe: &'r Recipe,
    calc: &Calc<'_>,
    values: &[LineValue],
    part: usize,
    units: ShownUnits,
    made: &mut Vec<Line<'r>>,
) {
    const PITCHED: &[FigureId] = &[FigureId::PitchRate, FigureId::CellsPitched, FigureId::CellsNeeded];
    let Some(pitch) = recipe.parts.get(part).map(|part| &part.pitch) else { return };
    let mut cells: Vec<Option<String>> = pitch
        .lines
        .iter()
        .map(|line| {
            of_line(values, line.place, LineFigure::Cells, units).map(|(_, cells)| format!("{cells} cells"))
        })
        .collect();
    // The rate is that of all yeasts together, and of what the starter makes of them: said at the last.
    if let (Some(last), Ok(rate), Ok(needed)) =
        (cells.last_mut(), calc.value(FigureId::PitchRate), calc.value(FigureId::CellsNeeded))
    {
        let rate = format!(
            "{} ({} cells needed)",
            Show::PitchRate.shown(rate, units),
            Show::Cells.shown(needed, units)
        );
        let grown = pitch.starter.last().zip(calc.value(FigureId::CellsPitched).ok());
        if let Some((step, grown)) = grown {
            let label = format!("{} cells, {rate}", Show::Cells.shown(grown, units));
            let why = Why::Figures(PITCHED);
            made.push(Line { place: step.place, kind: HintKind::Yeast, label, thing: None, why });
        } else {
            *last = Some(match last.take() {
                Some(cells) => format!("{cells}, {rate}"),
                None => rate,
            });
        }
    }
    for (line, label) in pitch.lines.iter().zip(cells) {
        if let Some(label) = label {
            let why = Why::Figures(PITCHED);
            made.push(Line {
                place: line.place,
                kind: HintKind::Yeast,
                label,
                thing: Some(&line.thing),
                why,
            });
        }
    }
}

// ---- the package --------------------------------------------------------------------------------------------

fn package<'r>(
    recipe: &'r Recipe,
    calc: &Calc<'_>,
    part: usize,
    units: ShownUnits,
    made: &mut Vec<Line<'r>>,
) {
    let Some(package) = recipe.parts.get(part).map(|part| &part.package) else { return };
    for line in calc.package_lines() {
        let Some(written) = package.lines.get(line.line) else { continue };
        let mut said = Vec::new();
        let priming = written.priming.as_ref();
        if let Some((amount, thing)) = priming
            && let Some(grams) = line.sugar.filter(|grams| grams.is_finite() && *grams > 0.0)
            // A mass that is written needs not be said again.
            && !matches!(amount, Amount::Of(quant) if quant.unit.is_some_and(|unit| unit.dimension() == Dimension::Mass))
        {
            said.push(format!("{} {}", Say { units }.small_mass(grams / 1000.0), thing.name));
        }
        if written.carbonation.is_none()
            && let Some(volumes) = line.carbonation.filter(|volumes| volumes.is_finite())
        {
            said.push(Show::Carbonation.shown(volumes, units));
        }
        if let Some(bar) = line.pressure.filter(|bar| bar.is_finite()) {
            said.push(format!("{} on the regulator", Show::Pressure.shown(bar, units)));
        }
        if !said.is_empty() {
            made.push(Line {
                place: line.place,
                kind: HintKind::Package,
                label: said.join(", "),
                thing: priming.map(|(_, thing)| thing),
                why: Why::Package(line),
            });
        }
    }
}

// ---- explanations -------------------------------------------------------------------------------------------

fn explain(line: &Line<'_>, calc: Option<&Calc<'_>>) -> String {
    let mut out = Explanation::default();
    let Some(calc) = calc else {
        if let Why::Reading(said, _) | Why::Query(said) = &line.why {
            out.say(said);
        }
        return out.markdown();
    };
    let units = calc.settings.units_for(Some(calc.recipe));
    match &line.why {
        Why::Grist(at) => explain_grist(*at, line, calc, units, &mut out),
        Why::Hop(at) => explain_hop(*at, calc, &mut out),
        Why::Water(at) => explain_water(*at, calc, &mut out),
        Why::Step(step) => explain_step(step, calc, units, &mut out),
        Why::Package(line) => explain_package(line, calc, units, &mut out),
        Why::Figures(ids) => {
            for figure in ids.iter().filter_map(|id| calc.explained(*id).ok()) {
                out.figure(&figure, units);
            }
        }
        Why::Query(said) => {
            out.formula([said]);
        }
        Why::Reading(said, ids) => {
            out.say(said);
            for figure in ids.iter().filter_map(|id| calc.explain(*id).ok()) {
                out.title(&format!(
                    "planned {} {}",
                    figure.id.words(),
                    shown(figure.id, figure.value, units)
                ))
                .formula(&figure.formula)
                .grounds(&figure);
            }
        }
    }
    out.markdown()
}

fn explain_grist(at: usize, line: &Line<'_>, calc: &Calc<'_>, units: ShownUnits, out: &mut Explanation) {
    let Ok(parts) = calc.grist_parts() else { return };
    let Some(part) = parts.get(at) else { return };
    let name = line.thing.map_or("", |thing| &thing.name);
    let whole: f64 = parts.iter().map(|part| part.mass).sum();
    out.title(&format!("{name}: {}", Show::Mass.shown(part.mass, units)));
    if line.kind == HintKind::Colour {
        out.say("Its part of the malt colour units: mass × colour over the sum of the grist.");
        if let Ok(colour) = calc.explain(FigureId::Colour) {
            out.figure(&colour, units);
        }
        return;
    }
    let nth = calc.recipe.grist.iter().take(at).filter(|other| *other.thing.name == *name).count();
    let mut formula = Vec::new();
    if whole > 0.0 {
        formula.push(format!(
            "{} / {} of the grist = {}",
            Show::Mass.shown(part.mass, units),
            Show::Mass.shown(whole, units),
            Show::Share.with_unit(part.mass / whole)
        ));
    }
    let extract = calc.explain(FigureId::ExtractMass).ok();
    formula.extend(extract.as_ref().and_then(|figure| line_of(figure, name, nth)).map(str::to_owned));
    out.formula(formula);
    if let Some(figure) = &extract {
        out.grounds(figure);
    }
}

fn explain_hop(at: usize, calc: &Calc<'_>, out: &mut Explanation) {
    let (Ok(hops), Ok(figure)) = (calc.hop_lines(), calc.explain(FigureId::Ibu)) else { return };
    let name_of =
        |hop: &HopLine| calc.recipe.additions.get(hop.addition).map(|addition| &*addition.thing.name);
    let Some(name) = hops.get(at).and_then(name_of) else { return };
    let nth = hops.iter().take(at).filter(|hop| name_of(hop) == Some(name)).count();
    let utilisation = figure.formula.iter().find(|line| line.starts_with("utilisation")).map(String::as_str);
    out.title(name).formula(utilisation.into_iter().chain(line_of(&figure, name, nth))).grounds(&figure);
}

fn explain_water(at: usize, calc: &Calc<'_>, out: &mut Explanation) {
    use FigureId as F;
    use brewing::water::Ion;
    let Ok(parts) = calc.water_parts() else { return };
    let Some(addition) = calc.recipe.liquor.additions.get(at) else { return };
    out.title(&addition.thing.name);
    let mut formula: Vec<String> = Vec::new();
    let mut grounds: Vec<Figure> = Vec::new();
    for part in parts.iter().filter(|part| part.addition == at) {
        let sparge = part.vessel == Vessel::Sparge;
        if let Ok(water) = calc.vessel_water(part.vessel) {
            formula.push(format!(
                "into {} of {} liquor",
                Show::Volume.with_unit(water.litres),
                vessel_word(part.vessel)
            ));
        }
        for (ion, more) in &part.ions {
            let id = match (ion, sparge) {
                (Ion::Calcium, false) => F::MashCalcium,
                (Ion::Calcium, true) => F::SpargeCalcium,
                (Ion::Magnesium, false) => F::MashMagnesium,
                (Ion::Magnesium, true) => F::SpargeMagnesium,
                (Ion::Sodium, false) => F::MashSodium,
                (Ion::Sodium, true) => F::SpargeSodium,
                (Ion::Chloride, false) => F::MashChloride,
                (Ion::Chloride, true) => F::SpargeChloride,
                (Ion::Sulfate, false) => F::MashSulfate,
                (Ion::Sulfate, true) => F::SpargeSulfate,
                (Ion::Bicarbonate, false) => F::MashBicarbonate,
                (Ion::Bicarbonate, true) => F::SpargeBicarbonate,
                (Ion::Potassium | Ion::Nitrate, _) => continue,
            };
            let Ok(figure) = calc.explain(id) else { continue };
            formula.push(format!(
                "{} {} ppm, together {}",
                figure.id.words(),
                signed(Show::Ion, *more, ShownUnits::Metric),
                Show::Ion.with_unit(figure.value)
            ));
            grounds.push(figure);
        }
        if part.alkalinity < 0.0 {
            formula.push(format!(
                "alkalinity {} ppm as CaCO3, counted at pH 5.4",
                signed(Show::Ion, part.alkalinity * CACO3, ShownUnits::Metric)
            ));
        }
    }
    out.formula(formula);
    for figure in &grounds {
        out.grounds(figure);
    }
    out.source(&brewing::water::STOICHIOMETRY);
    if addition.thing.words(Keyword::Role).is_some_and(|role| role.eq_ignore_ascii_case("acid")) {
        out.list([
            "note: acids burn; goggles and gloves, and the acid into the water, never the water into it",
        ]);
    }
}

fn explain_step(step: &StepFigure, calc: &Calc<'_>, units: ShownUnits, out: &mut Explanation) {
    let first =
        calc.mash_steps().ok().and_then(|steps| steps.first().map(|first| first.step)) == Some(step.step);
    if first {
        for id in [FigureId::StrikeTemperature, FigureId::MashLiquor] {
            if let Ok(figure) = calc.explained(id) {
                out.figure(&figure, units);
            }
        }
        cooling(step, units, out);
        return;
    }
    let temperature = |celsius: f64| Show::Temperature.shown(celsius, units);
    out.title(&format!("from {} to {}", temperature(step.from), temperature(step.to)));
    out.say(match step.by {
        Method::Infusion => "The heat that the mash takes up is the heat that the water gives.",
        Method::Decoction => "The heat that the mash takes up is the heat that the boiled part brings back.",
        Method::DirectHeat => "The heat that mash and vessel take up over 90 % of the power of the heater, less what the walls lose where the brewhouse states its `heat loss`.",
        Method::Cook => "The heat that the mash takes up is the heat that the cooked adjuncts bring.",
    });
    out.list([format!("the mash is {} after it", Show::Volume.shown(step.mash_volume, units))]);
    cooling(step, units, out);
    out.list(["note: hot liquor and hot mash scald within seconds; gloves, closed shoes, nobody else near"]);
    out.source(&mash::MASH_HEAT);
}

/// What a rest cools to by the heat loss of the brewhouse.
fn cooling(step: &StepFigure, units: ShownUnits, out: &mut Explanation) {
    let Some(end) = step.cools_to else { return };
    let temperature = |celsius: f64| Show::Temperature.shown(celsius, units);
    out.list([format!("cools from {} to {} by its end", temperature(step.to), temperature(end))]);
    out.source(&mash::COOLING);
}

fn explain_package(line: &PackageLine, calc: &Calc<'_>, units: ShownUnits, out: &mut Explanation) {
    // The figures are those of the first line; another line has its own numbers.
    if calc.part().package.lines.len() == 1 {
        for id in [FigureId::PrimingSugar, FigureId::Carbonation, FigureId::KegPressure] {
            if let Ok(figure) = calc.explained(id) {
                out.figure(&figure, units);
            }
        }
    } else {
        out.title(&format!("{} of beer", Show::Volume.shown(line.litres, units)));
        out.source(if line.pressure.is_some() { &carbonation::DELANGE } else { &carbonation::PRIMING });
    }
    out.list(["note: keep below the pressure the container is rated for, and let nothing be packaged before its gravity has come to rest"]);
}
