//! More hops at one stage than bring any more flavour.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("hop-dose-high", Group::Boil, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Boil, BlockKind::Recipe, BlockKind::Stand, BlockKind::Ferment]).outcome().limits(&[&HOT, &HOT_WARNING, &DRY, &DRY_WARNING]);

static HOT: Limit = Limit::at_most("kettle-hops-hint", 12.0, "g/L", "all kettle hops", "common practice, no source");
static HOT_WARNING: Limit = Limit::at_most("kettle-hops", 20.0, "g/L", "all kettle hops", "common practice, no source");
static DRY: Limit = Limit::at_most("dry-hops-hint", 8.0, "g/L", "all dry hops", "Shellhammer, talk on dry-hop dose");
static DRY_WARNING: Limit = Limit::at_most("dry-hops", 16.0, "g/L", "all dry hops", "common practice, no source");

const DOC: Doc = Doc {
    catches: "More hops at one stage than bring any more flavour.",
    matters: "Above about 8 g/L dry hops bring little more aroma, and all hops soak up beer. A very large dose is \
              mostly a slipped unit.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
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
  360 g     Fuggle on day 4 for 3 d"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
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
  100 g     Fuggle on day 4 for 3 d"#,
    limits: "By the litre of the batch, all hops of a stage together. One addition beyond 30 g/L is left to \
              `suspicious-magnitude`.",
    sources: "Shellhammer, talk on dry-hop dose: 8 g/L; the other limits are common practice, no source.",
};

struct Dose {
    by_litre: f64,
    dry: bool,
    usual: f64,
    litres: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(litres) = cx.figure(FigureId::BatchVolume).filter(|litres| *litres > 0.0) else { return };
    let stage = |hits: &mut Hits, dry: bool, lines: Vec<(Place, f64)>, hint: &Limit, warning: &Limit| {
        let kg: f64 = lines.iter().map(|(_, kg)| kg).sum();
        let by_litre = kg * 1000.0 / litres;
        let bounds = [(cx.limit(hint), Severity::Hint), (cx.limit(warning), Severity::Warning)];
        let largest = lines.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        if let (Some((place, _)), Some(grade)) = (largest, Grade::above(by_litre, || 0.0, &bounds)) {
            hits.recipe(grade, *place, Dose { by_litre, dry, usual: cx.limit(hint), litres });
        }
    };
    let is_hop = |thing: &Thing| thing.kind() == Some(BlockKind::Hop);
    let kettle = cx.recipe.additions.iter().filter(|line| is_hop(&line.thing));
    let kettle = kettle.filter_map(|line| Some((line.place, look::kg(&line.amount)?))).collect();
    stage(hits, false, kettle, &HOT, &HOT_WARNING);
    let dry = cx.part().ferment.additions.iter().filter(|line| is_hop(&line.thing));
    let dry = dry.filter_map(|line| Some((line.place, look::kg(&line.amount)?))).collect();
    stage(hits, true, dry, &DRY, &DRY_WARNING);
}

impl Detail for Dose {
    fn message(&self, say: Say) -> Message {
        let stage = if self.dry { "dry hops" } else { "kettle hops" };
        Message::new(
            format!("the {stage} come to {:.1} g/L", self.by_litre),
            if self.dry {
                "beyond 8 g/L they bring little more aroma, and soak up beer"
            } else {
                "they soak up wort and bring a vegetal taste"
            },
            format!("about {} in all is plenty", say.small_mass(self.usual * self.litres / 1000.0)),
        )
    }
}
