//! A bottle or can whose beer, at the warmest it is stored, stands under more pressure than the container carries at its limit.

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("warm-storage-overpressure", Group::Package, Level::Warning, Check::Part(check), DOC).safety().limits(&[&ROOM]);

static ROOM: Limit = Limit::at_most("storage-reference", 20.0, "C", "temperature at which the limit of a container is taken", "BS 6119-1:1981: 4.5 vol at 20 C");

const DOC: Doc = Doc {
    catches: "A bottle or can whose beer, at the warmest it is stored, stands under more pressure than the \
              container carries at its limit.",
    matters: "Pressure rises by half between a cellar and a warm room. What holds at 12 C may burst at 30.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
package
  bottle    2.6 vol at 20 C with table sugar
  store     35 C"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
pitch
  200 billion cells  English ale yeast [72 %]
  at        18 C
  oxygen    8 ppm
ferment
  hold      19 C for 7 d
package
  bottle    2.4 vol at 20 C with table sugar
  store     20 C"#,
    limits: "Compared with the pressure that the container's limit makes at 20 C. Silent where no `store` is \
              written and where `container-over-limit` speaks.",
    sources: "Henry's law as deLange gives it for beer; the comparison at 20 C is common practice, no source.",
};

struct Warm {
    volumes: f64,
    celsius: f64,
    bar: f64,
    limit: f64,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let Some(store) = &cx.part().package.store else { return };
    for figure in cx.calc.package_lines() {
        let Some(line) = cx.part().package.lines.get(figure.line) else { continue };
        let (Some(volumes), Some((limit, _))) = (figure.carbonation, super::container_over_limit::limit_of(line)) else {
            continue;
        };
        if volumes > limit {
            continue;
        }
        let bar = cx.calc.pressure_at(volumes, store.value);
        let allowed = cx.calc.pressure_at(limit, cx.limit(&ROOM));
        if bar > allowed {
            let place = match store.origin {
                Origin::Here(place) => place,
                Origin::Library(..) => line.place,
            };
            hits.recipe(Grade::WARNING, place, Warm { volumes, celsius: store.value, bar, limit: allowed });
            return;
        }
    }
}

impl Detail for Warm {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} at {} are {}; the container carries {} at its limit",
                say.volumes(self.volumes),
                say.temperature(self.celsius),
                say.pressure(self.bar),
                say.pressure(self.limit)
            ),
            "containers that get warm may burst and injure people",
            "keep them cool and out of the sun, prime for less, or use containers their maker rates for it",
        )
    }
}
