//! A keg pressure logged that gives another carbonation than planned, at the temperature of the keg.

use recipe::Container;

use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("force-carb-setting-mismatch", Group::Package, Level::Error, Check::Log(check), DOC).limits(&[&WARNING, &ERROR]);

static WARNING: Limit = Limit::at_most("carbonation-off", 0.25, "vol", "carbonation a pressure gives against the one aimed at", "common practice, no source");
static ERROR: Limit = Limit::at_most("carbonation-off-error", 0.6, "vol", "carbonation a pressure gives against the one aimed at", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A keg pressure logged that gives another carbonation than planned, at the temperature of the keg.",
    matters: "The same regulator setting gives twice the carbonation in a cold room as in a warm one.",
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
  keg       2.4 vol at 5 C
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 8   gravity   1.013
  day 11  gravity   1.013
  day 12  package   18 L keg 2.4 vol at 5 C
  day 13  pressure  1.9 bar"#,
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
  keg       2.4 vol at 5 C
gyle 7 "Harbour Bitter" on 2026-03-14
  14:00   pitch     200 billion cells at 18 C
  day 8   gravity   1.013
  day 11  gravity   1.013
  day 12  package   18 L keg 2.4 vol at 5 C
  day 13  pressure  0.75 bar"#,
    limits: "Pressures logged after the package, for beer in kegs.",
    sources: "A. J. deLange, CO2 Volumes in Beer, 2011.",
};

struct Setting {
    bar: f64,
    celsius: f64,
    gives: f64,
    aimed: f64,
    set: f64,
}

fn check(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let packaged = cx.log.entries.iter().enumerate().find_map(|(at, entry)| match &entry.event {
        Event::Package { container: Some(Container::Keg), carbonation, temperature, .. } => {
            Some((at, *carbonation, *temperature))
        }
        _ => None,
    });
    let Some((at, carbonation, temperature)) = packaged else { return };
    let line = plan.part().package.lines.iter().find(|line| line.container == Container::Keg);
    let aimed = carbonation.or_else(|| Some(line?.carbonation.as_ref()?.value));
    let celsius = temperature.or_else(|| Some(line?.temperature.as_ref()?.value));
    let (Some(aimed), Some(celsius)) = (aimed, celsius) else { return };
    // The pressure falls with altitude; the carbonation that a pressure holds is found by closing in on it.
    let gives = |bar: f64| {
        let (mut low, mut high) = (0.0, 10.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if plan.calc.pressure_at(middle, celsius) > bar { high = middle } else { low = middle }
        }
        f64::midpoint(low, high)
    };
    for entry in cx.log.entries.iter().skip(at + 1) {
        let Event::Pressure(bar) = entry.event else { continue };
        let volumes = gives(bar);
        let bounds = [(cx.limit(&WARNING), Severity::Warning), (cx.limit(&ERROR), Severity::Error)];
        if let Some(grade) = Grade::above((volumes - aimed).abs(), || 0.0, &bounds) {
            let set = plan.calc.pressure_at(aimed, celsius);
            hits.log(grade, entry.place, Setting { bar, celsius, gives: volumes, aimed, set });
        }
    }
}

impl Detail for Setting {
    fn message(&self, say: Say) -> Message {
        Message::new(
            format!(
                "{} at {} gives {:.1} vol, {} is aimed at",
                say.pressure(self.bar),
                say.temperature(self.celsius),
                self.gives,
                say.volumes(self.aimed)
            ),
            if self.gives > self.aimed { "the beer foams, and the keg holds more than was meant" } else { "the beer ends up flat" },
            format!("set {} and wait a week", say.pressure(self.set)),
        )
    }
}
