//! What a rule is: its name, its words, its limits and its check.

use std::fmt::Write as _;

use syntax::vocabulary::BlockKind;

use crate::cx::{DefinitionCx, FileCx, LogCx, RecipeCx, RepositoryCx};
use crate::edition::Edition;
use crate::finding::{Group, Severity};
use crate::hit::Hits;
use crate::level::Level;
use crate::limits::Limit;

/// A rule.
pub struct Rule {
    /// Its id: kebab-case with at least one hyphen, reads well after `allow`.
    pub id: &'static str,
    /// The group it is switched with.
    pub group: Group,
    /// The level of its worst finding, or off.
    pub level: Level,
    /// The edition of the rule set it came with.
    pub since: Edition,
    /// Levels that later editions give it, the oldest first.
    pub later: &'static [(Edition, Level)],
    /// What can hurt somebody: never lowered by doubt, never silenced for a whole file.
    pub safety: bool,
    /// Finds the cause of other findings: runs first, and silences what is fed by the same value.
    pub root: Option<Root>,
    /// Blocks it must know whole: a line there that could not be read, or a value found wrong, silences it.
    pub whole: &'static [BlockKind],
    /// Tags of a recipe that turn it off.
    pub exempt: &'static [&'static str],
    /// Rules that have nothing to add once this one has spoken.
    pub absorbs: &'static [&'static str],
    /// Its limits; each may be set by the house.
    pub limits: &'static [&'static Limit],
    /// What it looks at, and how.
    pub check: Check,
    /// What `explain`, the hover on its name and the reference page show.
    pub doc: Doc,
}

/// How a rule finds the causes of other findings.
#[derive(Clone, Copy, Debug)]
pub struct Root {
    /// When it runs.
    pub stage: Stage,
    /// From which severity on a finding counts as a cause.
    pub from: Severity,
    /// Blocks that become doubtful besides the one the finding stands in.
    pub taints: &'static [BlockKind],
}

/// The order in which rules run: causes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Values that are wrong by themselves.
    Values,
    /// Figures that are wrong, whatever value is to blame.
    Figures,
    /// The recipe is not what it says itself that it is to be.
    Purpose,
}

/// What a rule looks at.
pub enum Check {
    /// Found while a line is read, a name looked up or a file opened; here it has its name and its words.
    Written,
    /// A recipe.
    Recipe(fn(&RecipeCx, &mut Hits)),
    /// Each part of a recipe; a recipe without `split` has one.
    Part(fn(&RecipeCx, &mut Hits)),
    /// A log, with its recipe where that is known.
    Log(fn(&LogCx, &mut Hits)),
    /// A recipe and its log alike.
    RecipeAndLog(fn(&RecipeCx, &mut Hits), fn(&LogCx, &mut Hits)),
    /// A definition of the library.
    Definition(fn(&DefinitionCx, &mut Hits)),
    /// A file.
    File(fn(&FileCx, &mut Hits)),
    /// All files of a repository together.
    Repository(fn(&RepositoryCx, &mut Hits)),
}

/// The words of a rule, one field a heading. `example` and `instead` are whole `.gyle` texts that run as
/// tests: the first is found fault with by this rule alone, the second by none.
#[derive(Clone, Copy, Debug)]
pub struct Doc {
    /// What it catches.
    pub catches: &'static str,
    /// Why it matters.
    pub matters: &'static str,
    /// What it finds fault with.
    pub example: &'static str,
    /// What to write instead.
    pub instead: &'static str,
    /// What it does not see, and when it keeps quiet. The table of limits is added.
    pub limits: &'static str,
    /// Where the limits come from.
    pub sources: &'static str,
}

impl Doc {
    /// The headings, in order.
    pub const HEADINGS: [&'static str; 6] =
        ["What it catches", "Why it matters", "Example", "Instead", "Limits", "Sources"];

    /// An example as files: parted by lines `//- path`; a text without such a line is one file.
    #[must_use]
    pub fn files(example: &str) -> Vec<(String, String)> {
        let mut files: Vec<(String, String)> = Vec::new();
        for line in example.split_inclusive('\n') {
            match (line.strip_prefix("//- "), files.last_mut()) {
                (Some(path), _) => files.push((path.trim().to_owned(), String::new())),
                (None, Some((_, text))) => text.push_str(line),
                (None, None) => files.push(("recipe.gyle".to_owned(), line.to_owned())),
            }
        }
        files
    }

    /// The texts under the headings, in order.
    #[must_use]
    pub const fn sections(&self) -> [&'static str; 6] {
        [self.catches, self.matters, self.example, self.instead, self.limits, self.sources]
    }
}

impl Rule {
    /// A rule of the first edition; the other fields by the methods below.
    #[must_use]
    pub const fn new(id: &'static str, group: Group, level: Level, check: Check, doc: Doc) -> Self {
        Self {
            id,
            group,
            level,
            since: Edition::Y2026,
            later: &[],
            safety: matches!(group, Group::Safety),
            root: None,
            whole: &[],
            exempt: &[],
            absorbs: &[],
            limits: &[],
            check,
            doc,
        }
    }
    /// The edition it comes with: before, it is off.
    #[must_use]
    pub const fn since(mut self, edition: Edition) -> Self {
        self.since = edition;
        self
    }
    /// Levels that later editions give it, the oldest first.
    #[must_use]
    pub const fn later(mut self, levels: &'static [(Edition, Level)]) -> Self {
        self.later = levels;
        self
    }

    /// Its level in an edition.
    #[must_use]
    pub fn level_in(&self, edition: Edition) -> Level {
        if edition < self.since {
            return Level::Off;
        }
        let changed = self.later.iter().rev().find(|(from, _)| *from <= edition);
        changed.map_or(self.level, |(_, level)| *level)
    }

    /// Its level with what later editions make of it, in words.
    fn levels(&self) -> String {
        let mut out = self.level.word().to_owned();
        for (edition, level) in self.later {
            let _ = write!(out, " ({} from {})", level.word(), edition.word());
        }
        out
    }

    /// It guards against what can hurt somebody.
    #[must_use]
    pub const fn safety(mut self) -> Self {
        self.safety = true;
        self
    }
    /// It finds values that are wrong by themselves, and so the cause of other findings.
    #[must_use]
    pub const fn root(mut self) -> Self {
        self.root = Some(Root { stage: Stage::Values, from: Severity::Warning, taints: &[] });
        self
    }
    /// It finds figures that are wrong though no value stands out, and so the cause of other findings.
    #[must_use]
    pub const fn outcome(mut self) -> Self {
        self.root = Some(Root { stage: Stage::Figures, from: Severity::Warning, taints: &[] });
        self
    }
    /// It finds that a recipe is not what it says itself that it is to be, and so what follows from that.
    #[must_use]
    pub const fn purpose(mut self) -> Self {
        self.root = Some(Root { stage: Stage::Purpose, from: Severity::Warning, taints: &[] });
        self
    }
    /// As a cause it counts from this severity on, and makes these blocks doubtful besides the one it stands in.
    #[must_use]
    pub const fn taints(mut self, from: Severity, blocks: &'static [BlockKind]) -> Self {
        let stage = match self.root {
            Some(root) => root.stage,
            None => Stage::Values,
        };
        self.root = Some(Root { stage, from, taints: blocks });
        self
    }
    /// It must know these blocks whole.
    #[must_use]
    pub const fn whole(mut self, blocks: &'static [BlockKind]) -> Self {
        self.whole = blocks;
        self
    }
    /// These tags turn it off.
    #[must_use]
    pub const fn exempt(mut self, tags: &'static [&'static str]) -> Self {
        self.exempt = tags;
        self
    }
    /// These rules have nothing to add once it has spoken.
    #[must_use]
    pub const fn absorbs(mut self, rules: &'static [&'static str]) -> Self {
        self.absorbs = rules;
        self
    }
    /// Its limits.
    #[must_use]
    pub const fn limits(mut self, limits: &'static [&'static Limit]) -> Self {
        self.limits = limits;
        self
    }

    /// The page of the rule in Markdown, its headings one level below `level`.
    #[must_use]
    pub fn markdown(&self, level: usize) -> String {
        let mut out = String::new();
        let (title, below) = ("#".repeat(level), "#".repeat(level + 1));
        let safety = if self.safety { " · safety" } else { "" };
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "{title} {}\n\n`{}` · {} · since {}{safety}",
            self.id,
            self.group.word(),
            self.levels(),
            self.since.word()
        );
        if !self.exempt.is_empty() {
            let tags: Vec<String> = self.exempt.iter().map(|tag| format!("`{tag}`")).collect();
            let _ = writeln!(out, "\nSilent with the tag {}.", tags.join(", "));
        }
        for (heading, text) in Doc::HEADINGS.iter().zip(self.doc.sections()) {
            let _ = writeln!(out, "\n{below} {heading}\n");
            match *heading {
                "Example" | "Instead" => {
                    let _ = writeln!(out, "```gyle\n{}\n```", text.trim_matches('\n'));
                }
                "Limits" => {
                    if !text.is_empty() {
                        let _ = writeln!(out, "{}", text.trim());
                    }
                    if !self.limits.is_empty() {
                        if !text.is_empty() {
                            out.push('\n');
                        }
                        out.push_str("| limit | default | what | from |\n|---|---|---|---|\n");
                        for limit in self.limits {
                            let _ = writeln!(
                                out,
                                "| `{}` | {} | {} | {} |",
                                limit.name,
                                limit.shown(),
                                limit.what,
                                limit.source
                            );
                        }
                    }
                }
                _ => {
                    let _ = writeln!(out, "{}", text.trim());
                }
            }
        }
        out
    }
}

impl core::fmt::Debug for Rule {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.id)
    }
}
