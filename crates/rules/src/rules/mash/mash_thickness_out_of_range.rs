//! A mash too thick to stir, or with sparge far thinner than any in use.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mash-thickness-out-of-range", Group::Mash, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor, BlockKind::Recipe]).limits(&[&HINT, &WARNING, &ERROR, &THIN, &NO_SPARGE]);

static HINT: Limit = Limit::at_least("mash-thickness-hint", 2.2, "L/kg", "water on grain", "common practice, no source");
static WARNING: Limit = Limit::at_least("mash-thickness-warning", 2.0, "L/kg", "water on grain", "common practice, no source");
static ERROR: Limit = Limit::at_least("mash-thickness-error", 1.5, "L/kg", "water on grain", "common practice, no source");
static THIN: Limit = Limit::at_most("mash-thinness", 5.0, "L/kg", "water on grain with a sparge, later infusions included", "a trade guide: 1.7 to 5.1 in use");
static NO_SPARGE: Limit = Limit::at_most("mash-thinness-no-sparge", 9.0, "L/kg", "water on grain without a sparge", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash too thick to stir, or with sparge far thinner than any in use.",
    matters: "A very thick mash has dry pockets that never convert; a very thin one leaves enzymes short-lived and \
              little water to sparge with.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      5 L
  sparge    19 L"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
  sparge    12 L"#,
    limits: "Later infusions count with the strike water, but for that to the mash-out. Without a sparge, or for \
              a beer below 1.040, a thin mash is normal up to 9 L/kg.",
    sources: "Published spread 1.7 to 5.1 L/kg in a trade guide on mash consistency; the limits are common \
              practice, no source.",
};

/// From so many times the limit of a mash without a sparge on, grain or water is wrong: common practice.
const SLIP: f64 = 1.1;

struct Thickness {
    value: f64,
    litres: f64,
    kg: f64,
    /// So thick or thin that grain or water is wrong.
    slip: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let (Some(thickness), Some(litres)) = (cx.figure(FigureId::MashThickness), cx.figure(FigureId::MashLiquor)) else {
        return;
    };
    if thickness <= 0.0 {
        return;
    }
    // That the sparge leaves too little for the mash is said there.
    if crate::rules::liquor::water_balance_broken::nothing_left(cx).is_some() {
        return;
    }
    let kg = litres / thickness;
    let infused: f64 = cx.calc.mash_steps().map_or(0.0, |steps| {
        // What raises the mash to its mash-out is as good as sparged.
        let counts = |step: &&figures::StepFigure| step.by == Method::Infusion && step.to < 75.0;
        steps.iter().skip(1).filter(counts).filter_map(|step| step.volume).sum()
    });
    let last = thickness + infused / kg;
    let spread = || cx.spread(FigureId::MashThickness);
    let thick = [
        (cx.limit(&HINT), Severity::Hint),
        (cx.limit(&WARNING), Severity::Warning),
        (cx.limit(&ERROR), Severity::Error),
    ];
    let grade = Grade::below(thickness, spread, &thick).or_else(|| {
        let weak = cx.figure(FigureId::Og).is_some_and(|og| og < 1.040);
        let thin = if cx.calc.is_no_sparge() || weak {
            [(cx.limit(&NO_SPARGE), Severity::Hint)]
        } else {
            [(cx.limit(&THIN), Severity::Warning)]
        };
        Grade::above(last, spread, &thin)
    });
    let place = cx.recipe.liquor.mash.as_ref().map(|mash| mash.place);
    // Water that is not in the mash is in the sparge.
    let place = place.or(cx.recipe.liquor.sparge.as_ref().map(|sparge| sparge.place)).or(cx.recipe.mash.place);
    if let (Some(grade), Some(place)) = (grade, place) {
        let value = if thickness < 3.0 { thickness } else { last };
        let slip = thickness < cx.limit(&ERROR) || last > SLIP * cx.limit(&NO_SPARGE);
        hits.recipe(grade, place, Thickness { value, litres: litres + infused, kg, slip });
    }
}

impl Detail for Thickness {
    fn is_cause(&self) -> bool {
        self.slip
    }
    fn taints(&self) -> &'static [BlockKind] {
        &[BlockKind::Grist, BlockKind::Liquor, BlockKind::Mash]
    }
    fn message(&self, say: Say) -> Message {
        let thick = self.value < 3.0;
        Message::new(
            format!("{} of water on {} of grain are {:.1} L/kg", say.volume(self.litres), say.mass(self.kg), self.value),
            if thick {
                "a mash that thick cannot be stirred and keeps dry pockets"
            } else {
                "so thin a mash leaves little water to sparge with and enzymes that fade sooner"
            },
            format!("about {} is usual", say.volume(3.0 * self.kg)),
        )
    }
}
