//! A short boil of a wort that is mostly pilsner or lager malt.

use quantity::typed::{Temperature, Time};

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("short-boil-for-pale-malt", Group::Boil, Level::Warning, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Boil, BlockKind::Grist]).exempt(&["no-boil", "kettle-sour"]).limits(&[&HINT, &WARNING]);

static HINT: Limit = Limit::at_least("pale-malt-boil-hint", 60.0, "min", "boil of a wort of very pale malt at 100 C", "Wilson and Booer 1979; Fix, Principles of Brewing Science");
static WARNING: Limit = Limit::at_least("pale-malt-boil", 53.0, "min", "boil of a wort of very pale malt at 100 C", "Wilson and Booer 1979; Fix, Principles of Brewing Science");

const DOC: Doc = Doc {
    catches: "A short boil of a wort that is mostly pilsner or lager malt.",
    matters: "Pale lager malt brings a precursor that heat turns to dimethyl sulfide. What the boil does not drive \
              off smells of cooked maize.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 45 min
  38 g      Fuggle [alpha 5 %] at 45 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pilsner malt
boil 75 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Malts below 4.5 EBC made as pilsner, lager or extra pale malt, above half of the grist; not for a wort soured in the kettle. At a lower \
              boiling point the same boil does less, and counts for less.",
    sources: "Wilson and Booer 1979; Dickenson 1979, second-hand: the precursor halves every 35 min at 100 C and \
              pH 5.4.",
};

struct Short {
    minutes: f64,
    left: f64,
    enough: f64,
    logged: bool,
}

/// Whether most of the grist is very pale malt.
pub(crate) fn is_pale(cx: &RecipeCx) -> bool {
    let pale = |line: &recipe::GristLine| {
        let names = look::names(&line.thing);
        look::form(&line.thing).contains("base")
            && names.contains_any(const { &look::any_of(["pils", "lager", "extra pale"]) })
            && look::colour(&line.thing).is_none_or(|ebc| ebc < 4.5)
    };
    look::mashed_share(cx, pale).is_some_and(|(share, _)| share > 0.5)
}

/// Share of the precursor that a boil leaves, parts of one.
fn left(cx: &RecipeCx, minutes: f64) -> f64 {
    let boiling = Temperature::from_celsius(cx.calc.boiling_point());
    brewing::dms::precursor_left(Time::from_minutes(minutes), boiling).parts()
}

fn grade(cx: &RecipeCx, minutes: f64) -> Option<(Grade, f64)> {
    // What the limits stand for at 100 C.
    let at_sea_level = |limit: &Limit| {
        brewing::dms::precursor_left(Time::from_minutes(cx.limit(limit)), Temperature::from_celsius(100.0)).parts()
    };
    let left = left(cx, minutes);
    let bounds = [(at_sea_level(&HINT), Severity::Hint), (at_sea_level(&WARNING), Severity::Warning)];
    Some((Grade::above(left, || 0.0, &bounds)?, left))
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let Some(boil) = &cx.recipe.boil else { return };
    let Some(time) = &boil.time else { return };
    // What was soured is boiled to kill the souring, and that takes minutes.
    if !is_pale(cx) || cx.recipe.sour.is_some() {
        return;
    }
    if let Some((grade, left)) = grade(cx, time.value) {
        let detail = Short { minutes: time.value, left, enough: cx.limit(&HINT), logged: false };
        hits.recipe(grade, boil.place, detail);
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let (Some(plan), Ok(minutes)) = (cx.plan, cx.actual.boil_minutes()) else { return };
    let planned = plan.recipe.boil.as_ref().and_then(|boil| boil.time.as_ref()).map(|time| time.value);
    // A boil as short as planned is a matter of the plan.
    if !is_pale(plan) || planned.is_none_or(|planned| minutes > planned - 5.0) {
        return;
    }
    let end = cx.first(|event| matches!(event, Event::Flameout | Event::BoilEnd));
    let Some(entry) = end.and_then(|at| cx.log.entries.get(at)) else { return };
    if let Some((grade, left)) = grade(plan, minutes) {
        hits.log(grade, entry.place, Short { minutes, left, enough: plan.limit(&HINT), logged: true });
    }
}

impl Detail for Short {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} of boil leave {} of the precursor of dimethyl sulfide in a wort of very pale malt",
                say.time(self.minutes),
                say.share(self.left)
            ),
            "what is left turns to a smell of cooked maize while the wort is hot",
            if self.logged {
                "chill fast, and boil longer next time".to_owned()
            } else {
                format!("boil for {} or more, uncovered, and chill fast", say.time(self.enough))
            },
        )
    }
}
