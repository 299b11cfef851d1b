//! A log whose recipe has changed since the log was pinned to it.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("recipe-changed-since-brewed", Group::Log, Level::Hint, Check::Log(check), DOC);


const DOC: Doc = Doc {
    catches: "A log whose recipe has changed since the log was pinned to it.",
    matters: "Plan and log are compared, and the plan is no longer what was brewed.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14  #= recipe 00000000
  10:05   mash in   66 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
gyle 7 "Harbour Bitter" on 2026-03-14
  10:05   mash in   66 C"#,
    limits: "Only for a log whose header carries the stamp of the recipe. Formatting, comments and notes do not \
              change it.",
    sources: "The recipe itself.",
};

struct Changed {
    pinned: Box<str>,
    now: String,
    place: Place,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let (Some((pinned, place)), Some(plan)) = (&cx.log.pinned, cx.plan) else { return };
    let now = recipe::fingerprint(plan.recipe);
    if !pinned.eq_ignore_ascii_case(&now) {
        hits.log(Grade::HINT, *place, Changed { pinned: pinned.clone(), now, place: *place });
    }
}

impl Detail for Changed {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("this gyle was brewed from another version of the recipe (stamp {}, now {})", self.pinned, self.now),
            "what is compared with the log is no longer what was brewed",
            "keep the old recipe under a name of its own, or pin the log to the new one if the change does not matter",
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let at = At::Log(self.place);
        let written = texts.at(at);
        if written.is_empty() {
            return Vec::new();
        }
        vec![Mend::proposed("pin it to the recipe as it is now", at, written.replace(&*self.pinned, &self.now))]
    }
}
