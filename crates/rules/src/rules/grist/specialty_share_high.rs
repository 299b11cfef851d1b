//! More roasted, crystal, acidulated or peat-smoked malt than beers usually bear.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("specialty-share-high", Group::Grist, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Grist]).outcome().limits(&[&ROASTED, &ROASTED_WARNING, &CRYSTAL, &CRYSTAL_WARNING, &ACID, &ACID_WARNING, &PEAT, &PEAT_WARNING]);

static ROASTED: Limit = Limit::at_most("roasted-share-hint", 12.0, "%", "roasted malt of 500 EBC and more", "common practice, no source");
static ROASTED_WARNING: Limit = Limit::at_most("roasted-share", 15.0, "%", "roasted malt of 500 EBC and more", "common practice, no source");
static CRYSTAL: Limit = Limit::at_most("crystal-share-hint", 15.0, "%", "crystal and caramel malt", "common practice, no source");
static CRYSTAL_WARNING: Limit = Limit::at_most("crystal-share", 25.0, "%", "crystal and caramel malt", "common practice, no source");
static ACID: Limit = Limit::at_most("acidulated-share-hint", 5.0, "%", "acidulated malt", "common practice, no source");
static ACID_WARNING: Limit = Limit::at_most("acidulated-share", 8.0, "%", "acidulated malt", "common practice, no source");
static PEAT: Limit = Limit::at_most("peat-share-hint", 5.0, "%", "peat-smoked malt", "common practice, no source");
static PEAT_WARNING: Limit = Limit::at_most("peat-share", 10.0, "%", "peat-smoked malt", "common practice, no source");

const DOC: Doc = Doc {
    catches: "More roasted, crystal, acidulated or peat-smoked malt than beers usually bear.",
    matters: "Too much roast is acrid, too much crystal sticky, and both lower the mash pH.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3 kg      pale ale malt
  800 g     black malt
mash
  rest      66 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3.6 kg    pale ale malt
  200 g     black malt
mash
  rest      66 C for 60 min"#,
    limits: "Shares of the grist by mass. Acidulated malt is not judged in sours.",
    sources: "Common practice, no source.",
};

/// From so many times the limit on, the whole grist is in doubt: common practice, no source.
const SLIP: f64 = 1.5;

struct TooMuch {
    kind: &'static str,
    share: f64,
    usual: f64,
    /// So much that it is rather a slip than a taste.
    slip: bool,
    effect: &'static str,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let sour = cx.tagged("kettle-sour") || cx.tagged("mixed-culture");
    type Is = fn(&Thing) -> bool;
    let kinds: [(&'static str, &'static str, &'static Limit, &'static Limit, Is); 4] = [
        ("roasted malt", "acrid and sharp", &ROASTED, &ROASTED_WARNING, look::is_roasted),
        ("crystal malt", "sticky and sweet", &CRYSTAL, &CRYSTAL_WARNING, |thing| look::form(thing).contains("caramel") && !look::is_roasted(thing)),
        ("acidulated malt", "sour, with a mash that hardly converts", &ACID, &ACID_WARNING, |thing| look::form(thing).contains("acid")),
        ("peat-smoked malt", "of nothing but smoke", &PEAT, &PEAT_WARNING, |thing| look::names(thing).contains("peat")),
    ];
    for (kind, effect, hint, warning, is) in kinds {
        if sour && kind.starts_with("acid") {
            continue;
        }
        let (mut share, mut heaviest) = (0.0, None::<(f64, Place)>);
        for (line, part) in cx.recipe.grist.iter().zip(cx.grist()) {
            if line.thing.kind() != Some(BlockKind::Malt) || !is(&line.thing) {
                continue;
            }
            let Some(own) = part.share else { return };
            share += own;
            if heaviest.is_none_or(|(most, _)| own > most) {
                heaviest = Some((own, line.place));
            }
        }
        let bounds = [(cx.limit(hint), Severity::Hint), (cx.limit(warning), Severity::Warning)];
        if let (Some((_, place)), Some(grade)) = (heaviest, Grade::above(share * 100.0, || 0.0, &bounds)) {
            hits.recipe(grade, place, TooMuch {
                kind,
                share,
                usual: cx.limit(hint),
                slip: share * 100.0 >= SLIP * cx.limit(warning),
                effect,
            });
        }
    }
}

impl Detail for TooMuch {
    fn is_cause(&self) -> bool {
        self.slip
    }
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} of the grist is {}", say.share(self.share), self.kind),
            format!("the beer tastes {}", self.effect),
            format!("keep it to about {}", say.percent(self.usual)),
        )
    }
}
