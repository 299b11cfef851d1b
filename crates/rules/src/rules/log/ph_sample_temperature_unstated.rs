//! A pH without the temperature of its sample, or read on a hot one.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("ph-sample-temperature-unstated", Group::Log, Level::Warning, Check::Log(check), DOC).limits(&[&HOT]);

static HOT: Limit = Limit::at_most("ph-sample-hot", 40.0, "C", "temperature of a pH sample", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A pH without the temperature of its sample, or read on a hot one.",
    matters: "A hot mash reads about 0.35 lower at 65 C than the same sample cooled, and automatic compensation \
              does not change that.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.15 at 65 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.45 at 20 C"#,
    limits: "A hint where the temperature is missing, a warning above 40 C. Beer is taken to be read cold.",
    sources: "Briggs, Boulton, Brookes, Stevens, Brewing: Science and Practice, 2004, second-hand.",
};

struct Sample {
    ph: f64,
    celsius: Option<f64>,
    place: Place,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    for entry in &cx.log.entries {
        let Event::Ph { value, sample, of } = entry.event else { continue };
        if of == recipe::PhOf::Beer {
            continue;
        }
        let grade = match sample {
            None => Grade::HINT,
            Some(celsius) if celsius > cx.limit(&HOT) => Grade::WARNING,
            Some(_) => continue,
        };
        hits.log(grade, entry.place, Sample { ph: value, celsius: sample, place: entry.place });
    }
}

impl Detail for Sample {
    fn message(&self, say: Say) -> Message {
        match self.celsius {
            None => Message::new(
                format!("pH {} without the temperature of its sample", say.ph(self.ph)),
                "a hot sample reads about 0.35 lower than a cooled one",
                format!("write it: `ph {} at {}`", say.ph(self.ph), say.temperature(20.0)),
            ),
            Some(celsius) => {
                let cold = brewing::ph::at_room_temperature(
                    quantity::typed::Ph::from_ph(self.ph),
                    quantity::typed::Temperature::from_celsius(celsius),
                );
                Message::new(
                    format!("pH {} was read at {}; cooled it is about {}", say.ph(self.ph), say.temperature(celsius), say.ph(cold.ph())),
                    "targets and models are for room temperature, and heat wears out the probe",
                    format!("cool the sample to {} before reading", say.temperature(20.0)),
                )
            }
        }
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let at = At::Log(self.place);
        let written = texts.at(at);
        if self.celsius.is_some() || written.is_empty() {
            return Vec::new();
        }
        vec![Mend::proposed("say that it was read at 20 C", at, format!("{written} at 20 C"))]
    }
}
