//! Gravity, attenuation and strength written side by side that cannot all be true.

use brewing::alcohol::AlcoholMethod;
use quantity::typed::Gravity;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("gravity-claims-disagree", Group::Log, Level::Warning, Check::RecipeAndLog(plan, log), DOC).root().absorbs(&["expectation-missed"]);


const DOC: Doc = Doc {
    catches: "Gravity, attenuation and strength written side by side that cannot all be true.",
    matters: "They are bound to one another by arithmetic: one of them is wrong.",
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
expect
  og        1.044 ± 0.004
  fg        1.013 ± 0.004
  abv       5.5..6 %"#,
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
expect
  og        1.044 ± 0.004
  fg        1.013 ± 0.004
  abv       3.8..4.4 %"#,
    limits: "In `expect`: original and final gravity against strength or attenuation, with the widths written.",
    sources: "Balling.",
};

struct Disagree {
    og: f64,
    fg: f64,
    what: &'static str,
    low: f64,
    high: f64,
    written: f64,
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let find = |wanted: FigureId| {
        let at = cx.expected().iter().position(|figure| *figure == Some(wanted))?;
        let expectation = cx.part().expect.get(at)?;
        match &expectation.test {
            recipe::Test::Within { low: Some(low), high: Some(high), .. } => {
                let low = crate::expected::bound(wanted, *low)?;
                let high = crate::expected::bound(wanted, *high)?;
                Some((expectation.place, low, high))
            }
            _ => None,
        }
    };
    let (Some((_, og_low, og_high)), Some((_, fg_low, fg_high))) = (find(FigureId::Og), find(FigureId::Fg)) else { return };
    let (og, fg) = (f64::midpoint(og_low, og_high), f64::midpoint(fg_low, fg_high));
    let abv = |og: f64, fg: f64| {
        AlcoholMethod::Balling.by_volume(Gravity::from_sg(og), Gravity::from_sg(fg)).map(|share| share.parts() * 100.0)
    };
    let attenuation = |og: f64, fg: f64| {
        let plato = |sg: f64| brewing::gravity::plato(Gravity::from_sg(sg));
        brewing::attenuation::apparent(plato(og), plato(fg)).map(|share| share.parts() * 100.0)
    };
    type Of<'a> = &'a dyn Fn(f64, f64) -> Option<f64>;
    let claims: [(FigureId, &'static str, Of<'_>, f64); 2] = [
        (FigureId::Abv, "alcohol", &abv, 0.1),
        (FigureId::ApparentAttenuation, "attenuation", &attenuation, 1.0),
    ];
    for (figure, what, of, rounding) in claims {
        let Some((place, written_low, written_high)) = find(figure) else { continue };
        // The weakest and the strongest beer that the gravities allow.
        let (Some(low), Some(high)) = (of(og_low, fg_high), of(og_high, fg_low)) else { continue };
        if written_low > high + rounding || written_high < low - rounding {
            let written = f64::midpoint(written_low, written_high);
            hits.recipe(Grade::WARNING, place, Disagree { og, fg, what, low, high, written });
        }
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    // A log that gives a final gravity twice gives it once too often.
    let readings: Vec<(Place, f64)> = cx
        .actual
        .gravities()
        .into_iter()
        .filter(|gravity| cx.log.entries.get(gravity.entry).is_some_and(|entry| matches!(entry.event, Event::Fg(_))))
        .map(|gravity| (gravity.place, gravity.sg))
        .collect();
    if let [(_, first), .., (place, last)] = readings.as_slice()
        && (first - last).abs() > 0.002
    {
        let og = cx.actual.value(FigureId::ActualOg).unwrap_or(1.0);
        hits.log(Grade::WARNING, *place, Disagree { og, fg: *last, what: "final gravity", low: *first, high: *first, written: *last });
    }
}

impl Detail for Disagree {
    fn message(&self, say: Say) -> Message {
        if self.what == "final gravity" {
            return Message::new(
                format!("two final gravities are logged, {} and {}", say.gravity(self.low), say.gravity(self.written)),
                "a beer has one, and strength is computed from it",
                "log the earlier one as `gravity`",
            );
        }
        Message::new(
            format!(
                "{} to {} is {} to {} of {}, {} is written",
                say.gravity(self.og),
                say.gravity(self.fg),
                crate::say::trimmed(self.low, 1),
                say.percent(self.high),
                self.what,
                say.percent(self.written)
            ),
            "the three are bound by arithmetic, so one of them is wrong",
            "correct the one that is a guess",
        )
    }
}
