//! `gyle.toml` as it is written: the first of the three stages of a configuration. Its shape is checked here;
//! whether rules, limits and patterns are ones there are is seen when it is merged with the defaults.

use core::ops::Range;
use std::borrow::Cow;

use figures::{AlcoholModel, BitternessGravity, BitternessModel, ColourModel, Settings, ShownUnits};
use quantity::Customary;
use rules::{Edition, Level};
use toml::Spanned;
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

/// A value with the bytes it stands in.
pub(crate) type At<T> = (Range<usize>, T);

/// A name with what is set for it.
pub(crate) type Pair = (At<Box<str>>, At<Box<str>>);

/// A rule or group with the level set for it.
pub(crate) type LevelSet = (At<Box<str>>, Level);

/// Levels that hold for some files.
#[derive(Clone, Debug, Default)]
pub(crate) struct Override {
    /// Globs of the files.
    pub(crate) files: Vec<At<Box<str>>>,
    /// Levels by rule or group.
    pub(crate) levels: Vec<LevelSet>,
}

/// What a `gyle.toml` says; what it does not say is absent.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    /// Edition of the default rule set.
    pub(crate) edition: Option<Edition>,
    /// Globs of library files.
    pub(crate) library: Vec<At<Box<str>>>,
    /// Globs of files that are not checked.
    pub(crate) exclude: Vec<At<Box<str>>>,
    /// Settings of the figures, in the order written.
    pub(crate) figures: Vec<FigureSetting>,
    /// Levels by rule or group.
    pub(crate) levels: Vec<LevelSet>,
    /// Levels of some files, the last before those further up.
    pub(crate) overrides: Vec<Override>,
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
    ChillBitterness(bool),
    SlakingHeat(bool),
    DecoctionLoss(f64),
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
            Self::ChillBitterness(on) => settings.chill_bitterness = on,
            Self::SlakingHeat(on) => settings.slaking_heat = on,
            Self::DecoctionLoss(step) => settings.decoction_loss = step,
            Self::Units(units) => settings.units = Some(units),
            Self::Customary(customary) => settings.customary = Some(customary),
        }
    }
}

/// A key above all sections, or a section.
#[derive(Clone, Copy)]
pub(crate) enum Top {
    Rules,
    Library,
    Customary,
    Figures,
    Check,
}

pub(crate) const TOP: &[(&str, Top)] = &[
    ("rules", Top::Rules),
    ("library", Top::Library),
    ("customary", Top::Customary),
    ("figures", Top::Figures),
    ("check", Top::Check),
];

/// A key of `[check]`.
#[derive(Clone, Copy)]
pub(crate) enum InCheck {
    Exclude,
    Rules,
    Limits,
    Override,
}

pub(crate) const CHECK: &[(&str, InCheck)] = &[
    ("exclude", InCheck::Exclude),
    ("rules", InCheck::Rules),
    ("limits", InCheck::Limits),
    ("override", InCheck::Override),
];

/// A key of `[[check.override]]`.
#[derive(Clone, Copy)]
pub(crate) enum InOverride {
    Files,
    Rules,
}

pub(crate) const OVERRIDE: &[(&str, InOverride)] =
    &[("files", InOverride::Files), ("rules", InOverride::Rules)];

/// A key that sets something of the figures.
pub(crate) struct Key {
    pub(crate) word: &'static str,
    /// What it sets, for the schema.
    pub(crate) doc: &'static str,
    pub(crate) takes: Takes,
}

/// Keys of `[figures]`.
pub(crate) const FIGURES: &[Key] = {
    use FigureSetting as S;
    &[
        Key {
            word: "bitterness",
            doc: "The model that bitterness is computed by.",
            takes: Takes::Word(&[
                ("tinseth", S::Bitterness(BitternessModel::Tinseth)),
                ("rager", S::Bitterness(BitternessModel::Rager)),
                ("garetz", S::Bitterness(BitternessModel::Garetz)),
            ]),
        },
        Key {
            word: "bitterness-gravity",
            doc: "The gravity of the wort that bitterness is computed at.",
            takes: Takes::Word(&[
                ("mean", S::BitternessGravity(BitternessGravity::Mean)),
                ("pre-boil", S::BitternessGravity(BitternessGravity::PreBoil)),
                ("post-boil", S::BitternessGravity(BitternessGravity::PostBoil)),
            ]),
        },
        Key {
            word: "colour",
            doc: "The model that colour is computed by.",
            takes: Takes::Word(&[
                ("morey", S::Colour(ColourModel::Morey)),
                ("daniels", S::Colour(ColourModel::Daniels)),
                ("mosher", S::Colour(ColourModel::Mosher)),
            ]),
        },
        Key {
            word: "alcohol",
            doc: "The model that alcohol is computed by.",
            takes: Takes::Word(&[
                ("balling", S::Alcohol(AlcoholModel::Balling)),
                ("cutaia", S::Alcohol(AlcoholModel::Cutaia)),
                ("uk-excise", S::Alcohol(AlcoholModel::UkExcise)),
            ]),
        },
        Key {
            word: "mash-effect",
            doc: "Whether the temperature of the mash moves the final gravity.",
            takes: Takes::Word(&[("off", S::MashEffect(false)), ("on", S::MashEffect(true))]),
        },
        Key {
            word: "chill-bitterness",
            doc: "Whether hops in the kettle go on turning bitter during `chill to TEMP over TIME`.",
            takes: Takes::Word(&[("off", S::ChillBitterness(false)), ("on", S::ChillBitterness(true))]),
        },
        Key {
            word: "slaking-heat",
            doc: "Whether the heat that dry grain sets free when it is wetted is counted in the strike temperature: about 1.5 °C less; the walls usually take as much.",
            takes: Takes::Word(&[("off", S::SlakingHeat(false)), ("on", S::SlakingHeat(true))]),
        },
        Key {
            word: "decoction-loss",
            doc: "How many degrees (°C) a decoction loses on its way back to the mash.",
            takes: Takes::Factor { make: S::DecoctionLoss, of: |settings| settings.decoction_loss },
        },
        Key {
            word: "units",
            doc: "The units that figures are shown in; each recipe's own where this is not set.",
            takes: Takes::Word(&[
                ("metric", S::Units(ShownUnits::Metric)),
                ("us", S::Units(ShownUnits::Us)),
                ("imperial", S::Units(ShownUnits::Imperial)),
            ]),
        },
        Key {
            word: "pellet-factor",
            doc: "How much more bitterness pellets give than leaf hops.",
            takes: Takes::Factor { make: S::PelletFactor, of: |settings| settings.pellet_factor },
        },
        Key {
            word: "first-wort-factor",
            doc: "The bitterness of a first-wort hop over that of the same hop boiled throughout.",
            takes: Takes::Factor { make: S::FirstWortFactor, of: |settings| settings.first_wort_factor },
        },
        Key {
            word: "mash-hop-factor",
            doc: "The bitterness of a mash hop over that of the same hop boiled throughout.",
            takes: Takes::Factor { make: S::MashHopFactor, of: |settings| settings.mash_hop_factor },
        },
    ]
};

/// The key above all sections that the figures depend on.
pub(crate) const CUSTOMARY: Key = Key {
    word: "customary",
    doc: "Which gallon, pint and ounce is meant where a recipe does not say.",
    takes: Takes::Word(&[
        ("us", FigureSetting::Customary(Customary::Us)),
        ("imperial", FigureSetting::Customary(Customary::Imperial)),
    ]),
};

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

    /// What a key of a section means; one that means nothing is an error.
    fn known<T: Copy>(
        &mut self,
        key: &Spanned<Cow<'_, str>>,
        section: &str,
        keys: &[(&'static str, T)],
    ) -> Option<T> {
        let name = &**key.get_ref();
        let found = keys.iter().find(|(word, _)| *word == name).map(|(_, known)| *known);
        if found.is_none() {
            let words: Vec<&'static str> = keys.iter().map(|(word, _)| *word).collect();
            self.unknown(key.span(), name, section, &words);
        }
        found
    }

    fn top(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            let Some(known) = self.known(key, "", TOP) else { continue };
            match known {
                Top::Rules => self.written.edition = self.edition(span, inner),
                Top::Library => self.written.library = self.list("library", span, inner),
                Top::Customary => {
                    let setting = self.setting(&CUSTOMARY, span, inner);
                    self.written.figures.extend(setting);
                }
                Top::Figures => {
                    if let Some(table) = self.table("figures", span, inner) {
                        self.figures(table);
                    }
                }
                Top::Check => {
                    if let Some(table) = self.table("check", span, inner) {
                        self.check(table);
                    }
                }
            }
        }
    }

    fn edition(&mut self, span: Range<usize>, value: &DeValue<'_>) -> Option<Edition> {
        let next = Edition::NEXT.word();
        if matches!(value, DeValue::String(text) if text == next) {
            let help = format!(
                "`gyle check --edition {next}` shows what it will find; until then keep to the one before"
            );
            self.error(span, format!("the edition {next} of the rules may still change"), help);
            return None;
        }
        self.one_of("rules", span, value, &Edition::FROZEN.map(|edition| (edition.word(), edition)))
    }

    fn setting(
        &mut self,
        Key { word, takes, .. }: &Key,
        span: Range<usize>,
        value: &DeValue<'_>,
    ) -> Option<FigureSetting> {
        match takes {
            Takes::Word(words) => self.one_of(word, span, value, words),
            Takes::Factor { make, .. } => self.number(word, span, value).map(make),
        }
    }

    fn figures(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let (span, inner) = (value.span(), value.get_ref());
            let name = &**key.get_ref();
            let setting = match FIGURES.iter().find(|known| known.word == name) {
                Some(known) => self.setting(known, span, inner),
                None => {
                    let known: Vec<&'static str> = FIGURES.iter().map(|known| known.word).collect();
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
            let Some(known) = self.known(key, "check", CHECK) else { continue };
            match known {
                InCheck::Exclude => self.written.exclude = self.list("exclude", span, inner),
                InCheck::Rules => {
                    if let Some(table) = self.table("check.rules", span, inner) {
                        self.written.levels = self.levels(table);
                    }
                }
                InCheck::Override => self.overrides(span, inner),
                InCheck::Limits => {
                    if let Some(table) = self.table("check.limits", span, inner) {
                        self.limits(table);
                    }
                }
            }
        }
    }

    fn levels(&mut self, table: &DeTable<'_>) -> Vec<LevelSet> {
        let known = Level::ALL.map(|level| (level.word(), level));
        let mut levels = Vec::new();
        for (key, value) in table {
            let name = &**key.get_ref();
            if let Some(level) = self.one_of(name, value.span(), value.get_ref(), &known) {
                levels.push(((key.span(), name.into()), level));
            }
        }
        levels
    }

    fn overrides(&mut self, span: Range<usize>, value: &DeValue<'_>) {
        let section = "check.override";
        let form = || format!("write `[[{section}]]` above its `files` and `rules`");
        let DeValue::Array(list) = value else {
            self.error(span, format!("`{section}` wants a list of sections"), form());
            return;
        };
        for item in list.iter() {
            let DeValue::Table(table) = item.get_ref() else {
                self.error(item.span(), format!("`{section}` wants a list of sections"), form());
                continue;
            };
            let mut one = Override::default();
            for (key, value) in table {
                let (span, inner) = (value.span(), value.get_ref());
                match self.known(key, section, OVERRIDE) {
                    Some(InOverride::Files) => one.files = self.list("files", span, inner),
                    Some(InOverride::Rules) => {
                        if let Some(table) = self.table("check.override.rules", span, inner) {
                            one.levels = self.levels(table);
                        }
                    }
                    None => {}
                }
            }
            if !table.contains_key("files") {
                self.error(
                    item.span(),
                    format!("this `{section}` names no files"),
                    "write `files = [\"recipes/sour/**\"]`, or set the levels in `[check.rules]`".into(),
                );
            }
            self.written.overrides.push(one);
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
