//! Priming sugar named so that its water of crystallisation, or its fermentability, is left open.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("priming-sugar-form-unstated", Group::Package, Level::Hint, Check::Part(check), DOC);


const DOC: Doc = Doc {
    catches: "Priming sugar named so that its water of crystallisation, or its fermentability, is left open.",
    matters: "Glucose is sold with and without water in it: the same weight differs by a tenth. Extract differs \
              more.",
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
  hold      19 C for 7 d
package
  bottle    2.2 vol at 20 C with dextrose"#,
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
  hold      19 C for 7 d
package
  bottle    2.2 vol at 20 C with table sugar"#,
    limits: "Names marked as loose in the library.",
    sources: "Molar masses, computed: 198.2 against 180.2 g.",
};

struct Unstated {
    name: Box<str>,
    taken: Box<str>,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for line in &cx.part().package.lines {
        if let Some((_, thing)) = &line.priming
            && thing.loose
            && let Some(definition) = &thing.definition
        {
            let place = thing.place;
            hits.recipe(Grade::HINT, place, Unstated { name: look::spoken(thing), taken: definition.name.clone(), place });
        }
    }
}

impl Detail for Unstated {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} is sold in more than one form; {} is taken", self.name, self.taken),
            "the same weight of another form gives about a tenth more or less CO2",
            format!("write what the label says, for instance {}", self.taken),
        )
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        vec![Mend::proposed(format!("write {}", self.taken), At::Recipe(self.place), self.taken.to_string())]
    }
}
