//! `gyle completions` and `gyle man`: what the argument parser knows, for shells and for `man`.

use std::fs;

use clap::CommandFactory;

use crate::args::{Cli, CompletionsArgs, ManArgs};
use crate::output::{Output, complain};

pub(crate) fn completions(args: &CompletionsArgs, output: &mut Output) -> u8 {
    let mut text = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "gyle", &mut text);
    output.text(&String::from_utf8_lossy(&text));
    0
}

pub(crate) fn man(args: &ManArgs, output: &mut Output) -> u8 {
    let made = fs::create_dir_all(&args.folder)
        .and_then(|()| clap_mangen::generate_to(Cli::command(), &args.folder));
    match made {
        Ok(()) => {
            output.line(&format!("made the manual pages in {}", args.folder.display()));
            0
        }
        Err(error) => {
            complain(&format!("{} cannot be written: {error}", args.folder.display()));
            2
        }
    }
}
