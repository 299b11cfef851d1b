//! A gravity of the brew day away from the plan.

use brewing::correct;
use quantity::typed::{Fraction, Gravity, Volume, VolumeRate};

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("gravity-off-plan", Group::Log, Level::Warning, Check::Log(check), DOC)
    .whole(&[BlockKind::Grist, BlockKind::Recipe, BlockKind::Boil])
    .limits(&[&WARNING, &HINT, &SHARE]);

static WARNING: Limit = Limit::at_most(
    "gravity-off",
    0.004,
    "sg",
    "how far a gravity may be from the plan",
    "common practice, no source",
);
static HINT: Limit = Limit::at_most(
    "gravity-off-hint",
    0.002,
    "sg",
    "how far a gravity may be from the plan without a word",
    "a hydrometer is read to 0.001; common practice, no source",
);
static SHARE: Limit = Limit::at_most(
    "gravity-off-share",
    8.0,
    "%",
    "how far a gravity may be from the plan, of its points",
    "common practice, no source",
);

const DOC: Doc = Doc {
    catches: "A pre-boil or original gravity logged that is away from what the recipe plans.",
    matters: "Before the boil a miss is cheaply put right with water, extract or time. After it, bitterness, colour and strength are already \
              other than planned.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4.5 kg    pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.038 with 20 L"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4.5 kg    pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.050 with 20 L"#,
    limits: "Readings are brought to 20 C before they are compared. Remedies are mass balances for the volume logged, or planned where none is.",
    sources: "The limits are common practice, no source; the remedies balance masses and extract.",
};

struct OffPlan {
    stage: &'static str,
    value: f64,
    planned: f64,
    litres: f64,
    measured_litres: bool,
    remedy: Remedy,
}

enum Remedy {
    /// Water, L.
    Dilute(Option<f64>),
    /// Extract kg, and a longer boil: minutes, and the litres then left.
    Strengthen { extract: Option<f64>, boil: Option<(f64, f64)> },
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let pre_boil = cx.actual.pre_boil().ok().and_then(|(litres, sg, place)| Some((litres, sg?, place)));
    if let (Some((litres, value, place)), Some(planned)) = (pre_boil, plan.figure(FigureId::PreBoilGravity)) {
        compare(cx, hits, place, "pre-boil gravity", value, planned, (litres, true));
    }
    let og = cx.log.entries.iter().find(|entry| matches!(entry.event, Event::Og(..)));
    if let (Some(entry), Ok(value), Some(planned)) =
        (og, cx.actual.value(FigureId::ActualOg), plan.figure(FigureId::PitchingGravity))
    {
        let measured = cx.actual.fermenter_volume().ok();
        let litres = measured.or_else(|| plan.figure(FigureId::BatchVolume)).unwrap_or(0.0);
        compare(cx, hits, entry.place, "original gravity", value, planned, (litres, measured.is_some()));
    }
}

fn compare(
    cx: &LogCx,
    hits: &mut Hits,
    place: Place,
    stage: &'static str,
    value: f64,
    planned: f64,
    (litres, measured_litres): (f64, bool),
) {
    let off = (value - planned).abs();
    let warning = cx.limit(&WARNING).min(cx.limit(&SHARE) / 100.0 * (planned - 1.0)).max(cx.limit(&HINT));
    let bounds = [(cx.limit(&HINT), Severity::Hint), (warning, Severity::Warning)];
    let Some(grade) = Grade::above(off, || 0.0, &bounds) else { return };
    let (wort, from, to) = (Volume::from_litres(litres), Gravity::from_sg(value), Gravity::from_sg(planned));
    let remedy = if value > planned {
        Remedy::Dilute(correct::dilution(wort, from, to).map(Volume::litres))
    } else {
        // Dry malt extract holds about 97 % extract.
        let extract =
            correct::extract_to_add(wort, from, to, Fraction::from_parts(0.97)).map(|added| added.mass.kg());
        let rate = evaporation(cx);
        let boil = rate
            .filter(|_| stage == "pre-boil gravity")
            .and_then(|rate| correct::longer_boil(wort, from, to, rate))
            .map(|boil| (boil.time.minutes(), boil.volume.litres()));
        Remedy::Strengthen { extract, boil }
    };
    hits.log(grade, place, OffPlan { stage, value, planned, litres, measured_litres, remedy });
}

/// What boils off here: as measured, else as planned.
pub(crate) fn evaporation(cx: &LogCx) -> Option<VolumeRate> {
    if let Ok(by_hour) = cx.actual.value(FigureId::ActualEvaporation) {
        return Some(VolumeRate::from_litres_per_hour(by_hour));
    }
    let plan = cx.plan?;
    let minutes = plan.recipe.boil.as_ref()?.time.as_ref()?.value;
    let off = plan.figure(FigureId::PreBoilVolume)? - plan.figure(FigureId::PostBoilVolume)?;
    (minutes > 0.0).then(|| VolumeRate::from_litres_per_hour(off / minutes * 60.0))
}

impl Detail for OffPlan {
    fn message(&self, say: Say) -> Message {
        let volume = say.volume(self.litres);
        let volume = if self.measured_litres { volume } else { format!("the planned {volume}") };
        let remedy = match &self.remedy {
            Remedy::Dilute(Some(water)) => format!("{} of water in {volume} bring it down", say.volume(*water)),
            Remedy::Strengthen { extract: Some(extract), boil: Some((minutes, left)) } => format!(
                "{} of dry malt extract in {volume}, or {} more boil down to {}, bring it up",
                say.mass(*extract),
                say.time(*minutes),
                say.volume(*left)
            ),
            Remedy::Strengthen { extract: Some(extract), boil: None } => {
                format!("{} of dry malt extract in {volume} bring it up", say.mass(*extract))
            }
            _ => "log the volume as well, so that the remedy can be computed".into(),
        };
        let why = if self.value < self.planned {
            "the beer will be weaker than planned, and its bitterness out of balance"
        } else {
            "the beer will be stronger than planned"
        };
        Message::new(
            format!(
                "{} {} was read, {} planned",
                self.stage,
                say.gravity(self.value),
                say.gravity(self.planned)
            ),
            why,
            remedy,
        )
    }
}
