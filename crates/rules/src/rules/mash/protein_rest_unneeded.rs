//! A protein rest of more than twenty minutes for a grist of modern malt alone.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("protein-rest-unneeded", Group::Mash, Level::Hint, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist]).limits(&[&MINUTES]);

static MINUTES: Limit = Limit::at_most("protein-rest-time", 20.0, "min", "length of a rest between 45 and 55 C", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A protein rest of more than twenty minutes for a grist of modern malt alone.",
    matters: "Today's malts are well modified. A long rest around 50 C breaks down what makes body and foam.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      52 C for 30 min
  rest      66 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
mash
  rest      52 C for 10 min
  rest      66 C for 60 min"#,
    limits: "Silent with unmalted grain or floor-malted malt on the list, and for decoctions, where the rest has \
              another purpose.",
    sources: "Common practice, no source.",
};

struct Unneeded {
    minutes: f64,
    celsius: f64,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let long = look::rests(recipe).filter_map(|(place, celsius, minutes)| {
        let minutes = minutes.filter(|minutes| *minutes > cx.limit(&MINUTES))?;
        (45.0..=55.0).contains(&celsius).then_some(Unneeded { minutes, celsius, place })
    });
    let mut long = long.peekable();
    if long.peek().is_none() {
        return;
    }
    let wants_it = recipe.grist.iter().filter(|line| look::is_mashed(line)).any(|line| {
        look::is_unmalted(&line.thing) || look::names(&line.thing).contains("floor") || look::names(&line.thing).contains("chit")
    });
    let decocts = recipe.mash.by == Some(Method::Decoction)
        || recipe.mash.steps.iter().any(|step| matches!(step, MashStep::Decoct { .. }));
    if wants_it || decocts || !look::mashes(recipe) || !recipe.cooks.is_empty() {
        return;
    }
    for rest in long {
        hits.recipe(Grade::HINT, rest.place, rest);
    }
}

impl Detail for Unneeded {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("a rest of {} at {} with modern malt alone", say.time(self.minutes), say.temperature(self.celsius)),
            "it breaks down protein that makes body and foam",
            "leave it out, or keep it to ten minutes",
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let line = texts.lines(At::Recipe(self.place));
        line.map(|line| Mend::proposed("leave the rest out", line, "")).into_iter().collect()
    }
}
