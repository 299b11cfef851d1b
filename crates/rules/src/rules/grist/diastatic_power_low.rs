//! A mash whose malts together bring too little power to turn their starch to sugar.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("diastatic-power-low", Group::Grist, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist]).limits(&[&LOW, &HINT, &UNMALTED]);

static LOW: Limit = Limit::at_least("diastatic-power", 30.0, "lintner", "mean diastatic power of the mash", "common practice, no source");
static HINT: Limit = Limit::at_least("diastatic-power-hint", 40.0, "lintner", "mean diastatic power of the mash", "article on degrees Lintner");
static UNMALTED: Limit = Limit::at_most("unmalted-share", 20.0, "%", "raw or flaked share that raises the finding by one level", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash whose malts together bring too little power to turn their starch to sugar.",
    matters: "Conversion is slow or stops: haze, a stuck fermentation, and starch that feeds whatever comes later.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  1.2 kg    pale ale malt
  2.8 kg    brown malt
mash
  rest      66 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3.6 kg    pale ale malt
  400 g     brown malt
mash
  rest      66 C for 60 min"#,
    limits: "The mean over what holds starch, by mass: crystal and roasted malt are left out, unmalted grain counts as none. Raw or flaked grain \
              above a fifth of the mash raises the finding by one level. Exempt with an enzyme on the list. Silent \
              where a malt gives no figure.",
    sources: "An article on degrees Lintner for 40 °L; 30 as the floor is common practice. °L = (WK + 16) / 3.5.",
};

struct TooLow {
    lintner: f64,
    unmalted: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    if !look::mashes(recipe) || look::has_enzyme(recipe) {
        return;
    }
    let Some(mean) = cx.figure(FigureId::DiastaticPower) else { return };
    // Crystal and roasted malt and hulls hold no starch that wants turning.
    let starchy = |line: &recipe::GristLine| {
        let form = look::form(&line.thing);
        !form.contains("caramel") && !look::is_roasted(&line.thing) && !look::is_hulls(&line.thing)
    };
    let Some((starch, _)) = look::mashed_share(cx, starchy) else { return };
    let wk = if starch > 0.0 { mean / starch } else { 0.0 };
    // The scales part near nothing: no power is none on either.
    let lintner = if wk < 20.0 {
        wk / 20.0 * quantity::scale::lintner_from_wk(quantity::typed::DiastaticPower::from_wk(20.0))
    } else {
        quantity::scale::lintner_from_wk(quantity::typed::DiastaticPower::from_wk(wk))
    };
    let unmalted = look::mashed_share(cx, |line| look::is_unmalted(&line.thing) && !look::is_hulls(&line.thing));
    let share = unmalted.map_or(0.0, |(share, _)| share);
    let raised = share * 100.0 > cx.limit(&UNMALTED);
    let (low, hint) = if raised { (Severity::Error, Severity::Warning) } else { (Severity::Warning, Severity::Hint) };
    let grade = if lintner <= 0.5 {
        Some(Grade::ERROR)
    } else {
        Grade::below(lintner, || 0.0, &[(cx.limit(&LOW), low), (cx.limit(&HINT), hint)])
    };
    if let Some(grade) = grade {
        let place = recipe.grist_place.unwrap_or(recipe.name_place);
        hits.recipe(grade, place, TooLow { lintner, unmalted: share });
    }
}

impl Detail for TooLow {
    fn message(&self, say: Say) -> Message {
        let raw = if self.unmalted > 0.01 { format!(" with {} unmalted grain", say.share(self.unmalted)) } else { String::new() };
        Message::new(
            format!("the mash has {:.0} lintner on average{raw}", self.lintner),
            "below 40 conversion is slow, below 30 it may not finish",
            "take more pale or lager malt in place of what brings no enzymes, rest longer, or add an enzyme",
        )
    }
}
