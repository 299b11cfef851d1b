//! Pressure in a keg above its rating, or high for one whose rating is not known.

use brewing::package::{KEG_CEILING, KEG_HIGH};
use recipe::Container;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("keg-over-rating", Group::Package, Level::Error, Check::RecipeAndLog(plan, log), DOC).safety();


const DOC: Doc = Doc {
    catches: "Pressure in a keg above its rating, or high for one whose rating is not known.",
    matters: "Kegs burst. A worker was killed when a plastic keg was cleaned with unregulated air above its limit.",
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
  keg       4.2 vol at 20 C"#,
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
  keg       2.4 vol at 5 C"#,
    limits: "The rating comes from the brewhouse (`keg rating`). Where none is written 4.1 bar counts as the \
              ceiling and 2.8 bar as high.",
    sources: "OSHA citation of 2012: a plastic keg above 60 psi; the ceiling for unknown kegs is common practice.",
};

struct Keg {
    bar: f64,
    rating: Option<f64>,
}

fn judge(recipe: &recipe::Recipe, bar: f64) -> Option<(Grade, Keg)> {
    let rating = look::house(recipe, Keyword::KegRating);
    let ceiling = rating.unwrap_or(KEG_CEILING.bar());
    let grade = if bar > ceiling {
        Grade::ERROR
    } else if rating.is_none() && bar > KEG_HIGH.bar() {
        Grade::WARNING
    } else {
        return None;
    };
    Some((grade, Keg { bar, rating }))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    for figure in cx.calc.package_lines() {
        let Some(bar) = figure.pressure else { continue };
        if let Some((grade, detail)) = judge(cx.recipe, bar) {
            hits.recipe(grade, figure.place, detail);
        }
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let packaged = cx.first(|event| matches!(event, Event::Package { container: Some(Container::Keg), .. }));
    let Some(at) = packaged else { return };
    for entry in cx.log.entries.iter().skip(at + 1) {
        let Event::Pressure(bar) = entry.event else { continue };
        if let Some((grade, detail)) = judge(plan.recipe, bar) {
            hits.log(grade, entry.place, detail);
        }
    }
}

impl Detail for Keg {
    fn message(&self, say: Say) -> Message {
        let whose = self.rating.map_or_else(
            || "in a keg whose rating is not written".to_owned(),
            |rating| format!("in a keg rated for {}", say.pressure(rating)),
        );
        Message::new(
            format!("{} {whose}", say.pressure(self.bar)),
            "a keg that bursts injures and kills",
            "follow the rating stamped on it, set the regulator before opening the gas, fit a relief valve, and carbonate cold",
        )
    }
}
