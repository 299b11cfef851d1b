//! A mash step cooler than the one before it.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("mash-steps-out-of-order", Group::Mash, Level::Warning, Check::Recipe(check), DOC)
        .whole(&[BlockKind::Mash])
        .root()
        .exempt(&["reverse-step"])
        .limits(&[&STEP_BACK]);

static STEP_BACK: Limit = Limit::at_most(
    "mash-step-back",
    1.0,
    "K",
    "how much cooler than the one before a rest may be",
    "common practice, no source",
);

const DOC: Doc = Doc {
    catches: "A rest that is cooler than the rest before it.",
    matters: "Hot water and heat only warm a mash. A rest further down the list that is cooler cannot be reached, so the list \
              is probably in the wrong order.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      55 C for 10 min
  rest      50 C for 10 min
  rest      67 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      50 C for 10 min
  rest      55 C for 10 min
  rest      67 C for 60 min"#,
    limits: "Rests of a decoction's part and of a cereal cook are not compared; a rest whose label says `cool` is one that is meant.",
    sources: "Heat balance of a mash: nothing in an infusion or heated mash takes heat away. Common practice, no source.",
};

struct OutOfOrder {
    before: (Place, f64),
    after: f64,
    order: Vec<Place>,
    sorted: Vec<Place>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let rests: Vec<(Place, f64, bool)> = cx
        .recipe
        .mash
        .steps
        .iter()
        .filter_map(|step| match step {
            MashStep::Rest { place, temperature, label, .. } => {
                let meant = label.as_ref().is_some_and(|label| label.to_lowercase().contains("cool"));
                Some((*place, temperature.value, meant))
            }
            _ => None,
        })
        .collect();
    for pair in rests.windows(2) {
        let [(place, before, _), (later, after, meant)] = pair else { continue };
        if before - after > cx.limit(&STEP_BACK) && !meant {
            let mut sorted = rests.clone();
            sorted.sort_by(|a, b| a.1.total_cmp(&b.1));
            let detail = OutOfOrder {
                before: (*place, *before),
                after: *after,
                order: rests.iter().map(|rest| rest.0).collect(),
                sorted: sorted.iter().map(|rest| rest.0).collect(),
            };
            hits.recipe(Grade::WARNING, *later, detail);
            return;
        }
    }
}

impl Detail for OutOfOrder {
    fn is_cause(&self) -> bool {
        false
    }
    fn absorbs(&self) -> &'static [&'static str] {
        &["strike-temperature-mismatch", "mash-temp-off-plan"]
    }
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "the rest at {} follows one at {}",
                say.temperature(self.after),
                say.temperature(self.before.1)
            ),
            "a mash that is infused or heated only gets warmer",
            "put the rests in the order of their temperatures; a mash that is cooled on purpose takes the tag reverse-step",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.before.0), "the warmer rest".into())]
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        // Whole lines change places, so that a comment stays with its rest.
        let line = |place: &Place| texts.line(At::Recipe(*place));
        let edits = self
            .order
            .iter()
            .zip(&self.sorted)
            .filter(|(old, new)| old != new)
            .filter_map(|(old, new)| Some((line(old)?, texts.at(line(new)?).to_owned())))
            .collect();
        vec![Mend { title: "sort the rests by temperature".into(), safe: false, edits }]
    }
}
