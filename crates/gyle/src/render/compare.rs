//! What differs between recipes: for people, for programs, for the comment on a pull request.

use ::compare::{CellarChange, Change, FigureChange, LineChange, Section, Turn};
use figures::{Show, ShownUnits};
use rules::Finding;
use serde_json::{Value, json};

use crate::compare::{Differences, One, Pair};
use crate::output::Output;
use crate::render::one_line;

/// A value and its unit; a dash where it cannot be computed.
pub(crate) fn value(show: Show, value: Option<f64>, units: ShownUnits) -> String {
    value.map_or("-".into(), |value| show.shown(value, units))
}

/// The difference of two values as they are shown, with its sign.
fn difference(change: &FigureChange, units: ShownUnits) -> String {
    let show = change.show;
    let units = units_of(change, units);
    let (Some(from), Some(to)) = (change.from, change.to) else { return String::new() };
    let (from, to) = (show.number_in(from, units), show.number_in(to, units));
    let digits = |text: &str| text.split_once('.').map_or(0, |(_, behind)| behind.len());
    let places = digits(&from).max(digits(&to));
    match (from.parse::<f64>(), to.parse::<f64>()) {
        (Ok(from), Ok(to)) => format!("{:+.places$}", to - from),
        _ => String::new(),
    }
}

/// The units a change is shown in: what is for a litre is metric.
fn units_of(change: &FigureChange, units: ShownUnits) -> ShownUnits {
    if change.per_litre { ShownUnits::Metric } else { units }
}

/// What a change came through.
fn movers(pair: &Pair, label: Option<&str>, change: &FigureChange) -> Option<String> {
    let movers = pair.movers(label, change);
    let whole = movers.iter().any(|(_, whole)| *whole);
    let names: Vec<String> = movers.into_iter().map(|(name, _)| name).collect();
    let word = if whole { "through" } else { "partly through" };
    (!names.is_empty()).then(|| format!("{word} {}", names.join(", ")))
}

/// A value of a changed figure, with its unit.
fn of_change(change: &FigureChange, which: Option<f64>, units: ShownUnits) -> String {
    let text = value(change.show, which, units_of(change, units));
    if change.per_litre && which.is_some() { format!("{text}/L") } else { text }
}

/// A range as it is shown, open at one end or closed.
fn between(show: Show, low: Option<f64>, high: Option<f64>, units: ShownUnits) -> Option<String> {
    let number = |value| show.number_in(value, units);
    Some(match (low, high) {
        (Some(low), Some(high)) => format!("{} to {}", number(low), number(high)),
        (Some(low), None) => format!("from {}", number(low)),
        (None, Some(high)) => format!("up to {}", number(high)),
        (None, None) => return None,
    })
}

/// What the recipe expects of a figure and what its style shows, and whether it holds now.
fn wanted(pair: &Pair, label: Option<&str>, change: &FigureChange) -> Vec<String> {
    if change.per_litre {
        return Vec::new();
    }
    let (show, wanted) = (change.id.show(), pair.wanted(label, change.id));
    let mut out = Vec::new();
    let (low, high) = wanted.expected;
    if let Some(range) = between(show, low, high, pair.units) {
        let missed = change.to.is_some_and(|value| wanted.misses(value));
        out.push(format!("{} {range}", if missed { "not the expected" } else { "as expected" }));
    }
    if let Some(style) = wanted.style {
        let high = (!style.open).then_some(style.high);
        let within = change.to.is_some_and(|value| style.grade(value, || 0.0, 0.0).is_none());
        if let Some(range) = between(show, Some(style.low), high, pair.units) {
            out.push(format!("{} the style's {range}", if within { "within" } else { "outside" }));
        }
    }
    out
}

/// How a value turned into another, in words.
pub(crate) fn turn(turn: &Turn, code: impl Fn(&str) -> String) -> String {
    // Clauses and flags say their own word; a field without one needs it.
    let says =
        |text: &str| turn.what.is_empty() || turn.what.starts_with('[') || text.starts_with(&*turn.what);
    let told = |text: &str| if says(text) { code(text) } else { format!("{} {}", turn.what, code(text)) };
    match (&turn.from, &turn.to) {
        (Some(from), Some(to)) => format!("{}, now {}", told(from), code(to)),
        (None, Some(to)) => format!("now {}", told(to)),
        (Some(from), None) => format!("no longer {}", told(from)),
        (None, None) => String::new(),
    }
}

pub(crate) fn turns(list: &[Turn], code: impl Fn(&str) -> String + Copy) -> String {
    let list: Vec<String> = list.iter().map(|one| turn(one, code)).collect();
    list.join("; ")
}

/// A line of the comparison as its word and what it says.
pub(crate) fn line(line: &LineChange, code: impl Fn(&str) -> String + Copy) -> (&'static str, String) {
    match &line.change {
        Change::Added(text) => ("added", code(text)),
        Change::Removed(text) => ("removed", code(text)),
        Change::Changed(list) => ("changed", format!("{}: {}", line.subject, turns(list, code))),
        Change::Moved { from, turns: list } => {
            let more = if list.is_empty() { String::new() } else { format!("; {}", turns(list, code)) };
            ("moved", format!("{}: from {}{more}", line.subject, from.word()))
        }
        Change::Reordered => ("changed", "the steps come in another order".into()),
    }
}

fn title(section: &Section) -> String {
    match &section.part {
        Some(part) => format!("{}, {part}", section.kind.word()),
        None => section.kind.word().to_owned(),
    }
}

fn cellar(one: &CellarChange, code: impl Fn(&str) -> String + Copy) -> String {
    format!("{} {}: {}", one.kind.word(), one.name, turns(&one.turns, code))
}

/// The name, and what it was.
fn name(pair: &Pair) -> String {
    let (before, after) = (&pair.before.recipe.name, &pair.after.recipe.name);
    if before == after { after.to_string() } else { format!("{after}, before {before}") }
}

fn path(pair: &Pair) -> String {
    let (before, after) = (&pair.before.path, &pair.after.path);
    if before == after { after.clone() } else { format!("{after}, before {before}") }
}

fn finding(one: &Finding) -> String {
    format!("{}: {} [{}]", one.severity.word(), one_line(&one.message), one.rule)
}

fn recipes(count: usize) -> String {
    if count == 1 { "1 recipe".into() } else { format!("{count} recipes") }
}

/// The last line.
fn summary(found: &Differences) -> String {
    let mut parts =
        vec![format!("{} changed", recipes(found.pairs.len())), format!("{} the same", found.same)];
    for (list, word) in [(&found.added, "new"), (&found.removed, "gone")] {
        if !list.is_empty() {
            parts.push(format!("{} {word}", list.len()));
        }
    }
    let house = found.brewhouse.as_ref().map_or(String::new(), |house| {
        format!("; both on the brewhouse {}, amounts for a litre of beer", house.name)
    });
    format!("{} to {}: {}{house}", found.sides.0, found.sides.1, parts.join(", "))
}

/// For people.
pub(crate) fn human(found: &Differences, output: &mut Output) {
    let plain = |text: &str| text.to_owned();
    for pair in &found.pairs {
        output.line(&format!("{} ({})", name(pair), path(pair)));
        for part in &pair.comparison.figures {
            let label = part.label.as_ref().map_or(String::new(), |label| format!(", {label}"));
            output.line(&format!("\n  figures{label}"));
            for one in &part.figures {
                let mut more = wanted(pair, part.label.as_deref(), one);
                more.extend(movers(pair, part.label.as_deref(), one));
                output.line(
                    format!(
                        "    {:<24} {:>18}  {:>18}  {:<7} {}",
                        one.id.words(),
                        of_change(one, one.from, pair.units),
                        of_change(one, one.to, pair.units),
                        difference(one, pair.units),
                        more.join("; ")
                    )
                    .trim_end(),
                );
            }
        }
        for section in &pair.comparison.sections {
            output.line(&format!("\n  {}", title(section)));
            for change in &section.lines {
                let (word, text) = line(change, plain);
                output.line(&format!("    {word:<8} {text}"));
            }
        }
        if !pair.comparison.cellar.is_empty() {
            output.line("\n  cellar");
            for one in &pair.comparison.cellar {
                output.line(&format!("    changed  {}", cellar(one, plain)));
            }
        }
        if !pair.settings.is_empty() {
            output.line("\n  settings");
            for (what, from, to) in &pair.settings {
                output.line(&format!("    changed  {what}: {from}, now {to}"));
            }
        }
        if !pair.found.is_empty() || !pair.gone.is_empty() {
            output.line("\n  findings");
            for (list, word) in [(&pair.found, "new"), (&pair.gone, "gone")] {
                for one in list {
                    output.line(&format!("    {word:<8} {}", finding(one)));
                }
            }
        }
        output.line("");
    }
    for (list, word) in [(&found.added, "new"), (&found.removed, "gone")] {
        for one in list {
            output.line(&format!("{word}: {} ({})", one.recipe.name, one.path));
        }
    }
    output.line(&summary(found));
}

/// Text that means nothing to Markdown, HTML or the service that shows it.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            // Names of people and numbers of issues would become links.
            '@' => out.push_str("&#64;"),
            '#' => out.push_str("&#35;"),
            '\\' | '*' | '_' | '[' | ']' | '|' | '~' | '`' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}

/// Text as code: between more backticks than stand in it.
pub(crate) fn code(text: &str) -> String {
    let mut longest = 0;
    let mut run = 0;
    for c in text.chars() {
        run = if c == '`' { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    let fence = "`".repeat(longest + 1);
    let gap = if longest > 0 { " " } else { "" };
    format!("{fence}{gap}{text}{gap}{fence}")
}

/// The figures of a part as a table; a last column says what is wanted and where a change came from, where
/// there is something to say.
fn table(pair: &Pair, label: Option<&str>, figures: &[&FigureChange]) -> String {
    let more: Vec<String> = figures
        .iter()
        .map(|one| {
            let mut more = wanted(pair, label, one);
            more.extend(movers(pair, label, one).map(|text| escaped(&text)));
            more.join("; ")
        })
        .collect();
    let title = label.map_or("figure".into(), escaped);
    let last = more.iter().any(|more| !more.is_empty());
    let (head, line) = if last { (" |", "---|") } else { ("", "") };
    let mut out = format!("\n| {title} | before | after | change |{head}\n|---|---:|---:|---:|{line}");
    for (one, more) in figures.iter().zip(&more) {
        out.push_str(&format!(
            "\n| {} | {} | {} | {} |",
            one.id.words(),
            of_change(one, one.from, pair.units),
            of_change(one, one.to, pair.units),
            difference(one, pair.units)
        ));
        if last {
            out.push_str(&format!(" {more} |"));
        }
    }
    out
}

/// For the comment on a pull request.
pub(crate) fn markdown(found: &Differences, output: &mut Output) {
    output.line(&format!("**{}**", escaped(&summary(found))));
    for pair in &found.pairs {
        output.line(&format!("\n### {}\n\n{}", escaped(&name(pair)), escaped(&path(pair))));
        for part in &pair.comparison.figures {
            let label = part.label.as_deref();
            // What the drinker notices stands there; the rest is a click away.
            let of_beer = |one: &&FigureChange| crate::figures::GROUPS[0].1.contains(&one.id);
            let (beer, rest): (Vec<_>, Vec<_>) = part.figures.iter().partition(of_beer);
            if !beer.is_empty() {
                output.line(&table(pair, label, &beer));
            }
            if !rest.is_empty() {
                let count =
                    if rest.len() == 1 { "1 figure".into() } else { format!("{} figures", rest.len()) };
                output.line(&format!(
                    "\n<details><summary>{count} of how it is brewed</summary>\n{}\n\n</details>",
                    table(pair, label, &rest)
                ));
            }
        }
        let mut list = Vec::new();
        for section in &pair.comparison.sections {
            for change in &section.lines {
                // The subject stands outside the code.
                let escape = LineChange { subject: escaped(&change.subject), ..change.clone() };
                let (word, text) = line(&escape, code);
                list.push(format!("- {}, {word}: {text}", escaped(&title(section))));
            }
        }
        for one in &pair.comparison.cellar {
            let escape = CellarChange { name: escaped(&one.name).into(), ..one.clone() };
            list.push(format!("- cellar, changed: {}", cellar(&escape, code)));
        }
        for (what, from, to) in &pair.settings {
            list.push(format!("- settings, changed: {what}: {}, now {}", code(from), code(to)));
        }
        for (findings, word) in [(&pair.found, "new"), (&pair.gone, "gone")] {
            for one in findings {
                list.push(format!("- finding, {word}: {}", escaped(&finding(one))));
            }
        }
        if !list.is_empty() {
            output.line(&format!("\n{}", list.join("\n")));
        }
    }
    for (list, word) in [(&found.added, "New"), (&found.removed, "Gone")] {
        for one in list {
            output.line(&format!("\n{word}: {} ({})", escaped(&one.recipe.name), escaped(&one.path)));
        }
    }
}

/// For programs.
pub(crate) fn json(found: &Differences, output: &mut Output) {
    let listed = |list: &[One]| -> Vec<Value> {
        list.iter().map(|one| json!({"name": one.recipe.name, "path": one.path})).collect()
    };
    let whole = json!({
        "version": 1,
        "before": found.sides.0,
        "after": found.sides.1,
        "brewhouse": found.brewhouse.as_ref().map(|house| &house.name),
        "recipes": found.pairs.iter().map(pair).collect::<Vec<_>>(),
        "same": found.same,
        "added": listed(&found.added),
        "removed": listed(&found.removed),
    });
    output.line(&whole.to_string());
}

fn pair(pair: &Pair) -> Value {
    let values = |list: &[Turn]| -> Vec<Value> {
        list.iter().map(|one| json!({"what": one.what, "from": one.from, "to": one.to})).collect()
    };
    let figures: Vec<Value> = pair
        .comparison
        .figures
        .iter()
        .flat_map(|part| {
            part.figures.iter().map(|one| {
                let show = one.show;
                let number = |value: Option<f64>| value.map(|value| crate::render::json::number(value, show));
                let label = part.label.as_deref();
                let (wanted, unit) = (pair.wanted(label, one.id), show.unit());
                let (low, high) = wanted.expected;
                let expected = (low.is_some() || high.is_some()).then(|| json!([number(low), number(high)]));
                json!({
                    "figure": one.id.id(),
                    "part": part.label,
                    "from": number(one.from),
                    "to": number(one.to),
                    "unit": if one.per_litre { format!("{unit}/L") } else { unit.to_owned() },
                    "expected": expected.filter(|_| !one.per_litre),
                    "style": wanted.style.map(|style| json!([number(Some(style.low)), number(Some(style.high))])),
                    "through": pair
                        .movers(label, one)
                        .into_iter()
                        .map(|(name, whole)| json!({"definition": name, "whole": whole}))
                        .collect::<Vec<_>>(),
                })
            })
        })
        .collect();
    let lines: Vec<Value> = pair
        .comparison
        .sections
        .iter()
        .flat_map(|section| {
            section.lines.iter().map(|line| {
                let (change, text, from, list): (_, _, _, &[Turn]) = match &line.change {
                    Change::Added(text) => ("added", Some(text), None, &[]),
                    Change::Removed(text) => ("removed", Some(text), None, &[]),
                    Change::Changed(list) => ("changed", None, None, list),
                    Change::Moved { from, turns } => ("moved", None, Some(from.word()), turns),
                    Change::Reordered => ("reordered", None, None, &[]),
                };
                json!({
                    "block": section.kind.word(),
                    "part": section.part,
                    "change": change,
                    "subject": line.subject,
                    "text": text,
                    "from_block": from,
                    "values": values(list),
                    "line_before": line.before.map(|place| pair.line_before(place)),
                    "line_after": line.after.map(|place| pair.line_after(place)),
                })
            })
        })
        .collect();
    let cellar: Vec<Value> = pair
        .comparison
        .cellar
        .iter()
        .map(|one| json!({"kind": one.kind.word(), "name": one.name, "values": values(&one.turns)}))
        .collect();
    let settings: Vec<Value> =
        pair.settings.iter().map(|(what, from, to)| json!({"what": what, "from": from, "to": to})).collect();
    let findings = |list: &[Finding]| -> Vec<Value> {
        list.iter()
            .map(|one| json!({"rule": one.rule, "severity": one.severity.word(), "message": one.message}))
            .collect()
    };
    json!({
        "name": pair.after.recipe.name,
        "name_before": pair.before.recipe.name,
        "path": pair.after.path,
        "path_before": pair.before.path,
        "figures": figures,
        "lines": lines,
        "cellar": cellar,
        "settings": settings,
        "findings": {"new": findings(&pair.found), "gone": findings(&pair.gone)},
    })
}
