//! A hot rest before a cooler one that needs the enzyme which the heat has just destroyed.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("rest-destroys-needed-enzyme", Group::Mash, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Mash]).exempt(&["reverse-step"]).absorbs(&["mash-steps-out-of-order"]);


const DOC: Doc = Doc {
    catches: "A hot rest before a cooler one that needs the enzyme which the heat has just destroyed.",
    matters: "Beta-amylase halves about every ten minutes at 65 C and is gone sooner above. A later, cooler rest \
              finds little left to work with.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      71 C for 30 min
  rest      62 C for 30 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      62 C for 30 min
  rest      71 C for 30 min"#,
    limits: "Rests of the main mash only. Where the mash-out itself comes first, `mash-out-not-final` says so \
              alone.",
    sources: "Muller, Brewing Research Foundation, 1990-91, second-hand; Sissons et al., ASBC Journal 53:104, \
              1995.",
};

struct Destroyed {
    hot: (Place, f64),
    later: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let rests: Vec<_> = look::rests(cx.recipe).collect();
    for (at, (place, later, _)) in rests.iter().enumerate() {
        let before = rests.get(..at).unwrap_or(&[]);
        let spent = before.iter().find(|(_, hot, minutes)| {
            let minutes = minutes.unwrap_or(0.0);
            (58.0..=65.0).contains(later) && ((*hot >= 70.0 && minutes >= 10.0) || (*hot > 65.0 && minutes >= 30.0))
        });
        if let Some((hot_place, hot, _)) = spent {
            hits.recipe(Grade::WARNING, *place, Destroyed { hot: (*hot_place, *hot), later: *later });
            return;
        }
    }
}

impl Detail for Destroyed {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the rest at {} comes after one at {}", say.temperature(self.later), say.temperature(self.hot.1)),
            "the enzyme it is meant for is mostly destroyed by then",
            "put the cooler rest first",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(At::Recipe(self.hot.0), "the hot rest".into())]
    }
}
