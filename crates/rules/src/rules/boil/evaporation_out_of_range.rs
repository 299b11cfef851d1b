//! A boil that evaporates nothing, or an improbable part of the kettle, by plan or by log.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("evaporation-out-of-range", Group::Boil, Level::Error, Check::RecipeAndLog(plan, log), DOC).absorbs(&["volume-off-plan"])
    .whole(&[BlockKind::Boil, BlockKind::Recipe]).limits(&[&LOW, &HINT, &HIGH, &ERROR]);

static LOW: Limit = Limit::at_least("evaporation-low", 3.0, "%/h", "of the pre-boil volume", "common practice, no source");
static HINT: Limit = Limit::at_most("evaporation-hint", 20.0, "%/h", "of the pre-boil volume, above 15 L", "common practice, no source");
static HIGH: Limit = Limit::at_most("evaporation-high", 30.0, "%/h", "of the pre-boil volume", "common practice, no source");
static ERROR: Limit = Limit::at_most("evaporation-error", 60.0, "%/h", "of the pre-boil volume", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A boil that evaporates nothing, or an improbable part of the kettle, by plan or by log.",
    matters: "Volume, gravity and what is driven off all hang on it; an odd value is mostly a volume misread.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
gyle 7 "Harbour Bitter" on 2026-03-14
  11:40   pre-boil  24 L at 1.040
  11:55   boil start
  12:55   flameout
  13:10   post-boil 15 L at 1.063"#,
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
    limits: "Of the pre-boil volume an hour, both volumes cold. Small kettles boil off more, so the hint waits \
              for 15 L.",
    sources: "Brewing encyclopaedia, entry on evaporation rate: 10 to 15 % in 90 min historic, 6 to 8 % in all \
              today; the limits are common practice.",
};

struct Evaporation {
    percent: f64,
    litres: f64,
    logged: bool,
}

fn grade(limits: &crate::limits::Limits, percent: f64, pre_boil: f64) -> Option<Grade> {
    if percent <= 0.0 {
        return Some(Grade::ERROR);
    }
    let bounds = [
        (limits.of(&HIGH), Severity::Warning),
        (limits.of(&ERROR), Severity::Error),
        (limits.of(&HINT), Severity::Hint),
    ];
    let high = if pre_boil > 15.0 { &bounds[..] } else { &bounds[..2] };
    Grade::above(percent, || 0.0, high).or_else(|| Grade::below(percent, || 0.0, &[(limits.of(&LOW), Severity::Warning)]))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let Some(boil) = &cx.recipe.boil else { return };
    let Some(hours) = boil.time.as_ref().map(|time| time.value / 60.0).filter(|hours| *hours > 0.0) else { return };
    // What the kettle does is only known where somebody has written it.
    if look::house(cx.recipe, Keyword::Evaporation).is_none() {
        return;
    }
    let (Some(pre), Some(post)) = (cx.figure(FigureId::PreBoilVolume), cx.figure(FigureId::PostBoilVolume)) else { return };
    if pre <= 0.0 || cx.recipe.liquor.top_up_kettle.is_some() {
        return;
    }
    let percent = (pre - post) / pre / hours * 100.0;
    if let Some(grade) = grade(cx.limits, percent, pre) {
        hits.recipe(grade, boil.place, Evaporation { percent, litres: pre, logged: false });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let (Ok((pre, _, _)), Ok((_, _, place)), Ok(by_hour)) =
        (cx.actual.pre_boil(), cx.actual.post_boil(), cx.actual.value(FigureId::ActualEvaporation))
    else {
        return;
    };
    if pre <= 0.0 {
        return;
    }
    let percent = by_hour / pre * 100.0;
    if let Some(grade) = grade(cx.limits, percent, pre) {
        hits.log(grade, place, Evaporation { percent, litres: pre, logged: true });
    }
}

impl Detail for Evaporation {
    fn message(&self, say: Say) -> Message {
        let what = if self.logged { "the volumes logged" } else { "the evaporation written" };
        Message::new(
            format!("{what} mean {} an hour of {}", say.percent(self.percent), say.volume(self.litres)),
            if self.percent > 10.0 {
                "hardly any kettle boils off that much, so a volume or a time is wrong"
            } else {
                "so weak a boil drives off little, or a volume is wrong"
            },
            if self.logged {
                format!("check both volumes and the temperatures they were read at: {}", say.read_at(25.0, 98.0))
            } else {
                "measure it with water: volume before and after an hour of boil".into()
            },
        )
    }
}
