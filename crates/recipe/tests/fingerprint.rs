//! The fingerprint changes with the beer and with nothing else.

mod support;

use recipe::fingerprint;
use support::World;

const BASE: &str = "\
let size = 20 L
recipe \"A\"
  batch     (size + 1 L)
  brewer    M. Okoro
grist
  3.6 kg    pale ale malt
  2 lb 4 oz wheat malt [8 EBC, price 2 EUR/kg]
boil 60 min
  20 g      Fuggle [alpha 4.6 %, or Golding] at 10 min
  1 tablet  kettle finings at 10 min
stand 20 min at 80 C
pitch
  2 pack    clean ale yeast
ferment
  raise     to 21 C over 1 d for 3 d
expect
  ibu       24..32
notes
  | A winter beer.
";

fn of(text: &str) -> String {
    fingerprint(World::new(text, &[]).recipe())
}

#[track_caller]
fn replaced(from: &str, to: &str) -> String {
    assert!(BASE.contains(from), "{from}");
    BASE.replace(from, to)
}

#[test]
fn it_is_what_it_was() {
    // Pinned: logs carry it, so a change here would make every one of them say its recipe has changed.
    assert_eq!(of(BASE), "8d8500cc");
}

#[test]
fn what_leaves_it_the_same() {
    for (from, to) in [
        ("  batch     (size + 1 L)", "\tbatch (size + 1 L)  # in the fermenter"),
        ("(size + 1 L)", "(20 L + 1 L)"),
        ("let size", "let other = 1 L\nlet size"),
        ("M. Okoro", "somebody else"),
        ("grist\n", "# the grist\ngrist\n\n"),
        ("pale ale malt", "Pale-Ale  malt"),
        ("2 lb 4 oz", "2 1/4 lb"),
        ("price 2 EUR/kg", "price 3 EUR/kg"),
        ("boil 60 min", "boil 60 minutes"),
        ("or Golding", "or East Kent Golding"),
        ("2 pack", "2 packs"),
        ("over 1 d for 3 d", "for 3 d over 1 day"),
        ("at 10 min\n  1", "at 10 min  #= 5 IBU\n  1"),
        ("A winter beer.", "A summer beer."),
        ("\n", "\r\n"),
    ] {
        assert_eq!(of(&replaced(from, to)), of(BASE), "{from} -> {to}");
    }
    // Blocks in another order.
    let moved = replaced("expect\n  ibu       24..32\n", "")
        .replace("grist\n", "expect\n  ibu       24..32\ngrist\n");
    assert_eq!(of(&moved), of(BASE));
}

#[test]
fn what_changes_it() {
    let mut seen = vec![of(BASE)];
    for (from, to) in [
        ("size = 20 L", "size = 21 L"),
        ("size + 1 L", "size - 1 L"),
        ("\"A\"", "\"B\""),
        ("3.6 kg", "3.7 kg"),
        ("3.6 kg", "3.6 g"),
        ("pale ale malt", "mild malt"),
        ("[8 EBC,", "[9 EBC,"),
        ("alpha 4.6 %", "alpha 4.7 %"),
        ("alpha 4.6 %", "alpha 4.6 %, leaf"),
        ("at 10 min\n  1", "at flameout\n  1"),
        ("at 80 C", "at 81 C"),
        ("to 21 C", "to 22 C"),
        ("over 1 d for 3 d", "over 3 d for 1 d"),
        ("24..32", "24..33"),
        ("24..32", "24 ± 32"),
        ("2 pack", "2 each"),
        ("  1 tablet  kettle finings at 10 min\n", ""),
        ("  20 g      Fuggle [alpha 4.6 %, or Golding] at 10 min\n", "  20 g (\n"),
    ] {
        let found = of(&replaced(from, to));
        assert!(!seen.contains(&found), "{from} -> {to}");
        seen.push(found);
    }
}

#[test]
fn a_split_keeps_its_own() {
    let with = |one: &str, two: &str| {
        of(&format!(
            "recipe \"A\"\nsplit \"x\" 10 L\npitch\n  1 pack {one}\nsplit \"y\" 10 L\npitch\n  1 pack {two}\n"
        ))
    };
    assert_ne!(with("Kölsch yeast", "clean ale yeast"), with("clean ale yeast", "Kölsch yeast"));
}
