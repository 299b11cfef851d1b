//! A starter pitched so thickly that it hardly grows, or so thinly that it grows something else.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("starter-inoculation-off", Group::Yeast, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Pitch]).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::within("inoculation-hint", 20.0, 120.0, "million/mL", "cells in the first step of a starter", "White and Zainasheff 2010, fig. 5.5, widened by a fifth");
static WARNING: Limit = Limit::within("inoculation", 5.0, 200.0, "million/mL", "cells in the first step of a starter", "White and Zainasheff 2010, fig. 5.5");

const DOC: Doc = Doc {
    catches: "A starter pitched so thickly that it hardly grows, or so thinly that it grows something else.",
    matters: "At 200 million cells a millilitre a starter grows by a tenth only; below 5 million wild yeast has \
              the better start.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  250 billion cells  English ale yeast [72 %]
  starter   0.5 L at 1.037 [stirred]
  at        18 C
  oxygen    8 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  120 billion cells  English ale yeast [72 %]
  starter   1.5 L at 1.037 [stirred]
  at        18 C
  oxygen    8 ppm"#,
    limits: "Of the first step, with the living cells that go into it.",
    sources: "White and Zainasheff, Yeast, 2010, fig. 5.5.",
};

struct Inoculation {
    millions: f64,
    litres: f64,
    cells: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let pitch = &cx.part().pitch;
    let Some(step) = pitch.starter.first() else { return };
    let cells: Vec<Option<f64>> = (0..pitch.lines.len()).map(|at| cx.calc.cells_of_line(at).ok()).collect();
    let Some(cells) = cells.into_iter().sum::<Option<f64>>() else { return };
    if step.volume.value <= 0.0 || cells <= 0.0 {
        return;
    }
    // Billions in litres are millions in millilitres.
    let millions = cells / step.volume.value;
    let bands = [(cx.band(&HINT), Severity::Hint), (cx.band(&WARNING), Severity::Warning)];
    if let Some(grade) = Grade::outside(millions, || 0.0, &bands) {
        hits.recipe(grade, step.place, Inoculation { millions, litres: step.volume.value, cells });
    }
}

impl Detail for Inoculation {
    fn message(&self, say: Say) -> Message {
        let thick = self.millions > 50.0;
        Message::new(
            format!("{} in {} are {:.0} million/mL", say.cells(self.cells), say.volume(self.litres), self.millions),
            if thick { "so thick a starter hardly grows" } else { "so thin a starter gives wild yeast a head start" },
            format!("about {} suit these cells", say.volume(self.cells / 60.0)),
        )
    }
}
