//! A grist far too heavy or too light for the batch, or hops and grist of different sizes of brew.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("batch-size-scale-mismatch", Group::Grist, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Grist, BlockKind::Recipe]).root().taints(Severity::Warning, &[BlockKind::Recipe, BlockKind::Boil, BlockKind::Liquor, BlockKind::Mash]).limits(&[&BAND]);

static BAND: Limit = Limit::within("grist-by-litre", 0.08, 0.6, "kg/L", "grist by the litre of the batch", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A grist far too heavy or too light for the batch, or hops and grist of different sizes of brew.",
    matters: "A list scaled to another volume than the batch is the commonest slip in a copied recipe.",
    example: r#"recipe "Harbour Bitter"
  batch     80 L
grist
  4 kg      pale ale malt
boil 60 min
  150 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Grist by the litre of the batch, with sugars and extracts counted by the malt they stand for.",
    sources: "Common practice, no source.",
};

struct Scale {
    by_litre: f64,
    litres: f64,
    fits: f64,
    batch: Option<Place>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(batch) = &cx.recipe.batch else { return };
    let litres = batch.value;
    if litres <= 0.0 || cx.recipe.from.is_some() || cx.recipe.mash.runnings.is_some() {
        return;
    }
    let mut kg = 0.0;
    for (line, part) in cx.recipe.grist.iter().zip(cx.grist()) {
        let (Some(mass), Some(extract)) = (part.mass, part.extract) else { return };
        // A kilogram of malt brings about 0.58 kg of extract into the kettle.
        kg += if look::is_mashed(line) { mass } else { extract / 0.58 };
    }
    if kg <= 0.0 {
        return;
    }
    let by_litre = kg / litres;
    let (low, high) = cx.band(&BAND);
    if (low..=high).contains(&by_litre) {
        return;
    }
    let place = match &batch.origin {
        Origin::Here(place) => Some(*place),
        Origin::Library(..) => None,
    };
    // An ordinary beer takes about 0.22 kg/L.
    let detail = Scale { by_litre, litres, fits: kg / 0.22, batch: place };
    hits.recipe(Grade::WARNING, cx.recipe.grist_place.unwrap_or(cx.recipe.name_place), detail);
}

impl Detail for Scale {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the grist is {:.2} kg for a litre of the batch of {}", self.by_litre, say.volume(self.litres)),
            "ordinary beers take 0.08 to 0.60 kg/L: grist and batch look made for different sizes of brew",
            format!("this grist suits about {}; scale the lists, or correct the batch", say.volume(self.fits.round())),
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        self.batch.iter().map(|place| (At::Recipe(*place), "the batch".into())).collect()
    }
}
