//! Residual CO2 taken at a temperature other than the warmest the beer was at after fermentation.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("residual-co2-basis-wrong", Group::Package, Level::Hint, Check::Part(check), DOC).limits(&[&DIFFERENCE]);

static DIFFERENCE: Limit = Limit::at_most("residual-difference", 0.15, "vol", "difference in residual CO2", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Residual CO2 taken at a temperature other than the warmest the beer was at after fermentation.",
    matters: "CO2 leaves warm beer and does not come back in the cold. Taken at the cold-crash temperature it is \
              overrated, and the beer is primed too little.",
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
  hold      19 C for 8 d
  cool      to 2 C over 1 d for 2 d
package
  bottle    2.2 vol [residual at 2 C] at 20 C with table sugar"#,
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
  hold      19 C for 8 d
  cool      to 2 C over 1 d for 2 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
    limits: "Silent where the two differ by less than 0.15 vol, and where the beer was spunded.",
    sources: "Hibberd 1995 for residual CO2.",
};

struct Basis {
    stated: f64,
    warmest: f64,
    volumes: (f64, f64),
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    if part.ferment.spund.is_some() || part.ferment.pressure.is_some() {
        return;
    }
    let warmest = part.ferment.steps.iter().filter_map(|step| step.temperature.as_ref()).map(|at| at.value).reduce(f64::max);
    let Some(warmest) = warmest else { return };
    for line in &part.package.lines {
        let Some(stated) = &line.residual_at else { continue };
        let of = |celsius: f64| {
            brewing::carbonation::residual(quantity::typed::Temperature::from_celsius(celsius)).volumes()
        };
        let volumes = (of(stated.value), of(warmest));
        if (volumes.0 - volumes.1).abs() > cx.limit(&DIFFERENCE) {
            hits.recipe(Grade::HINT, line.place, Basis { stated: stated.value, warmest, volumes });
        }
    }
}

impl Detail for Basis {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "residual CO2 is taken at {} ({:.2} vol), the warmest the beer gets is {} ({:.2} vol)",
                say.temperature(self.stated),
                self.volumes.0,
                say.temperature(self.warmest),
                self.volumes.1
            ),
            if self.stated < self.warmest { "CO2 that has left does not come back in the cold: the beer is primed too little" } else { "the beer is primed too much, which bottles may not bear" },
            "leave the temperature out: the warmest one planned is taken",
        )
    }
}
