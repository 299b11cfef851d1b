//! Metric and customary units in one block.

use quantity::System;
use syntax::ast::ValueKind;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mixed-unit-systems", Group::Units, Level::Off, Check::Recipe(check), DOC);


const DOC: Doc = Doc {
    catches: "Metric and customary units in one block.",
    matters: "Lists in one system are easier to weigh out without a slip.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
  8 oz      medium crystal malt"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
  230 g     medium crystal malt"#,
    limits: "Off unless switched on. Temperatures and volumes count as well as masses; units that belong to no \
              system do not.",
    sources: "The recipe itself.",
};

struct Mixed {
    first: String,
    second: String,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for (at, block) in cx.recipe.blocks.iter().enumerate() {
        let mut first: Option<(System, String)> = None;
        'lines: for (_, entry) in block.entries() {
            for value in entry.values().chain(entry.clauses().filter_map(|clause| clause.value())) {
                let ValueKind::Plain(measure) = &value.kind else { continue };
                let Some(system) = measure.unit.map(quantity::UnitId::system).filter(|system| *system != System::Neutral) else {
                    continue;
                };
                let text = block.slice(value.span).to_owned();
                match &first {
                    None => first = Some((system, text)),
                    Some((before, written)) if *before != system => {
                        let Ok(index) = u16::try_from(at) else { return };
                        let place = Place { block: index, span: value.span };
                        hits.recipe(Grade::HINT, place, Mixed { first: written.clone(), second: text });
                        break 'lines;
                    }
                    Some(_) => {}
                }
            }
        }
    }
}

impl Detail for Mixed {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} stands beside {}", self.second, self.first),
            "two systems in one list invite slips at the scale",
            "write the block in one system",
        )
    }
}
