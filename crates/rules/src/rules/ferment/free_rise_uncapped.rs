//! A free rise without a cap that can take the beer above what the yeast likes.

use super::ferment_temp_outside_strain::liked;

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("free-rise-uncapped", Group::Ferment, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Pitch, BlockKind::Grist, BlockKind::Recipe, BlockKind::Ferment]).exempt(&["open-ferment", "mixed-culture"]);


const DOC: Doc = Doc {
    catches: "A free rise without a cap that can take the beer above what the yeast likes.",
    matters: "Fermentation warms itself by ten degrees and more. Without a cap nothing stops it.",
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
  hold      18 C for 1 d
  free rise
  until     1.014"#,
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
  hold      18 C for 1 d
  free rise cap 21 C
  until     1.014"#,
    limits: "Half of the heat is taken to leave through the wall of a small fermenter.",
    sources: "Heat of fermentation, 252 Btu/lb of extract, second-hand; computed.",
};

struct Uncapped {
    from: f64,
    rise: f64,
    high: f64,
    name: Box<str>,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some((_, high, yeast)) = liked(cx) else { return };
    let Ok(rise) = cx.calc.free_rise() else { return };
    let mut now = cx.part().pitch.temperature.as_ref().map(|at| at.value);
    for step in &cx.part().ferment.steps {
        if step.kind == FermentKind::FreeRise && step.temperature.is_none() {
            let from = now.unwrap_or(18.0);
            if from + 0.5 * rise > high {
                let name = look::spoken(yeast);
                hits.recipe(Grade::WARNING, step.place, Uncapped { from, rise, high, name, place: step.place });
            }
            return;
        }
        now = step.temperature.as_ref().map(|at| at.value).or(now);
    }
}

impl Detail for Uncapped {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "from {} the beer can warm itself by up to {}; {} likes up to {}",
                say.temperature(self.from),
                say.step(self.rise),
                self.name,
                say.temperature(self.high)
            ),
            "nothing stops it without a cap, and warm beer makes fusels",
            format!("write a cap: `free rise cap {}`", say.temperature(self.high)),
        )
    }
    fn fixes(&self, texts: &Texts<'_>, say: Say) -> Vec<Mend> {
        let at = At::Recipe(self.place);
        let written = texts.at(at);
        let cap = say.temperature(self.high);
        if written.is_empty() {
            return Vec::new();
        }
        vec![Mend::proposed(format!("cap it at {cap}"), at, format!("{written} cap {cap}"))]
    }
}
