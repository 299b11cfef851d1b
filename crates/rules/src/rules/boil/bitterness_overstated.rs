//! A bitterness that beer cannot hold, or a stand counted for more than its chemistry gives.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("bitterness-overstated", Group::Boil, Level::Warning, Check::Recipe(check), DOC).whole(&[BlockKind::Boil, BlockKind::Stand, BlockKind::Grist, BlockKind::Recipe]).limits(&[&TOTAL, &DOSE, &FACTOR]);

static TOTAL: Limit = Limit::at_most("bitterness-most", 100.0, "IBU", "bitterness computed", "common practice, no source");
static DOSE: Limit = Limit::at_most("alpha-dose", 300.0, "ppm", "alpha acids of one addition", "Malowicki and Shellhammer 2005 for the solubility");
static FACTOR: Limit = Limit::at_most("stand-factor-most", 1.25, "", "stand factor of the brewhouse", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A bitterness that beer cannot hold, or a stand counted for more than its chemistry gives.",
    matters: "Above about 100 IBU the models go on counting while the beer is full: what is computed will not be \
              in the glass.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  60 g      Target [alpha 11 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  60 g      Fuggle [alpha 5 %] at 60 min"#,
    limits: "A warning where the brewhouse states a stand factor that raises a stand above what its temperature \
              gives by more than a quarter.",
    sources: "Malowicki and Shellhammer 2005: alpha acids dissolve to about 90 mg/L at pH 5.2.",
};

enum Overstated {
    Total(f64),
    Dose { name: Box<str>, milligrams: f64 },
    Factor(f64),
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let place = cx.recipe.boil.as_ref().map_or(cx.recipe.name_place, |boil| boil.place);
    if let Some(ibu) = cx.figure(FigureId::Ibu) {
        let bounds = [(cx.limit(&TOTAL), Severity::Hint)];
        if let Some(grade) = Grade::above(ibu, || cx.spread(FigureId::Ibu), &bounds) {
            hits.recipe(grade, place, Overstated::Total(ibu));
        }
    }
    if let (Ok(lines), Some(litres)) = (cx.calc.hop_lines(), cx.figure(FigureId::PostBoilVolume)) {
        for line in lines {
            let milligrams = line.mass * line.alpha * 1e6 / litres;
            if milligrams > cx.limit(&DOSE) && line.boil > 5.0 && let Some(addition) = cx.recipe.additions.get(line.addition) {
                let detail = Overstated::Dose { name: look::spoken(&addition.thing), milligrams };
                hits.recipe(Grade::HINT, line.place, detail);
            }
        }
    }
    if let (Some(factor), Some(stand)) = (look::house(cx.recipe, Keyword::StandFactor), cx.recipe.stands.first())
        && factor > cx.limit(&FACTOR)
    {
        hits.recipe(Grade::WARNING, stand.place, Overstated::Factor(factor));
    }
}

impl Detail for Overstated {
    fn message(&self, say: Say) -> Message {
        match self {
            Self::Total(ibu) => Message::new(
                format!("{} are computed", say.ibu(*ibu)),
                "beer holds little more than 100; the rest falls out with the trub and the yeast",
                "take the figure for about 100, and save hops",
            ),
            Self::Dose { name, milligrams } => Message::new(
                format!("{name} brings {milligrams:.0} mg/L of alpha acids in one dose"),
                "only about 90 mg/L dissolve, so it gives less than computed",
                "part it into several additions, or use less",
            ),
            Self::Factor(factor) => Message::new(
                format!("the brewhouse counts stands {factor} times"),
                "by the rates measured a stand gives what its temperature and time give",
                "lower the stand factor unless analyses of your own beers bear it out",
            ),
        }
    }
}
