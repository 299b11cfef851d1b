//! More of an ion in the treated liquor than beer bears well.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("ion-outside-brewing-range", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor, BlockKind::Grist, BlockKind::Recipe]).limits(&[&CALCIUM, &MAGNESIUM, &SODIUM, &CHLORIDE, &SULFATE]).absorbs(&["sulfate-chloride-extreme"]);

static CALCIUM: Limit = Limit::at_most("calcium-most", 250.0, "ppm", "calcium in the treated liquor", "Palmer and Kaminski, Water, 2013, from memory");
static MAGNESIUM: Limit = Limit::at_most("magnesium-most", 50.0, "ppm", "magnesium in the treated liquor", "Palmer and Kaminski, Water, 2013, from memory");
static SODIUM: Limit = Limit::at_most("sodium-most", 150.0, "ppm", "sodium in the treated liquor", "Palmer and Kaminski, Water, 2013, from memory");
static CHLORIDE: Limit = Limit::at_most("chloride-most", 250.0, "ppm", "chloride in the treated liquor", "Palmer and Kaminski, Water, 2013, from memory");
static SULFATE: Limit = Limit::at_most("sulfate-most", 450.0, "ppm", "sulfate in the treated liquor", "Palmer and Kaminski, Water, 2013, from memory");

const DOC: Doc = Doc {
    catches: "More of an ion in the treated liquor than beer bears well.",
    matters: "Each ion has a taste or an effect of its own: magnesium bitter and laxative, sodium salty, chloride \
              pasty, sulfate harsh.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       18 g Epsom salt to all
  add       5 g calcium chloride dihydrate to all"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g Epsom salt to all
  add       5 g calcium chloride dihydrate to all"#,
    limits: "Of the total liquor. Limits are about taste and not about health. Silent in the styles brewed with \
              salt, and where the profile aimed at says so.",
    sources: "Palmer and Kaminski, Water, 2013, from memory.",
};

struct Above {
    ion: &'static str,
    ppm: f64,
    limit: f64,
    source: f64,
    effect: &'static str,
}

/// The ions that one line, or the source, brings too much of.
struct Ions(Vec<Above>);

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let liquor = &cx.recipe.liquor;
    let (Some(source), Some(place)) = (&liquor.source, cx.recipe.liquor_place) else { return };
    let gose = cx.recipe.style.as_ref().is_some_and(|style| {
        style.words(Keyword::Name).is_some_and(|name| name.to_lowercase().contains("gose"))
    });
    let ions: [(&'static str, FigureId, FigureId, Keyword, &'static Limit, &'static str); 5] = [
        ("calcium", FigureId::Calcium, FigureId::SourceCalcium, Keyword::Calcium, &CALCIUM, "it takes phosphate from the yeast and tastes mineral"),
        ("magnesium", FigureId::Magnesium, FigureId::SourceMagnesium, Keyword::Magnesium, &MAGNESIUM, "it tastes sour and bitter, and is laxative"),
        ("sodium", FigureId::Sodium, FigureId::SourceSodium, Keyword::Sodium, &SODIUM, "it tastes salty, and harsh beside sulfate"),
        ("chloride", FigureId::Chloride, FigureId::SourceChloride, Keyword::Chloride, &CHLORIDE, "the beer turns pasty and salty"),
        ("sulfate", FigureId::Sulfate, FigureId::SourceSulfate, Keyword::Sulfate, &SULFATE, "the bitterness turns harsh and the finish sulfury"),
    ];
    let mut lines: Vec<(Grade, Place, Ions)> = Vec::new();
    for (ion, figure, of_source, key, limit, effect) in ions {
        if gose && matches!(key, Keyword::Sodium | Keyword::Chloride) {
            continue;
        }
        // A profile that aims higher means it.
        let aimed = liquor.target.as_ref().and_then(|target| target.number(key)).map(|aimed| aimed.value.value);
        let most = cx.limit(limit).max(aimed.unwrap_or(0.0));
        let Some(ppm) = cx.figure(figure) else { continue };
        if let Some(grade) = Grade::above(ppm, || 0.0, &[(most, Severity::Warning)]) {
            let from_source = cx.figure(of_source).unwrap_or(0.0);
            // The line that brings most of it, else the source.
            let line = heaviest(cx, ion).filter(|_| from_source < ppm / 2.0).unwrap_or(source.place);
            let place = if line.span.is_empty() { place } else { line };
            let above = Above { ion, ppm, limit: cx.limit(limit), source: from_source, effect };
            match lines.iter_mut().find(|(_, at, _)| *at == place) {
                Some((_, _, Ions(ions))) => ions.push(above),
                None => lines.push((grade, place, Ions(vec![above]))),
            }
        }
    }
    for (grade, place, mut ions) in lines {
        // The furthest out first.
        ions.0.sort_by(|a, b| (b.ppm / b.limit).total_cmp(&(a.ppm / a.limit)));
        hits.recipe(grade, place, ions);
    }
}

/// The addition that brings most of an ion.
fn heaviest(cx: &RecipeCx, ion: &str) -> Option<Place> {
    let parts = cx.calc.water_parts().ok()?;
    let of = |part: &figures::WaterPart| -> f64 {
        part.ions
            .iter()
            .filter(|(which, _)| which.name() == ion)
            .map(|(_, ppm)| ppm * part.share)
            .sum()
    };
    parts.iter().filter(|part| of(part) > 0.0).max_by(|a, b| of(a).total_cmp(&of(b))).map(|part| part.place)
}

impl Detail for Ions {
    fn message(&self, say: Say) -> Message {
        let Some(first) = self.0.first() else { return Message::new("", "", "") };
        let ions: Vec<String> = self
            .0
            .iter()
            .map(|above| format!("{} is {}, above {}", above.ion, say.ppm(above.ppm), say.ppm(above.limit)))
            .collect();
        let source = if first.source >= 1.0 {
            format!("; the source alone brings {} of {}", say.ppm(first.source), first.ion)
        } else {
            String::new()
        };
        let effect = if self.0.len() > 1 && first.effect.starts_with("it ") {
            format!("{}{}", first.ion, first.effect.strip_prefix("it").unwrap_or(first.effect))
        } else {
            first.effect.to_owned()
        };
        Message::new(
            format!("{}{source}", listed(&ions)),
            effect,
            if first.source > first.limit { "dilute with ion-free water: `blend 50 % reverse osmosis water`" } else { "use less of the salt that brings it" },
        )
    }
}
