//! Cells written and rate written that do not fit each other.

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("pitch-contradicts-rate", Group::Yeast, Level::Error, Check::Part(check), DOC)
        .whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe])
        .absorbs(&["pitch-rate-low", "pitch-rate-high"])
        .limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most(
    "pitch-against-rate",
    15.0,
    "%",
    "how far the cells written may be from the rate written",
    "common practice, no source: two counts of one slurry differ by as much",
);
static ERROR: Limit = Limit::at_most(
    "pitch-against-rate-error",
    50.0,
    "%",
    "how far the cells written may be from the rate written",
    "common practice, no source",
);

const DOC: Doc = Doc {
    catches: "A pitching rate and a number of cells on the same beer that say different things.",
    matters: "Only one of them will be pitched. Which one was meant cannot be told from the recipe.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  rate      0.5 million/mL/P"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  rate      0.85 million/mL/P"#,
    limits: "Only where both are written. Cells from a starter, from packs or from grams are compared by the pitching rules.",
    sources: "Arithmetic; the limits are common practice, no source.",
};

struct Contradiction {
    pitched: f64,
    rate: f64,
    written: f64,
    needed: f64,
    rate_place: Option<Place>,
    line: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let pitch = &cx.part().pitch;
    let (Some(written), [line]) = (&pitch.rate, pitch.lines.as_slice()) else { return };
    let counted = matches!(&line.amount, Amount::Of(quant)
        if quant.unit.is_some_and(|unit| unit.dimension() == quantity::Dimension::Cells));
    if !counted || !pitch.starter.is_empty() || written.value <= 0.0 {
        return;
    }
    let (Some(rate), Some(pitched), Some(needed)) = (
        cx.figure(FigureId::PitchRate),
        cx.figure(FigureId::CellsPitched),
        cx.figure(FigureId::CellsNeeded),
    ) else {
        return;
    };
    let off = (rate / written.value - 1.0).abs() * 100.0;
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
    if let Some(grade) = Grade::above(off, || 0.0, &bounds) {
        let rate_place = match written.origin {
            Origin::Here(place) => Some(place),
            Origin::Library(..) => None,
        };
        hits.recipe(
            grade,
            line.place,
            Contradiction { pitched, rate, written: written.value, needed, rate_place, line: line.place },
        );
    }
}

impl Detail for Contradiction {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} are {:.2} million/mL/P in this wort, the rate written is {:.2}",
                say.cells(self.pitched),
                self.rate,
                self.written
            ),
            "only one of the two can be pitched",
            format!("pitch {} for that rate, or correct the rate", say.cells(self.needed)),
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        self.rate_place.iter().map(|place| (At::Recipe(*place), "the rate".into())).collect()
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let cells = say.cells(self.needed);
        let line = texts.value(At::Recipe(self.line));
        let mut fixes: Vec<Mend> =
            line.map(|value| Mend::proposed(format!("pitch {cells}"), value, cells)).into_iter().collect();
        if let Some(value) = self.rate_place.and_then(|place| texts.value(At::Recipe(place))) {
            let rate = format!("{:.2} million/mL/P", self.rate);
            fixes.push(Mend::proposed(format!("write {rate}"), value, rate));
        }
        fixes
    }
}
