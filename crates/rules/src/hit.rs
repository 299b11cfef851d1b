//! What a rule has found, before it is put into words.

use std::borrow::Cow;
use std::sync::Arc;

use recipe::{DefPlace, FileId, Place};
use syntax::ast::{Block, Body, Entry, PropKind, ValueKind};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};
use syntax::{Edit, Fault, Fix, Span};

use crate::finding::{Finding, Related, Severity};
use crate::level::Grade;
use crate::registry;
use crate::rule::Rule;
use crate::say::Say;

/// Where something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum At {
    /// In the blocks of the recipe.
    Recipe(Place),
    /// In the blocks of the log.
    Log(Place),
    /// In a definition of the library.
    Library(DefPlace, Span),
    /// In the file, by its bytes.
    File(FileId, Span),
}

impl At {
    /// The same block or file, other bytes.
    #[must_use]
    pub const fn within(self, span: Span) -> Self {
        match self {
            Self::Recipe(place) => Self::Recipe(Place { block: place.block, span }),
            Self::Log(place) => Self::Log(Place { block: place.block, span }),
            Self::Library(definition, _) => Self::Library(definition, span),
            Self::File(file, _) => Self::File(file, span),
        }
    }

    /// The bytes, whatever they are relative to.
    #[must_use]
    pub const fn span(self) -> Span {
        match self {
            Self::Recipe(place) | Self::Log(place) => place.span,
            Self::Library(_, span) | Self::File(_, span) => span,
        }
    }

    /// Whether two places share a byte, or stand at the same one.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        let (a, b) = (self.span(), other.span());
        self.within(Span::at(0)) == other.within(Span::at(0)) && a.start <= b.end && b.start <= a.end
    }
}

/// The words of a finding, in three parts. Each begins in lower case and ends without a full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Message {
    /// What the numbers are.
    pub numbers: String,
    /// Why it matters.
    pub why: Cow<'static, str>,
    /// What to do.
    pub remedy: Cow<'static, str>,
}

impl Message {
    /// Puts the parts together.
    pub fn new(
        numbers: impl Into<String>,
        why: impl Into<Cow<'static, str>>,
        remedy: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self { numbers: numbers.into(), why: why.into(), remedy: remedy.into() }
    }
}

/// A change that mends a finding, before its places are bytes of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// What it does, in the imperative.
    pub title: String,
    /// Safe to apply without a look.
    pub safe: bool,
    /// What is replaced by what.
    pub edits: Vec<(At, String)>,
}

impl Mend {
    /// A change that somebody has to accept: it replaces what stands at a place.
    #[must_use]
    pub fn proposed(title: impl Into<String>, at: At, text: impl Into<String>) -> Self {
        Self { title: title.into(), safe: false, edits: vec![(at, text.into())] }
    }
}

/// The numbers of a finding. Words and edits are made only when somebody asks.
pub trait Detail: Send + Sync {
    /// The words.
    fn message(&self, say: Say) -> Message;
    /// Other places that have to do with it.
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        Vec::new()
    }
    /// Whether it counts as a cause of others, where its rule finds causes.
    fn is_cause(&self) -> bool {
        true
    }
    /// Blocks that it makes doubtful besides those that its rule does.
    fn taints(&self) -> &'static [BlockKind] {
        &[]
    }
    /// Rules that have nothing to add once this has been said, in the recipe and in its logs, besides those
    /// that its rule names.
    fn absorbs(&self) -> &'static [&'static str] {
        &[]
    }
    /// Ways to mend it, the likeliest first.
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        Vec::new()
    }
}

/// The texts that places are relative to.
#[derive(Clone, Copy, Debug, Default)]
pub struct Texts<'a> {
    /// Blocks of the recipe.
    pub recipe: &'a [Arc<Block>],
    /// Blocks of the log.
    pub log: &'a [Arc<Block>],
}

impl<'a> Texts<'a> {
    /// The text at a place of a recipe or a log; empty elsewhere.
    #[must_use]
    pub fn at(&self, at: At) -> &'a str {
        let (blocks, place) = match at {
            At::Recipe(place) => (self.recipe, place),
            At::Log(place) => (self.log, place),
            At::Library(..) | At::File(..) => return "",
        };
        blocks.get(usize::from(place.block)).map_or("", |block| place.span.of(&block.text))
    }

    fn block(&self, at: At) -> Option<(&'a Block, Place)> {
        let (blocks, place) = match at {
            At::Recipe(place) => (self.recipe, place),
            At::Log(place) => (self.log, place),
            At::Library(..) | At::File(..) => return None,
        };
        Some((&**blocks.get(usize::from(place.block))?, place))
    }

    /// The entry or header that a place lies in.
    #[must_use]
    pub fn entry(&self, at: At) -> Option<&'a Entry> {
        let (block, place) = self.block(at)?;
        block.lines.iter().find_map(|line| match &line.body {
            Body::Entry(entry) | Body::Header(entry) if entry.span.touches(place.span.start) => {
                Some(&**entry)
            }
            _ => None,
        })
    }

    /// The value of the clause with this word, on the line that a place lies in.
    #[must_use]
    pub fn clause_value(&self, at: At, word: ClauseWord) -> Option<At> {
        let value = self.entry(at)?.clause(word)?.value()?;
        Some(at.within(value.span))
    }

    /// The value of a property of the line that a place lies in: keyed, or the only bare one.
    #[must_use]
    pub fn property_value(&self, at: At, key: Keyword) -> Option<At> {
        let entry = self.entry(at)?;
        let keyed = entry.prop(key).and_then(|prop| match &prop.kind {
            PropKind::Keyed { value, .. } => value.as_ref().map(|value| value.span),
            _ => None,
        });
        let span = keyed.or_else(|| {
            entry.props().find_map(|prop| match &prop.kind {
                PropKind::Value(value) => Some(value.span),
                _ => None,
            })
        })?;
        Some(at.within(span))
    }

    /// The first value on the line that a place lies in.
    #[must_use]
    pub fn value(&self, at: At) -> Option<At> {
        Some(at.within(self.entry(at)?.value()?.span))
    }

    /// Number and unit of a value that is one plain quantity, as they are written.
    #[must_use]
    pub fn measure(&self, at: At) -> Option<(f64, &'a str)> {
        let measure = self.entry(at)?.values().find_map(|value| match &value.kind {
            ValueKind::Plain(measure) if value.span == at.span() => Some(*measure),
            _ => None,
        })?;
        Some((measure.number, self.at(at.within(measure.unit_span))))
    }

    /// The line that a place lies in, without its line end.
    #[must_use]
    pub fn line(&self, at: At) -> Option<At> {
        let (block, place) = self.block(at)?;
        let line = block.lines.iter().find(|line| line.span.touches(place.span.start))?;
        Some(at.within(line.span))
    }

    /// The whole lines that a place touches, their line ends included, as a place of the same block.
    #[must_use]
    pub fn lines(&self, at: At) -> Option<At> {
        let (block, place) = self.block(at)?;
        let mut touched = block
            .lines
            .iter()
            .filter(|line| line.span.start <= place.span.end && line.end > place.span.start);
        let first = touched.next()?;
        let end = touched.next_back().map_or(first.end, |line| line.end);
        Some(at.within(Span::new(first.span.start, end)))
    }
}

/// Something a rule has found.
pub struct Hit {
    /// Which rule.
    pub rule: &'static Rule,
    /// How bad by the rule, and how sure.
    pub grade: Grade,
    /// Where.
    pub at: At,
    /// The numbers.
    pub detail: Box<dyn Detail>,
}

impl core::fmt::Debug for Hit {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{} {:?} {:?}", self.rule.id, self.grade, self.at)
    }
}

/// Turns places into bytes of files.
pub trait Locate {
    /// The file and its bytes; `None` for what stands nowhere one can look.
    fn locate(&self, at: At) -> Option<(FileId, Span)>;
    /// The texts of the recipe and the log.
    fn texts(&self) -> Texts<'_>;
}

impl Hit {
    /// Puts the hit into words at its place in a file. Nothing when the place cannot be found.
    pub fn finding(
        &self,
        severity: Severity,
        owner: Option<&str>,
        say: Say,
        locate: &dyn Locate,
    ) -> Option<Finding> {
        let (file, span) = locate.locate(self.at)?;
        let Message { numbers, why, remedy } = self.detail.message(say);
        let mut message = numbers;
        if !why.is_empty() {
            message.push_str("; ");
            message.push_str(&why);
        }
        let related = self
            .detail
            .related(say)
            .into_iter()
            .filter_map(|(at, message)| {
                let (file, span) = locate.locate(at)?;
                Some(Related { file, span, message })
            })
            .collect();
        let fixes = self
            .detail
            .fixes(&locate.texts(), say)
            .into_iter()
            .filter_map(|mend| {
                let mut edits = Vec::with_capacity(mend.edits.len());
                for (at, text) in mend.edits {
                    // A fix stays in the file of its finding; the catalogue is never edited.
                    let (edited, span) = locate.locate(at)?;
                    if edited != file {
                        return None;
                    }
                    edits.push(Edit { span, text });
                }
                edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
                (!edits.is_empty()).then_some(Fix { title: mend.title, safe: mend.safe, edits })
            })
            .collect();
        Some(Finding {
            rule: self.rule.id,
            group: self.rule.group,
            severity,
            message,
            help: remedy.into_owned(),
            file,
            span,
            related,
            fixes,
            recipe: owner.map(Into::into),
        })
    }

    /// A fault of writing, or a problem of names and values, as a hit of the rule it names. `place` turns
    /// a range of its block into a place.
    #[must_use]
    pub fn of_fault(fault: &Fault, related: Vec<(At, String)>, place: impl Fn(Span) -> At) -> Self {
        let rule = registry::find(fault.rule).unwrap_or(registry::FALLBACK);
        let stated = rule.level.severity().unwrap_or(Severity::Warning);
        let fixes = fault
            .fixes
            .iter()
            .map(|fix| Mend {
                title: fix.title.clone(),
                safe: fix.safe,
                edits: fix.edits.iter().map(|(span, text)| (place(*span), text.clone())).collect(),
            })
            .collect();
        Self {
            rule,
            grade: Grade::sure(stated),
            at: place(fault.span),
            detail: Box::new(Written {
                message: fault.message.clone(),
                help: fault.help.clone(),
                related,
                fixes,
            }),
        }
    }
}

/// Words that came with a fault.
struct Written {
    message: String,
    help: String,
    related: Vec<(At, String)>,
    fixes: Vec<Mend>,
}

impl Detail for Written {
    fn message(&self, _say: Say) -> Message {
        Message::new(self.message.clone(), "", self.help.clone())
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        self.related.clone()
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        self.fixes.clone()
    }
}

/// Takes the hits of one rule.
pub struct Hits<'a> {
    pub(crate) rule: &'static Rule,
    pub(crate) list: &'a mut Vec<Hit>,
}

impl Hits<'_> {
    /// Something found in the recipe.
    pub fn recipe(&mut self, grade: Grade, place: Place, detail: impl Detail + 'static) {
        self.push(grade, At::Recipe(place), detail);
    }
    /// Whether this rule has found nothing so far.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        !self.list.iter().any(|hit| core::ptr::eq(hit.rule, self.rule))
    }
    /// Something found in the log.
    pub fn log(&mut self, grade: Grade, place: Place, detail: impl Detail + 'static) {
        self.push(grade, At::Log(place), detail);
    }
    /// Something found anywhere.
    pub fn push(&mut self, grade: Grade, at: At, detail: impl Detail + 'static) {
        self.list.push(Hit { rule: self.rule, grade, at, detail: Box::new(detail) });
    }
}
