//! A written amount of priming sugar that does not give the carbonation written beside it.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("priming-amount-mismatch", Group::Package, Level::Error, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Package]).safety().limits(&[&HINT, &WARNING, &ERROR]);

static HINT: Limit = Limit::at_most("priming-off-hint", 8.0, "%", "sugar written against sugar computed", "common practice, no source");
static WARNING: Limit = Limit::at_most("priming-off", 15.0, "%", "sugar written against sugar computed", "common practice, no source");
static ERROR: Limit = Limit::at_most("priming-over-error", 50.0, "%", "sugar written above sugar computed", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A written amount of priming sugar that does not give the carbonation written beside it.",
    matters: "Too little leaves flat beer; too much bursts bottles.",
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
ferment
  hold      19 C for 7 d
package
  bottle    2.2 vol at 20 C with 6.4 g/L table sugar"#,
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
ferment
  hold      19 C for 7 d
package
  bottle    2.2 vol at 20 C with 5 g/L table sugar"#,
    limits: "Compared by the litre. An amount above the one computed by more than half is an error and a matter \
              of safety.",
    sources: "Stoichiometry; residual CO2 after Hibberd 1995.",
};

struct Mismatch {
    given: f64,
    needed: f64,
    aimed: f64,
    gives: f64,
    place: Option<Place>,
}

fn judge(limits: &crate::limits::Limits, given: f64, needed: f64) -> Option<Grade> {
    let over = (given / needed - 1.0) * 100.0;
    if over > limits.of(&ERROR) {
        return Some(Grade::ERROR);
    }
    Grade::above(over.abs(), || 0.0, &[(limits.of(&HINT), Severity::Hint), (limits.of(&WARNING), Severity::Warning)])
}

/// Sugar by the litre (kg/L) that the carbonation aimed at takes, were no amount written.
fn needed(cx: &RecipeCx, at: usize) -> Option<f64> {
    let mut open = cx.recipe.clone();
    for part in &mut open.parts {
        if let Some((amount, _)) = part.package.lines.get_mut(at).and_then(|line| line.priming.as_mut()) {
            *amount = Amount::Solved;
        }
    }
    let calc = figures::Calc::of_part(&open, cx.calc.settings, cx.part_index());
    let line = calc.package_lines().into_iter().find(|line| line.line == at)?;
    Some(line.sugar? / 1000.0 / line.litres)
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    for figure in cx.calc.package_lines() {
        let Some(line) = cx.part().package.lines.get(figure.line) else { continue };
        let (Some(aimed), Some((amount, _))) = (&line.carbonation, &line.priming) else { continue };
        if !matches!(amount, Amount::Of(_)) || figure.litres <= 0.0 {
            continue;
        }
        let (Some(sugar), Some(needed)) = (figure.sugar, needed(cx, figure.line)) else { continue };
        let given = sugar / 1000.0 / figure.litres;
        if needed <= 0.0 {
            continue;
        }
        if let Some(grade) = judge(cx.limits, given, needed) {
            let gives = figure.carbonation.unwrap_or(aimed.value);
            hits.recipe(
                grade,
                line.place,
                Mismatch { given, needed, aimed: aimed.value, gives, place: Some(line.place) },
            );
        }
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    for entry in &cx.log.entries {
        let Event::Package { volume, container: Some(container), priming: Some((amount, _)), carbonation, .. } = &entry.event
        else {
            continue;
        };
        let litres = figures::Actual::cold(volume);
        let Some(kg) = look::kg(amount).filter(|_| litres > 0.0) else { continue };
        let Some((at, line)) = plan.part().package.lines.iter().enumerate().find(|(_, line)| line.container == *container)
        else {
            continue;
        };
        let (Some(aimed), Some(needed)) = (&line.carbonation, needed(plan, at)) else { continue };
        // A carbonation written in the log is another aim.
        if line.priming.is_none() || needed <= 0.0 || carbonation.is_some_and(|volumes| (volumes - aimed.value).abs() > 0.05) {
            continue;
        }
        let given = kg / litres;
        if let Some(grade) = judge(cx.limits, given, needed) {
            let residual = plan.figure(FigureId::ResidualCo2).unwrap_or(0.85);
            let gives = residual + (aimed.value - residual) * given / needed;
            hits.log(grade, entry.place, Mismatch { given, needed, aimed: aimed.value, gives, place: None });
        }
    }
}

impl Detail for Mismatch {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{:.1} g/L of sugar give {:.1} vol, {} is aimed at",
                self.given * 1000.0,
                self.gives,
                say.volumes(self.aimed)
            ),
            if self.given > self.needed { "too much sugar bursts bottles" } else { "the beer stays flat" },
            if self.given > self.needed {
                format!("take {:.1} g/L; if it is bottled already, keep the bottles cold and covered, away from people", self.needed * 1000.0)
            } else {
                format!("take {:.1} g/L", self.needed * 1000.0)
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let Some(place) = self.place else { return Vec::new() };
        let value = texts.clause_value(At::Recipe(place), ClauseWord::With);
        let text = format!("{:.1} g/L", self.needed * 1000.0);
        value.map(|value| Mend::proposed(format!("take {text}"), value, text)).into_iter().collect()
    }
}
