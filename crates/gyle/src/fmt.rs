//! `gyle fmt`.

use std::path::Path;

use similar::TextDiff;

use crate::args::FmtArgs;
use crate::check::{STANDARD_INPUT, absolute, load};
use crate::output::{Output, complain};
use crate::render::text_of;

pub(crate) fn run(args: &FmtArgs, output: &mut Output) -> u8 {
    let from_stdin = args.paths.iter().any(|path| path.as_os_str() == "-");
    let (workspace, loaded, mut whole) = load(&args.paths, None);
    let here = absolute(Path::new("."));
    let mut changed = 0usize;
    for id in &loaded.files {
        let Some(state) = workspace.file(*id) else { continue };
        let (path, text) = text_of(&workspace, *id, &here);
        let formatted = syntax::apply(&text, &edit::format(&state.tree));
        let differs = *formatted != *text;
        changed += usize::from(differs);
        if args.diff {
            if differs {
                let diff = TextDiff::from_lines(&*text, &*formatted);
                output.text(&diff.unified_diff().header(&path, &path).to_string());
            }
        } else if args.check {
            if differs {
                output.line(&format!("{path} is not formatted"));
            }
        } else if from_stdin && path == STANDARD_INPUT {
            output.text(&formatted);
        } else if differs {
            match std::fs::write(&state.path, formatted.as_bytes()) {
                Ok(()) => output.line(&format!("{path} formatted")),
                Err(error) => {
                    complain(&format!("{path} cannot be written: {error}"));
                    whole = false;
                }
            }
        }
    }
    if !whole { 2 } else { u8::from((args.check || args.diff) && changed > 0) }
}
