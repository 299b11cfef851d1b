//! A beer that attenuates clearly more or less than its yeast does, sugars taken into account.

use crate::look;
use crate::prelude::*;

pub(crate) static RULE: Rule = Rule::new("attenuation-outside-strain", Group::Ferment, Level::Warning, Check::RecipeAndLog(plan, log), DOC).whole(&[BlockKind::Grist, BlockKind::Boil, BlockKind::Recipe, BlockKind::Pitch, BlockKind::Ferment]).exempt(&["mixed-culture"]).limits(&[&UNTIL, &FAR, &READING]).whole(&[BlockKind::Grist, BlockKind::Pitch]);

static FAR: Limit = Limit::at_most("attenuation-off", 5.0, "%", "points outside the strain", "common practice, no source");
static READING: Limit = Limit::at_most("attenuation-reading", 1.2, "%", "points that a reading leaves open", "half a point of gravity in 40");

static UNTIL: Limit = Limit::at_most("until-off", 0.006, "sg", "a planned end of the fermentation from the end expected", "common practice, no source");

const DOC: Doc = Doc {
    catches: "A beer that attenuates clearly more or less than its yeast does, sugars taken into account.",
    matters: "Less tells of a stuck fermentation, more of wild yeast, of sugar forgotten, or of a bad reading.",
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
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 9   fg        1.005"#,
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
gyle 7 "Harbour Bitter" on 2026-03-14
  13:20   og        1.044 with 20 L
  14:00   pitch     200 billion cells at 18 C
  day 9   fg        1.013"#,
    limits: "The range of the strain is moved by what simple and unfermentable sugars do. Only a log that has \
              reached its `fg` or its package is judged.",
    sources: r#"The yeast\'s own definition; Balling for the sugars."#,
};

struct Attenuation {
    value: f64,
    low: f64,
    high: f64,
    name: Box<str>,
}

/// The gravity that the last step of the plan waits for, against what the yeast makes of this wort.
fn plan(cx: &RecipeCx, hits: &mut Hits) {
    let mut steps = cx.part().ferment.steps.iter().rev().skip_while(|step| step.kind == FermentKind::Cool);
    let Some(step) = steps.next() else { return };
    let Some(until) = &step.until else { return };
    let Some(sg) = crate::expected::bound(FigureId::Fg, until.value) else { return };
    let place = match until.origin {
        Origin::Here(place) => place,
        Origin::Library(..) => step.place,
    };
    let (Some(og), Some(fg)) = (cx.figure(FigureId::Og), cx.figure(FigureId::Fg)) else { return };
    let off = (sg - fg).abs();
    // Lower than expected costs patience at the worst; higher is beer that is not done.
    let most = cx.limit(&UNTIL);
    if sg >= og || off > most {
        let grade = if sg >= og { Some(Grade::ERROR) } else { Grade::beyond(off - most, cx.spread(FigureId::Fg), Severity::Warning) };
        if let Some(grade) = grade {
            hits.recipe(grade, place, Until { sg, og, fg });
        }
    }
}

struct Until {
    sg: f64,
    og: f64,
    fg: f64,
}

impl Detail for Until {
    fn message(&self, say: Say) -> Message {
        let early = self.sg > self.fg;
        let attenuation = (self.og - self.sg) / (self.og - 1.0).max(f64::MIN_POSITIVE) * 100.0;
        Message::new(
            format!(
                "the fermentation is to end at {}, {} attenuation from {}; {} is expected of this yeast and grist",
                say.gravity(self.sg),
                say.percent(attenuation.max(0.0).round()),
                say.gravity(self.og),
                say.gravity(self.fg)
            ),
            if early { "beer that stops there is not done, and goes on later in its container" } else { "the yeast does not get that far, and the step never ends" },
            format!("write `until {}`, or name a yeast that ends where you want it", say.gravity(self.fg)),
        )
    }
}

fn log(cx: &LogCx, hits: &mut Hits) {
    let Some(plan) = cx.plan else { return };
    let done = cx.last(|event| matches!(event, Event::Fg(_) | Event::Package { .. }));
    let Some(entry) = done.and_then(|at| cx.log.entries.get(at)) else { return };
    let Ok(value) = cx.actual.value(FigureId::ActualApparentAttenuation) else { return };
    let [line] = plan.part().pitch.lines.as_slice() else { return };
    let Some(definition) = &line.thing.definition else { return };
    let Some(recipe::FactValue::Range(_, low, high)) = definition.fact(Keyword::Attenuation).map(|fact| &fact.value) else {
        return;
    };
    // What the sugars of this grist make of the strain's own attenuation.
    let (Some(planned), Some(own)) = (
        plan.figure(FigureId::ApparentAttenuation),
        line.thing.number(Keyword::Attenuation).map(|given| given.value.value * 100.0),
    ) else {
        return;
    };
    let moved = planned - own;
    let (low, high) = (low * 100.0 + moved, high * 100.0 + moved);
    let far = cx.limit(&FAR);
    let bands = [((low, high), Severity::Hint), ((low - far, high + far), Severity::Warning)];
    // A gravity is read to half a point at the best.
    if let Some(grade) = Grade::outside(value, || cx.limit(&READING), &bands) {
        hits.log(grade, entry.place, Attenuation { value, low, high, name: look::spoken(&line.thing) });
    }
}

impl Detail for Attenuation {
    fn message(&self, say: Say) -> Message {
        let more = self.value > self.high;
        Message::new(
            format!(
                "the beer attenuated by {}, {} does {} to {} with this grist",
                say.percent(self.value),
                self.name,
                crate::say::trimmed(self.low, 0),
                say.percent(self.high.round())
            ),
            if more {
                "that tells of wild or diastatic yeast, of sugar not written, or of a wrong reading"
            } else {
                "that tells of a fermentation that stopped early, or of a wrong reading"
            },
            if more {
                "read again with a calibrated hydrometer, taste for phenols, and keep bottles cool until it is clear"
            } else {
                "read again, warm the beer by 2 C and rouse the yeast before packaging"
            },
        )
    }
}
