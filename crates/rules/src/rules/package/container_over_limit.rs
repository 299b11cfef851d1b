//! More carbonation than the container is made for.

use brewing::package::{Container as Vessel, NEAR_LIMIT};
use recipe::{Container, Packaging};

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("container-over-limit", Group::Package, Level::Error, Check::RecipeAndLog(plan, log), DOC).safety();

const DOC: Doc = Doc {
    catches: "Beer that conditions in a bottle or can at a carbonation above what the container is made for, or close to it.",
    matters: "Glass that bursts throws splinters across a room. What a container bears falls with every knock, scratch and reuse, and \
              its pressure rises steeply when it gets warm.",
    example: r#"recipe "Samphire Wheat"
  batch     20 L
grist
  2 kg      wheat malt
  2 kg      pilsner malt
package
  bottle    3.6 vol at 20 C with table sugar"#,
    instead: r#"recipe "Samphire Wheat"
  batch     20 L
grist
  2 kg      wheat malt
  2 kg      pilsner malt
package
  bottle    3.6 vol [glass 4.5 vol] at 20 C with table sugar"#,
    limits: "The limit written on the line counts, as the maker rates the container. Where none is written, thin one-way glass is assumed: \
             3.0 vol, 2.8 vol for cans. From nine tenths of the limit on it is a warning where the limit is written and a hint where it is \
             assumed. Kegs have a rule of their own, casks are vented.",
    sources: "Container practice, no source; BS 6119-1:1981 for soft-drink glass; a glassmaker's statement, second-hand, for new beer glass.",
};

struct Over {
    volumes: f64,
    limit: f64,
    stated: bool,
    can: bool,
    over: bool,
    bar: Option<(f64, f64)>,
}

/// The limit of a container that conditions its beer, vol, and whether it is written.
pub(crate) fn limit_of(line: &Packaging) -> Option<(f64, bool)> {
    if let Some(limit) = &line.limit {
        return Some((limit.value, true));
    }
    let assumed = match line.container {
        Container::Bottle => Vessel::LightBottle,
        Container::Can => Vessel::Can,
        Container::Keg | Container::Cask => return None,
    };
    Some((assumed.limit().above.volumes(), false))
}

fn grade(volumes: f64, limit: f64, stated: bool) -> Option<Grade> {
    if volumes > limit + 1e-9 {
        Some(Grade::ERROR)
    } else if volumes > NEAR_LIMIT * limit + 1e-9 {
        Some(if stated { Grade::WARNING } else { Grade::HINT })
    } else {
        None
    }
}

fn plan(cx: &RecipeCx, hits: &mut Hits) {
    for figure in cx.calc.package_lines() {
        let Some(line) = cx.part().package.lines.get(figure.line) else { continue };
        // What is aimed at, or what the sugar comes to: the larger of the two.
        let aimed = line.carbonation.as_ref().map(|aimed| aimed.value);
        let volumes = figure.carbonation.into_iter().chain(aimed).reduce(f64::max);
        let (Some(volumes), Some((limit, stated))) = (volumes, limit_of(line)) else { continue };
        if let Some(grade) = grade(volumes, limit, stated) {
            let store = cx.part().package.store.as_ref().map_or(30.0, |store| store.value);
            let detail = Over {
                volumes,
                limit,
                stated,
                can: line.container == Container::Can,
                over: volumes > limit,
                bar: Some((cx.calc.pressure_at(volumes, store), store)),
            };
            hits.recipe(grade, line.place, detail);
        }
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    for entry in &cx.log.entries {
        let Event::Package { container: Some(container), carbonation: Some(volumes), .. } = &entry.event else { continue };
        let planned = cx.plan.and_then(|plan| {
            plan.part().package.lines.iter().find(|line| line.container == *container).and_then(limit_of)
        });
        let assumed = match container {
            Container::Bottle => Some((Vessel::LightBottle.limit().above.volumes(), false)),
            Container::Can => Some((Vessel::Can.limit().above.volumes(), false)),
            Container::Keg | Container::Cask => None,
        };
        let Some((limit, stated)) = planned.or(assumed) else { continue };
        if let Some(grade) = grade(*volumes, limit, stated) {
            let detail = Over {
                volumes: *volumes,
                limit,
                stated,
                can: *container == Container::Can,
                over: *volumes > limit,
                bar: cx.plan.map(|plan| (plan.calc.pressure_at(*volumes, 30.0), 30.0)),
            };
            hits.log(grade, entry.place, detail);
        }
    }
}

impl Detail for Over {
    fn message(&self, say: Say) -> Message {
        let container = if self.can { "can" } else { "bottle" };
        let whose = match (self.stated, self.can) {
            (true, _) => "the limit written on the line",
            (false, true) => "the limit taken for a can of unknown rating",
            (false, false) => "the limit taken for thin one-way glass",
        };
        let pressure = self.bar.map_or_else(String::new, |(bar, celsius)| {
            format!(" ({} at {})", say.pressure(bar), say.temperature(celsius))
        });
        let relation = if self.over { "is above" } else { "is close to" };
        Message::new(
            format!("{:.2} vol{pressure} {relation} {:.1} vol, {whose}", self.volumes, self.limit),
            format!("a {container} that bursts injures people; the maker's rating goes first, and used or scratched containers bear less"),
            if self.stated {
                format!("prime for less, or use containers that their maker rates higher than {:.1} vol", self.limit)
            } else {
                format!(
                    "prime for less than {:.1} vol, or use containers that their maker rates for it and write the rating: `[glass 4.5 vol]`",
                    NEAR_LIMIT * self.limit
                )
            },
        )
    }
}
