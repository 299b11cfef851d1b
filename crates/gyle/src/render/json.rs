//! JSON, as the interface promises it.

use std::sync::Arc;

use figures::{Actual, Calc, Figure, FigureId, Missing, Show, ShownUnits};
use serde_json::{Map, Value, json};
use syntax::LineIndex;
use syntax::ast::Block;
use workspace::Analysis;

use crate::check::Checked;
use crate::figures::answers;
use crate::output::Output;
use crate::render::{Placed, Shown, position};

fn range(file: &Placed, span: syntax::Span) -> Value {
    let point = |offset| {
        let (line, column, byte) = position(&file.index, &file.text, offset);
        json!({"line": line, "column": column, "byte": byte})
    };
    json!({"start": point(span.start), "end": point(span.end)})
}

fn finding(one: &Shown) -> Value {
    let finding = &one.finding;
    let related: Vec<Value> = one
        .places()
        .map(|(place, file)| {
            json!({"message": place.message, "path": file.path, "range": range(file, place.span)})
        })
        .collect();
    let fix = finding.fixes.first().map(|fix| {
        let edits: Vec<Value> = fix
            .edits
            .iter()
            .map(|edit| json!({"range": range(&one.file, edit.span), "text": edit.text}))
            .collect();
        json!({"title": fix.title, "safe": fix.safe, "edits": edits})
    });
    json!({
        "rule": finding.rule,
        "group": finding.group.word(),
        "severity": finding.severity.word(),
        "message": finding.message,
        "path": one.file.path,
        "range": range(&one.file, finding.span),
        "related": related,
        "help": finding.help,
        "fix": fix,
        "fingerprint": one.fingerprint,
    })
}

fn summary(checked: &Checked) -> Value {
    let [hints, warnings, errors] = checked.counts();
    json!({"files": checked.files.len(), "errors": errors, "warnings": warnings, "hints": hints})
}

/// `gyle check --output json`.
pub(crate) fn findings(checked: &Checked, output: &mut Output) {
    let list: Vec<Value> = checked.findings.iter().map(finding).collect();
    let whole = json!({"version": 1, "findings": list, "summary": summary(checked)});
    output.line(&whole.to_string());
}

/// `gyle check --output json-lines`: the findings of the JSON form, each on a line of its own.
pub(crate) fn lines(checked: &Checked, output: &mut Output) {
    for one in &checked.findings {
        output.line(&finding(one).to_string());
    }
}

/// `gyle check --statistics --output json`.
pub(crate) fn statistics(checked: &Checked, output: &mut Output) {
    let list: Vec<Value> = checked
        .statistics()
        .into_iter()
        .map(|row| {
            json!({"rule": row.rule, "group": row.group.word(), "findings": row.findings, "safe_fixes": row.fixes})
        })
        .collect();
    output.line(&json!({"version": 1, "statistics": list, "summary": summary(checked)}).to_string());
}

/// Digits enough for a reader to compute with, and no noise of the last bits.
pub(crate) fn number(value: f64, show: Show) -> Value {
    let digits = match show {
        Show::Gravity => 5,
        _ => 4,
    };
    let rounded: f64 = format!("{value:.digits$}").parse().unwrap_or(value);
    json!(if rounded == 0.0 { 0.0 } else { rounded })
}

fn figure(figure: &Figure) -> Value {
    let show = figure.id.show();
    let mut out = Map::new();
    out.insert("value".into(), number(figure.value, show));
    out.insert("unit".into(), json!(figure.unit()));
    match show {
        Show::Gravity => {
            let plato = brewing::gravity::plato(quantity::typed::Gravity::from_sg(figure.value));
            out.insert("plato".into(), number(plato.plato(), Show::Plato));
        }
        Show::Colour => {
            let srm = brewing::colour::srm(quantity::typed::Ebc::from_ebc(figure.value));
            out.insert("srm".into(), number(srm.srm(), Show::Colour));
        }
        _ => {}
    }
    if let Some((low, high)) = figure.bounds {
        out.insert("low".into(), number(low, show));
        out.insert("high".into(), number(high, show));
    }
    out.insert("formula".into(), json!(figure.formula.join("; ")));
    let sources: Vec<String> = figure.sources.iter().map(ToString::to_string).collect();
    out.insert("source".into(), json!(sources.join(" ")));
    let assumed: Vec<Value> = figure
        .assumed
        .iter()
        .map(|one| json!({"what": one.what, "value": one.value, "from": one.from}))
        .collect();
    out.insert("assumed".into(), json!(assumed));
    if !figure.cautions.is_empty() {
        out.insert("cautions".into(), json!(figure.cautions));
    }
    Value::Object(out)
}

/// Figures and reasons, in the order they are shown.
fn all(
    ids: impl Iterator<Item = FigureId>,
    explain: impl Fn(FigureId) -> Result<Figure, Missing>,
) -> (Value, Value) {
    let mut figures = Map::new();
    let mut missing = Map::new();
    for id in ids {
        match explain(id) {
            Ok(one) => {
                figures.insert(id.id().into(), figure(&one));
            }
            Err(reason) => {
                missing.insert(id.id().into(), json!(reason.reason));
            }
        }
    }
    (Value::Object(figures), Value::Object(missing))
}

/// One file of `gyle figures --format json`.
pub(crate) fn file(path: &str, text: &str, analysis: &Analysis, settings: &figures::Settings) -> Value {
    let index = LineIndex::new(text);
    let line = |start: u32| position(&index, text, start).0;
    let recipes: Vec<Value> = analysis
        .recipes
        .iter()
        .flat_map(|one| {
            (0..one.recipe.parts.len().max(1)).map(|part| {
                let calc = Calc::of_part(&one.recipe, settings, part);
                let (figures, missing) = all(plan_ids(), |id| calc.explained(id));
                let lines: Vec<Value> = calc
                    .lines()
                    .into_iter()
                    .map(|value| {
                        let start = one.starts.get(usize::from(value.place.block)).copied().unwrap_or(0);
                        json!({
                            "line": line(start + value.place.span.start),
                            "figure": value.figure.id(),
                            "value": number(value.value, value.show),
                            "unit": value.show.unit(),
                        })
                    })
                    .collect();
                let mut out = json!({
                    "name": one.recipe.name,
                    "line": line(one.starts.first().copied().unwrap_or(0) + one.recipe.name_place.span.start),
                    "figures": figures,
                    "missing": missing,
                    "lines": lines,
                });
                if let (Some((label, _)), Some(out)) = (&calc.part().label, out.as_object_mut()) {
                    out.insert("part".into(), json!(label));
                }
                let units = settings.units_for(Some(&one.recipe));
                ask(&one.recipe.queries, &one.recipe.blocks, &one.starts, &calc, units, &line, &mut out);
                out
            })
        })
        .collect();
    let logs: Vec<Value> = analysis
        .logs
        .iter()
        .map(|one| {
            let calc = one.log.recipe.as_deref().map(|recipe| Calc::new(recipe, settings));
            let actual = Actual::new(&one.log, calc.as_ref(), settings);
            let (figures, missing) = all(log_ids(), |id| actual.explain(id));
            let mut out = json!({
                "gyle": one.log.id,
                "recipe": one.log.recipe_name,
                "line": line(one.starts.first().copied().unwrap_or(0) + one.log.name_place.span.start),
                "figures": figures,
                "missing": missing,
            });
            if let Some(calc) = &calc {
                let units = settings.units_for(one.log.recipe.as_deref());
                ask(&one.log.queries, &one.log.blocks, &one.starts, calc, units, &line, &mut out);
            }
            out
        })
        .collect();
    json!({"path": path, "recipes": recipes, "logs": logs})
}

/// Adds the questions of a recipe or log, where it has some.
fn ask(
    queries: &[recipe::Query],
    blocks: &[Arc<Block>],
    starts: &[u32],
    calc: &Calc<'_>,
    units: ShownUnits,
    line: &impl Fn(u32) -> u32,
    out: &mut Value,
) {
    let asked: Vec<Value> = answers(queries, blocks, calc, units)
        .map(|(query, words, answer)| {
            let start = starts.get(usize::from(query.place.block)).copied().unwrap_or(0);
            let line = line(start + query.place.span.start);
            match answer {
                Ok(value) => json!({"line": line, "query": words, "value": value}),
                Err(reason) => json!({"line": line, "query": words, "missing": reason}),
            }
        })
        .collect();
    if let (false, Some(out)) = (asked.is_empty(), out.as_object_mut()) {
        out.insert("queries".into(), json!(asked));
    }
}

/// Ids of the plan.
pub(crate) fn plan_ids() -> impl Iterator<Item = FigureId> {
    FigureId::ALL.iter().copied().filter(|id| id.scope() == figures::Scope::Plan)
}

/// Ids of a log.
pub(crate) fn log_ids() -> impl Iterator<Item = FigureId> {
    FigureId::ALL.iter().copied().filter(|id| id.scope() == figures::Scope::Log)
}
