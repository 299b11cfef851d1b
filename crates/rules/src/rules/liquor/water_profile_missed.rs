//! A water profile aimed at that source and salts do not give.

use brewing::salts::{self, Dilution, Request, Weighting};
use brewing::water::{Ion, Salt, Water};
use figures::Calc;
use quantity::typed::{Concentration, Volume};
use recipe::{Quant, Test};

use crate::prelude::*;

pub(crate) static RULE: Rule =
    Rule::new("water-profile-missed", Group::Liquor, Level::Warning, Check::Recipe(check), DOC)
        .whole(&[BlockKind::Liquor, BlockKind::Grist, BlockKind::Recipe])
        .limits(&[&OFF_PPM, &OFF_SHARE]);

static OFF_PPM: Limit = Limit::at_most(
    "water-profile-ppm",
    10.0,
    "ppm",
    "how far an ion may be off; half of it is a hint",
    "common practice, no source: about what a kitchen scale and a yearly report allow",
);
static OFF_SHARE: Limit = Limit::at_most(
    "water-profile-share",
    15.0,
    "%",
    "how far an ion may be off, of what is aimed at; the larger of the two counts",
    "common practice, no source",
);

const DOC: Doc = Doc {
    catches: "An ion of the profile aimed at, by `match` or by ions in `expect`, that source water and salts together do not give.",
    matters: "Salts are added on top of what the source brings. Computed for ion-free water, the same salts in a mineral water give \
              another beer: harsher with sulfate, salty with sodium, or with a mash pH far off.",
    example: r#"water "Mill Lane well"
  calcium             110 ppm
  magnesium           10 ppm
  sodium              20 ppm
  chloride            60 ppm
  sulfate             173 ppm
  bicarbonate         115 ppm

recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    "Mill Lane well"
  mash      12 L
  sparge    14.5 L at 76 C
  add       8 g gypsum to all
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
expect
  calcium   60..95 ppm
  sulfate   140..180 ppm"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    reverse osmosis water
  mash      12 L
  sparge    14.5 L at 76 C
  add       7 g gypsum to all
  add       2 g calcium chloride dihydrate to all
boil 60 min
  38 g      Fuggle [alpha 5 %] at 60 min
expect
  calcium   60..95 ppm
  sulfate   140..180 ppm"#,
    limits: "One finding a recipe, at the first line that is missed; the others are listed beside it. Ions in `expect` are judged by \
             this rule alone.",
    sources: "The limits are common practice, no source.",
};

/// An ion aimed at.
struct Wanted {
    place: Place,
    ion: Ion,
    vessel: Vessel,
    low: f64,
    high: f64,
}

impl Wanted {
    fn middle(&self) -> f64 {
        match (self.low.is_finite(), self.high.is_finite()) {
            (true, true) => f64::midpoint(self.low, self.high),
            (true, false) => self.low,
            _ => self.high,
        }
    }
}

struct Miss {
    place: Place,
    ion: Ion,
    vessel: Vessel,
    low: f64,
    high: f64,
    value: f64,
    source: f64,
}

struct ProfileMissed {
    misses: Vec<Miss>,
    /// Salts that come nearest, kg each, for the litres treated.
    salts: Vec<(Salt, f64)>,
    litres: f64,
    /// Share of the source that is to be kept where it already holds too much, parts of one.
    keep: Option<f64>,
}

const IONS: [(Ion, Keyword); 6] = [
    (Ion::Calcium, Keyword::Calcium),
    (Ion::Magnesium, Keyword::Magnesium),
    (Ion::Sodium, Keyword::Sodium),
    (Ion::Chloride, Keyword::Chloride),
    (Ion::Sulfate, Keyword::Sulfate),
    (Ion::Bicarbonate, Keyword::Bicarbonate),
];

fn check(cx: &RecipeCx, hits: &mut Hits) {
    let mut wanted = Vec::new();
    if let Some(target) = &cx.recipe.liquor.target
        && let Ok(profile) = figures::water_of(target)
    {
        for (ion, key) in IONS {
            let written = target.fact(key).is_some()
                || (ion == Ion::Bicarbonate && target.fact(Keyword::Alkalinity).is_some());
            if written {
                let ppm = profile.ion(ion).mg_per_litre();
                wanted.push(Wanted { place: target.place, ion, vessel: Vessel::All, low: ppm, high: ppm });
            }
        }
    }
    for (expectation, figure) in cx.part().expect.iter().zip(cx.expected()) {
        let Test::Within { low, high, .. } = &expectation.test else { continue };
        let Some((ion, vessel)) = figure.and_then(ion_of) else { continue };
        let bound = |quant: &Option<Quant>, open: f64| quant.map_or(open, |quant| quant.value);
        wanted.push(Wanted {
            place: expectation.place,
            ion,
            vessel,
            low: bound(low, f64::NEG_INFINITY),
            high: bound(high, f64::INFINITY),
        });
    }
    let Some(first) = wanted.first() else { return };
    let Ok(source) = cx.calc.source_water() else { return };
    let mut worst: Option<Grade> = None;
    let mut misses = Vec::new();
    let acid = cx.recipe.liquor.additions.iter().any(|line| crate::look::role(&line.thing).contains("acid"));
    for aim in &wanted {
        // Acid is there to take bicarbonate away, and counts after it.
        if acid && aim.ion == Ion::Bicarbonate {
            continue;
        }
        let Ok(value) = cx.calc.ion_in(aim.vessel, aim.ion) else { continue };
        let allowed = cx.limit(&OFF_PPM).max(cx.limit(&OFF_SHARE) / 100.0 * aim.middle());
        // A range says by itself how near is near enough.
        let allowed = if aim.low < aim.high { 0.0 } else { allowed };
        let within = |share: f64| (aim.low - allowed * share, aim.high + allowed * share);
        let bands = if aim.low < aim.high {
            let spare = 0.5 * cx.limit(&OFF_PPM).max(cx.limit(&OFF_SHARE) / 100.0 * aim.middle());
            [((aim.low, aim.high), Severity::Hint), ((aim.low - spare, aim.high + spare), Severity::Warning)]
        } else {
            [(within(0.5), Severity::Hint), (within(1.0), Severity::Warning)]
        };
        if let Some(grade) = Grade::outside(value, || 0.0, &bands) {
            worst = Some(worst.map_or(grade, |worst| worst.worse(grade)));
            misses.push(Miss {
                place: aim.place,
                ion: aim.ion,
                vessel: aim.vessel,
                low: aim.low,
                high: aim.high,
                value,
                source: source.ion(aim.ion).mg_per_litre(),
            });
        }
    }
    let (Some(grade), Some(place)) = (worst, misses.first().map(|miss| miss.place)) else { return };
    let vessel = first.vessel;
    let litres = litres_of(cx.calc, vessel).unwrap_or(0.0);
    let (salts, keep) = treatment(&source, &wanted, vessel, litres);
    hits.recipe(grade, place, ProfileMissed { misses, salts, litres, keep });
}

/// The ion and vessel that a figure is of.
fn ion_of(figure: FigureId) -> Option<(Ion, Vessel)> {
    use FigureId as F;
    Some(match figure {
        F::Calcium => (Ion::Calcium, Vessel::All),
        F::Magnesium => (Ion::Magnesium, Vessel::All),
        F::Sodium => (Ion::Sodium, Vessel::All),
        F::Chloride => (Ion::Chloride, Vessel::All),
        F::Sulfate => (Ion::Sulfate, Vessel::All),
        F::Bicarbonate => (Ion::Bicarbonate, Vessel::All),
        F::MashCalcium => (Ion::Calcium, Vessel::Mash),
        F::MashMagnesium => (Ion::Magnesium, Vessel::Mash),
        F::MashSodium => (Ion::Sodium, Vessel::Mash),
        F::MashChloride => (Ion::Chloride, Vessel::Mash),
        F::MashSulfate => (Ion::Sulfate, Vessel::Mash),
        F::MashBicarbonate => (Ion::Bicarbonate, Vessel::Mash),
        F::SpargeCalcium => (Ion::Calcium, Vessel::Sparge),
        F::SpargeMagnesium => (Ion::Magnesium, Vessel::Sparge),
        F::SpargeSodium => (Ion::Sodium, Vessel::Sparge),
        F::SpargeChloride => (Ion::Chloride, Vessel::Sparge),
        F::SpargeSulfate => (Ion::Sulfate, Vessel::Sparge),
        F::SpargeBicarbonate => (Ion::Bicarbonate, Vessel::Sparge),
        _ => return None,
    })
}

/// Whether `expect` leaves this figure to this rule.
pub(crate) fn judges(figure: FigureId) -> bool {
    ion_of(figure).is_some()
}

fn litres_of(calc: &Calc<'_>, vessel: Vessel) -> Option<f64> {
    let of = |vessel| calc.vessel_water(vessel).ok().map(|water| water.litres);
    match vessel {
        Vessel::Mash | Vessel::Sparge => of(vessel),
        _ => match (of(Vessel::Mash), of(Vessel::Sparge)) {
            (Some(mash), sparge) => Some(mash + sparge.unwrap_or(0.0)),
            (None, _) => of(Vessel::Kettle),
        },
    }
}

/// The salts that bring the source nearest, and the share of it to keep where it holds too much already.
fn treatment(source: &Water, wanted: &[Wanted], vessel: Vessel, litres: f64) -> (Vec<(Salt, f64)>, Option<f64>) {
    let here: Vec<&Wanted> = wanted.iter().filter(|aim| aim.vessel == vessel).collect();
    let target = here.iter().fold(*source, |water, aim| {
        water.with_ion(aim.ion, Concentration::from_mg_per_litre(aim.middle().max(0.0)))
    });
    let too_much = here.iter().any(|aim| source.ion(aim.ion).mg_per_litre() > aim.high * 1.1 + 5.0);
    let fit: Vec<(Ion, f64)> = here.iter().map(|aim| (aim.ion, 1.0)).collect();
    let solved = salts::solve(&Request {
        source: *source,
        target,
        fit: &fit,
        volume: Volume::from_litres(litres),
        salts: &salts::DEFAULT_SALTS,
        weighting: Weighting::Charge,
        dilution: if too_much { Dilution::With(Water::ION_FREE) } else { Dilution::None },
    });
    let Some(solved) = solved else { return (Vec::new(), None) };
    // Less than a twentieth of a gram is not worth weighing.
    let salts =
        solved.salts.iter().map(|(salt, mass)| (*salt, mass.kg())).filter(|(_, kg)| *kg >= 0.000_05).collect();
    let share = solved.source_share.parts();
    (salts, (too_much && share < 0.995).then_some(share))
}

/// What the salt is called in the built-in library.
pub(crate) const fn salt_name(salt: Salt) -> &'static str {
    match salt {
        Salt::Gypsum => "gypsum",
        Salt::CalciumChlorideDihydrate => "calcium chloride dihydrate",
        Salt::EpsomSalt => "Epsom salt",
        Salt::TableSalt => "table salt",
        Salt::BakingSoda => "baking soda",
        Salt::SlakedLime => "slaked lime",
        _ => "salt",
    }
}

impl Miss {
    fn aim(&self, say: Say) -> String {
        if self.low == self.high {
            say.ppm(self.low)
        } else if self.high.is_infinite() {
            format!("at least {}", say.ppm(self.low))
        } else if self.low.is_infinite() {
            format!("at most {}", say.ppm(self.high))
        } else {
            format!("{:.0} to {}", self.low, say.ppm(self.high))
        }
    }

    fn said(&self, say: Say) -> String {
        let where_ = match self.vessel {
            Vessel::Mash => "mash ",
            Vessel::Sparge => "sparge ",
            _ => "",
        };
        format!("{where_}{} is {}, {} aimed at", self.ion.name(), say.ppm(self.value), self.aim(say))
    }
}

impl Detail for ProfileMissed {
    fn absorbs(&self) -> &'static [&'static str] {
        // What is far from the profile is outside the usual range because of it.
        &["ion-outside-brewing-range"]
    }
    fn message(&self, say: Say) -> Message {
        let Some(worst) = self.misses.iter().max_by(|a, b| off(a).total_cmp(&off(b))) else {
            return Message::new("the water profile is missed", "", "");
        };
        let more = match self.misses.len() - 1 {
            0 => String::new(),
            others => format!(" (and {} off)", say.count(others, "more ion is", "more ions are")),
        };
        let remedy = match (self.keep, self.salts.as_slice()) {
            (None, []) => "leave the salts out: the source alone comes nearest".to_owned(),
            (Some(keep), []) => format!(
                "{} of the source with {} of ion-free water, without salts, comes nearest",
                say.share(keep),
                say.share(1.0 - keep)
            ),
            (keep, salts) => {
                let salts: Vec<String> =
                    salts.iter().map(|(salt, kg)| format!("{} {}", say.small_mass(*kg), salt_name(*salt))).collect();
                let blend = keep.map_or_else(String::new, |keep| {
                    if keep < 0.005 {
                        return "ion-free water alone with ".to_owned();
                    }
                    format!("{} of the source with {} of ion-free water and ", say.share(keep), say.share(1.0 - keep))
                });
                format!("{blend}{} in {} come nearest", listed(&salts), say.volume(self.litres))
            }
        };
        Message::new(
            format!("{}{more}; the source alone brings {}", worst.said(say), say.ppm(worst.source)),
            "salts come on top of what the source holds",
            remedy,
        )
    }
    fn related(&self, say: Say) -> Vec<(At, String)> {
        self.misses.iter().skip(1).map(|miss| (At::Recipe(miss.place), miss.said(say))).collect()
    }
}

/// How far an ion is off, over what is aimed at.
fn off(miss: &Miss) -> f64 {
    let beyond = (miss.low - miss.value).max(miss.value - miss.high);
    beyond / if miss.low.is_finite() { miss.low.max(10.0) } else { miss.high.max(10.0) }
}
