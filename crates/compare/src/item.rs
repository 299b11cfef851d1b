//! A line of a recipe as the values it holds, each under a name, so that two lines can be held together.

use quantity::{Dimension, Quantity, UnitId};
use recipe::{Place, Recipe};
use syntax::Span;
use syntax::ast::{Block, Body, ClausePart, Entry, Form, Measure, Part, Prop, PropKind, Value, ValueKind};
use syntax::vocabulary::{BlockKind, Keyword};

/// One value of a line.
pub(crate) struct Field {
    /// Its name within the line.
    pub(crate) what: String,
    /// As written, blanks folded.
    pub(crate) shown: String,
    /// What it means, however it is written.
    pub(crate) meant: String,
}

/// A line.
pub(crate) struct Item {
    pub(crate) kind: BlockKind,
    /// Label of the part it belongs to.
    pub(crate) part: Option<Box<str>>,
    /// What it is about, as written.
    pub(crate) subject: String,
    /// The same, folded: lines about one thing have one key.
    pub(crate) key: String,
    /// Whether it names something that goes into the beer.
    pub(crate) is_thing: bool,
    pub(crate) fields: Vec<Field>,
    /// The whole line as written, blanks folded.
    pub(crate) text: String,
    pub(crate) place: Place,
}

impl Item {
    /// Whether both say the same.
    pub(crate) fn same(&self, other: &Self) -> bool {
        self.key == other.key
            && self.fields.len() == other.fields.len()
            && self.fields.iter().all(|field| {
                other.fields.iter().any(|one| one.what == field.what && one.meant == field.meant)
            })
    }

    /// What the value of this name means.
    pub(crate) fn meant(&self, what: &str) -> Option<&str> {
        self.fields.iter().find(|field| field.what == what).map(|field| &*field.meant)
    }
}

/// The lines of a recipe that say something about the beer, in order. Notes, questions and prose say nothing.
/// Where the litres of the batch are given, masses and volumes are those for one litre, and neither the batch
/// nor the brewhouse is a line.
pub(crate) fn items(recipe: &Recipe, litres: Option<f64>) -> Vec<Item> {
    let mut out = Vec::new();
    let mut part: Option<Box<str>> = None;
    let mut parts = recipe.parts.iter();
    for (at, block) in recipe.blocks.iter().enumerate() {
        let kind = block.entries_as;
        if kind == BlockKind::Notes {
            continue;
        }
        if block.kind == BlockKind::Split {
            part = parts.next().and_then(|part| part.label.as_ref()).map(|(label, _)| label.clone());
        }
        let of_part =
            matches!(kind, BlockKind::Pitch | BlockKind::Ferment | BlockKind::Package | BlockKind::Expect);
        let Ok(at) = u16::try_from(at) else { break };
        for line in &block.lines {
            let (entry, span) = match &line.body {
                Body::Header(entry) | Body::Entry(entry) => (Some(&**entry), entry.span),
                Body::Broken(span) => (None, *span),
                Body::Blank | Body::Comment | Body::Prose(_) => continue,
            };
            if entry.is_some_and(|entry| entry.form == Form::Query) {
                continue;
            }
            let place = Place { block: at, span };
            let part = if of_part { part.clone() } else { None };
            out.push(match entry {
                Some(entry) if litres.is_some() && is_of_house(block, entry) => continue,
                Some(entry) => read(block, entry, part, place, litres),
                None => unreadable(block, span, part, place),
            });
        }
    }
    // Values named at the top of the file.
    for named in recipe.lets.iter().filter(|named| named.place.is_none()) {
        let shown = folded(named.block.slice(named.expr.span));
        out.push(Item {
            kind: BlockKind::Let,
            part: None,
            subject: named.name.to_string(),
            key: format!("let {}", named.name),
            is_thing: false,
            text: format!("let {} = {shown}", named.name),
            fields: vec![Field { what: String::new(), meant: shown.clone(), shown }],
            place: recipe.name_place,
        });
    }
    out
}

/// Blanks folded to one.
fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unreadable(block: &Block, span: Span, part: Option<Box<str>>, place: Place) -> Item {
    let text = folded(block.slice(span));
    Item {
        kind: block.entries_as,
        part,
        subject: text.clone(),
        key: text.clone(),
        is_thing: false,
        fields: Vec::new(),
        text,
        place,
    }
}

/// Whether a line says how much is brewed, or where.
fn is_of_house(block: &Block, entry: &Entry) -> bool {
    block.entries_as == BlockKind::Recipe
        && entry.keyword.is_some_and(|word| matches!(word.node, Keyword::Batch | Keyword::Brewhouse))
}

fn read(block: &Block, entry: &Entry, part: Option<Box<str>>, place: Place, litres: Option<f64>) -> Item {
    let keyword = entry.keyword.map(|keyword| keyword.node);
    // What is added is the subject, not the adding.
    let is_thing = entry.form == Form::Item || (keyword == Some(Keyword::Add) && entry.name().is_some());
    let named = entry.name().map(|name| folded(block.slice(name.span)));
    let (subject, key, mut of_subject) = match (&entry.form, named) {
        (Form::Header, _) => {
            let word = block.kind.word().to_owned();
            (word.clone(), format!("header {word}"), false)
        }
        (Form::Let | Form::Expectation, Some(named)) => {
            let key = format!("named {}", catalogue::fold(&named));
            (named, key, true)
        }
        (_, Some(named)) if is_thing => {
            let key = format!("thing {}", catalogue::fold(&named));
            (named, key, true)
        }
        _ => {
            let word = keyword.map_or_else(|| folded(block.slice(entry.span)), |word| word.word().to_owned());
            (word.clone(), word, false)
        }
    };
    let mut fields = Fields { block, list: Vec::new() };
    let mut text = folded(block.slice(entry.span));
    for part in &entry.parts {
        match part {
            Part::Value(value) => match litres.and_then(|litres| for_a_litre(value, litres)) {
                Some((shown, meant)) => {
                    text = text.replacen(&folded(block.slice(value.span)), &shown, 1);
                    fields.put("", shown, meant);
                }
                None => fields.value("", value),
            },
            // The first name is the subject of the line.
            Part::Name(_) if of_subject => of_subject = false,
            Part::Name(name) => fields.name("", name.span),
            Part::Props(props) => fields.props(&props.list),
            Part::Clause(clause) => {
                let word = clause.word.word();
                let shown = folded(block.slice(Span::new(
                    clause.span.start,
                    clause.parts.iter().rev().find_map(end).unwrap_or(clause.span.end),
                )));
                let mut meant = String::new();
                for part in &clause.parts {
                    match part {
                        ClausePart::Value(value) => meant.push_str(&meaning(block, value)),
                        ClausePart::Name(name) => meant.push_str(&catalogue::fold(block.slice(name.span))),
                        ClausePart::Props(props) => fields.props(&props.list),
                    }
                    meant.push(' ');
                }
                fields.put(word, shown, meant);
            }
            Part::Label(span) | Part::Text(span) => fields.text(*span),
            Part::Relation(_) => {}
        }
    }
    // A condition is one whole. The name of the recipe is no line of it.
    if entry.form == Form::Condition || block.kind == BlockKind::Recipe && entry.form == Form::Header {
        fields.list.clear();
    }
    Item { kind: block.entries_as, part, subject, key, is_thing, fields: fields.list, text, place }
}

/// A mass or a volume for one litre of a batch: as shown, and what it means; nothing of any other value.
fn for_a_litre(value: &Value, litres: f64) -> Option<(String, String)> {
    let ValueKind::Plain(one) = &value.kind else { return None };
    let (unit, word) = match one.unit?.dimension() {
        Dimension::Mass => (UnitId::G, "g/L"),
        Dimension::Volume => (UnitId::ML, "mL/L"),
        _ => return None,
    };
    let amount = Quantity::new(one.number, one.unit?).convert(unit).ok()?.value / litres;
    // Three digits: more than a scale tells of a brew.
    let digits = if amount > 0.0 { (2.0 - amount.log10().floor()).clamp(0.0, 6.0) as usize } else { 0 };
    let shown = format!("{amount:.digits$}");
    let short = if shown.contains('.') { shown.trim_end_matches('0').trim_end_matches('.') } else { &shown };
    Some((format!("{short} {word}"), format!("{amount:.9e} {word}")))
}

/// Where a part of a clause ends; properties are values of their own.
fn end(part: &ClausePart) -> Option<u32> {
    match part {
        ClausePart::Value(value) => Some(value.span.end),
        ClausePart::Name(name) => Some(name.span.end + u32::from(name.quoted)),
        ClausePart::Props(_) => None,
    }
}

struct Fields<'b> {
    block: &'b Block,
    list: Vec<Field>,
}

impl Fields<'_> {
    /// Takes a value; a second of one name gets a number.
    fn put(&mut self, what: &str, shown: String, meant: String) {
        let mut name = what.to_owned();
        let mut number = 1;
        while self.list.iter().any(|field| field.what == name) {
            number += 1;
            name = format!("{what} {number}");
        }
        self.list.push(Field { what: name, shown, meant });
    }

    fn value(&mut self, what: &str, value: &Value) {
        let (shown, meant) = (folded(self.block.slice(value.span)), meaning(self.block, value));
        self.put(what, shown, meant);
    }

    fn name(&mut self, what: &str, span: Span) {
        let written = self.block.slice(span);
        self.put(what, folded(written), catalogue::fold(written));
    }

    fn text(&mut self, span: Span) {
        let written = folded(self.block.slice(span));
        self.put("", written.clone(), written);
    }

    fn props(&mut self, props: &[Prop]) {
        for prop in props {
            match &prop.kind {
                PropKind::Keyed { key, value: Some(value), .. } => self.value(key.word(), value),
                PropKind::Keyed { key, words: Some(words), .. } => self.name(key.word(), words.span),
                PropKind::Keyed { key, .. } => self.put(key.word(), key.word().into(), String::new()),
                PropKind::Value(value) => {
                    let what = format!("[{}]", dimension(value));
                    self.value(&what, value);
                }
                PropKind::Flag(flag) => self.put(flag.word(), flag.word().into(), String::new()),
                PropKind::Or(name) => {
                    let written = folded(self.block.slice(name.span));
                    self.put("or", format!("or {written}"), catalogue::fold(&written));
                }
                PropKind::Words(name) => self.name("[words]", name.span),
            }
        }
    }
}

/// What a value without a field measures, so that two of them are held together.
fn dimension(value: &Value) -> &'static str {
    match &value.kind {
        ValueKind::Plain(one) | ValueKind::Range(_, one) | ValueKind::Tolerance(_, one) => {
            one.unit.map_or("number", |unit| {
                let name = unit.dimension().name();
                name.split_once(' ')
                    .filter(|(article, _)| matches!(*article, "a" | "an"))
                    .map_or(name, |(_, noun)| noun)
            })
        }
        _ => "value",
    }
}

/// What a value means: the same text for `1 kg` and `1000 g`.
fn meaning(block: &Block, value: &Value) -> String {
    match &value.kind {
        ValueKind::Plain(one) => measure(one, None),
        ValueKind::Range(low, high) => format!("{}..{}", measure(low, high.unit), measure(high, low.unit)),
        // Of a temperature the second is a step, which has no point of its own.
        ValueKind::Tolerance(middle, plus) => {
            let unit = plus.unit.map_or(String::new(), |unit| unit.to_string());
            format!("{}±{} {unit}", measure(middle, plus.unit), plus.number)
        }
        ValueKind::Str(span) => catalogue::fold(block.slice(*span)),
        _ => folded(block.slice(value.span)),
    }
}

fn measure(measure: &Measure, other: Option<UnitId>) -> String {
    let unit = measure.unit.or(other).unwrap_or(UnitId::BARE);
    match Quantity::new(measure.number, unit).canonical() {
        Ok(value) => {
            // The last bits of a conversion mean nothing. Gravities and counts keep the unit written.
            let unit = unit.dimension().canonical_unit().unwrap_or(unit);
            format!("{value:.9e} {unit}")
        }
        Err(_) => format!("{} {unit}", measure.number),
    }
}
