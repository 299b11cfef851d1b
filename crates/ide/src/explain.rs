//! Explanations of figures as markdown, for tooltips and hovers.

use std::fmt::Write as _;

use brewing::source::Source;
use figures::{Figure, FigureId, Show, ShownUnits};
use quantity::typed::Gravity;

/// A value as shown, with the second scale a brewer looks for.
pub(crate) fn shown(id: FigureId, value: f64, units: ShownUnits) -> String {
    let show = id.show();
    match show {
        Show::Gravity => format!("{} ({})", show.number(value), plato(value)),
        Show::Colour => {
            let second = if units == ShownUnits::Metric { ShownUnits::Us } else { ShownUnits::Metric };
            format!("{} ({})", show.shown(value, units), show.shown(value, second))
        }
        _ => show.shown(value, units),
    }
}

/// A specific gravity in degrees Plato.
pub(crate) fn plato(sg: f64) -> String {
    Show::Plato.with_unit(brewing::gravity::plato(Gravity::from_sg(sg)).plato())
}

/// The explanation of something shown, made part by part.
#[derive(Default)]
pub(crate) struct Explanation {
    text: String,
    sources: Vec<&'static Source>,
}

impl Explanation {
    /// A paragraph.
    pub(crate) fn say(&mut self, text: &str) -> &mut Self {
        if !self.text.is_empty() {
            self.text.push_str("\n\n");
        }
        self.text.push_str(&escaped(text));
        self
    }

    /// A heading.
    pub(crate) fn title(&mut self, text: &str) -> &mut Self {
        if !self.text.is_empty() {
            self.text.push_str("\n\n");
        }
        let _ = write!(self.text, "**{}**", escaped(text));
        self
    }

    /// Lines of a formula, as they are.
    pub(crate) fn formula<T: AsRef<str>>(&mut self, lines: impl IntoIterator<Item = T>) -> &mut Self {
        let mut any = false;
        for line in lines {
            if !any {
                if !self.text.is_empty() {
                    self.text.push_str("\n\n");
                }
                self.text.push_str("```text\n");
                any = true;
            }
            self.text.push_str(line.as_ref());
            self.text.push('\n');
        }
        if any {
            self.text.push_str("```");
        }
        self
    }

    /// A list.
    pub(crate) fn list<T: AsRef<str>>(&mut self, items: impl IntoIterator<Item = T>) -> &mut Self {
        for (at, item) in items.into_iter().enumerate() {
            if at == 0 && !self.text.is_empty() {
                self.text.push('\n');
            }
            let _ = write!(self.text, "\n- {}", escaped(item.as_ref()));
        }
        self
    }

    /// Where formulas come from; said once, at the end.
    pub(crate) fn source(&mut self, source: &'static Source) -> &mut Self {
        if !self.sources.contains(&source) {
            self.sources.push(source);
        }
        self
    }

    /// What was assumed for a figure, what limits it, and where its formulas come from.
    pub(crate) fn grounds(&mut self, figure: &Figure) -> &mut Self {
        let assumed =
            figure.assumed.iter().map(|one| format!("assumed {} {} ({})", one.what, one.value, one.from));
        let notes = figure.cautions.iter().map(|caution| format!("note: {caution}"));
        self.list(assumed.chain(notes));
        for source in &figure.sources {
            self.source(source);
        }
        self
    }

    /// A figure with everything that explains it.
    pub(crate) fn figure(&mut self, figure: &Figure, units: ShownUnits) -> &mut Self {
        let mut title = format!("{} {}", figure.id.words(), shown(figure.id, figure.value, units));
        if let Some(code) = figure.currency {
            let _ = write!(title, " {code}");
        }
        if let Some((low, high)) = figure.bounds {
            let show = figure.id.show();
            let (low, high) = (show.number_in(low, units), show.number_in(high, units));
            if low != high {
                let _ = write!(title, ", likely {low} to {high}");
            }
        }
        self.title(&title).formula(&figure.formula).grounds(figure)
    }

    /// The whole as markdown.
    pub(crate) fn markdown(&mut self) -> String {
        let sources = core::mem::take(&mut self.sources);
        self.list(sources.iter().map(|source| format!("source: {source}")));
        core::mem::take(&mut self.text)
    }
}

/// Text that markdown shows as it is.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        if matches!(letter, '*' | '_' | '`' | '[' | ']' | '<' | '>' | '\\' | '#' | '|' | '~') {
            out.push('\\');
        }
        out.push(letter);
    }
    out
}

/// The line of a formula that begins with a name, the one of several after so many others.
pub(crate) fn line_of<'f>(figure: &'f Figure, name: &str, nth: usize) -> Option<&'f str> {
    figure
        .formula
        .iter()
        .filter(|line| line.strip_prefix(name).is_some_and(|rest| rest.starts_with(": ")))
        .nth(nth)
        .map(String::as_str)
}
