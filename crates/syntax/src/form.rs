//! The forms of entries in words: what stands behind what, as the reference page and an editor show it.

use crate::kind_name;
use crate::vocabulary::{BlockKind, ClauseSpec, EntrySpec, Kind, Slot};

/// The kinds of a value: `a mass, a volume or a number of pieces`.
#[must_use]
pub fn kinds_form(kinds: &[Kind]) -> String {
    match kinds {
        [one] => kind_name(*one).into(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(|kind| kind_name(*kind)).collect();
            format!("{} or {}", first.join(", "), kind_name(*last))
        }
        [] => String::new(),
    }
}

/// What may stand at one place: `<a volume>`.
#[must_use]
pub fn slot_form(slot: &Slot) -> String {
    match slot {
        Slot::Of(kinds) => format!("<{}>", kinds_form(kinds)),
        Slot::Ref(BlockKind::BrewhouseBlock) => "<name of a brewhouse>".into(),
        Slot::Ref(kind) => {
            let article = if kind.word().starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
            format!("<name of {article} {}>", kind.word())
        }
        Slot::Word([]) => "<a word>".into(),
        Slot::Word(known) => known.join(" | "),
        Slot::Words => "<words>".into(),
        Slot::Text => "<text to the end of the line>".into(),
        Slot::Str => "\"<name>\"".into(),
        Slot::Id => "<id>".into(),
        Slot::Date => "<a date>".into(),
        Slot::Clock => "<a time of day>".into(),
        Slot::Day => "day <n>".into(),
        Slot::Score => "<n>/<n>".into(),
        Slot::Expr => "<an expression>".into(),
        Slot::Chance => "yes | no | possible".into(),
    }
}

/// What stands behind a word, in order, each by itself; the last `optional` may be left out. A `let` has its
/// sign between name and value.
#[must_use]
pub fn slot_forms(slots: &[Slot], optional: u8) -> Vec<String> {
    if matches!(slots, [Slot::Id, Slot::Expr]) {
        return vec!["<id>".into(), "= <an expression>".into()];
    }
    let needed = slots.len().saturating_sub(usize::from(optional));
    let forms = slots.iter().enumerate();
    forms
        .map(|(at, one)| if at < needed { slot_form(one) } else { format!("({})", slot_form(one)) })
        .collect()
}

/// A clause with what may follow it: `at <a time>`.
#[must_use]
pub fn clause_form(spec: &ClauseSpec) -> String {
    // A pH is called so in a clause, where a bare number could be a gravity.
    let choice = |one: &Slot| {
        if matches!(one, Slot::Of([Kind::Ph])) { format!("ph {}", slot_form(one)) } else { slot_form(one) }
    };
    let choices: Vec<String> = spec.takes.iter().map(choice).collect();
    let word = spec.word.word();
    match (spec.takes, choices.as_slice()) {
        // Values that stand together; everywhere else one of the choices does.
        ([Slot::Of(_), Slot::Ref(_)], [amount, name]) => format!("{word} ({amount}) {name}"),
        ([Slot::Date, Slot::Clock], [date, clock]) => format!("{word} {date} ({clock})"),
        _ => format!("{word} {}", choices.join(" | ")),
    }
}

/// What stands behind the keyword of an entry.
#[must_use]
pub fn entry_form(entry: &EntrySpec) -> String {
    let behind = slot_forms(entry.takes, entry.optional).join(" ");
    if entry.amount_leads { format!("(<a volume> before it) {behind}") } else { behind }
}
