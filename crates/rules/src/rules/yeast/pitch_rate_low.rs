//! Fewer living cells than the beer wants.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("pitch-rate-low", Group::Yeast, Level::Error, Check::Part(check), DOC)
    .whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe])
    .exempt(&["mixed-culture"])
    .limits(&[&HINT, &WARNING, &ERROR, &DRY_HINT, &DRY_WARNING]);

const PRACTICE: &str = "common practice, no source; the rate itself after Fix, Analysis of Brewing Techniques";

static HINT: Limit = Limit::at_least("pitch-share", 90.0, "%", "cells pitched over cells wanted", PRACTICE);
static WARNING: Limit =
    Limit::at_least("pitch-share-warning", 75.0, "%", "cells pitched over cells wanted", PRACTICE);
static ERROR: Limit = Limit::at_least("pitch-share-error", 30.0, "%", "cells pitched over cells wanted", PRACTICE);
static DRY_HINT: Limit =
    Limit::at_least("pitch-share-dry", 75.0, "%", "cells of dry yeast over cells wanted", PRACTICE);
static DRY_WARNING: Limit =
    Limit::at_least("pitch-share-dry-warning", 50.0, "%", "cells of dry yeast over cells wanted", PRACTICE);

const DOC: Doc = Doc {
    catches: "Clearly fewer living cells than the rate aimed at, or, where none is written, than is usual for the kind of yeast.",
    matters: "Too little yeast starts slowly, makes more esters and fusels, and may stop early and leave diacetyl.",
    example: r#"recipe "Seawall Helles"
  batch     20 L
grist
  4 kg      pilsner malt
boil 90 min
  20 g      Saaz [alpha 3.5 %] at 60 min
pitch
  100 billion cells  Czech lager
  at        9 C
  oxygen    9 ppm"#,
    instead: r#"recipe "Seawall Helles"
  batch     20 L
grist
  4 kg      pilsner malt
boil 90 min
  20 g      Saaz [alpha 3.5 %] at 60 min
pitch
  350 billion cells  Czech lager
  at        9 C
  oxygen    9 ppm"#,
    limits: "Cells are counted with their age and a starter where those are written. Dry yeast keeps reserves, so its limits are lower. \
             Silent for wild yeast and for kveik, which is pitched at low rates on purpose.",
    sources: "0.75, 1.0 and 1.5 million/mL/P for ale, hybrid and lager: Fix, Analysis of Brewing Techniques; the hybrid rate is common practice.",
};

struct TooFew {
    pitched: f64,
    needed: f64,
    rate: f64,
    wanted: f64,
    written: bool,
    grams_per_litre: Option<f64>,
    line: Place,
    grams: Option<f64>,
}

/// Whether a yeast is of the kind that is pitched at low rates on purpose.
pub(crate) fn is_kveik(thing: &Thing) -> bool {
    look::names(thing).contains("kveik")
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let pitch = &cx.part().pitch;
    let yeasts = || pitch.lines.iter().filter(|line| line.thing.kind() == Some(BlockKind::Yeast));
    let Some(line) = yeasts().next() else {
        // A pitch of nothing, unless the air is to bring it.
        if let Some(place) = pitch.place.filter(|_| pitch.lines.is_empty()) {
            hits.recipe(Grade::ERROR, place, NoYeast);
        }
        return;
    };
    if yeasts().any(|line| is_kveik(&line.thing) || line.thing.words(Keyword::Kind) == Some("wild")) {
        return;
    }
    let (Some(pitched), Some(needed), Some(rate)) = (
        cx.figure(FigureId::CellsPitched),
        cx.figure(FigureId::CellsNeeded),
        cx.figure(FigureId::PitchRate),
    ) else {
        return;
    };
    if needed <= 0.0 {
        return;
    }
    let share = pitched / needed * 100.0;
    let spread = || 100.0 / needed * cx.spread(FigureId::CellsPitched);
    let mass = match &line.amount {
        Amount::Of(quant) if quant.unit.is_some_and(|unit| unit.dimension() == quantity::Dimension::Mass) => {
            Some(quant.value)
        }
        _ => None,
    };
    let grade = if mass.is_some() {
        let bounds =
            [(cx.limit(&DRY_HINT), Severity::Hint), (cx.limit(&DRY_WARNING), Severity::Warning)];
        Grade::below(share, spread, &bounds)
    } else {
        let bounds = [
            (cx.limit(&HINT), Severity::Hint),
            (cx.limit(&WARNING), Severity::Warning),
            (cx.limit(&ERROR), Severity::Error),
        ];
        Grade::below(share, spread, &bounds)
    };
    let Some(grade) = grade else { return };
    let litres = cx.figure(FigureId::BatchVolume).unwrap_or(0.0);
    hits.recipe(
        grade,
        line.place,
        TooFew {
            pitched,
            needed,
            rate,
            wanted: pitch.rate.as_ref().map_or_else(|| cx.calc.usual_pitch_rate(), |rate| rate.value),
            written: pitch.rate.is_some(),
            grams_per_litre: mass.filter(|_| litres > 0.0).map(|kg| kg * 1000.0 / litres),
            line: line.place,
            grams: mass.map(|kg| kg * needed / pitched.max(f64::MIN_POSITIVE)),
        },
    );
}

struct NoYeast;

impl Detail for NoYeast {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            "the pitch names no yeast",
            "strength, final gravity and carbonation cannot be known without it, and wort left alone spoils",
            "write the yeast and its amount, such as `2 pack English ale yeast`",
        )
    }
}

impl Detail for TooFew {
    fn message(&self, say: Say) -> Message {
        let dose = self.grams_per_litre.map_or_else(String::new, |dose| format!(" ({dose:.2} g/L)"));
        let whose = if self.written { "the rate written" } else { "the usual rate of this kind of yeast" };
        Message::new(
            format!(
                "{}{dose} give {:.2} million/mL/P, {whose} is {:.2}",
                say.cells(self.pitched),
                self.rate,
                self.wanted
            ),
            "too little yeast starts slowly, makes more esters and may stop early",
            match self.grams {
                Some(kg) => format!("pitch about {} of this yeast, or make a smaller batch", say.small_mass(kg)),
                None => format!("pitch about {}: more packs, fresher yeast or a starter", say.cells(self.needed)),
            },
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let Some(value) = texts.value(At::Recipe(self.line)) else { return Vec::new() };
        match self.grams {
            Some(kg) => {
                let amount = format!("{:.0} g", (kg * 1000.0).ceil());
                vec![Mend::proposed(format!("pitch {amount}"), value, amount)]
            }
            None if texts.at(value).contains("cells") => {
                // Rounded up to what can be counted.
                let amount = say.cells((self.needed / 10.0).ceil() * 10.0);
                vec![Mend::proposed(format!("pitch {amount}"), value, amount)]
            }
            None => Vec::new(),
        }
    }
}
