//! What is wrong with names and values: where it is marked, what it says, and that its fixes mend it.

mod support;

use std::fmt::Write as _;

use support::{World, check, unmarked};

/// Texts with the problems marked under their lines.
const FIXTURES: &[(&str, &str)] = &[
    (
        "a name nobody knows",
        r#"
recipe "A"
  style     99Z
            ^^^ unknown-reference
  brewhouse shed-31
            ^^^^^^^ unknown-reference
grist
  4 kg      maris oter malt
            ^^^^^^^^^^^^^^^ unknown-reference
  1 kg      unobtainium
            ^^^^^^^^^^^ unknown-reference
liquor
  source    "sea water"
             ^^^^^^^^^ unknown-reference
  add       3 g gypsun to mash
                ^^^^^^ unknown-reference
boil 60 min
  20 g      Fugle at 60 min
            ^^^^^ unknown-reference
pitch
  1 pack    ailing yeast
            ^^^^^^^^^^^^ unknown-reference
"#,
    ),
    (
        "a name of another kind",
        r#"
recipe "A"
grist
  4 kg      Crystal
            ^^^^^^^ unknown-reference
  5 kg      crystal malt
boil 60 min
  20 g      Crystal at 60 min
  20 g      table sugar at 10 min
  10 g      chocolate malt at 10 min
  1 pack    Kölsch yeast at 5 min
            ^^^^^^^^^^^^ unknown-reference
pitch
  5 g       gypsum
  20 g      Cascade
            ^^^^^^^ unknown-reference
"#,
    ),
    (
        "a style by its name",
        r#"
recipe "A"
  style     English Porter
            ^^^^^^^^^^^^^^ unknown-reference
"#,
    ),
    (
        "a substitute nobody knows",
        r#"
recipe "A"
boil 60 min
  20 g      Cascade [6 %, or Centennial] at 5 min
  20 g      Cascade [6 %, or Centenial] at 5 min
                             ^^^^^^^^^ unknown-reference
"#,
    ),
    (
        "which gallon",
        r#"
recipe "A"
  batch     5 gal
              ^^^ ambiguous-unit
liquor
  mash      2..3 qt
                 ^^ ambiguous-unit
  sparge    3 usgal
ferment
  rack      1 pt on day 3
              ^^ ambiguous-unit
"#,
    ),
    (
        "said once which gallon",
        r#"
recipe "A"
  batch     5 gal
  customary imperial
liquor
  mash      3 qt
"#,
    ),
    (
        "a gallon in a definition",
        r#"
brewhouse kitchen
  tun capacity        5 gal
                        ^^^ ambiguous-unit
  evaporation         1 gal/h
                        ^^^^^ ambiguous-unit
"#,
    ),
    (
        "two of one name",
        r#"
malt pale
  colour              5 EBC
malt Pale
     ^^^^ duplicate-definition
  colour              6 EBC
hop pale
malt other
  alias               pale
                      ^^^^ duplicate-definition
  alias               other
"#,
    ),
    (
        "two values of one name",
        r#"
let size = 20 L
let size = 21 L
    ^^^^ duplicate-definition
recipe "A"
  let size = 22 L
  let size = 23 L
      ^^^^ duplicate-definition
"#,
    ),
    (
        "two blocks of one kind",
        r#"
recipe "A"
boil 60 min
boil 90 min
^^^^^^^^^^^ duplicate-block
"#,
    ),
    (
        "blocks that belong nowhere",
        r#"
grist
^^^^^ block-without-recipe
  5 kg      pale ale malt
recipe "A"
gyle 1 "A" on 2026-03-14
boil 60 min
^^^^^^^^^^^ block-without-recipe
notes
  | fine
"#,
    ),
    (
        "like nothing",
        r#"
malt house
  like                nothing at all
                      ^^^^^^^^^^^^^^ unknown-reference
malt one
  like                two
                      ^^^ like-cycle
malt two
  like                one
                      ^^^ like-cycle
malt three
  like                one
malt "pale ale malt"
  like                pale ale malt
"#,
    ),
    (
        "dates that no calendar has",
        r#"
recipe "A"
  date      2026-02-30
            ^^^^^^^^^^ date-impossible
pitch
  1 pack    Kölsch yeast [packed 2026-13-01]
                                 ^^^^^^^^^^ date-impossible
ferment
  rack      on 2026-04-31
               ^^^^^^^^^^ date-impossible
water w
  reported            2025-02-29
                      ^^^^^^^^^^ date-impossible
gyle 1 "A" on 2026-02-28
  2026-02-30 10:00  temp      20 C
  ^^^^^^^^^^ date-impossible
tasting on 2026-00-01
           ^^^^^^^^^^ date-impossible
"#,
    ),
    (
        "a log that runs backwards",
        r#"
gyle 1 "A" on 2026-03-14
  22:00   boil start
  23:55   volume    20 L in kettle
  00:35   flameout
  ^^^^^ log-out-of-order
  01:00   chilled   20 C
  day 2   gravity   1.020
  day 1   gravity   1.030
  ^^^^^ log-out-of-order
  2026-03-20 temp      20 C
  2026-03-19 temp      20 C
  ^^^^^^^^^^ log-out-of-order
"#,
    ),
    (
        "one time mistyped among others in order",
        r#"
gyle 1 "A" on 2026-03-14
  10:00   mash in   66 C
  09:10   ph        5.5
  ^^^^^ log-out-of-order
  10:20   ph        5.4
  10:15   ph        5.4
  ^^^^^ log-out-of-order
"#,
    ),
    (
        "past midnight with a date",
        r#"
gyle 1 "A" on 2026-12-31
  22:00   boil start
  2027-01-01 00:10  flameout
  00:30   chilled   20 C
  day 0   gravity   1.050
  day 3   gravity   1.020
"#,
    ),
    (
        "tags near a technique",
        r#"
recipe "A"
  tag       winter no-sparge nosparge Kettle-Sour kettel-sour
                             ^^^^^^^^ unknown-tag
                                                  ^^^^^^^^^^^ unknown-tag
  tag       bag bad barrel open low-alcohols parti_gyle
                                ^^^^^^^^^^^^ unknown-tag
                                             ^^^^^^^^^^ unknown-tag
"#,
    ),
    (
        "properties of another thing",
        r#"
recipe "A"
grist
  4 kg      pale ale malt [alpha 5 %, extract 80 %]
                           ^^^^^ unknown-field
  1 kg      wheat malt [72 %]
                        ^^^^ unit-wrong-dimension
boil 60 min
  20 g      Fuggle [8 EBC] at 10 min
                    ^^^^^ unit-wrong-dimension
"#,
    ),
    (
        "an expression where a fixed value is wanted",
        r#"
let size = 20 L
recipe "A"
  batch     (size + 1 L)
liquor
  mash      (2.7 L/kg * grist.weight)
boil (og.points * 1 min)
     ^^^^^^^^^^^^^^^^^^^ malformed-line
"#,
    ),
];

#[test]
fn problems_stand_where_they_are_marked() {
    for (name, fixture) in FIXTURES {
        println!("{name}");
        check(fixture.trim_start_matches('\n'), &[]);
    }
}

/// Each problem of the fixtures as a reader sees it, once for each message.
fn every_message() -> String {
    let mut out = String::new();
    for (name, fixture) in FIXTURES {
        let world = World::new(&unmarked(fixture.trim_start_matches('\n')), &[]);
        let problems = world.problems();
        if problems.is_empty() {
            continue;
        }
        let _ = writeln!(out, "# {name}");
        for (_, problem) in problems {
            let fault = &problem.fault;
            let _ = writeln!(out, "{}: {}\n  help: {}", fault.rule, fault.message, fault.help);
            for fix in &fault.fixes {
                let _ = writeln!(out, "  fix: {}", fix.title);
            }
            for (_, related) in &problem.related {
                let _ = writeln!(out, "  see: {related}");
            }
        }
    }
    out
}

#[test]
fn messages_read_well() {
    insta::assert_snapshot!(every_message());
}

#[test]
fn messages_are_in_the_brewers_words() {
    let messages = every_message().to_lowercase();
    for jargon in ["token", "identifier", "eof", "unexpected", "expected one of", "span", "parse"] {
        assert!(!messages.contains(jargon), "{jargon}");
    }
}

/// Applying the first fix of a problem takes the problem away.
#[test]
fn fixes_mend() {
    let mut tried = 0;
    for (name, fixture) in FIXTURES {
        let text = unmarked(fixture.trim_start_matches('\n'));
        let world = World::new(&text, &[]);
        let problems = world.problems();
        for (at, problem) in &problems {
            for fix in &problem.fault.fixes {
                let start = at - problem.fault.span.start;
                let edits: Vec<syntax::Edit> = fix
                    .edits
                    .iter()
                    .map(|(span, text)| syntax::Edit { span: span.shift(start), text: text.clone() })
                    .collect();
                let mended = syntax::apply(&text, &edits);
                let after = World::new(&mended, &[]);
                assert!(
                    after.problems().len() < problems.len(),
                    "{name}: '{}' does not mend {}\n{}",
                    fix.title,
                    problem.fault.message,
                    after.marked()
                );
                assert!(after.tree.blocks.iter().all(|placed| placed.block.faults.is_empty()), "{mended}");
                tried += 1;
            }
        }
    }
    assert!(tried > 15, "{tried}");
}
