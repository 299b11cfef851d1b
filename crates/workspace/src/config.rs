//! The configuration of a repository: what its `gyle.toml` says, merged with the defaults. The last stage,
//! which configuration holds for a file, is `Workspace::config_for`: the nearest wins, nothing is merged with
//! those further up, and what it says of some files alone is laid over the rest for these.

use std::path::{Path, PathBuf};

use figures::Settings;
use globset::{Glob, GlobBuilder, GlobMatcher, GlobSet, GlobSetBuilder};
use rules::{Edition, Level, Levels, LimitError};

use crate::source::{is_below, normal};
use crate::written::{At, LevelSet, Written, error_at};

pub use crate::written::ConfigError;

/// What makes a folder the root of a repository.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Root {
    /// A `gyle.toml` stands in it.
    Configured,
    /// A `.git` stands in it.
    Git,
    /// Neither stands above the file: its own folder, without those below.
    Folder,
}

/// The configuration of a repository, with every default filled in.
#[derive(Clone, Debug)]
pub struct Config {
    /// Folder beyond which nothing is opened or walked.
    pub root: PathBuf,
    /// What makes it the root.
    pub kind: Root,
    /// The `gyle.toml`, when there is one.
    pub path: Option<PathBuf>,
    /// Library files.
    pub library: Vec<Library>,
    /// Files that are not checked, by their path below the root.
    exclude: GlobSet,
    /// The same as written.
    pub excluded: Vec<Box<str>>,
    /// Models and shown units.
    pub figures: Settings,
    /// Levels, limits, and how numbers are said.
    pub rules: rules::Config,
    /// Levels of some files, not laid over those of all yet.
    overrides: Vec<Override>,
    /// What is wrong with the `gyle.toml`.
    pub errors: Vec<ConfigError>,
}

/// Levels that hold for some files, by their path below the root.
#[derive(Clone, Debug)]
struct Override {
    files: GlobSet,
    levels: Levels,
}

/// One entry of `library`.
#[derive(Clone, Debug)]
pub struct Library {
    /// As written.
    pub written: Box<str>,
    /// The file, or the folder the pattern begins in.
    pub(crate) base: PathBuf,
    /// The pattern, below the root; none where a file is named.
    glob: Option<GlobMatcher>,
}

impl Library {
    /// Whether it is a pattern, not one file.
    pub(crate) const fn is_pattern(&self) -> bool {
        self.glob.is_some()
    }

    /// Whether it means this file.
    pub(crate) fn means(&self, path: &Path, root: &Path) -> bool {
        match &self.glob {
            None => path == self.base,
            Some(glob) => path.strip_prefix(root).is_ok_and(|below| glob.is_match(below)),
        }
    }
}

impl Config {
    /// The defaults, for files without a `gyle.toml`.
    #[must_use]
    pub fn defaults(root: PathBuf, kind: Root) -> Self {
        Self {
            root,
            kind,
            path: None,
            library: Vec::new(),
            exclude: GlobSet::empty(),
            excluded: Vec::new(),
            figures: Settings::default(),
            rules: rules::Config::default(),
            overrides: Vec::new(),
            errors: Vec::new(),
        }
    }

    /// Merges a `gyle.toml` with the defaults. What cannot be used is left at its default and listed in
    /// `errors`.
    #[must_use]
    pub fn read(root: PathBuf, path: PathBuf, text: &str) -> Self {
        let mut config = Self { path: Some(path), ..Self::defaults(root, Root::Configured) };
        let written = Written::read(text);
        config.errors.clone_from(&written.errors);
        if let Some(edition) = written.edition {
            config.rules.levels.set_edition(edition);
        }
        for setting in &written.figures {
            setting.apply(&mut config.figures);
        }
        let mut merge = Merge { text, config: &mut config };
        merge.library(&written.library);
        merge.exclude(&written.exclude);
        let levels = merge.levels(&written.levels, false);
        merge.config.rules.levels = levels;
        merge.overrides(&written);
        merge.limits(&written);
        config.errors.sort_by_key(|error| error.span.start);
        config
    }

    /// The defaults, where a `gyle.toml` stands that cannot be read.
    #[must_use]
    pub fn unreadable(root: PathBuf, path: PathBuf, reason: String) -> Self {
        let mut config = Self { path: Some(path), ..Self::defaults(root, Root::Configured) };
        let help = "mend the file, or take it away to go by the defaults".to_owned();
        config.errors.push(ConfigError { span: 0..0, line: 1, message: reason, help });
        config
    }

    /// Whether `check` leaves this file out when it is not asked for by name.
    #[must_use]
    pub fn excludes(&self, path: &Path) -> bool {
        !self.exclude.is_empty()
            && path.strip_prefix(&self.root).is_ok_and(|below| self.exclude.is_match(below))
    }

    /// Which of the levels for some files hold for this one: their places in the list.
    #[must_use]
    pub(crate) fn overrides_of(&self, path: &Path) -> Vec<usize> {
        if self.overrides.is_empty() {
            return Vec::new();
        }
        let Ok(below) = path.strip_prefix(&self.root) else { return Vec::new() };
        let holds = |(at, one): (usize, &Override)| one.files.is_match(below).then_some(at);
        self.overrides.iter().enumerate().filter_map(holds).collect()
    }

    /// The same configuration where these hold.
    #[must_use]
    pub(crate) fn with_overrides(&self, places: &[usize]) -> Self {
        let mut config = self.clone();
        for one in places.iter().filter_map(|at| self.overrides.get(*at)) {
            config.rules.levels.lay_over(&one.levels);
        }
        config
    }

    /// Edition of the set of rules in force.
    #[must_use]
    pub const fn edition(&self) -> Edition {
        self.rules.levels.edition()
    }

    /// Whether a file may be opened because another one names it.
    #[must_use]
    pub fn allows(&self, path: &Path) -> bool {
        is_below(path, &self.root)
    }
}

struct Merge<'c> {
    text: &'c str,
    config: &'c mut Config,
}

impl Merge<'_> {
    fn error(&mut self, span: &core::ops::Range<usize>, message: String, help: String) {
        self.config.errors.push(error_at(self.text, span.clone(), message, help));
    }

    fn bad_pattern(&mut self, span: &core::ops::Range<usize>, written: &str, error: &globset::Error) {
        use globset::ErrorKind as K;
        let why = match error.kind() {
            K::UnclosedClass => ": its `[` is not closed",
            K::UnopenedAlternates => ": its `}` is not opened",
            K::UnclosedAlternates => ": its `{` is not closed",
            K::DanglingEscape => ": a `\\` stands at its end",
            _ => "",
        };
        self.error(
            span,
            format!("`{written}` is no pattern of files{why}"),
            "write a pattern such as `cellar/*.gyle`".into(),
        );
    }

    fn library(&mut self, written: &[At<Box<str>>]) {
        for (span, text) in written {
            let path = Path::new(&**text);
            // Walk no further up than the part of the pattern that is no pattern.
            let fixed: PathBuf =
                path.components().take_while(|part| !has_pattern(part.as_os_str())).collect();
            let base = normal(&self.config.root.join(&fixed));
            let glob = if fixed == path {
                None
            } else if !base.starts_with(&self.config.root) {
                self.error(
                    span,
                    format!("`{text}` looks for files outside the folder of this gyle.toml"),
                    "a pattern stays below that folder; outside it, name each file".into(),
                );
                continue;
            } else {
                let below = base.strip_prefix(&self.config.root).unwrap_or(&base);
                let rest: PathBuf = path.components().skip(fixed.components().count()).collect();
                let pattern = format!("{}/{}", escaped(below), rest.to_string_lossy());
                match GlobBuilder::new(pattern.trim_start_matches('/')).literal_separator(true).build() {
                    Ok(glob) => Some(glob.compile_matcher()),
                    Err(error) => {
                        self.bad_pattern(span, text, &error);
                        continue;
                    }
                }
            };
            self.config.library.push(Library { written: text.clone(), base, glob });
        }
    }

    /// Patterns of paths below the root; those that are none are left out.
    fn globs(&mut self, written: &[At<Box<str>>]) -> (GlobSet, Vec<Box<str>>) {
        let (mut globs, mut taken) = (GlobSetBuilder::new(), Vec::new());
        for (span, text) in written {
            match Glob::new(text) {
                Ok(glob) => {
                    globs.add(glob);
                    taken.push(text.clone());
                }
                Err(error) => self.bad_pattern(span, text, &error),
            }
        }
        (globs.build().unwrap_or_default(), taken)
    }

    fn exclude(&mut self, written: &[At<Box<str>>]) {
        (self.config.exclude, self.config.excluded) = self.globs(written);
    }

    /// Levels for all files, or for some.
    fn levels(&mut self, written: &[LevelSet], partial: bool) -> Levels {
        let mut levels = if partial { Levels::default() } else { self.config.rules.levels.clone() };
        for ((span, name), level) in written {
            if let Err(unknown) = levels.set(name, *level) {
                let help = unknown.nearest.map_or_else(
                    || "`gyle rules` lists the rules and their groups".to_owned(),
                    |near| format!("did you mean `{near}`?"),
                );
                self.error(span, format!("`{name}` is no rule and no group of rules"), help);
            } else if partial && *level == Level::Off && rules::find(name).is_some_and(|rule| rule.safety) {
                self.error(
                    span,
                    format!(
                        "`{name}` guards against what can hurt somebody; it is not silenced for whole files"
                    ),
                    "write `# allow` above the line it is about, with the reason".into(),
                );
            }
        }
        levels
    }

    fn overrides(&mut self, written: &Written) {
        for one in &written.overrides {
            let (files, _) = self.globs(&one.files);
            let levels = self.levels(&one.levels, true);
            self.config.overrides.push(Override { files, levels });
        }
    }

    fn limits(&mut self, written: &Written) {
        for ((span, name), (value, text)) in &written.limits {
            match self.config.rules.limits.set(name, text) {
                Ok(()) => {}
                Err(LimitError::Unknown(unknown)) => {
                    let help = unknown.nearest.map_or_else(
                        || "`gyle explain RULE` shows the limits of a rule".to_owned(),
                        |near| format!("did you mean `{near}`?"),
                    );
                    self.error(span, format!("`{name}` is no limit"), help);
                }
                Err(LimitError::Unreadable { example }) => self.error(
                    value,
                    format!("`{text}` cannot be read as the limit `{name}`"),
                    format!("write it like its default, `{example}`"),
                ),
            }
        }
    }
}

fn has_pattern(part: &std::ffi::OsStr) -> bool {
    part.to_string_lossy().contains(['*', '?', '[', '{'])
}

/// A path of folders as a pattern that means it and nothing else.
fn escaped(path: &Path) -> String {
    let parts: Vec<_> = path.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    globset::escape(&parts.join("/"))
}
