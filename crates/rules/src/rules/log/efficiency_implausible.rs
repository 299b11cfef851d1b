//! A mash efficiency that cannot be, that no brewhouse has, or that is far from the one written.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("efficiency-implausible", Group::Log, Level::Error, Check::Log(check), DOC).whole(&[BlockKind::Grist, BlockKind::Recipe, BlockKind::Boil]).limits(&[&USUAL, &OFF]);

static USUAL: Limit = Limit::within("mash-efficiency", 50.0, 96.0, "%", "extract in the kettle over laboratory extract", "common practice, no source");
static OFF: Limit = Limit::at_most("mash-efficiency-off", 7.0, "%", "points off the brewhouse", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash efficiency that cannot be, that no brewhouse has, or that is far from the one written.",
    matters: "More extract than the malt holds is a wrong weight, volume or gravity. A steady difference is a \
              brewhouse that should be corrected.",
    example: r#"brewhouse shed
  mash efficiency     45 %

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.024"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  22.4 L at 1.040"#,
    limits: "Extract in the kettle over laboratory extract. Seven points off the plan are a hint.",
    sources: "Common practice, no source.",
};

struct Efficiency {
    percent: f64,
    planned: Option<f64>,
    unusual: bool,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Ok(percent) = cx.actual.value(FigureId::ActualMashEfficiency) else { return };
    let Ok((_, _, place)) = cx.actual.pre_boil() else { return };
    let planned = cx.plan.and_then(|plan| crate::look::house(plan.recipe, Keyword::MashEfficiency)).map(|share| share * 100.0);
    let (low, high) = cx.band(&USUAL);
    let grade = if percent > 100.0 {
        Some(Grade::ERROR)
    } else if !(low..=high).contains(&percent) {
        Some(Grade::WARNING)
    } else {
        planned.filter(|planned| (percent - planned).abs() > cx.limit(&OFF)).map(|_| Grade::HINT)
    };
    if let Some(grade) = grade {
        hits.log(grade, place, Efficiency { percent, planned, unusual: !(low..=high).contains(&percent) });
    }
}

impl Detail for Efficiency {
    fn message(&self, say: Say) -> Message {
        let planned = self.planned.map_or_else(String::new, |planned| format!(", {} is written for the brewhouse", say.percent(planned)));
        Message::new(
            format!("the mash efficiency comes to {}{planned}", say.percent(self.percent)),
            if self.percent > 100.0 {
                "the wort cannot hold more extract than the malt"
            } else if self.unusual {
                "hardly any brewhouse has that"
            } else {
                "gravities are planned from the one written"
            },
            if self.percent > 92.0 { "check weight, volume and gravity, and the temperatures they were read at" } else { "if it comes out the same again, write it into the brewhouse; otherwise check crush, weight, volume and gravity" },
        )
    }
}
