//! A volume logged away from the plan, more beer packaged than was fermented, or a great loss.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("volume-off-plan", Group::Log, Level::Error, Check::Log(check), DOC).whole(&[BlockKind::Recipe, BlockKind::Boil, BlockKind::Grist]).limits(&[&HINT, &WARNING, &LOSS]);

static HINT: Limit = Limit::at_most("volume-off-hint", 3.0, "%", "volume against the plan", "common practice, no source");
static WARNING: Limit = Limit::at_most("volume-off", 5.0, "%", "volume against the plan", "common practice, no source");
static LOSS: Limit = Limit::at_most("packaging-loss-share", 20.0, "%", "beer lost between fermenter and package", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A volume logged away from the plan, more beer packaged than was fermented, or a great loss.",
    matters: "Another volume at the same gravity is another amount of extract; a great loss is beer that went \
              somewhere.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  26 L at 1.040"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.040"#,
    limits: "Volumes are brought to 20 C first. A hint beyond 3 %, a warning beyond 5 %.",
    sources: "Common practice, no source.",
};

enum Volume {
    Off { stage: &'static str, litres: f64, planned: f64 },
    Appeared { packaged: f64, fermented: f64 },
    Lost { packaged: f64, fermented: f64 },
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    let mut compare = |place: Place, stage: &'static str, litres: f64, figure: FigureId| {
        let Some(planned) = plan.figure(figure).filter(|planned| *planned > 0.0) else { return };
        if let Some(grade) = Grade::above((litres / planned - 1.0).abs() * 100.0, || 0.0, &bounds) {
            hits.log(grade, place, Volume::Off { stage, litres, planned });
        }
    };
    if let Ok((litres, _, place)) = cx.actual.pre_boil() {
        compare(place, "before the boil", litres, FigureId::PreBoilVolume);
    }
    if let Ok((litres, _, place)) = cx.actual.post_boil() {
        compare(place, "after the boil", litres, FigureId::PostBoilVolume);
    }
    let og = cx.log.entries.iter().find(|entry| matches!(entry.event, Event::Og(_, Some(_))));
    if let (Some(entry), Ok(litres)) = (og, cx.actual.fermenter_volume()) {
        compare(entry.place, "in the fermenter", litres, FigureId::BatchVolume);
    }
    let packaged: f64 = cx
        .log
        .entries
        .iter()
        .filter_map(|entry| match &entry.event {
            Event::Package { volume, .. } => Some(figures::Actual::cold(volume)),
            _ => None,
        })
        .sum();
    let last = cx.last(|event| matches!(event, Event::Package { .. })).and_then(|at| cx.log.entries.get(at));
    let (Some(entry), Ok(fermented)) = (last, cx.actual.fermenter_volume()) else { return };
    let added = cx.log.entries.iter().any(|entry| {
        matches!(&entry.event, Event::Add { vessel: Vessel::Fermenter, thing, .. } if thing.kind() == Some(BlockKind::Sugar))
    });
    if packaged > fermented * 1.005 && !added {
        hits.log(Grade::ERROR, entry.place, Volume::Appeared { packaged, fermented });
    } else if packaged < fermented * (1.0 - cx.limit(&LOSS) / 100.0) && plan.part().label.is_none() && plan.recipe.parts.len() < 2 {
        hits.log(Grade::WARNING, entry.place, Volume::Lost { packaged, fermented });
    }
}

impl Detail for Volume {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Off { stage, litres, planned } => Message::new(
                format!("{} {stage}, {} planned", say.volume(*litres), say.volume(*planned)),
                "gravity, bitterness and colour move with the volume",
                if litres < planned {
                    format!("top up with {} of water if the gravity is above plan; otherwise measure the losses and correct the brewhouse", say.volume(planned - litres))
                } else {
                    format!("boil off the {} more if the gravity is below plan; otherwise measure the losses and correct the brewhouse", say.volume(litres - planned))
                },
            ),
            Self::Appeared { packaged, fermented } => Message::new(
                format!("{} were packaged of {} in the fermenter", say.volume(*packaged), say.volume(*fermented)),
                "beer does not grow, so one of the volumes is wrong",
                "check both, and the temperatures they were read at",
            ),
            Self::Lost { packaged, fermented } => Message::new(
                format!("{} were packaged of {} in the fermenter", say.volume(*packaged), say.volume(*fermented)),
                "more than a fifth of the beer went somewhere",
                format!("log what was lost (`lost {}`), and rack more gently next time", say.volume(fermented - packaged)),
            ),
        }
    }
}
