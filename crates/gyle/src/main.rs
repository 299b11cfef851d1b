//! The `gyle` command: arguments in, text and an exit code out. It computes nothing itself.

mod args;
mod baseline;
mod bundle;
mod check;
mod compare;
mod explain;
mod figures;
mod fmt;
mod index;
mod library;
mod lsp;
mod manual;
mod needs;
mod new;
mod output;
mod render;
mod resize;
mod revision;
mod settings;
mod since;
mod stamp;
mod watch;
mod why;

use std::process::ExitCode;

use clap::Parser;

use crate::args::{Cli, Command};
use crate::output::{Output, complain};

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let mut output = Output::new();
    let code = match &cli.command {
        Command::Check(args) => check::run(args, &mut output),
        Command::Compare(args) => compare::run(args, &mut output),
        Command::Figures(args) => figures::run(args, &mut output),
        Command::Fmt(args) => fmt::run(args, &mut output),
        Command::Explain(args) => explain::run(args, &mut output),
        Command::Index(args) => index::run(args, &mut output),
        Command::Library(args) => library::run(&args.command, &mut output),
        Command::Bundle(args) => bundle::run(args, &mut output),
        Command::Lsp(args) => lsp::run(args),
        Command::New(args) => new::run(args, &mut output),
        Command::Needs(args) => needs::run(args, &mut output),
        Command::Completions(args) => manual::completions(args, &mut output),
        Command::Man(args) => manual::man(args, &mut output),
        Command::Resize(args) => resize::run(args, &mut output),
        Command::Stamp(args) => stamp::run(args, &mut output),
        Command::Why(args) => why::run(args, &mut output),
        Command::Rules(args) => explain::list(args, &mut output),
    };
    if let Err(error) = output.finish() {
        complain(&format!("standard output cannot be written: {error}"));
        return ExitCode::from(2);
    }
    ExitCode::from(code)
}
