//! A definition of the library that no recipe and no log names.

use crate::cx::RepositoryCx;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("unused-definition", Group::Repository, Level::Off, Check::Repository(check), DOC);


const DOC: Doc = Doc {
    catches: "A definition of the library that no recipe and no log names.",
    matters: "A cellar list that nobody tidies hides what is really in stock.",
    example: r#"hop Saltings
  alpha               5 %"#,
    instead: r#"hop Saltings
  alpha               5 %
recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Saltings at 60 min"#,
    limits: "Off unless switched on: a cellar may well list what no recipe uses yet.",
    sources: "Logic; no outside source.",
};

struct Unused {
    name: Box<str>,
}

fn check(cx: &RepositoryCx, hits: &mut Hits) {
    for (definition, used) in cx.definitions {
        if !used {
            let span = definition.block.header().map_or(syntax::Span::at(0), |entry| entry.span);
            hits.push(Grade::HINT, At::Library(definition.place, span), Unused { name: definition.name.clone() });
        }
    }
}

impl Detail for Unused {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("nothing names {}", self.name),
            "a list that nobody tidies hides what is really in stock",
            "take it out, or keep it with an allowance that says why",
        )
    }
}
