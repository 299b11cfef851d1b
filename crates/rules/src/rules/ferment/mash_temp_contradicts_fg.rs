//! A single-infusion mash whose temperature points the other way than the final gravity expected.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mash-temp-contradicts-fg", Group::Ferment, Level::Off, Check::Part(check), DOC).later(&[(Edition::Y2027, Level::Hint)]).whole(&[BlockKind::Mash, BlockKind::Grist, BlockKind::Pitch]).limits(&[&HOT, &COOL]);

static HOT: Limit = Limit::at_least("mash-hot-for-fg", 69.0, "C", "a hot mash", "Chandrasekhar, second-hand");
static COOL: Limit = Limit::at_most("mash-cool-for-fg", 64.0, "C", "a cool mash", "Chandrasekhar, second-hand");

const DOC: Doc = Doc {
    catches: "A single-infusion mash whose temperature points the other way than the final gravity expected.",
    matters: "A hot mash leaves dextrins that no ordinary yeast takes; a cool one leaves few.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      71 C for 60 min
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [80 %]
  at        18 C
  oxygen    8 ppm
expect
  fg        1.008..1.010"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      65 C for 60 min
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [80 %]
  at        18 C
  oxygen    8 ppm
expect
  fg        1.008..1.010"#,
    limits: "Off in the edition of 2026 unless switched on, a hint at most from 2027 on: malts and enzymes differ too much. Grists of malt alone, with one rest \
              between 60 and 72 C.",
    sources: "J. Chandrasekhar, second-hand: attenuation of 82 % at 65 C, 70 % at 70 C.",
};

struct Contradicts {
    celsius: f64,
    attenuation: f64,
    fg: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let rests: Vec<_> = look::rests(cx.recipe).filter(|(_, celsius, _)| (60.0..=72.0).contains(celsius)).collect();
    let [(place, celsius, _)] = rests.as_slice() else { return };
    if cx.recipe.grist.iter().any(|line| !look::is_mashed(line)) {
        return;
    }
    let Some(at) = cx.expected().iter().position(|figure| *figure == Some(FigureId::Fg)) else { return };
    let Some(recipe::Test::Within { low: Some(low), high: Some(high), .. }) = cx.part().expect.get(at).map(|one| &one.test) else {
        return;
    };
    let bound = |quant| crate::expected::bound(FigureId::Fg, quant);
    let (Some(low), Some(high), Some(og)) = (bound(*low), bound(*high), cx.figure(FigureId::Og)) else { return };
    let fg = f64::midpoint(low, high);
    let plato = |sg: f64| brewing::gravity::plato(quantity::typed::Gravity::from_sg(sg));
    let Some(attenuation) = brewing::attenuation::apparent(plato(og), plato(fg)) else { return };
    let attenuation = attenuation.parts() * 100.0;
    let hot = *celsius >= cx.limit(&HOT) && attenuation > 76.0;
    let cool = *celsius <= cx.limit(&COOL) && attenuation < 70.0;
    if hot || cool {
        hits.recipe(Grade::HINT, *place, Contradicts { celsius: *celsius, attenuation, fg });
    }
}

impl Detail for Contradicts {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "a mash at {} and a final gravity of {}, an attenuation of {}",
                say.temperature(self.celsius),
                say.gravity(self.fg),
                say.percent(self.attenuation.round())
            ),
            if self.attenuation > 73.0 { "so hot a mash leaves more behind" } else { "so cool a mash leaves less behind" },
            if self.attenuation > 73.0 { format!("mash at {}, or expect a higher gravity", say.temperatures(64.0, 66.0)) } else { format!("mash at {}, or expect a lower gravity", say.temperatures(68.0, 70.0)) },
        )
    }
}
