//! Limits: each is read, can be set in its own unit or another, and divides what is on its two sides.

use rules::{Bound, Limit, RULES, Rule};

use crate::bench::{found, switched_on};

pub(crate) const R: &str = "recipe \"Harbour Bitter\"\n  batch     20 L\n";
pub(crate) const G: &str = "grist\n  4 kg      pale ale malt\n";
pub(crate) const B: &str = "boil 60 min\n  38 g      Fuggle [alpha 5 %] at 60 min\n";
pub(crate) const P: &str =
    "pitch\n  200 billion cells  English ale yeast [72 %]\n  at        18 C\n  oxygen    8 ppm\n";
pub(crate) const F: &str = "ferment\n  hold      19 C for 7 d\n";
pub(crate) const L: &str = "gyle 7 \"Harbour Bitter\" on 2026-03-14\n";
pub(crate) const W: &str = "liquor\n  source    reverse osmosis water\n  mash      12 L\n  sparge    12 L\n";

/// Texts for limits that the examples of their rule do not come to.
fn witness(limit: &str) -> Option<String> {
    let grist = |lines: &str| format!("{R}grist\n{lines}mash\n  rest      66 C for 60 min\n");
    let kettle = |line: &str| format!("{R}{G}{B}{line}");
    let liquor = |line: &str| format!("{R}{G}{W}{line}");
    let ferment = |line: &str| format!("{R}{G}{B}{P}{F}{line}");
    let house = |fields: &str| {
        format!(
            "brewhouse shed\n  mash efficiency     75 %\n{fields}\nrecipe \"Harbour Bitter\"\n  batch     20 L\n  brewhouse shed\n"
        )
    };
    Some(match limit {
        "fg-possible" => format!("{R}{G}{B}pitch\n  200 billion cells  saison yeast [99 %]\n"),
        "og-possible" | "ibu-possible" | "colour-possible" => format!("{R}{G}{B}"),
        "fermentable-dose" => grist("  15 kg     pale ale malt\n"),
        "fining-dose" => kettle("  16 g      \"Irish moss\" at 10 min\n"),
        "nutrient-dose" => kettle("  25 g      \"yeast nutrient blend\" at 10 min\n"),
        "spice-dose" => kettle("  120 g     coriander at 5 min\n\naddition coriander\n  role                spice\n"),
        "fruit-dose" => ferment("  14 kg     raspberry puree [9 %] on day 4\n"),
        "dry-yeast-dose" => format!("{R}{G}{B}pitch\n  70 g      dry English ale yeast\n  at        18 C\n"),
        "pack-dose" => format!("{R}{G}{B}pitch\n  7 pack    English ale yeast\n  at        18 C\n"),
        "salt-dose-possible" => liquor("  130 g     gypsum to all\n").replace("  130 g     gypsum", "  add       130 g gypsum"),
        "acid-dose-possible" => liquor("  add       100 mL phosphoric acid [10 %] to mash\n"),
        "rest-temperature-possible" => format!("{R}{G}mash\n  rest      66 C for 60 min\n  rest      103 C for 5 min\n"),
        "ferment-temperature-possible" => format!("{R}{G}{B}{P}ferment\n  hold      48 C for 7 d\n"),
        "sparge-temperature-possible" => liquor("").replace("sparge    12 L", "sparge    12 L at 101 C"),
        "carbonation-possible" => ferment("package\n  bottle    3.2 vol at 20 C with table sugar\n"),
        "carbonation-cask-possible" => ferment("package\n  cask      1.4 vol at 13 C with table sugar\n"),
        "sugar-share" => format!("{R}grist\n  3 kg      pale ale malt\n  900 g     table sugar\n{B}  5 g       \"yeast nutrient blend\" at 10 min\n"),
        "crystal-share-hint" | "crystal-share" => grist("  3.2 kg    pale ale malt\n  800 g     medium crystal malt\n"),
        "acidulated-share-hint" | "acidulated-share" => grist("  3.7 kg    pale ale malt\n  260 g     acidulated malt\n"),
        "peat-share-hint" | "peat-share" => {
            grist("  3.7 kg    pale ale malt\n  300 g     \"turf malt\"\n") + "\nmalt \"turf malt\"\n  like                pale ale malt\n  note                peat\n"
        }
        .replace("turf malt", "peat-smoked malt of ours"),
        "lactate-most" => liquor("  add       30 mL lactic acid [88 %] to mash\n"),
        "iron-drinking" => "water \"Mill Lane well\"\n  calcium             80 ppm\n  chloride            30 ppm\n  bicarbonate         192 ppm\n  iron                0.5 ppm\n".to_owned(),
        "mash-thinness-no-sparge" => format!("{R}{G}liquor\n  mash      40 L\n  no sparge\n"),
        "last-runnings-ph" | "last-runnings-ph-hint" => {
            format!("{R}{G}{L}  11:00   first runnings  1.070\n  11:30   ph        5.9 at 20 C [kettle]\n")
        }
        "sparge-alkalinity" => {
            let water = "water \"Mill Lane well\"\n  calcium             80 ppm\n  bicarbonate         244 ppm\n\n";
            format!("{water}{R}{G}{}", W.replace("reverse osmosis water", "\"Mill Lane well\""))
        }
        "conversion-time-warm" => format!("{R}{G}mash\n  rest      67 C for 15 min\n"),
        "conversion-time-cool" => format!("{R}{G}mash\n  rest      62 C for 20 min\n"),
        "crop-age" => format!("{R}  date      2026-03-01\n{G}boil 60 min\n  38 g      Fuggle [alpha 5 %, crop 2022] at 60 min\n"),
        "stand-factor-most" => {
            house("  stand factor        2\n") + G + B + "stand 20 min at 80 C\n  20 g      Fuggle [alpha 5 %]\n"
        }
        "nutrient-time" => kettle("  5 g       \"yeast nutrient blend\" at 45 min\n"),
        "tolerance-unknown" => format!(
            "yeast \"house yeast\"\n  kind                ale\n  attenuation         80 %\n\n{R}grist\n  9 kg      pale ale malt\n{B}pitch\n  550 billion cells  \"house yeast\"\n  at        18 C\n  oxygen    12 ppm\n"
        ),
        "pitch-share-dry" | "pitch-share-dry-warning" => {
            format!("{R}{G}{B}pitch\n  11 g      dry English ale yeast\n  at        18 C\n")
        }
        "mash-cool-for-fg" => {
            format!("{R}{G}mash\n  rest      63 C for 60 min\n{B}{P}expect\n  fg        1.015..1.017\n")
        }
        "pitch-temperature-kveik" => format!("{R}{G}{B}pitch\n  200 billion cells  kveik\n  at        44 C\n  oxygen    8 ppm\n"),
        "pitch-above-hold" => format!("{R}{G}{B}{}ferment\n  hold      17 C for 7 d\n", P.replace("18 C", "22.5 C")),
        "diastatic-stable-days" => format!(
            "{R}{G}{B}pitch\n  200 billion cells  saison yeast\n  at        20 C\n  oxygen    8 ppm\n{L}  14:00   pitch     200 billion cells at 20 C\n  day 7   gravity   1.004\n  day 10  gravity   1.004\n  day 11  package   18 L bottle 2.4 vol\n"
        ),
        "ferment-temperature-until" => format!(
            "{R}{G}{B}{P}{F}{L}  13:20   og        1.044 with 20 L\n  14:00   pitch     200 billion cells at 18 C\n  day 2   gravity   1.020\n  day 3   temp      25 C\n  day 8   gravity   1.012\n"
        ),
        "ferment-days-strong" => format!(
            "{R}grist\n  7.5 kg    pale ale malt\n{B}{}ferment\n  hold      19 C for 7 d\npackage\n  bottle    2.2 vol at 20 C with table sugar\n",
            P.replace("200 billion", "400 billion")
        ),
        "ferment-days-lager" => format!(
            "{R}grist\n  4 kg      pale ale malt\n{B}pitch\n  400 billion cells  Czech lager\n  at        9 C\n  oxygen    9 ppm\nferment\n  hold      10 C for 10 d\npackage\n  bottle    2.2 vol at 20 C with table sugar\n"
        ),
        "headspace-foamy" => {
            house("  fermenter capacity  24 L\n") + "grist\n  2 kg      pale ale malt\n  2 kg      wheat malt\n" + B + P
        }
        "fruit-unknown" => {
            ferment("  3 kg      \"garden plums\" on day 2\n") + "\nsugar \"garden plums\"\n  form                fruit\n"
        }
        "oxygen-latest-strong" => format!(
            "{R}grist\n  9.5 kg    pale ale malt\n{B}{}{L}  13:20   og        1.100 with 20 L\n  14:00   pitch     500 billion cells at 18 C\n  day 2 15:00  oxygen  8 ppm\n",
            P.replace("200 billion", "500 billion")
        ),
        "stable-readings-apart-slow" => format!(
            "{R}{G}{B}{P}{L}  14:00   pitch     200 billion cells at 18 C\n  day 4   add       40 g Fuggle to fermenter\n  day 6   gravity   1.012\n  day 8   gravity   1.012\n  day 9   package   18 L bottle 2.2 vol\n"
        ),
        "stable-estimate-below" => format!(
            "{R}{G}{B}{P}{L}  13:20   og        1.044 with 20 L\n  14:00   pitch     200 billion cells at 18 C\n  day 5   gravity   1.012\n  day 7   gravity   1.012\n  day 8   gravity   4.5 Bx [refractometer]\n  day 9   package   18 L bottle 2.2 vol\n"
        ),
        "mash-acid-beyond" => liquor("  add       600 mL phosphoric acid [10 %] to mash\n"),
        "mash-efficiency-off" => house("") + G + B + L + "  11:40   pre-boil  22.4 L at 1.035\n",
        "gravity-off" => format!("{R}grist\n  6 kg      pale ale malt\n{B}{L}  13:20   og        1.061 with 20 L\n"),
        "gravity-off-share" => format!("{R}grist\n  3 kg      pale ale malt\n{B}{L}  13:20   og        1.030 with 20 L\n"),
        "packaging-loss-share" => format!(
            "{R}{G}{B}{P}{L}  13:20   og        1.044 with 20 L\n  14:00   pitch     200 billion cells at 18 C\n  day 6   gravity   1.012\n  day 9   gravity   1.012\n  day 10  package   14 L keg 2.2 vol\n"
        ),
        "claim-non-alcoholic" => format!("{R}  label     non-alcoholic pale ale\n{G}{B}{P}"),
        "claim-low-alcohol" => format!("{R}  label     low alcohol pale ale\n{G}{B}{P}"),
        "co2-batch-large" => format!(
            "recipe \"Harbour Bitter\"\n  batch     200 L\ngrist\n  40 kg     pale ale malt\nboil 60 min\n  380 g     Fuggle [alpha 5 %] at 60 min\n{}",
            P.replace("200 billion", "2000 billion")
        ),
        "ion-balance-floor" => {
            "water \"soft well\"\n  calcium             6 ppm\n  chloride            3 ppm\n  bicarbonate         7 ppm\n".to_owned()
        }
        "sodium-drinking" | "chloride-drinking" | "sulfate-drinking" => "water \"Mill Lane well\"\n  sodium              250 ppm\n  chloride            280 ppm\n  sulfate             290 ppm\n  calcium             61 ppm\n".to_owned(),
        "malt-moisture" | "malt-diastatic-power" => "malt \"Mill Lane malt\"\n  moisture            4 %\n  diastatic power     250 WK\n".to_owned(),
        "hop-alpha" => "hop \"wall hop\"\n  alpha               4 %\n".to_owned(),
        "yeast-attenuation" => "yeast \"house yeast\"\n  attenuation         75 %\n".to_owned(),
        "yeast-temperature" => "yeast \"house yeast\"\n  temperature         17..22 C\n".to_owned(),
        "water-ph" => "water \"Mill Lane well\"\n  ph                  7.6\n".to_owned(),
        "house-efficiency" | "house-evaporation" | "house-absorption" | "house-kettle" => {
            "brewhouse shed\n  mash efficiency     75 %\n  evaporation         3 L/h\n  grain absorption    1 L/kg\n  tun capacity        30 L\n  kettle capacity     36 L\n".to_owned()
        }
        "fining-tablets" => kettle("  2 tablet  kettle finings at 10 min\n"),
        "rest-longest" => format!("{R}{G}mash\n  rest      66 C for 60 min\n"),
        "souring-longest" => format!("{R}{G}sour\n  boil      5 min\n  add       lactic acid [88 %] to reach ph 4.4\n  50 billion cells  Lactobacillus\n  hold      36 C for 24 h until ph 3.4\n{B}"),
        "sparge-acid-beyond" => liquor("  add       2 mL lactic acid [88 %] to sparge\n"),
        "mash-liquor-least" => format!("{R}{G}{B}liquor\n  source    reverse osmosis water\n  sparge    12 L\n"),
        "until-off" => format!("{R}{G}{B}{P}{F}  until     1.014\n"),
        "pitch-amount-off" => format!("{R}{G}{B}{P}{L}  14:00   pitch     190 billion cells at 18 C\n"),
        _ => return None,
    })
}

/// A bound that lets everything through, and one that lets nothing.
fn open_and_shut(limit: &Limit) -> Vec<[Bound; 2]> {
    const FAR: f64 = 1e7;
    match limit.bound {
        Bound::AtMost(_) => vec![[Bound::AtMost(FAR), Bound::AtMost(-FAR)]],
        Bound::AtLeast(_) => vec![[Bound::AtLeast(1e-6), Bound::AtLeast(FAR)]],
        // Each end by itself.
        Bound::Within(low, high) => vec![
            [Bound::Within(-FAR, high), Bound::Within(high, high)],
            [Bound::Within(low, FAR), Bound::Within(low, low)],
        ],
    }
}

fn written(bound: Bound) -> String {
    match bound {
        Bound::AtMost(value) | Bound::AtLeast(value) => format!("{value:.9}"),
        Bound::Within(low, high) => format!("{low:.9}..{high:.9}"),
    }
}

fn between(a: Bound, b: Bound) -> Bound {
    let middle = f64::midpoint;
    match (a, b) {
        (Bound::AtMost(a), Bound::AtMost(b)) => Bound::AtMost(middle(a, b)),
        (Bound::AtLeast(a), Bound::AtLeast(b)) => Bound::AtLeast(middle(a, b)),
        (Bound::Within(a, c), Bound::Within(b, d)) => Bound::Within(middle(a, b), middle(c, d)),
        (a, _) => a,
    }
}

/// What one rule finds in a text under a bound.
fn under(rule: &Rule, limit: &Limit, bound: Bound, text: &str) -> Vec<(&'static str, &'static str)> {
    let config = format!("{}[check.limits]\n{} = \"{}\"\n", switched_on(rule), limit.name, written(bound));
    found(text, &config).into_iter().filter(|(id, _)| *id == rule.id).collect()
}

/// A text in which the limit decides: what is found differs between a bound that lets everything through
/// and one that lets nothing.
fn decides<'t>(rule: &Rule, limit: &Limit, texts: &'t [String]) -> Option<(&'t str, [Bound; 2])> {
    texts.iter().find_map(|text| {
        let pair = open_and_shut(limit)
            .into_iter()
            .find(|[open, shut]| under(rule, limit, *open, text) != under(rule, limit, *shut, text));
        Some((text.as_str(), pair?))
    })
}

#[test]
fn every_limit_divides_what_is_on_its_two_sides() {
    let mut wrong = Vec::new();
    for rule in RULES {
        for limit in rule.limits {
            let mut texts = vec![rule.doc.example.to_owned(), rule.doc.instead.to_owned()];
            texts.extend(witness(limit.name));
            let Some((text, [mut open, mut shut])) = decides(rule, limit, &texts) else {
                wrong.push(format!("{} of {} decides nothing", limit.name, rule.id));
                continue;
            };
            // Closing in on the value that the limit is compared with, until the two sides touch.
            let lets = under(rule, limit, open, text);
            for _ in 0..45 {
                let middle = between(open, shut);
                let now = under(rule, limit, middle, text);
                if now == lets {
                    open = middle;
                } else {
                    shut = middle;
                }
            }
            let width = match (open, shut) {
                (Bound::AtMost(a), Bound::AtMost(b)) | (Bound::AtLeast(a), Bound::AtLeast(b)) => {
                    (a - b).abs()
                }
                (Bound::Within(a, c), Bound::Within(b, d)) => (a - b).abs().max((c - d).abs()),
                _ => f64::INFINITY,
            };
            assert!(width < 1e-3, "{} of {}: no edge between {open:?} and {shut:?}", limit.name, rule.id);
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_limit_is_set_in_its_own_unit_or_another() {
    let text = format!("{R}{G}liquor\n  mash      12 L\n  sparge    12 L at 81 C\n");
    // 81 C are 177.8 F.
    for (value, want) in
        [("82 C", "hint"), ("80 C", "warning"), ("179 F", "hint"), ("176 F", "warning"), ("80", "warning")]
    {
        let config = format!("[check.limits]\nsparge-water = \"{value}\"\n");
        let severity =
            found(&text, &config).iter().find(|(rule, _)| *rule == "sparge-water-too-hot").map(|(_, s)| *s);
        assert_eq!(severity, Some(want), "{value}");
    }
}
