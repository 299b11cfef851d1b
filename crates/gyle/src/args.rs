//! The command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use rules::{Edition, Severity};

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
    /// Compare recipes: two files, two revisions, or a revision with the working tree
    Compare(CompareArgs),
    /// Share out each figure's difference among the things that made it
    Why(WhyArgs),
    /// Format files, or say which are not formatted
    Fmt(FmtArgs),
    /// Bring a recipe to another batch: gravity, bitterness, colour and water stay
    Resize(ResizeArgs),
    /// Write computed values at the ends of lines, or bring those there are up to date
    Stamp(StampArgs),
    /// Explain a rule or a figure: what it means, its formula, its source
    Explain(ExplainArgs),
    /// List the rules
    Rules(RulesArgs),
    /// Make a folder to begin with: settings, a cellar, a recipe, a log, a workflow
    New(NewArgs),
    /// List what a brew day needs: every ingredient of these recipes, added up
    Needs(NeedsArgs),
    /// Look at the definitions that recipes may name
    Library(LibraryArgs),
    /// List the recipes with their main figures
    Index(IndexArgs),
    /// Put a recipe and every definition it names into one file, on standard output
    Bundle(BundleArgs),
    /// Serve an editor over standard input and output
    Lsp(LspArgs),
    /// Write the completions of a shell
    Completions(CompletionsArgs),
    /// Write the manual pages into a folder
    Man(ManArgs),
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

/// The forms of a report of `gyle check`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ReportFormat {
    /// With the lines they are about, for people
    Human,
    /// One finding a line
    Line,
    /// JSON, as the interface promises it
    Json,
    /// JSON, one finding a line
    JsonLines,
    /// SARIF 2.1.0, for code scanning services
    Sarif,
    /// JUnit XML, for test reports
    Junit,
    /// Workflow commands of GitHub Actions
    Github,
    /// Code quality report of GitLab
    Gitlab,
    /// Logging commands of Azure Pipelines
    Azure,
    /// Diagnostics with suggested changes, for programs that comment on reviews (rdjson)
    Review,
}

/// A report and where it goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Report {
    pub(crate) format: ReportFormat,
    /// Standard output where none is named.
    pub(crate) file: Option<PathBuf>,
}

impl std::str::FromStr for Report {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (format, file) = match text.split_once('=') {
            Some((_, "")) => return Err(format!("`{text}` names no file; write `FORMAT=FILE` or `FORMAT`")),
            Some((format, file)) => (format, Some(PathBuf::from(file))),
            None => (text, None),
        };
        let format = ReportFormat::from_str(format, false).map_err(|_| {
            let known = ReportFormat::value_variants().iter().filter_map(ValueEnum::to_possible_value);
            let known: Vec<String> = known.map(|value| value.get_name().to_owned()).collect();
            format!("there is no format `{format}`; there are {}", known.join(", "))
        })?;
        Ok(Self { format, file })
    }
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

/// An edition of the rules by its year, or `next`.
fn edition(text: &str) -> Result<Edition, String> {
    if text == "next" {
        return Ok(Edition::NEXT);
    }
    Edition::from_word(text).ok_or_else(|| {
        let known = Edition::ALL.map(Edition::word).join(", ");
        format!("there is no edition `{text}` of the rules; there are {known}, and `next`")
    })
}

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    /// Files and folders; `-` reads standard input
    #[arg(default_value = ".")]
    pub(crate) paths: Vec<PathBuf>,
    /// A report, on standard output or in a file; may be given several times
    #[arg(long, value_name = "FORMAT[=FILE]")]
    pub(crate) output: Vec<Report>,
    /// Short for one `--output` on standard output
    #[arg(long, value_enum)]
    pub(crate) format: Option<ReportFormat>,
    /// Check only what these rules or groups of rules look for
    #[arg(long, value_name = "RULE|GROUP", value_delimiter = ',')]
    pub(crate) only: Vec<String>,
    /// Leave out what these rules or groups of rules look for
    #[arg(long, value_name = "RULE|GROUP", value_delimiter = ',')]
    pub(crate) skip: Vec<String>,
    /// Show how often each rule spoke, in place of the findings (human, json)
    #[arg(long)]
    pub(crate) statistics: bool,
    /// Check only what changed since the work at hand left this revision, and what depends on it
    #[arg(long, value_name = "REVISION")]
    pub(crate) since: Option<String>,
    /// Leave out the findings that this file lists
    #[arg(long, value_name = "FILE")]
    pub(crate) baseline: Option<PathBuf>,
    /// Write the findings there are to this file, for `--baseline`
    #[arg(long, value_name = "FILE", conflicts_with = "baseline")]
    pub(crate) write_baseline: Option<PathBuf>,
    /// List the files that would be checked, and check nothing
    #[arg(long)]
    pub(crate) show_files: bool,
    /// Show the settings in force for a file, and check nothing
    #[arg(long, value_name = "FILE")]
    pub(crate) show_settings: Option<PathBuf>,
    /// Check again after each change of a file, until Ctrl+C
    #[arg(long, conflicts_with_all = ["write_baseline", "show_files", "show_settings", "stdin_path"])]
    pub(crate) watch: bool,
    /// Show what this edition of the rules would find beside what is found now; it never fails for that
    #[arg(long, value_name = "EDITION", value_parser = edition, conflicts_with_all = ["fix", "write_baseline"])]
    pub(crate) edition: Option<Edition>,
    /// Exit with 1 when there is a finding at this level or above
    #[arg(long, value_enum, default_value = "error", value_name = "LEVEL")]
    pub(crate) fail_on: FailOn,
    /// Leave out files larger than this, in KiB
    #[arg(long, value_name = "KIB", default_value_t = workspace::LARGEST / 1024, value_parser = clap::value_parser!(u64).range(1..1 << 20))]
    pub(crate) max_size: u64,
    /// Take no more files than this from a folder
    #[arg(long, value_name = "FILES", default_value_t = workspace::MOST)]
    pub(crate) max_files: usize,
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

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum CompareFormat {
    /// For people
    Human,
    /// For programs
    Json,
    /// For the comment on a pull request
    Markdown,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArgs {
    /// A file, a folder, a git revision, or REVISION:PATH; the last commit where nothing is named
    pub(crate) before: Option<String>,
    /// The same; what stands in the working tree where nothing is named
    pub(crate) after: Option<String>,
    /// Brew both on this brewhouse, and compare amounts for a litre of beer
    #[arg(long, value_name = "NAME")]
    pub(crate) brewhouse: Option<String>,
    /// How the differences are shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: CompareFormat,
}

#[derive(Debug, Args)]
pub(crate) struct WhyArgs {
    /// A recipe or a log: a file, a folder, a git revision, or REVISION:PATH; the last commit where nothing is
    /// named. A log alone is compared with its plan
    pub(crate) before: Option<String>,
    /// The same; what stands in the working tree where nothing is named
    pub(crate) after: Option<String>,
    /// Only these figures; `all` for every one that differs, the main ones where nothing is named
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub(crate) figure: Vec<String>,
    /// How the parts are shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: CompareFormat,
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
pub(crate) struct ResizeArgs {
    /// A file of recipes
    pub(crate) path: PathBuf,
    /// The batch aimed at, such as `50 L`
    #[arg(long, value_name = "VOLUME")]
    pub(crate) batch: String,
    /// Which recipe, where the file has several
    #[arg(long, value_name = "NAME")]
    pub(crate) recipe: Option<String>,
    /// Write the file anew; without it the resized text goes to standard output
    #[arg(long)]
    pub(crate) write: bool,
    /// Show what would change
    #[arg(long, conflicts_with = "write")]
    pub(crate) diff: bool,
}

#[derive(Debug, Args)]
pub(crate) struct StampArgs {
    /// Files and folders; `-` stamps standard input to standard output
    #[arg(default_value = ".")]
    pub(crate) paths: Vec<PathBuf>,
    /// Write these figures into the header of each recipe; `recipe` writes the recipe's fingerprint into the
    /// header of each log that has none
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub(crate) figure: Vec<String>,
    /// Write these figures on the lines that have them: `ibu` on each hop, `share` on each malt
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub(crate) line: Vec<String>,
    /// Take stamps away: those named by --figure and --line, or all
    #[arg(long)]
    pub(crate) remove: bool,
    /// Change nothing; exit with 1 when a stamp would change
    #[arg(long)]
    pub(crate) check: bool,
    /// The path that standard input stands for
    #[arg(long, value_name = "PATH")]
    pub(crate) stdin_path: Option<PathBuf>,
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

/// Services a workflow can be made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Ci {
    /// GitHub Actions
    Github,
    /// GitLab CI
    Gitlab,
    /// No workflow
    None,
}

#[derive(Debug, Args)]
pub(crate) struct NewArgs {
    /// The folder to make; files that are there already are never written over
    pub(crate) folder: PathBuf,
    /// The service a workflow is made for
    #[arg(long, value_enum, default_value = "github")]
    pub(crate) ci: Ci,
}

#[derive(Debug, Args)]
pub(crate) struct NeedsArgs {
    /// Files and folders; every recipe in them counts
    #[arg(required = true)]
    pub(crate) paths: Vec<PathBuf>,
    /// Take off what the cellar says is in stock, and list what has to be bought
    #[arg(long)]
    pub(crate) after_stock: bool,
    /// How the list is shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: ListFormat,
}

#[derive(Debug, Args)]
pub(crate) struct LibraryArgs {
    #[command(subcommand)]
    pub(crate) command: LibraryCommand,
}

#[derive(Debug, Subcommand)]
pub(crate) enum LibraryCommand {
    /// List the definitions of the cellar, and the built-in ones
    List {
        /// Files and folders whose definitions are listed
        #[arg(default_value = ".")]
        paths: Vec<PathBuf>,
        /// Only definitions of this kind: malt, sugar, hop, yeast, water, addition, brewhouse, style
        #[arg(long)]
        kind: Option<String>,
        /// The built-in ones too
        #[arg(long)]
        built_in: bool,
    },
    /// Show a definition, with where it stands and what it takes from others
    Show {
        /// Its name, or another name it has
        name: String,
        /// The folder whose cellar is looked in
        #[arg(long, default_value = ".")]
        within: PathBuf,
    },
    /// List the definitions of the cellar that no recipe and no log names
    Unused {
        /// Files and folders
        #[arg(default_value = ".")]
        paths: Vec<PathBuf>,
    },
    /// List the recipes and logs that name a definition
    WhereUsed {
        /// Its name, or another name it has
        name: String,
        /// Files and folders
        #[arg(long, default_value = ".")]
        within: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(crate) struct IndexArgs {
    /// Files and folders
    #[arg(default_value = ".")]
    pub(crate) paths: Vec<PathBuf>,
    /// How the list is shown
    #[arg(long, value_enum, default_value = "human")]
    pub(crate) format: ListFormat,
    /// Write it to this file
    #[arg(long, value_name = "FILE")]
    pub(crate) to: Option<PathBuf>,
    /// Write nothing; exit with 1 when the file is not current
    #[arg(long, requires = "to")]
    pub(crate) check: bool,
}

#[derive(Debug, Args)]
pub(crate) struct BundleArgs {
    /// A file of recipes
    pub(crate) path: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct CompletionsArgs {
    /// The shell
    #[arg(value_enum)]
    pub(crate) shell: clap_complete::Shell,
}

#[derive(Debug, Args)]
pub(crate) struct ManArgs {
    /// The folder, made where it is not there
    pub(crate) folder: PathBuf,
}
