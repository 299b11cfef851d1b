//! A kettle volume logged without a temperature that fits the plan exactly when it is taken as read hot.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("hot-volume-uncorrected", Group::Boil, Level::Hint, Check::Log(check), DOC).absorbs(&["volume-off-plan"])
    .whole(&[BlockKind::Boil, BlockKind::Recipe, BlockKind::Grist]);


const DOC: Doc = Doc {
    catches: "A kettle volume logged without a temperature that fits the plan exactly when it is taken as read \
              hot.",
    matters: "Boiling wort takes 4 % more room than at 20 C. Taken for a cold volume, it makes the efficiency look \
              4 % better.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  23.3 L at 1.040"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  23.3 L [98 C] at 1.040"#,
    limits: "Only where the reading is 3 to 5 % above the plan and its gravity fits.",
    sources: "Density of water, Kell 1975.",
};

struct Hot {
    litres: f64,
    cold: f64,
    place: Place,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    for entry in &cx.log.entries {
        let (reading, gravity, volume_of, gravity_of) = match &entry.event {
            Event::PreBoil(reading, Some(gravity)) => {
                (reading, gravity, FigureId::PreBoilVolume, FigureId::PreBoilGravity)
            }
            Event::PostBoil(reading, Some(gravity)) => {
                (reading, gravity, FigureId::PostBoilVolume, FigureId::PostBoilGravity)
            }
            _ => continue,
        };
        let (Some(planned), Some(sg)) = (plan.figure(volume_of), plan.figure(gravity_of)) else { continue };
        // More wort at the gravity planned is more extract than there is.
        if (cx.actual.wort_gravity(gravity) - sg).abs() > 0.0015 {
            continue;
        }
        if reading.temperature.is_some() || planned <= 0.0 {
            continue;
        }
        let cold = brewing::measure::cold_volume(
            quantity::typed::Volume::from_litres(reading.litres),
            quantity::typed::Temperature::from_celsius(98.0),
        )
        .litres();
        if (cold / planned - 1.0).abs() < 0.01 {
            hits.log(Grade::HINT, entry.place, Hot { litres: reading.litres, cold, place: reading.place });
        }
    }
}

impl Detail for Hot {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} is logged without a temperature; read hot it is {} cold, which is the plan", say.volume(self.litres), say.volume(self.cold)),
            format!("boiling wort takes 4 % more room than at {}", say.temperature(20.0)),
            format!("if it was read hot, say so: {}", say.read_at(self.litres, 98.0)),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let at = At::Log(self.place);
        let written = texts.at(at);
        if written.is_empty() {
            return Vec::new();
        }
        vec![Mend::proposed("say that it was read hot", at, format!("{written} [98 C]"))]
    }
}
