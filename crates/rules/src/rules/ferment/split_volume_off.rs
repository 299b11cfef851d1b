//! Parts of a batch that are more than the batch.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("split-volume-off", Group::Ferment, Level::Warning, Check::Recipe(check), DOC)
        .whole(&[BlockKind::Recipe])
        .limits(&[&MOST]);

static MOST: Limit = Limit::at_most(
    "split-volume",
    105.0,
    "%",
    "the parts together, of the batch",
    "the parts cannot be more than the whole; the rest is what a volume is read to",
);

const DOC: Doc = Doc {
    catches: "Parts of a split batch that come to more than the batch.",
    matters: "Pitch, dry hops and packages of the parts are reckoned by their volumes, and there is not so much wort.",
    example: r#"recipe "Harbour Pair"
  batch     20 L
grist
  4 kg      pale ale malt
split "one" 10 L
pitch
  90 billion cells  English ale yeast [72 %]
split "two" 12 L
pitch
  110 billion cells  Belgian pale ale"#,
    instead: r#"recipe "Harbour Pair"
  batch     20 L
grist
  4 kg      pale ale malt
split "one" 10 L
pitch
  90 billion cells  English ale yeast [72 %]
split "two" 10 L
pitch
  90 billion cells  Belgian pale ale"#,
    limits: "Parts that come to less are no finding: some wort may be left for a starter.",
    sources: "Sums.",
};

struct Split {
    parts: f64,
    batch: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(batch) = cx.recipe.batch.as_ref().map(|batch| batch.value).filter(|litres| *litres > 0.0) else { return };
    let parts = || cx.recipe.parts.iter().filter_map(|part| Some((part.volume.as_ref()?.value, part.label.as_ref()?.1)));
    let sum: f64 = parts().map(|(litres, _)| litres).sum();
    // Water topped up to the fermenter may come after the split.
    if cx.recipe.liquor.top_up_fermenter.is_some() || sum <= cx.limit(&MOST) / 100.0 * batch {
        return;
    }
    if let Some((_, place)) = parts().max_by(|a, b| a.0.total_cmp(&b.0)) {
        hits.recipe(Grade::WARNING, place, Split { parts: sum, batch });
    }
}

impl Detail for Split {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the parts come to {}, the batch is {}", say.volume(self.parts), say.volume(self.batch)),
            "pitch and package of a part are reckoned by its volume",
            "mend the volume of the part, or of the batch",
        )
    }
}
