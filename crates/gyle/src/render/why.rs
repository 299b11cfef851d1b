//! Why figures differ: for people, for programs, for the comment on a pull request.

use ::compare::LineChange;
use ::compare::why::{Cause, FigureWhy, PartWhy, What};
use figures::{FigureId, ShownUnits};
use serde_json::{Value, json};
use syntax::vocabulary::BlockKind;

use crate::output::Output;
use crate::render::compare::{code, escaped, line, turn, value};
use crate::why::{Answer, Shown, Told};

/// A figure with its parts as text.
struct Row {
    words: String,
    from: String,
    to: String,
    difference: String,
    /// The part, and the cause.
    parts: Vec<(String, String)>,
}

/// How text of the files is written.
#[derive(Clone, Copy)]
struct Written {
    /// What stands for itself.
    plain: fn(&str) -> String,
    /// What was typed.
    code: fn(&str) -> String,
}

const TEXT: Written = Written { plain: str::to_owned, code: str::to_owned };
const MARKDOWN: Written = Written { plain: escaped, code };

fn words(told: &Told, id: FigureId) -> String {
    let of_log = FigureId::ALL.iter().find(|log| log.planned() == Some(id)).filter(|_| told.measured);
    of_log.unwrap_or(&id).words()
}

fn what(told: &Told, what: &What, written: Written) -> String {
    let Written { plain, code } = written;
    match what {
        What::Lines(lines) => {
            let said = lines.iter().map(|(kind, change)| {
                let named = LineChange { subject: plain(&change.subject), ..change.clone() };
                let (word, text) = line(&named, code);
                // What was changed says so itself.
                let word = if word == "changed" { String::new() } else { format!("{word} ") };
                let of = kind.word();
                // The lines of the header and the headers themselves say where they stand.
                if *kind == BlockKind::Recipe || change.subject == of {
                    format!("{word}{text}")
                } else {
                    format!("{of}, {word}{text}")
                }
            });
            said.collect::<Vec<_>>().join("; ")
        }
        What::Parent(name) => format!("the recipe {}, whose mash is taken", plain(name)),
        What::Field { kind, name, turn: turned } => {
            format!("{} {}: {}", kind.word(), plain(name), turn(turned, code))
        }
        What::Setting(key) => match told.settings.iter().find(|(known, ..)| known == key) {
            Some((_, from, to)) => format!("{key} {}, now {}", code(from), code(to)),
            None => (*key).to_owned(),
        },
        What::Reading(turned) => {
            let what = &turned.what;
            match (&turned.from, &turned.to) {
                (Some(from), Some(to)) => format!("{what} measured as {}, now {}", code(from), code(to)),
                (None, Some(to)) => format!("{what} measured as {}", code(to)),
                (Some(from), None) => format!("{what} no longer measured as {}", code(from)),
                (None, None) => what.clone(),
            }
        }
        What::Several(list) => {
            list.iter().map(|one| self::what(told, one, written)).collect::<Vec<_>>().join("; ")
        }
        What::All => "all that differs there, together".into(),
        What::Unexplained if told.measured => "what the other readings do not explain".into(),
        What::Unexplained => "what cannot be told apart".into(),
    }
}

fn cause(told: &Told, cause: &Cause, written: Written) -> String {
    format!("{}: {}", cause.group.word(), what(told, &cause.what, written))
}

/// Digits behind the point of a number as shown.
fn digits(text: &str) -> usize {
    text.split_once('.').map_or(0, |(_, behind)| behind.len())
}

fn row(told: &Told, figure: &FigureWhy, written: Written) -> Row {
    let show = figure.id.show();
    // A dose changes its unit with its size; the parts are in one.
    let unit = |value: f64, units| show.shown(value, units).split_once(' ').map(|(_, unit)| unit.to_owned());
    let one_unit = unit(figure.from, told.units) == unit(figure.to, told.units);
    let units = if one_unit { told.units } else { ShownUnits::Metric };
    let (from, to) = (show.number_in(figure.from, units), show.number_in(figure.to, units));
    let places = digits(&from).max(digits(&to));
    let scale =
        (show.value_in(figure.to, units) - show.value_in(figure.from, units)) / (figure.to - figure.from);
    let signed = |value: f64| format!("{value:+.*}", places + 1);
    let nothing = |text: &str| !text.bytes().any(|byte| (b'1'..=b'9').contains(&byte));
    let mut parts = Vec::new();
    let (mut small, mut rest) = (0, 0.0);
    for (at, part) in &figure.parts {
        let text = signed(part * scale);
        match told.why.causes.get(*at) {
            Some(one) if !nothing(&text) => parts.push((text, cause(told, one, written))),
            _ => {
                small += 1;
                rest += part * scale;
            }
        }
    }
    if small > 0 && !nothing(&signed(rest)) {
        parts.push((signed(rest), format!("{small} smaller causes")));
    }
    Row {
        words: words(told, figure.id),
        from: show.shown(figure.from, units),
        to: show.shown(figure.to, units),
        difference: signed((figure.to - figure.from) * scale),
        parts,
    }
}

/// The figures that people are shown where they name none.
const MAIN: &[FigureId] = &[
    FigureId::Og,
    FigureId::Fg,
    FigureId::Abv,
    FigureId::Ibu,
    FigureId::Colour,
    FigureId::MashPh,
    FigureId::Carbonation,
    FigureId::CostPerLitre,
];

/// The figures shown, and how many more differ. Of the few that a log measures all are shown.
fn shown<'p>(answer: &Answer, told: &Told, part: &'p PartWhy) -> (Vec<&'p FigureWhy>, usize) {
    let differs = |one: &&FigureWhy| {
        let show = one.id.show();
        answer.shown == Shown::Named || show.number(one.from) != show.number(one.to)
    };
    let seen = |one: &&FigureWhy| answer.shown != Shown::Main || told.measured || MAIN.contains(&one.id);
    let all: Vec<&FigureWhy> = part.figures.iter().filter(differs).collect();
    let list: Vec<&FigureWhy> = all.iter().copied().filter(seen).collect();
    let more = all.len() - list.len();
    (list, more)
}

fn label(part: &PartWhy) -> String {
    part.label.as_ref().map_or(String::new(), |label| format!(", {label}"))
}

/// For people.
pub(crate) fn human(answer: &Answer, output: &mut Output) {
    for told in &answer.told {
        for part in &told.why.parts {
            output.line(&format!("{}{} ({})", told.name, label(part), told.path));
            let (figures, more) = shown(answer, told, part);
            for figure in figures {
                let row = row(told, figure, TEXT);
                output.line(&format!("\n  {} {}, now {}: {}", row.words, row.from, row.to, row.difference));
                let width = row.parts.iter().map(|(part, _)| part.len()).max().unwrap_or(0);
                for (part, cause) in &row.parts {
                    output.line(&format!("    {part:>width$}  {cause}"));
                }
            }
            for one in &part.whole {
                output.line(&format!(
                    "\n  {} {}, now {}; it cannot be shared out, since somewhere between both it cannot be computed",
                    words(told, one.id),
                    value(one.id.show(), one.from, told.units),
                    value(one.id.show(), one.to, told.units)
                ));
            }
            if more > 0 {
                output.line(&format!("\n  {}", others(more)));
            }
            output.line("");
        }
    }
    output.line(&summary(answer));
}

fn others(more: usize) -> String {
    let figures =
        if more == 1 { "1 more figure differs".to_owned() } else { format!("{more} more figures differ") };
    format!("{figures}; `--figure all` shows them all")
}

fn summary(answer: &Answer) -> String {
    let count = answer.told.len();
    let what = if count == 1 { "1 difference".to_owned() } else { format!("{count} differences") };
    format!("{} to {}: {what} shared out", answer.sides.0, answer.sides.1)
}

/// For the comment on a pull request.
pub(crate) fn markdown(answer: &Answer, output: &mut Output) {
    output.line(&format!("**{}**", escaped(&summary(answer))));
    for told in &answer.told {
        for part in &told.why.parts {
            let title = format!("{}{}", told.name, label(part));
            output.line(&format!("\n### {}\n\n{}", escaped(&title), escaped(&told.path)));
            let (figures, more) = shown(answer, told, part);
            if !figures.is_empty() {
                output.line("\n| figure | before | after | part | because of |\n|---|---:|---:|---:|---|");
            }
            for figure in figures {
                let row = row(told, figure, MARKDOWN);
                output.line(&format!("| {} | {} | {} | {} | |", row.words, row.from, row.to, row.difference));
                for (part, cause) in row.parts {
                    // A bar would end the cell, also within code.
                    output.line(&format!(
                        "| | | | {part} | {} |",
                        cause.replace("\\|", "|").replace('|', "\\|")
                    ));
                }
            }
            for one in &part.whole {
                output.line(&format!("\n{} cannot be shared out.", words(told, one.id)));
            }
            if more > 0 {
                output.line(&format!("\n{}", escaped(&others(more))));
            }
        }
    }
}

/// For programs: parts are not rounded, so that they add up.
pub(crate) fn json(answer: &Answer, output: &mut Output) {
    let told: Vec<Value> = answer.told.iter().map(of_one).collect();
    let whole = json!({
        "version": 1,
        "before": answer.sides.0,
        "after": answer.sides.1,
        "differences": told,
    });
    output.line(&whole.to_string());
}

fn of_one(told: &Told) -> Value {
    let causes: Vec<Value> = told
        .why
        .causes
        .iter()
        .map(|cause| json!({"group": cause.group.word(), "text": what(told, &cause.what, TEXT)}))
        .collect();
    let figures: Vec<Value> = told
        .why
        .parts
        .iter()
        .flat_map(|part| {
            part.figures.iter().map(|figure| {
                let parts: Vec<Value> =
                    figure.parts.iter().map(|(cause, part)| json!({"cause": cause, "part": part})).collect();
                json!({
                    "figure": words(told, figure.id).replace(' ', "-"),
                    "part": part.label,
                    "from": figure.from,
                    "to": figure.to,
                    "unit": figure.id.show().unit(),
                    "parts": parts,
                })
            })
        })
        .collect();
    let whole: Vec<Value> = told
        .why
        .parts
        .iter()
        .flat_map(|part| {
            part.whole.iter().map(|one| {
                json!({"figure": words(told, one.id).replace(' ', "-"), "part": part.label, "from": one.from, "to": one.to})
            })
        })
        .collect();
    json!({
        "name": told.name,
        "path": told.path,
        "causes": causes,
        "figures": figures,
        "not_shared_out": whole,
    })
}
