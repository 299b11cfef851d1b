//! The command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use rules::Severity;

/// Checks, computes and formats beer recipes and brewing logs written in the gyle language.
#[derive(Debug, Parser)]
#[command(name = "gyle", version, about, disable_help_subcommand = true)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Check recipes, logs and the cellar for mistakes
    Check(CheckArgs),
    /// Show every figure of a recipe or log, and how it was computed
    Figures(FiguresArgs),
    /// Format files, or say which are not formatted
    Fmt(FmtArgs),
    /// Explain a rule or a figure: what it means, its formula, its source
    Explain(ExplainArgs),
    /// List the rules
    Rules(RulesArgs),
    /// Serve an editor over standard input and output
    Lsp(LspArgs),
}

/// When findings make the command fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailOn {
    Error,
    Warning,
    Hint,
    Never,
}

impl FailOn {
    /// Whether a finding of this severity makes it fail.
    pub(crate) fn fails(self, severity: Severity) -> bool {
        match self {
            Self::Error => severity >= Severity::Error,
            Self::Warning => severity >= Severity::Warning,
            Self::Hint => true,
            Self::Never => false,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    Human,
    Json,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListFormat {
    Human,
    Json,
    Markdown,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Colour {
    Auto,
    Always,
    Never,
}

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    /// Files and folders; `-` reads standard input
    #[arg(default_value = ".")]
    pub(crate) paths: Vec<PathBuf>,
    /// How findings are shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: Format,
    /// Exit with 1 when there is a finding at this level or above
    #[arg(long, value_enum, default_value = "error", value_name = "LEVEL")]
    pub(crate) fail_on: FailOn,
    /// Apply the fixes that are safe
    #[arg(long)]
    pub(crate) fix: bool,
    /// The path that standard input stands for
    #[arg(long, value_name = "PATH")]
    pub(crate) stdin_path: Option<PathBuf>,
    /// Colour the output
    #[arg(long, value_enum, default_value = "auto", value_name = "WHEN")]
    pub(crate) color: Colour,
}

#[derive(Debug, Args)]
pub(crate) struct FiguresArgs {
    /// Files; `-` reads standard input
    #[arg(required = true)]
    pub(crate) paths: Vec<PathBuf>,
    /// How figures are shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: Format,
    /// Show the whole derivation, step by step
    #[arg(long)]
    pub(crate) why: bool,
    /// The path that standard input stands for
    #[arg(long, value_name = "PATH")]
    pub(crate) stdin_path: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct FmtArgs {
    /// Files and folders; `-` formats standard input to standard output
    #[arg(default_value = ".")]
    pub(crate) paths: Vec<PathBuf>,
    /// Change nothing; exit with 1 when a file is not formatted
    #[arg(long)]
    pub(crate) check: bool,
    /// Change nothing; show what would change
    #[arg(long)]
    pub(crate) diff: bool,
}

#[derive(Debug, Args)]
pub(crate) struct ExplainArgs {
    /// Id of a rule or a figure
    pub(crate) id: String,
}

#[derive(Debug, Args)]
pub(crate) struct RulesArgs {
    /// How the list is shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: ListFormat,
}

#[derive(Debug, Args)]
pub(crate) struct LspArgs {
    /// Accepted since many editors add it; there is no other way
    #[arg(long, hide = true)]
    pub(crate) stdio: bool,
}
