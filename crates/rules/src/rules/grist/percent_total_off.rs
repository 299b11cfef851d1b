//! Percentages of the grist that do not add up to 100.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("percent-total-off", Group::Grist, Level::Error, Check::Recipe(check), DOC).whole(&[BlockKind::Grist]).root().limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most("percent-total", 0.5, "%", "how far the sum may be from 100", "rounding of ten shares");
static ERROR: Limit = Limit::at_most("percent-total-error", 5.0, "%", "how far the sum may be from 100", "common practice, no source");

const DOC: Doc = Doc {
    catches: "Percentages of the grist that do not add up to 100.",
    matters: "They are solved for the gravity aimed at, and a sum that is not 100 leaves open which share is \
              wrong.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist to reach 1.045
  90 %      pale ale malt
  7 %       medium crystal malt"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist to reach 1.045
  93 %      pale ale malt
  7 %       medium crystal malt"#,
    limits: "Half a percent is allowed for rounding.",
    sources: "Arithmetic.",
};

struct TotalOff {
    total: f64,
    lines: Vec<(Place, f64)>,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(total) = cx.calc.percent_total() else { return };
    let total = total * 100.0;
    let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
    if let Some(grade) = Grade::above((total - 100.0).abs(), || 0.0, &bounds) {
        let lines: Vec<(Place, f64)> = cx
            .recipe
            .grist
            .iter()
            .filter_map(|line| match line.amount {
                Amount::Share(share) => Some((line.place, share * 100.0)),
                _ => None,
            })
            .collect();
        let Some((place, _)) = lines.first().copied() else { return };
        hits.recipe(grade, cx.recipe.grist_place.unwrap_or(place), TotalOff { total, lines });
    }
}

impl Detail for TotalOff {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!("the percentages add up to {}", say.percent(self.total)),
            "which share is wrong is left open, and the amounts are solved from them",
            "correct the shares so that they make 100 %",
        )
    }
    fn fixes(&self, texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        if self.total <= 0.0 {
            return Vec::new();
        }
        // The largest share takes what rounding leaves, so that the sum is exact.
        let rounded: Vec<f64> = self.lines.iter().map(|(_, share)| (share / self.total * 1000.0).round() / 10.0).collect();
        let rest = 100.0 - rounded.iter().sum::<f64>();
        let largest = (0..rounded.len()).max_by(|a, b| rounded[*a].total_cmp(&rounded[*b]));
        let edits = self
            .lines
            .iter()
            .enumerate()
            .filter_map(|(at, (place, _))| {
                let share = rounded[at] + if Some(at) == largest { rest } else { 0.0 };
                Some((texts.value(At::Recipe(*place))?, format!("{} %", crate::say::trimmed(share, 1))))
            })
            .collect();
        vec![Mend { title: "scale the shares to 100 %".into(), safe: false, edits }]
    }
}
