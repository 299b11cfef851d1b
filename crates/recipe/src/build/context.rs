//! What building needs to know on the way, and how values, names and clauses are read.

use std::sync::Arc;

use quantity::scale::CO2_G_PER_L_AT_ONE_VOLUME;
use quantity::{Customary, Dimension, UnitId};
use syntax::ast::{
    Block, Clause, ClausePart, Date, Entry, Expr, Name, Part, Prop, PropKind, Value, ValueKind,
};
use syntax::vocabulary::{BLOCKS, BlockKind, ClauseWord, Flag, Keyword};
use syntax::{Fault, Span, same_words};

use crate::expr::{Names, evaluate, is_shallow};
use crate::facts::{Unusable, ends, fact_value, unit_span};
use crate::library::{Found, Scope, field};
use crate::model::{
    Amount, During, Fact, FactValue, Given, KettleTime, LetValue, LiquorVolume, Origin, Place, Problem,
    Quant, Recipe, Thing, Vessel,
};
use crate::{dates, words};

/// Values that stand for others that stand for others: deeper than this is a circle.
const LET_DEPTH: usize = 16;

/// The state of building.
pub(crate) struct Cx<'a> {
    scope: &'a Scope,
    /// Which gallon is meant.
    pub(crate) customary: Option<Customary>,
    /// Named values.
    pub(crate) lets: Vec<LetValue>,
    /// What is wrong so far.
    pub(crate) problems: Vec<Problem>,
    /// Kinds of block with a line or value that cannot be used.
    pub(crate) broken: Vec<BlockKind>,
    /// Folded names of the recipe, which come first in a log.
    planned: Vec<(Box<str>, &'a Thing)>,
    /// The block in hand.
    pub(crate) block: &'a Arc<Block>,
    at: u16,
    folded: String,
}

/// The block in hand before the first is entered.
static NO_BLOCK: std::sync::LazyLock<Arc<Block>> = std::sync::LazyLock::new(|| {
    Arc::new(Block {
        text: "".into(),
        kind: BlockKind::Preamble,
        entries_as: BlockKind::Preamble,
        lines: Vec::new(),
        faults: Vec::new(),
    })
});

impl<'a> Cx<'a> {
    pub(crate) fn new(scope: &'a Scope, customary: Option<Customary>) -> Self {
        Self {
            scope,
            customary,
            lets: Vec::new(),
            problems: Vec::new(),
            broken: Vec::new(),
            planned: Vec::new(),
            block: &NO_BLOCK,
            at: 0,
            folded: String::with_capacity(64),
        }
    }

    /// Looks names up among those of a recipe first.
    pub(crate) fn look_in(&mut self, recipe: &'a Recipe) {
        self.planned = things(recipe)
            .filter(|thing| thing.definition.is_some())
            .map(|thing| (catalogue::fold(&thing.name).into(), thing))
            .collect();
    }

    /// Takes up a block; false when there are more than can be numbered.
    pub(crate) fn enter(&mut self, at: usize, block: &'a Arc<Block>) -> bool {
        let Ok(at) = u16::try_from(at) else { return false };
        self.at = at;
        self.block = block;
        if super::has_broken_line(block) {
            self.mark_broken();
        }
        true
    }

    /// Notes that the block in hand holds something that cannot be used.
    pub(crate) fn mark_broken(&mut self) {
        let kind = self.block.entries_as;
        if !self.broken.contains(&kind) {
            self.broken.push(kind);
        }
    }

    pub(crate) fn place(&self, span: Span) -> Place {
        Place { block: self.at, span }
    }

    pub(crate) fn text(&self, span: Span) -> &'a str {
        let block: &'a Block = self.block;
        block.slice(span)
    }

    /// The header of the block in hand.
    pub(crate) fn header(&self) -> Option<&'a Entry> {
        let block: &'a Block = self.block;
        block.header()
    }

    /// The entries of the block in hand.
    pub(crate) fn entries(&self) -> impl Iterator<Item = &'a Entry> + use<'a> {
        let block: &'a Block = self.block;
        block.entries().map(|(_, entry)| entry)
    }

    /// The whole header, read or not.
    pub(crate) fn header_place(&self) -> Place {
        self.place(crate::units::header_span(self.block))
    }

    pub(crate) fn problem(&mut self, fault: Fault) {
        self.problems.push(Problem { block: self.at, fault, related: Vec::new() });
    }

    pub(crate) fn problem_with(&mut self, fault: Fault, related: Vec<(Origin, String)>) {
        self.problems.push(Problem { block: self.at, fault, related });
    }

    // ---- values ---------------------------------------------------------------------------------------------

    fn unusable<T>(&mut self, value: &Value, why: Unusable) -> Option<T> {
        if let Unusable::NeedsCustomary(unit) = why {
            let span = unit_span(&value.kind).unwrap_or(value.span);
            self.problem(words::ambiguous_unit(self.text(value.span), unit, span));
        }
        self.mark_broken();
        None
    }

    /// A number of any dimension.
    pub(crate) fn quant(&mut self, value: &Value) -> Option<Quant> {
        match ends(&value.kind, self.customary) {
            Ok(ends) => Some(ends.quant),
            Err(why) => self.unusable(value, why),
        }
    }

    /// Both ends of a value: its middle, its lower and its upper bound.
    pub(crate) fn ends(&mut self, value: &Value) -> Option<(Quant, Quant, Quant)> {
        match ends(&value.kind, self.customary) {
            Ok(ends) => {
                let bound = |value: f64| Quant { value, spread: 0.0, ..ends.quant };
                let (low, high) =
                    if ends.low <= ends.high { (ends.low, ends.high) } else { (ends.high, ends.low) };
                Some((ends.quant, bound(low), bound(high)))
            }
            Err(why) => self.unusable(value, why),
        }
    }

    /// A number of this dimension; [`Dimension::Number`] stands for pH, rates and factors without a unit.
    pub(crate) fn given(&mut self, value: &Value, wanted: Dimension) -> Option<Given<f64>> {
        if let ValueKind::Expr(expr) = &value.kind {
            let number = self.worked_out(expr, value.span)?.canonical(wanted);
            let Some(number) = number else {
                self.mark_broken();
                return None;
            };
            return Some(Given { value: number, spread: 0.0, origin: Origin::Here(self.place(value.span)) });
        }
        let quant = self.quant(value)?;
        let scale = match quant.unit.map(UnitId::dimension) {
            None if matches!(wanted, Dimension::Number | Dimension::Gravity | Dimension::Bitterness) => 1.0,
            Some(found) if found == wanted => 1.0,
            // `5 g/L` of carbonation is CO2.
            Some(Dimension::Concentration) if wanted == Dimension::Carbonation => {
                1.0 / (1000.0 * CO2_G_PER_L_AT_ONE_VOLUME)
            }
            // A unit that does not fit, or none where one is needed: said where the line was read.
            _ => {
                self.mark_broken();
                return None;
            }
        };
        Some(Given {
            value: quant.value * scale,
            spread: quant.spread * scale,
            origin: Origin::Here(self.place(value.span)),
        })
    }

    /// A gravity in the scale written.
    pub(crate) fn gravity(&mut self, value: &Value) -> Option<Given<Quant>> {
        let quant = if let ValueKind::Expr(expr) = &value.kind {
            let number = self.worked_out(expr, value.span)?.canonical(Dimension::Number);
            number.map(|value| Quant { value, unit: None, spread: 0.0 })
        } else {
            self.quant(value)
                .filter(|quant| quant.unit.is_none_or(|unit| unit.dimension() == Dimension::Gravity))
        };
        let Some(quant) = quant else {
            self.mark_broken();
            return None;
        };
        Some(Given { value: quant, spread: quant.spread, origin: Origin::Here(self.place(value.span)) })
    }

    /// An expression to be worked out once figures are known.
    pub(crate) fn expr(&self, value: &Value) -> Option<Arc<Expr>> {
        match &value.kind {
            ValueKind::Expr(expr) if is_shallow(expr) => Some(Arc::new(Expr::clone(expr))),
            _ => None,
        }
    }

    /// The value of an expression that has no figure in it.
    fn worked_out(&mut self, expr: &Expr, span: Span) -> Option<quantity::Value> {
        let mut names = Lets { known: &self.lets, customary: self.customary, depth: LET_DEPTH };
        match evaluate(expr, &self.block.text, self.customary, &mut names) {
            Ok(value) => Some(value),
            Err(error) => {
                self.problem(match error.reason() {
                    Ok((reason, at)) => words::values_at_odds(&reason, at),
                    Err(()) => words::value_not_fixed(self.text(span), span),
                });
                self.mark_broken();
                None
            }
        }
    }

    /// How much: a mass, a volume, a count, cells or a dose; percentages only where `share` says so.
    pub(crate) fn amount(&mut self, value: &Value, share: bool) -> Amount {
        if matches!(value.kind, ValueKind::Expr(_)) {
            return match self.expr(value) {
                Some(expr) => Amount::Expr(expr),
                None => {
                    self.mark_broken();
                    Amount::Missing
                }
            };
        }
        let Some(quant) = self.quant(value) else { return Amount::Missing };
        match quant.unit.map(|unit| (unit, unit.dimension())) {
            Some((UnitId::PERCENT, _)) if share => Amount::Share(quant.value),
            Some((
                _,
                Dimension::Mass
                | Dimension::Volume
                | Dimension::Count
                | Dimension::Cells
                | Dimension::Concentration
                | Dimension::CountPerVolume,
            )) => Amount::Of(quant),
            _ => {
                self.mark_broken();
                Amount::Missing
            }
        }
    }

    /// The amount of an item or entry: its first value; without one what `to reach` leaves open.
    pub(crate) fn amount_of(&mut self, entry: &Entry, share: bool) -> Amount {
        match entry.value() {
            Some(value) => self.amount(value, share),
            None if entry.clause(ClauseWord::ToReach).is_some() => Amount::Solved,
            None => {
                self.mark_broken();
                Amount::Missing
            }
        }
    }

    // ---- clauses --------------------------------------------------------------------------------------------

    pub(crate) fn clause_given(
        &mut self,
        entry: &Entry,
        word: ClauseWord,
        wanted: Dimension,
    ) -> Option<Given<f64>> {
        let value = entry.clause(word)?.value()?;
        self.given(value, wanted)
    }

    pub(crate) fn clause_gravity(&mut self, entry: &Entry, word: ClauseWord) -> Option<Given<Quant>> {
        let value = entry.clause(word)?.value()?;
        self.gravity(value)
    }

    /// The word a clause governs: `to mash`.
    pub(crate) fn clause_word(&self, entry: &Entry, word: ClauseWord) -> Option<&'a str> {
        entry.clause(word)?.name().map(|name| self.text(name.span))
    }

    /// `for`, in minutes.
    pub(crate) fn contact(&mut self, entry: &Entry) -> Option<f64> {
        self.clause_given(entry, ClauseWord::For, Dimension::Time).map(|given| given.value)
    }

    /// `at 60 min`, `at flameout`, `at first wort`, `at mash`.
    pub(crate) fn kettle_time(&mut self, entry: &Entry) -> KettleTime {
        let Some(clause) = entry.clause(ClauseWord::At) else { return KettleTime::Unsaid };
        if let Some(value) = clause.value() {
            return self
                .given(value, Dimension::Time)
                .map_or(KettleTime::Unsaid, |given| KettleTime::Minutes(given.value));
        }
        let said = clause.name().map_or("", |name| self.text(name.span));
        for (word, time) in [
            ("flameout", KettleTime::Flameout),
            ("first wort", KettleTime::FirstWort),
            ("mash", KettleTime::Mash),
        ] {
            if same_words(said, word) {
                return time;
            }
        }
        self.mark_broken();
        KettleTime::Unsaid
    }

    /// `on day 4`, `on 2026-03-14`, `at 1.020`.
    pub(crate) fn during(&mut self, entry: &Entry) -> During {
        if let Some(value) = entry.clause(ClauseWord::On).and_then(Clause::value) {
            match value.kind {
                ValueKind::Day(first, last) => return During::Day(first, last),
                ValueKind::Date(date) => {
                    return self.date(date, value.span).map_or(During::Unsaid, During::Date);
                }
                _ => self.mark_broken(),
            }
        }
        match entry.clause(ClauseWord::At).and_then(Clause::value) {
            Some(value) => self.gravity(value).map_or(During::Unsaid, |given| During::Gravity(given.value)),
            None => During::Unsaid,
        }
    }

    /// A date that exists; another is a problem.
    pub(crate) fn date(&mut self, date: Date, span: Span) -> Option<Date> {
        match dates::impossible(date, span) {
            None => Some(date),
            Some(fault) => {
                self.problem(fault);
                None
            }
        }
    }

    /// `to mash`, `to sparge`, …
    pub(crate) fn vessel(&self, entry: &Entry, word: ClauseWord) -> Vessel {
        let Some(said) = self.clause_word(entry, word) else { return Vessel::Unsaid };
        [
            ("mash", Vessel::Mash),
            ("sparge", Vessel::Sparge),
            ("kettle", Vessel::Kettle),
            ("all", Vessel::All),
            ("fermenter", Vessel::Fermenter),
            ("barrel", Vessel::Fermenter),
        ]
        .into_iter()
        .find_map(|(word, vessel)| same_words(said, word).then_some(vessel))
        .unwrap_or(Vessel::Unsaid)
    }

    /// The temperature a volume or sample is measured at: `[98 C]`; `[hot]` is 100.
    pub(crate) fn measured_at<'e>(&mut self, props: impl Iterator<Item = &'e Prop>) -> Option<f64> {
        for prop in props {
            match &prop.kind {
                PropKind::Flag(Flag::Hot) => return Some(100.0),
                PropKind::Value(value)
                | PropKind::Keyed { key: Keyword::Temperature, value: Some(value), .. } => {
                    if let Some(given) = self.given(value, Dimension::Temperature) {
                        return Some(given.value);
                    }
                }
                _ => {}
            }
        }
        None
    }

    /// A volume of liquor: `17.5 L at 76 C`, `12 L [hot]`.
    pub(crate) fn liquor_volume(&mut self, entry: &Entry) -> LiquorVolume {
        let amount = entry.value().map_or(Amount::Missing, |value| {
            let amount = self.amount(value, false);
            match amount {
                Amount::Of(quant) if quant.unit.is_none_or(|unit| unit.dimension() != Dimension::Volume) => {
                    self.mark_broken();
                    Amount::Missing
                }
                amount => amount,
            }
        });
        let temperature = match entry.clause(ClauseWord::At).and_then(Clause::value) {
            // `top up 10 L at 5 min` says when, not how hot.
            Some(value) if !is_time(value) => self.given(value, Dimension::Temperature),
            _ => None,
        };
        let measured_at = self.measured_at(entry.props());
        LiquorVolume { place: self.place(entry.span), amount, temperature, measured_at }
    }

    // ---- names ----------------------------------------------------------------------------------------------

    /// What a name stands for, looked up as one kind after the other.
    fn look_up(&mut self, name: &str, kinds: &[BlockKind]) -> Option<Found> {
        self.folded.clear();
        catalogue::fold_into(name, &mut self.folded);
        if let Some((_, thing)) = self.planned.iter().find(|(name, _)| **name == *self.folded)
            && let Some(definition) = &thing.definition
        {
            return Some(Found { definition: Arc::clone(definition), loose: thing.loose });
        }
        kinds.iter().find_map(|kind| self.scope.find_folded(*kind, &self.folded))
    }

    /// The problem of a name that stands for nothing.
    fn unknown(&mut self, name: &str, kinds: &[BlockKind], span: Span, quoted: bool) {
        self.folded.clear();
        catalogue::fold_into(name, &mut self.folded);
        let others: Vec<BlockKind> = BlockKind::ALL
            .iter()
            .copied()
            .filter(|kind| {
                kind.is_definition()
                    && !kinds.contains(kind)
                    && !matches!(kind, BlockKind::Style | BlockKind::BrewhouseBlock)
            })
            .collect();
        let other = self.scope.kinds_that_know(&others, &self.folded);
        // In a text that is no recipe at all suggestions would only take time.
        let nearest = if self.problems.len() < 100 { self.scope.nearest_of(kinds, name) } else { None };
        self.problem(words::unknown(kinds, name, other, nearest.as_deref(), span, quoted));
    }

    /// The thing a name stands for, with what the properties say about it.
    pub(crate) fn thing<'e>(
        &mut self,
        name: Option<Name>,
        place: Span,
        props: impl Iterator<Item = &'e Prop>,
        kinds: &[BlockKind],
    ) -> Thing {
        let written = name.map_or("", |name| self.text(name.span));
        let found = if written.is_empty() { None } else { self.look_up(written, kinds) };
        if let (None, Some(name)) = (&found, name)
            && !written.is_empty()
        {
            self.unknown(written, kinds, name.span, name.quoted);
        }
        let (definition, loose) = found.map_or((None, false), |found| (Some(found.definition), found.loose));
        let mut thing = Thing {
            name: written.into(),
            place: self.place(name.map_or(place, |name| name.span)),
            definition,
            loose,
            own: Vec::new(),
            flags: Vec::new(),
            substitutes: Vec::new(),
        };
        for prop in props {
            self.property(&mut thing, prop, kinds);
        }
        thing
    }

    /// The thing an entry names.
    pub(crate) fn thing_of(&mut self, entry: &Entry, kinds: &[BlockKind]) -> Thing {
        self.thing(entry.name(), entry.span, entry.props(), kinds)
    }

    /// The thing a clause names: `with 4.8 g/L dextrose monohydrate`.
    pub(crate) fn thing_of_clause(&mut self, clause: &Clause, kinds: &[BlockKind]) -> Thing {
        self.thing(clause.name(), clause.span, clause.props().flat_map(|props| props.list.iter()), kinds)
    }

    fn property(&mut self, thing: &mut Thing, prop: &Prop, kinds: &[BlockKind]) {
        let kind = thing.kind().or(if kinds.len() == 1 { kinds.first().copied() } else { None });
        match &prop.kind {
            PropKind::Flag(flag) => thing.flags.push(*flag),
            PropKind::Or(name) => {
                let written = self.text(name.span);
                if self.look_up(written, kinds).is_none() {
                    self.unknown(written, kinds, name.span, name.quoted);
                }
                thing.substitutes.push(written.into());
            }
            PropKind::Keyed { key, key_span, value, words } => {
                let key = kind.map_or(*key, |kind| field(kind, *key));
                if let Some(kind) = kind
                    && !is_field(kind, key)
                {
                    let owners: Vec<BlockKind> = BLOCKS
                        .iter()
                        .map(|spec| spec.kind)
                        .filter(|kind| kind.is_definition() && is_field(*kind, key))
                        .collect();
                    self.problem(words::field_of_another(&thing.name, kind, key, &owners, *key_span));
                    return;
                }
                let found = match (value, words) {
                    (Some(value), _) => match fact_value(self.text_of_block(), value, self.customary) {
                        Ok(FactValue::Date(date)) => match self.date(date, value.span) {
                            Some(date) => FactValue::Date(date),
                            None => return,
                        },
                        Ok(found) => found,
                        Err(why) => {
                            self.unusable::<()>(value, why);
                            return;
                        }
                    },
                    (None, Some(words)) => FactValue::Words(self.text(words.span).into()),
                    (None, None) => FactValue::Set,
                };
                thing.own.push(Fact { key, value: found, origin: Origin::Here(self.place(prop.span)) });
            }
            PropKind::Value(value) => {
                // A bare number has no meaning here, which is said where the line was read.
                if let ValueKind::Plain(measure) = &value.kind
                    && measure.unit.is_none()
                {
                    self.mark_broken();
                    return;
                }
                let found = match fact_value(self.text_of_block(), value, self.customary) {
                    Ok(found @ (FactValue::Number(_) | FactValue::Range(..))) => found,
                    Ok(_) => return self.mark_broken(),
                    Err(why) => {
                        self.unusable::<()>(value, why);
                        return;
                    }
                };
                let (FactValue::Number(quant) | FactValue::Range(quant, _, _)) = &found else { return };
                let dimension = quant.unit.map_or(Dimension::Number, UnitId::dimension);
                let is_fruit = thing.words(Keyword::Form).is_some_and(|form| same_words(form, "fruit"));
                match (implied(kind, dimension, is_fruit), kind) {
                    (Some(key), _) => {
                        thing.own.push(Fact {
                            key,
                            value: found,
                            origin: Origin::Here(self.place(prop.span)),
                        });
                    }
                    (None, Some(kind)) => {
                        let written = self.text(value.span);
                        self.problem(words::bare_value(&thing.name, kind, written, value.span));
                        self.mark_broken();
                    }
                    // Of something nobody knows nothing can be said.
                    (None, None) => {}
                }
            }
            // Said where the line was read.
            PropKind::Words(_) => {}
        }
    }

    fn text_of_block(&self) -> &'a str {
        let block: &'a Block = self.block;
        &block.text
    }
}

fn is_time(value: &Value) -> bool {
    let unit = match &value.kind {
        ValueKind::Plain(measure) => measure.unit,
        ValueKind::Range(_, high) | ValueKind::Tolerance(_, high) => high.unit,
        _ => None,
    };
    unit.is_some_and(|unit| unit.dimension() == Dimension::Time)
}

/// The properties of the thing an entry names, without those of its clauses.
pub(crate) fn own_props(entry: &Entry) -> impl Iterator<Item = &Prop> {
    entry
        .parts
        .iter()
        .filter_map(|part| match part {
            Part::Props(props) => Some(props),
            _ => None,
        })
        .flat_map(|props| props.list.iter())
}

/// The first name or text in quotes of a clause.
pub(crate) fn clause_text(clause: &Clause) -> Option<Span> {
    clause.parts.iter().find_map(|part| match part {
        ClausePart::Name(name) => Some(name.span),
        ClausePart::Value(value) => match value.kind {
            ValueKind::Str(span) => Some(span),
            _ => None,
        },
        ClausePart::Props(_) => None,
    })
}

/// Whether a kind of definition has this field.
fn is_field(kind: BlockKind, key: Keyword) -> bool {
    kind.spec().is_none_or(|spec| spec.entries.iter().any(|entry| entry.keyword == key))
}

/// The field a value without a word stands for.
fn implied(kind: Option<BlockKind>, dimension: Dimension, is_fruit: bool) -> Option<Keyword> {
    use Dimension as D;
    Some(match (kind, dimension) {
        (Some(BlockKind::Malt | BlockKind::Sugar) | None, D::Colour) => Keyword::Colour,
        (Some(BlockKind::Sugar), D::Proportion) if is_fruit => Keyword::Extract,
        (Some(BlockKind::Hop), D::Proportion) => Keyword::Alpha,
        (Some(BlockKind::Yeast), D::Proportion) => Keyword::Attenuation,
        (Some(BlockKind::Yeast) | None, D::Cells | D::CellsPerVolume | D::CellsPerMass) => Keyword::Cells,
        (Some(BlockKind::Yeast), D::Mass) => Keyword::UnitMass,
        (Some(BlockKind::Addition), D::Proportion) => Keyword::Strength,
        _ => return None,
    })
}

/// Values given by `let`, which may stand for one another.
struct Lets<'a> {
    known: &'a [LetValue],
    customary: Option<Customary>,
    depth: usize,
}

impl Names for Lets<'_> {
    type Error = ();

    fn name(&mut self, name: &str, _: Span) -> Result<quantity::Value, ()> {
        let wanted = catalogue::fold(name);
        let named = self.known.iter().find(|named| *named.name == *wanted).ok_or(())?;
        let mut deeper = Lets { depth: self.depth.checked_sub(1).ok_or(())?, ..*self };
        evaluate(&named.expr, &named.block.text, self.customary, &mut deeper).map_err(|_| ())
    }
}

/// Everything a recipe names that a log may add.
fn things(recipe: &Recipe) -> impl Iterator<Item = &Thing> {
    let sour = recipe.sour.iter().flat_map(|sour| {
        sour.pitches.iter().map(|line| &line.thing).chain(sour.additions.iter().map(|line| &line.thing))
    });
    let parts = recipe.parts.iter().flat_map(|part| {
        let pitched = part.pitch.lines.iter().chain(&part.package.yeast).map(|line| &line.thing);
        let added = part.ferment.additions.iter().chain(&part.package.additions).map(|line| &line.thing);
        let primed =
            part.package.lines.iter().filter_map(|line| line.priming.as_ref().map(|(_, thing)| thing));
        pitched.chain(added).chain(primed)
    });
    recipe
        .grist
        .iter()
        .map(|line| &line.thing)
        .chain(recipe.additions.iter().map(|line| &line.thing))
        .chain(recipe.liquor.additions.iter().map(|line| &line.thing))
        .chain(sour)
        .chain(parts)
}
