//! Edges inside rules: the numbers that no house sets, each with a text on either side of it.
//!
//! A number that a rule compares with something stands in its source; one that has no row here fails the test.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use rules::RULES;

use crate::bench::{found, switched_on};
use crate::limits::{B, F, G, L, P, R, W};

/// A rule, a number in it, a text with `@` where it decides (the rule's example where it is empty: then `at` is
/// what is replaced), what is put there on either side, and what the rule says of each: a severity, or nothing.
struct Edge {
    rule: &'static str,
    number: &'static str,
    text: &'static str,
    at: &'static str,
    sides: [(&'static str, &'static str); 2],
}

const fn edge(
    rule: &'static str,
    number: &'static str,
    text: &'static str,
    sides: [(&'static str, &'static str); 2],
) -> Edge {
    Edge { rule, number, text, at: "@", sides }
}

/// In the rule's own example.
const fn own(
    rule: &'static str,
    number: &'static str,
    at: &'static str,
    sides: [(&'static str, &'static str); 2],
) -> Edge {
    Edge { rule, number, text: "", at, sides }
}

/// `%R` and so on stand for the blocks that the tests of the limits are made of.
#[rustfmt::skip]
const EDGES: &[Edge] = &[
    // Mash.
    edge("mash-temp-off-plan", "74.0", "%R%Gmash\n  rest  66 C for 60 min\n  rest  @ for 10 min by direct heat\n%L  10:05  mash in  66 C\n  11:20  mash out  60 C\n", [("73.9 C", ""), ("74 C", "warning")]),
    edge("mash-temp-off-plan", "4.0", "%R%Gmash\n  rest  66 C for 60 min\n  rest  76 C for 10 min by direct heat\n%L  10:05  mash in  66 C\n  11:20  mash out  @\n", [("72 C", ""), ("71.9 C", "warning")]),
    edge("mash-ph-mistimed", "60.0", "%R%Gmash\n  rest  @ for 20 min\n  rest  66 C for 60 min\n%L  10:05  mash in  59 C\n  10:45  ph  5.42 at 20 C\n", [("59.9 C", ""), ("60 C", "hint")]),
    own("mash-ph-off", "40.0", "20 C", [("40 C", "warning"), ("40.1 C", "")]),
    own("protein-rest-unneeded", "45.0", "52 C", [("45 C", "hint"), ("44.9 C", "")]),
    own("protein-rest-unneeded", "55.0", "52 C", [("55 C", "hint"), ("55.1 C", "")]),
    edge("mash-thickness-out-of-range", "75.0", "%R%Gliquor\n  mash  19.5 L\n  sparge  8 L\nmash\n  rest  66 C for 60 min\n  rest  @ for 10 min by infusion\n", [("74.9 C", "warning"), ("75 C", "")]),
    edge("mash-thickness-out-of-range", "1.040", "%Rgrist\n  @  pale ale malt\nliquor\n  mash  20 L\n  sparge  8 L\n", [("3.3 kg", ""), ("3.8 kg", "warning")]),
    edge("heating-ramp-implausible", "2.0", "%R%Gmash\n  rest  66 C for 60 min\n  rest  76 C for 10 min\n%L  10:05  mash in  66.2 C\n  10:06  rest  66 C for 60 min\n  11:06  rest  @ for 10 min\n", [("68 C", ""), ("68.1 C", "warning")]),
    own("gum-rest-or-hulls-suggested", "37.0", "rest      66 C for 60 min", [("rest  37 C for 15 min\n  rest      66 C for 60 min", ""), ("rest  36.9 C for 15 min\n  rest      66 C for 60 min", "hint")]),
    own("gum-rest-or-hulls-suggested", "50.0", "rest      66 C for 60 min", [("rest  50 C for 15 min\n  rest      66 C for 60 min", ""), ("rest  50.1 C for 15 min\n  rest      66 C for 60 min", "hint")]),
    own("gum-rest-or-hulls-suggested", "15.0", "rest      66 C for 60 min", [("rest  45 C for 15 min\n  rest      66 C for 60 min", ""), ("rest  45 C for 14 min\n  rest      66 C for 60 min", "hint")]),
    own("rest-destroys-needed-enzyme", "58.0", "62 C", [("58 C", "warning"), ("57.9 C", "")]),
    own("rest-destroys-needed-enzyme", "65.0", "62 C", [("65 C", "warning"), ("65.1 C", "")]),
    own("rest-destroys-needed-enzyme", "70.0", "71 C for 30 min", [("70 C for 10 min", "warning"), ("69.9 C for 10 min", "")]),
    own("rest-destroys-needed-enzyme", "10.0", "71 C for 30 min", [("70 C for 10 min", "warning"), ("70 C for 9 min", "")]),
    own("rest-destroys-needed-enzyme", "65.0", "71 C for 30 min", [("65.1 C for 30 min", "warning"), ("65 C for 30 min", "")]),
    own("rest-destroys-needed-enzyme", "30.0", "71 C for 30 min", [("66 C for 30 min", "warning"), ("66 C for 29 min", "")]),
    edge("saccharification-rest-missing", "66.0", "%R%Gmash\n  rest  @ for 20 min\n", [("66 C", ""), ("65.9 C", "warning")]),
    edge("saccharification-rest-missing", "1.0", "%R%Gmash\n  rest  66 C for @\n", [("20 min", ""), ("19 min", "warning")]),
    // Grist.
    own("starch-steeped-not-mashed", "100.0", "500 g     flaked oats in steep", [("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 100 WK] in steep", ""), ("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 99 WK] in steep", "warning warning")]),
    own("starch-steeped-not-mashed", "60.0", "500 g     flaked oats in steep\nsteep 30 min at 67 C", [("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 200 WK] in steep\nsteep 30 min at 60 C", ""), ("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 200 WK] in steep\nsteep 30 min at 59.9 C", "warning warning")]),
    own("starch-steeped-not-mashed", "72.0", "500 g     flaked oats in steep\nsteep 30 min at 67 C", [("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 200 WK] in steep\nsteep 30 min at 72 C", ""), ("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 200 WK] in steep\nsteep 30 min at 72.1 C", "warning warning")]),
    own("starch-steeped-not-mashed", "30.0", "500 g     flaked oats in steep\nsteep 30 min at 67 C", [("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 200 WK] in steep\nsteep 30 min at 67 C", ""), ("500 g     flaked oats in steep\n  500 g  mild ale malt [diastatic power 200 WK] in steep\nsteep 29 min at 67 C", "warning warning")]),
    own("huskless-share-high", "0.05", "3 kg      wheat malt", [("3 kg      wheat malt\n  151 g  rice hulls", ""), ("3 kg      wheat malt\n  149 g  rice hulls", "warning")]),
    edge("ungelatinised-adjunct", "10.0", "%Rgrist\n  3.8 kg  pale ale malt\n  400 g  corn grits in cook\nmash\n  rest  66 C for 60 min\ncook 2 L\n  boil  @\n", [("10 min", ""), ("9 min", "hint")]),
    edge("diastatic-power-low", "0.5", "%Rgrist\n  4 kg  mild ale malt [diastatic power @]\nmash\n  rest  66 C for 60 min\n", [("1 WK", "warning"), ("0.9 WK", "error")]),
    edge("simple-sugar-share-high", "0.9", "%Rgrist\n  3 kg  pale ale malt\n  1.4 kg  \"our syrup\"\n%B\nsugar \"our syrup\"\n  extract  100 %\n  fermentability  @\n", [("90 %", "warning"), ("89.9 %", "")]),
    edge("specialty-share-high", "1.5", "%Rgrist\n  2.5 kg  pale ale malt\n  @  medium crystal malt\n%B", [("500 g", "hint"), ("2 kg", "warning")]),
    // Boil.
    own("hot-stand-reforms-dms", "HALF_LIFE_RANGE", "stand 40 min at 95 C", [("stand 300 min at 81.9 C", ""), ("stand 300 min at 82 C", "hint")]),
    edge("bitterness-overstated", "5.0", "%R%Gboil 60 min\n  200 g  Target [alpha 11 %] at @\n", [("5 min", ""), ("6 min", "hint")]),
    own("kettle-sour-hygiene", "25.0", "36 C", [("24.9 C", ""), ("25 C", "warning")]),
    own("kettle-sour-hygiene", "49.0", "36 C", [("49 C", "warning"), ("49.1 C", "")]),
    own("kettle-sour-hygiene", "4.5", "  50 billion cells  Lactobacillus", [("  add  lactic acid [88 %] to reach ph 4.5\n  50 billion cells  Lactobacillus", ""), ("  add  lactic acid [88 %] to reach ph 4.6\n  50 billion cells  Lactobacillus", "warning")]),
    edge("kettle-sour-hygiene", "10.0", "%R  tag  kettle-sour\n%Gmash\n  rest  66 C for 60 min\nsour\n  add  lactic acid [88 %] to reach ph 4.4\n  50 billion cells  Lactobacillus\n  hold  36 C for 30 h until ph 3.4\nboil @\n  38 g  Fuggle [alpha 5 %] at 5 min\n", [("10 min", ""), ("9 min", "warning")]),
    edge("kettle-sour-hygiene", "80.0", "%R  tag  kettle-sour\n%Gmash\n  rest  66 C for 60 min\nsour\n  add  lactic acid [88 %] to reach ph 4.4\n  50 billion cells  Lactobacillus\n  hold  36 C for 30 h until ph 3.4\nboil 5 min\nstand 10 min at @\n", [("80 C", ""), ("79.9 C", "warning")]),
    edge("kettle-sour-hygiene", "10.0", "%R  tag  kettle-sour\n%Gmash\n  rest  66 C for 60 min\nsour\n  add  lactic acid [88 %] to reach ph 4.4\n  50 billion cells  Lactobacillus\n  hold  36 C for 30 h until ph 3.4\nboil 5 min\nstand @ at 80 C\n", [("10 min", ""), ("9 min", "warning")]),
    edge("evaporation-out-of-range", "15.0", "%R%G%B%L  11:40  pre-boil  @ at 1.040\n  11:55  boil start\n  12:55  flameout\n  13:10  post-boil  11.5 L at 1.052\n", [("15 L", ""), ("15.1 L", "hint")]),
    own("hot-volume-uncorrected", "0.01", "23.3 L", [("23.3 L", "hint"), ("24 L", "")]),
    own("hot-volume-uncorrected", "0.0015", "1.040", [("1.040", "hint"), ("1.042", "")]),
    edge("short-boil-for-pale-malt", "4.5", "%Rgrist\n  4 kg  pilsner malt [@]\nboil 45 min\n  38 g  Fuggle [alpha 5 %] at 45 min\n", [("4.5 EBC", ""), ("4.4 EBC", "warning")]),
    edge("short-boil-for-pale-malt", "0.5", "%Rgrist\n  2 kg  pilsner malt\n  @  pale ale malt\nboil 45 min\n  38 g  Fuggle [alpha 5 %] at 45 min\n", [("2 kg", ""), ("1.99 kg", "warning")]),
    // Yeast and fermentation.
    edge("ferment-temp-outside-strain", "3.0", "%R%G%B%Pferment\n  hold  18 C for @\n  hold  26 C for 4 d\n", [("3 d", ""), ("2.9 d", "warning")]),
    own("diacetyl-rest-missing", "8.0", "for 4 week", [("for 56 d", ""), ("for 55 d", "hint")]),
    own("diacetyl-rest-missing", "24.0", "  cool  ", [("  raise     to 16 C over 1 d for 24 h\n  cool  ", ""), ("  raise     to 16 C over 1 d for 23 h\n  cool  ", "hint")]),
    own("diacetyl-rest-missing", "3.0", "  cool  ", [("  raise     to 13 C over 1 d for 2 d\n  cool  ", ""), ("  raise     to 12.9 C over 1 d for 2 d\n  cool  ", "hint")]),
    own("mash-temp-contradicts-fg", "72.0", "71 C", [("72 C", "hint"), ("72.1 C", "")]),
    edge("mash-temp-contradicts-fg", "60.0", "%R%Gmash\n  rest  @ for 60 min\n%B%Pexpect\n  fg  1.015..1.017\n", [("60 C", "hint"), ("59.9 C", "")]),
    own("mash-temp-contradicts-fg", "76.0", "1.008..1.010", [("1.012..1.013", ""), ("1.008..1.009", "hint")]),
    edge("mash-temp-contradicts-fg", "70.0", "%R%Gmash\n  rest  63 C for 60 min\n%B%Pexpect\n  fg  @\n", [("1.011..1.012", ""), ("1.015..1.016", "hint")]),
    edge("cooled-before-terminal", "3.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 1 12:00  temp  19 C\n  day 3 20:00  gravity  1.024\n  day 4 @  temp  12 C\n", [("12:00", "warning"), ("12:01", "")]),
    edge("cooled-before-terminal", "1.5", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 2 12:00  temp  19 C\n  @  gravity  1.024\n  day 4 12:00  temp  12 C\n", [("day 3 00:00", "warning"), ("day 2 23:59", "")]),
    edge("ferment-temp-excursion", "4.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  2026-03-18 13:00  temp  22 C\n  2026-03-18 @  temp  22 C\n", [("14:00", "warning"), ("14:01", "")]),
    edge("fermentation-too-short", "1.070", "%Rgrist\n  @  pale ale malt\n%Bpitch\n  400 billion cells  English ale yeast [72 %]\n  at  18 C\n  oxygen  12 ppm\nferment\n  hold  19 C for 8 d\npackage\n  bottle  2.2 vol at 20 C with table sugar\n", [("6.2 kg", ""), ("6.8 kg", "warning")]),
    edge("fermentation-stalled", "0.003", "%R%G%B%P%F%L  13:20  og  1.044 with 20 L\n  14:00  pitch  200 billion cells at 18 C\n  day 3  gravity  @\n", [("1.0405", ""), ("1.0415", "warning")]),
    own("fermentation-stalled", "0.001_05", "gravity   1.024\n  day 8", [("gravity   1.025\n  day 8", "warning"), ("gravity   1.026\n  day 8", "")]),
    edge("diastatic-strain-caution", "0.001_05", "%R%G%Bpitch\n  200 billion cells  saison yeast\n  at  20 C\n  oxygen  8 ppm\n%L  14:00  pitch  200 billion cells at 20 C\n  day 7  gravity  @\n  day 20  gravity  1.004\n  day 24  package  18 L bottle 2.4 vol\n", [("1.005", ""), ("1.006", "warning")]),
    edge("fermenter-headspace-low", "0.3", "brewhouse shed\n  mash efficiency  75 %\n  fermenter capacity  24 L\n\n%R  brewhouse  shed\ngrist\n  2.8 kg  pale ale malt\n  @  wheat malt\n%B%P", [("1.2 kg", ""), ("1.21 kg", "warning")]),
    edge("oxygen-added-late", "1.090", "%R%G%B%P%F%L  13:20  og  @ with 20 L\n  14:00  pitch  200 billion cells at 18 C\n  day 1 06:00  oxygen  8 ppm\n", [("1.090", "warning"), ("1.091", "")]),
    edge("late-fermentable-unaccounted", "0.05", "%R%G%B%Pferment\n  hold  19 C for 10 d\n  200 g  \"our sweetener\" on day 9\npackage\n  bottle  2.2 vol at 20 C with table sugar\n\nsugar \"our sweetener\"\n  extract  100 %\n  fermentability  @\n", [("5 %", ""), ("5.1 %", "error")]),
    // Package.
    edge("priming-amount-mismatch", "0.05", "%R%G%B%P%Fpackage\n  bottle  2.2 vol at 20 C with table sugar\n%L  14:00  pitch  200 billion cells at 18 C\n  day 6  gravity  1.012\n  day 8  gravity  1.012\n  day 9  package  18 L bottle @ with 180 g table sugar\n", [("2.25 vol", "error"), ("2.26 vol", "")]),
    edge("sweetened-with-live-yeast", "0.05", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 8  gravity  1.013\n  day 11  gravity  1.013\n  day 11  add  400 g \"our sweetener\" to fermenter\n  day 12  package  18 L bottle 2.2 vol\n\nsugar \"our sweetener\"\n  extract  100 %\n  fermentability  @\n", [("5 %", ""), ("5.1 %", "error")]),
    edge("sweetened-with-live-yeast", "2.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 8 10:00  gravity  1.013\n  day 11 10:00  add  400 g honey to fermenter\n  day 13 @  gravity  1.013\n  day 14 10:00  package  18 L bottle 2.2 vol\n", [("10:00", ""), ("09:59", "error")]),
    edge("sweetened-with-live-yeast", "5.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 8 10:00  gravity  1.013\n  day 11 10:00  add  400 g honey to fermenter\n  day 16 @  package  18 L bottle 2.2 vol\n", [("10:00", ""), ("09:59", "error")]),
    edge("packaged-before-stable", "15.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 5  temp  @\n  day 6 10:00  gravity  1.012\n  day 8 10:00  gravity  1.012\n  day 9  package  18 L bottle 2.2 vol\n", [("15 C", ""), ("14.9 C", "error")]),
    edge("packaged-before-stable", "4.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 5  temp  19 C\n  day 6  gravity  1.012\n  day 9  gravity  1.012\n  day 12  temp  @\n  day 14  package  18 L bottle 2.2 vol\n", [("15 C", ""), ("15.1 C", "error")]),
    edge("packaged-before-stable", "8.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 6  gravity  1.012\n  day 9  gravity  1.012\n  day 14  package  18 L keg 2.2 vol at @\n", [("8 C", ""), ("8.1 C", "warning")]),
    edge("packaged-before-stable", "6.0", "%R%G%B%P%F%L  14:00  pitch  200 billion cells at 18 C\n  day 6 12:00  gravity  1.012\n  day 8 @  gravity  1.012\n  day 9  package  18 L bottle 2.2 vol\n", [("06:00", ""), ("05:59", "error")]),
    edge("conditioning-conditions-off", "6.0", "%R%G%B%Pferment\n  hold  19 C for 7 d\n  cool  to @ over 1 d for 7 week\npackage\n  bottle  2.2 vol at 20 C with table sugar\n", [("6 C", ""), ("5.9 C", "warning")]),
    // Log.
    edge("attenuation-implausible", "0.8", "%Rgrist\n  4 kg  pale ale malt\n  200 g  \"our syrup\"\n%B%P%L  13:20  og  1.044 with 20 L\n  14:00  pitch  200 billion cells at 18 C\n  day 9  fg  1.002\n\nsugar \"our syrup\"\n  extract  100 %\n  fermentability  @\n", [("80 %", "warning"), ("81 %", "")]),
    edge("attenuation-implausible", "122.0", "%R%G%B%P%L  13:20  og  1.010 with 20 L\n  14:00  pitch  200 billion cells at 18 C\n  day 9  fg  @\n", [("0.9980", "warning"), ("0.9976", "error")]),
    edge("stage-reading-missing", "1.0", "%R%G%B%L  10:05  mash in  66 C\n  14:00  pitch  200 billion cells at 18 C\n  2026-03-15 @  gravity  1.040\n", [("13:59", ""), ("14:00", "hint")]),
    own("correction-not-remeasured", "20.0", "11:40", [("10:40", ""), ("10:41", "warning")]),
    edge("reading-out-of-bounds", "2.8", "%R  tag  kettle-sour\n%G%L  09:00  ph  @ at 20 C [kettle]\n", [("2.8", ""), ("2.79", "error")]),
    edge("efficiency-implausible", "100.0", "%R%G%B%L  11:40  pre-boil  25 L at @\n", [("1.047", "warning"), ("1.050", "error")]),
    edge("gravity-claims-disagree", "0.002", "%R%G%B%P%F%L  13:20  og  1.044 with 20 L\n  14:00  pitch  200 billion cells at 18 C\n  day 8  fg  1.012\n  day 10  fg  @\n", [("1.0139", ""), ("1.0141", "warning")]),
    // Liquor.
    edge("calcium-low", "15.0", "%Rgrist\n  4 kg  pilsner malt\n  @  carafa\nliquor\n  source  reverse osmosis water\n  mash  12 L\n  sparge  12 L\n\nmalt carafa\n  like  pilsner malt\n  colour  600 EBC\n", [("50 g", "warning"), ("200 g", "hint")]),
    edge("calcium-low", "5.7", "%Rgrist\n  4 kg  pilsner malt\nliquor\n  source  reverse osmosis water\n  mash  12 L\n  sparge  12 L\n  add  @ lactic acid [88 %] to mash\n", [("0.1 mL", "warning"), ("4 mL", "hint")]),
    edge("sulfate-chloride-extreme", "100.0", "%R%Gliquor\n  source  reverse osmosis water\n  mash  12 L\n  sparge  12 L\n  add  @ gypsum to all\n", [("4 g", ""), ("4.5 g", "hint")]),
    edge("acid-strength-or-dose", "0.25", "%R%Gliquor\n  source  reverse osmosis water\n  mash  20 L\n  sparge  @\n  add  40 mL phosphoric acid [10 %] to sparge\n", [("5 L", ""), ("5.1 L", "warning")]),
    // Safety.
    edge("unfermented-wort-storage", "4.0", "%R%G%B%P%L  12:55  flameout\n  13:20  chilled  @\n  2026-03-16 18:00  pitch  200 billion cells at 18 C\n", [("4 C", ""), ("4.1 C", "error")]),
    edge("unfermented-wort-storage", "4.6", "%R%G%B%P%L  12:40  ph  @ at 20 C [kettle]\n  12:55  flameout\n  13:20  chilled  60 C\n  2026-03-16 18:00  pitch  200 billion cells at 18 C\n", [("4.59", ""), ("4.6", "error")]),
    // Units.
    edge("figure-implausible", "3.0", "%R%Gboil 60 min\n  @  Fuggle [alpha 20 %] at 60 min\n", [("90 g", "warning"), ("300 g", "error")]),
    edge("suspicious-magnitude", "0.6", "%Rgrist\n  4 kg  \"our malt\" [@]\n%B\nmalt \"our malt\"\n  like  pale ale malt\n  colour  2 EBC\n", [("1.2 EBC", ""), ("1.19 EBC", "warning")]),
    edge("suspicious-magnitude", "1.7", "%Rgrist\n  4 kg  \"our malt\" [@]\n%B\nmalt \"our malt\"\n  like  pale ale malt\n  colour  2 EBC\n", [("1.82 lov", ""), ("1.86 lov", "warning")]),
    edge("suspicious-magnitude", "0.1", "%Rgrist\n  4 kg  pale ale malt\n  200 g  \"our crystal\" [@]\n%B\nmalt \"our crystal\"\n  like  pale ale malt\n  colour  150 EBC\n", [("136 SRM", "warning"), ("134 SRM", "")]),
    edge("suspicious-magnitude", "3.0", "%R%G%B%F  @  Fuggle on day 4 for 3 d\n", [("1800 g", "warning"), ("1801 g", "error")]),
    edge("suspicious-magnitude", "105.0", "%R%Gmash\n  rest  66 C for 60 min\n  rest  @ for 5 min\n", [("105 C", "warning"), ("105.1 C", "error")]),
    edge("suspicious-magnitude", "5.0", "%R%G%B%Pferment\n  hold  19 C for 7 d\n  cool  to @ over 2 d for 7 d\n", [("-5 C", "warning"), ("-5.1 C", "error")]),
    edge("suspicious-magnitude", "3.0", "%R%Gboil @\n  38 g  Fuggle [alpha 5 %] at 60 min\n", [("540 min", "warning"), ("541 min", "error")]),
    edge("suspicious-magnitude", "7.0", "%R%G%B%P%Fpackage\n  keg  @ at 5 C\n", [("7 vol", "warning"), ("7.1 vol", "error")]),
    edge("suspicious-magnitude", "0.88", "%R%G%W  add  @ lactic acid [44 %] to mash\n", [("180 mL", ""), ("181 mL", "error")]),
    edge("suspicious-magnitude", "2.0", "%Rgrist\n  4 kg  pale ale malt\n  @  pilsner malt\n%B", [("40 g", ""), ("39 g", "warning")]),
];

/// Numbers on which no more than words, the proposed mending or what else is said hang, or that are part of a
/// model rather than a limit.
#[rustfmt::skip]
const WORDS: &[(&str, &str, &str)] = &[
    ("addition-off-plan", "30.0", "minutes of boil in the remedy"),
    ("addition-off-plan", "1.0", "bitterness worth a remedy"),
    ("mash-ph-mistimed", "10.0", "why it matters"),
    ("attenuation-implausible", "50.0", "which remedy"),
    ("efficiency-implausible", "92.0", "which remedy"),
    ("kettle-fining-mistimed", "15.0", "why it matters"),
    ("mash-temp-contradicts-fg", "73.0", "which remedy"),
    ("dry-hop-contact-off", "1.0", "why it matters"),
    ("water-profile-missed", "0.005", "how little of the source is none"),
    ("ion-outside-brewing-range", "1.0", "whether the source's share is said"),
    ("huskless-share-high", "0.2", "whether rye is named"),
    ("diastatic-power-low", "0.01", "whether unmalted grain is named"),
    ("conditioning-conditions-off", "15.0", "why it matters"),
    ("starter-gravity-off", "1.04", "why it matters"),
    ("reading-out-of-bounds", "1.0", "Plato proposed"),
    ("addition-off-plan", "0.5", "minutes between times that are said to differ"),
    ("correction-not-remeasured", "0.1", "millilitres below, litres above"),
    ("reading-out-of-bounds", "1.2", "Plato proposed"),
    ("reading-out-of-bounds", "33.0", "Plato proposed"),
    ("reading-out-of-bounds", "2.0", "Plato proposed"),
    ("evaporation-out-of-range", "10.0", "which remedy"),
    ("hop-stand-underspecified", "100.0", "which remedy"),
    ("hop-stand-underspecified", "50.0", "which remedy"),
    ("alpha-stale-or-implausible", "22.0", "which remedy"),
    ("suspicious-magnitude", "0.5", "which slip is proposed"),
    ("suspicious-magnitude", "0.004", "which slip is proposed"),
    ("water-profile-missed", "0.000_05", "salts not worth weighing in the remedy"),
    ("water-profile-missed", "0.995", "blending not worth it in the remedy"),
    ("acid-strength-or-dose", "800.0", "what else is said of the acid"),
    ("co2-room-buildup", "1000.0", "cubic metres above, litres below"),
    ("diastatic-power-low", "20.0", "the scales, drawn on to nothing"),
    ("mash-ph-off", "0.1", "doubt of the model"),
    ("mash-ph-off", "5.4", "which remedy"),
    ("mash-thickness-out-of-range", "3.0", "which number is said"),
    ("mash-thickness-out-of-range", "1.1", "what else is said of the volumes"),
    ("hot-stand-reforms-dms", "6.0", "the model"),
    ("kettle-headroom-low", "1.15", "what else is said of the volumes"),
    ("expectation-missed", "0.25", "what else is said of the grist"),
    ("expectation-missed", "0.4", "what is said with the gravity"),
    ("expectation-missed", "1e-9", "rounding"),
    ("starter-inoculation-off", "50.0", "which remedy"),
    ("oxygenation-insufficient", "15.0", "which remedy"),
];

fn base(text: &str) -> String {
    [("%R", R), ("%G", G), ("%B", B), ("%P", P), ("%F", F), ("%L", L), ("%W", W)]
        .iter()
        .fold(text.to_owned(), |text, (mark, block)| text.replace(mark, block))
}

#[test]
fn numbers_inside_rules_divide_what_is_on_their_two_sides() {
    let mut wrong = String::new();
    for edge in EDGES {
        let rule = rules::find(edge.rule).unwrap();
        let text = if edge.text.is_empty() { rule.doc.example.to_owned() } else { base(edge.text) };
        assert!(text.contains(edge.at), "{}: nothing to replace", edge.rule);
        assert_ne!(edge.sides[0].1, edge.sides[1].1, "{} {}", edge.rule, edge.number);
        for (value, wanted) in edge.sides {
            let said = found(&text.replacen(edge.at, value, 1), &switched_on(rule));
            let said: Vec<&str> =
                said.iter().filter(|(id, _)| *id == rule.id).map(|(_, severity)| *severity).collect();
            if said.join(" ") != wanted {
                wrong.push_str(&format!(
                    "{} {} at {value:?}: {said:?}, expected {wanted:?}\n",
                    edge.rule, edge.number
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Ends of the spans that readings may lie in: a line of a log, the usual span and the possible one, and what is
/// just beyond.
#[rustfmt::skip]
const READINGS: &[(&str, [f64; 2], [f64; 2], f64)] = &[
    ("  13:20  og  @ with 20 L", [0.996, 1.140], [0.985, 1.200], 0.001),
    ("  10:20  ph  @ at 20 C [mash]", [4.8, 6.2], [3.0, 9.0], 0.01),
    ("  day 9  ph  @ at 20 C [beer]", [3.8, 4.8], [2.8, 5.5], 0.01),
    ("  10:05  mash in  @ C", [35.0, 79.0], [0.0, 105.0], 0.1),
    ("  10:00  strike  @ C", [35.0, 99.0], [0.0, 105.0], 0.1),
    ("  14:00  pitch  200 billion cells at @ C", [5.0, 35.0], [0.0, 45.0], 0.1),
    ("  day 2  temp  @ C", [-1.0, 35.0], [-2.0, 45.0], 0.1),
    ("  day 9  pressure  @ bar", [0.0, 3.0], [0.0, 10.0], 0.01),
    ("  day 12  package  18 L keg @ vol", [0.6, 4.6], [0.0, 7.0], 0.01),
    ("  day 12  package  18 L cask @ vol", [0.6, 2.6], [0.0, 7.0], 0.01),
    ("  13:50  oxygen  @ ppm", [0.0, 20.0], [0.0, 45.0], 0.1),
];

#[test]
fn readings_are_judged_at_both_ends_of_both_spans() {
    let mut wrong = String::new();
    for (line, usual, possible, step) in READINGS {
        let mut expect = |value: f64, wanted: &str| {
            let text = format!("{R}{G}{B}{L}{}\n", line.replace('@', &format!("{value:.3}")));
            let said = found(&text, "");
            let said: Vec<&str> = said
                .iter()
                .filter(|(id, _)| *id == "reading-out-of-bounds")
                .map(|(_, severity)| *severity)
                .collect();
            if said.join(" ") != wanted {
                wrong.push_str(&format!("{line} {value}: {said:?}, expected {wanted:?}\n"));
            }
        };
        for (end, beyond) in [(0, -step), (1, *step)] {
            expect(usual[end], "");
            // Nothing lies below nothing: such an end is not written.
            if usual[end] == 0.0 {
                continue;
            }
            expect(usual[end] + beyond, "warning");
            if possible[end] != 0.0 || line.ends_with(" C") {
                expect(possible[end], "warning");
                expect(possible[end] + beyond, "error");
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Numbers that a source text compares something with, and constants that are numbers.
fn compared(source: &str) -> BTreeSet<String> {
    let mut numbers = BTreeSet::new();
    for line in source.lines() {
        let line = line.trim_start();
        // Words are not code.
        let code: String = line.split('"').step_by(2).collect::<Vec<_>>().join(" ");
        let code = code.split("//").next().unwrap_or_default();
        let named = line.strip_prefix("const ").is_some_and(|rest| rest.contains(": f64 ="));
        for (at, _) in code.match_indices(|c: char| c.is_ascii_digit()) {
            let before = code[..at].trim_end_matches([' ', '-']);
            if code[..at].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '.' || c == '_')
                && !code[..at].ends_with("..")
            {
                continue;
            }
            let rest = &code[at..];
            let end = rest
                .find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-')))
                .unwrap_or(rest.len());
            let number = rest[..end].split("..").next().unwrap_or_default().trim_end_matches('.');
            let ranged = rest[number.len()..].starts_with("..");
            let compares = before.ends_with(['<', '>'])
                || before.ends_with("<=")
                || before.ends_with(">=")
                || before.ends_with("..=")
                || (before.ends_with('(') && ranged);
            let counts = number.contains('.') || number.contains("e-");
            if counts && (compares || named) && !matches!(number, "0.0") {
                numbers.insert(number.to_owned());
            }
        }
    }
    numbers
}

#[test]
fn no_number_inside_a_rule_is_without_its_edge() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/rules/src/rules");
    let mut missing = Vec::new();
    let mut seen = 0;
    for group in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).filter(|path| path.is_dir())
    {
        for file in fs::read_dir(group).unwrap().map(|entry| entry.unwrap().path()) {
            let id = file.file_stem().unwrap().to_str().unwrap().replace('_', "-");
            for number in compared(&fs::read_to_string(&file).unwrap()) {
                seen += 1;
                let known = EDGES.iter().any(|edge| edge.rule == id && edge.number == number)
                    || WORDS.iter().any(|(rule, own, why)| *rule == id && *own == number && !why.is_empty());
                if !known {
                    missing.push(format!("{id}: {number}"));
                }
            }
        }
    }
    assert!(RULES.len() > 100 && seen > 60, "{seen} numbers");
    assert!(missing.is_empty(), "{missing:#?}");
}
