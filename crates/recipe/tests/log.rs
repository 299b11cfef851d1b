//! What a log's lines are read as, and when they happened.

mod support;

use std::fmt::Write as _;

use quantity::format_plain;
use recipe::{Amount, Event, GravityReading, Log, PhOf, VolumeReading};
use support::World;

fn short(value: f64) -> String {
    format_plain((value * 1e9).round() / 1e9)
}

fn gravity(reading: &GravityReading) -> String {
    let unit = reading.value.unit.map_or(String::new(), |unit| format!(" {unit}"));
    let sample = reading.sample.map_or(String::new(), |at| format!(" at {}", short(at)));
    let optics = if reading.refractometer { " by refractometer" } else { "" };
    format!("{}{unit}{sample}{optics}", short(reading.value.value))
}

fn volume(reading: &VolumeReading) -> String {
    let hot = reading.temperature.map_or(String::new(), |at| format!(" at {}", short(at)));
    format!("{}{hot}", short(reading.litres))
}

fn amount(amount: &Amount) -> String {
    match amount {
        Amount::Of(of) => {
            format!("{}{}", short(of.value), of.unit.map_or(String::new(), |unit| format!(" {unit}")))
        }
        other => format!("{other:?}").to_lowercase(),
    }
}

fn optional(value: Option<f64>) -> String {
    value.map_or("-".into(), short)
}

fn told(event: &Event) -> String {
    match event {
        Event::Strike(at) => format!("strike {}", short(*at)),
        Event::MashIn(at) => format!("mash in {}", short(*at)),
        Event::Rest(at, time) => format!("rest {} for {}", short(*at), optional(*time)),
        Event::MashOut(at) => format!("mash out {}", optional(*at)),
        Event::Ph { value, sample, of } => {
            let of = match of {
                PhOf::Mash => "mash",
                PhOf::Kettle => "kettle",
                PhOf::Beer => "beer",
            };
            format!("ph {} of {of} at {}", short(*value), optional(*sample))
        }
        Event::Add { amount: of, thing, vessel } => {
            let kind = thing.kind().map_or("?", |kind| kind.word());
            format!("add {} {kind} {} to {vessel:?}", amount(of), thing.name)
        }
        Event::Instead { amount: of, thing, planned } => {
            format!("instead {} {} for {planned}", amount(of), thing.name)
        }
        Event::Weigh { amount: of, thing } => format!("weigh {} {}", amount(of), thing.name),
        Event::Iodine(said) => format!("iodine {said}"),
        Event::FirstRunnings(reading) => format!("first runnings {}", gravity(reading)),
        Event::LastRunnings(reading) => format!("last runnings {}", gravity(reading)),
        Event::Volume(reading, vessel) => format!("volume {} in {vessel:?}", volume(reading)),
        Event::PreBoil(reading, at) => {
            format!("pre-boil {}, {}", volume(reading), at.as_ref().map_or("-".into(), gravity))
        }
        Event::PostBoil(reading, at) => {
            format!("post-boil {}, {}", volume(reading), at.as_ref().map_or("-".into(), gravity))
        }
        Event::BoilStart => "boil start".into(),
        Event::BoilEnd => "boil end".into(),
        Event::Flameout => "flameout".into(),
        Event::Chilled(at) => format!("chilled {}", short(*at)),
        Event::Og(reading, with) => {
            format!("og {} with {}", gravity(reading), with.as_ref().map_or("-".into(), volume))
        }
        Event::Starter => "starter".into(),
        Event::Oxygen(much, time) => {
            format!("oxygen {} for {}", much.map_or("-".into(), |much| short(much.value)), optional(*time))
        }
        Event::Pitch { amount: of, thing, temperature } => format!(
            "pitch {} {} at {}",
            amount(of),
            thing.as_ref().map_or("-", |thing| &thing.name),
            optional(*temperature)
        ),
        Event::Temp(at) => format!("temp {}", short(*at)),
        Event::Gravity(reading) => format!("gravity {}", gravity(reading)),
        Event::Fg(reading) => format!("fg {}", gravity(reading)),
        Event::Pressure(bar) => format!("pressure {}", short(*bar)),
        Event::HopsOut => "hops out".into(),
        Event::Rack(reading) => format!("rack {}", reading.as_ref().map_or("-".into(), volume)),
        Event::Lost(litres) => format!("lost {}", short(*litres)),
        Event::Package { volume: reading, container, carbonation, temperature, priming } => format!(
            "package {} {container:?} {} at {} with {}",
            volume(reading),
            optional(*carbonation),
            optional(*temperature),
            priming.as_ref().map_or("-".into(), |(of, sugar)| format!("{} {}", amount(of), sugar.name))
        ),
    }
}

/// Each entry with its moment: the day and the time of day.
fn lines(log: &Log) -> Vec<String> {
    log.entries
        .iter()
        .map(|entry| {
            let when = match entry.moment {
                None => "?".into(),
                Some(moment) => match moment.minute {
                    None => format!("{}", moment.day),
                    Some(minute) => format!("{} {:02}:{:02}", moment.day, minute / 60, minute % 60),
                },
            };
            format!("{when} {}", told(&entry.event))
        })
        .collect()
}

/// Each case: the entries below a gyle of 2026-03-14, and what is told of them.
const CASES: &[(&str, &[&str])] = &[
    (
        "  09:40   strike    71.5 C\n  09:48   mash in   66.4 C\n  10:00   rest      66 C for 60 min\n  11:05   mash out  76 C\n  11:06   mash out\n",
        &[
            "0 09:40 strike 71.5",
            "0 09:48 mash in 66.4",
            "0 10:00 rest 66 for 60",
            "0 11:05 mash out 76",
            "0 11:06 mash out -",
        ],
    ),
    // Days count from the pitching, dates from the gyle; a clock stands on the last of either.
    (
        "  22:00   boil start\n  2026-03-15 00:10  flameout\n  01:00   pitch     200 billion cells at 18 C\n  day 1 07:30  temp  18 C\n  08:00   temp      19 C\n  day 3   gravity   1.020\n",
        &[
            "0 22:00 boil start",
            "1 00:10 flameout",
            "1 01:00 pitch 200 billion cells - at 18",
            "2 07:30 temp 18",
            "2 08:00 temp 19",
            "4 gravity 1.02",
        ],
    ),
    // A starter before the brewing counts from the pitching below it.
    (
        "  day -2  starter   2 L\n  2026-03-14 13:00  og  1.050 with 20 L\n  14:00   pitch     1 pack clean ale yeast\n",
        &["-2 starter", "0 13:00 og 1.05 with 20", "0 14:00 pitch 1 pack clean ale yeast at -"],
    ),
    // Without a pitching days count from the day in hand.
    (
        "  2026-03-15 01:00  chilled  18 C\n  day 2   gravity   1.020\n",
        &["1 01:00 chilled 18", "3 gravity 1.02"],
    ),
    // What a pH is of.
    (
        "  10:00   ph        5.6\n  10:10   ph        5.5 at 20 C\n  11:00   first runnings  1.062\n  11:05   ph        5.4\n  12:00   boil start\n  12:50   ph        5.2 [beer]\n  13:00   flameout\n  13:10   ph        5.1\n  13:11   ph        5.0 [kettle, 20 C]\n  13:12   ph        5.7 [mash]\n",
        &[
            "0 10:00 ph 5.6 of mash at -",
            "0 10:10 ph 5.5 of mash at 20",
            "0 11:00 first runnings 1.062",
            "0 11:05 ph 5.4 of kettle at -",
            "0 12:00 boil start",
            "0 12:50 ph 5.2 of beer at -",
            "0 13:00 flameout",
            "0 13:10 ph 5.1 of beer at -",
            "0 13:11 ph 5 of kettle at 20",
            "0 13:12 ph 5.7 of mash at -",
        ],
    ),
    (
        "  11:00   mash out\n  11:01   ph        5.4\n  11:30   boil end\n  11:31   ph        5.2\n",
        &[
            "0 11:00 mash out -",
            "0 11:01 ph 5.4 of kettle at -",
            "0 11:30 boil end",
            "0 11:31 ph 5.2 of beer at -",
        ],
    ),
    // Hot volumes, samples, refractometers.
    (
        "  11:20   pre-boil  24.6 L [hot] at 1.034 [refractometer]\n  11:21   pre-boil  27 L [98 C] at 11.2 Bx [refractometer, 20 C]\n  11:22   volume    24 L [97 C] in kettle\n  13:10   post-boil 20.3 L at 1.041\n  13:15   og        1.041 [refractometer] with 18.8 L [20 C]\n  13:16   first runnings  1.070 [60 C]\n  day 3   gravity   1.011 at 17 C [refractometer]\n  day 4   fg        12.4 P\n",
        &[
            "0 11:20 pre-boil 24.6 at 100, 1.034 by refractometer",
            "0 11:21 pre-boil 27 at 98, 11.2 Bx at 20 by refractometer",
            "0 11:22 volume 24 at 97 in Kettle",
            "0 13:10 post-boil 20.3, 1.041",
            "0 13:15 og 1.041 by refractometer with 18.8 at 20",
            "0 13:16 first runnings 1.07 at 60",
            "3 gravity 1.011 at 17 by refractometer",
            "4 fg 12.4 P",
        ],
    ),
    // Additions; the recipe's own names come first, so that its Crystal is a malt.
    (
        "  08:00   weigh     3.6 kg pale ale malt\n  10:21   add       3 mL lactic acid [88 %] to mash\n  11:56   add       48 g Fuggle to kettle\n  11:57   instead   50 g East Kent Golding for Fuggle\n  12:46   add       1 tablet kettle finings to kettle\n  12:47   add       100 g Crystal to kettle\n  day 4   add       20 g Cascade to fermenter\n  day 5   add       20 g oak chips to barrel\n  day 6   add       500 g honey\n",
        &[
            "0 08:00 weigh 3.6 kg pale ale malt",
            "0 10:21 add 0.003 mL addition lactic acid to Mash",
            "0 11:56 add 0.048 g hop Fuggle to Kettle",
            "0 11:57 instead 0.05 g East Kent Golding for Fuggle",
            "0 12:46 add 1 tablet addition kettle finings to Kettle",
            "0 12:47 add 0.1 g malt Crystal to Kettle",
            "4 add 0.02 g hop Cascade to Fermenter",
            "5 add 0.02 g addition oak chips to Fermenter",
            "6 add 0.5 g sugar honey to Unsaid",
        ],
    ),
    // The rest.
    (
        "  10:20   iodine    still blue\n  10:30   last runnings  1.010\n  13:00   chilled   68 F\n  13:05   lost      0.5 L\n  14:00   oxygen    1 L/min for 60 s\n  14:01   oxygen\n  day 1   pressure  15 psi\n  day 2   hops out\n  day 3   rack      18 L to barrel\n  day 9   package   18.5 L bottle 2.4 vol at 20 C with 120 g table sugar\n  day 9   package   5 L cask\n",
        &[
            "0 10:20 iodine still blue",
            "0 10:30 last runnings 1.01",
            "0 13:00 chilled 20",
            "0 13:05 lost 0.5",
            "0 14:00 oxygen 1 for 1",
            "0 14:01 oxygen - for -",
            "1 pressure 1.034213594",
            "2 hops out",
            "3 rack 18",
            "9 package 18.5 Some(Bottle) 2.4 at 20 with 0.12 g table sugar",
            "9 package 5 Some(Cask) - at - with -",
        ],
    ),
    // A line that cannot be read, or whose value cannot be used, costs itself only.
    ("  10:00   temp      20 kg\n  10:01   nonsense here\n  10:02   temp      20 C\n", &["0 10:02 temp 20"]),
];

const RECIPE: &str = "malt Crystal\n  colour              60 EBC\nrecipe \"A\"\ngrist\n  1 kg      Crystal\n";

#[test]
fn entries_are_read_as_they_are_meant() {
    let mut wrong = String::new();
    for (below, wanted) in CASES {
        let text = format!("{RECIPE}gyle 7 \"A\" on 2026-03-14\n{below}");
        let world = World::new(&text, &[]);
        let found = lines(world.log());
        if found != *wanted {
            let _ =
                writeln!(wrong, "{below}\nfound:\n{}\nwanted:\n{}\n", found.join("\n"), wanted.join("\n"));
        }
        for (_, problem) in world.problems() {
            let _ = writeln!(wrong, "{below}\n{}: {}", problem.fault.rule, problem.fault.message);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn a_line_that_runs_backwards_has_no_time() {
    let world = World::new(
        "gyle 7 \"A\" on 2026-03-14\n  23:00   boil start\n  00:10   flameout\n  00:40   chilled   18 C\n  day 2   temp      18 C\n",
        &[],
    );
    assert_eq!(lines(world.log()), ["0 23:00 boil start", "? flameout", "? chilled 18", "2 temp 18"]);
}

#[test]
fn headers() {
    let world = World::new(
        "recipe \"A\"\nboil 60 min\ngyle 27b \"A\" of \"../a.gyle\" on 2026-03-14  #= recipe 7c1e09f2\n  10:00   boil start\nnotes\n  ? actual.og \"og\"\ntasting of 27b on 2026-04-11\n  score     38.5/50\n  next      drop the crystal malt\n  | fine\n",
        &[],
    );
    let log = world.log();
    assert_eq!((&*log.id, &*log.recipe_name), ("27b", "A"));
    assert_eq!(log.of.as_ref().map(|(path, _)| &**path), Some("../a.gyle"));
    let (pinned, place) = log.pinned.as_ref().expect("a fingerprint");
    assert_eq!(&**pinned, "7c1e09f2");
    assert_eq!(log.blocks[0].slice(place.span), "7c1e09f2");
    assert!(log.recipe.is_some());
    assert_eq!(log.queries.len(), 1);
    assert_eq!(log.tastings[0].score, Some((38.5, 50.0)));
    assert_eq!(log.tastings[0].next.as_ref().map(|(text, _)| &**text), Some("drop the crystal malt"));
    assert_eq!(log.tastings[0].of.as_deref(), Some("27b"));

    for (header, pinned) in [
        ("gyle 1 \"A\" on 2026-03-14", None),
        ("gyle 1 \"A\" on 2026-03-14  #= recipe nonsense", None),
        ("gyle 1 \"A\" on 2026-03-14  #= recipe 7c1e09f", None),
        ("gyle 1 \"A\" on 2026-03-14  #= og 1.050, recipe 7C1E09F2", Some("7C1E09F2")),
        ("gyle 1 \"A\" on 2026-03-14  # ours  #= recipe 00000000", Some("00000000")),
    ] {
        let world = World::new(&format!("{header}\n"), &[]);
        assert_eq!(world.log().pinned.as_ref().map(|(text, _)| &**text), pinned, "{header}");
    }

    let world = World::new("gyle 8 \"A\" planned 2026-03-14 09:30\n  day 3   temp      18 C\n", &[]);
    let (date, clock) = world.log().planned.expect("a plan");
    assert_eq!((date.day, clock.map(|clock| (clock.hour, clock.minute))), (14, Some((9, 30))));
    assert_eq!(lines(world.log()), ["3 temp 18"]);
}
