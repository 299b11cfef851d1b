//! A stamp (`#= …`) that no longer agrees with the figure it shows.

use crate::prelude::*;
use crate::stamp;

pub(crate) static RULE: Rule = Rule::new("stale-stamp", Group::Repository, Level::Warning, Check::Part(check), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe]);


const DOC: Doc = Doc {
    catches: "A stamp (`#= …`) that no longer agrees with the figure it shows.",
    matters: "A printout or a web page shows the stamp, not the figure.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min  #= 31 IBU"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min  #= 23 IBU"#,
    limits: "A stamp agrees when the figure, rounded to the digits the stamp shows, is the same number. A stamp \
              that names no figure is compared with the figures of its line.",
    sources: "The recipe itself.",
};

struct Stale {
    written: String,
    now: String,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let (mut lines, part) = (None, cx.part_index());
    let units = cx.calc.settings.units_for(Some(cx.recipe));
    for (at, block) in cx.recipe.blocks.iter().enumerate() {
        let Ok(index) = u16::try_from(at) else { return };
        if !block.lines.iter().any(|line| line.stamp.is_some()) || stamp::part_of(cx.recipe, at) != part {
            continue;
        }
        let of_recipe = lines.get_or_insert_with(|| cx.calc.lines());
        for line in &block.lines {
            let Some(written) = line.stamp else { continue };
            let of_line = stamp::figures_of(of_recipe, index, line);
            for value in stamp::read(written.of(&block.text)) {
                let meanings = value.meanings(cx.calc, &of_line);
                let now = |one| value.now(one, units, cx.recipe.customary);
                let Some(first) = meanings.first() else { continue };
                if meanings.iter().all(|one| now(one).is_some())
                    && let Some(now) = now(first)
                {
                    let place = Place { block: index, span: value.span.shift(written.start) };
                    let written = value.span.of(written.of(&block.text)).to_owned();
                    hits.recipe(Grade::WARNING, place, Stale { written, now, place });
                }
            }
        }
    }
}

impl Detail for Stale {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("the stamp says {}, it is {} now", self.written, self.now),
            "whoever reads the file without gyle sees the stamp",
            "run `gyle stamp` on the file",
        )
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        vec![Mend {
            title: format!("write {}", self.now),
            safe: true,
            edits: vec![(At::Recipe(self.place), self.now.clone())],
        }]
    }
}
