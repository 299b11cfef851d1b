//! Alpha acids no hop has, or a crop so old that they have faded.

use syntax::vocabulary::Flag;

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("alpha-stale-or-implausible", Group::Boil, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Boil]).root().limits(&[&ALPHA, &YEARS]);

static ALPHA: Limit = Limit::within("alpha-plausible", 1.0, 22.0, "%", "alpha acids of a hop", "common practice, no source");
static YEARS: Limit = Limit::at_most("crop-age", 2.0, "", "years since the crop", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Alpha acids no hop has, or a crop so old that they have faded.",
    matters: "Bitterness is computed from the alpha written. An old crop may hold a third less.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 46 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 4.6 %] at 60 min"#,
    limits: "Age is judged by the date of the recipe, or, where it has none, by the youngest crop in it. Extracts may hold far more alpha \
              and are exempt.",
    sources: "Garetz, Brewing Techniques 2(1), 1994, for fading; the bounds are common practice, no source.",
};

enum Alpha {
    Implausible { name: Box<str>, percent: f64, place: Place },
    Stale { name: Box<str>, years: f64 },
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let year = cx.recipe.texts.iter().find(|(key, _, _)| *key == Keyword::Date).and_then(|(_, text, _)| {
        text.trim().split('-').next()?.parse::<f64>().ok()
    });
    // Where no date is written, the hops are at least as old as the youngest crop.
    let youngest = cx.recipe.additions.iter().filter_map(|line| Some(line.thing.number(Keyword::Crop)?.value.value));
    let year = year.or_else(|| youngest.reduce(f64::max));
    for line in &cx.recipe.additions {
        if line.thing.kind() != Some(BlockKind::Hop) {
            continue;
        }
        let form = look::form(&line.thing);
        if form.contains("extract") || form.contains("iso") || line.thing.flag(Flag::Extract) || line.thing.flag(Flag::Iso) {
            continue;
        }
        let (low, high) = cx.band(&ALPHA);
        if let Some(alpha) = line.thing.number(Keyword::Alpha) {
            let percent = alpha.value.value * 100.0;
            if !(low..=high).contains(&percent) {
                let detail = Alpha::Implausible { name: look::spoken(&line.thing), percent, place: line.place };
                hits.recipe(Grade::WARNING, line.place, detail);
            }
        }
        if let (Some(year), Some(crop)) = (year, line.thing.number(Keyword::Crop)) {
            let years = year - crop.value.value;
            if years > cx.limit(&YEARS) && line.thing.fact(Keyword::Stored).is_none() {
                hits.recipe(Grade::WARNING, line.place, Alpha::Stale { name: look::spoken(&line.thing), years });
            }
        }
    }
}

impl Detail for Alpha {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Implausible { name, percent, .. } => Message::new(
                format!("{name} is written with {} of alpha acids", say.percent(*percent)),
                "no hop holds that, and the bitterness is computed from it",
                "look at the pack again: is the decimal point in its place?",
            ),
            Self::Stale { name, years } => Message::new(
                format!("the crop of {name} is at least {years:.0} years old"),
                "alpha acids fade: a third or more may be gone, and the aroma before it",
                format!("write how it was stored (`stored {}`), have it analysed, or buy a fresh crop", say.temperature(-18.0)),
            ),
        }
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let Self::Implausible { percent, place, .. } = self else { return Vec::new() };
        if *percent <= 22.0 {
            return Vec::new();
        }
        let Some(value) = texts.property_value(At::Recipe(*place), Keyword::Alpha) else { return Vec::new() };
        let text = format!("{} %", crate::say::trimmed(percent / 10.0, 2));
        vec![Mend::proposed(format!("write {text}"), value, text)]
    }
}
