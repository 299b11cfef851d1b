//! `gyle.toml` as it is written: the first of the three stages of a configuration. Its shape is checked here;
//! whether rules, limits and patterns are ones there are is seen when it is merged with the defaults.

use core::ops::Range;

use figures::{AlcoholModel, BitternessGravity, BitternessModel, ColourModel, Settings, ShownUnits};
use quantity::Customary;
use rules::Level;
use toml::de::{DeTable, DeValue};

/// Something wrong in a `gyle.toml`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ConfigError {
    /// Bytes of the file.
    pub span: Range<usize>,
    /// Line of the file, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

/// The one edition there is.
pub(crate) const EDITION: &str = "2026";

/// A value with the bytes it stands in.
pub(crate) type At<T> = (Range<usize>, T);

/// A name with what is set for it.
pub(crate) type Pair = (At<Box<str>>, At<Box<str>>);

/// What a `gyle.toml` says; what it does not say is absent.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    /// Edition of the default rule set.
    pub(crate) edition: Option<&'static str>,
    /// Globs of library files.
    pub(crate) library: Vec<At<Box<str>>>,
    /// Globs of files that are not checked.
    pub(crate) exclude: Vec<At<Box<str>>>,
    /// Settings of the figures, in the order written.
    pub(crate) figures: Vec<FigureSetting>,
    /// Levels by rule or group.
    pub(crate) levels: Vec<(At<Box<str>>, Level)>,
    /// Limits by name.
    pub(crate) limits: Vec<Pair>,
    /// What cannot be used.
    pub(crate) errors: Vec<ConfigError>,
}

/// One setting of the figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum FigureSetting {
    Bitterness(BitternessModel),
    BitternessGravity(BitternessGravity),
    PelletFactor(f64),
    FirstWortFactor(f64),
    MashHopFactor(f64),
    Colour(ColourModel),
    Alcohol(AlcoholModel),
    MashEffect(bool),
    Units(ShownUnits),
    Customary(Customary),
}

impl FigureSetting {
    /// Puts it in the place of the default.
    pub(crate) fn apply(self, settings: &mut Settings) {
        match self {
            Self::Bitterness(model) => settings.bitterness = model,
            Self::BitternessGravity(gravity) => settings.bitterness_gravity = gravity,
            Self::PelletFactor(factor) => settings.pellet_factor = factor,
            Self::FirstWortFactor(factor) => settings.first_wort_factor = factor,
            Self::MashHopFactor(factor) => settings.mash_hop_factor = factor,
            Self::Colour(model) => settings.colour = model,
            Self::Alcohol(model) => settings.alcohol = model,
            Self::MashEffect(on) => settings.mash_effect = on,
            Self::Units(units) => settings.units = Some(units),
            Self::Customary(customary) => settings.customary = Some(customary),
        }
    }
}

/// Keys of `[figures]` with what they take.
pub(crate) const FIGURES: &[(&str, Takes)] = {
    use FigureSetting as S;
    &[
        (
            "bitterness",
            Takes::Word(&[
                ("tinseth", S::Bitterness(BitternessModel::Tinseth)),
                ("rager", S::Bitterness(BitternessModel::Rager)),
                ("garetz", S::Bitterness(BitternessModel::Garetz)),
            ]),
        ),
        (
            "bitterness-gravity",
            Takes::Word(&[
                ("mean", S::BitternessGravity(BitternessGravity::Mean)),
                ("pre-boil", S::BitternessGravity(BitternessGravity::PreBoil)),
                ("post-boil", S::BitternessGravity(BitternessGravity::PostBoil)),
            ]),
        ),
        (
            "colour",
            Takes::Word(&[
                ("morey", S::Colour(ColourModel::Morey)),
                ("daniels", S::Colour(ColourModel::Daniels)),
                ("mosher", S::Colour(ColourModel::Mosher)),
            ]),
        ),
        (
            "alcohol",
            Takes::Word(&[
                ("balling", S::Alcohol(AlcoholModel::Balling)),
                ("cutaia", S::Alcohol(AlcoholModel::Cutaia)),
                ("uk-excise", S::Alcohol(AlcoholModel::UkExcise)),
            ]),
        ),
        ("mash-effect", Takes::Word(&[("off", S::MashEffect(false)), ("on", S::MashEffect(true))])),
        (
            "units",
            Takes::Word(&[
                ("metric", S::Units(ShownUnits::Metric)),
                ("us", S::Units(ShownUnits::Us)),
                ("imperial", S::Units(ShownUnits::Imperial)),
            ]),
        ),
        ("pellet-factor", Takes::Factor { make: S::PelletFactor, of: |settings| settings.pellet_factor }),
        (
            "first-wort-factor",
            Takes::Factor { make: S::FirstWortFactor, of: |settings| settings.first_wort_factor },
        ),
        (
            "mash-hop-factor",
            Takes::Factor { make: S::MashHopFactor, of: |settings| settings.mash_hop_factor },
        ),
    ]
};

/// The key above all sections that the figures depend on.
pub(crate) const CUSTOMARY: (&str, Takes) = (
    "customary",
    Takes::Word(&[
        ("us", FigureSetting::Customary(Customary::Us)),
        ("imperial", FigureSetting::Customary(Customary::Imperial)),
    ]),
);

/// What a key takes.
pub(crate) enum Takes {
    /// One of these words.
    Word(&'static [(&'static str, FigureSetting)]),
    /// A number that is not negative.
    Factor {
        /// The setting that a number makes.
        make: fn(f64) -> FigureSetting,
        /// The number that is in force.
        of: fn(&Settings) -> f64,
    },
}

impl Takes {
    /// What would be written for the value in force; none where no value says it, which leaves it to each
    /// recipe.
    pub(crate) fn in_force(&self, settings: &Settings) -> Option<String> {
        match self {
            // The word that would change nothing.
            Self::Word(words) => words.iter().find_map(|(word, setting)| {
                let mut changed = settings.clone();
                setting.apply(&mut changed);
                (changed == *settings).then(|| (*word).to_owned())
            }),
            Self::Factor { of, .. } => Some(format!("{:?}", of(settings))),
        }
    }
}

impl Written {
    /// Reads the text of a `gyle.toml`.
    pub(crate) fn read(text: &str) -> Self {
        let mut reader = Reader { text, written: Self::default() };
        match DeTable::parse(text) {
            Ok(table) => reader.top(table.get_ref()),
            // The words of the TOML reader are for programmers; its place is what helps.
            Err(error) => reader.error(
                error.span().unwrap_or(0..0),
                "this line cannot be read, so nothing of the file is used".into(),
                "a line is `key = value`, a `[section]` or a `# comment`, and text stands in quotes".into(),
            ),
        }
        reader.written
    }
}

/// An error with its line.
pub(crate) fn error_at(text: &str, span: Range<usize>, message: String, help: String) -> ConfigError {
    let line = text.get(..span.start).map_or(0, |before| before.matches('\n').count()) + 1;
    ConfigError { span, line, message, help }
}

struct Reader<'t> {
    text: &'t str,
    written: Written,
}

impl Reader<'_> {
    fn error(&mut self, span: Range<usize>, message: String, help: String) {
        self.written.errors.push(error_at(self.text, span, message, help));
    }

    fn unknown(&mut self, span: Range<usize>, key: &str, section: &str, known: &[&'static str]) {
        let near = rules::nearest(key, known.iter().copied());
        let place = if section.is_empty() { "gyle.toml".to_owned() } else { format!("[{section}]") };
        let help = near.map_or_else(
            || format!("{place} knows {}", known.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        self.error(span, format!("`{key}` is no setting of {place}"), help);
    }

    fn words<'v>(&mut self, key: &str, span: Range<usize>, value: &'v DeValue<'_>) -> Option<&'v str> {
        match value {
            DeValue::String(text) => Some(text),
            _ => {
                self.error(span, format!("`{key}` wants text in quotes"), format!("write `{key} = \"…\"`"));
                None
            }
        }
    }

    fn number(&mut self, key: &str, span: Range<usize>, value: &DeValue<'_>) -> Option<f64> {
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
        span: Range<usize>,
        value: &DeValue<'_>,
        known: &[(&'static str, T)],
    ) -> Option<T> {
        let text = self.words(key, span.clone(), value)?;
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

    fn list(&mut self, key: &str, span: Range<usize>, value: &DeValue<'_>) -> Vec<At<Box<str>>> {
        let DeValue::Array(list) = value else {
            self.error(span, format!("`{key}` wants a list"), format!("write `{key} = [\"…\"]`"));
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in list.iter() {
            if let Some(text) = self.words(key, item.span(), item.get_ref()) {
                out.push((item.span(), text.into()));
            }
        }
        out
    }

    fn table<'v, 'i>(
        &mut self,
        key: &str,
        span: Range<usize>,
        value: &'v DeValue<'i>,
    ) -> Option<&'v DeTable<'i>> {
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
        const KNOWN: &[&str] = &["rules", "library", "customary", "figures", "check"];
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            match &**key.get_ref() {
                "rules" => self.written.edition = self.one_of("rules", span, inner, &[(EDITION, EDITION)]),
                "library" => self.written.library = self.list("library", span, inner),
                "customary" => {
                    let setting = self.setting(&CUSTOMARY, span, inner);
                    self.written.figures.extend(setting);
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
                other => self.unknown(key.span(), other, "", KNOWN),
            }
        }
    }

    fn setting(
        &mut self,
        (key, takes): &(&'static str, Takes),
        span: Range<usize>,
        value: &DeValue<'_>,
    ) -> Option<FigureSetting> {
        match takes {
            Takes::Word(words) => self.one_of(key, span, value, words),
            Takes::Factor { make, .. } => self.number(key, span, value).map(make),
        }
    }

    fn figures(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            let name = &**key.get_ref();
            let setting = match FIGURES.iter().find(|(known, _)| *known == name) {
                Some(known) => self.setting(known, span, inner),
                None => {
                    let known: Vec<&'static str> = FIGURES.iter().map(|(known, _)| *known).collect();
                    self.unknown(key.span(), name, "figures", &known);
                    None
                }
            };
            self.written.figures.extend(setting);
        }
    }

    fn check(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            match &**key.get_ref() {
                "exclude" => self.written.exclude = self.list("exclude", span, inner),
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
            if let Some(level) = self.one_of(name, value.span(), value.get_ref(), &known) {
                self.written.levels.push(((key.span(), name.into()), level));
            }
        }
    }

    fn limits(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let name = &**key.get_ref();
            let text: Box<str> = match value.get_ref() {
                DeValue::String(text) => text.to_string().into(),
                DeValue::Integer(whole) => whole.as_str().into(),
                DeValue::Float(real) => real.as_str().into(),
                _ => {
                    self.error(
                        value.span(),
                        format!("the limit `{name}` wants text in quotes"),
                        format!("write `{name} = \"…\"`"),
                    );
                    continue;
                }
            };
            self.written.limits.push(((key.span(), name.into()), (value.span(), text)));
        }
    }
}
