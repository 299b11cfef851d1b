//! `gyle index`: the recipes of a house on one page.

use std::fs;
use std::path::Path;

use ::figures::{Calc, FigureId, Show};
use serde_json::{Value, json};
use syntax::vocabulary::Keyword;
use workspace::Workspace;

use crate::args::{IndexArgs, ListFormat};
use crate::check::{absolute, load, sound_configs};
use crate::output::{Output, complain};
use crate::render::json::number;

/// The figures of a row, as a brewer names a beer.
const COLUMNS: &[(FigureId, &str, Show)] = &[
    (FigureId::Og, "OG", Show::Gravity),
    (FigureId::Fg, "FG", Show::Gravity),
    (FigureId::Abv, "ABV", Show::Percent),
    (FigureId::Ibu, "IBU", Show::Ibu),
    (FigureId::Colour, "EBC", Show::Colour),
];

struct Row {
    name: String,
    style: Option<(String, Option<String>)>,
    figures: Vec<Option<f64>>,
    path: String,
    /// Logs of it: id and date.
    brewed: Vec<(String, Option<String>)>,
    /// The best score of its tastings, in parts of one, as written.
    score: Option<(f64, String)>,
}

pub(crate) fn run(args: &IndexArgs, output: &mut Output) -> u8 {
    let (workspace, loaded, mut whole) = load(&args.paths, None);
    let here = absolute(Path::new("."));
    whole &= sound_configs(&workspace, &loaded.files, &here);
    // Links lead from where the page lies.
    let below = match &args.to {
        Some(to) => absolute(to).parent().map_or_else(|| here.clone(), Path::to_path_buf),
        None => here,
    };
    let rows = rows(&workspace, &loaded.files, &below);
    let text = match args.format {
        ListFormat::Human => human(&rows),
        ListFormat::Markdown => markdown(&rows),
        ListFormat::Json => format!("{}\n", to_json(&rows)),
    };
    let Some(to) = &args.to else {
        output.text(&text);
        return if whole { 0 } else { 2 };
    };
    if args.check {
        let current = fs::read_to_string(to).is_ok_and(|there| there == text);
        if !current {
            complain(&format!("{} is not current; the same command without --check writes it", to.display()));
        }
        return if !whole { 2 } else { u8::from(!current) };
    }
    match fs::write(to, text) {
        Ok(()) if whole => 0,
        Ok(()) => 2,
        Err(error) => {
            complain(&format!("{} cannot be written: {error}", to.display()));
            2
        }
    }
}

fn rows(workspace: &Workspace, files: &[recipe::FileId], below: &Path) -> Vec<Row> {
    let analysed: Vec<_> =
        files.iter().filter_map(|id| Some((workspace.file(*id)?, workspace.analyse(*id)?))).collect();
    let mut rows = Vec::new();
    for (state, analysis) in &analysed {
        for one in &analysis.recipes {
            let recipe = &one.recipe;
            let calc = Calc::new(recipe, &state.config.figures);
            let style = recipe
                .style
                .as_ref()
                .map(|style| (style.name.to_string(), style.words(Keyword::Name).map(str::to_owned)));
            let mut row = Row {
                name: recipe.name.to_string(),
                style,
                figures: COLUMNS.iter().map(|(id, ..)| calc.value(*id).ok()).collect(),
                path: Workspace::shown_path(&state.path, below),
                brewed: Vec::new(),
                score: None,
            };
            for (_, other) in &analysed {
                for log in other.logs.iter().filter(|log| is_of(log, recipe)) {
                    if log.log.planned.is_some() {
                        continue;
                    }
                    row.brewed.push((log.log.id.to_string(), log.log.date.map(|date| date.to_string())));
                    for (points, of) in log.log.tastings.iter().filter_map(|tasting| tasting.score) {
                        let share = points / of;
                        if share.is_finite() && row.score.as_ref().is_none_or(|(best, _)| share > *best) {
                            row.score = Some((share, format!("{points}/{of}")));
                        }
                    }
                }
            }
            row.brewed.sort_by(|a, b| a.1.cmp(&b.1));
            rows.push(row);
        }
    }
    rows.sort_by_cached_key(|row| catalogue::fold(&row.name));
    rows
}

/// Whether a log is of this very recipe, not of one of the same name elsewhere.
fn is_of(log: &workspace::AnalysedLog, recipe: &recipe::Recipe) -> bool {
    let same = |one: &recipe::Recipe| {
        one.name == recipe.name
            && one
                .blocks
                .first()
                .zip(recipe.blocks.first())
                .is_some_and(|(a, b)| std::sync::Arc::ptr_eq(a, b))
    };
    log.log.recipe.as_deref().is_some_and(same)
}

fn cells(row: &Row) -> Vec<String> {
    let style = row.style.as_ref().map_or_else(String::new, |(code, name)| match name {
        Some(name) => format!("{code} {name}"),
        None => code.clone(),
    });
    let figure = |at: usize| row.figures[at].map_or_else(String::new, |value| COLUMNS[at].2.number(value));
    let mut cells = vec![row.name.clone(), style];
    cells.extend((0..COLUMNS.len()).map(figure));
    let last = row.brewed.last().and_then(|(_, date)| date.clone());
    cells.push(match (row.brewed.len(), last) {
        (0, _) => String::new(),
        (count, Some(date)) => format!("{count}, last {date}"),
        (count, None) => count.to_string(),
    });
    cells.push(row.score.as_ref().map_or_else(String::new, |(_, score)| score.clone()));
    cells
}

fn headings() -> Vec<&'static str> {
    let mut all = vec!["recipe", "style"];
    all.extend(COLUMNS.iter().map(|(_, name, _)| *name));
    all.extend(["brewed", "best score"]);
    all
}

fn human(rows: &[Row]) -> String {
    let mut lines: Vec<Vec<String>> = vec![headings().into_iter().map(str::to_owned).collect()];
    lines.extend(rows.iter().map(cells));
    let widths: Vec<usize> = (0..lines[0].len())
        .map(|at| lines.iter().map(|line| line[at].chars().count()).max().unwrap_or(0))
        .collect();
    let numbers = 2..2 + COLUMNS.len();
    let mut text = String::new();
    for line in lines {
        let cells: Vec<String> = line
            .iter()
            .enumerate()
            .map(|(at, cell)| {
                let width = widths[at];
                if numbers.contains(&at) { format!("{cell:>width$}") } else { format!("{cell:<width$}") }
            })
            .collect();
        text.push_str(cells.join("  ").trim_end());
        text.push('\n');
    }
    text
}

fn markdown(rows: &[Row]) -> String {
    let mut text = format!("| {} |\n", headings().join(" | "));
    let numbers = 2..2 + COLUMNS.len();
    let rule: Vec<&str> =
        (0..headings().len()).map(|at| if numbers.contains(&at) { "---:" } else { "---" }).collect();
    text.push_str(&format!("| {} |\n", rule.join(" | ")));
    for row in rows {
        let mut cells: Vec<String> = cells(row).iter().map(|cell| cell.replace('|', "\\|")).collect();
        cells[0] = format!("[{}](<{}>)", cells[0].replace(['[', ']'], ""), row.path);
        text.push_str(&format!("| {} |\n", cells.join(" | ")));
    }
    text
}

fn to_json(rows: &[Row]) -> Value {
    let recipes: Vec<Value> = rows
        .iter()
        .map(|row| {
            let figures: serde_json::Map<String, Value> = COLUMNS
                .iter()
                .zip(&row.figures)
                .filter_map(|((id, _, show), value)| Some((id.id().to_owned(), number((*value)?, *show))))
                .collect();
            let brewed: Vec<Value> =
                row.brewed.iter().map(|(id, date)| json!({"id": id, "date": date})).collect();
            json!({
                "name": row.name,
                "style": row.style.as_ref().map(|(code, _)| code),
                "path": row.path,
                "figures": figures,
                "logs": brewed,
                "best-score": row.score.as_ref().map(|(_, score)| score),
            })
        })
        .collect();
    json!({"version": 1, "recipes": recipes})
}
