//! The configuration in force, written out as a `gyle.toml`.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use rules::Group;

use crate::config::Config;
use crate::written::{CUSTOMARY, FIGURES};

impl Config {
    /// Every setting in force, in the form of a `gyle.toml`. Reading it gives the same configuration: levels
    /// that nobody set stand there as comments, those set for some files among the others where they hold.
    #[must_use]
    pub fn in_force(&self) -> String {
        let mut out = String::new();
        let mut line = |text: String| {
            out.push_str(text.trim_end());
            out.push('\n');
        };
        line(format!("rules = {}", quoted(self.edition().word())));
        line(format!("library = {}", list(self.library.iter().map(|library| &*library.written))));
        let settings = self.figure_settings();
        let written = |(key, value): &(&str, String)| match &**value {
            // What is left to each recipe has no value to write.
            BY_RECIPE => format!("# {key}: {BY_RECIPE}"),
            // Numbers stand alone, words in quotes.
            value if value.parse::<f64>().is_ok() => format!("{key} = {value}"),
            value => format!("{key} = {}", quoted(value)),
        };
        let (top, rest) = settings.split_at(1);
        for one in top {
            line(written(one));
        }
        line(String::new());
        line("[figures]".into());
        for one in rest {
            line(written(one));
        }
        line(String::new());
        line("[check]".into());
        line(format!("exclude = {}", list(self.excluded.iter().map(|pattern| &**pattern))));
        line(String::new());
        line("[check.rules]".into());
        for group in Group::ALL {
            for rule in rules::RULES.iter().filter(|rule| rule.group == *group) {
                // A level that is set holds for every finding of its rule; a default is that of its worst.
                let set = self.rules.levels.set_for(rule).is_some();
                let level = quoted(self.rules.levels.of(rule).word());
                let comment = if set { "" } else { "# " };
                line(format!("{:<40} # {}", format!("{comment}{} = {level}", rule.id), group.word()));
            }
        }
        line(String::new());
        line("[check.limits]".into());
        let mut named = BTreeSet::new();
        for limit in rules::RULES.iter().flat_map(|rule| rule.limits) {
            if named.insert(limit.name) {
                line(format!("{} = {}", limit.name, quoted(&self.rules.limits.written(limit))));
            }
        }
        out
    }
}

/// What stands for a setting that each recipe makes for itself.
const BY_RECIPE: &str = "as each recipe says";

impl Config {
    /// The settings the figures depend on, each with its value in words.
    #[must_use]
    pub fn figure_settings(&self) -> Vec<(&'static str, String)> {
        core::iter::once(&CUSTOMARY)
            .chain(FIGURES)
            .map(|key| (key.word, key.takes.in_force(&self.figures).unwrap_or_else(|| BY_RECIPE.to_owned())))
            .collect()
    }
}

/// Text in quotes, as TOML wants it.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn list<'t>(texts: impl Iterator<Item = &'t str>) -> String {
    format!("[{}]", texts.map(quoted).collect::<Vec<_>>().join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_in_force_reads_back_as_itself() {
        for written in [
            "",
            "library = [\"a \\\"b\\\"/*.gyle\", \"c\\\\d\"]\ncustomary = \"imperial\"\n\
             [figures]\nbitterness = \"rager\"\nmash-effect = \"on\"\nunits = \"us\"\npellet-factor = 1.1\n\
             [check]\nexclude = [\"old/**\"]\n\
             [check.rules]\nstyle = \"off\"\nhop-time-exceeds-boil = \"hint\"\n\
             [check.limits]\nmash-ph = \"5.25..5.5\"\n",
        ] {
            let read = |text: &str| Config::read("/r".into(), "/r/gyle.toml".into(), text);
            let first = read(written);
            assert_eq!(first.errors, []);
            let text = first.in_force();
            let second = read(&text);
            assert_eq!(second.errors, [], "{text}");
            assert_eq!(second.figures, first.figures);
            let library =
                |config: &Config| config.library.iter().map(|one| one.written.clone()).collect::<Vec<_>>();
            assert_eq!(library(&second), library(&first));
            assert_eq!(second.excluded, first.excluded);
            for rule in rules::RULES {
                let level = |config: &Config| config.rules.levels.set_for(rule);
                assert_eq!(level(&second), level(&first), "{}", rule.id);
            }
            for limit in rules::RULES.iter().flat_map(|rule| rule.limits) {
                assert_eq!(second.rules.limits.band(limit), first.rules.limits.band(limit), "{}", limit.name);
            }
        }
    }
}
