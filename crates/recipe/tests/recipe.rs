//! What a recipe's lines are read as.

mod support;

use std::fmt::Write as _;

use quantity::{Customary, UnitId, format_plain};
use recipe::{
    Amount, During, FactValue, FermentKind, Given, Joins, KettleTime, MashStep, Origin, Quant, Recipe, Test,
    Thing,
};
use support::World;
use syntax::vocabulary::{BlockKind, Keyword};

/// A number as short as can be, to nine digits.
fn short(value: f64) -> String {
    format_plain((value * 1e9).round() / 1e9)
}

fn quant(quant: &Quant) -> String {
    let unit = quant.unit.map_or(String::new(), |unit| format!(" {unit}"));
    let spread = if quant.spread > 0.0 { format!(" ± {}", short(quant.spread)) } else { String::new() };
    format!("{}{spread}{unit}", short(quant.value))
}

fn given(value: Option<&Given<f64>>) -> String {
    match value {
        None => "-".into(),
        Some(Given { value, spread, .. }) if *spread > 0.0 => {
            format!("{} ± {}", short(*value), short(*spread))
        }
        Some(Given { value, .. }) => short(*value),
    }
}

fn gravity(value: Option<&Given<Quant>>) -> String {
    value.map_or("-".into(), |value| quant(&value.value))
}

fn amount(amount: &Amount) -> String {
    match amount {
        Amount::Of(of) => quant(of),
        Amount::Share(share) => format!("share {}", short(*share)),
        Amount::Expr(_) => "expression".into(),
        Amount::Solved => "solved".into(),
        Amount::Missing => "missing".into(),
    }
}

fn thing(thing: &Thing) -> String {
    let mut text = match &thing.definition {
        Some(definition) => format!("{} '{}'", definition.kind.word(), definition.name),
        None => format!("? '{}'", thing.name),
    };
    if thing.loose {
        text.push_str(" loosely");
    }
    for fact in &thing.own {
        let value = match &fact.value {
            FactValue::Number(number) => quant(number),
            FactValue::Range(_, low, high) => format!("{}..{}", short(*low), short(*high)),
            FactValue::Words(words) => words.to_string(),
            FactValue::Date(date) => format!("{}-{}-{}", date.year, date.month, date.day),
            FactValue::Set => "set".into(),
        };
        let _ = write!(text, ", {} {value}", fact.key.word());
    }
    for flag in &thing.flags {
        let _ = write!(text, ", {}", flag.word());
    }
    for substitute in &thing.substitutes {
        let _ = write!(text, ", or {substitute}");
    }
    text
}

fn during(during: &During) -> String {
    match during {
        During::Day(day, None) => format!("day {day}"),
        During::Day(day, Some(last)) => format!("day {day} to {last}"),
        During::Date(date) => format!("{}-{}-{}", date.year, date.month, date.day),
        During::Gravity(gravity) => quant(gravity),
        During::Unsaid => "unsaid".into(),
    }
}

/// The whole recipe in a compact notation, a line each.
fn told(recipe: &Recipe) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(style) = &recipe.style {
        all.push(format!("style {}", thing(style)));
    }
    if recipe.batch.is_some() {
        all.push(format!("batch {}", given(recipe.batch.as_ref())));
    }
    if let Some(house) = &recipe.brewhouse {
        all.push(format!("brewhouse {}", thing(house)));
    }
    if let Some((name, _)) = &recipe.from {
        all.push(format!("from {name}"));
    }
    if !recipe.tags.is_empty() {
        let tags: Vec<&str> = recipe.tags.iter().map(|(tag, _)| &**tag).collect();
        all.push(format!("tags {}", tags.join(", ")));
    }
    for (key, text, _) in &recipe.texts {
        all.push(format!("{} {text}", key.word()));
    }
    if recipe.grist_goal.is_some() {
        all.push(format!("grist to {}", gravity(recipe.grist_goal.as_ref())));
    }
    for line in &recipe.grist {
        let joins = match &line.joins {
            Joins::Fermenter(when) => format!("fermenter {}", during(when)),
            other => format!("{other:?}").to_lowercase(),
        };
        let contact = line.contact.map_or(String::new(), |minutes| format!(" for {}", short(minutes)));
        let part = line.part.map_or(String::new(), |part| format!(" of part {part}"));
        all.push(format!("grist {} {}: {joins}{contact}{part}", amount(&line.amount), thing(&line.thing)));
    }
    let liquor = &recipe.liquor;
    if let Some(source) = &liquor.source {
        all.push(format!("source {}", thing(source)));
    }
    for (share, water) in &liquor.blends {
        all.push(format!("blend {} {}", given(Some(share)), thing(water)));
    }
    for (word, volume) in [
        ("mash", &liquor.mash),
        ("sparge", &liquor.sparge),
        ("kettle", &liquor.top_up_kettle),
        ("fermenter", &liquor.top_up_fermenter),
    ] {
        if let Some(volume) = volume {
            let hot = volume.measured_at.map_or(String::new(), |at| format!(" read at {}", short(at)));
            let at =
                volume.temperature.as_ref().map_or(String::new(), |at| format!(" at {}", given(Some(at))));
            all.push(format!("liquor {word} {}{at}{hot}", amount(&volume.amount)));
        }
    }
    if liquor.no_sparge.is_some() {
        all.push("no sparge".into());
    }
    for line in &liquor.additions {
        let reach =
            line.to_reach.as_ref().map_or(String::new(), |ph| format!(" to reach ph {}", given(Some(ph))));
        all.push(format!("add {} {} to {:?}{reach}", amount(&line.amount), thing(&line.thing), line.vessel));
    }
    if let Some(target) = &liquor.target {
        all.push(format!("match {}", thing(target)));
    }
    if let Some(by) = recipe.mash.by {
        all.push(format!("mash by {by:?}"));
    }
    for step in &recipe.mash.steps {
        all.push(match step {
            MashStep::Rest { temperature, time, by, label, .. } => format!(
                "rest {} for {}{}{}",
                given(Some(temperature)),
                given(time.as_ref()),
                by.map_or(String::new(), |by| format!(" by {by:?}")),
                label.as_ref().map_or(String::new(), |label| format!(" \"{label}\""))
            ),
            MashStep::Infuse { volume, temperature, .. } => {
                format!("infuse {} at {}", amount(volume), given(temperature.as_ref()))
            }
            MashStep::Decoct { volume, thick, rest, boil, .. } => {
                let volume = volume.as_ref().map_or("-".into(), amount);
                let rest = rest.as_ref().map_or(String::new(), |(at, time)| {
                    format!(" at {} for {}", given(Some(at)), given(time.as_ref()))
                });
                format!("decoct {volume} thick {thick:?}{rest} boil {}", given(boil.as_ref()))
            }
        });
    }
    if recipe.mash.ph.is_some() {
        all.push(format!("mash ph {}", given(recipe.mash.ph.as_ref())));
    }
    if let Some((_, volume, at)) = &recipe.mash.runnings {
        let hot =
            recipe.mash.runnings_measured_at.map_or(String::new(), |at| format!(" read at {}", short(at)));
        all.push(format!("runnings {} at {}{hot}", given(Some(volume)), gravity(at.as_ref())));
    }
    for cook in &recipe.cooks {
        let rests: Vec<String> = cook
            .rests
            .iter()
            .map(|(at, time)| format!("{} for {}", given(Some(at)), given(time.as_ref())))
            .collect();
        all.push(format!(
            "cook {}: {}, boil {}",
            given(cook.volume.as_ref()),
            rests.join(", "),
            given(cook.boil.as_ref())
        ));
    }
    for steep in &recipe.steeps {
        all.push(format!(
            "steep {} at {} in {}",
            given(steep.time.as_ref()),
            given(steep.temperature.as_ref()),
            given(steep.liquor.as_ref())
        ));
    }
    if let Some(sour) = &recipe.sour {
        all.push(format!("sour boil {}", given(sour.boil.as_ref())));
        for line in &sour.pitches {
            all.push(format!("sour pitch {} {}", amount(&line.amount), thing(&line.thing)));
        }
        for line in &sour.additions {
            all.push(format!(
                "sour add {} {} to reach {}",
                amount(&line.amount),
                thing(&line.thing),
                given(line.to_reach.as_ref())
            ));
        }
        if let Some((_, at, time, ph)) = &sour.hold {
            all.push(format!(
                "sour hold {} for {} until {}",
                given(Some(at)),
                given(time.as_ref()),
                given(ph.as_ref())
            ));
        }
    }
    if let Some(boil) = &recipe.boil {
        all.push(format!("boil {}", given(boil.time.as_ref())));
    }
    for line in &recipe.additions {
        let time = match line.time {
            KettleTime::Minutes(minutes) => format!("{} min", short(minutes)),
            other => format!("{other:?}").to_lowercase(),
        };
        let contact = line.contact.map_or(String::new(), |minutes| format!(" for {}", short(minutes)));
        let reach =
            line.to_reach.as_ref().map_or(String::new(), |ibu| format!(" to reach {}", given(Some(ibu))));
        all.push(format!("addition {} {}: {time}{contact}{reach}", amount(&line.amount), thing(&line.thing)));
    }
    for stand in &recipe.stands {
        all.push(format!("stand {} at {}", given(stand.time.as_ref()), given(stand.temperature.as_ref())));
    }
    if let Some(chill) = &recipe.chill {
        all.push(format!("chill to {} over {}", given(chill.to.as_ref()), given(chill.over.as_ref())));
    }
    for part in &recipe.parts {
        if let Some((label, _)) = &part.label {
            all.push(format!("part \"{label}\" {}", given(part.volume.as_ref())));
        }
        let pitch = &part.pitch;
        for line in &pitch.lines {
            let when = if line.during == During::Unsaid {
                String::new()
            } else {
                format!(" on {}", during(&line.during))
            };
            all.push(format!("pitch {} {}{when}", amount(&line.amount), thing(&line.thing)));
        }
        for step in &pitch.starter {
            all.push(format!(
                "starter {} at {} stirred {:?}",
                given(Some(&step.volume)),
                gravity(step.gravity.as_ref()),
                step.stirred
            ));
        }
        for (word, value) in
            [("rate", &pitch.rate), ("pitch at", &pitch.temperature), ("oxygen", &pitch.oxygen)]
        {
            if value.is_some() {
                all.push(format!("{word} {}", given(value.as_ref())));
            }
        }
        if let Some((flow, time)) = &pitch.oxygen_flow {
            all.push(format!("oxygen flow {} for {}", given(Some(flow)), given(time.as_ref())));
        }
        let ferment = &part.ferment;
        for step in &ferment.steps {
            let word = match step.kind {
                FermentKind::Hold => "hold",
                FermentKind::Raise => "raise",
                FermentKind::Cool => "cool",
                FermentKind::FreeRise => "free rise",
            };
            all.push(format!(
                "{word} {} over {} for {} until {}",
                given(step.temperature.as_ref()),
                given(step.over.as_ref()),
                given(step.time.as_ref()),
                gravity(step.until.as_ref())
            ));
        }
        if ferment.until.is_some() {
            all.push(format!("ends at {}", gravity(ferment.until.as_ref())));
        }
        for line in &ferment.additions {
            let contact = line.contact.map_or(String::new(), |minutes| format!(" for {}", short(minutes)));
            all.push(format!(
                "in fermenter {} {}: {}{contact}",
                amount(&line.amount),
                thing(&line.thing),
                during(&line.during)
            ));
        }
        if let Some((_, pressure, from)) = &ferment.spund {
            all.push(format!("spund {} from {}", given(Some(pressure)), during(from)));
        }
        if ferment.pressure.is_some() {
            all.push(format!("pressure {}", given(ferment.pressure.as_ref())));
        }
        for racking in &ferment.rackings {
            all.push(format!(
                "rack {} to {} on {}",
                given(racking.volume.as_ref()),
                racking.to.as_deref().unwrap_or("-"),
                during(&racking.during)
            ));
        }
        for line in &part.package.lines {
            let mut text =
                format!("{:?} {}", line.container, given(line.carbonation.as_ref())).to_lowercase();
            for (word, value) in [
                ("of", &line.volume),
                ("limit", &line.limit),
                ("at", &line.temperature),
                ("residual at", &line.residual_at),
            ] {
                if value.is_some() {
                    let _ = write!(text, " {word} {}", given(value.as_ref()));
                }
            }
            if let Some((of, sugar)) = &line.priming {
                let _ = write!(text, " with {} {}", amount(of), thing(sugar));
            }
            all.push(text);
        }
        if part.package.store.is_some() {
            all.push(format!("store {}", given(part.package.store.as_ref())));
        }
        for line in &part.package.yeast {
            all.push(format!("package yeast {} {}", amount(&line.amount), thing(&line.thing)));
        }
        for line in &part.package.additions {
            all.push(format!("package add {} {}", amount(&line.amount), thing(&line.thing)));
        }
        for expectation in &part.expect {
            all.push(match &expectation.test {
                Test::Within { figure, low, high, middle, strict, .. } => format!(
                    "expect {figure} {}..{} middle {}{}",
                    low.as_ref().map_or("-".into(), quant),
                    high.as_ref().map_or("-".into(), quant),
                    middle.as_ref().map_or("-".into(), quant),
                    if *strict { " strictly" } else { "" }
                ),
                Test::Condition { sides } => {
                    let relations: Vec<String> = sides
                        .iter()
                        .filter_map(|(relation, _)| Some(format!("{:?}", (*relation)?)))
                        .collect();
                    format!("expect condition {}", relations.join(" "))
                }
            });
        }
    }
    all.extend(recipe.queries.iter().map(|query| format!("query {:?}", query.label)));
    if !recipe.broken.is_empty() {
        let kinds: Vec<&str> = recipe.broken.iter().map(|kind| kind.word()).collect();
        all.push(format!("broken {}", kinds.join(" ")));
    }
    all
}

const HOUSE: &str = "brewhouse shed\n  evaporation         3 L/h\nwater tap\n  calcium             60 ppm\n";

/// Each case: what stands below `recipe "A"`, and what is told of it.
const CASES: &[(&str, &[&str])] = &[
    // ---- recipe
    (
        "  style     13C\n  batch     5 gal\n  customary us\n  brewhouse shed [mash efficiency 72 %, elevation 300 m]\n",
        &[
            "style style '13C'",
            "batch 18.92705892",
            "brewhouse brewhouse 'shed', mash efficiency 0.72 %, elevation 300 m",
        ],
    ),
    ("  batch     19..21 L\n  tag       winter  cask, bag\n", &["batch 20 ± 1", "tags winter, cask, bag"]),
    (
        "  from      \"Strong\"\n  date      2026-03-14\n  brewer    M. Okoro, head brewer\n  allergens barley\n",
        &["from Strong", "date 2026-03-14", "brewer M. Okoro, head brewer", "allergens barley"],
    ),
    ("  let size = 20 L\n  batch     (size + 500 mL)\n", &["batch 20.5"]),
    ("  ? og.points / 2 \"half\"\nnotes\n  | prose\n  ? ibu\n", &["query Some(\"half\")", "query None"]),
    ("  batch     20 kg\n", &["broken recipe"]),
    // ---- grist
    (
        "grist\n  3.6 kg    pale ale malt\n  2 lb 4 oz wheat malt [8 lov]\n  350 g     crystal malt [150 EBC, price 2 EUR/kg]\n",
        &[
            "grist 3.6 kg malt 'pale ale malt': mash",
            "grist 1.020582833 lb malt 'wheat malt', colour 19.84 lov: mash",
            "grist 0.35 g malt 'medium crystal malt', colour 150 EBC, price 2 EUR/kg: mash",
        ],
    ),
    (
        "grist to reach 1.040\n  84 %      pale ale malt\n  16 ± 1 %  flaked oats\n  200 g     table sugar\n",
        &[
            "grist to 1.04",
            "grist share 0.84 malt 'pale ale malt': mash",
            "grist share 0.16 malt 'flaked oats': mash",
            "grist 0.2 g sugar 'sucrose': kettle(none)",
        ],
    ),
    (
        "grist\n  1 kg      corn grits in cook\n  1 kg      caramel 60 malt in steep\n  1 kg      honey at 10 min\n  1 kg      honey at flameout\n  1 kg      honey on day 2\n  1 kg      golden syrup at first wort\n",
        &[
            "grist 1 kg malt 'corn grits': cook",
            "grist 1 kg malt 'caramel 60 malt': steep",
            "grist 1 kg sugar 'honey': kettle(some(10.0))",
            "grist 1 kg sugar 'honey': flameout",
            "grist 1 kg sugar 'honey': fermenter day 2",
            "grist 1 kg sugar 'golden syrup': firstwort",
        ],
    ),
    ("grist\n  (batch * 200 g/L) pale ale malt\n", &["grist expression malt 'pale ale malt': mash"]),
    ("grist\n  4 C       pale ale malt\n", &["grist missing malt 'pale ale malt': mash", "broken grist"]),
    // ---- liquor
    (
        "liquor\n  source    tap [boiled]\n  blend     40 % \"rain water\"\n  mash      13 L\n  sparge    17.5 L at 76 C\n  add       3 g calcium chloride to mash\n  add       lactic acid [88 %] to sparge to reach ph 5.6\n  add       1 each Campden tablet to all\n  match     soft lager target\n",
        &[
            "source water 'tap', boiled",
            "blend 0.4 water 'rain water'",
            "liquor mash 13 L",
            "liquor sparge 17.5 L at 76",
            "add 0.003 g addition 'calcium chloride dihydrate' loosely to Mash",
            "add solved addition 'lactic acid', strength 0.88 % to Sparge to reach ph 5.6",
            "add 1 each addition 'sodium metabisulphite' loosely to All",
            "match water 'soft lager target'",
        ],
    ),
    (
        "liquor\n  mash      13 L [98 C]\n  sparge    17 L [hot] at 76 C\n  top up    2 L to fermenter\nboil 60 min\n  top up    1 L at 5 min\n  top up    1.5 L to kettle at flameout\n",
        &[
            "liquor mash 13 L read at 98",
            "liquor sparge 17 L at 76 read at 100",
            "liquor kettle 2.5 L",
            "liquor fermenter 2 L",
            "boil 60",
        ],
    ),
    (
        "liquor\n  no sparge\n  mash      (2.7 L/kg * grist.weight)\n",
        &["liquor mash expression", "no sparge"],
    ),
    ("liquor\n  mash      13 kg\n", &["liquor mash missing", "broken liquor"]),
    // ---- mash
    (
        "mash by decoction\n  rest      52 C for 10 min \"dough in\"\n  infuse    5 L at 95 C\n  decoct    8 L thick at 71 C for 15 min boil 15 min\n  decoct    boil 10 min\n  rest      150 F for 1 h by direct heat\n  ph        5.3..5.5\n  add       2 mL lactic acid [88 %]\n  30 g      Fuggle at mash\n  150 g     rice hulls at mash\n  runnings  24.5 L [hot] at 1.070\n",
        &[
            "grist 0.15 g malt 'rice hulls': mash",
            "add 0.002 mL addition 'lactic acid', strength 0.88 % to Mash",
            "mash by Decoction",
            "rest 52 for 10 \"dough in\"",
            "infuse 5 L at 95",
            "decoct 8 L thick Some(true) at 71 for 15 boil 15",
            "decoct - thick None boil 10",
            "rest 65.555555556 for 60 by DirectHeat",
            "mash ph 5.4 ± 0.1",
            "runnings 24.5 at 1.07 read at 100",
            "addition 0.03 g hop 'Fuggle': mash",
        ],
    ),
    (
        "cook 5 L\n  rest      70 C for 20 min\n  boil      20 min\n  return    to mash\nsteep 30 min at 67 C\n  liquor    4 L\nsour\n  boil      5 min\n  add       lactic acid [88 %] to reach ph 4.4\n  50 billion cells Lactobacillus\n  hold      36 C for 30 h until ph 3.4\n",
        &[
            "cook 5: 70 for 20, boil 20",
            "steep 30 at 67 in 4",
            "sour boil 5",
            "sour pitch 50 billion cells yeast 'kettle-sour lactic'",
            "sour add solved addition 'lactic acid', strength 0.88 % to reach 4.4",
            "sour hold 36 for 1800 until 3.4",
        ],
    ),
    // ---- kettle
    (
        "boil 60 min\n  24 g      Challenger [7.1 %, leaf] at first wort\n  48 g      Fuggle [alpha 4.6 %, crop 2026] at 60 min\n  1 tablet  kettle finings at 10 min\n  Target [10.5 %] at 75 min to reach 40 IBU\n  30 g      Cascade [6.1..6.7 %, or Centennial] at flameout\n  450 g     golden syrup at 15 min\nstand 20 min at 80 C\n  30 g      Cascade for 10 min\n  100 g     honey\nchill to 18 C over 30 min\n",
        &[
            "grist 0.45 g sugar 'golden syrup': kettle(some(15.0))",
            "grist 0.1 g sugar 'honey': flameout",
            "boil 60",
            "addition 0.024 g hop 'Challenger', alpha 0.071 %, leaf: firstwort",
            "addition 0.048 g hop 'Fuggle', alpha 0.046 %, crop 2026: 60 min",
            "addition 1 tablet addition 'kettle finings': 10 min",
            "addition solved hop 'Target', alpha 0.105 %: 75 min to reach 40",
            "addition 0.03 g hop 'Cascade', alpha 0.061..0.067, or Centennial: flameout",
            "addition 0.03 g hop 'Cascade': stand(0) for 10",
            "stand 20 at 80",
            "chill to 18 over 30",
        ],
    ),
    // ---- yeast and fermentation
    (
        "pitch\n  200 billion cells English ale yeast [72 %]\n  1 pack    clean ale yeast [11 g]\n  3 pack    American lager [100 billion cells, packed 2026-03-01]\n  300 mL    English ale yeast [1.2 billion cells/mL, viability 90 %]\n  2 g       yeast nutrient\n  starter   2 L at 1.036 [stirred]\n  rate      0.75 million/mL/P\n  at        18 C\n  oxygen    1 L/min for 60 s\n",
        &[
            "pitch 200 billion cells yeast 'English ale, fruity', attenuation 0.72 %",
            "pitch 1 pack yeast 'American ale, clean', unit mass 0.011 g",
            "pitch 3 pack yeast 'American lager', cells 100 billion cells, packed 2026-3-1",
            "pitch 0.3 mL yeast 'English ale, fruity', cells 1200 billion cells/mL, viability 0.9 %",
            "starter 2 at 1.036 stirred Some(true)",
            "rate 0.75",
            "pitch at 18",
            "oxygen flow 1 for 1",
            "in fermenter 0.002 g addition 'yeast nutrient blend': day 0",
        ],
    ),
    (
        "ferment\n  hold      10 C until 1.022\n  raise     to 16 C over 2 d for 3 d\n  spund     1.1 bar from 1.018\n  cool      to 1 C over 10 d for 5 week\n",
        &[
            "hold 10 over - for - until 1.022",
            "raise 16 over 2880 for 4320 until -",
            "cool 1 over 14400 for 50400 until -",
            "spund 1.1 from 1.018",
        ],
    ),
    (
        "ferment\n  hold      66 ± 2 F for 14 d\n  free rise cap 22 C\n  until     12 P\n  40 g      Cascade on day 4 for 3 d\n  20 g      Cascade on day 8..11\n  20 g      Cascade at 1.020 for 2 d\n  2 kg      raspberry puree [9 %] on day 4 for 10 d\n  1 pack    Brettanomyces bruxellensis on day 10\n  rack      18 L to barrel on day 14\n  pressure  1 bar\n",
        &[
            "grist 2 kg sugar 'raspberry puree', extract 0.09 %: fermenter day 4 for 14400",
            "pitch 1 pack yeast 'Brettanomyces bruxellensis' on day 10",
            "hold 18.888888889 ± 1.111111111 over - for 20160 until -",
            "free rise 22 over - for - until 12 P",
            "ends at 12 P",
            "in fermenter 0.04 g hop 'Cascade': day 4 for 4320",
            "in fermenter 0.02 g hop 'Cascade': day 8 to 11",
            "in fermenter 0.02 g hop 'Cascade': 1.02 for 2880",
            "pressure 1",
            "rack 18 to barrel on day 14",
        ],
    ),
    (
        "ferment\n  hold      19 C until 1.012\n  cool      to 4 C\n",
        &["hold 19 over - for - until 1.012", "cool 4 over - for - until -", "ends at 1.012"],
    ),
    // ---- package and expect
    (
        "package\n  8 L bottle 2.4 vol [glass 3.0 vol] at 20 C with 4.8 g/L dextrose monohydrate\n  keg       4 g/L CO2 at 6 C\n  cask      1.8 vol [residual at 12 C] with corn sugar\n  store     25 C\n  2 g       dry English ale yeast\n  20 g      Fuggle\n",
        &[
            "bottle 2.4 of 8 limit 3 at 20 with 4800 g/L sugar 'dextrose monohydrate'",
            "keg 2.023267577 at 6",
            "cask 1.8 residual at 12 with solved sugar 'dextrose monohydrate' loosely",
            "store 25",
            "package yeast 0.002 g yeast 'English ale, dry'",
            "package add 0.02 g hop 'Fuggle'",
        ],
    ),
    (
        "expect\n  og        1.051 ± 0.003\n  ibu       24..32\n  abv       < 4.2 %\n  mash ph   >= 5.2\n  ibu / og.points in 0.45..0.65\n  sulfate / chloride < 1.5 and ibu > 20\n  ibu       (og.points / 2)\n",
        &[
            "expect og 1.048..1.054 middle 1.051 ± 0.003",
            "expect ibu 24..32 middle 28 ± 4",
            "expect abv -..0.042 % middle - strictly",
            "expect mash ph 5.2..- middle -",
            "expect condition Within",
            "expect condition Less And Greater",
            "expect condition Equal",
        ],
    ),
    // ---- parts
    (
        "pitch\n  1 pack    Kölsch yeast\nexpect\n  og        1.050\nsplit \"fruit\" 10 L\nferment\n  1 kg      raspberry puree on day 4\nexpect\n  fg        1.010\nsplit \"plain\" 9 L\npitch\n  2 pack    clean ale yeast\n",
        &[
            "grist 1 kg sugar 'raspberry puree': fermenter day 4 of part 0",
            "part \"fruit\" 10",
            "pitch 1 pack yeast 'Kölsch-type'",
            "expect og 1.05..1.05 middle 1.05",
            "expect fg 1.01..1.01 middle 1.01",
            "part \"plain\" 9",
            "pitch 2 pack yeast 'American ale, clean'",
        ],
    ),
    (
        "ferment\n  hold      19 C for 7 d\nsplit \"a\" 10 L\npitch\n  1 pack    Kölsch yeast\n  2 g       yeast nutrient\nsplit \"b\" 10 L\npitch\n  1 pack    clean ale yeast\n",
        &[
            "part \"a\" 10",
            "pitch 1 pack yeast 'Kölsch-type'",
            "hold 19 over - for 10080 until -",
            "in fermenter 0.002 g addition 'yeast nutrient blend': day 0",
            "part \"b\" 10",
            "pitch 1 pack yeast 'American ale, clean'",
            "hold 19 over - for 10080 until -",
        ],
    ),
    // ---- broken and lost
    (
        "grist\n  5 kg (\n  1 kg      pale ale malt\n",
        &["grist 1 kg malt 'pale ale malt': mash", "broken grist"],
    ),
    ("liquor\nmash 13 L\n  sparge    17 L\n", &["liquor mash 13 L", "liquor sparge 17 L"]),
    ("\nstyle 13C\n  batch     20 L\n", &["style style '13C'", "batch 20"]),
];

#[test]
fn lines_are_read_as_they_are_meant() {
    let mut wrong = String::new();
    for (below, wanted) in CASES {
        let text = format!("recipe \"A\"\n{below}");
        let world = World::new(&text, &[HOUSE]);
        let found = told(world.recipe());
        if found != *wanted {
            let _ = writeln!(wrong, "{text}\nfound:\n{}\nwanted:\n{}\n", found.join("\n"), wanted.join("\n"));
        }
        for (_, problem) in world.problems() {
            let _ = writeln!(wrong, "{text}\n{}: {}", problem.fault.rule, problem.fault.message);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_value_knows_its_place() {
    let world = World::new(
        "# porter\nrecipe \"A\"\n  batch     20 L\ngrist\n  1 kg      brown malt [150 EBC]\nboil 60 min\n  20 g      Fuggle at 60 min\n",
        &[],
    );
    let recipe = world.recipe();
    let text = |place: recipe::Place| recipe.blocks[usize::from(place.block)].slice(place.span);
    assert_eq!(text(recipe.name_place), "A");
    assert_eq!(text(recipe.grist[0].place), "1 kg      brown malt [150 EBC]");
    assert_eq!(text(recipe.grist[0].thing.place), "brown malt");
    assert_eq!(text(recipe.additions[0].thing.place), "Fuggle");
    let here = |origin: &Origin| match origin {
        Origin::Here(place) => text(*place).to_owned(),
        Origin::Library(..) => "library".to_owned(),
    };
    assert_eq!(recipe.batch.as_ref().map(|batch| here(&batch.origin)).as_deref(), Some("20 L"));
    let colour = recipe.grist[0].thing.number(Keyword::Colour).expect("a colour");
    assert_eq!(here(&colour.origin), "150 EBC");
    let alpha = recipe.additions[0].thing.number(Keyword::Alpha).expect("an alpha acid");
    let Origin::Library(place, span) = alpha.origin else { panic!("{alpha:?}") };
    let definition = recipe.additions[0].thing.definition.as_ref().expect("a definition");
    assert_eq!(place, definition.place);
    assert!(definition.block.slice(span).ends_with('%'));
}

#[test]
fn a_recipe_says_which_gallon_for_itself() {
    let text = "recipe \"A\"\n  batch     5 gal\n  customary us\nrecipe \"B\"\n  batch     5 gal\n  customary imperial\n";
    let world = World::new(text, &[]);
    let batches: Vec<(Option<Customary>, Option<UnitId>, f64)> = world
        .recipes
        .iter()
        .map(|recipe| (recipe.customary, None, recipe.batch.as_ref().map_or(0.0, |batch| batch.value)))
        .collect();
    assert_eq!(batches[0].0, Some(Customary::Us));
    assert!((batches[0].2 - 18.927_058_92).abs() < 1e-9);
    assert_eq!(batches[1].0, Some(Customary::Imperial));
    assert!((batches[1].2 - 22.730_45).abs() < 1e-9);
}

#[test]
fn a_name_is_looked_up_as_what_the_block_wants() {
    // A hop and a malt of one name never meet.
    let text = "malt Crystal\n  colour              60 EBC\nrecipe \"A\"\ngrist\n  1 kg      Crystal\nboil 60 min\n  1 g       Crystal at 5 min\n";
    let world = World::new(text, &[]);
    let recipe = world.recipe();
    assert_eq!(recipe.grist[0].thing.kind(), Some(BlockKind::Malt));
    assert_eq!(recipe.additions[0].thing.kind(), Some(BlockKind::Hop));
}
