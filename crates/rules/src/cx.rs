//! What a rule is given to look at.

use std::cell::{OnceCell, RefCell};

use figures::{Actual, Calc, FigureId};
use recipe::{Definition, Event, FileId, Log, Part, Recipe, Test, Thing};
use syntax::Span;
use syntax::ast;

use crate::hit::At;
use crate::limits::{Limit, Limits};

/// A recipe, or one part of it, with its figures.
pub struct RecipeCx<'a, 'r> {
    /// The recipe.
    pub recipe: &'r Recipe,
    /// Its figures; of the part looked at.
    pub calc: &'a Calc<'r>,
    /// The limits in force.
    pub limits: &'a Limits,
    spreads: RefCell<Vec<(FigureId, f64)>>,
    grist: OnceCell<Vec<GristPart>>,
    expected: OnceCell<Vec<Option<FigureId>>>,
}

/// A line of the grist with its figures, as far as they can be computed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GristPart {
    /// kg
    pub mass: Option<f64>,
    /// Of the grist's mass, parts of one.
    pub share: Option<f64>,
    /// Extract that reaches the wort, kg.
    pub extract: Option<f64>,
}

impl<'a, 'r> RecipeCx<'a, 'r> {
    /// The recipe of these figures.
    #[must_use]
    pub const fn new(calc: &'a Calc<'r>, limits: &'a Limits) -> Self {
        Self {
            recipe: calc.recipe,
            calc,
            limits,
            spreads: RefCell::new(Vec::new()),
            grist: OnceCell::new(),
            expected: OnceCell::new(),
        }
    }

    /// The part of the recipe looked at.
    #[must_use]
    pub fn part(&self) -> &'a Part {
        self.calc.part()
    }

    /// Which part of the recipe is looked at.
    #[must_use]
    pub fn part_index(&self) -> usize {
        self.recipe.parts.iter().position(|part| core::ptr::eq(part, self.part())).unwrap_or(0)
    }

    /// A figure in the unit it is shown in, when it can be computed.
    #[must_use]
    pub fn figure(&self, id: FigureId) -> Option<f64> {
        self.calc.value(id).ok()
    }

    /// One standard deviation of a figure; zero where none is known. Costs many times what the figure
    /// costs: asked for only when a limit is exceeded.
    #[must_use]
    pub fn spread(&self, id: FigureId) -> f64 {
        if let Some((_, spread)) = self.spreads.borrow().iter().find(|(known, _)| *known == id) {
            return *spread;
        }
        let spread = self.calc.spread(id).filter(|spread| spread.is_finite()).unwrap_or(0.0);
        self.spreads.borrow_mut().push((id, spread));
        spread
    }

    /// The number of a limit.
    #[must_use]
    pub fn limit(&self, limit: &Limit) -> f64 {
        self.limits.of(limit)
    }

    /// Both ends of a limit that is a band.
    #[must_use]
    pub fn band(&self, limit: &Limit) -> (f64, f64) {
        self.limits.band(limit)
    }

    /// The lines of the grist with their figures, in the order of the recipe.
    #[must_use]
    pub fn grist(&self) -> &[GristPart] {
        self.grist.get_or_init(|| {
            let mut parts = vec![GristPart::default(); self.recipe.grist.len()];
            if let Ok(known) = self.calc.grist_parts() {
                let whole: f64 = known.iter().map(|part| part.mass).sum();
                for (part, known) in parts.iter_mut().zip(known) {
                    part.mass = Some(known.mass);
                    part.share = (whole > 0.0).then(|| known.mass / whole);
                    part.extract = Some(known.extract);
                }
            }
            parts
        })
    }

    /// The figure that each line of `expect` names, in the order of the part; `None` for a condition and for
    /// a line that is wrong by itself, which is reported as such.
    #[must_use]
    pub fn expected(&self) -> &[Option<FigureId>] {
        self.expected.get_or_init(|| {
            let named = |expectation: &recipe::Expectation| match &expectation.test {
                Test::Within { figure, .. } if self.calc.expectation_error(expectation).is_none() => {
                    FigureId::from_words(figure)
                }
                _ => None,
            };
            self.part().expect.iter().map(named).collect()
        })
    }

    /// Whether the recipe carries a tag.
    #[must_use]
    pub fn tagged(&self, tag: &str) -> bool {
        self.recipe.tagged(tag)
    }
}

/// A log, with the plan of its recipe where that was found.
pub struct LogCx<'a, 'l> {
    /// The log.
    pub log: &'l Log,
    /// What was measured, corrected.
    pub actual: &'a Actual<'l>,
    /// The recipe planned.
    pub plan: Option<&'a RecipeCx<'a, 'l>>,
    /// The limits in force.
    pub limits: &'a Limits,
}

impl LogCx<'_, '_> {
    /// Index of the first entry at which the beer had reached this share (parts of one) of the attenuation
    /// it was expected to reach; `None` when the log does not show it.
    #[must_use]
    pub fn ferment_end(&self, share: f64) -> Option<usize> {
        let og = self.actual.value(FigureId::ActualOg).or_else(|_| self.actual.value(FigureId::Og)).ok()?;
        let fg = self.plan?.figure(FigureId::Fg)?;
        let wanted = og - (og - fg) * share;
        let pitched = self.actual.pitched_at()?;
        self.actual
            .gravities()
            .into_iter()
            .find(|gravity| gravity.entry > pitched && gravity.sg <= wanted)
            .map(|gravity| gravity.entry)
    }

    /// Days from pitching to an entry; by date where a time of day is missing.
    #[must_use]
    pub fn days_since_pitch(&self, entry: usize) -> Option<f64> {
        let pitched = self.log.entries.get(self.actual.pitched_at()?)?;
        Actual::days_between(pitched.moment, self.log.entries.get(entry)?.moment)
    }

    /// Days from one entry to another; by date where a time of day is missing.
    #[must_use]
    pub fn days(&self, from: usize, to: usize) -> Option<f64> {
        Actual::days_between(self.log.entries.get(from)?.moment, self.log.entries.get(to)?.moment)
    }

    /// Minutes from one entry to another; `None` where a time of day is missing.
    #[must_use]
    pub fn minutes(&self, from: usize, to: usize) -> Option<f64> {
        let at = |entry: usize| Actual::minutes(self.log.entries.get(entry)?.moment);
        Some(at(to)? - at(from)?)
    }

    /// Index of the first entry that is such an event.
    #[must_use]
    pub fn first(&self, wanted: impl Fn(&Event) -> bool) -> Option<usize> {
        self.log.entries.iter().position(|entry| wanted(&entry.event))
    }

    /// Index of the last entry that is such an event.
    #[must_use]
    pub fn last(&self, wanted: impl Fn(&Event) -> bool) -> Option<usize> {
        self.log.entries.iter().rposition(|entry| wanted(&entry.event))
    }

    /// The number of a limit.
    #[must_use]
    pub fn limit(&self, limit: &Limit) -> f64 {
        self.limits.of(limit)
    }

    /// Both ends of a limit that is a band.
    #[must_use]
    pub fn band(&self, limit: &Limit) -> (f64, f64) {
        self.limits.band(limit)
    }
}

/// A definition of the library.
pub struct DefinitionCx<'a> {
    /// The definition.
    pub definition: &'a Definition,
    /// The same as a thing named, which is how facts are read.
    pub thing: &'a Thing,
    /// The limits in force.
    pub limits: &'a Limits,
}

impl DefinitionCx<'_> {
    /// A place in the definition's own block.
    #[must_use]
    pub fn at(&self, span: Span) -> At {
        At::Library(self.definition.place, span)
    }
}

/// A file.
pub struct FileCx<'a> {
    /// Which.
    pub id: FileId,
    /// Its blocks.
    pub file: &'a ast::File,
    /// Its name without folder and ending, where it has one.
    pub stem: Option<&'a str>,
    /// The recipes in it.
    pub recipes: &'a [&'a Recipe],
    /// The limits in force.
    pub limits: &'a Limits,
}

/// All files of a repository together.
pub struct RepositoryCx<'a> {
    /// Where a rule that fails is reported.
    pub home: At,
    /// The logs: id, where it stands, and the name of its file.
    pub logs: &'a [(&'a str, At, &'a str)],
    /// The library's own definitions and whether anything names them.
    pub definitions: &'a [(&'a Definition, bool)],
}
