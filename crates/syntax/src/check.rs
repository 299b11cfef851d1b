//! Holds an entry that was read against the vocabulary: what it takes, in which units, with which clauses.
//!
//! Finding and wording are apart: this module decides what is wrong, `words` says it.

use quantity::{Dimension, UnitId};
use smallvec::SmallVec;

use crate::ast::{Clause, ClausePart, Measure, Name, Part, Prop, PropKind, Value, ValueKind};
use crate::entry::Parts;
use crate::fault::Fault;
use crate::lexicon;
use crate::measure::{accepts, bare_number_stands};
use crate::scan;
use crate::span::Span;
use crate::vocabulary::{
    BlockKind, BlockSpec, ClauseSpec, ClauseWord, EntrySpec, Keyword, Kind, Slot, item_amounts,
};
use crate::words;

/// What a line may hold.
#[derive(Clone, Copy)]
pub(crate) struct Shape {
    /// How a message calls the entry: its keyword, or the block for an item.
    pub(crate) word: &'static str,
    pub(crate) block: BlockKind,
    pub(crate) takes: &'static [Slot],
    pub(crate) optional: u8,
    pub(crate) clauses: &'static [ClauseSpec],
    /// A clause without which the line says nothing.
    pub(crate) needs: Option<ClauseWord>,
    pub(crate) item: bool,
    pub(crate) header: bool,
}

impl Shape {
    pub(crate) fn of_entry(block: BlockKind, spec: &'static EntrySpec) -> Self {
        Self {
            word: spec.keyword.word(),
            block,
            takes: spec.takes,
            optional: spec.optional,
            clauses: spec.clauses,
            needs: spec.needs(),
            item: false,
            header: false,
        }
    }
    pub(crate) fn of_header(spec: &'static BlockSpec) -> Self {
        Self {
            word: spec.word,
            block: spec.kind,
            takes: spec.takes,
            optional: spec.optional,
            clauses: spec.clauses,
            needs: spec.needs(),
            item: false,
            header: true,
        }
    }
    pub(crate) fn of_item(spec: &'static BlockSpec) -> Option<Self> {
        Some(Self {
            word: spec.word,
            block: spec.kind,
            takes: &[],
            optional: 0,
            clauses: spec.items?,
            needs: None,
            item: true,
            header: false,
        })
    }
    pub(crate) fn clause(&self, word: ClauseWord) -> Option<&'static ClauseSpec> {
        self.clauses.iter().find(|clause| clause.word == word)
    }
}

/// Gives quotes, ids and numbers in names the part they play by what the entry takes.
pub(crate) fn arrange(parts: &mut Parts, shape: &Shape, text: &str) {
    if shape.takes.first() == Some(&Slot::Id)
        && let Some(first) = parts.first_mut()
        && let Part::Value(value) = first
    {
        *first = Part::Name(Name { span: value.span, quoted: false });
    }
    let strings = shape.takes.iter().filter(|slot| **slot == Slot::Str).count();
    let mut strings = strings;
    let mut named = false;
    let takes_name = shape.item || shape.takes.iter().any(|slot| matches!(slot, Slot::Ref(_) | Slot::Words));
    for part in parts.iter_mut() {
        match part {
            Part::Label(span) if strings > 0 => {
                strings -= 1;
                *part = Part::Value(string_value(text, *span));
            }
            Part::Label(span) if takes_name && !named => {
                named = true;
                *part = Part::Name(Name { span: *span, quoted: true });
            }
            Part::Name(_) => named = true,
            Part::Clause(clause) => arrange_clause(clause, shape, text),
            _ => {}
        }
    }
    label_of_with(parts, shape);
    if shape.item {
        number_of_name(parts, text);
    }
}

fn arrange_clause(clause: &mut Clause, shape: &Shape, text: &str) {
    let Some(spec) = shape.clause(clause.word) else { return };
    let (id, string) = (spec.takes.contains(&Slot::Id), spec.takes.contains(&Slot::Str));
    for part in &mut clause.parts {
        match part {
            ClausePart::Value(value) if id => {
                *part = ClausePart::Name(Name { span: value.span, quoted: false });
            }
            ClausePart::Name(name) if string && name.quoted => {
                let value = string_value(text, name.span);
                clause.span = clause.span.cover(value.span);
                *part = ClausePart::Value(value);
            }
            ClausePart::Name(name) if name.quoted => {
                clause.span = clause.span.cover(string_value(text, name.span).span);
            }
            _ => {}
        }
    }
}

/// Text in quotes as a value; the range of the value holds the quotes too.
fn string_value(text: &str, inner: Span) -> Value {
    let before = text.get(..inner.start as usize).and_then(|before| before.chars().next_back());
    let quote = |c: &char| *c == '"' || scan::is_curly(*c);
    let open = before.filter(quote).map_or(0, char::len_utf8) as u32;
    let close = scan::char_at(text, inner.end as usize).filter(quote).map_or(0, char::len_utf8) as u32;
    Value { span: Span::new(inner.start - open, inner.end + close), kind: ValueKind::Str(inner) }
}

/// `with 4 g/L "corn sugar"`: the quotes are the sugar's name, not the label of the line.
fn label_of_with(parts: &mut Parts, shape: &Shape) {
    let named = |clause: &ClauseSpec| clause.takes.iter().any(|slot| matches!(slot, Slot::Ref(_)));
    if !shape.clause(ClauseWord::With).is_some_and(named) {
        return;
    }
    for at in 1..parts.len() {
        let Some(&Part::Label(span)) = parts.get(at) else { continue };
        let Some(Part::Clause(clause)) = parts.get_mut(at - 1) else { continue };
        if clause.word == ClauseWord::With && matches!(clause.parts.as_slice(), [ClausePart::Value(_)]) {
            clause.parts.push(ClausePart::Name(Name { span, quoted: true }));
            clause.span = clause.span.cover(span);
            parts.remove(at);
            return;
        }
    }
}

/// `20 g 1272 malt`: a number behind the amount and before words is part of the name.
fn number_of_name(parts: &mut Parts, text: &str) {
    let [Part::Value(amount), Part::Value(number), Part::Name(name), ..] = parts.as_slice() else { return };
    let bare = |value: &Value| matches!(value.kind, ValueKind::Plain(measure) if measure.unit.is_none());
    let gap = text.get(number.span.end as usize..name.span.start as usize).unwrap_or("x");
    if name.quoted || bare(amount) || !bare(number) || !gap.trim().is_empty() {
        return;
    }
    let span = number.span.cover(name.span);
    parts.remove(1);
    if let Some(part) = parts.get_mut(1) {
        *part = Part::Name(Name { span, quoted: false });
    }
}

/// What was found wrong with an entry.
pub(crate) struct Findings {
    /// What leaves the line readable.
    pub(crate) faults: SmallVec<[Fault; 1]>,
    /// The first thing that does not.
    pub(crate) fatal: Option<Fault>,
}

/// Checks one entry.
pub(crate) struct Checker<'t> {
    text: &'t str,
    shape: Shape,
    found: Findings,
}

impl<'t> Checker<'t> {
    pub(crate) fn new(text: &'t str, shape: Shape) -> Self {
        Self { text, shape, found: Findings { faults: SmallVec::new(), fatal: None } }
    }

    pub(crate) fn into_findings(self) -> Findings {
        self.found
    }

    fn fault(&mut self, fault: Fault) {
        self.found.faults.push(fault);
    }

    fn fatal(&mut self, fault: Fault) {
        if self.found.fatal.is_none() {
            self.found.fatal = Some(fault);
        }
    }

    /// An item: amount, name, and what the block's items may have besides.
    pub(crate) fn item(&mut self, parts: &Parts, whole: Span) {
        let reaches = parts
            .iter()
            .any(|part| matches!(part, Part::Clause(clause) if clause.word == ClauseWord::ToReach));
        let mut amount: Option<&Value> = None;
        let mut name: Option<Name> = None;
        for part in parts {
            match part {
                Part::Value(value) if amount.is_none() && name.is_none() => {
                    amount = Some(value);
                    if !matches!(
                        value.kind,
                        ValueKind::Plain(_)
                            | ValueKind::Range(..)
                            | ValueKind::Tolerance(..)
                            | ValueKind::Expr(_)
                    ) {
                        self.fatal(words::no_amount(self.text, self.shape, value.span));
                    }
                }
                // A keyword with a slip in it would be a name without an amount.
                Part::Value(value) => match name.filter(|name| amount.is_none() && !name.quoted) {
                    Some(name) => match words::near_keyword(self.text, self.shape.block, name.span) {
                        Some(fault) => self.fatal(fault),
                        None => self.neighbour(value, Some(name), None),
                    },
                    None => self.neighbour(value, name, None),
                },
                Part::Name(found) if name.is_none() => name = Some(*found),
                Part::Name(found) => self.fatal(words::second_name(self.text, found.span)),
                Part::Props(props) => self.properties(&props.list),
                _ => {}
            }
        }
        match (amount, name) {
            (_, None) => self.fatal(words::item_without_name(self.text, self.shape, whole)),
            (None, Some(name)) => {
                if !reaches {
                    self.item_without_amount(name);
                }
            }
            (Some(amount), Some(name)) => self.item_amount(amount, name),
        }
        self.clauses(parts);
    }

    fn item_amount(&mut self, amount: &Value, name: Name) {
        if let ValueKind::Plain(measure) = amount.kind
            && measure.unit.is_none()
            && !name.quoted
            && let Some(fault) = words::unknown_unit_in_item(self.text, amount.span, name.span)
        {
            self.fatal(fault);
            return;
        }
        self.measured(amount, item_amounts(self.shape.block), None);
    }

    fn item_without_amount(&mut self, name: Name) {
        let written = name.span.of(self.text);
        let after = written.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
        if !name.quoted && after.len() < written.len() && after.starts_with(char::is_alphabetic) {
            self.fatal(words::number_in_a_word(self.text, name.span));
        } else if let Some(fault) = words::near_keyword(self.text, self.shape.block, name.span) {
            self.fatal(fault);
        } else {
            self.fatal(words::item_without_amount(self.text, self.shape, name.span));
        }
    }

    /// A fact or a header: each part finds its place in what the keyword takes.
    pub(crate) fn fact(&mut self, parts: &Parts, keyword: Span) {
        let takes = self.shape.takes;
        let mut filled: u16 = 0;
        let mut next = 0;
        let mut before: Option<&Value> = None;
        for part in parts {
            match part {
                Part::Value(value) if value.span.end <= keyword.start => {
                    // An amount that leads, as in `8 L bottle`.
                    self.measured(value, &[Kind::Volume], None);
                }
                Part::Value(value) => {
                    match place_of(takes, next, |slot| slot_takes(slot, value)) {
                        Some(at) => {
                            filled |= 1 << at;
                            next = at + 1;
                            if let Some(Slot::Of(kinds)) = takes.get(at) {
                                self.measured(value, kinds, None);
                            }
                        }
                        None => self.stray_value(value, before.is_some() || next > 0),
                    }
                    before = Some(value);
                }
                Part::Name(name) => match place_of(takes, next, takes_name) {
                    Some(at) => {
                        filled |= 1 << at;
                        next = at + 1;
                        self.name(*name, takes.get(at), takes.get(at + 1));
                    }
                    None => self.stray_name(*name, before),
                },
                Part::Props(props) if self.shape.header => {
                    self.fatal(words::properties_in_header(self.text, self.shape, props.span));
                }
                Part::Props(props) => self.properties(&props.list),
                _ => {}
            }
        }
        self.clauses(parts);
        let required = takes.len().saturating_sub(usize::from(self.shape.optional));
        let reaches = parts
            .iter()
            .any(|part| matches!(part, Part::Clause(clause) if clause.word == ClauseWord::ToReach));
        for (at, slot) in takes.iter().enumerate().take(required) {
            // What is solved for needs no amount.
            let solved = reaches && at == 0 && matches!(slot, Slot::Of(_)) && takes.len() > 1;
            if filled & (1 << at) == 0 && !solved {
                self.fatal(words::missing(self.text, self.shape, slot, keyword));
                break;
            }
        }
        if let Some(word) = self.shape.needs
            && !parts.iter().any(|part| matches!(part, Part::Clause(clause) if clause.word == word))
        {
            self.fatal(words::missing_clause(self.text, self.shape, word, keyword));
        }
    }

    fn name(&mut self, name: Name, slot: Option<&Slot>, after: Option<&Slot>) {
        let written = name.span.of(self.text);
        match slot {
            Some(wanted @ Slot::Word(known)) => {
                if known.is_empty() {
                    if written.contains(char::is_whitespace) {
                        self.fatal(words::one_word(self.text, self.shape, name.span));
                    }
                } else if !known.iter().any(|word| lexicon::same_words(written, word)) {
                    // `keg 2.2`: the word is right, the number behind it has no unit.
                    let word_end = scan::word_end(written, 0);
                    let number = scan::blanks(written, word_end);
                    let first = written.get(..word_end).unwrap_or("");
                    let rest = scan::rest(written, number);
                    let at = name.span.start + number as u32;
                    match after {
                        Some(Slot::Of(kinds))
                            if known.iter().any(|word| lexicon::same_words(first, word))
                                && quantity::scan_number(rest).is_some_and(|(_, len)| len == rest.len()) =>
                        {
                            self.fatal(words::unit_missing(
                                self.text,
                                self.shape.word,
                                Span::new(at, name.span.end),
                                kinds,
                            ));
                        }
                        _ => self.fatal(words::wrong_word(
                            self.text,
                            self.shape.word,
                            name.span,
                            core::slice::from_ref(wanted),
                        )),
                    }
                }
            }
            Some(Slot::Id) if written.contains(char::is_whitespace) => {
                self.fatal(words::one_word(self.text, self.shape, name.span));
            }
            Some(Slot::Chance) if !CHANCES.iter().any(|word| lexicon::same_words(written, word)) => {
                self.fatal(words::wrong_word(self.text, self.shape.word, name.span, &[Slot::Chance]));
            }
            _ => {}
        }
    }

    fn stray_value(&mut self, value: &Value, beside: bool) {
        if beside {
            self.neighbour(value, None, None);
        } else {
            self.fatal(words::stray_value(self.text, self.shape, value));
        }
    }

    /// A value where the word that says what it is for is missing.
    fn neighbour(&mut self, value: &Value, name: Option<Name>, within: Option<ClauseWord>) {
        self.fatal(words::neighbour(self.text, self.shape, value, name, within));
    }

    fn stray_name(&mut self, name: Name, before: Option<&Value>) {
        if let Some(value) = before
            && let ValueKind::Plain(Measure { unit: None, .. }) = value.kind
            && let Some(fault) = words::unknown_unit(self.text, self.shape, value.span, name.span)
        {
            self.fatal(fault);
        } else {
            self.fatal(words::stray_name(self.text, self.shape, name.span));
        }
    }

    fn clauses(&mut self, parts: &Parts) {
        let mut seen: u16 = 0;
        for part in parts {
            let Part::Clause(clause) = part else { continue };
            let bit = 1 << clause.word as u16;
            let Some(spec) = self.shape.clause(clause.word) else {
                self.fatal(words::foreign_clause(self.text, self.shape, clause));
                continue;
            };
            if seen & bit != 0 {
                self.fault(words::repeated_clause(clause));
            }
            seen |= bit;
            self.clause(clause, spec);
        }
    }

    fn clause(&mut self, clause: &Clause, spec: &'static ClauseSpec) {
        let both = matches!(clause.word, ClauseWord::With | ClauseWord::Planned);
        let ph = spec.takes.iter().any(|slot| matches!(slot, Slot::Of(kinds) if kinds.contains(&Kind::Ph)));
        let (mut values, mut names) = (0, 0);
        for part in &clause.parts {
            match part {
                ClausePart::Value(value) => {
                    let second = values > 0 && !(both && values < spec.takes.len());
                    if second || (names > 0 && !ph) {
                        self.neighbour(value, None, Some(clause.word));
                    } else {
                        self.clause_value(clause, spec, value);
                    }
                    values += 1;
                }
                ClausePart::Name(name) => {
                    let is_ph = ph && name.span.of(self.text).eq_ignore_ascii_case("ph");
                    let fits = is_ph || spec.takes.iter().any(takes_name);
                    if names + values == 0 && !fits {
                        self.fatal(words::wrong_in_clause(self.text, clause, spec, name.span));
                    } else if names > 0 || (values > 0 && !both) || !fits {
                        let bare = match clause.value().map(|value| &value.kind) {
                            Some(ValueKind::Plain(Measure { unit: None, .. })) => clause.value(),
                            _ => None,
                        };
                        self.stray_name(*name, bare);
                    } else if !is_ph {
                        self.clause_name(clause, spec, *name);
                    }
                    names += 1;
                }
                ClausePart::Props(props) => self.properties(&props.list),
            }
        }
        let named = spec.takes.iter().any(|slot| matches!(slot, Slot::Ref(_)));
        if (values == 0 && (names == 0 || ph)) || (both && named && names == 0) {
            self.fatal(words::empty_clause(self.text, self.shape, clause, spec, values > 0));
        }
    }

    fn clause_value(&mut self, clause: &Clause, spec: &'static ClauseSpec, value: &Value) {
        let Some(slot) = spec.takes.iter().find(|slot| slot_takes(slot, value)) else {
            self.fatal(words::wrong_in_clause(self.text, clause, spec, value.span));
            return;
        };
        if let Slot::Of(kinds) = slot {
            self.measured(value, kinds, Some(clause.word));
        }
        if matches!(value.kind, ValueKind::Day(_, Some(_))) && clause.word != ClauseWord::On {
            self.fault(words::range_of_days(value.span));
        }
    }

    fn clause_name(&mut self, clause: &Clause, spec: &'static ClauseSpec, name: Name) {
        let written = name.span.of(self.text);
        let known = |slot: &Slot| match slot {
            Slot::Word(known) => known.iter().any(|word| lexicon::same_words(written, word)),
            slot => takes_name(slot),
        };
        if !spec.takes.iter().any(known) {
            self.fatal(words::wrong_word(self.text, clause.word.word(), name.span, spec.takes));
        }
    }

    /// The units of a value, and the order of its bounds.
    fn measured(&mut self, value: &Value, kinds: &'static [Kind], clause: Option<ClauseWord>) {
        let word = clause.map_or(self.shape.word, ClauseWord::word);
        match &value.kind {
            ValueKind::Plain(measure) => self.unit(measure, kinds, word, value.span),
            ValueKind::Range(low, high) => {
                self.unit(high, kinds, word, value.span);
                if low.unit.is_some() && low.unit != high.unit {
                    self.unit(low, kinds, word, low.span);
                }
                self.order(low, high);
            }
            ValueKind::Tolerance(middle, plus) => {
                let unit = middle.unit.or(plus.unit);
                self.unit(&Measure { unit, ..*middle }, kinds, word, value.span);
                let step = plus.unit.is_none_or(|unit| {
                    kinds.iter().any(|&kind| {
                        accepts(kind, unit)
                            || (kind == Kind::Temperature && unit.dimension() == Dimension::TemperatureStep)
                    })
                });
                // A unit that stands behind both has been looked at.
                if !step && middle.unit.is_some() {
                    self.fault(words::wrong_dimension(self.text, self.shape, word, plus, kinds, plus.span));
                }
            }
            _ => return,
        }
        let single = matches!(value.kind, ValueKind::Plain(_));
        let of_boil = kinds == [Kind::Time]
            && (clause == Some(ClauseWord::At)
                || clause == Some(ClauseWord::Boil)
                || (clause.is_none() && self.shape.word == Keyword::Boil.word()));
        let counted = match &value.kind {
            ValueKind::Range(_, Measure { unit, .. }) | ValueKind::Tolerance(_, Measure { unit, .. }) => {
                unit.is_some_and(|unit| unit.dimension() == Dimension::Count)
            }
            _ => false,
        };
        if !single && (of_boil || counted) {
            self.fault(words::one_number(self.text, value.span, of_boil));
        }
    }

    /// The lower end stands first. A unit behind the second number counts for the first.
    fn order(&mut self, low: &Measure, high: &Measure) {
        if low.unit.or(high.unit) == high.unit && low.number > high.number {
            self.fault(words::range_inverted(self.text, low, high));
        }
    }

    fn unit(&mut self, measure: &Measure, kinds: &'static [Kind], word: &'static str, whole: Span) {
        match measure.unit {
            None => {
                if !kinds.iter().any(|&kind| bare_number_stands(kind)) {
                    self.fault(words::unit_missing(self.text, word, whole, kinds));
                }
            }
            Some(unit) if kinds.iter().any(|&kind| accepts(kind, unit)) => {}
            Some(unit)
                if unit.dimension() == Dimension::TemperatureStep && kinds.contains(&Kind::Temperature) =>
            {
                self.fault(words::step_for_point(self.text, word, measure));
            }
            Some(_) => {
                self.fault(words::wrong_dimension(self.text, self.shape, word, measure, kinds, whole));
            }
        }
    }

    fn properties(&mut self, list: &[Prop]) {
        for prop in list {
            // A line with that much wrong with it is some other text.
            if self.found.faults.len() > MOST_FAULTS {
                return;
            }
            match &prop.kind {
                PropKind::Keyed { key, key_span, value, words } => {
                    self.field(*key, *key_span, value.as_ref(), *words);
                }
                PropKind::Value(value) => self.unnamed(value),
                PropKind::Words(name) => self.fault(words::unknown_property(self.text, name.span)),
                PropKind::Flag(_) | PropKind::Or(_) => {}
            }
        }
    }

    fn field(&mut self, key: Keyword, key_span: Span, value: Option<&Value>, words: Option<Name>) {
        let slots = || lexicon::field_slots(key).flatten();
        let Some(value) = value else {
            match words {
                None => self.fault(words::field_without_value(self.text, key, key_span)),
                Some(name) => {
                    let fits = slots().any(|slot| match slot {
                        Slot::Word(known) => {
                            known.iter().any(|word| lexicon::same_words(name.span.of(self.text), word))
                        }
                        slot => takes_name(slot) || matches!(slot, Slot::Text),
                    });
                    if !fits {
                        self.fault(words::words_for_value(self.text, key, name.span));
                    }
                }
            }
            return;
        };
        let mut first: Option<&'static [Kind]> = None;
        for slot in slots() {
            if !slot_takes(slot, value) && !matches!(slot, Slot::Words | Slot::Text) {
                continue;
            }
            let Slot::Of(kinds) = slot else { return };
            if fits(value, kinds) {
                self.measured(value, kinds, None);
                return;
            }
            first = first.or(Some(kinds));
        }
        match (first, &value.kind) {
            (Some(kinds), ValueKind::Plain(measure)) => self.unit(measure, kinds, key.word(), value.span),
            (Some(kinds), ValueKind::Range(..) | ValueKind::Tolerance(..)) => {
                self.measured(value, kinds, None);
            }
            _ => self.fault(words::words_for_value(self.text, key, value.span)),
        }
    }

    /// A value without a field: only where its unit tells what it is.
    fn unnamed(&mut self, value: &Value) {
        let measure = match &value.kind {
            ValueKind::Plain(measure) => measure,
            ValueKind::Tolerance(middle, plus) => {
                if middle.unit.is_some() {
                    middle
                } else {
                    plus
                }
            }
            ValueKind::Range(low, high) => {
                self.order(low, high);
                high
            }
            ValueKind::Expr(_) => return,
            _ => {
                self.fault(words::unknown_property(self.text, value.span));
                return;
            }
        };
        match measure.unit {
            None => self.fault(words::unnamed_without_unit(self.text, value.span)),
            Some(unit) if UNNAMED.iter().any(|&kind| accepts(kind, unit)) => {}
            Some(unit) => self.fault(words::unnamed_with_wrong_unit(self.text, value.span, measure, unit)),
        }
    }

    /// An expectation's value, or the sides of a condition.
    pub(crate) fn expectation(&mut self, parts: &Parts) {
        for part in parts {
            let Part::Value(value) = part else { continue };
            match &value.kind {
                ValueKind::Range(low, high) => self.order(low, high),
                ValueKind::Plain(_) | ValueKind::Tolerance(..) | ValueKind::Expr(_) => {}
                _ => self.fatal(words::no_expected_value(self.text, value.span)),
            }
        }
    }

    /// The name a `let` gives.
    pub(crate) fn let_name(&mut self, name: Name) {
        let written = name.span.of(self.text);
        let unit = quantity::scan_unit(written).is_some_and(|found| found.len == written.len());
        let function = crate::entry::FUNCTIONS.iter().any(|(word, _)| written.eq_ignore_ascii_case(word));
        if unit || function {
            self.fault(words::let_name_taken(self.text, name.span, unit));
        }
    }
}

/// More faults than this are not sought in the properties of one line.
const MOST_FAULTS: usize = 20;

/// The words of [`Slot::Chance`].
pub(crate) const CHANCES: &[&str] = &["yes", "no", "possible"];

/// The kinds a value without a field may be.
const UNNAMED: &[Kind] = &[
    Kind::Proportion,
    Kind::Colour,
    Kind::Mass,
    Kind::Cells,
    Kind::CellsPerVolume,
    Kind::CellsPerMass,
    Kind::Temperature,
];

/// The first place from `next` on that takes it.
fn place_of(takes: &[Slot], next: usize, fits: impl Fn(&Slot) -> bool) -> Option<usize> {
    takes.iter().enumerate().skip(next).find(|(_, slot)| fits(slot)).map(|(at, _)| at)
}

fn takes_name(slot: &Slot) -> bool {
    matches!(slot, Slot::Ref(_) | Slot::Word(_) | Slot::Words | Slot::Id | Slot::Chance)
}

/// Whether a value of this make may stand in a place, whatever its unit.
fn slot_takes(slot: &Slot, value: &Value) -> bool {
    matches!(
        (&value.kind, slot),
        (
            ValueKind::Plain(_) | ValueKind::Range(..) | ValueKind::Tolerance(..) | ValueKind::Expr(_),
            Slot::Of(_),
        ) | (ValueKind::Date(_), Slot::Date)
            | (ValueKind::Clock(_), Slot::Clock)
            | (ValueKind::Day(..), Slot::Day)
            | (ValueKind::Score(..), Slot::Score)
            | (ValueKind::Str(_), Slot::Str)
            | (ValueKind::Expr(_), Slot::Expr)
    )
}

/// Whether the units of a value are those of one of the kinds.
fn fits(value: &Value, kinds: &[Kind]) -> bool {
    let unit = |unit: Option<UnitId>| match unit {
        Some(unit) => kinds.iter().any(|&kind| accepts(kind, unit)),
        None => kinds.iter().any(|&kind| bare_number_stands(kind)),
    };
    match &value.kind {
        ValueKind::Plain(measure) => unit(measure.unit),
        ValueKind::Tolerance(middle, plus) => unit(middle.unit.or(plus.unit)),
        ValueKind::Range(low, high) => unit(low.unit.or(high.unit)) && unit(high.unit.or(low.unit)),
        _ => true,
    }
}
