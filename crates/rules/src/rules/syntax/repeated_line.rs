//! A line that stands twice.

use smallvec::SmallVec;
use syntax::ast::{Block, Entry, Form};

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("repeated-line", Group::Syntax, Level::Warning, Check::RecipeAndLog(plan, log), DOC).root();

const DOC: Doc = Doc {
    catches: "A line that repeats another of its block word for word.",
    matters: "Both count: twice the malt, twice the hops, twice the acid. Mostly a line was copied and the copy left as it was.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
  38 g      Fuggle [alpha 5 %] at 60 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
  38 g      Fuggle [alpha 5 %] at 15 min"#,
    limits: "Blanks and comments do not count. In the mash, the ferment and a log only a line directly below its like. \
             Silent about starters, decoctions and infusions, which may be made twice alike, and about weighing.",
    sources: "The recipe itself.",
};

struct Repeated {
    first: Place,
    place: Place,
    logged: bool,
}

/// Whether the steps of a block have an order, so that the same may come again.
const fn is_ordered(kind: BlockKind) -> bool {
    matches!(kind, BlockKind::Mash | BlockKind::Cook | BlockKind::Sour | BlockKind::Ferment | BlockKind::Gyle)
}

const fn may_repeat(keyword: Keyword) -> bool {
    matches!(keyword, Keyword::Starter | Keyword::Decoct | Keyword::Infuse | Keyword::Weigh | Keyword::Rack | Keyword::Lost)
}

/// Whether two entries are written alike, blanks apart.
fn alike(block: &Block, a: &Entry, b: &Entry) -> bool {
    // Nearly all differ in what comes first.
    if a.span.of(&block.text).bytes().next() != b.span.of(&block.text).bytes().next() || a.parts.len() != b.parts.len() {
        return false;
    }
    let words = |entry: &Entry| entry.span.of(&block.text).split_ascii_whitespace();
    words(a).eq(words(b))
}

/// Pairs of like entries of a block: the first and the one that repeats it.
fn repeated(block: &Block, mut found: impl FnMut(&Entry, &Entry)) {
    if matches!(block.kind, BlockKind::Notes | BlockKind::Tasting | BlockKind::Recipe) {
        return;
    }
    let entries: SmallVec<[&Entry; 16]> = block
        .entries()
        .map(|(_, entry)| entry)
        .filter(|entry| matches!(entry.form, Form::Item | Form::Fact))
        .filter(|entry| entry.keyword.is_none_or(|keyword| !may_repeat(keyword.node)))
        .collect();
    for (at, entry) in entries.iter().enumerate() {
        let from = if is_ordered(block.kind) { at.saturating_sub(1) } else { 0 };
        if let Some(first) = entries[from..at].iter().find(|first| alike(block, first, entry)) {
            found(first, entry);
        }
    }
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    for (at, block) in cx.recipe.blocks.iter().enumerate() {
        let Ok(at) = u16::try_from(at) else { return };
        repeated(block, |first, second| {
            let place = |entry: &Entry| Place { block: at, span: entry.span };
            // Each part of a recipe looks at the same blocks.
            if cx.part_index() == 0 {
                let detail = Repeated { first: place(first), place: place(second), logged: false };
                hits.recipe(Grade::WARNING, place(second), detail);
            }
        });
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    for (at, block) in cx.log.blocks.iter().enumerate() {
        let Ok(at) = u16::try_from(at) else { return };
        repeated(block, |first, second| {
            let place = |entry: &Entry| Place { block: at, span: entry.span };
            let detail = Repeated { first: place(first), place: place(second), logged: true };
            hits.log(Grade::WARNING, place(second), detail);
        });
    }
}

impl Repeated {
    const fn at(&self, place: Place) -> At {
        if self.logged { At::Log(place) } else { At::Recipe(place) }
    }
}

impl Detail for Repeated {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            "this line repeats another of its block word for word",
            if self.logged {
                "both are taken for things that were done, so twice as much went in"
            } else {
                "both are counted, so twice as much goes in"
            },
            "remove one of them; if twice as much is meant, write it as one amount",
        )
    }
    fn related(&self, _say: Say) -> Vec<(At, String)> {
        vec![(self.at(self.first), "the first of them".into())]
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let lines = texts.lines(self.at(self.place));
        lines.map(|lines| Mend::proposed("remove the second", lines, "")).into_iter().collect()
    }
}
