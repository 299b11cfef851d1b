//! Oxygen or air logged long after pitching, when the yeast no longer grows.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("oxygen-added-late", Group::Ferment, Level::Warning, Check::Log(check), DOC).limits(&[&HOURS, &STRONG]);

static HOURS: Limit = Limit::at_most("oxygen-latest", 12.0, "h", "oxygen after pitching", "common practice, no source");
static STRONG: Limit = Limit::at_most("oxygen-latest-strong", 24.0, "h", "oxygen after pitching above 1.090", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Oxygen or air logged long after pitching, when the yeast no longer grows.",
    matters: "Then it only stales the beer and makes diacetyl.",
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
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 2   oxygen    8 ppm"#,
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
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  14:05   oxygen    8 ppm"#,
    limits: "A second dose 12 to 18 h after pitching is usual for very strong beers and exempt above 1.090.",
    sources: "Common practice, no source.",
};

struct Late {
    hours: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let strong = cx.actual.value(FigureId::ActualOg).or_else(|_| cx.actual.value(FigureId::Og)).is_ok_and(|og| og > 1.090);
    for (at, entry) in cx.log.entries.iter().enumerate() {
        if !matches!(entry.event, Event::Oxygen(..)) {
            continue;
        }
        let Some(hours) = cx.days_since_pitch(at).map(|days| days * 24.0) else { continue };
        if hours > cx.limit(if strong { &STRONG } else { &HOURS }) {
            hits.log(Grade::WARNING, entry.place, Late { hours });
        }
    }
}

impl Detail for Late {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("oxygen {:.0} h after pitching", self.hours),
            "the yeast no longer grows with it; it stales the beer and makes diacetyl",
            "give it at pitching; if it has happened, let the yeast finish warm and drink the beer young",
        )
    }
}
