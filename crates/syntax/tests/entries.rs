//! Entries and headers with their trees, in a short notation. To add a case, add a line to `CASES`.
//!
//! Parts are parted by ` | `. A name is `'name'` (`"name"` where it stood in quotes), a value its number and
//! unit, an expression is written operator first, a clause is its word with its parts in braces.

#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

use std::fmt::Write;

use syntax::Span;
use syntax::ast::*;

/// Block, line, tree. A block that is `-` means that the line is a header.
const CASES: &[(&str, &str, &str)] = &[
    // Items: amount, name, properties, clauses.
    ("grist", "3.6 kg maris otter malt", "item 3.6 kg | 'maris otter malt'"),
    ("grist", "350 g crystal malt [150 EBC]", "item 350 g | 'crystal malt' | [150 EBC]"),
    ("grist", "8 lb 8 oz 6-row malt", "item 8.5 lb | '6-row malt'"),
    ("grist", "2 1/2 lb light DME at 15 min", "item 2.5 lb | 'light DME' | at{15 min}"),
    ("grist", "2-row malt", "broken"),
    ("grist", "84 % pale ale malt", "item 84 % | 'pale ale malt'"),
    ("grist", "12 oz caramel 60 malt in steep", "item 12 oz | 'caramel 60 malt' | in{'steep'}"),
    ("grist", "3.3 lb \"liquid malt extract, light\"", "item 3.3 lb | \"liquid malt extract, light\""),
    ("grist", "1 kg \"corn flakes (brewing)\"", "item 1 kg | \"corn flakes (brewing)\""),
    ("grist", "20 g 1272 malt", "item 20 g | '1272 malt'"),
    ("grist", "5 kg Pride of the North", "item 5 kg | 'Pride of the North'"),
    ("grist", "(2 kg + 500 g) pale malt", "item (+ 2 kg 500 g) | 'pale malt'"),
    ("grist", "18..20 kg pale malt", "item 18..20 kg | 'pale malt'"),
    ("grist", "5 ± 0.1 kg pale malt", "item 5±0.1 kg | 'pale malt'"),
    ("grist", "5 kg\u{a0}pale malt", "item 5 kg | 'pale malt'"),
    ("boil 60 min", "20 g Idaho 7 at 5 min", "item 20 g | 'Idaho 7' | at{5 min}"),
    ("boil 60 min", "20 g Idaho 7 AT flameout", "item 20 g | 'Idaho 7' | at{'flameout'}"),
    (
        "boil 60 min",
        "24 g Challenger [7.1 %, leaf] at first wort",
        "item 24 g | 'Challenger' | [7.1 %, leaf] | at{'first wort'}",
    ),
    (
        "boil 60 min",
        "Target [10.5 %] at 75 min to reach 40 IBU",
        "item 'Target' | [10.5 %] | at{75 min} | to reach{40 IBU}",
    ),
    (
        "boil 60 min",
        "1 oz Cascade [6 %, or Centennial] at flameout",
        "item 1 oz | 'Cascade' | [6 %, or 'Centennial'] | at{'flameout'}",
    ),
    (
        "boil 60 min",
        "80 g Saaz [3.4 %, crop 2026] at 40 min",
        "item 80 g | 'Saaz' | [3.4 %, crop: 2026] | at{40 min}",
    ),
    (
        "boil 60 min",
        "30 g Cascade [6.1..6.7 %] at 5 min \"late\"",
        "item 30 g | 'Cascade' | [6.1..6.7 %] | at{5 min} | label 'late'",
    ),
    (
        "boil 60 min",
        "30 g Cascade [lot SM-114, note from the neighbour's bine, leaf]",
        "item 30 g | 'Cascade' | [lot: 'SM-114', note: 'from the neighbour's bine', leaf]",
    ),
    ("boil 60 min", "30 g Cascade [7.1 %,leaf]", "item 30 g | 'Cascade' | [7.1 %, leaf]"),
    ("boil 60 min", "30 g Cascade [extract]", "item 30 g | 'Cascade' | [extract]"),
    ("boil 60 min", "30 g Cascade [form leaf]", "item 30 g | 'Cascade' | [form: 'leaf']"),
    ("boil 60 min", "1 each carrageenan tablet at 10 min", "item 1 each | 'carrageenan tablet' | at{10 min}"),
    ("boil 60 min", "30 g hop by the wall", "item 30 g | 'hop by the wall'"),
    (
        "pitch",
        "200 billion cells english ale yeast [72 %]",
        "item 200 billion cells | 'english ale yeast' | [72 %]",
    ),
    (
        "pitch",
        "300 mL English ale yeast [1.2 billion cells/mL, harvested 2026-10-02]",
        "item 300 mL | 'English ale yeast' | [1.2 billion cells/mL, harvested: 2026-10-02]",
    ),
    ("ferment", "40 g Cascade on day 4 for 3 d", "item 40 g | 'Cascade' | on{day 4} | for{3 d}"),
    ("ferment", "40 g Cascade on day 8..11", "item 40 g | 'Cascade' | on{day 8..11}"),
    ("ferment", "40 g Cascade at 1.020 for 4 d", "item 40 g | 'Cascade' | at{1.02} | for{4 d}"),
    // Facts.
    ("recipe \"X\"", "batch 5 1/2 gal", "batch 5.5 gal"),
    ("recipe \"X\"", "batch (2 * 10 L)", "batch (* 2 10 L)"),
    ("recipe \"X\"", "style 27-pre-prohibition-lager", "style text '27-pre-prohibition-lager'"),
    ("recipe \"X\"", "style 13C (porter) \"x", "style text '13C (porter) \"x'"),
    (
        "recipe \"X\"",
        "brewhouse shed-30 [mash efficiency 72 %, tun capacity 36 L]",
        "brewhouse 'shed-30' | [mash efficiency: 72 %, tun capacity: 36 L]",
    ),
    ("recipe \"X\"", "tag no-sparge 2026 bag", "tag 'no-sparge 2026 bag'"),
    ("recipe \"X\"", "from \"Breakwater Strong\"", "from \"Breakwater Strong\" quoted"),
    ("recipe \"X\"", "based on the old one", "based on text 'the old one'"),
    ("recipe \"X\"", "let dose = 5 g/L * batch", "let 'dose' | (* 5 g/L batch)"),
    (
        "recipe \"X\"",
        "? round(og.points / 4, 1) \"quarter\"",
        "query (round (/ og.points 4) 1) | label 'quarter'",
    ),
    ("recipe \"X\"", "date 2026-03-14", "date 2026-03-14"),
    ("liquor", "sparge 17.5 L at 76 C", "sparge 17.5 L | at{76 C}"),
    ("liquor", "no-sparge", "no sparge"),
    ("liquor", "NO  SPARGE", "no sparge"),
    ("liquor", "source harbour-tap [boiled]", "source 'harbour-tap' | [boiled]"),
    ("liquor", "source harbour-tap [carbon filtered]", "source 'harbour-tap' | [carbon filtered]"),
    ("liquor", "blend 70 % reverse osmosis water", "blend 70 % | 'reverse osmosis water'"),
    ("liquor", "add 2 mL lactic acid [88 %] to mash", "add 2 mL | 'lactic acid' | [88 %] | to{'mash'}"),
    (
        "liquor",
        "add lactic acid [88 %] to mash to reach ph 5.35",
        "add 'lactic acid' | [88 %] | to{'mash'} | to reach{'ph' 5.35}",
    ),
    ("liquor", "top up 2 1/2 gal to fermenter", "top up 2.5 gal | to{'fermenter'}"),
    ("mash", "rest 52 C for 10 min \"dough in\"", "rest 52 C | for{10 min} | label 'dough in'"),
    ("mash", "rest 76 °C for 10 min by direct heat", "rest 76 C | for{10 min} | by{'direct heat'}"),
    ("mash", "rest 66 ± 1 C for 60 min", "rest 66±1 C | for{60 min}"),
    ("mash", "rest 66 +/- 1 C for 1 h 15 min", "rest 66±1 C | for{1.25 h}"),
    (
        "mash",
        "decoct thick at 71 C for 15 min boil 15 min",
        "decoct 'thick' | at{71 C} | for{15 min} | boil{15 min}",
    ),
    ("mash", "decoct 5 L thick boil 10 min", "decoct 5 L | 'thick' | boil{10 min}"),
    ("mash", "runnings 24.5 L at 1.070", "runnings 24.5 L | at{1.07}"),
    ("cook 5 qt", "return to mash", "return to{'mash'}"),
    ("sour", "hold 36 C for 30 h until ph 3.4", "hold 36 C | for{30 h} | until{'ph' 3.4}"),
    ("pitch", "starter 2 L at 1.036 [stirred]", "starter 2 L | at{1.036 [stirred]}"),
    ("pitch", "rate 0.75 million/mL/P", "rate 0.75 million/mL/P"),
    ("pitch", "at 18 C", "at 18 C"),
    ("pitch", "oxygen 1 L/min for 60 s", "oxygen 1 L/min | for{60 s}"),
    ("ferment", "raise to 16 C over 2 d for 3 d", "raise to{16 C} | over{2 d} | for{3 d}"),
    ("ferment", "free rise cap 22 C", "free rise cap{22 C}"),
    ("ferment", "spund 1.1 bar from 1.018", "spund 1.1 bar | from{1.018}"),
    ("ferment", "spund 1.1 bar from day 3", "spund 1.1 bar | from{day 3}"),
    ("ferment", "rack 18 L to bright tank on day 14", "rack 18 L | to{'bright tank'} | on{day 14}"),
    (
        "package",
        "8 L bottle 2.4 vol [glass 3.0 vol] at 16 C",
        "8 L | bottle 2.4 vol | [glass: 3 vol] | at{16 C}",
    ),
    ("package", "(batch - 2 L) keg 2.2 vol at 6 C", "(- batch 2 L) | keg 2.2 vol | at{6 C}"),
    (
        "package",
        "bottle 1.9 vol at 16 C with 4.8 g/L dextrose monohydrate",
        "bottle 1.9 vol | at{16 C} | with{4.8 g/L 'dextrose monohydrate'}",
    ),
    (
        "package",
        "bottle 2 vol at 16 C with 4 g/L \"corn sugar\"",
        "bottle 2 vol | at{16 C} | with{4 g/L \"corn sugar\"}",
    ),
    ("package", "cask 1.8 vol [residual at 12 C] at 12 C", "cask 1.8 vol | [residual: 12 C] | at{12 C}"),
    ("package", "5 g champagne yeast", "item 5 g | 'champagne yeast'"),
    // Expectations and conditions.
    ("expect", "og 1.051 ± 0.003", "expect 'og' | 1.051±0.003"),
    ("expect", "mash ph 5.3..5.6", "expect 'mash ph' | 5.3..5.6"),
    ("expect", "abv < 4.2 %", "expect 'abv' | Less | 4.2 %"),
    ("expect", "ibu (og.points * 0.6)", "expect 'ibu' | (* og.points 0.6)"),
    ("expect", "ibu / og.points in 0.45..0.65", "condition (/ ibu og.points) | Within | (0.45..0.65)"),
    ("expect", "sulfate / chloride < 1.5", "condition (/ sulfate chloride) | Less | 1.5"),
    ("expect", "ibu > 20 and ibu <= 30", "condition ibu | Greater | 20 | And | ibu | LessOrEqual | 30"),
    ("expect", "a - b - c = 3", "condition (- (- a b) c) | Equal | 3"),
    ("expect", "-2^2 * 3 > a", "condition (* (neg (^ 2 2)) 3) | Greater | a"),
    ("expect", "min(a, 2 L) + step(2 F) < b", "condition (+ (min a 2 L) (step 2 F)) | Less | b"),
    // Logs.
    ("gyle 27 \"X\" on 2026-03-14", "10:05 mash in 66.8 C", "@10:05 mash in 66.8 C"),
    ("gyle 27 \"X\" on 2026-03-14", "2026-10-10 00:35 flameout", "@2026-10-10 00:35 flameout"),
    ("gyle 27 \"X\" on 2026-03-14", "day 1 07:30 temp 9.8 C", "@day 1 07:30 temp 9.8 C"),
    ("gyle 27 \"X\" on 2026-03-14", "day -2 starter 2 L at 1.037", "@day -2 starter 2 L | at{1.037}"),
    (
        "gyle 27 \"X\" on 2026-03-14",
        "11:20 pre-boil 24.6 L [hot] at 1.034 [refractometer]",
        "@11:20 pre-boil 24.6 L | [hot] | at{1.034 [refractometer]}",
    ),
    ("gyle 27 \"X\" on 2026-03-14", "11:20 pre boil 27 L [98 C]", "@11:20 pre-boil 27 L | [98 C]"),
    (
        "gyle 27 \"X\" on 2026-03-14",
        "13:20 pitch 11 g dry English ale yeast at 19 C",
        "@13:20 pitch 11 g | 'dry English ale yeast' | at{19 C}",
    ),
    (
        "gyle 27 \"X\" on 2026-03-14",
        "12:55 instead 20 g East Kent Golding for Fuggle",
        "@12:55 instead 20 g | 'East Kent Golding' | for{'Fuggle'}",
    ),
    ("gyle 27 \"X\" on 2026-03-14", "10:20 iodine still blue", "@10:20 iodine text 'still blue'"),
    ("gyle 27 \"X\" on 2026-03-14", "10:20 iodine", "@10:20 iodine"),
    (
        "gyle 27 \"X\" on 2026-03-14",
        "day 10 package 18 L keg 2.2 vol at 6 C",
        "@day 10 package 18 L | 'keg' | 2.2 vol | at{6 C}",
    ),
    ("gyle 27 \"X\" on 2026-03-14", "10:00 ph 5.45 at 20 C [mash]", "@10:00 ph 5.45 | at{20 C [mash]}"),
    ("tasting of 27 on 2026-04-11", "score 38/50", "score 38/50"),
    ("tasting of 27 on 2026-04-11", "score 38/50 [stored 1/2 C]", "score 38/50 | [stored: 0.5 C]"),
    (
        "tasting of 27 on 2026-04-11",
        "next drop the crystal malt to 250 g [!",
        "next text 'drop the crystal malt to 250 g [!'",
    ),
    // Definitions.
    ("malt x", "extract 81.5 %", "extract 81.5 %"),
    ("malt x", "extract 305 L°/kg", "extract 305 L°/kg"),
    ("malt x", "diastatic power 250..300 WK", "diastatic power 250..300 WK"),
    ("malt x", "mash-ph 5.7", "mash ph 5.7"),
    ("malt x", "like \"13C\"", "like \"13C\""),
    ("malt x", "alias 2-row, the other [loose]", "alias '2-row, the other' | [loose]"),
    ("malt x", "price 1.90 EUR/kg", "price 1.9 EUR/kg"),
    ("style \"1A\"", "like 10C", "like '10C'"),
    ("hop x", "stored 4 C in the dark", "stored 4 C | 'in the dark'"),
    ("hop x", "stored 4 C vacuum packed", "stored 4 C | 'vacuum packed'"),
    ("water x", "alkalinity 130 ppm as CaCO3", "alkalinity 130 ppm as CaCO3"),
    ("addition x", "ions calcium 232.8, sulfate 558", "ions text 'calcium 232.8, sulfate 558'"),
    ("yeast x", "cells 10 billion cells/g", "cells 10 billion cells/g"),
    ("style \"1A\"", "fg 0.998..1.008", "fg 0.998..1.008"),
    // Headers.
    ("-", "recipe \"Estuary Porter\"", "header \"Estuary Porter\" quoted"),
    ("-", "use \"../cellar.gyle\"", "header \"../cellar.gyle\" quoted"),
    ("-", "let dose = 5 g", "header 'dose' | 5 g"),
    ("-", "grist to reach 1.040", "header to reach{1.04}"),
    ("-", "mash by direct heat", "header by{'direct heat'}"),
    ("-", "chill to 9 C over 45 min", "header to{9 C} | over{45 min}"),
    ("-", "steep 30 min at 152 F", "header 30 min | at{152 F}"),
    ("-", "split \"dry\" 20 L", "header \"dry\" quoted | 20 L"),
    ("-", "malt \"Saltmarsh floor malt\"", "header \"Saltmarsh floor malt\""),
    ("-", "malt crystal 60 L", "header 'crystal 60 L'"),
    ("-", "hop Spirit of the Sea at Night", "header 'Spirit of the Sea at Night'"),
    (
        "-",
        "gyle 2026-03/a \"X\" of \"x.gyle\" on 2026-05-02",
        "header '2026-03/a' | \"X\" quoted | of{\"x.gyle\" quoted} | on{2026-05-02}",
    ),
    ("-", "gyle 3 \"X\" planned 2026-05-02 08:00", "header '3' | \"X\" quoted | planned{2026-05-02 08:00}"),
    ("-", "tasting of 41 on 2026-05-30", "header of{'41'} | on{2026-05-30}"),
];

#[test]
fn trees() {
    let mut wrong = String::new();
    for (block, line, expected) in CASES {
        let (text, at) = match *block {
            "-" => ((*line).to_owned(), 0),
            block => (format!("{block}\n  {line}\n"), 1),
        };
        let file = syntax::parse(&text);
        let block = &file.blocks[0].block;
        let found = match &block.lines[at].body {
            Body::Entry(entry) | Body::Header(entry) => notation(&block.text, entry),
            Body::Broken(_) => "broken".to_owned(),
            other => panic!("{line}: {other:?}"),
        };
        if found != *expected {
            writeln!(wrong, "{line}\n   wanted {expected}\n   found  {found}").unwrap();
        }
        if *expected != "broken" && !block.faults.is_empty() {
            writeln!(wrong, "{line}\n   {:?}", block.faults).unwrap();
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

fn notation(text: &str, entry: &Entry) -> String {
    let when = entry.when.map_or(String::new(), |when| match when.node {
        When::Clock(time) => format!("@{} ", clock(time)),
        When::Date(day, time) => {
            format!("@{}{} ", date(day), time.map_or(String::new(), |t| format!(" {}", clock(t))))
        }
        When::Day(day, time) => {
            format!("@day {day}{} ", time.map_or(String::new(), |t| format!(" {}", clock(t))))
        }
    });
    let word = match entry.form {
        Form::Header => "header".to_owned(),
        Form::Item => "item".to_owned(),
        Form::Query => "query".to_owned(),
        Form::Expectation => "expect".to_owned(),
        Form::Condition => "condition".to_owned(),
        Form::Fact | Form::Text | Form::Let => entry.keyword.unwrap().node.word().to_owned(),
    };
    let leads = |part: &Part| {
        entry.form == Form::Fact
            && matches!(part, Part::Value(value) if value.span.end <= entry.keyword.unwrap().span.start)
    };
    let lead: String =
        entry.parts.iter().filter(|part| leads(part)).map(|p| format!("{} | ", part(text, p))).collect();
    let parts: Vec<String> = entry.parts.iter().filter(|part| !leads(part)).map(|p| part(text, p)).collect();
    format!("{when}{lead}{word} {}", parts.join(" | ")).trim_end().to_owned()
}

fn part(text: &str, part: &Part) -> String {
    match part {
        Part::Value(found) => value(text, found),
        Part::Name(found) => name(text, *found),
        Part::Props(found) => props(text, found),
        Part::Clause(clause) => {
            let parts: Vec<String> = clause
                .parts
                .iter()
                .map(|part| match part {
                    ClausePart::Value(found) => value(text, found),
                    ClausePart::Name(found) => name(text, *found),
                    ClausePart::Props(found) => props(text, found),
                })
                .collect();
            format!("{}{{{}}}", clause.word.word(), parts.join(" "))
        }
        Part::Label(span) => format!("label '{}'", span.of(text)),
        Part::Text(span) => format!("text '{}'", span.of(text)),
        Part::Relation(relation) => format!("{:?}", relation.node),
    }
}

fn props(text: &str, props: &Props) -> String {
    let list: Vec<String> = props
        .list
        .iter()
        .map(|prop| match &prop.kind {
            PropKind::Keyed { key, value: found, words, .. } => {
                let mut out = format!("{}:", key.word());
                if let Some(found) = found {
                    write!(out, " {}", value(text, found)).unwrap();
                }
                if let Some(words) = words {
                    write!(out, " {}", name(text, *words)).unwrap();
                }
                out
            }
            PropKind::Value(found) => value(text, found),
            PropKind::Flag(flag) => flag.word().to_owned(),
            PropKind::Or(found) => format!("or {}", name(text, *found)),
            PropKind::Words(found) => format!("words {}", name(text, *found)),
        })
        .collect();
    format!("[{}]", list.join(", "))
}

fn name(text: &str, name: Name) -> String {
    if name.quoted { format!("\"{}\"", name.span.of(text)) } else { format!("'{}'", name.span.of(text)) }
}

fn value(text: &str, value: &Value) -> String {
    match &value.kind {
        ValueKind::Plain(found) => measure(found),
        ValueKind::Range(low, high) => format!("{}..{}", measure(low), measure(high)),
        ValueKind::Tolerance(middle, plus) => format!("{}±{}", measure(middle), measure(plus)),
        ValueKind::Expr(found) => expr(text, found),
        ValueKind::Date(found) => date(*found),
        ValueKind::Clock(found) => clock(*found),
        ValueKind::Day(first, None) => format!("day {first}"),
        ValueKind::Day(first, Some(last)) => format!("day {first}..{last}"),
        ValueKind::Score(got, of) => format!("{got}/{of}"),
        ValueKind::Str(span) => format!("{} quoted", whole_string(text, value.span, *span)),
    }
}

/// The quotes are part of the value's range, not of the text inside.
fn whole_string(text: &str, whole: Span, inside: Span) -> String {
    assert_eq!(whole.of(text), format!("\"{}\"", inside.of(text)));
    whole.of(text).to_owned()
}

fn measure(measure: &Measure) -> String {
    match measure.unit {
        Some(unit) => format!("{} {unit}", measure.number),
        None => measure.number.to_string(),
    }
}

fn date(date: Date) -> String {
    date.to_string()
}

fn clock(clock: Clock) -> String {
    format!("{:02}:{:02}", clock.hour, clock.minute)
}

fn expr(text: &str, expression: &Expr) -> String {
    match &expression.kind {
        ExprKind::Measure(found) => measure(found),
        ExprKind::Range(low, high) => format!("({}..{})", measure(low), measure(high)),
        ExprKind::Ident => expression.span.of(text).to_owned(),
        ExprKind::Call(function, arguments) => {
            let arguments: Vec<String> = arguments.iter().map(|argument| expr(text, argument)).collect();
            format!("({} {})", format!("{function:?}").to_lowercase(), arguments.join(" "))
        }
        ExprKind::Negate(inner) => format!("(neg {})", expr(text, inner)),
        ExprKind::Binary(left, operator, right) => {
            format!("({} {} {})", operator.span.of(text), expr(text, left), expr(text, right))
        }
    }
}
