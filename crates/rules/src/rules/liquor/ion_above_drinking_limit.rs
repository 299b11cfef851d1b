//! A source water with more of something than drinking-water guidelines allow.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("ion-above-drinking-limit", Group::Liquor, Level::Error, Check::Definition(check), DOC).safety().limits(&[&NITRATE, &IRON, &SODIUM, &CHLORIDE, &SULFATE]);

static NITRATE: Limit = Limit::at_most("nitrate-drinking", 50.0, "ppm", "nitrate", "WHO guideline, from memory");
static IRON: Limit = Limit::at_most("iron-drinking", 0.3, "ppm", "iron", "40 CFR 143.3");
static SODIUM: Limit = Limit::at_most("sodium-drinking", 200.0, "ppm", "sodium", "WHO guideline for taste, from memory");
static CHLORIDE: Limit = Limit::at_most("chloride-drinking", 250.0, "ppm", "chloride", "40 CFR 143.3");
static SULFATE: Limit = Limit::at_most("sulfate-drinking", 250.0, "ppm", "sulfate", "40 CFR 143.3");

const DOC: Doc = Doc {
    catches: "A source water with more of something than drinking-water guidelines allow.",
    matters: "It points to pollution or to old pipes, and boiling concentrates it.",
    example: r#"water "Mill Lane well"
  calcium             80 ppm
  sodium              12 ppm
  chloride            30 ppm
  sulfate             45 ppm
  nitrate             75 ppm
  bicarbonate         100 ppm"#,
    instead: r#"water "Mill Lane well"
  calcium             80 ppm
  sodium              12 ppm
  chloride            30 ppm
  sulfate             45 ppm
  nitrate             12 ppm
  bicarbonate         162 ppm"#,
    limits: "Guideline values are not the law everywhere; the supplier and the local health office know what \
              holds.",
    sources: "40 CFR 143.3 for chloride, sulfate and iron; WHO guidelines, from memory, for nitrate (50 mg/L) and \
              sodium (200 mg/L for taste).",
};

struct Above {
    what: &'static str,
    ppm: f64,
    limit: f64,
    health: bool,
}

fn check(cx: &DefinitionCx, hits: &mut Hits) {
    if cx.definition.kind != BlockKind::Water {
        return;
    }
    let kind = cx.thing.words(Keyword::Kind).unwrap_or("");
    if ["target", "historic"].iter().any(|word| kind.contains(word)) {
        return;
    }
    let table: [(&'static str, Keyword, &'static Limit, bool); 5] = [
        ("nitrate", Keyword::Nitrate, &NITRATE, true),
        ("iron", Keyword::Iron, &IRON, false),
        ("sodium", Keyword::Sodium, &SODIUM, false),
        ("chloride", Keyword::Chloride, &CHLORIDE, false),
        ("sulfate", Keyword::Sulfate, &SULFATE, false),
    ];
    for (what, key, limit, health) in table {
        let Some(fact) = cx.thing.number(key) else { continue };
        let (ppm, most) = (fact.value.value, cx.limits.of(limit));
        if ppm > most {
            let span = match fact.origin {
                Origin::Library(_, span) => span,
                Origin::Here(place) => place.span,
            };
            let grade = if health { Grade::ERROR } else { Grade::WARNING };
            hits.push(grade, cx.at(span), Above { what, ppm, limit: most, health });
        }
    }
}

impl Detail for Above {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} is {}, the drinking-water guideline is {}", self.what, say.ppm(self.ppm), say.ppm(self.limit)),
            if self.health { "it is a matter of health, above all for infants, and boiling concentrates it" } else { "it can be tasted, and may tell of other trouble" },
            "ask the supplier or the local health office; dilute or treat the water before brewing with it",
        )
    }
}
