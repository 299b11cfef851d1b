//! The typed recipe and log: what was written, with its place, nothing computed.
//!
//! Numbers are in the canonical unit of their dimension (kg, L, °C, min, parts of one, mg/L, …) except
//! gravities, which keep the scale they were written in, since the conversion is brewing science.

use std::sync::Arc;

use quantity::UnitId;
use syntax::ast::{Block, Clock, Date, Expr, Relation};
use syntax::vocabulary::{BlockKind, Keyword};
use syntax::{Fault, Span};

use crate::library::{DefPlace, Definition};

/// A place in the blocks of one recipe or log: which of its blocks, and the bytes in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Place {
    /// Index into the `blocks` of the recipe or log.
    pub block: u16,
    /// The bytes, relative to that block.
    pub span: Span,
}

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// Written in the recipe or log itself.
    Here(Place),
    /// Written in a definition of the library.
    Library(DefPlace, Span),
}

/// A value as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Given<T> {
    /// The value; the middle of a range or tolerance.
    pub value: T,
    /// Half the width of a range or tolerance: read as one standard deviation. Zero where one value stands.
    pub spread: f64,
    /// Where it stands.
    pub origin: Origin,
}

/// A number with its dimension, before it becomes a typed quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quant {
    /// In the canonical unit of the dimension ([`quantity::Dimension`]): kg, L, °C, min, parts of one, mg/L,
    /// mEq/L for alkalinity and hardness. Gravities and counts in the unit written.
    pub value: f64,
    /// The unit written, the exact one where `gal` and the like were; `None` for a bare number.
    pub unit: Option<UnitId>,
    /// Half the width of a range or tolerance, in the same unit as `value`.
    pub spread: f64,
}

/// What a value of a fact is.
#[derive(Clone, Debug, PartialEq)]
pub enum FactValue {
    /// A number.
    Number(Quant),
    /// Both ends of a range, in the order written, canonical like [`Quant::value`].
    Range(Quant, f64, f64),
    /// Words.
    Words(Box<str>),
    /// A date.
    Date(Date),
    /// The field stands without a value (`[boiled]`-like fields).
    Set,
}

/// One fact: a field of a definition, or a property on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// Which.
    pub key: Keyword,
    /// Its value.
    pub value: FactValue,
    /// Where it stands.
    pub origin: Origin,
}

/// How much of something.
#[derive(Clone, Debug, PartialEq)]
pub enum Amount {
    /// A quantity: mass (kg), volume (L), count, cells (billion) …, told apart by the unit's dimension.
    Of(Quant),
    /// A percentage of the mashed grist, in parts of one.
    Share(f64),
    /// An expression; its spans refer to the block of the line.
    Expr(Arc<Expr>),
    /// Not written: solved for.
    Solved,
    /// Not written and not solved for, or not readable.
    Missing,
}

/// A thing named on a line: its definition and the properties that override it.
#[derive(Clone, Debug)]
pub struct Thing {
    /// The name as written.
    pub name: Box<str>,
    /// Where the name stands.
    pub place: Place,
    /// What it resolves to; `None` when nothing of that name is known (then there is a problem).
    pub definition: Option<Arc<Definition>>,
    /// Whether it was named by a loose alias.
    pub loose: bool,
    /// Properties on the line; they come before the definition's fields.
    pub own: Vec<Fact>,
    /// Flags on the line (`leaf`, `boiled`, …).
    pub flags: Vec<syntax::vocabulary::Flag>,
    /// Substitutes (`or NAME`).
    pub substitutes: Vec<Box<str>>,
}

impl Thing {
    /// The name as written, that of its definition, and that of what the definition goes back to.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let definition = self.definition.as_deref();
        let own = definition.map(|definition| &*definition.name);
        let kin = definition.and_then(|definition| definition.kin.as_deref());
        core::iter::once(&*self.name).chain(own).chain(kin)
    }

    /// What it is, whatever a cellar calls it: the name of what its definition goes back to; as written where it
    /// is not known.
    #[must_use]
    pub fn kin(&self) -> &str {
        self.names().last().unwrap_or(&self.name)
    }

    /// Every fact with this key, those of the line first.
    pub fn facts_of(&self, key: Keyword) -> impl Iterator<Item = &Fact> {
        let library = self.definition.iter().flat_map(move |definition| definition.facts_of(key));
        self.own.iter().filter(move |fact| fact.key == key).chain(library)
    }

    /// Whether this flag stands on the line.
    #[must_use]
    pub fn flag(&self, flag: syntax::vocabulary::Flag) -> bool {
        self.flags.contains(&flag)
    }

    /// The fact with this key: of the line first, then of the definition.
    #[must_use]
    pub fn fact(&self, key: Keyword) -> Option<&Fact> {
        self.own
            .iter()
            .find(|fact| fact.key == key)
            .or_else(|| self.definition.as_ref().and_then(|definition| definition.fact(key)))
    }

    /// The number of a fact.
    #[must_use]
    pub fn number(&self, key: Keyword) -> Option<Given<Quant>> {
        let fact = self.fact(key)?;
        match fact.value {
            FactValue::Number(quant) | FactValue::Range(quant, _, _) => {
                Some(Given { value: quant, spread: quant.spread, origin: fact.origin.clone() })
            }
            _ => None,
        }
    }

    /// The words of a fact.
    #[must_use]
    pub fn words(&self, key: Keyword) -> Option<&str> {
        match &self.fact(key)?.value {
            FactValue::Words(words) => Some(words),
            _ => None,
        }
    }

    /// Which kind of definition it resolved to.
    #[must_use]
    pub fn kind(&self) -> Option<BlockKind> {
        self.definition.as_ref().map(|definition| definition.kind)
    }
}

/// When something fermentable joins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Joins {
    /// In the mash.
    Mash,
    /// In a cook, and with it in the mash.
    Cook,
    /// Steeped, not mashed.
    Steep,
    /// In the kettle, minutes before the end of the boil; `None` at its start.
    Kettle(Option<f64>),
    /// At flameout.
    Flameout,
    /// With the first wort.
    FirstWort,
    /// In the fermenter.
    Fermenter(During),
}

/// When something is added during fermentation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum During {
    /// On a day counted from pitching; the second day of a range is checked too.
    Day(i32, Option<i32>),
    /// On a date.
    Date(Date),
    /// When the gravity has fallen to this.
    Gravity(Quant),
    /// Not said.
    Unsaid,
}

/// A line of the grist, or a sugar of the boil block, or fruit of the ferment block.
#[derive(Clone, Debug)]
pub struct GristLine {
    /// The whole entry.
    pub place: Place,
    /// How much.
    pub amount: Amount,
    /// Of what.
    pub thing: Thing,
    /// When it joins.
    pub joins: Joins,
    /// For how long, minutes, where written.
    pub contact: Option<f64>,
    /// The part it goes into, where it stands in the `ferment` block of a `split`.
    pub part: Option<usize>,
}

/// When a hop or other addition goes into the kettle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KettleTime {
    /// Minutes before the end of the boil.
    Minutes(f64),
    /// With the first wort.
    FirstWort,
    /// When the heat is off.
    Flameout,
    /// In the mash.
    Mash,
    /// In a stand, by its index.
    Stand(usize),
    /// Not said.
    Unsaid,
}

/// A hop or another addition of mash, boil, stand, sour or ferment block: not fermentable.
#[derive(Clone, Debug)]
pub struct Addition {
    /// The whole entry.
    pub place: Place,
    /// How much.
    pub amount: Amount,
    /// Of what: a hop, or an addition.
    pub thing: Thing,
    /// When, in the kettle.
    pub time: KettleTime,
    /// `for`: minutes of contact.
    pub contact: Option<f64>,
    /// `to reach … IBU`: the bitterness this line is solved for.
    pub to_reach: Option<Given<f64>>,
}

/// A hop or other addition during fermentation.
#[derive(Clone, Debug)]
pub struct FermentAddition {
    /// The whole entry.
    pub place: Place,
    /// How much.
    pub amount: Amount,
    /// Of what.
    pub thing: Thing,
    /// When.
    pub during: During,
    /// `for`: minutes of contact.
    pub contact: Option<f64>,
}

/// Where a water addition goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Vessel {
    /// Mash liquor.
    Mash,
    /// Sparge liquor.
    Sparge,
    /// Kettle.
    Kettle,
    /// Mash and sparge liquor by volume.
    All,
    /// Fermenter, or the barrel.
    Fermenter,
    /// Not said.
    Unsaid,
}

/// A salt, acid or other addition to the liquor.
#[derive(Clone, Debug)]
pub struct WaterAddition {
    /// The whole entry.
    pub place: Place,
    /// How much.
    pub amount: Amount,
    /// Of what.
    pub thing: Thing,
    /// Where to.
    pub vessel: Vessel,
    /// `to reach ph`: the pH it is solved for.
    pub to_reach: Option<Given<f64>>,
}

/// A volume with an optional temperature.
#[derive(Clone, Debug)]
pub struct LiquorVolume {
    /// The whole entry.
    pub place: Place,
    /// Volume in L, as read: cold unless `measured_at` says otherwise.
    pub amount: Amount,
    /// Temperature it is used at, °C.
    pub temperature: Option<Given<f64>>,
    /// Temperature it is measured at, °C, where the line states one (`[98 C]`); `[hot]` is 100.
    pub measured_at: Option<f64>,
}

/// The liquor block.
#[derive(Clone, Debug, Default)]
pub struct Liquor {
    /// The source water.
    pub source: Option<Thing>,
    /// Other waters and their share of the whole.
    pub blends: Vec<(Given<f64>, Thing)>,
    /// Mash liquor.
    pub mash: Option<LiquorVolume>,
    /// Sparge liquor.
    pub sparge: Option<LiquorVolume>,
    /// The entry `no sparge`.
    pub no_sparge: Option<Place>,
    /// Water added to the kettle, L.
    pub top_up_kettle: Option<LiquorVolume>,
    /// Water added to the fermenter, L.
    pub top_up_fermenter: Option<LiquorVolume>,
    /// Salts and acids, those of the mash block included.
    pub additions: Vec<WaterAddition>,
    /// The profile aimed at.
    pub target: Option<Thing>,
}

/// How a rest is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Hot water.
    Infusion,
    /// Heat below the tun.
    DirectHeat,
    /// A boiled part of the mash.
    Decoction,
    /// The cooked adjuncts come in.
    Cook,
}

/// A step of the mash.
#[derive(Clone, Debug)]
pub enum MashStep {
    /// A rest.
    Rest {
        /// The whole entry.
        place: Place,
        /// °C.
        temperature: Given<f64>,
        /// Minutes.
        time: Option<Given<f64>>,
        /// How it is reached, where written.
        by: Option<Method>,
        /// Its label.
        label: Option<Box<str>>,
    },
    /// Water added.
    Infuse {
        /// The whole entry.
        place: Place,
        /// L.
        volume: Amount,
        /// °C.
        temperature: Option<Given<f64>>,
    },
    /// A part boiled and returned.
    Decoct {
        /// The whole entry.
        place: Place,
        /// L, where written.
        volume: Option<Amount>,
        /// Thick or thin, where written.
        thick: Option<bool>,
        /// Rest of the part on its way, °C and minutes.
        rest: Option<(Given<f64>, Option<Given<f64>>)>,
        /// Minutes it boils.
        boil: Option<Given<f64>>,
    },
}

/// The mash block.
#[derive(Clone, Debug, Default)]
pub struct Mash {
    /// Its header, when there is one.
    pub place: Option<Place>,
    /// `by …` in the header.
    pub by: Option<Method>,
    /// Steps in order.
    pub steps: Vec<MashStep>,
    /// `ph VALUE`: the pH aimed at.
    pub ph: Option<Given<f64>>,
    /// `runnings VOLUME at GRAVITY` (parti-gyle).
    pub runnings: Option<(Place, Given<f64>, Option<Given<Quant>>)>,
    /// Temperature the runnings are measured at, °C, where the line states one; `[hot]` is 100.
    pub runnings_measured_at: Option<f64>,
}

/// Adjuncts cooked apart.
#[derive(Clone, Debug)]
pub struct Cook {
    /// The header.
    pub place: Place,
    /// Water in it, L.
    pub volume: Option<Given<f64>>,
    /// Rests: °C and minutes.
    pub rests: Vec<(Given<f64>, Option<Given<f64>>)>,
    /// Minutes it boils.
    pub boil: Option<Given<f64>>,
}

/// Grain steeped.
#[derive(Clone, Debug)]
pub struct Steep {
    /// The header.
    pub place: Place,
    /// Minutes.
    pub time: Option<Given<f64>>,
    /// °C.
    pub temperature: Option<Given<f64>>,
    /// Water, L.
    pub liquor: Option<Given<f64>>,
}

/// Souring in the kettle.
#[derive(Clone, Debug)]
pub struct Sour {
    /// The header.
    pub place: Place,
    /// Minutes of boil before it.
    pub boil: Option<Given<f64>>,
    /// What goes in.
    pub pitches: Vec<PitchLine>,
    /// Acids and the like.
    pub additions: Vec<WaterAddition>,
    /// Hold: °C, minutes, pH it ends at.
    #[allow(clippy::type_complexity, reason = "read in one place, as one line of the file")]
    pub hold: Option<(Place, Given<f64>, Option<Given<f64>>, Option<Given<f64>>)>,
}

/// The boil.
#[derive(Clone, Debug)]
pub struct Boil {
    /// The header.
    pub place: Place,
    /// Minutes.
    pub time: Option<Given<f64>>,
}

/// A hop stand.
#[derive(Clone, Debug)]
pub struct Stand {
    /// The header.
    pub place: Place,
    /// Minutes.
    pub time: Option<Given<f64>>,
    /// °C.
    pub temperature: Option<Given<f64>>,
}

/// Chilling.
#[derive(Clone, Debug)]
pub struct Chill {
    /// The header.
    pub place: Place,
    /// °C.
    pub to: Option<Given<f64>>,
    /// Minutes.
    pub over: Option<Given<f64>>,
}

/// A yeast line.
#[derive(Clone, Debug)]
pub struct PitchLine {
    /// The whole entry.
    pub place: Place,
    /// Cells, packs, mass or volume.
    pub amount: Amount,
    /// Which yeast.
    pub thing: Thing,
    /// When, where the line says so; [`During::Unsaid`] is at pitching, or at packaging in that block.
    pub during: During,
}

/// A starter step.
#[derive(Clone, Debug)]
pub struct StarterStep {
    /// The whole entry.
    pub place: Place,
    /// L.
    pub volume: Given<f64>,
    /// Its gravity.
    pub gravity: Option<Given<Quant>>,
    /// Stirred, still, or not said.
    pub stirred: Option<bool>,
}

/// The pitch block.
#[derive(Clone, Debug, Default)]
pub struct Pitch {
    /// The header, when there is one.
    pub place: Option<Place>,
    /// The yeasts.
    pub lines: Vec<PitchLine>,
    /// The starter, in steps.
    pub starter: Vec<StarterStep>,
    /// Rate aimed at, million cells/mL/°P.
    pub rate: Option<Given<f64>>,
    /// Wort temperature, °C.
    pub temperature: Option<Given<f64>>,
    /// Dissolved oxygen aimed at, mg/L.
    pub oxygen: Option<Given<f64>>,
    /// Oxygen flow, L/min, and minutes.
    pub oxygen_flow: Option<(Given<f64>, Option<Given<f64>>)>,
}

/// A step of the fermentation.
#[derive(Clone, Debug)]
pub struct FermentStep {
    /// The whole entry.
    pub place: Place,
    /// Which.
    pub kind: FermentKind,
    /// Temperature held, or reached, or the cap of a free rise, °C.
    pub temperature: Option<Given<f64>>,
    /// Length of the change, minutes.
    pub over: Option<Given<f64>>,
    /// Length after it, minutes.
    pub time: Option<Given<f64>>,
    /// Gravity it ends at.
    pub until: Option<Given<Quant>>,
}

/// Kinds of fermentation step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FermentKind {
    /// Holds.
    Hold,
    /// Warms.
    Raise,
    /// Cools.
    Cool,
    /// Rises by itself.
    FreeRise,
}

/// A move of the beer.
#[derive(Clone, Debug)]
pub struct Racking {
    /// The whole entry.
    pub place: Place,
    /// L, where written.
    pub volume: Option<Given<f64>>,
    /// Where to.
    pub to: Option<Box<str>>,
    /// When.
    pub during: During,
}

/// The ferment block.
#[derive(Clone, Debug, Default)]
pub struct Ferment {
    /// The header, when there is one.
    pub place: Option<Place>,
    /// Steps in order.
    pub steps: Vec<FermentStep>,
    /// Hops and the like; fermentables are on the grist list.
    pub additions: Vec<FermentAddition>,
    /// Gravity the fermentation is to end at: the last `until`, unless a warmer or another hold follows it.
    pub until: Option<Given<Quant>>,
    /// Spunding pressure (bar gauge) and from when.
    pub spund: Option<(Place, Given<f64>, During)>,
    /// Pressure during fermentation, bar gauge.
    pub pressure: Option<Given<f64>>,
    /// Rackings.
    pub rackings: Vec<Racking>,
}

/// What the beer goes into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Container {
    /// Keg.
    Keg,
    /// Cask.
    Cask,
    /// Bottle.
    Bottle,
    /// Can.
    Can,
}

/// One line of the package block.
#[derive(Clone, Debug)]
pub struct Packaging {
    /// The whole entry.
    pub place: Place,
    /// Volume that goes this way, L; all of it where not written.
    pub volume: Option<Given<f64>>,
    /// Into what.
    pub container: Container,
    /// Carbonation aimed at, vol.
    pub carbonation: Option<Given<f64>>,
    /// Limit of the container, vol, where the line states it (`[glass 3.0 vol]`).
    pub limit: Option<Given<f64>>,
    /// Temperature, °C.
    pub temperature: Option<Given<f64>>,
    /// Temperature that sets the residual CO2, °C, where stated (`[residual at 12 C]`).
    pub residual_at: Option<Given<f64>>,
    /// Priming sugar: amount (a dose in g/L or a mass in kg), and which.
    pub priming: Option<(Amount, Thing)>,
}

/// The package block.
#[derive(Clone, Debug, Default)]
pub struct Package {
    /// The header, when there is one.
    pub place: Option<Place>,
    /// Its lines.
    pub lines: Vec<Packaging>,
    /// Warmest storage, °C.
    pub store: Option<Given<f64>>,
    /// Yeast added at packaging.
    pub yeast: Vec<PitchLine>,
    /// Finings, hops and the like added at packaging.
    pub additions: Vec<FermentAddition>,
}

/// A test of the brewer's own.
#[derive(Clone, Debug)]
pub struct Expectation {
    /// The whole entry.
    pub place: Place,
    /// What is asked.
    pub test: Test,
}

/// What an expectation asks.
#[derive(Clone, Debug)]
pub enum Test {
    /// A figure within bounds, inclusive.
    Within {
        /// The figure's words as written.
        figure: Box<str>,
        /// Where they stand.
        figure_place: Place,
        /// Lower bound.
        low: Option<Quant>,
        /// Upper bound.
        high: Option<Quant>,
        /// The value in the middle, for one that is aimed at.
        middle: Option<Quant>,
        /// Whether the bounds are excluded (`<`, `>`).
        strict: bool,
    },
    /// A chain of comparisons.
    Condition {
        /// The sides, and the relation before each but the first.
        sides: Vec<(Option<Relation>, Arc<Expr>)>,
    },
}

/// A part of the wort with its own yeast and package; a recipe without `split` has one.
#[derive(Clone, Debug, Default)]
pub struct Part {
    /// The label of the `split`, and its place.
    pub label: Option<(Box<str>, Place)>,
    /// Its volume, L.
    pub volume: Option<Given<f64>>,
    /// Pitch.
    pub pitch: Pitch,
    /// Ferment.
    pub ferment: Ferment,
    /// Package.
    pub package: Package,
    /// Expectations.
    pub expect: Vec<Expectation>,
}

/// A value with a name.
#[derive(Clone, Debug)]
pub struct LetValue {
    /// The name, folded.
    pub name: Box<str>,
    /// Where it is defined; `None` when at the top of the file, outside this recipe's blocks.
    pub place: Option<Place>,
    /// The block it is defined in, whose text the expression's spans refer to.
    pub block: Arc<Block>,
    /// The expression.
    pub expr: Arc<Expr>,
}

/// A question in a recipe, its notes or a log.
#[derive(Clone, Debug)]
pub struct Query {
    /// The whole entry.
    pub place: Place,
    /// The expression.
    pub expr: Arc<Expr>,
    /// Its label.
    pub label: Option<Box<str>>,
}

/// Which customary measures are meant.
pub use quantity::Customary;

/// A recipe.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Its name as written.
    pub name: Box<str>,
    /// The name in the header.
    pub name_place: Place,
    /// The blocks it is made of, header first. Places index into this list.
    pub blocks: Vec<Arc<Block>>,
    /// The style named.
    pub style: Option<Thing>,
    /// Batch volume, L.
    pub batch: Option<Given<f64>>,
    /// The brewhouse with what overrides it; a thing without definition where none is named.
    pub brewhouse: Option<Thing>,
    /// What the fermenter is made of.
    pub fermenter: Option<(Box<str>, Place)>,
    /// Which gallon.
    pub customary: Option<Customary>,
    /// Currency to show.
    pub currency: Option<Box<str>>,
    /// Tags.
    pub tags: Vec<(Box<str>, Place)>,
    /// `from "NAME"`: the recipe whose mash this one takes the rest of.
    pub from: Option<(Box<str>, Place)>,
    /// That recipe, when it was found.
    pub from_recipe: Option<Arc<Recipe>>,
    /// Label claims, allergens and other text facts.
    pub texts: Vec<(Keyword, Box<str>, Place)>,
    /// Named values, those of the file included.
    pub lets: Vec<LetValue>,
    /// `grist to reach`: the gravity aimed at.
    pub grist_goal: Option<Given<Quant>>,
    /// The grist header.
    pub grist_place: Option<Place>,
    /// Everything fermentable, from grist, boil and ferment blocks.
    pub grist: Vec<GristLine>,
    /// The liquor.
    pub liquor: Liquor,
    /// The liquor header.
    pub liquor_place: Option<Place>,
    /// The mash.
    pub mash: Mash,
    /// Cooks.
    pub cooks: Vec<Cook>,
    /// Steeps.
    pub steeps: Vec<Steep>,
    /// Souring.
    pub sour: Option<Sour>,
    /// The boil.
    pub boil: Option<Boil>,
    /// Hops and other additions of mash, boil and stands, in the order written.
    pub additions: Vec<Addition>,
    /// Hop stands.
    pub stands: Vec<Stand>,
    /// Chilling.
    pub chill: Option<Chill>,
    /// Parts; at least one.
    pub parts: Vec<Part>,
    /// Questions.
    pub queries: Vec<Query>,
    /// Kinds of block with a line that could not be read, or with a value that could not be used.
    pub broken: Vec<BlockKind>,
    /// What is wrong with names and values.
    pub problems: Vec<Problem>,
}

impl PitchLine {
    /// Whether the yeast is dry: weighed, or by what its form or name says.
    #[must_use]
    pub fn is_dry(&self) -> bool {
        let says = |text: &str| text.as_bytes().windows(3).any(|three| three.eq_ignore_ascii_case(b"dry"));
        let weighed = matches!(&self.amount, Amount::Of(quant)
            if quant.unit.is_some_and(|unit| unit.dimension() == quantity::Dimension::Mass));
        weighed || self.thing.words(Keyword::Form).is_some_and(says) || self.thing.names().any(says)
    }

    /// The day the yeast was packed, else harvested, and whether it is a slurry.
    #[must_use]
    pub fn put_away(&self) -> Option<(Date, bool)> {
        let date = |key| match self.thing.fact(key)?.value {
            FactValue::Date(date) => Some(date),
            _ => None,
        };
        let packed = date(Keyword::Packed).map(|date| (date, false));
        packed.or_else(|| date(Keyword::Harvested).map(|date| (date, true)))
    }
}

impl Recipe {
    /// The day it is of, where it says one.
    #[must_use]
    pub fn date(&self) -> Option<Date> {
        let (_, text, _) = self.texts.iter().find(|(key, ..)| *key == Keyword::Date)?;
        let mut parts = text.trim().splitn(3, '-');
        Some(Date {
            year: parts.next()?.parse().ok()?,
            month: parts.next()?.parse().ok()?,
            day: parts.next()?.parse().ok()?,
        })
    }

    /// Every thing it names: style, brewhouse, waters, ingredients, yeasts.
    #[must_use]
    pub fn things(&self) -> Vec<&Thing> {
        let mut things: Vec<&Thing> = Vec::new();
        things.extend(&self.style);
        things.extend(&self.brewhouse);
        things.extend(self.grist.iter().map(|line| &line.thing));
        things.extend(self.additions.iter().map(|line| &line.thing));
        let liquor = &self.liquor;
        things.extend(&liquor.source);
        things.extend(liquor.blends.iter().map(|(_, thing)| thing));
        things.extend(&liquor.target);
        things.extend(liquor.additions.iter().map(|line| &line.thing));
        if let Some(sour) = &self.sour {
            things.extend(sour.pitches.iter().map(|line| &line.thing));
            things.extend(sour.additions.iter().map(|line| &line.thing));
        }
        for part in &self.parts {
            things.extend(part.pitch.lines.iter().map(|line| &line.thing));
            things.extend(part.ferment.additions.iter().map(|line| &line.thing));
            things.extend(part.package.additions.iter().map(|line| &line.thing));
            things.extend(part.package.yeast.iter().map(|line| &line.thing));
            things.extend(
                part.package.lines.iter().filter_map(|line| line.priming.as_ref()).map(|(_, thing)| thing),
            );
        }
        things
    }

    /// Whether it carries this tag.
    #[must_use]
    pub fn tagged(&self, tag: &str) -> bool {
        self.tags.iter().any(|(word, _)| word.eq_ignore_ascii_case(tag))
    }
}

/// Something wrong that only shows once names are looked up.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// Index of the block in the recipe, log or file.
    pub block: u16,
    /// What is wrong; its span is relative to that block.
    pub fault: Fault,
    /// Other places that have to do with it.
    pub related: Vec<(Origin, String)>,
}

/// A moment in a log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// Days since the date of the gyle.
    pub day: i32,
    /// Minutes since midnight, where a time of day is written.
    pub minute: Option<u16>,
}

/// A reading of a gravity.
#[derive(Clone, Debug, PartialEq)]
pub struct GravityReading {
    /// As written.
    pub value: Quant,
    /// Temperature of the sample, °C.
    pub sample: Option<f64>,
    /// Whether it was read with a refractometer.
    pub refractometer: bool,
    /// Where the value stands.
    pub place: Place,
}

/// A reading of a volume.
#[derive(Clone, Debug, PartialEq)]
pub struct VolumeReading {
    /// L as read.
    pub litres: f64,
    /// Half the width of a range or tolerance.
    pub spread: f64,
    /// Temperature it was read at, °C; `[hot]` is 100.
    pub temperature: Option<f64>,
    /// Where the value stands.
    pub place: Place,
}

/// What happened.
#[derive(Clone, Debug)]
pub enum Event {
    /// Strike water, °C.
    Strike(f64),
    /// After mashing in, °C.
    MashIn(f64),
    /// A rest: °C, minutes.
    Rest(f64, Option<f64>),
    /// End of the mash, °C.
    MashOut(Option<f64>),
    /// pH, sample °C, and what it belongs to.
    Ph {
        /// The reading.
        value: f64,
        /// Sample temperature, °C.
        sample: Option<f64>,
        /// What it is of.
        of: PhOf,
    },
    /// Something added.
    Add {
        /// How much.
        amount: Amount,
        /// Of what; its definition may be of any kind.
        thing: Thing,
        /// Where to.
        vessel: Vessel,
    },
    /// Something used in place of what was planned.
    Instead {
        /// How much.
        amount: Amount,
        /// Of what.
        thing: Thing,
        /// In place of.
        planned: Box<str>,
    },
    /// Weighed out.
    Weigh {
        /// How much.
        amount: Amount,
        /// Of what.
        thing: Thing,
    },
    /// Iodine test.
    Iodine(Box<str>),
    /// First runnings.
    FirstRunnings(GravityReading),
    /// Last runnings.
    LastRunnings(GravityReading),
    /// A volume, in kettle or fermenter.
    Volume(VolumeReading, Vessel),
    /// Before the boil.
    PreBoil(VolumeReading, Option<GravityReading>),
    /// The boil begins.
    BoilStart,
    /// The boil ends.
    BoilEnd,
    /// Heat off.
    Flameout,
    /// After the boil.
    PostBoil(VolumeReading, Option<GravityReading>),
    /// Chilled to, °C.
    Chilled(f64),
    /// Original gravity, and volume in the fermenter.
    Og(GravityReading, Option<VolumeReading>),
    /// A starter was made.
    Starter,
    /// Oxygen: mg/L, or L/min and minutes.
    Oxygen(Option<Quant>, Option<f64>),
    /// Yeast in: amount, yeast, °C.
    Pitch {
        /// How much.
        amount: Amount,
        /// Which.
        thing: Option<Thing>,
        /// Wort temperature, °C.
        temperature: Option<f64>,
    },
    /// Temperature of the beer, °C.
    Temp(f64),
    /// Gravity.
    Gravity(GravityReading),
    /// Final gravity.
    Fg(GravityReading),
    /// Pressure, bar gauge.
    Pressure(f64),
    /// Dry hops out.
    HopsOut,
    /// Beer moved.
    Rack(Option<VolumeReading>),
    /// Lost, L.
    Lost(f64),
    /// Packaged.
    Package {
        /// How much.
        volume: VolumeReading,
        /// Into what.
        container: Option<Container>,
        /// Carbonation, vol.
        carbonation: Option<f64>,
        /// °C.
        temperature: Option<f64>,
        /// Priming sugar.
        priming: Option<(Amount, Thing)>,
    },
}

/// What a pH reading is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhOf {
    /// Mash.
    Mash,
    /// Wort in the kettle.
    Kettle,
    /// Beer.
    Beer,
}

/// A line of a log.
#[derive(Clone, Debug)]
pub struct LogEntry {
    /// The whole entry.
    pub place: Place,
    /// When; `None` when no time can be made of what is written.
    pub moment: Option<Moment>,
    /// What happened.
    pub event: Event,
}

/// The log of one brewing.
#[derive(Clone, Debug)]
pub struct Log {
    /// Its id.
    pub id: Box<str>,
    /// The name of the recipe, as written.
    pub recipe_name: Box<str>,
    /// The name in the header.
    pub name_place: Place,
    /// `of "path"`.
    pub of: Option<(Box<str>, Place)>,
    /// Date of the brewing.
    pub date: Option<Date>,
    /// Planned date and time.
    pub planned: Option<(Date, Option<Clock>)>,
    /// The fingerprint of the recipe brewed, from the header's stamp.
    pub pinned: Option<(Box<str>, Place)>,
    /// The blocks it is made of, header first; notes and tastings follow.
    pub blocks: Vec<Arc<Block>>,
    /// The recipe, when it was found.
    pub recipe: Option<Arc<Recipe>>,
    /// Lines in the order written.
    pub entries: Vec<LogEntry>,
    /// Day of pitching, in days since the date of the gyle.
    pub pitch_day: Option<i32>,
    /// Tastings.
    pub tastings: Vec<Tasting>,
    /// Questions.
    pub queries: Vec<Query>,
    /// What is wrong with names, times and values.
    pub problems: Vec<Problem>,
}

/// A tasting.
#[derive(Clone, Debug)]
pub struct Tasting {
    /// The header.
    pub place: Place,
    /// The gyle it is of, where written.
    pub of: Option<Box<str>>,
    /// When.
    pub date: Option<Date>,
    /// Points and of how many.
    pub score: Option<(f64, f64)>,
    /// What to do next time.
    pub next: Option<(Box<str>, Place)>,
}
