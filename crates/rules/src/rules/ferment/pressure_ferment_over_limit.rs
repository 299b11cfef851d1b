//! Pressure in a vessel that is not made for it, or above its rating.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("pressure-ferment-over-limit", Group::Ferment, Level::Error, Check::RecipeAndLog(plan, log), DOC).safety();


const DOC: Doc = Doc {
    catches: "Pressure in a vessel that is not made for it, or above its rating.",
    matters: "A vessel that bursts under pressure kills. Glass and plastic buckets are never pressure vessels.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
  fermenter glass
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
  spund     0.5 bar from 1.018"#,
    instead: r#"brewhouse shed
  mash efficiency     75 %
  fermenter rating    2 bar

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
  fermenter steel
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
  spund     0.5 bar from 1.018"#,
    limits: "The rating comes from the brewhouse (`fermenter rating`). Without one any pressure is a warning; in \
              glass it is always an error.",
    sources: "The maker's rating; common practice.",
};

struct Pressure {
    bar: f64,
    rating: Option<f64>,
    glass: bool,
}

fn judge(recipe: &recipe::Recipe, bar: f64) -> Option<(Grade, Pressure)> {
    if bar <= 0.0 {
        return None;
    }
    let glass = recipe.fermenter.as_ref().is_some_and(|(kind, _)| &**kind == "glass");
    let rating = look::house(recipe, Keyword::FermenterRating);
    let grade = match rating {
        _ if glass => Grade::ERROR,
        Some(rating) if bar > rating => Grade::ERROR,
        Some(_) => return None,
        None => Grade::WARNING,
    };
    Some((grade, Pressure { bar, rating, glass }))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let ferment = &cx.part().ferment;
    let spund = ferment.spund.as_ref().map(|(place, pressure, _)| (*place, pressure.value));
    let held = ferment.pressure.as_ref().and_then(|pressure| match pressure.origin {
        Origin::Here(place) => Some((place, pressure.value)),
        Origin::Library(..) => Some((ferment.place?, pressure.value)),
    });
    for (place, bar) in spund.into_iter().chain(held) {
        if let Some((grade, detail)) = judge(cx.recipe, bar) {
            hits.recipe(grade, place, detail);
        }
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let packaged = cx.first(|event| matches!(event, Event::Package { .. })).unwrap_or(cx.log.entries.len());
    for entry in cx.log.entries.iter().take(packaged) {
        let Event::Pressure(bar) = entry.event else { continue };
        // What the plan already says is said there.
        let planned = plan.part().ferment.spund.is_some() || plan.part().ferment.pressure.is_some();
        if let Some((grade, detail)) = judge(plan.recipe, bar)
            && (!planned || detail.rating.is_some())
        {
            hits.log(grade, entry.place, detail);
        }
    }
}

impl Detail for Pressure {
    fn message(&self, say: Say) -> Message {
        let bar = say.pressure(self.bar);
        let found = match (self.glass, self.rating) {
            (true, _) => format!("{bar} in a glass fermenter"),
            (false, Some(rating)) => format!("{bar} in a fermenter rated for {}", say.pressure(rating)),
            (false, None) => format!("{bar} in a fermenter whose rating is not written"),
        };
        Message::new(
            found,
            "a vessel that bursts under pressure injures and kills",
            if self.glass {
                "never put glass under pressure; use a vessel its maker rates for it, with a relief valve"
            } else {
                "keep below the rating stamped on the vessel, fit a working relief valve, and write `fermenter rating` in the brewhouse"
            },
        )
    }
}
