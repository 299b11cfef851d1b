//! A final gravity above the original one, or an attenuation that no ordinary beer has.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("attenuation-implausible", Group::Log, Level::Error, Check::Log(check), DOC).absorbs(&["attenuation-outside-strain"]).limits(&[&USUAL]);

static USUAL: Limit = Limit::within("attenuation-usual", 55.0, 92.0, "%", "apparent attenuation", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A final gravity above the original one, or an attenuation that no ordinary beer has.",
    matters: "One of the two gravities is wrong, or something else than the yeast pitched is at work.",
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
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 9   fg        1.046"#,
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
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 9   fg        1.013"#,
    limits: "Above 92 % without sugar, diastatic yeast or a mixed culture, or below 55 %: a warning.",
    sources: "Balling: nothing attenuates beyond about 122 %.",
};

struct Attenuation {
    percent: f64,
    og: f64,
    fg: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let entry = cx.last(|event| matches!(event, Event::Fg(_))).or_else(|| {
        cx.first(|event| matches!(event, Event::Package { .. }))?;
        cx.last(|event| matches!(event, Event::Gravity(_)))
    });
    let Some(entry) = entry.and_then(|at| cx.log.entries.get(at)) else { return };
    let (Ok(percent), Ok(og), Ok(fg)) = (
        cx.actual.value(FigureId::ActualApparentAttenuation),
        cx.actual.value(FigureId::ActualOg),
        cx.actual.value(FigureId::ActualFg),
    ) else {
        return;
    };
    let explained = cx.plan.is_some_and(|plan| {
        plan.tagged("mixed-culture")
            || look::has_enzyme(plan.recipe)
            || plan.part().pitch.lines.iter().any(|line| {
                line.thing.words(Keyword::Diastatic) == Some("yes") || line.thing.words(Keyword::Kind) == Some("wild")
            })
            || plan.recipe.grist.iter().any(|line| {
                line.thing.kind() == Some(BlockKind::Sugar)
                    && line.thing.number(Keyword::Fermentability).is_some_and(|share| share.value.value > 0.8)
            })
    });
    let (low, high) = cx.band(&USUAL);
    let grade = if fg > og || percent > 122.0 {
        Grade::ERROR
    } else if percent < low || (percent > high && !explained) {
        Grade::WARNING
    } else {
        return;
    };
    hits.log(grade, entry.place, Attenuation { percent, og, fg });
}

impl Detail for Attenuation {
    fn message(&self, say: Say) -> Message {
        if self.fg > self.og {
            return Message::new(
                format!("the final gravity {} lies above the original {}", say.gravity(self.fg), say.gravity(self.og)),
                "fermentation lowers a gravity, so a reading is wrong or stands on the wrong line",
                "read again, and look whether the two were swapped",
            );
        }
        Message::new(
            format!("from {} to {} is an attenuation of {}", say.gravity(self.og), say.gravity(self.fg), say.percent(self.percent)),
            if self.percent < 50.0 { "the beer is hardly fermented, or a reading is wrong" } else { "no ordinary yeast takes malt wort that far, or a reading is wrong" },
            if self.percent < 50.0 { "read again before doing anything; then warm and rouse" } else { "read again with a hydrometer; if it holds, taste for wild yeast and keep bottles cool" },
        )
    }
}
