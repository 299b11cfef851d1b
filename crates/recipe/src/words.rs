//! What problems say: what is the matter, why it matters, what to do.

use quantity::{Customary, Quantity, UnitId, format_plain};
use syntax::vocabulary::{BlockKind, Keyword};
use syntax::{Fault, FaultFix, Span};

fn fault(rule: &'static str, span: Span, message: String, help: String, fixes: Vec<FaultFix>) -> Fault {
    Fault { rule, span, message, help, fixes }
}

fn replace(title: String, span: Span, text: String) -> FaultFix {
    FaultFix { title, safe: false, edits: vec![(span, text)] }
}

/// A name as it has to stand in a file: in quotes where a clause word or a sign would end it.
pub(crate) fn as_name(name: &str) -> String {
    let plain = name.chars().all(|c| c.is_alphanumeric() || c == ' ' || c == '-')
        && !name.split(' ').any(|word| {
            matches!(word, "at" | "on" | "to" | "from" | "for" | "over" | "until" | "with" | "in" | "or")
        })
        && name.starts_with(char::is_alphabetic);
    if plain { name.to_owned() } else { format!("\"{name}\"") }
}

/// The kind as a thing: `malt`, `brewhouse`.
fn thing(kind: BlockKind) -> &'static str {
    kind.word()
}

fn with_article(kind: BlockKind) -> String {
    either(&[kind])
}

/// `malt`, `malt or sugar`, `hop, addition or sugar`.
fn one_of(kinds: &[BlockKind]) -> String {
    let mut text = String::new();
    for (at, kind) in kinds.iter().enumerate() {
        text.push_str(match at {
            0 => "",
            _ if at + 1 == kinds.len() => " or ",
            _ => ", ",
        });
        text.push_str(thing(*kind));
    }
    text
}

/// `a malt`, `a malt or sugar`, `an addition or hop`.
fn either(kinds: &[BlockKind]) -> String {
    let text = one_of(kinds);
    let article = if text.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" };
    format!("{article} {text}")
}

/// What is lost while a thing of one of these kinds is not known.
fn why_needed(kinds: &[BlockKind]) -> &'static str {
    if kinds.len() > 2 {
        return "nothing that it brings to the beer can be computed";
    }
    match kinds.first().copied().unwrap_or(BlockKind::Unknown) {
        BlockKind::Malt | BlockKind::Sugar => {
            "without its extract and colour the gravity of the beer cannot be computed"
        }
        BlockKind::Hop => "without its alpha acid the bitterness of the beer cannot be computed",
        BlockKind::Yeast => "without its attenuation the final gravity and the alcohol cannot be computed",
        BlockKind::Water => "without its ions the salts, the alkalinity and the mash pH cannot be computed",
        BlockKind::Addition => {
            "without knowing what it brings, its effect on the liquor and the beer cannot be computed"
        }
        BlockKind::Style => "without its numbers the beer cannot be compared with the style",
        BlockKind::BrewhouseBlock => {
            "without its efficiency and losses no volume and no gravity can be computed"
        }
        _ => "nothing can be computed from it",
    }
}

/// A name that nobody knows.
pub(crate) fn unknown(
    kinds: &[BlockKind],
    name: &str,
    other_kind: Option<BlockKind>,
    nearest: Option<&str>,
    span: Span,
    quoted: bool,
) -> Fault {
    let first = kinds.first().copied().unwrap_or(BlockKind::Unknown);
    let whole = if quoted { Span::new(span.start.saturating_sub(1), span.end + 1) } else { span };
    // A style is named by its code as it is.
    let written = |name: &str| if first == BlockKind::Style { name.to_owned() } else { as_name(name) };
    let fixes: Vec<FaultFix> = nearest
        .map(|nearest| replace(format!("write {nearest}"), whole, written(nearest)))
        .into_iter()
        .collect();
    let header = if first == BlockKind::Style { format!("\"{name}\"") } else { as_name(name) };
    let define = format!("define it in this file or in the cellar: `{} {header}`", thing(first));
    if let Some(other) = other_kind {
        let message = format!(
            "{name} is {}; here {} is wanted, and {}",
            with_article(other),
            either(kinds),
            why_needed(kinds)
        );
        let move_it = format!("move the line to a block where {} belongs", with_article(other));
        let help = match nearest {
            Some(nearest) => format!("write {nearest} if that is meant, or {move_it}"),
            None => move_it,
        };
        return fault("unknown-reference", span, message, help, fixes);
    }
    let message = format!(
        "'{name}' is no {} of this file, of the files it uses, of the cellar or of the built-in library; {}",
        one_of(kinds),
        why_needed(kinds)
    );
    let help = match nearest {
        Some(nearest) => format!("did you mean {nearest}? Otherwise {define}"),
        None => define,
    };
    fault("unknown-reference", span, message, help, fixes)
}

/// The definition that another starts from is not known.
pub(crate) fn unknown_like(kind: BlockKind, name: &str, nearest: Option<&str>, span: Span) -> Fault {
    let message = format!(
        "no other {} is called {name}, so nothing is taken over from it and only what stands here is known",
        thing(kind)
    );
    let help = match nearest {
        Some(nearest) => format!("did you mean {nearest}? Otherwise state the fields here and drop `like`"),
        None => "state the fields here and drop `like`, or name a definition of the same kind".into(),
    };
    let fixes = nearest
        .map(|nearest| replace(format!("write {nearest}"), span, as_name(nearest)))
        .into_iter()
        .collect();
    fault("unknown-reference", span, message, help, fixes)
}

/// Definitions that start from one another.
pub(crate) fn like_in_a_circle(names: &[&str], span: Span) -> Fault {
    fault(
        "like-cycle",
        span,
        format!(
            "{}: each starts from the next, and the last from one before it, so no figure comes from anywhere",
            names.join(", then ")
        ),
        "state the fields in one of them and drop its `like`".into(),
        Vec::new(),
    )
}

/// A unit that means two things.
pub(crate) fn ambiguous_unit(written: &str, unit: UnitId, span: Span) -> Fault {
    let (us, imperial) = (unit.resolve(Customary::Us), unit.resolve(Customary::Imperial));
    let one = |exact: UnitId| Quantity::new(1.0, exact).canonical().unwrap_or(f64::NAN);
    let size = |exact: UnitId| {
        let litres = one(exact);
        if litres < 0.1 {
            format!("{} mL", format_plain((litres * 1e4).round() / 10.0))
        } else {
            format!("{} L", format_plain((litres * 1e3).round() / 1e3))
        }
    };
    let sizes = if unit.dimension() == quantity::Dimension::Volume {
        format!("1 {us} is {}, 1 {imperial} is {}", size(us), size(imperial))
    } else {
        let percent = ((one(imperial) / one(us) - 1.0) * 100.0).round();
        let more = if percent < 0.0 { "less" } else { "more" };
        format!("1 {imperial} is {} % {more} than 1 {us}", format_plain(percent.abs()))
    };
    fault(
        "ambiguous-unit",
        span,
        format!("{written}: {unit} may be US or imperial ({sizes}), so the amount is not known"),
        format!(
            "write {us} or {imperial}, or say once which is meant: `customary us` in the recipe or `customary = \"us\"` in gyle.toml"
        ),
        vec![
            replace(format!("write {us}"), span, us.to_string()),
            replace(format!("write {imperial}"), span, imperial.to_string()),
        ],
    )
}

/// Two definitions of one kind and name in one file.
pub(crate) fn defined_twice(kind: BlockKind, name: &str, span: Span) -> Fault {
    fault(
        "duplicate-definition",
        span,
        format!(
            "{} {name} is defined twice in this file; the first definition holds, and this one is never read",
            thing(kind)
        ),
        "give one of the two another name, or remove it".into(),
        Vec::new(),
    )
}

/// Two values of one name in one scope.
pub(crate) fn let_twice(name: &str, span: Span) -> Fault {
    fault(
        "duplicate-definition",
        span,
        format!("{name} is given a value twice here; the first holds, and this one is never read"),
        "give one of the two another name, or remove it".into(),
        Vec::new(),
    )
}

/// A named value that stands for so many others that following them would take for ever.
pub(crate) fn stands_for_too_many(name: &str, span: Span) -> Fault {
    fault(
        "malformed-line",
        span,
        format!(
            "{name} stands for more than a thousand other values, one through another, so it is not worked out"
        ),
        "name fewer `let` values in it, or write the number".into(),
        Vec::new(),
    )
}

/// A block that may stand once in a recipe.
pub(crate) fn block_twice(kind: BlockKind, span: Span) -> Fault {
    let word = kind.word();
    fault(
        "duplicate-block",
        span,
        format!(
            "this recipe already has a `{word}` block; two of them contradict each other, and only the first is read"
        ),
        match kind {
            BlockKind::Pitch | BlockKind::Ferment | BlockKind::Package | BlockKind::Expect => format!(
                "move these lines into the first `{word}`; where part of the wort goes its own way, put `split \"NAME\" VOLUME` above"
            ),
            _ => format!("move these lines into the first `{word}`"),
        },
        Vec::new(),
    )
}

/// A process block that no recipe stands above.
pub(crate) fn block_without_recipe(kind: BlockKind, after_log: bool, span: Span) -> Fault {
    let word = kind.word();
    let message = if kind == BlockKind::Tasting {
        "this tasting belongs to no gyle: none stands above it, and it names none; so it is not shown with any beer".to_owned()
    } else if after_log {
        format!(
            "`{word}` stands below a gyle, to which only `notes` and `tasting` belong; it is part of no recipe, so nothing is computed from it"
        )
    } else {
        format!(
            "`{word}` stands above the first recipe of the file; it is part of no recipe, so nothing is computed from it"
        )
    };
    let help = if kind == BlockKind::Tasting {
        "move it below its gyle, or name it: `tasting of 27 on 2026-04-11`".to_owned()
    } else {
        format!("move it below its `recipe \"NAME\"`, or write that line above `{word}`")
    };
    fault("block-without-recipe", span, message, help, Vec::new())
}

/// A tag that is nearly one with a meaning.
pub(crate) fn near_tag(tag: &str, meant: &str, span: Span) -> Fault {
    fault(
        "unknown-tag",
        span,
        format!(
            "the tag {tag} is only a word to sort by; {meant} is a technique that the checks know and make room for"
        ),
        format!("write {meant} if the technique is meant"),
        vec![replace(format!("write {meant}"), span, meant.to_owned())],
    )
}

/// A field that the thing named has not.
pub(crate) fn field_of_another(
    name: &str,
    kind: BlockKind,
    key: Keyword,
    owners: &[BlockKind],
    span: Span,
) -> Fault {
    let owners = if owners.is_empty() { "another thing".to_owned() } else { either(owners) };
    fault(
        "unknown-field",
        span,
        format!(
            "{name} is {}, and `{}` is a field of {owners}; nothing is computed from it here",
            with_article(kind),
            key.word()
        ),
        format!("remove it, or write a field of {}", with_article(kind)),
        Vec::new(),
    )
}

/// A value in brackets that says nothing about the thing named.
pub(crate) fn bare_value(name: &str, kind: BlockKind, written: &str, span: Span) -> Fault {
    let (known, example) = match kind {
        BlockKind::Malt | BlockKind::Sugar => ("its colour, as in `[8 EBC]`", "[extract 80 %]"),
        BlockKind::Hop => ("its alpha acid, as in `[4.6 %]`", "[beta 4 %]"),
        BlockKind::Yeast => {
            ("its attenuation, as in `[72 %]`, or cells or grams of a pack", "[viability 90 %]")
        }
        BlockKind::Addition => ("its strength by mass, as in `[88 %]`", "[density 1.2 kg/L]"),
        BlockKind::BrewhouseBlock => ("nothing", "[evaporation 3 L/h]"),
        _ => ("nothing", "[calcium 60 ppm]"),
    };
    fault(
        "unit-wrong-dimension",
        span,
        format!(
            "a value alone in brackets after {} is {known}; {written} is not that, so it is not used for {name}",
            with_article(kind)
        ),
        format!("write the field before the value, as in `{example}`, or remove it"),
        Vec::new(),
    )
}

/// A value made of figures where one is wanted that stands before anything is computed.
pub(crate) fn value_not_fixed(written: &str, span: Span) -> Fault {
    fault(
        "malformed-line",
        span,
        format!("{written} needs a figure of the beer, but this value is wanted before anything is computed; so it is left out"),
        "write a fixed value here, or one made of numbers and `let` values only; amounts of ingredients and liquor may use figures".into(),
        Vec::new(),
    )
}

/// Grain measured by its volume.
pub(crate) fn grain_by_volume(written: &str, name: &str, span: Span) -> Fault {
    fault(
        "unit-wrong-dimension",
        span,
        format!(
            "{name} is weighed, and {written} is a volume; how much a litre of grain weighs depends on the grain and its crush"
        ),
        "write a mass, such as `4 kg`".into(),
        Vec::new(),
    )
}

/// Values of an expression that do not go together.
pub fn values_at_odds(reason: &str, span: Span) -> Fault {
    fault(
        "unit-wrong-dimension",
        span,
        format!("{reason}; so nothing is computed from this"),
        "change one of the values or its unit, or what is done with them".into(),
        Vec::new(),
    )
}

/// A log entry earlier than the one above.
pub(crate) fn out_of_order(written: &str, above: &str, next_day: Option<String>, span: Span) -> Fault {
    let fixes = next_day
        .clone()
        .map(|text| replace(format!("add the date: {text}"), span, text))
        .into_iter()
        .collect();
    let help = match next_day {
        Some(text) => format!(
            "if it is past midnight add the date, `{text}`; otherwise put the lines in the order of the day"
        ),
        None => "put the lines in the order of time, or mend the date".into(),
    };
    fault(
        "log-out-of-order",
        span,
        format!(
            "{written} is earlier than {above} in the line above; boil times, ages and the order of steps are read from these times, so this line has none"
        ),
        help,
        fixes,
    )
}
