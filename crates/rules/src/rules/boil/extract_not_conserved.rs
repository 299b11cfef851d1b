//! Volumes and gravities before and after the boil between which extract appears or vanishes.

use quantity::typed::{Gravity, Volume};

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("extract-not-conserved", Group::Boil, Level::Error, Check::Log(check), DOC).whole(&[BlockKind::Grist]).root().absorbs(&["efficiency-implausible", "evaporation-out-of-range", "volume-off-plan"]).limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most("extract-conserved", 5.0, "%", "change of the extract in the boil", "common practice, no source");
static ERROR: Limit = Limit::at_most("extract-conserved-error", 12.0, "%", "change of the extract in the boil", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Volumes and gravities before and after the boil between which extract appears or vanishes.",
    matters: "A boil only drives off water. One of the four readings is wrong, and efficiency and bitterness are \
              computed from it.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.040
  11:55   boil start
  12:55   flameout
  13:10   post-boil 20.2 L at 1.050"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.040
  11:55   boil start
  12:55   flameout
  13:10   post-boil 20.2 L at 1.044"#,
    limits: "Volumes are brought to 20 C. Sugar planned for the boil is counted in.",
    sources: "Mass balance; the limits are common practice, no source.",
};

struct NotConserved {
    before: f64,
    after: f64,
    other: Place,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let (Ok((pre, Some(pre_sg), first)), Ok((post, Some(post_sg), place))) =
        (cx.actual.pre_boil(), cx.actual.post_boil())
    else {
        return;
    };
    let extract = |litres: f64, sg: f64| {
        brewing::gravity::extract_mass(Volume::from_litres(litres), Gravity::from_sg(sg)).kg()
    };
    let sugar: f64 = cx.plan.map_or(0.0, |plan| {
        let lines = plan.recipe.grist.iter().zip(plan.grist());
        lines
            .filter(|(line, _)| {
                matches!(line.joins, Joins::Kettle(_) | Joins::Flameout)
            })
            .filter_map(|(_, part)| part.extract)
            .sum()
    });
    let (before, after) = (extract(pre, pre_sg) + sugar, extract(post, post_sg));
    if before <= 0.0 {
        return;
    }
    let off = (after / before - 1.0).abs() * 100.0;
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
    if let Some(grade) = Grade::above(off, || 0.0, &bounds) {
        // The reading further from the plan is the likelier slip.
        let off = |litres: f64, sg: f64, volume: FigureId, gravity: FigureId| {
            let plan = cx.plan?;
            let planned = extract(plan.figure(volume)?, plan.figure(gravity)?);
            Some((extract(litres, sg) / planned - 1.0).abs())
        };
        let before_off = off(pre, pre_sg, FigureId::PreBoilVolume, FigureId::PreBoilGravity);
        let after_off = off(post, post_sg, FigureId::PostBoilVolume, FigureId::PostBoilGravity);
        let (at, other) = if before_off > after_off { (first, place) } else { (place, first) };
        hits.log(grade, at, NotConserved { before, after, other });
    }
}

impl Detail for NotConserved {
    fn message(&self, say: Say) -> Message {
        let off = (self.after / self.before - 1.0) * 100.0;
        let change = if off > 0.0 { "grew" } else { "shrank" };
        Message::new(
            format!(
                "the extract {change} from {} to {} in the boil ({})",
                say.mass(self.before),
                say.mass(self.after),
                say.percent(off.abs())
            ),
            "a boil only drives off water, so a volume or a gravity is wrong",
            "check the volumes and the temperatures they were read at, and that the wort was well mixed for the samples",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Log(self.other), "the other readings".into())]
    }
}
