//! Every setting a `gyle.toml` may hold, from the tables it is read by.

use std::collections::BTreeSet;

use rules::{Edition, Group, Level};

use crate::written::{CHECK, CUSTOMARY, FIGURES, InCheck, InOverride, Key, OVERRIDE, TOP, Takes, Top};

/// A setting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// The section it stands in, its words parted by points; empty above all sections.
    pub section: &'static str,
    /// Its key.
    pub key: &'static str,
    /// What stands behind the key.
    pub value: SettingValue,
    /// What it sets.
    pub doc: String,
}

/// What a setting takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SettingValue {
    /// One of these words.
    Word(Vec<&'static str>),
    /// A number that is not negative.
    Factor,
    /// A list of patterns.
    Patterns,
    /// A number or text of the form of this default.
    Limit(String),
}

/// All settings, section by section.
#[must_use]
pub fn settings() -> Vec<Setting> {
    let mut all = Vec::new();
    for (key, top) in TOP {
        let mut put = |value, doc: &str| all.push(Setting { section: "", key, value, doc: doc.to_owned() });
        match top {
            Top::Rules => {
                let frozen = Edition::FROZEN.map(Edition::word).to_vec();
                put(SettingValue::Word(frozen), "The set of rules and limits, frozen by its year.");
            }
            Top::Library => {
                put(SettingValue::Patterns, "Files whose definitions every recipe may name.");
            }
            Top::Customary => all.push(of_figures("", &CUSTOMARY)),
            Top::Figures => all.extend(FIGURES.iter().map(|key| of_figures("figures", key))),
            Top::Check => CHECK.iter().for_each(|(key, known)| check(key, *known, &mut all)),
        }
    }
    all
}

fn of_figures(section: &'static str, key: &Key) -> Setting {
    let value = match key.takes {
        Takes::Word(words) => SettingValue::Word(words.iter().map(|(word, _)| *word).collect()),
        Takes::Factor { .. } => SettingValue::Factor,
    };
    Setting { section, key: key.word, value, doc: key.doc.to_owned() }
}

fn check(key: &'static str, known: InCheck, all: &mut Vec<Setting>) {
    match known {
        InCheck::Exclude => all.push(Setting {
            section: "check",
            key,
            value: SettingValue::Patterns,
            doc: "Files that are not checked unless they are asked for by name.".into(),
        }),
        InCheck::Rules => levels("check.rules", false, all),
        InCheck::Override => {
            for (key, known) in OVERRIDE {
                match known {
                    InOverride::Files => all.push(Setting {
                        section: "check.override",
                        key,
                        value: SettingValue::Patterns,
                        doc: "Files for which these levels hold, by their path below this file.".into(),
                    }),
                    InOverride::Rules => levels("check.override.rules", true, all),
                }
            }
        }
        InCheck::Limits => {
            let mut named = BTreeSet::new();
            let limits =
                rules::RULES.iter().flat_map(|rule| rule.limits).filter(|limit| named.insert(limit.name));
            all.extend(limits.map(|limit| Setting {
                section: "check.limits",
                key: limit.name,
                value: SettingValue::Limit(rules::Limits::default().written(limit)),
                doc: format!("{}; {} by default.", limit.what, limit.shown()),
            }));
        }
    }
}

/// The level of each group and rule. For some files alone no rule is switched off that guards against what
/// can hurt somebody.
fn levels(section: &'static str, partial: bool, all: &mut Vec<Setting>) {
    let groups =
        Group::ALL.iter().map(|group| (group.word(), format!("All rules of {}.", group.word()), false));
    let rules = rules::RULES.iter().map(|rule| {
        (rule.id, format!("{}.", rule.doc.catches.trim_end_matches('.')), partial && rule.safety)
    });
    all.extend(groups.chain(rules).map(|(key, doc, on)| {
        let levels = Level::ALL.into_iter().filter(|level| !on || *level != Level::Off);
        Setting { section, key, value: SettingValue::Word(levels.map(Level::word).collect()), doc }
    }));
}
