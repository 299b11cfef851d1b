//! More than a fifth of raw or flaked oats, rye, barley or wheat without a rest for the gums, an enzyme or hulls.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("gum-rest-or-hulls-suggested", Group::Mash, Level::Hint, Check::Recipe(check), DOC).whole(&[BlockKind::Mash, BlockKind::Grist]).exempt(&["bag"]).limits(&[&SHARE]);

static SHARE: Limit = Limit::at_most("gummy-share", 20.0, "%", "raw or flaked oats, rye, barley and wheat in the mash", "common practice, no source");

const DOC: Doc = Doc {
    catches: "More than a fifth of raw or flaked oats, rye, barley or wheat without a rest for the gums, an enzyme \
              or hulls.",
    matters: "Their gums make wort thick: it runs off slowly and the bed may set.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3 kg      pale ale malt
  1 kg      flaked barley
mash
  rest      66 C for 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  3 kg      pale ale malt
  1 kg      flaked barley
  150 g     rice hulls
mash
  rest      66 C for 60 min"#,
    limits: "Exempt with the tag bag: a bag needs no bed.",
    sources: "Palmer, How to Brew, ch. 14, for beta-glucanase at 35 to 45 C; MEBAK R-100.07.283; the share is \
              common practice.",
};

struct Gummy {
    share: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    let gum_rest = look::rests(recipe).any(|(_, celsius, minutes)| {
        (37.0..=50.0).contains(&celsius) && minutes.is_none_or(|minutes| minutes >= 15.0)
    });
    let hulls = recipe.grist.iter().any(|line| look::is_hulls(&line.thing));
    if gum_rest || hulls || look::has_enzyme(recipe) {
        return;
    }
    let gummy = |line: &recipe::GristLine| {
        let grain = look::grain(&line.thing);
        let raw = look::is_unmalted(&line.thing) && !look::form(&line.thing).contains("torre");
        raw && grain.contains_any(const { &look::any_of(["oat", "rye", "barley", "wheat"]) })
    };
    let Some((share, place)) = look::mashed_share(cx, gummy) else { return };
    if share * 100.0 > cx.limit(&SHARE) {
        hits.recipe(Grade::HINT, place, Gummy { share });
    }
}

impl Detail for Gummy {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{} of the mash is raw or flaked grain rich in gums", say.share(self.share)),
            "the wort will be thick and run off slowly",
            format!("add rice hulls (about 4 % of the grist), rest 15 min at {}, or use beta-glucanase", say.temperatures(40.0, 45.0)),
        )
    }
}
