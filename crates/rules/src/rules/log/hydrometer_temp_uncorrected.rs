//! A gravity read on a sample far warmer or colder than the hydrometer is made for.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("hydrometer-temp-uncorrected", Group::Log, Level::Warning, Check::Log(check), DOC).root().limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("hydrometer-off-hint", 5.0, "K", "sample against the calibration", "common practice, no source");
static WARNING: Limit = Limit::at_most("hydrometer-off", 15.0, "K", "sample against the calibration", "common practice, no source: corrections are a guess from about 35 C");

const DOC: Doc = Doc {
    catches: "A gravity read on a sample far warmer or colder than the hydrometer is made for.",
    matters: "Warm wort is thinner: at 40 C a hydrometer for 20 C reads 6 points low. Corrections become guesses \
              when the sample is hot.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.032 [45 C]"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.040 [20 C]"#,
    limits: "A hint beyond 5 C, a warning beyond 15 C, where the correction itself is uncertain. What is computed \
              uses the corrected value.",
    sources: "Hydrometer correction by the density of water, Kell 1975.",
};

struct Warm {
    read: f64,
    corrected: f64,
    sample: f64,
    calibration: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let house = cx.plan.and_then(|plan| crate::look::house(plan.recipe, Keyword::Hydrometer));
    let calibration = house.unwrap_or(20.0);
    for entry in &cx.log.entries {
        let reading = match &entry.event {
            Event::FirstRunnings(reading) | Event::LastRunnings(reading) | Event::Og(reading, _) | Event::Gravity(reading) | Event::Fg(reading)
            | Event::PreBoil(_, Some(reading)) | Event::PostBoil(_, Some(reading)) => reading,
            _ => continue,
        };
        let Some(sample) = reading.sample else { continue };
        if reading.refractometer {
            continue;
        }
        let off = (sample - calibration).abs();
        let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
        if let (Some(grade), Some(read)) =
            (Grade::above(off, || 0.0, &bounds), crate::expected::bound(FigureId::Og, reading.value))
        {
            let corrected = cx.actual.wort_gravity(reading);
            hits.log(grade, reading.place, Warm { read, corrected, sample, calibration });
        }
    }
}

impl Detail for Warm {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} was read at {} on a hydrometer for {}; that is about {}",
                say.gravity(self.read),
                say.temperature(self.sample),
                say.temperature(self.calibration),
                say.gravity(self.corrected)
            ),
            "the further from its temperature, the less a correction can be trusted",
            format!("cool the sample to {} before reading", say.temperature(self.calibration)),
        )
    }
}
