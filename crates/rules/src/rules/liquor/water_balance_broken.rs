//! Mash and sparge volumes that do not give the volume the boil needs.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("water-balance-broken", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor, BlockKind::Boil, BlockKind::Recipe]).limits(&[&LEAST, &LITRES, &SHARE]);

static LEAST: Limit = Limit::at_least("mash-liquor-least", 1.5, "L/kg", "what the sparge leaves for the mash", "as `mash-thickness-error`; common practice, no source");
static LITRES: Limit = Limit::at_most("water-balance-litres", 1.0, "L", "how far the water may be off; the larger of the two counts", "common practice, no source");
static SHARE: Limit = Limit::at_most("water-balance-share", 4.0, "%", "how far the water may be off, of the pre-boil volume", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Mash and sparge volumes that do not give the volume the boil needs.",
    matters: "The kettle starts too full or too empty, and gravity and bitterness come out accordingly.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
  sparge    22 L
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  mash      12 L
  sparge    14.5 L
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Compared with the brewhouse's absorption and dead space, or the usual ones, in cold volumes. Only \
              where both volumes are written, or all the water is in the mash. A hint where no brewhouse is named: its losses are guessed.",
    sources: "Mass balance; 1.0 L/kg of absorption is common practice, no source, where the brewhouse states none.",
};

struct Unbalanced {
    water: f64,
    needed: f64,
    sparge: Option<(Place, f64)>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    sparge_takes_all(cx, hits);
    let liquor = &cx.recipe.liquor;
    let no_sparge = cx.calc.is_no_sparge();
    let (Some(mash), Some(needed)) = (&liquor.mash, cx.figure(FigureId::TotalLiquor)) else { return };
    if (liquor.sparge.is_none() && !no_sparge) || cx.recipe.from.is_some() || cx.recipe.mash.runnings.is_some() {
        return;
    }
    let (Some(mash_litres), Some(sparge_litres)) =
        (cx.figure(FigureId::MashLiquor), cx.figure(FigureId::SpargeLiquor))
    else {
        return;
    };
    let steps = cx.calc.mash_steps().unwrap_or_default();
    let infused: f64 = steps.iter().skip(1).filter(|step| step.by == Method::Infusion).filter_map(|step| step.volume).sum();
    let written_infusions = cx.recipe.mash.steps.iter().any(|step| matches!(step, MashStep::Infuse { .. }));
    let cooked: f64 = cx.recipe.cooks.iter().filter_map(|cook| cook.volume.as_ref()).map(|volume| volume.value).sum();
    let water = mash_litres + sparge_litres + if written_infusions { 0.0 } else { infused } + cooked;
    let pre_boil = cx.figure(FigureId::PreBoilVolume).unwrap_or(needed);
    let allowed = cx.limit(&LITRES).max(cx.limit(&SHARE) / 100.0 * pre_boil);
    // Without a brewhouse losses and evaporation are no more than usual ones.
    let severity = if look::names_house(cx.recipe) { Severity::Warning } else { Severity::Hint };
    let bounds = [(allowed, severity)];
    if let Some(grade) = Grade::above((water - needed).abs(), || cx.spread(FigureId::TotalLiquor), &bounds) {
        let sparge = liquor.sparge.as_ref().map(|sparge| (sparge.place, sparge_litres + needed - water));
        let place = sparge.map_or(mash.place, |(place, _)| place);
        hits.recipe(grade, place, Unbalanced { water, needed, sparge: sparge.filter(|(_, litres)| *litres > 0.0) });
    }
}

/// Where the mash liquor is left to be computed, the sparge has to leave some.
fn sparge_takes_all(cx: &RecipeCx, hits: &mut Hits) {
    if let Some((place, detail)) = nothing_left(cx) {
        hits.recipe(Grade::WARNING, place, detail);
    }
}

/// The sparge that leaves too little for the mash.
pub(crate) fn nothing_left(cx: &RecipeCx) -> Option<(Place, NothingLeft)> {
    let liquor = &cx.recipe.liquor;
    let (None, Some(sparge)) = (&liquor.mash, &liquor.sparge) else { return None };
    let (needed, kg) = (cx.figure(FigureId::TotalLiquor)?, cx.figure(FigureId::GristWeight)?);
    if cx.recipe.from.is_some() || cx.recipe.mash.runnings.is_some() || !look::mashes(cx.recipe) {
        return None;
    }
    let litres = look::litres(&sparge.amount)?;
    let left = needed - litres;
    (left < cx.limit(&LEAST) * kg).then_some((sparge.place, NothingLeft { sparge: litres, needed, kg }))
}

pub(crate) struct NothingLeft {
    sparge: f64,
    needed: f64,
    kg: f64,
}

impl Detail for NothingLeft {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "batch, boil and losses need {} of water, and {} of it is for the sparge",
                say.volume(self.needed),
                say.volume(self.sparge)
            ),
            format!("the rest does not wet {} of grain", say.mass(self.kg)),
            format!("sparge with about {}", say.volume((self.needed - 3.0 * self.kg).max(0.0))),
        )
    }
}

impl Detail for Unbalanced {
    fn message(&self, say: Say) -> Message {
        let off = self.water - self.needed;
        let relation = if off > 0.0 { "more" } else { "less" };
        Message::new(
            format!(
                "{} of water is {} {relation} than batch, boil and losses need",
                say.volume(self.water),
                say.volume(off.abs())
            ),
            "the kettle starts at another volume, and gravity and bitterness follow it",
            match self.sparge {
                Some((_, litres)) => format!("sparge with about {}", say.volume(litres)),
                None => format!("take {} in all", say.volume(self.needed)),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let Some((place, litres)) = self.sparge else { return Vec::new() };
        let text = say.volume(litres);
        let value = texts.value(At::Recipe(place));
        value.map(|value| Mend::proposed(format!("sparge with {text}"), value, text)).into_iter().collect()
    }
}
