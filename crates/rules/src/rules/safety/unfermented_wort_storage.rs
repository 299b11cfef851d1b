//! Wort kept warm without yeast for more than a day.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unfermented-wort-storage", Group::Safety, Level::Error, Check::Log(check), DOC).limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most("wort-stored", 24.0, "h", "end of boil to pitching", "practitioner articles on stored wort");
static ERROR: Limit = Limit::at_most("wort-stored-error", 48.0, "h", "end of boil to pitching", "practitioner articles on stored wort");

const DOC: Doc = Doc {
    catches: "Wort kept warm without yeast for more than a day.",
    matters: "Sealed wort is low in acid and free of oxygen: botulism grows in it without smell or gas.",
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
  12:55   flameout
  13:20   chilled   60 C
  2026-03-16 18:00  pitch  200 billion cells at 18 C"#,
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
  12:55   flameout
  13:20   chilled   18 C
  14:00   pitch     200 billion cells at 18 C"#,
    limits: "From the end of the boil to pitching. Silent below 4 C, and for wort soured below pH 4.6.",
    sources: "Practitioner articles on stored wort: botulism is held back below pH 4.6, below 4 C, or by pressure \
              canning.",
};

struct Stored {
    hours: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let end = cx.last(|event| matches!(event, Event::Flameout | Event::BoilEnd | Event::Chilled(_)));
    let (Some(end), Some(pitched)) = (end, cx.actual.pitched_at()) else { return };
    if end >= pitched {
        return;
    }
    let first = cx.first(|event| matches!(event, Event::Flameout | Event::BoilEnd)).unwrap_or(end);
    let Some(hours) = cx.minutes(first, pitched).map(|minutes| minutes / 60.0) else { return };
    let cold = cx.log.entries.iter().take(pitched).skip(first).any(|entry| {
        matches!(entry.event, Event::Chilled(celsius) | Event::Temp(celsius) if celsius <= 4.0)
    });
    let sour = cx.log.entries.iter().take(pitched).any(|entry| {
        matches!(entry.event, Event::Ph { value, of: recipe::PhOf::Kettle, .. } if value < 4.6)
    }) || cx.plan.is_some_and(|plan| plan.recipe.sour.is_some());
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
    if let (Some(grade), Some(entry), false, false) =
        (Grade::above(hours, || 0.0, &bounds), cx.log.entries.get(pitched), cold, sour)
    {
        hits.log(grade, entry.place, Stored { hours });
    }
}

impl Detail for Stored {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{:.0} h passed between the boil and pitching", self.hours),
            "sealed warm wort lets botulism grow, without smell or gas, and open wort whatever falls in",
            format!("throw away wort that was sealed warm for days; next time pitch within a day, keep it below {}, or bring it below pH 4.6", say.temperature(4.0)),
        )
    }
}
