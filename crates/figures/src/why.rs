//! Records how a value was computed, only when somebody asks.
//!
//! The functions that compute also explain: they hand every formula to a [`Why`], which does nothing
//! unless it was made to record. So the numbers shown in a formula are the numbers computed with.

use std::borrow::Cow;

use brewing::source::Source;
use brewing::validity::Range;
use recipe::Origin;

use crate::figure::Assumed;

/// What was recorded.
#[derive(Debug, Default)]
pub(crate) struct Record {
    pub(crate) formula: Vec<String>,
    pub(crate) sources: Vec<&'static Source>,
    pub(crate) assumed: Vec<Assumed>,
    pub(crate) cautions: Vec<String>,
    pub(crate) inputs: Vec<Origin>,
}

/// A recorder that may be off.
#[derive(Debug, Default)]
pub(crate) struct Why(Option<Box<Record>>);

impl Why {
    /// Records nothing.
    pub(crate) const fn off() -> Self {
        Self(None)
    }
    /// Records.
    pub(crate) fn on() -> Self {
        Self(Some(Box::default()))
    }
    /// Whether it records.
    pub(crate) const fn is_on(&self) -> bool {
        self.0.is_some()
    }
    /// What was recorded.
    pub(crate) fn into_record(self) -> Record {
        self.0.map(|record| *record).unwrap_or_default()
    }
    /// A line of the formula, with its numbers.
    pub(crate) fn formula(&mut self, line: impl FnOnce() -> String) {
        if let Some(record) = &mut self.0 {
            record.formula.push(line());
        }
    }
    /// Where a formula comes from.
    pub(crate) fn source(&mut self, source: &'static Source) {
        if let Some(record) = &mut self.0
            && !record.sources.iter().any(|have| core::ptr::eq(*have, source))
        {
            record.sources.push(source);
        }
    }
    /// Something not written and what was taken instead.
    pub(crate) fn assume(
        &mut self,
        what: impl Into<Cow<'static, str>>,
        value: impl FnOnce() -> String,
        from: impl Into<Cow<'static, str>>,
    ) {
        if let Some(record) = &mut self.0 {
            let assumed = Assumed { what: what.into(), value: value(), from: from.into() };
            if !record.assumed.contains(&assumed) {
                record.assumed.push(assumed);
            }
        }
    }
    /// A limit of what was computed.
    pub(crate) fn caution(&mut self, text: impl FnOnce() -> String) {
        if let Some(record) = &mut self.0 {
            let text = text();
            if !record.cautions.contains(&text) {
                record.cautions.push(text);
            }
        }
    }
    /// Says so where an input lies outside what a formula is known to hold for: nothing is carried on in
    /// silence. `what` names the input, `unit` stands behind its number.
    pub(crate) fn within(&mut self, range: &Range, input: f64, what: &str, unit: &str) {
        if let Some(outside) = range.check(input) {
            self.caution(|| {
                let step = range.high - range.low;
                let digits = if step < 1.0 { 3 } else { usize::from(step < 20.0) };
                let (low, high) = (range.low, range.high);
                format!(
                    "{what} {:.digits$}{unit} is outside {low:.digits$} to {high:.digits$}{unit}, for which {} \
                     is known to hold: the value is carried on from there",
                    outside.value, range.source.short
                )
            });
        }
    }
    /// An input and its place.
    pub(crate) fn uses(&mut self, origin: &Origin) {
        if let Some(record) = &mut self.0
            && !record.inputs.contains(origin)
        {
            record.inputs.push(origin.clone());
        }
    }
}
