//! `gyle.toml`: as written, merged with the defaults, resolved for a file.

use std::path::PathBuf;

use figures::{AlcoholModel, BitternessGravity, BitternessModel, ColourModel, Settings, ShownUnits};
use globset::{Glob, GlobSet, GlobSetBuilder};
use quantity::Customary;
use rules::{Level, LimitError};
use toml::de::{DeTable, DeValue};

/// The configuration of a repository, with every default filled in.
#[derive(Clone, Debug)]
pub struct Config {
    /// Folder of the `gyle.toml`; the repository root. Without one, the folder of the file or of `.git`.
    pub root: PathBuf,
    /// The file itself, when there is one.
    pub path: Option<PathBuf>,
    /// Edition of the default rule set.
    pub edition: Box<str>,
    /// Globs of library files, relative to the root.
    pub library: Vec<Box<str>>,
    /// Globs of files that are not checked.
    pub exclude: GlobSet,
    /// The same as written.
    pub excluded: Vec<Box<str>>,
    /// Models and shown units.
    pub figures: Settings,
    /// Levels, limits, and how numbers are said.
    pub rules: rules::Config,
    /// What is wrong with the file.
    pub errors: Vec<ConfigError>,
}

/// Something wrong in a `gyle.toml`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ConfigError {
    /// Bytes of the file.
    pub span: core::ops::Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

/// The one edition there is.
pub(crate) const EDITION: &str = "2026";

impl Config {
    /// The defaults, for files without a `gyle.toml`.
    #[must_use]
    pub fn defaults(root: PathBuf) -> Self {
        Self {
            root,
            path: None,
            edition: EDITION.into(),
            library: Vec::new(),
            exclude: GlobSet::empty(),
            excluded: Vec::new(),
            figures: Settings::default(),
            rules: rules::Config::default(),
            errors: Vec::new(),
        }
    }

    /// Reads a `gyle.toml`. What cannot be used is left at its default and listed in `errors`.
    #[must_use]
    pub fn read(root: PathBuf, path: PathBuf, text: &str) -> Self {
        let mut config = Self { path: Some(path), ..Self::defaults(root) };
        let table = match DeTable::parse(text) {
            Ok(table) => table,
            Err(error) => {
                config.errors.push(ConfigError {
                    span: error.span().unwrap_or(0..0),
                    message: format!("this is no TOML: {}", error.message()),
                    help: "mend the line, or take it out".into(),
                });
                return config;
            }
        };
        Reader { config: &mut config }.top(table.get_ref());
        config
    }
}

/// The words of settings that have a few values each.
pub(crate) mod words {
    use super::{AlcoholModel, BitternessGravity, BitternessModel, ColourModel, Customary, ShownUnits};

    pub(crate) const BITTERNESS: &[(&str, BitternessModel)] = &[
        ("tinseth", BitternessModel::Tinseth),
        ("rager", BitternessModel::Rager),
        ("garetz", BitternessModel::Garetz),
    ];
    pub(crate) const BITTERNESS_GRAVITY: &[(&str, BitternessGravity)] = &[
        ("mean", BitternessGravity::Mean),
        ("pre-boil", BitternessGravity::PreBoil),
        ("post-boil", BitternessGravity::PostBoil),
    ];
    pub(crate) const COLOUR: &[(&str, ColourModel)] =
        &[("morey", ColourModel::Morey), ("daniels", ColourModel::Daniels), ("mosher", ColourModel::Mosher)];
    pub(crate) const ALCOHOL: &[(&str, AlcoholModel)] = &[
        ("balling", AlcoholModel::Balling),
        ("cutaia", AlcoholModel::Cutaia),
        ("uk-excise", AlcoholModel::UkExcise),
    ];
    pub(crate) const UNITS: &[(&str, ShownUnits)] =
        &[("metric", ShownUnits::Metric), ("us", ShownUnits::Us), ("imperial", ShownUnits::Imperial)];
    pub(crate) const CUSTOMARY: &[(&str, Customary)] =
        &[("us", Customary::Us), ("imperial", Customary::Imperial)];
    pub(crate) const SWITCH: &[(&str, bool)] = &[("off", false), ("on", true)];
}

type Span = core::ops::Range<usize>;

struct Reader<'c> {
    config: &'c mut Config,
}

impl Reader<'_> {
    fn error(&mut self, span: Span, message: String, help: String) {
        self.config.errors.push(ConfigError { span, message, help });
    }

    fn unknown(&mut self, span: Span, key: &str, section: &str, known: &[&'static str]) {
        let near = rules::nearest(key, known.iter().copied());
        let place = if section.is_empty() { "gyle.toml".to_owned() } else { format!("[{section}]") };
        let help = near.map_or_else(
            || format!("{place} knows {}", known.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        self.error(span, format!("`{key}` is no setting of {place}"), help);
    }

    fn text<'v>(&mut self, key: &str, span: Span, value: &'v DeValue<'_>) -> Option<&'v str> {
        match value {
            DeValue::String(text) => Some(text),
            _ => {
                self.error(span, format!("`{key}` wants text in quotes"), format!("write `{key} = \"…\"`"));
                None
            }
        }
    }

    fn number(&mut self, key: &str, span: Span, value: &DeValue<'_>) -> Option<f64> {
        let number = match value {
            DeValue::Integer(whole) => whole.as_str().replace('_', "").parse().ok(),
            DeValue::Float(real) => real.as_str().replace('_', "").parse().ok(),
            _ => None,
        };
        let number = number.filter(|number: &f64| number.is_finite() && *number >= 0.0);
        if number.is_none() {
            self.error(
                span,
                format!("`{key}` wants a number that is not negative"),
                format!("write `{key} = 1.0`"),
            );
        }
        number
    }

    fn one_of<T: Copy>(
        &mut self,
        key: &str,
        span: Span,
        value: &DeValue<'_>,
        known: &[(&'static str, T)],
    ) -> Option<T> {
        let text = self.text(key, span.clone(), value)?;
        if let Some((_, found)) = known.iter().find(|(word, _)| *word == text) {
            return Some(*found);
        }
        let words: Vec<&'static str> = known.iter().map(|(word, _)| *word).collect();
        let near = rules::nearest(text, words.iter().copied());
        let help = near.map_or_else(
            || format!("write one of {}", words.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        self.error(span, format!("`{text}` is no value of `{key}`"), help);
        None
    }

    fn texts(&mut self, key: &str, span: Span, value: &DeValue<'_>) -> Vec<(Span, Box<str>)> {
        let DeValue::Array(list) = value else {
            self.error(span, format!("`{key}` wants a list"), format!("write `{key} = [\"…\"]`"));
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in list.iter() {
            if let Some(text) = self.text(key, item.span(), item.get_ref()) {
                out.push((item.span(), text.into()));
            }
        }
        out
    }

    fn table<'v, 'i>(&mut self, key: &str, span: Span, value: &'v DeValue<'i>) -> Option<&'v DeTable<'i>> {
        match value {
            DeValue::Table(table) => Some(table),
            _ => {
                self.error(
                    span,
                    format!("`{key}` is a section"),
                    format!("write `[{key}]` on a line of its own"),
                );
                None
            }
        }
    }

    fn top(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            match &**key.get_ref() {
                "rules" => {
                    if let Some(edition) = self.one_of("rules", span, inner, &[(EDITION, EDITION)]) {
                        self.config.edition = edition.into();
                    }
                }
                "library" => {
                    self.config.library =
                        self.texts("library", span, inner).into_iter().map(|(_, text)| text).collect();
                }
                "customary" => {
                    self.config.figures.customary = self.one_of("customary", span, inner, words::CUSTOMARY);
                }
                "figures" => {
                    if let Some(table) = self.table("figures", span, inner) {
                        self.figures(table);
                    }
                }
                "check" => {
                    if let Some(table) = self.table("check", span, inner) {
                        self.check(table);
                    }
                }
                other => self.unknown(
                    key.span(),
                    other,
                    "",
                    &["rules", "library", "customary", "figures", "check"],
                ),
            }
        }
        self.config.rules.say.units = self.config.figures.units.unwrap_or_default();
    }

    fn figures(&mut self, table: &DeTable<'_>) {
        const KNOWN: &[&str] = &[
            "bitterness",
            "bitterness-gravity",
            "colour",
            "alcohol",
            "mash-effect",
            "units",
            "pellet-factor",
            "first-wort-factor",
            "mash-hop-factor",
        ];
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            match &**key.get_ref() {
                "bitterness" => {
                    if let Some(model) = self.one_of("bitterness", span, inner, words::BITTERNESS) {
                        self.config.figures.bitterness = model;
                    }
                }
                "bitterness-gravity" => {
                    if let Some(gravity) =
                        self.one_of("bitterness-gravity", span, inner, words::BITTERNESS_GRAVITY)
                    {
                        self.config.figures.bitterness_gravity = gravity;
                    }
                }
                "colour" => {
                    if let Some(model) = self.one_of("colour", span, inner, words::COLOUR) {
                        self.config.figures.colour = model;
                    }
                }
                "alcohol" => {
                    if let Some(model) = self.one_of("alcohol", span, inner, words::ALCOHOL) {
                        self.config.figures.alcohol = model;
                    }
                }
                "mash-effect" => {
                    if let Some(on) = self.one_of("mash-effect", span, inner, words::SWITCH) {
                        self.config.figures.mash_effect = on;
                    }
                }
                "units" => {
                    if let Some(units) = self.one_of("units", span, inner, words::UNITS) {
                        self.config.figures.units = Some(units);
                    }
                }
                "pellet-factor" => {
                    if let Some(factor) = self.number("pellet-factor", span, inner) {
                        self.config.figures.pellet_factor = factor;
                    }
                }
                "first-wort-factor" => {
                    if let Some(factor) = self.number("first-wort-factor", span, inner) {
                        self.config.figures.first_wort_factor = factor;
                    }
                }
                "mash-hop-factor" => {
                    if let Some(factor) = self.number("mash-hop-factor", span, inner) {
                        self.config.figures.mash_hop_factor = factor;
                    }
                }
                other => self.unknown(key.span(), other, "figures", KNOWN),
            }
        }
    }

    fn check(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            match &**key.get_ref() {
                "exclude" => {
                    let mut globs = GlobSetBuilder::new();
                    for (span, text) in self.texts("exclude", span, inner) {
                        match Glob::new(&text) {
                            Ok(glob) => {
                                globs.add(glob);
                                self.config.excluded.push(text);
                            }
                            Err(error) => self.error(
                                span,
                                format!("`{text}` is no pattern: {}", error.kind()),
                                "write a pattern such as `archive/**`".into(),
                            ),
                        }
                    }
                    self.config.exclude = globs.build().unwrap_or_default();
                }
                "rules" => {
                    if let Some(table) = self.table("check.rules", span, inner) {
                        self.levels(table);
                    }
                }
                "limits" => {
                    if let Some(table) = self.table("check.limits", span, inner) {
                        self.limits(table);
                    }
                }
                other => self.unknown(key.span(), other, "check", &["exclude", "rules", "limits"]),
            }
        }
    }

    fn levels(&mut self, table: &DeTable<'_>) {
        let known = Level::ALL.map(|level| (level.word(), level));
        for (key, value) in table {
            let name = &**key.get_ref();
            let Some(level) = self.one_of(name, value.span(), value.get_ref(), &known) else { continue };
            if let Err(unknown) = self.config.rules.levels.set(name, level) {
                let help = unknown.nearest.map_or_else(
                    || "`gyle rules` lists the rules and their groups".to_owned(),
                    |near| format!("did you mean `{near}`?"),
                );
                self.error(key.span(), format!("`{name}` is no rule and no group of rules"), help);
            }
        }
    }

    fn limits(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let name = &**key.get_ref();
            let text = match value.get_ref() {
                DeValue::String(text) => text.to_string(),
                DeValue::Integer(whole) => whole.as_str().to_owned(),
                DeValue::Float(real) => real.as_str().to_owned(),
                _ => {
                    self.error(
                        value.span(),
                        format!("the limit `{name}` wants text in quotes"),
                        format!("write `{name} = \"…\"`"),
                    );
                    continue;
                }
            };
            match self.config.rules.limits.set(name, &text) {
                Ok(()) => {}
                Err(LimitError::Unknown(unknown)) => {
                    let help = unknown.nearest.map_or_else(
                        || "`gyle explain RULE` shows the limits of a rule".to_owned(),
                        |near| format!("did you mean `{near}`?"),
                    );
                    self.error(key.span(), format!("`{name}` is no limit"), help);
                }
                Err(LimitError::Unreadable { example }) => {
                    self.error(
                        value.span(),
                        format!("`{text}` cannot be read as the limit `{name}`"),
                        format!("write it like its default, `{example}`"),
                    );
                }
            }
        }
    }
}
