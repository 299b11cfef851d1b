//! Strong acid in more than drops, or lime or caustic, without a word of caution in the recipe.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("acid-caustic-handling", Group::Safety, Level::Hint, Check::Recipe(check), DOC).limits(&[&STRENGTH, &VOLUME]);

static STRENGTH: Limit = Limit::at_least("acid-strong", 75.0, "%", "strength of an acid that is worth a caution", "general laboratory rule");
static VOLUME: Limit = Limit::at_least("acid-much", 5.0, "mL", "amount of it", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Strong acid in more than drops, or lime or caustic, without a word of caution in the recipe.",
    matters: "Strong acids and lime burn skin and eyes, and boil up when water is poured into them.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all
  add       6 mL phosphoric acid [85 %] to mash"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all
  add       2 mL phosphoric acid [85 %] to mash"#,
    limits: "From 5 mL of an acid of 75 % and more. Silent where the notes of the recipe mention goggles.",
    sources: "General laboratory rule.",
};

struct Handling {
    name: Box<str>,
    acid: bool,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let cautioned = || {
        let mut notes = cx.recipe.blocks.iter().filter(|block| block.kind == BlockKind::Notes);
        notes.any(|block| block.text.to_lowercase().contains("goggles"))
    };
    for line in &cx.recipe.liquor.additions {
        let role = look::role(&line.thing);
        let names = look::names(&line.thing);
        let acid = role.contains("acid")
            && line.thing.number(Keyword::Strength).is_some_and(|strength| strength.value.value * 100.0 >= cx.limit(&STRENGTH))
            && look::litres(&line.amount).is_some_and(|litres| litres * 1000.0 >= cx.limit(&VOLUME))
            // Milk acid of this strength burns too, but is a kitchen acid by comparison.
            && !names.contains("lactic");
        let base = names.contains_any(const { &look::any_of(["caustic", "sodium hydroxide", "slaked lime", "calcium hydroxide"]) });
        if (acid || base) && !cautioned() {
            hits.recipe(Grade::HINT, line.place, Handling { name: look::spoken(&line.thing), acid });
        }
    }
}

impl Detail for Handling {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} burns skin and eyes", self.name),
            if self.acid {
                "it boils up when water is poured into it"
            } else {
                "it heats up with water, and its dust hurts eyes and lungs"
            },
            "wear goggles and gloves, always pour it into water and never the reverse, keep it away from children, and read the label",
        )
    }
}
