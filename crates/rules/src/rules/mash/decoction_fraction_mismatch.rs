//! A decoction whose written volume does not bring the mash to the next rest.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("decoction-fraction-mismatch", Group::Mash, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Liquor]).limits(&[&OFF]);

static OFF: Limit = Limit::at_most("decoction-off", 10.0, "%", "how far the part drawn may be from what is needed, of the mash", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A decoction whose written volume does not bring the mash to the next rest.",
    matters: "The next rest comes out too cool or too hot; neither shows before the part is back in the tun.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
liquor
  mash      14 L
mash by decoction
  rest      52 C for 10 min
  decoct    2 L thick boil 10 min
  rest      64 C for 40 min by decoction
boil 90 min
  20 g      Saaz [alpha 3.5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
liquor
  mash      14 L
mash by decoction
  rest      52 C for 10 min
  decoct    thick boil 10 min
  rest      64 C for 40 min by decoction
boil 90 min
  20 g      Saaz [alpha 3.5 %] at 60 min"#,
    limits: "Only where a volume is written; without one it is computed.",
    sources: "Heat balance, computed; the limit is common practice, no source.",
};

struct Fraction {
    written: f64,
    needed: f64,
    mash: f64,
    to: f64,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let written = |step: &MashStep| matches!(step, MashStep::Decoct { volume: Some(_), .. });
    if !cx.recipe.mash.steps.iter().any(written) {
        return;
    }
    // What is needed is what is computed where no volume is written.
    let mut open = cx.recipe.clone();
    for step in &mut open.mash.steps {
        if let MashStep::Decoct { volume, .. } = step {
            *volume = None;
        }
    }
    let computed = figures::Calc::new(&open, cx.calc.settings);
    let Ok(steps) = computed.mash_steps() else { return };
    let mut drawn: Option<(Place, f64)> = None;
    for (at, step) in cx.recipe.mash.steps.iter().enumerate() {
        match step {
            MashStep::Decoct { place, volume: Some(Amount::Of(quant)), .. } => drawn = Some((*place, quant.value)),
            MashStep::Rest { .. } => {
                let Some((place, written)) = drawn.take() else { continue };
                let Some(figure) = steps.iter().find(|figure| figure.step == at) else { continue };
                let Some(needed) = figure.volume else { continue };
                let mash = figure.mash_volume;
                if mash > 0.0 && (written - needed).abs() / mash * 100.0 > cx.limit(&OFF) {
                    hits.recipe(Grade::WARNING, place, Fraction { written, needed, mash, to: figure.to, place });
                }
            }
            _ => {}
        }
    }
}

impl Detail for Fraction {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} of {} of mash is drawn, {} bring it to {}",
                say.volume(self.written),
                say.volume(self.mash),
                say.volume(self.needed),
                say.temperature(self.to)
            ),
            "the next rest misses its temperature",
            format!("draw about {}; return it in portions and stop when the temperature is right", say.volume(self.needed)),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let volume = say.volume(self.needed);
        let value = texts.value(At::Recipe(self.place));
        value.map(|value| Mend::proposed(format!("draw {volume}"), value, volume)).into_iter().collect()
    }
}
