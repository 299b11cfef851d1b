//! A gravity, bitterness, colour or efficiency computed that no ordinary beer has, though no single line stands out.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("figure-implausible", Group::Units, Level::Error, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe, BlockKind::Pitch]).limits(&[&OG, &FG, &IBU, &COLOUR, &EFFICIENCY]).outcome().absorbs(&["bitterness-overstated"]);

static OG: Limit = Limit::within("og-possible", 1.02, 1.14, "", "original gravity", "common practice, no source");
static FG: Limit = Limit::within("fg-possible", 0.988, 1.06, "", "final gravity", "common practice, no source");
static IBU: Limit = Limit::at_most("ibu-possible", 120.0, "IBU", "bitterness", "common practice, no source");
static COLOUR: Limit = Limit::at_most("colour-possible", 200.0, "EBC", "colour without roasted malt", "common practice, no source");
static EFFICIENCY: Limit = Limit::at_most("efficiency-possible", 95.0, "%", "brewhouse efficiency of a mash", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A gravity, bitterness, colour or efficiency computed that no ordinary beer has, though no single \
              line stands out.",
    matters: "Some amount, unit or volume is off; everything else computed from the recipe is off with it.",
    example: r#"brewhouse shed
  mash efficiency     98 %

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"brewhouse shed
  mash efficiency     78 %

recipe "Harbour Bitter"
  batch     20 L
  brewhouse shed
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "Silent where a single line was found wrong. Colour is not judged with roasted malt on the list.",
    sources: "Common practice, no source: wider than any style of the built-in library.",
};

struct Implausible {
    what: &'static str,
    value: f64,
    unit: Unit,
    low: f64,
    high: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Unit {
    Gravity,
    Ibu,
    Ebc,
    Percent,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let recipe = cx.recipe;
    if recipe.grist.is_empty() || recipe.from.is_some() {
        return;
    }
    let place = recipe.grist_place.unwrap_or(recipe.name_place);
    let roasted = recipe.grist.iter().any(|line| look::is_roasted(&line.thing));
    let weak = look::is_low_alcohol(cx);
    let figures: [(FigureId, &'static str, Unit, &'static Limit, bool); 5] = [
        (FigureId::Og, "original gravity", Unit::Gravity, &OG, !weak),
        (FigureId::Fg, "final gravity", Unit::Gravity, &FG, true),
        (FigureId::Ibu, "bitterness", Unit::Ibu, &IBU, true),
        (FigureId::Colour, "colour", Unit::Ebc, &COLOUR, !roasted),
        (FigureId::BrewhouseEfficiency, "brewhouse efficiency", Unit::Percent, &EFFICIENCY, look::mashes(recipe)),
    ];
    for (figure, what, unit, limit, judged) in figures {
        let (low, high) = cx.band(limit);
        let Some(value) = cx.figure(figure).filter(|value| judged && !(low..=high).contains(value)) else { continue };
        let far = match unit {
            Unit::Gravity => value - 1.0 > 3.0 * (high - 1.0),
            _ => value > 3.0 * high,
        };
        let grade = if far { Grade::ERROR } else { Grade::WARNING };
        let place = if figure == FigureId::Ibu { look::bitterest(cx).map_or(place, |(place, _)| place) } else { place };
        hits.recipe(grade, place, Implausible { what, value, unit, low, high });
        return;
    }
}

impl Detail for Implausible {
    fn message(&self, say: Say) -> Message {
        let number = |value: f64| match self.unit {
            Unit::Gravity => say.gravity(value),
            Unit::Ibu => say.ibu(value),
            Unit::Ebc => format!("{value:.0} EBC"),
            Unit::Percent => say.percent(value),
        };
        let bound = if self.value > self.high {
            format!("above {}", number(self.high))
        } else {
            format!("below {}", number(self.low))
        };
        Message::new(
            format!("{} of {} is {bound}, further than any ordinary beer goes", self.what, number(self.value)),
            "an amount, a unit or a volume must be off, and every figure with it",
            "check the amounts, their units and the batch volume",
        )
    }
}
