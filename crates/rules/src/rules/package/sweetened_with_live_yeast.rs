//! Fermentable sugar or juice for sweetness into beer that still holds yeast and is then closed in.

use recipe::Container;

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("sweetened-with-live-yeast", Group::Package, Level::Error, Check::RecipeAndLog(plan, log), DOC).safety();


const DOC: Doc = Doc {
    catches: "Fermentable sugar or juice for sweetness into beer that still holds yeast and is then closed in.",
    matters: "The yeast ferments it in the container: gushers and bursting bottles.",
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
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 8   gravity   1.013
  day 11  gravity   1.013
  day 11  add       400 g honey to fermenter
  day 12  package   18 L bottle 2.2 vol"#,
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
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 8   gravity   1.013
  day 11  gravity   1.013
  day 12  package   18 L bottle 2.2 vol"#,
    limits: "Sugars that hardly ferment (lactose, maltodextrin) are exempt, and so is the priming sugar of the \
              package itself.",
    sources: "Common practice, no source.",
};

struct Sweetened {
    name: Box<str>,
    keg: bool,
}

fn ferments(thing: &Thing) -> bool {
    thing.kind() == Some(BlockKind::Sugar)
        && thing.number(Keyword::Fermentability).is_none_or(|share| share.value.value > 0.05)
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    // What goes in at packaging besides the priming sugar.
    let package = &cx.part().package;
    let keg = package.lines.iter().all(|line| matches!(line.container, Container::Keg));
    if package.lines.is_empty() {
        return;
    }
    for line in package.additions.iter().filter(|line| ferments(&line.thing)) {
        let grade = if keg { Grade::WARNING } else { Grade::ERROR };
        hits.recipe(grade, line.place, Sweetened { name: look::spoken(&line.thing), keg });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let packaged = cx.log.entries.iter().enumerate().find_map(|(at, entry)| match &entry.event {
        Event::Package { container: Some(container), .. } => Some((at, *container)),
        _ => None,
    });
    let (Some((at, container)), Some(pitched)) = (packaged, cx.actual.pitched_at()) else { return };
    let gravities = cx.actual.gravities();
    for (added, entry) in cx.log.entries.iter().enumerate().take(at).skip(pitched + 1) {
        let Event::Add { thing, vessel: Vessel::Fermenter, .. } = &entry.event else { continue };
        // With a gravity read some days after it, it has fermented out.
        let watched = gravities.iter().any(|gravity| {
            gravity.entry > added && gravity.entry < at && cx.days(added, gravity.entry).is_some_and(|days| days >= 2.0)
        });
        let late = cx.days(added, at).is_some_and(|days| days < 5.0);
        if ferments(thing) && late && !watched {
            let keg = container == Container::Keg;
            let grade = if keg { Grade::WARNING } else { Grade::ERROR };
            hits.log(grade, entry.place, Sweetened { name: look::spoken(thing), keg });
        }
    }
}

impl Detail for Sweetened {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} goes into beer with live yeast and is closed in", self.name),
            if self.keg { "unless the keg stays cold it ferments and the pressure rises" } else { "it ferments in the container, and bottles gush or burst" },
            "let it ferment out first, or sweeten with what yeast leaves alone (lactose); sorbate by itself does not stop yeast at work",
        )
    }
}
