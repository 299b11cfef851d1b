//! Far more metabisulfite in the liquor than removing chlorine takes.

use crate::look;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("metabisulfite-overdose", Group::Liquor, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Liquor]).limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most("metabisulfite", 25.0, "ppm", "metabisulfite in the liquor", "computed");
static ERROR: Limit = Limit::at_most("metabisulfite-error", 100.0, "ppm", "metabisulfite in the liquor", "computed");

const DOC: Doc = Doc {
    catches: "Far more metabisulfite in the liquor than removing chlorine takes.",
    matters: "What is left slows the yeast, smells of matches, and makes sulfite that has to be declared.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all
  add       2 g potassium metabisulfite to all"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    12 L
  add       4 g calcium chloride dihydrate to all
  add       0.2 g potassium metabisulfite to all"#,
    limits: "By the litre of the liquor it goes into.",
    sources: "Computed: 3 mg/L of chlorine take about 6 mg/L.",
};

struct Overdose {
    by_litre: f64,
    litres: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for line in &cx.recipe.liquor.additions {
        let names = look::names(&line.thing);
        if !names.contains_any(const { &look::any_of(["metabisul", "campden"]) }) {
            continue;
        }
        let Some(ingredient) = amount(cx, line.place) else { continue };
        let litres = match line.vessel {
            Vessel::Mash => cx.figure(FigureId::MashLiquor),
            Vessel::Sparge => cx.figure(FigureId::SpargeLiquor),
            _ => cx.figure(FigureId::TotalLiquor),
        };
        let Some(litres) = litres.filter(|litres| *litres > 0.0) else { continue };
        let by_litre = ingredient * 1e6 / litres;
        let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
        if let Some(grade) = Grade::above(by_litre, || 0.0, &bounds) {
            hits.recipe(grade, line.place, Overdose { by_litre, litres });
        }
    }
}

/// Mass of the ingredient on a line, kg; a tablet by its own mass.
fn amount(cx: &RecipeCx, place: Place) -> Option<f64> {
    let line = cx.recipe.liquor.additions.iter().find(|line| line.place == place)?;
    look::kg(&line.amount).or_else(|| match &line.amount {
        Amount::Of(quant) if quant.unit?.dimension() == quantity::Dimension::Count => {
            Some(quant.value * line.thing.number(Keyword::UnitMass)?.value.value)
        }
        _ => None,
    })
}

impl Detail for Overdose {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("{:.0} mg of metabisulfite in a litre of liquor", self.by_litre),
            "what chlorine does not use up slows the yeast, smells of matches and leaves sulfite to declare",
            format!("10 mg/L, {} in {}, are plenty for tap water", say.small_mass(self.litres * 1e-5), say.volume(self.litres)),
        )
    }
}
