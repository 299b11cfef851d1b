//! `gyle stamp`.

use std::path::Path;

use ::figures::{FigureId, LineFigure, Scope};
use edit::{Stamping, Stamps, stamp_log, stamp_recipe};

use crate::args::StampArgs;
use crate::check::{STANDARD_INPUT, absolute, load, sound_configs};
use crate::output::{Output, complain};
use crate::render::text_of;

pub(crate) fn run(args: &StampArgs, output: &mut Output) -> u8 {
    let stamping = match stamping(args) {
        Ok(stamping) => stamping,
        Err(text) => {
            complain(&text);
            return 2;
        }
    };
    let from_stdin = args.paths.iter().any(|path| path.as_os_str() == "-");
    let (workspace, loaded, mut whole) = load(&args.paths, args.stdin_path.as_deref());
    let here = absolute(Path::new("."));
    // What came in goes out again, whichever path it stands for.
    let stdin_path = absolute(args.stdin_path.as_deref().unwrap_or(Path::new(STANDARD_INPUT)));
    if !sound_configs(&workspace, &loaded.files, &here) {
        return 2;
    }
    let mut changed = 0usize;
    for id in &loaded.files {
        let (Some(state), Some(analysis)) = (workspace.file(*id), workspace.analyse(*id)) else { continue };
        let (path, text) = text_of(&workspace, *id, &here);
        let mut edits = Vec::new();
        for one in &analysis.recipes {
            edits.extend(stamp_recipe(&one.recipe, &one.starts, &state.config.figures, &stamping));
        }
        for one in &analysis.logs {
            edits.extend(stamp_log(&one.log, &one.starts, &stamping));
        }
        let lines = edits.len();
        let stamped = syntax::apply(&text, &edits);
        let differs = *stamped != *text;
        changed += usize::from(differs);
        if args.check {
            if differs {
                output.line(&format!("{path}: the {} out of date", counted(lines)));
            }
        } else if from_stdin && state.path == stdin_path {
            output.text(&stamped);
        } else if differs {
            match std::fs::write(&state.path, stamped.as_bytes()) {
                Ok(()) => {
                    let done = if args.remove { "cleared" } else { "stamped" };
                    output.line(&format!("{path}: {lines} {} {done}", plural(lines, "line")));
                }
                Err(error) => {
                    complain(&format!("{path} cannot be written: {error}"));
                    whole = false;
                }
            }
        }
    }
    if !whole { 2 } else { u8::from(args.check && changed > 0) }
}

fn plural(count: usize, word: &str) -> String {
    if count == 1 { word.to_owned() } else { format!("{word}s") }
}

fn counted(lines: usize) -> String {
    if lines == 1 { "stamp of 1 line is".to_owned() } else { format!("stamps of {lines} lines are") }
}

/// What is asked for.
///
/// # Errors
/// When a figure is not known: what to say.
fn stamping(args: &StampArgs) -> Result<Stamping, String> {
    let mut stamps = Stamps::default();
    for name in &args.figure {
        if name == rules::stamp::PIN {
            stamps.pin = true;
            continue;
        }
        match FigureId::from_words(name).filter(|id| id.scope() == Scope::Plan) {
            Some(id) => stamps.figures.push(id),
            None => {
                let plan = FigureId::ALL.iter().filter(|id| id.scope() == Scope::Plan).map(|id| id.id());
                let known = plan.chain([rules::stamp::PIN]);
                return Err(unknown("figure of a recipe", name, known, "`gyle figures FILE` shows all"));
            }
        }
    }
    for name in &args.line {
        match LineFigure::from_words(name) {
            Some(figure) => stamps.lines.push(figure),
            None => {
                let known = LineFigure::ALL.iter().map(|figure| figure.id());
                let all = known.clone().collect::<Vec<_>>().join(", ");
                return Err(unknown("figure of a line", name, known, &format!("there are {all}")));
            }
        }
    }
    let named = stamps != Stamps::default();
    Ok(match (args.remove, named) {
        (true, true) => Stamping::Remove(stamps),
        (true, false) => Stamping::RemoveAll,
        (false, true) => Stamping::Write(stamps),
        (false, false) => Stamping::Refresh,
    })
}

fn unknown(what: &str, name: &str, known: impl Iterator<Item = &'static str>, all: &str) -> String {
    match rules::nearest(name, known) {
        Some(near) => format!("there is no {what} `{name}`; did you mean `{near}`?"),
        None => format!("there is no {what} `{name}`; {all}"),
    }
}
