//! A salt named so loosely that its water of crystallisation is left open, measured by volume, chalk in cold liquor,
//! or a dose far beyond use.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("salt-form-or-dose-suspect", Group::Liquor, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor]).limits(&[&ONE, &ALL]).root();

static ONE: Limit = Limit::at_most("salt-dose", 2.0, "g/L", "one salt, by the litre of its liquor or of the batch, whichever is less", "common practice, no source");
static ALL: Limit = Limit::at_most("salt-dose-all", 3.0, "g/L", "all salts together", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A salt named so loosely that its water of crystallisation is left open, one measured by volume, chalk in \
              cold liquor, or a dose far beyond use.",
    matters: "Calcium chloride holds between none and a half of water by kind: the same grams bring very different \
              ions. A spoonful weighs more or less by grain and packing, so its ions are not known at all. Chalk \
              hardly dissolves.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride to all"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all"#,
    limits: "Any one salt above 2 g/L, or all of them above 3 g/L, is a warning, and so is a salt by volume whose `density` is \
             not written; the others are hints.",
    sources: "Molar masses, computed; the doses are common practice, no source.",
};

enum Suspect {
    Loose { name: Box<str>, taken: Box<str>, place: Place },
    Spoon { name: Box<str> },
    Chalk,
    Dose { name: Box<str>, by_litre: f64 },
    Total(f64),
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let mut total = 0.0;
    // Beside one salt that is too much, the sum of all says nothing new.
    let mut one = false;
    let mut last = None;
    for line in &cx.recipe.liquor.additions {
        if !look::role(&line.thing).contains("salt") {
            continue;
        }
        if line.thing.loose && let Some(definition) = &line.thing.definition {
            let place = line.thing.place;
            let detail = Suspect::Loose { name: look::spoken(&line.thing), taken: definition.name.clone(), place };
            hits.recipe(Grade::HINT, place, detail);
        }
        if look::litres(&line.amount).is_some() && line.thing.fact(Keyword::Density).is_none() {
            hits.recipe(Grade::WARNING, line.place, Suspect::Spoon { name: look::spoken(&line.thing) });
        }
        let names = look::names(&line.thing);
        if names.contains("chalk") || names.contains("calcium carbonate") {
            hits.recipe(Grade::HINT, line.place, Suspect::Chalk);
        }
        let litres = match line.vessel {
            Vessel::Mash => cx.figure(FigureId::MashLiquor),
            Vessel::Sparge => cx.figure(FigureId::SpargeLiquor),
            _ => cx.figure(FigureId::TotalLiquor),
        };
        // What goes into the beer: water that stays behind takes its salts along.
        let batch = cx.figure(FigureId::BatchVolume).unwrap_or(f64::INFINITY);
        let litres = litres.map(|litres| litres.min(batch));
        if let (Some(kg), Some(litres)) = (look::kg(&line.amount), litres.filter(|litres| *litres > 0.0)) {
            let by_litre = kg * 1000.0 / litres;
            total += by_litre;
            last = Some(line.place);
            if by_litre > cx.limit(&ONE) {
                one = true;
                hits.recipe(Grade::WARNING, line.place, Suspect::Dose { name: look::spoken(&line.thing), by_litre });
            }
        }
    }
    if let Some(place) = last.filter(|_| !one)
        && total > cx.limit(&ALL)
    {
        hits.recipe(Grade::WARNING, place, Suspect::Total(total));
    }
}

impl Detail for Suspect {
    fn message(&self, _say: Say) -> Message {
        match self {
            Self::Loose { name, taken, .. } => Message::new(
                format!("{name} is sold with different amounts of water in it; {taken} is taken"),
                "the same grams of another form bring up to a third more or less",
                format!("write what the label says, for instance {taken}"),
            ),
            Self::Spoon { name } => Message::new(
                format!("{name} is measured by volume here, and a spoonful weighs more or less by its grain and packing"),
                "so neither the ions nor the mash pH can be computed",
                "weigh it and write grams; a scale that shows 0.1 g will do",
            ),
            Self::Chalk => Message::new(
                "chalk hardly dissolves in liquor",
                "most of it lies on the bottom, and the pH stays where it was",
                "use baking soda or slaked lime, or stir the chalk into the mash",
            ),
            Self::Dose { name, by_litre } => Message::new(
                format!("{name} comes to {by_litre:.1} g/L of liquor"),
                "no brewing liquor holds that much of one salt",
                "check the amount and its unit: g or mg?",
            ),
            Self::Total(total) => Message::new(
                format!("the salts come to {total:.1} g/L together"),
                "beer from it tastes of minerals",
                "check the amounts and their units: g or mg?",
            ),
        }
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        match self {
            Self::Loose { taken, place, .. } => {
                vec![Mend::proposed(format!("write {taken}"), At::Recipe(*place), taken.to_string())]
            }
            _ => Vec::new(),
        }
    }
}
