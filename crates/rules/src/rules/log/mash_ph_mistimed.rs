//! The first mash pH read before the mash has settled, or long after.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("mash-ph-mistimed", Group::Log, Level::Hint, Check::Log(check), DOC).limits(&[&MINUTES]);

static MINUTES: Limit = Limit::within("mash-ph-minutes", 5.0, 30.0, "min", "mashing in to the first pH", "common practice, no source");

const DOC: Doc = Doc {
    catches: "The first mash pH read before the mash has settled, or long after.",
    matters: "The pH still moves in the first minutes; after half an hour most of what it decides is done.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:07   ph        5.42 at 20 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C
  10:17   ph        5.42 at 20 C"#,
    limits: "Ten to fifteen minutes after mashing in is the aim.",
    sources: "Common practice, no source.",
};

struct Mistimed {
    minutes: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(mash_in) = cx.first(|event| matches!(event, Event::MashIn(_))) else { return };
    let Some(at) = cx.first(|event| matches!(event, Event::Ph { of: recipe::PhOf::Mash, .. })) else { return };
    let (Some(minutes), Some(entry)) = (cx.minutes(mash_in, at), cx.log.entries.get(at)) else { return };
    let (low, high) = cx.band(&MINUTES);
    // Cool rests before the starch is touched push the reading back.
    let cool: f64 = cx.plan.map_or(0.0, |plan| {
        crate::look::rests(plan.recipe).take_while(|(_, celsius, _)| *celsius < 60.0).filter_map(|(_, _, minutes)| minutes).sum()
    });
    if at > mash_in && !(low..=high + cool).contains(&minutes) {
        hits.log(Grade::HINT, entry.place, Mistimed { minutes });
    }
}

impl Detail for Mistimed {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the first mash pH was read {} after mashing in", say.time(self.minutes)),
            if self.minutes < 10.0 { "it still moves in the first minutes" } else { "most of what it decides is done by then" },
            "read it after ten to fifteen minutes, while there is time to correct it",
        )
    }
}
