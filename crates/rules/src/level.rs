//! How bad a finding is, how sure, and what the configuration makes of it.

use crate::edition::Edition;
use crate::finding::{Group, Severity};
use crate::registry::{self, RULES};
use crate::rule::Rule;

/// Level of a rule: of its worst finding, or off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Level {
    /// Finds nothing unless the configuration switches it on.
    Off,
    /// Worth a look.
    Hint,
    /// Probably a mistake.
    Warning,
    /// A contradiction, an impossibility, or a direct hazard.
    Error,
}

impl Level {
    /// All of them, mildest first.
    pub const ALL: [Self; 4] = [Self::Off, Self::Hint, Self::Warning, Self::Error];

    /// As written in the configuration.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::Hint => "hint",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }

    /// The level this word names.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|level| level.word() == word)
    }

    /// The severity of its findings; none when off.
    #[must_use]
    pub const fn severity(self) -> Option<Severity> {
        match self {
            Self::Off => None,
            Self::Hint => Some(Severity::Hint),
            Self::Warning => Some(Severity::Warning),
            Self::Error => Some(Severity::Error),
        }
    }
}

/// How bad a finding is by its rule, and whether the numbers are sure of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grade {
    /// As bad as the rule says.
    pub stated: Severity,
    /// The value lies beyond the limit by less than two standard deviations: one level lower.
    pub unsure: bool,
}

impl Grade {
    /// An error, whatever the numbers' uncertainty.
    pub const ERROR: Self = Self::sure(Severity::Error);
    /// A warning, whatever the numbers' uncertainty.
    pub const WARNING: Self = Self::sure(Severity::Warning);
    /// A hint, whatever the numbers' uncertainty.
    pub const HINT: Self = Self::sure(Severity::Hint);

    /// Without doubt.
    #[must_use]
    pub const fn sure(stated: Severity) -> Self {
        Self { stated, unsure: false }
    }

    /// What is left of a severity when the numbers leave a doubt: a hint becomes nothing.
    #[must_use]
    pub const fn lowered(self, severity: Severity) -> Option<Severity> {
        if !self.unsure {
            return Some(severity);
        }
        match severity {
            Severity::Error => Some(Severity::Warning),
            Severity::Warning => Some(Severity::Hint),
            Severity::Hint => None,
        }
    }

    /// The severity without any configuration.
    #[must_use]
    pub const fn severity(self) -> Option<Severity> {
        self.lowered(self.stated)
    }

    /// How far beyond a limit by `excess` with the standard deviation `spread`; nothing when not beyond.
    #[must_use]
    pub fn beyond(excess: f64, spread: f64, stated: Severity) -> Option<Self> {
        // Rounding must not decide: what is beyond by less than a billionth is at the limit.
        (excess > 1e-9).then_some(Self { stated, unsure: excess < 2.0 * spread })
    }

    /// The worse of two, by what is left of them.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        let key = |grade: Self| (grade.severity(), grade.stated);
        if key(other) > key(self) { other } else { self }
    }

    /// The grade of a value that should not be above any of the limits. The spread is asked for only
    /// when one is exceeded.
    #[must_use]
    pub fn above(value: f64, spread: impl FnOnce() -> f64, limits: &[(f64, Severity)]) -> Option<Self> {
        Self::graded(limits.iter().map(|(limit, severity)| (value - limit, *severity)), spread)
    }

    /// The grade of a value that should not be below any of the limits.
    #[must_use]
    pub fn below(value: f64, spread: impl FnOnce() -> f64, limits: &[(f64, Severity)]) -> Option<Self> {
        Self::graded(limits.iter().map(|(limit, severity)| (limit - value, *severity)), spread)
    }

    /// The grade of a value that should lie within all of the bands.
    #[must_use]
    pub fn outside(
        value: f64,
        spread: impl FnOnce() -> f64,
        bands: &[((f64, f64), Severity)],
    ) -> Option<Self> {
        Self::graded(
            bands.iter().map(|((low, high), severity)| ((low - value).max(value - high), *severity)),
            spread,
        )
    }

    fn graded(
        excesses: impl Iterator<Item = (f64, Severity)> + Clone,
        spread: impl FnOnce() -> f64,
    ) -> Option<Self> {
        if !excesses.clone().any(|(excess, _)| excess > 1e-9) {
            return None;
        }
        let spread = spread();
        excesses.filter_map(|(excess, severity)| Self::beyond(excess, spread, severity)).reduce(Self::worse)
    }
}

/// The level of every rule, as the configuration leaves it.
#[derive(Clone, Debug, Default)]
pub struct Levels {
    edition: Edition,
    /// What is set for all files, then what is set for some of them: the last that speaks of a rule holds.
    layers: Vec<Layer>,
}

/// Levels set together.
#[derive(Clone, Debug, Default)]
struct Layer {
    groups: Vec<(Group, Level)>,
    rules: Vec<(&'static str, Level)>,
    /// For some files only.
    partial: bool,
}

impl Layer {
    fn of(&self, rule: &Rule) -> Option<Level> {
        let own = self.rules.iter().find(|(id, _)| *id == rule.id).map(|(_, level)| *level);
        let level = own
            .or_else(|| self.groups.iter().find(|(group, _)| *group == rule.group).map(|(_, level)| *level));
        // What can hurt somebody is not silenced file by file.
        level.filter(|level| !(self.partial && rule.safety && *level == Level::Off))
    }
}

impl Levels {
    /// Sets the level of a rule or of a group. A rule's own level wins over its group's, in any order.
    ///
    /// # Errors
    /// When neither a rule nor a group has this name: the nearest one.
    pub fn set(&mut self, name: &str, level: Level) -> Result<(), UnknownName> {
        if self.layers.is_empty() {
            self.layers.push(Layer::default());
        }
        let Some(layer) = self.layers.last_mut() else { return Ok(()) };
        if let Some(rule) = registry::find(name) {
            layer.rules.retain(|(id, _)| *id != rule.id);
            layer.rules.push((rule.id, level));
        } else if let Some(group) = Group::ALL.iter().find(|group| group.word() == name) {
            layer.groups.retain(|(other, _)| other != group);
            layer.groups.push((*group, level));
        } else {
            let names = RULES.iter().map(|rule| rule.id).chain(Group::ALL.iter().map(|group| group.word()));
            return Err(UnknownName { nearest: nearest(name, names) });
        }
        Ok(())
    }

    /// Sets above these what is set for some files: whatever it says of a rule or of its group holds. It
    /// switches nothing off that guards against what can hurt somebody.
    pub fn lay_over(&mut self, partial: &Self) {
        self.layers.extend(partial.layers.iter().map(|layer| Layer { partial: true, ..layer.clone() }));
    }

    /// The edition whose levels hold where none is set.
    #[must_use]
    pub const fn edition(&self) -> Edition {
        self.edition
    }

    /// Lets the levels of this edition hold where none is set.
    pub const fn set_edition(&mut self, edition: Edition) {
        self.edition = edition;
    }

    /// What the configuration says of a rule; `None` where it says nothing.
    #[must_use]
    pub fn set_for(&self, rule: &Rule) -> Option<Level> {
        self.layers.iter().rev().find_map(|layer| layer.of(rule))
    }

    /// The level of a rule.
    #[must_use]
    pub fn of(&self, rule: &Rule) -> Level {
        // This is asked of every rule for every recipe, and mostly nothing is set.
        if self.layers.is_empty() {
            return rule.level_in(self.edition);
        }
        self.set_for(rule).unwrap_or_else(|| rule.level_in(self.edition))
    }

    /// The severity of a finding: a level that is set, or that a later edition has changed, holds for every
    /// finding of the rule, and doubt lowers it all the same.
    #[must_use]
    pub fn severity(&self, rule: &Rule, grade: Grade) -> Option<Severity> {
        let level = self.of(rule);
        let as_found = self.set_for(rule).is_none() && level == rule.level;
        let severity = level.severity()?;
        let severity = if as_found { grade.stated } else { severity };
        // Doubt never lowers what can hurt somebody.
        if rule.safety { Some(severity) } else { grade.lowered(severity) }
    }
}

/// A name that nothing has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownName {
    /// The nearest name there is, when one is near.
    pub nearest: Option<&'static str>,
}

/// The name nearest to what was written, when it is near enough to be meant.
#[must_use]
pub fn nearest(written: &str, names: impl Iterator<Item = &'static str>) -> Option<&'static str> {
    let far = (written.chars().count() / 3).clamp(1, 4);
    names
        .map(|name| (strsim::damerau_levenshtein(written, name), name))
        .filter(|(distance, _)| *distance <= far)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rule::Check;
    use Severity::{Error, Hint, Warning};

    #[test]
    fn doubt_lowers_by_one_level() {
        for (excess, spread, stated, left) in [
            (0.2, 0.0, Warning, Some(Warning)),
            (0.2, 0.1, Warning, Some(Warning)),
            (0.2, 0.11, Warning, Some(Hint)),
            (0.2, 0.11, Error, Some(Warning)),
            (0.2, 0.11, Hint, None),
            (0.0, 0.0, Error, None),
            (-1.0, 0.0, Error, None),
        ] {
            let grade = Grade::beyond(excess, spread, stated);
            assert_eq!(grade.and_then(Grade::severity), left, "{excess} {spread} {stated:?}");
        }
    }

    #[test]
    fn a_later_edition_changes_levels_and_brings_rules() {
        let Some(known) = registry::find("hop-time-exceeds-boil") else { unreachable!("a rule there is") };
        let rule = |since: Edition, later: &'static [(Edition, Level)]| {
            Rule::new(known.id, known.group, Level::Hint, Check::Written, known.doc).since(since).later(later)
        };
        let levels = |edition| {
            let mut levels = Levels::default();
            levels.set_edition(edition);
            levels
        };
        let (now, next) = (levels(Edition::Y2026), levels(Edition::NEXT));
        for (since, later, was, is) in [
            (Edition::Y2026, &[][..], Some(Hint), Some(Hint)),
            (Edition::Y2026, &[(Edition::NEXT, Level::Warning)], Some(Hint), Some(Warning)),
            (Edition::Y2026, &[(Edition::NEXT, Level::Off)], Some(Hint), None),
            (Edition::NEXT, &[], None, Some(Hint)),
        ] {
            let rule = rule(since, later);
            let severity = |levels: &Levels| levels.severity(&rule, Grade::HINT);
            assert_eq!((severity(&now), severity(&next)), (was, is), "{since:?} {later:?}");
            // What the house sets holds in every edition.
            let mut set = next.clone();
            assert_eq!(set.set(known.id, Level::Error), Ok(()));
            assert_eq!(severity(&set), Some(Error));
        }
    }

    #[test]
    fn what_is_set_for_some_files_holds_over_what_is_set_for_all() {
        let set = |rows: &[(&str, Level)]| {
            let mut levels = Levels::default();
            for (name, level) in rows {
                assert_eq!(levels.set(name, *level), Ok(()));
            }
            levels
        };
        let mut all = set(&[("hop-time-exceeds-boil", Level::Warning), ("style", Level::Error)]);
        let some = set(&[("boil", Level::Off), ("style-ibu", Level::Hint), ("safety", Level::Off)]);
        all.lay_over(&some);
        let level = |id| registry::find(id).map(|rule| all.of(rule));
        assert_eq!(level("hop-time-exceeds-boil"), Some(Level::Off), "the group of the files goes before");
        assert_eq!((level("style-ibu"), level("style-og")), (Some(Level::Hint), Some(Level::Error)));
        for rule in RULES.iter().filter(|rule| rule.safety && rule.group == Group::Safety) {
            assert_eq!(all.of(rule), rule.level, "{} is silenced", rule.id);
        }
    }

    #[test]
    fn the_worst_that_is_left_counts() {
        let bands = [((4.7, 9.0), Error), ((5.1, 5.8), Warning), ((5.2, 5.6), Hint)];
        let grade = |value, spread: f64| Grade::outside(value, || spread, &bands).and_then(Grade::severity);
        assert_eq!(grade(5.4, 0.1), None);
        assert_eq!(grade(5.7, 0.0), Some(Hint));
        assert_eq!(grade(5.9, 0.0), Some(Warning));
        assert_eq!(grade(5.9, 0.1), Some(Hint));
        assert_eq!(grade(4.6, 0.0), Some(Error));
        assert_eq!(grade(4.6, 0.1), Some(Warning));
        assert_eq!(Grade::above(1.0, || unreachable!("not asked for at the limit"), &[(1.0, Error)]), None);
    }
}
