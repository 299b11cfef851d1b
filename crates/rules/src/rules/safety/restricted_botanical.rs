//! A plant that is poisonous, or that is banned or limited in food in some places.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("restricted-botanical", Group::Safety, Level::Error, Check::Recipe(check), DOC);


const DOC: Doc = Doc {
    catches: "A plant that is poisonous, or that is banned or limited in food in some places.",
    matters: "Some plants of old brewing books poison the heart or the liver.",
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
  5 g       "foxglove leaves" on day 4

addition "foxglove leaves"
  role                spice"#,
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
  5 g       coriander on day 4

addition coriander
  role                spice"#,
    limits: "Names are compared, in English and Latin. What is missing from this list is not thereby fit to be \
              eaten.",
    sources: "21 CFR 189 for calamus, safrole and coumarin; Regulation (EC) 1334/2008 for thujone, hydrocyanic \
              acid and asarone.",
};

struct Botanical {
    name: Box<str>,
    poison: bool,
    what: &'static str,
}

/// Words, whether they are poison outright, and what is in them.
const PLANTS: [(&str, bool, &str); 22] = [
    ("foxglove", true, "glycosides that stop the heart"),
    ("digitalis", true, "glycosides that stop the heart"),
    ("yew", true, "taxine, which stops the heart"),
    ("taxus", true, "taxine, which stops the heart"),
    ("oleander", true, "glycosides that stop the heart"),
    ("hemlock", true, "coniine, which paralyses"),
    ("conium", true, "coniine, which paralyses"),
    ("henbane", true, "hyoscyamine and scopolamine"),
    ("hyoscyamus", true, "hyoscyamine and scopolamine"),
    ("nightshade", true, "atropine"),
    ("belladonna", true, "atropine"),
    ("lily of the valley", true, "glycosides that stop the heart"),
    ("monkshood", true, "aconitine"),
    ("aconit", true, "aconitine"),
    ("calamus", false, "asarone, for which it is prohibited as food in some countries"),
    ("sweet flag", false, "asarone, for which it is prohibited as food in some countries"),
    ("sassafras", false, "safrole, for which it is prohibited as food in some countries"),
    ("tonka", false, "coumarin, for which it is prohibited as food in some countries"),
    ("wormwood", false, "thujone, which is limited in drinks"),
    ("tansy", false, "thujone, which is limited in drinks"),
    ("bitter almond", false, "amygdalin, which sets prussic acid free"),
    ("woodruff", false, "coumarin, which is limited in food"),
];

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let part = cx.part();
    let kettle = cx.recipe.additions.iter().map(|line| (line.place, &line.thing));
    let cold = part.ferment.additions.iter().chain(&part.package.additions).map(|line| (line.place, &line.thing));
    for (place, thing) in kettle.chain(cold) {
        let role = look::role(thing);
        if thing.kind() == Some(BlockKind::Hop) || role.contains_any(const { &look::any_of(["fining", "nutrient", "salt", "acid"]) }) {
            continue;
        }
        let names = look::names(thing);
        let found = PLANTS.iter().find(|(plant, _, _)| names.begins_word(plant));
        if let Some((_, poison, what)) = found {
            let grade = if *poison { Grade::ERROR } else { Grade::WARNING };
            hits.recipe(grade, place, Botanical { name: look::spoken(thing), poison: *poison, what });
        }
    }
}

impl Detail for Botanical {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{}: it holds {}", self.name, self.what),
            if self.poison { "it poisons people" } else { "more than a little of it harms people" },
            if self.poison {
                "leave it out"
            } else {
                "leave it out, or find out from the food authority where you are what may be used and how much"
            },
        )
    }
}
