//! A water report whose ions do not add up.

use brewing::water::{Ion, Water};
use syntax::Span;

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("ion-charge-unbalanced", Group::Liquor, Level::Error, Check::Definition(check), DOC)
        .limits(&[&WARNING, &ERROR, &FLOOR]);

static WARNING: Limit = Limit::at_most(
    "ion-balance",
    5.0,
    "%",
    "difference of the charges over their sum",
    "Standard Methods 1030E: 5 % above 10 mEq/L of anions, less below",
);
static ERROR: Limit = Limit::at_most(
    "ion-balance-error",
    10.0,
    "%",
    "difference of the charges over their sum",
    "common laboratory practice, no source",
);
static FLOOR: Limit = Limit::at_least(
    "ion-balance-floor",
    0.5,
    "mEq/L",
    "below this sum of charges nothing is said: rounding alone unbalances a very soft water",
    "computed: whole ppm leave about 0.05 mEq/L of doubt",
);

const DOC: Doc = Doc {
    catches: "A water whose positive and negative ions do not carry the same charge.",
    matters: "Water is neutral. A difference means that an ion is missing, a unit is mixed up or a number was copied wrongly, and \
              every salt addition computed from the report inherits the mistake.",
    example: r#"water "Mill Lane well"
  calcium             110 ppm
  magnesium           18 ppm
  sodium              20 ppm
  chloride            30 ppm
  sulfate             45 ppm
  bicarbonate         150 ppm"#,
    instead: r#"water "Mill Lane well"
  calcium             110 ppm
  magnesium           18 ppm
  sodium              20 ppm
  chloride            30 ppm
  sulfate             45 ppm
  bicarbonate         383 ppm"#,
    limits: "Silent for a profile to aim for (`kind target` or `kind historic`), and unless at least one positive and one negative ion are written. \
             A hint where an ion is left out that could make up the difference.",
    sources: "Electroneutrality. Limits after Standard Methods for the Examination of Water and Wastewater, 1030E.",
};

struct Unbalanced {
    cations: f64,
    anions: f64,
    percent: f64,
    /// Ions left out that could make up the difference, and where a line can be put in.
    left_out: Vec<&'static str>,
    header: At,
    /// Imbalance if what is written as alkalinity or bicarbonate were read on another scale.
    other: Option<(&'static str, f64)>,
}

/// The imbalance of a water that can be judged by it: charges in mEq/L and their difference, %.
fn judged(thing: &Thing, floor: f64) -> Option<(Water, f64, f64, f64)> {
    let kind = thing.words(Keyword::Kind).unwrap_or("");
    if thing.kind() != Some(BlockKind::Water) || ["target", "historic"].iter().any(|word| kind.contains(word)) {
        return None;
    }
    let water = figures::water_of(thing).ok()?;
    let balance = water.charge_balance();
    let (cations, anions) = (balance.cations.meq_per_litre(), balance.anions.meq_per_litre());
    if cations <= 0.0 || anions <= 0.0 || cations + anions < floor {
        return None;
    }
    let percent = percent_of(&water)?;
    Some((water, cations, anions, percent))
}

/// Whether the charges are so far from balance that the report is wrong.
pub(crate) fn is_error(thing: &Thing, limits: &crate::limits::Limits) -> bool {
    judged(thing, limits.of(&FLOOR)).is_some_and(|(.., percent)| percent > limits.of(&ERROR))
}

fn check(cx: &DefinitionCx, hits: &mut Hits) {
    let Some((water, cations, anions, percent)) = judged(cx.thing, cx.limits.of(&FLOOR)) else { return };
    let bounds = [(cx.limits.of(&WARNING), Severity::Warning), (cx.limits.of(&ERROR), Severity::Error)];
    if let Some(grade) = Grade::above(percent, || 0.0, &bounds) {
        let other = other_reading(cx.thing, &water).filter(|(_, other)| *other < bounds[0].0);
        let header = cx.definition.block.header().map_or(Span::at(0), |entry| entry.span);
        let left_out = left_out(cx.thing, cations > anions);
        // A list of some ions cannot balance; whether it is a report or a profile to aim for is not known.
        let grade = if left_out.is_empty() || other.is_some() { grade } else { Grade::HINT };
        let header = cx.at(header);
        hits.push(grade, header, Unbalanced { cations, anions, percent, left_out, header, other });
    }
}

/// The ions of the side that is too small of which nothing is written.
fn left_out(thing: &Thing, negative: bool) -> Vec<&'static str> {
    let ions: &[(&[Keyword], &str)] = if negative {
        &[
            (&[Keyword::Bicarbonate, Keyword::Alkalinity], "bicarbonate"),
            (&[Keyword::Sulfate], "sulfate"),
            (&[Keyword::Chloride], "chloride"),
        ]
    } else {
        &[
            (&[Keyword::Calcium, Keyword::Hardness], "calcium"),
            (&[Keyword::Magnesium, Keyword::Hardness], "magnesium"),
            (&[Keyword::Sodium], "sodium"),
        ]
    };
    let unwritten = ions.iter().filter(|(keys, _)| keys.iter().all(|key| thing.fact(*key).is_none()));
    unwritten.map(|(_, name)| *name).collect()
}

/// Size of the imbalance, %.
fn percent_of(water: &Water) -> Option<f64> {
    water.charge_balance().imbalance().map(|share| share.parts().abs() * 100.0)
}

/// The imbalance if the number written for what buffers were on the scale it is most often confused with.
fn other_reading(thing: &Thing, water: &Water) -> Option<(&'static str, f64)> {
    let read_as = |factor: f64, what| {
        let meant = Water { alkalinity: water.alkalinity * factor, ..*water };
        Some((what, percent_of(&meant)?))
    };
    let as_bicarbonate = Ion::Bicarbonate.molar_mass();
    // A milligram of calcium carbonate carries 2 charges in 100.09 g, one of bicarbonate 1 in 61.02 g, one of
    // carbonate 2 in 60.01 g.
    if thing.fact(Keyword::Bicarbonate).is_some() {
        let options = [
            read_as(as_bicarbonate / 50.04, "alkalinity as CaCO3"),
            read_as(as_bicarbonate / 30.005, "carbonate (CO3)"),
        ];
        options.into_iter().flatten().min_by(|a, b| a.1.total_cmp(&b.1))
    } else if thing.fact(Keyword::Alkalinity).is_some() {
        read_as(50.04 / as_bicarbonate, "bicarbonate")
    } else {
        None
    }
}

impl Detail for Unbalanced {
    fn message(&self, say: Say) -> Message {
        let more = if self.cations > self.anions { "more positive than negative" } else { "more negative than positive" };
        let remedy = match self.other {
            Some((what, percent)) => format!(
                "read as {what}, the number that buffers would leave {}; check which the report means",
                say.percent(percent)
            ),
            None if !self.left_out.is_empty() => format!(
                "{} may be what is missing: write it from the report; of a profile to aim for say `kind target`",
                listed(&self.left_out)
            ),
            None => "compare the report line by line: an ion left out, mg/L against mmol/L, or alkalinity against bicarbonate".into(),
        };
        Message::new(
            format!(
                "{:.1} mEq/L of positive and {:.1} of negative ions differ by {}: {more} charge",
                self.cations,
                self.anions,
                say.percent(self.percent)
            ),
            "water is neutral, so a number is missing or wrong, and the salts computed from it will be too",
            remedy,
        )
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        if self.left_out.is_empty() || self.other.is_some() {
            return Vec::new();
        }
        let end = self.header.within(Span::at(self.header.span().end));
        vec![Mend::proposed("say that it is a profile to aim for", end, "\n  kind                target")]
    }
}
