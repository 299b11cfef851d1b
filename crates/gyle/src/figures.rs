//! `gyle figures`.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use ::figures::{Actual, Calc, DERIVATION, Figure, FigureId, Missing, Settings, Show, ShownUnits};
use brewing::source::Source;
use serde_json::json;
use syntax::ast::Block;
use syntax::{Encoding, LineIndex};
use workspace::Analysis;

use crate::args::{FiguresArgs, Format};
use crate::check::{absolute, load, sound_configs};
use crate::output::Output;
use crate::render::json::log_ids;
use crate::render::{json as to_json, text_of};

/// Figures in the order a brewer reads them, those of the beer first.
pub(crate) const GROUPS: &[(&str, &[FigureId])] = {
    use FigureId as F;
    &[
        (
            "beer",
            &[
                F::Og,
                F::Fg,
                F::Abv,
                F::AbvPackaged,
                F::AlcoholByWeight,
                F::Ibu,
                F::BitternessRatio,
                F::Colour,
                F::ApparentAttenuation,
                F::RealAttenuation,
                F::Energy,
                F::AlcoholMass,
            ],
        ),
        (
            "grist and wort",
            &[
                F::GristWeight,
                F::ExtractMass,
                F::DiastaticPower,
                F::FirstWortGravity,
                F::PreBoilGravity,
                F::PostBoilGravity,
                F::PitchingGravity,
                F::BrewhouseEfficiency,
                F::LauterEfficiency,
                F::MashEfficiencyEstimate,
            ],
        ),
        (
            "volumes",
            &[
                F::TotalLiquor,
                F::MashLiquor,
                F::SpargeLiquor,
                F::MashVolume,
                F::PreBoilVolume,
                F::PostBoilVolume,
                F::KnockOutVolume,
                F::BatchVolume,
                F::PackagedVolume,
            ],
        ),
        ("mash", &[F::MashThickness, F::StrikeTemperature, F::MashPh]),
        (
            "liquor",
            &[
                F::Calcium,
                F::Magnesium,
                F::Sodium,
                F::Chloride,
                F::Sulfate,
                F::Bicarbonate,
                F::SulfateToChloride,
                F::Alkalinity,
                F::MashAlkalinity,
                F::ResidualAlkalinity,
                F::SpargePh,
            ],
        ),
        (
            "mash liquor",
            &[
                F::MashCalcium,
                F::MashMagnesium,
                F::MashSodium,
                F::MashChloride,
                F::MashSulfate,
                F::MashBicarbonate,
            ],
        ),
        (
            "sparge liquor",
            &[
                F::SpargeCalcium,
                F::SpargeMagnesium,
                F::SpargeSodium,
                F::SpargeChloride,
                F::SpargeSulfate,
                F::SpargeBicarbonate,
            ],
        ),
        (
            "source",
            &[
                F::SourceCalcium,
                F::SourceMagnesium,
                F::SourceSodium,
                F::SourceChloride,
                F::SourceSulfate,
                F::SourceBicarbonate,
                F::SourceAlkalinity,
                F::ChargeImbalance,
            ],
        ),
        (
            "yeast",
            &[
                F::CellsNeeded,
                F::CellsPitched,
                F::PitchRate,
                F::StarterVolume,
                F::FreeRiseCeiling,
                F::Co2Released,
            ],
        ),
        ("package", &[F::ResidualCo2, F::Carbonation, F::PrimingRate, F::PrimingSugar, F::KegPressure]),
        ("cost", &[F::Cost, F::CostPerLitre]),
    ]
};

pub(crate) fn run(args: &FiguresArgs, output: &mut Output) -> u8 {
    let (workspace, loaded, whole) = load(&args.paths, args.stdin_path.as_deref());
    let here = absolute(Path::new("."));
    if !sound_configs(&workspace, &loaded.files, &here) {
        return 2;
    }
    let mut files = Vec::new();
    for id in &loaded.files {
        let (Some(state), Some(analysis)) = (workspace.file(*id), workspace.analyse(*id)) else { continue };
        let (path, text) = text_of(&workspace, *id, &here);
        match args.format {
            Format::Json => files.push(to_json::file(&path, &text, &analysis, &state.config.figures)),
            Format::Human => human(&text, &analysis, &state.config.figures, args.why, output),
        }
    }
    if args.format == Format::Json {
        output.line(&json!({"version": 1, "files": files}).to_string());
    }
    if whole { 0 } else { 2 }
}

/// A value as shown, with the second scale a brewer looks for.
fn shown(id: FigureId, value: f64, units: ShownUnits) -> String {
    let show = id.show();
    match show {
        Show::Gravity => {
            let plato = brewing::gravity::plato(quantity::typed::Gravity::from_sg(value));
            format!("{} ({})", show.number(value), Show::Plato.with_unit(plato.plato()))
        }
        Show::Colour => {
            let second = if units == ShownUnits::Metric { ShownUnits::Us } else { ShownUnits::Metric };
            format!("{} ({})", show.shown(value, units), show.shown(value, second))
        }
        _ => show.shown(value, units),
    }
}

/// The questions of a recipe or log: what is asked, and the answer or why there is none.
pub(crate) fn answers<'a>(
    queries: &'a [recipe::Query],
    blocks: &'a [Arc<Block>],
    calc: &'a Calc<'_>,
    units: ShownUnits,
) -> impl Iterator<Item = (&'a recipe::Query, &'a str, Result<String, String>)> {
    queries.iter().filter_map(move |query| {
        let block = blocks.get(usize::from(query.place.block))?;
        let words = query.label.as_deref().unwrap_or_else(|| block.slice(query.expr.span).trim());
        let answer =
            calc.answer(&query.expr, block, units).map_err(|error| error.missing.reason.into_owned());
        Some((query, words, answer))
    })
}

fn answer_lines(
    queries: &[recipe::Query],
    blocks: &[Arc<Block>],
    calc: &Calc<'_>,
    units: ShownUnits,
    output: &mut Output,
) {
    if !queries.is_empty() {
        output.line("\n  asked");
    }
    for (_, words, answer) in answers(queries, blocks, calc, units) {
        match answer {
            Ok(value) => output.line(&format!("    {words:<28} {value}")),
            Err(reason) => output.line(&format!("    {words:<28} not computed: {reason}")),
        }
    }
}

fn human(text: &str, analysis: &Analysis, settings: &Settings, why: bool, output: &mut Output) {
    let index = LineIndex::new(text);
    let line_of = |offset: u32| index.line_col(text, offset, Encoding::Utf32).line + 1;
    for one in &analysis.recipes {
        for part in 0..one.recipe.parts.len().max(1) {
            let calc = Calc::of_part(&one.recipe, settings, part);
            let units = settings.units_for(Some(&one.recipe));
            let label = calc.part().label.as_ref().map_or(String::new(), |(label, _)| format!(", {label}"));
            output.line(&format!("{}{label}", one.recipe.name));
            let mut missing: Vec<(FigureId, Missing)> = Vec::new();
            let mut derivation = why.then(Derivation::default);
            for (title, ids) in if why { DERIVATION } else { GROUPS } {
                let mut lines = Vec::new();
                for id in *ids {
                    match calc.explained(*id) {
                        Ok(figure) => lines.extend(lines_of(&figure, derivation.as_mut(), units)),
                        Err(reason) => missing.push((*id, reason)),
                    }
                }
                if !lines.is_empty() {
                    output.line(&format!("\n  {title}"));
                    for line in lines {
                        output.line(&format!("    {line}"));
                    }
                }
            }
            answer_lines(&one.recipe.queries, &one.recipe.blocks, &calc, units, output);
            if let Some(derivation) = &derivation {
                derivation.sources(output);
            }
            missing_lines(&missing, output);
            let lines = calc.lines();
            if !lines.is_empty() {
                output.line("\n  line by line");
                // A salt to every vessel brings the same to each: said once.
                let (mut said_of, mut said) = (0, Vec::new());
                for value in lines {
                    let start = one.starts.get(usize::from(value.place.block)).copied().unwrap_or(0);
                    let offset = start + value.place.span.start;
                    let written = one
                        .recipe
                        .blocks
                        .get(usize::from(value.place.block))
                        .map_or("", |block| block.slice(value.place.span));
                    let written: String = written.split_whitespace().collect::<Vec<_>>().join(" ");
                    let short: String = written.chars().take(44).collect();
                    let line = line_of(offset);
                    let row = format!(
                        "    {line:>4}  {short:<44}  {:<16} {}",
                        value.figure.id(),
                        value.show.shown(value.value, units)
                    );
                    if said_of != line {
                        said_of = line;
                        said.clear();
                    }
                    if !said.contains(&row) {
                        output.line(&row);
                        said.push(row);
                    }
                }
            }
            output.line("");
        }
    }
    for one in &analysis.logs {
        let calc = one.log.recipe.as_deref().map(|recipe| Calc::new(recipe, settings));
        let actual = Actual::new(&one.log, calc.as_ref(), settings);
        let units = settings.units_for(one.log.recipe.as_deref());
        output.line(&format!("gyle {}, {}", one.log.id, one.log.recipe_name));
        let mut missing = Vec::new();
        let mut derivation = why.then(Derivation::default);
        output.line("\n  measured");
        for id in log_ids() {
            match actual.explain(id) {
                Ok(figure) => {
                    let planned =
                        id.planned().and_then(|id| calc.as_ref()?.value(id).ok().map(|value| (id, value)));
                    let mut lines = lines_of(&figure, derivation.as_mut(), units);
                    if let (Some((id, value)), Some(first)) = (planned, lines.first_mut()) {
                        first.push_str(&format!("  (planned {})", shown(id, value, units)));
                    }
                    for line in lines {
                        output.line(&format!("    {line}"));
                    }
                }
                Err(reason) => missing.push((id, reason)),
            }
        }
        if let Some(calc) = &calc {
            answer_lines(&one.log.queries, &one.log.blocks, calc, units, output);
        }
        if let Some(derivation) = &derivation {
            derivation.sources(output);
        }
        missing_lines(&missing, output);
        output.line("");
    }
}

/// What of a derivation has been said: the line of a formula, an assumption, a note and the text of a source
/// are read once, where they first matter.
#[derive(Default)]
struct Derivation {
    said: Vec<String>,
    sources: Vec<&'static Source>,
}

impl Derivation {
    fn of(&mut self, figure: &Figure) -> Vec<String> {
        let mut lines = Vec::new();
        let mut say = |line: String| {
            if !self.said.contains(&line) {
                lines.push(format!("    {line}"));
                self.said.push(line);
            }
        };
        for line in &figure.formula {
            say(line.clone());
        }
        let above = !figure.formula.is_empty() && lines.is_empty();
        if above {
            lines.push("    as above".to_owned());
        }
        let mut say = |line: String| {
            if !self.said.contains(&line) {
                lines.push(format!("    {line}"));
                self.said.push(line);
            }
        };
        for one in &figure.assumed {
            say(format!("assumed {} {} ({})", one.what, one.value, one.from));
        }
        for caution in &figure.cautions {
            say(format!("note: {caution}"));
        }
        let by: Vec<&str> = figure.sources.iter().map(|source| source.short).collect();
        if !by.is_empty() {
            lines.push(format!("    by: {}", by.join("; ")));
        }
        for source in &figure.sources {
            if !self.sources.iter().any(|have| have.short == source.short) {
                self.sources.push(source);
            }
        }
        lines
    }

    fn sources(&self, output: &mut Output) {
        if self.sources.is_empty() {
            return;
        }
        output.line("\n  sources");
        for source in &self.sources {
            output.line(&format!("    {}: {source}", source.short));
        }
    }
}

fn lines_of(figure: &Figure, derivation: Option<&mut Derivation>, units: ShownUnits) -> Vec<String> {
    let mut lines = vec![format!("{:<28} {}", figure.id.words(), shown(figure.id, figure.value, units))];
    if let (Some(code), Some(first)) = (figure.currency, lines.first_mut()) {
        let _ = write!(first, " {code}");
    }
    if let (Some((low, high)), Some(first)) = (figure.bounds, lines.first_mut()) {
        let show = figure.id.show();
        let (low, high) = (show.number_in(low, units), show.number_in(high, units));
        if low != high {
            first.push_str(&format!("  ({low} to {high})"));
        }
    }
    if let Some(derivation) = derivation {
        lines.extend(derivation.of(figure));
    }
    lines
}

/// So many figures are named that lack a value for one reason.
const MOST_NAMED: usize = 6;

/// Figures without a value, together where the reason is the same.
fn missing_lines(missing: &[(FigureId, Missing)], output: &mut Output) {
    if missing.is_empty() {
        return;
    }
    output.line("\n  not computed");
    let mut said: Vec<&str> = Vec::new();
    for (_, reason) in missing {
        if said.contains(&&*reason.reason) {
            continue;
        }
        said.push(&reason.reason);
        let ids: Vec<String> = missing
            .iter()
            .filter(|(_, other)| other.reason == reason.reason)
            .map(|(id, _)| id.words())
            .collect();
        let shown = ids.len().min(MOST_NAMED);
        let more = match ids.len() - shown {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        output.line(&format!("    {}{more}: {}", ids[..shown].join(", "), reason.reason));
    }
}
