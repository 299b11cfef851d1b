//! A mash with so little husk that it will hardly run off.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("huskless-share-high", Group::Grist, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist]).exempt(&["bag"]).limits(&[&HINT, &WARNING, &RYE_HINT, &RYE_WARNING]);

static HINT: Limit = Limit::at_most("huskless-share-hint", 60.0, "%", "huskless share of the mash", "common practice, no source");
static WARNING: Limit = Limit::at_most("huskless-share", 70.0, "%", "huskless share of the mash", "common practice, no source");
static RYE_HINT: Limit = Limit::at_most("rye-oat-share-hint", 20.0, "%", "rye and oats in the mash", "common practice, no source");
static RYE_WARNING: Limit = Limit::at_most("rye-oat-share", 30.0, "%", "rye and oats in the mash", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A mash with so little husk that it will hardly run off.",
    matters: "Wheat, rye, oats without hulls, maize, rice and flakes have nothing to filter through. The bed sets.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  1 kg      pale ale malt
  3 kg      wheat malt
mash
  rest      66 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  1.9 kg    pale ale malt
  1.9 kg    wheat malt
mash
  rest      66 C for 60 min"#,
    limits: "Exempt with hulls of 5 % of the huskless mass, and with the tag bag.",
    sources: "Common practice, no source: the trade adds hulls above half.",
};

/// Grain without a husk.
const HUSKLESS: &[look::Word] =
    &look::any_of(["wheat", "rye", "spelt", "corn", "maize", "rice", "sorghum", "naked"]);

struct Huskless {
    share: f64,
    rye_oats: f64,
    hulls: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let huskless = look::mashed_share(cx, |line| {
        let grain = look::grain(&line.thing);
        (grain.contains_any(HUSKLESS) || look::is_unmalted(&line.thing)) && !look::is_hulls(&line.thing)
    });
    let Some((share, place)) = huskless else { return };
    let rye_oats = look::mashed_share(cx, |line| {
        let grain = look::grain(&line.thing);
        (grain.contains("rye") || grain.contains("oat")) && !look::is_hulls(&line.thing)
    })
    .map_or(0.0, |(share, _)| share);
    let mass = |hulls: bool| -> f64 {
        let lines = cx.recipe.grist.iter().zip(cx.grist());
        lines.filter(|(line, _)| look::is_mashed(line) && look::is_hulls(&line.thing) == hulls).filter_map(|(_, part)| part.mass).sum()
    };
    let huskless = share * (mass(false) + mass(true));
    if mass(true) >= 0.05 * huskless {
        return;
    }
    let grade = |share: f64, hint, warning| {
        Grade::above(share * 100.0, || 0.0, &[(cx.limit(hint), Severity::Hint), (cx.limit(warning), Severity::Warning)])
    };
    let grades = [grade(share, &HINT, &WARNING), grade(rye_oats, &RYE_HINT, &RYE_WARNING)];
    if let Some(grade) = grades.into_iter().flatten().reduce(Grade::worse) {
        hits.recipe(grade, place, Huskless { share, rye_oats, hulls: 0.05 * huskless });
    }
}

impl Detail for Huskless {
    fn message(&self, say: Say) -> Message {
        let rye = if self.rye_oats > 0.2 { format!(", {} rye and oats", say.share(self.rye_oats)) } else { String::new() };
        Message::new(
            format!("{} of the mash has no husk{rye}", say.share(self.share)),
            "there is little to filter through, and the bed may set",
            format!("add {} or more of rice hulls, or mash in a bag", say.mass(self.hulls)),
        )
    }
}
