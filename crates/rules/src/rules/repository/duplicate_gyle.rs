//! Two logs with the same number.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::cx::RepositoryCx;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("duplicate-gyle", Group::Repository, Level::Warning, Check::Repository(check), DOC);


const DOC: Doc = Doc {
    catches: "Two logs with the same number.",
    matters: "A gyle is found by its number: by tastings, by labels on casks, by duty books.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
gyle 7 "Harbour Bitter" on 2026-04-11
  10:05   mash in   66 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
gyle 8 "Harbour Bitter" on 2026-04-11
  10:05   mash in   66 C"#,
    limits: "Numbers are compared without regard to case; a log whose file is called by its number has it by right. Looked for when a whole repository is checked.",
    sources: "Logic; no outside source.",
};

struct Duplicate {
    id: Box<str>,
    first: At,
}

fn check(cx: &RepositoryCx, hits: &mut Hits) {
    let mut seen: HashMap<String, At> = HashMap::new();
    // A log whose file is called by its number has it by right.
    let by_right = |id: &str, stem: &str| stem.split(|c: char| !c.is_alphanumeric()).any(|word| word.eq_ignore_ascii_case(id));
    let mut logs: Vec<_> = cx.logs.iter().filter(|(id, ..)| !id.is_empty()).collect();
    logs.sort_by_key(|(id, _, stem)| !by_right(id, stem));
    for (id, at, _) in logs {
        match seen.entry(id.to_lowercase()) {
            Entry::Occupied(first) => {
                hits.push(Grade::WARNING, *at, Duplicate { id: (*id).into(), first: *first.get() });
            }
            Entry::Vacant(free) => {
                free.insert(*at);
            }
        }
    }
}

impl Detail for Duplicate {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("gyle {} is logged a second time", self.id),
            "tastings, casks and duty books find a brew by its number",
            "give one of them another number",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(self.first, "the first of this number".into())]
    }
}
