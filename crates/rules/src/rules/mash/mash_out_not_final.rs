//! A rest after the mash-out.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("mash-out-not-final", Group::Mash, Level::Warning, Check::Recipe(check), DOC)
        .whole(&[BlockKind::Mash])
        .root()
        .exempt(&["reverse-step"])
        .absorbs(&["mash-steps-out-of-order", "rest-destroys-needed-enzyme"])
        .limits(&[&MASH_OUT, &LATER]);

static MASH_OUT: Limit = Limit::at_least(
    "mash-out-temperature",
    75.0,
    "C",
    "a rest this hot is a mash-out",
    "MEBAK R-100.07.283: amylases lose their activity between 70 and 80 C",
);
static LATER: Limit = Limit::at_least(
    "rest-after-mash-out",
    74.0,
    "C",
    "a cooler rest after the mash-out still wants enzymes",
    "common practice, no source",
);

const DOC: Doc = Doc {
    catches: "A rest for the amylases after the mash has been as hot as a mash-out.",
    matters: "At mash-out the amylases are spent within minutes. Whatever the later rest was meant to do, nothing is left to do it.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      76 C for 10 min
  rest      67 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      67 C for 60 min
  rest      76 C for 10 min"#,
    limits: "Only rests of the main mash: a decoction's part and a cereal cook may be as hot as they like.",
    sources: "MEBAK R-100.07.283 for the temperatures at which amylases lose their activity.",
};

struct AfterMashOut {
    hot: (Place, f64),
    later: (Place, f64),
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let mut hot: Option<(Place, f64)> = None;
    for step in &cx.recipe.mash.steps {
        let MashStep::Rest { place, temperature, .. } = step else { continue };
        if let Some(hot) = hot
            && temperature.value < cx.limit(&LATER)
        {
            hits.recipe(Grade::WARNING, *place, AfterMashOut { hot, later: (*place, temperature.value) });
            return;
        }
        if temperature.value >= cx.limit(&MASH_OUT) && hot.is_none() {
            hot = Some((*place, temperature.value));
        }
    }
}

impl Detail for AfterMashOut {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "the rest at {} comes after one at {}",
                say.temperature(self.later.1),
                say.temperature(self.hot.1)
            ),
            format!("above {} the amylases are spent within minutes, so the later rest makes no more sugar", say.temperature(75.0)),
            "put the mash-out last",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.hot.0), "the mash-out".into())]
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let line = |place: Place| texts.line(At::Recipe(place));
        let (Some(hot), Some(later)) = (line(self.hot.0), line(self.later.0)) else { return Vec::new() };
        let edits = vec![(hot, texts.at(later).to_owned()), (later, texts.at(hot).to_owned())];
        vec![Mend { title: "let the two rests change places".into(), safe: false, edits }]
    }
}
