//! Dry hops that stay for less than a day or very long, or go in while half of the sugar is left.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("dry-hop-contact-off", Group::Ferment, Level::Off, Check::Part(check), DOC).exempt(&["biotransformation"]).limits(&[&DAYS]);

static DAYS: Limit = Limit::within("dry-hop-days", 1.0, 7.0, "d", "contact of dry hops", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Dry hops that stay for less than a day or very long, or go in while half of the sugar is left.",
    matters: "Short contact wastes hops, long warm contact turns grassy.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
  50 g      Fuggle on day 4 for 14 d"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
  50 g      Fuggle on day 4 for 3 d"#,
    limits: "Off unless switched on: opinions and beers differ. The tag biotransformation exempts hops into a \
              lively fermentation.",
    sources: "Kirkpatrick and Shellhammer 2018, second-hand; common practice.",
};

struct Contact {
    name: Box<str>,
    days: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for line in &cx.part().ferment.additions {
        if line.thing.kind() != Some(BlockKind::Hop) {
            continue;
        }
        let Some(minutes) = line.contact else { continue };
        let days = minutes / 1440.0;
        let (low, high) = cx.band(&DAYS);
        if !(low..=high).contains(&days) {
            hits.recipe(Grade::HINT, line.place, Contact { name: look::spoken(&line.thing), days });
        }
    }
}

impl Detail for Contact {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} stays for {} days", self.name, crate::say::trimmed(self.days, 1)),
            if self.days < 1.0 { "hops give up little in less than a day" } else { "long warm contact turns grassy" },
            "two to four days are usual",
        )
    }
}
