//! A strength written on the label, or beside the gravities, that the gravities do not give.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("abv-recomputation-differs", Group::Log, Level::Warning, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Grist, BlockKind::Pitch, BlockKind::Recipe]).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_most("abv-differs-hint", 0.2, "%", "strength written against strength computed", "common practice, no source");
static WARNING: Limit = Limit::at_most("abv-differs", 0.3, "%", "strength written against strength computed", "US label tolerance, from memory");

const DOC: Doc = Doc {
    catches: "A strength written on the label, or beside the gravities, that the gravities do not give.",
    matters: "Duty, labels and drinkers go by it.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  label     6.2 % vol
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
  label     4.2 % vol
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm"#,
    limits: "A percentage in `label` is compared with the strength computed, of a log with the strength measured.",
    sources: "Balling; a tolerance of 0.3 % is usual on labels, from memory.",
};

struct Differs {
    label: f64,
    computed: f64,
    measured: bool,
    label_place: Place,
}

/// The percentage in the text of a label, %.
pub(crate) fn percent_in(text: &str) -> Option<f64> {
    let before = text.split_once('%')?.0.trim_end();
    let number: String = before.chars().rev().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',')).collect();
    let number: String = number.chars().rev().collect();
    number.replace(',', ".").parse().ok()
}

fn label(recipe: &recipe::Recipe) -> Option<(f64, Place)> {
    recipe.texts.iter().filter(|(key, _, _)| *key == Keyword::Label).find_map(|(_, text, place)| Some((percent_in(text)?, *place)))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let Some((label, place)) = label(cx.recipe) else { return };
    let Some(computed) = cx.figure(FigureId::AbvPackaged).or_else(|| cx.figure(FigureId::Abv)) else { return };
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    let off = (computed - label).abs();
    if let Some(grade) = Grade::above(off, || cx.spread(FigureId::Abv), &bounds) {
        hits.recipe(grade, place, Differs { label, computed, measured: false, label_place: place });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some((label, label_place)) = cx.plan.and_then(|plan| label(plan.recipe)) else { return };
    let done = cx.last(|event| matches!(event, Event::Fg(_) | Event::Package { .. }));
    let (Some(entry), Ok(computed)) = (done.and_then(|at| cx.log.entries.get(at)), cx.actual.value(FigureId::ActualAbv)) else {
        return;
    };
    let bounds = [(cx.limit(&HINT), Severity::Hint), (cx.limit(&WARNING), Severity::Warning)];
    if let Some(grade) = Grade::above((computed - label).abs(), || 0.0, &bounds) {
        hits.log(grade, entry.place, Differs { label, computed, measured: true, label_place });
    }
}

impl Detail for Differs {
    fn message(&self, say: Say) -> Message {
        let how = if self.measured { "the gravities measured give" } else { "the recipe gives" };
        Message::new(
            format!("the label says {}, {how} {}", say.percent(self.label), say.percent(self.computed)),
            "duty, labels and drinkers go by it",
            "correct the label from measured gravities; what a label may say is a matter of local rules",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        if self.measured { vec![(At::Recipe(self.label_place), "the label".into())] } else { Vec::new() }
    }
}
