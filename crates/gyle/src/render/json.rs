//! JSON, as the interface promises it.

use figures::{Actual, Calc, Figure, FigureId, Missing, Show};
use serde_json::{Map, Value, json};
use syntax::LineIndex;
use workspace::Analysis;

use crate::check::Checked;
use crate::output::Output;
use crate::render::{Fingerprints, position, text_of};

fn range(index: &LineIndex, text: &str, span: syntax::Span) -> Value {
    let point = |offset| {
        let (line, column, byte) = position(index, text, offset);
        json!({"line": line, "column": column, "byte": byte})
    };
    json!({"start": point(span.start), "end": point(span.end)})
}

/// `gyle check --format json`.
pub(crate) fn findings(checked: &Checked, output: &mut Output) {
    let mut list = Vec::with_capacity(checked.findings.len());
    let mut fingerprints = Fingerprints::new();
    let mut counts = [0usize; 3];
    let mut last: Option<(recipe::FileId, String, std::sync::Arc<str>, LineIndex)> = None;
    for finding in &checked.findings {
        if last.as_ref().is_none_or(|(id, ..)| *id != finding.file) {
            let (path, text) = text_of(&checked.workspace, finding.file, &checked.here);
            let index = LineIndex::new(&text);
            last = Some((finding.file, path, text, index));
            fingerprints = Fingerprints::new();
        }
        let Some((_, path, text, index)) = &last else { continue };
        counts[finding.severity as usize] += 1;
        let related: Vec<Value> = finding
            .related
            .iter()
            .map(|one| {
                let (path, text) = text_of(&checked.workspace, one.file, &checked.here);
                let index = LineIndex::new(&text);
                json!({"message": one.message, "path": path, "range": range(&index, &text, one.span)})
            })
            .collect();
        let fix = finding.fixes.first().map(|fix| {
            let edits: Vec<Value> = fix
                .edits
                .iter()
                .map(|edit| json!({"range": range(index, text, edit.span), "text": edit.text}))
                .collect();
            json!({"title": fix.title, "safe": fix.safe, "edits": edits})
        });
        list.push(json!({
            "rule": finding.rule,
            "group": finding.group.word(),
            "severity": finding.severity.word(),
            "message": finding.message,
            "path": path,
            "range": range(index, text, finding.span),
            "related": related,
            "help": finding.help,
            "fix": fix,
            "fingerprint": fingerprints.next(finding, text, index),
        }));
    }
    let whole = json!({
        "version": 1,
        "findings": list,
        "summary": {"files": checked.files, "errors": counts[2], "warnings": counts[1], "hints": counts[0]},
    });
    output.line(&whole.to_string());
}

/// Digits enough for a reader to compute with, and no noise of the last bits.
fn number(value: f64, show: Show) -> Value {
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
    out.insert("unit".into(), json!(show.unit()));
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
            json!({
                "gyle": one.log.id,
                "recipe": one.log.recipe_name,
                "line": line(one.starts.first().copied().unwrap_or(0) + one.log.name_place.span.start),
                "figures": figures,
                "missing": missing,
            })
        })
        .collect();
    json!({"path": path, "recipes": recipes, "logs": logs})
}

/// Ids of the plan.
pub(crate) fn plan_ids() -> impl Iterator<Item = FigureId> {
    FigureId::ALL.iter().copied().filter(|id| id.scope() == figures::Scope::Plan)
}

/// Ids of a log.
pub(crate) fn log_ids() -> impl Iterator<Item = FigureId> {
    FigureId::ALL.iter().copied().filter(|id| id.scope() == figures::Scope::Log)
}
